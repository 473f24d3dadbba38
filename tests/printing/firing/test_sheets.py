"""A firing's sheet: one page while it can be read, everything on it, and a second page rather than any loss."""

from __future__ import annotations

import re
import zlib
from dataclasses import replace

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from printing.firing.blocks import SegmentSaid, WitnessSaid
from printing.firing.curves import CurveSeen
from printing.firing.sheets import FiringSheet, firing_pages, firing_pdf
from printing.lettering import SMALLEST_PRINT
from printing.loading.load_pictures import LoadSeen
from printing.pages import MARGIN, PAPERS, pages_pdf
from printing.shapes import Circle, Face, Ground, Line, Oblong, Picture, box
from tests.drawn import examples
from tests.printing.firing.firings import (
    OBLONG,
    SCHEDULE,
    a_load,
    any_curves,
    any_loads,
    codes_of,
    overlapping,
    said,
    texts,
)
from tests.printing.firing.words import CURVE_WORDS, SHEET_WORDS
from tests.printing.labels.tags import odd_text

SEGMENTS = (
    SegmentSaid(segment="1", rate="60 °C/h", to="100 °C", hold="1 h", clock="08:00", note="candling, lid propped"),
    SegmentSaid(segment="2", rate="110 °C/h", to="600 °C", clock="10:20", note="slow through 573 °C"),
    SegmentSaid(
        segment="3", rate="150 °C/h", to="1010 °C", hold="45 min", clock="14:53", note="body reduction: damper in"
    ),
    SegmentSaid(segment="4", rate="90 °C/h", to="1222 °C", hold="15 min", clock="18:22"),
)
CAUTIONS = (
    "Hot work. Local codes, the fuel supplier's instructions and the responsible person come before this sheet.",
    "Shaded eyes at the spy, ventilation on; nobody leaves a burning kiln alone.",
)
WITNESSES = tuple(WitnessSaid(f"shelf {number}", ("cone 5", "cone 6", "cone 7")) for number in (1, 3))


def a_sheet(load: LoadSeen | None = None, **more: object) -> FiringSheet:
    """Firing 41 with this load, and what else is asked for."""
    plain = FiringSheet(
        said=SHEET_WORDS,
        title="Firing 41",
        facts=("Big gas kiln", "mid-range", "target cone 6, 1222 °C"),
        schedule=SEGMENTS,
        load=load,
        witness=WITNESSES,
        cautions=CAUTIONS,
    )
    return replace(plain, **more)  # type: ignore[arg-type]  # every key names a field


def written(pdf: bytes) -> list[str]:
    """The text of each page as one would select it."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]
    finally:
        document.close()


def inside_margins(page: Picture) -> bool:
    """Whether every shape keeps to the printable part of its page."""
    boxes = [box(shape) for shape in page.shapes]
    return all(
        left >= MARGIN - 1
        and top >= MARGIN / 2
        and right <= page.width - MARGIN + 1
        and foot <= page.height - MARGIN + 1
        for left, top, right, foot in boxes
    )


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize(
    "load",
    [a_load([3, 3, 2]), a_load([12, 12, 12, 12, 12]), a_load([9, 9, 9], OBLONG), a_load([1])],
    ids=["eight on three", "sixty on five", "oblong shelves", "one piece"],
)
def test_a_firing_is_one_page_with_every_code_and_a_picture_of_every_shelf(load: LoadSeen, paper: str) -> None:
    sheet = a_sheet(load, curve=CurveSeen(said=CURVE_WORDS, schedule=SCHEDULE, target=(1222, "cone 6")))

    (page,) = firing_pages(sheet, paper)
    (text,) = written(pages_pdf([page], sheet.title))

    assert all(code in text for code in codes_of(load))
    assert all(f"Shelf {number} of {len(load.levels)}" in text for number in range(1, len(load.levels) + 1))
    assert all(part in text for part in ("Firing 41", "target cone 6, 1222 °C", "08:00", "Hourly readings", *CAUTIONS))
    assert overlapping(page) == []
    assert inside_margins(page)
    assert all(letters.size >= SMALLEST_PRINT - 1e-9 for letters in texts(page))


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_the_pdf_has_the_papers_size_vectors_and_its_letters_in_it(paper: str) -> None:
    pdf = firing_pdf(a_sheet(a_load([12, 12])), paper)

    document = pypdfium2.PdfDocument(pdf)
    sides = [side / 72 * 25.4 for side in document[0].get_size()]
    kinds = {found.type for found in document[0].get_objects()}
    document.close()
    assert sides == pytest.approx(PAPERS[paper], abs=0.1)
    assert pypdfium2.raw.FPDF_PAGEOBJ_PATH in kinds
    assert pypdfium2.raw.FPDF_PAGEOBJ_IMAGE not in kinds
    # Each face that is named is also in the file (ISO 32000-1, 9.9: FontFile2 holds a TrueType program).
    assert pdf.count(b"/FontFile2") == pdf.count(b"/Type /FontDescriptor") > 0


def test_no_letter_on_the_paper_leaves_the_page() -> None:
    document = pypdfium2.PdfDocument(firing_pdf(a_sheet(a_load([12] * 5))))
    page = document[0]
    width, height = page.get_size()
    letters = page.get_textpage()

    boxes = [letters.get_charbox(place) for place in range(letters.count_chars())]
    document.close()
    assert len(boxes) > 500
    edge = MARGIN * 72 / 25.4 - 3
    assert all(
        left >= edge and foot >= edge and right <= width - edge and top <= height - edge
        for left, foot, right, top in boxes
        if right > left
    )


def test_equal_sheets_give_equal_bytes() -> None:
    assert firing_pdf(a_sheet(a_load([9, 9]))) == firing_pdf(a_sheet(a_load([9, 9])))


def test_there_is_a_box_for_every_hour_asked_for() -> None:
    (page,) = firing_pages(a_sheet(None, hours=33))

    hours = {int(text.text) for text in texts(page) if text.face is Face.REGULAR and text.text.isdigit()}
    assert hours == set(range(1, 36))


def test_each_witness_cone_has_a_box_to_write_in() -> None:
    with_cones, without = (firing_pages(a_sheet(None, witness=cones))[0] for cones in (WITNESSES, ()))

    def boxes(page: Picture) -> int:
        return sum(isinstance(shape, Oblong) and shape.width == 8.0 for shape in page.shapes)

    assert boxes(with_cones) - boxes(without) == 6
    assert "shelf 3" in said(with_cones)


def test_what_room_remains_is_ruled_for_notes() -> None:
    assert "Notes" in said(firing_pages(a_sheet(a_load([2])))[0])


def test_where_not_every_picture_has_room_the_list_of_codes_is_whole() -> None:
    load = a_load([16] * 9)
    sheet = a_sheet(load)

    (page,) = firing_pages(sheet)
    (text,) = written(pages_pdf([page], sheet.title))

    assert "Codes by shelf" in text
    assert "No space for pictures" in text
    assert all(code in text for code in codes_of(load))
    assert overlapping(page) == []
    assert inside_margins(page)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_a_load_too_large_for_one_page_goes_on_to_more_and_says_so(paper: str) -> None:
    load = a_load([29] * 8)
    sheet = a_sheet(load, hours=150)

    drawn = firing_pages(sheet, paper)
    pages = written(pages_pdf(drawn, sheet.title))

    assert len(pages) > 1
    assert all(f"page {number} of {len(pages)}" in text for number, text in enumerate(pages, start=1))
    everything = " ".join(pages)
    assert all(code in everything for code in codes_of(load))
    assert all(caution in everything for caution in CAUTIONS)
    for page in drawn:
        assert overlapping(page) == []
        assert inside_margins(page)


def test_a_schedule_of_sixty_segments_is_printed_whole() -> None:
    many = tuple(replace(SEGMENTS[0], segment=str(number), note=f"note {number} " * 8) for number in range(60))

    pages = firing_pages(a_sheet(a_load([9]), schedule=many))

    assert len(pages) > 1
    everything = " ".join(said(page) for page in pages)
    assert all(f"note {number} " in everything for number in range(60))
    assert all(inside_margins(page) for page in pages)


sentences = st.lists(odd_text, max_size=4).map(tuple)
sheets = st.builds(
    FiringSheet,
    title=odd_text,
    facts=sentences,
    said=st.just(SHEET_WORDS),
    schedule=st.lists(
        st.builds(
            SegmentSaid, segment=odd_text, rate=odd_text, to=odd_text, hold=odd_text, note=odd_text, clock=odd_text
        ),
        max_size=12,
    ).map(tuple),
    load=st.none() | any_loads,
    curve=st.none() | any_curves(),
    witness=st.lists(st.builds(WitnessSaid, odd_text, sentences), max_size=4).map(tuple),
    cautions=sentences,
    hours=st.integers(0, 100),
)


@examples(24)
@given(sheets, st.sampled_from(sorted(PAPERS)))
def test_whatever_the_words_are_no_word_stands_on_another_and_every_one_is_on_its_page(
    sheet: FiringSheet, paper: str
) -> None:
    pages = firing_pages(sheet, paper)
    for page in pages:
        assert overlapping(page) == []
        for text in texts(page):
            left, top, right, foot = box(text)
            assert left >= MARGIN - 1e-6
            assert right <= page.width - MARGIN + 1e-6
            assert top >= MARGIN / 2
            assert foot <= page.height - MARGIN + 1
    assert len(pypdfium2.PdfDocument(pages_pdf(pages, sheet.title))) == len(pages)


def test_shelves_and_pieces_are_circles_on_paper_too() -> None:
    (page,) = firing_pages(a_sheet(a_load([3], height_mm=300)))

    shelf = next(shape for shape in page.shapes if isinstance(shape, Circle) and shape.ground is Ground.SUNK)
    document = pypdfium2.PdfDocument(firing_pdf(a_sheet(a_load([3], height_mm=300))))
    picture = document[0].render(scale=144 / 72).to_pil().convert("RGB")
    document.close()

    def at(x: float, y: float) -> tuple[int, ...]:
        return tuple(picture.getpixel((round(x / 25.4 * 144), round(y / 25.4 * 144))))

    slant = shelf.radius * 0.70710678
    for right in (-1, 1):
        for down in (-1, 1):
            # The outline is black and just outside it the paper is white, in every quarter.
            assert max(at(shelf.x + right * slant, shelf.y + down * slant)) < 90
            assert min(at(shelf.x + right * 1.04 * slant, shelf.y + down * 1.04 * slant)) > 250


def test_lines_are_drawn_in_their_ink_and_their_dash() -> None:
    (page,) = firing_pages(a_sheet(None, curve=CurveSeen(said=CURVE_WORDS, points=SCHEDULE, schedule=SCHEDULE)))

    pens = [shape.pen for shape in page.shapes if isinstance(shape, Line) and shape.pen and len(shape.points) > 4]
    streams = _streams(firing_pdf(a_sheet(None, curve=CurveSeen(said=CURVE_WORDS, points=SCHEDULE, schedule=SCHEDULE))))
    assert {pen.dash is None for pen in pens} == {True, False}
    assert b"0.647 0.145 0.11 RG" in streams
    assert b"0.11 0.275 0.525 RG" in streams


def _streams(pdf: bytes) -> bytes:
    """What a PDF draws, unpacked: each stream is deflate (ISO 32000-1, 7.4.4)."""
    packed = re.findall(rb"/FlateDecode \].*?stream\r?\n(.*?)endstream", pdf, re.DOTALL)
    return b"".join(zlib.decompress(stream) for stream in packed)
