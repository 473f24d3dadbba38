"""The forms of an outdoor session: what is known beforehand, what a phone taps, and what the fire did."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from tracker.domain.message import Message, _
from tracker.domain.outdoor.evaporation import Tanks
from tracker.domain.outdoor.event_log import Did
from tracker.domain.outdoor.results import LONGEST_COLOR, Air, Mark, Smoke
from tracker.domain.outdoor.sessions import SessionFacts
from tracker.domain.outdoor.setting_up import Container, Crew, Opening, container_names
from tracker.domain.quantities import Unit, Units, in_units
from tracker.domain.studio.kilns import Kiln, Room
from tracker.forms import fields
from tracker.forms.fields import Typed, invalid
from tracker.forms.firing.outcome_forms import is_outcome
from tracker.forms.page_forms import BadForm, Form, FormSchema, form_of, read_form, sent

MOST_ALIKE = 12
"""Containers of one kind in a session."""

MOST_HANDS = 8
"""Names for one task of a crew, and pairs of tongs."""

MOST_TANKS = 20
"""Tanks that one burner draws from."""

_LONGEST_SKEW = timedelta(days=400)


def _names() -> Typed:
    """Names of people, between commas."""

    def read(text: str) -> tuple[str, ...]:
        names = tuple(dict.fromkeys(filter(None, (" ".join(one.split()) for one in text.split(",")))))
        if len(names) > MOST_HANDS or any(len(name) > fields.LONGEST_LINE for name in names):
            raise invalid(Message("names-unreadable", _("Write a few names, with commas between them.")))
        return names

    return Typed(read, default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sent:
    """A session as its form sends it, its times still those of the studio's clocks."""

    day: date = sent(fields.day(required=True))
    begins: time = sent(fields.clock(required=True))
    dark: time | None = sent(fields.clock())
    opening: Opening = sent(fields.choice(Opening))
    pullers: tuple[str, ...] = sent(_names())
    lids: tuple[str, ...] = sent(_names())
    watches: str = sent(fields.line())
    hose: str = sent(fields.line())
    tongs: int | None = sent(fields.whole(1, MOST_HANDS))
    combustibles: str = sent(fields.line(120))
    fuel_before: float | None = sent(fields.number(0, 2_000, measure=Unit.KILOGRAMS))
    tanks: int | None = sent(fields.whole(1, MOST_TANKS))
    tank_size: float | None = sent(fields.number(0.5, 500, measure=Unit.KILOGRAMS))
    burner: float | None = sent(fields.number(1, 2_000, measure=Unit.KILOWATTS))
    air: float | None = sent(fields.number(-60, 60, measure=Unit.CELSIUS))
    weather: str = sent(fields.line(120))


_SESSION = form_of(_Sent)()


def read_session(
    form: Form, kiln: Kiln, zone: ZoneInfo, units: Units = Units.METRIC, before: SessionFacts | None = None
) -> SessionFacts:
    """What is said of a session in `kiln`, by the clocks of `zone`; `BadForm` with what is wrong with each field.

    Fuel, tanks, burner and air are in `units`; where they are as the form showed them `before`, they are exactly what
    they were. Of each kind of container the kiln has, `many-1`, `many-2` … say how many there are and `lid-1` … whether
    with lids.
    """
    sent = read_form(_SESSION, form, units)
    shown = session_as_sent(before, kiln, zone, units) if before is not None else {}

    def exact(name: str, now: float | None, then: Callable[[SessionFacts], float | None]) -> float | None:
        return then(before) if before is not None and _text(form, name) == shown[name] else now

    return SessionFacts(
        kiln=kiln.name,
        starts_at=_moment(sent.day, sent.begins, zone),
        dark_at=_moment(sent.day, sent.dark, zone) if sent.dark else None,
        opening=sent.opening,
        crew=Crew(pullers=sent.pullers, lids=sent.lids, clock=sent.watches, hose=sent.hose, tongs=sent.tongs),
        containers=_containers(form, kiln.containers),
        combustibles=sent.combustibles,
        fuel_before_kg=exact("fuel_before", sent.fuel_before, lambda then: then.fuel_before_kg),
        tanks=_tanks(
            sent.tanks, exact("tank_size", sent.tank_size, lambda then: then.tanks.size_kg if then.tanks else None)
        ),
        burner_kw=exact("burner", sent.burner, lambda then: then.burner_kw),
        air_c=exact("air", sent.air, lambda then: then.air_c),
        weather=sent.weather,
    )


def _tanks(count: int | None, size_kg: float | None) -> Tanks | None:
    """The tanks, or None where neither is said; `BadForm` for one without the other."""
    if count is not None and size_kg is not None:
        return Tanks(count=count, size_kg=size_kg)
    if count is None and size_kg is None:
        return None
    field, words = ("tanks", _("Enter how many tanks.")) if count is None else ("tank_size", _("Enter their size."))
    raise BadForm({field: Message("half-of-the-tanks", words)})


def _moment(day: date, at: time, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, at, tzinfo=zone).astimezone(UTC)


def _containers(form: Form, rooms: Sequence[Room]) -> tuple[Container, ...]:
    made: list[Container] = []
    problems: dict[str, Message] = {}
    for kind, room in enumerate(rooms, start=1):
        text = _text(form, f"many-{kind}") or "0"
        if not re.fullmatch(r"[0-9]{1,2}", text, re.ASCII) or int(text) > MOST_ALIKE:
            words = _("Enter a whole number, at most {most}.")
            problems[f"many-{kind}"] = Message("too-many-alike", words, most=MOST_ALIKE)
            continue
        lid = bool(_text(form, f"lid-{kind}"))
        made.extend(Container(name=name, room=room, lid=lid) for name in container_names(kind, int(text)))
    if problems:
        raise BadForm(problems)
    return tuple(made)


def _text(form: Form, name: str) -> str:
    return form.getlist(name)[0].strip() if name in form else ""


# ---- beside the kiln ------------------------------------------------------------------------------------------------


def _epoch() -> Typed:
    """A moment as a phone counts it, in milliseconds since 1970, or None."""

    def read(text: str) -> datetime:
        if not re.fullmatch(r"[0-9]{12,14}", text.strip(), re.ASCII):
            raise invalid(Message("no-moment", _("That isn't a valid time.")))
        return datetime.fromtimestamp(int(text) / 1000, UTC)

    return Typed(read)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tapped:
    did: Did = sent(fields.choice(Did))
    firing: int = sent(fields.whole(required=True))
    piece: str = sent(fields.line(fields.LONGEST_SCAN))
    value: str = sent(Typed(",".join, default="", takes_all=True))
    inside: tuple[str, ...] = sent(Typed(lambda texts: tuple(dict.fromkeys(texts)), default=(), takes_all=True))
    at: datetime | None = sent(_epoch())
    sent_at: datetime | None = sent(_epoch())


_TAP = form_of(_Tapped)()


@dataclass(frozen=True, slots=True, kw_only=True)
class TapSent:
    """What a phone tapped, by the server's clock. `inside` are the codes that stand in the kiln, for a start."""

    did: Did
    firing: int
    piece: str
    value: str
    inside: tuple[str, ...]
    at: datetime


def read_tap(form: Form, now: datetime) -> TapSent:
    """A tap; the phone says when it was by its own clock, and what that clock shows while it sends.

    A clock that is wrong is so by the same amount both times, which is how its taps are put right here. Without a
    clock of its own, as from a page without script, a tap is of `now`.
    """
    sent = read_form(_TAP, form)
    if sent.did is Did.RESULT and not is_outcome(sent.value):
        raise BadForm({"value": Message("result-unsaid", _("Choose how it came out."))})
    if sent.did.is_of_a_piece and not sent.piece:
        raise BadForm({"piece": Message("no-piece", _("Choose the piece."))})
    at = now
    if sent.at is not None:
        wrong_by = now - sent.sent_at if sent.sent_at is not None else timedelta()
        at = sent.at + (wrong_by if abs(wrong_by) < _LONGEST_SKEW else timedelta())
    return TapSent(did=sent.did, firing=sent.firing, piece=sent.piece, value=sent.value, inside=sent.inside, at=at)


class MarkForm(FormSchema[Mark]):
    """What air and smoke a piece had, and the color that came."""

    makes = Mark
    air = fields.choice(Air, required=False)
    smoke = fields.choice(Smoke, required=False)
    color = fields.line(LONGEST_COLOR)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """What the fuel weighs after a session, in kg; None is unknown."""

    fuel_after: float | None = sent(fields.number(0, 2_000, measure=Unit.KILOGRAMS))


WeighedForm = form_of(Weighed)


def session_as_sent(facts: SessionFacts, kiln: Kiln, zone: ZoneInfo, units: Units = Units.METRIC) -> Mapping[str, str]:
    """The texts that a form shows, to whoever uses `units`, for what was said of a session before."""
    begins = facts.starts_at.astimezone(zone)
    many: dict[str, str] = {}
    for kind in range(1, len(kiln.containers) + 1):
        names = set(container_names(kind, MOST_ALIKE))
        alike = [one for one in facts.containers if one.name in names]
        many[f"many-{kind}"] = str(len(alike))
        many[f"lid-{kind}"] = "yes" if any(one.lid for one in alike) else ""
    return {
        "day": f"{begins:%Y-%m-%d}",
        "begins": f"{begins:%H:%M}",
        "dark": f"{facts.dark_at.astimezone(zone):%H:%M}" if facts.dark_at else "",
        "opening": facts.opening.value,
        "pullers": ", ".join(facts.crew.pullers),
        "lids": ", ".join(facts.crew.lids),
        "watches": facts.crew.clock,
        "hose": facts.crew.hose,
        "combustibles": facts.combustibles,
        "tongs": "" if facts.crew.tongs is None else str(facts.crew.tongs),
        "tanks": str(facts.tanks.count) if facts.tanks else "",
        "tank_size": _measured(facts.tanks.size_kg if facts.tanks else None, Unit.KILOGRAMS, units),
        "burner": _measured(facts.burner_kw, Unit.KILOWATTS, units),
        "fuel_before": _measured(facts.fuel_before_kg, Unit.KILOGRAMS, units),
        "air": _measured(facts.air_c, Unit.CELSIUS, units),
        "weather": facts.weather,
        **many,
    }


def _measured(value: float | None, unit: Unit, units: Units) -> str:
    digits = 1 if units is Units.US else 2
    return "" if value is None else f"{round(in_units(value, unit, units), digits):.12g}"
