"""Printing any kind of document: laid out, put on record, and made again from its record."""

from __future__ import annotations

from collections.abc import Callable, Collection, Generator, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from printing.labels.labels import laid_out
from printing.labels.sheets import finished, making
from printing.labels.stock import TooSmall, stock_named
from tracker.domain.labels.print_jobs import DocumentKind
from tracker.domain.refusals import Unusable
from tracker.usecases.labels.document_kinds import Kind, Wanted, kind_named
from tracker.usecases.labels.print_jobs import put_on_record
from tracker.usecases.labels.selection import Desk
from tracker.usecases.labels.stock import every_stock
from tracker.usecases.pieces.lookup import find_rows

if TYPE_CHECKING:
    from printing.labels.stock import Stock
    from printing.shapes import Shape
    from tracker.domain.labels.print_jobs import PrintJob, PrintOrder
    from tracker.domain.pieces.history import Request
    from tracker.domain.studio.people import Person
    from tracker.store.queries import Queries
    from tracker.store.unit_of_work import Store


@dataclass(frozen=True, slots=True)
class Layout:
    """An order laid out on its stock: its things are named as the record does; `shapes` are each label's.

    Those are made as they are asked for, and a label that cannot hold what it must is then refused with `Unusable`.
    """

    kind: Kind
    order: PrintOrder
    stock: Stock
    shapes: Iterable[Sequence[Shape]]

    def making(self) -> Generator[int, None, bytes]:
        """Make the PDF label by label: yields how many are done and returns the PDF."""
        order = self.order
        return making(
            self.shapes,
            self.stock,
            title=self.kind.title,
            start_at=order.start_at,
            nudge_mm=order.nudge,
            dpi=order.dpi,
        )

    def pdf(self, progress: Callable[[int], object] | None = None) -> bytes:
        """The whole PDF; `progress(1)` is called after each label."""
        return finished(self.making(), progress)


@dataclass(frozen=True, slots=True)
class Printing:
    """A printing on record, and its labels laid out."""

    job: PrintJob
    layout: Layout


def print_document(store: Store, request: Request, order: PrintOrder, *, address: str = "") -> Printing:
    """Lay out what is ordered and put it on record; refused, with nothing on record, where a label does not fit.

    A tag printed before is marked as a reprint. The same request sent twice is one printing with the same labels.
    """
    desk = Desk(store.read, request.by, request.at, address)
    before = _printed_before(desk, order)
    layout = _whole(lay_out_document(desk, order, reprints=before))
    job = put_on_record(store, request, layout.order)
    if job.reprints != before:
        # Somebody printed one of them in between, or this very request did when it came the first time.
        layout = _whole(lay_out_document(desk, order, reprints=job.reprints))
    return Printing(job, layout)


def document_on_record(reader: Queries, job: PrintJob, by: Person, *, address: str = "") -> Layout:
    """A printing laid out again, with what its things are now."""
    return lay_out_document(Desk(reader, by, job.at, address), job.order, reprints=job.reprints)


def lay_out_document(desk: Desk, order: PrintOrder, *, reprints: Collection[str] = ()) -> Layout:
    """What is ordered laid out; refused where it cannot be, as far as that is known before its shapes are asked for."""
    kind = kind_named(order.kind)
    desk.by.must_be_allowed(kind.right)
    if not order.things:
        raise Unusable(["Nothing is chosen."], "Choose what you want to print.")
    try:
        stock = stock_named(order.stock, every_stock(desk.studio))
    except ValueError:
        says = f"The labels “{order.stock}” are no stock of this studio any more."
        raise Unusable([says], "Print it again on other labels.") from None
    try:
        labels = kind.labels(desk, Wanted(order=order, stock=stock, reprints=reprints))
    except TooSmall as too_small:
        raise _does_not_fit(too_small) from None
    things = tuple(label.bar for label in labels) if kind.name is DocumentKind.TAGS else order.things
    shapes = _each(laid_out(labels, stock, order.dpi))
    line = order.line if kind.has_line else ""
    return Layout(kind, replace(order, things=things, line=line, labels=len(labels)), stock, shapes)


def _each(shapes: Iterable[Sequence[Shape]]) -> Iterable[Sequence[Shape]]:
    try:
        yield from shapes
    except TooSmall as too_small:
        raise _does_not_fit(too_small) from None


def _does_not_fit(too_small: TooSmall) -> Unusable:
    return Unusable([str(too_small)], "Choose a larger label.")


def _whole(layout: Layout) -> Layout:
    """The same with all its shapes made."""
    return replace(layout, shapes=tuple(layout.shapes))


def _printed_before(desk: Desk, order: PrintOrder) -> frozenset[str]:
    """Of which pieces a tag was printed before; nothing else is counted."""
    if order.kind != DocumentKind.TAGS:
        return frozenset()
    rows = find_rows(desk.reader, order.things, desk.by)
    before = desk.reader.papers.printed_since([row.piece.id for row in rows])
    return frozenset(row.ref for row in rows if row.piece.id in before)
