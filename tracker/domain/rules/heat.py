"""What heat does: glazes that melt off, clay that slumps, layers that share no heat."""

from __future__ import annotations

from operator import attrgetter

from tracker.domain.findings import Level, listed
from tracker.domain.pieces.piece import Use
from tracker.domain.rules.rule import Case, Rule, names_of, one_or_more
from tracker.domain.studio.kilns import AFTER_BISQUE, RouteKind
from tracker.domain.studio.materials import LOWEST_HEAT, ClayKind, Coat, Family, range_in_words

_LEAST_HEAT, _MOST_HEAT = attrgetter("cone_low.rank"), attrgetter("cone_high.rank")
_ORTON = "Orton end points; common practice"

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_SLIP = Coat.SLIP
_GLAZE = Coat.GLAZE
_OUTSIDE = Family.OUTSIDE
_OUTDOOR = Family.OUTDOOR
_DECORATIVE = Use.DECORATIVE
_UNKNOWN = ClayKind.UNKNOWN


def _melts_off(case: Case) -> str:
    route = case.route
    if not (weak := [glaze for glaze in case.glazes if glaze.cone_high < route.cone]):
        return ""
    done = listed([f"{glaze.name} is done at {glaze.cone_high.label}" for glaze in weak])
    melts = one_or_more(weak, "it melts", "they melt")
    return f"{done}: at {route.cone.label}, {melts} off the pot onto the shelf."


def _slumps(case: Case) -> str:
    ware, route = case.ware, case.route
    clay = ware.clay
    if clay.ceiling >= route.cone:
        return ""
    return f"{clay.name} slumps above {clay.ceiling.label}, and this firing goes to {route.cone.label}."


def _outdoor_glaze_indoors(case: Case) -> str:
    if not (outdoor := [glaze for glaze in case.glazes if glaze.is_outdoor_only]):
        return ""
    belongs = one_or_more(outdoor, "is an outdoor glaze: it belongs", "are outdoor glazes: they belong")
    return f"{names_of(outdoor)} {belongs} in the raku kiln only."


def _underfired(case: Case) -> str:
    route = case.route
    # A slip is clay: where a firing leaves it immature it stays porous with the pot beneath it, and is none the worse.
    if not (cold := [one for one in case.glazes if one.cone_low > route.cone and one.coat is not _SLIP]):
        return ""
    needs = listed([f"{glaze.name} needs {glaze.cone_low.label}" for glaze in cold])
    stays = one_or_more(cold, "it stays", "they stay")
    return f"{needs}: this firing stops at {route.cone.label}, so {stays} dry and rough."


def _stays_porous(case: Case) -> str:
    ware, route = case.ware, case.route
    if ware.use is not _DECORATIVE or ware.clay.is_mature_at(route.cone):
        return ""
    clay = ware.clay
    return (
        f"{clay.name} matures at {clay.cone_low.label}: at {route.cone.label}, it stays porous and will not hold water."
    )


def _indoor_glaze_in_raku(case: Case) -> str:
    # Of a glaze from outside nobody knows whether it is one for indoors; the rule about nameless materials asks.
    neither = (_OUTDOOR, _OUTSIDE)
    indoor = [glaze for glaze in case.glazes if glaze.coat is _GLAZE and glaze.family not in neither]
    made = one_or_more(indoor, "is an indoor glaze", "are indoor glazes")
    return f"{names_of(indoor)} {made}, not made to be pulled hot from the raku kiln." if indoor else ""


def _no_shared_heat(case: Case) -> str:
    if len(case.glazes) < 2:  # noqa: PLR2004 -- one glaze alone shares its heat with itself
        return ""
    needs, stands = max(case.glazes, key=_LEAST_HEAT), min(case.glazes, key=_MOST_HEAT)
    if needs.cone_low <= stands.cone_high:
        return ""
    return (
        f"{needs.name} ({needs.range_in_words}) and {stands.name} ({stands.range_in_words}) share no heat: "
        "what melts the one ruins the other."
    )


def _nameless(case: Case) -> str:
    ware = case.ware
    clay = [ware.clay.name] if ware.clay.kind is _UNKNOWN else []
    names = clay + [glaze.name for glaze in case.glazes if glaze.family is _OUTSIDE]
    if not names:
        return ""
    low, high = LOWEST_HEAT
    taken = "is taken" if len(names) == 1 else "are taken"
    return (
        f"Nobody here knows what heat {listed(names)} can stand: until somebody does, "
        f"{'it' if len(names) == 1 else 'they'} {taken} for the lowest-firing, {range_in_words(low, high)}."
    )


def _glaze_on_horsehair(case: Case) -> str:
    worn = [glaze for glaze in case.glazes if glaze.coat is not _SLIP]
    return f"This piece wears {names_of(worn)}, and horsehair leaves its marks on bare clay only." if worn else ""


def _not_burnished(case: Case) -> str:
    if case.ware.burnished is not False:
        return ""
    return "This piece is neither burnished nor coated with terra sigillata, so horsehair leaves only faint marks."


RULES = (
    Rule(
        name="glaze-melts-off",
        about="heat",
        when="a glaze layer's top cone is below the firing's cone; equal is fine",
        level=Level.REFUSE,
        look=_melts_off,
        of_coats=True,
        of_materials=True,
        mend="Fire it on a cooler route, or wash that glaze off and choose another.",
        rests_on=_ORTON,
    ),
    Rule(
        name="clay-slumps",
        about="heat",
        when="the clay slumps below the firing's cone",
        level=Level.REFUSE,
        look=_slumps,
        of_materials=True,
        mend="Fire it on a cooler route, one that this clay can stand.",
        rests_on=_ORTON,
    ),
    Rule(
        name="outdoor-glaze-indoors",
        about="heat",
        when="a raku glaze in any firing but raku",
        level=Level.REFUSE,
        look=_outdoor_glaze_indoors,
        kinds=frozenset(RouteKind) - {RouteKind.RAKU},
        of_coats=True,
        of_materials=True,
        mend="Put it in the raku queue, or wash that glaze off.",
    ),
    Rule(
        name="layers-share-no-heat",
        about="heat",
        when="two layers that no firing can mature together (refused when you glaze)",
        level=Level.REFUSE,
        look=_no_shared_heat,
        at_glazing=True,
        of_coats=True,
        of_materials=True,
        mend="Wash one of them off, and choose glazes whose cones overlap.",
        rests_on=_ORTON,
    ),
    Rule(
        name="glaze-on-horsehair",
        about="heat",
        when="glaze on a piece for a horsehair firing",
        level=Level.REFUSE,
        look=_glaze_on_horsehair,
        kinds=frozenset({RouteKind.HORSEHAIR}),
        of_coats=True,
        of_materials=True,
        mend="Wash the glaze off, or choose raku.",
    ),
    Rule(
        name="glaze-underfired",
        about="heat",
        when="a glaze layer needs more heat than the firing gives",
        level=Level.ASK,
        look=_underfired,
        of_coats=True,
        of_materials=True,
        mend="Fire it on a hotter route, or ask the instructor.",
        rests_on=_ORTON,
    ),
    Rule(
        name="indoor-glaze-in-raku",
        about="heat",
        when="an indoor glaze in a raku firing",
        level=Level.ASK,
        look=_indoor_glaze_in_raku,
        kinds=frozenset({RouteKind.RAKU}),
        of_coats=True,
        of_materials=True,
        mend="Fire it indoors, or ask the instructor.",
    ),
    Rule(
        name="nameless-material",
        about="heat",
        when="clay that hasn't been identified, or a glaze from outside the studio",
        level=Level.ASK,
        look=_nameless,
        of_materials=True,
        mend="Find out what it is, or ask the instructor.",
    ),
    Rule(
        name="horsehair-unburnished",
        about="heat",
        when="a horsehair firing without burnish or terra sigillata",
        level=Level.WARN,
        look=_not_burnished,
        kinds=frozenset({RouteKind.HORSEHAIR}),
        mend="Burnish it or brush on terra sigillata before the bisque, or accept faint marks by name.",
    ),
    Rule(
        name="clay-stays-porous",
        about="heat",
        when="decorative ware whose clay isn't mature at the firing's cone",
        level=Level.NOTE,
        look=_stays_porous,
        kinds=AFTER_BISQUE,
        of_materials=True,
        mend="Nothing to do: decorative ware may stay porous.",
        rests_on=_ORTON,
    ),
)
