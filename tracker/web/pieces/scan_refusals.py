"""Why a scan was refused and the ways out of it: a shelf, another piece, a find; and what a scan sends along."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from flask import g, request, url_for

from tracker.domain.findings import NeedsInstructor, Unfit, Unsettled
from tracker.domain.labels.keyboards import readings
from tracker.domain.labels.studio_bars import Sort, bar_text, read_bar
from tracker.domain.message import ByRole, Message, _, together
from tracker.domain.pieces.piece import STEPS, Stage, StepName
from tracker.domain.refusals import NotAStep, Refusal, Unknown, UnknownShelf
from tracker.forms.page_forms import Move
from tracker.usecases.pieces import ware_shelves
from tracker.usecases.pieces.jobs import Job, is_whole
from tracker.usecases.pieces.lookup import find_row, likely_refs, named
from tracker.usecases.pieces.refused_scans import keep_refused
from tracker.usecases.pieces.ways_out import open_queues, out_of_a_refused_queue
from tracker.web.auth import asking, house
from tracker.web.error_handlers import refusal_json, status_of
from tracker.web.piece_presenters import address_of, tell_url
from tracker.web.presenters import catalog, ref_in
from tracker.web.stations import layout_here
from tracker.web.wording import said

Answer = dict[str, Any]

MENDS = "mends"
"""The field that names the refused scan which this one takes the way out of."""
EXACT = "exact"
"""The field by which a button says that its text is no scanner's."""

TO_SHELF = _("Put it on the {firing} shelf")
IT_IS = _("It's {piece}")
_NEW_SHELF = Message("a-new-shelf", _("Is it a new shelf? Type its name in the Shelf box."))
_ASK = ByRole(_("To ask the instructor, open {piece}'s page."), {"instructor": _("To decide, open {piece}'s page.")})


def job_in(sent: Mapping[str, str]) -> Job:
    """The job that an address or a form names, not yet looked at."""
    return Job(*(" ".join(sent.get(name, "").split())[:60] for name in ("step", "route", "cause", "place")))


def found_url(ref: str, job: Job) -> str | None:
    """Where a scanned piece is said to be found; None unless it is lost, and not to a fire."""
    read = house().store.read
    piece = find_row(read, ref, g.person).piece if ref else None
    if piece is None or piece.stage is not Stage.LOST or read.shelves.causes([piece.id])[piece.id].in_kiln:
        return None
    return url_for("scanning.found", code=ref, **job.fields)


def refused(moved: Move | None, refusal: Refusal, job: Job) -> tuple[Answer, int]:
    """Why not, and what to do with the piece in one's hand; it stays on the list of what is to deal with."""
    answer, status = refusal_json(refusal), status_of(refusal)
    ref = ref_in(moved.ref) if moved else ""
    if moved is not None and isinstance(refusal, UnknownShelf):
        answer = {**answer, "code": ref or None, "ways": [new_shelf(moved.ref, refusal.name, job)]}
        return _kept(answer, refusal, moved.ref, job, refusal.remedy), status
    if moved is not None and isinstance(refusal, Unknown):
        meant = [(one, Message("it-is-that-piece", IT_IS, piece=one)) for one in likely_refs(refusal)]
        shelves = [that_shelf(one, job) for one in shelves_by_keys(moved.ref)]
        answer["ways"] = [_way(one, job, label) for one, label in meant] + shelves
        remedy = refusal.remedy
        if moved.step is StepName.SHELVE:
            remedy = together((remedy, _NEW_SHELF))
            answer["mend"] = said(remedy)
        return _kept(answer, refusal, moved.ref, job, remedy), status
    if moved is None or not ref:
        return answer, status
    answer["code"], answer["piece_url"] = ref, address_of(ref)
    answer["tell_url"] = tell_url(ref, refusal)
    answer["found_url"] = found_url(ref, job)
    remedy = refusal.remedy
    if isinstance(refusal, Unsettled):
        piece = find_row(house().store.read, ref, g.person).piece.at(house().clock())
        asked = house().store.read.questions.of_piece(piece.id)
        ways = [out_of_a_refused_queue(piece, moved.route, refusal, catalog(), asked)]
        if isinstance(refusal, NeedsInstructor):
            ways.append(Message("ask-by-its-code", _ASK, piece=ref))
        remedy = together(ways)
        answer["mend"] = said(remedy)
        if isinstance(refusal, Unfit):
            queues = open_queues(piece, catalog(), asked)
            answer["ways"] = [
                _way(ref, Job(StepName.QUEUE, one.name), Message("to-that-shelf", TO_SHELF, firing=one.title))
                for one in queues
            ]
        if isinstance(refusal, NeedsInstructor):
            answer["piece_url"] = f"{address_of(ref)}?route={quote(moved.route)}#ask"
    elif isinstance(refusal, NotAStep) and (already := _already(moved, ref)):
        word = said(Message("already", _("Already")))
        return {**answer, "ok": True, "again": True, "word": word, "says": said(already), "mend": ""}, 200
    return _kept(answer, refusal, ref, job, remedy), status


def _kept(answer: Answer, refusal: Refusal, ref: str, job: Job, remedy: Message | None) -> Answer:
    """The same answer, once its refusal is on the list of whoever scanned; with how many are on it now."""
    if not is_whole(job, catalog()):
        return answer
    keep_refused(house().store, asking(), ref, job.fields, job.title(catalog()), refusal, remedy)
    return {**answer, "todo": house().store.refused_scans.count_of(g.person.id)}


def _way(ref: str, job: Job, label: Message) -> Answer:
    return way_out(ref, job, label, request.form.get("key", ""))


def way_out(ref: str, job: Job, label: Message, mends: str) -> Answer:
    """A button that takes the way out of the refused scan `mends`: what it says, and the scan that it sends."""
    return {"label": said(label), "fields": {**job.fields, "ref": ref, MENDS: mends}}


def new_shelf(ref: str, name: str, job: Job) -> Answer:
    """The button that adds a shelf that nobody here knew, and takes the same scan again."""
    way = _way(ref, job, Message("add-this-shelf", _("Add shelf {place}"), place=name))
    return {**way, "fields": {**way["fields"], "new_shelf": "yes"}}


def _already(moved: Move, ref: str) -> Message | None:
    """What to say when the piece stands where the scan would take it; None when it does not."""
    piece = find_row(house().store.read, ref, g.person).piece
    if moved.step not in {StepName.WAX, StepName.QUEUE, StepName.LOSE} or piece.stage is not STEPS[moved.step].to:
        return None
    if piece.stage is Stage.QUEUED and piece.route != moved.route:
        return None
    words = _("{piece} is already {stage}. Nothing was changed.")
    return Message("stands-there-already", words, piece=named(piece), stage=piece.stage)


def shelves_by_keys(text: str) -> list[str]:
    """The shelves whose label this may be, where nobody set up this station's scanner."""
    if layout_here() is not None or request.form.get(EXACT):
        return []
    known = {one.casefold(): one for one in ware_shelves.known_shelves(house().store.read)}
    labels = (read_bar(one) for one in readings(text.strip()))
    names = (one.name.casefold() for one in labels if one is not None and one.sort is Sort.SHELF)
    return list(dict.fromkeys(known[name] for name in names if name in known))


def that_shelf(name: str, job: Job) -> Answer:
    """The button that says which shelf's label was scanned."""
    way = _way(bar_text(Sort.SHELF, name), job, Message("it-is-that-shelf", IT_IS, piece=name))
    return {**way, "fields": {**way["fields"], EXACT: "yes"}}
