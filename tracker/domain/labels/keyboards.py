"""A scanner types like a keyboard, mostly a US one: what it meant where the computer shows others.

The rows are those of the X Keyboard Extension's data (xkeyboard-config 2.35): each key of a US keyboard in its order,
by itself and with Shift. A blank is a key that types nothing by itself there, as an accent that waits for its letter.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from tracker.domain.message import Message, _

US = ("`1234567890-=qwertyuiop[]\\asdfghjkl;'zxcvbnm,./", '~!@#$%^&*()_+QWERTYUIOP{}|ASDFGHJKL:"ZXCVBNM<>?')
"""The keys as the scanner means them: by themselves, and with Shift."""

UNMOVED_LETTERS = "CDEFGHKLNPRTX"
"""Letters that are in the same place on all keyboards below, so that a scanner sends them right to any computer."""


class Layout(StrEnum):
    """The keyboard that a computer is set to, by the name that a station's setting keeps."""

    US = "us"
    GERMAN = "german"
    SWISS = "swiss"
    FRENCH = "french"
    BELGIAN = "belgian"
    BRITISH = "british"
    SPANISH = "spanish"
    LATIN_AMERICAN = "latin-american"
    ITALIAN = "italian"
    PORTUGUESE = "portuguese"
    BRAZILIAN = "brazilian"
    SWEDISH = "swedish"
    DANISH = "danish"
    NORWEGIAN = "norwegian"
    CZECH = "czech"
    SLOVAK = "slovak"
    HUNGARIAN = "hungarian"
    CROATIAN = "croatian"
    TURKISH = "turkish"


_ROWS: dict[Layout, tuple[str, str]] = {
    Layout.GERMAN: (
        " 1234567890ß qwertzuiopü+#asdfghjklöäyxcvbnm,.-",
        "°!\"§$%&/()=? QWERTZUIOPÜ*'ASDFGHJKLÖÄYXCVBNM;:_",
    ),
    Layout.SWISS: (
        "§1234567890' qwertzuiopü $asdfghjklöäyxcvbnm,.-",
        '°+"*ç%&/()=? QWERTZUIOPè!£ASDFGHJKLéàYXCVBNM;:_',
    ),
    Layout.FRENCH: (
        "²&é\"'(-è_çà)=azertyuiop $*qsdfghjklmùwxcvbn,;:!",
        "~1234567890°+AZERTYUIOP £µQSDFGHJKLM%WXCVBN?./§",
    ),
    Layout.BELGIAN: (
        "²&é\"'(§è!çà)-azertyuiop $µqsdfghjklmùwxcvbn,;:=",
        "³1234567890°_AZERTYUIOP *£QSDFGHJKLM%WXCVBN?./+",
    ),
    Layout.BRITISH: (
        "`1234567890-=qwertyuiop[]#asdfghjkl;'zxcvbnm,./",
        '¬!"£$%^&*()_+QWERTYUIOP{}~ASDFGHJKL:@ZXCVBNM<>?',
    ),
    Layout.SPANISH: (
        "º1234567890'¡qwertyuiop +çasdfghjklñ zxcvbnm,.-",
        'ª!"·$%&/()=?¿QWERTYUIOP *ÇASDFGHJKLÑ ZXCVBNM;:_',
    ),
    Layout.LATIN_AMERICAN: (
        "|1234567890'¿qwertyuiop +}asdfghjklñ{zxcvbnm,.-",
        '°!"#$%&/()=?¡QWERTYUIOP *]ASDFGHJKLÑ[ZXCVBNM;:_',
    ),
    Layout.ITALIAN: (
        "\\1234567890'ìqwertyuiopè+ùasdfghjklòàzxcvbnm,.-",
        '|!"£$%&/()=?^QWERTYUIOPé*§ASDFGHJKLç°ZXCVBNM;:_',
    ),
    Layout.PORTUGUESE: (
        "\\1234567890'«qwertyuiop+  asdfghjklçºzxcvbnm,.-",
        '|!"#$%&/()=?»QWERTYUIOP*  ASDFGHJKLÇªZXCVBNM;:_',
    ),
    Layout.BRAZILIAN: (
        "'1234567890-=qwertyuiop []asdfghjklç zxcvbnm,.;",
        '"!@#$% &*()_+QWERTYUIOP {}ASDFGHJKLÇ ZXCVBNM<>:',
    ),
    Layout.SWEDISH: (
        "§1234567890+ qwertyuiopå 'asdfghjklöäzxcvbnm,.-",
        '½!"#¤%&/()=? QWERTYUIOPÅ *ASDFGHJKLÖÄZXCVBNM;:_',
    ),
    Layout.DANISH: (
        "½1234567890+ qwertyuiopå 'asdfghjklæøzxcvbnm,.-",
        '§!"#¤%&/()=? QWERTYUIOPÅ *ASDFGHJKLÆØZXCVBNM;:_',
    ),
    Layout.NORWEGIAN: (
        "|1234567890+\\qwertyuiopå 'asdfghjkløæzxcvbnm,.-",
        '§!"#¤%&/()=? QWERTYUIOPÅ *ASDFGHJKLØÆZXCVBNM;:_',
    ),
    Layout.CZECH: (
        ";+ěščřžýáíé= qwertzuiopú) asdfghjklů§yxcvbnm,.-",
        " 1234567890% QWERTZUIOP/('ASDFGHJKL\"!YXCVBNM?:_",
    ),
    Layout.SLOVAK: (
        ";+ľščťžýáíé= qwertzuiopúäňasdfghjklô§yxcvbnm,.-",
        ' 1234567890% QWERTZUIOP/()ASDFGHJKL"!YXCVBNM?:_',
    ),
    Layout.HUNGARIAN: (
        "0123456789öüóqwertzuiopőúűasdfghjkléáyxcvbnm,.-",
        "§'\"+!%/=()ÖÜÓQWERTZUIOPŐÚŰASDFGHJKLÉÁYXCVBNM?:_",
    ),
    Layout.CROATIAN: (
        "`1234567890'+qwertzuiopšđžasdfghjklčćyxcvbnm,.-",
        '~!"#$%&/()=?*QWERTZUIOPŠĐŽASDFGHJKLČĆYXCVBNM;:_',
    ),
    Layout.TURKISH: (
        '"1234567890*-qwertyu\u0131opğü,asdfghjklşizxcvbnmöç.',
        "é!'^+%&/()=?_QWERTYUIOPĞÜ;ASDFGHJKLŞİZXCVBNMÖÇ:",
    ),
}

NAMES: dict[Layout, Message] = {
    Layout.US: Message("keyboard-us", _("US")),
    Layout.GERMAN: Message("keyboard-german", _("German")),
    Layout.SWISS: Message("keyboard-swiss", _("Swiss")),
    Layout.FRENCH: Message("keyboard-french", _("French")),
    Layout.BELGIAN: Message("keyboard-belgian", _("Belgian")),
    Layout.BRITISH: Message("keyboard-british", _("British")),
    Layout.SPANISH: Message("keyboard-spanish", _("Spanish")),
    Layout.LATIN_AMERICAN: Message("keyboard-latin-american", _("Latin American")),
    Layout.ITALIAN: Message("keyboard-italian", _("Italian")),
    Layout.PORTUGUESE: Message("keyboard-portuguese", _("Portuguese")),
    Layout.BRAZILIAN: Message("keyboard-brazilian", _("Brazilian")),
    Layout.SWEDISH: Message("keyboard-swedish", _("Swedish")),
    Layout.DANISH: Message("keyboard-danish", _("Danish")),
    Layout.NORWEGIAN: Message("keyboard-norwegian", _("Norwegian")),
    Layout.CZECH: Message("keyboard-czech", _("Czech")),
    Layout.SLOVAK: Message("keyboard-slovak", _("Slovak")),
    Layout.HUNGARIAN: Message("keyboard-hungarian", _("Hungarian")),
    Layout.CROATIAN: Message("keyboard-croatian", _("Croatian")),
    Layout.TURKISH: Message("keyboard-turkish", _("Turkish")),
}
"""What each is called."""

_PLAIN_KEYS = frozenset(" \t")


@dataclass(frozen=True, slots=True)
class Fit:
    """A layout on which a scanner's keys come out as they did; `caps_lock` where every letter's case is swapped."""

    layout: Layout
    caps_lock: bool = False


@cache
def typed_for(layout: Layout) -> dict[str, str]:
    """What a computer with this layout shows for each key of a US keyboard; empty where a key shows nothing."""
    shown = _ROWS.get(layout, US)
    keys = zip("".join(US), "".join(shown), strict=True)
    return {meant: typed.strip() for meant, typed in keys}


@cache
def meant_by(layout: Layout) -> dict[str, str]:
    """The key of a US keyboard behind each letter that a computer with this layout shows."""
    meant: dict[str, str] = {}
    for key, typed in typed_for(layout).items():
        if typed:
            meant.setdefault(typed, key)
    return meant


def as_typed(text: str, layout: Layout) -> str:
    """What arrives of `text` that a scanner types as on a US keyboard, at a computer with this layout."""
    typed = typed_for(layout)
    return "".join(typed.get(letter, letter) for letter in text)


def as_meant(text: str, layout: Layout) -> str | None:
    """What a scanner meant whose keys a computer with this layout showed as `text`; None where no keys show that."""
    return _read(text, meant_by(layout))


def _read(text: str, meant: dict[str, str]) -> str | None:
    found = [letter if letter in _PLAIN_KEYS else meant.get(letter) for letter in text]
    return None if None in found else "".join(one for one in found if one)


def readings(text: str) -> tuple[str, ...]:
    """Everything else that `text` may mean, if a scanner typed it on a keyboard of another layout; each once.

    Where digits need Shift they may also arrive as they are, with Caps Lock on or from a keypad.
    """
    found = [as_meant(text, layout) for layout in _ROWS]
    found += [_read(text, meant_by(layout) | _DIGITS) for layout in _WITH_SHIFTED_DIGITS]
    return tuple(dict.fromkeys(one for one in found if one is not None and one != text))


_DIGITS = {digit: digit for digit in "0123456789"}
_WITH_SHIFTED_DIGITS = tuple(layout for layout, (plain, _shifted) in _ROWS.items() if "1" not in plain)


@cache
def letters_of_codes(letters: str) -> tuple[dict[str, str], ...]:
    """For each layout that shows some of these `letters` as others: what it shows, and which of them is meant."""
    found: list[dict[str, str]] = []
    for layout in _ROWS:
        typed = {letter: typed_for(layout)[letter] for letter in (*letters.lower(), *letters)}
        swapped = {shown: meant for meant, shown in typed.items() if shown != meant}
        if swapped and swapped not in found:
            found.append(swapped)
    return tuple(found)


def layouts_of(sent: str, arrived: str) -> tuple[Fit, ...]:
    """The layouts on which `sent` arrives as `arrived`, the US one first; none where no layout shows that."""
    plain = [Fit(layout) for layout in Layout if as_typed(sent, layout) == arrived]
    locked = [Fit(layout, caps_lock=True) for layout in Layout if as_typed(sent, layout).swapcase() == arrived]
    return (*plain, *locked)
