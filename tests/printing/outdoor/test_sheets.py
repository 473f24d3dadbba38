"""An outdoor session's sheet: cautions first, every piece with bars that read back, two pages where they suffice."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from itertools import repeat
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from printing.firing.blocks import READING_HIGH
from printing.lettering import NAMELESS, SMALLEST_PRINT
from printing.outdoor.blocks import DOTS_PER_MM
from printing.outdoor.floor_pictures import SheetRound
from printing.outdoor.sheets import SessionSheet, session_pages, session_pdf
from printing.pages import MARGIN, PAPERS, pages_pdf
from printing.shapes import Face, Oblong, Picture, Shape, Symbol, box, meet
from tests.drawn import examples
from tests.printing.firing.firings import edges_of, overlapping, said, texts
from tests.printing.labels.tags import rendered, symbols_read
from tests.printing.outdoor.sessions import (
    CAUTIONS,
    CREW,
    FACTS,
    SHEET_WORDS,
    a_piece,
    a_round,
    a_session,
    any_sessions,
    pieces_of,
)

BEFORE = SHEET_WORDS.before
HEAD = 203.2
"""Dots to the inch of a head with 8 dots to the millimetre, which is sold as 203."""


def written(sheet: SessionSheet, paper: str = "a4") -> list[str]:
    """The text of each page as one would select it."""
    return texts_of(session_pdf(sheet, paper))


def texts_of(pdf: bytes) -> list[str]:
    """The text of each page of a PDF as one would select it."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]
    finally:
        document.close()


def black_and_white(sheet: SessionSheet, paper: str = "a4") -> list[Image.Image]:
    """Each page as a head of 203 dots to the inch prints it: a dot is black or it is not."""
    drawn = session_pages(sheet, paper)
    pdf = pages_pdf(drawn, sheet.title, DOTS_PER_MM)
    pages = [rendered(pdf, HEAD, page) for page in range(len(drawn))]
    return [page.point(lambda gray: 255 if gray >= 128 else 0).convert("1").convert("L") for page in pages]


def assert_sound(page: Picture) -> None:
    """Whether every shape keeps to the printable part of its page and no word stands on a word or in bars."""
    assert all(map(is_on, repeat(page), page.shapes))
    assert_legible(page)


def is_on(page: Picture, shape: Shape) -> bool:
    """Whether a shape keeps to the printable part of a page."""
    left, top, right, foot = box(shape)
    within = page.width - MARGIN + 0.5, page.height - MARGIN + 0.5
    return left >= MARGIN - 0.5 and top >= MARGIN / 2 and right <= within[0] and foot <= within[1]


def assert_legible(page: Picture) -> None:
    """Whether every word keeps to the page and stands neither on another word nor in the blank beside bars."""
    assert all(is_on(page, text) for text in texts(page) if text.text)
    assert overlapping(page) == []
    for symbol in (shape for shape in page.shapes if isinstance(shape, Symbol)):
        left, top, right, foot = box(symbol)
        blank = (left - 10 * symbol.module, top, right + 10 * symbol.module, foot)
        assert not [text.text for text in texts(page) if text.text and meet(edges_of(text), blank, -1e-6)]


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize(
    ("counts", "pages"),
    [((1,), 1), ((2,), 1), ((5, 4, 3), 2), ((4,) * 6, 2), ((6, 6, 6, 6), 2), ((24,), 2)],
    ids=["one piece", "two", "twelve in three", "24 in six rounds", "24 in four", "24 in one"],
)
def test_a_session_stands_on_one_page_or_two_with_all_that_belongs_on_it(
    counts: tuple[int, ...], pages: int, paper: str
) -> None:
    sheet = a_session(counts)

    drawn, told = session_pages(sheet, paper), written(sheet, paper)

    assert len(drawn) == len(told) == pages
    everything = " ".join(told)
    for piece in pieces_of(sheet):
        assert all(part in everything for part in (piece.code, piece.glaze, piece.warning))
        assert piece.container in everything
        assert piece.maker in everything
    assert all(f"Round {place} of {len(counts)} " in everything for place in range(1, len(counts) + 1))
    assert all(value in told[0] for _, value in (*CREW, *FACTS))
    for page in drawn:
        assert_sound(page)
        assert all(text.size >= SMALLEST_PRINT - 1e-9 for text in texts(page))


def test_a_rounds_name_with_its_heat_and_its_times_are_never_cut() -> None:
    title, times = "Round 10 of 12: Outdoor, horsehair, pulled at 1,292 °F", "11:45 AM to 12:10 PM"
    sheet = replace(a_session((1,)), rounds=(replace(a_round(3), title=title, times=times),))

    for paper in PAPERS:
        (page, *_others) = session_pages(sheet, paper)
        assert {title, times} <= {text.text for text in texts(page)}


def test_what_must_be_read_at_the_kiln_is_not_small() -> None:
    for page in session_pages(a_session()):
        codes = [text for text in texts(page) if text.face is Face.CODE]
        sizes = [text.size * 72 / 25.4 for text in texts(page) if "lift from below" in text.text]

        # A capital of 3.5 mm is read from a metre and a half away (common practice: a 400th of the distance).
        assert all(0.668 * code.size >= 3.5 for code in codes)
        assert all(size >= 7.0 for size in sizes)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_the_cautions_stand_on_the_first_page_before_crew_and_rounds(paper: str) -> None:
    first, *others = session_pages(a_session(), paper)
    words = said(first)

    lines = {text.text: text.y for text in texts(first)}
    flat = " ".join(words.split())
    assert BEFORE in flat
    for caution in CAUTIONS:
        assert all(word in flat for word in caution.split())
    assert lines[BEFORE] < lines["responsible"] < lines["Round 1 of 6"]
    ticks = [shape for shape in first.shapes if isinstance(shape, Oblong) and 0 < shape.width == shape.height < 4]
    assert len(ticks) == len(CAUTIONS)
    assert BEFORE not in " ".join(said(page) for page in others)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_every_bar_reads_as_its_code_from_a_page_of_black_and_white_dots(paper: str) -> None:
    sheet = a_session()

    read = set().union(*(symbols_read(page) for page in black_and_white(sheet, paper)))

    assert read == {piece.code for piece in pieces_of(sheet)}


def test_every_module_of_a_bar_is_a_whole_number_of_dots() -> None:
    for page in session_pages(a_session()):
        for symbol in (shape for shape in page.shapes if isinstance(shape, Symbol)):
            assert (symbol.module * DOTS_PER_MM) == pytest.approx(round(symbol.module * DOTS_PER_MM))
            # A row of bars is at least 5 mm high, or 15 % of its width (ISO/IEC 15417's advice, from memory).
            assert symbol.row_height >= max(5.0, 0.15 * symbol.modules * symbol.module)


def test_a_longer_text_has_finer_bars_that_read_too_and_one_that_no_bars_carry_keeps_its_code() -> None:
    pieces = (a_piece(1, bar_text="K7R43X"), a_piece(2, 1, bar_text="ABCDEFGHIJK"), a_piece(3, 2, bar_text="šachta"))
    sheet = replace(a_session((1,)), rounds=(replace(a_round(0), pieces=pieces),))

    (page,) = black_and_white(sheet)

    assert symbols_read(page) == {"K7R43X", "ABCDEFGHIJK"}
    assert all(piece.code in written(sheet)[0] for piece in pieces)


@pytest.mark.parametrize(
    ("counts", "paper"),
    [((10,) * 6, "a4"), ((60,), "letter")],
    ids=["ten a round", "all in one"],
)
def test_more_pieces_take_more_pages_and_none_is_lost(counts: tuple[int, ...], paper: str) -> None:
    sheet = a_session(counts)

    drawn = session_pages(sheet, paper)
    told = texts_of(pages_pdf(drawn, sheet.title, DOTS_PER_MM))

    assert len(drawn) > 2
    everything = " ".join(told)
    assert all(everything.count(piece.code) == 1 for piece in pieces_of(sheet))
    symbols = [shape for page in drawn for shape in page.shapes if isinstance(shape, Symbol)]
    assert len(symbols) == len(pieces_of(sheet))
    for number, text in enumerate(told, start=1):
        assert f"page {number} of {len(told)}" in text
        assert (f"page {number + 1}" in text.removesuffix(f"page {number} of {len(told)}")) is (number < len(told))
    for page in drawn:
        assert_sound(page)


def test_a_round_that_goes_on_says_so_on_both_pages_and_keeps_its_order() -> None:
    sheet = a_session((30,))
    first, second, *_ = told = written(sheet)

    assert "Round 1 of 1 continues on page 2" in first
    assert "Round 1 of 1, continued" in second
    everything = " ".join(told)
    places = [everything.index(piece.code) for piece in pieces_of(sheet)]
    assert places == sorted(places)


def test_rounds_stay_whole_where_two_pages_hold_them_whole() -> None:
    assert "continued" not in " ".join(written(a_session((4,) * 6)))
    assert "continued" not in " ".join(written(a_session((5, 4, 3))))


def test_each_piece_has_boxes_for_its_times_and_its_result_and_each_round_for_its_own() -> None:
    sheet = a_session((4, 3))
    words = [text.text for page in session_pages(sheet) for text in texts(page)]

    assert {label: words.count(label) for label in ("pulled", "in bin", "out", "result")} == dict.fromkeys(
        ("pulled", "in bin", "out", "result"), 7
    )
    assert [words.count(label) for label in ("started", "up to temperature", "all out")] == [2, 2, 2]


@pytest.mark.parametrize(
    ("counts", "high"), [((4,) * 6, 4.9), ((3,), READING_HIGH)], ids=["a full sheet", "a short one"]
)
def test_a_box_has_room_for_a_hand_in_a_glove(counts: tuple[int, ...], high: float) -> None:
    for page in session_pages(a_session(counts)):
        boxes = [shape for shape in page.shapes if isinstance(shape, Oblong) and shape.pen and shape.width > 12]
        assert min(one.height for one in boxes if one.width < 100) >= high - 1e-6


@pytest.mark.parametrize("name", ["🏺", "\U00012000", "\u202e", ""])
def test_a_name_in_letters_the_face_lacks_is_looked_up_on_the_page(name: str) -> None:
    piece = a_piece(1, maker=name, warning=name, container=name, glaze=name, what=name)
    sheet = replace(a_session((1,)), rounds=(replace(a_round(0), pieces=(piece,)),), crew=(("pulls", name or "🏺"),))

    (text,) = written(sheet)

    assert NAMELESS in text
    assert ("a warning: see page" in text) is bool(name)
    assert ("bin: see page" in text) is bool(name)
    assert "pulls see page" in text


def test_what_the_pullers_are_to_do_is_never_cut_however_few_the_rows_beside_it() -> None:
    note = "Pull each piece within 27 seconds. " * 14 + "By then every piece is in its bin."
    sheet = replace(a_session((4,)), rounds=(replace(a_round(4), note=note),))

    told = " ".join(written(sheet))

    assert note.strip() in told
    assert "see page" not in told


def test_a_long_name_is_shortened_and_a_long_warning_is_not() -> None:
    warning = (
        "tall and thin, 280 mm: it leans; lift it below the belly, never by the lip, and set it down before the rest"
    )
    piece = a_piece(1, maker="Bartholomew-Alexander Konstantinopolous-Featherstonehaugh", warning=warning, apart=True)
    sheet = replace(a_session((1,)), rounds=(replace(a_round(0), pieces=(piece,)),))

    (page,) = session_pages(sheet)

    words = " ".join(said(page).split())
    assert "Bartholomew-Alexander" in words
    assert "…" in words
    assert warning in words
    assert_sound(page)


def test_a_name_not_known_yet_is_a_line_to_write_on() -> None:
    with_name, without = (
        session_pages(a_session((1,), crew=(("water hose", name),), facts=()))[0] for name in ("Jo W.", "")
    )

    assert "Jo W." in said(with_name)
    assert "water hose" in said(without)
    assert len(without.shapes) == len(with_name.shapes)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_the_pdf_has_the_papers_size_its_letters_in_it_and_no_pictures(paper: str) -> None:
    pdf = session_pdf(a_session(), paper)

    document = pypdfium2.PdfDocument(pdf)
    sides = [side / 72 * 25.4 for side in document[1].get_size()]
    kinds = {found.type for found in document[0].get_objects()}
    document.close()
    assert sides == pytest.approx(PAPERS[paper], abs=0.1)
    assert pypdfium2.raw.FPDF_PAGEOBJ_IMAGE not in kinds
    # Each face that is named is also in the file (ISO 32000-1, 9.9: FontFile2 holds a TrueType program).
    assert pdf.count(b"/FontFile2") == pdf.count(b"/Type /FontDescriptor") > 0


def test_another_program_finds_nothing_wrong_with_the_pdf(tmp_path: Path) -> None:
    path = tmp_path / "session.pdf"
    path.write_bytes(session_pdf(a_session((10,) * 6)))

    done = subprocess.run(["qpdf", "--check", str(path)], check=False, capture_output=True, text=True)

    assert done.returncode == 0, done.stdout + done.stderr
    assert "No syntax or stream encoding errors found" in done.stdout


def test_equal_sheets_give_equal_bytes() -> None:
    assert session_pdf(a_session((5, 4))) == session_pdf(a_session((5, 4)))


def test_in_black_and_white_every_word_keeps_its_ink() -> None:
    sheet = a_session((4, 4))
    (page, *_), (picture, *_) = black_and_white(sheet), session_pages(sheet)
    dots = np.asarray(page)

    for text in filter(lambda text: text.text, texts(picture)):
        left, top, right, foot = (round(edge * DOTS_PER_MM) for edge in edges_of(text))
        share = float((dots[top:foot, left:right] == 0).mean())
        assert share > 0.06, text.text


@examples(12)
@given(any_sessions, st.sampled_from(sorted(PAPERS)))
def test_whatever_the_words_are_none_stands_on_another_and_no_piece_is_lost(sheet: SessionSheet, paper: str) -> None:
    pages = session_pages(sheet, paper)

    for page in pages:
        assert_legible(page)
    labels = [text.text for page in pages for text in texts(page)].count("result")
    assert labels >= len(pieces_of(sheet))
    assert len(pypdfium2.PdfDocument(pages_pdf(pages, sheet.title, DOTS_PER_MM))) == len(pages)


def test_a_session_without_rounds_is_a_page_of_cautions_and_crew() -> None:
    (page,) = session_pages(a_session(()))

    assert BEFORE in said(page)
    assert "Notes" in said(page)


def test_a_round_without_pieces_shows_its_empty_floor() -> None:
    empty: SheetRound = a_round(0)

    (page,) = session_pages(a_session((1,), rounds=(empty,)))

    assert empty.title in said(page)
    assert_sound(page)


def test_cautions_without_end_flow_on_and_none_is_lost() -> None:
    many = tuple(
        f"Caution {number}: mind the hot lids and the people behind you while you carry." for number in range(50)
    )

    told = " ".join(written(a_session((2,), cautions=many)))

    assert all(f"Caution {number}: " in told for number in range(50))
