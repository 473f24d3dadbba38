"""What a rule is: one row of the rulebook, and the case it looks at."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple, TypeAlias

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level
from tracker.domain.message import ByRole, Choice, Fact, Message, Plural, Template, _
from tracker.domain.pieces.piece import Coats, Use, Ware
from tracker.domain.rules.overlaps import overlap, wax_to_burn_off
from tracker.domain.studio.kilns import RAW, Atmosphere, Kiln, Route, RouteKind
from tracker.domain.studio.leach_tests import Outside
from tracker.domain.studio.materials import CLAYS_IN_COATS, Coat, Glaze
from tracker.domain.studio.settings import (
    COMMON_PRACTICE,
    Practice,
)

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_WAX = Coat.WAX
_FOOD = Use.FOOD


Facts: TypeAlias = Mapping[str, Fact]
"""What a rule found, by name; empty where its message needs none."""

NOTHING_MORE: Facts = {}
"""The facts of a message that says all by itself."""


def _by_what_is_wrong(_case: Case) -> Facts:
    """What is wrong says all that its remedy depends on."""
    return NOTHING_MORE


ORTON = _("Orton end points; common practice")
"""The source of what cones and heats say."""


@dataclass(frozen=True, slots=True)
class Case:
    """What a rule looks at: this ware, fired this way, by this studio's practice, in this kiln when one is chosen.

    `air` is the atmosphere of the kiln, None where it is not known. `outside` tells the sort of ware, None for what its
    measures tell. `is_told_raw` says that a what-if tells of raw clay, where `ware` is its materials alone.
    `is_refused` tells of another case whether rules of the materials stand against it, None where nobody can.

    `glazes` are the coats that stay on the ware in the fire, each once, in the order in which they went on; `raw` are
    those of them that no fire has melted yet. A raw coat is what the firing is for, a fired one only has to stand it.
    """

    ware: Ware
    route: Route
    practice: Practice = COMMON_PRACTICE
    kiln: Kiln | None = None
    air: Atmosphere | None = None
    outside: Outside | None = None
    is_told_raw: bool = False
    is_refused: Callable[[Case], bool] | None = None
    glazes: tuple[Glaze, ...] = field(init=False)
    raw: tuple[Glaze, ...] = field(init=False)

    def __post_init__(self) -> None:
        """Take the coats off the layers, and the atmosphere off the kiln, once for all rules."""
        if self.kiln is not None:
            object.__setattr__(self, "air", self.kiln.atmosphere)
        glazes, raw = [], []
        for layer in self.ware.layers:
            if layer.glaze.coat is not _WAX:
                glazes.append(layer.glaze)
                if layer.fired_to is None:
                    raw.append(layer.glaze)
        object.__setattr__(self, "glazes", tuple(dict.fromkeys(glazes) if len(glazes) > 1 else glazes))
        object.__setattr__(self, "raw", self.glazes if len(raw) == len(glazes) else tuple(dict.fromkeys(raw)))

    @property
    def sort_of_ware(self) -> Outside:
        """What is known of its sort of ware, which tells the limits that a leach test has to keep."""
        return self.outside or outside_of(self.ware)

    @property
    def goes_in_raw(self) -> bool:
        """Whether raw clay goes into this firing.

        A piece on record is bisqued before any firing that doesn't take greenware. A what-if is asked as it stands.
        """
        if self.ware.fired_to is not None:
            return False
        return self.route.kind in RAW or self.is_told_raw or tells_raw(self.ware)

    @property
    def clay_heat(self) -> Cone:
        """The hottest cone the clay has seen after this firing: what matured once stays mature."""
        before, firing = self.ware.fired_to, self.route.cone
        return firing if before is None or before < firing else before


def tells_raw(ware: Ware) -> bool:
    """Whether a what-if tells of raw clay: one that says whether the clay is dry or vented means greenware."""
    is_told = ware.dry is not None or ware.vented is not None
    return is_told and ware.fired_to is None and ware.coats is not Coats.ON_RECORD


def outside_of(ware: Ware) -> Outside:
    """What the measures of `ware` tell of its sort; thrown ware is as deep as it is wide."""
    depth = ware.width_mm if ware.depth_mm is None and ware.is_round else ware.depth_mm
    return Outside.of(ware.height_mm, ware.width_mm, depth)


class Signs(NamedTuple):
    """What ware and kiln show at a glance, by which most rules have nothing to say; a rule has the same words."""

    for_food: bool
    of_coats: bool
    of_greenware: bool
    of_flaws: bool
    of_supervised: bool
    in_a_kiln: bool


def signs_of(ware: Ware, kiln: Kiln | None = None) -> Signs:
    """What this ware shows, and whether a kiln is chosen."""
    return Signs(
        ware.use is _FOOD,
        bool(ware.layers),
        ware.fired_to is None,
        bool(ware.flaws),
        ware.supervised,
        kiln is not None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One thing the studio holds to, and how to tell when a piece breaks it.

    It is asked of a case only on the `kinds` of firing it is about and, where it says so, only of ware `for_food`, of
    ware that has any coat (`of_coats`), of raw clay (`of_greenware`), of ware that came out with flaws (`of_flaws`), of
    a supervised maker's (`of_supervised`) and where a kiln is chosen (`in_a_kiln`). Its `look` then gives the facts of
    what is wrong, or None where nothing is; `message` says them, `remedy` says what would fix it, `source` is what the
    rule rests on, and `rests_on` tells it from the facts where that differs. What can be done may depend on more than
    what is wrong (fired glaze stays on): `mend` gives those facts. `needs` names the fact of the ware without which it
    can't tell: `untold` keeps a piece back until somebody has told it. A rule
    `of_materials` looks at the clay, the coats, the use, the firing, the atmosphere and the sort of ware alone. One
    that is asked `at_glazing` needs no route: it already holds while a piece is glazed.
    """

    name: str
    about: str
    when: str
    level: Level
    look: Callable[[Case], Facts | None]
    message: Template
    remedy: Template
    mend: Callable[[Case], Facts] = _by_what_is_wrong
    source: str = _("common practice")
    rests_on: Callable[[Facts], str] | None = None
    needs: str = ""
    at_glazing: bool = False
    kinds: frozenset[RouteKind] = frozenset(RouteKind)
    for_food: bool = False
    of_coats: bool = False
    of_materials: bool = False
    of_greenware: bool = False
    of_flaws: bool = False
    of_supervised: bool = False
    in_a_kiln: bool = False

    def is_asked(self, kind: RouteKind, signs: Signs) -> bool:
        """Whether it is asked on such a firing, of ware and a kiln that show this."""
        wanted = (getattr(self, name) for name in Signs._fields)
        return kind in self.kinds and all(has for has, wants in zip(signs, wanted, strict=True) if wants)

    def finding(self, case: Case) -> Finding | None:
        """What this rule says about the case, or None where it has nothing to say."""
        facts = self.look(case) if self.is_asked(case.route.kind, signs_of(case.ware, case.kiln)) else None
        return None if facts is None else self.said_of(case, facts)

    def said_of(self, case: Case, facts: Facts) -> Finding:
        """What this rule says about what it found in this case."""
        return self.said(facts, lambda: self.mend(case))

    def said(self, facts: Facts, more: Callable[[], Facts]) -> Finding:
        """What this rule says about these facts; its remedy depends on `more` of them."""
        message = Message(self.name, self.message, **facts)
        source = self.source if self.rests_on is None else self.rests_on(facts)
        return Finding(self.level, message, lambda: self._remedy({**facts, **more()}), source)

    def _remedy(self, facts: Facts) -> Message:
        return Message(f"{self.name}-remedy", self.remedy, **facts)


def washed_off(case: Case, glazes: Iterable[Glaze]) -> tuple[Glaze, ...]:
    """These raw coats and all that comes off with them: water takes every raw coat off a spot (common practice).

    Of overglaze, which is no water color, each rule says how it comes off.
    """
    coats = [glaze for glaze in case.raw if glaze.coat is not Coat.OVERGLAZE]
    raw = [layer for layer in case.ware.layers if layer.fired_to is None and layer.glaze in coats]
    spots = [layer.zone for layer in raw if layer.glaze in set(glazes)]
    off = {layer.glaze for layer in raw if any(overlap(layer.zone, spot) for spot in spots)}
    return tuple(glaze for glaze in coats if glaze in off)


def wax_first(case: Case) -> Facts:
    """Whether wax keeps the inside from taking glaze: raw glaze over it comes off, and a bisque burns the wax away."""
    over = wax_to_burn_off(case.ware)
    if over is None:
        return {"wax": "none"}
    off = names_of(layer.glaze for layer in over)
    return {"wax": "glazed" if off else "bare", "off": off}


def names_of(glazes: Iterable[Glaze]) -> tuple[str, ...]:
    """The names of glazes, each once."""
    return tuple(dict.fromkeys(glaze.name for glaze in glazes))


def raw_or_fired(case: Case, glazes: Iterable[Glaze]) -> str:
    """Whether all of these coats are "raw" still, or one is "fired" on, so that nothing takes it off again."""
    fired = {layer.glaze for layer in case.ware.layers if layer.fired_to is not None}
    return "raw" if fired.isdisjoint(glazes) else "fired"


def choose(case: Case, glazes: Iterable[Glaze], which: Message | None = None) -> Message:
    """What to do about these raw coats, called by what they are: "choose another slip", "choose a slip without lead".

    `which` tells those that will do. Slip and terra sigillata go on raw clay: once that is fired they only come off.
    """
    coats = [glaze for glaze in glazes if glaze in case.raw]
    nouns = {glaze.noun for glaze in coats}
    noun = nouns.pop() if len(nouns) == 1 else "several"
    if coats and case.ware.fired_to is not None and all(glaze.coat in CLAYS_IN_COATS for glaze in coats):
        off, without_them = washed_off(case, coats), names_of(coats)
        # A bisque is no firing for the glaze that has to come off as well.
        more = "" if set(off) == set(coats) or case.route.kind is RouteKind.BISQUE else "glazed"
        return Message("wash-off-coats", Choice("more", _WASH_OFF), off=names_of(off), glazes=without_them, more=more)
    if which is None:
        return choose_another(noun)
    return Message(
        "choose-a-coat", _("choose {one} {which}"), one=Message("a-coat", Choice("noun", _ONE), noun=noun), which=which
    )


_WASH_OFF = {
    "": _("wash off {off}"),
    "glazed": _("wash off {off}, then glaze the piece again without {glazes}"),
}


def choose_another(noun: str) -> Message:
    """To put another coat of that noun on, or of several sorts other layers."""
    return Message("choose-another-coat", Choice("noun", _ANOTHER), noun=noun)


_ANOTHER = {
    "glaze": _("choose another glaze"),
    "underglaze": _("choose another underglaze"),
    "slip": _("choose another slip"),
    "sigillata": _("choose another terra sigillata"),
    "luster": _("choose another luster"),
    "overglaze": _("choose another overglaze"),
    "several": _("choose other layers"),
}
_ONE = {
    "glaze": _("a glaze"),
    "underglaze": _("an underglaze"),
    "slip": _("a slip"),
    "sigillata": _("a terra sigillata"),
    "luster": _("a luster"),
    "overglaze": _("an overglaze"),
    "several": _("layers"),
}


OFF_WITH_SOLVENT = Plural(
    "glazes",
    "Wipe {glazes} off with its own solvent, outdoors or under a hood, never in the sink.",
    "Wipe {glazes} off with their own solvents, outdoors or under a hood, never in the sink.",
)
"""How a raw overglaze comes off: it is no water color."""


SUNK_IN_CLAY = Plural(
    "glazes",
    "{glazes:capital} sank into the raw clay: scrape that off, or make the piece again.",
    "{glazes:capital} sank into the raw clay: scrape them off, or make the piece again.",
)
"""How an overglaze comes off raw clay, from which no solvent wipes it (common practice)."""

NO_FIRING_BUT_RAKU = _("Leave {overglazes} off: a raku glaze has no firing but raku.")
"""What becomes of a raw overglaze on a raku glaze: what one firing makes of them, the other spoils."""


def raw_on_raku(case: Case) -> tuple[str, ...]:
    """The raw overglazes on ware in a raku glaze."""
    return names_of(one for one in case.raw if one.coat is Coat.OVERGLAZE) if case.ware.is_outdoor_only else ()


def without(metals: Fact) -> Message:
    """Which coats have none of these metals."""
    return Message("without-metals", _("without {metals}"), metals=metals)


def at_heat(case: Case, heat: Cone) -> Message:
    """A cone that the ware has seen after this firing, "at cone 6"; of one that an earlier firing gave it says so.

    What is pulled hot is pulled by its pyrometer, often below its cone, which is not named.
    """
    when = "before" if heat > case.route.cone else "pulled" if case.route.is_pulled_hot else "now"
    return Message("at-heat", Choice("when", _AT_HEAT), cone=heat, when=when)


_AT_HEAT = {
    "now": _("at {cone}"),
    "before": _("at {cone}, its hottest firing so far"),
    "pulled": _("in a firing that is pulled hot"),
}


def for_staff(everybody: Template, staff: Template) -> ByRole:
    """A remedy that only staff and the instructor can take, after what everybody else is told: whom to ask."""
    return ByRole(everybody, {"staff": staff, "instructor": staff})


def for_instructor(everybody: Template, staff: Template, instructor: Template) -> ByRole:
    """A remedy of which each role can do another part: makers, staff who accept a risk, who puts tests on file."""
    return ByRole(everybody, {"staff": staff, "instructor": instructor})
