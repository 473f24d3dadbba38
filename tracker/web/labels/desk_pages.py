"""The print desk: what there is to print, of which things, on which labels; the sheet as a picture; the printing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from http import HTTPStatus

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from printing.labels.stock import FARTHEST_NUDGE, Stock
from tracker.domain.labels.print_jobs import PrintOrder
from tracker.domain.message import Message, Plural, _
from tracker.domain.quantities import mm
from tracker.domain.refusals import NotAllowed, Refusal, Unknown, Unusable
from tracker.domain.studio.people import Right
from tracker.forms.labels.print_forms import PaperOptions, PaperOptionsForm
from tracker.forms.page_forms import BadForm, read_form
from tracker.usecases.labels.choosing import Chosen
from tracker.usecases.labels.document_kinds import KINDS, Kind, kind_named, stock_for
from tracker.usecases.labels.documents import lacks_of, lay_out_document, print_document
from tracker.usecases.labels.selection import Desk, Thing
from tracker.usecases.labels.stock import stock_called
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.labels.presenters import sheet_shown
from tracker.web.labels.printer import Printer, keep, printer_for, stock_kept
from tracker.web.labels.selection import desk, heaps, lines, things
from tracker.web.plain_input import whole
from tracker.web.wording import reader, said, said_refusal

pages = Blueprint("paper", __name__)

AT_A_GLANCE = 200
"""So many labels are made while somebody waits; of more the page shows how far they are."""

HEADS = (203, 300, 600)
"""The dots to an inch of label printers."""


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
    what = _kind(kind)
    chosen = things(what, desk())
    is_found = bool(chosen.things) or not chosen.missing
    return _page(what, chosen=chosen), HTTPStatus.OK if is_found else HTTPStatus.NOT_FOUND


@pages.post("/paper/<kind>/look")
@allows(Right.SEE_OWN)
def look(kind: str) -> ResponseReturnValue:
    """Show the sheet with what is chosen now; nothing is printed."""
    return _page(_kind(kind))


@pages.post("/paper/<kind>")
@allows(Right.SEE_OWN)
def print(kind: str) -> ResponseReturnValue:  # noqa: A001 -- the menu of addresses calls it so, and nothing here writes to a terminal
    """Put the printing on record, and lead to its PDF; the next free label is remembered for the next time."""
    what, here = _kind(kind), desk()
    try:
        options = read_form(PaperOptionsForm(), request.form)
        stock = _stock(what, here, options)
        order = _order(what, here, options)
        job = print_document(house().store, asking(), order, reader(), address=here.address).job
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        return _page(what, refusal), status_of(refusal)
    next_free = (options.start_at - 1 + job.order.labels) % stock.per_page + 1
    printer = Printer(start_at=next_free, nudge_x=options.nudge_x, nudge_y=options.nudge_y, dpi=options.dpi)
    keep(stock, printer, what.name)
    there = "printed.pdf" if job.order.labels <= AT_A_GLANCE else "printed.job"
    return redirect(url_for(there, number=job.id), 303)


@pages.post("/paper/<kind>/now")
@allows(Right.SEE_OWN)
def print_now(kind: str) -> ResponseReturnValue:
    """Print things on the usual stock without asking anything: the PDF, or the page that says why not."""
    what, here = _kind(kind), desk()
    things = tuple(lines(request.form.getlist("things")))
    stock = stock_for(what, here, stock_kept(what.name))
    printer = _printer(stock)
    order = PrintOrder(
        kind=what.name,
        things=things,
        stock=stock.name,
        start_at=printer.start_at,
        nudge=(printer.nudge_x, printer.nudge_y),
        dpi=printer.dpi,
        line=here.studio.line if what.has_line else "",
    )
    try:
        asked = (order.kind, order.things)
        job = print_document(house().store, asking(), order, reader(), address=here.address, asked=asked).job
    except (NotAllowed, Unknown):
        raise
    except Refusal as refusal:
        flash(said_refusal(refusal), "stop")
        return redirect(url_for("paper.choose", kind=what.name, ref=things), 303)
    next_free = (job.order.start_at - 1 + job.order.labels) % stock.per_page + 1
    keep(stock, replace(printer, start_at=next_free), what.name)
    return redirect(url_for("printed.pdf" if job.order.labels <= AT_A_GLANCE else "printed.job", number=job.id), 303)


def _order(kind: Kind, here: Desk, options: PaperOptions) -> PrintOrder:
    """What is picked or typed, or all there is."""
    picked = options.things
    if options.all and not kind.of_pieces:
        picked = tuple(dict.fromkeys((*(thing.value for thing in kind.choices(here)), *picked)))
    return PrintOrder(
        kind=kind.name,
        things=picked,
        stock=options.stock,
        start_at=options.start_at,
        nudge=(options.nudge_x, options.nudge_y),
        dpi=options.dpi,
        line=options.line,
    )


def _kind(name: str) -> Kind:
    kind = kind_named(name)
    g.person.must_be_allowed(kind.right)
    return kind


def _stock(kind: Kind, here: Desk, options: PaperOptions) -> Stock:
    stock = next((one for one in kind.stocks(here.studio, here.reader.paper) if one.name == options.stock), None)
    if stock is None:
        raise BadForm({"stock": Message("no-such-stock", _("Choose a label from the list."))})
    if options.start_at > stock.per_page:
        words = Plural("many", "This sheet has {many} label.", "This sheet has {many} labels.")
        raise BadForm({"start_at": Message("past-the-sheet", words, many=stock.per_page)})
    return stock


# ---- what the page shows ---------------------------------------------------------------------------------------------


def _page(kind: Kind, refusal: Refusal | None = None, *, chosen: Chosen | None = None) -> str:
    """The page that asks; only stock that holds a usual label of the kind is offered."""
    here = desk()
    chosen = chosen or things(kind, here)
    some = chosen.things
    ticked, known = _ticked(kind, some), {thing.value for thing in some}
    reasons = kind.too_small(here)
    offered = [stock for stock, lacks in reasons.items() if not lacks]
    stock = _wanted_stock(kind, here, offered)
    printer = _printer(stock)
    line = request.form.get("line", here.studio.line)
    # Before anything was picked from a list, its first stands as an example.
    picked = tuple(ticked or [thing.value for thing in some if not request.form][:1])
    sheet = None
    if picked and refusal is None:
        order = PrintOrder(kind=kind.name, things=picked, stock=stock.name, dpi=printer.dpi, line=line)
        try:
            number = whole(request.form, "sheet", 1)
            sheet = sheet_shown(lay_out_document(here, order), printer.start_at, number)
        except Unusable as unusable:
            refusal = unusable
    return render_template(
        "labels/choose.html",
        kind=kind,
        things=some,
        missing="\n".join(chosen.missing),
        why=chosen.why,
        heaps=heaps(kind, here) if kind.of_pieces and not some else (),
        ticked=ticked,
        typed="\n".join(one for one in ticked if one not in known),
        takes_all=request.form.get("all") == "yes" or (kind.is_one_sheet and not request.form),
        back=_back(kind, some),
        stocks=[(one.name, stock_called(one, reader())) for one in offered],
        too_small=[(stock_called(stock, reader()), lacks_of(lacks)) for stock, lacks in reasons.items() if lacks],
        stock=stock,
        sheet=sheet,
        printer=printer,
        line=line,
        nudges=_nudges(),
        dots=_dots(),
        refusal=None if isinstance(refusal, BadForm) else refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
    )


def _back(kind: Kind, some: Sequence[Thing]) -> tuple[str, str]:
    """Where the page leads back to, and what that is called."""
    if kind.of_pieces and len(some) == 1:
        ref = some[0].value
        slip = ref.startswith("W")
        return url_for("pieces.slip", number=ref[1:]) if slip else url_for("pieces.piece", code=ref), ref
    return url_for("paper.paper"), said(Message("print-desk", _("Print desk")))


def _ticked(kind: Kind, some: Sequence[Thing]) -> list[str]:
    """What is ticked or typed as the form stands; before it was sent all pieces, and of a list what was asked for."""
    known = [thing.value for thing in some]
    if not request.form:
        return known if kind.of_pieces or kind.is_one_sheet or len(known) == 1 else request.args.getlist("ref")
    sent = lines(request.form.getlist("things"))
    return list(dict.fromkeys([*known, *sent])) if request.form.get("all") == "yes" else sent


def _wanted_stock(kind: Kind, here: Desk, offered: Sequence[Stock]) -> Stock:
    wanted = request.form.get("stock") or request.args.get("stock")
    named = next((one for one in offered if one.name == wanted), None)
    return named or stock_for(kind, here, stock_kept(kind.name))


def _printer(stock: Stock) -> Printer:
    """How the stock is printed on: as the form says, as far as it can be, or as it was the last time."""
    kept = printer_for(stock)
    # The form still speaks of the labels that were in the printer when the page was shown.
    if request.form and request.form.get("shown") == stock.name:
        kept = Printer(
            start_at=whole(request.form, "start_at", 1),
            nudge_x=request.form.get("nudge_x", 0.0, type=float),
            nudge_y=request.form.get("nudge_y", 0.0, type=float),
            dpi=whole(request.form, "dpi", 0),
        )
    dpi = kept.dpi if kept.dpi in HEADS else None
    start_at = min(max(1, kept.start_at), stock.per_page)
    return Printer(start_at=start_at, nudge_x=kept.nudge_x, nudge_y=kept.nudge_y, dpi=dpi)


def _nudges() -> list[tuple[str, str]]:
    """Half millimeters from one farthest nudge to the other, as choices."""
    steps = range(int(-2 * FARTHEST_NUDGE), int(2 * FARTHEST_NUDGE) + 1)
    return [(f"{step / 2:g}", said(_moved_by(step / 2))) for step in steps]


def _moved_by(length: float) -> Message:
    if not length:
        return Message("not-moved", _("not at all"))
    return Message("moved-by", "+{length}" if length > 0 else "{length}", length=mm(length, 2))


def _dots() -> list[tuple[str, str]]:
    """The printers there are, as choices."""
    unknown = said(Message("dots-unknown", _("office printer, or unknown")))
    known = [(str(dpi), said(Message("dots", _("{dpi} dpi"), dpi=dpi))) for dpi in HEADS]
    return [("", unknown), *known]
