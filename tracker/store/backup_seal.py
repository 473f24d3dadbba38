"""The seal of a backup: the SHA-256 of the whole file, in a line after the database's own last page.

SQLite counts its pages in its first and doesn't look behind the last, so a sealed backup opens in any SQLite. A mark
in its first page says that it is a backup, so a lost end is noticed too. Older backups have neither.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable

_APPLICATION = 0x466F7472
"""What SQLite's first page says which program a file is of: "Fotr"."""
_WORDS = b"\nFootring backup. SHA-256 of all before this line: "
_SEAL_BYTES = len(_WORDS) + 64 + 1
# https://www.sqlite.org/fileformat.html, "The Database Header"
_MAGIC = b"SQLite format 3\0"
_HEADER_BYTES = 100
_AT_ONCE = 1 << 20
_LARGEST_PAGE = 65_536

ANOTHER = Message("use-another-backup", _("Use another backup."))
GIVE_A_BACKUP = Message("give-a-backup", _("Give the path of a backup."))


@dataclass(frozen=True, slots=True)
class _Header:
    """What the first bytes of an SQLite file say: its length as pages make it, None where they don't; the program."""

    length: int | None
    application: int


def seal(path: Path) -> None:
    """Seal a finished SQLite file, and make sure that all of it lies on the disk."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
        connection.execute(f"PRAGMA application_id = {_APPLICATION}")
    with path.open("rb+") as file:
        length = file.seek(0, os.SEEK_END)
        header = _header(file)
        # Whatever stands behind the last page is an older seal.
        length = (header.length if header else None) or length
        digest = _digest(file, length)
        file.truncate(length)
        file.seek(length)
        file.write(_WORDS + digest.encode() + b"\n")
        file.flush()
        os.fsync(file.fileno())


def is_sealed(path: Path) -> bool:
    """Whether a file says of itself that it is a backup, whole or not."""
    with path.open("rb") as file:
        header = _header(file)
    return header is not None and header.application == _APPLICATION


def must_be_whole(path: Path) -> int:
    """How many bytes of the backup are the database; refused where it is cut short, damaged or no backup at all.

    Of a file without a seal this finds out only whether it is an SQLite file with all of its pages.
    """
    with path.open("rb") as file:
        size = file.seek(0, os.SEEK_END)
        header = _header(file)
        if header is None:
            raise _cut_short(path) if size == 0 else not_a_backup(path)
        if size < (header.length or 0):
            raise _cut_short(path)
        if header.application != _APPLICATION:
            return size
        length = size - _SEAL_BYTES
        file.seek(max(length, 0))
        words, digest = (last := file.read())[: len(_WORDS)], last[len(_WORDS) : -1].decode("ascii", "replace")
        if words != _WORDS:
            raise _cut_short(path) if header.length and length < header.length else damaged(path)
        if digest != _digest(file, length):
            raise damaged(path)
        return length


def damaged(path: Path, *how: Message) -> Unusable:
    """What is said of a backup in which something isn't as it was written."""
    return Unusable([Message("backup-damaged", _("{file} is damaged."), file=str(path)), *how], ANOTHER)


def not_a_backup(path: Path) -> Unusable:
    """What is said of any other file."""
    return Unusable([Message("not-a-backup", _("{file} isn't a backup of a studio."), file=str(path))], GIVE_A_BACKUP)


def _cut_short(path: Path) -> Unusable:
    words = _("{file} is cut short: its end is missing.")
    return Unusable([Message("backup-cut-short", words, file=str(path))], ANOTHER)


def _header(file: BinaryIO) -> _Header | None:
    """What an SQLite file says of itself; None for any other file."""
    file.seek(0)
    first = file.read(_HEADER_BYTES)
    if not first.startswith(_MAGIC):
        return None
    if len(first) < _HEADER_BYTES:
        return _Header(_HEADER_BYTES, 0)
    page = int.from_bytes(first[16:18]) if int.from_bytes(first[16:18]) > 1 else _LARGEST_PAGE
    # The count of pages holds where it was written together with the last change.
    counts = first[24:28] == first[92:96]
    return _Header(page * int.from_bytes(first[28:32]) if counts else None, int.from_bytes(first[68:72]))


def _digest(file: BinaryIO, length: int) -> str:
    """The SHA-256 of the first `length` bytes."""
    file.seek(0)
    digest, left = hashlib.sha256(), length
    while left > 0 and (some := file.read(min(left, _AT_ONCE))):
        digest.update(some)
        left -= len(some)
    return digest.hexdigest()
