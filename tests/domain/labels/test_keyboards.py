"""Scanners that type as on a US keyboard are read at computers of any layout, or asked about; never read as another."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as some

from tracker.domain.labels.keyboards import Fit, Layout, as_meant, as_typed, letters_of_codes, typed_for
from tracker.domain.labels.studio_bars import Sort, bar_text
from tracker.domain.labels.trial_bars import TrialBar, layout_found, swapped, tried
from tracker.domain.pieces.codes import ALPHABET, code_number, is_issuable, likely_slips, read, read_slip, space
from tracker.domain.pieces.scanned import as_scanned

ROWS = list(
    csv.DictReader(
        (Path(__file__).parents[2] / "reference/keyboard_layouts.csv").read_text(encoding="utf-8").splitlines()
    )
)
"""What each key types by itself and with Shift: xkeyboard-config 2.35, read through libxkbcommon."""

layouts = some.sampled_from(Layout)
codes = some.integers(0, space() - 1).map(code_number).filter(is_issuable)
prefixes = some.sampled_from(("", "]C1", "]C0"))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["layout"])
def test_each_layout_shows_the_keys_of_a_us_keyboard_as_published(row: dict[str, str]) -> None:
    us = ROWS[0]["plain"] + ROWS[0]["shifted"]

    shown = typed_for(Layout(row["layout"]))
    assert {key: shown[key] for key in us} == {
        key: letter.strip() for key, letter in zip(us, row["plain"] + row["shifted"], strict=True)
    }
    assert {one["layout"] for one in ROWS} == set(Layout)


@given(codes, layouts, prefixes)
def test_a_code_is_read_as_itself_on_any_keyboard_or_asked_about(code: str, layout: Layout, prefix: str) -> None:
    reading = read(as_typed(prefix + code, layout))

    assert reading.code == code or (reading.code is None and (prefix or code in reading.likely))


def test_of_a_thousand_codes_on_each_keyboard_hardly_one_has_to_be_asked_about() -> None:
    some_codes = [code for code in map(code_number, range(0, space(), space() // 1000)) if is_issuable(code)]

    for layout in Layout:
        asked = [code for code in some_codes if read(as_typed(code, layout)).code != code]
        assert len(asked) <= 3, (layout, asked)


def test_a_letter_of_another_keyboard_stands_for_no_symbol_of_a_hand() -> None:
    # As a hand wrote it, the é could be any symbol and the Q a D: two codes, and neither of them was scanned.
    assert read(as_typed("2ADDP", Layout.FRENCH)).code == "2ADDP"


@pytest.mark.parametrize(("arrived", "meant"), [("Z&à'é", 1042), ("XýéčšE", None), ("W1042", None)])
def test_a_ticket_has_no_check_symbol_so_it_is_asked_about(arrived: str, meant: int | None) -> None:
    assert likely_slips(arrived) == (() if meant is None else (meant,))
    if meant is not None:
        assert read_slip(arrived) is None


@given(codes, layouts)
def test_a_code_typed_by_hand_stays_what_it_is_at_any_station(code: str, layout: Layout) -> None:
    assert read(as_scanned(code, layout)).code == code


@given(some.text("aAqQzZyYwWmM 0123456789.-", min_size=1, max_size=12).map(str.strip).filter(bool), layouts)
def test_a_shelfs_label_is_read_right_at_a_station_that_was_set_up(name: str, layout: Layout) -> None:
    text = bar_text(Sort.SHELF, name)

    assert as_scanned(as_typed(text, layout), layout) == text


@pytest.mark.parametrize("layout", Layout)
@pytest.mark.parametrize("prefix", ["", "]C1"])
def test_the_three_test_bars_tell_which_keyboard_a_computer_has(layout: Layout, prefix: str) -> None:
    trials = [tried(as_typed(prefix + bar.text, layout)) for bar in TrialBar]

    assert [one.bar for one in trials if one] == list(TrialBar)
    found = layout_found([one for one in trials if one])
    assert found is not None
    assert not found.caps_lock
    # Another layout may be named that shows these bars alike, and then codes come out alike as well.
    for letter in f"{ALPHABET}W0168abyz.%-":
        assert as_meant(as_typed(letter, layout), found.layout) == letter


def test_caps_lock_is_told_from_another_keyboard_and_a_text_of_its_own_is_no_test_bar() -> None:
    trial = tried(TrialBar.LETTERS.text.swapcase())

    assert trial is not None
    assert layout_found([trial]) == Fit(Layout.US, caps_lock=True)
    assert ("A", "a") in swapped(trial)
    assert tried("K7R43") is None


def test_pages_are_told_only_what_differs_in_codes_and_tickets() -> None:
    german = {"Z": "Y", "z": "y"}

    assert german in letters_of_codes(ALPHABET)
    assert all(len(one) < 30 for one in letters_of_codes(f"{ALPHABET}W0168"))
