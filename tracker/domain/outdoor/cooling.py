"""How long a pull may take: how fast the face of a hot wall cools in the open, and how many pieces come out hot enough.

What counts is the face, for glaze and the marks of hair are there. A wall with a Biot number of at most 0.1 is as hot
inside as at its face; in any other the face runs ahead, and the heat behind it has to come through the wall by
conduction (Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, chapter 5, from memory). The numbers of a pot
are never known exactly, so every answer is a range between a wall that cools fast and one that cools slowly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import ceil

from tracker.domain.message import Choice, Message, Plural, _
from tracker.domain.outdoor.pull_heats import hot_enough_c, pull_c
from tracker.domain.quantities import Quantity, celsius, mm, seconds
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.settings import OUTDOOR_PRACTICE, OutdoorPractice

STEFAN_BOLTZMANN = 5.670374419e-8
"""W/(m² K⁴), exact by the SI of 2019 (CODATA 2018)."""

ZERO_C = 273.15
"""The kelvin of 0 °C."""

LUMPED_BIOT = 0.1
"""Up to this Biot number a wall is taken as hot inside as at its face (Incropera and DeWitt, 5.2, from memory)."""

_SLICES, _THICKEST_MM = 10, 0.5
"""Into how many slices a wall is cut where its face runs ahead, and how thick one may be."""

_LEAST_STEPS = 8
"""At least so many steps to a second, and more where a slice is so thin that they would overshoot."""

_LONGEST_S = 1_800
"""No pull goes on for longer."""

_MOST_PULLS = 60
"""One puller is not asked for more in a round."""


@dataclass(frozen=True, slots=True)
class Range:
    """A number that is known only so well: the least, the likeliest and the most it may be."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """A pot's wall, and how it stands in the open.

    `density` in kg/m³, `heat_capacity` in J/(kg K), `conductivity` in W/(m K), `emissivity` from above 0 to 1,
    `convection` in W/(m² K). `sides` is how many of its two faces look into the open: 2 for a tile, 1 for a closed
    form, whose inside sees nothing but itself.
    """

    density: float
    heat_capacity: float
    conductivity: float
    emissivity: float
    convection: float
    sides: float

    @property
    def heat_kept(self) -> float:
        """The heat in a cubic metre for each °C, in J/(m³ K)."""
        return self.density * self.heat_capacity

    def heat_lost(self, face_c: float, air_c: float) -> float:
        """What a square metre of face in the open loses, in W."""
        hot, cold = face_c + ZERO_C, air_c + ZERO_C
        return self.emissivity * STEFAN_BOLTZMANN * (hot**4 - cold**4) + self.convection * (face_c - air_c)

    def biot(self, wall_mm: float, face_c: float, air_c: float) -> float:
        """Its Biot number h L / k: h is what it loses for each °C, L its volume over its open face."""
        lost = self.heat_lost(face_c, air_c) / (face_c - air_c) if face_c > air_c else 0.0
        return lost * wall_mm / 1000 / self.sides / self.conductivity

    def slope(self, face_c: float) -> float:
        """By how much the loss grows with each °C, in W/(m² K)."""
        return 4 * self.emissivity * STEFAN_BOLTZMANN * (face_c + ZERO_C) ** 3 + self.convection


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
    "density", _("density of bisqued clay {low} to {high} kg/m³ (common handbook value)"), 1700, 1800, 2000
)
HEAT_CAPACITY = Assumption(
    "heat-capacity",
    _("its heat capacity when hot {low} to {high} J/(kg K) (common handbook value)"),
    1050,
    1100,
    1150,
)
CONDUCTIVITY = Assumption(
    "conductivity",
    _("its conductivity when hot {low} to {high} W/(m K) (common handbook value for fired clay)"),
    0.8,
    1.1,
    1.5,
)
EMISSIVITY = Assumption(
    "emissivity",
    _("its emissivity, glazed or bare {low} to {high} (common handbook value)"),
    0.95,
    0.90,
    0.80,
)
CONVECTION = Assumption(
    "convection",
    _("convection from still air to a breeze {low} to {high} W/(m² K) (common handbook value)"),
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
ASSUMPTIONS = (DENSITY, HEAT_CAPACITY, CONDUCTIVITY, EMISSIVITY, CONVECTION, SIDES)
"""What the two ends of every range are made of."""


def _wall(of: Callable[[Assumption], float]) -> Wall:
    density, heat_capacity, conductivity, emissivity, convection, sides = map(of, ASSUMPTIONS)
    return Wall(
        density=density,
        heat_capacity=heat_capacity,
        conductivity=conductivity,
        emissivity=emissivity,
        convection=convection,
        sides=sides,
    )


FAST_WALL = _wall(lambda assumed: assumed.fast)
LIKELY_WALL = _wall(lambda assumed: assumed.likely)
SLOW_WALL = _wall(lambda assumed: assumed.slow)
"""The walls that cool fastest, likeliest and slowest of those we may meet."""


# ---- how a face cools ------------------------------------------------------------------------------------------------

Temps = tuple[float, ...]
"""A wall's temperatures in °C, from its outer face inward; one alone where it is as hot inside as at its face."""


@dataclass(frozen=True, slots=True)
class _Cooling:
    """One wall as it cools from `kiln_c`: by finite volumes, stepped by the classical Runge-Kutta method."""

    wall: Wall
    wall_mm: float
    kiln_c: float
    air_c: float

    @property
    def start(self) -> Temps:
        """All of the wall as hot as the kiln."""
        lumped = self.wall.biot(self.wall_mm, self.kiln_c, self.air_c) <= LUMPED_BIOT
        return (self.kiln_c,) * (1 if lumped else 1 + max(_SLICES, ceil(self.wall_mm / _THICKEST_MM)))

    def after(self, temps: Temps, last_s: float) -> Temps:
        """The wall after so many seconds in the open."""
        steps = ceil(last_s * self.steps_a_second(len(temps)))
        for _step in range(steps):
            temps = _stepped(self._rates, temps, last_s / steps)
        return temps

    def steps_a_second(self, count: int) -> int:
        """How many steps a second needs so that none overshoots: the method is stable to 2.78 over the fastest rate."""
        thick = self.wall_mm / 1000 / max(count - 1, 1)
        through = 4 * self.wall.conductivity / thick**2 if count > 1 else 0.0
        out = 2 * self.wall.sides * self.wall.slope(self.kiln_c) / thick
        return max(_LEAST_STEPS, ceil((through + out) / self.wall.heat_kept / 2))

    def _rates(self, temps: Temps) -> list[float]:
        """How fast each temperature changes, in °C/s. The inner face sees what the outer one leaves of `sides`."""
        wall, (outer, inner) = self.wall, (temps[0], temps[-1])
        lost = wall.heat_lost(outer, self.air_c)
        lost_inside = (wall.sides - 1) * wall.heat_lost(inner, self.air_c)
        if len(temps) == 1:
            return [-(lost + lost_inside) / (wall.heat_kept * self.wall_mm / 1000)]
        thick = self.wall_mm / 1000 / (len(temps) - 1)
        through = wall.conductivity / thick
        outward = [lost, *(through * (after - before) for before, after in pairwise(temps)), -lost_inside]
        kept = wall.heat_kept * thick
        rates = [(after - before) / kept for before, after in pairwise(outward)]
        rates[0], rates[-1] = 2 * rates[0], 2 * rates[-1]
        return rates


def _stepped(rates: Callable[[Temps], list[float]], temps: Temps, step: float) -> Temps:
    """One step of the classical Runge-Kutta method of the fourth order."""

    def moved(by: list[float], part: float) -> Temps:
        return tuple(temp + part * rate for temp, rate in zip(temps, by, strict=True))

    first = rates(temps)
    second = rates(moved(first, step / 2))
    third = rates(moved(second, step / 2))
    last = rates(moved(third, step))
    slopes = [(a + 2 * b + 2 * c + d) / 6 for a, b, c, d in zip(first, second, third, last, strict=True)]
    return moved(slopes, step)


@lru_cache(maxsize=512)
def cool(wall_mm: float, kiln_c: float, air_c: float, count: int, *, wall: Wall = LIKELY_WALL) -> tuple[float, ...]:
    """The temperature of the wall's outer face in °C after each second, from `kiln_c` on, the last after `count`.

    ValueError for a wall or air that there is not.
    """
    _check(wall_mm, kiln_c, air_c)
    cooling, faces = _Cooling(wall, wall_mm, kiln_c, air_c), []
    temps = cooling.start
    for _second in range(count):
        temps = cooling.after(temps, 1.0)
        faces.append(temps[0])
    return tuple(faces)


def _check(wall_mm: float, kiln_c: float, air_c: float) -> None:
    if wall_mm <= 0:
        raise ValueError(f"A wall is thicker than nothing, not {wall_mm} mm.")
    if not -ZERO_C <= air_c <= kiln_c:
        raise ValueError(f"Air is between absolute zero and the kiln's {kiln_c} °C, not at {air_c} °C.")


def seconds_to(temp_c: float, wall_mm: float, kiln_c: float, air_c: float, wall: Wall = LIKELY_WALL) -> float:
    """After how many seconds in the open the wall's face has cooled from `kiln_c` to `temp_c`; 0 when it begins cooler.

    Half an hour for one that is hotter even then. ValueError where `temp_c` is no warmer than the air, which no wall
    reaches.
    """
    _check(wall_mm, kiln_c, air_c)
    if temp_c <= air_c:
        raise ValueError(f"No wall cools to {temp_c} °C in air of {air_c} °C.")
    cooling = _Cooling(wall, wall_mm, kiln_c, air_c)
    temps, step = cooling.start, 1 / cooling.steps_a_second(len(cooling.start))
    second = 0.0
    while temps[0] > temp_c and second < _LONGEST_S:
        before, temps, second = temps[0], cooling.after(temps, step), second + step
        if temps[0] <= temp_c:
            return second - step * (temp_c - temps[0]) / (before - temps[0])
    return second


@lru_cache(maxsize=512)
def seconds_until(temp_c: float, wall_mm: float, kiln_c: float, air_c: float) -> Range:
    """How long until the face is at `temp_c`, in seconds in the open: the fast wall, the likely one, the slow one."""
    fast, likely, slow = (
        seconds_to(temp_c, wall_mm, kiln_c, air_c, wall) for wall in (FAST_WALL, LIKELY_WALL, SLOW_WALL)
    )
    return Range(fast, likely, slow)


# ---- how many pieces a puller gets out -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PullEstimate:
    """How many pieces one puller gets out before the last is too cool for its marks: an estimate.

    `seconds` is how long a face that is all in the open stays hot enough. `assumptions` are what it rests on.
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
            words = _("Estimate: even the first piece is too cool when it's out.")
            return Message("none-in-time", words)
        if self.low == self.high:
            many = Plural(
                "high",
                "Estimate: one puller gets {high} piece out while it's hot enough.",
                "Estimate: one puller gets {high} pieces out while they're hot enough.",
            )
            return Message("pulls-in-time", many, high=self.high)
        span = Plural(
            "high",
            "Estimate: one puller gets {low} to {high} piece out while it's hot enough, likely {likely}.",
            "Estimate: one puller gets {low} to {high} pieces out while they're hot enough, likely {likely}.",
        )
        return Message("pulls-between", span, low=self.low, high=self.high, likely=self.likely)

    def by(self, pullers: int) -> tuple[int, int, int]:
        """The same for so many who pull at the same time: low, likely, high."""
        return self.low * pullers, self.likely * pullers, self.high * pullers


@lru_cache(maxsize=256)
def pulls_in_time(
    wall_mm: float | None,
    air_c: float,
    practice: OutdoorPractice = OUTDOOR_PRACTICE,
    *,
    kind: RouteKind = RouteKind.RAKU,
) -> PullEstimate:
    """How many pieces with such walls one puller gets out of such a kiln; None is a wall that was never measured.

    The last one waits while the others are pulled, and all that time is taken as if it stood in the open, the careful
    side: so the window of one face in the open is the time that a puller has for all of a round. On horsehair the
    puller lays the hair on each piece before the next is pulled. ValueError for air as warm as what is too cool.
    """
    thick, kiln = practice.thin_wall_mm if wall_mm is None else wall_mm, pull_c(kind, practice)
    lasts = [seconds_to(hot_enough_c(kind, practice), thick, kiln, air_c, wall) for wall in _WALLS_OF_A_RANGE]
    low, likely, high = (_pulls(last_s, kind, practice, _MOST_PULLS) for last_s in lasts)
    said = tuple(_assumed(wall_mm, air_c, practice, kind))
    return PullEstimate(low, likely, high, Range(*lasts), said)


_WALLS_OF_A_RANGE = (FAST_WALL, LIKELY_WALL, SLOW_WALL)


@lru_cache(maxsize=512)
def safe_pulls(wall_mm: float, air_c: float, practice: OutdoorPractice, kind: RouteKind) -> int:
    """How many pieces a round is planned with for each puller: what even a wall that cools fast allows.

    One piece each where a likely wall allows that. No more than one puller is asked for.
    """
    warm, kiln = hot_enough_c(kind, practice), pull_c(kind, practice)

    def out(wall: Wall) -> int:
        return _pulls(seconds_to(warm, wall_mm, kiln, air_c, wall), kind, practice, practice.most_a_puller)

    return out(FAST_WALL) or min(1, out(LIKELY_WALL))


def _pulls(last_s: float, kind: RouteKind, practice: OutdoorPractice, most: int) -> int:
    """How many pieces are out, and their hair laid on, within so many seconds from touching the hot kiln."""
    each_s = practice.pull_s + (practice.hair_s if kind is RouteKind.HORSEHAIR else 0.0)
    return min(most, max(0, int((last_s - practice.lid_s) // each_s)))


def _assumed(wall_mm: float | None, air_c: float, practice: OutdoorPractice, kind: RouteKind) -> Iterator[Message]:
    limit = celsius(hot_enough_c(kind, practice))
    yield Message(
        "walls",
        _WALLS,
        measured="no" if wall_mm is None else "yes",
        wall=mm(practice.thin_wall_mm if wall_mm is None else wall_mm, 1),
        kiln=celsius(pull_c(kind, practice)),
        air=celsius(air_c, 1),
    )
    if kind is RouteKind.HORSEHAIR:
        words = _("Below {limit} on the face, hair no longer burns (published accounts).")
        yield Message("too-cool-for-hair", words, limit=limit)
        words = _(
            "Opening the kiln takes {lid}. For each piece its puller takes {pull} by tongs and {hair} for the hair "
            "(common practice)."
        )
        yield Message("seconds-taken-with-hair", words, hair=seconds(practice.hair_s, 1), **_taken(practice))
    else:
        words = _("In its bin above {limit} on the face, copper flashes in smoke (common practice).")
        yield Message("hot-enough-for-copper", words, limit=limit)
        words = _("Opening the kiln takes {lid}. Each piece takes {pull} by tongs (common practice).")
        yield Message("seconds-taken", words, **_taken(practice))
    yield _WAITING
    yield _TAKEN_FOR_WALL
    yield from _IN_ANY_CASE


def _taken(practice: OutdoorPractice) -> dict[str, Quantity]:
    return {"lid": seconds(practice.lid_s, 1), "pull": seconds(practice.pull_s, 1)}


_WALLS = Choice(
    "measured",
    {
        "yes": _("Walls of {wall}, from {kiln} into air of {air}."),
        "no": _("No wall thickness was entered, so {wall} is used. From {kiln} into air of {air}."),
    },
)
_TAKEN_FOR_WALL = Message(
    "taken-for-wall", _("Assumptions about the wall: {assumed}."), assumed=tuple(one.message for one in ASSUMPTIONS)
)
_WAITING = Message(
    "waiting-as-in-the-open",
    _("A piece that waits for its turn is counted as cooling as fast as one in the open (the careful side)."),
)
_IN_ANY_CASE = (
    Message(
        "face-by-conduction",
        _("Where the Biot number is over {biot}, the face cools ahead of the wall behind it (conduction)."),
        biot=LUMPED_BIOT,
    ),
    Message("wall-alone", _("Each piece is calculated alone. Neighbors and a hot floor keep it hotter.")),
    Message(
        "tiles-and-wind", _("A tile or plate is open on both faces and cools faster. So does any piece in a wind.")
    ),
)
