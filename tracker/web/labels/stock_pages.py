"""The paper itself: the studio's own labels and its line for cards, and how far off a printer prints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from printing.labels.alignment import (
    MILLIMETERS,
    SIXTEENTHS,
    Scale,
    Spot,
    Words,
    alignment_pdf,
    belongs,
    inset,
    true_length,
)
from printing.labels.stock import Stock
from tracker.domain.labels.stock import LabelStock
from tracker.domain.message import Message, _
from tracker.domain.quantities import Units, mm
from tracker.domain.refusals import ChangedMeanwhile, Refusal, Unknown, Unusable
from tracker.domain.studio.people import Right
from tracker.forms import fields
from tracker.forms.entity import kept, sections, shown_entity
from tracker.forms.labels.label_schema import LabelSchema
from tracker.forms.labels.stock_forms import MOST_OFF_MM, LineForm, MisprintForm
from tracker.forms.page_forms import BadForm, read_form
from tracker.usecases.labels import stock as label_stock
from tracker.usecases.labels.documents import TRUE_SIZE
from tracker.usecases.labels.stock import every_stock, stock_called
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.labels.printer import keep, printer_for
from tracker.web.wording import reader, said

pages = Blueprint("stock", __name__)

_ONE_LABEL = {"columns": ["1"], "rows": ["1"]}
"""What the form for another sort of labels shows at first."""


# ---- labels of one's own ---------------------------------------------------------------------------------------------


@pages.get("/paper/stock")
@allows(Right.CATALOG)
def stock() -> ResponseReturnValue:
    """The studio's own labels and its line, and a form for one sort of labels."""
    return _page(request.args.get("name", ""))


@pages.post("/paper/stock")
@allows(Right.CATALOG)
def save() -> ResponseReturnValue:
    """Add a sort of labels, or change the one that the form names as old."""
    old = request.form.get("old", "")
    try:
        made = _read(old)
        receipt = label_stock.keep_stock(house().store, asking(), made, old=old, seen=_seen())
    except (BadForm, ChangedMeanwhile, Unusable) as refusal:
        return _page(old, refusal), status_of(refusal)
    flash(said(receipt.message))
    return redirect(url_for("stock.alignment", stock=made.name), 303)


def _read(old: str) -> LabelStock:
    """What was sent; measures that were left as they were shown are exactly what they were."""
    made: LabelStock = read_form(LabelSchema(), request.form, reader().units)
    before = house().store.read.studio().labels.get(old)
    return made if before is None else kept(LabelSchema, before, made, reader().units)


@pages.post("/paper/stock/remove")
@allows(Right.CATALOG)
def remove() -> ResponseReturnValue:
    """Take a sort of labels away."""
    receipt = label_stock.drop_stock(house().store, asking(), request.form.get("name", ""), seen=_seen())
    flash(said(receipt.message))
    return redirect(url_for("stock.stock"), 303)


@pages.post("/paper/line")
@allows(Right.CATALOG)
def set_line() -> ResponseReturnValue:
    """Set the studio's own line for what goes home."""
    try:
        told = read_form(LineForm(), request.form)
        receipt = label_stock.set_line(house().store, asking(), told.line, seen=_seen())
    except (BadForm, ChangedMeanwhile) as refusal:
        return _page("", refusal), status_of(refusal)
    flash(said(receipt.message))
    return redirect(url_for("stock.stock"), 303)


def _seen() -> str | None:
    return request.form.get("seen") or None


def _page(name: str, refusal: Refusal | None = None) -> str:
    studio = house().store.read.studio()
    old = studio.labels.get(name)
    return render_template(
        "labels/stock.html",
        labels=studio.labels.values(),
        old=old,
        sent=request.form.to_dict(flat=False)
        or (shown_entity(LabelSchema, old, reader().units) if old else _ONE_LABEL),
        sections=sections(LabelSchema()),
        line=request.form.get("line", studio.line),
        version=house().store.read.version(),
        refusal=None if isinstance(refusal, BadForm) else refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
    )


# ---- how far off a printer is ----------------------------------------------------------------------------------------


@pages.get("/paper/alignment")
@allows(Right.SEE_OWN)
def alignment() -> ResponseReturnValue:
    """Ask for a stock, offer its page of crosses, and take what somebody measured on it."""
    return _alignment(_named(request.args.get("stock", "")))


@pages.get("/paper/alignment.pdf")
@allows(Right.SEE_OWN)
def crosses() -> ResponseReturnValue:
    """The page of crosses for a stock, where the printer puts it by itself."""
    wanted = _named(request.args.get("stock", ""))
    line = Message("line-is-long", _("This line should measure {length}."), length=mm(true_length(wanted, _scale())))
    words = Words(
        title=said(Message("alignment", _("Alignment, {stock}"), stock=stock_called(wanted, reader()))),
        length=said(line),
        true_size=said(TRUE_SIZE),
    )
    answer = Response(alignment_pdf(wanted, words, _scale()), mimetype="application/pdf")
    answer.headers["Content-Disposition"] = 'inline; filename="alignment.pdf"'
    return answer


@pages.post("/paper/alignment")
@allows(Right.SEE_OWN)
def measured() -> ResponseReturnValue:
    """Remember how far off this printer prints on a stock; the next printing on it is moved by that much."""
    wanted = _named(request.form.get("stock", ""))
    try:
        misprint = read_form(MisprintForm(), request.form)
    except BadForm as bad:
        return _alignment(wanted, bad), status_of(bad)
    right, down = misprint.nudge
    keep(wanted, replace(printer_for(wanted), nudge_x=right, nudge_y=down))
    flash(said(_from_now_on(stock_called(wanted, reader()), right, down)))
    return redirect(url_for("stock.alignment", stock=wanted.name), 303)


def _from_now_on(stock: str, right: float, down: float) -> Message:
    """How a nudge moves what is printed: "1.5 mm further right and 1 mm higher"."""
    if not (right or down):
        words = _("Prints on {stock} won't be shifted anymore.")
        return Message("not-nudged", words, stock=stock)
    ways = ((right, _RIGHT, _LEFT), (down, _LOWER, _HIGHER))
    moves = tuple(
        Message("nudge", more if length > 0 else less, length=mm(abs(length), 1))
        for length, more, less in ways
        if length
    )
    words = _("Prints on {stock} will now be shifted: {moves}.")
    return Message("nudged", words, stock=stock, moves=moves)


_RIGHT, _LEFT = _("{length} right"), _("{length} left")
_LOWER, _HIGHER = _("{length} down"), _("{length} up")


def _named(name: str) -> Stock:
    stocks = every_stock(house().store.read.studio(), reader().paper)
    if not name:
        return stocks[0]
    found = next((one for one in stocks if one.name == name), None)
    if found is None:
        words, remedy = (
            _("There isn't a label called “{name}”."),
            Message("choose-a-known-stock", _("Choose one from the list.")),
        )
        raise Unknown(Message("unknown-stock", words, name=name[: fields.LONGEST_LINE]), remedy)
    return found


_BELONGS = {
    Spot.INSET: _(
        "The cross should be {inset} from the two nearest edges of the label. Two short marks there point to the cross."
    ),
    Spot.CORNER: _("The cross should be exactly on the corner of its label."),
    Spot.TOP_OR_FOOT: _("The cross should be halfway along the top or bottom edge of its label."),
    Spot.SIDE: _("The cross should be halfway along the left or right edge of its label."),
    Spot.MIDDLE: _("The cross should be exactly in the middle of the label."),
}


def _scale() -> Scale:
    """The ruler of this reader."""
    return SIXTEENTHS if reader().units is Units.US else MILLIMETERS


def _half_millimeters() -> Sequence[int]:
    """How far off a cross may be, in half mm: each of them, or those nearest to each 32nd of an inch up to 3/8."""
    if reader().units is Units.METRIC:
        return range(1, 2 * MOST_OFF_MM + 1)
    return [round(2 * parts * _MM_A_32ND) for parts in range(1, 13)]


_MM_A_32ND = 25.4 / 32


def _nearest(length_mm: float) -> str:
    """The choice that is nearest to a length: what was measured in other units may be none of them."""
    return f"{min((0, *_half_millimeters()), key=lambda half: abs(half / 2 - length_mm)) / 2:g}"


def _alignment(wanted: Stock, bad: BadForm | None = None) -> str:
    printer = printer_for(wanted)
    return render_template(
        "labels/alignment.html",
        stock=wanted,
        name=stock_called(wanted, reader()),
        stocks=[
            (one.name, stock_called(one, reader())) for one in every_stock(house().store.read.studio(), reader().paper)
        ],
        line=mm(true_length(wanted, _scale())) if true_length(wanted, _scale()) else None,
        belongs=said(Message("cross-belongs", _BELONGS[belongs(wanted)], inset=mm(inset(wanted, _scale())))),
        tick=mm(_scale().tick),
        example=(mm(1.5 * _scale().tick, 1), mm(_scale().tick)),
        lengths=[(f"{half / 2:g}", mm(half / 2, 1)) for half in _half_millimeters()],
        now=tuple(_nearest(abs(one)) for one in (printer.nudge_x, printer.nudge_y)),
        now_right=printer.nudge_x < 0,
        now_low=printer.nudge_y < 0,
        sent=request.form,
        problems=bad.fields if bad else {},
    )
