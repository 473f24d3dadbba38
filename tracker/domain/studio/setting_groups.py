"""Common practice about one thing, as groups of numbers that a studio may set otherwise: each group is a row here.

From these rows the studio file is read and written, the practice page asks, and the manual tells. A new group is its
frozen dataclass of numbers, a fact of `Practice` with the group's name, and a row.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from tracker.domain.studio.settings import (
    CorrectionPractice,
    FiringPractice,
    FuelPractice,
    LogPractice,
    OutdoorPractice,
)

if TYPE_CHECKING:
    from tracker.domain.studio.settings import Practice


@dataclass(frozen=True, slots=True)
class Number:
    """One number: the name of the fact, what it is in words, its unit, and between what it lies, both included."""

    name: str
    what: str
    unit: str
    least: float
    most: float
    whole: bool = False

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


def _minutes(name: str, what: str, most: float = 1_440) -> Number:
    return Number(name, what, "min", 0, most)


def _rate(name: str, what: str) -> Number:
    return Number(name, what, "°C/h", 1, 1_000)


def _celsius(name: str, what: str, least: float, most: float) -> Number:
    return Number(name, what, "°C", least, most)


_LOGS = Group(
    "logs",
    "What a kiln's log is held to",
    LogPractice,
    (
        Number("jump_c_per_min", "no kiln here moves faster; a faster step is asked about", "°C/min", 1, 500),
        _minutes("gap_min", "a pause between two readings may always be as long"),
        Number("gap_times", "a longer pause is a gap when it is so many times the usual one", "times", 1, 100),
        Number("gap_times_of_few", "the same in a log of few readings", "times", 1, 1_000),
        Number("few", "a log of fewer readings than this counts as one of few", "readings", 2, 1_000, whole=True),
        _minutes("sparse_min", "readings further apart than this on the whole are told"),
        _minutes("stall_min", "a log that stands for so long before its peak is told"),
        _celsius("stall_c", "and stands while it moves by less than this", 0, 100),
        Number("longest_h", "a longer log may be seconds read as minutes, and is asked about", "h", 1, 1_000),
        _celsius("hottest_c", "nothing hotter is a kiln", 1_000, 3_000),
        _celsius("coldest_c", "nothing colder is a kiln", -100, 0),
        Number("room_f_from", "a first reading between this", "°F", 0, 70),
        Number("room_f_to", "and this may be a room in °F", "°F", 71, 130),
        _celsius("cold_room_c", "a first reading below may be °C read as °F", -50, 30),
    ),
)

_FIRES = Group(
    "fires",
    "How fast ware is fired",
    FiringPractice,
    (
        _rate("bisque_slow_c_per_h", "the most for a bisque at first"),
        _celsius("bisque_slow_below_c", "up to this temperature", 0, 1_400),
        _rate("bisque_c_per_h", "the most for a bisque above it"),
        _rate("quartz_c_per_h", "the most on the way down past 573 °C"),
        _celsius("quartz_within_c", "give or take so much", 1, 200),
        Number("leeway", "a real curve may be so many times as fast before anything is said", "times", 1, 10),
        _minutes("stall_min", "a kiln stalls when it stands so much longer than its programme holds"),
        _celsius("stall_within_c", "within so much of there", 1, 200),
        Number("jump_c_per_min", "a curve jumps when it moves faster", "°C/min", 1, 500),
    ),
)

_CORRECTIONS = Group(
    "corrections",
    "When witness cones correct a kiln",
    CorrectionPractice,
    (
        Number("firings", "so many firings have to agree", "firings", 1, 12, whole=True),
        Number("within_cones", "within so many whole cones", "cones", 0, 5),
    ),
)

_OUTDOORS = Group(
    "outdoors",
    "How an outdoor session is run",
    OutdoorPractice,
    (
        Number("first_round_min", "the first round, from a cold kiln", "min", 5, 240, whole=True),
        Number("later_round_min", "each later round", "min", 5, 240, whole=True),
        Number("tong_room_mm", "what stays free for the tongs between two pieces", "mm", 0, 300, whole=True),
        Number("container_room_mm", "what stays free round a piece in its container", "mm", 0, 200, whole=True),
        Number("fresh_hours", "glaze as fresh as this is fired last", "h", 0, 240, whole=True),
        Number("most_a_puller", "so many pieces one person pulls in a round at most", "pieces", 1, 40, whole=True),
        Number("apart_room_mm", "what stays free round a piece that is set apart", "mm", 0, 400, whole=True),
    ),
)

_FUEL = Group(
    "fuel",
    "What an outdoor round takes, before this kiln's own sessions tell",
    FuelPractice,
    (
        Number("low", "propane for a round at least", "kg", 0.1, 50),
        Number("likely", "likely", "kg", 0.1, 50),
        Number("high", "at most", "kg", 0.1, 50),
        Number("first_counts", "as so many later rounds the first one counts", "rounds", 1, 10),
        Number("spread", "so far, in parts, a session may be off while too few were weighed", "parts", 0, 1),
        Number("reserve_kg", "what the bottles keep back", "kg", 0, 20),
    ),
)

GROUPS: tuple[Group, ...] = (_LOGS, _FIRES, _CORRECTIONS, _OUTDOORS, _FUEL)
"""Every group of common practice."""


def groups_table() -> str:
    """The groups as the Markdown table that the manual shows, each number with its default."""
    rows = [
        f"| `[practice.{group.name}]` `{one.name}` | {one.what} | `{getattr(group.kind(), one.name):g}` {one.unit} |"
        for group in GROUPS
        for one in group.numbers
    ]
    return "\n".join(["| in the file | what it is | default (common practice) |", "|---|---|---|", *rows])
