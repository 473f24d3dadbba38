"""Names in the world's scripts: nothing lost, nothing out of its place, and found again by two readers."""

from __future__ import annotations

import subprocess
import unicodedata
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import uharfbuzz
from hypothesis import given
from hypothesis import strategies as st

from printing.faces import measure, printable, shortened
from printing.labels import labels_pdf
from printing.pdf import Paper, glyph_widths
from printing.scripts import font_file, runs_of, script_of
from printing.shapes import Face, Picture, Text
from printing.stock import stock_named
from printing.studio_labels import shelf_label
from printing.svg import svg
from printing.tags import lay_out, tags_pdf
from tests.printing.papers import must_be_a_whole_pdf
from tests.printing.tags import MIRA, ink_of, odd_text, rendered, text_of

if TYPE_CHECKING:
    from pathlib import Path

ROLL = stock_named("Roll, 100 x 50 mm")
OWN = glyph_widths(Face.REGULAR)

NAMES = {
    "greek-cyrillic": "Ελένη Юля",
    "armenian": "Անահիտ",
    "hebrew": "נועה לוי",
    "arabic": "محمد الأمين",
    "devanagari": "प्रिया शर्मा",
    "bengali": "সৌরভ",
    "gurmukhi": "ਗੁਰਪ੍ਰੀਤ",
    "gujarati": "ગુજરાતી",
    "tamil": "தமிழ்",
    "telugu": "తెలుగు",
    "kannada": "ಕನ್ನಡ",
    "malayalam": "മലയാളം",
    "sinhala": "සිංහල",
    "thai": "สมชาย ใจดี",
    "lao": "ລາວ",
    "myanmar": "မြန်မာ",
    "georgian": "მარიამ",
    "east-asian": "李明 さく 김",
    "ethiopic": "ኣበበ",
    "khmer": "ខ្មែរ",
}
"""Given names and names of languages, as their writers spell them (common knowledge)."""

FROM_RIGHT = {"hebrew", "arabic"}


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


@pytest.mark.parametrize("trick", ["\u202e", "\u2067", "\u200f", "\u2066", "\u202d", "\ufeff", "\u00ad"])
def test_signs_that_turn_a_line_around_are_no_part_of_any_name(trick: str) -> None:
    assert printable(f"Mira {trick}T.") == "Mira T."
    plain, tricked = (lay_out(replace(MIRA, maker=name), ROLL) for name in ("Mira T.", f"{trick}Mira {trick}T."))
    assert plain == tricked


@pytest.mark.parametrize("script", NAMES)
def test_no_name_moves_the_code_its_bars_or_its_qr(script: str) -> None:
    plain, other = (lay_out(replace(MIRA, maker=name), ROLL) for name in ("Mira T.", NAMES[script] * 9))

    assert plain[:4] == other[:4]


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


@given(odd_text, st.sampled_from(list(NAMES.values())))
def test_whatever_is_typed_together_can_be_measured_and_printed(text: str, name: str) -> None:
    shown = printable(f"{text}{name}{text}")

    assert printable(shown) == shown
    assert measure(shown, Face.BOLD) >= 0
    assert labels_pdf([shelf_label(shown, "S.rack 3")], ROLL).startswith(b"%PDF")


def test_a_picture_for_the_page_holds_the_name_as_it_is_written() -> None:
    picture = svg(Picture(50, 10, (Text(0, 5, 20, 4, Face.REGULAR, NAMES["hebrew"]),)), name="a", says="b")

    assert NAMES["hebrew"] in picture
