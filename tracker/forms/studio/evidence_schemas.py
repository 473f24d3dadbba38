"""What is told of a leach test and of an absorption test, the evidence behind the food standing of glazes and clays."""

from __future__ import annotations

import re
from collections.abc import Iterable
from enum import StrEnum
from typing import Any

from tracker.domain.message import Either, Message, _
from tracker.domain.quantities import Unit
from tracker.domain.studio.absorption import Absorption, BadWeighing, Soak, Weighing
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.leach_limits import Unit as LeachUnit
from tracker.domain.studio.leach_tests import VAPORS, BadResult, ReleaseTest, Result, Vessel, VesselKind
from tracker.domain.studio.metals import RAW_MATERIALS, Metal, metals_in
from tracker.forms import fields
from tracker.forms.entity import EntitySchema
from tracker.forms.fields import EVERYWHERE, FILE, LINE, PAGE, Typed, Within, fact, invalid
from tracker.forms.numbers import read_number
from tracker.forms.plain_values import Values, Wrong, choice, cone_of, kind_of, listed, number, read_name, shown

MOST_SPECIMENS = 60
"""Results in one test that a page takes."""

_WHOLE = 100.0

LONGEST_REMARK = 300
"""Characters in a sentence that says who said something, when and why."""

_read_amount = number(0, 100_000)


def _result(raw: object) -> Result:
    """A number, or, in quotes, "<0.01" for what was below detection."""
    if not isinstance(raw, str):
        return Result(_read_amount(raw))
    try:
        result = Result.parse(raw)
    except BadResult as refusal:
        raise Wrong(refusal.message) from None
    if not result.is_below:
        words = _('"{text}" is a number. Write it without quotes.')
        raise Wrong(Message("quoted-number", words, text=shown(raw)))
    return result


_RESULTS_NEEDED = Message("results-needed", _("Enter the result of each specimen, such as 0.02 <0.01."))
_METAL_NEEDED = Message("metal-needed", _("Enter the metal by symbol or name: Pb or lead."))
_LABORATORY_NEEDED = Message("laboratory-needed", _("Enter the laboratory that did the test."))


def _typed_result(text: str) -> Result:
    number = read_number(text.removeprefix("<")) if "," in text else None
    return Result.parse(text if number is None else f"{'<' if text.startswith('<') else ''}{number:f}")


def _results() -> Typed:
    """One result a specimen; on a page with spaces or new lines between them: "0.02 <0.01 0.03"."""

    def read(text: str) -> tuple[Result, ...]:
        written = re.sub(r"<\s+", "<", text).replace(";", " ").split()
        if len(written) > MOST_SPECIMENS:
            raise invalid(Message("too-many-results", _("At most {most} results."), most=MOST_SPECIMENS))
        # A comma at the end of a number only parts it from the next.
        return tuple(_typed_result(one.rstrip(",")) for one in written)

    def plain(raw: object) -> tuple[Result, ...]:
        results = listed(_result, 200)(raw)
        if not results:
            raise Wrong(Message("no-results", _("a test needs at least one result.")))
        return results

    return Typed(read, plain=plain, takes='a list of numbers, or "<0.01" below detection', needed=_RESULTS_NEEDED)


_OF_VESSEL = ("kind", "depth_mm", "capacity_ml")


def metal() -> Typed:
    """A metal, by its symbol or its name."""

    def read(raw: object) -> Metal:
        if type(raw) is not str:
            raise Wrong(Message("not-a-metal", _("expected a metal, not {kind}."), kind=kind_of(raw)))
        named = metals_in(raw)
        if raw.strip().lower() in RAW_MATERIALS:
            words = _("“{text}” is a raw material. Write the metal that was tested: {metals}.")
            raise Wrong(Message("a-raw-material", words, text=shown(raw), metals=Either(tuple(sorted(named)))))
        if len(named) != 1:
            words = _("“{text}” isn't a metal. Write its symbol or its name: Pb or lead.")
            raise Wrong(Message("no-such-metal", words, text=shown(raw)))
        return next(iter(named))

    return Typed(read, plain=read, takes='a metal by symbol or name: "Pb" or "lead"', needed=_METAL_NEEDED)


def read_recipe_metal(raw: object) -> str:
    """A word of a recipe that names one metal or several: "Cu", "copper carbonate"; `Wrong` for one that names none."""
    word = read_name(raw)
    if not metals_in(word):
        words = _('"{text}" isn\'t a metal. Write its symbol or its name: Cu or copper.')
        raise Wrong(Message("names-no-metal", words, text=shown(word)))
    return word


_METHODS = {
    "boil": _("boiled 5 hours, then 24 hours in the water (ASTM C373)"),
    "cold": _("cold soak (can fail a clay, never pass it)"),
}


class AbsorptionSchema(EntitySchema[Absorption]):
    """What a clay fired to one cone took up, as somebody measured it."""

    makes = Absorption
    word = "absorption"

    cone = fact(_("Fired to"), fields.cone(), within=FILE | LINE, must=FILE | LINE)
    pct = fact(_("Absorption"), fields.number(0, 100), within=FILE | LINE, must=FILE | LINE, unit="%")
    method = fact(_("Method"), fields.choice(Soak), within=FILE | LINE, must=FILE | LINE, words=_METHODS)


_MEASURED = re.compile(
    r"(?P<cone>[^:]+):\s*(?P<pct>[0-9][0-9.,]{0,9}?)\s*%?\s*,?\s*(?P<method>boil|cold)\b.*", re.IGNORECASE
)


def absorptions() -> Typed:
    """Measured absorption, one a line: the cone, how much, and how: "cone 6: 2.1%, boiled"."""

    def read(text: str) -> tuple[Absorption, ...]:
        return tuple(_absorption(line.strip()) for line in text.splitlines() if line.strip())

    def show(measured: Iterable[Absorption]) -> list[str]:
        text = "\n".join(f"cone {one.cone}: {_decimal(one.pct)}%, {one.method.value}" for one in measured)
        return [text] if text else []

    return Typed(read, default=(), show=show, control="area")


def _decimal(number: float) -> str:
    return f"{number:.6f}".rstrip("0").rstrip(".")


def _absorption(line: str) -> Absorption:
    match = _MEASURED.fullmatch(line)
    pct = read_number(match["pct"]) if match else None
    if match is None or pct is None or pct > _WHOLE:
        words = _("“{line}” isn't an absorption. Write it like “cone 6: 2.1%, boil” or “cone 6: 2.4%, cold”.")
        raise invalid(Message("absorption-unreadable", words, line=line[:40]))
    return Absorption(cone=cone_of(match["cone"].strip()), pct=float(pct), method=Soak(match["method"].lower()))


class WeighingSchema(EntitySchema[Any]):
    """A specimen of one clay: dry, saturated, and perhaps hanging in water."""

    makes = Weighing
    word = "weighing"

    dry_g = fact(_("Dry"), fields.number(0, 100_000, measure=Unit.GRAMS), unit="g", must=PAGE | FILE)
    saturated_g = fact(_("Saturated"), fields.number(0, 100_000, measure=Unit.GRAMS), unit="g", must=PAGE | FILE)
    suspended_g = fact(_("Suspended in water"), fields.number(0, 100_000, measure=Unit.GRAMS), unit="g")
    cone = fact(_("Fired to"), fields.cone(sent_as="fired_to"), must=PAGE | FILE)
    method = fact(_("Method"), fields.choice(Soak, required=False), must=PAGE, words=_METHODS)
    withdrawn = fact(_("Withdrawn"), fields.line(LONGEST_REMARK), within=FILE, hint=_("Who withdrew it, and why."))

    @classmethod
    def made(cls, values: Values, where: Within) -> Any:  # noqa: ANN401 -- as where it comes from
        """The weighing; `Wrong` for weights that no specimen can have."""
        try:
            return super().made(values, where)
        except BadWeighing as refusal:
            raise Wrong(refusal.message, "saturated_g") from None


class FiredIn(StrEnum):
    """What a what-if says that a tested glaze was fired in: an atmosphere, or a vapor, which is a kind of firing."""

    OXIDATION = "oxidation"
    NEUTRAL = "neutral"
    REDUCTION = "reduction"
    SODA = "soda"
    SALT = "salt"
    WOOD = "wood"

    @property
    def facts(self) -> Values:
        """The same as facts of a test."""
        return {"route": str(self)} if self in VAPORS else {"atmosphere": Atmosphere(self)}


class LeachTestSchema(EntitySchema[Any]):
    """One metal out of one glaze, as the laboratory reports it; measures of the vessel may be left out."""

    makes = ReleaseTest
    word = "test"

    laboratory = fact(_("Laboratory"), fields.asking(fields.name(), _LABORATORY_NEEDED), must=PAGE | FILE)
    tested_on = fact(_("Day of the test"), fields.day(), must=PAGE | FILE)
    method = fact(_("Method"), fields.line())
    metal = fact(_("Metal"), metal(), within=EVERYWHERE, must=EVERYWHERE)
    passed = fact(_("Passed, by the report"), fields.yes_or_no(default=None), within=EVERYWHERE)
    cone = fact(_("Fired to"), fields.cone(sent_as="fired_to"), within=EVERYWHERE, must=PAGE)
    atmosphere = fact(_("Atmosphere"), fields.choice(Atmosphere), within=EVERYWHERE, must=PAGE, asked=choice(FiredIn))
    unit = fact(_("Unit of the results"), fields.choice(LeachUnit), must=PAGE | FILE)
    results = fact(_("Result of each specimen"), _results(), must=PAGE | FILE)
    kind = fact(_("What was tested"), fields.choice(VesselKind), must=PAGE | FILE)
    depth_mm = fact(_("Inside depth"), fields.number(0, 10_000, measure=Unit.MM, is_metric=True), unit="mm")
    capacity_ml = fact(_("Capacity"), fields.number(0, 1_000_000, measure=Unit.MILLILITERS, is_metric=True), unit="ml")
    clay = fact(_("Clay it was on"), fields.name_or_none())
    route = fact(_("Firing type"), fields.name_or_none())
    withdrawn = fact(_("Withdrawn"), fields.line(LONGEST_REMARK), within=FILE, hint=_("Who withdrew it, and why."))

    @classmethod
    def made(cls, values: Values, where: Within) -> Any:  # noqa: ANN401 -- as where it comes from
        """The test, with the measures of its vessel put together."""
        if where is LINE:
            air: FiredIn | None = values.pop("atmosphere", None)
            return ReleaseTest(**values, **(air.facts if air is not None else {}))
        vessel = Vessel(**{name: values.pop(name) for name in _OF_VESSEL if name in values})
        return ReleaseTest(**cls.without_blanks(values, where), vessel=vessel)

    @classmethod
    def told(cls, entity: ReleaseTest) -> Values:
        """The facts of the test and of its vessel."""
        return {name: getattr(entity.vessel if name in _OF_VESSEL else entity, name) for name in cls._declared_fields}
