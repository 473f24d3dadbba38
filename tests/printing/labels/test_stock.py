"""Label stock against published measurements, and the stocks that cannot hold a tag."""

import csv
from pathlib import Path

import pytest

from printing.labels.labels import refuses
from printing.labels.stock import PAGES, STOCKS, Lack, Stock, TooSmall, check_nudge, stock_named
from printing.labels.tags import usual_tag
from tests.printing.labels.printed import lay_out, stocks_for_tags, tags_pdf
from tests.printing.labels.tags import MIRA
from tests.printing.labels.words import USUAL

SHEETS = Path(__file__).parents[2] / "reference" / "label_sheets.csv"
"""Published templates' geometry; the last column says how each row is known."""

Measures = tuple[tuple[float, float], int, int, float, float, float, float, float, float]


def published_sheets() -> set[Measures]:
    with SHEETS.open(encoding="utf-8", newline="") as file:
        return {
            (
                PAGES[row["page"]],
                int(row["columns"]),
                int(row["rows"]),
                float(row["label_w_mm"]),
                float(row["label_h_mm"]),
                float(row["left_mm"]),
                float(row["top_mm"]),
                float(row["pitch_x_mm"]),
                float(row["pitch_y_mm"]),
            )
            for row in csv.DictReader(file)
        }


def measures(stock: Stock) -> Measures:
    return (
        (stock.page_width, stock.page_height),
        stock.columns,
        stock.rows,
        stock.label_width,
        stock.label_height,
        stock.left,
        stock.top,
        stock.pitch_x,
        stock.pitch_y,
    )


def test_the_sheets_are_the_published_ones_and_all_of_them() -> None:
    ours = {measures(stock) for stock in STOCKS if not stock.is_roll}

    assert ours == published_sheets()


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_every_label_lies_on_the_page_and_none_on_another(stock: Stock) -> None:
    last_x, last_y = stock.corner(stock.per_page - 1)

    assert last_x + stock.label_width <= stock.page_width + 1e-9
    assert last_y + stock.label_height <= stock.page_height + 1e-9
    assert stock.columns == 1 or stock.pitch_x >= stock.label_width
    assert stock.rows == 1 or stock.pitch_y >= stock.label_height


def test_a_stock_is_found_by_its_plain_name_whatever_the_case() -> None:
    found = stock_named("a4, 3 x 7,  63.5 X 38.1 mm")

    assert found.per_page == 21
    assert len({stock.name for stock in STOCKS}) == len(STOCKS)


def test_an_unknown_stock_is_answered_with_the_names_there_are() -> None:
    with pytest.raises(ValueError, match="Roll, 57 x 32 mm"):
        stock_named("Roll, 5 x 3 mm")


@pytest.mark.parametrize(
    ("name", "missing"),
    [
        ("Letter, 4 x 20, 44.45 x 12.7 mm", Lack.TAG_BARS),
        ("Letter, 4 x 20, 44.45 x 12.7 mm", Lack.TAG_QR),
        ("A4, 5 x 13, 38.1 x 21.17 mm", Lack.TAG_CODE),
        ("A4, 4 x 11, 48.3 x 25.4 mm", Lack.TAG_WORDS),
    ],
)
def test_a_stock_too_small_is_refused_naming_what_does_not_fit(name: str, missing: Lack) -> None:
    small = stock_named(name)

    with pytest.raises(TooSmall) as refused:
        tags_pdf([MIRA], small)

    assert refused.value.stock == small
    assert missing in {reason.what for reason in refused.value.reasons}
    assert refuses(usual_tag(USUAL), small) == refused.value.reasons
    assert small not in stocks_for_tags()


def test_the_common_sheets_and_every_roll_hold_a_tag_on_every_printer() -> None:
    wanted = [stock_named("A4, 3 x 7, 63.5 x 38.1 mm"), *(stock for stock in STOCKS if stock.is_roll)]

    for dots_per_inch in (None, 203, 300, 600):
        fitting = stocks_for_tags(dots_per_inch)

        assert all(stock in fitting for stock in wanted)
        assert all(lay_out(MIRA, stock, dots_per_inch) for stock in fitting)


def test_a_printer_nobody_measured_is_refused() -> None:
    with pytest.raises(ValueError, match="203, 300 or 600"):
        lay_out(MIRA, STOCKS[0], 72)


@pytest.mark.parametrize("nudge", [(0.25, 0.0), (0.0, 10.5), (float("nan"), 0.0), (float("inf"), 0.0)])
def test_a_nudge_goes_by_half_millimetres_and_not_far(nudge: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="half millimetres"):
        check_nudge(nudge)
