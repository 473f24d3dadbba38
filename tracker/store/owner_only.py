"""Files that only the account that runs Footring may open: the database, photos, backups, lists and papers."""

from __future__ import annotations

import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

_OTHERS = 0o077
_FILE, _FOLDER = 0o600, 0o700


def keep_new_files_private() -> None:
    """From here on whatever this process makes is its owner's alone, also where the system would let others in."""
    os.umask(_OTHERS)


def take_from_others(database: Path | None, photos: Path | None) -> None:
    """Close an SQLite file, what lies beside it and the photos of a studio to others, as earlier versions did not.

    What belongs to another account is left as it is.
    """
    if database is not None:
        _close((database.with_name(f"{database.name}{end}") for end in ("", "-wal", "-shm")), _FILE)
    # Behind a closed folder all is closed, so that thousands of photos are gone through once.
    if photos is not None and photos.is_dir() and _is_open(photos):
        _close((path for path in photos.rglob("*") if path.is_dir()), _FOLDER)
        _close((path for path in photos.rglob("*") if path.is_file()), _FILE)
        _close([photos], _FOLDER)


def _close(paths: Iterable[Path], mode: int) -> None:
    for path in paths:
        with suppress(FileNotFoundError, PermissionError):
            if _is_open(path):
                path.chmod(mode)


def _is_open(path: Path) -> bool:
    return bool(path.stat().st_mode & _OTHERS)
