"""What was printed: the list, one printing with how far its PDF is, and the PDF itself, made from its record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, Response, g, render_template, request, stream_with_context

from printing.labels.sheets import making
from printing.labels.stock import stock_named
from tracker.domain.refusals import Unusable
from tracker.domain.studio.people import Right
from tracker.usecases.labels.print_jobs import find_job
from tracker.usecases.labels.stock import every_stock
from tracker.web.auth import allows, house
from tracker.web.labels.document_kinds import KINDS, Wanted

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator

    from flask.typing import ResponseReturnValue

    from tracker.domain.labels.print_jobs import PrintJob
    from tracker.web.labels.document_kinds import Kind

pages = Blueprint("printed", __name__)

PER_PAGE = 50
TOLD_EVERY = 25
"""How far the making is, is told after so many labels."""


@pages.get("/printed")
@allows(Right.SEE_OWN)
def jobs() -> ResponseReturnValue:
    """What was printed, the newest first: everybody's for who may see all pieces, one's own for others."""
    mine = None if g.person.may(Right.SEE_ALL) else g.person.id
    found = house().store.read.papers.jobs(by_id=mine, before=request.args.get("before", type=int), limit=PER_PAGE + 1)
    found = tuple(job for job in found if job.order.kind in KINDS)
    return render_template("labels/print_jobs.html", jobs=found[:PER_PAGE], more=len(found) > PER_PAGE, kinds=KINDS)


@pages.get("/printed/<int:number>")
@allows(Right.SEE_OWN)
def job(number: int) -> ResponseReturnValue:
    """One printing: what, on which labels, when and by whom, with its PDF."""
    found, kind = _found(number)
    return render_template("labels/print_job.html", job=found, kind=kind)


@pages.get("/printed/<int:number>.pdf")
@allows(Right.SEE_OWN)
def pdf(number: int) -> ResponseReturnValue:
    """The PDF of a printing; to ask for it again prints nothing anew."""
    found, kind = _found(number)
    answer = Response(_whole(_making(found, kind)), mimetype="application/pdf")
    name = found.order.things[0] if len(found.order.things) == 1 else f"{found.order.labels}-{kind.name}"
    answer.headers.set("Content-Disposition", "inline", filename=f"{name}.pdf")
    return answer


@pages.get("/printed/<int:number>/making")
@allows(Right.SEE_OWN)
def make(number: int) -> ResponseReturnValue:
    """The same PDF after lines that say how many labels are done; an empty line parts the two."""
    found, kind = _found(number)
    answer = Response(stream_with_context(_told(_making(found, kind))), mimetype="application/octet-stream")
    answer.headers["X-Accel-Buffering"] = "no"
    return answer


def _found(number: int) -> tuple[PrintJob, Kind]:
    found = find_job(house().store.read, number, g.person)
    kind = KINDS[found.order.kind]
    g.person.must_be_allowed(kind.right)
    return found, kind


def _making(job: PrintJob, kind: Kind) -> Generator[int, None, bytes]:
    order = job.order
    try:
        stock = stock_named(order.stock, every_stock(house().store.read.studio()))
    except ValueError:
        says = f"The labels “{order.stock}” are no stock of this studio any more."
        raise Unusable([says], "Print it again on other labels.") from None
    wanted = Wanted(things=order.things, at=job.at, line=order.line, dpi=order.dpi, reprints=job.reprints)
    return making(
        kind.ready(wanted, stock).shapes,
        stock,
        title=kind.title,
        start_at=order.start_at,
        nudge_mm=order.nudge,
        dpi=order.dpi,
    )


def _whole(work: Generator[int, None, bytes]) -> bytes:
    while True:
        try:
            next(work)
        except StopIteration as done:
            pdf: bytes = done.value
            return pdf


def _told(work: Generator[int, None, bytes]) -> Iterator[bytes]:
    while True:
        try:
            done = next(work)
        except StopIteration as finished:
            yield b"\n"
            yield finished.value
            return
        if done % TOLD_EVERY == 0:
            yield f"{done}\n".encode()
