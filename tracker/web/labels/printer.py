"""What a browser remembers of its printers: each paper's stock, and of each stock what is left and how far off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import session

from printing.labels.stock import Stock
from tracker.domain.message import Choice, Message, _
from tracker.usecases.labels.document_kinds import kind_named, stock_for
from tracker.usecases.labels.stock import stock_called
from tracker.web.labels.selection import desk
from tracker.web.wording import reader

PRINTERS = "printers"
"""Where the cookie keeps them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Printer:
    """How one stock is printed on: the next free label, mm to the right and down, and the printer's dots an inch."""

    start_at: int = 1
    nudge_x: float = 0.0
    nudge_y: float = 0.0
    dpi: int | None = None


def stock_kept(kind: str) -> str:
    """The name of the stock that this kind of paper was printed on the last time; empty before the first."""
    return str(_kept().get("for", {}).get(kind, ""))


def printer_for(stock: Stock) -> Printer:
    """What is remembered of a stock; plain paper begins with a whole sheet each time."""
    facts = _kept().get("of", {}).get(stock.name)
    if not facts:
        return Printer()
    return Printer(start_at=1 if stock.is_cut else facts[0], nudge_x=facts[1], nudge_y=facts[2], dpi=facts[3])


def keep(stock: Stock, printer: Printer, kind: str = "") -> None:
    """Remember how a stock is printed on, and that a `kind` of paper is printed on it."""
    kept = _kept()
    facts = [printer.start_at, printer.nudge_x, printer.nudge_y, printer.dpi]
    used = {**kept.get("for", {}), kind: stock.name} if kind else kept.get("for", {})
    session[PRINTERS] = {"for": used, "of": {**kept.get("of", {}), stock.name: facts}}


def printed_on(kind: str) -> Message:
    """What the one button for a kind of paper prints on, and from which label of a sheet that is partly used."""
    stock = stock_for(kind_named(kind), desk(), stock_kept(kind))
    start_at = min(max(1, printer_for(stock).start_at), stock.per_page)
    words = Choice("is_used", {"True": _("Prints on {stock}, from label {start}."), "False": _("Prints on {stock}.")})
    called = stock_called(stock, reader())
    return Message("printed-on", words, stock=called, start=start_at, is_used=start_at > 1)


def _kept() -> dict[str, dict[str, Any]]:
    kept: dict[str, dict[str, Any]] = session.get(PRINTERS, {})
    return kept
