"""How long a pull may take: how fast a hot wall cools in the open, and so how many pieces come out hot enough.

A lumped wall: as hot inside as outside, it loses heat by radiation and convection alone. Nobody knows the numbers of a
pot exactly, so every answer is a range between a wall that cools fast and one that cools slowly, and an estimate.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import ceil, floor
from typing import TYPE_CHECKING

from tracker.domain.message import Choice, Message, Plural, _
from tracker.domain.outdoor.setting_up import Opening
from tracker.domain.quantities import celsius, mm, percent, seconds

if TYPE_CHECKING:
    from collections.abc import Callable

STEFAN_BOLTZMANN = 5.670374419e-8
"""W/(m² K⁴), exact by the SI of 2019 (CODATA 2018)."""

ZERO_C = 273.15
"""The kelvin of 0 °C."""

_STEPS = 10
"""The reckoning takes at least so many steps to a second, and more for a wall as thin as paper."""

_SLICES = 400
"""Into how many slices of temperature a time is summed up (even, for Simpson's rule)."""

_LUMPED_MM = 10.0
"""A wall thicker than this is noticeably hotter inside than at its face (common practice)."""


@dataclass(frozen=True, slots=True)
class Range:
    """A number that is known only so well: the least, the likeliest and the most it may be."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """A pot's wall, and how it stands in the open.

    `density` in kg/m³, `heat_capacity` in J/(kg K), `emissivity` from above 0 to 1, `convection` in W/(m² K). `sides`
    is how many of its two faces look into the open: 2 for a tile, 1 for a closed form, whose inside sees nothing but
    itself.
    """

    density: float
    heat_capacity: float
    emissivity: float
    convection: float
    sides: float

    def heat_kept(self, wall_mm: float) -> float:
        """The heat in a square metre of open face for each °C, in J/(m² K)."""
        return self.density * self.heat_capacity * wall_mm / 1000 / self.sides

    def heat_lost(self, wall_c: float, air_c: float) -> float:
        """What a square metre of open face loses, in W."""
        hot, cold = wall_c + ZERO_C, air_c + ZERO_C
        return self.emissivity * STEFAN_BOLTZMANN * (hot**4 - cold**4) + self.convection * (wall_c - air_c)


@dataclass(frozen=True, slots=True)
class Assumption:
    """One number behind the range: what a fast, a likely and a slow wall have, and how it is told from low to high.

    Its unit is one of physics that every reader shares, so its template names it.
    """

    name: str
    template: str
    fast: float
    likely: float
    slow: float

    @property
    def message(self) -> Message:
        """The two ends, from low to high: "density of bisqued clay 1,700 to 2,000 kg/m³"."""
        low, high = sorted((self.fast, self.slow))
        return Message(self.name, self.template, low=low, high=high)


# Those without another ground are common handbook values, from memory.
DENSITY = Assumption(
    "density", _("density of bisqued clay {low} to {high} kg/m³ (common handbook value, from memory)"), 1700, 1800, 2000
)
HEAT_CAPACITY = Assumption(
    "heat-capacity",
    _("its heat capacity when hot {low} to {high} J/(kg K) (common handbook value, from memory)"),
    1050,
    1100,
    1150,
)
EMISSIVITY = Assumption(
    "emissivity",
    _("its emissivity, glazed or bare {low} to {high} (common handbook value, from memory)"),
    0.95,
    0.90,
    0.80,
)
CONVECTION = Assumption(
    "convection",
    _("convection from still air to a breeze {low} to {high} W/(m² K) (common handbook value, from memory)"),
    25,
    15,
    10,
)
# What leaves a pot by its mouth is what a flat lid over the mouth would send out: half of what a bowl's inside is that
# is half a ball, a fifth of that of a cup as high as wide.
SIDES = Assumption(
    "open-faces",
    _("faces of the wall in the open, narrow jar to wide bowl, {low} to {high} (from their geometry)"),
    1.6,
    1.3,
    1.1,
)
ASSUMPTIONS = (DENSITY, HEAT_CAPACITY, EMISSIVITY, CONVECTION, SIDES)
"""What the two ends of every range are made of."""


def _wall(of: Callable[[Assumption], float]) -> Wall:
    density, heat_capacity, emissivity, convection, sides = map(of, ASSUMPTIONS)
    return Wall(density=density, heat_capacity=heat_capacity, emissivity=emissivity, convection=convection, sides=sides)


FAST_WALL = _wall(lambda assumed: assumed.fast)
LIKELY_WALL = _wall(lambda assumed: assumed.likely)
SLOW_WALL = _wall(lambda assumed: assumed.slow)
"""The walls that cool fastest, likeliest and slowest of those we may meet."""


def cool(
    wall_mm: float, kiln_c: float, air_c: float, count: int, *, exposed: float = 1.0, wall: Wall = LIKELY_WALL
) -> tuple[float, ...]:
    """The wall's temperature in °C after each second, from `kiln_c` on, the last after `count` seconds.

    `exposed` is the part of it that sees the open; the rest sees a chamber as hot as itself, with which it exchanges
    nothing. ValueError for a wall, a part or air that there is not.
    """
    _check(wall_mm, kiln_c, air_c)
    if not 0.0 <= exposed <= 1.0:
        raise ValueError(f"Between none and all of a wall is exposed, not {exposed}.")
    share = exposed / wall.heat_kept(wall_mm)
    steps = max(_STEPS, ceil(4 * share * _slope(wall, kiln_c)))
    celsius, after = kiln_c, []
    for _second in range(count):
        for _step in range(steps):
            celsius = _stepped(lambda now: -share * wall.heat_lost(now, air_c), celsius, 1 / steps)
        after.append(celsius)
    return tuple(after)


def _check(wall_mm: float, kiln_c: float, air_c: float) -> None:
    if wall_mm <= 0:
        raise ValueError(f"A wall is thicker than nothing, not {wall_mm} mm.")
    if not -ZERO_C <= air_c <= kiln_c:
        raise ValueError(f"Air is between absolute zero and the kiln's {kiln_c} °C, not at {air_c} °C.")


def _slope(wall: Wall, celsius: float) -> float:
    """By how much the loss grows with each °C, in W/(m² K): what sets how fine the steps must be for a thin wall."""
    return 4 * wall.emissivity * STEFAN_BOLTZMANN * (celsius + ZERO_C) ** 3 + wall.convection


def _stepped(rate: Callable[[float], float], value: float, step: float) -> float:
    """One step of the classical Runge-Kutta method of the fourth order."""
    first = rate(value)
    second = rate(value + step / 2 * first)
    third = rate(value + step / 2 * second)
    last = rate(value + step * third)
    return value + step / 6 * (first + 2 * second + 2 * third + last)


def seconds_to(temp_c: float, wall_mm: float, kiln_c: float, air_c: float, wall: Wall = LIKELY_WALL) -> float:
    """After how many seconds in the open that one wall has cooled from `kiln_c` to `temp_c`; 0 when it begins cooler.

    The wall's balance turned round: dt = heat kept / heat lost · dT, summed by Simpson's rule. ValueError where
    `temp_c` is no warmer than the air, which no wall reaches.
    """
    _check(wall_mm, kiln_c, air_c)
    if temp_c <= air_c:
        raise ValueError(f"No wall cools to {temp_c} °C in air of {air_c} °C.")
    if temp_c >= kiln_c:
        return 0.0
    width = (kiln_c - temp_c) / _SLICES
    parts = [1 / wall.heat_lost(temp_c + place * width, air_c) for place in range(_SLICES + 1)]
    whole = parts[0] + parts[-1] + 4 * sum(parts[1:-1:2]) + 2 * sum(parts[2:-1:2])
    return wall.heat_kept(wall_mm) * width / 3 * whole


def seconds_until(temp_c: float, wall_mm: float, kiln_c: float, air_c: float) -> Range:
    """How long until the wall is at `temp_c`, in seconds in the open: the fast wall, the likely one, the slow one."""
    fast, likely, slow = (
        seconds_to(temp_c, wall_mm, kiln_c, air_c, wall) for wall in (FAST_WALL, LIKELY_WALL, SLOW_WALL)
    )
    return Range(fast, likely, slow)


# ---- how many pieces a puller gets out -------------------------------------------------------------------------------


class Effect(StrEnum):
    """What a piece is pulled hot for."""

    RAKU = "raku"
    HORSEHAIR = "horsehair"


@dataclass(frozen=True, slots=True, kw_only=True)
class PullPractice:
    """What is common practice at the outdoor kiln, and a studio may set otherwise.

    `kiln_c`: how hot the kiln is when it is opened. `lid_s`: seconds until it stands open. `pull_s`: seconds that one
    puller takes with tongs for a piece, from the kiln into its container. `raku_c`: at the first it is too cool for
    reduction, at the second it is still safely hot enough. `hair_c`: there it is too cool for a hair to mark it.
    `front` and `top`: how much of a waiting piece sees the open through such an opening. `thin_mm`: what a wall is
    taken for that nobody has measured: thin ones cool fastest.
    """

    kiln_c: float = 982.0
    lid_s: float = 3.0
    pull_s: float = 8.0
    raku_c: tuple[float, float] = (700.0, 750.0)
    hair_c: float = 480.0
    front: Range = Range(0.5, 0.6, 0.7)
    top: Range = Range(0.6, 0.7, 0.85)
    thin_mm: float = 5.0

    def __post_init__(self) -> None:
        """Refuse seconds and parts that no pull can have."""
        parts = (self.front.low, self.front.high, self.top.low, self.top.high)
        if self.pull_s <= 0 or self.lid_s < 0 or not all(0.0 < part <= 1.0 for part in parts):
            raise ValueError("A pull takes time, and an opening shows more than nothing and at most all of a piece.")

    def too_cool(self, effect: Effect) -> Range:
        """At what °C a piece is too cool for its effect."""
        low, high = self.raku_c if effect is Effect.RAKU else (self.hair_c, self.hair_c)
        return Range(low, (low + high) / 2, high)

    def exposed(self, opening: Opening) -> Range:
        """How much of a waiting piece sees the open: all of it where the whole kiln is lifted off."""
        match opening:
            case Opening.LIFT_OFF:
                return Range(1.0, 1.0, 1.0)
            case Opening.FRONT:
                return self.front
            case Opening.TOP:
                return self.top


COMMON_PULLS = PullPractice()


@dataclass(frozen=True, slots=True)
class PullEstimate:
    """How many pieces one puller gets into their containers before the last is too cool: an estimate.

    `seconds` is how long a wall that stands all in the open stays hot enough. `assumptions` are what it rests on.
    """

    low: int
    likely: int
    high: int
    seconds: Range
    assumptions: tuple[Message, ...]

    @property
    def message(self) -> Message:
        """The estimate in one sentence, its range first."""
        if self.high == 0:
            words = _("An estimate: not even the first piece gets into its container hot enough.")
            return Message("none-in-time", words)
        if self.low == self.high:
            many = Plural(
                "high",
                "An estimate: one puller gets {high} piece out while they are hot enough.",
                "An estimate: one puller gets {high} pieces out while they are hot enough.",
            )
            return Message("pulls-in-time", many, high=self.high)
        span = Plural(
            "high",
            "An estimate: one puller gets {low} to {high} piece out while they are hot enough, likely {likely}.",
            "An estimate: one puller gets {low} to {high} pieces out while they are hot enough, likely {likely}.",
        )
        return Message("pulls-between", span, low=self.low, high=self.high, likely=self.likely)

    def by(self, pullers: int) -> tuple[int, int, int]:
        """The same for so many who pull at the same time: low, likely, high."""
        return self.low * pullers, self.likely * pullers, self.high * pullers


def pulls_in_time(
    wall_mm: float | None,
    opening: Opening,
    air_c: float,
    practice: PullPractice = COMMON_PULLS,
    *,
    effect: Effect = Effect.RAKU,
) -> PullEstimate:
    """How many pieces with such walls one puller gets out of such a kiln; None is a wall that nobody has measured.

    The last one waits in the opened kiln while the others are pulled, then crosses the open in the tongs. ValueError
    for air as warm as what is too cool for the effect.
    """
    thick = practice.thin_mm if wall_mm is None else wall_mm
    limit, seen = practice.too_cool(effect), practice.exposed(opening)
    ends = (
        (limit.high, FAST_WALL, seen.high),
        (limit.likely, LIKELY_WALL, seen.likely),
        (limit.low, SLOW_WALL, seen.low),
    )
    lasts = [seconds_to(temp_c, thick, practice.kiln_c, air_c, wall) for temp_c, wall, _part in ends]
    low, likely, high = (_pulls(last, part, practice) for last, (*_, part) in zip(lasts, ends, strict=True))
    said = _assumed(wall_mm, opening, air_c, practice, effect)
    return PullEstimate(low, likely, high, Range(*lasts), said)


def _pulls(lasts_s: float, exposed: float, practice: PullPractice) -> int:
    """How many pulls a wall allows that stays hot enough for so many seconds all in the open.

    Half exposed it cools as far in two seconds as all exposed in one. So the piece of number n has cooled like one that
    stood exposed · (lid + (n - 1) · pull) + pull seconds in the open.
    """
    left = lasts_s - practice.pull_s - exposed * practice.lid_s
    return max(0, 1 + floor(left / (exposed * practice.pull_s) + 1e-9)) if left >= 0 else 0


def _assumed(
    wall_mm: float | None, opening: Opening, air_c: float, practice: PullPractice, effect: Effect
) -> tuple[Message, ...]:
    thick = wall_mm or practice.thin_mm
    said = [
        Message(
            "walls",
            _WALLS,
            measured="yes" if wall_mm else "no",
            wall=mm(thick, 1),
            kiln=celsius(practice.kiln_c),
            air=celsius(air_c, 1),
        ),
        _too_cool(effect, practice.too_cool(effect)),
        Message(
            "seconds-taken",
            _("The kiln takes {lid} to open and each piece {pull} by tongs (practice)."),
            lid=seconds(practice.lid_s, 1),
            pull=seconds(practice.pull_s, 1),
        ),
        _waiting(opening, practice.exposed(opening)),
        Message(
            "taken-for-wall", _("Taken for the wall: {assumed}."), assumed=tuple(one.message for one in ASSUMPTIONS)
        ),
        *_IN_ANY_CASE,
    ]
    if thick > _LUMPED_MM:
        words = _("A wall over {lumped} is cooler at its face, where the glaze is, than this reckons.")
        said.append(Message("thick-walls", words, lumped=mm(_LUMPED_MM)))
    return tuple(said)


_WALLS = Choice(
    "measured",
    {
        "yes": _("Walls of {wall}, from {kiln} into air of {air}."),
        "no": _("No wall was measured, so they are taken for thin ones of {wall}, from {kiln} into air of {air}."),
    },
)
_TAKEN_FOR_WALL = Message(
    "taken-for-wall", _("Taken for the wall: {assumed}."), assumed=tuple(one.message for one in ASSUMPTIONS)
)
_IN_ANY_CASE = (
    Message(
        "wall-alone",
        _("The wall is reckoned as hot inside as at its face, and alone: neighbours and a hot floor keep it hotter."),
    ),
    Message(
        "tiles-and-wind", _("A tile or plate, open on both faces, cools faster than this; so does anything in a wind.")
    ),
)


def _too_cool(effect: Effect, limit: Range) -> Message:
    if limit.low == limit.high:
        words = _("Too cool for {effect} below {limit} (practice).")
        return Message("too-cool-below", words, effect=effect, limit=celsius(limit.low))
    words = _("Too cool for {effect} below {low} to {high} (practice).")
    return Message("too-cool-between", words, effect=effect, low=celsius(limit.low), high=celsius(limit.high))


def _waiting(opening: Opening, seen: Range) -> Message:
    if opening is Opening.LIFT_OFF:
        words = _("With the kiln lifted off, the whole load stands in the open from that moment.")
        return Message("load-in-open", words)
    return Message(
        "partly-in-open",
        _(
            "What waits in a kiln with a {opening} opening is {low} to {high} in the open, else in the hot chamber "
            "(practice)."
        ),
        opening=opening,
        low=percent(100 * seen.low, 0),
        high=percent(100 * seen.high, 0),
    )
