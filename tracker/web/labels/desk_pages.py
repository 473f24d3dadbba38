"""The print desk: what there is to print, of which things, on which labels; the sheet as a picture; the printing."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from flask import Blueprint, g, redirect, render_template, request, url_for

from printing.labels.stock import FARTHEST_NUDGE, Stock, TooSmall
from tracker.domain.labels.print_jobs import PrintOrder
from tracker.domain.message import Message, Plural, _
from tracker.domain.refusals import NotAllowed, Refusal, Unknown, Unusable
from tracker.domain.studio.people import Right
from tracker.forms.labels.print_forms import PaperOptions, PaperOptionsForm
from tracker.forms.page_forms import BadForm, read_form
from tracker.usecases.labels.print_jobs import put_on_record
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.labels.document_kinds import KINDS, Kind, Ready, Wanted
from tracker.web.labels.presenters import SheetShown, sheet_shown
from tracker.web.labels.printer import Printer, keep, printer_for, stock_kept
from tracker.web.labels.selection import heaps, lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from flask.typing import ResponseReturnValue

    from tracker.web.labels.selection import Thing

pages = Blueprint("paper", __name__)

AT_A_GLANCE = 200
"""So many labels are made while somebody waits; of more the page shows how far they are."""

DOTS = (("", "office printer, or not known"), ("203", "203 dpi"), ("300", "300 dpi"), ("600", "600 dpi"))


@pages.get("/paper")
@allows(Right.SEE_OWN)
def paper() -> ResponseReturnValue:
    """All that this person may print."""
    mine = [kind for kind in KINDS.values() if g.person.may(kind.right)]
    return render_template("labels/desk.html", kinds=mine)


@pages.get("/paper/<kind>")
@allows(Right.SEE_OWN)
def choose(kind: str) -> ResponseReturnValue:
    """Ask which things to print and on which labels, and show the sheet."""
    return _page(_kind(kind))


@pages.post("/paper/<kind>/look")
@allows(Right.SEE_OWN)
def look(kind: str) -> ResponseReturnValue:
    """Show the sheet with what is chosen now; nothing is printed."""
    return _page(_kind(kind))


@pages.post("/paper/<kind>")
@allows(Right.SEE_OWN)
def print(kind: str) -> ResponseReturnValue:  # noqa: A001 -- the menu of addresses calls it so, and nothing here writes to a terminal
    """Put the printing on record, and lead to its PDF; the next free label is remembered for the next time."""
    what = _kind(kind)
    try:
        options = read_form(PaperOptionsForm(), request.form)
        stock = _stock(what, options)
        ready = _ready(what, options, stock)
        _must_fit(ready)
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        return _page(what, refusal), status_of(refusal)
    job = put_on_record(house().store, asking(), _order(what, options, ready))
    next_free = (options.start_at - 1 + ready.count) % stock.per_page + 1
    printer = Printer(start_at=next_free, nudge_x=options.nudge_x, nudge_y=options.nudge_y, dpi=options.dpi)
    keep(stock, printer, what.name)
    there = "printed.pdf" if ready.count <= AT_A_GLANCE else "printed.job"
    return redirect(url_for(there, number=job.id), 303)


def _order(kind: Kind, options: PaperOptions, ready: Ready) -> PrintOrder:
    return PrintOrder(
        kind=kind.name,
        things=ready.things,
        stock=options.stock,
        start_at=options.start_at,
        nudge=(options.nudge_x, options.nudge_y),
        dpi=options.dpi,
        line=options.line if kind.has_line else "",
        labels=ready.count,
    )


def _kind(name: str) -> Kind:
    kind = KINDS.get(name)
    if kind is None:
        raise Unknown("There is no such paper here.", "Choose one from the list of papers.")
    g.person.must_be_allowed(kind.right)
    return kind


def _stock(kind: Kind, options: PaperOptions) -> Stock:
    stocks = kind.stocks(house().store.read.studio())
    stock = next((one for one in stocks if one.name == options.stock), None)
    if stock is None:
        raise BadForm({"stock": Message("no-such-stock", _("Choose one of the labels in the list."))})
    if options.start_at > stock.per_page:
        words = Plural("many", "This sheet has {many} label.", "This sheet has {many} labels.")
        raise BadForm({"start_at": Message("past-the-sheet", words, many=stock.per_page)})
    return stock


def _ready(kind: Kind, options: PaperOptions, stock: Stock) -> Ready:
    """The labels laid out, as far as that tells whether they can be."""
    things = options.things
    if options.all and not kind.of_pieces:
        things = tuple(dict.fromkeys((*(thing.value for thing in kind.things()), *things)))
    if not things:
        raise Unusable(["Nothing is chosen."], "Choose what you want to print.")
    line = options.line if kind.has_line else ""
    wanted = Wanted(things=things, at=house().clock(), line=line, dpi=options.dpi)
    try:
        return kind.ready(wanted, stock)
    except TooSmall as too_small:
        raise Unusable([str(too_small)], "Choose a larger label.") from None


def _must_fit(ready: Ready) -> None:
    try:
        deque(ready.shapes, maxlen=0)
    except TooSmall as too_small:
        raise Unusable([str(too_small)], "Choose a larger label.") from None


# ---- what the page shows ---------------------------------------------------------------------------------------------


def _page(kind: Kind, refusal: Refusal | None = None) -> str:
    """The page that asks; only stock that holds a usual label of the kind is offered."""
    things = kind.things()
    ticked, known = _ticked(kind, things), {thing.value for thing in things}
    offered, too_small = _offered(kind)
    stock = _wanted_stock(kind, offered)
    printer = _printer(stock)
    line = request.form.get("line", house().store.read.studio().line)
    sheet, refusal = _sheet(kind, things, stock, printer, line, refusal)
    return render_template(
        "labels/choose.html",
        kind=kind,
        things=things,
        heaps=heaps(kind.name) if kind.of_pieces and not things else (),
        ticked=ticked,
        typed="\n".join(one for one in ticked if one not in known),
        takes_all=request.form.get("all") == "yes",
        back=_back(kind, things),
        stocks=[(one.name, one.name) for one in offered],
        too_small=too_small,
        stock=stock,
        sheet=sheet,
        printer=printer,
        line=line,
        nudges=_nudges(),
        dots=DOTS,
        refusal=None if isinstance(refusal, BadForm) else refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
    )


def _back(kind: Kind, things: Sequence[Thing]) -> tuple[str, str]:
    """Where the page leads back to, and what that is called."""
    if kind.of_pieces and len(things) == 1:
        ref = things[0].value
        slip = ref.startswith("W")
        return url_for("pieces.slip", number=ref[1:]) if slip else url_for("pieces.piece", code=ref), ref
    return url_for("paper.paper"), "Print desk"


def _sheet(
    kind: Kind, things: Sequence[Thing], stock: Stock, printer: Printer, line: str, refusal: Refusal | None
) -> tuple[SheetShown | None, Refusal | None]:
    """The sheet that is asked for as it would come out now, or why there is none."""
    # Before anything was picked from a list, its first stands as an example.
    picked = _ticked(kind, things) or [thing.value for thing in things if not request.form][:1]
    if not picked or refusal is not None:
        return None, refusal
    line = line if kind.has_line else ""
    wanted = Wanted(things=tuple(picked), at=house().clock(), line=line, dpi=printer.dpi)
    try:
        ready = kind.ready(wanted, stock)
        return sheet_shown(ready, stock, printer.start_at, request.form.get("sheet", 1, type=int)), None
    except TooSmall as too_small:
        return None, Unusable([str(too_small)], "Choose a larger label.")
    except Unusable as unusable:
        return None, unusable


def _ticked(kind: Kind, things: Sequence[Thing]) -> list[str]:
    """What is ticked or typed as the form stands; before it was sent all pieces, and of a list what was asked for."""
    known = [thing.value for thing in things]
    if not request.form:
        return known if kind.of_pieces or len(known) == 1 else request.args.getlist("ref")
    sent = lines(request.form.getlist("things"))
    return list(dict.fromkeys([*known, *sent])) if request.form.get("all") == "yes" else sent


def _offered(kind: Kind) -> tuple[Sequence[Stock], Sequence[tuple[str, str]]]:
    """The stocks that hold this sort of label, and those that do not, each with what would not fit."""
    reasons = {stock: kind.refuses(stock) for stock in kind.stocks(house().store.read.studio())}
    offered = [stock for stock, said in reasons.items() if not said]
    return offered, [(stock.name, "; ".join(said)) for stock, said in reasons.items() if said]


def _wanted_stock(kind: Kind, offered: Sequence[Stock]) -> Stock:
    wanted = request.form.get("stock") or request.args.get("stock") or stock_kept(kind.name)
    return next((one for one in offered if one.name == wanted), offered[0])


def _printer(stock: Stock) -> Printer:
    """How the stock is printed on: as the form says, as far as it can be, or as it was the last time."""
    kept = printer_for(stock)
    # The form still speaks of the labels that were in the printer when the page was shown.
    if request.form and request.form.get("shown") == stock.name:
        kept = Printer(
            start_at=request.form.get("start_at", 1, type=int),
            nudge_x=request.form.get("nudge_x", 0.0, type=float),
            nudge_y=request.form.get("nudge_y", 0.0, type=float),
            dpi=request.form.get("dpi", type=int),
        )
    dpi = kept.dpi if kept.dpi in {203, 300, 600} else None
    start_at = min(max(1, kept.start_at), stock.per_page)
    return Printer(start_at=start_at, nudge_x=kept.nudge_x, nudge_y=kept.nudge_y, dpi=dpi)


def _nudges() -> list[tuple[str, str]]:
    """Half millimetres from one farthest nudge to the other, as choices."""
    steps = range(int(-2 * FARTHEST_NUDGE), int(2 * FARTHEST_NUDGE) + 1)
    return [(f"{step / 2:g}", f"{step / 2:+g} mm" if step else "not at all") for step in steps]
