"""Which cones belong to which glazes, clays and firings, so that "04 or 4?" is asked before a pot meets the wrong fire.

The bands are common practice, drawn so that what is really sold and fired fits them. A cone outside is a question and
no mistake: a person may say that it is right as it is. What-ifs aren't held to them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from hashlib import sha256
from itertools import pairwise
from typing import Any, TypeGuard

from tracker.domain.cones import CONES, Cone, ConeRange
from tracker.domain.message import Fact, Message, _
from tracker.domain.quantities import celsius
from tracker.domain.refusals import Refusal
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.materials import Clay, ClayKind, Coat, Family, Glaze

HasCones = Clay | Glaze | Route
"""What is held to a band."""

FIRED_TO = "cone"
"""The fact of a firing type, and of a firing, that says how hot it is."""


def _from(coolest: str, hottest: str) -> ConeRange:
    return ConeRange(Cone.parse(coolest), Cone.parse(hottest))


_COOLEST, _HOTTEST = str(CONES[0]), str(CONES[-1])

GLAZE_BANDS: Mapping[Family, ConeRange] = {
    Family.LOW_FIRE: _from(_COOLEST, "01"),
    Family.MID_RANGE: _from("3", "8"),
    Family.HIGH_FIRE: _from("7", _HOTTEST),
    Family.OUTDOOR: _from(_COOLEST, "04"),
}
"""Where the glazes of a family mature (common practice); one from outside the studio is held to the lowest heat."""

CLAY_BANDS: Mapping[ClayKind, ConeRange] = {
    ClayKind.EARTHENWARE: _from(_COOLEST, "2"),
    ClayKind.STONEWARE: _from("1", _HOTTEST),
    ClayKind.PORCELAIN: _from("1", _HOTTEST),
}
"""Where clays mature and slump (common practice). Grogged clay is sold for every heat, so it has no band."""

OVERGLAZE_BAND = _from("022", "014")
"""Where overglazes (luster, china paint) mature, whatever their family (common practice)."""

FIRING_BANDS: Mapping[RouteKind, ConeRange] = {
    RouteKind.BISQUE: _from(_COOLEST, "01"),
    RouteKind.RAKU: GLAZE_BANDS[Family.OUTDOOR],
    RouteKind.HORSEHAIR: GLAZE_BANDS[Family.OUTDOOR],
    RouteKind.PIT: GLAZE_BANDS[Family.OUTDOOR],
    RouteKind.OVERGLAZE: OVERGLAZE_BAND,
    RouteKind.SODA: _from("1", _HOTTEST),
    RouteKind.WOOD: _from("1", _HOTTEST),
}
"""To which cones firings of a kind go (common practice)."""

HOTTEST_BISQUE = FIRING_BANDS[RouteKind.BISQUE].high
"""The hottest firing that greenware joins: hotter, it comes out too dense to take a glaze."""

_BY_FAMILY = frozenset({RouteKind.SHELF, RouteKind.ONCE_FIRE, RouteKind.SODA, RouteKind.WOOD})
"""The kinds of firing that are done at every heat: one goes by the family that its name tells, if it tells any."""

_HOTTER, _COOLER, _COOLER_WITH_A_HOLD = 2, 2, 4
"""So many cones hotter or cooler than its own a schedule may seem to go: rates and holds count (common practice)."""

_NARROW = 2
"""Two cones within so many of each other are one maturing range (common practice)."""


@dataclass(frozen=True, slots=True)
class ConeFix:
    """One cone with its zero taken away or put before it, with which the whole would fit: `was` and what it may be.

    `also` are the other cones of the thing where they have to change with it, each with its own zero.
    """

    fact: str
    was: Cone
    cone: Cone
    also: tuple[ConeFix, ...] = field(default=(), compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class ConeQuestion:
    """Whether a cone is right that doesn't fit: the `fact` that says so, its `cone`, and what may have been meant.

    `key` names this question and no other: an answer counts for the very cones and family that were asked about.
    """

    key: str
    fact: str
    cone: Cone
    message: Message
    fixes: tuple[ConeFix, ...]

    @property
    def title(self) -> Message:
        """The question in a few words: "04 or 4?"."""
        if not self.fixes:
            return Message("cone-right", _("Is cone {cone} right?"), cone=str(self.cone))
        fix = self.fixes[0].cone
        zero, plain = sorted((fix, self.cone))
        return Message("zero-or-not", _("{zero} or {plain}?"), zero=str(zero), plain=str(plain))

    @property
    def for_file(self) -> Message:
        """What is wrong with a row of a file, and what to write there."""
        if not self.fixes:
            words = _("{what} Change it, or add cones_checked = true if it's right.")
            return Message("cone-doubtful", words, what=self.message)
        if self.fixes[0].also:
            words = _('{what} Write "{fix}" for both, or add cones_checked = true if "{cone}" is right.')
            return Message("zeros-doubtful", words, what=self.message, fix=str(self.fixes[0].cone), cone=str(self.cone))
        words = _('{what} Write "{fix}", or add cones_checked = true if "{cone}" is right.')
        return Message("zero-doubtful", words, what=self.message, fix=str(self.fixes[0].cone), cone=str(self.cone))


@dataclass(frozen=True, slots=True, kw_only=True)
class ConeAnswer:
    """What somebody answered to the question with this `key`: the cone that was `meant`, perhaps the very one asked."""

    key: str
    fact: str
    cone: Cone
    meant: Cone

    @property
    def is_right(self) -> bool:
        """Whether the cone is right as it is."""
        return self.meant == self.cone

    def answers(self, question: ConeQuestion) -> bool:
        """Whether it is an answer to this very question, and one of those that were offered."""
        return self.key == question.key and (
            (self.is_right and (self.fact, self.cone) == (question.fact, question.cone))
            or ConeFix(self.fact, self.cone, self.meant) in question.fixes
        )


class AsksCone(Refusal):
    """A cone doesn't fit and nobody has said yet that it is right: the `question` is to be answered first."""

    word = Message("cone-first", _("Check the cone"))

    def __init__(self, question: ConeQuestion, remedy: Message | None = None) -> None:
        """Keep the question."""
        says = Message("cone-asked", "{what:capital}", what=question.message)
        super().__init__(says, remedy or Message("pick-the-cone", _("Choose the right cone.")))
        self.question = question


def has_cones(thing: object) -> TypeGuard[HasCones]:
    """Whether it is something that is held to a band: a clay, a glaze or a firing type."""
    return isinstance(thing, Clay | Glaze | Route)


def cones_of(thing: HasCones) -> dict[str, Cone]:
    """The cones that are said of a thing by the name of their fact, cool to hot; those of nothing are left out."""
    match thing:
        case Route():
            return {FIRED_TO: thing.cone}
        case Glaze():
            return {"cone_low": thing.cone_low, "cone_high": thing.cone_high}
    cones = {"cone_low": thing.cone_low, "cone_high": thing.cone_high, "slumps_above": thing.slumps_above}
    return {fact: cone for fact, cone in cones.items() if cone is not None}


def are_alike(one: HasCones, other: HasCones) -> bool:
    """Whether the same is asked of both: what was answered about one holds for the other."""
    return _key(one) == _key(other)


def cone_question(thing: HasCones) -> ConeQuestion | None:
    """What is to be asked about the cones of a clay, a glaze or a firing type, whether or not it was answered."""
    band = _band_of(thing)
    if isinstance(thing, Route) and (question := _led_astray(thing, band)):
        return question
    if band is None:
        return _straddling(thing) if isinstance(thing, Clay) and thing.kind is ClayKind.GROGGED else None
    outside = {fact: cone for fact, cone in cones_of(thing).items() if not band.low <= cone <= band.high}
    if not outside:
        return None
    fixes = tuple(
        ConeFix(fact, cone, other)
        for fact, cone in outside.items()
        if (other := toggled(cone)) is not None and _fits({**cones_of(thing), fact: other}, band)
    )
    fixes = fixes or tuple(_all_toggled(cones_of(thing), outside, band))
    # Too hot does more harm than too cool, so the hottest is asked about where no zero would help.
    fact = fixes[0].fact if fixes else list(outside)[-1]
    return ConeQuestion(
        key=_key(thing),
        fact=fact,
        cone=outside[fact],
        message=_outside(outside[fact], _called(thing), band),
        fixes=fixes,
    )


def _all_toggled(cones: Mapping[str, Cone], wrong: Mapping[str, Cone], band: ConeRange | None) -> Iterator[ConeFix]:
    """Every cone that is wrong toggled at once, where that fits: low-fire 6 to 6 may be 06 to 06."""
    fixes = [ConeFix(fact, cone, other) for fact, cone in wrong.items() if (other := toggled(cone)) is not None]
    if len(fixes) > 1 and _fits({**cones, **{one.fact: one.cone for one in fixes}}, band):
        yield replace(fixes[0], also=tuple(fixes[1:]))


def rising(cones: Mapping[str, Cone], band: ConeRange | None) -> ConeFix | None:
    """The cone, or the cones, whose zero to change so that cones out of order rise; None where no zero is the fault.

    Where none fits the band, the one cone that is outside it is at fault, else whichever makes them rise.
    """
    alone = [ConeFix(fact, cone, other) for fact, cone in cones.items() if (other := toggled(cone)) is not None]
    outside = [] if band is None else [fact for fact, cone in cones.items() if not band.low <= cone <= band.high]
    fits = [fix for fix in alone if _fits({**cones, fix.fact: fix.cone}, band)]
    if band is None:
        # Few clays mature over both sides of the zero.
        fits = [fix for fix in fits if len({cone.rank < 0 for cone in {**cones, fix.fact: fix.cone}.values()}) == 1]
    fits = fits or list(_all_toggled(cones, cones, band))
    if not fits and len(outside) == 1:
        fits = [fix for fix in alone if fix.fact in outside]
    elif not fits and outside:
        fits = [fix for fix in alone if _fits({**cones, fix.fact: fix.cone}, None)]
    return next(iter(fits), None)


def open_question(thing: HasCones) -> ConeQuestion | None:
    """What nobody has answered yet about the cones of a clay, a glaze or a firing type."""
    return None if thing.cones_checked else cone_question(thing)


def firing_question(route: Route, target: Cone) -> ConeQuestion | None:
    """What is to be asked about the cone that one firing of this type aims at; nothing where it is the type's own."""
    if target == route.cone and (route.cones_checked or cone_question(route) is None):
        return None
    fired = route.at(target)
    if question := cone_question(fired):
        return question
    other = toggled(target)
    if other is None or (target.rank < 0) is (route.cone.rank < 0) or not _are_near(other, route.cone):
        return None
    own = Message("firings-called", "{title}", title=route.title)
    message = _outside(target, own, ConeRange(route.cone, route.cone))
    return ConeQuestion(
        key=_key(fired), fact=FIRED_TO, cone=target, message=message, fixes=(ConeFix(FIRED_TO, target, other),)
    )


def measured_doubt(clay: Clay, cone: Cone) -> Message | None:
    """What is to be asked about the cone of an absorption test of `clay`: whether its zero was missed, or put there.

    A test outside the cones at which the clay matures is usual. One is asked about where the other cone of its number
    is among them. None where nothing is to be asked.
    """
    other = toggled(cone)
    if other is None or clay.cone_low <= cone <= clay.cone_high or not clay.cone_low <= other <= clay.cone_high:
        return None
    zero, plain = sorted((other, cone))
    words = _("{zero} or {plain}? {clay} matures at {cones}.")
    cones = ConeRange(clay.cone_low, clay.cone_high)
    return Message("measured-elsewhere", words, zero=str(zero), plain=str(plain), clay=clay.name, cones=cones)


def tile_doubt(glaze: Glaze, cone: Cone) -> Message | None:
    """What is to be asked about the cone of a test tile of `glaze`; None where the glaze matures there."""
    if glaze.matures_at(cone):
        return None
    words = _("{glaze} matures at {cones}. Was the tile fired to {cone}?")
    return Message("tile-elsewhere", words, glaze=glaze.name, cones=glaze.cones, cone=cone)


def toggled(cone: Cone) -> Cone | None:
    """The cone with its zero taken away, or with one put before it: 4 for 04, 06 for 6; None where there is none."""
    return next((one for one in CONES if one.rank == -cone.rank), None)


def fixed(thing: HasCones, answer: ConeAnswer) -> HasCones:
    """The thing with the cone that was meant, or as it is once a person has said that it is right."""
    if answer.is_right:
        return replace(thing, cones_checked=True)
    meant: dict[str, Any] = {answer.fact: answer.meant}
    question = cone_question(thing)
    for fix in question.fixes if question else ():
        if (fix.fact, fix.was, fix.cone) == (answer.fact, answer.cone, answer.meant):
            meant |= {one.fact: one.cone for one in fix.also}
    return replace(thing, cones_checked=False, **meant)


def asked_before(thing: HasCones, answer: ConeAnswer) -> bool:
    """Whether this thing is what the answer made of the one that was asked about."""
    if answer.is_right or cones_of(thing).get(answer.fact) != answer.meant:
        return False
    asked: dict[str, Any] = {answer.fact: answer.cone}
    others = {fact: toggled(cone) for fact, cone in cones_of(thing).items() if fact != answer.fact}
    for one in (replace(thing, **asked), replace(thing, **{**asked, **others})):
        question = cone_question(one)
        if question is not None and answer.answers(question):
            return True
    return False


def _key(thing: HasCones) -> str:
    """A name for all that decides what is asked about a thing."""
    held: tuple[object, ...] = (thing.family, thing.coat) if isinstance(thing, Glaze) else (thing.kind,)
    if isinstance(thing, Route):
        held = (*held, _family_of(thing), *thing.segments)
    about = repr((type(thing).__name__, thing.name, *map(str, held), *cones_of(thing).items()))
    return sha256(about.encode("utf-8", "backslashreplace")).hexdigest()[:24]


def band_of_glaze(family: Family, coat: Coat) -> ConeRange | None:
    """Where the glazes of a family mature, or overglazes; None for what any heat does no harm."""
    # Slip, underglaze and sigillata fade instead of running, and wax burns away: they stand any heat.
    return {Coat.GLAZE: GLAZE_BANDS.get(family), Coat.OVERGLAZE: OVERGLAZE_BAND}.get(coat)


def _band_of(thing: HasCones) -> ConeRange | None:
    match thing:
        case Glaze():
            return band_of_glaze(thing.family, thing.coat)
        case Route():
            family = _family_of(thing)
            return GLAZE_BANDS[family] if family else FIRING_BANDS.get(thing.kind)
    return CLAY_BANDS.get(thing.kind)


def _family_of(route: Route) -> Family | None:
    """The family that a firing type for every heat is called after: "low-fire" or "Low fire, Tuesdays"."""
    if route.kind not in _BY_FAMILY:
        return None
    names = {route.name, "-".join(route.title.casefold().split())}
    return next((one for one in GLAZE_BANDS if any(one.value in name for name in names)), None)


def _fits(cones: Mapping[str, Cone], band: ConeRange | None) -> bool:
    """Whether all of them are in the band and none is cooler than the one before."""
    inside = band is None or all(band.low <= cone <= band.high for cone in cones.values())
    return inside and all(low <= high for low, high in pairwise(cones.values()))


def _are_near(one: Cone, other: Cone) -> bool:
    return (one.rank < 0) is (other.rank < 0) and abs(one.rank - other.rank) <= _NARROW * 10


def _led_astray(route: Route, band: ConeRange | None) -> ConeQuestion | None:
    """Whether its own schedule goes to the heat of another cone than its own, or to that of none."""
    if not route.segments:
        return None
    hottest = max(one.target_c for one in route.segments)
    cones = [cone for cone in CONES if cone.celsius <= hottest]
    if not cones:
        words = _("its schedule only goes to {heat}, not {cone}. Check the unit: °C or °F.")
        message = Message("schedule-too-cool", words, cone=route.cone, heat=celsius(hottest))
        return ConeQuestion(key=_key(route), fact=FIRED_TO, cone=route.cone, message=message, fixes=())
    holds = any(one.hold_min for one in route.segments if one.target_c == hottest)
    cooler = _COOLER_WITH_A_HOLD if holds else _COOLER
    if -cooler <= CONES.index(cones[-1]) - CONES.index(route.cone) <= _HOTTER:
        return None
    led_to = cones[-1]
    words = _("its schedule goes to the heat of {led_to}, not {cone}.")
    fits = band is None or band.low <= led_to <= band.high
    return ConeQuestion(
        key=_key(route),
        fact=FIRED_TO,
        cone=route.cone,
        message=Message("schedule-astray", words, led_to=led_to, cone=route.cone),
        fixes=(ConeFix(FIRED_TO, route.cone, led_to),) if fits else (),
    )


def _straddling(clay: Clay) -> ConeQuestion | None:
    """Whether a clay for any heat matures, or slumps, over both sides of the zero where one side alone would do."""
    cones = cones_of(clay)
    for (low, cool), (high, hot) in pairwise(cones.items()):
        if fixes := tuple(_narrowed(low, cool, high, hot)):
            words = _("few clays mature over all of {cones}.")
            message = Message("cones-straddle", words, cones=ConeRange(cool, hot))
            fact = fixes[0].fact
            return ConeQuestion(key=_key(clay), fact=fact, cone=cones[fact], message=message, fixes=fixes)
    return None


def _narrowed(low: str, cool: Cone, high: str, hot: Cone) -> Iterator[ConeFix]:
    if cool.rank < 0 < hot.rank:
        if (cooler := toggled(hot)) is not None and cool <= cooler and _are_near(cool, cooler):
            yield ConeFix(high, hot, cooler)
        if low == "cone_low" and (hotter := toggled(cool)) is not None and hotter <= hot and _are_near(hotter, hot):
            yield ConeFix(low, cool, hotter)


# ---- in words -------------------------------------------------------------------------------------------------------


def _outside(cone: Cone, things: Message, band: ConeRange) -> Message:
    words = _("{cone} doesn't fit {things}: {band} is usual.")
    return Message("cone-outside", words, cone=cone, things=things, band=_usual(band))


def _usual(band: ConeRange) -> Fact:
    if band.low == CONES[0]:
        return Message("or-cooler", _("{cone} or cooler"), cone=band.high)
    if band.high == CONES[-1]:
        return Message("or-hotter", _("{cone} or hotter"), cone=band.low)
    return band


def _called(thing: HasCones) -> Message:
    match thing:
        case Glaze(coat=Coat.OVERGLAZE):
            return Message("overglazes", _("overglazes"))
        case Glaze(family=Family.OUTDOOR):
            return Message("raku-glazes", _("raku glazes"))
        case Glaze():
            return Message("glazes-of-family", _("{family} glazes"), family=thing.family)
        case Route():
            return Message("firings-of-kind", _("{kind} firings"), kind=_family_of(thing) or thing.kind)
    return Message("clays-of-kind", "{kind}", kind=thing.kind)
