"""Schedules: what a kiln is told to do, segment by segment, and the common one for each way of firing.

The rates and holds are common practice where no source is named, and settings of a studio; temperatures that aim at a
cone come from the table of end points. Local rules, the kiln maker's instructions and the person in charge of the kiln
come before any schedule, and no kiln is left alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from tracker.domain.cones import Cone, Kind, end_point
from tracker.domain.firing.cone_model import DOWN, fits
from tracker.domain.firing.curves import HOUR_S, Curve
from tracker.domain.firing.heat_work import HeatWork, heat_work
from tracker.domain.message import Message, _
from tracker.domain.quantities import celsius
from tracker.domain.studio.cautions import OILS_GONE_C
from tracker.domain.studio.kilns import VAPOR, Atmosphere, Route, RouteKind
from tracker.domain.studio.segments import BadSchedule, Segment

ROOM_C: Final = 20.0
"""Where a firing begins, in °C, unless something else is said (common practice)."""

QUARTZ_C: Final = 573.0
"""Where quartz changes its form and its size at once, in °C (textbook)."""

_MOST_SEGMENTS = 48
"""Of what a studio writes down (40 at most) with what greenware in the load adds."""


class NoSchedule(LookupError):
    """Refused because that way of firing goes by eye and tongs, not by a schedule."""


@dataclass(frozen=True, slots=True)
class Schedule:
    """What a kiln is told for one firing: its segments in order, from `start_c` on.

    `kind` is the kind of way of firing it is for, and `cone` what it aims at. BadSchedule for no segments, more than
    48, and for one that neither moves nor holds.
    """

    name: str
    kind: RouteKind
    cone: Cone
    segments: tuple[Segment, ...]
    start_c: float = ROOM_C

    def __post_init__(self) -> None:
        """Refuse what is no schedule."""
        if not 1 <= len(self.segments) <= _MOST_SEGMENTS:
            words = _("A firing schedule has 1 to {most} segments, not {count}.")
            raise BadSchedule(Message("schedule-length", words, most=_MOST_SEGMENTS, count=len(self.segments)))
        came_from = self.start_c
        for number, segment in enumerate(self.segments, start=1):
            if segment.target_c == came_from and not segment.hold_min:
                words = _("Segment {number} stays at {heat} and has no hold.")
                raise BadSchedule(Message("segment-without-effect", words, number=number, heat=celsius(came_from)))
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

        Empty once the schedule is over; its end is the last pair when that comes sooner than the hour.
        """
        end = min(second + HOUR_S, self.lasts_s)
        count = int((end - second) // (every_min * 60)) if end > second else 0
        times = [second + step * every_min * 60 for step in range(1, count + 1)]
        if end > second and (not times or times[-1] < end):
            times.append(end)
        return tuple((time, self.reading_at(time)) for time in times)

    def will_do(self, kind: Kind = "self-supporting") -> HeatWork:
        """What the schedule does to every cone of that kind, if the kiln can follow."""
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
        "Candle below {boil} with the vents open until no more steam comes out. Thick walls need far longer. "
        "Never fire damp ware."
    ),
    boil=celsius(100),
)
_QUARTZ = Message(
    "slow-through-quartz",
    _("Go slowly through {quartz}: quartz changes size suddenly there."),
    quartz=celsius(QUARTZ_C),
)
_DRYING = Message("glaze-dries", _("Let wet glaze dry with the vents open."))
_REDUCTION = _(
    "Body reduction, from when cone {starts} is down until cone {ends} is down. Only for people trained on this kiln. "
    "Push the damper in until a soft flame shows at the spy hole. It makes carbon monoxide. "
    "Outdoors, stand upwind. Indoors, ventilate and check that the alarm works."
)
_CLIMB = Message(
    "light-reduction",
    _("Keep a light reduction here and in the last segment. Once the last cone is down, fire clean for a few minutes."),
)
_WATCH = Message(
    "look-at-witnesses",
    _("Watch the witness cones from here on. They decide when the firing is done, not the pyrometer."),
)

_VENTS_OPEN = Message("vents-open-at-start", _("Open the vents and run the hood from the start."))
_OILS = Message(
    "oils-burn-off",
    _("Go slowly: the oils burn off. Keep the vents open and the hood on. Stay out of the fumes."),
)
_OILS_GONE = Message(
    "vents-close-above", _("Close the vents above {heat}, where the slow step ends."), heat=celsius(OILS_GONE_C)
)
_SODA = Message(
    "soda-goes-in",
    _(
        "About two cones before the last, add soda or salt little by little. Stand aside: flame and vapor blow back. "
        "Draw rings and witness cones decide when the firing is done."
    ),
)
_WARM_UP = Message("chimney-draws", _("Keep a small fire until the wadding is dry and the chimney draws."))
_STOKE = Message(
    "stoke-by-the-draw",
    _(
        "Stoke little and often. Wait until the flame is clear before you stoke again. "
        "Witness cones decide when the firing is done."
    ),
)

BISQUE_START = (
    Segment(60, 90, 120, _CANDLING),
    Segment(100, QUARTZ_C - 23),
    Segment(60, QUARTZ_C + 27, 0, _QUARTZ),
)
"""How raw ware is brought through steam and quartz (class notes, common practice)."""
_GLAZE_START = (
    Segment(100, 120, 20, _DRYING),
    Segment(150, QUARTZ_C - 23),
    Segment(100, QUARTZ_C + 27, 0, _QUARTZ),
)
_LAST_C: Final = 100.0
# Nearer to the top than this no other segment ends, or it would bring a cool cone down by itself.
_LAST_STRETCH_C: Final = 20.0
_PUBLISHED_RATE: Final = 60
_MOST_HOLD, _MOST_OVER_C = 10, 20
_LOW_FIRE: Final = Cone.parse("01")
_MID_RANGE: Final = Cone.parse("7")

# The body is reduced while its glaze is still open: about cone 012 to 08 for cone 10, about an hour; a mid-range glaze
# seals sooner and its clay holds more flux, so it is reduced for less long (common practice).
_REDUCES_FROM: Final = Cone.parse("012")
_HIGH_FIRE_REDUCES_TO, _HIGH_FIRE_REDUCES_AT = Cone.parse("08"), 80.0
_MID_RANGE_REDUCES_TO, _MID_RANGE_REDUCES_AT = Cone.parse("010"), 60.0
_REDUCED: Final = frozenset({RouteKind.SHELF, RouteKind.ONCE_FIRE, *VAPOR})


def body_reduction(kind: RouteKind, cone: Cone, atmosphere: Atmosphere | None) -> tuple[Cone, Cone] | None:
    """The cones between which the body is reduced in a firing of this kind to `cone`, or None where it isn't."""
    if kind not in _REDUCED or atmosphere is not Atmosphere.REDUCTION or cone <= _LOW_FIRE:
        return None
    return _REDUCES_FROM, _MID_RANGE_REDUCES_TO if cone <= _MID_RANGE else _HIGH_FIRE_REDUCES_TO


def bisque(cone: Cone, kind: Kind = "self-supporting") -> Schedule:
    """The common bisque: candling, 100 °C an hour below 600 °C, slow through quartz, then 150 °C an hour to `cone`.

    The rates are class notes and common practice. NoEndPoint for a cone that this kind does not have.
    """
    return _up_to(cone, kind, Schedule("Bisque", RouteKind.BISQUE, cone, (*BISQUE_START, Segment(150, 1, 0, _WATCH))))


def glaze_firing(cone: Cone, kind: Kind = "self-supporting", *, atmosphere: Atmosphere | None = None) -> Schedule:
    """The common glaze firing to `cone`: low-fire to 01, mid-range to 7, high-fire above.

    Mid-range and high-fire have a body reduction and then a light one where the kiln's `atmosphere` is reduction, never
    in another or where nothing is known of it. The last 100 °C go at 60 °C an hour, at which the cones are published
    (common practice). NoEndPoint for a cone that this kind does not have.
    """
    segments = (*_GLAZE_START, *_to_the_last_stretch(cone, kind, atmosphere), Segment(60, 1, 0, _WATCH))
    return _up_to(cone, kind, Schedule(_family(cone), RouteKind.SHELF, cone, segments))


def overglaze(cone: Cone, kind: Kind = "self-supporting") -> Schedule:
    """The common firing of luster and china paint to `cone`: vents open and slow up to 450 °C, where the oils are gone.

    Common practice. NoEndPoint for a cone that this kind does not have.
    """
    there = end_point(cone, kind, 60) - _LAST_C
    slowly = (Segment(100, 300, 0, _VENTS_OPEN), Segment(60, OILS_GONE_C, 0, _OILS), Segment(100, there, 0, _OILS_GONE))
    segments = (*slowly, Segment(60, 1, 0, _WATCH))
    return _up_to(cone, kind, Schedule("Overglaze", RouteKind.OVERGLAZE, cone, segments))


def once_firing(cone: Cone, kind: Kind = "self-supporting", *, atmosphere: Atmosphere | None = None) -> Schedule:
    """The common firing of raw glazed ware to `cone`: it begins as a bisque does and ends as a glaze firing does.

    Common practice. NoEndPoint for a cone that this kind does not have.
    """
    segments = (*BISQUE_START, *_to_the_last_stretch(cone, kind, atmosphere), Segment(60, 1, 0, _WATCH))
    return _up_to(cone, kind, Schedule("Once-fire", RouteKind.ONCE_FIRE, cone, segments))


def vapor_firing(
    way: RouteKind, cone: Cone, kind: Kind = "self-supporting", *, atmosphere: Atmosphere | None = None
) -> Schedule:
    """The common soda or wood firing to `cone`, as a guide: draw rings, cones and whoever stokes have the last word.

    Common practice. NoEndPoint for a cone that this kind does not have.
    """
    is_wood = way is RouteKind.WOOD
    first = replace(_GLAZE_START[0], note=_WARM_UP) if is_wood else _GLAZE_START[0]
    last = Segment(60, 1, 0, _STOKE if is_wood else _SODA)
    segments = (first, *_GLAZE_START[1:], *_to_the_last_stretch(cone, kind, atmosphere), last)
    return _up_to(cone, kind, Schedule(way.value, way, cone, segments))


def schedule_for(route: Route, kind: Kind = "self-supporting", *, atmosphere: Atmosphere | None = None) -> Schedule:
    """The schedule for that firing type: the studio's own, or else the common one to its cone in that atmosphere.

    NoSchedule for one that goes by eye, outdoors.
    """
    if route.segments:
        return Schedule(route.title, route.kind, route.cone, route.segments)
    if route.kind is RouteKind.BISQUE:
        return bisque(route.cone, kind)
    if route.kind is RouteKind.SHELF:
        return glaze_firing(route.cone, kind, atmosphere=atmosphere)
    if route.kind is RouteKind.OVERGLAZE:
        return overglaze(route.cone, kind)
    if route.kind is RouteKind.ONCE_FIRE:
        return once_firing(route.cone, kind, atmosphere=atmosphere)
    if route.kind in VAPOR:
        return vapor_firing(route.kind, route.cone, kind, atmosphere=atmosphere)
    raise NoSchedule(f"{route.title} is fired by eye and has no schedule.")


def _family(cone: Cone) -> str:
    if cone <= _LOW_FIRE:
        return "Low-fire"
    return "Mid-range" if cone <= _MID_RANGE else "High-fire"


def _to_the_last_stretch(cone: Cone, kind: Kind, atmosphere: Atmosphere | None) -> tuple[Segment, ...]:
    """What comes between quartz and the last 100 °C: the climb, with its reductions in a kiln that reduces."""
    there = end_point(cone, kind, 60) - _LAST_C
    reduced = body_reduction(RouteKind.SHELF, cone, atmosphere)
    if reduced is None:
        return (Segment(150, there),)
    starts, ends = reduced
    rate = _MID_RANGE_REDUCES_AT if cone <= _MID_RANGE else _HIGH_FIRE_REDUCES_AT
    note = Message("body-reduction", _REDUCTION, starts=str(starts), ends=str(ends))
    return (
        Segment(150, end_point(starts, kind, 60)),
        Segment(rate, end_point(ends, kind, 60), 0, note),
        Segment(100, there, 0, _CLIMB),
    )


def _up_to(cone: Cone, kind: Kind, draft: Schedule) -> Schedule:
    """`draft` with its last target where it brings `cone` down, in whole °C.

    At 60 °C an hour that is the end point the charts give, held for the minutes that the model still asks for.
    Segments that would come near that, go higher or go back down are left out: a very cool cone has a short schedule.
    """
    end_point(cone, kind, 60)
    last, fit = draft.segments[-1], fits(kind)[cone]
    top = int(fit.end_point(last.rate_c_per_h)) - 1
    before: tuple[Segment, ...] = ()
    for segment in draft.segments[:-1]:
        if (before[-1].target_c if before else draft.start_c) < segment.target_c < top - _LAST_STRETCH_C:
            before = (*before, segment)
    if last.rate_c_per_h == _PUBLISHED_RATE:
        tops = [replace(last, target_c=end_point(cone, kind, 60), hold_min=minutes) for minutes in range(_MOST_HOLD)]
    else:
        tops = [replace(last, target_c=float(top + more)) for more in range(_MOST_OVER_C)]
    ways = (replace(draft, segments=(*before, way)) for way in tops)
    return next(made for made in ways if fit.work(made.curve) >= DOWN)
