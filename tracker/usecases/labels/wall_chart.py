"""The glaze shelf in the words of its wall chart: what each glaze is, where it stands, and what it must never do."""

from __future__ import annotations

from collections.abc import Iterator

from printing.studio import wall_charts as charts
from tracker.domain.message import Choice, Fact, Message, _
from tracker.domain.quantities import Units, celsius_as_read
from tracker.domain.rules.food_standing import (
    is_never_for_food,
    metals_never_passed,
    only_failed,
    passed_tests,
    settled,
)
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.cautions import food_on
from tracker.domain.studio.leach_evidence import in_force
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.materials import Coat, Family, FoodStanding, Glaze, Trait
from tracker.domain.studio.metals import POISONS, unnamed_in
from tracker.usecases.studio.cautions import of_shelf, of_smoked_ware
from tracker.wording.reader import Reader
from tracker.wording.render import read, say, say_all

_HEADINGS: dict[Family | Coat, Message] = {
    Family.LOW_FIRE: Message("chart-low-fire", _("Low-fire glazes")),
    Family.MID_RANGE: Message("chart-mid-range", _("Mid-range glazes")),
    Family.HIGH_FIRE: Message("chart-high-fire", _("High-fire glazes")),
    Family.OUTDOOR: Message("chart-outdoor", _("Raku glazes, for raku only")),
    Family.OUTSIDE: Message("chart-outside", _("Glazes from outside the studio")),
    Coat.UNDERGLAZE: Message("chart-underglaze", _("Underglazes, under a glaze or on bare clay")),
    Coat.SLIP: Message("chart-slip", _("Slips, on bare clay")),
    Coat.SIGILLATA: Message("chart-sigillata", _("Terra sigillata, on bare clay")),
    Coat.OVERGLAZE: Message("chart-overglaze", _("Overglazes, over fired glaze")),
}
"""The groups of the chart in their order: glazes by their heat, then what is another coat."""
_HEADS = (
    Message("head-glaze", _("Glaze")),
    Message("head-matures", _("Cones")),
    Message("head-goes-on", _("Apply by")),
    Message("head-stands", _("Location")),
    Message("head-food", _("Food")),
    Message("head-limits", _("Limits")),
)
_ASK = Message("when-in-doubt", _("Not sure about a glaze, a clay or a kiln? Ask before you glaze."))


def wall_chart(studio: Studio, reader: Reader, paper: str = "a4") -> bytes:
    """The studio's glazes in use as a PDF, by what they are and from cool to hot; `paper` is "a4" or "letter"."""
    return charts.chart_pdf(shelf_of(studio, reader), paper)


def shelf_of(studio: Studio, reader: Reader) -> charts.Shelf:
    """What the chart says."""
    regime = studio.catalog.practice.regime
    in_use = [glaze for glaze in studio.catalog.glazes.values() if not (glaze.retired or glaze.burns_away)]
    in_use.sort(key=lambda glaze: (glaze.cone_high, glaze.cone_low, glaze.name.casefold()))
    groups = tuple(
        (say(heading, reader), tuple(_line(glaze, regime, reader) for glaze in in_use if glaze.sort is sort))
        for sort, heading in _HEADINGS.items()
        if any(glaze.sort is sort for glaze in in_use)
    )
    page = Message(
        "chart-page", _("{studio}, page {number} of {count}"), studio="{studio}", number="{number}", count="{count}"
    )
    return charts.Shelf(
        title=say(Message("glaze-shelf", _("The glaze shelf")), reader),
        studio=studio.name,
        numbered=say(page, reader),
        heads=tuple(say(head, reader) for head in _HEADS),
        groups=groups,
        caution=say_all([food_on("chart"), *_dangers(studio), _ASK], reader),
    )


def _dangers(studio: Studio) -> Iterator[Message]:
    """What the chart says of its dangers besides food: ware that is pulled hot, then dust and spraying."""
    yield from (one.line for one in (*of_smoked_ware(studio), *of_shelf(studio)))


def _line(glaze: Glaze, regime: Regime, reader: Reader) -> charts.Glaze:
    told = Message("limits", "{limits}", limits=(*limits(glaze, regime), *_contents(glaze)))
    return charts.Glaze(
        name=glaze.name,
        matures=read(_matures(glaze, reader), reader),
        goes_on=read(tuple(sorted(glaze.goes_on)), reader),
        stands=glaze.bucket,
        food=say(food_of(glaze, regime), reader),
        limits=say(told, reader),
    )


def _contents(glaze: Glaze) -> tuple[Message, ...]:
    """Which metals in it poison whoever eats from it or handles it raw."""
    metals: tuple[Fact, ...] = (*(one for one in POISONS if one in glaze.holds), *unnamed_in(glaze.metals))
    return (Message("contains-metals", _("contains {metals}"), metals=metals),) if metals else ()


def _matures(glaze: Glaze, reader: Reader) -> Fact:
    """Its cones; whoever reads °F gets °C too, because the chart hangs where everyone reads it."""
    if reader.units is Units.METRIC:
        return glaze.cones
    low, high = glaze.cones.low, glaze.cones.high
    words = _("{cones} ({low})") if low == high else _("{cones} ({low} to {high})")
    heats = {"low": celsius_as_read(low.celsius), "high": celsius_as_read(high.celsius)}
    return Message("cones-in-both", words, cones=glaze.cones, **heats)


def food_of(glaze: Glaze, regime: Regime) -> Message:
    """A glaze's food standing in a few words; passed tests with their metals, cone and day, and metals without any."""
    standing = "over" if only_failed(glaze, regime) else settled(glaze, regime)
    passed = passed_tests(in_force(glaze.tests), regime)
    told = Message("glaze-food", Choice("standing", _FOOD), standing=standing, passed=passed, cones=glaze.cones)
    if standing == "over" or standing is FoodStanding.DECORATIVE or not (metals := metals_never_passed(glaze, regime)):
        return told
    return Message(
        "glaze-food-with-care", _("{standing}; {metals} not tested: with care"), standing=told, metals=metals
    )


_FOOD = {
    "over": _("a leach test failed"),
    FoodStanding.TESTED.value: _("leach tests passed: {passed}"),
    FoodStanding.DECLARED.value: _("manufacturer says food-safe, {cones}"),
    FoodStanding.UNTESTED.value: _("no leach test"),
    FoodStanding.DECORATIVE.value: _("decorative"),
}


_LIMITS = {
    Trait.CRACKLE: Message("crackles", _("crackles: ask before you use it on a functional piece")),
    Trait.RUNNY: Message("runs", _("runs: set the piece on a kiln cookie (drip plate)")),
    Trait.WANTS_REDUCTION: Message("wants-reduction", _("needs a reducing kiln")),
    Trait.WANTS_OXIDATION: Message("wants-oxidation", _("needs an oxidizing kiln")),
}
_OUTDOORS = {
    Trait.RUNNY: Message("runs-off-the-foot", _("runs: keep it well off the foot")),
    Trait.WANTS_REDUCTION: Message("reduced-in-a-bin", _("needs reduction in a bin")),
}
"""What a trait asks for in raku: ware that tongs lift stands on no cookie, and it is reduced after the kiln."""
_ABOVE_ITS_TOP = {
    Coat.UNDERGLAZE: _("fades above {cone}"),
    Coat.SLIP: _("darkens above {cone}"),
    Coat.SIGILLATA: _("darkens and loses its sheen above {cone}"),
}
"""What becomes of what only fades, and stands any heat (`Glaze.ceiling`)."""


def limits(glaze: Glaze, regime: Regime) -> tuple[Message, ...]:
    """What must not be done with a glaze whatever the piece is, and what it asks for."""
    if glaze.burns_away:
        return ()
    words = _ABOVE_ITS_TOP.get(glaze.coat, _("never hotter than {cone}"))
    messages = [Message("hottest", words, cone=glaze.cone_high)]
    if glaze.is_outdoor_only:
        messages.append(Message("never-indoors", _("never indoors")))
    is_never = is_never_for_food(glaze, regime)
    if is_never:
        messages.append(Message("never-on-ware-for-food", _("never on a functional piece")))
    for trait, told in _LIMITS.items():
        if trait in glaze.traits and not (is_never and trait is Trait.CRACKLE):
            messages.append(_OUTDOORS.get(trait, told) if glaze.is_outdoor_only else told)
    return tuple(messages)
