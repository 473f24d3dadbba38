"""The studio's own labels: large, whole, apart, and read back by a reader that shares no code with us."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from printing.labels.labels import lay_out, refuses
from printing.labels.stock import CARD_PAPERS, Lack, Stock, TooSmall, stock_named
from printing.labels.studio_labels import (
    Bucket,
    KilnDoor,
    badge,
    bucket_label,
    command_label,
    container_label,
    kiln_card,
    shelf_label,
)
from printing.shapes import CAP_HEIGHT, Symbol, Text, Triangle
from tests.printing.labels.papers import (
    ALL_STOCKS,
    HARD,
    ink_outside,
    must_be_a_whole_pdf,
    must_stand_apart,
    read_at_203,
    said,
    size_of,
)
from tests.printing.labels.printed import labels_pdf
from tests.printing.labels.words import UNREADABLE

if TYPE_CHECKING:
    from pathlib import Path

A6 = CARD_PAPERS[0]
SHEET = stock_named("A4, 3 x 7, 63.5 x 38.1 mm")
ROLL = stock_named("Roll, 57 x 32 mm")
BIG_ROLL = stock_named("Roll, 100 x 50 mm")
RACK = shelf_label("rack 3", "S.rack 3", "Scan this, then each piece you put here.")


@pytest.mark.parametrize("dots_per_inch", [203, 300, 600])
def test_a_bar_is_whole_dots_wide(dots_per_inch: int) -> None:
    head = {203: 203.2}.get(dots_per_inch, dots_per_inch)

    (symbol,) = (shape for shape in lay_out(RACK, SHEET, dots_per_inch) if isinstance(shape, Symbol))

    dots = symbol.module * head / 25.4
    assert dots == pytest.approx(round(dots))
    assert 0.246 <= symbol.module <= 0.504


def test_a_shelfs_name_is_the_largest_thing_on_its_label() -> None:
    shapes = lay_out(RACK, BIG_ROLL)

    assert size_of(shapes, "rack 3") > 3 * size_of(shapes, "Scan this")


@pytest.mark.parametrize("name", HARD[1:], ids=range(len(HARD) - 1))
def test_no_name_pushes_the_bars_aside(name: str) -> None:
    shapes = lay_out(shelf_label(name, "S.rack 3", "Scan this.", unreadable=UNREADABLE), BIG_ROLL)

    must_stand_apart(shapes, BIG_ROLL)
    assert any(isinstance(shape, Symbol) for shape in shapes)
    assert any(isinstance(shape, Text) for shape in shapes)


@pytest.mark.parametrize(
    ("name", "bar"), [("rack 3", "S.rack 3"), ("Régal 2", "S.R%C3%A9gal 2"), ("board 12, left", "S.board 12, left")]
)
def test_a_shelfs_bars_read_back_from_a_thermal_print(name: str, bar: str) -> None:
    assert read_at_203(labels_pdf([shelf_label(name, bar)], BIG_ROLL, dpi=203)) == {bar}


def test_a_name_too_long_for_the_bars_is_refused_with_the_room_it_needs() -> None:
    with pytest.raises(TooSmall) as refused:
        lay_out(shelf_label("the long shelf behind the second kiln", "S.the long shelf behind the second kiln"), ROLL)

    (reason,) = refused.value.reasons
    assert (refused.value.stock, reason.what) == (ROLL, Lack.BARS)
    assert reason.width > ROLL.label_width


def test_a_sheet_of_shelf_labels_is_a_sound_file_with_no_ink_elsewhere(tmp_path: Path) -> None:
    labels = [shelf_label(f"rack {number}", f"S.rack {number}") for number in range(1, 6)]

    pdf = labels_pdf(labels, SHEET, dpi=203)

    assert pdf == labels_pdf(list(labels), SHEET, dpi=203)
    assert read_at_203(pdf) == {f"S.rack {number}" for number in range(1, 6)}
    assert not ink_outside(pdf, SHEET, 5)
    must_be_a_whole_pdf(pdf, tmp_path)


# ---- buckets, kiln doors, badges, containers -------------------------------------------------------------------------

SLATE = Bucket(
    name="Autumn slate",
    matures="mid-range: cone 5 to 6, 1186 to 1222 °C",
    goes_on="Apply by brush and dip",
    food="Food: decorative",
    limits=("Never hotter than cone 6, 1222 °C", "Never on ware for food"),
    metals="Holds copper and manganese",
    stands="shelf 2",
    dust="The dust is not for breathing: clean up wet.",
    unreadable=UNREADABLE,
    bar="B.Autumn slate",
)
DOOR = KilnDoor(
    name="Front kiln",
    place="kiln room",
    fires=("Bisque: cone 06, 998 °C", "Mid-range: cone 6, 1222 °C"),
    never_head="Do not fire in this kiln",
    never=("Glazes made for the outdoor kiln.",),
    cautions_head="In every firing",
    cautions=("Local fire and burning rules come before anything shown here.",),
    studio="Cinder Lane studio",
    unreadable=UNREADABLE,
)
LABELS = {
    "shelf": RACK,
    "bucket": bucket_label(SLATE),
    "kiln door": kiln_card(DOOR),
    "badge": badge("Mira Tann", "staff", "Cinder Lane studio", "U.Mira Tann"),
    "container": container_label("B2", "Yard drum"),
    "command": command_label("Mark rest good and unload", "Unloading", "ODHNHRTEO"),
}


@pytest.mark.parametrize("stock", ALL_STOCKS, ids=lambda stock: stock.name)
@pytest.mark.parametrize("kind", LABELS)
def test_each_label_stands_whole_on_its_stock_or_says_what_does_not_fit(kind: str, stock: Stock) -> None:
    label = LABELS[kind]

    for dpi in (None, 203, 300, 600) if kind == "shelf" else (None, 203):
        if reasons := refuses(label, stock, dpi):
            assert reasons[0].what in {Lack.TEXT, Lack.WORDS, Lack.BARS}
        else:
            must_stand_apart(lay_out(label, stock, dpi), stock)


@pytest.mark.parametrize("name", HARD[1:], ids=range(len(HARD) - 1))
def test_no_name_of_a_glaze_a_kiln_or_a_person_breaks_a_label(name: str) -> None:
    for label in (
        bucket_label(replace(SLATE, name=name, stands=name)),
        kiln_card(replace(DOOR, name=name, place=name)),
        badge(name, "staff", name, "U.Mira Tann", unreadable=UNREADABLE),
    ):
        must_stand_apart(lay_out(label, A6), A6)


def test_a_bucket_says_what_it_must_never_do_and_what_is_in_it_with_a_sign() -> None:
    shapes = lay_out(LABELS["bucket"], BIG_ROLL)
    text = said(shapes)

    for words in (
        "Autumn slate",
        "1222 °C",
        "Food: decorative",
        "Never on ware for food",
        "Holds copper and manganese",
    ):
        assert words in text
    assert sum(isinstance(shape, Triangle) for shape in shapes) == 3


def test_a_number_keeps_its_unit_on_its_line() -> None:
    for stock in ALL_STOCKS:
        if not refuses(LABELS["bucket"], stock):
            texts = [shape.text for shape in lay_out(LABELS["bucket"], stock) if isinstance(shape, Text)]
            assert not any(text.startswith("°C") for text in texts)


def test_a_container_number_is_as_large_as_its_label_allows() -> None:
    shapes = lay_out(container_label("B2", ""), BIG_ROLL)

    assert CAP_HEIGHT * size_of(shapes, "B2") > 20


@pytest.mark.parametrize(("kind", "bar"), [("bucket", "B.Autumn slate"), ("badge", "U.Mira Tann")])
def test_the_bars_of_a_bucket_and_a_badge_read_back_from_a_thermal_print(kind: str, bar: str, tmp_path: Path) -> None:
    pdf = labels_pdf([LABELS[kind]], BIG_ROLL, dpi=203)

    assert read_at_203(pdf) == {bar}
    must_be_a_whole_pdf(pdf, tmp_path)
