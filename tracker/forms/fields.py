"""The fields that forms are made of: each takes the text a browser sent and gives a value or a sentence."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from datetime import date, time
from enum import StrEnum
from typing import Any

from marshmallow import ValidationError, fields, missing

from tracker.domain.cones import Cone
from tracker.forms.lengths import read_length
from tracker.forms.weights import read_weight

LONGEST_LINE = 60
"""Characters in a name or a place."""

LONGEST_REASON = 500
"""Characters in a reason, a question or an answer."""

LONGEST_SCAN = 400
"""Characters in what a scanner or a hand gives for a code; the address in a QR code is the longest."""

LONGEST_PASSWORD = 200
"""Characters in a password; a longer one would only cost the server time."""

LARGEST_NUMBER = 2**53
"""No piece, person or history line is numbered higher, and no browser counts further without rounding."""

_YES_OR_NO = {"on": True, "yes": True, "true": True, "1": True, "off": False, "no": False, "false": False, "0": False}


class Typed(fields.Field[Any]):
    """A field whose text one function reads; the ValueError it raises is the sentence for the field.

    `read` gets one text, or all texts that were sent where the field `takes_all`. `default` stands for a field that
    was not sent and need not be. `sent_as` is its name on the page where that differs. Blank text counts as nothing
    sent, except where it is taken `as_typed`.
    """

    default_error_messages = {"required": "Fill this in."}  # noqa: RUF012 -- marshmallow only reads it

    def __init__(
        self,
        read: Callable[[Any], object],
        *,
        required: bool = False,
        default: object = None,
        sent_as: str | None = None,
        takes_all: bool = False,
        as_typed: bool = False,
    ) -> None:
        """Keep the function, and tell marshmallow whether the field must be there."""
        super().__init__(required=required, load_default=missing if required else default, data_key=sent_as)
        self.read = read
        self.takes_all = takes_all
        self.as_typed = as_typed

    def _deserialize(
        self,
        value: Any,  # noqa: ANN401 -- marshmallow gives it so
        attr: str | None,  # noqa: ARG002 -- as above
        data: Mapping[str, Any] | None,  # noqa: ARG002 -- as above
        **kwargs: Any,  # noqa: ANN401, ARG002 -- as above
    ) -> object:
        try:
            return self.read(value)
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from None


def line(
    most: int = LONGEST_LINE,
    *,
    required: bool = False,
    default: str | None = "",
    sent_as: str | None = None,
    as_typed: bool = False,
) -> Typed:
    """One line of text of at most `most` characters, trimmed, its spaces single, its letters composed.

    One that is taken `as_typed` counts as sent when it was emptied.
    """

    def read(text: str) -> str:
        if "\n" in text.strip() or "\r" in text.strip():
            raise ValueError("Write this on one line.")
        return _short_enough(" ".join(unicodedata.normalize("NFC", text).split()), most)

    return Typed(read, required=required, default=default, sent_as=sent_as, as_typed=as_typed)


def lines(most: int = LONGEST_REASON) -> Typed:
    """Text that may run over several lines, trimmed."""

    def read(text: str) -> str:
        return _short_enough(unicodedata.normalize("NFC", text).replace("\r\n", "\n").strip(), most)

    return Typed(read, required=True)


def secret() -> Typed:
    """A password, taken as it was typed, spaces and all."""
    return Typed(lambda text: _short_enough(text, LONGEST_PASSWORD), required=True, as_typed=True)


def _short_enough(text: str, most: int) -> str:
    if len(text) > most:
        raise ValueError(f"At most {most} characters fit; this has {len(text)}.")
    return text


def cone() -> Typed:
    """A cone; what is none is refused in the words of `BadCone`."""
    return Typed(lambda text: Cone.parse(text.strip()), required=True)


def length(sent_as: str, *, required: bool = True) -> Typed:
    """A length in either unit system, as whole mm."""
    return Typed(read_length, required=required, sent_as=sent_as)


def weight(sent_as: str, *, required: bool = True) -> Typed:
    """A weight in either unit system, as whole g."""
    return Typed(read_weight, required=required, sent_as=sent_as)


def vented(sent_as: str, *, required: bool = True) -> Typed:
    """Whether steam finds a way out of a form: one that is open, or closed with a hole or without."""
    ways_out = {"open": True, "hole": True, "sealed": False}

    def read(text: str) -> bool:
        if text.strip() not in ways_out:
            raise ValueError("Say whether the form is open or closed.")
        return ways_out[text.strip()]

    field = Typed(read, required=required, sent_as=sent_as)
    field.error_messages["required"] = "Say whether the form is open or closed."
    return field


def whole(least: int = 1, most: int = LARGEST_NUMBER, *, default: int | None = None, required: bool = False) -> Typed:
    """A whole number from `least` to `most` in plain digits: int() would take any script's, and underscores."""

    def read(text: str) -> int:
        if not re.fullmatch(r"[0-9]{1,16}", text.strip(), re.ASCII) or not least <= int(text) <= most:
            raise ValueError(f"A whole number from {least} to {most} is needed.")
        return int(text)

    return Typed(read, default=default, required=required)


def one_of(*numbers: int) -> Typed:
    """One of these numbers, or None when nothing was sent."""

    def read(text: str) -> int:
        if text.strip() not in map(str, numbers):
            raise ValueError(f"Choose one of {', '.join(map(str, numbers))}.")
        return int(text)

    return Typed(read)


def number(most: float, such_as: str, *, required: bool = False, signed: bool = False) -> Typed:
    """A number with a point or a comma up to `most`, or None."""

    def read(text: str) -> float:
        plain = text.strip().replace("\u2212", "-")
        match = re.fullmatch(r"([+-]?)([0-9]{1,6}(?:[.,][0-9]{1,3})?)", plain, re.ASCII)
        value = float(match[2].replace(",", ".")) if match else most + 1
        if value > most or (match and match[1] == "-" and not signed):
            raise ValueError(f"A number is needed, such as {such_as}.")
        return -value if match and match[1] == "-" else value

    return Typed(read, required=required)


def clock(*, required: bool = False) -> Typed:
    """A time of day as a clock shows it, 14:05, or None."""

    def read(text: str) -> time:
        match = re.fullmatch(r"([01]?[0-9]|2[0-3])[:.h]([0-5][0-9])", text.strip(), re.ASCII)
        if match is None:
            raise ValueError("Write the time as a clock shows it, such as 14:05.")
        return time(int(match[1]), int(match[2]))

    return Typed(read, required=required)


def day(*, required: bool = False) -> Typed:
    """A day as a browser sends it, 2026-03-05, or None."""

    def read(text: str) -> date:
        try:
            return date.fromisoformat(text.strip())
        except ValueError:
            raise ValueError("Choose a day.") from None

    return Typed(read, required=required)


def seen() -> Typed:
    """The version of a piece that the page showed, or None for a scan."""
    return whole()


def half_steps(most: int) -> Typed:
    """Millimetres in steps of a half, from -`most` to `most`; nothing sent is 0."""

    def read(text: str) -> float:
        match = re.fullmatch(r"([+\-\u2212]?)([0-9]{1,2})(?:[.,]([05]))?", text.strip(), re.ASCII)
        size = int(match[2]) + (0.5 if match[3] == "5" else 0.0) if match else most + 1
        if not match or size > most:
            raise ValueError(f"Write millimetres in steps of a half, from -{most} to {most}.")
        return -size if match[1] in {"-", "\u2212"} else float(size)

    return Typed(read, default=0.0)


def choice(kind: type[StrEnum], allowed: Iterable[StrEnum] = (), *, required: bool = True) -> Typed:
    """One word out of those `allowed`, or of all that `kind` has; None for nothing sent where it is not `required`."""
    members = {str(member): member for member in (tuple(allowed) or kind)}

    def read(text: str) -> StrEnum:
        if text.strip() not in members:
            raise ValueError(f"Choose one of {', '.join(members)}.")
        return members[text.strip()]

    return Typed(read, required=required)


def yes_or_no(*, required: bool = False, default: bool | None = False) -> Typed:
    """A box that is ticked or left out, or, where it is `required`, a choice between yes and no."""

    def read(text: str) -> bool:
        if text.strip().lower() not in _YES_OR_NO:
            raise ValueError("Choose yes or no.")
        return _YES_OR_NO[text.strip().lower()]

    return Typed(read, required=required, default=default)


def rules() -> Typed:
    """The names of the rules whose warnings are accepted: any number, each once."""

    def read(names: list[str]) -> frozenset[str]:
        if not all(re.fullmatch(r"[a-z]{1,30}(?:-[a-z]{1,30}){0,8}", name, re.ASCII) for name in names):
            raise ValueError("That is the name of no rule.")
        return frozenset(names)

    return Typed(read, default=frozenset(), takes_all=True)


def picked() -> Typed:
    """The pieces picked from a list or written one after another, each once, in their order."""

    def read(texts: list[str]) -> tuple[str, ...]:
        refs = [ref for text in texts for ref in text.split()]
        if any(len(ref) > LONGEST_SCAN for ref in refs):
            raise ValueError("That is the name of no piece.")
        return tuple(dict.fromkeys(refs))

    field = Typed(read, required=True, takes_all=True)
    field.error_messages["required"] = "Pick at least one piece."
    return field


def several() -> Typed:
    """The things picked from a list or typed one to a line, each once, in their order; nothing picked is no fault."""

    def read(texts: list[str]) -> tuple[str, ...]:
        names = [" ".join(line.split()) for text in texts for line in unicodedata.normalize("NFC", text).splitlines()]
        return tuple(dict.fromkeys(_short_enough(name, LONGEST_LINE) for name in names if name))

    return Typed(read, default=(), takes_all=True)
