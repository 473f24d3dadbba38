"""The stock that a studio prints on: what comes with the tool, and what it measured itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from printing.labels.stock import BAR_PAPERS, CARD_PAPERS, EVERY_STOCK, LIST_PAPERS, PLAIN_PAPERS, STOCKS, Stock
from printing.pages import PAPERS
from tracker.domain.labels.stock import LabelStock, Paper
from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.quantities import Units, mm
from tracker.domain.refusals import Unknown, Unusable
from tracker.domain.studio.catalog import Studio
from tracker.store.unit_of_work import Store
from tracker.usecases.studio.catalog import alter
from tracker.wording.reader import Reader
from tracker.wording.render import read

_LETTER = frozenset({PAPERS[Paper.LETTER]})
_ISO = frozenset({PAPERS[Paper.A4], (148.0, 210.0), (105.0, 148.0)})
"""The sides of A4, A5 and A6 in mm (ISO 216)."""


def own_stock(studio: Studio) -> tuple[Stock, ...]:
    """The studio's own labels as stock to print on."""
    return tuple(_stock_of(one) for one in studio.labels.values())


def label_stocks(studio: Studio, paper: Paper) -> tuple[Stock, ...]:
    """All labels and plain paper for tags: the studio's own first, then what is sold where `paper` is."""
    return (*own_stock(studio), *_by_paper(paper, *STOCKS, *PLAIN_PAPERS))


def card_stocks(studio: Studio, paper: Paper) -> tuple[Stock, ...]:
    """All paper for cards, and then the labels: the studio's own first, then what is sold where `paper` is."""
    return (*own_stock(studio), *_by_paper(paper, *CARD_PAPERS, *STOCKS, *PLAIN_PAPERS))


def bar_stocks(studio: Studio, paper: Paper) -> tuple[Stock, ...]:
    """All paper for many small bars: sheets of them in the size of `paper` first, then all labels."""
    return (*_by_paper(paper, *BAR_PAPERS), *own_stock(studio), *_by_paper(paper, *STOCKS, *PLAIN_PAPERS))


def list_stocks(studio: Studio, paper: Paper) -> tuple[Stock, ...]:
    """All paper for lists: whole sheets in the size of `paper` first, then cards and the studio's own labels."""
    return (*_by_paper(paper, *LIST_PAPERS, *CARD_PAPERS), *own_stock(studio))


def every_stock(studio: Studio, paper: Paper) -> tuple[Stock, ...]:
    """Everything there is to print on: the studio's own first, then what is sold where `paper` is."""
    return (*own_stock(studio), *_by_paper(paper, *EVERY_STOCK))


def stock_called(stock: Stock, reader: Reader) -> str:
    """A stock's name with the sides of its labels as `reader` reads them; the name itself keeps their mm."""
    sides = (stock.label_width, stock.label_height)
    in_mm = " x ".join(f"{side:g}" for side in sides) + " mm"
    if reader.units is Units.METRIC or not stock.name.endswith(in_mm):
        return stock.name
    return stock.name.removesuffix(in_mm) + " x ".join(read(mm(side, 2), reader) for side in sides)


def called_in(studio: Studio, reader: Reader) -> Callable[[str], str]:
    """How `reader` calls a stock of that name; one that was taken away since keeps its name."""
    known = {stock.name: stock for stock in every_stock(studio, reader.paper)}
    return lambda name: stock_called(known[name], reader) if name in known else name


def usual_stock(paper: Paper) -> Stock:
    """The labels that are taken where none are named: the first that come with the tool and are sold with `paper`."""
    return _by_paper(paper, *STOCKS)[0]


def is_sold_with(paper: Paper, stock: Stock) -> bool:
    """Whether a stock goes with this paper: no US Letter beside A4, and no A size beside US Letter."""
    foreign = _LETTER if paper is Paper.A4 else _ISO
    return (stock.page_width, stock.page_height) not in foreign


def _by_paper(paper: Paper, *stocks: Stock) -> list[Stock]:
    """The same stocks, those last that aren't sold where `paper` is."""
    return sorted(stocks, key=lambda stock: not is_sold_with(paper, stock))


def _stock_of(own: LabelStock) -> Stock:
    width, height = own.page
    return Stock(
        own.name,
        width,
        height,
        own.columns,
        own.rows,
        own.label_width_mm,
        own.label_height_mm,
        own.left_mm,
        own.top_mm,
        *own.pitch,
    )


def keep_stock(store: Store, request: Request, stock: LabelStock, *, old: str = "", seen: str | None = None) -> Receipt:
    """Add a sort of labels, or make the one called `old` what `stock` says."""

    def make(before: Studio) -> Studio:
        others = {name: one for name, one in before.labels.items() if name != old}
        if old and old not in before.labels:
            raise _not_ours(old)
        taken = {name.casefold() for name in (*others, *(one.name for one in EVERY_STOCK))}
        if stock.name.casefold() in taken:
            taken_already = Message(
                "stock-name-taken", _("There is already label stock called “{name}”."), name=stock.name
            )
            raise Unusable([taken_already], Message("choose-another-name", _("Choose another name.")))
        return replace(before, labels={**others, stock.name: stock})

    says = Message("stock-kept", _("{name}: saved. You can print on it now."), name=stock.name)
    return alter(store, request, "keep stock", make, says, (stock, old), seen, False)  # noqa: FBT003 -- no piece waits for paper


def _not_ours(name: str) -> Unknown:
    remedy = Message("taken-away-perhaps", _("It may have been deleted."))
    return Unknown(Message("no-stock-of-ours", _("You have no label stock called “{name}”."), name=name), remedy)


def drop_stock(store: Store, request: Request, name: str, *, seen: str | None = None) -> Receipt:
    """Take a sort of labels of the studio's own away."""

    def make(before: Studio) -> Studio:
        if name not in before.labels:
            raise _not_ours(name)
        return replace(before, labels={one: stock for one, stock in before.labels.items() if one != name})

    says = Message("stock-is-taken-away", _("{name}: deleted."), name=name)
    return alter(store, request, "drop stock", make, says, name, seen, False)  # noqa: FBT003 -- as above


def set_line(store: Store, request: Request, line: str, *, seen: str | None = None) -> Receipt:
    """Set the studio's own line for what goes home; empty takes it away."""

    def make(before: Studio) -> Studio:
        return replace(before, line=line)

    says = Message("line-set", _("Card footer saved."))
    return alter(store, request, "set line", make, says, line, seen, False)  # noqa: FBT003 -- as above
