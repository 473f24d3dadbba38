"""A phone beside the outdoor kiln at a server which comes and goes: no tap that it got acknowledged may be lost."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from tests.faults._place import Row
from tests.faults._scanning import Server, Turn, Worker, keys_of, unrecorded, working
from tests.staffed import TOM, asked_by, open_studio, queued, the_piece
from tests.yard import planned_session, refs_in, the_session
from tracker.domain.outdoor.event_log import Did
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.store.unit_of_work import Store
from tracker.usecases.outdoor import sessions as outdoor

_PIECES = 12
_FALSE_STARTS = 5
_CAME = (Outcome.GOOD, Outcome.of(Flaw.CRACKED), Outcome.BROKE)


@dataclass
class _Yard:
    """The outdoor kiln, session after session, and what was acknowledged: the taps of each, and the results."""

    store: Store
    tapped: dict[str, int] = field(default_factory=dict)
    came: dict[str, Outcome] = field(default_factory=dict)

    def turns(self) -> Iterator[Turn]:
        """Run whole sessions, in which each round is first started by mistake and taken back."""
        while True:
            for _ in range(_PIECES):
                queued(self.store, "Ember Luster", route="raku")
            number = planned_session(self.store, starts_at=datetime.now(UTC))
            for place, firing in enumerate(the_session(self.store, number).rounds, start=1):
                refs = refs_in(self.store, number, place)
                yield from self._round(number, firing.id, refs)
            outdoor.end(self.store, asked_by(TOM), number)

    def _round(self, session: int, firing: int, refs: list[str]) -> Iterator[Turn]:
        def tap(did: Did, **more: Any) -> Iterator[Turn]:  # noqa: ANN401 -- any field of a tap
            key = str(uuid4())
            yield f"/outdoor/{session}/taps", {"key": key, "did": str(did), "firing": firing, **more}
            self.tapped[key] = session

        for _ in range(_FALSE_STARTS):
            yield from tap(Did.START, inside=refs)
            yield from tap(Did.TAKE_BACK, value=next(reversed(self.tapped)))
        yield from tap(Did.START, inside=refs)
        yield from tap(Did.AT_HEAT)
        for did in (Did.PULLED, Did.CLOSED, Did.OUT):
            for ref in refs:
                yield from tap(did, piece=ref)
        for turn, ref in enumerate(refs):
            came = _CAME[turn % len(_CAME)]
            yield from tap(Did.RESULT, piece=ref, value=str(came))
            self.came[ref] = came

    def lost(self) -> int:
        """How many taps aren't in the log of their session, and how many pieces have another result."""
        log = {one.key for number in set(self.tapped.values()) for one in self.store.read.outdoors.taps(number)}
        rows = self.store.read.pieces.by_ids([the_piece(self.store, ref).id for ref in self.came])
        return len(self.tapped.keys() - log) + sum(row.outcome != self.came[row.ref] for row in rows)


@contextmanager
def tappers(database: str, row: Row) -> Iterator[tuple[Server, list[Worker]]]:
    """A server over a fresh database, and a phone beside the kiln; nothing it got acknowledged may be lost."""
    store = open_studio(database)
    yard = _Yard(store)
    with working(database, row, [yard.turns()]) as (server, busy):
        yield server, busy
    row.lost += unrecorded(database, keys_of(busy)) + yard.lost()
    store.close()
