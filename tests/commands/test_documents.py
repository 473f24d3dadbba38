"""Every document of the print desk, printed from the command line."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import pypdfium2
import pytest

from tests.commands.conftest import Run
from tests.printing.labels.tags import text_of
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, fired, open_studio
from tests.studio import a_new_piece
from tracker.domain.labels.print_jobs import DocumentKind
from tracker.store.unit_of_work import Store
from tracker.usecases.labels.document_kinds import KINDS
from tracker.usecases.pieces import pieces
from tracker.usecases.studio import catalog

A6 = "A6 paper, 105 x 148 mm"


VASE, TILE, NEW = range(3)


@dataclass(frozen=True)
class Studio:
    """A studio's database by its URL, and its pieces: a fired vase, a tile on a shelf, and one registered today."""

    url: str
    refs: tuple[str, str, str]

    @contextmanager
    def store(self) -> Iterator[Store]:
        """The studio's store."""
        with closing(Store(self.url, lambda count: count - 1)) as store:
            yield store


@pytest.fixture
def kept(sqlite_url: str) -> Studio:
    """A small studio on SQLite: what differs between the engines is tested with the use cases."""
    with closing(open_studio(sqlite_url)) as store:
        vase, tile = fired(store), bisqued(store, maker=INES)
        pieces.shelve(store, asked_by(TOM), tile, "rack 3")
        new = pieces.register(store, asked_by(INES, datetime.now(UTC)), a_new_piece()).ref
    return Studio(sqlite_url, (vase, tile, new))


def test_every_kind_of_the_desk_is_known_to_the_command() -> None:
    assert list(KINDS) == [kind.value for kind in DocumentKind]


@pytest.mark.parametrize("kind", DocumentKind)
def test_every_kind_is_printed_as_the_desk_prints_it(run: Run, kept: Studio, kind: DocumentKind) -> None:
    chosen = (kept.refs[VASE],) if KINDS[kind].of_pieces else ("A1",) if kind is DocumentKind.CONTAINERS else ("--all",)

    result = run("--database", kept.url, "print", kind.value, *chosen, "-o", "out.pdf", "--json")

    assert result.exit_code == 0, result.stderr
    told = json.loads(result.stdout)
    with kept.store() as store:
        job = store.read.papers.job(told["printing"])
    assert job is not None
    assert (job.order.kind, job.order.labels) == (kind.value, told["labels"])
    assert len(pypdfium2.PdfDocument("out.pdf")) >= 1


@pytest.mark.parametrize(
    ("heap", "text", "which"),
    [("place", "rack 3", TILE), ("today", "registered", NEW), ("maker", MIRA.email, VASE), ("job", "1", VASE)],
)
def test_pieces_are_chosen_by_the_heaps_of_the_desk(run: Run, kept: Studio, heap: str, text: str, which: int) -> None:
    run("--database", kept.url, "print", "tags", kept.refs[VASE], "-o", "first.pdf")

    result = run("--database", kept.url, "print", "tags", f"--{heap}", text, "--list", "--json")

    assert [one["thing"] for one in json.loads(result.stdout)] == [kept.refs[which]]


def test_a_card_carries_the_line_given_and_stands_on_the_paper_asked_for(run: Run, kept: Studio) -> None:
    vase = kept.refs[VASE]

    run("--database", kept.url, "print", "care", vase, "--stock", A6, "--line", "Open on Tuesdays", "-o", "card.pdf")

    text = text_of(Path("card.pdf").read_bytes())
    assert all(words in text for words in (vase, "Open on Tuesdays"))


def test_a_list_shows_what_there_is_and_prints_nothing(run: Run, kept: Studio) -> None:
    result = run("--database", kept.url, "print", "badges", "--list")

    assert f"{TOM.id} · {TOM.name} · staff" in result.stdout
    with kept.store() as store:
        assert store.read.papers.jobs() == ()


def test_a_list_without_a_kind_names_every_kind(run: Run, kept: Studio) -> None:
    result = run("--database", kept.url, "print", "--list", "--json")

    assert [one["kind"] for one in json.loads(result.stdout)] == list(KINDS)


def test_without_a_stock_named_the_labels_of_all_buckets_fit(run: Run, kept: Studio) -> None:
    metals = frozenset({"copper", "barium", "manganese", "chromium", "nickel", "vanadium", "cobalt", "lithium"})
    with kept.store() as store:
        glaze = next(iter(store.read.studio().catalog.glazes.values()))
        catalog.change(store, asked_by(ADA), replace(glaze, metals=metals))

    result = run("--database", kept.url, "print", "buckets", "--all", "-o", "out.pdf")

    assert result.exit_code == 0, result.stderr
    assert Path("out.pdf").exists()


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        pytest.param((), 2, "Give a KIND", id="no kind"),
        pytest.param(("papyrus",), 2, "is not one of", id="kind"),
        pytest.param(("care", "--list", "-o", "out.pdf"), 2, "either --out or --list", id="both"),
        pytest.param(("care",), 2, "either --out or --list", id="neither"),
        pytest.param(("care", "--all", "-o", "out.pdf"), 2, "--all doesn't work with care", id="all pieces"),
        pytest.param(("badges", "--firing", "1", "-o", "out.pdf"), 2, "aren't for pieces", id="a firing's badges"),
        pytest.param(("badges", "99", "-o", "out.pdf"), 1, "No one on the staff has the number 99", id="stranger"),
        pytest.param(("care", "-o", "out.pdf"), 1, "Nothing is selected", id="nothing"),
        pytest.param(("tags", "--maker", "no@one", "-o", "out.pdf"), 1, "has the email no@one", id="isn't a maker"),
        pytest.param(("shelves", "x", "--stock", "slate", "-o", "out.pdf"), 2, "No label stock", id="stock"),
        pytest.param(("badges", "--all", "--by", INES.email, "-o", "out.pdf"), 1, "", id="no right"),
    ],
)
def test_what_cannot_be_printed_leaves_no_file(
    run: Run, kept: Studio, words: tuple[str, ...], code: int, says: str
) -> None:
    result = run("--database", kept.url, "print", *words)

    assert result.exit_code == code
    assert says in result.stderr
    assert not Path("out.pdf").exists()
