"""A piece's tag: the code to copy onto the foot, whose it is, what it must not be used for, bars and a QR."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from operator import itemgetter
from typing import TYPE_CHECKING

from printing import bars
from printing.faces import measure
from printing.labels.places import CODE_BEARING, Plan, needs, plans, too_large
from printing.labels.sheets import sheets_pdf
from printing.labels.stock import PLAIN_PAPERS, STOCKS, Stock, TooSmall
from printing.labels.tag_wording import Words, broken_lines, room_of, set_lines, words_on
from printing.pdf import left_bearing
from printing.shapes import Face, Rule, Shape, Symbol, Text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence


TITLE = "Tags"

CODE_LENGTH = 5
"""Symbols in a piece's code, until a studio needs six."""


@dataclass(frozen=True, slots=True)
class Tag:
    """What one tag says; `code` is None while the piece is greenware and known by its `slip` alone.

    `use` is "food" or "decorative", `route` is None until one is chosen, each of `warnings` is a sentence without
    its sign, and `address` is where the QR leads. A code or slip that is not capitals and digits is a ValueError.
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

    def __post_init__(self) -> None:
        """Refuse a name that a hand could not copy onto a foot."""
        if not (self.name.isascii() and self.name.isalnum() and self.name == self.name.upper()):
            raise ValueError(f"A tag carries a code or a slip in capitals and digits, not {self.name!r}.")

    @property
    def name(self) -> str:
        """What the bars say and the foot will carry: the code, or the slip number before there is one."""
        return self.code if self.code is not None else self.slip


FULL_TAG = Tag(
    code="K7R43",
    slip="W1042",
    maker="Mira T.",
    what="lidded jar",
    clay="white porcelain",
    use="decorative",
    route="outdoor kiln, raku, cone 06, 998 °C",
    warnings=("decorative, not for food", "porcelain, slab-built: may crack in raku"),
    address="http://127.0.0.1:8000/p/K7R43",
)
"""A tag with everything on it; the type on each stock is as large as lets this one stand there whole."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What all tags of one printing share: the QR's form, the length of the longest code and the printer's dots."""

    form: bars.QrForm
    letters: int
    dots_per_inch: int | None


def setting_of(tags: Sequence[Tag], dots_per_inch: int | None) -> Setting:
    """The setting in which all of `tags` look alike; short slip numbers are given a code's room."""
    form = bars.qr_form(tags[0].address, max(len(tag.address.encode()) for tag in tags))
    return Setting(form, max(CODE_LENGTH, *(len(tag.name) for tag in tags)), dots_per_inch)


def lay_out(
    tag: Tag, stock: Stock, dots_per_inch: int | None = None, *, setting: Setting | None = None
) -> tuple[Shape, ...]:
    """The tag's shapes on a label of `stock`, in mm from its top left corner; TooSmall when it cannot hold them.

    `setting` is the whole printing's, when the tag is one of many that should look alike.
    """
    setting = setting or setting_of((tag,), dots_per_inch)
    words = words_of(tag)
    plan = _plan(stock, setting.dots_per_inch, setting.letters, setting.form.modules)
    lines = set_lines(words, plan.slots, plan.text_size, beside=plan.beside)
    if lines is None:
        plan, lines = _tightest(words, stock, setting)
    return (*_marks(tag, plan, setting.form), *lines)


def words_of(tag: Tag) -> Words:
    """The tag's text, each thing in its rank."""
    use = "for food" if tag.use == "food" else ""
    slip = f"slip {tag.slip}" if tag.code and tag.slip else ""
    return words_on(
        maker=tag.maker,
        facts=(tag.what, tag.clay, use, slip),
        is_decorative=tag.use != "food",
        is_slip=tag.code is None,
        warnings=tag.warnings,
        route=tag.route or "",
        is_reprint=tag.reprint,
    )


SMALLER_BUT_UNBROKEN = 0.82
"""How much smaller type may be for the sake of unbroken sentences."""


def _specimens() -> tuple[Words, ...]:
    """A full tag, then the same saying less and less: what a small label may leave to the page, in that order."""
    no_slip = replace(FULL_TAG, slip="")
    no_route = replace(no_slip, route=None)
    no_clay = replace(no_route, clay="")
    return tuple(words_of(tag) for tag in (FULL_TAG, no_slip, no_route, no_clay))


@lru_cache(maxsize=512)
def _plan(stock: Stock, dots_per_inch: int | None, letters: int, qr_modules: int) -> Plan:
    """The arrangement with the largest type in which a full tag stands whole, or as much of it as can.

    Somewhat smaller type is preferred when it keeps every sentence on one line.
    """
    need = needs(letters, qr_modules, dots_per_inch)
    possible = tuple(plans(stock, need))
    for words in _specimens():
        fitting = [(plan, broken) for plan in possible if (broken := _broken(words, plan)) is not None]
        if fitting:
            least = SMALLER_BUT_UNBROKEN * fitting[0][0].text_size
            return min((fit for fit in fitting if fit[0].text_size >= least), key=itemgetter(1))[0]
    roomy = [plan for plan in possible if set_lines(words_of(FULL_TAG), plan.slots, plan.text_size, beside=plan.beside)]
    if not roomy:
        raise TooSmall(stock, too_large(stock, need) or ("the maker and the warnings have no room beside bars and QR",))
    return max(roomy, key=lambda plan: room_of(plan.slots, plan.text_size))


def _broken(words: Words, plan: Plan) -> int | None:
    return broken_lines(words, plan.slots, plan.text_size, plan.beside)


def _tightest(words: Words, stock: Stock, setting: Setting) -> tuple[Plan, tuple[Shape, ...]]:
    """The smallest type that holds what must be said, for a tag that says more than most."""
    need = needs(setting.letters, setting.form.modules, setting.dots_per_inch)
    for plan in reversed(list(plans(stock, need))):
        lines = set_lines(words, plan.slots, plan.text_size, beside=plan.beside)
        if lines is not None:
            return plan, lines
    raise TooSmall(stock, ("the warnings have no room beside bars and QR",))


def _marks(tag: Tag, plan: Plan, form: bars.QrForm) -> tuple[Shape, ...]:
    """The code with the rule under it, the bars and the QR; the code's ink begins where rule and bars do."""
    symbol = bars.bars(tag.name)
    x, y, module, height = plan.bars
    qr_x, qr_y, qr_module = plan.qr
    size = plan.code_size
    code_x = plan.code_x - left_bearing(tag.name[0], Face.CODE) * size
    code_wide = measure(tag.name, Face.CODE) * size
    rule_x, rule_y, _, rule_high = plan.rule
    rule_wide = code_x + code_wide - CODE_BEARING * size - rule_x
    return (
        Text(code_x, plan.code_y, code_wide, size, Face.CODE, tag.name),
        Rule(rule_x, rule_y, rule_wide, rule_high),
        Symbol(x, y, module, height, symbol.modules, (symbol.row,), bars.BAR_QUIET),
        Symbol(qr_x, qr_y, qr_module, qr_module, form.modules, bars.qr(tag.address, form), bars.QR_QUIET),
    )


def refuses(
    stock: Stock, *, dots_per_inch: int | None = None, letters: int = CODE_LENGTH, address_length: int = 40
) -> tuple[str, ...]:
    """Why a label of `stock` cannot hold a whole tag; empty when it can.

    `letters` is the length of the codes, `address_length` that of the pages' addresses.
    """
    form = bars.qr_form("x" * address_length)
    try:
        _plan(stock, dots_per_inch, letters, form.modules)
    except TooSmall as too_small:
        return too_small.reasons
    return ()


def stocks_for_tags(
    dots_per_inch: int | None = None, stocks: Sequence[Stock] = (*STOCKS, *PLAIN_PAPERS)
) -> tuple[Stock, ...]:
    """Those of `stocks` on which a tag can be printed, in their order."""
    return tuple(stock for stock in stocks if not refuses(stock, dots_per_inch=dots_per_inch))


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
    return sheets_pdf(
        laid_out(tags, stock, dpi), stock, title=TITLE, start_at=start_at, nudge_mm=nudge_mm, dpi=dpi, progress=progress
    )


def laid_out(tags: Sequence[Tag], stock: Stock, dpi: int | None = None) -> Iterator[tuple[Shape, ...]]:
    """Each tag's shapes on `stock`, all in one setting; no tags are refused with a ValueError."""
    if not tags:
        raise ValueError("There is no tag to print.")
    setting = setting_of(tags, dpi)
    return (lay_out(tag, stock, setting=setting) for tag in tags)
