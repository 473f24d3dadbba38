"""Programmes: what a kiln is told to do, segment by segment, and the common one for each way of firing.

The rates and holds are common practice where no source is named, and settings of a studio; temperatures that aim at a
cone come from the table of end points. Local rules, the kiln maker's instructions and the person in charge of the kiln
come before any programme, and no kiln is left alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from tracker.domain.cones import Cone, Kind, end_point
from tracker.domain.firing.cone_model import DOWN, fits
from tracker.domain.firing.curves import HOUR_S, Curve
from tracker.domain.firing.heat_work import HeatWork, heat_work
from tracker.domain.message import Message, _
from tracker.domain.quantities import celsius
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.segments import BadProgramme, Segment

if TYPE_CHECKING:
    from tracker.domain.studio.kilns import Route

ROOM_C: Final = 20.0
"""Where a firing begins, in °C, unless something else is said (common practice)."""

QUARTZ_C: Final = 573.0
"""Where quartz changes its form and its size at once, in °C (textbook)."""

_MOST_SEGMENTS = 40


class NoProgramme(LookupError):
    """Refused because that way of firing goes by eye and tongs, not by a programme."""


@dataclass(frozen=True, slots=True)
class Programme:
    """What a kiln is told for one firing: its segments in order, from `start_c` on.

    `kind` is the kind of way of firing it is for, and `cone` what it aims at. BadProgramme for no segments, more than
    40, and for one that neither moves nor holds.
    """

    name: str
    kind: RouteKind
    cone: Cone
    segments: tuple[Segment, ...]
    start_c: float = ROOM_C

    def __post_init__(self) -> None:
        """Refuse what is no programme."""
        if not 1 <= len(self.segments) <= _MOST_SEGMENTS:
            words = _("A programme has 1 to {most} segments, not {count}.")
            raise BadProgramme(Message("programme-length", words, most=_MOST_SEGMENTS, count=len(self.segments)))
        came_from = self.start_c
        for number, segment in enumerate(self.segments, start=1):
            if segment.target_c == came_from and not segment.hold_min:
                words = _("Segment {number} neither moves from {heat} nor holds there.")
                raise BadProgramme(Message("segment-without-effect", words, number=number, heat=celsius(came_from)))
            came_from = segment.target_c

    @property
    def curve(self) -> Curve:
        """What the kiln should do, from 0 s on."""
        return Curve.of(self._corners())

    @property
    def lasts_s(self) -> float:
        """How long all of it takes, in s, if the kiln can follow."""
        return self.curve.lasts_s

    def reading_at(self, second: float) -> float:
        """What the kiln should read so many seconds after the start, in °C; the last target once it is over."""
        return self.curve.at(min(max(0.0, second), self.lasts_s))

    def next_hour(self, second: float, every_min: float = 15.0) -> tuple[tuple[float, float], ...]:
        """What the kiln should read in the hour after `second`: pairs of s and °C, every so many minutes.

        Empty once the programme is over; its end is the last pair when that comes sooner than the hour.
        """
        end = min(second + HOUR_S, self.lasts_s)
        count = int((end - second) // (every_min * 60)) if end > second else 0
        times = [second + step * every_min * 60 for step in range(1, count + 1)]
        if end > second and (not times or times[-1] < end):
            times.append(end)
        return tuple((time, self.reading_at(time)) for time in times)

    def will_do(self, kind: Kind = "self-supporting") -> HeatWork:
        """What the programme does to every cone of that kind, if the kiln can follow."""
        return heat_work(self.curve, kind)

    def _walk(self) -> Iterator[tuple[Segment, float, float]]:
        """Each segment with when it is there and when it is over, in s."""
        now, came_from = 0.0, self.start_c
        for segment in self.segments:
            there = now + abs(segment.target_c - came_from) / segment.rate_c_per_h * HOUR_S
            now, came_from = there + segment.hold_min * 60, segment.target_c
            yield segment, there, now

    def _corners(self) -> Iterator[tuple[float, float]]:
        """Where the curve bends: each time once, though a segment may only hold or not hold at all."""
        last = 0.0
        yield 0.0, self.start_c
        for segment, there, end in self._walk():
            for time in (there, end):
                if time > last:
                    yield time, segment.target_c
                    last = time


# ---- what is commonly fired ------------------------------------------------------------------------------------

_CANDLING = Message(
    "candling",
    _(
        "Candling: stay below {boil} until no more steam comes, vents open; thick walls want far longer, and damp ware "
        "is not fired at all."
    ),
    boil=celsius(100),
)
_QUARTZ = Message(
    "slow-through-quartz",
    _("Slow through {quartz}, where quartz changes its size all at once."),
    quartz=celsius(QUARTZ_C),
)
_DRYING = Message("glaze-dries", _("Wet glaze dries; vents open."))
_REDUCTION = Message(
    "body-reduction",
    _(
        "Body reduction: damper in until a soft flame stands at the spy hole, for whoever is trained on this kiln and "
        "nobody else. It makes carbon monoxide: a hood that draws or open air, and an alarm that works."
    ),
)
_CLIMB = Message("light-reduction", _("Light reduction up to the last cone; then some minutes of clean fire."))
_WATCH = Message(
    "look-at-witnesses", _("Look at the witness cones from here on; they, not the pyrometer, say when it is done.")
)

_BISQUE_START = (
    Segment(60, 90, 120, _CANDLING),
    Segment(100, QUARTZ_C - 23),
    Segment(60, QUARTZ_C + 27, 0, _QUARTZ),
)
_GLAZE_START = (
    Segment(100, 120, 20, _DRYING),
    Segment(150, QUARTZ_C - 23),
    Segment(100, QUARTZ_C + 27, 0, _QUARTZ),
)
_LAST_C: Final = 100.0
# Nearer to the top than this no other segment ends, or it would bring a cool cone down by itself.
_LAST_STRETCH_C: Final = 20.0
_LOW_FIRE: Final = Cone.parse("01")
_MID_RANGE: Final = Cone.parse("7")
_REDUCES_AT: Final = Cone.parse("010")


def bisque(cone: Cone, kind: Kind = "self-supporting") -> Programme:
    """The common bisque: candling, 100 °C an hour below 600 °C, slow through quartz, then 150 °C an hour to `cone`.

    The rates are class notes and common practice. NoEndPoint for a cone that this kind does not have.
    """
    return _up_to(cone, kind, Programme("Bisque", RouteKind.BISQUE, cone, (*_BISQUE_START, Segment(150, 1, 0, _WATCH))))


def glaze_firing(cone: Cone, kind: Kind = "self-supporting") -> Programme:
    """The common glaze firing to `cone`: low-fire to 01, mid-range to 7, high-fire with body reduction above.

    The last 100 °C go at 60 °C an hour, at which the cones are published (common practice). NoEndPoint for a cone that
    this kind does not have.
    """
    end = end_point(cone, kind, 60)
    if cone <= _LOW_FIRE:
        name, middle = "Low-fire", [Segment(150, end - _LAST_C)]
    elif cone <= _MID_RANGE:
        name, middle = "Mid-range", [Segment(150, end - _LAST_C)]
    else:
        reduces = Segment(150, end_point(_REDUCES_AT, kind, 60), 45, _REDUCTION)
        name, middle = "High-fire", [reduces, Segment(100, end - _LAST_C, 0, _CLIMB)]
    return _up_to(
        cone, kind, Programme(name, RouteKind.SHELF, cone, (*_GLAZE_START, *middle, Segment(60, 1, 0, _WATCH)))
    )


def programme_for(route: Route, kind: Kind = "self-supporting") -> Programme:
    """The programme for that way of firing: the studio's own, or else the common one to its cone.

    NoProgramme for one that goes by eye, outdoors.
    """
    if route.segments:
        return Programme(route.title, route.kind, route.cone, route.segments)
    if route.kind is RouteKind.BISQUE:
        return bisque(route.cone, kind)
    if route.kind is RouteKind.SHELF:
        return glaze_firing(route.cone, kind)
    raise NoProgramme(
        f"{route.title} goes by eye and tongs, outdoors, and by whoever leads the crew; it has no programme."
    )


def _up_to(cone: Cone, kind: Kind, draft: Programme) -> Programme:
    """`draft` with its last target where it brings `cone` down, in whole °C: at the end point, give or take a degree.

    Segments that would come near that, go higher or go back down are left out: a very cool cone has a short programme.
    """
    end_point(cone, kind, 60)
    last, fit = draft.segments[-1], fits(kind)[cone]
    top = int(fit.end_point(last.rate_c_per_h)) - 1
    before: tuple[Segment, ...] = ()
    for segment in draft.segments[:-1]:
        if (before[-1].target_c if before else draft.start_c) < segment.target_c < top - _LAST_STRETCH_C:
            before = (*before, segment)
    while True:
        made = replace(draft, segments=(*before, replace(last, target_c=float(top))))
        if fit.work(made.curve) >= DOWN:
            return made
        top += 1
