"""What goes home on paper: the warning first and large, nothing lost, nothing on anything else."""

from __future__ import annotations

from dataclasses import replace

import pytest
import uharfbuzz

from printing.labels.home_papers import CareCard, PickupSlip, SlipLine, StickOn, care_card, pickup_slips, stick_on
from printing.labels.label_parts import Label
from printing.labels.labels import lay_out, refuses
from printing.labels.stock import CARD_PAPERS, STOCKS, Lack, Stock, stock_named
from printing.shapes import X_HEIGHT, Text, Triangle
from tests.printing.labels.papers import (
    ALL_STOCKS,
    HARD,
    cap_height,
    must_stand_apart,
    read_at_203,
    said,
    size_of,
)
from tests.printing.labels.printed import labels_pdf
from tests.printing.labels.words import CARE_WORDS, SLIP_WORDS

A6 = CARD_PAPERS[0]
BIG_ROLL = stock_named("Roll, 100 x 50 mm")
VASE = CareCard(
    first="Decorative, not for food or drink",
    is_warning=True,
    says="",
    code="K7R43",
    whose="tall vase, Mira T.",
    made_of="white porcelain; raku crackle; fired raku, cone 06, 998 °C",
    care=("Keep it dry.", "Dust it with a dry cloth."),
    base="“NOT FOR FOOD OR DRINK” in letters at least 3.2 mm high; a hole through it does the same.",
    caution="Only a lab test, not this card, says whether ware is fit for food.",
    studio="Come and see us fire, Cinder Lane studio",
    said=CARE_WORDS,
)
BOWL = replace(
    VASE,
    first="Not shown to be food-safe",
    is_warning=False,
    says="Functional, but not shown to be food-safe.",
    code="HX5NA",
    whose="soup bowl, Mira T.",
    tested=("Still Water: release of lead, within the limits.",),
    untested=("Still Water: release of cadmium.", "This very piece."),
    base="",
)
# The first wording of 21 CFR 109.16 (from memory), and short words of our own.
WARNINGS = ("Not for Food Use. May Poison Food.", "NOT FOR FOOD OR DRINK")
SLIP = PickupSlip(
    maker="Ines Pell",
    when="Mar 3, 2026, Cinder Lane studio",
    said=SLIP_WORDS,
    lines=(
        SlipLine(code="K7R43", what="lidded jar", warning="Decorative, not for food or drink"),
        SlipLine(code="HX5NA", what="soup bowl"),
    ),
    caution="Only a lab test, not this slip, says whether ware is fit for food.",
)


def laid_or_refused(label: Label, stock: Stock, dpi: int | None = None) -> tuple[object, ...]:
    """Whatever stands on the label is apart from the rest; nothing where the stock refuses it."""
    if refuses(label, stock, dpi):
        return ()
    shapes = lay_out(label, stock, dpi)
    must_stand_apart(shapes, stock)
    return shapes


@pytest.mark.parametrize("dpi", [None, 203])
@pytest.mark.parametrize("name", HARD, ids=range(len(HARD)))
def test_a_card_stands_whole_on_every_stock_whatever_the_names(name: str, dpi: int | None) -> None:
    for card in (VASE, BOWL):
        hard = replace(card, whose=name, made_of=name, studio=name)
        for stock in (A6, CARD_PAPERS[2], BIG_ROLL, stock_named("A4, 2 x 4, 99.06 x 67.73 mm")):
            shapes = laid_or_refused(care_card(hard), stock, dpi)
            texts = [shape.text for shape in shapes if isinstance(shape, Text)]
            assert not shapes or card.code in texts


def test_every_stock_holds_a_card_or_says_what_would_not_fit() -> None:
    held = [stock for stock in ALL_STOCKS if laid_or_refused(care_card(VASE), stock)]

    assert {*CARD_PAPERS, BIG_ROLL} <= set(held)
    (reason,) = refuses(care_card(VASE), stock_named("Letter, 4 x 20, 44.45 x 12.7 mm"))
    assert reason.what is Lack.BARS


@pytest.mark.parametrize("stock", [*CARD_PAPERS, BIG_ROLL], ids=lambda stock: stock.name)
def test_decorative_ware_says_so_first_and_largest(stock: Stock) -> None:
    shapes = lay_out(care_card(VASE), stock)

    first = next(shape for shape in shapes if isinstance(shape, Text))
    assert first.text.startswith("Decorative")
    assert said(shapes).startswith("Decorative, not for food or drink")
    others = [
        shape for shape in shapes if isinstance(shape, Text) and shape.text not in "Decorative, not for food or drink"
    ]
    assert all(first.size > other.size for other in others)
    assert isinstance(shapes[0], Triangle)
    # 21 CFR 109.16 asks for letters an eighth of an inch high on such a label (from memory).
    assert cap_height(shapes, "Decorative") >= 3.2 - 1e-6


def test_ware_for_food_says_what_was_tested_and_what_was_not() -> None:
    shapes = lay_out(care_card(BOWL), A6)
    text = said(shapes)

    assert text.index("Not shown to be food-safe") < text.index("Tested") < text.index("Not tested")
    assert text.index("release of lead") < text.index("Not tested") < text.index("This very piece.")
    assert "Come and see us fire, Cinder Lane studio" in text


@pytest.mark.parametrize("warning", WARNINGS)
@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_the_stick_on_is_conspicuous_or_refused(stock: Stock, warning: str) -> None:
    sticker = stick_on(StickOn(warning=warning, why="Decorative piece.", code="K7R43, Cinder Lane studio"))
    shapes = laid_or_refused(sticker, stock)

    if shapes:
        texts = tuple(shape for shape in shapes if isinstance(shape, Text))
        first = texts[0].text
        assert said(texts).startswith(warning)
        assert size_of(texts, first) == max(text.size for text in texts)
        # 21 CFR 109.16 (from memory): letters at least 3.2 mm high, and so the lowest of them.
        lowest = X_HEIGHT * size_of(texts, first) if warning != warning.upper() else cap_height(texts, first)
        assert lowest >= 3.2 - 1e-6
    else:
        assert stock.label_height < 26 or stock.label_width < 40


def test_small_letters_are_as_high_as_the_face_draws_them() -> None:
    font = uharfbuzz.Font(uharfbuzz.Face(uharfbuzz.Blob.from_file_path("printing/fonts/next-bold.ttf")))

    x = font.get_glyph_extents(font.get_nominal_glyph(ord("x")))

    assert -x.height / font.face.upem == pytest.approx(X_HEIGHT, abs=0.002)


def test_a_slip_lists_every_piece_and_leaves_a_line_to_sign() -> None:
    (label,) = pickup_slips(SLIP, A6)
    text = said(lay_out(label, A6))

    assert all(words in text for words in ("Ines Pell", "K7R43", "lidded jar", "HX5NA", "soup bowl", "Taken by"))
    assert text.index("K7R43") < text.index("Decorative, not for food or drink") < text.index("HX5NA")
    must_stand_apart(lay_out(label, A6), A6)


def test_more_pieces_than_one_slip_holds_go_on_to_the_next() -> None:
    lines = tuple(replace(SLIP.lines[0], code=f"K7R{number:02}") for number in range(30))

    slips = pickup_slips(replace(SLIP, lines=lines), A6)
    texts = [said(lay_out(one, A6)) for one in slips]

    assert len(slips) > 1
    assert all(f"Pickup, {number} of {len(slips)}" in text for number, text in enumerate(texts, 1))
    assert all(sum(line.code in text for text in texts) == 1 for line in lines)


def test_a_name_the_faces_cannot_print_is_looked_up_on_its_page() -> None:
    assert "maker: see page" in said(lay_out(care_card(replace(VASE, whose="\U0001f3fa")), A6))


def test_the_bars_of_a_card_read_back_from_a_thermal_print() -> None:
    for stock in (BIG_ROLL, A6):
        assert read_at_203(labels_pdf([care_card(VASE)], stock, dpi=203)) == {"K7R43"}


def test_printing_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="nothing to print"):
        labels_pdf([], A6)
