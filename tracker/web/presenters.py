"""Pieces, findings and answers as the templates want them: plain texts and addresses."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from zoneinfo import ZoneInfo

from flask import flash, redirect, request
from werkzeug.wrappers import Response

from tracker.domain.findings import Finding
from tracker.domain.labels.stock import Paper
from tracker.domain.message import Message, _
from tracker.domain.outdoor.pull_heats import with_heat
from tracker.domain.pieces.codes import read, read_slip, slip_text
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.layers_told import layers_told
from tracker.domain.pieces.outcomes import CLAY_FLAWS, FIRING_FLAWS, GLAZE_FLAWS, Flaw
from tracker.domain.pieces.piece import STEPS, Piece, StepName
from tracker.domain.refusals import Refusal, Unknown
from tracker.domain.rules.engine import judge_in
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.cone_bands import AsksCone
from tracker.store.pieces.queries import PieceRow
from tracker.store.rules.queries import QuestionRow
from tracker.usecases.pieces.revalidate import is_note_to_decide
from tracker.web.auth import house
from tracker.web.piece_presenters import address_of
from tracker.web.wording import reader, said, said_refusal

Plain = dict[str, object]


def ref_in(text: str) -> str:
    """What a scanned or typed text calls a piece, or an empty text where it calls none."""
    if (slip := read_slip(text)) is not None:
        return slip_text(slip)
    return read(text).code or ""


def ticket_in(text: str) -> str:
    """The ticket whose number was typed without its letter, as "420" for W420; empty where it isn't a number."""
    bare = text.strip()
    return ref_in(f"W{bare}") if bare.isdecimal() else ""


def glazes_of(piece: Piece) -> Message:
    """The layers of a piece zone by zone, the top one first; of a bare piece whether it is burnished."""
    return layers_told(piece.layers) or (_BURNISHED if piece.burnished else _NO_GLAZE)


_NO_GLAZE, _BURNISHED = Message("no-layers", _("none")), Message("no-layers-burnished", _("none, burnished"))


def mates_to_pick(maker_id: int, *, but: int | None = None) -> list[tuple[str, str]]:
    """A maker's pieces that another may fire together with, as choices: what each is called by, and what it is."""
    may_be = STEPS[StepName.SET_RIGHT].start
    return [
        (
            row.ref,
            said(
                Message(
                    "mate-to-pick",
                    _MATE[bool(row.piece.set_name)],
                    ref=row.ref,
                    what=row.piece.what,
                    set=row.piece.set_name,
                )
            ),
        )
        for row in house().store.read.pieces.of(maker_id)
        if row.piece.stage in may_be and row.firing_id is None and row.piece.id != but
    ]


_MATE = {True: _("{ref}, {what} (set “{set}”)"), False: _("{ref}, {what}")}


def accepted_of(row: PieceRow, catalog: Catalog) -> list[Finding]:
    """The warnings somebody accepted by name when this piece was queued, each with its sentence."""
    route = catalog.routes.get(row.piece.route or "")
    if route is None or not row.accepted:
        return []
    found = judge_in(catalog, row.piece, route).findings
    return [one for one in found if one.rule in row.accepted]


def waiting_shown(row: PieceRow, catalog: Catalog) -> Plain:
    """A piece in a queue as one row of a table."""
    route = catalog.routes.get(row.piece.route or "")
    return {
        "ref": row.ref,
        "href": address_of(row.ref),
        "what": row.piece.what,
        "clay": row.piece.clay.name,
        "maker": row.maker,
        "glaze": glazes_of(row.piece),
        "is_bare": not row.piece.layers,
        "route": route.title if route else "",
        "since": row.waiting_since or row.since,
        "accepted": accepted_of(row, catalog),
        "asked": row.question_open,
        "firing": row.firing_id,
        "place": row.piece.shelf,
        "version": row.piece.version,
    }


def all_waiting_shown(rows: Iterable[PieceRow], catalog: Catalog) -> list[Plain]:
    """Pieces in queues as rows of a table, in their order."""
    return [waiting_shown(row, catalog) for row in rows]


def question_shown(question: QuestionRow, catalog: Catalog) -> Plain:
    """An open question with the piece it is about."""
    route = catalog.routes.get(question.route or "")
    return {
        "id": question.id,
        "ref": question.ref,
        "href": address_of(question.ref),
        "what": question.what,
        "maker": question.maker_name,
        "route": with_heat(route, catalog.practice.outdoors) if route else "",
        "text": question.text,
        "findings": question.findings,
        "asked_by": question.asked_by,
        "asked_at": question.asked_at,
        "is_note": is_note_to_decide(question),
    }


def told(do: Callable[[], Receipt], there: Callable[[Receipt | None], str]) -> Response:
    """Do one thing, say on the next page what came of it or why not, and go `there` (given the receipt, or None)."""
    try:
        receipt = do()
    except AsksCone:
        # Asked on the form that was sent.
        raise
    except Refusal as refusal:
        flash(said_refusal(refusal), "stop")
        return redirect(there(None), 303)
    flash(said(receipt.message), "good")
    return redirect(there(receipt), 303)


def paper_asked() -> Paper:
    """The paper that the address names, or else the reader's own; `Unknown` for any other."""
    asked = request.args.get("paper")
    if asked is None:
        return reader().paper
    if asked not in set(Paper):
        raise Unknown(
            Message("no-such-paper", _("Footring doesn't print on that paper.")),
            Message("choose-a-paper", _("Choose A4 or US Letter.")),
        )
    return Paper(asked)


def today() -> date:
    """The day in the studio's own zone."""
    return house().clock().astimezone(ZoneInfo(house().store.read.studio().timezone)).date()


def catalog() -> Catalog:
    """The studio's catalog."""
    return house().store.read.catalog()


def route_title(name: str, known: Catalog) -> str:
    """What a firing type is called; its name where there is none anymore."""
    route = known.routes.get(name)
    return route.title if route else name


def flaw_groups() -> list[tuple[Message, list[tuple[str, Message]]]]:
    """Every flaw by its value and its words, under what it is a fault of."""
    return [(title, [(flaw.value, _flaw_word(flaw)) for flaw in flaws]) for title, flaws in _FLAWS]


def _flaw_word(flaw: Flaw) -> Message:
    return _FLAW_WORDS.get(flaw) or Message("flaw", "{flaw}", flaw=flaw)


_FLAW_WORDS = {
    Flaw.STUCK: Message("flaw-stuck", _("stuck to the shelf")),
    Flaw.RAN: Message("flaw-ran", _("the glaze ran")),
}
_FLAWS = (
    (Message("clay-faults", _("Clay faults")), CLAY_FLAWS),
    (Message("glaze-faults", _("Glaze faults")), GLAZE_FLAWS),
    (Message("firing-faults", _("Firing faults")), FIRING_FLAWS),
)
