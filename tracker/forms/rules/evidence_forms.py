"""The forms of the evidence page: a release test and a weighing, as a laboratory's report or a balance gives them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from tracker.domain.cones import Cone
from tracker.domain.studio.absorption import BadWeighing, Weighing
from tracker.domain.studio.leach_limits import Metal, Unit
from tracker.domain.studio.leach_tests import ReleaseTest, Result, Vessel, VesselKind
from tracker.forms import fields
from tracker.forms.fields import Typed
from tracker.forms.page_forms import BadForm, FormSchema

MOST_SPECIMENS = 60
"""Results in one test."""


LONGEST_WITHDRAWAL = 160
"""Characters in the reason for which a piece of evidence is withdrawn."""


def _number(least: float, most: float, *, required: bool = False) -> Typed:
    """A number with a point or a comma from `least` to `most`, or None."""

    def read(text: str) -> float:
        written = re.fullmatch(r"[0-9]{1,7}(?:[.,][0-9]{1,6})?", text.strip(), re.ASCII)
        value = float(written[0].replace(",", ".")) if written else -1.0
        if not least <= value <= most:
            raise ValueError(f"A number from {least:g} to {most:g} is needed.")
        return value

    return Typed(read, required=required)


def _results() -> Typed:
    """One result a specimen, with spaces or new lines between them: "0.02 <0.01 0.03"."""

    def read(text: str) -> tuple[Result, ...]:
        written = re.sub(r"<\s+", "<", text).replace(";", " ").split()
        if len(written) > MOST_SPECIMENS:
            raise ValueError(f"At most {MOST_SPECIMENS} results fit.")
        # A comma between digits is a decimal point; one at the end of a number only parts it from the next.
        return tuple(Result.parse(one.rstrip(",").replace(",", ".")) for one in written)

    return Typed(read, required=True)


def _day() -> Typed:
    def read(text: str) -> date:
        try:
            return date.fromisoformat(text.strip())
        except ValueError:
            raise ValueError("A day is needed, written like 2026-03-01.") from None

    return Typed(read, required=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseSent:
    """A release test as its form sends it."""

    glaze: str
    laboratory: str
    tested_on: date
    method: str
    metal: Metal
    unit: Unit
    results: tuple[Result, ...]
    kind: VesselKind
    depth_mm: float | None
    capacity_ml: float | None
    clay: str | None
    route: str | None

    def made(self, today: date) -> ReleaseTest:
        """The test; `BadForm` for one that is still to be made."""
        if self.tested_on > today:
            raise BadForm({"tested_on": "This day is still to come."})
        return ReleaseTest(
            laboratory=self.laboratory,
            tested_on=self.tested_on,
            method=self.method,
            metal=self.metal,
            unit=self.unit,
            results=self.results,
            vessel=Vessel(kind=self.kind, depth_mm=self.depth_mm, capacity_ml=self.capacity_ml),
            clay=self.clay,
            route=self.route,
        )


class ReleaseForm(FormSchema[ReleaseSent]):
    """One metal out of one glaze, as the laboratory reports it; measures of the vessel may be left out."""

    makes = ReleaseSent
    glaze = fields.line(required=True)
    laboratory = fields.line(required=True)
    tested_on = _day()
    method = fields.line()
    metal = fields.choice(Metal)
    unit = fields.choice(Unit)
    results = _results()
    kind = fields.choice(VesselKind)
    depth_mm = _number(0, 10_000)
    capacity_ml = _number(0, 1_000_000)
    clay = fields.line(default=None)
    route = fields.line(default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal:
    """Which piece of evidence is taken out of force: of what, the `number`-th from 0, and why.

    `instead_pct` is what a clay takes up as its data have it, where no other weighing counts.
    """

    of: str
    number: int
    reason: str
    instead_pct: float | None = None


class WithdrawalForm(FormSchema[Withdrawal]):
    """A test or a weighing by its place in the list, with the reason."""

    makes = Withdrawal
    of = fields.line(required=True)
    number = fields.whole(0, 10_000, required=True)
    reason = fields.line(LONGEST_WITHDRAWAL, required=True)
    instead_pct = _number(0, 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighingSent:
    """The three weights of a specimen as their form sends them, in g."""

    clay: str
    dry_g: float
    saturated_g: float
    suspended_g: float
    fired_to: Cone

    def made(self) -> Weighing:
        """The weighing; `BadForm` for weights that no specimen can have."""
        try:
            return Weighing(
                dry_g=self.dry_g, saturated_g=self.saturated_g, suspended_g=self.suspended_g, cone=self.fired_to
            )
        except BadWeighing as refusal:
            raise BadForm({"saturated_g": str(refusal)}) from None


class WeighingForm(FormSchema[WeighingSent]):
    """A specimen of one clay: dry, saturated, and saturated hanging in water."""

    makes = WeighingSent
    clay = fields.line(required=True)
    dry_g = _number(0, 100_000, required=True)
    saturated_g = _number(0, 100_000, required=True)
    suspended_g = _number(0, 100_000, required=True)
    fired_to = fields.cone()
