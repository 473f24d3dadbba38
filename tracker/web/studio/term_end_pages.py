"""The end of a term: what is left of it, what becomes of that, sections archived together, and old data removed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.losses import Loss, cause_of
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import Refusal, Unusable
from tracker.domain.studio.people import Right
from tracker.forms.plain_values import Wrong, read_text
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.pieces import disposing, undoing
from tracker.usecases.studio import term_ends
from tracker.usecases.studio.term_ends import TermEnd
from tracker.web.auth import allows, asking, house
from tracker.web.lists import Order, listed
from tracker.web.piece_presenters import address_of
from tracker.web.plain_input import whole
from tracker.web.presenters import today, told
from tracker.web.wording import said, said_refusal

pages = Blueprint("term_ends", __name__)

_NEVER_WAS = frozenset({Loss.CANCELED, Loss.TWICE})
_NO_SHELF = Message("no-shelf", _("No shelf on record"))
_IN_A_KILN = Message("in-a-kiln", _("In a kiln"))


@dataclass(frozen=True, slots=True)
class Heap:
    """What is left at one shelf or of one maker."""

    name: str
    number: int | None
    rows: tuple[PieceRow, ...]
    ready: int

    @property
    def all(self) -> str:
        """What the tick for all of them sends: each piece with its version, as its own tick does."""
        return " ".join(f"{row.ref}.{row.piece.version}" for row in self.rows)


_ORDERS: dict[str, Order[Heap]] = {
    "name": Order(Message("by-name", _("name")), lambda heap: heap.name.casefold()),
    "most": Order(Message("most-first", _("most pieces")), lambda heap: len(heap.rows), falling=True),
}


@pages.get("/terms/<int:number>/end")
@allows(Right.PEOPLE)
def end(number: int) -> ResponseReturnValue:
    """What is left of a term, by maker or (?by=shelf) by shelf; ?undo= lines of history, ?back= people to take back."""
    left = term_ends.end_of(house().store.read, number)
    by_shelf = request.args.get("by") == "shelf"
    heaps = _heaps([*left.unclaimed, *left.in_work], by_shelf=by_shelf)
    shown = listed(heaps, told=_told_of, orders=_ORDERS)
    known = house().store.read.catalog()
    return render_template(
        "studio/term_end.html",
        left=left,
        by_shelf=by_shelf,
        shown=shown,
        warned_of={row.ref for heap in shown.rows for row in heap.rows if disposing.is_warned_of(row.piece, known)},
        lost=_lost(left),
        undo=request.args.getlist("undo", type=int),
        back=request.args.getlist("back", type=int),
        is_running=left.term.runs_on(today()),
        here=request.full_path,
        ways=Disposal,
    )


def _heaps(rows: Iterable[PieceRow], *, by_shelf: bool) -> list[Heap]:
    found: dict[tuple[str, int | None], list[PieceRow]] = {}
    for row in rows:
        key = (_shelf(row), None) if by_shelf else (row.maker_name, row.piece.maker_id)
        found.setdefault(key, []).append(row)
    return [
        Heap(name, number, tuple(some), sum(row.piece.stage is Stage.FIRED for row in some))
        for (name, number), some in found.items()
    ]


def _shelf(row: PieceRow) -> str:
    return said(_IN_A_KILN) if row.firing_id is not None else row.piece.place or said(_NO_SHELF)


def _told_of(heap: Heap) -> str:
    return " ".join([heap.name, *(f"{row.ref} {row.piece.what} {row.maker_name}" for row in heap.rows)])


def _lost(left: TermEnd) -> list[dict[str, Any]]:
    causes = house().store.read.shelves.causes([row.piece.id for row in left.lost])
    told_as = [(row, cause_of(causes[row.piece.id].cause) or Stage.LOST) for row in left.lost]
    return [
        {"row": row, "cause": cause, "href": address_of(row.ref)} for row, cause in told_as if cause not in _NEVER_WAS
    ]


@pages.post("/terms/<int:number>/pieces")
@allows(Right.PEOPLE)
def dispose(number: int) -> ResponseReturnValue:
    """Donate, keep or discard what was ticked."""
    by = request.form.get("by", "")
    try:
        how, to = _how(), read_text(" ".join(request.form.get("to", "").split()))
        receipt = disposing.dispose(house().store, asking(), how, _ticked(), to=to)
    except Wrong as wrong:
        flash(said_refusal(Unusable([wrong.message])), "stop")
        return redirect(url_for("term_ends.end", number=number, by=by or None), 303)
    except Refusal as refusal:
        flash(said_refusal(refusal), "stop")
        return redirect(url_for("term_ends.end", number=number, by=by or None), 303)
    flash(said(receipt.message), "good")
    lines = str(receipt.extra["lines"]).split()
    return redirect(url_for("term_ends.end", number=number, by=by or None, undo=lines), 303)


def _how() -> Disposal:
    text = request.form.get("how", "")
    if text not in set(Disposal):
        raise Unusable([Message("no-disposal", _("Choose what becomes of the pieces."))])
    return Disposal(text)


def _ticked() -> list[disposing.Ticked]:
    """The pieces that were ticked, alone or all of a maker's or shelf's, each with the version that the page showed."""
    together = " ".join(request.form.getlist("all")).split()
    ticks = dict.fromkeys([*request.form.getlist("piece"), *together])
    pairs = [text.partition(".") for text in ticks]
    return [(ref, whole({"seen": seen}, "seen", 0)) for ref, _dot, seen in pairs]


@pages.post("/terms/<int:number>/undo")
@allows(Right.PEOPLE)
def undo(number: int) -> ResponseReturnValue:
    """Take back what was decided for many pieces at once, or for the people of a section."""
    lines, people = request.form.getlist("line", type=int), request.form.getlist("person", type=int)
    there = url_for("term_ends.end", number=number, by=request.form.get("by") or None)
    if people:
        return told(lambda: term_ends.let_in_together(house().store, asking(), number, people), lambda _receipt: there)
    return told(lambda: undoing.undo_each(house().store, asking(), lines), lambda _receipt: there)


@pages.post("/terms/<int:number>/end")
@allows(Right.PEOPLE)
def close(number: int) -> ResponseReturnValue:
    """Put on record that a term ended."""
    there = url_for("term_ends.end", number=number)
    return told(lambda: term_ends.end_term(house().store, asking(), number), lambda _receipt: there)


@pages.post("/terms/<int:number>/reopen")
@allows(Right.PEOPLE)
def reopen(number: int) -> ResponseReturnValue:
    """Take it back that a term ended."""
    there = url_for("term_ends.end", number=number)
    return told(lambda: term_ends.reopen_term(house().store, asking(), number), lambda _receipt: there)


@pages.post("/terms/<int:number>/archive")
@allows(Right.PEOPLE)
def archive(number: int) -> ResponseReturnValue:
    """Note that everybody of a section left."""
    section = whole(request.form, "section", 0)

    def there(receipt: Receipt | None) -> str:
        people = str(receipt.extra["people"]).split() if receipt else []
        return url_for("term_ends.end", number=number, back=people)

    return told(lambda: term_ends.archive_section(house().store, asking(), number, section), there)


@pages.get("/terms/data")
@allows(Right.PEOPLE)
def data() -> ResponseReturnValue:
    """Whose data the studio's rule offers for removal, and what keeps the others."""
    read = house().store.read
    return render_template(
        "studio/term_data.html",
        offered=term_ends.removable(read, today()),
        months=read.catalog().practice.terms.remove_after_months,
    )


@pages.post("/terms/data")
@allows(Right.PEOPLE)
def remove() -> ResponseReturnValue:
    """Remove the data of those who were shown."""
    seen, there = request.form.getlist("person", type=int), url_for("term_ends.data")
    return told(lambda: term_ends.remove_data(house().store, asking(), seen), lambda _receipt: there)
