"""The list for a pickup day on paper: every piece that is ready, maker by maker, with its shelf."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from printing.labels.home_papers import SlipLine
from printing.labels.label_parts import Label
from printing.labels.pickup_lists import ListedPiece, PickupList, pickup_lists
from printing.labels.stock import Stock
from tracker.domain.message import Message, _
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.terms import Term
from tracker.store.pieces.queries import PiecePage
from tracker.usecases.labels.home_papers import NAMELESS, UNREADABLE, day_and_studio, mark_of
from tracker.wording.reader import Reader
from tracker.wording.render import say

_DAY = _("{day} · {term}")
_ON_SHELF = _("{place} · {what}")
_ON_NO_SHELF = _("shelf not on record · {what}")


def lists_of(
    pages: Sequence[PiecePage],
    studio: Studio,
    stock: Stock,
    reader: Reader,
    *,
    at: datetime,
    term: Term | None = None,
    dpi: int | None = None,
) -> tuple[Label, ...]:
    """The pages of paper for these pieces, by maker, for the pickup day of `term`."""
    ordered = sorted(pages, key=lambda page: (page.row.maker_name.casefold(), page.piece.maker_id, page.piece.id))
    listed = tuple(ListedPiece(maker=page.row.maker_name, line=_line(page, studio, reader)) for page in ordered)
    return pickup_lists(list_of(listed, studio, reader, at=at, term=term), stock, dpi)


def _planned(term: Term) -> Message:
    """The day on which makers come, and its term."""
    return Message("pickup-day-of-term", _DAY, day=term.pickup_on, term=term.name)


def list_of(
    listed: tuple[ListedPiece, ...], studio: Studio, reader: Reader, *, at: datetime, term: Term | None = None
) -> PickupList:
    """The list with its words."""
    printed = Message("printed-on-day", _("Printed {day}"), day=day_and_studio(at, studio, reader))
    numbered = Message("pickup-day-of", _("Pickup day, {number} of {count}"), number="{number}", count="{count}")
    return PickupList(
        numbered=say(numbered, reader),
        day="" if term is None else say(_planned(term), reader),
        when=say(printed, reader),
        signs=say(Message("picked-up-by", _("Picked up by")), reader),
        pieces=listed,
        nameless=say(NAMELESS, reader),
        unreadable=say(UNREADABLE, reader),
    )


def on_shelf(what: str, place: str, reader: Reader) -> str:
    """A piece with its shelf, in a line."""
    return say(Message("listed-on-shelf", _ON_SHELF if place else _ON_NO_SHELF, place=place, what=what), reader)


def _line(page: PiecePage, studio: Studio, reader: Reader) -> SlipLine:
    what = on_shelf(page.piece.what, page.piece.place, reader)
    return SlipLine(code=page.piece.ref, what=what, warning=mark_of(page, studio, reader))
