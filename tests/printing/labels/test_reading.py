"""Every printed symbol read back, by a reader that shares nothing with us, from the page as PDFium draws it."""

from dataclasses import replace

import pytest
from PIL import Image

from printing.labels.stock import STOCKS, Stock, stock_named
from printing.labels.tags import Tag
from tests.printing.labels.printed import stocks_for_tags, tags_pdf
from tests.printing.labels.tags import CODES, INES, MIRA, PLACE, SLIP, label_of, rendered, symbols_read

TURNS = (0, 5, 12)
TAGS = [
    *(replace(tag, code=code, address=f"{PLACE}{code}") for code, tag in zip(CODES, [MIRA, INES] * 4, strict=False)),
    SLIP,
    replace(SLIP, slip="W7", address="http://127.0.0.1:8000/s/W7"),
]


def turned(label: Image.Image, degrees: int) -> Image.Image:
    """A label as a hand holds it, on white."""
    return label.rotate(degrees, resample=Image.Resampling.BICUBIC, expand=True, fillcolor=255)


def printed(stock: Stock, tags: list[Tag], dots_per_inch: int, *, known: bool) -> list[Image.Image]:
    """The labels as pictures, the printer's dots told or not."""
    pdf = tags_pdf(tags, stock, dpi=dots_per_inch if known else None)
    scale = 203.2 if dots_per_inch == 203 else dots_per_inch
    pages = [rendered(pdf, scale, page) for page in range(-(-len(tags) // stock.per_page))]
    return [label_of(pages[at // stock.per_page], stock, at % stock.per_page, scale) for at in range(len(tags))]


@pytest.mark.parametrize("dots_per_inch", [203, 300])
@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_bars_and_qr_both_read_as_the_code_on_every_stock(stock: Stock, dots_per_inch: int) -> None:
    if stock not in stocks_for_tags(dots_per_inch):
        return
    tags = [MIRA, INES, SLIP]

    labels = printed(stock, tags, dots_per_inch, known=True)

    for tag, label in zip(tags, labels, strict=True):
        assert symbols_read(label) == {tag.name, tag.address}


@pytest.mark.parametrize("known", [True, False], ids=["dots known", "dots unknown"])
@pytest.mark.parametrize("dots_per_inch", [203, 300])
@pytest.mark.parametrize("name", ["A4, 3 x 7, 63.5 x 38.1 mm", "Roll, 62 x 29 mm"])
def test_a_turned_label_reads_as_its_code_and_never_as_another(name: str, dots_per_inch: int, *, known: bool) -> None:
    labels = printed(stock_named(name), TAGS, dots_per_inch, known=known)

    for tag, label in zip(TAGS, labels, strict=True):
        for degrees in TURNS:
            read = symbols_read(turned(label, degrees))
            assert read, f"nothing read from {tag.name} turned {degrees}"
            assert read <= {tag.name, tag.address}
