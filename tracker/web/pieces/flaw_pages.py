"""Flaws and notes that come after unloading: one form, reached from the page of a fired piece."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.pieces.outcomes import came_out, in_order
from tracker.domain.pieces.piece import STEPS, StepName
from tracker.domain.refusals import NotAllowed, Refusal, Unknown
from tracker.domain.studio.people import Right
from tracker.forms.firing.outcome_forms import LONGEST_NOTE, LaterFlawsForm
from tracker.forms.page_forms import BadForm, read_form
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.pieces.flaws_on_record import OnRecord, flaws_of
from tracker.usecases.pieces.later_flaws import note_flaws
from tracker.usecases.pieces.lookup import find_row
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.piece_presenters import address_of
from tracker.web.presenters import flaw_groups
from tracker.web.wording import said

_ON_RECORD = _("On record: {flaws}. Only staff can take a flaw off the record.")

OUTSIDE = _("Outside or foot: {flaws}.")
"""Which flaws show only there."""

pages = Blueprint("flaws", __name__)


@pages.get("/p/<code>/flaws")
@allows(Right.WORK_ON)
def flaws(code: str) -> ResponseReturnValue:
    """Ask which flaws a fired piece has now."""
    row = find_row(house().store.read, code, g.person)
    told = _on_record(row)
    return _page(row, told.all, {"outside": "yes"} if told.is_outside else {})


@pages.post("/p/<code>/flaws")
@allows(Right.WORK_ON)
def note(code: str) -> ResponseReturnValue:
    """Put the flaws on record, or say why not and change nothing."""
    row = find_row(house().store.read, code, g.person)
    try:
        found = read_form(LaterFlawsForm(), request.form)
        receipt = note_flaws(
            house().store,
            asking(),
            row.ref,
            # What a maker can't take off the record has no box to tick.
            found.flaw if g.person.may(Right.MOVE) else found.flaw | set(row.piece.flaws),
            outside_only=found.outside,
            clay_note=found.clay_note,
            glaze_note=found.glaze_note,
            seen=found.seen,
        )
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        now = find_row(house().store.read, row.ref, g.person)
        return _page(now, request.form.getlist("flaw"), request.form.to_dict(), refusal), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(address_of(receipt.ref), 303)


def _on_record(row: PieceRow) -> OnRecord:
    return flaws_of(house().store.read.pieces.page(row.piece.id).history, row.piece)


def _page(row: PieceRow, ticked: Collection[str], typed: Mapping[str, str], refusal: Refusal | None = None) -> str:
    told, may_untick = _on_record(row), g.person.may(Right.MOVE)
    groups = [
        (title, [one for one in some if may_untick or one[0] not in told.counting]) for title, some in flaw_groups()
    ]
    is_both = bool(told.outside) and not told.is_outside
    return render_template(
        "pieces/flaws.html",
        row=row,
        here=url_for("flaws.note", code=row.ref),
        back=address_of(row.ref),
        can=row.piece.stage in STEPS[StepName.NOTE_FLAWS].start,
        groups=groups,
        on_record=None if may_untick or not told.counting else Message("on-record", _ON_RECORD, flaws=row.piece.flaws),
        outside=Message("flaws-outside", OUTSIDE, flaws=came_out(in_order(told.outside))) if is_both else None,
        ticked=frozenset(map(str, ticked)),
        typed=typed,
        longest_note=LONGEST_NOTE,
        refusal=None if isinstance(refusal, BadForm) else refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
    )
