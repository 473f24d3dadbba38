"""Measurements of labels that contradict each other are refused at the one to put right."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tracker.domain.labels.stock import BadStock, LabelStock

SHEETS = Path(__file__).parents[2] / "reference" / "label_sheets.csv"
"""Published templates' geometry; the last column says how each row is known."""

PAGES = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
PLAIN: dict[str, Any] = {
    "name": "Ours",
    "label_width_mm": 60.0,
    "label_height_mm": 40.0,
    "page_width_mm": 210.0,
    "page_height_mm": 297.0,
    "columns": 3,
    "rows": 7,
    "left_mm": 10.0,
    "top_mm": 8.0,
    "pitch_x_mm": 64.0,
    "pitch_y_mm": 40.0,
}


def rows() -> list[dict[str, str]]:
    with SHEETS.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['page']} {row['columns']} x {row['rows']}")
def test_every_published_sheet_could_be_a_studios_own(row: dict[str, str]) -> None:
    width, height = PAGES[row["page"]]

    stock = LabelStock(
        name="ours",
        label_width_mm=float(row["label_w_mm"]),
        label_height_mm=float(row["label_h_mm"]),
        page_width_mm=width,
        page_height_mm=height,
        columns=int(row["columns"]),
        rows=int(row["rows"]),
        left_mm=float(row["left_mm"]),
        top_mm=float(row["top_mm"]),
        pitch_x_mm=float(row["pitch_x_mm"]),
        pitch_y_mm=float(row["pitch_y_mm"]),
    )

    assert not stock.is_roll


@pytest.mark.parametrize(
    ("wrong", "fact", "code"),
    [
        ({"name": " "}, "name", "stock-without-name"),
        ({"label_width_mm": 4.0}, "label_width_mm", "label-outside"),
        ({"page_height_mm": None}, "page_height_mm", "page-outside"),
        ({"columns": 0}, "columns", "labels-on-page"),
        ({"rows": 400}, "columns", "labels-on-page"),
        ({"pitch_x_mm": 50.0}, "pitch_x_mm", "pitch-too-small"),
        ({"pitch_y_mm": 39.9}, "pitch_y_mm", "pitch-too-small"),
        ({"left_mm": 25.0}, "left_mm", "labels-past-page"),
        ({"top_mm": 20.0}, "top_mm", "labels-past-page"),
        ({"page_width_mm": None, "page_height_mm": None}, "page_width_mm", "labels-without-page"),
        ({"label_height_mm": 0.0}, "label_height_mm", "label-outside"),
        ({"label_width_mm": 1001.0}, "label_width_mm", "label-outside"),
        ({"page_width_mm": 0.0}, "page_width_mm", "page-outside"),
        ({"page_height_mm": 1001.0}, "page_height_mm", "page-outside"),
        ({"pitch_x_mm": 0.0}, "pitch_x_mm", "pitch-too-small"),
        ({"pitch_y_mm": -40.0}, "pitch_y_mm", "pitch-too-small"),
        ({"left_mm": -0.5}, "left_mm", "label-before-page"),
        ({"top_mm": float("nan")}, "top_mm", "not-a-plain-length"),
        ({"pitch_x_mm": float("nan")}, "pitch_x_mm", "not-a-plain-length"),
        ({"left_mm": float("inf")}, "left_mm", "not-a-plain-length"),
    ],
)
def test_what_would_print_beside_its_labels_is_refused(wrong: dict[str, Any], fact: str, code: str) -> None:
    with pytest.raises(BadStock) as refused:
        LabelStock(**{**PLAIN, **wrong})

    assert (refused.value.fact, refused.value.message.code) == (fact, code)
    assert said(refused.value.message).endswith(".")


def test_a_roll_is_as_large_as_its_label_and_begins_where_that_does() -> None:
    roll = LabelStock(name="Roll", label_width_mm=54, label_height_mm=25)

    assert roll.is_roll
    assert (roll.page, roll.pitch) == ((54, 25), (54, 25))
    with pytest.raises(BadStock, match="roll-with-margin"):
        LabelStock(name="Roll", label_width_mm=54, label_height_mm=25, left_mm=1)


def test_of_one_column_the_pitch_across_means_nothing() -> None:
    stock = LabelStock(**{**PLAIN, "columns": 1, "pitch_x_mm": 0.0})

    assert stock.pitch == (0.0, 40.0)


_mm = st.floats(0.5, 120, allow_nan=False)


@given(
    label=st.tuples(st.floats(5, 120), st.floats(5, 120)),
    grid=st.tuples(st.integers(1, 6), st.integers(1, 15)),
    at=st.tuples(_mm, _mm),
    gap=st.tuples(st.floats(0, 20), st.floats(0, 20)),
)
def test_whatever_is_taken_lies_on_its_page_label_beside_label(
    label: tuple[float, float], grid: tuple[int, int], at: tuple[float, float], gap: tuple[float, float]
) -> None:
    pitch = label[0] + gap[0], label[1] + gap[1]
    ends = [first + (count - 1) * step + side for first, count, step, side in zip(at, grid, pitch, label, strict=True)]
    facts: dict[str, Any] = {
        "name": "any",
        "label_width_mm": label[0],
        "label_height_mm": label[1],
        "page_width_mm": 210.0,
        "page_height_mm": 297.0,
        "columns": grid[0],
        "rows": grid[1],
        "left_mm": at[0],
        "top_mm": at[1],
        "pitch_x_mm": pitch[0],
        "pitch_y_mm": pitch[1],
    }

    if ends[0] <= 210 and ends[1] <= 297:
        assert LabelStock(**facts).columns == grid[0]
    elif ends[0] > 210.1 or ends[1] > 297.1:
        with pytest.raises(BadStock):
            LabelStock(**facts)
