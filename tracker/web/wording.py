"""Messages as text for whoever sends this request: their role and the studio's zone decide how they read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime
from enum import Enum
from functools import cache
from typing import Any

from babel import Locale
from flask import Flask, g
from flask.json.provider import DefaultJSONProvider
from jinja2 import pass_context
from jinja2.runtime import Context

from tracker.domain.firing.heat_work import with_band
from tracker.domain.message import Fact, Message, _
from tracker.domain.quantities import (
    Quantity,
    Unit,
    Units,
    celsius,
    days,
    hours,
    in_units,
    kilograms,
    kilowatts,
    minutes,
    mm,
)
from tracker.domain.refusals import Refusal
from tracker.forms.fields import Typed
from tracker.wording.reader import Reader, reader_of_studio
from tracker.wording.render import clock, listed, read, say, say_refusal, short_day, translations


def reader() -> Reader:
    """The reader of this request's answer."""
    known: Reader | None = g.get("reader")
    if known is None:
        from tracker.web.auth import house  # noqa: PLC0415 -- the house asks who may open a page, in these words

        # A scan needs the zone alone, which hardly ever changes: asking again would cost it a query.
        studio = house().store.read.studio_as_last_read()
        known = g.reader = reader_of_studio(studio, g.get("person"), in_lines=True)
    return known


def said(message: Message | None) -> str:
    """A message as text for this reader; an empty text for None."""
    return say(message, reader())


def shown(fact: Fact) -> str:
    """One fact as this reader reads it."""
    return read(fact, reader())


def in_a_field(fact: Fact) -> str:
    """One fact as a field shows it to be changed."""
    return read(fact, replace(reader(), in_lines=False))


def said_refusal(refusal: Refusal) -> str:
    """A refusal in one line: what is wrong, then the way out."""
    return say_refusal(refusal, reader())


def measured(value: float | None, unit: Unit) -> str:
    """A measure as a form shows it to be changed: the bare number in this reader's units; an empty text for None."""
    digits = 1 if reader().units is Units.US else 2
    return "" if value is None else f"{round(in_units(value, unit, reader().units), digits):.12g}"


@pass_context
def unit_called(_context: Context, name: str) -> str:
    """What this reader uses in place of a unit; with the context, for Jinja would look up a constant only once."""
    return read(Unit(name), reader())


def unit_of(field: Typed) -> str:
    """The unit that stands beside a field, as this reader calls it."""
    if field.measure is not None:
        return read(field.measure, reader())
    # Lengths and weights in inches, pounds and ounces are written with their units.
    is_written = field.by_units and reader().units is Units.US
    return "" if is_written else translated(field.unit)


def translated(text: str | Message) -> str:
    """What a form's field is called, or what is said beside it, in this reader's language."""
    if isinstance(text, Message):
        return said(text)
    return translations(reader().locale).gettext(text) if text else ""


@pass_context
def plural_forms(_context: Context) -> dict[str, int]:
    """Each plural form of this reader's language by its name in CLDR, with a number that takes it.

    A template says a sentence for each number, and a script chooses among them (`Intl.PluralRules`).
    """
    return dict(_forms_of(reader().locale))


@cache
def _forms_of(locale: str) -> Mapping[str, int]:
    """As above, for a locale: every page asks, and what a language has stays the same."""
    form_of = Locale.parse(locale).plural_form
    numbers = {form_of(number): number for number in range(_ENOUGH_NUMBERS, -1, -1)}
    return {"other": _ENOUGH_NUMBERS} | numbers


_WORDED = (Message, Enum)
"""Built once: `Message | Enum` would be built for each of the hundreds of values that a page prints."""


def finished(value: object) -> object:
    """What a template prints: messages as text, values of enums by their names, nothing for None, all else as it is."""
    if isinstance(value, _WORDED):
        return read(value, reader())
    return "" if value is None else value


def sent(value: object) -> str:
    """What a form sends for a value: an enum's own text, which no language changes."""
    return str(value.value if isinstance(value, Enum) else value)


def _saying(gettext: Any) -> Callable[..., str]:  # noqa: ANN401 -- Jinja's globals have no type
    """What looks up a sentence of a template, so that the messages put into it are said like those printed alone."""

    @pass_context
    def looked_up(context: Context, *texts: object, **facts: object) -> str:
        # Not through str(): what was marked as safe stays so.
        words: str = gettext(context, *texts, **{name: finished(fact) for name, fact in facts.items()})
        return words

    return looked_up


class _Json(DefaultJSONProvider):
    """JSON in which a message is its text."""

    @staticmethod
    def default(value: object) -> object:
        return said(value) if isinstance(value, Message) else DefaultJSONProvider.default(value)


def speak(app: Flask) -> None:
    """Let the pages of `app` say sentences of their own and print messages, in templates and in JSON."""
    app.jinja_env.add_extension("jinja2.ext.i18n")
    app.jinja_env.add_extension("jinja2.ext.do")
    app.jinja_env.policies["ext.i18n.trimmed"] = True
    app.jinja_env.install_gettext_callables(  # type: ignore[attr-defined]  # the extension adds it
        lambda text: translations(reader().locale).ugettext(text),
        lambda one, more, count: translations(reader().locale).ungettext(one, more, count),
        newstyle=True,
    )
    for name in ("gettext", "ngettext"):
        app.jinja_env.globals[name] = _saying(app.jinja_env.globals[name])
    app.jinja_env.globals["plural_forms"] = plural_forms
    app.jinja_env.finalize = finished
    app.jinja_env.filters |= _FILTERS
    app.json = _Json(app)


# ---- moments, as templates write them --------------------------------------------------------------------------


def day(moment: datetime) -> str:
    """A moment as a day in the studio's zone: "Tue, Mar 3"."""
    return short_day(moment, reader())


def to_the_minute(moment: datetime) -> str:
    """A moment to the minute in the studio's zone: "Tue, Mar 3, 2:05 PM"."""
    return read(moment, reader())


def by_the_clock(moment: datetime) -> str:
    """A moment as the studio's clocks show it: "2:05 PM"."""
    return clock(moment, reader())


def ago(moment: datetime) -> str:
    """How long ago a moment was, in the largest unit that says enough: "9 days"; "less than a minute"."""
    from tracker.web.auth import house  # noqa: PLC0415 -- as above

    passed = (house().clock() - moment).total_seconds()
    for in_unit, length in ((days, 86_400), (hours, 3_600), (minutes, 60)):
        if passed >= length:
            return read(in_unit(passed // length), reader())
    return said(Message("under-a-minute", _("less than a minute")))


def since(moment: datetime) -> str:
    """The same as the end of a sentence: "9 days ago", or "just now" within a minute."""
    from tracker.web.auth import house  # noqa: PLC0415 -- as above

    if (house().clock() - moment).total_seconds() < _A_MINUTE:
        return said(Message("just-now", _("just now")))
    return said(Message("so-long-ago", _("{how_long} ago"), how_long=ago(moment)))


_A_MINUTE = 60
_ENOUGH_NUMBERS = 200
"""Among the numbers up to this every plural form of every language has one, but those of fractions and millions."""


def with_a_capital(text: str) -> str:
    """A sentence as it begins, its other letters as they are."""
    return f"{text[:1].upper()}{text[1:]}"


_FILTERS = {
    "day": day,
    "moment": to_the_minute,
    "clock": by_the_clock,
    "ago": ago,
    "since": since,
    "capitalize_first": with_a_capital,
}
_FILTERS |= {
    "heat": lambda c: read(celsius(c), reader()),
    "heat_rate": lambda c: read(Quantity(c, Unit.CELSIUS_PER_HOUR, 0), reader()),
    "with_band": lambda cone: said(with_band(cone)),
    "read": shown,
    "unit": unit_called,
    "unit_of": unit_of,
    "mm": lambda value, digits=0: read(mm(value, digits), reader()),
    "power": lambda value: read(kilowatts(value), reader()),
    "said": said,
    "said_refusal": said_refusal,
    "translated": translated,
    "sent": sent,
    "listed": lambda names: listed(list(names), reader()),
    "mass": lambda value: read(kilograms(value), reader()),
    "measured": measured,
}
