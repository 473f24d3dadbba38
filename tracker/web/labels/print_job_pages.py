"""What was printed: the list, one printing with how far its PDF is, and the PDF itself, made from its record."""

from __future__ import annotations

from collections.abc import Generator, Iterator

from flask import Blueprint, Response, g, render_template, request, stream_with_context
from flask.typing import ResponseReturnValue

from tracker.domain.labels.print_jobs import PrintJob
from tracker.domain.studio.people import Right
from tracker.domain.studio.spelling import holds, words_in
from tracker.usecases.labels.document_kinds import KINDS, Kind
from tracker.usecases.labels.documents import Layout, document_on_record
from tracker.usecases.labels.print_jobs import find_job
from tracker.usecases.labels.stock import called_in
from tracker.web.auth import allows, house
from tracker.web.plain_input import whole
from tracker.web.wording import reader, said

pages = Blueprint("printed", __name__)

PER_PAGE = 50
_LONGEST = 200
_MOST_WORDS = 8
TOLD_EVERY = 25
"""How far the making is, is told after so many labels."""


@pages.get("/printed")
@allows(Right.SEE_OWN)
def jobs() -> ResponseReturnValue:
    """What was printed, the newest first: everybody's for who may see all pieces, one's own for others; ?find=."""
    mine = None if g.person.may(Right.SEE_ALL) else g.person.id
    text = request.args.get("find", "").strip()[:_LONGEST]
    found = house().store.read.papers.jobs(
        by_id=mine,
        before=whole(request.args, "before", 0) or None,
        sought={word: _kinds_called(word) for word in text.split()[:_MOST_WORDS]},
        limit=PER_PAGE + 1,
    )
    found = tuple(job for job in found if job.order.kind in KINDS)
    return render_template(
        "labels/print_jobs.html",
        jobs=found[:PER_PAGE],
        more=len(found) > PER_PAGE,
        sought=text,
        kinds=KINDS,
        called=called_in(house().store.read.studio(), reader()),
    )


def _kinds_called(word: str) -> list[str]:
    """The kinds of paper that have this word in their title as this reader sees it."""
    return [name for name, kind in KINDS.items() if holds(said(kind.title), words_in(word))]


@pages.get("/printed/<int:number>")
@allows(Right.SEE_OWN)
def job(number: int) -> ResponseReturnValue:
    """One printing: what, on which labels, when and by whom, with its PDF."""
    found, kind = _found(number)
    called = called_in(house().store.read.studio(), reader())
    return render_template("labels/print_job.html", job=found, kind=kind, stock=called(found.order.stock))


@pages.get("/printed/<int:number>.pdf")
@allows(Right.SEE_OWN)
def pdf(number: int) -> ResponseReturnValue:
    """The PDF of a printing; to ask for it again prints nothing anew."""
    found, kind = _found(number)
    answer = Response(_layout(found).pdf(), mimetype="application/pdf")
    name = found.order.things[0] if len(found.order.things) == 1 else f"{found.order.labels}-{kind.name}"
    answer.headers.set("Content-Disposition", "inline", filename=f"{name}.pdf")
    return answer


@pages.get("/printed/<int:number>/making")
@allows(Right.SEE_OWN)
def make(number: int) -> ResponseReturnValue:
    """The same PDF after lines that say how many labels are done; an empty line parts the two."""
    found, _ = _found(number)
    answer = Response(stream_with_context(_told(_layout(found).making())), mimetype="application/octet-stream")
    answer.headers["X-Accel-Buffering"] = "no"
    return answer


def _found(number: int) -> tuple[PrintJob, Kind]:
    found = find_job(house().store.read, number, g.person)
    kind = KINDS[found.order.kind]
    g.person.must_be_allowed(kind.right)
    return found, kind


def _layout(job: PrintJob) -> Layout:
    return document_on_record(house().store.read, job, g.person, reader(), address=house().tag_address)


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
