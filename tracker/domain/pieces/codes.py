"""The code of a piece: five symbols on its foot that a hand can copy and a machine can check.

The last symbol is a check symbol by the pure system of ISO/IEC 7064, here with modulus 23 and radix 5,
so that every single wrong symbol and every swap of two symbols is caught.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice, product

from tracker.domain.labels.keyboards import readings
from tracker.domain.labels.scanner_prefixes import without_prefix


@dataclass(frozen=True, slots=True)
class PureSystem:
    """A pure check system of ISO/IEC 7064, which adds one check symbol to the end of a text.

    A text is right when the sum of its symbols' values times radix^position, counted from 0 at the right,
    leaves 1 when divided by the modulus. The symbol `check_only`, if any, may stand nowhere but last.
    """

    modulus: int
    radix: int
    alphabet: str
    check_only: str = ""

    def __post_init__(self) -> None:
        """Refuse an alphabet that does not have exactly one symbol for each remainder."""
        if not len(self.alphabet) == len(set(self.alphabet)) == self.modulus:
            message = f"A system of modulus {self.modulus} needs as many different symbols, not {self.alphabet!r}."
            raise ValueError(message)

    def check_symbol(self, data: str) -> str:
        """The symbol that `data` must be followed by; ValueError when `data` is empty or has a strange symbol."""
        if not self._knows(data):
            message = f"Only symbols of {self.alphabet} can be checked, not {data[:20]!r}."
            raise ValueError(message)
        return self.alphabet[(1 - self.radix * self._remainder(data)) % self.modulus]

    def is_valid(self, text: str) -> bool:
        """Whether the last symbol of `text` is the check symbol of those before it."""
        data, check = text[:-1], text[-1:]
        return self._knows(data) and self._knows(check, last=True) and self._remainder(text) == 1

    def _knows(self, symbols: str, *, last: bool = False) -> bool:
        # Stripping symbols from both ends leaves nothing exactly when there are no others; a loop takes longer,
        # and every scan comes through here.
        may_stand = self.alphabet if last else self.alphabet.replace(self.check_only, "")
        return symbols != "" and not symbols.strip(may_stand)

    def _remainder(self, text: str) -> int:
        remainder = 0
        for symbol in text:
            remainder = (remainder * self.radix + self.alphabet.index(symbol)) % self.modulus
        return remainder


ALPHABET = "23457ACDEFGHJKLMNPRTVXY"
"""The 23 symbols of a code: no two of them are easily taken for each other in handwriting."""

LENGTHS = (5, 6)
"""How many symbols a code has: five, and six in a studio that has used up all codes of five."""

_STUDIO = PureSystem(len(ALPHABET), 5, ALPHABET)

_TURNABLE = "7LAV3E25HNX"
_TURNED = str.maketrans(_TURNABLE, "L7VAE325HNX")
"""What each symbol reads as when the foot is held the wrong way round (common practice)."""


def check_symbol(data: str) -> str:
    """The check symbol that makes `data` a code; ValueError for a symbol outside ALPHABET."""
    return _STUDIO.check_symbol(data)


def is_valid(code: str) -> bool:
    """Whether `code`, written exactly so, has the right length, symbols and check symbol."""
    return len(code) in LENGTHS and _STUDIO.is_valid(code)


def upside_down(code: str) -> str | None:
    """How `code` reads with the foot held the wrong way round; None when it then reads as nothing."""
    return None if code.strip(_TURNABLE) else code[::-1].translate(_TURNED)


def is_issuable(code: str) -> bool:
    """Whether a piece may get `code`: it is valid, and upside down it is not a different valid code."""
    if not is_valid(code):
        return False
    turned = upside_down(code)
    return turned is None or turned == code or not is_valid(turned)


def space(length: int = 5) -> int:
    """How many valid codes of `length` symbols there are: 279,841 of five, 6,436,343 of six."""
    if length not in LENGTHS:
        message = f"A code has five or six symbols, not {length}."
        raise ValueError(message)
    return int(len(ALPHABET) ** (length - 1))


def code_number(number: int, length: int = 5) -> str:
    """The code at place `number`, counted from 0, among all valid codes of `length`, issuable or not."""
    if not 0 <= number < space(length):
        message = f"There are {space(length)} codes of {length} symbols, counted from 0; {number} is none of them."
        raise ValueError(message)
    data = ""
    for _ in range(length - 1):
        number, value = divmod(number, len(ALPHABET))
        data = ALPHABET[value] + data
    return data + check_symbol(data)


def draw_code(draw: Callable[[int], int], length: int = 5) -> str:
    """An issuable code by chance: `draw(n)` gives a whole number from 0 to n - 1, each equally likely.

    When the code drawn is never issued, the next one along that may be issued is taken, so one draw is enough.
    """
    count = space(length)
    number = draw(count)
    while not is_issuable(code := code_number(number, length)):
        number = (number + 1) % count
    return code


@dataclass(frozen=True, slots=True)
class Reading:
    """What a written code was read as: the `code` itself, or else the codes it was `likely` meant to be."""

    code: str | None = None
    likely: tuple[str, ...] = ()


MOST_LIKELY = 24
"""The most corrections that a reading offers."""

_LONGEST_TEXT = 400
_MOST_READINGS = 2_000
_ONE_SYMBOL_OFF = range(min(LENGTHS) - 1, max(LENGTHS) + 2)

# What a hand or an eye makes of a symbol that no code has, likeliest first (common practice).
_MISREAD = {
    "0": "DCG", "O": "DCG", "Q": "DG",
    "1": "L7T", "I": "L7T",
    "Z": "27",
    "S": "53",
    "8": "3R", "B": "3R",
    "6": "G", "9": "G",
    "U": "V",
    "W": "M",
}  # fmt: skip

# Pairs within the alphabet that careless writing brings close to each other (common practice).
_ALIKE = {frozenset(pair) for pair in "27 35 3E 4A 4Y 7L 7T CG DP EF HN JL KR KX MN PR TY VY".split()}  # noqa: SIM905 -- pairs read best side by side

# Greek and Cyrillic capitals drawn like Latin ones, for whoever types with another keyboard layout.
# They are written by number because on screen nobody could tell the two columns apart.
_OTHER_SCRIPTS = str.maketrans(
    "\u0391\u0392\u0395\u0396\u0397\u0399\u039a\u039c\u039d\u039f\u03a1\u03a4\u03a5\u03a7"
    "\u0410\u0412\u0415\u041a\u041c\u041d\u041e\u0420\u0421\u0422\u0423\u0425\u0405\u0406\u0408",
    "ABEZHIKMNOPTYXABEKMHOPCTYXSIJ",
)


def read(text: str) -> Reading:
    """The code in `text`, forgiving case, spaces, dashes and dots, or else the codes it was likely meant to be.

    The address of a piece's page, ending in /p/CODE as a scanned QR gives it, is read as its code. So is what a scanner
    typed on a keyboard of another layout, where its check symbol leaves nothing else that it could be. The likely
    codes are at most 24, all issuable, likeliest first, and always the same for the same text. Any text is
    answered; one that looks like no code gives an empty reading.
    """
    plain = _plain(text)
    if is_valid(plain):
        return Reading(code=plain)
    scanned = _codes_by_keys(text)
    may_be_written = len(plain) in _ONE_SYMBOL_OFF and plain.isprintable()
    written = filter(is_valid, _readings(plain)) if may_be_written and all(map(_is_readable, plain)) else ()
    if len(scanned) == 1 and set(written) <= set(scanned):
        return Reading(code=scanned[0])
    guesses = _guesses(plain) if may_be_written else ()
    likely = dict.fromkeys(guess for guess in (*scanned, *guesses) if is_issuable(guess))
    return Reading(likely=tuple(likely)[:MOST_LIKELY])


def _codes_by_keys(text: str) -> tuple[str, ...]:
    """The codes that `text` may be if a scanner typed it on a keyboard of another layout."""
    if len(text) > _LONGEST_TEXT:
        return ()
    return tuple(dict.fromkeys(filter(is_valid, map(_plain, readings(text.strip())))))


def likely_slips(text: str) -> tuple[int, ...]:
    """The slips that `text` may be if a scanner typed it on another keyboard layout; no check symbol proves them."""
    if len(text) > _LONGEST_TEXT:
        return ()
    found = (read_slip(one) for one in readings(text.strip()))
    return tuple(dict.fromkeys(number for number in found if number is not None))


def slip_text(number: int) -> str:
    """The slip of greenware number `number`, as in W1042: W is in no code, so a slip is never taken for one."""
    if number < 1:
        message = f"Slips are numbered from 1; {number} is none."
        raise ValueError(message)
    return f"W{number}"


_SLIP = re.compile(r"W0*([1-9][0-9]{0,8})")
_SLIP_ADDRESS = re.compile(r"HTTPS?://[^\s]*/SLIP/0*([1-9][0-9]{0,8})/?")


def read_slip(text: str) -> int | None:
    """The number on a slip, forgiving what `read` forgives; None when `text` is not a slip.

    The address of a slip's page, ending in /slip/NUMBER as a scanned QR gives it, is read as its slip. Ask this
    before `read`: a slip is no code, and `read` would look for codes that resemble it.
    """
    whole = without_prefix(text[: _LONGEST_TEXT + 1]).strip().upper()
    slip = _SLIP.fullmatch(_plain(text)) or _SLIP_ADDRESS.fullmatch(whole)
    return int(slip[1]) if slip else None


def _plain(text: str) -> str:
    """What is left of `text` in capitals once nothing but the code itself should be left."""
    return "" if len(text) > _LONGEST_TEXT else _bared(text)


# A scan is read as a ticket, as a code and as a label, one after the other.
@lru_cache(maxsize=1_024)
def _bared(text: str) -> str:
    capitals = unicodedata.normalize("NFKC", without_prefix(text)).upper().translate(_OTHER_SCRIPTS).strip()
    last_part = capitals.removesuffix("/").rpartition("/P/")[2]
    return "".join(symbol for symbol in last_part if not _is_forgiven(symbol))


def _is_forgiven(symbol: str) -> bool:
    return symbol.isspace() or symbol in "._\u00b7\u2212" or unicodedata.category(symbol) == "Pd"


def _guesses(plain: str) -> Iterator[str]:
    """Texts that `plain` may stand for, likeliest first, whether or not they are codes.

    A swap or a surplus symbol that leads to a code does so by accident only once in 23 times, while one changed
    symbol leads to a code at every place: that is why the former come before changes between unlike symbols.
    """
    readings = tuple(_readings(plain))
    yield from readings
    yield from filter(None, map(upside_down, readings))
    if all(map(_is_readable, plain)):
        yield from _one_changed(readings[0], alike=True)
        yield from _two_swapped(readings[0])
    for place in range(len(plain)):
        yield from _readings(plain[:place] + plain[place + 1 :])
    if all(map(_is_readable, plain)):
        yield from _one_changed(readings[0], alike=False)
        yield from _one_missing(readings[0])


def _is_readable(symbol: str) -> bool:
    return symbol in ALPHABET or symbol in _MISREAD


def _readings(plain: str) -> Iterator[str]:
    """Every way to read `plain` in symbols of the alphabet; one unreadable symbol may be any, two are too many."""
    places = [symbol if symbol in ALPHABET else _MISREAD.get(symbol, ALPHABET) for symbol in plain]
    if places.count(ALPHABET) > 1:
        return
    for symbols in islice(product(*places), _MOST_READINGS):
        yield "".join(symbols)


def _one_changed(text: str, *, alike: bool) -> Iterator[str]:
    for place, old in enumerate(text):
        for new in ALPHABET:
            if new != old and (frozenset((old, new)) in _ALIKE) is alike:
                yield text[:place] + new + text[place + 1 :]


def _two_swapped(text: str) -> Iterator[str]:
    for place in range(len(text) - 1):
        yield text[:place] + text[place + 1] + text[place] + text[place + 2 :]


def _one_missing(text: str) -> Iterator[str]:
    for place in range(len(text) + 1):
        for new in ALPHABET:
            yield text[:place] + new + text[place:]
