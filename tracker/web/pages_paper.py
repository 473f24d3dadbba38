"""Paper: what the studio prints beside the tags, and on which labels; the answer is a PDF that the browser shows."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from flask import Blueprint, Response, g, render_template, request, session, url_for

from printing.labels import labels_pdf, refuses
from printing.stock import FARTHEST_NUDGE, TooSmall
from tracker.domain.people import Right
from tracker.domain.refusals import NotAllowed, Refusal, Unknown, Unusable
from tracker.forms.page_paper import PaperOptionsForm
from tracker.forms.pages import BadForm, read_form
from tracker.web.answers import status_of
from tracker.web.doors import allows
from tracker.web.paper_kinds import KINDS, Kind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from flask.typing import ResponseReturnValue

    from printing.stock import Stock
    from tracker.forms.page_paper import PaperOptions

pages = Blueprint("paper", __name__)

_KEPT = "paper"
_DOTS = (("", "office printer, or not known"), ("203", "203 dpi"), ("300", "300 dpi"), ("600", "600 dpi"))
_USUAL: dict[str, Any] = {"stock": "", "start_at": 1, "nudge_x": 0.0, "nudge_y": 0.0, "dpi": "", "line": ""}


@pages.get("/paper")
@allows(Right.MOVE)
def paper() -> ResponseReturnValue:
    """All that can be printed, and where each thing is printed from."""
    mine = [kind for kind in KINDS.values() if g.person.may(kind.right)]
    return render_template("paper.html", kinds=mine)


@pages.get("/paper/<kind>")
@allows(Right.SEE_OWN)
def choose(kind: str) -> ResponseReturnValue:
    """Ask which things to print and on which labels."""
    return _page(_kind(kind))


@pages.post("/paper/<kind>")
@allows(Right.SEE_OWN)
def print(kind: str) -> ResponseReturnValue:  # noqa: A001 -- the menu of addresses calls it so, and nothing here writes to a terminal
    """The labels or cards as a PDF; the next free label is remembered for the next time."""
    what = _kind(kind)
    try:
        options = read_form(PaperOptionsForm(), request.form)
        if options.all and not what.of_pieces:
            every = dict.fromkeys((*(thing.value for thing in what.things()), *options.things))
            options = replace(options, things=tuple(every))
        stock = _stock(what, options)
        labels = what.labels(options, stock)
        pdf = labels_pdf(
            labels,
            stock,
            title=what.title,
            start_at=options.start_at,
            nudge_mm=(options.nudge_x, options.nudge_y),
            dpi=options.dpi,
        )
    except (NotAllowed, Unknown):
        raise
    except TooSmall as too_small:
        return _page(what, refusal := Unusable([str(too_small)], "Choose a larger label.")), status_of(refusal)
    except Refusal as refusal:
        return _page(what, refusal), status_of(refusal)
    _keep(what, options, (options.start_at - 1 + len(labels)) % stock.per_page + 1)
    answer = Response(pdf, mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{what.name}.pdf"'
    return answer


def _kind(name: str) -> Kind:
    kind = KINDS.get(name)
    if kind is None:
        raise Unknown("There is no such paper here.", "Choose one from the list of papers.")
    g.person.must_be_allowed(kind.right)
    return kind


def _stock(kind: Kind, options: PaperOptions) -> Stock:
    stock = next((one for one in kind.stocks if one.name == options.stock), None)
    if stock is None:
        raise BadForm({"stock": "Choose one of the labels in the list."})
    if options.start_at > stock.per_page:
        raise BadForm({"start_at": f"This sheet has {stock.per_page} labels."})
    return stock


# ---- what the page shows ---------------------------------------------------------------------------------------------


def _page(kind: Kind, refusal: Refusal | None = None) -> str:
    """The page that asks; only stock that holds a usual label of the kind is offered."""
    things = kind.things()
    picked = request.form.getlist("things") if request.form else request.args.getlist("ref")
    kept = _kept(kind)
    offered, too_small = _offered(kind)
    wanted = request.args.get("stock") or kept["stock"]
    stock = next((one for one in offered if one.name == wanted), offered[0])
    start_at = int(kept["start_at"]) if stock.name == kept["stock"] else 1
    return render_template(
        "paper_choose.html",
        kind=kind,
        things=things,
        picked=picked,
        back=url_for("paper.paper") if g.person.may(Right.MOVE) else url_for("pieces.mine"),
        stocks=[(one.name, one.name) for one in offered],
        too_small=too_small,
        stock=stock,
        start_at=min(start_at, stock.per_page),
        nudges=_nudges(),
        dots=_DOTS,
        kept=kept,
        asked=[(name, value) for name, value in request.args.items(multi=True) if name != "stock"],
        refusal=None if isinstance(refusal, BadForm) else refusal,
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
    )


def _offered(kind: Kind) -> tuple[Sequence[Stock], Sequence[tuple[str, str]]]:
    """The stocks that hold this sort of label, and those that do not, each with what would not fit."""
    reasons = {stock: refuses(kind.specimen, stock) for stock in kind.stocks}
    offered = [stock for stock, said in reasons.items() if not said]
    return offered, [(stock.name, "; ".join(said)) for stock, said in reasons.items() if said]


def _kept(kind: Kind) -> dict[str, Any]:
    """What was chosen now or the last time, for the fields of the form."""
    if request.form:
        sent = {name: request.form.get(name, usual) for name, usual in _USUAL.items()}
        return sent | {"start_at": max(1, request.form.get("start_at", 1, type=int))}
    kept: dict[str, dict[str, Any]] = session.get(_KEPT, {})
    return _USUAL | kept.get("printer", {}) | kept.get(kind.name, {})


def _keep(kind: Kind, options: PaperOptions, next_label: int) -> None:
    printer = {
        "nudge_x": options.nudge_x,
        "nudge_y": options.nudge_y,
        "dpi": options.dpi or "",
        "line": options.line or session.get(_KEPT, {}).get("printer", {}).get("line", ""),
    }
    mine = {"stock": options.stock, "start_at": next_label}
    session[_KEPT] = session.get(_KEPT, {}) | {"printer": printer, kind.name: mine}


def _nudges() -> list[tuple[str, str]]:
    """Half millimetres from one farthest nudge to the other, as choices."""
    steps = range(int(-2 * FARTHEST_NUDGE), int(2 * FARTHEST_NUDGE) + 1)
    return [(f"{step / 2:g}", f"{step / 2:+g} mm" if step else "not at all") for step in steps]
