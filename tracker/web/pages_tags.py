"""Printing tags: which labels, where on a used sheet to begin, how far to nudge; the answer is a PDF."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask import Blueprint, Response, g, render_template, request, session

from printing.stock import FARTHEST_NUDGE, stock_named
from printing.tags import stocks_for_tags
from tracker.domain.firings import Outcome
from tracker.domain.people import Right
from tracker.domain.refusals import NotAllowed, Refusal, Unknown, Unusable
from tracker.forms.pages import BadForm, TagOptionsForm, read_form
from tracker.usecases import tags
from tracker.usecases.finding import find_firing_page, find_row
from tracker.web.answers import status_of
from tracker.web.doors import allows, asking, house
from tracker.web.telling import address_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from flask.typing import ResponseReturnValue

    from printing.stock import Stock
    from tracker.forms.pages import TagOptions
    from tracker.store.reading import PieceRow
    from tracker.usecases.tags import Printed

pages = Blueprint("tags", __name__)

_LABELS = "labels"
_DOTS = (("", "office printer, or not known"), ("203", "203 dpi"), ("300", "300 dpi"), ("600", "600 dpi"))


@pages.get("/tags")
@allows(Right.SEE_OWN)
def choose() -> ResponseReturnValue:
    """Ask on which labels to print the tags of these pieces, or of a whole firing."""
    return _page(_pieces_asked_for())


@pages.post("/tags/print")
@allows(Right.SEE_OWN)
def print() -> ResponseReturnValue:  # noqa: A001 -- the menu of addresses calls it so, and nothing here writes to a terminal
    """The tags as a PDF that the browser shows; the next free label is remembered for the next time."""
    try:
        options = read_form(TagOptionsForm(), request.form)
        stock = _stock(options.stock)
        printed = _printed(options, stock)
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        rows = [find_row(house().store.read, ref, g.person) for ref in request.form.getlist("refs")]
        return _page(rows, refusal), status_of(refusal)
    next_label = (options.start_at - 1 + len(options.refs)) % stock.per_page + 1
    session[_LABELS] = {
        "stock": stock.name,
        "start_at": next_label,
        "nudge_x": options.nudge_x,
        "nudge_y": options.nudge_y,
        "dpi": options.dpi or "",
    }
    name = options.refs[0] if len(options.refs) == 1 else f"{len(options.refs)}-tags"
    answer = Response(printed.pdf, mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer


def _printed(options: TagOptions, stock: Stock) -> Printed:
    if options.start_at > stock.per_page:
        raise BadForm({"start_at": f"This sheet has {stock.per_page} labels."})
    sheet = tags.Sheet(
        stock=stock,
        start_at=options.start_at,
        nudge_mm=(options.nudge_x, options.nudge_y),
        dpi=options.dpi,
    )
    return tags.print_tags(house().store, asking(), options.refs, sheet)


def _stock(name: str) -> Stock:
    try:
        return stock_named(name)
    except ValueError:
        raise BadForm({"stock": "Choose one of the labels in the list."}) from None


def _pieces_asked_for() -> Sequence[PieceRow]:
    """The pieces that the address names, one by one or by the firing they were in."""
    reader = house().store.read
    if number := request.args.get("firing", type=int):
        g.person.must_be_allowed(Right.FIRE)
        page = find_firing_page(reader, number)
        # What broke in the fire needs no tag: after a bisque it has not even a code.
        return [row for row in page.in_shelf_order if row.outcome is not Outcome.BROKE]
    rows = [find_row(reader, ref, g.person) for ref in dict.fromkeys(request.args.getlist("ref"))]
    if not rows:
        raise Unusable(["No piece is chosen."], "Open a piece and print its tag from there.")
    return rows


def _page(rows: Sequence[PieceRow], refusal: Refusal | None = None) -> str:
    stocks = stocks_for_tags()
    kept = _kept()
    wanted = request.args.get("stock") or kept["stock"]
    stock = next((one for one in stocks if one.name == wanted), stocks[0])
    start_at = int(kept["start_at"]) if stock.name == kept["stock"] else 1
    return render_template(
        "tags.html",
        rows=rows,
        back=address_of(rows[0].ref) if len(rows) == 1 else "",
        printed_before=house().store.read.piece_page(rows[0].piece.id).times_printed if len(rows) == 1 else 0,
        stocks=[(one.name, one.name) for one in stocks],
        stock=stock,
        start_at=min(start_at, stock.per_page),
        nudges=_nudges(),
        dots=_DOTS,
        kept=kept,
        asked=[(name, value) for name, value in request.args.items(multi=True) if name != "stock"],
        refusal=None if isinstance(refusal, BadForm) else refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
    )


def _kept() -> dict[str, Any]:
    """What was chosen now or the last time, for the fields of the form."""
    plain: dict[str, Any] = {"stock": "", "start_at": 1, "nudge_x": 0.0, "nudge_y": 0.0, "dpi": ""}
    if not request.form:
        return plain | dict(session.get(_LABELS, {}))
    sent = {name: request.form.get(name, usual) for name, usual in plain.items()}
    return sent | {"start_at": max(1, request.form.get("start_at", 1, type=int))}


def _nudges() -> list[tuple[str, str]]:
    """Half millimetres from one farthest nudge to the other, as choices."""
    steps = range(int(-2 * FARTHEST_NUDGE), int(2 * FARTHEST_NUDGE) + 1)
    return [(f"{step / 2:g}", f"{step / 2:+g} mm" if step else "not at all") for step in steps]
