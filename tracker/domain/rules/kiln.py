"""What the kiln room asks: room in the chamber, a clean foot, tongs and containers, dry ware and settled questions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracker.domain.cones import Cone
from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Plural, _
from tracker.domain.pieces.piece import Foot
from tracker.domain.quantities import celsius, grams, hours, mm
from tracker.domain.rules.rule import NOTHING_MORE, Case, Facts, Rule, names_of
from tracker.domain.studio.kilns import ON_SHELVES, PULLED_HOT, RAW, SMOKED, VAPOR, Atmosphere, RouteKind
from tracker.domain.studio.materials import GLASS, ClayKind, Coat, Trait, Zone

if TYPE_CHECKING:
    from tracker.domain.studio.materials import Layer

OPEN_QUESTION = "open-question"
NO_LINER = "no-liner"

HOTTEST_ON_STILTS = Cone.parse("02")
"""The hottest firing in which a stilt keeps its shape (common practice)."""

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_STILTED = Foot.STILTED
_GLAZED = Foot.GLAZED
_BARE = Foot.BARE
_GLAZE = Coat.GLAZE
_FOOT = Zone.FOOT
_RUNNY = Trait.RUNNY
_WANTS_REDUCTION = Trait.WANTS_REDUCTION
_WANTS_OXIDATION = Trait.WANTS_OXIDATION
_REDUCTION = Atmosphere.REDUCTION
_OVERGLAZE_FIRING = RouteKind.OVERGLAZE
_INSIDE = frozenset({Zone.INSIDE, Zone.ALL_OVER})
_HIGH_CLAYS = frozenset({ClayKind.STONEWARE, ClayKind.PORCELAIN})


def _does_not_fit(case: Case) -> Facts | None:
    kiln, ware = case.kiln, case.ware
    if kiln is None or kiln.chamber is None or (kept_out := kiln.chamber.keeps_out(ware)) is None:
        return None
    return {"kiln": kiln.name, "why": kept_out}


def _indoors(case: Case) -> Facts | None:
    kiln = case.kiln
    if kiln is None or kiln.outdoor:
        return None
    return {"kiln": kiln.name, "why": "hot" if case.route.kind in PULLED_HOT else "smoke"}


def _foot_not_clear(case: Case) -> Facts | None:
    ware = case.ware
    if ware.foot is _STILTED:
        return None
    melting = _melting(case)
    on_the_foot = [layer.glaze for layer in melting if layer.zone is _FOOT]
    if on_the_foot:
        return {"why": "named", "glazes": names_of(on_the_foot)}
    if ware.foot is _GLAZED and case.route.kind is not _OVERGLAZE_FIRING:
        return {"why": "glazed"}
    # Vapor glazes whatever is bare, so that a foot on wadding is bare there and nowhere waxed.
    if case.route.kind in VAPOR or not melting or ware.foot is not _BARE:
        return None
    return {"why": "bare", "clear": mm(case.practice.foot_clear_mm)}


def _melting(case: Case) -> list[Layer]:
    """The layers that melt in this firing: slip and underglaze do not run, and glaze once fired is firm at 018."""
    firm_when_fired = case.route.kind is _OVERGLAZE_FIRING
    return [
        layer
        for layer in case.ware.layers
        if layer.glaze.coat in GLASS and not (firm_when_fired and layer.fired_to is not None)
    ]


def _stilt_sinks(case: Case) -> Facts | None:
    ware, firing = case.ware, case.route.cone
    if ware.foot is not _STILTED:
        return None
    if firing > HOTTEST_ON_STILTS:
        return {"why": "hot", "firing": firing, "top": HOTTEST_ON_STILTS}
    if ware.clay.kind in _HIGH_CLAYS and ware.clay.is_mature_at(firing):
        return {"why": "soft", "clay": ware.clay.name}
    return None


def _raku_foot(case: Case) -> list[Layer]:
    """The layers of glaze that would hold a piece to the kiln shelf from which it is pulled."""
    if case.ware.foot is _STILTED:
        return []
    glazed = case.ware.foot is _GLAZED
    return [layer for layer in _melting(case) if glazed or layer.zone is _FOOT]


def _sticks_in_raku(case: Case) -> Facts | None:
    at_the_foot = _raku_foot(case)
    if any(_RUNNY in layer.glaze.traits for layer in at_the_foot):
        return None
    return NOTHING_MORE if at_the_foot or case.ware.foot is _GLAZED else None


def _runs_in_raku(case: Case) -> Facts | None:
    runny = [layer.glaze for layer in _raku_foot(case) if _RUNNY in layer.glaze.traits]
    return {"glazes": names_of(runny)} if runny else None


def _no_liner(case: Case) -> Facts | None:
    lined = any(layer.glaze.coat is _GLAZE and layer.zone in _INSIDE for layer in case.ware.layers)
    return None if lined else NOTHING_MORE


def _wadding(_case: Case) -> Facts:
    return NOTHING_MORE


def _glaze_in_bisque(case: Case) -> Facts | None:
    raw = [glaze for glaze in case.raw if glaze.coat in GLASS]
    return {"glazes": names_of(raw)} if raw else None


def _glazed_raw(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.fired_to is None else None


def _runny(case: Case) -> Facts | None:
    melting = [layer.glaze for layer in _melting(case)]
    runny = [glaze for glaze in melting if _RUNNY in glaze.traits]
    if case.ware.catch_plate or not runny:
        return None
    worn = [layer.glaze for layer in case.ware.layers if not layer.glaze.burns_away]
    lies_over = any(_RUNNY in glaze.traits for glaze in worn[1:])
    return {"glazes": names_of(runny), "over": "another" if lies_over else "none"}


def _wants_reduction(case: Case) -> Facts | None:
    kiln = case.kiln
    if kiln is None or kiln.atmosphere in {None, _REDUCTION}:
        return None
    wanting = [glaze for glaze in case.raw if _WANTS_REDUCTION in glaze.traits]
    return {"glazes": names_of(wanting), "kiln": kiln.name, "atmosphere": kiln.atmosphere} if wanting else None


def _wants_oxidation(case: Case) -> Facts | None:
    kiln = case.kiln
    if kiln is None or kiln.atmosphere is not _REDUCTION:
        return None
    wanting = [glaze for glaze in case.raw if _WANTS_OXIDATION in glaze.traits]
    return {"glazes": names_of(wanting), "kiln": kiln.name} if wanting else None


def _too_heavy(case: Case) -> Facts | None:
    weight = case.ware.weight_g
    limit = (case.kiln.tongs_g if case.kiln else None) or case.practice.tongs_g
    return {"weight": grams(weight), "limit": grams(limit)} if weight is not None and weight > limit else None


def _no_container(case: Case) -> Facts | None:
    containers = case.kiln.containers if case.kiln else ()
    too_small = bool(containers) and all(container.keeps_out(case.ware) for container in containers)
    return NOTHING_MORE if too_small or case.ware.container_fits is False else None


# What was fired once holds no more water: steam is a matter of greenware alone.


def _damp_greenware(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.dry is False and case.ware.fired_to is None else None


def _sealed_hollow(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.vented is False and case.ware.fired_to is None else None


def _thick_wall(case: Case) -> Facts | None:
    ware, thick = case.ware, case.practice.thick_wall_mm
    if ware.wall_mm is None or ware.wall_mm <= thick or ware.fired_to is not None:
        return None
    return {"wall": mm(ware.wall_mm), "thick": mm(thick), "candling": celsius(100)}


def _damp_glaze(case: Case) -> Facts | None:
    since, needed = case.ware.glazed_hours, case.practice.glaze_dries_hours
    return {"needed": hours(needed)} if since is not None and since < needed else None


def _open_question(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.has_question else None


RULES = (
    Rule(
        name="does-not-fit",
        about="kiln",
        when="the piece doesn't fit the chamber with its clearance",
        level=Level.REFUSE,
        look=_does_not_fit,
        message=_("It doesn't fit in {kiln}: {why}."),
        remedy=_("Fire it in a larger kiln."),
        source=_("the kiln's own measures"),
    ),
    Rule(
        name="kiln-is-indoors",
        about="kiln",
        when="a firing that is pulled hot or leaves smoke (raku, horsehair, pit) in a kiln that isn't outdoors",
        level=Level.REFUSE,
        look=_indoors,
        kinds=SMOKED,
        message=Choice(
            "why",
            {
                "hot": _("{kiln} is indoors, and this firing is pulled hot: it burns and smokes."),
                "smoke": _("{kiln} is indoors, and this firing smokes."),
            },
        ),
        remedy=_("Choose a kiln outdoors."),
    ),
    Rule(
        name="foot-not-clear",
        about="kiln",
        when=(
            "glaze on the foot, or a foot that isn't waxed or wiped 6 mm up the side, on a kiln shelf without a stilt"
        ),
        level=Level.REFUSE,
        look=_foot_not_clear,
        kinds=ON_SHELVES,
        message=Choice(
            "why",
            {
                "named": _("{glazes} on the foot would fuse the piece to the kiln shelf."),
                "glazed": _("Glaze on the foot would fuse the piece to the kiln shelf."),
                "bare": _("The foot isn't waxed or wiped {clear} up the side, so glaze may run onto the kiln shelf."),
            },
        ),
        remedy=_("Wipe the foot clean."),
    ),
    Rule(
        name="stilt-sinks",
        about="kiln",
        when="a stilt in a firing hotter than cone 02, or under stoneware or porcelain where it is mature",
        level=Level.REFUSE,
        look=_stilt_sinks,
        kinds=ON_SHELVES,
        message=Choice(
            "why",
            {
                "hot": _("At {firing}, the wires of a stilt bend. Stilts hold up to {top}."),
                "soft": _("Mature {clay} softens in the kiln and sags onto the points of a stilt."),
            },
        ),
        remedy=_("Wipe the foot clean and set the piece on the kiln shelf."),
    ),
    Rule(
        name="raku-foot-runs",
        about="kiln",
        when="a runny glaze on the foot of a piece for raku",
        level=Level.REFUSE,
        look=_runs_in_raku,
        kinds=frozenset({RouteKind.RAKU}),
        of_coats=True,
        message=Plural(
            "glazes",
            "{glazes} on the foot runs and sticks the piece to the hot kiln shelf.",
            "{glazes} on the foot run and stick the piece to the hot kiln shelf.",
        ),
        remedy=_("Wipe the foot clean."),
    ),
    Rule(
        name="raku-foot-sticks",
        about="kiln",
        when="glaze on the foot of a piece for raku",
        level=Level.WARN,
        look=_sticks_in_raku,
        kinds=frozenset({RouteKind.RAKU}),
        message=_("Glaze on the foot sticks: the pot may lift the hot kiln shelf with it."),
        remedy=_("Wipe the foot clean, or accept the risk."),
    ),
    Rule(
        name="glazed-raw",
        about="prep",
        when="greenware in a once-firing",
        level=Level.ASK,
        look=_glazed_raw,
        kinds=frozenset({RouteKind.ONCE_FIRE}),
        message=_("Raw glazed ware is fragile. Its steam and gases have to escape through the glaze."),
        remedy=ByRole(_("Bisque it first, or ask the instructor."), {"instructor": _("Bisque it first, or allow it.")}),
    ),
    Rule(
        name="glaze-in-bisque",
        about="kiln",
        when="raw glaze in a bisque firing, where pieces touch",
        level=Level.ASK,
        look=_glaze_in_bisque,
        kinds=frozenset({RouteKind.BISQUE}),
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} is raw glaze, and pieces that touch in a bisque stick together.",
            "{glazes} are raw glazes, and pieces that touch in a bisque stick together.",
        ),
        remedy=_("Bisque the piece bare, or choose a firing for glazed ware."),
    ),
    Rule(
        name=NO_LINER,
        about="food",
        when="a functional piece without a glaze inside, in a soda, salt or wood firing",
        level=Level.WARN,
        look=_no_liner,
        kinds=VAPOR,
        for_food=True,
        message=_("Vapor leaves the inside unevenly glazed, and this piece is functional."),
        remedy=_("Use a liner glaze inside, or accept the risk."),
    ),
    Rule(
        name="set-on-wadding",
        about="kiln",
        when="any piece in a soda, salt or wood firing",
        level=Level.NOTE,
        look=_wadding,
        kinds=VAPOR,
        message=_("Vapor glazes everything that's bare, the kiln shelf too."),
        remedy=_("Leave the foot bare and set the piece on wadding."),
    ),
    Rule(
        name=OPEN_QUESTION,
        about="prep",
        when="an open question on the piece",
        level=Level.ASK,
        look=_open_question,
        message=_("There's an unanswered question about this piece."),
        remedy=ByRole(_("Wait for the instructor's answer."), {"instructor": _("Answer it first.")}),
    ),
    Rule(
        name="damp-greenware",
        about="prep",
        when="greenware that isn't bone dry, in a bisque or once-firing",
        level=Level.REFUSE,
        look=_damp_greenware,
        kinds=RAW,
        message=_("It isn't bone dry: steam would burst it and the pieces next to it."),
        remedy=_("Let it dry until it no longer feels cold against the cheek."),
    ),
    Rule(
        name="sealed-hollow",
        about="prep",
        when="greenware with a sealed hollow and no vent, in a bisque or once-firing",
        level=Level.REFUSE,
        look=_sealed_hollow,
        needs="vented",
        kinds=RAW,
        message=_("It's hollow and closed, with no hole for the steam: it would burst."),
        remedy=_("Poke a vent hole while the clay is still soft."),
    ),
    Rule(
        name="too-heavy-for-tongs",
        about="kiln",
        when="too heavy for the tongs (4.5 kg), in a firing that is pulled hot",
        level=Level.ASK,
        look=_too_heavy,
        needs="weight_g",
        kinds=PULLED_HOT,
        message=_("It weighs {weight}, more than the {limit} that the tongs should lift."),
        remedy=ByRole(_("Fire it indoors, or ask the instructor."), {"instructor": _("Fire it indoors.")}),
    ),
    Rule(
        name="no-container",
        about="kiln",
        when="a raku firing of a piece that fits in none of the reduction bins",
        level=Level.ASK,
        look=_no_container,
        kinds=frozenset({RouteKind.RAKU}),
        message=_("No bin here is large enough for it."),
        remedy=ByRole(_("Fire it indoors, or ask the instructor."), {"instructor": _("Fire it indoors.")}),
    ),
    Rule(
        name="runny-without-catch-plate",
        about="kiln",
        when="a runny glaze without a kiln cookie (drip plate) on a kiln shelf",
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
        remedy=_("Set the piece on a kiln cookie, or accept the risk."),
    ),
    Rule(
        name="wants-reduction",
        about="kiln",
        when="a glaze that needs reduction in an oxidizing or neutral kiln",
        level=Level.WARN,
        look=_wants_reduction,
        of_coats=True,
        message=Choice(
            "atmosphere",
            {
                "oxidation": Plural(
                    "glazes",
                    "{glazes} needs reduction, and {kiln} fires in oxidation.",
                    "{glazes} need reduction, and {kiln} fires in oxidation.",
                ),
                "neutral": Plural(
                    "glazes",
                    "{glazes} needs reduction, and {kiln} fires neutral.",
                    "{glazes} need reduction, and {kiln} fires neutral.",
                ),
            },
        ),
        remedy=_("Choose a kiln that fires in reduction, or sign off on another color."),
    ),
    Rule(
        name="wants-oxidation",
        about="kiln",
        when="a glaze that needs oxidation (a chrome-tin pink) in a reducing kiln",
        level=Level.WARN,
        look=_wants_oxidation,
        of_coats=True,
        message=Plural(
            "glazes",
            "{glazes} needs oxidation, and {kiln} fires in reduction.",
            "{glazes} need oxidation, and {kiln} fires in reduction.",
        ),
        remedy=_("Choose a kiln that fires in oxidation, or sign off on another color."),
    ),
    Rule(
        name="thick-wall",
        about="prep",
        when="greenware with a wall over 25 mm in a bisque or once-firing: candle it long below 100 °C",
        level=Level.WARN,
        look=_thick_wall,
        needs="wall_mm",
        kinds=RAW,
        message=_("Its wall is {wall} thick, over {thick}: it needs long candling below {candling}."),
        remedy=_("Candle the kiln until the piece is dry, and accept the risk."),
    ),
    Rule(
        name="damp-glaze",
        about="prep",
        when="glazed less than 24 hours ago, in an outdoor firing",
        level=Level.WARN,
        look=_damp_glaze,
        kinds=PULLED_HOT,
        message=_("It was glazed less than {needed} ago. Damp glaze spits off in a fast firing."),
        remedy=_("Let it dry until tomorrow, or accept the risk."),
    ),
)
