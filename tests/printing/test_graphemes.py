"""Letters as the standard counts them, and lines that part only where a reader parts them."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from printing.faces import measure, printable
from printing.graphemes import letters_of, pieces_of
from printing.labels.label_parts import Label, Part
from printing.labels.labels import lay_out
from printing.labels.stock import stock_named
from printing.labels.studio_labels import shelf_label
from printing.lettering import wrapped_freely
from printing.shapes import Face, Symbol, Text
from tests.printing.scripts import NAMES

REFERENCE = Path(__file__).parents[1] / "reference"
CARD = stock_named("Roll, 100 x 50 mm")

# The rows of Unicode 15's GraphemeBreakTest.txt without control characters, spaces and pictures.
BROKEN = (REFERENCE / "grapheme_break_test.csv").read_text(encoding="utf-8").splitlines()[1:]


@pytest.mark.parametrize("row", BROKEN)
def test_letters_are_parted_where_the_standard_parts_them(row: str) -> None:
    letters = tuple("".join(chr(int(point, 16)) for point in letter.split()) for letter in row.split("|"))

    assert letters_of("".join(letters)) == letters


# Unicode Standard, chapters 12 (a virama joins consonants; Tamil's silences) and 16 (Thai vowels before their letter).
@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("प्रिया", ("प्रि", "या")),
        ("ক্ষমা", ("ক্ষ", "মা")),
        ("ស្រី", ("ស្រី",)),
        ("தமிழ்மா", ("த", "மி", "ழ்", "மா")),
        ("น้ำเก", ("น้ำ", "เก")),
        ("ශ්‍රී", ("ශ්‍රී",)),
        ("ក្क", ("ក្", "क")),
        ("เa", ("เ", "a")),
    ],
)
def test_what_is_written_as_one_letter_stays_together(text: str, letters: tuple[str, ...]) -> None:
    assert letters_of(text) == letters


def test_chinese_japanese_and_thai_part_between_letters_and_others_between_words() -> None:
    assert list(pieces_of("李明 釉")) == [(" ", "李"), ("", "明"), (" ", "釉")]
    assert [piece for _, piece in pieces_of("ใจดี")] == ["ใจ", "ดี"]
    assert [piece for _, piece in pieces_of("김민수 Ελένη नमस्ते محمد")] == ["김민수", "Ελένη", "नमस्ते", "محمد"]


def test_no_line_begins_with_what_closes_or_ends_with_what_opens() -> None:
    # JIS X 4051 and UAX #14, rules LB13 and LB14.
    assert [piece for _, piece in pieces_of("「青磁」、コーヒー")] == ["「青", "磁」、", "コー", "ヒー"]


@given(st.sampled_from(list(NAMES.values())), st.integers(1, 6), st.floats(3.4, 12))
def test_no_line_is_longer_than_its_room_and_nothing_is_lost(name: str, times: int, room: float) -> None:
    text = printable(name) * times

    lines = wrapped_freely(text, Face.REGULAR, room)

    assert all(measure(line, Face.REGULAR) <= room for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


@pytest.mark.parametrize("script", NAMES)
def test_a_long_name_on_a_shelf_label_stays_off_its_bars_and_within_the_label(script: str) -> None:
    shapes = lay_out(shelf_label(NAMES[script].replace(" ", "") * 6, "S.rack 3"), CARD)

    (symbol,) = (shape for shape in shapes if isinstance(shape, Symbol))
    clear = symbol.x - 10 * symbol.module
    for text in (shape for shape in shapes if isinstance(shape, Text)):
        is_beside = text.y > symbol.y
        assert text.x + text.width <= (clear if is_beside else CARD.label_width)


def test_a_name_without_spaces_fills_its_lines_before_its_letters_shrink() -> None:
    thai = "เคลือบสีเขียวไข่กาอย่างดีมาก"
    label = Label(parts=(Part(text=thai, grows=True, lines=2),))

    lines = [shape for shape in lay_out(label, stock_named("Roll, 57 x 32 mm")) if isinstance(shape, Text)]

    assert len(lines) == 2
    assert "".join(line.text for line in lines) == thai
