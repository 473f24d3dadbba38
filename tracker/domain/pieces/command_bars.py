"""The bars that do what a button does: an O, six letters for what is done, a check letter, and an O again.

No code, ticket or label of the studio has an O at either end, so none of these bars is ever read as one of those, nor
one of those as a command, not even when its first or last letters are lost on the way. Every letter used is in the
same place on all keyboards of `labels/keyboards.py`, so a scanner that isn't set up sends them as they are.
"""

from __future__ import annotations

import re
from hashlib import sha256

from tracker.domain.labels.keyboards import UNMOVED_LETTERS as LETTERS
from tracker.domain.pieces.codes import PureSystem

MARK = "O"
_SYSTEM = PureSystem(13, 2, LETTERS)
_DATA = 6
_COMMAND = re.compile(rf".{{0,3}}({MARK}[{LETTERS}]{{{_DATA + 1}}}{MARK})")
"""What names the kind of bar comes before it, as in ]C1: in letters that depend on the keyboard."""
_LONGEST = 16


def command_text(name: str) -> str:
    """What the bar of the command with this name says: the same in every studio, so that a sheet works in any."""
    number = int.from_bytes(sha256(name.encode()).digest())
    data = ""
    for _place in range(_DATA):
        number, value = divmod(number, len(LETTERS))
        data += LETTERS[value]
    return f"{MARK}{data}{_SYSTEM.check_symbol(data)}{MARK}"


def read_command(text: str) -> str | None:
    """The command's bar in a scanned text, as it is printed; None where the text is no such bar."""
    found = _COMMAND.fullmatch(text[: _LONGEST + 1].strip().upper())
    return found[1] if found and _SYSTEM.is_valid(found[1][1:-1]) else None
