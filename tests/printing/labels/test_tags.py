"""What stands on a tag, whole and apart, whatever the names are."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from printing.faces import printable
from printing.labels.label_parts import Gives, versions
from printing.labels.stock import Stock, TooSmall, stock_named
from printing.labels.tags import Tag, parts_of
from printing.shapes import Rule, Shape, Symbol, Text, Triangle, box
from tests.drawn import examples
from tests.printing.labels.papers import without_margins
from tests.printing.labels.printed import lay_out, stocks_for_tags, tags_pdf
from tests.printing.labels.tags import (
    INES,
    MIRA,
    PLACE,
    SLIP,
    STOCKS,
    any_tags,
    ink_of,
    label_of,
    odd_text,
    rendered,
    text_of,
)
from tests.printing.labels.words import FULL_TAG, TAG_WORDS

A4_21 = stock_named("A4, 3 x 7, 63.5 x 38.1 mm")
BIG_ROLL = stock_named("Roll, 100 x 50 mm")
SMALL_ROLL = stock_named("Roll, 57 x 32 mm")

Box = tuple[float, float, float, float]


def said(shapes: tuple[Shape, ...]) -> str:
    """All text of a tag, run after run."""
    return " ".join(shape.text for shape in shapes if isinstance(shape, Text))


def symbols(shapes: tuple[Shape, ...]) -> list[Symbol]:
    return [shape for shape in shapes if isinstance(shape, Symbol)]


def with_quiet(symbol: Symbol) -> Box:
    """A symbol's box with the blank it needs: beside bars, all around a QR (ISO/IEC 15417, ISO/IEC 18004)."""
    left, top, right, foot = box(symbol)
    quiet = symbol.quiet * symbol.module
    if len(symbol.rows) == 1:
        return left - quiet, top, right + quiet, foot
    return left - quiet, top - quiet, right + quiet, foot + quiet


def overlap(one: Box, other: Box) -> bool:
    slack = 1e-6
    return (
        one[0] < other[2] - slack
        and other[0] < one[2] - slack
        and one[1] < other[3] - slack
        and other[1] < one[3] - slack
    )


def lay_out_or_refused(tag: Tag, stock: Stock, dots_per_inch: int | None) -> tuple[Shape, ...]:
    """The shapes, or none when the stock refuses a tag that says more than it can hold."""
    try:
        return lay_out(tag, stock, dots_per_inch)
    except TooSmall:
        return ()


@examples(200)
@given(any_tags(), st.sampled_from(STOCKS), st.sampled_from((None, 203, 300, 600)))
@example(replace(MIRA, maker="W" * 60, what="", clay=""), SMALL_ROLL, 203)
def test_every_tag_stands_whole_and_apart_on_its_label_and_says_what_it_is_not_for(
    tag: Tag, stock: Stock, dots_per_inch: int | None
) -> None:
    shapes = lay_out_or_refused(tag, stock, dots_per_inch)

    for shape in shapes:
        left, top, right, foot = box(shape)
        assert left >= 0
        assert top >= 0
        assert right <= stock.label_width + 1e-9
        assert foot <= stock.label_height + 1e-9
    must_stand_apart(shapes, stock)
    assert not shapes or not tag.never or "not for food" in said(shapes)


def must_stand_apart(shapes: tuple[Shape, ...], stock: Stock) -> None:
    """Nothing stands on anything else, nor in a quiet zone."""
    for one, other in combinations(shapes, 2):
        first = with_quiet(one) if isinstance(one, Symbol) else box(one)
        second = box(other)
        same_line = isinstance(one, Text) and isinstance(other, Text) and one.y == other.y
        both_lines = isinstance(one, Text | Triangle) and isinstance(other, Text | Triangle)
        if both_lines and not same_line:
            first, second = x_height_box(one), x_height_box(other)
        assert not overlap(first, second), (one, other)
    for symbol in symbols(shapes):
        left, _, right, _ = with_quiet(symbol)
        assert left >= -1e-6
        assert right <= stock.label_width + 1e-6
        assert all(symbol is other or not overlap(with_quiet(symbol), box(other)) for other in shapes)


def x_height_box(shape: Shape) -> Box:
    """The box of a line's plain letters, for accents may reach into the line above as in any book."""
    left, top, right, foot = box(shape)
    return (left, shape.y - 0.668 * shape.size, right, foot) if isinstance(shape, Text) else (left, top, right, foot)


@pytest.mark.parametrize("dots_per_inch", [None, 203, 300, 600])
def test_a_usual_tag_is_refused_by_no_stock_that_is_offered(dots_per_inch: int | None) -> None:
    for stock in stocks_for_tags(dots_per_inch):
        for tag in (MIRA, INES, SLIP, replace(MIRA, reprint=True), replace(SLIP, reprint=True)):
            shapes = lay_out(tag, stock, dots_per_inch)

            assert tag.name in said(shapes)
            assert printable(tag.maker) in said(shapes)


@pytest.mark.parametrize("stock", [A4_21, BIG_ROLL], ids=lambda stock: stock.name)
def test_a_full_tag_stands_there_whole(stock: Stock) -> None:
    text = said(lay_out(FULL_TAG, stock))

    assert "…" not in text
    full = FULL_TAG
    for words in (full.code, full.maker, full.what, full.clay, full.route, full.never, *full.warnings):
        assert words is not None
        assert words in text


def test_every_warning_has_a_drawn_triangle() -> None:
    shapes = lay_out(MIRA, BIG_ROLL)

    assert sum(isinstance(shape, Triangle) for shape in shapes) == len((MIRA.never, *MIRA.warnings))


def test_a_decorative_piece_is_marked_even_where_nothing_else_is_warned_of() -> None:
    shapes = lay_out(replace(MIRA, warnings=()), BIG_ROLL)

    assert "decorative, not for food" in said(shapes)


def test_a_greenware_slip_says_that_its_code_comes_with_the_bisque() -> None:
    text = said(lay_out(SLIP, SMALL_ROLL))

    assert text.startswith("W1042")
    assert "code issued after bisque" in text


def test_a_tag_printed_again_says_so() -> None:
    for tag in (MIRA, INES, SLIP):
        for stock in STOCKS:
            assert "reprint" in said(lay_out(replace(tag, reprint=True), stock))
            assert "reprint" not in said(lay_out(tag, stock))


def test_more_warnings_than_have_room_are_counted() -> None:
    warnings = tuple(f"warning number {number} of a long row" for number in range(9))

    text = said(lay_out(replace(MIRA, warnings=warnings), A4_21))

    left_out = sum(warning not in text for warning in warnings)
    assert left_out
    assert f"and {left_out} more: see page" in text


def test_a_tag_gives_way_by_the_names_then_the_route_then_the_other_warnings() -> None:
    ways = [part.gives for part in parts_of(MIRA, TAG_WORDS)]
    said_less = [[part.text for part in parts] for parts in versions(parts_of(MIRA, TAG_WORDS))]

    decorative, porcelain = MIRA.never, *MIRA.warnings
    assert list(Gives) == [Gives.NEVER, Gives.SHRINKS, Gives.LEAVES, Gives.COUNTED]
    assert ways == [Gives.SHRINKS, Gives.NEVER, Gives.COUNTED, Gives.LEAVES]
    assert said_less == [
        [MIRA.maker, decorative, porcelain, MIRA.route],
        [MIRA.maker, decorative, porcelain],
        [MIRA.maker, decorative, "and 1 more: see page"],
    ]


def test_names_shrink_while_the_route_stands_and_warnings_are_counted_once_it_went() -> None:
    wordy = replace(MIRA, maker="Bartholomew-Alexander Konstantin-Emanuel Q.", clay="speckled stoneware with grog")
    warned = replace(MIRA, warnings=(*MIRA.warnings, *(f"warning number {n} of a long row" for n in range(9))))

    shrunk = counted = 0
    for stock in STOCKS:
        for tag in (MIRA, INES, SLIP, wordy, warned):
            text = said(lay_out(tag, stock))
            has_route = not tag.route or tag.route in text
            shrunk += has_route and f"slip {tag.slip}" not in text and tag is wordy
            counted += "more: see page" in text
            # A warning is left to the page only after the route is.
            assert has_route or "more: see page" in text or all(warning in text for warning in tag.warnings)
            assert "more: see page" not in text or not tag.route or tag.route not in text
    assert shrunk
    assert counted


def test_a_long_name_is_shortened_and_never_moves_the_code() -> None:
    plain = lay_out(MIRA, A4_21)
    long = lay_out(replace(MIRA, maker="Bartholomew-Alexander Konstantin-Emanuel Q."), A4_21)

    assert long[:4] == plain[:4]
    assert "Bartholomew" in said(long)
    assert "…" in said(long)


def test_a_cone_is_never_cut_into_another_cone() -> None:
    route = "outdoor kiln behind the wood shed, raku, cone 10, 1285 °C, second round after the noon break"

    for stock in STOCKS:
        for cut in routes_cut(said(lay_out(replace(MIRA, route=route, warnings=()), stock))):
            assert route.startswith(cut + ", ")


def routes_cut(text: str) -> Iterator[str]:
    if "outdoor kiln" in text:
        shown = "outdoor kiln" + text.partition("outdoor kiln")[2]
        if shown.endswith("…"):
            yield shown.removesuffix("…")


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("Řehoř Ł.", "Řehoř Ł."),
        ("Ngu\u1ebf T.", "Ngu\u1ebf T."),
        ("李 Mei", "李 Mei"),
        ("\U00012000\U0001f3fa", ""),
        ("a\nb", "a b"),
        ("\ud800x\u200b", "x"),
    ],
)
def test_a_name_prints_with_the_letters_the_faces_have(name: str, shown: str) -> None:
    printed = printable(name)

    assert printed == shown
    assert (shown or "maker: see page") in said(lay_out(replace(MIRA, maker=name), BIG_ROLL))


@pytest.mark.parametrize("dots_per_inch", [203, 300, 600])
def test_a_module_is_whole_printer_dots(dots_per_inch: int) -> None:
    head = {203: 203.2}.get(dots_per_inch, dots_per_inch)

    bars, qr = symbols(lay_out(MIRA, BIG_ROLL, dots_per_inch))

    for symbol in (bars, qr):
        dots = symbol.module * head / 25.4
        assert dots == pytest.approx(round(dots))
    assert 0.338 <= bars.module <= 0.38
    assert bars.row_height >= max(12, 0.25 * bars.module * bars.modules)
    assert qr.module * qr.modules >= 14.5 - 1e-6


def test_a_rule_to_copy_the_code_on_runs_under_all_of_it() -> None:
    for stock in STOCKS:
        shapes = lay_out(MIRA, stock)
        code = next(shape for shape in shapes if isinstance(shape, Text) and shape.text == MIRA.name)
        rule = next(shape for shape in shapes if isinstance(shape, Rule))

        assert rule.y > code.y
        assert rule.width == pytest.approx(code.width, rel=0.07)
        assert all(code.size > 2 * other.size for other in shapes if isinstance(other, Text) and other is not code)


def test_printing_starts_at_the_label_asked_for_and_goes_on_overleaf() -> None:
    pdf = tags_pdf([MIRA, INES, SLIP], A4_21, start_at=20)

    first, second = rendered(pdf, 60), rendered(pdf, 60, page=1)
    used = [[ink_of(label_of(page, A4_21, place, 60)).any() for place in range(21)] for page in (first, second)]
    assert used[0] == [False] * 19 + [True, True]
    assert used[1] == [True] + [False] * 20


def test_a_nudge_moves_all_ink_by_just_that() -> None:
    plain = ink_of(rendered(tags_pdf([MIRA], A4_21), 254)).copy()
    nudged = ink_of(rendered(tags_pdf([MIRA], A4_21, nudge_mm=(1.0, -0.5)), 254)).copy()

    # The sheet's own words stand still.
    for ink in (plain, nudged):
        without_margins(ink, A4_21, 254)
    moved = np.roll(plain, (-5, 10), axis=(0, 1))
    assert np.count_nonzero(moved ^ nudged) < 0.02 * np.count_nonzero(plain)


def test_the_text_of_a_tag_can_be_selected() -> None:
    text = text_of(tags_pdf([replace(MIRA, maker="Řehoř Ł.")], BIG_ROLL))

    for words in ("K7R43", "Řehoř Ł.", "not for food", "cone 06, 998 °C"):
        assert words in text


def test_progress_is_told_once_for_each_tag() -> None:
    told: list[int] = []

    tags_pdf([MIRA, INES], A4_21, progress=told.append)

    assert told == [1, 1]


@pytest.mark.parametrize(
    ("tags", "start_at", "says"), [([], 1, "no tag"), ([MIRA], 0, "1 to 21"), ([MIRA], 22, "1 to 21")]
)
def test_an_impossible_printing_is_refused(tags: list[Tag], start_at: int, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        tags_pdf(tags, A4_21, start_at=start_at)


def test_tags_of_one_printing_look_alike_however_short_a_slip_number_is() -> None:
    short = replace(SLIP, slip="W7", address=f"{PLACE}W7")

    pdf_shapes = [lay_out(tag, A4_21) for tag in (MIRA, short)]

    sizes = [{round(shape.size, 6) for shape in shapes if isinstance(shape, Text)} for shapes in pdf_shapes]
    assert sizes[0] == sizes[1]


@pytest.mark.parametrize("name", ["", "k7r43", "K7 R43", "K7R43\n", "ÄÖ", "(K7)"])
def test_a_name_no_hand_could_copy_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match="capitals and digits"):
        replace(MIRA, code=name)


@given(odd_text)
def test_any_text_becomes_one_line_of_letters_the_faces_have(text: str) -> None:
    shown = printable(text)

    assert shown == " ".join(shown.split())
    assert printable(shown) == shown
