"""Restores that are killed: the next one fills the database, all of it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from tests.faults._copies import Copies, counted
from tests.faults._killing import killed, seconds_of
from tests.faults._place import Place, Row
from tracker.domain.refusals import Refusal
from tracker.store import backup as keeping

KILLS = 100
_HAD_IT_ALL = "holds-a-studio"


def suffer(place: Place) -> Iterator[Row]:
    """Kill restores at any moment, then restore once more where the database is still empty."""
    draw, copies = place.draw(), Copies(place, "restores")
    studio, path = copies.studio(), copies.folder / "kept.backup"
    keeping.backup(studio, path, photos=str(copies.attic))
    before, probe = counted(studio), copies.empty()
    took = seconds_of(partial(_restore, copies, probe, path))
    copies.drop(probe)
    row, midway = Row("restore killed"), 0
    for row.tried in range(1, place.times(KILLS) + 1):
        url = copies.empty()
        midway += killed(partial(_restore, copies, url, path), draw.uniform(0, 1.1 * took))
        try:
            _restore(copies, url, path)
        except Refusal as refusal:
            if refusal.code != _HAD_IT_ALL:
                print(refusal.message, file=sys.stderr)
        problems = copies.problems_of(url, before)
        row.lost += bool(problems)
        for one in problems:
            print(one, file=sys.stderr)
        copies.drop(url)
    row.what += f" ({midway} midway)"
    yield row


def _restore(copies: Copies, url: str, path: Path) -> None:
    keeping.restore(url, path, photos=str(copies.attic))
