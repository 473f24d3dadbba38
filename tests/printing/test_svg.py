"""Pictures as SVG: well formed, named, in the site's own inks, and with every word as a word."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Literal
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given

from printing.bars import bars
from printing.firing.curve_pictures import curve_picture
from printing.firing.curves import CurveSeen
from printing.lettering import NARROW, SCREEN_SIZE, words
from printing.loading.load_pictures import LoadSeen
from printing.loading.shelf_pictures import shelf_picture
from printing.loading.stack_pictures import stack_picture
from printing.shapes import Circle, Face, Ground, Ink, Line, Oblong, Pen, Picture, Rule, Symbol, Text, Triangle
from printing.svg import svg
from tests.drawn import examples
from tests.printing.firing.firings import SCHEDULE, a_load, any_loads, texts
from tests.printing.firing.words import CURVE_WORDS

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SVG = "{http://www.w3.org/2000/svg}"
STYLESHEET = Path(__file__).parents[2] / "tracker" / "web" / "static" / "footring.css"
HOSTILE = '<b>Mira & "Ines"</b> 🏺 \u202e\u05d7\u05d9\u0000\ud800\x1b \' ]]>'


def read(drawn: str) -> ET.Element:
    """The SVG as a reader that shares no code with us sees it; our own output only, so nothing hostile is expanded."""
    return ET.fromstring(drawn)  # noqa: S314 - the text was made in this test, not fetched


@examples(20)
@given(any_loads)
def test_any_load_is_well_formed_xml_without_styles_and_scripts(load: LoadSeen) -> None:
    pictures = [(shelf_picture(load, 1), "a shelf"), (stack_picture(load), "a stack")]

    for picture, says in pictures:
        drawn = svg(picture, name=load.kiln, says=says)
        for element in read(drawn).iter():
            assert element.tag.removeprefix(SVG) in {
                *("svg", "title", "desc", "text", "rect", "circle", "polyline", "polygon", "path")
            }
            assert not [name for name in element.attrib if name == "style" or name.startswith("on")]


def test_every_word_of_a_picture_is_a_word_of_the_svg() -> None:
    picture = shelf_picture(a_load([14]), 1)

    root = read(svg(picture, name="Shelf", says=""))

    assert [found.text for found in root.iter(f"{SVG}text")] == [text.text for text in texts(picture)]


def test_a_picture_has_a_name_and_a_description_even_of_hostile_words() -> None:
    root = read(svg(Picture(10, 10, ()), name=HOSTILE, says=HOSTILE))

    assert root.attrib["role"] == "img"
    kept = HOSTILE.replace("\0", "").replace("\ud800", "").replace("\x1b", "")
    assert [child.tag for child in root] == [f"{SVG}title", f"{SVG}desc"]
    assert [child.text for child in root] == [kept, kept]


def test_equal_pictures_are_equal_texts() -> None:
    load = a_load([9, 4])

    assert svg(shelf_picture(load, 2), name="a", says="b") == svg(shelf_picture(load, 2), name="a", says="b")


@pytest.mark.parametrize("part", [*Ink, *Ground], ids=lambda part: part.value)
def test_the_stylesheet_knows_every_ink_and_ground(part: Ink | Ground) -> None:
    block = STYLESHEET.read_text(encoding="utf-8").partition("Pictures of shelves")[2]

    if part is not Ink.INK:
        assert re.search(rf"\.drawing \.{part.value}\{{(color|fill):var\(--[a-z-]+\)\}}", block)


def test_every_kind_of_shape_is_drawn_where_it_stands() -> None:
    pen = Pen(2, Ink.IRON, (3, 1))
    shapes = (
        Rule(1, 2, 3, 4, Ink.SOFT),
        Triangle(1, 9, 10),
        Circle(5, 6, 4, pen, Ground.LEAF),
        Oblong(1, 1, 8, 7, ground=Ink.COBALT),
        Line(((0, 0), (5.04, 5)), Pen(1)),
        Line(((0, 0), (5, 5), (5, 0)), None, closed=True, ground=Ground.SUNK),
        Symbol(1, 1, 0.5, 5, bars("K7R43").modules, (bars("K7R43").row,), 10),
        words(1, 9, 4, "K7R43"),
    )

    root = read(svg(Picture(20, 20, shapes), name="all", says=""))

    by_kind = [(child.tag.removeprefix(SVG), child.attrib) for child in root][2:]
    assert [kind for kind, _ in by_kind] == ["rect", "polygon", "circle", "rect", "polyline", "polygon", "path", "text"]
    assert by_kind[0][1] == {"x": "1", "y": "2", "width": "3", "height": "4", "class": "ink-soft"}
    assert by_kind[2][1]["class"] == "ink-iron ground-leaf"
    assert by_kind[2][1]["stroke-dasharray"] == "3 1"
    assert by_kind[3][1]["class"] == "ink-cobalt"
    assert by_kind[4][1]["points"] == "0.0,0.0 5.0,5.0"
    assert "stroke" not in by_kind[5][1]


@pytest.mark.browser
@pytest.mark.parametrize(("wide", "scheme"), [(320, "light"), (360, "dark"), (1280, "light")])
def test_in_a_browser_codes_are_at_least_twelve_pixels_and_no_word_leaves_its_picture(
    browser: Browser, tmp_path: Path, wide: int, scheme: Literal["light", "dark"]
) -> None:
    load = a_load([13, 5])
    curve = CurveSeen(said=CURVE_WORDS, schedule=SCHEDULE, marks=((12.5, 1180, "cone 5"),), target=(1222, "cone 6"))
    drawings = [
        svg(shelf_picture(load, 1), name="Shelf 1", says="a shelf"),
        svg(stack_picture(load), name="From the side", says="a stack"),
        svg(curve_picture(curve), name="Curve", says=""),
    ]
    figures = "".join(f"<figure>{drawing}</figure>" for drawing in drawings)
    file = tmp_path / "pictures.html"
    file.write_text(
        f'<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f'<link rel="stylesheet" href="{STYLESHEET.as_uri()}"><body><main class="page"><div class="leaf">'
        f'<div class="drawings">{figures}</div></div></main></body></html>',
        encoding="utf-8",
    )
    context = browser.new_context(viewport={"width": wide, "height": 800}, color_scheme=scheme)
    page = context.new_page()
    page.goto(file.as_uri())
    page.evaluate("document.fonts.ready.then(() => true)")

    smallest, leaving = page.evaluate(
        """() => {
          const all = [...document.querySelectorAll('.drawing text')];
          const size = t => parseFloat(t.getAttribute('font-size')) * t.getScreenCTM().a;
          const out = t => {
            const box = t.getBoundingClientRect(), frame = t.ownerSVGElement.getBoundingClientRect();
            return box.left < frame.left - 1 || box.right > frame.right + 1;
          };
          return [Math.min(...all.map(size)), all.filter(out).map(t => t.textContent)];
        }"""
    )

    assert smallest >= SCREEN_SIZE
    assert leaving == []
    assert page.get_by_role("img", name="From the side").count() == 1
    assert page.evaluate("document.documentElement.scrollWidth") <= wide
    context.close()


@pytest.mark.browser
def test_in_a_browser_a_run_that_begins_with_a_space_begins_with_it(browser: Browser, tmp_path: Path) -> None:
    runs = [Text(place, 9, 16, 4, Face.REGULAR, run) for place, run in ((5, "for food"), (30, " for food"))]
    drawn = svg(Picture(60, 20, tuple(runs)), name="two", says="")
    file = tmp_path / "runs.html"
    file.write_text(f'<!doctype html><meta charset="utf-8"><body>{drawn}', encoding="utf-8")
    page = browser.new_page()
    page.goto(file.as_uri())

    bare, led = page.evaluate("[...document.querySelectorAll('text')].map(one => one.getComputedTextLength())")
    page.close()

    assert led > bare


def test_a_picture_for_a_page_is_no_wider_than_a_leaf_at_320_pixels() -> None:
    # The stylesheet's own numbers: 106.25 % of 16 px, a page's edge of 1rem and a leaf's of 1.1rem with its line.
    rem = 17.0

    assert 320 - 2 * rem - 2 * 1.1 * rem - 2 >= NARROW
