"""Common practice about one thing, as groups of numbers that a studio may set otherwise: each group is a row here.

From these rows the studio file is read and written, the practice page asks, and the manual tells. A new group is its
frozen dataclass of numbers, a fact of `Practice` with the group's name, and a row.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tracker.domain.message import Plural, _
from tracker.domain.quantities import Unit
from tracker.domain.studio.settings import (
    CorrectionPractice,
    FiringPractice,
    FuelPractice,
    LogPractice,
    OutdoorPractice,
    Practice,
    TermPractice,
)


@dataclass(frozen=True, slots=True)
class Number:
    """One number: the name of the fact, what it is in words, its unit, and between what it lies, both included.

    One with a `measure` is typed and shown in each person's own units. `counted` says so many of a unit that is a word.
    """

    name: str
    what: str
    unit: str
    least: float
    most: float
    whole: bool = False
    measure: Unit | None = None
    counted: Plural | None = None

    @property
    def bounds(self) -> str:
        """What is taken, in words: "a number from 0 to 40"."""
        return f"{'a whole number' if self.whole else 'a number'} from {self.least:g} to {self.most:g}"


@dataclass(frozen=True, slots=True)
class Group:
    """The numbers of one `kind` of practice; `name` is that of the fact in `Practice` and of the table in the file."""

    name: str
    title: str
    kind: type[Any]
    numbers: tuple[Number, ...]

    def of(self, facts: Mapping[str, Any]) -> Any:  # noqa: ANN401 -- each group is of a kind of its own
        """The practice with these facts; what is not among them is common practice."""
        return self.kind(**facts)

    def told(self, practice: Practice) -> dict[str, float]:
        """The numbers of this group as a studio's practice has them, by their names."""
        mine = getattr(practice, self.name)
        return {one.name: getattr(mine, one.name) for one in self.numbers}


_TIMES = Plural("value", "{value} time", "{value} times")
_READINGS = Plural("value", "{value} reading", "{value} readings")
_FIRINGS = Plural("value", "{value} firing", "{value} firings")
_CONES = Plural("value", "{value} cone", "{value} cones")
_PIECES = Plural("value", "{value} piece", "{value} pieces")
_ROUNDS = Plural("value", "{value} round", "{value} rounds")
_PARTS = Plural("value", "{value} part", "{value} parts")
_DAYS = Plural("value", "{value} day", "{value} days")
_MONTHS = Plural("value", "{value} month", "{value} months")


def _minutes(name: str, what: str, most: float = 1_440) -> Number:
    return Number(name, what, "min", 0, most)


def _rate(name: str, what: str) -> Number:
    return Number(name, what, "°C/h", 1, 1_000, measure=Unit.CELSIUS_PER_HOUR)


def _celsius(name: str, what: str, least: float, most: float) -> Number:
    return Number(name, what, "°C", least, most, measure=Unit.CELSIUS)


def _step(name: str, what: str, least: float, most: float) -> Number:
    return Number(name, what, "°C", least, most, measure=Unit.CELSIUS_STEP)


def _pace(name: str, what: str) -> Number:
    return Number(name, what, "°C/min", 1, 500, measure=Unit.CELSIUS_PER_MINUTE)


def _room(name: str, what: str, most: float) -> Number:
    return Number(name, what, "mm", 0, most, whole=True, measure=Unit.MM)


def _fuel(name: str, what: str, least: float, most: float) -> Number:
    return Number(name, what, "kg", least, most, measure=Unit.KILOGRAMS)


_LOGS = Group(
    "logs",
    _("Kiln logs"),
    LogPractice,
    (
        _pace("jump_c_per_min", _("fastest plausible change; a faster step is questioned")),
        _minutes("gap_min", _("longest pause that never counts as a gap")),
        Number("gap_times", _("gap (times the usual pause)"), _("times"), 1, 100, counted=_TIMES),
        Number(
            "gap_times_of_few", _("gap in a short log (times the usual pause)"), _("times"), 1, 1_000, counted=_TIMES
        ),
        Number("few", _("short log: fewer readings than"), _("readings"), 2, 1_000, whole=True, counted=_READINGS),
        _minutes("sparse_min", _("sparse log: usual time between readings over")),
        _minutes("stall_min", _("stall before the peak: shortest that gets a note")),
        _step("stall_c", _("stall: largest change"), 0, 100),
        Number("longest_h", _("longest plausible log; in a longer one, seconds may be read as minutes"), "h", 1, 1_000),
        _celsius("hottest_c", _("highest temperature of a kiln"), 1_000, 3_000),
        _celsius("coldest_c", _("lowest temperature of a kiln"), -100, 0),
        Number("room_f_from", _("lowest room temperature in a log in °F"), "°F", 0, 70),
        Number("room_f_to", _("highest room temperature in a log in °F"), "°F", 71, 130),
        _celsius("cold_room_c", _("lowest plausible first reading; a lower one may be °C entered as °F"), -50, 30),
    ),
)

_FIRES = Group(
    "fires",
    _("Firing rates"),
    FiringPractice,
    (
        _rate("bisque_slow_c_per_h", _("fastest rate at the start of a bisque")),
        _celsius("bisque_slow_below_c", _("slow start of a bisque ends at"), 0, 1_400),
        _rate("bisque_c_per_h", _("fastest rate of a bisque after its slow start")),
        _rate("quartz_c_per_h", _("fastest cooling past the quartz inversion")),
        _step("quartz_within_c", _("width of the range around the quartz inversion, to each side"), 1, 200),
        Number("leeway", _("tolerance before a note (1.05 = 5% too fast)"), _("times"), 1, 10, counted=_TIMES),
        _minutes("stall_min", _("stall: time beyond the scheduled hold")),
        _step("stall_within_c", _("hold tolerance"), 1, 200),
        _pace("jump_c_per_min", _("jump: change of more than")),
        _celsius("open_below_c", _("hottest the kiln may be opened"), 20, 300),
    ),
)

_CORRECTIONS = Group(
    "corrections",
    _("Witness cones that correct a kiln"),
    CorrectionPractice,
    (
        Number("firings", _("number of firings that must agree"), "firings", 1, 12, whole=True, counted=_FIRINGS),
        Number("within_cones", _("agreement between firings"), _("cones"), 0, 5, counted=_CONES),
    ),
)

_OUTDOORS = Group(
    "outdoors",
    _("Outdoor sessions"),
    OutdoorPractice,
    (
        Number("first_round_min", _("time for the first round, from a cold kiln"), "min", 5, 240, whole=True),
        Number("later_round_min", _("time for each later round"), "min", 5, 240, whole=True),
        _room("tong_room_mm", _("space for the tongs between two pieces"), 300),
        _room("container_room_mm", _("space around a piece in its bin"), 200),
        Number("fresh_hours", _("glaze counts as fresh for (fired last)"), "h", 0, 240, whole=True),
        Number(
            "most_a_puller",
            _("most pieces that one person pulls in a round"),
            "pieces",
            1,
            40,
            whole=True,
            counted=_PIECES,
        ),
        _room("apart_room_mm", _("space around a piece that is kept apart"), 400),
        Number("change_heat_min", _("time to change the kiln from one heat to another"), "min", 0, 240, whole=True),
        _celsius("raku_pull_c", _("raku: pull temperature"), 800, 1_150),
        _celsius("raku_sure_c", _("raku: copper flashes in smoke above"), 600, 800),
        _celsius("raku_least_c", _("raku: copper no longer flashes below"), 500, 800),
        _celsius("horsehair_pull_c", _("horsehair: pull temperature"), 600, 800),
        _celsius("hair_most_c", _("horsehair: hair burns away without a line above"), 600, 800),
        _celsius("hair_least_c", _("horsehair: hair doesn't burn below"), 300, 600),
        Number("lid_s", _("time to open the hot kiln"), "s", 0, 120),
        Number("pull_s", _("time to pull one piece"), "s", 1, 120),
        Number("hair_s", _("time to lay hair on one piece"), "s", 0, 240),
        Number("thin_wall_mm", _("thickness of a wall that hasn't been measured"), "mm", 1, 30, measure=Unit.MM),
    ),
)

_FUEL = Group(
    "fuel",
    _("Propane, until this kiln's own sessions show it"),
    FuelPractice,
    (
        _fuel("low", _("propane per round, at least"), 0.1, 50),
        _fuel("likely", _("propane per round, likely"), 0.1, 50),
        _fuel("high", _("propane per round, at most"), 0.1, 50),
        Number("first_counts", _("propane: first round, counted as"), _("rounds"), 1, 10, counted=_ROUNDS),
        Number(
            "spread",
            _("assumed uncertainty until enough sessions have been weighed (0.3 = ±30%)"),
            _("parts"),
            0,
            1,
            counted=_PARTS,
        ),
        _fuel("reserve_kg", _("propane that stays in the tanks"), 0, 20),
    ),
)

_TERMS = Group(
    "terms",
    _("End of a term"),
    TermPractice,
    (
        Number(
            "first_notice_days",
            _("first notice to makers: days before the end"),
            _("days"),
            0,
            90,
            whole=True,
            counted=_DAYS,
        ),
        Number(
            "second_notice_days", _("second notice: days before the end"), _("days"), 0, 90, whole=True, counted=_DAYS
        ),
        Number("last_notice_days", _("last notice: days before the end"), _("days"), 0, 90, whole=True, counted=_DAYS),
        Number(
            "remove_after_months",
            _("offer to remove the data of people who left: months after their term (0 = never)"),
            _("months"),
            0,
            120,
            whole=True,
            counted=_MONTHS,
        ),
    ),
)

GROUPS: tuple[Group, ...] = (_LOGS, _FIRES, _CORRECTIONS, _OUTDOORS, _FUEL, _TERMS)
"""Every group of common practice."""
