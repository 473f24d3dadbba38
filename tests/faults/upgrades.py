"""Upgrades that are killed, over all migrations: the next one goes on, and nothing is lost."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

from tests.faults._copies import Copies, counted
from tests.faults._killing import killed, seconds_of
from tests.faults._place import Place, Row
from tracker.domain.message import Message
from tracker.domain.refusals import Refusal
from tracker.store import backup as keeping
from tracker.store.schema import downgrade, versions
from tracker.store.upgrade import upgrade

KILLS = 200
_NOW = datetime(2026, 11, 30, tzinfo=UTC)
_STARTS = 4
"""How many schemas the upgrades start from, spread over all there ever were."""


def suffer(place: Place) -> Iterator[Row]:
    """Kill upgrades at any moment, up to three times each, then let one through; look at each backup that they made."""
    draw, copies = place.draw(), Copies(place, "upgrades")
    row, backups, midway = Row("upgrade killed"), Row("backup from before an upgrade, opened again"), 0
    starts = list(_starts(copies))
    while row.tried < place.times(KILLS):
        template, before, took = draw.choice(starts)
        url = copies.copy(template)
        for again in range(min(draw.randint(1, 3), place.times(KILLS) - row.tried)):
            midway += killed(partial(_upgrade, copies, url, again), draw.uniform(0, 1.1 * took))
            row.tried += 1
        row.lost += _is_lost(_problems_after(copies, url, before))
        for path in _backups_of(copies, url):
            backups.tried += 1
            backups.lost += _is_lost(_problems_in(path))
            path.unlink()
        copies.drop(url)
    row.what += f" ({midway} midway)"
    yield row
    yield backups


def _starts(copies: Copies) -> Iterator[tuple[str, dict[str, int], float]]:
    """A studio in each of some older schemas, what it has, and how long its upgrade takes."""
    studio = copies.studio()
    for version in versions()[-2 :: -max(1, len(versions()) // _STARTS)]:
        downgrade(studio, version)
        template = copies.copy(studio)
        probe = copies.copy(template)
        yield template, counted(template), seconds_of(partial(_upgrade, copies, probe, 0))
        copies.drop(probe)


def _upgrade(copies: Copies, url: str, again: int) -> None:
    upgrade(url, copies.folder, at=_NOW + timedelta(seconds=again), photos=str(copies.attic))


def _problems_after(copies: Copies, url: str, before: dict[str, int]) -> list[Message]:
    try:
        _upgrade(copies, url, 9)
    except Refusal as refusal:
        return [refusal.message]
    return copies.problems_of(url, before)


def _backups_of(copies: Copies, url: str) -> list[Path]:
    # Those of a file lie beside it, the others in the folder that was named.
    return [*copies.photos_of(url).parent.glob("*.backup"), *copies.folder.glob("*.backup")]


def _problems_in(path: Path) -> list[Message]:
    try:
        keeping.check_backup(path)
    except Refusal as refusal:
        return [refusal.message]
    return []


def _is_lost(problems: list[Message]) -> bool:
    for one in problems:
        print(one, file=sys.stderr)
    return bool(problems)
