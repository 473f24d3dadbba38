"""Printing any kind of document: laid out, put on record, and made again from its record."""

from __future__ import annotations

from collections.abc import Callable, Collection, Generator, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from printing.labels.label_parts import Label
from printing.labels.labels import laid_out
from printing.labels.sheets import finished, heading, making
from printing.labels.stock import Lack, NoRoom, Stock, TooSmall, stock_named
from printing.shapes import Shape
from tracker.domain.labels.print_jobs import DocumentKind, PrintJob, PrintOrder
from tracker.domain.message import Choice, Message, _
from tracker.domain.pieces.history import Request
from tracker.domain.quantities import mm, percent
from tracker.domain.refusals import Unusable
from tracker.domain.studio.people import Person
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Store
from tracker.usecases.labels.document_kinds import Kind, Wanted, kind_named
from tracker.usecases.labels.home_papers import day_and_studio
from tracker.usecases.labels.print_jobs import must_be_few_enough, nothing_chosen, put_on_record
from tracker.usecases.labels.selection import Desk
from tracker.usecases.labels.stock import every_stock, stock_called
from tracker.usecases.pieces.lookup import find_rows
from tracker.wording.reader import Reader
from tracker.wording.render import say

TRUE_SIZE = Message("true-size", _("Print at {whole}. Turn off “fit to page”."), whole=percent(100))


@dataclass(frozen=True, slots=True)
class Layout:
    """An order laid out on its stock for a reader: its things are named as the record does; `shapes` are each label's.

    `beside` the title over a sheet stand the day and the studio.
    Those are made as they are asked for, and a label that cannot hold what it must is then refused with `Unusable`.
    """

    kind: Kind
    order: PrintOrder
    stock: Stock
    shapes: Iterable[Sequence[Shape]]
    reader: Reader
    beside: str = ""

    @property
    def heading(self) -> tuple[Shape, ...]:
        """What stands over the labels of a sheet that has room for it."""
        return tuple(heading(self.stock, say(self.kind.title, self.reader), self.beside, say(TRUE_SIZE, self.reader)))

    def making(self) -> Generator[int, None, bytes]:
        """Make the PDF label by label: yields how many are done and returns the PDF."""
        order = self.order
        return making(
            self.shapes,
            replace(self.stock, name=stock_called(self.stock, self.reader)),
            title=say(self.kind.title, self.reader),
            true_size=say(TRUE_SIZE, self.reader),
            start_at=order.start_at,
            nudge_mm=order.nudge,
            dpi=order.dpi,
            beside=self.beside,
        )

    def pdf(self, progress: Callable[[int], object] | None = None) -> bytes:
        """The whole PDF; `progress(1)` is called after each label."""
        return finished(self.making(), progress)


@dataclass(frozen=True, slots=True)
class Printing:
    """A printing on record, and its labels laid out."""

    job: PrintJob
    layout: Layout


def print_document(
    store: Store, request: Request, order: PrintOrder, reader: Reader, *, address: str = "", asked: object = None
) -> Printing:
    """Lay out what is ordered and put it on record; refused, with nothing on record, where a label does not fit.

    A tag printed before is marked as a reprint. The same request sent twice is one printing with the same labels.
    `asked` is what the person asked for, where the rest is the printer's, whose next label moves on.
    """
    must_be_few_enough(order.things)
    desk = Desk(store.read, request.by, request.at, reader, address)
    _must_fit(desk, order)
    before = _printed_before(desk, order)
    layout = _whole(lay_out_document(desk, order, reprints=before))
    job = put_on_record(store, request, layout.order, asked)
    if job.reprints != before:
        # Somebody printed one of them in between, or this very request did when it came the first time.
        layout = _whole(lay_out_document(desk, order, reprints=job.reprints))
    return Printing(job, layout)


def _must_fit(desk: Desk, order: PrintOrder) -> None:
    """Refuse paper for pieces that it doesn't fit, each named."""
    kind = kind_named(order.kind)
    if not kind.of_pieces or not desk.by.may(kind.right):
        return
    unfit = kind.unfit(desk, find_rows(desk.read, order.things, desk.by))
    if unfit:
        raise Unusable(list(unfit.values()), Message("leave-these-out", _("Leave them out, then print again.")))


def document_on_record(read: Queries, job: PrintJob, by: Person, reader: Reader, *, address: str = "") -> Layout:
    """A printing laid out again, with what its things are now."""
    return lay_out_document(Desk(read, by, job.at, reader, address), job.order, reprints=job.reprints)


def lay_out_document(desk: Desk, order: PrintOrder, *, reprints: Collection[str] = ()) -> Layout:
    """What is ordered laid out; refused where it cannot be, as far as that is known before its shapes are asked for."""
    kind = kind_named(order.kind)
    desk.by.must_be_allowed(kind.right)
    if not order.things:
        raise nothing_chosen()
    must_be_few_enough(order.things)
    try:
        stock = stock_named(order.stock, every_stock(desk.studio, desk.reader.paper))
    except ValueError:
        gone = _("This studio has no labels called “{stock}” anymore.")
        remedy = Message("print-on-other-labels", _("Print it again on other labels."))
        raise Unusable([Message("stock-is-gone", gone, stock=order.stock)], remedy) from None
    try:
        labels = kind.labels(desk, Wanted(order=order, stock=stock, reprints=reprints))
    except TooSmall as too_small:
        raise _does_not_fit(kind.name, too_small) from None
    things = tuple(label.bar for label in labels) if kind.name is DocumentKind.TAGS else order.things
    shapes = _each(desk, kind.name, labels, stock, order.dpi)
    line = order.line if kind.has_line else ""
    whole = replace(order, things=things, line=line, labels=len(labels))
    beside = say(day_and_studio(desk.at, desk.studio, desk.reader), desk.reader)
    return Layout(kind, whole, stock, shapes, desk.reader, beside)


def _each(
    desk: Desk, kind: DocumentKind, labels: Sequence[Label], stock: Stock, dpi: int | None
) -> Iterable[Sequence[Shape]]:
    try:
        yield from laid_out(labels, stock, dpi)
    except TooSmall as too_small:
        holding = _holding(labels, stock, every_stock(desk.studio, desk.reader.paper), dpi)
        called = "" if holding is None else stock_called(holding, desk.reader)
        raise _does_not_fit(kind, too_small, called) from None


def _holding(labels: Sequence[Label], chosen: Stock, stocks: Iterable[Stock], dpi: int | None) -> Stock | None:
    """The smallest stock that holds all of these labels, on paper as large as the one `chosen` first; None if none."""
    page = (chosen.page_width, chosen.page_height)

    def fits_printer(one: Stock) -> tuple[bool, float]:
        return (one.page_width, one.page_height) != page, one.label_width * one.label_height

    for stock in sorted(stocks, key=fits_printer):
        with suppress(TooSmall):
            if all(shapes is not None for shapes in laid_out(labels, stock, dpi)):
                return stock
    return None


def _does_not_fit(kind: DocumentKind, too_small: TooSmall, holding: str = "") -> Unusable:
    words = Choice("kind", _TOO_SMALL)
    stock, reasons = too_small.stock.name, lacks_of(too_small.reasons)
    remedy = Message("choose-a-larger-label", _("Choose a larger label."))
    if holding:
        remedy = Message("choose-this-label", _("Choose {stock}: it holds everything."), stock=holding)
    return Unusable([Message("label-too-small", words, stock=stock, kind=kind, reasons=reasons)], remedy)


_TOO_SMALL = {
    DocumentKind.TAGS.value: _("{stock} is too small for a tag: {reasons}."),
    DocumentKind.SHELVES.value: _("{stock} is too small for a shelf label: {reasons}."),
    DocumentKind.BUCKETS.value: _("{stock} is too small for a bucket label: {reasons}."),
    DocumentKind.KILN_DOORS.value: _("{stock} is too small for a kiln card: {reasons}."),
    DocumentKind.CONTAINERS.value: _("{stock} is too small for a bin number: {reasons}."),
    DocumentKind.BADGES.value: _("{stock} is too small for a badge: {reasons}."),
    DocumentKind.MAKER_CARDS.value: _("{stock} is too small for a maker card: {reasons}."),
    DocumentKind.COMMANDS.value: _("{stock} is too small for these barcodes: {reasons}."),
    DocumentKind.TRIAL_BARS.value: _("{stock} is too small for a test barcode: {reasons}."),
    DocumentKind.CARE.value: _("{stock} is too small for a care card: {reasons}."),
    DocumentKind.NOT_FOR_FOOD.value: _("{stock} is too small for a not-for-food label: {reasons}."),
    DocumentKind.PICKUP_SLIP.value: _("{stock} is too small for a pickup list: {reasons}."),
    DocumentKind.NOTICES.value: _("{stock} is too small for a notice: {reasons}."),
    DocumentKind.PICKUP_DAY.value: _("{stock} is too small for a pickup-day list: {reasons}."),
}


def lacks_of(reasons: Iterable[NoRoom]) -> tuple[Message, ...]:
    """What has no room on a label, thing by thing."""
    return tuple(
        Message(
            f"no-room-for-{one.what.name.lower().replace('_', '-')}",
            _LACKS[one.what],
            width=mm(one.width, 1),
            height=mm(one.height, 1),
            text=one.text if len(one.text) <= _LONGEST_QUOTED else f"{one.text[: _LONGEST_QUOTED - 1]}…",
        )
        for one in reasons
    )


_LONGEST_QUOTED = 48
_LACKS = {
    Lack.BARS: _("the barcode and the line above it need {width} by {height}"),
    Lack.TAG_BARS: _("the barcode needs {width} by {height} with its quiet zones"),
    Lack.TAG_QR: _("the QR code needs {width} by {height} with its quiet zone"),
    Lack.TAG_CODE: _("the code above the barcode needs a height of {height}"),
    Lack.TAG_WORDS: _("the maker and the warnings don't fit beside the barcode and the QR code"),
    Lack.TAG_WARNINGS: _("the warnings don't fit beside the barcode and the QR code"),
    Lack.TEXT: _("“{text}” doesn't fit"),
    Lack.WORDS: _("its words don't fit on {width} by {height}"),
}


def _whole(layout: Layout) -> Layout:
    """The same with all its shapes made."""
    return replace(layout, shapes=tuple(layout.shapes))


def _printed_before(desk: Desk, order: PrintOrder) -> frozenset[str]:
    """Of which pieces a tag was printed before; nothing else is counted."""
    if order.kind != DocumentKind.TAGS:
        return frozenset()
    rows = find_rows(desk.read, order.things, desk.by)
    before = desk.read.papers.printed_since([row.piece.id for row in rows])
    return frozenset(row.ref for row in rows if row.piece.id in before)
