"""Pieces chosen for a kind of paper: those it fits, and each of the others with the reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker.domain.message import Message, _, together
from tracker.domain.refusals import Unknown
from tracker.usecases.labels.document_kinds import Kind
from tracker.usecases.labels.print_jobs import must_be_few_enough
from tracker.usecases.labels.selection import Desk, Thing, things_in
from tracker.usecases.pieces.lookup import find_row, rows_found

_MOST_TOLD = 20
"""So many wrong codes are each told with what may have been meant; of the rest only that they are none."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """What can be printed; `missing` are texts that mean no piece, `why` tells of them and of pieces it doesn't fit."""

    things: tuple[Thing, ...]
    missing: tuple[str, ...] = ()
    why: tuple[Message, ...] = ()


def choose(desk: Desk, kind: Kind, texts: Sequence[str]) -> Chosen:
    """The pieces that these texts mean, as far as this kind of paper fits them; one wrong code costs no other."""
    must_be_few_enough(texts)
    rows, missing = rows_found(desk.read, texts, desk.by)
    unfit = kind.unfit(desk, rows)
    fits = [row for row in rows if row.ref not in unfit]
    why = (*(_why(desk, text) for text in missing[:_MOST_TOLD]), *unfit.values())
    return Chosen(tuple(things_in(desk, fits)), tuple(missing), why)


def _why(desk: Desk, text: str) -> Message:
    try:
        find_row(desk.read, text, desk.by)
    except Unknown as unknown:
        return together([unknown.message, unknown.remedy])
    return Message("not-a-code", _("“{text}” isn't a code."), text=text[:24])
