"""What a firing's chart shows, in plain numbers: readings, schedule, marks; and how a long log is thinned for it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

Point = tuple[float, float]
"""Hours since the start, and degrees of the scale in which the chart is read."""

QUARTZ = 573.0
"""°C at which quartz changes its form and its size (textbook)."""

HIGHEST = 1300.0
"""°C that an empty chart goes to: a little over cone 10."""

LONGEST_SILENCE = 6.0
"""A pause of more than so many usual pauses between readings is a gap, and the line is not drawn across it …"""

SHORTEST_GAP = 0.5
"""… unless it is shorter than this, in hours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveWords:
    """What a chart says by itself: its legend, its axes, the heat of quartz from the longest saying to the shortest.

    `hour` has a place for {hours}, `mark` for {label}, {degrees} and {hours}.
    """

    measured: str
    schedule: str
    marks: str
    quartz: tuple[str, ...]
    nothing: str
    degrees: str
    hour: str
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveSeen:
    """What a chart shows: readings and schedule in order of time, marks with their labels, the target and its label.

    Degrees are of one scale throughout, °C unless `quartz`, and the end of an empty chart, `highest`, say otherwise.
    A time that goes back, or a number that is none, is a ValueError; `now` is an hour and what is said of it.
    """

    said: CurveWords
    points: tuple[Point, ...] = ()
    schedule: tuple[Point, ...] = ()
    marks: tuple[tuple[float, float, str], ...] = ()
    target: tuple[float, str] | None = None
    now: tuple[float, str] | None = None
    quartz: float = QUARTZ
    highest: float = HIGHEST

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn as a curve."""
        numbers = [number for place in self.places for number in place]
        numbers += [self.now[0] if self.now else 0.0, self.target[0] if self.target else 0.0]
        if not all(map(math.isfinite, numbers)):
            raise ValueError("A curve is drawn from numbers only.")
        for line in (self.points, self.schedule):
            if any(after[0] < before[0] for before, after in pairwise(line)):
                raise ValueError("A curve's readings come in the order of time.")

    @property
    def places(self) -> tuple[Point, ...]:
        """All that has a time and a temperature."""
        return (*self.points, *self.schedule, *((hours, degrees) for hours, degrees, _ in self.marks))


def thinned(points: tuple[Point, ...], columns: int) -> tuple[Point, ...]:
    """At most four points for each of `columns` equal spans of time: the first, lowest, highest and last of each."""
    if len(points) <= 2 * columns or points[-1][0] <= points[0][0]:
        return points
    start, span = points[0][0], (points[-1][0] - points[0][0]) / columns
    kept: list[Point] = []
    column: list[Point] = []
    place = 0
    for point in points:
        here = int((point[0] - start) / span)
        if here != place:
            kept += _outline(column)
            column, place = [], here
        column.append(point)
    return (*kept, *_outline(column))


def _outline(column: list[Point]) -> list[Point]:
    """The first, the lowest, the highest and the last of some points, each once and in their order."""
    if not column:
        return []
    heights = [degrees for _, degrees in column]
    places = {0, heights.index(min(heights)), heights.index(max(heights)), len(column) - 1}
    return [column[place] for place in sorted(places)]


def runs(points: tuple[Point, ...]) -> tuple[tuple[Point, ...], ...]:
    """The readings without the gaps between them: nobody knows what the kiln did where nothing was read."""
    pauses = [after[0] - before[0] for before, after in pairwise(points)]
    if not pauses:
        return (points,) if points else ()
    longest = max(LONGEST_SILENCE * median(pauses), SHORTEST_GAP)
    breaks = [place for place, pause in enumerate(pauses, start=1) if pause > longest]
    return tuple(points[start:end] for start, end in zip([0, *breaks], [*breaks, len(points)], strict=True))
