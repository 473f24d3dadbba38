"""The photos themselves, as files in a folder beside the database; which piece each belongs to stands in the database.

A file is there before its row, and its row goes before the file, so that a row always has its picture. What a pulled
plug leaves behind is a file that no row knows, which `sweep` takes away.
"""

from __future__ import annotations

import os
import re
import secrets
from collections.abc import Collection, Iterable, Iterator
from contextlib import ExitStack
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from tracker.domain.pieces.photos import Prints, Size
from tracker.store.engine import address_of
from tracker.store.rooms import flush_folder

_STEM = re.compile(r"[0-9a-f]{32}", re.ASCII)
_OURS = re.compile(r"([0-9a-f]{32})-(?:small|large)\.jpg(?:\.part)?", re.ASCII)


def shelf_for(database: str, folder: str = "", *, durable: bool = True) -> PhotoShelf | None:
    """Where the photos of `database` lie: beside an SQLite file, as its name and "-photos"; else within `folder`.

    Within `folder` each database has a folder of its own name, so that two never take each other's photos for
    leavings. None where no folder is known.
    """
    url = address_of(database)
    if url.get_backend_name() == "sqlite":
        beside = Path(f"{url.database}-photos").resolve()
        return PhotoShelf(beside, durable=durable) if url.database else None
    name = re.sub(r"[^A-Za-z0-9_.-]", "_", url.database or "")
    return PhotoShelf(Path(folder).resolve() / name, durable=durable) if folder and name.strip(".") else None


class PhotoShelf:
    """A folder of photos, each in two files named by 32 drawn symbols and their size."""

    def __init__(self, folder: Path, *, durable: bool = True) -> None:
        """Use `folder`, which is made with the first photo; without `durable` nobody waits for the disk."""
        self.folder = folder
        self._durable = durable

    def keep(self, prints: Prints) -> str:
        """Lay a photo down, both sizes whole and on the disk; gives the name it is found by."""
        stem = secrets.token_hex(16)
        with ExitStack() as undo:
            undo.callback(self.drop, [stem])
            for size in Size:
                self.lay_down(stem, size, prints.of(size))
            undo.pop_all()
        return stem

    def lay_down(self, stem: str, size: Size, jpeg: bytes) -> None:
        """Lay one file down under its name, where it appears only when it is whole; a full disk is left as it was."""
        path = self.path(stem, size)
        path.parent.mkdir(parents=True, exist_ok=True)
        draft = path.with_name(f"{path.name}.part")
        try:
            with draft.open("wb") as file:
                file.write(jpeg)
                if self._durable:
                    file.flush()
                    os.fsync(file.fileno())
            draft.replace(path)
        finally:
            # It is there no longer once all went well.
            draft.unlink(missing_ok=True)
        if self._durable:
            for folder in (path.parent, self.folder):
                flush_folder(folder)

    def path(self, stem: str, size: Size) -> Path:
        """Where a file of this name lies, or would; a name that this shelf never gave is a fault."""
        if not _STEM.fullmatch(stem):
            raise ValueError(f"{stem!r} is the name of no photo")
        return self.folder / stem[:2] / f"{stem}-{size}.jpg"

    def has(self, stem: str) -> bool:
        """Whether both sizes of a photo are here."""
        return all(self.path(stem, size).is_file() for size in Size)

    def sha256_of(self, stem: str) -> str | None:
        """The SHA-256 of both files of a photo together, the small one first; None where one isn't here."""
        try:
            return sha256(b"".join(self.path(stem, size).read_bytes() for size in Size)).hexdigest()
        except FileNotFoundError:
            return None

    def drop(self, stems: Iterable[str]) -> None:
        """Take photos away; one that is gone already is none of our worry."""
        for stem in stems:
            for size in Size:
                self.path(stem, size).unlink(missing_ok=True)

    def sweep(self, known: Collection[str], *, older_than: datetime) -> int:
        """Take away the files that no row knows and that lay here before `older_than`; gives how many.

        Newer ones may belong to a photo that is being kept at this moment.
        """
        strays = [
            path
            for path, stem in self._files()
            if (stem not in known or path.suffix == ".part") and path.stat().st_mtime < older_than.timestamp()
        ]
        for path in strays:
            path.unlink(missing_ok=True)
        return len(strays)

    def _files(self) -> Iterator[tuple[Path, str]]:
        """Every file that this shelf laid down, with the name of its photo; whatever else lies here is left alone."""
        for path in sorted(self.folder.glob("[0-9a-f][0-9a-f]/*")):
            if (match := _OURS.fullmatch(path.name)) and path.is_file():
                yield path, match[1]
