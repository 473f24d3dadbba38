"""Names in the world's scripts: nothing lost, nothing out of its place, and found again by two readers."""

from __future__ import annotations

import csv
import subprocess
import sys
import unicodedata
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import uharfbuzz
from hypothesis import given
from hypothesis import strategies as st

from printing.faces import measure, printable, shortened
from printing.labels.stock import Stock, stock_named
from printing.labels.studio_labels import shelf_label
from printing.lettering import ink_box
from printing.pdf import Paper, glyph_widths
from printing.scripts import embedded, font_file, runs_of, script_of
from printing.shapes import Edges, Face, Picture, Shape, Symbol, Text
from printing.svg import svg
from tests.printing.labels.papers import must_be_a_whole_pdf
from tests.printing.labels.printed import labels_pdf, lay_out, tags_pdf
from tests.printing.labels.tags import MIRA, STOCKS, ink_of, odd_text, rendered, text_of
from tests.printing.scripts import FROM_RIGHT, NAMES, STACKED

REFERENCE = Path(__file__).parents[1] / "reference"
ROLL = stock_named("Roll, 100 x 50 mm")
OWN = glyph_widths(Face.REGULAR)


@pytest.mark.parametrize("script", NAMES)
def test_a_name_stands_on_its_tag_whole_in_the_letters_of_its_script(script: str) -> None:
    name = NAMES[script]

    assert printable(name) == name
    assert {script_of(letter) for letter in name if not letter.isspace()} <= {script, ""}
    assert name in " ".join(shape.text for shape in lay_out(replace(MIRA, maker=name), ROLL) if isinstance(shape, Text))


@pytest.mark.parametrize("script", NAMES)
def test_two_readers_find_the_name_in_the_page(script: str, tmp_path: Path) -> None:
    pdf = tags_pdf([replace(MIRA, maker=NAMES[script], what="")], ROLL)

    by_poppler = subprocess.run(["pdftotext", "-", "-"], input=pdf, capture_output=True, check=True).stdout.decode()
    for said in (text_of(pdf), by_poppler):
        # Arabic letters come back in the form they have within the word, which is the same letter (NFKC). What is read
        # from the right comes back word by word, for each reader orders a mixed line in its own way.
        plain = unicodedata.normalize("NFKC", said)
        wanted = NAMES[script].split() if script in FROM_RIGHT else [NAMES[script]]
        if script == "thaana":
            # Here each letter has its vowel's mark, and PDFium gives the mark before the letter: all of them are there.
            assert sorted(letter for letter in plain if script_of(letter) == script) == sorted(NAMES[script])
            continue
        assert all(unicodedata.normalize("NFKC", word) in plain for word in wanted), ascii(said)
    must_be_a_whole_pdf(pdf, tmp_path)
    assert pdf == tags_pdf([replace(MIRA, maker=NAMES[script], what="")], ROLL)


@pytest.mark.parametrize("script", NAMES)
def test_a_name_is_as_long_as_harfbuzz_says_and_no_ink_leaves_its_length(script: str) -> None:
    name = NAMES[script].split()[0]
    buffer = uharfbuzz.Buffer()
    buffer.add_str(name)
    buffer.guess_segment_properties()
    font = uharfbuzz.Font(uharfbuzz.Face(font_file(script)))
    uharfbuzz.shape(font, buffer)
    advance = sum(at.x_advance for at in buffer.glyph_positions) / font.face.upem
    size, left = 10.0, 20.0
    long = measure(name, Face.REGULAR) * size
    paper = Paper(120, 40, title="a name")
    paper.place([Text(left, 20.0, long, size, Face.REGULAR, name)], 0.0, 0.0)

    (columns,) = np.nonzero(ink_of(rendered(paper.finish(), 254)).any(axis=0))

    assert long == pytest.approx(advance * size)
    # A letter may lean out of its width by a little, as an italic f does.
    assert columns[0] / 10 >= left - 0.12 * size
    assert columns[-1] / 10 <= left + long + 0.12 * size
    assert (columns[-1] - columns[0]) / 10 >= 0.7 * long


# UAX #9, section 3.4, with its convention that capitals stand for letters read from the right; here they are Hebrew.
@pytest.mark.parametrize(
    ("written", "stands"),
    [
        ("car means אבג.", "car means גבא."),
        ("he said אב, and גד", "he said בא, and דג"),
        ("אבג 123", "123 גבא"),
        ("a (אב) b", "a (בא) b"),
        ("אב (גד)", "(דג) בא"),
        # What has no letter that is read from the left ends at the left, as a line of level 1 does (rule HL1).
        ("אב ג.", ".ג בא"),
        ("12 אב", "בא 12"),
        # The dot between two facts of a tag stands before both.
        (" · אב ג.", " · .ג בא"),
        ("Mira, אב ג.", "Mira, ג בא."),
    ],
)
def test_a_mixed_line_stands_in_the_order_of_the_standard(written: str, stands: str) -> None:
    font = uharfbuzz.Font(uharfbuzz.Face(font_file("hebrew")))
    letters = {font.get_nominal_glyph(ord(letter)): letter for letter in "אבגד"}

    runs = runs_of(written, OWN)

    assert (
        "".join(run.text if not run.script else "".join(letters[one.number] for one in run.glyphs) for run in runs)
        == stands
    )


# From Unicode 15's BidiCharacterTest.txt, (c) 2022 Unicode, Inc.: of the cases without signs for embedding or
# isolating, which no name keeps, those written by hand and every five hundredth of those that were made.
with (REFERENCE / "bidi_character_test.csv").open(encoding="utf-8") as _file:
    CASES = [(row["code_points"], int(row["line_level"]), row["levels"]) for row in csv.DictReader(_file)]


def test_letters_are_as_deep_as_the_standard_s_own_test_says() -> None:
    for points, line_level, levels in CASES:
        text = "".join(chr(int(point, 16)) for point in points.split())
        got = embedded(text, line_level)
        wanted = levels.split()
        assert ["x" if wanted[n] == "x" else str(level) for n, level in enumerate(got)] == wanted, points


@pytest.mark.parametrize("trick", ["\u202e", "\u2067", "\u200f", "\u2066", "\u202d", "\ufeff", "\u00ad"])
def test_signs_that_turn_a_line_around_are_no_part_of_any_name(trick: str) -> None:
    assert printable(f"Mira {trick}T.") == "Mira T."
    plain, tricked = (lay_out(replace(MIRA, maker=name), ROLL) for name in ("Mira T.", f"{trick}Mira {trick}T."))
    assert plain == tricked


@pytest.mark.parametrize("script", NAMES)
def test_no_name_moves_the_code_its_bars_or_its_qr(script: str) -> None:
    plain, other = (lay_out(replace(MIRA, maker=name), ROLL) for name in ("Mira T.", NAMES[script] * 9))

    assert plain[:4] == other[:4]


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_heaps_of_marks_leave_no_ink_on_the_code_its_bars_or_its_qr(stock: Stock) -> None:
    heaped = "".join(STACKED)
    for maker, what in (("Mira T.", heaped), (heaped, heaped), (f"{NAMES['hebrew']}{heaped}", STACKED[0])):
        plain, other = (
            replace(MIRA, maker=name, what=thing) for name, thing in (("Mira T.", "tall cup"), (maker, what))
        )
        boxes = [_box(shape) for shape in lay_out(other, stock) if isinstance(shape, Symbol) or _is_code(shape)]
        before, after = (ink_of(rendered(tags_pdf([tag], stock), 203)) for tag in (plain, other))
        left, top = stock.corner(0)
        for x, y, right, foot in boxes:
            rows = slice(round((top + y) * DOTS), round((top + foot) * DOTS))
            columns = slice(round((left + x) * DOTS), round((left + right) * DOTS))
            assert before[rows, columns].any()
            assert np.array_equal(before[rows, columns], after[rows, columns])


DOTS = 203 / 25.4


def _is_code(shape: Shape) -> bool:
    return isinstance(shape, Text) and shape.face is Face.CODE


def _box(shape: Shape) -> Edges:
    """The ink of a code, or a symbol with the quiet zone beside it."""
    if isinstance(shape, Text):
        return ink_box(shape)
    assert isinstance(shape, Symbol)
    quiet = shape.quiet * shape.module
    high = shape.row_height * len(shape.rows)
    return shape.x - quiet, shape.y, shape.x + shape.modules * shape.module + quiet, shape.y + high


@pytest.mark.parametrize("text", STACKED)
def test_a_heap_of_marks_is_cut_down_to_what_honest_spelling_needs(text: str) -> None:
    shown = printable(text)
    paper = Paper(60, 60, title="a heap")
    size = 10.0
    paper.place([Text(20, 30, measure(shown, Face.REGULAR) * size, size, Face.REGULAR, shown)], 0.0, 0.0)

    (rows,) = np.nonzero(ink_of(rendered(paper.finish(), 254)).any(axis=1))

    assert unicodedata.normalize("NFC", text).startswith(shown[:2])
    assert rows[0] / 10 >= 30 - 1.35 * size
    assert rows[-1] / 10 <= 30 + 0.8 * size


# Spelled as their writers do (common knowledge): points and tones that stand over and under each other.
@pytest.mark.parametrize("name", ["שִׁמְעוֹן", "مُحَمَّدٌ", "قُرَّةُ العَيْن", "น้ำผึ้ง", "ນ້ຳເຜິ້ງ", "ကျွန်ုပ်", "ស្ត្រី", "Fẹ́mi", "И́горь"])
def test_marks_of_an_honest_name_all_stay(name: str) -> None:
    assert printable(name) == unicodedata.normalize("NFC", name)


# Letters of Unicode's Latin blocks beyond those of the house: Azerbaijani, Uzbek, Hausa, Sami, pinyin, Vietnamese.
@pytest.mark.parametrize("name", ["Əsmər", "O\u02bbktam", "Ɓala", "Ŋálá", "Xiǎoǎi", "Nguyễn Thị Ánh", "Ọlá Ṣẹ́gun"])
def test_a_latin_name_keeps_letters_that_the_house_s_faces_lack(name: str) -> None:
    assert printable(name) == unicodedata.normalize("NFC", name)
    assert text_of(tags_pdf([replace(MIRA, maker=name)], ROLL)).find(unicodedata.normalize("NFC", name)) >= 0


def test_a_tag_in_latin_letters_reads_none_of_the_other_faces() -> None:
    seen = (
        "from printing import scripts;from printing.labels import stock;"
        "from tests.printing.labels import words;from tests.printing.labels.printed import tags_pdf;"
        "tags_pdf([words.FULL_TAG], stock.stock_named('Roll, 100 x 50 mm'));"
        "print(scripts._loaded.cache_info().currsize)"
    )

    done = subprocess.run([sys.executable, "-c", seen], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "0"


def test_a_warning_with_a_glaze_in_chinese_is_said_on_as_many_lines_as_it_takes() -> None:
    glaze = "釉" * 40
    shapes = lay_out(replace(MIRA, warnings=(f"{glaze}: runny",)), ROLL)

    lines = [shape for shape in shapes if isinstance(shape, Text) and "釉" in shape.text]
    assert len(lines) > 1
    assert "".join(line.text for line in lines).count("釉") == 40
    assert all(line.x + line.width <= ROLL.label_width for line in lines)


def test_joiners_stay_between_letters_that_they_join_and_nowhere_else() -> None:
    # Persian parts a prefix from its verb by a non-joiner (Unicode Standard, chapter 23.2): mim, ye, non-joiner, khe.
    parted = "\u0645\u06cc\u200c\u062e"

    assert printable(parted) == parted
    assert measure(parted, Face.REGULAR) > measure(parted.replace("\u200c", ""), Face.REGULAR)
    assert printable("Mi\u200cra\u200d") == "Mira"


def test_a_letter_that_no_face_has_is_left_out_and_the_rest_stays() -> None:
    assert printable("李🏺明") == "李明"
    assert printable("🏺") == ""
    assert printable("x\u0915\u094d") == "x\u0915\u094d"
    assert printable("\u094dx") == "x"


@given(st.sampled_from(list(NAMES.values())), st.floats(0.5, 8))
def test_a_name_is_cut_before_a_whole_letter_and_never_longer_than_its_room(name: str, room: float) -> None:
    short = shortened(name, Face.REGULAR, room)

    assert measure(short, Face.REGULAR) <= room or not short
    if short and short != name:
        kept = short.removesuffix("…")
        assert name.startswith(kept)
        rest = name[len(kept) :].lstrip(" ")
        assert unicodedata.category(rest[0])[0] != "M"


@given(st.text(st.sampled_from(sorted({*"".join((*NAMES.values(), *STACKED)), *"a1(.\u200c\u200d"})), max_size=24))
def test_letters_of_all_scripts_in_a_heap_are_each_drawn_by_a_face_that_has_it(text: str) -> None:
    shown = printable(text)

    runs = runs_of(shown, OWN)

    # Glyph 0 stands for what a face does not have (OpenType, cmap).
    assert all(glyph.number for run in runs for glyph in run.glyphs)
    assert sum(len(run.text) for run in runs) == len(shown)


@given(odd_text, st.sampled_from(list(NAMES.values())))
def test_whatever_is_typed_together_can_be_measured_and_printed(text: str, name: str) -> None:
    shown = printable(f"{text}{name}{text}")

    assert printable(shown) == shown
    assert measure(shown, Face.BOLD) >= 0
    assert labels_pdf([shelf_label(shown, "S.rack 3")], ROLL).startswith(b"%PDF")


def test_a_picture_for_the_page_holds_the_name_as_it_is_written() -> None:
    picture = svg(Picture(50, 10, (Text(0, 5, 20, 4, Face.REGULAR, NAMES["hebrew"]),)), name="a", says="b")

    assert NAMES["hebrew"] in picture
