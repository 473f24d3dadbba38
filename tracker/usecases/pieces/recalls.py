"""Pieces made for food that a change of the catalog refuses for food after they were fired: a failed leach test."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tracker.domain.message import Message, _
from tracker.domain.pieces.news import recall_news
from tracker.domain.pieces.piece import Piece, Stage
from tracker.domain.studio.catalog import Catalog
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.pieces.outlooks import is_unsafe
from tracker.usecases.pieces.revalidate import made_of, some

_MOST_LOOKED_AT = 500
"""Of each glaze, the newest pieces: what is older is told by its page."""


def recalled(reader: Queries, before: Catalog, after: Catalog) -> tuple[PieceRow, ...]:
    """The fired pieces, here and with their makers, that `after` refuses for food and `before` didn't."""
    return tuple(
        row
        for row in _with_changed_glaze(reader, before, after)
        if not _is_refused(before, row.piece) and _is_refused(after, row.piece)
    )


def _is_refused(catalog: Catalog, piece: Piece) -> bool:
    return is_unsafe(made_of(catalog, piece), catalog)


def _with_changed_glaze(reader: Queries, before: Catalog, after: Catalog) -> Iterator[PieceRow]:
    seen: set[int] = set()
    for name, glaze in after.glazes.items():
        if name not in before.glazes or before.glazes[name] == glaze:
            continue
        rows, _all = reader.finding.with_glaze(name, limit=_MOST_LOOKED_AT)
        yield from (row for row in rows if row.piece.id not in seen)
        seen.update(row.piece.id for row in rows)


def recalls_of(rows: Iterable[PieceRow]) -> tuple[Message, ...]:
    """What is said of such pieces: those in the studio, then those whose makers have to be told."""
    rows = tuple(rows)
    here = [row.piece.ref for row in rows if row.piece.stage is Stage.FIRED]
    gone = [row.piece.ref for row in rows if row.piece.stage is Stage.CLAIMED]
    told = (
        Message("recalled-here", _("Fired, and not for food or drink now: {pieces}."), pieces=some(here)),
        Message(
            "recalled-gone",
            _("Already picked up: {pieces}. Tell their makers not to eat or drink from them."),
            pieces=some(gone),
        ),
    )
    return tuple(one for one, refs in zip(told, (here, gone), strict=True) if refs)


def tell_makers(change: Change, rows: Iterable[PieceRow]) -> None:
    """Mail each maker who has such a piece at home."""
    for row in rows:
        if row.piece.stage is Stage.CLAIMED and change.outbox.is_on:
            change.outbox.tell(row.piece.maker_id, recall_news(row.piece), change.zone, row.piece.id)
