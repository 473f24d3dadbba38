"""A piece's tag: the code to copy onto the foot, whose it is, what it must not be used for, bars and a QR."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from printing import bars
from printing.pdf import Paper
from printing.places import Plan, dots_per_mm, needs, plans, too_large
from printing.shapes import Face, Rule, Shape, Symbol, Text
from printing.stock import STOCKS, Stock, TooSmall, check_nudge
from printing.wording import Words, room_of, set_lines, words_on

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


@dataclass(frozen=True, slots=True)
class Tag:
    """What one tag says; `code` is None while the piece is greenware and known by its `slip` alone.

    `use` is "food" or "decorative", `route` is None until one is chosen, each of `warnings` is a sentence without
    its sign, and `address` is where the QR leads.
    """

    code: str | None
    slip: str
    maker: str
    what: str
    clay: str
    use: str
    route: str | None
    warnings: tuple[str, ...]
    address: str
    reprint: bool = False

    @property
    def name(self) -> str:
        """What the bars say and the foot will carry: the code, or the slip number before there is one."""
        return self.code if self.code is not None else self.slip


FULL_TAG = Tag(
    code="K7R43",
    slip="W1042",
    maker="Konstantin W.",
    what="tall lidded jar",
    clay="white porcelain",
    use="decorative",
    route="outdoor kiln, raku, cone 06, 998 °C",
    warnings=("decorative, not for food", "porcelain, slab-built: may crack in raku"),
    address="http://127.0.0.1:8000/p/K7R43",
)
"""A tag with everything on it; the type on each stock is as large as lets this one stand there whole."""


def lay_out(tag: Tag, stock: Stock, dots_per_inch: int | None = None, *, form: bars.QrForm | None = None) -> tuple[Shape, ...]:
    """The tag's shapes on a label of `stock`, in mm from its top left corner; TooSmall when it cannot hold them."""
    form = form or bars.qr_form(tag.address)
    words = words_of(tag)
    plan = _plan(stock, dots_per_inch, len(tag.name), form.modules)
    lines = set_lines(words, plan.slots, plan.text_size)
    if lines is None:
        plan, lines = _tightest(words, stock, dots_per_inch, len(tag.name), form.modules)
    return (*_marks(tag, plan, form), *lines)


def words_of(tag: Tag) -> Words:
    """The tag's text, each thing in its rank."""
    return words_on(
        maker=tag.maker,
        facts=(tag.what, tag.clay, "for food" if tag.use == "food" else "", tag.slip if tag.code else ""),
        is_decorative=tag.use != "food",
        is_slip=tag.code is None,
        warnings=tag.warnings,
        route=tag.route or "",
        is_reprint=tag.reprint,
    )


@lru_cache(maxsize=512)
def _plan(stock: Stock, dots_per_inch: int | None, letters: int, qr_modules: int) -> Plan:
    """The arrangement with the largest type in which a full tag stands whole, or else the one with most room."""
    need = needs(letters, qr_modules, dots_per_inch)
    words = words_of(FULL_TAG)
    roomy: list[Plan] = []
    for plan in plans(stock, need):
        if set_lines(words, plan.slots, plan.text_size, whole=True) is not None:
            return plan
        if set_lines(words, plan.slots, plan.text_size) is not None:
            roomy.append(plan)
    if not roomy:
        raise TooSmall(stock, too_large(stock, need) or ("the maker and the warnings have no room beside bars and QR",))
    return max(roomy, key=lambda plan: room_of(plan.slots, plan.text_size))


def _tightest(
    words: Words, stock: Stock, dots_per_inch: int | None, letters: int, qr_modules: int
) -> tuple[Plan, tuple[Shape, ...]]:
    """The smallest type that holds what must be said, for a tag that says more than most."""
    for plan in reversed(list(plans(stock, needs(letters, qr_modules, dots_per_inch)))):
        lines = set_lines(words, plan.slots, plan.text_size)
        if lines is not None:
            return plan, lines
    raise TooSmall(stock, ("the warnings have no room beside bars and QR",))


def _marks(tag: Tag, plan: Plan, form: bars.QrForm) -> tuple[Shape, ...]:
    """The code with the rule under it, the bars and the QR."""
    symbol = bars.bars(tag.name)
    x, y, module, height = plan.bars
    qr_x, qr_y, qr_module = plan.qr
    code_wide = plan.rule[2]
    return (
        Text(plan.code_x, plan.code_y, code_wide, plan.code_size, Face.CODE, tag.name),
        Rule(*plan.rule),
        Symbol(x, y, module, height, symbol.modules, (symbol.row,), bars.BAR_QUIET),
        Symbol(qr_x, qr_y, qr_module, qr_module, form.modules, bars.qr(tag.address, form), bars.QR_QUIET),
    )


def refuses(stock: Stock, *, dots_per_inch: int | None = None, letters: int = 5, address_length: int = 40) -> tuple[str, ...]:
    """Why a label of `stock` cannot hold a whole tag; empty when it can.

    `letters` is the length of the codes, `address_length` that of the pages' addresses.
    """
    form = bars.qr_form("x" * address_length)
    try:
        _plan(stock, dots_per_inch, letters, form.modules)
    except TooSmall as too_small:
        return too_small.reasons
    return ()


def stocks_for_tags(dots_per_inch: int | None = None) -> tuple[Stock, ...]:
    """The stocks on which a tag can be printed, in the order of STOCKS."""
    return tuple(stock for stock in STOCKS if not refuses(stock, dots_per_inch=dots_per_inch))


def tags_pdf(
    tags: Sequence[Tag],
    stock: Stock,
    *,
    start_at: int = 1,
    nudge_mm: tuple[float, float] = (0.0, 0.0),
    dpi: int | None = None,
    progress: Callable[[int], object] | None = None,
) -> bytes:
    """The tags as one PDF on `stock`, the first on label `start_at` of the first sheet (1 is its top left one).

    `nudge_mm` moves all print right and down, in half millimetres. `dpi` is 203, 300, 600 or None when unknown.
    `progress(1)` is called after each tag. Equal input gives equal bytes. Refused with a ValueError: no tags, a label
    that the sheet does not have, a nudge that is not in half millimetres, and (TooSmall) a stock that holds no tag.
    """
    _check(tags, stock, start_at)
    check_nudge(nudge_mm)
    form = bars.qr_form(tags[0].address, max(len(tag.address.encode()) for tag in tags))
    paper = Paper(
        stock.page_width, stock.page_height, title="Tags", dots_per_mm=None if dpi is None else dots_per_mm(dpi)
    )
    right, down = nudge_mm
    for place, tag in enumerate(tags, start=start_at - 1):
        if place > start_at - 1 and place % stock.per_page == 0:
            paper.turn_page()
        x, y = stock.corner(place % stock.per_page)
        paper.place(lay_out(tag, stock, dpi, form=form), x + right, y + down)
        if progress is not None:
            progress(1)
    return paper.finish()


def _check(tags: Sequence[Tag], stock: Stock, start_at: int) -> None:
    if not tags:
        msg = "There is no tag to print."
        raise ValueError(msg)
    if not 1 <= start_at <= stock.per_page:
        msg = f"A page of {stock.name} has labels 1 to {stock.per_page}, not {start_at}."
        raise ValueError(msg)
