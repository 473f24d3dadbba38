"""The fields that forms are made of: each takes the text a browser sent and gives a value or says what is wrong."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from copy import copy
from datetime import date, time
from enum import Enum, Flag, StrEnum, auto
from types import MappingProxyType
from typing import Any

from marshmallow import Schema, ValidationError, fields, missing
from marshmallow.exceptions import SCHEMA

from tracker.domain.cones import CONES
from tracker.domain.firing.heat_work import with_band
from tracker.domain.message import Either, Message, _
from tracker.domain.quantities import Unit, Units, in_units, mm
from tracker.domain.refusals import BadValue
from tracker.forms import plain_values
from tracker.forms.lengths import LONGEST_MM, length_written, read_length
from tracker.forms.measures import read_measure
from tracker.forms.numbers import read_number
from tracker.forms.plain_values import (
    LONGEST_NAME,
    Reader,
    Wrong,
    as_sentence,
    cone_of,
    number_outside,
    read_cone,
    read_date,
    read_flag,
    read_name,
    set_of,
    shown,
    text_of,
)
from tracker.forms.weights import HEAVIEST_G, read_weight, weight_written

LONGEST_LINE = 60
"""Characters in a name or a place."""

LONGEST_CARD_LINE = 80
"""Characters in the studio's own line at the foot of a card."""

LONGEST_REASON = 500
"""Characters in a reason, a question or an answer."""

LONGEST_SCAN = 400
"""Characters in what a scanner or a hand gives for a code; the address in a QR code is the longest."""

LONGEST_TEXT = 20_000
"""Characters of any text on a page but a list of things; no field takes more, and a longer one isn't looked at."""

"""Characters in a password; a longer one would only cost the server time."""

LARGEST_NUMBER = 2**53
"""No piece, person or history line is numbered higher, and no browser counts further without rounding."""

_YES_OR_NO = {"on": True, "yes": True, "true": True, "1": True, "off": False, "no": False, "false": False, "0": False}


class Within(Flag):
    """Where a fact is told: in a form on a page, in the studio file, in a line of `footring judge`."""

    PAGE = auto()
    FILE = auto()
    LINE = auto()


PAGE, FILE, LINE = Within.PAGE, Within.FILE, Within.LINE
EVERYWHERE, NOWHERE = PAGE | FILE | LINE, Within(0)

Show = Callable[..., list[str]]

UNITS = "(units)"
"""Under this name what was sent says in which units it was written; no field of a page is called so."""


def _texts(value: object) -> list[str]:
    """A value as the texts that a browser would send for it; none for what is empty."""
    match value:
        case None | False | "" | ():
            return []
        case True:
            return ["yes"]
        case frozenset():
            return sorted(map(str, value))
        case float():
            return [f"{value:.6f}".rstrip("0").rstrip(".")]
    return [str(value)]


UNTOLD = Message("required", _("This can't be blank."))
"""What is said of a field that has to be sent, where it doesn't say itself what it needs."""


class Typed(fields.Field[Any]):
    """A field that is read one way as a person typed it, and another way as it stands in a file or a line.

    `read` gets one text, or all texts that were sent where the field `takes_all`; it raises what is
    `invalid`. `plain` gets what stood in TOML or JSON; it raises `Wrong`. `show` gives back the texts for
    a value. `default` stands for a field that was not sent and need not be. `sent_as` is its name on the page where
    that differs. Blank text counts as nothing sent, except where it is taken `as_typed`. `takes` says in words what it
    takes, and `control` how a page asks it. What is `needed` is said where it has to be sent and was not. A field
    `by_units` is read and shown in the units of whoever is at the page, which `read` and `show` are then given as
    well; `measure` is the unit of one that is a plain number.
    """

    def __init__(
        self,
        read: Callable[..., object],
        *,
        required: bool = False,
        default: object = None,
        sent_as: str | None = None,
        takes_all: bool = False,
        as_typed: bool = False,
        plain: Reader | None = None,
        show: Show = _texts,
        takes: str = "",
        control: str = "text",
        choices: Mapping[str, Enum] = MappingProxyType({}),
        by_units: bool = False,
        measure: Unit | None = None,
        needed: Message | None = None,
    ) -> None:
        """Keep the readers, and tell marshmallow whether the field must be there."""
        super().__init__(required=required, load_default=missing if required else default, data_key=sent_as)
        self.read = read
        self.unsent = needed or UNTOLD
        self.takes_all = takes_all
        self.as_typed = as_typed
        self.plain = plain
        self.asked = plain
        self.show = show
        self.takes = takes
        self.control = control
        self.by_units = by_units
        self.measure = measure
        self.choices: list[tuple[str, str | Enum | Message]] = [*choices.items()]
        self.label = self.key = self.blank = self.legend = self.unit = ""
        self.hint: str | Message = ""
        self.within = self.must = NOWHERE
        self.unsaid: object = missing
        self.fixed = self.beside = False
        self.attributes: Mapping[str, str] = {}
        self.inside: type[Schema] | None = None

    def shown(self, value: object, units: Units) -> list[str]:
        """The texts for a value, as people of these units write it."""
        return self.show(value, units) if self.by_units else self.show(value)

    @property
    def sent_name(self) -> str:
        """Its name on the page."""
        return self.data_key or str(self.name)

    def make_error(self, key: str, **_facts: object) -> ValidationError:  # noqa: ARG002 -- a form never sends null
        """What marshmallow is to say of a field that was not sent."""
        return invalid(self.unsent)

    def optional(self) -> Typed:
        """The same field where nothing has to be sent."""
        field = copy(self)
        field.required = False
        field.load_default = None if self.load_default is missing else self.load_default
        return field

    def _deserialize(
        self,
        value: Any,  # noqa: ANN401 -- marshmallow gives it so
        attr: str | None,  # noqa: ARG002 -- as above
        data: Mapping[str, Any] | None,
        **kwargs: Any,  # noqa: ANN401, ARG002 -- as above
    ) -> object:
        try:
            return self.read(value, (data or {}).get(UNITS, Units.METRIC)) if self.by_units else self.read(value)
        except BadValue as refusal:
            raise invalid(refusal.message) from None
        except Wrong as wrong:
            raise invalid(as_sentence(wrong.message)) from None


def invalid(message: Message, field: str = SCHEMA) -> ValidationError:
    """What is wrong with a form, or with one `field` of it, as marshmallow carries it."""
    return ValidationError([message], field)


def fact(
    label: str,
    kind: Typed,
    *,
    within: Within = PAGE | FILE,
    must: Within = NOWHERE,
    key: str = "",
    hint: str | Message = "",
    words: Mapping[str, str] | None = None,
    asked: Reader | None = None,
    unsaid: object = missing,
    fixed: bool = False,
    blank: str = "",
    legend: str = "",
    beside: bool = False,
    unit: str = "",
    **attributes: str,
) -> Typed:
    """A fact of an entity: what kind of field it is, where it is told and where it `must` be, and how a page asks it.

    `key` is its key in files where that is not its name. `asked` reads it in a line of `footring judge` where that is
    done otherwise, and `unsaid` is what counts there when nothing is said. One that is `fixed` is asked
    of a new entity alone. On the page stand its `label`, `hint` and `unit`, the `words` for its choices, `blank` for
    none of them, the `legend` that it shares with its neighbors, and more `attributes` of its control; one that stands
    `beside` is on a line with the one before.
    """
    kind.label, kind.hint, kind.key, kind.blank, kind.legend, kind.unit = label, hint, key, blank, legend, unit
    kind.within, kind.must, kind.unsaid, kind.fixed, kind.beside = within, must, unsaid, fixed, beside
    kind.asked = asked or kind.plain
    kind.attributes = attributes
    told = {value: Message(value, text) for value, text in (words or {}).items()}
    kind.choices = [(value, told.get(value, text)) for value, text in kind.choices]
    if kind.unsent.code == "choose-one":
        kind.unsent = Message("choose-for", _("Choose one for “{field}”."), field=Message("field", label))
    kind.required = PAGE in must
    kind.load_default = missing if kind.required else None if kind.load_default is missing else kind.load_default
    return kind


# ---- the kinds of fact: each is read one way from a page and one way from a file ------------------------------------


def line(
    most: int = LONGEST_LINE,
    *,
    required: bool = False,
    default: str | None = "",
    sent_as: str | None = None,
    as_typed: bool = False,
    plain: Reader | None = None,
    needed: Message | None = None,
) -> Typed:
    """One line of text of at most `most` characters, trimmed, its spaces single, its letters composed.

    One that is taken `as_typed` counts as sent when it was emptied.
    """

    def read(text: str) -> str:
        if "\n" in text.strip() or "\r" in text.strip():
            raise invalid(Message("several-lines", _("Write this on one line.")))
        return _short_enough(" ".join(unicodedata.normalize("NFC", text).split()), most)

    return Typed(
        read,
        required=required,
        default=default,
        sent_as=sent_as,
        as_typed=as_typed,
        plain=plain or text_of(most),
        takes=f"text of at most {most} characters",
        needed=needed,
    )


_NAME_NEEDED = Message("name-needed", _("Enter a name."))


def name() -> Typed:
    """The name of a thing: one line of text, which is never empty in a file."""
    return line(plain=read_name, needed=_NAME_NEEDED)


def name_or_none() -> Typed:
    """The name of another thing, or None."""
    return line(default=None, plain=read_name)


def slug() -> Typed:
    """A name that stands in addresses."""

    def plain(raw: object) -> str:
        name = read_name(raw)
        if not re.fullmatch(r"[a-z0-9]+(?:-[a-z0-9]+)*", name, re.ASCII):
            words = _('"{name}" is used in web addresses. Use lowercase letters, digits and single hyphens.')
            raise Wrong(Message("not-a-slug", words, name=shown(name)))
        return name

    return Typed(plain, plain=plain, takes="lowercase letters, digits and single hyphens", needed=_NAME_NEEDED)


def lines(needed: Message, most: int = LONGEST_REASON) -> Typed:
    """Text that may run over several lines, trimmed."""

    def read(text: str) -> str:
        return _short_enough(unicodedata.normalize("NFC", text).replace("\r\n", "\n").strip(), most)

    return Typed(read, required=True, needed=needed)


def _short_enough(text: str, most: int) -> str:
    if len(text) > most:
        words = _("At most {most} characters. This has {long}.")
        raise invalid(Message("too-many-characters", words, most=most, long=len(text)))
    return text


def cone(*, required: bool = True, sent_as: str | None = None) -> Typed:
    """A cone, in any of the ways in which people write one."""
    kind = Typed(
        lambda text: cone_of(text.strip()),
        required=required,
        sent_as=sent_as,
        plain=read_cone,
        takes="a cone in quotes",
        control="select",
        needed=Message("cone-needed", _("Choose a cone.")),
    )
    kind.choices = [(str(one), with_band(one)) for one in CONES]
    return kind


def length(
    sent_as: str | None = None, *, required: bool = False, least: int = 1, most: int = LONGEST_MM, zero: str = "0"
) -> Typed:
    """A length in either unit system, as whole mm from `least` to `most`; `zero` is how a page shows 0."""
    plain = plain_values.whole(least, most)
    words = _("Enter a length from {least} to {most}.")
    outside = Message("length-out-of-bounds", words, least=mm(least), most=mm(most))

    def read(text: str, units: Units) -> int:
        value = 0 if not least and text.strip() == "0" else read_length(text, units, most)
        if not least <= value <= most:
            raise invalid(outside)
        return value

    def show(value: int | None, units: Units) -> list[str]:
        return [] if value is None else _texts(length_written(value, units) if value else zero)

    takes = f"mm, from {least} to {most}"
    return Typed(
        read,
        required=required,
        sent_as=sent_as,
        plain=plain,
        show=show,
        takes=takes,
        by_units=True,
        needed=Message("length-needed", _("Enter a length, such as 168 mm or 6 5/8 in.")),
    )


def weight(sent_as: str | None = None, *, required: bool = True, most: int = HEAVIEST_G) -> Typed:
    """A weight in either unit system, as whole g up to `most`."""
    return Typed(
        lambda text, units: read_weight(text, units, most),
        required=required,
        sent_as=sent_as,
        plain=plain_values.whole(1, most),
        show=lambda value, units: [] if value is None else [weight_written(value, units)],
        takes=f"a whole number from 1 to {most}",
        by_units=True,
        needed=Message("weight-needed", _("Enter a weight, such as 350 g or 12 oz.")),
    )


def vented(sent_as: str, *, required: bool = True) -> Typed:
    """Whether steam finds a way out of a form: one that is open, or closed with a hole or without."""
    ways_out = {"open": True, "hole": True, "sealed": False}
    needed = Message("open-or-closed", _("Choose whether the form is open or closed."))

    def read(text: str) -> bool:
        if text.strip() not in ways_out:
            raise invalid(needed)
        return ways_out[text.strip()]

    field = Typed(read, required=required, sent_as=sent_as, plain=read_flag, takes="true or false")
    field.unsent = needed
    return field


def asking(field: Typed, needed: Message) -> Typed:
    """The same field that says what is `needed` where nothing was sent."""
    asked = copy(field)
    asked.unsent = needed
    return asked


def whole(least: int = 1, most: int = LARGEST_NUMBER, *, default: int | None = None, required: bool = False) -> Typed:
    """A whole number from `least` to `most` in plain digits: int() would take any script's, and underscores."""
    plain = plain_values.whole(least, most)

    def read(text: str) -> int:
        return plain(int(text) if re.fullmatch(r"[0-9]{1,16}", text.strip(), re.ASCII) else None)

    takes, needed = f"a whole number from {least} to {most}", Message("whole-needed", _("Enter a whole number."))
    return Typed(read, default=default, required=required, plain=plain, takes=takes, needed=needed)


def choose_one(words: Iterable[str]) -> Message:
    """What is chosen has to be one of these."""
    return Message("choose-one", _("Choose one of {words}."), words=Either(tuple(words)))


def one_of(*numbers: int) -> Typed:
    """One of these numbers, or None when nothing was sent."""

    def read(text: str) -> int:
        if text.strip() not in map(str, numbers):
            raise invalid(choose_one(map(str, numbers)))
        return int(text)

    return Typed(read)


def number(
    least: float,
    most: float,
    *,
    such_as: str = "",
    unit: str = "",
    measure: Unit | None = None,
    is_metric: bool = False,
    required: bool = False,
    default: float | None = None,
) -> Typed:
    """A number from `least` to `most`, as `read_number` reads it, perhaps with its `unit` after it, or None.

    With a `measure` it is typed and shown in what the person at the page uses for that unit, or with any unit typed
    after it, and kept in that unit. One that `is_metric` is typed and shown in that unit whatever else they use, as it
    stands in a laboratory's report; another unit may be typed after it.
    The sentence for anything else gives an example where it is told one (`such_as`).
    """
    example = Message("number-needed", _("Enter a number, such as {such_as}."), such_as=such_as)
    needed = example if such_as else as_sentence(number_outside(least, most, measure))

    def read(text: str, units: Units = Units.METRIC) -> float:
        if measure is not None:
            value = read_measure(text, measure, units)
            if value is not None and units is Units.US and least - _ROUNDED <= value <= most + _ROUNDED:
                # A bound is met by the number as which it is shown.
                value = min(max(value, least), most)
        else:
            written = read_number(text.strip().removesuffix(unit))
            value = None if written is None else float(written)
        if value is None or not least <= value <= most:
            raise invalid(needed)
        return value

    def show(value: float | None, units: Units) -> list[str]:
        if value is None or measure is None:
            return _texts(value)
        if units is Units.METRIC:
            return _texts(round(value, _METRIC_DECIMALS.get(measure, 1)))
        return _texts(round(in_units(value, measure, units), _DECIMALS.get(measure, 1)))

    return Typed(
        read,
        required=required,
        default=default,
        plain=plain_values.number(least, most),
        takes=f"a number from {least:.12g} to {most:.12g}",
        measure=measure,
        by_units=measure is not None and not is_metric,
        show=show if measure is not None and not is_metric else _texts,
        needed=needed,
    )


_DECIMALS = {Unit.MM: 2, Unit.KILOGRAMS: 1, Unit.CELSIUS: 0}
"""How many decimals a number is shown with in US units, where it is not one."""

_METRIC_DECIMALS = {Unit.KILOGRAMS: 2}
"""The same in metric units: what was typed in °F is no whole number of °C. What is left as shown stays as stored."""

_ROUNDED = 0.05
"""How far beyond a bound a number may be that was rounded to be shown."""


_NOON = 12


def clock(*, required: bool = False) -> Typed:
    """A time of day as either clock shows it, 14:05 or 2:05 PM, or None."""
    needed = Message("clock-unreadable", _("Enter the time like 2:05 PM or 14:05."))

    def read(text: str) -> time:
        match = re.fullmatch(r"([01]?[0-9]|2[0-3])[:.h]([0-5][0-9])\s*(?:([ap])\.?\s*m\.?)?", text.strip().lower())
        if match is None:
            raise invalid(needed)
        hour, minute, half = int(match[1]), int(match[2]), match[3]
        if half and not 1 <= hour <= _NOON:
            raise invalid(needed)
        return time(hour % _NOON + (_NOON if half == "p" else 0) if half else hour, minute)

    return Typed(read, required=required, needed=needed)


def day(*, required: bool = False) -> Typed:
    """A day as a browser sends it, 2026-03-05, or None."""
    needed = Message("no-day", _("Choose a day."))

    def read(text: str) -> date:
        try:
            return date.fromisoformat(text.strip())
        except ValueError:
            raise invalid(needed) from None

    takes = "a date without quotes, such as 2026-03-01"
    return Typed(read, required=required, plain=read_date, takes=takes, needed=needed)


def seen() -> Typed:
    """The version of a piece that the page showed, or None for a scan."""
    return whole()


def half_steps(most: int) -> Typed:
    """Millimetres in steps of a half, from -`most` to `most`; nothing sent is 0."""

    def read(text: str) -> float:
        match = re.fullmatch(r"([+\-\u2212]?)([0-9]{1,2})(?:[.,]([05]))?", text.strip(), re.ASCII)
        size = int(match[2]) + (0.5 if match[3] == "5" else 0.0) if match else most + 1
        if not match or size > most:
            words = _("Enter millimeters in steps of 0.5, from {least} to {most}.")
            raise invalid(Message("half-steps", words, least=-most, most=most))
        return -size if match[1] in {"-", "\u2212"} else float(size)

    return Typed(read, default=0.0)


def choice(kind: type[StrEnum], allowed: Iterable[StrEnum] = (), *, required: bool = True) -> Typed:
    """One word out of those `allowed`, or of all that `kind` has; None for nothing sent where it is not `required`."""
    members = {str(member): member for member in (tuple(allowed) or kind)}

    def read(text: str) -> StrEnum:
        if text.strip() not in members:
            raise invalid(choose_one(members))
        return members[text.strip()]

    return Typed(
        read,
        required=required,
        plain=plain_values.choice(kind),
        takes=", ".join(members),
        control="select",
        choices=members,
        needed=choose_one(members),
    )


def several_of(kind: type[StrEnum]) -> Typed:
    """Any number of the words of `kind`, each ticked in a box."""
    members = {str(member): member for member in kind}

    def read(texts: list[str]) -> frozenset[StrEnum]:
        if any(text not in members for text in texts):
            raise invalid(Message("choose-among", _("Choose from {words}."), words=tuple(members)))
        return frozenset(members[text] for text in texts)

    return Typed(
        read,
        default=frozenset(),
        takes_all=True,
        plain=set_of(plain_values.choice(kind), 20),
        takes=f"a list of {', '.join(members)}",
        control="ticks",
        choices=members,
    )


def words(each: Reader = read_name) -> Typed:
    """Words with commas between them: "copper, cobalt"; on a page each is read by `each`, in a file it is any name."""

    def read(text: str) -> frozenset[str]:
        found = [" ".join(word.split()) for word in text.split(",") if word.strip()]
        if any(len(word) > LONGEST_NAME for word in found):
            words = _("At most {most} letters in each.")
            raise invalid(Message("word-too-long", words, most=LONGEST_NAME))
        return frozenset(map(each, found))

    def show(found: frozenset[str]) -> list[str]:
        return _texts(", ".join(sorted(found)))

    return Typed(read, default=frozenset(), plain=set_of(read_name, 40), show=show, takes="a list of words")


def yes_or_no(*, required: bool = False, default: bool | None = False) -> Typed:
    """A box that is ticked or left out, or, where it is `required`, a choice between yes and no."""
    needed = Message("yes-or-no", _("Choose yes or no."))

    def read(text: str) -> bool:
        if text.strip().lower() not in _YES_OR_NO:
            raise invalid(needed)
        return _YES_OR_NO[text.strip().lower()]

    return Typed(
        read, required=required, default=default, plain=read_flag, takes="true or false", control="check", needed=needed
    )


def rules() -> Typed:
    """The names of the rules whose warnings are accepted: any number, each once."""

    def read(names: list[str]) -> frozenset[str]:
        if not all(re.fullmatch(r"[a-z]{1,30}(?:-[a-z]{1,30}){0,8}", name, re.ASCII) for name in names):
            raise invalid(Message("no-such-rule", _("Unknown rule.")))
        return frozenset(names)

    return Typed(read, default=frozenset(), takes_all=True)


def several() -> Typed:
    """The things picked from a list or typed one to a line, each once, in their order; nothing picked is no fault."""

    def read(texts: list[str]) -> tuple[str, ...]:
        names = [" ".join(line.split()) for text in texts for line in unicodedata.normalize("NFC", text).splitlines()]
        return tuple(dict.fromkeys(_short_enough(name, LONGEST_LINE) for name in names if name))

    return Typed(read, default=(), takes_all=True)
