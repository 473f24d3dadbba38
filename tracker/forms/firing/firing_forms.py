"""The forms of a firing: what its pyrometer shows, a kiln's own log, the witness cones, and what it took and cost."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from tracker.domain.cones import Cone, Kind
from tracker.domain.firing.thermocouples import Couple
from tracker.domain.firing.witness_cones import Stands, WitnessCone
from tracker.domain.message import Message, _
from tracker.domain.quantities import Unit
from tracker.forms import fields
from tracker.forms.fields import Typed, invalid
from tracker.forms.firing.curve_file import Unit as Scale
from tracker.forms.page_forms import BadForm, Form, form_of, sent
from tracker.forms.plain_values import Wrong, as_sentence, cone_of

MOST_WITNESSES = 12
"""Rows for witness cones on a firing's page."""

_KINDS: Mapping[str, Kind] = {"self-supporting": "self-supporting", "large": "large"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedFiring:
    """Which kiln is to fire what, to which cone (None: the route's own), and on which day."""

    kiln: str = sent(fields.line(required=True, needed=Message("kiln-needed", _("Choose a kiln."))))
    route: str = sent(fields.line(required=True, needed=Message("route-needed", _("Choose a firing type."))))
    target: Cone | None = sent(Typed(lambda text: cone_of(text.strip())))
    day: date | None = sent(fields.day())


PlannedFiringForm = form_of(PlannedFiring)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSent:
    """What a pyrometer shows, in °C, at a time of day (None: now); whether somebody is sure of it."""

    celsius: float
    at: time | None
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shown:
    """A reading in the unit in which the pyrometer shows it."""

    shows: float = sent(fields.number(-99_999, 99_999, such_as="1015", required=True))
    unit: Scale = sent(fields.choice(Scale))
    at: time | None = sent(fields.clock())
    sure: bool = sent(fields.yes_or_no())


READING_FORM = form_of(_Shown)()


def read_reading(shown: _Shown) -> ReadingSent:
    """A reading in °C, from whichever unit it was shown in."""
    celsius = shown.shows if shown.unit is Scale.C else (shown.shows - 32) / 1.8
    return ReadingSent(celsius=round(celsius, 2), at=shown.at, sure=shown.sure)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogSent:
    """What is said about a kiln's log beside the file itself."""

    unit: Scale | None = sent(fields.choice(Scale, required=False))
    couple: Couple | None = sent(fields.choice(Couple, required=False))
    junction_c: float | None = sent(fields.number(0, 100, measure=Unit.CELSIUS))
    accepts: bool = sent(fields.yes_or_no())
    begins_min: int = sent(fields.whole(0, 2_880, default=0))

    def __post_init__(self) -> None:
        """Refuse a thermocouple without the heat of its cold junction."""
        if self.couple is not None and self.junction_c is None:
            needed = Message("no-junction", _("Millivolts need the temperature of the cold junction."))
            raise invalid(needed, "junction_c")


LogForm = form_of(LogSent)


def read_witnesses(form: Form) -> tuple[tuple[int | None, WitnessCone], ...]:
    """The witness cones of a firing from rows level-N, cone-N and stands-N; a row without a cone is left out.

    `BadForm` with what is wrong with each field.
    """
    kind = _KINDS.get(_sent(form, "kind"))
    problems = {} if kind else {"kind": Message("no-kind", _("Choose the kind of cone."))}
    seen: list[tuple[int | None, WitnessCone]] = []
    for row in range(1, MOST_WITNESSES + 1):
        written, stands, level = (_sent(form, f"{name}-{row}") for name in ("cone", "stands", "level"))
        if not written:
            continue
        try:
            cone = cone_of(written)
        except Wrong as wrong:
            problems[f"cone-{row}"] = as_sentence(wrong.message)
            continue
        if stands not in set(Stands):
            problems[f"stands-{row}"] = Message("no-stand", _("Cone {cone}: choose how far it bent."), cone=str(cone))
        elif level and not re.fullmatch(r"[1-9][0-9]?", level, re.ASCII):
            words = _("Cone {cone}: choose its kiln shelf.")
            problems[f"level-{row}"] = Message("no-level", words, cone=str(cone))
        elif kind:
            seen.append((int(level) if level else None, WitnessCone(cone, Stands(stands), kind)))
    if problems:
        raise BadForm(problems)
    return tuple(seen)


def _sent(form: Form, name: str) -> str:
    return form.getlist(name)[0].strip() if name in form else ""


def _cents(text: str) -> int:
    match = re.fullmatch(r"([0-9]{1,5})(?:[.,]([0-9]{2}))?", text.strip(), re.ASCII)
    if match is None:
        raise invalid(Message("cost-unreadable", _("Write the cost like 14.30.")))
    return int(match[1]) * 100 + int(match[2] or 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CostSent:
    """What a firing took and cost; None is unknown."""

    kwh: float | None = sent(fields.number(0, 100_000, such_as="71.5"))
    fuel_kg: float | None = sent(fields.number(0, 10_000, measure=Unit.KILOGRAMS))
    cost_cents: int | None = sent(Typed(_cents))


CostForm = form_of(CostSent)


@dataclass(frozen=True, slots=True, kw_only=True)
class TimesSent:
    """When a kiln came on, and when it went off if that is known; whether its log counts from the start."""

    on_day: date = sent(fields.day(required=True))
    on: time = sent(fields.clock(required=True))
    off_day: date | None = sent(fields.day())
    off: time | None = sent(fields.clock())
    log_moves: bool = sent(fields.yes_or_no())

    def moments(self, zone: ZoneInfo) -> tuple[datetime, datetime | None]:
        """Both moments, by the studio's clock."""
        off = datetime.combine(self.off_day or self.on_day, self.off, tzinfo=zone) if self.off else None
        return datetime.combine(self.on_day, self.on, tzinfo=zone), off


TimesForm = form_of(TimesSent)
