"""The wall chart: everything on it stands whole on its page, with its letters in it, and nothing is left out."""

from __future__ import annotations

import re

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from printing.pages import MARGIN, PAPERS
from printing.shapes import Picture, Text, box
from printing.studio.wall_charts import TYPE_SIZES, Glaze, Shelf, chart_pdf, pages
from tests.drawn import examples
from tests.printing.labels.tags import odd_text

NUMBERED = "Cinder Lane studio, page {number} of {count}"
HEADS = ("Glaze", "Matures", "Goes on", "Stands", "Food", "Never")
CAUTION = "Only a lab test, not this chart, says whether ware is fit for food."


def a_glaze(name: str = "Night Ferry", **words: str) -> Glaze:
    """A mid-range glaze in the words of the chart, but for the `words` given."""
    plain = {
        "matures": "cone 5 to 6, 1186 to 1222 °C",
        "goes_on": "brush, dip",
        "stands": "glaze table, 10",
        "food": "declared by its maker",
        "limits": "never hotter than cone 6, 1222 °C",
    }
    return Glaze(name=name, **(plain | words))


def a_shelf(count: int, groups: int = 4) -> Shelf:
    """So many glazes in so many groups, of which every fifth must never do three things."""
    never = "never hotter than cone 05, 1031 °C, never indoors, and never on a functional piece"
    all_of_them = [a_glaze(f"Glaze {n}", **({"limits": never} if n % 5 == 0 else {})) for n in range(count)]
    grouped = tuple((f"Group {n}", tuple(all_of_them[n::groups])) for n in range(groups) if all_of_them[n::groups])
    return Shelf("The glaze shelf", "Cinder Lane studio", NUMBERED, HEADS, grouped, CAUTION)


def said(page: Picture) -> str:
    """All text of a page."""
    return " ".join(shape.text for shape in page.shapes if isinstance(shape, Text))


def type_size(page: Picture) -> float:
    """The size in points in which the rows are set: that of the triangles' sentences."""
    return max(shape.size for shape in page.shapes if isinstance(shape, Text) and "never" in shape.text) * 72 / 25.4


glazes = st.builds(
    Glaze,
    name=odd_text,
    matures=odd_text,
    goes_on=odd_text,
    stands=odd_text,
    food=odd_text,
    limits=odd_text,
)
shelves = st.builds(
    Shelf,
    title=odd_text,
    studio=odd_text,
    numbered=odd_text.map(lambda text: text.replace("{", "").replace("}", "") + " {number} of {count}"),
    heads=st.lists(odd_text, min_size=6, max_size=6).map(tuple),
    groups=st.lists(st.tuples(odd_text, st.lists(glazes, min_size=1, max_size=9).map(tuple)), max_size=6).map(tuple),
    caution=st.just(CAUTION),
)


@examples(60)
@given(shelves, st.sampled_from(sorted(PAPERS)))
def test_everything_stands_inside_the_margins_whatever_the_words_are(shelf: Shelf, paper: str) -> None:
    for page in pages(shelf, paper):
        for shape in page.shapes:
            left, top, right, foot = box(shape)
            assert left >= MARGIN - 1e-6
            assert top >= MARGIN / 2
            assert right <= page.width - MARGIN + 1e-6
            assert foot <= page.height - MARGIN + 1.5


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("count", [1, 8, 25, 40])
def test_a_shelf_of_up_to_forty_glazes_is_one_legible_page(count: int, paper: str) -> None:
    (page,) = pages(a_shelf(count), paper)

    assert all(f"Glaze {n} " in said(page) for n in range(count))
    assert type_size(page) >= TYPE_SIZES[-1] - 1e-6


def test_few_glazes_are_set_large() -> None:
    assert type_size(pages(a_shelf(5))[0]) > type_size(pages(a_shelf(30))[0])


def test_a_longer_shelf_goes_on_to_a_second_page_and_says_so() -> None:
    laid = pages(a_shelf(90))

    assert len(laid) > 1
    assert all(f"page {number} of {len(laid)}" in said(page) for number, page in enumerate(laid, start=1))
    assert all(CAUTION in said(page) for page in laid)
    assert all(any(f"Glaze {n} " in said(page) for page in laid) for n in range(90))


def test_no_heading_is_the_last_on_its_page() -> None:
    for page in pages(a_shelf(120, groups=40)):
        texts = [shape for shape in page.shapes if isinstance(shape, Text) and shape.text != CAUTION]
        lowest = max(texts, key=lambda shape: (shape.y, shape.x))

        assert not re.fullmatch(r"Family \d+", lowest.text)


def test_rows_do_not_stand_on_each_other() -> None:
    (page,) = pages(a_shelf(35))
    texts = [shape for shape in page.shapes if isinstance(shape, Text)]

    for place, one in enumerate(texts):
        for other in texts[place + 1 :]:
            apart = one.x + one.width <= other.x or other.x + other.width <= one.x
            # Lines of type never come nearer than the height of a small letter.
            assert apart or abs(one.y - other.y) >= 0.9 * min(one.size, other.size), (one, other)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_the_pdf_has_the_papers_size_its_letters_inside_it_and_all_the_words(paper: str) -> None:
    pdf = chart_pdf(a_shelf(35), paper)

    document = pypdfium2.PdfDocument(pdf)
    sides = sorted(side / 72 * 25.4 for side in document[0].get_size())
    text = " ".join(document[0].get_textpage().get_text_bounded().split())
    document.close()
    assert sides == pytest.approx(sorted(PAPERS[paper]), abs=0.1)
    assert all(f"Glaze {n} " in text for n in range(35))
    # Each face that is named is also in the file (ISO 32000-1, 9.9: FontFile2 holds a TrueType program).
    assert pdf.count(b"/FontFile2") == pdf.count(b"/Type /FontDescriptor") > 0


def test_equal_shelves_give_equal_bytes() -> None:
    assert chart_pdf(a_shelf(12)) == chart_pdf(a_shelf(12))
