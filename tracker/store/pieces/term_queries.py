"""The pieces of a term's makers: what is still in the studio, and what was lost."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ColumnElement, func, select

from tracker.domain.pieces.piece import LINE, Stage
from tracker.store.connected import Connect
from tracker.store.pieces.queries import PieceQueries, PieceRow
from tracker.store.tables import people, pieces, sections

HERE = tuple(stage for stage in LINE if stage is not Stage.CLAIMED)
_MOST = 5_000


class TermPieceQueries:
    """What is asked at the end of a term: `store.read.term_pieces`."""

    def __init__(self, connect: Connect, of_pieces: PieceQueries) -> None:
        """Ask over connections that `connect` gives."""
        self._connect = connect
        self._pieces = of_pieces

    def here(self, term_id: int) -> tuple[PieceRow, ...]:
        """The pieces of the makers in a term's sections that are still in the studio, by maker."""
        return self._rows(_of_term(term_id), pieces.c.stage.in_(HERE))

    def lost(self, term_id: int, since: datetime) -> tuple[PieceRow, ...]:
        """The pieces of the same makers that were lost at `since` or later, by maker."""
        return self._rows(_of_term(term_id), pieces.c.stage == Stage.LOST, pieces.c.since >= since)

    def count_here(self, term_id: int) -> int:
        """How many pieces `here` would give."""
        wanted = select(func.count()).select_from(pieces).join(people, people.c.id == pieces.c.maker_id)
        with self._connect() as connection:
            return connection.scalar(wanted.where(_of_term(term_id), pieces.c.stage.in_(HERE))) or 0

    def counts_here(self) -> dict[int, int]:
        """How many pieces `here` would give for each term, for those with any."""
        wanted = (
            select(sections.c.term_id, func.count())
            .select_from(pieces)
            .join(people, people.c.id == pieces.c.maker_id)
            .join(sections, sections.c.id == people.c.section_id)
            .where(sections.c.term_id.is_not(None), pieces.c.stage.in_(HERE))
            .group_by(sections.c.term_id)
        )
        with self._connect() as connection:
            return dict(connection.execute(wanted).all())

    def counted_by_maker(self, term_id: int) -> dict[int, tuple[int, int]]:
        """How many pieces of each maker with any in the studio are ready for pickup, and how many in work."""
        ready = func.count().filter(pieces.c.stage == Stage.FIRED)
        wanted = select(pieces.c.maker_id, ready, func.count()).join(people, people.c.id == pieces.c.maker_id)
        wanted = wanted.where(_of_term(term_id), pieces.c.stage.in_(HERE)).group_by(pieces.c.maker_id)
        with self._connect() as connection:
            return {maker: (fired, of - fired) for maker, fired, of in connection.execute(wanted)}

    def _rows(self, *such: ColumnElement[bool]) -> tuple[PieceRow, ...]:
        wanted = select(pieces.c.id).join(people, people.c.id == pieces.c.maker_id).where(*such)
        with self._connect() as connection:
            numbers = connection.scalars(wanted.order_by(people.c.name, people.c.id, pieces.c.id).limit(_MOST)).all()
        rows = {row.piece.id: row for row in self._pieces.by_ids(numbers)}
        return tuple(rows[number] for number in numbers)


def _of_term(term_id: int) -> ColumnElement[bool]:
    # By its makers first, or an engine looks at all that is in the studio, and at everybody for it.
    makers = select(people.c.id).join(sections, sections.c.id == people.c.section_id)
    return pieces.c.maker_id.in_(makers.where(sections.c.term_id == term_id))
