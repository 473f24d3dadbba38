"""Putting a printing on record, once for one request, and finding it again."""

from __future__ import annotations

from collections.abc import Collection

from tracker.domain.labels.print_jobs import DocumentKind, PrintJob, PrintOrder
from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.refusals import Unknown, Unusable
from tracker.domain.studio.people import Person, Right
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.pieces.lookup import find_rows

MOST_AT_ONCE = 5_000
"""Things in one printing; more would keep a printer busy for a day."""

LONGEST_NAME = 200
"""Characters of one thing as it was picked or typed; nothing that is labeled has a longer name."""


def put_on_record(store: Store, request: Request, order: PrintOrder, asked: object = None) -> PrintJob:
    """Note that this is printed; the same request sent again is the same printing. Tags know which are reprints.

    `asked` is what the person asked for, where that is less than the whole order.
    """
    receipt = store.once(request, "print", lambda change: _note(change, order), asked or order)
    return find_job(store.read, int(receipt.extra["job"]), request.by)


def _note(change: Change, order: PrintOrder) -> Receipt:
    by = change.request.by
    by.must_be_allowed(Right.SEE_OWN)
    if not order.things:
        raise nothing_chosen()
    must_be_few_enough(order.things)
    if order.kind != DocumentKind.TAGS:
        return _receipt(order, change.papers.note(order, ()))
    rows = find_rows(change.read, order.things, by)
    before = change.papers.printed_before([row.piece.id for row in rows])
    job = change.papers.note(order, [row.ref for row in rows if row.piece.id in before])
    change.papers.note_tags({row.piece.id: row.piece.code is None for row in rows}, job)
    return _receipt(order, job)


def must_be_few_enough(things: Collection[str]) -> None:
    """Refuse more things than are printed at once, or one too long; asked before anything is looked up or laid out."""
    if len(things) > MOST_AT_ONCE:
        raise Unusable(
            [Message("too-many-at-once", _("That's too many at once: {count}."), count=len(things))],
            Message("print-fewer", _("Print {most} or fewer."), most=MOST_AT_ONCE),
        )
    if (longest := max(map(len, things), default=0)) > LONGEST_NAME:
        raise Unusable(
            [Message("too-long-for-a-label", _("That's too long for a label: {count} characters."), count=longest)],
            Message("print-shorter", _("Use {most} characters or fewer, one item per line."), most=LONGEST_NAME),
        )


def nothing_chosen() -> Unusable:
    """An order of no things is refused with this."""
    nothing = Message("nothing-chosen", _("Nothing is selected."))
    return Unusable([nothing], Message("choose-what-to-print", _("Choose what you want to print.")))


def _receipt(order: PrintOrder, job: int) -> Receipt:
    words = Plural("labels", "{labels} label printed.", "{labels} labels printed.")
    return Receipt(message=Message("labels-printed", words, labels=order.labels), extra={"job": str(job)})


def find_job(reader: Queries, number: int, by: Person) -> PrintJob:
    """The printing with this number; `Unknown` when there is none that this person may see."""
    job = reader.papers.job(number)
    if job is None or (job.by_id != by.id and not by.may(Right.SEE_ALL)):
        remedy = Message("pick-a-printing", _("Choose one from the list of prints."))
        raise Unknown(Message("no-such-printing", _("There's no print job {number}."), number=str(number)), remedy)
    return job
