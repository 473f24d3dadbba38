"""Scans that were refused, until they are dealt with. They change no piece, so they stand beside the requests."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Row, and_, exists, func, insert, select, update

from tracker.domain.message import Message
from tracker.domain.pieces.history import Request
from tracker.store.connected import Kept
from tracker.store.messages import message_of, plain_of
from tracker.store.tables import history, pieces, refused_scans

MOST_LISTED = 200
"""No list of refused scans is longer; the newest are on it."""


@dataclass(frozen=True, slots=True)
class RefusedScan:
    """What was scanned, as it was read or as the piece is called, what for (`job`), and why that was refused.

    `is_piece` says whether what was scanned names a piece.
    """

    key: str
    at: datetime
    ref: str
    is_piece: bool
    job: Mapping[str, str]
    title: Message
    says: Message
    remedy: Message | None


class RefusedScans(Kept):
    """The refused scans of everybody: `store.refused_scans`."""

    def keep(
        self,
        request: Request,
        ref: str,
        job: Mapping[str, str],
        title: Message,
        says: Message,
        remedy: Message | None,
    ) -> None:
        """Keep a refused scan: sent again it is kept once, and of the same scan repeated the newest counts."""
        facts = {
            "key": str(request.key),
            "person_id": request.by.id,
            "at": request.at,
            "ref": ref,
            "job": _job(job),
            "title": _text(title),
            "says": _text(says),
            "remedy": _text(remedy) if remedy else None,
        }
        with self._writing() as connection:
            if connection.scalar(select(refused_scans.c.key).where(refused_scans.c.key == facts["key"])):
                return
            same = and_(*(refused_scans.c[name] == facts[name] for name in ("person_id", "ref", "job")))
            connection.execute(update(refused_scans).where(same, _OPEN).values(done_at=request.at))
            piece_id = connection.scalar(select(pieces.c.id).where(_called(ref)))
            newest = select(func.max(history.c.id)).where(history.c.piece_id == piece_id)
            line = connection.scalar(newest) if piece_id else None
            connection.execute(insert(refused_scans), {**facts, "piece_id": piece_id, "line": line or 0})

    def done(self, person_id: int, key: str, at: datetime) -> None:
        """Take a refused scan off its person's list."""
        mine = (refused_scans.c.person_id == person_id, refused_scans.c.key == key)
        with self._writing() as connection:
            connection.execute(update(refused_scans).where(*mine, _OPEN).values(done_at=at))

    def open_of(self, person_id: int) -> tuple[RefusedScan, ...]:
        """What a person has still to deal with, newest first."""
        mine = refused_scans.c.person_id == person_id
        rows = select(refused_scans).where(mine, _OPEN, _UNTOUCHED).order_by(refused_scans.c.at.desc())
        with self._connect() as connection:
            return tuple(_scan_of(row) for row in connection.execute(rows.limit(MOST_LISTED)))

    def open_for(self, job: Mapping[str, str]) -> tuple[RefusedScan, ...]:
        """What anybody has still to deal with of scans for just this job, newest first."""
        rows = select(refused_scans).where(refused_scans.c.job == _job(job), _OPEN, _UNTOUCHED)
        with self._connect() as connection:
            newest = rows.order_by(refused_scans.c.at.desc()).limit(MOST_LISTED)
            return tuple(_scan_of(row) for row in connection.execute(newest))

    def count_of(self, person_id: int) -> int:
        """How many refused scans a person has still to deal with."""
        mine = refused_scans.c.person_id == person_id
        with self._connect() as connection:
            return connection.scalar(select(func.count()).where(mine, _OPEN, _UNTOUCHED)) or 0


_OPEN = refused_scans.c.done_at.is_(None)
_UNTOUCHED = ~exists().where(history.c.piece_id == refused_scans.c.piece_id, history.c.id > refused_scans.c.line)
"""Nothing has been done with the piece since: what somebody did with it meanwhile settles the scan."""


def _called(ref: str) -> ColumnElement[bool]:
    """The piece with this code or ticket."""
    is_ticket = ref[:1] == "W" and ref[1:].isdigit()
    return pieces.c.id == int(ref[1:]) if is_ticket else pieces.c.code == ref


def _job(job: Mapping[str, str]) -> str:
    return json.dumps(dict(sorted(job.items())))


def _text(message: Message) -> str:
    return json.dumps(plain_of(message))


def _scan_of(row: Row[Any]) -> RefusedScan:
    title, says = (message_of(json.loads(text)) for text in (row.title, row.says))
    remedy = message_of(json.loads(row.remedy)) if row.remedy else None
    return RefusedScan(row.key, row.at, row.ref, row.piece_id is not None, json.loads(row.job), title, says, remedy)
