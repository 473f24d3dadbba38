"""Code 128 and QR symbols as whole modules: runs of ink, each proved by reading it back before it is handed out."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby

import segno
from barcode.charsets import code128

Row = tuple[tuple[int, int], ...]
"""One row of a symbol: the runs of ink as (first module, how many modules)."""

BAR_QUIET = 10
QR_QUIET = 4
"""Blank modules a reader needs beside bars (ISO/IEC 15417) and all around a QR (ISO/IEC 18004)."""

START_B: int = code128.START_CODES["B"]
STOP = 106
_STOP_PATTERN: str = code128.STOP + "11"
_PATTERNS: tuple[str, ...] = tuple(code128.CODES)
_VALUE_OF = {pattern: value for value, pattern in enumerate(_PATTERNS)}
_CHARACTER_OF = {value: character for character, value in code128.B.items() if len(character) == 1}

SMALLEST_QR = 3
"""The QR version to begin with: 29 modules, 14.5 mm at 0.5 mm each, a size phones read at once (measured)."""


class Unprintable(ValueError):
    """A text that no symbol can carry, or whose symbol did not read back as the text."""


@dataclass(frozen=True, slots=True)
class Bars:
    """A Code 128 symbol: its text, its symbol values from start to stop, and its ink as one row of modules."""

    text: str
    values: tuple[int, ...]
    modules: int
    row: Row

    @property
    def check(self) -> int:
        """The check symbol's value."""
        return self.values[-2]


@dataclass(frozen=True, slots=True)
class QrForm:
    """What every QR on a sheet shares, settled once because choosing it for each takes longest."""

    version: int
    error: str
    mask: int

    @property
    def modules(self) -> int:
        """How many modules the symbol is wide and high (ISO/IEC 18004)."""
        return 17 + 4 * self.version


def set_b_values(text: str) -> tuple[int, ...]:
    """The symbol values of `text` from start to stop in set B alone, the check among them (ISO/IEC 15417)."""
    if not text or not all(" " <= character <= "~" for character in text):
        msg = f"Bars carry printable ASCII only, not {text!r}."
        raise Unprintable(msg)
    letters = [code128.B[character] for character in text]
    check = (START_B + sum(place * value for place, value in enumerate(letters, start=1))) % 103
    return (START_B, *letters, check, STOP)


def read_back(row: Row) -> str:
    """The text a row of bars says, read from the widths alone; Unprintable when they say nothing."""
    pattern = ""
    for first, width in row:
        pattern += "0" * (first - len(pattern)) + "1" * width
    body, stop = pattern[:-13], pattern[-13:]
    values = [_VALUE_OF.get(body[at : at + 11], -1) for at in range(0, len(body), 11)]
    if stop != _STOP_PATTERN or -1 in values or values[:1] != [START_B]:
        msg = "These bars are no Code 128 symbol of set B."
        raise Unprintable(msg)
    weighed = values[0] + sum(place * value for place, value in enumerate(values[1:-1], start=1))
    if weighed % 103 != values[-1]:
        msg = "These bars fail their own check."
        raise Unprintable(msg)
    return "".join(_CHARACTER_OF.get(value, "") for value in values[1:-1])


@lru_cache(maxsize=4096)
def bars(text: str) -> Bars:
    """`text` as Code 128, set B only, read back before it is returned."""
    values = set_b_values(text)
    pattern = "".join(_PATTERNS[value] for value in values[:-1]) + _STOP_PATTERN
    row = _runs(pattern)
    if read_back(row) != text:
        msg = f"The bars for {text!r} do not read back."
        raise Unprintable(msg)
    return Bars(text, values, len(pattern), row)


def bar_modules(length: int) -> int:
    """How many modules a symbol of `length` characters takes, without its quiet zones."""
    return 11 * length + 35


def _runs(pattern: str) -> Row:
    """Where the ones of `pattern` stand."""
    runs, at = [], 0
    for ink, group in groupby(pattern):
        width = len(list(group))
        if ink == "1":
            runs.append((at, width))
        at += width
    return tuple(runs)


@lru_cache(maxsize=256)
def _form_of_length(length: int) -> tuple[int, str]:
    """The smallest version, and the strongest correction in it, that carries `length` bytes."""
    probe = segno.make_qr("x" * length, mode="byte", mask=0)
    if int(probe.version) < SMALLEST_QR:
        probe = segno.make_qr("x" * length, mode="byte", mask=0, version=SMALLEST_QR)
    return int(probe.version), str(probe.error)


@lru_cache(maxsize=1024)
def qr_form(address: str, longest: int | None = None) -> QrForm:
    """The form for a sheet whose addresses are like `address`, none longer than `longest` characters."""
    length = max(len(address.encode()), longest or 0)
    try:
        version, error = _form_of_length(length)
    except segno.DataOverflowError as too_long:
        msg = f"An address of {length} letters is too long for a QR."
        raise Unprintable(msg) from too_long
    best = segno.make_qr(address.encode(), mode="byte", version=version, error=error, boost_error=False)
    return QrForm(version, error, int(best.mask))


TAIL = 5
"""Bytes at the end of an address that differ from tag to tag: the code."""


def qr(address: str, form: QrForm) -> tuple[Row, ...]:
    """`address` as the rows of a QR, top row first."""
    data = address.encode()
    head = max(0, len(data) - TAIL)
    ink = _head(data[:head], len(data), form)
    for place in range(head, len(data)):
        ink ^= _stroke(place, data[place], len(data), form)
    picture = f"{ink:0{form.modules**2}b}"
    return tuple(_ink(picture[at : at + form.modules]) for at in range(0, len(picture), form.modules))


# With version, correction, mask and length fixed, every module of a QR is the exclusive or of data bits: the
# correction is a linear code, the mask and the rest constant. So the picture of an address is that of its head,
# followed by zero bytes, with the strokes of its last bytes laid over it. Each of these is asked of segno once.


@lru_cache(maxsize=256)
def _head(head: bytes, length: int, form: QrForm) -> int:
    """The picture of an address that goes on after `head` with zero bytes."""
    return _drawn(head.ljust(length, b"\0"), form)


@lru_cache(maxsize=65536)
def _stroke(place: int, byte: int, length: int, form: QrForm) -> int:
    """What changes in the picture when the byte at `place` is `byte` instead of zero."""
    changed = bytes(place) + bytes((byte,)) + bytes(length - place - 1)
    return _drawn(changed, form) ^ _head(b"", length, form)


def _drawn(data: bytes, form: QrForm) -> int:
    """The whole QR as one number, its top left module the highest bit."""
    symbol = segno.make_qr(data, mode="byte", version=form.version, error=form.error, mask=form.mask, boost_error=False)
    return int("".join(str(module) for row in symbol.matrix for module in row), 2)


_RUN = re.compile("1+")


@lru_cache(maxsize=16384)
def _ink(row: str) -> Row:
    """The runs of ink in one row of 0 and 1."""
    return tuple((run.start(), run.end() - run.start()) for run in _RUN.finditer(row))
