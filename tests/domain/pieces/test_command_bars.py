"""A bar of the scan sheet is nothing else, and nothing else is one, also with letters lost or on another keyboard."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from tracker.domain.labels.keyboards import UNMOVED_LETTERS, Layout, as_typed
from tracker.domain.labels.studio_bars import Sort, bar_text, read_bar
from tracker.domain.pieces.codes import code_number, read, read_slip, slip_text, space
from tracker.domain.pieces.command_bars import MARK, command_text, read_command

names = some.text(min_size=1, max_size=40)


@given(names, some.sampled_from(Layout), some.sampled_from(("", "]C1")))
def test_a_command_arrives_on_every_keyboard_as_it_is(name: str, layout: Layout, prefix: str) -> None:
    text = command_text(name)

    assert as_typed(text, layout) == text
    assert read_command(as_typed(prefix + text.lower(), layout)) == text
    assert read_command(f" {text}\r\n") == text


@given(names, some.integers(0, 8), some.integers(0, 8), some.sampled_from(Layout))
def test_no_command_is_a_piece_a_shelf_or_a_bucket_whatever_is_lost_at_one_end(
    name: str, first: int, last: int, layout: Layout
) -> None:
    text = command_text(name)

    for one in (text, text[first:], text[: len(text) - last]):
        for arrived in (one, as_typed(f"]C1{one}", layout)):
            assert read(arrived).code is None
            assert read_slip(arrived) is None
            assert read_bar(arrived) is None


@given(some.integers(0, space() - 1), some.integers(0, space(6) - 1), some.integers(1, 10**8), some.text(max_size=12))
def test_no_code_ticket_or_label_is_a_command(five: int, six: int, slip: int, name: str) -> None:
    labels = (bar_text(sort, f"x{name}") for sort in Sort)
    for text in (code_number(five), code_number(six, 6), slip_text(slip), *labels):
        assert read_command(text) is None


@given(names, some.integers(1, 7), some.sampled_from(UNMOVED_LETTERS))
def test_a_wrong_letter_makes_it_no_command(name: str, place: int, letter: str) -> None:
    text = command_text(name)
    changed = text[:place] + letter + text[place + 1 :]

    assert read_command(changed) == (text if letter == text[place] else None)


@pytest.mark.parametrize("text", ["", MARK, "oregano", "OTHELLO", f"{MARK}CDEFGHK{MARK}XY"])
def test_words_are_no_commands(text: str) -> None:
    assert read_command(text) is None
