"""Tags to print in tests, plain and hard, and a page as another program sees it."""

import math
from dataclasses import replace

import numpy as np
import pypdfium2
import zxingcpp
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from printing.labels.stock import Stock
from printing.labels.tags import Tag
from tests.printing.labels.printed import stocks_for_tags
from tests.printing.labels.words import FULL_TAG, NOT_FOR_FOOD

PLACE = "http://127.0.0.1:8000/p/"
MIRA = replace(FULL_TAG, maker="Mira T.", what="tall cup")
INES = replace(
    FULL_TAG,
    code="HX5NA",
    maker="Ines P.",
    what="soup bowl",
    clay="speckled stoneware",
    use="functional",
    never="",
    route="mid-range, cone 6, 1222 °C",
    warnings=(),
    address=f"{PLACE}HX5NA",
)
SLIP = replace(FULL_TAG, code=None, maker="Řehoř Ł.", route=None, warnings=(), address="http://127.0.0.1:8000/s/W1042")
CODES = ("K7R43", "HX5NA", "P7K42", "2PY4D", "L7A3V", "XXNN5", "2A2A2")
"""Strings in the form of codes; printing knows nothing of their check symbol."""

STOCKS = stocks_for_tags()

odd_text = st.one_of(
    st.text(max_size=70),
    st.sampled_from(
        (
            "",
            " ",
            "Mira T.",
            "Bartholomew-Alexander Konstantinopolous Q.",
            "W" * 60,
            "Ŵ" * 8,
            "gjpqyŢĢ",
            "李明",
            "محمد",
            "a\u0301\u0302\u0303",
            "line\nbreak\ttab",
            "\u202eright to left",
            "\ud800",
            "🏺",
            "<b>(\\)</b>",
        )
    ),
)
warnings_said = st.lists(
    st.one_of(
        st.sampled_from(
            (
                "decorative, not for food",
                "porcelain, slab-built: may crack in raku",
                "porcelain over 150 mm: may crack",
                "runny glaze: set it on a catch plate",
                "glazed yesterday: damp glaze spits in an outdoor kiln, wait until it has dried for a day and a night",
            )
        ),
        odd_text,
    ),
    max_size=5,
).map(tuple)


@st.composite
def any_tags(draw: st.DrawFn) -> Tag:
    """Any tag a studio could ask for, and many that none would."""
    is_for_food = draw(st.booleans())
    code = draw(st.one_of(st.none(), st.sampled_from(CODES), st.sampled_from(("K7R43X", "222222"))))
    slip = draw(st.sampled_from(("W1", "W1042", "W98765")))
    return Tag(
        code=code,
        slip=slip,
        maker=draw(odd_text),
        what=draw(odd_text),
        clay=draw(odd_text),
        use="functional" if is_for_food else "",
        never="" if is_for_food else NOT_FOR_FOOD,
        route=draw(st.one_of(st.none(), odd_text, st.just("outdoor kiln, raku, cone 06, 998 °C"))),
        warnings=draw(warnings_said),
        address=PLACE + (code or slip),
        reprint=draw(st.booleans()),
    )


def rendered(pdf: bytes, dots_per_inch: float, page: int = 0) -> Image.Image:
    """One page as a gray picture, drawn by PDFium on the very dots of a head of `dots_per_inch`.

    PDFium stretches a page over a whole number of dots, so the page is first made as large as they are.
    """
    scale = dots_per_inch / 72
    document = pypdfium2.PdfDocument(pdf)
    try:
        drawn = document[page]
        width, height = (math.ceil(side * scale - 0.01) / scale for side in drawn.get_size())
        drawn.set_mediabox(0, drawn.get_height() - height, width, drawn.get_height())
        picture: Image.Image = drawn.render(scale=scale * (1 - 1e-6), grayscale=True).to_pil()
    finally:
        document.close()
    return picture


def text_of(pdf: bytes) -> str:
    """The first page's text as one would select it."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        text: str = document[0].get_textpage().get_text_bounded()
    finally:
        document.close()
    return text


def label_of(page: Image.Image, stock: Stock, place: int, dots_per_inch: float) -> Image.Image:
    """The part of a page's picture that is label `place`."""
    x, y = stock.corner(place)
    edges = (x, y, x + stock.label_width, y + stock.label_height)
    left, top, right, foot = (round(edge * dots_per_inch / 25.4) for edge in edges)
    return page.crop((left, top, right, foot))


def ink_of(picture: Image.Image) -> NDArray[np.bool_]:
    """Where a picture is not white."""
    return np.asarray(picture) < 250


def symbols_read(picture: Image.Image) -> set[str]:
    """What a reader that shares no code with us finds in a picture, in any of the symbologies that it knows.

    It looks at the picture as it is. At one shrunk to a third it would look as well, where a bar of four dots is hardly
    one: there it finds no tag that it had not found, and beside the right text it sometimes makes up another.
    """
    return {found.text for found in zxingcpp.read_barcodes(picture, try_downscale=False)}
