"""Forecasts: about when a hot kiln is cool enough to open, and how many loads come before a waiting piece.

Each says what it rests on, and none is made where nothing tells. A kiln is opened by its pyrometer, not a forecast.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from math import log
from statistics import median
from typing import Final

from tracker.domain.firing.curves import HOUR_S, Curve
from tracker.domain.firing.schedules import ROOM_C

_LAST_HOURS_S: Final = 3 * HOUR_S
_SHORTEST_S: Final = HOUR_S
_LEAST_FALL_C: Final = 20.0
"""A log tells how a kiln cools by its last three hours, if they are an hour at least and it fell by so much in them
(common practice)."""


# ---- when a kiln may be opened ---------------------------------------------------------------------------------------


class Basis(StrEnum):
    """What a forecast of an opening rests on."""

    LOG = "log"
    EARLIER = "earlier"
    SCHEDULE = "schedule"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heating:
    """When a kiln came on, when it came off and when its ware was out; None for a time that was not noted."""

    lit_at: datetime | None
    shut_at: datetime | None = None
    unloaded_at: datetime | None = None

    @property
    def off_at(self) -> datetime | None:
        """When it came off; None where that was noted at once with the start, for no kiln heats in no time."""
        at_once = self.shut_at is not None and self.lit_at is not None and self.shut_at <= self.lit_at
        return None if at_once else self.shut_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """About when a kiln may be opened, by its `basis`.

    By its log `at` is when it is as cool as `below_c` at the earliest; by EARLIER it is when `count` earlier firings
    like it were out, the middle one of them. By the SCHEDULE, `at` is when the fire ends, and nobody can say how long
    the kiln then cools. None where nothing tells.
    """

    basis: Basis
    below_c: float
    at: datetime | None = None
    count: int = 0


def opening_of(
    heating: Heating,
    *,
    below_c: float,
    log_points: Sequence[tuple[float, float]] = (),
    earlier: Sequence[Heating] = (),
    schedule_s: float | None = None,
) -> Opening:
    """About when a kiln may be opened: by its own log, else by earlier firings, else when its schedule ends.

    `log_points` are (seconds after it came on, °C); `earlier` are firings of the same type in the same kiln;
    `schedule_s` is how long this one heats.
    """
    if heating.lit_at is not None and (second := cool_enough_at(log_points, below_c)) is not None:
        return Opening(basis=Basis.LOG, below_c=below_c, at=heating.lit_at + timedelta(seconds=second))
    for since, lasted in ((heating.off_at, _spans(earlier, from_off=True)), (heating.lit_at, _spans(earlier))):
        if since is not None and lasted:
            out = since + timedelta(seconds=median(lasted))
            return Opening(basis=Basis.EARLIER, below_c=below_c, at=out, count=len(lasted))
    if heating.lit_at is not None and heating.shut_at is None and schedule_s is not None:
        ends = heating.lit_at + timedelta(seconds=schedule_s)
        return Opening(basis=Basis.SCHEDULE, below_c=below_c, at=ends)
    return Opening(basis=Basis.NOTHING, below_c=below_c)


def cool_enough_at(points: Sequence[tuple[float, float]], below_c: float, room_c: float = ROOM_C) -> float | None:
    """When a log that cools is at `below_c`, in s: as it was read, else by Newton's law of cooling from its last hours.

    A kiln cools ever more slowly than the law, as its bricks give off what they hold: so it is the earliest. None for a
    log that never was hotter, or is not cooling for long enough to tell, and for an opening no warmer than the room.
    """
    if len(points) < 2 or below_c <= room_c:  # noqa: PLR2004 -- fewer make no curve
        return None
    curve = Curve.of(points)
    if curve.peak_c <= below_c:
        return None
    cooling = [point for point in points if point[0] >= curve.peak_s]
    below = next((at for at, (_second, heat) in enumerate(cooling) if at and heat <= below_c), None)
    if below is not None:
        (start, hot), (end, cool) = cooling[below - 1], cooling[below]
        return start + (end - start) * (hot - below_c) / (hot - cool) if hot > cool else end
    recent = [(second, heat) for second, heat in cooling if second >= curve.seconds[-1] - _LAST_HOURS_S]
    fell = recent[0][1] - recent[-1][1]
    if recent[-1][0] - recent[0][0] < _SHORTEST_S or fell < _LEAST_FALL_C or curve.last_c <= below_c:
        return None
    seconds_to_a_part = _falls_to_a_part(recent, room_c)
    last_s, last_c = recent[-1]
    return last_s + seconds_to_a_part * log((last_c - room_c) / (below_c - room_c))


def _falls_to_a_part(points: Sequence[tuple[float, float]], room_c: float) -> float:
    """In how many s the difference from the room falls to 1/e of itself: the least-squares line through its log."""
    logs = [(second, log(heat - room_c)) for second, heat in points]
    middle_s = sum(second for second, _ in logs) / len(logs)
    middle = sum(value for _, value in logs) / len(logs)
    slope = sum((second - middle_s) * (value - middle) for second, value in logs) / sum(
        (second - middle_s) ** 2 for second, _ in logs
    )
    return -1 / slope


def _spans(earlier: Sequence[Heating], *, from_off: bool = False) -> list[float]:
    """How long each took until it was out, in s: from when its kiln came off, or from when it came on."""
    begun = [(one.off_at if from_off else one.lit_at, one.unloaded_at) for one in earlier]
    return [(out - since).total_seconds() for since, out in begun if since is not None and out is not None]


# ---- how many loads come first ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class InLine:
    """A piece's turn among those that wait for one firing type and that no firing is planned for.

    `ahead` is how many of them come before it. `planned` numbers the firings that are planned without it. `load` is how
    many pieces such a firing usually holds, the middle of the last `counted` ones; None where there were none.
    """

    ahead: int
    planned: tuple[int, ...] = ()
    load: int | None = None
    counted: int = 0

    @property
    def loads(self) -> int | None:
        """How many whole loads are fired before the one it comes into; None where nobody knows what a load holds."""
        if self.load is None:
            return len(self.planned) if not self.ahead else None
        return len(self.planned) + self.ahead // self.load


def in_line(
    piece_id: int, waiting: Sequence[int], *, planned: Collection[int] = (), counts: Sequence[int] = ()
) -> InLine | None:
    """The turn of a piece among those `waiting`, the longest wait first, as a load plan takes them.

    `counts` is how many pieces each of the last firings of this type held. None for a piece that is not waiting.
    """
    if piece_id not in waiting:
        return None
    loads = [count for count in counts if count]
    return InLine(ahead=waiting.index(piece_id), planned=tuple(planned), load=_usual_load(counts), counted=len(loads))


def _usual_load(counts: Sequence[int]) -> int | None:
    """How many pieces a load usually holds, by the last ones; None where there were none."""
    loads = [count for count in counts if count]
    return max(1, int(median(loads))) if loads else None


def with_room(ahead: int, meant: Sequence[int], counts: Sequence[int]) -> int | None:
    """Which of the planned firings has room for one piece more, once those `ahead` of it have a place; None for none.

    `meant` is how many pieces are planned for each, in the order of their days; `counts` as for `in_line`. Without a
    count of earlier loads the first counts as having room.
    """
    load = _usual_load(counts)
    for place, planned in enumerate(meant):
        room = None if load is None else max(0, load - planned)
        if room is None or ahead < room:
            return place
        ahead -= room
    return None
