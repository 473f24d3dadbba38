"""What another firing does to ware that came out flawed: cracks open, warps go on, what ran runs again."""

from __future__ import annotations

from collections.abc import Callable
from collections.abc import Set as AbstractSet
from dataclasses import replace

from tracker.domain.cones import Cone, ConeRange
from tracker.domain.findings import Finding, Level
from tracker.domain.message import ByRole, Choice, Message, Plural, _
from tracker.domain.pieces.outcomes import CRACKS, MENDED_BY_FIRE, Flaw, came_out
from tracker.domain.pieces.piece import Foot, Ware
from tracker.domain.rules import other_firings
from tracker.domain.rules.melting import (
    HOTTEST_OVERGLAZE,
    NEARLY_AS_HOT_C,
    last_fired_to,
    of_last_firing,
    running,
    spared_its_clay,
)
from tracker.domain.rules.rule import NOTHING_MORE, Case, Facts, Rule, names_of, washed_off
from tracker.domain.studio.kilns import ON_SHELVES, PULLED_HOT, SMOKED, VAPOR, Route, RouteKind
from tracker.domain.studio.materials import ClayKind, Coat, Glaze, Layer

_GONE_SOFT = frozenset({Flaw.WARPED, Flaw.SLUMPED, Flaw.BLOATED})
"""Flaws of clay that was hot enough to go soft."""

_HEALS_IN_THE_MELT = MENDED_BY_FIRE | {Flaw.CRAZED}
"""Flaws that close, if at all, only while the glaze is molten (common practice)."""


def _refired(case: Case) -> tuple[Flaw, ...]:
    """The flaws with which a piece may be fired again; of one that shivered only that is said, and to throw it away."""
    flaws = case.ware.flaws
    return () if Flaw.SHIVERED in flaws else flaws


def _came_out(case: Case, flaws: AbstractSet[Flaw]) -> Facts | None:
    found = [flaw for flaw in _refired(case) if flaw in flaws]
    return {"flaws": came_out(found)} if found else None


def _crack_opens(case: Case) -> Facts | None:
    return _came_out(case, CRACKS)


def _gets_worse(case: Case) -> Facts | None:
    """Flaws of too much heat that go on in this firing, because it is as hot as the last one, or nearly.

    Clay that bent or bloated does near its top cone. What came out overfired does where that clay softens, or the
    glaze that came out so melts.
    """
    ware, firing = case.ware, case.route.cone
    bends = _is_near_its_top(ware, firing) and not _is_cooler(firing, ware.fired_to)
    clay, glaze = bends and _overfired_clay(ware), _overfired_glaze_melts(case)
    flaws = {*(_GONE_SOFT if bends else ()), *((Flaw.OVERFIRED,) if clay or glaze else ())}
    if (found := _came_out(case, flaws)) is None:
        return None
    if Flaw.OVERFIRED in ware.flaws and glaze:
        is_clay = clay or (bends and not _GONE_SOFT.isdisjoint(ware.flaws))
        return {**found, "firing": firing, "softens": "clay-and-glaze" if is_clay else "glaze"}
    # Clay that no firing has matured yet never softened before.
    softened = ware.fired_to is None or ware.clay.is_mature_at(ware.fired_to)
    return {**found, "firing": firing, "softens": "again" if softened else "first"}


def _is_cooler(firing: Cone, before: Cone | None) -> bool:
    """Whether a firing is well cooler than one before it."""
    return before is not None and firing.celsius < before.celsius - NEARLY_AS_HOT_C


def _overfired_clay(ware: Ware) -> bool:
    """Whether it may be its clay that came out overfired and softens again: not bisque, which is only denser.

    Earthenware stays open through its cones, and doesn't soften there (common practice).
    """
    is_bisque = ware.is_glazed_bisque or ware.is_bare_bisque
    return not is_bisque and not spared_its_clay(ware) and ware.clay.kind is not ClayKind.EARTHENWARE


def _overfired_glaze_melts(case: Case) -> bool:
    """Whether fired glaze that may have come out overfired melts again in this firing."""
    if _is_cooler(case.route.cone, last_fired_to(case.ware)):
        return False
    overfired = of_last_firing(case.ware)
    return any(layer in overfired for layer in running(case))


def _is_near_its_top(ware: Ware, firing: Cone) -> bool:
    """Whether clay softens in this firing: it matures there, and near its top cone."""
    return ware.clay.is_mature_at(firing) and firing.celsius >= ware.clay.cone_high.celsius - NEARLY_AS_HOT_C


def softens(case: Case) -> bool:
    """Whether what bent, bloated or came out overfired gets worse in this firing."""
    return _gets_worse(case) is not None


def _raw_or_not(case: Case) -> Facts:
    """Whether something raw is on it, for which the firing was chosen."""
    return {"is": "raw" if case.raw else "fired"}


def _raw_and_wadded(case: Case) -> Facts:
    """Whether something raw is on it, and whether it stands on wadding; else a firing that melts its glaze alone.

    Bare bisque is half a pot, which a glaze firing finishes: nobody leaves it as it is.
    """
    if case.raw or case.ware.is_bare_bisque:
        stands = "raw-smoked" if case.route.kind in SMOKED else "raw-wadded" if case.route.kind in VAPOR else "raw"
        return {"is": stands}
    if all(glaze.coat is not Coat.GLAZE for glaze in case.glazes):
        return {"is": "fired", "goes": other_firings.NONE}
    gentle = other_firings.glaze_firing(case, lambda route: not softens(replace(case, route=route)))
    return {"is": "fired", **gentle}


def _glaze_again(case: Case, moves: Callable[[Case], list[Layer]]) -> bool:
    """Whether its glaze moves in this firing; of glaze that nobody has told, whether the firing is hot enough."""
    return bool(moves(case)) if case.ware.layers else case.route.cone > HOTTEST_OVERGLAZE


def _sheds_slivers(case: Case) -> Facts | None:
    return NOTHING_MORE if Flaw.SHIVERED in case.ware.flaws else None


def _runs_again(case: Case) -> Facts | None:
    is_bisque = case.ware.is_bare_bisque
    return NOTHING_MORE if not is_bisque and Flaw.RAN in _refired(case) and _glaze_again(case, running) else None


def _sticks_again(case: Case) -> Facts | None:
    """Of bare ware, or a foot that was kept clear, nobody knows what it stuck with: kiln wash, a neighbor's glaze."""
    ware = case.ware
    if Flaw.STUCK not in _refired(case) or not _glaze_again(case, running):
        return None
    is_clear = ware.is_bare_bisque or ware.foot in {Foot.WAXED, Foot.WIPED}
    return {"with": "anything" if is_clear else "glaze"}


def _flawed_layers(ware: Ware, flaw: Flaw) -> list[Layer]:
    """The layers that have to melt for this flaw to heal: fired glaze; of what came out underfired the coat fired last.

    Overglaze is fired last, because a glaze firing burns it off. Of bisque that came out underfired it is no glaze.
    """
    if flaw is Flaw.UNDERFIRED:
        if ware.is_glazed_bisque:
            return []
        if over := [one for one in ware.layers if one.glaze.coat is Coat.OVERGLAZE and one.fired_to is not None]:
            return over
        if last := of_last_firing(ware):
            return last
    glaze = [one for one in ware.layers if one.glaze.coat is Coat.GLAZE]
    return [one for one in glaze if one.fired_to is not None] or glaze


def _too_cool_for(case: Case) -> dict[Flaw, list[Layer]]:
    """The flaws that a melt heals and that stay in this firing, with the layers that it doesn't melt."""
    if not case.ware.flaws:
        return {}
    flaws = [flaw for flaw in _refired(case) if flaw in _HEALS_IN_THE_MELT]
    cold = {
        flaw: [one for one in _flawed_layers(case.ware, flaw) if one.glaze.cone_low > case.route.cone] for flaw in flaws
    }
    return {flaw: layers for flaw, layers in cold.items() if layers}


def _coolest_that_melts(cold: dict[Flaw, list[Layer]]) -> Cone:
    return max(one.glaze.cone_low for layers in cold.values() for one in layers)


def _stays_as_it_is(case: Case) -> Facts | None:
    """Flaws of glaze that melts in a hotter firing, and not in this one."""
    if not (cold := _too_cool_for(case)):
        return None
    layers = [one for one in case.ware.layers if any(one in some for some in cold.values())]
    glazes = names_of(one.glaze for one in layers)
    return {"glazes": glazes, "flaws": tuple(cold), "firing": case.route.cone, "low": _coolest_that_melts(cold)}


def raw_in_the_way(case: Case) -> tuple[Glaze, ...]:
    """The raw glaze over flawed glaze that doesn't stand the heat in which that would melt: it comes off first."""
    cold = _too_cool_for(case)
    if not cold or not case.ware.is_glaze_fired:
        return ()
    low = _coolest_that_melts(cold)
    return tuple(one for one in case.raw if one.coat is Coat.GLAZE and one.ceiling < low)


def _raw_first(case: Case) -> Facts:
    """Which raw coats have to come off first: the heat that mends glaze burns overglaze off, and melts some glaze off.

    Where nothing mends it and something raw is on it, nobody leaves it as it is.
    """
    over = [glaze for glaze in case.raw if glaze.coat is Coat.OVERGLAZE]
    where, cones = _melts(case)
    if where == NEVER:
        stands = min([case.ware.clay.ceiling, *(one.glaze.ceiling for one in case.ware.layers if one.fired_to)])
        why = "never" if _coolest_that_melts(_too_cool_for(case)) > stands else "unfit"
        return {"first": f"{why}-raw" if case.raw else why}
    crazed = "-crazed" if Flaw.CRAZED in _too_cool_for(case) else ""
    rinsed = washed_off(case, raw_in_the_way(case))
    first = "both" if rinsed and over else "rinse" if rinsed else "overglaze" if over else "nothing"
    kind = "raku" if any(layer.glaze.is_outdoor_only for layer in case.ware.layers) else "any"
    a_firing = Message("a-firing", Choice("where", {"any": _("a firing"), "raku": _("a raku firing")}), where=kind)
    off = {"overglazes": names_of(over), "rinsed": names_of(rinsed)}
    return {"first": f"{first}{crazed}", **off, "where": kind, "a_firing": a_firing, "cones": cones}


def _is_of_overglaze(ware: Ware) -> bool:
    """Whether only the overglaze on it came out flawed."""
    return all(one.glaze.coat is Coat.OVERGLAZE for flaw in ware.flaws for one in _flawed_layers(ware, flaw))


def overglaze_firing(case: Case) -> Cone | None:
    """The cone of the overglaze firing that mends its underfired overglaze, where this firing burns that off."""
    ware = case.ware
    if Flaw.UNDERFIRED not in ware.flaws or not _is_of_overglaze(ware):
        return None
    top = min((one.glaze.cone_high for one in _flawed_layers(ware, Flaw.UNDERFIRED)), default=case.route.cone)
    return top if top < case.route.cone else None


HERE, HOTTER, NEVER = "here", "hotter", "never"


def melts_where(case: Case) -> str:
    """Whether its flawed glaze melts in this firing, in a hotter one that the rest of it stands, or in none."""
    return _melts(case)[0]


def _melts(case: Case) -> tuple[str, ConeRange | None]:
    """As `melts_where`, and to which cones the hotter firing goes. Clay that bloated takes no firing as hot again."""
    ware, firing = case.ware, case.route.cone
    cold = _too_cool_for(case)
    fired = [layer.glaze for layer in ware.layers if layer.fired_to is not None]
    over = [glaze for glaze in fired if glaze.coat is Coat.OVERGLAZE]
    if not _is_of_overglaze(ware) and any(glaze.cone_high < firing for glaze in over):
        # It burns off where the glaze under it melts.
        return NEVER, None
    if not cold:
        return HERE, None
    # What is raw comes off before, but where nothing is fired and it is the glaze that somebody means.
    off = case.raw if ware.is_glaze_fired else [one for one in case.raw if one.coat is Coat.OVERGLAZE]
    goes, cones = other_firings.hotter(other_firings.without(case, off), _coolest_that_melts(cold))
    return (NEVER, None) if goes == other_firings.NONE or Flaw.BLOATED in ware.flaws else (HOTTER, cones)


def melts_nothing(ware: Ware, route: Route) -> Finding | None:
    """The note that nothing raw is on glazed ware and none of its glaze melts in this firing; None where some does.

    No rule of the rulebook, because no harm comes of it: whoever chooses a firing for a piece should know. Where a flaw
    stays that a melt would heal, `refire-too-cool` says so; shivered ware is thrown away.
    """
    glaze = [layer for layer in ware.layers if layer.glaze.coat is Coat.GLAZE]
    if route.kind not in _MELT_GLAZE or not glaze or any(layer.fired_to is None for layer in ware.layers):
        return None
    is_told = Flaw.SHIVERED in ware.flaws or not _HEALS_IN_THE_MELT.isdisjoint(ware.flaws)
    if is_told or any(layer.glaze.cone_low <= route.cone for layer in glaze):
        return None
    low = min(layer.glaze.cone_low for layer in glaze)
    words = _("Nothing new is on it, and at {firing} none of its glaze melts. Its glaze melts from {low}.")
    return Finding(Level.NOTE, Message(MELTS_NOTHING, words, firing=route.cone, low=low))


_MELT_GLAZE = frozenset({RouteKind.SHELF, RouteKind.ONCE_FIRE})


def _where_it_stands(case: Case) -> Facts:
    kind = case.route.kind
    return {"stands": "pulled-hot" if kind in PULLED_HOT else "wadding" if kind in VAPOR else "cools"}


def wants_cookie(case: Case) -> bool:
    """Whether a piece that came out flawed goes on a kiln cookie in this firing."""
    return any(look(case) is not None for look in (_crack_opens, _runs_again, _sticks_again)) or (
        softens(case) and (bool(case.raw) or case.ware.is_bare_bisque)
    )


def _raw_and_where_it_stands(case: Case) -> Facts:
    """Whether something raw is on it, and on what it stands."""
    return {**_raw_or_not(case), **_where_it_stands(case)}


def bare_spots(case: Case) -> str | None:
    """Whether crawled glaze shows "bare" clay still, or raw glaze may have "covered" it; None of what didn't crawl."""
    if Flaw.CRAWLED not in _refired(case):
        return None
    stays = set(case.raw) - set(raw_in_the_way(case))
    return "covered" if any(glaze.coat is Coat.GLAZE for glaze in stays) else "bare"


def _stays_bare(case: Case) -> Facts | None:
    """Crawled glaze, where it can melt again at all."""
    spots = bare_spots(case)
    return None if spots is None or melts_where(case) == NEVER else {"spots": spots}


_ON_A_SHELF = ON_SHELVES | {RouteKind.BISQUE, RouteKind.RAKU}

TOO_COOL = "refire-too-cool"
MELTS_NOTHING = "refire-melts-nothing"

RULES = (
    Rule(
        name="shivered-ware-cuts",
        about="kiln",
        when="a piece that came out shivered, in another firing",
        level=Level.ASK,
        look=_sheds_slivers,
        of_flaws=True,
        message=_("It came out shivered. Slivers of glaze fall off and cut, and a refire doesn't fix that."),
        remedy=ByRole(
            _("Wear gloves and goggles. Bag it and throw it away. Only the instructor may put it back in a kiln."),
            {"instructor": _("Wear gloves and goggles. Bag it and throw it away, or allow one more firing.")},
        ),
    ),
    Rule(
        name=TOO_COOL,
        about="heat",
        when="a piece that came out crazed, crawled, pinholed, blistered or underfired, in another firing that doesn't "
        "reach the cones of its glaze: the flaw stays on record, however well the firing goes",
        level=Level.NOTE,
        look=_stays_as_it_is,
        of_flaws=True,
        of_coats=True,
        message=Plural(
            "glazes",
            "At {firing}, {glazes} doesn't melt, so it stays {flaws}.",
            "At {firing}, {glazes} don't melt, so the piece stays {flaws}.",
        ),
        mend=_raw_first,
        remedy=Choice(
            "first",
            {
                "never": _("Leave it as it is. Its clay or another layer can't take {low}, where that would melt."),
                "never-raw": _(
                    "Nothing fixes that: its clay or another layer can't take {low}, where that would melt."
                ),
                "unfit": _("Leave it as it is. No firing to {low} or hotter, where that would melt, suits the piece."),
                "unfit-raw": _("Nothing fixes that: no firing to {low} or hotter, where that would melt, suits it."),
                "nothing": _("To fix that, choose {a_firing} to {cones}."),
                "rinse": _("To fix that, rinse off {rinsed}, then choose {a_firing} to {cones}."),
                "rinse-crazed": _(
                    "A refire seldom cures crazing for good. To try it, rinse off {rinsed}, then choose a firing to "
                    "{cones}."
                ),
                "both": _(
                    "To fix that, rinse off {rinsed}, leave {overglazes} off, and choose {a_firing} to {cones}. Put "
                    "{overglazes} on after it."
                ),
                "both-crazed": _(
                    "A refire seldom cures crazing for good. To try it, rinse off {rinsed}, leave {overglazes} off, "
                    "and choose {a_firing} to {cones}. Put {overglazes} on after it."
                ),
                "nothing-crazed": _("A refire seldom cures crazing for good. To try it, choose {a_firing} to {cones}."),
                "overglaze": _(
                    "To fix that, leave {overglazes} off, and choose {a_firing} to {cones}. Put {overglazes} on after "
                    "it."
                ),
                "overglaze-crazed": _(
                    "A refire seldom cures crazing for good. To try it, leave {overglazes} off, and choose a firing to "
                    "{cones}. Put {overglazes} on after it."
                ),
            },
        ),
    ),
    Rule(
        name="refire-leaves-bare",
        about="prep",
        when="a crawled piece in another firing: molten glaze doesn't close its bare spots by itself",
        level=Level.NOTE,
        look=_stays_bare,
        of_flaws=True,
        message=_("It came out crawled. In another firing, its bare spots don't close by themselves."),
        remedy=Choice(
            "spots",
            {
                "bare": _(
                    "Before a firing that melts its glaze, warm the piece and dab glaze thickly on its bare spots."
                ),
                "covered": _("Check that glaze covers its bare spots thickly."),
            },
        ),
    ),
    Rule(
        name="refire-opens-crack",
        about="kiln",
        when="a cracked or dunted piece, or one with an S-crack, in another firing in a kiln that isn't pulled hot",
        level=Level.NOTE,
        look=_crack_opens,
        of_flaws=True,
        # Of what is pulled hot, and of a pit, `ware-already-mature` asks.
        kinds=frozenset(RouteKind) - SMOKED,
        message=_("It came out {flaws}. In another firing, a crack usually opens further."),
        mend=_raw_and_where_it_stands,
        remedy=Choice(
            "is",
            {
                "fired": Choice(
                    "stands",
                    {
                        "cools": _("Leave it as it is, or set it on a kiln cookie: it may come apart."),
                        "wadding": _("Leave it as it is, or put a kiln cookie under its wadding: it may come apart."),
                    },
                ),
                "raw": Choice(
                    "stands",
                    {
                        "cools": _("Set it on a kiln cookie: it may come apart."),
                        "wadding": _("Put a kiln cookie under its wadding: it may come apart."),
                    },
                ),
            },
        ),
    ),
    Rule(
        name="refire-warps-more",
        about="kiln",
        when="a warped, slumped or bloated piece in another firing that is as hot, or nearly, and near the top cone of "
        "its clay; an overfired one there as well, unless it is bisque or earthenware, or where its fired glaze melts",
        level=Level.NOTE,
        look=_gets_worse,
        of_flaws=True,
        message=Choice(
            "softens",
            {
                "again": _("It came out {flaws}. At {firing}, its clay can soften again, and it gets worse."),
                "first": _("It came out {flaws}. At {firing}, its clay can soften, and it gets worse."),
                "clay-and-glaze": _(
                    "It came out {flaws}. At {firing}, its clay and glaze can soften again, and it gets worse."
                ),
                "glaze": _("It came out {flaws}. At {firing}, its glaze melts again, and it gets worse."),
            },
        ),
        mend=_raw_and_wadded,
        remedy=Choice(
            "is",
            {
                "fired": Choice(
                    "goes",
                    {
                        other_firings.OPEN: _(
                            "Leave it as it is, or choose a glaze firing to {cone}. Keep it clear of its neighbors."
                        ),
                        **dict.fromkeys(
                            (other_firings.DECORATIVE, other_firings.NONE),
                            _("Leave it as it is. If you fire it again, keep it clear of its neighbors."),
                        ),
                    },
                ),
                "raw": _("Keep it clear of its neighbors, and set it on a kiln cookie."),
                "raw-smoked": _("Keep it clear of its neighbors: it may lean or stick."),
                "raw-wadded": _("Keep it clear of its neighbors, and put a kiln cookie under its wadding."),
            },
        ),
    ),
    Rule(
        name="refire-runs-more",
        about="kiln",
        when="a piece whose glaze ran, in another firing in which it melts",
        level=Level.NOTE,
        look=_runs_again,
        of_flaws=True,
        kinds=_ON_A_SHELF,
        message=_("Its glaze ran. When it melts again, it runs further."),
        mend=_where_it_stands,
        remedy=Choice(
            "stands",
            {
                "cools": _(
                    "Grind off the drips in goggles and a respirator. Set it on a kiln cookie with fresh kiln wash."
                ),
                "wadding": _("Grind off the drips in goggles and a respirator. Put a kiln cookie under its wadding."),
                "pulled-hot": _(
                    "Grind off the drips in goggles and a respirator. Put fresh kiln wash on the kiln shelf."
                ),
            },
        ),
    ),
    Rule(
        name="refire-sticks-again",
        about="kiln",
        when="a piece that stuck to the kiln shelf, in another firing in which its glaze melts",
        level=Level.NOTE,
        look=_sticks_again,
        of_flaws=True,
        kinds=_ON_A_SHELF,
        message=Choice(
            "with",
            {
                "glaze": _("It stuck to the kiln shelf. Glaze left on its foot sticks again."),
                "anything": _("It stuck to the kiln shelf. What is left on its foot may stick again."),
            },
        ),
        mend=_where_it_stands,
        remedy=Choice(
            "stands",
            {
                "cools": _(
                    "Grind the foot clean in goggles and a respirator. Set it on a kiln cookie with fresh kiln wash."
                ),
                "wadding": _("Grind the foot clean in goggles and a respirator. Set it on fresh wadding."),
                "pulled-hot": _(
                    "Grind the foot clean in goggles and a respirator. Put fresh kiln wash on the kiln shelf."
                ),
            },
        ),
    ),
)
"""Notes, but of shivered ware: whoever refires a flawed piece knows that it is one, and may want to lose it."""
