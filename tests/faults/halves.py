"""Databases that an older Footring left half made: a migration's changes are there, and its version isn't written.

Only on SQLite, whose driver used to commit each change of a table by itself; PostgreSQL took them all back.
"""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from itertools import pairwise
from typing import Any

from alembic.util import CommandError
from sqlalchemy import Engine, event, make_url

from tests.faults._copies import Copies, counted
from tests.faults._place import Place, Row
from tracker.domain.refusals import Refusal
from tracker.store.schema import downgrade, drift, migrate, versions
from tracker.store.upgrade import upgrade

_NOW = datetime(2026, 11, 30, tzinfo=UTC)
_HALF_MADE = "database-half-made"
_NO_CHANGES = ("SELECT", "PRAGMA MAIN.", "PRAGMA FOREIGN", "BEGIN", "COMMIT", "UPDATE ALEMBIC_VERSION")


def suffer(place: Place) -> Iterator[Row]:
    """Leave each migration half made and whole but for its version; an upgrade ends it, or says how to get back."""
    if place.cluster is not None:
        return
    draw, copies = place.draw(), Copies(place, "halves")
    row, refused = Row("half-made database of an older Footring"), 0
    studio = copies.studio()
    steps = list(pairwise(versions()))[:: -max(1, round(1 / place.scale))]
    for before, after in steps:
        downgrade(studio, before)
        template = copies.copy(studio)
        changes = _changes(copies, template, after)
        # Some have nothing to do on SQLite, or in a studio as new as this one.
        for many in (draw.randint(1, len(changes)), len(changes)) if changes else ():
            row.tried += 1
            url = copies.copy(template)
            _change(url, changes[:many])
            outcome = _upgraded(copies, url)
            refused += outcome == _HALF_MADE
            if outcome not in {_HALF_MADE, ""}:
                row.lost += 1
                print(f"{after} after {many} of {len(changes)} changes: {outcome}", file=sys.stderr)
            copies.drop(url)
        copies.drop(template)
    row.what += f" ({refused} refused with the way back)"
    yield row


def _changes(copies: Copies, template: str, after: str) -> list[tuple[str, Any, bool]]:
    """What a migration says to the database: each statement with what it is handed, and whether that is many rows."""
    said: list[tuple[str, Any, bool]] = []

    def note(_connection: Any, _cursor: Any, statement: str, given: Any, _context: Any, many: bool) -> None:  # noqa: ANN401, FBT001 -- SQLAlchemy's own
        if not statement.lstrip().upper().startswith(_NO_CHANGES):
            said.append((statement, given, many))

    url = copies.copy(template)
    event.listen(Engine, "before_cursor_execute", note)
    try:
        migrate(url, after)
    finally:
        event.remove(Engine, "before_cursor_execute", note)
    copies.drop(url)
    return said


def _change(url: str, changes: list[tuple[str, Any, bool]]) -> None:
    """Make these changes, each of them for good."""
    with closing(sqlite3.connect(str(make_url(url).database), isolation_level=None)) as file:
        for statement, given, many in changes:
            (file.executemany if many else file.execute)(statement, given)


def _upgraded(copies: Copies, url: str) -> str:
    """Why a database wasn't upgraded, or what is wrong with it now; nothing where it is whole, or as it was."""
    rows = counted(url)
    try:
        upgrade(url, copies.folder, at=_NOW, photos=str(copies.attic))
    except Refusal as refusal:
        has_way_back = refusal.remedy is not None and counted(url) == rows
        return refusal.code if has_way_back else f"{refusal.code}, with rows lost"
    try:
        drift(url)
    except CommandError as differs:
        return str(differs)
    return "; ".join(map(str, copies.problems_of(url, rows)))
