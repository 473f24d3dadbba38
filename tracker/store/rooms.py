"""Rooms for what isn't finished: folders that go when the work is done, and with the next one if it was killed."""

from __future__ import annotations

import fcntl
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import mkdtemp

_PREFIX = ".footring-"


@contextmanager
def room_in(folder: Path) -> Iterator[Path]:
    """A new folder within `folder`, which is gone afterwards; what killed work has left there goes too."""
    _clear(folder)
    made = Path(mkdtemp(dir=folder, prefix=f".new{_PREFIX}"))
    handle = os.open(made, os.O_RDONLY)
    room = made.with_name(made.name.removeprefix(".new"))
    try:
        # The lock ends with this process, however that ends. Only then does the room get the name by which it is found.
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_SH)
        made.rename(room)
        yield room
    finally:
        shutil.rmtree(room, ignore_errors=True)
        os.close(handle)


def _clear(folder: Path) -> None:
    for room in folder.glob(f"{_PREFIX}*"):
        with suppress(OSError):
            handle = os.open(room, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                shutil.rmtree(room, ignore_errors=True)
            finally:
                os.close(handle)


def flush_folder(folder: Path) -> None:
    """Make sure that what a folder says is in it lies on the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
