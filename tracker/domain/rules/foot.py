"""What touches the kiln shelf: glaze on the foot, stilts, and glaze that runs down to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

from tracker.domain.cones import Cone
from tracker.domain.findings import Level
from tracker.domain.message import Choice, Message, Plural, _
from tracker.domain.pieces.piece import Foot
from tracker.domain.quantities import mm
from tracker.domain.rules.melting import HOTTEST_OVERGLAZE, melting, running, softening
from tracker.domain.rules.overlaps import overlap
from tracker.domain.rules.refire import wants_cookie
from tracker.domain.rules.rule import OFF_WITH_SOLVENT, Case, Facts, Rule, for_staff, names_of
from tracker.domain.studio.kilns import ON_SHELVES, PULLED_HOT, VAPOR, RouteKind
from tracker.domain.studio.materials import GLASS, ClayKind, Coat, Layer, Trait, Zone

HOTTEST_ON_STILTS = Cone.parse("02")
"""The hottest firing in which a stilt keeps its shape (common practice)."""

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_STILTED = Foot.STILTED
_GLAZED = Foot.GLAZED
_BARE = Foot.BARE
_FOOT = Zone.FOOT
_INSIDE = Zone.INSIDE
_LIP = Zone.LIP
_OVER = Coat.OVERGLAZE
_RUNNY = Trait.RUNNY
_MAY_STICK = frozenset({Foot.GLAZED, Foot.BARE})
_HIGH_CLAYS = frozenset({ClayKind.STONEWARE, ClayKind.PORCELAIN})


def _foot_not_clear(case: Case) -> Facts | None:
    facts = _glaze_at_the_foot(case)
    return facts and {**facts, "onto": _stands_on(case)}


def _stands_on(case: Case) -> Message:
    """What the piece stands on, as a sentence has it."""
    on = _COOKIE if case.ware.catch_plate else _SHELF
    words = {_SHELF: _("the kiln shelf"), _COOKIE: _("its kiln cookie")}
    return Message("stands-on", Choice("on", words), on=on)


def _glaze_at_the_foot(case: Case) -> Facts | None:
    ware, is_bisque = case.ware, case.route.kind is RouteKind.BISQUE
    if ware.foot is _STILTED or not (ware.foot in _MAY_STICK or any(layer.zone is _FOOT for layer in ware.layers)):
        return None
    melts = melting(case)
    if is_bisque:
        # Fired glaze is glass, tacky long before it runs. Raw glaze is out of place in a bisque anyway: it holds to the
        # shelf only where the firing matures it.
        runs = running(case)
        melts = [layer for layer in softening(case) if layer.fired_to is not None or layer in runs]
        if not melts:
            return None
    on_the_foot = [layer.glaze for layer in melts if layer.zone is _FOOT]
    if on_the_foot:
        # A luster is a film without glass to stick; china paint is thin too, and both come off on the shelf.
        why = "luster" if all(glaze.coat is _OVER for glaze in on_the_foot) else "named"
        return {"why": why, "glazes": names_of(on_the_foot)}
    # Where nothing hotter than an overglaze is fired, luster alone melts, and fired glaze on the foot stays hard.
    is_hot = case.route.cone > HOTTEST_OVERGLAZE or any(layer.glaze.coat is not _OVER for layer in melts)
    if ware.foot is _GLAZED and is_hot:
        return {"why": "glazed"}
    # Vapor glazes whatever is bare, so that a foot on wadding is bare there and nowhere waxed.
    # Luster and china paint are too thin to run down to it.
    if (
        is_bisque
        or case.route.kind in VAPOR
        or ware.foot is not _BARE
        or all(layer.glaze.coat is _OVER or not _may_run_down(layer) for layer in melts)
    ):
        return None
    runs = running(case)
    is_cool = all(layer.fired_to is not None and layer not in runs for layer in melts if layer.glaze.coat is not _OVER)
    return {"why": "bare-cool" if is_cool else "bare", "clear": mm(case.practice.foot_clear_mm)}


def _may_run_down(layer: Layer) -> bool:
    """Whether what runs from there may come to the foot.

    A liner inside gathers in the bottom of the pot, and from the rim only runny glaze comes that far (common practice).
    """
    return layer.zone is not _INSIDE and (layer.zone is not _LIP or _RUNNY in layer.glaze.traits)


def _foot_wiped_or_ground(case: Case) -> Facts:
    """How a foot is cleared: raw glaze wipes off, fired glaze is ground off or, where a stilt holds, stands on one."""
    glass = [layer for layer in case.ware.layers if layer.glaze.coat in GLASS]
    on_it = [layer for layer in glass if layer.zone is _FOOT] or glass
    on_it = on_it or list(case.ware.layers)
    if not on_it or any(layer.fired_to is None for layer in on_it):
        return {"is": "raw"}
    no_stilt = _rests_on(case) != _SHELF or _stilt_sinks(replace(case, ware=replace(case.ware, foot=_STILTED)))
    return {"is": "fired" if no_stilt else "fired-low"}


def _foot_cleared(case: Case) -> Facts:
    """As `_foot_wiped_or_ground`; raw overglaze alone on the foot comes off with its own solvent."""
    on_it = [layer for layer in case.ware.layers if layer.zone is _FOOT and layer.glaze.coat in GLASS]
    if on_it and all(layer.fired_to is None and layer.glaze.coat is _OVER for layer in on_it):
        return {"is": "overglaze"}
    return _foot_wiped_or_ground(case)


_WADDING, _COOKIE, _SHELF = "wadding", "cookie", "shelf"


def _rests_on(case: Case) -> str:
    """What a piece rests on: wadding in vapor, a kiln cookie where it may run or come apart, else the kiln shelf.

    Each has a rule of its own that says so; no other remedy names another.
    """
    kind = case.route.kind
    if kind in VAPOR:
        return _WADDING
    if kind in PULLED_HOT:
        return _SHELF
    return _COOKIE if case.ware.catch_plate or _runny(case) is not None or wants_cookie(case) else _SHELF


def _off_the_stilt(case: Case) -> Facts:
    """As `_foot_wiped_or_ground`, and whether the piece then simply stands on the kiln shelf."""
    is_cleared = _foot_wiped_or_ground(case)["is"]
    return {"is": is_cleared if _rests_on(case) == _SHELF else f"{is_cleared}-off"}


def _raku_foot_cleared(case: Case) -> Facts:
    """As `_foot_wiped_or_ground`, off its stilt first."""
    is_cleared = _foot_wiped_or_ground(case)["is"]
    return {"is": is_cleared if case.ware.foot is not _STILTED else "raw-off" if is_cleared == "raw" else "fired-off"}


def _wadded(case: Case) -> Facts:
    return {"rests": _WADDING if case.route.kind in VAPOR else _SHELF}


def _stilt_sinks(case: Case) -> Facts | None:
    ware, firing = case.ware, case.route.cone
    if ware.foot is not _STILTED:
        return None
    if case.route.kind in VAPOR:
        return {"why": "vapor"}
    if firing > HOTTEST_ON_STILTS:
        return {"why": "hot", "firing": firing, "top": HOTTEST_ON_STILTS}
    if ware.clay.kind in _HIGH_CLAYS and ware.clay.is_mature_at(firing):
        return {"why": "soft", "clay": ware.clay.name}
    return None


def _raku_foot(case: Case) -> list[Layer]:
    """The layers of glaze that would hold a piece to the kiln shelf from which it is pulled, or to its stilt."""
    glazed = case.ware.foot is _GLAZED
    return [layer for layer in melting(case) if glazed or layer.zone is _FOOT]


def _flows(case: Case) -> list[Layer]:
    """The layers of runny glaze that run in this firing; one made for a hotter firing turns tacky at most."""
    # Few glazes are runny, and which of the others melt isn't asked.
    if not any(_RUNNY in layer.glaze.traits for layer in case.ware.layers):
        return []
    return [layer for layer in running(case) if _RUNNY in layer.glaze.traits]


def _sticks_in_raku(case: Case) -> Facts | None:
    at_the_foot, foot, flows = _raku_foot(case), case.ware.foot, _flows(case)
    if any(layer in flows for layer in at_the_foot):
        return None
    if at_the_foot or foot is _GLAZED:
        return {"why": "stilt" if foot is _STILTED else "glazed"}
    runs = foot is _BARE and any(map(_may_run_down, flows))
    return {"why": "runs"} if runs else None


def _runs_in_raku(case: Case) -> Facts | None:
    flows = _flows(case)
    runny = [layer.glaze for layer in _raku_foot(case) if layer in flows]
    return {"glazes": names_of(runny)} if runny else None


def _runny(case: Case) -> Facts | None:
    runny = [layer.glaze for layer in _flows(case) if _may_run_down(layer)]
    if case.ware.catch_plate or not runny:
        return None
    return {"glazes": names_of(runny), "over": "another" if _runs_over_another(case.ware.layers) else "none"}


def _runs_over_another(layers: Sequence[Layer]) -> bool:
    """Whether a runny glaze lies over another glaze: two glazes melt each other where they meet."""
    glass = [layer for layer in layers if layer.glaze.coat in GLASS]
    return any(
        _RUNNY in upper.glaze.traits
        and _may_run_down(upper)
        and upper.glaze != lower.glaze
        and overlap(lower.zone, upper.zone)
        for lower, upper in combinations(glass, 2)
    )


_CLEAR_THE_FOOT = Choice(
    "is",
    {
        "raw": _("Wipe the foot clean."),
        "overglaze": OFF_WITH_SOLVENT,
        "fired": _("Grind the foot clean. Wear goggles and a respirator."),
        "fired-low": _("Set it on a stilt, or grind the foot clean. Wear goggles and a respirator."),
    },
)
_GRIND_THE_RAKU_FOOT = for_staff(
    _("Ask staff to grind the foot clean, or to accept the risk."),
    _("Grind the foot clean, or accept the risk. Wear goggles and a respirator."),
)
_CLEAR_THE_RAKU_FOOT = Choice(
    "is",
    {
        "raw": for_staff(
            _("Wipe the foot clean, or ask staff to accept the risk."), _("Wipe the foot clean, or accept the risk.")
        ),
        "raw-off": for_staff(
            _("Take it off the stilt and wipe the foot clean, or ask staff to accept the risk."),
            _("Take it off the stilt and wipe the foot clean, or accept the risk."),
        ),
        "fired": _GRIND_THE_RAKU_FOOT,
        "fired-low": _GRIND_THE_RAKU_FOOT,
        "fired-off": for_staff(
            _("Ask staff to take it off the stilt and grind the foot clean, or to accept the risk."),
            _("Take it off the stilt and grind the foot clean, or accept the risk. Wear goggles and a respirator."),
        ),
    },
)

RULES = (
    Rule(
        name="foot-not-clear",
        about="kiln",
        when=(
            "glaze on the foot, or a foot that isn't waxed or wiped 6 mm up the side under glaze that isn't only "
            "inside, on a kiln shelf without a stilt; in a bisque, glaze on the foot that is fired or matures there"
        ),
        level=Level.REFUSE,
        look=_foot_not_clear,
        kinds=ON_SHELVES | {RouteKind.BISQUE},
        message=Choice(
            "why",
            {
                "named": _("{glazes} on the foot would stick the piece to {onto}."),
                "luster": Plural(
                    "glazes",
                    "{glazes} on the foot marks {onto}.",
                    "{glazes} on the foot mark {onto}.",
                ),
                "glazed": _("Glaze on the foot would stick the piece to {onto}."),
                "bare": _("The foot isn't waxed or wiped {clear} up the side, so glaze may stick the piece to {onto}."),
                "bare-cool": _(
                    "The foot isn't waxed or wiped {clear} up the side, and fired glaze turns tacky in this firing."
                ),
            },
        ),
        mend=_foot_cleared,
        remedy=Choice(
            "why",
            {
                **dict.fromkeys(("named", "luster", "glazed", "bare"), _CLEAR_THE_FOOT),
                "bare-cool": Choice(
                    "is",
                    {
                        **dict.fromkeys(("raw", "overglaze"), _CLEAR_THE_FOOT),
                        "fired": _("Grind off any glaze within {clear} of {onto}. Wear goggles and a respirator."),
                        "fired-low": _("Set it on a stilt."),
                    },
                ),
            },
        ),
    ),
    Rule(
        name="stilt-sinks",
        about="kiln",
        when=(
            "a stilt in a firing hotter than cone 02, in a soda, salt or wood firing, or under stoneware or porcelain "
            "where it is mature"
        ),
        level=Level.REFUSE,
        look=_stilt_sinks,
        kinds=ON_SHELVES,
        message=Choice(
            "why",
            {
                "hot": _("At {firing}, the wires of a stilt bend. Common wire stilts hold up to {top}."),
                "soft": _("Where it matures, {clay} softens and sags onto the points of a stilt."),
                "vapor": _("Vapor eats the wires of a stilt and glazes them to the piece."),
            },
        ),
        mend=_off_the_stilt,
        remedy=Choice(
            "is",
            {
                "raw": _("Wipe the foot clean and set the piece on the kiln shelf."),
                "raw-off": _("Take the piece off the stilt and wipe the foot clean."),
                "fired": _("Grind the foot clean and set it on the kiln shelf. Wear goggles and a respirator."),
                "fired-off": _("Take the piece off the stilt and grind the foot clean. Wear goggles and a respirator."),
            },
        ),
    ),
    Rule(
        name="raku-foot-runs",
        about="kiln",
        when="a runny glaze, hot enough to run, on the foot of a piece for raku",
        level=Level.REFUSE,
        look=_runs_in_raku,
        kinds=frozenset({RouteKind.RAKU}),
        of_coats=True,
        message=Plural(
            "glazes",
            "{glazes} on the foot runs and sticks the piece to the hot kiln shelf.",
            "{glazes} on the foot run and stick the piece to the hot kiln shelf.",
        ),
        mend=_foot_wiped_or_ground,
        remedy=Choice(
            "is",
            {
                "raw": _("Wipe the foot clean."),
                "fired": _("Grind the foot clean. Wear goggles and a respirator."),
                "fired-low": _("Grind the foot clean. Wear goggles and a respirator."),
            },
        ),
    ),
    Rule(
        name="raku-foot-sticks",
        about="kiln",
        when="glaze on the foot of a piece for raku, or a runny one, hot enough to run, that may come to a foot that "
        "isn't waxed or wiped",
        level=Level.WARN,
        look=_sticks_in_raku,
        kinds=frozenset({RouteKind.RAKU}),
        message=Choice(
            "why",
            {
                "glazed": _("Glaze on the foot sticks: the pot may lift the hot kiln shelf with it."),
                "stilt": _("Glaze on the foot sticks to the stilt: the pot tips when the tongs grip it."),
                "runs": _("Runny glaze may come down to the foot: the pot may lift the hot kiln shelf with it."),
            },
        ),
        mend=_raku_foot_cleared,
        remedy=_CLEAR_THE_RAKU_FOOT,
    ),
    Rule(
        name="runny-without-catch-plate",
        about="kiln",
        when="a runny glaze that isn't only inside, without a kiln cookie (drip plate) on a kiln shelf",
        level=Level.WARN,
        look=_runny,
        kinds=ON_SHELVES,
        of_coats=True,
        message=Choice(
            "over",
            {
                "none": Plural(
                    "glazes",
                    "{glazes} runs. Without a kiln cookie, it runs onto the kiln shelf.",
                    "{glazes} run. Without a kiln cookie, they run onto the kiln shelf.",
                ),
                "another": Plural(
                    "glazes",
                    ("{glazes} runs, and more over another glaze. Without a kiln cookie, it runs onto the kiln shelf."),
                    ("{glazes} run, and more over another glaze. Without a kiln cookie, they run onto the kiln shelf."),
                ),
            },
        ),
        mend=_wadded,
        remedy=Choice(
            "rests",
            {
                _SHELF: for_staff(
                    _("Set the piece on a kiln cookie, or ask staff to accept the risk."),
                    _("Set the piece on a kiln cookie, or accept the risk."),
                ),
                _WADDING: for_staff(
                    _("Put a kiln cookie under its wadding, or ask staff to accept the risk."),
                    _("Put a kiln cookie under its wadding, or accept the risk."),
                ),
            },
        ),
    ),
)
