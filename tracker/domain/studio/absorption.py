"""Water absorption of fired clay out of three weighings, and what the tile and whiteware schemes call it.

The formulas are those of ASTM C373, from memory: a specimen is weighed dry, then saturated with water, then saturated
and hanging in water. One gram of water is taken for one cubic centimeter. To saturate it, C373 (from memory) boils it
for 5 hours and leaves it in the water for 24 more, on five specimens. A cold soak fills fewer pores and understates.

Clay takes up less the hotter it was fired. So a boiled specimen fired cooler bounds what ware takes up from above, and
any specimen fired hotter bounds it from below.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import fsum, isfinite

from tracker.domain.cones import Cone
from tracker.domain.message import Choice, Message, _
from tracker.domain.quantities import Quantity, Unit, grams
from tracker.domain.refusals import BadValue

SPECIMENS = 5
"""How many specimens one test is made on (ASTM C373, from memory)."""

# Far below what a balance shows, so that binary fractions never move ware over the bound of a class.
_DIGITS = 9


class Soak(StrEnum):
    """How a specimen was saturated: boiled as in ASTM C373, or left in cold water, which fills fewer pores."""

    BOIL = "boil"
    COLD = "cold"


@dataclass(frozen=True, slots=True, kw_only=True)
class Absorption:
    """What clay fired to `cone` took up, in percent of its dry weight, as somebody measured it by `method`."""

    cone: Cone
    pct: float
    method: Soak


class BadWeighing(BadValue):
    """Weights that no specimen can have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """One specimen fired to `cone`: dry, saturated by `method`, and perhaps suspended in water, each in g.

    One that was `withdrawn` says who took it out of force, when and why; it stays on file and counts no more.
    """

    dry_g: float
    saturated_g: float
    suspended_g: float | None = None
    cone: Cone
    method: Soak = Soak.BOIL
    withdrawn: str = ""

    def __post_init__(self) -> None:
        """Refuse with `BadWeighing` what cannot be, in the order in which the weights are taken."""
        dry, saturated, suspended = self.dry_g, self.saturated_g, self.suspended_g
        weights = [one for one in (dry, saturated, suspended) if one is not None]
        if not all(map(isfinite, weights)) or min(weights) <= 0:
            words = _("Each weight must be over {none}.")
            raise BadWeighing(Message("weight-is-nothing", words, none=grams(0)))
        if saturated < dry:
            words = _(
                "The saturated weight ({saturated}) is under the dry weight ({dry}). A wet specimen can't be lighter."
            )
            raise self._refused("lighter-when-wet", words)
        if saturated > 2 * dry:
            words = _(
                "The saturated weight ({saturated}) is over twice the dry weight ({dry}). No clay absorbs that much."
            )
            raise self._refused("a-sponge", words)
        if suspended is not None and suspended >= saturated:
            words = _("The suspended weight ({suspended}) must be less than the saturated weight ({saturated}).")
            raise self._refused("no-lift", words)
        if suspended is not None and suspended >= dry:
            words = _("The suspended weight ({suspended}) must be less than the dry weight ({dry}): water buoys it up.")
            raise self._refused("not-carried", words)

    def _refused(self, code: str, words: str) -> BadWeighing:
        weights = {"dry": self.dry_g, "saturated": self.saturated_g, "suspended": self.suspended_g or 0.0}
        return BadWeighing(
            Message(code, words, **{name: Quantity(one, Unit.GRAMS, 3) for name, one in weights.items()})
        )

    @property
    def volume_cm3(self) -> float | None:
        """Its volume with its pores, in cm³: M - S; None where it was not weighed in water."""
        return None if self.suspended_g is None else self.saturated_g - self.suspended_g

    @property
    def absorption_pct(self) -> float:
        """The water it takes up, in percent of its dry weight: A = 100 (M - D) / D."""
        return round(100 * (self.saturated_g - self.dry_g) / self.dry_g, _DIGITS)

    @property
    def porosity_pct(self) -> float | None:
        """Its open pores, in percent of its volume (apparent porosity): P = 100 (M - D) / (M - S)."""
        return None if self.volume_cm3 is None else 100 * (self.saturated_g - self.dry_g) / self.volume_cm3

    @property
    def bulk_density(self) -> float | None:
        """Its bulk density in g/cm³: B = D / (M - S)."""
        return None if self.volume_cm3 is None else self.dry_g / self.volume_cm3

    @property
    def absorption(self) -> Absorption:
        """What this specimen shows."""
        return Absorption(cone=self.cone, pct=self.absorption_pct, method=self.method)


def means(measured: Iterable[Absorption]) -> tuple[Absorption, ...]:
    """The mean of all specimens of one cone and method, for each cone and method, from cool to hot.

    Of fewer specimens than C373 asks for the highest counts: where they disagree, the careful side does.
    """
    found: dict[tuple[Cone, Soak], list[float]] = {}
    for one in measured:
        found.setdefault((one.cone, one.method), []).append(one.pct)
    return tuple(
        Absorption(cone=cone, pct=_mean(several) if len(several) >= SPECIMENS else max(several), method=method)
        for (cone, method), several in sorted(found.items())
    )


def _mean(several: list[float]) -> float:
    return round(fsum(several) / len(several), _DIGITS)


def at_most(measured: Collection[Absorption], cone: Cone) -> Absorption | None:
    """The tightest bound from above of what clay fired to `cone` takes up: boiled, and fired no hotter than that."""
    if not measured:
        return None
    bounds = [one for one in measured if one.method is Soak.BOIL and one.cone <= cone]
    return min(bounds, key=lambda one: one.pct, default=None)


def at_least(measured: Collection[Absorption], cone: Cone) -> Absorption | None:
    """The tightest bound from below of what clay fired to `cone` takes up: fired no cooler, by either method."""
    if not measured:
        return None
    bounds = [one for one in measured if one.cone >= cone]
    return max(bounds, key=lambda one: one.pct, default=None)


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
