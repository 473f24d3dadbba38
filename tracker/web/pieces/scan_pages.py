"""Scan and move: the step is picked once, then piece after piece is scanned, each answered in its own line."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, g, jsonify, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.labels.badge_bars import read_badge, read_card
from tracker.domain.labels.studio_bars import Labelled, Sort, read_bar
from tracker.domain.message import Either, Message, _
from tracker.domain.pieces.command_bars import read_command
from tracker.domain.pieces.piece import StepName
from tracker.domain.refusals import NotAStep, Refusal, Unknown, UnknownShelf
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.people import Right
from tracker.forms.page_forms import MoveForm, read_form
from tracker.store.pieces.queries import MoveRow
from tracker.usecases.labels.command_bars import Does
from tracker.usecases.pieces import found_again, undoing, ware_shelves
from tracker.usecases.pieces.jobs import OFF_THE_SHELF, Groups, Job, is_whole, jobs_of
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.pieces.refused_scans import deal_with
from tracker.usecases.pieces.ways_out import with_open_ways
from tracker.usecases.studio.badges import maker_on
from tracker.web.auth import allows, asking, house
from tracker.web.camera import offered_camera
from tracker.web.commands_here import ELSEWHERE, ELSEWHERE_REMEDY, command_scanned, commands_shown
from tracker.web.error_handlers import receipt_json, refusal_json, status_of, wants_json
from tracker.web.piece_presenters import address_of
from tracker.web.pieces.moves import take
from tracker.web.pieces.scan_refusals import (
    EXACT,
    MENDS,
    Answer,
    job_in,
    new_shelf,
    refused,
    shelves_by_keys,
    that_shelf,
)
from tracker.web.presenters import catalog, ref_in
from tracker.web.stations import layout_here, scanned
from tracker.web.wording import said

pages = Blueprint("scanning", __name__)

LAST_ANSWER = "last answer"
RECENT = timedelta(hours=12)
LINES_SHOWN = 30
LONGEST_CODE = 60

_FORM = MoveForm()
_WORDS = {
    StepName.WAX: Message("scan-waxed", _("Waxed")),
    StepName.WASH_OFF: Message("scan-washed-off", _("Taken off")),
    StepName.NOT_WAXED: Message("scan-not-waxed", _("Not waxed")),
    StepName.QUEUE: Message("scan-queued", _("Queued")),
    StepName.PULL_BACK: Message("scan-pulled-back", _("Taken out of the queue")),
    StepName.SHELVE: Message("scan-shelved", _("Shelved")),
    StepName.LOSE: Message("scan-recorded", _("Recorded")),
    StepName.FIND: Message("scan-found", _("Found")),
}
_UNDONE = Message("scan-undone", _("Undone"))
_DONE = Message("scan-done", _("Done"))
_LOOK = Message("look", _("Look"))


@pages.get("/scan")
@allows(Right.MOVE)
def scan() -> ResponseReturnValue:
    """Ask for the step; once it is picked, take scans for it."""
    known = catalog()
    job = job_in(request.args)
    if not is_whole(job, known):
        return render_template("pieces/scan_pick.html", groups=_shown(jobs_of(known), known))
    since = house().clock() - RECENT
    moves = house().store.read.pieces.moves_by(g.person.id, since=since, limit=LINES_SHOWN)
    answers = [_line_shown(move, job) for move in moves]
    refused = session.pop(LAST_ANSWER, None)
    again = refused.pop("sent", {}) if refused else {}
    return render_template(
        "pieces/scan.html",
        job=job,
        has_shelf=job.step not in OFF_THE_SHELF,
        job_title=job.title(known),
        note=job.note(known),
        answers=[refused, *answers] if refused else answers,
        again={**job.fields, **again},
        camera=offered_camera(),
        todo=house().store.refused_scans.count_of(g.person.id),
        commands=commands_shown(),
    )


@pages.post("/scan")
@allows(Right.MOVE)
def move() -> ResponseReturnValue:
    """Move one scanned piece; a script gets JSON, a browser without one goes back to its page of lines.

    A shelf's label says where whatever is scanned next is put.
    """
    text = request.form.get("ref", "")
    if read_command(text) is not None:
        return _obeyed(text)
    labelled = _label_in(text if request.form.get(EXACT) else scanned(text)) or _shelf_typed()
    if wants_json():
        answer, status = _label_scanned(labelled) if labelled else _moved(Job(""))
        return jsonify(answer), status
    job = job_in(request.form)
    if labelled is not None and labelled.sort is Sort.SHELF:
        job = replace(job, place=labelled.name[:60])
    answer, _status = _label_scanned(labelled) if labelled else _moved(job)
    if not answer["ok"] or answer.get("again") or labelled:
        sent = {"ref": request.form.get("ref", "")[:60]}
        session[LAST_ANSWER] = {**answer, "kind": _kind(answer), "sent": sent, "code": answer["code"] or sent["ref"]}
    return redirect(url_for("scanning.scan", **job.fields), 303)


def _obeyed(text: str) -> ResponseReturnValue:
    """Do what the scanned bar of the scan sheet says. A page with script knows its bars itself and sends none."""
    job = job_in(request.form)
    try:
        command = command_scanned(text)
        if command is None or wants_json():
            raise Unknown(ELSEWHERE, Message("load-again", _("Reload this page, then scan it again.")))
        match command.does:
            case Does.STEP if command.job is not None:
                return redirect(url_for("scanning.scan", **replace(command.job, place=job.place).fields), 303)
            case Does.SHELF:
                return redirect(url_for("scanning.scan", **replace(job, place=command.value).fields), 303)
            case Does.KILN:
                return redirect(url_for("finding.find", q=command.text), 303)
            case Does.UNDO:
                receipt = undoing.undo(house().store, asking(), _last_line(job))
                answer = receipt_json(receipt, word=said(_UNDONE), piece_url=address_of(receipt.ref), undo_url=None)
            case _:
                raise Unknown(ELSEWHERE, ELSEWHERE_REMEDY)
    except Refusal as refusal:
        answer = {**refusal_json(refusal), "code": text[:LONGEST_CODE]}
        if wants_json():
            return jsonify(answer), status_of(refusal)
        session[LAST_ANSWER] = {**answer, "kind": "stop"}
    return redirect(url_for("scanning.scan", **job.fields), 303)


def _last_line(job: Job) -> int:
    """The newest step that this person can still take back, where it was taken for this job; a refusal where not."""
    moves = house().store.read.pieces.moves_by(g.person.id, since=house().clock() - RECENT, limit=LINES_SHOWN)
    last = next((one for one in moves if one.undoes is None and one.is_last and _can_undo(one.line)), None)
    if last is None:
        raise NotAStep(_NOTHING_LEFT)
    if _job_of(last) != _job_key(job.step, job.route):
        raise NotAStep(_OF_ANOTHER_STEP, _ITS_OWN_BUTTON)
    return last.line


def _job_of(moved: MoveRow) -> str:
    return _job_key(moved.step, moved.route)


def _job_key(step: str, route: str | None) -> str:
    """What tells one step of this page from another; scan.js puts the same together."""
    return f"{step} {route or ''}".strip() if step == StepName.QUEUE else step


_NOTHING_LEFT = Message("nothing-left-to-undo", _("There's nothing left to undo here."))
_OF_ANOTHER_STEP = Message(
    "of-another-step", _("No scan for this step is left to undo. Your last scan was for another step.")
)
_ITS_OWN_BUTTON = Message("its-own-undo", _("To undo it, tap Undo on its line."))


@pages.post("/scan/undo/<int:line>")
@allows(Right.MOVE)
def undo(line: int) -> ResponseReturnValue:
    """Take back one's own last step on a piece."""
    try:
        receipt = undoing.undo(house().store, asking(), line)
        answer, status = (
            receipt_json(receipt, word=said(_UNDONE), piece_url=address_of(receipt.ref), undo_url=None),
            200,
        )
    except Refusal as refusal:
        answer, status = refusal_json(refusal), status_of(refusal)
    if wants_json():
        return jsonify(answer), status
    if not answer["ok"]:
        session[LAST_ANSWER] = {**answer, "kind": "stop", "code": said(Message("undo", _("Undo")))}
    return redirect(url_for("scanning.scan", **job_in(request.args).fields), 303)


@pages.post("/scan/found/<code>")
@allows(Right.MOVE)
def found(code: str) -> ResponseReturnValue:
    """Note that a lost piece that was just scanned is here, on the shelf that is being filled."""
    job = job_in(request.args)
    try:
        receipt = found_again.find(house().store, asking(), code, place=job.place)
        goes = undoing.can_undo_done(house().store.read, receipt, g.person, house().clock())
        undo_url = url_for("scanning.undo", line=receipt.line, **job.fields) if goes else None
        answer = receipt_json(receipt, word=said(_WORDS[StepName.FIND]), piece_url=address_of(code), undo_url=undo_url)
        status = 200
    except Refusal as refusal:
        answer, status = refusal_json(refusal), status_of(refusal)
    if wants_json():
        return jsonify(answer), status
    session[LAST_ANSWER] = {**answer, "kind": _kind(answer), "code": code[:LONGEST_CODE]}
    return redirect(url_for("scanning.scan", **job.fields), 303)


def _label_in(text: str) -> Labelled | None:
    """The label, badge or card of the studio's own in a scanned text."""
    badge = read_badge(text) or read_card(text)
    return Labelled(Sort.BADGE, badge) if badge else read_bar(text)


def _shelf_typed() -> Labelled | None:
    """The shelf whose name was typed in place of a code while pieces are shelved; None where there is no such one."""
    text = " ".join(request.form.get("ref", "").split())
    if request.form.get("step") != StepName.SHELVE or not text or ref_in(text):
        return None
    names = (one for one in ware_shelves.known_shelves(house().store.read) if one.casefold() == text.casefold())
    return next((Labelled(Sort.SHELF, name) for name in names), None)


def _label_scanned(labelled: Labelled) -> tuple[Answer, int]:
    """What the bar of a label of the studio's own means on this page."""
    if labelled.sort is Sort.SHELF:
        return _shelf_scanned(labelled.name)
    word = said(Message("no-piece", _("Not a piece")))
    if (maker := maker_on(house().store, labelled.name)) is not None:
        says = said(Message("a-maker-card", _("That's the maker card of {name}."), name=maker.name))
        there = url_for("makers.maker", number=maker.id)
        return {**_LABEL, "ok": False, "word": word, "says": says, "code": maker.name, "piece_url": there}, 422
    says, mend = map(said, _NO_PIECE[labelled.sort])
    return {**_LABEL, "ok": False, "word": word, "says": says, "mend": mend, "code": labelled.name}, 422


def _shelf_scanned(name: str) -> tuple[Answer, int]:
    """A shelf's label says where all that follows goes; one that no shelf here has is asked about.

    So is one that may be another's label, typed by a scanner on a keyboard of another layout.
    """
    ref, job = request.form.get("ref", "")[:LONGEST_CODE], job_in(request.form)
    others = shelves_by_keys(ref)
    try:
        if request.form.get("new_shelf"):
            ware_shelves.add_shelf(house().store, asking(), name)
        place = ware_shelves.shelf_meant(house().store.read, name)
        others = [one for one in others if one != place]
        if others:
            words = _("This is the label of {place}. If your scanner isn't set up, it could be {others}.")
            asked = Message("which-shelf", words, place=place, others=Either(tuple(others)))
            others.append(place)
            raise Unknown(asked, Message("choose-the-shelf", _("Choose the shelf. Then set up the scanner.")))
    except Refusal as refusal:
        ways = [that_shelf(one, job) for one in others]
        if isinstance(refusal, UnknownShelf):
            ways.append(new_shelf(ref, refusal.name, job))
        return {**refusal_json(refusal), "code": name, "ways": ways}, status_of(refusal)
    says = said(Message("put-at", _("Everything you scan now goes on {place}."), place=place))
    word = said(Message("shelf-scanned", _("Shelf")))
    return {**_LABEL, "ok": True, "word": word, "says": says, "code": place, "place": place}, 200


_LABEL: Answer = {"mend": "", "piece_url": None, "undo_url": None, "needs": None}
_NO_PIECE = {
    Sort.BUCKET: (
        Message("a-bucket", _("That's a glaze bucket's barcode.")),
        Message("a-bucket-remedy", _("Scan the bucket on a piece's glazing page.")),
    ),
    Sort.BADGE: (
        Message("a-badge", _("That's a staff badge. Badges sign in on shared tablets only.")),
        Message("a-badge-remedy", _("Steps are recorded under the person who is signed in.")),
    ),
}


# ---- one scan --------------------------------------------------------------------------------------------------


def _moved(job: Job) -> tuple[Answer, int]:
    """Take the step the form asks for; the answer in the words of the scan line, and its status."""
    moved, here = None, house()
    try:
        moved = read_form(_FORM, request.form)
        if layout_here() is not None:
            moved = replace(moved, ref=scanned(moved.ref), place=scanned(moved.place))
        receipt = take(moved, moved.ref)
        if mended := request.form.get(MENDS):
            deal_with(here.store, asking(), mended)
    except NotAStep as refusal:
        piece = find_row(here.store.read, moved.ref, g.person).piece if moved else None
        named_now = refusal if piece is None else with_open_ways(here.store.read, refusal, piece, here.clock())
        return refused(moved, named_now, job if job.step else job_in(request.form))
    except Refusal as refusal:
        return refused(moved, refusal, job if job.step else job_in(request.form))
    # Put together here, for every scan waits while `url_for` looks through the map of all addresses.
    query = f"?{urlencode(job.fields)}" if job.fields else ""
    goes = undoing.can_undo_done(here.store.read, receipt, g.person, here.clock())
    undo_url = f"{request.script_root}/scan/undo/{receipt.line}{query}" if goes else None
    piece_url = address_of(receipt.ref)
    looks = "looks" in receipt.extra
    word = said(_LOOK if looks else _WORDS[moved.step])
    return {**receipt_json(receipt, word=word, piece_url=piece_url, undo_url=undo_url), "looks": looks}, 200


# ---- what the page shows ---------------------------------------------------------------------------------------


def _shown(groups: Groups, known: Catalog) -> list[dict[str, Any]]:
    return [
        {
            "title": title,
            "jobs": [
                {
                    "href": url_for("scanning.scan", **job.fields),
                    "title": job.label(known),
                    "note": job.note(known),
                }
                for job in jobs
            ],
        }
        for title, jobs in groups
    ]


def _line_shown(moved: MoveRow, job: Job) -> Answer:
    is_undo = moved.undoes is not None
    goes = moved.is_last and not is_undo and _can_undo(moved.line)
    undo_url = url_for("scanning.undo", line=moved.line, **job.fields) if goes else None
    return {
        "kind": "undone" if is_undo else "good",
        "word": said(_UNDONE if is_undo else _WORDS.get(moved.step, _DONE)),
        "says": said(_message_of(moved)),
        "mend": "",
        "code": moved.ref,
        "piece_url": address_of(moved.ref),
        "undo_url": undo_url,
        "job": _job_of(moved),
        "needs": None,
    }


def _message_of(moved: MoveRow) -> Message:
    """What a step was: in words of its own, which “Undo” beside it takes back, where its receipt is of a firing."""
    if moved.step is not StepName.SHELVE or moved.message.code != "unloaded":
        return moved.message
    return Message(
        "shelved-at-unloading", _("Put on its shelf out of firing {firing}."), firing=moved.message["firing"]
    )


def _can_undo(line: int) -> bool:
    """Whether the button that undoes this step is shown."""
    return undoing.can_undo(house().store.read, line, g.person, house().clock())


def _kind(answer: Answer) -> str:
    if answer["needs"] or answer.get("looks"):
        return "needs"
    if answer["ok"] and not answer.get("again"):
        return "good"
    return "again" if answer.get("again") else "stop"
