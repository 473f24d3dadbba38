"""Every page and paper in the units of whoever reads it, in no others but where both are meant, and translated."""

from __future__ import annotations

import re
import shutil
from contextlib import AbstractContextManager, nullcontext
from html import unescape
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest

from tests.pages import PAGES, everybody_everywhere
from tests.staffed import ADA, asked_by
from tests.web.test_cautions import MEANT, Yard, shown_in, text_of_pdf
from tests.wording.pseudo import Pseudo, in_english, in_pseudo, plain_words, unmarked
from tracker.domain.labels.stock import Paper
from tracker.domain.labels.trial_bars import TrialBar
from tracker.domain.quantities import Units
from tracker.usecases.studio import catalog

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


OTHERS = {
    Units.US: re.compile(r"\S* ?(?:°C|\b(?:mm|cm|kg|g|ml)\b)(?!/cm³)"),
    Units.METRIC: re.compile(
        r"\S* ?(?:°F|(?<=\d )in\b(?! (?:a|the|work)\b|,| Readings)|\binch(?:es)?\b|\blbs?\b|\boz\b|″)"
    ),
}
"""How the units are written that a reader in these units should not meet."""

BOTH_MEANT = {
    # Either may be typed, and these are examples of both.
    "168 mm, 16.8 cm, 6 5/8 in",
    "350 g or 2 lb 3 oz",
    "8 mm or 5/16 in",
    # What a log or a pyrometer shows is chosen from both.
    "°C, °F or mV",
    "°C °F",
    "°F, inches, lb and oz",
    "°C, mm, g and kg",
    # Settings about numbers in a log that may be in °F are in °F.
    "Lowest room temperature in a log in °F °F",
    "Highest room temperature in a log in °F °F",
    "may be °C entered as °F",
    # An example of a segment, which is read with its units.
    "100 °C/h to 600 °C, hold 20: slow through quartz",
    # Constants of physics, as handbooks write them.
    "kg/m³",
    "J/(kg K)",
    "120 mm or 4 3/4 in",
    "3.527 oz or 100.00 g",
    "Or type the unit: 3.527 oz",
    # At which a laboratory leaches, whoever reads.
    "24 hours at 22 °C",
    # A laboratory measures vessels as its method does, and its report is typed and shown as it is.
    "90 mm deep, holds 300 ml",
    "Depth inside optional mm Capacity optional ml",
}
"""Words on pages that name both on purpose."""

SHEETS = (
    *("/firings/{planned}/sheet.pdf", "/firings/{lit}/sheet.pdf", "/outdoor/{session}/sheet.pdf"),
    *("/printed/{printed}.pdf", "/catalog/chart.pdf"),
)

# The pages on which metric units stand for everybody, each with its reason.
EXEMPT = {
    "/help": "the manual tells of files, which are metric",
    "/changes": "as the manual",
    "/catalog/file": "the studio file is metric",
    "/catalog/chart.pdf": "it hangs where everybody reads it",
}

MANUAL = ("/help", "/changes")
"""Whole pages in English, which are translated as files and not sentence by sentence."""


def words_of(page: str) -> str:
    """What a page says: its text, and what its controls hold."""
    page = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.DOTALL)
    said = re.findall(r'\s(?:placeholder|aria-label|title|alt)="([^"]*)"', page)
    # What is sent unseen, such as the name of a stock, is no word of the page.
    said += re.findall(r'<input(?=[^>]*type="text")[^>]*\svalue="([^"]*)"', page)
    return " ".join(unescape(" ".join([re.sub(r"<[^>]*>", " ", page), *said])).replace("\u00a0", " ").split())


def strange_in(text: str, units: Units) -> list[str]:
    """The other units in a text, but where both are meant."""
    text = in_english(text)
    for both in BOTH_MEANT:
        text = re.sub(re.escape(both), "…", text, flags=re.IGNORECASE)
    return [text[max(one.start() - 40, 0) : one.end() + 20] for one in OTHERS[units].finditer(text)]


def spoken(units: Units) -> AbstractContextManager[Pseudo]:
    """What the studio of these units reads: the metric one a language in which untranslated words show."""
    return in_pseudo() if units is Units.METRIC else nullcontext(Pseudo())


def untranslated(text: str, studio: Yard, units: Units, typed: str = "") -> list[str]:
    """The words of a text that were never looked up, but for names and what was `typed` or stands in a bar."""
    return plain_words(text, studio.names | set(re.findall("[A-Za-z]+", typed))) if units is Units.METRIC else []


@pytest.fixture(scope="module", params=Units)
def yard(
    request: pytest.FixtureRequest,
    sqlite_template: Path,
    tmp_path_factory: pytest.TempPathFactory,
    quick_pages: None,
) -> Iterator[tuple[Yard, Units]]:
    """The studio of all tests here, once in each units."""
    path = tmp_path_factory.mktemp(f"units-{request.param}") / "studio.sqlite"
    shutil.copyfile(sqlite_template, path)
    made = Yard(path)
    catalog.set_facts(made.store, asked_by(ADA), {"units": request.param, "paper": Paper.A4})
    yield made, request.param
    made.store.close()


@pytest.mark.parametrize("address", [one for some in PAGES.values() for one in some])
def test_a_page_has_its_cautions_and_says_nothing_in_other_units_or_untranslated(
    yard: tuple[Yard, Units], address: str
) -> None:
    studio, units = yard
    readers = [who for who, there in everybody_everywhere() if there == address]

    with spoken(units) as looked_up:
        pages = {who: studio.visitor(who).get(address.format(**studio.laid_out)) for who in readers}
    bare = {who: words_of(page.text) for who, page in pages.items()}

    assert {who: shown_in(page.text) for who, page in pages.items()} == dict.fromkeys(readers, MEANT[address])
    if not address.startswith(tuple(EXEMPT)):
        assert {who: strange_in(words, units) for who, words in bare.items()} == {who: [] for who in readers}
    assert unmarked(looked_up.asked) == set()
    if not address.startswith(MANUAL):
        asked = " ".join([address.partition("?")[2], *(bar.text for bar in TrialBar)])
        plain = {who: untranslated(words, studio, units, asked) for who, words in bare.items()}
        assert plain == {who: [] for who in readers}


@pytest.mark.parametrize("paper", SHEETS)
def test_a_paper_is_in_the_units_and_the_language_of_whoever_prints_it(yard: tuple[Yard, Units], paper: str) -> None:
    studio, units = yard

    with spoken(units):
        text = studio.text_of(paper)

    assert paper in EXEMPT or strange_in(text, units) == []
    assert untranslated(text, studio, units) == []


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("kiln-doors", {"all": "yes"}),
        ("buckets", {"all": "yes"}),
        ("containers", {"all": "yes"}),
        ("shelves", {"things": "rack 3"}),
        ("tags", {"things": "{queued}"}),
        ("care", {"things": "{fired}"}),
        ("not-for-food", {"things": "{fired}"}),
        ("badges", {"all": "yes"}),
        ("maker-cards", {"all": "yes"}),
        ("pickup-slip", {"things": "{fired}"}),
    ],
)
def test_a_card_or_label_is_in_the_units_and_the_language_of_whoever_prints_it(
    yard: tuple[Yard, Units], kind: str, fields: dict[str, str]
) -> None:
    studio, units = yard
    # Cards of a language half as long again as English need the larger paper.
    papers = {"kiln-doors": "A5 paper, 148 x 210 mm"} | dict.fromkeys(
        ("care", "pickup-slip"), "A4 paper, 4 cards to cut"
    )
    stock = {"stock": papers.get(kind, "A4, 2 x 4, 99.06 x 67.73 mm")}
    ada = studio.visitor("instructor")
    ada.get("/paper")

    with spoken(units):
        answer = ada.prints(kind, stock | {name: text.format(**studio.laid_out) for name, text in fields.items()})

    assert answer.mimetype == "application/pdf"
    assert strange_in(text_of_pdf(answer.data), units) == []
    assert untranslated(text_of_pdf(answer.data), studio, units, " ".join(fields.values())) == []


def test_a_chart_has_round_ticks_on_the_readers_scale(yard: tuple[Yard, Units]) -> None:
    studio, units = yard

    page = studio.visitor("staff").get("/firings/{lit}".format(**studio.laid_out)).text
    drawing = page.partition('<figure class="drawing-narrow">')[2].partition("</figure>")[0]
    texts = re.findall(r"<text[^>]*>([^<]*)</text>", drawing)

    scale = {Units.METRIC: "°C", Units.US: "°F"}[units]
    ticks = sorted(int(text) for text in texts if re.fullmatch(r"\d+", text))
    steps = {after - before for before, after in pairwise(ticks)}
    assert scale in texts
    # Cone 6 of the large kind goes down at 1,222 °C or 2,232 °F (Orton's chart, at 60 °C an hour).
    assert ticks[-1] >= {Units.METRIC: 1222, Units.US: 2232}[units]
    assert len(steps) == 1
    assert steps <= {50, 100, 200, 250, 500, 1000}
