"""Whether propane evaporates in its tanks as fast as the burner draws it: a cold or nearly empty tank can't keep up.

The chart is for one upright tank of 100 lb and tells the most it gives without a pause, by the propane left in it and
by how warm that is. It is printed alike in Flame Engineering's propane vaporization chart and in a generator maker's
installation manual (TP-6727, appendix D); tests/reference/propane_vaporization.csv has it. Here the propane counts as
warm as the air. Masses are in kg, temperatures in °C and power in kW; the chart is in lb, °F and Btu/h.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from tracker.domain.firing.costs import KWH_PER_KG_PROPANE
from tracker.domain.message import Choice, Message, Plural, _, together
from tracker.domain.outdoor.fuel import Enough, FuelGuess
from tracker.domain.quantities import BTU_PER_KWH, celsius, kilograms, kilowatts
from tracker.domain.refusals import Unusable

KG_PER_LB = 0.45359237
"""The international pound, exact."""

CHART_F = (0, 20, 40, 60, 70)
CHART_LB = (10, 20, 30, 40, 50, 60, 70, 80, 90, 100)
CHART_BTU_PER_H = (
    (28_000, 38_000, 49_000, 60_000, 66_000),
    (36_000, 51_000, 68_000, 83_000, 92_000),
    (45_000, 66_000, 85_000, 107_000, 118_000),
    (55_000, 79_000, 105_000, 131_000, 141_000),
    (64_000, 94_000, 125_000, 154_000, 167_000),
    (75_000, 109_000, 140_000, 176_000, 192_000),
    (83_000, 122_000, 160_000, 199_000, 214_000),
    (94_000, 137_000, 180_000, 214_000, 236_000),
    (104_000, 152_000, 200_000, 247_000, 277_000),
    (113_000, 167_000, 214_000, 277_000, 300_000),
)
"""What the tank gives, a row for each mass of propane left in it, a column for each temperature."""

_COLDEST_C = (CHART_F[0] - 32) / 1.8

_BOTTOM = 0.1
"""The bottom's share in the wetted surface of a full 100 lb tank, 370 mm wide (from memory, and its geometry)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tanks:
    """The tanks a burner draws from at once: `count` alike, each of which holds `size_kg` of propane when full."""

    count: int
    size_kg: float

    def must_hold(self, propane_kg: float) -> None:
        """Refuse with `Unusable` more propane than goes into them."""
        if propane_kg > self.count * self.size_kg:
            words = Plural(
                "count",
                "One {size} tank can't hold {propane} of propane.",
                "{count} {size} tanks can't hold {propane} of propane.",
            )
            facts = {"size": kilograms(self.size_kg), "propane": kilograms(propane_kg)}
            remedy = Message("weigh-tanks-again", _("Check the tanks. Weigh the propane without them."))
            raise Unusable([Message("tanks-overfull", words, count=self.count, **facts)], remedy)

    def gives_kw(self, propane_kg: float, air_c: float) -> float:
        """The most they give together without a pause, in kW, with so much propane shared evenly among them.

        Linear between the chart's numbers. Outside of them the careful side: nothing below 0 °F, above 70 °F no more
        than there, and below 10 lb in proportion to what is left. A tank of another size gives as a 100 lb tank filled
        to the same part, scaled by the surface that the liquid wets: a smaller one is as wide and lower, a larger one
        is of the same shape (an approximation, common practice).
        """
        part = min(1.0, propane_kg / self.count / self.size_kg)
        size = self.size_kg / (100 * KG_PER_LB)
        wetted = min(_BOTTOM + (1 - _BOTTOM) * size, size ** (2 / 3))
        each_btu_per_h: float = wetted * _chart_btu_per_h(100 * part, air_c * 1.8 + 32)
        return self.count * each_btu_per_h / BTU_PER_KWH

    @property
    def is_scaled(self) -> bool:
        """Whether they are of another size than the chart's, give or take a kilogram."""
        return abs(self.size_kg - 100 * KG_PER_LB) > 1


def _chart_btu_per_h(propane_lb: float, temp_f: float) -> float:
    if temp_f < CHART_F[0]:
        return 0.0
    by_mass = [_between(CHART_F, row, min(temp_f, CHART_F[-1])) for row in CHART_BTU_PER_H]
    return _between((0, *CHART_LB), (0.0, *by_mass), propane_lb)


def _between(places: Sequence[float], values: Sequence[float], at: float) -> float:
    """The value `at` a place within `places`, linear between its neighbors."""
    steps = zip(pairwise(places), pairwise(values), strict=True)
    (left, right), (low, high) = next((place, value) for place, value in steps if at <= place[1])
    return low + (high - low) * (at - left) / (right - left)


# ---- is it fast enough -----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """What the burner draws, in kW, and whether that is from its plate or from what a round takes."""

    kw: float
    from_plate: bool

    @classmethod
    def of(cls, plate_kw: float | None, guess: FuelGuess, round_min: float) -> Draw:
        """By the burner's plate; else the most that a later round is likely to take, burned evenly over its minutes."""
        if plate_kw is not None:
            return cls(kw=plate_kw, from_plate=True)
        return cls(kw=guess.high / (round_min / 60) * float(KWH_PER_KG_PROPANE), from_plate=False)


@dataclass(frozen=True, slots=True)
class EvaporationVerdict:
    """Whether the tanks keep up with the burner; `word` is None where too little is known to tell."""

    word: Enough | None
    message: Message


_TANKS = Message("the-tanks", _("the size and number of tanks"))
_PROPANE = Message("the-propane", _("the propane on hand"))
_AIR = Message("the-air", _("the air temperature"))


def keeps_up(
    tanks: Tanks | None, on_hand_kg: float | None, used_kg: float, air_c: float | None, draw: Draw
) -> EvaporationVerdict:
    """Whether the tanks give what the burner draws: with all that is `on_hand_kg`, and with `used_kg` of it gone."""
    if tanks is None or on_hand_kg is None or air_c is None:
        needed = ((_TANKS, tanks), (_PROPANE, on_hand_kg), (_AIR, air_c))
        missing = tuple(name for name, known in needed if known is None)
        words = _("Not checked: can the tanks evaporate propane fast enough? Enter {missing}.")
        return EvaporationVerdict(None, Message("evaporation-unknown", words, missing=missing))
    if air_c < _COLDEST_C:
        words = _("{air} is colder than the vaporization chart goes. Ask your fuel supplier.")
        return EvaporationVerdict(None, Message("colder-than-chart", words, air=celsius(air_c)))
    first, last = tanks.gives_kw(on_hand_kg, air_c), tanks.gives_kw(max(0.0, on_hand_kg - used_kg), air_c)
    word = Enough.ENOUGH if draw.kw <= last else Enough.PERHAPS if draw.kw <= first else Enough.NOT_ENOUGH
    gives = Message(
        "tanks-give",
        Plural(
            "tanks",
            "At {air}, {tanks} tank evaporates up to {first} at the start and {last} at the end.",
            "At {air}, {tanks} tanks evaporate up to {first} at the start and {last} at the end.",
        ),
        air=celsius(air_c),
        tanks=tanks.count,
        first=replace(kilowatts(first), beside=draw.kw),
        last=replace(kilowatts(last), beside=draw.kw),
    )
    drawn = replace(kilowatts(draw.kw), beside=first if word is Enough.NOT_ENOUGH else last)
    draws = Message("burner-draws", _DRAWS, ground="plate" if draw.from_plate else "rounds", draw=drawn)
    said = [gives, draws]
    if word is not Enough.ENOUGH:
        said.append(Message("tanks-too-slow", _TOO_SLOW, word=word))
    said.append(Message("scaled-chart", _GROUND, scaled="yes" if tanks.is_scaled else "no"))
    return EvaporationVerdict(word, together(said))


_DRAWS = Choice(
    "ground",
    {
        "plate": _("The burner draws {draw} (from its plate)."),
        "rounds": _("The burner draws up to {draw} (from the propane that a round takes)."),
    },
)
_TOO_SLOW = Choice(
    "word",
    {
        "perhaps": _("Toward the end the tanks get too cold to keep up. Join another tank. Never heat a tank."),
        "not enough": _("The tanks get too cold to keep up. Join more tanks or use larger ones. Never heat a tank."),
    },
)
_GROUND = Choice(
    "scaled",
    {
        "no": _("From manufacturers' vaporization charts for a 100 lb tank."),
        "yes": _("Scaled by wetted surface from manufacturers' charts for a 100 lb tank. It's an approximation."),
    },
)
