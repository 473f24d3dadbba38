"""The bars that name a person: nine letters drawn by chance between two U on a badge, two S on a maker card.

Like the bars of the scan sheet they say the same on every keyboard, and no code, ticket or label is ever taken for one.
The letters are no secret: without its PIN a badge opens nothing, and a maker card signs nobody in.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from tracker.domain.labels.keyboards import UNMOVED_LETTERS

_BADGE, _CARD = "U", "S"
_LETTERS = 9
_BARS = {mark: re.compile(rf".{{0,3}}({mark}[{UNMOVED_LETTERS}]{{{_LETTERS}}}{mark})") for mark in (_BADGE, _CARD)}
"""What names the kind of bar comes before it, as in ]C1: in letters that depend on the keyboard."""
_LONGEST = 16


def draw_badge(choose: Callable[[str], str]) -> str:
    """What a new badge says: `choose` gives one of some letters, each equally likely."""
    return _draw(_BADGE, choose)


def read_badge(text: str) -> str | None:
    """The badge in a scanned text, as it is printed; None where the text is no badge."""
    return _read(_BADGE, text)


def draw_card(choose: Callable[[str], str]) -> str:
    """What a new maker card says: `choose` gives one of some letters, each equally likely."""
    return _draw(_CARD, choose)


def read_card(text: str) -> str | None:
    """The maker card in a scanned text, as it is printed; None where the text is none."""
    return _read(_CARD, text)


def _draw(mark: str, choose: Callable[[str], str]) -> str:
    return f"{mark}{''.join(choose(UNMOVED_LETTERS) for _place in range(_LETTERS))}{mark}"


def _read(mark: str, text: str) -> str | None:
    found = _BARS[mark].fullmatch(text[: _LONGEST + 1].strip().upper())
    return found[1] if found else None
