"""What a person asked for, the lines of history it left, and the receipt the person got."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from tracker.domain.findings import Verdict
from tracker.domain.message import Fact, Message
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Piece, StepName
from tracker.domain.studio.people import Person


@dataclass(frozen=True, slots=True)
class Request:
    """One thing one person asks for, once: `key` comes from the client, `at` is UTC.

    The same key sent again gets the first answer again, and nothing happens twice.
    """

    key: UUID
    by: Person
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryLine:
    """One step of one piece as it stands in the append-only history; from which stage to which is known of the piece.

    `reason` is what somebody typed; `facts` are the values that this kind of step keeps beside the rest.
    """

    step: StepName
    route: str | None = None
    kiln: str | None = None
    firing_id: int | None = None
    place: str = ""
    verdict: Verdict | None = None
    accepted: tuple[str, ...] = ()
    outcome: Outcome | None = None
    reason: str = ""
    facts: Mapping[str, Fact] = field(default_factory=dict)
    undoes: int | None = None


@dataclass(frozen=True, slots=True)
class Taken:
    """A step that was just taken: the piece as it is after it, its line of history, and the catalog's version then."""

    piece: Piece
    line: HistoryLine
    catalog: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Receipt:
    """What a person is told when something was done: one message, and where to look.

    `line` is the number of the history line, for taking a slip back; `refs` are all pieces it was about; `extra`
    holds plain facts a page needs (numbers and texts only). `taken` is that step, in the first answer alone.
    """

    message: Message
    ref: str = ""
    piece_id: int | None = None
    line: int | None = None
    refs: tuple[str, ...] = ()
    extra: Mapping[str, str | int] = field(default_factory=dict)
    taken: Taken | None = field(default=None, compare=False, repr=False)
