"""One maker, for staff: what is ready, what is under way, what is asked, what was taken home, and a note."""

from __future__ import annotations

from collections.abc import Iterable

from flask import Blueprint, g, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.refusals import Unusable
from tracker.domain.studio.people import Right
from tracker.forms.plain_values import Wrong, text_of
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.pieces.outlooks import outlooks_of
from tracker.usecases.studio import membership
from tracker.web.auth import allows, asking, house
from tracker.web.piece_presenters import row_for_list
from tracker.web.plain_input import whole
from tracker.web.presenters import Plain, catalog, question_shown, told
from tracker.web.wording import ago

pages = Blueprint("makers", __name__)

LONGEST_NOTE = 400
_FINISHED = 25
_FURTHEST = 100_000


@pages.get("/makers/<int:number>")
@allows(Right.SEE_ALL)
def maker(number: int) -> ResponseReturnValue:
    """Everything of one maker's; ?from= goes on among the finished pieces."""
    read = house().store.read
    someone = membership.person_known(read, number)
    skip = whole(request.args, "from", 0, most=_FURTHEST) // _FINISHED * _FINISHED
    finished = read.pieces.finished_of(someone.id, skip=skip, limit=_FINISHED + 1)
    ready = [row for row in read.pieces.ready_for_pickup(someone.id) if not row.piece.is_to_bag]
    is_ready = {row.piece.id for row in ready}
    return render_template(
        "pieces/maker.html",
        who=someone,
        term=read.terms.of_person(someone.id),
        note=read.people.note_about(someone.id),
        ready=_listed(ready),
        under_way=_listed(row for row in read.pieces.of(someone.id) if row.piece.id not in is_ready),
        asked=[question_shown(one, catalog()) for one in read.questions.open_of(someone.id)],
        finished=_listed(finished[:_FINISHED]),
        skip=skip,
        back_href=_there(number, skip - _FINISHED) if skip else "",
        on_href=_there(number, skip + _FINISHED) if len(finished) > _FINISHED else "",
        most=LONGEST_NOTE,
    )


@pages.post("/makers/<int:number>/note")
@allows(Right.MOVE)
def note(number: int) -> ResponseReturnValue:
    """Keep a note for staff about a maker."""
    return told(
        lambda: membership.note_about(house().store, asking(), number, _note_sent()),
        lambda _receipt: url_for("makers.maker", number=number),
    )


@pages.post("/makers/<int:number>/card")
@allows(Right.MOVE)
def replace_card(number: int) -> ResponseReturnValue:
    """Let a lost maker card stop working, in favor of a new one."""
    there = url_for("makers.maker", number=number)
    return told(lambda: membership.replace_card(house().store, asking(), number), lambda _receipt: there)


def _note_sent() -> str:
    try:
        return text_of(LONGEST_NOTE)(" ".join(request.form.get("note", "").split()))
    except Wrong as wrong:
        raise Unusable([wrong.message]) from None


def _there(number: int, first: int) -> str:
    return f"{url_for('makers.maker', number=number)}?from={first}#finished"


def _listed(rows: Iterable[PieceRow]) -> list[Plain]:
    rows = tuple(rows)
    outlooks = outlooks_of(house().store.read, rows, house().clock())
    return [row_for_list(row, outlooks[row.piece.id], g.person, ago(row.since)) for row in rows]
