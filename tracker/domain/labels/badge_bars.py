"""The bar of a badge that signs in: a U, nine letters drawn by chance, and a U again.

Like the bars of the scan sheet it says the same on every keyboard, and no code, ticket or label is ever taken for one.
The letters are no secret: without the PIN they open nothing.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tracker.domain.labels.keyboards import UNMOVED_LETTERS

if TYPE_CHECKING:
    from collections.abc import Callable

MARK = "U"
_LETTERS = 9
_BADGE = re.compile(rf".{{0,3}}({MARK}[{UNMOVED_LETTERS}]{{{_LETTERS}}}{MARK})")
"""What names the kind of bar comes before it, as in ]C1: in letters that depend on the keyboard."""
_LONGEST = 16


def draw_badge(choose: Callable[[str], str]) -> str:
    """What a new badge says: `choose` gives one of some letters, each equally likely."""
    return f"{MARK}{''.join(choose(UNMOVED_LETTERS) for _place in range(_LETTERS))}{MARK}"


def read_badge(text: str) -> str | None:
    """The badge in a scanned text, as it is printed; None where the text is no badge."""
    found = _BADGE.fullmatch(text[: _LONGEST + 1].strip().upper())
    return found[1] if found else None
