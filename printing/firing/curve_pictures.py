"""A firing's curve against its schedule: hours across, °C up, cones as marks, and every line named in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise

from printing.firing.curves import CurveSeen, Point, runs, thinned
from printing.lettering import LEADING, NARROW, SAMPLE, SCREEN_SIZE, At, is_free, legend, words, wrapped_freely
from printing.shapes import (
    CAP_HEIGHT,
    Edges,
    Face,
    Ground,
    Ink,
    Line,
    Oblong,
    Pen,
    Picture,
    Rule,
    Shape,
    Text,
    box,
    meet,
    moved,
)

HOUR_STEPS = (0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 12.0, 24.0, 48.0)
DEGREE_STEPS = (50.0, 100.0, 200.0, 250.0, 500.0)


def curve_picture(
    curve: CurveSeen, *, width: float = NARROW, size: float = SCREEN_SIZE, height: float | None = None
) -> Picture:
    """The chart with its legend, no letter smaller than `size`; `height` is that of the lines alone.

    `width`, `size` and `height` are in pixels for a page and in mm for paper.
    """
    chart = _chart(curve, width, size, height or max(0.52 * width, min(0.9 * width, 18 * size)))
    chart.draw_ground(curve)
    drawn = chart.lines_of(curve)
    chart.draw_marks(curve.marks)
    if curve.target:
        degrees, said = curve.target
        chart.name_line(degrees, (said,), Face.BOLD, Ink.CELADON)
    for mark in curve.marks:
        chart.name_mark(*mark, curve.said.mark)
    if chart.low < curve.quartz < chart.high:
        chart.name_line(curve.quartz, curve.said.quartz, Face.REGULAR, Ink.SOFT)
    if not curve.points and not curve.schedule:
        chart.name_line((chart.low + chart.high) / 2, (curve.said.nothing,), Face.REGULAR, Ink.SOFT)
    shapes = [*chart.under, *drawn, *chart.over]
    y = chart.foot + 2.15 * size
    for part, high in (_aside(chart.homeless, width, size), legend(_signs(curve, size), size, width)):
        shapes += [moved(shape, 0.0, y) for shape in part]
        y += high + (0.3 * size if high else 0.0)
    return Picture(width, y, tuple(shapes))


def _aside(said: list[str], width: float, size: float) -> tuple[list[Shape], float]:
    """What found no room between the lines, in words below them."""
    lines = [line for words_said in said for line in wrapped_freely(words_said, Face.REGULAR, width / size)]
    shapes: list[Shape] = [
        words(0.0, (row * LEADING + 0.95) * size, size, line, room=width) for row, line in enumerate(lines)
    ]
    return shapes, len(lines) * LEADING * size


def _signs(curve: CurveSeen, size: float) -> list[tuple[list[Shape], str]]:
    """The legend: each kind of line and mark that the chart shows."""
    across = ((0.1 * size, 0.5 * size), ((SAMPLE - 0.1) * size, 0.5 * size))
    signs: list[tuple[list[Shape], str]] = []
    if curve.points:
        signs.append(([Line(across, _measured(size))], curve.said.measured))
    if curve.schedule:
        signs.append(([Line(across, _planned(size))], curve.said.schedule))
    if curve.marks:
        signs.append(([_diamond(SAMPLE * size / 2, 0.5 * size, size)], curve.said.marks))
    return signs


def _measured(size: float) -> Pen:
    return Pen(0.2 * size, Ink.IRON)


def _planned(size: float) -> Pen:
    return Pen(0.15 * size, Ink.COBALT, (0.45 * size, 0.3 * size))


def _diamond(x: float, y: float, size: float) -> Line:
    half = 0.42 * size
    corners = ((x, y - half), (x + half, y), (x, y + half), (x - half, y))
    return Line(corners, Pen(0.14 * size), closed=True, ground=Ground.LEAF)


# ---- axes, and where words have room -------------------------------------------------------------------------------


def _chart(curve: CurveSeen, width: float, size: float, height: float) -> _Chart:
    """The chart's frame: axes long enough for everything on it."""
    hours = [at for at, _ in curve.places] + [curve.now[0] if curve.now else 0.0, 0.0]
    degrees = [at for _, at in curve.places] + [0.0]
    degrees += [curve.target[0]] if curve.target else []
    span = max(hours) - min(hours) or 12.0
    rise = max(max(degrees) * 1.06 - min(degrees), 400.0) if len(degrees) > 1 else curve.highest
    step = _step(rise, DEGREE_STEPS, int(height / (2.2 * size)))
    low = step * math.floor(min(degrees) / step)
    high = step * math.ceil((min(degrees) + rise) / step)
    ticks = [low + step * count for count in range(round((high - low) / step) + 1)]
    # A figure in between may be the widest: 1000 is wider than 1100.
    left = max(words(0.0, 0.0, size, f"{tick:.0f}").width for tick in ticks) + 0.6 * size
    return _Chart(
        size=size,
        left=left,
        right=width - 0.9 * size,
        top=2.0 * size,
        foot=2.0 * size + height,
        start=min(hours),
        end=min(hours) + span,
        low=low,
        high=high,
        hour_step=_step(span, HOUR_STEPS, int((width - left) / (3.6 * size))),
        degree_step=step,
    )


def _step(span: float, steps: tuple[float, ...], most: int) -> float:
    """The smallest round step that parts `span` into no more than `most` parts."""
    for step in steps:
        if span / step <= max(most, 1):
            return step
    step = steps[-1]
    while span / step > max(most, 1):
        step *= 2
    return step


@dataclass(slots=True)
class _Chart:
    """A chart while it is drawn: its axes, what lies under and over the curves, and which places words have taken."""

    size: float
    left: float
    right: float
    top: float
    foot: float
    start: float
    end: float
    low: float
    high: float
    hour_step: float
    degree_step: float
    under: list[Shape] = field(default_factory=list)
    over: list[Shape] = field(default_factory=list)
    taken: list[Edges] = field(default_factory=list)
    traced: list[Point] = field(default_factory=list)
    homeless: list[str] = field(default_factory=list)

    def x(self, hours: float) -> float:
        """Where an hour stands."""
        return self.left + (hours - self.start) / (self.end - self.start) * (self.right - self.left)

    def y(self, degrees: float) -> float:
        """Where a temperature stands."""
        return self.foot - (degrees - self.low) / (self.high - self.low) * (self.foot - self.top)

    @property
    def bounds(self) -> Edges:
        """The room between the axes."""
        return self.left, self.top, self.right, self.foot

    def draw_ground(self, curve: CurveSeen) -> None:
        """The ground, ticks with their numbers, and the lines that go right across."""
        size, hair = self.size, Pen(0.07 * self.size, Ink.LINE)
        self.under.append(Oblong(self.left, self.top, self.right - self.left, self.foot - self.top, ground=Ground.LEAF))
        for degrees in _ticks(self.low, self.high, self.degree_step):
            y = self.y(degrees)
            self.under.append(Line(((self.left, y), (self.right, y)), hair))
            base = y + CAP_HEIGHT * size / 2
            self.under.append(words(self.left - 0.45 * size, base, size, f"{degrees:.0f}", at=At.END, ink=Ink.SOFT))
        self.under.append(words(0.0, 0.95 * size, size, curve.said.degrees, ink=Ink.SOFT))
        for hours in _ticks(self.start, self.end, self.hour_step):
            x = self.x(hours)
            self.under.append(Line(((x, self.foot), (x, self.foot + 0.35 * size)), Pen(0.1 * size)))
            hour = curve.said.hour.format(hours=f"{hours:g}")
            text = words(x, self.foot + 1.55 * size, size, hour, at=At.MIDDLE, ink=Ink.SOFT)
            over = max(0.0, text.x + text.width - self.right - 0.9 * size)
            self.under.append(moved(text, -over, 0.0))
        self.under.append(Line(((self.left, self.foot), (self.right, self.foot)), Pen(0.12 * size)))
        if self.low < curve.quartz < self.high:
            self._across(curve.quartz, Pen(0.1 * size, Ink.SOFT, (0.12 * size, 0.3 * size)))
        if curve.target:
            self._across(curve.target[0], Pen(0.12 * size, Ink.CELADON))
        if curve.now is not None:
            self._draw_now(*curve.now)

    def _across(self, degrees: float, pen: Pen) -> None:
        self.under.append(Line(((self.left, self.y(degrees)), (self.right, self.y(degrees))), pen))

    def _draw_now(self, hours: float, said: str) -> None:
        """A line from top to foot, its word above it."""
        x, size = self.x(hours), self.size
        text = words(x, 0.95 * size, size, said, Face.BOLD, at=At.MIDDLE)
        room = 1.6 * size, self.right + 0.9 * size - text.width
        self.under.append(Rule(x - 0.05 * size, self.top - 0.6 * size, 0.1 * size, self.foot - self.top + 0.6 * size))
        self.traced += _traced(((x, self.top), (x, self.foot)), 0.35 * size)
        self.under.append(moved(text, min(max(text.x, room[0]), room[1]) - text.x, 0.0))

    def lines_of(self, curve: CurveSeen) -> list[Shape]:
        """Schedule and readings as lines; they are also remembered, so that no word is set on them."""
        columns = max(int((self.right - self.left) / self.size * 12), 1)
        drawn: list[Shape] = []
        for points, pen in (
            (curve.schedule, _planned(self.size)),
            *((run, _measured(self.size)) for run in runs(curve.points)),
        ):
            places = tuple((self.x(hours), self.y(degrees)) for hours, degrees in thinned(points, columns))
            if len(places) == 1:
                places = (
                    (places[0][0] - 0.01 * self.size, places[0][1]),
                    (places[0][0] + 0.2 * self.size, places[0][1]),
                )
            if places:
                drawn.append(Line(places, pen))
                self.traced += _traced(places, 0.35 * self.size)
        return drawn

    def draw_marks(self, marks: Iterable[tuple[float, float, str]]) -> None:
        """Draw every mark, so that no word is set on any."""
        for hours, degrees, _ in marks:
            diamond = _diamond(self.x(hours), self.y(degrees), self.size)
            self.over.append(diamond)
            self.taken.append(box(diamond))

    def name_line(self, degrees: float, sayings: tuple[str, ...], face: Face, ink: Ink) -> None:
        """Write on a line that goes across what it is, in the longest saying through which no curve runs."""
        room = self.right - self.left - self.size
        texts = [words(0.0, 0.0, self.size, said, face, ink=ink) for said in sayings]
        # One that is wider than the chart is not cut short: a shorter one is written, or all of it below.
        texts = [text for text in texts if text.width <= room]
        y = self.y(degrees)
        places = [
            _at(
                text,
                self.left + 0.4 * self.size + share * (self.right - self.left - text.width - 0.8 * self.size),
                base,
            )
            for text in texts
            for base in (y - 0.35 * self.size, y + 1.05 * self.size)
            for share in (0.0, 1.0, 0.5, 0.25, 0.75)
        ]
        if not self._settle((place, None) for place in places):
            self.homeless.append(sayings[0])

    def name_mark(self, hours: float, degrees: float, said: str, elsewhere: str) -> None:
        """Write beside a mark what it is, or, where nothing is free, in words below the chart."""
        text = words(0.0, 0.0, self.size, said, Face.BOLD, room=0.6 * (self.right - self.left))
        if not self._settle(self._around(self.x(hours), self.y(degrees), text)):
            self.homeless.append(elsewhere.format(label=said, degrees=f"{degrees:.0f}", hours=f"{hours:.1f}"))

    def _around(self, x: float, y: float, text: Text) -> Iterator[tuple[Text, Line | None]]:
        """Places about a mark, the nearest first and left before right, each with a line to it when it stands away."""
        size = self.size
        for side, across, down in BESIDE:
            if side:
                left = x + side * (0.7 + across) * size - (text.width if side < 0 else 0.0)
                end = left + (text.width if side < 0 else 0.0), y + down * size
            else:
                left, end = x - text.width / 2, (x, y + (down - math.copysign(0.45, down)) * size)
            near = not across and abs(down) < 1.0
            leader = None if near else Line(((x, y), end), Pen(0.07 * size, Ink.SOFT))
            yield _at(text, left, y + down * size + CAP_HEIGHT * size / 2), leader

    def _settle(self, places: Iterable[tuple[Text, Line | None]]) -> bool:
        """Set a text in the first place that is free, else where the least of a curve runs through it, if anywhere."""
        best: tuple[int, Text, Line | None] | None = None
        for text, leader in places:
            if not text.text or not self._is_free(text, leader):
                continue
            struck = sum(meet((*point, *point), box(text), 0.1 * self.size) for point in self.traced)
            if best is None or struck < best[0]:
                best = struck, text, leader
            if struck == 0:
                break
        if best is None:
            return False
        _, text, leader = best
        left, top, right, foot = box(text)
        self.under.append(Oblong(left, top, right - left, foot - top, ground=Ground.LEAF))
        self.under += [leader] if leader else []
        self.over.append(text)
        self.taken.append(box(text))
        return True

    def _is_free(self, text: Text, leader: Line | None) -> bool:
        """Whether a text stands on no other, and its line to a mark crosses no other text and no other mark."""
        if not is_free(box(text), self.bounds) or any(meet(box(text), other, 0.08 * self.size) for other in self.taken):
            return False
        if leader is None:
            return True
        mark, away = leader.points[0], 0.45 * self.size
        own = (mark[0] - away, mark[1] - away, mark[0] + away, mark[1] + away)
        others = [other for other in self.taken if not meet((*mark, *mark), other)]
        points = [point for point in _traced(leader.points, self.size / 3) if not meet((*point, *point), own)]
        return not any(meet((*point, *point), other) for point in points for other in others)


def _beside() -> tuple[tuple[int, float, float], ...]:
    """Places about a mark: left, right or middle, how far across and how far down, the best first."""
    sides = [(side, across, 0.6 * down) for side in (-1, 1) for across in range(9) for down in range(-11, 12)]
    middle = [(0, 0.0, 1.3 * down) for down in (-3, -2, -1, 1, 2, 3)]

    def cost(place: tuple[int, float, float]) -> float:
        side, across, down = place
        return math.hypot(1.2 * across, down + 0.2) + (1.6 if side > 0 else 0.8 if side == 0 else 0.0)

    return tuple(sorted([*sides, *middle], key=cost))


BESIDE = _beside()


def _at(text: Text, x: float, y: float) -> Text:
    return replace(text, x=x, y=y)


def _ticks(low: float, high: float, step: float) -> list[float]:
    first = math.ceil(low / step - 1e-9)
    return [place * step for place in range(first, math.floor(high / step + 1e-9) + 1)]


def _traced(points: tuple[Point, ...], pace: float) -> list[Point]:
    """Points along a line, never farther apart than `pace`."""
    traced = list(points[:1])
    for (x, y), (to_x, to_y) in pairwise(points):
        steps = max(math.ceil(math.hypot(to_x - x, to_y - y) / pace), 1)
        traced += [(x + (to_x - x) * step / steps, y + (to_y - y) * step / steps) for step in range(1, steps + 1)]
    return traced
