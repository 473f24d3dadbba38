"""Water absorption of fired clay out of three weighings, and what the tile and whiteware schemes call it.

The formulas are those of ASTM C373, from memory: a specimen is weighed dry, then saturated with water, then saturated
and hanging in water. One gram of water is taken for one cubic centimetre.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import fsum, isfinite
from typing import TYPE_CHECKING

from tracker.domain.message import Choice, Message, _
from tracker.domain.quantities import Quantity, Unit, grams
from tracker.domain.refusals import BadValue

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tracker.domain.cones import Cone


# Far below what a balance shows, so that binary fractions never move ware over the bound of a class.
_DIGITS = 9


class BadWeighing(BadValue):
    """Three weights that no specimen can have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """One specimen fired to `cone`: dry, saturated and suspended in water, each in g.

    One that was `withdrawn` says who took it out of force, when and why; it stays on file and counts no more.
    """

    dry_g: float
    saturated_g: float
    suspended_g: float
    cone: Cone
    withdrawn: str = ""

    def __post_init__(self) -> None:
        """Refuse with `BadWeighing` what cannot be, in the order in which the weights are taken."""
        dry, saturated, suspended = self.dry_g, self.saturated_g, self.suspended_g
        if not all(map(isfinite, (dry, saturated, suspended))) or min(dry, saturated, suspended) <= 0:
            words = _("Each of the three weights is over {none}.")
            raise BadWeighing(Message("weight-is-nothing", words, none=grams(0)))
        if saturated < dry:
            words = _("Saturated ({saturated}) it cannot weigh less than dry ({dry}): water only adds to it.")
            raise self._refused("lighter-when-wet", words)
        if saturated > 2 * dry:
            words = _(
                "Saturated ({saturated}) it weighs over twice its dry weight ({dry}): no fired clay takes up so much."
            )
            raise self._refused("a-sponge", words)
        if suspended >= saturated:
            words = _("Hanging in water ({suspended}) it cannot weigh as much as out of it ({saturated}).")
            raise self._refused("no-lift", words)
        if suspended >= dry:
            words = _("Hanging in water ({suspended}) it weighs less than dry ({dry}): water carries it.")
            raise self._refused("not-carried", words)

    def _refused(self, code: str, words: str) -> BadWeighing:
        weights = {"dry": self.dry_g, "saturated": self.saturated_g, "suspended": self.suspended_g}
        return BadWeighing(
            Message(code, words, **{name: Quantity(one, Unit.GRAMS, 3) for name, one in weights.items()})
        )

    @property
    def volume_cm3(self) -> float:
        """Its volume with its pores, in cm³: M - S."""
        return self.saturated_g - self.suspended_g

    @property
    def absorption_pct(self) -> float:
        """The water it takes up, in percent of its dry weight: A = 100 (M - D) / D."""
        return round(100 * (self.saturated_g - self.dry_g) / self.dry_g, _DIGITS)

    @property
    def porosity_pct(self) -> float:
        """Its open pores, in percent of its volume (apparent porosity): P = 100 (M - D) / (M - S)."""
        return 100 * (self.saturated_g - self.dry_g) / self.volume_cm3

    @property
    def bulk_density(self) -> float:
        """Its bulk density in g/cm³: B = D / (M - S)."""
        return self.dry_g / self.volume_cm3


def mean_absorption(weighings: Sequence[Weighing]) -> float:
    """The mean water absorption of several specimens, in percent; at least one is needed."""
    return round(fsum(one.absorption_pct for one in weighings) / len(weighings), _DIGITS)


# ---- what the schemes call it --------------------------------------------------------------------------------------


class Scheme(StrEnum):
    """Who names classes of absorption. "Vitreous" means 3 % for tile and 0.5 % for whiteware: always say whose."""

    ANSI_A137_1 = "ANSI A137.1"
    ISO_13006 = "ISO 13006"
    ASTM_C242 = "ASTM C242"


@dataclass(frozen=True, slots=True)
class AbsorptionClass:
    """One class: over `above_pct` and up to `up_to_pct` percent; None for no upper bound. The densest begins at 0."""

    scheme: Scheme
    name: str
    above_pct: float
    up_to_pct: float | None

    def holds(self, absorption_pct: float) -> bool:
        """Whether ware that takes up so much is of this class."""
        is_above = absorption_pct > self.above_pct or absorption_pct == self.above_pct == 0
        return is_above and (self.up_to_pct is None or absorption_pct <= self.up_to_pct)

    @property
    def message(self) -> Message:
        """The class with whose it is and what that was written for: "vitreous in ANSI A137.1 (tile)"."""
        words = {
            "ASTM C242": _("{name} in {scheme} (whiteware terms)"),
            "ANSI A137.1": _("{name} in {scheme} (tile)"),
            "ISO 13006": _("{name} in {scheme} (tile)"),
        }
        return Message("absorption-class", Choice("scheme", words), name=self.name, scheme=self.scheme)


CLASSES: tuple[AbsorptionClass, ...] = (
    AbsorptionClass(Scheme.ANSI_A137_1, "impervious", 0, 0.5),
    AbsorptionClass(Scheme.ANSI_A137_1, "vitreous", 0.5, 3.0),
    AbsorptionClass(Scheme.ANSI_A137_1, "semi-vitreous", 3.0, 7.0),
    AbsorptionClass(Scheme.ANSI_A137_1, "non-vitreous", 7.0, None),
    AbsorptionClass(Scheme.ISO_13006, "Ia", 0, 0.5),
    AbsorptionClass(Scheme.ISO_13006, "Ib", 0.5, 3.0),
    AbsorptionClass(Scheme.ISO_13006, "IIa", 3.0, 6.0),
    AbsorptionClass(Scheme.ISO_13006, "IIb", 6.0, 10.0),
    AbsorptionClass(Scheme.ISO_13006, "III", 10.0, None),
    # The terms of ASTM C242 are from memory.
    AbsorptionClass(Scheme.ASTM_C242, "vitreous", 0, 0.5),
    AbsorptionClass(Scheme.ASTM_C242, "semivitreous", 0.5, 10),
    AbsorptionClass(Scheme.ASTM_C242, "nonvitreous", 10, None),
)
"""Every class, as tests/reference/absorption_classes.csv has them."""


def classes_of(absorption_pct: float) -> tuple[AbsorptionClass, ...]:
    """The class in each scheme of clay that takes up so much water, in percent."""
    return tuple(one for one in CLASSES if one.holds(absorption_pct))
