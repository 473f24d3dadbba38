"""How fast full tags are printed beside reportlab's own widget that draws the bars alone, and how large they are."""

import subprocess
import sys
from functools import cache
from io import BytesIO
from time import perf_counter

from reportlab.graphics.barcode.code128 import Code128
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from printing.labels.labels import lay_out
from printing.labels.stock import Stock, stock_named
from printing.labels.tags import Tag, tag_labels
from printing.shapes import Shape, Symbol, Text
from tests.printing.labels.printed import tags_pdf
from tests.printing.labels.words import NOT_FOR_FOOD, USUAL

SHEET = stock_named("A4, 3 x 7, 63.5 x 38.1 mm")
HOW_MANY = 1050
ROUNDS = 5
FLOOR = 0.6
MOST_BYTES = 700
TERM, MOST_MEGABYTES = 3_000, 200

_LETTERS = "234 57ACDEFGHJKLMNPRTVXY".replace(" ", "")
_MAKERS = ("Mira T.", "Ines P.", "Tomas R.", "Asa L.", "Jo V.", "Bartholomew-Alexander Q.", "Řehoř Ł.")
_THINGS = ("tall cup", "lidded jar", "soup bowl", "tile", "moon vase")
_CLAYS = ("white porcelain", "speckled stoneware", "red earthenware")


def many_tags(count: int = HOW_MANY) -> list[Tag]:
    """Tags that differ as a bisque load's do: every code its own, few clays, everybody's warnings."""
    return [
        Tag(
            code=(code := "".join(_LETTERS[(number // 23**place) % 23] for place in range(5))),
            slip=f"W{1000 + number}",
            maker=_MAKERS[number % len(_MAKERS)],
            what=_THINGS[number % len(_THINGS)],
            clay=_CLAYS[number % len(_CLAYS)],
            use="",
            never=NOT_FOR_FOOD,
            route="outdoor kiln, raku, cone 06, 998 °C",
            warnings=("porcelain, slab-built: may crack in raku",),
            address=f"http://127.0.0.1:8000/p/{code}",
        )
        for number in range(count)
    ]


def bars_by_the_widget(lines: list[tuple[str, list[Shape]]], stock: Stock) -> bytes:
    """The same text lines by drawString, and the bars alone by reportlab's Code128 widget: no QR, no rule."""
    out = BytesIO()
    canvas = Canvas(out, pagesize=(stock.page_width * mm, stock.page_height * mm), pageCompression=1, invariant=1)
    for place, (code, shapes) in enumerate(lines):
        if place and place % stock.per_page == 0:
            canvas.showPage()
        left, top = stock.corner(place % stock.per_page)
        for shape in shapes:
            if isinstance(shape, Text):
                canvas.setFont(shape.face.value, shape.size * mm)
                canvas.drawString((left + shape.x) * mm, (stock.page_height - top - shape.y) * mm, shape.text)
            elif isinstance(shape, Symbol) and len(shape.rows) == 1:
                widget = Code128(code, barWidth=shape.module * mm, barHeight=shape.row_height * mm, quiet=False)
                foot = stock.page_height - top - shape.y - shape.row_height
                widget.drawOn(canvas, (left + shape.x) * mm, foot * mm)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def measure() -> list[tuple[str, float, float, str]]:
    """The rate of full tags in parts of the widget's rate, best of several turns in one run; their size; the memory."""
    tags = many_tags()
    lines = [(label.bar, list(lay_out(label, SHEET))) for label in tag_labels(tags, USUAL)]
    pdfmetrics.getFont("next-bold")
    ours, theirs = [], []
    for _ in range(ROUNDS):
        begun = perf_counter()
        tags_pdf(tags, SHEET)
        ours.append(perf_counter() - begun)
        begun = perf_counter()
        bars_by_the_widget(lines, SHEET)
        theirs.append(perf_counter() - begun)
    return [
        ("full tags against reportlab's widget for bars alone", min(theirs) / min(ours), FLOOR, "at least"),
        ("bytes of a full tag in a term's PDF", term_in_its_own_process()[0], MOST_BYTES, "at most"),
        (f"megabytes of a process that prints {TERM} tags", term_in_its_own_process()[1], MOST_MEGABYTES, "at most"),
    ]


_TERM = """
import resource, sys
from tests.bench.tags import SHEET, TERM, many_tags
from tests.printing.labels.printed import tags_pdf
pdf = tags_pdf(many_tags(TERM), SHEET)
print(len(pdf) / TERM, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


@cache
def term_in_its_own_process() -> tuple[float, float]:
    """Bytes a tag of a term's tags in one PDF, and the most memory that a fresh process took for them, in MB."""
    done = subprocess.run([sys.executable, "-c", _TERM], capture_output=True, text=True, check=True)
    size, memory = map(float, done.stdout.split())
    return size, memory
