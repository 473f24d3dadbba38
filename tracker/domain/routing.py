"""The studio's rules, each a row, and the verdict they give on a piece for a way of firing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tracker.domain.findings import Finding, Leave, Level
from tracker.domain.kilns import RouteKind
from tracker.domain.materials import LOWEST_HEAT, ClayKind, Coat, Family, FoodStanding, Trait, range_in_words
from tracker.domain.pieces import Build, Use
from tracker.domain.refusals import NeedsAcceptance, NeedsInstructor, Unfit

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Sequence

    from tracker.domain.kilns import Route
    from tracker.domain.materials import Glaze, Layer
    from tracker.domain.pieces import Ware


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """What is common practice and a studio may set otherwise.

    `large_porcelain_mm`: porcelain over this many mm counts as large. `food_absorption_pct`: the most water, in
    percent, that clay for food may take up; 3 % is the upper bound of "vitreous" in ANSI A137.1 and a limit for
    tile, chosen here as a careful default: no standard sets one for studio tableware.
    """

    large_porcelain_mm: int = 150
    food_absorption_pct: float = 3.0


COMMON_PRACTICE = Practice()


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One thing the studio holds to, and how to tell when a piece breaks it.

    `look` gives the sentence that says what is wrong, or an empty text where nothing is. `on_the_way` rules are
    already asked while a piece is glazed, before anybody has chosen a route.
    """

    name: str
    about: str
    when: str
    level: Level
    look: Callable[[Ware, Route, Practice], str]
    mend: str
    rests_on: str = "common practice"

    def finding(self, ware: Ware, route: Route, practice: Practice) -> Finding | None:
        """What this rule says about `ware` on `route`, or None where it has nothing to say."""
        says = self.look(ware, route, practice)
        return Finding(self.name, self.level, says, self.mend, self.rests_on) if says else None


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the rules say about a piece, worst first."""

    findings: tuple[Finding, ...]

    @property
    def level(self) -> Level:
        """The worst of its findings; `NOTE` when there is nothing to hold against the piece."""
        return max((finding.level for finding in self.findings), default=Level.NOTE)

    @property
    def word(self) -> str:
        """The verdict in one word: clear, warn, ask or refuse."""
        return "clear" if self.level is Level.NOTE else self.level.word

    def of(self, level: Level) -> tuple[Finding, ...]:
        """The findings of one level."""
        return tuple(finding for finding in self.findings if finding.level is level)

    def must_not_be_refused(self) -> None:
        """Refuse with `Unfit` when any finding refuses; warnings and asks are settled when a route is chosen."""
        if never := self.of(Level.REFUSE):
            raise Unfit(never)

    def must_be_settled(self, route: str, *, accepts: Collection[str] = (), leaves: Collection[Leave] = ()) -> None:
        """Refuse unless nothing is refused, every ask has the instructor's leave and every warning is accepted by name.

        `accepts` holds names of rules. Raises `Unfit`, `NeedsInstructor` or `NeedsAcceptance`, each with its findings.
        """
        self.must_not_be_refused()
        if open_asks := [one for one in self.of(Level.ASK) if Leave(route, one.rule, one.says) not in leaves]:
            raise NeedsInstructor(open_asks)
        if warnings := [one for one in self.of(Level.WARN) if one.rule not in accepts]:
            raise NeedsAcceptance(warnings)


# ---- heat ------------------------------------------------------------------------------------------------------


def _and(names: Iterable[str]) -> str:
    *front, last = dict.fromkeys(names)
    return f"{', '.join(front)} and {last}" if front else last


def _glazes(ware: Ware, wanted: Callable[[Glaze], bool]) -> list[Glaze]:
    """The wanted coats on `ware`, each once, in the order in which they went on."""
    return list(dict.fromkeys(layer.glaze for layer in ware.layers if wanted(layer.glaze)))


def _names(glazes: Iterable[Glaze]) -> str:
    return _and(glaze.name for glaze in glazes)


def _one_or_more(glazes: Sequence[Glaze], one: str, more: str) -> str:
    return one if len(glazes) == 1 else more


def _melts_off(ware: Ware, route: Route, _: Practice) -> str:
    if not (weak := _glazes(ware, lambda glaze: glaze.cone_high < route.cone)):
        return ""
    done = _and(f"{glaze.name} is done at {glaze.cone_high.label}" for glaze in weak)
    melts = _one_or_more(weak, "it melts", "they melt")
    return f"{done}: at {route.cone.label}, {melts} off the pot onto the shelf."


def _slumps(ware: Ware, route: Route, _: Practice) -> str:
    clay = ware.clay
    if clay.ceiling >= route.cone:
        return ""
    return f"{clay.name} slumps above {clay.ceiling.label}, and this firing goes to {route.cone.label}."


def _outdoor_glaze_indoors(ware: Ware, route: Route, _: Practice) -> str:
    if route.takes_outdoor_glaze or not (outdoor := _glazes(ware, lambda glaze: glaze.is_outdoor_only)):
        return ""
    belongs = _one_or_more(outdoor, "is an outdoor glaze: it belongs", "are outdoor glazes: they belong")
    return f"{_names(outdoor)} {belongs} in the raku kiln only."


def _underfired(ware: Ware, route: Route, _: Practice) -> str:
    # A slip is clay: where a firing leaves it immature it stays porous with the pot beneath it, and is none the worse.
    if not (cold := _glazes(ware, lambda glaze: glaze.cone_low > route.cone and glaze.coat is not Coat.SLIP)):
        return ""
    needs = _and(f"{glaze.name} needs {glaze.cone_low.label}" for glaze in cold)
    stays = _one_or_more(cold, "it stays", "they stay")
    return f"{needs}: this firing stops at {route.cone.label}, so {stays} dry and rough."


def _stays_porous(ware: Ware, route: Route, _: Practice) -> str:
    if route.kind is RouteKind.BISQUE or ware.use is Use.FOOD or ware.clay.is_mature_at(route.cone):
        return ""
    clay = ware.clay
    return (
        f"{clay.name} matures at {clay.cone_low.label}: at {route.cone.label}, it stays porous and will not hold water."
    )


def _indoor_glaze_in_raku(ware: Ware, route: Route, _: Practice) -> str:
    if route.kind is not RouteKind.RAKU:
        return ""
    # Of a glaze from outside nobody knows whether it is one for indoors; the rule about nameless materials asks.
    neither = (Family.OUTDOOR, Family.OUTSIDE)
    indoor = _glazes(ware, lambda glaze: glaze.coat is Coat.GLAZE and glaze.family not in neither)
    made = _one_or_more(indoor, "is an indoor glaze", "are indoor glazes")
    return f"{_names(indoor)} {made}, not made to be pulled hot from the raku kiln." if indoor else ""


def _no_shared_heat(ware: Ware, _route: Route, _: Practice) -> str:
    return no_shared_heat(ware.layers)


def no_shared_heat(layers: Sequence[Layer]) -> str:
    """The sentence that names two layers no one heat can mature, or an empty text where they all share one."""
    if not layers:
        return ""
    needs, stands = (
        max((layer.glaze for layer in layers), key=lambda glaze: glaze.cone_low),
        min((layer.glaze for layer in layers), key=lambda glaze: glaze.cone_high),
    )
    if needs.cone_low <= stands.cone_high:
        return ""
    return (
        f"{needs.name} ({needs.range_in_words}) and {stands.name} ({stands.range_in_words}) share no heat: "
        "what melts the one ruins the other."
    )


def _nameless(ware: Ware, _route: Route, _: Practice) -> str:
    clay = [ware.clay.name] if ware.clay.kind is ClayKind.UNKNOWN else []
    names = clay + [glaze.name for glaze in _glazes(ware, lambda glaze: glaze.family is Family.OUTSIDE)]
    if not names:
        return ""
    low, high = LOWEST_HEAT
    taken = "is taken" if len(names) == 1 else "are taken"
    return (
        f"Nobody here knows what heat {_and(names)} can stand: until somebody does, "
        f"{'it' if len(names) == 1 else 'they'} {taken} for the lowest-firing, {range_in_words(low, high)}."
    )


def _glaze_on_horsehair(ware: Ware, route: Route, _: Practice) -> str:
    if route.kind is not RouteKind.HORSEHAIR:
        return ""
    coats = _glazes(ware, lambda glaze: glaze.coat is not Coat.SLIP)
    return f"This piece wears {_names(coats)}, and horsehair leaves its marks on bare clay only." if coats else ""


def _not_burnished(ware: Ware, route: Route, _: Practice) -> str:
    if route.kind is not RouteKind.HORSEHAIR or ware.burnished:
        return ""
    if ware.burnished is None:
        return "Nobody has said whether this piece is burnished; without that, horsehair leaves only faint marks."
    return "This piece is neither burnished nor coated with terra sigillata, so horsehair leaves only faint marks."


# ---- shock -----------------------------------------------------------------------------------------------------


def _fragile(ware: Ware, route: Route, _: Practice) -> str:
    return "Thin parts stick out and may break off in the tongs." if route.is_outdoors and ware.fragile else ""


def _porcelain_cracks(ware: Ware, route: Route, practice: Practice) -> str:
    if not route.is_outdoors or ware.clay.kind is not ClayKind.PORCELAIN:
        return ""
    return _risk_of_porcelain(ware, practice.large_porcelain_mm)


def _risk_of_porcelain(ware: Ware, large: int) -> str:
    """Why porcelain such as this may crack; what nobody has said is taken for the riskier of the two."""
    if ware.largest_mm is not None and ware.largest_mm > large:
        return f"This porcelain measures {ware.largest_mm} mm: over {large} mm it may crack when it is pulled hot."
    if ware.build is Build.SLAB:
        return "Slab-built porcelain may crack along its seams when it is pulled hot."
    if not ware.is_measured:
        return f"Nobody has said how large this porcelain is: over {large} mm it may crack when it is pulled hot."
    if ware.build is None:
        return "Nobody has said how this porcelain was built: slab-built, it may crack when it is pulled hot."
    return ""


def _small_porcelain(ware: Ware, route: Route, practice: Practice) -> str:
    porcelain = route.is_outdoors and ware.clay.kind is ClayKind.PORCELAIN
    if not porcelain or _risk_of_porcelain(ware, practice.large_porcelain_mm):
        return ""
    return "Small porcelain usually survives being pulled hot, but not always."


def _already_mature(ware: Ware, route: Route, _: Practice) -> str:
    if not route.is_outdoors:
        return ""
    if ware.fired_to is not None and ware.clay.is_mature_at(ware.fired_to):
        done = f"This piece was already fired to {ware.fired_to.label}, where {ware.clay.name} is mature"
        return f"{done}: dense ware cracks when it is pulled hot."
    return "This piece is cracked or mended, and a crack runs on when it is pulled hot." if ware.mended else ""


# ---- food ------------------------------------------------------------------------------------------------------


def _decorative_on_food(ware: Ware, _route: Route, _: Practice) -> str:
    return decorative_on_food(ware)


def decorative_on_food(ware: Ware) -> str:
    """The sentence that names the decorative glazes on a piece for food, or an empty text where there are none."""
    if ware.use is not Use.FOOD:
        return ""
    decorative = _glazes(ware, lambda glaze: glaze.food is FoodStanding.DECORATIVE)
    are = _one_or_more(decorative, "is", "are")
    return f"{_names(decorative)} {are} decorative only, and this piece is for food." if decorative else ""


def _outdoors_for_food(ware: Ware, route: Route, _: Practice) -> str:
    if ware.use is not Use.FOOD or not route.is_outdoors:
        return ""
    return (
        "This piece is for food, and no outdoor firing makes ware for food: "
        "the clay stays porous, copper can leach out, and smoke stays in the wall."
    )


def _immature_for_food(ware: Ware, route: Route, practice: Practice) -> str:
    clay, limit = ware.clay, practice.food_absorption_pct
    # A bisque is only the first fire: the one that matures the clay is still to come.
    if ware.use is not Use.FOOD or route.kind is RouteKind.BISQUE:
        return ""
    if not clay.is_mature_at(route.cone):
        matures = f"{clay.name} matures at {clay.cone_low.label}"
        return f"{matures}: at {route.cone.label}, it stays too porous for food."
    if clay.absorption_pct is None:
        return f"Nobody knows how much water {clay.name} takes up, so it cannot be trusted with food."
    if clay.absorption_pct > limit:
        takes_up = f"{clay.name} takes up {clay.absorption_pct:g} % water even when mature"
        return f"{takes_up}, and this studio's limit for food is {limit:g} %."
    return ""


def _over_the_limit(ware: Ware, _route: Route, _: Practice) -> str:
    return over_the_limit(ware)


def over_the_limit(ware: Ware) -> str:
    """The sentence that names glazes on a piece for food whose release test is over the limit, or an empty text."""
    if ware.use is not Use.FOOD:
        return ""
    failed = [
        f"{glaze.name} gave off {test.judged_mg_l:g} mg/L of {test.metal.in_words} in a test by {test.laboratory} "
        f"(the limit for {test.ware} is {test.limit_mg_l:g} mg/L)"
        for glaze in _glazes(ware, lambda glaze: bool(glaze.tests))
        for test in glaze.tests
        if not test.passed
    ]
    return f"{_and(failed)}." if failed else ""


def _untested(ware: Ware, _route: Route, _: Practice) -> str:
    if ware.use is not Use.FOOD:
        return ""
    untested = _glazes(ware, lambda glaze: glaze.food is FoodStanding.UNTESTED)
    return f"Nobody has tested {_names(untested)} for food." if untested else ""


def _crackled(ware: Ware, _route: Route, _: Practice) -> str:
    if ware.use is not Use.FOOD:
        return ""
    crackled = _glazes(ware, lambda glaze: Trait.CRACKLE in glaze.traits)
    crackles = _one_or_more(crackled, "crackles", "crackle")
    return f"{_names(crackled)} {crackles}, and food stays in the cracks." if crackled else ""


_ORTON = "Orton end points; common practice"
_ACID_TEST = "FDA CPG 545.400 and 545.450"

RULES: tuple[Rule, ...] = (
    Rule(
        name="glaze-melts-off",
        about="heat",
        when="a glaze layer's top cone lies below the route's cone; equal is fine",
        level=Level.REFUSE,
        look=_melts_off,
        mend="Fire it on a cooler route, or wash that glaze off and choose another.",
        rests_on=_ORTON,
    ),
    Rule(
        name="clay-slumps",
        about="heat",
        when="the clay slumps below the route's cone",
        level=Level.REFUSE,
        look=_slumps,
        mend="Fire it on a cooler route, one that this clay can stand.",
        rests_on=_ORTON,
    ),
    Rule(
        name="outdoor-glaze-indoors",
        about="heat",
        when="an outdoor-only glaze on any route but raku",
        level=Level.REFUSE,
        look=_outdoor_glaze_indoors,
        mend="Put it in the raku queue, or wash that glaze off.",
    ),
    Rule(
        name="layers-share-no-heat",
        about="heat",
        when="two layers that no one heat matures (at glazing already)",
        level=Level.REFUSE,
        look=_no_shared_heat,
        mend="Wash one of them off, and choose glazes whose cones overlap.",
        rests_on=_ORTON,
    ),
    Rule(
        name="glaze-on-horsehair",
        about="heat",
        when="glaze on a piece for horsehair",
        level=Level.REFUSE,
        look=_glaze_on_horsehair,
        mend="Wash the glaze off, or choose raku.",
    ),
    Rule(
        name="glaze-underfired",
        about="heat",
        when="a glaze layer needs more heat than the route gives",
        level=Level.ASK,
        look=_underfired,
        mend="Fire it on a hotter route, or ask the instructor.",
        rests_on=_ORTON,
    ),
    Rule(
        name="indoor-glaze-in-raku",
        about="heat",
        when="an indoor glaze in the raku kiln",
        level=Level.ASK,
        look=_indoor_glaze_in_raku,
        mend="Fire it indoors, or ask the instructor.",
    ),
    Rule(
        name="nameless-material",
        about="heat",
        when="clay that nobody can name, or a glaze from outside the studio",
        level=Level.ASK,
        look=_nameless,
        mend="Find out what it is, or ask the instructor.",
    ),
    Rule(
        name="horsehair-unburnished",
        about="heat",
        when="horsehair without burnish or terra sigillata",
        level=Level.WARN,
        look=_not_burnished,
        mend="Burnish it or brush on terra sigillata before the bisque, or accept faint marks by name.",
    ),
    Rule(
        name="clay-stays-porous",
        about="heat",
        when="decorative ware whose clay does not mature at the route's cone",
        level=Level.NOTE,
        look=_stays_porous,
        mend="Nothing to do: decorative ware may stay porous.",
        rests_on=_ORTON,
    ),
    Rule(
        name="ware-already-mature",
        about="shock",
        when="ware already fired to maturity, cracked or mended, on an outdoor route",
        level=Level.ASK,
        look=_already_mature,
        mend="Keep it indoors, or ask the instructor.",
    ),
    Rule(
        name="fragile-outdoors",
        about="shock",
        when="fragile work (thin parts that stick out) on an outdoor route",
        level=Level.WARN,
        look=_fragile,
        mend="Fire it indoors, or accept the risk by name and lift it from below.",
    ),
    Rule(
        name="porcelain-outdoors",
        about="shock",
        when="porcelain that is large (over 150 mm) or slab-built on an outdoor route",
        level=Level.WARN,
        look=_porcelain_cracks,
        mend="Fire it indoors, or accept the risk by name; small thrown porcelain usually makes it.",
    ),
    Rule(
        name="small-porcelain-outdoors",
        about="shock",
        when="small porcelain (150 mm and under) on an outdoor route",
        level=Level.NOTE,
        look=_small_porcelain,
        mend="Nothing to do: it may go.",
    ),
    Rule(
        name="decorative-glaze-for-food",
        about="food",
        when="a decorative glaze anywhere on a piece for food",
        level=Level.REFUSE,
        look=_decorative_on_food,
        mend="Choose a glaze that is tested for food, or make the piece decorative.",
    ),
    Rule(
        name="outdoors-for-food",
        about="food",
        when="any outdoor route for a piece for food",
        level=Level.REFUSE,
        look=_outdoors_for_food,
        mend="Fire it indoors, or make the piece decorative.",
    ),
    Rule(
        name="clay-porous-for-food",
        about="food",
        when="clay for food that is not mature at the route's cone, or takes up more water than the studio's limit",
        level=Level.REFUSE,
        look=_immature_for_food,
        mend="Fire it on a route that matures this clay, choose a denser clay, or make the piece decorative.",
        rests_on="absorption by ASTM C373; the limit is the studio's own",
    ),
    Rule(
        name="release-over-limit",
        about="food",
        when="a release test of a glaze over the published limit (lead, cadmium) on a piece for food",
        level=Level.REFUSE,
        look=_over_the_limit,
        mend="Choose another glaze, or make the piece decorative.",
        rests_on=_ACID_TEST,
    ),
    Rule(
        name="crackle-for-food",
        about="food",
        when="a crackle surface on a piece for food",
        level=Level.ASK,
        look=_crackled,
        mend="Choose a glaze that does not crackle, make the piece decorative, or ask the instructor.",
    ),
    Rule(
        name="untested-for-food",
        about="food",
        when="an untested glaze on a piece for food",
        level=Level.WARN,
        look=_untested,
        mend="Choose a glaze that is tested for food, or accept it by name: a laboratory decides, not this software.",
    ),
)
"""The rulebook. The table in README.md is made from it."""

NO_ROUTE_LEFT = "no-route-left"

_AT_GLAZING = tuple(rule for rule in RULES if rule.look in {_no_shared_heat, _decorative_on_food, _over_the_limit})


def judge(ware: Ware, route: Route, practice: Practice = COMMON_PRACTICE) -> Verdict:
    """Every rule that `ware` breaks on `route`, worst first."""
    return _verdict(RULES, ware, route, practice)


def judge_layers(ware: Ware, routes: Sequence[Route], practice: Practice = COMMON_PRACTICE) -> Verdict:
    """What the rules say at glazing, before a route is chosen; `routes` are the studio's ways of firing glazed ware.

    Refused are layers that share no heat, what the food rules refuse, and layers that leave no kiln to fire the
    piece in. Otherwise the verdict is that of the kindest route.
    """
    if not routes:
        return _no_route_left("This studio has no way of firing glazed ware.")
    if never := _verdict(_AT_GLAZING, ware, routes[0], practice).of(Level.REFUSE):
        return Verdict(never)
    kindest = min((judge(ware, route, practice) for route in routes), key=_hardness)
    if kindest.level is not Level.REFUSE:
        return kindest
    return _no_route_left(f"No kiln here could fire it then. {' '.join(one.says for one in kindest.of(Level.REFUSE))}")


def _no_route_left(says: str) -> Verdict:
    mend, rests_on = "Choose another glaze for this piece.", "the studio's routes"
    return Verdict((Finding(NO_ROUTE_LEFT, Level.REFUSE, says, mend, rests_on),))


def _hardness(verdict: Verdict) -> tuple[Level, int]:
    return verdict.level, len(verdict.of(verdict.level))


def _verdict(rules: Iterable[Rule], ware: Ware, route: Route, practice: Practice) -> Verdict:
    findings = [found for rule in rules if (found := rule.finding(ware, route, practice))]
    findings.sort(key=lambda finding: -finding.level)
    return Verdict(tuple(findings))


def rules_table() -> str:
    """The rulebook as the Markdown table that README.md shows."""
    rows = [f"| {rule.about} | {rule.when} | {rule.level.word} | `{rule.name}` | {rule.rests_on} |" for rule in RULES]
    return "\n".join(["| about | when | verdict | rule | rests on |", "|---|---|---|---|---|", *rows])
