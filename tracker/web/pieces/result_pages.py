"""The result of a firing corrected: one form for one piece, reached from the piece and from the firing."""

from __future__ import annotations

from collections.abc import Mapping

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.refusals import NotAllowed, Refusal, Unknown
from tracker.domain.studio.people import Right
from tracker.forms.firing.outcome_forms import LONGEST_NOTE, ResultForm
from tracker.forms.page_forms import BadForm, read_form
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.firing.results import correct_result
from tracker.usecases.pieces.lookup import find_row
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.piece_presenters import address_of
from tracker.web.plain_input import whole
from tracker.web.presenters import flaw_groups
from tracker.web.wording import said

pages = Blueprint("results", __name__)


@pages.get("/p/<code>/result")
@allows(Right.FIRE)
def result(code: str) -> ResponseReturnValue:
    """Ask what really came of a piece in a firing: the one in the address, else its last."""
    row = find_row(house().store.read, code, g.person)
    firing, was = _result_of(row, whole(request.args, "firing", 0))
    typed = {
        "broke": "yes" if was.broke else "no",
        "clay_note": was.clay_note,
        "glaze_note": was.glaze_note,
        **({"outside": "yes"} if was.outside_only else {}),
    }
    return _page(row, firing, was, frozenset(map(str, was.flaws)), typed)


@pages.post("/p/<code>/result")
@allows(Right.FIRE)
def correct(code: str) -> ResponseReturnValue:
    """Correct a result, or say why not and change nothing."""
    row = find_row(house().store.read, code, g.person)
    firing, was = _result_of(row, whole(request.form, "firing", 0))
    try:
        sent = read_form(ResultForm(), request.form)
        receipt = correct_result(house().store, asking(), firing, row.ref, sent.outcome, seen=sent.seen)
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        now, ticked = find_row(house().store.read, row.ref, g.person), frozenset(request.form.getlist("flaw"))
        return _page(now, firing, was, ticked, request.form.to_dict(), refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(address_of(receipt.ref), 303)


def _result_of(row: PieceRow, asked: int) -> tuple[int, Outcome]:
    """The number of the firing that is asked about, or of the piece's last one, and what came of the piece there."""
    read = house().store.read.firings
    firing = asked or read.last_result(row.piece.id) or 0
    came = read.result(firing, row.piece.id)
    if came is None:
        raise Unknown(
            Message("nothing-came-of-it", _("{piece} has no result to correct."), piece=row.ref),
            Message("look-at-its-page", _("Check the piece's page.")),
        )
    return firing, came


def _page(
    row: PieceRow,
    firing: int,
    was: Outcome,
    ticked: frozenset[str],
    typed: Mapping[str, str],
    refusal: Refusal | None = None,
) -> str:
    return render_template(
        "pieces/result.html",
        row=row,
        firing=firing,
        was=was.message,
        here=url_for("results.correct", code=row.ref),
        back=address_of(row.ref),
        groups=flaw_groups(),
        ticked=ticked,
        typed=typed,
        longest_note=LONGEST_NOTE,
        refusal=None if isinstance(refusal, BadForm) else refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
    )
