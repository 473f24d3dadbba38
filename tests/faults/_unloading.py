"""Hands that unload kilns at a server which comes and goes: every result they got acknowledged must be the record's."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from tests.faults._place import Row
from tests.faults._scanning import Server, Turn, Worker, keys_of, unrecorded, working
from tests.staffed import TOM, asked_by, open_studio, queued, started, the_piece
from tracker.domain.firing.firings import FiringStage
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings

KILNS = (("Back box", "mid-range", "6", "Still Water"), ("Front box", "low-fire", "04", "Plum Gloss"))
"""Each hand has a kiln of its own, which it unloads again and again: its firing type, cone and glaze."""
_PIECES = 4
_ROUNDS = 5
_ABSENT = "absent"
_SAID = ("good", "cracked", "broke", _ABSENT)


@dataclass
class _Kiln:
    """One kiln and what was acknowledged of its pieces: by firing and code, and what was sent last."""

    store: Store
    name: str
    route: str
    cone: str
    glaze: str
    said: dict[tuple[int, str], str] = field(default_factory=dict)
    last: dict[tuple[int, str], str] = field(default_factory=dict)

    def turns(self) -> Iterator[Turn]:
        """Say something else of each piece again and again, unload the kiln, and fire it again."""
        while True:
            number, refs = self._cooling()
            for again in range(_ROUNDS):
                for turn, ref in enumerate(refs):
                    came = _SAID[(turn + again) % len(_SAID)]
                    self.last = {(number, ref): came}
                    yield f"/firings/{number}/unload/piece", {"ref": ref, f"outcome-{ref}": came}
                    self.said[number, ref] = came
            self.last = {}
            yield f"/firings/{number}/unload", {"fired": "yes"}

    def _cooling(self) -> tuple[int, list[str]]:
        refs = [queued(self.store, self.glaze, route=self.route) for _ in range(_PIECES)]
        number = started(self.store, self.name, self.route, self.cone)
        for ref in refs:
            firings.put_in(self.store, asked_by(TOM), number, ref)
        firings.light(self.store, asked_by(TOM), number)
        firings.shut_off(self.store, asked_by(TOM), number)
        return number, refs

    def lost(self, waiting: Turn | None) -> int:
        """How many pieces have another result than the one acknowledged; what is `waiting` may have arrived, or not."""
        maybe = dict(self.last)
        if waiting is None:
            self.said.update(self.last)
        wrong = [
            f"{ref} in firing {number} is {on_record}, not {came}"
            for (number, ref), came in self.said.items()
            if (on_record := self._on_record(number, ref)) not in {came, maybe.get((number, ref))}
        ]
        print(*wrong, sep="\n", end="", file=sys.stderr)
        return len(wrong)

    def _on_record(self, number: int, ref: str) -> str:
        """What is on record of a piece in a firing, in the words of the page."""
        piece, read = the_piece(self.store, ref), self.store.read.firings
        firing, came = read.firing(number), read.result(number, piece.id)
        if came is not None:
            return str(came)
        if firing is not None and firing.stage is FiringStage.UNLOADED:
            return _ABSENT if piece.in_firing is None else "nothing"
        said = read.taken_out(number)
        return "nothing" if piece.id not in said else str(said[piece.id].outcome or _ABSENT)


@contextmanager
def unloaders(database: str, row: Row) -> Iterator[tuple[Server, list[Worker]]]:
    """A server over a fresh database, and hands that unload; no result they got acknowledged may be lost or another."""
    store = open_studio(database)
    kilns = [_Kiln(store, *one) for one in KILNS]
    with working(database, row, [kiln.turns() for kiln in kilns]) as (server, busy):
        yield server, busy
    row.lost += unrecorded(database, keys_of(busy))
    row.lost += sum(kiln.lost(one.waiting) for kiln, one in zip(kilns, busy, strict=True))
    store.close()
