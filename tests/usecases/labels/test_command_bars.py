"""The scan sheet: every step, result, kiln and shelf of a studio has its bar, and a reader reads each off the paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from printing.labels.stock import BAR_PAPERS, Stock
from tests.printing.labels.tags import ink_of, label_of, rendered, symbols_read, text_of
from tests.staffed import TOM, asked_by
from tests.studio import NOON
from tracker.domain.labels.print_jobs import DocumentKind, PrintOrder
from tracker.domain.pieces.outcomes import Flaw
from tracker.usecases.labels.command_bars import Does, commands_of
from tracker.usecases.labels.document_kinds import KINDS, stock_for
from tracker.usecases.labels.documents import TRUE_SIZE, lay_out_document
from tracker.usecases.labels.selection import Desk
from tracker.usecases.pieces import ware_shelves
from tracker.wording.reader import ANYONE
from tracker.wording.render import say

if TYPE_CHECKING:
    from tracker.store.unit_of_work import Store


def test_each_step_flaw_kiln_and_shelf_has_a_bar_of_its_own_that_never_changes(store: Store) -> None:
    before = commands_of(store.read)
    ware_shelves.add_shelf(store, asked_by(TOM), "a rack with a long name")

    after = commands_of(store.read)

    assert {one.value for one in after.values() if one.does is Does.RESULT} > set(Flaw)
    catalog = store.read.catalog()
    assert {one.value for one in after.values() if one.does is Does.KILN} == set(catalog.kilns)
    assert {one.job.route for one in after.values() if one.job and one.job.route} == {
        one.name for one in catalog.queues
    }
    assert before.items() <= after.items()
    assert {one.value for text, one in after.items() if text not in before} == {"a rack with a long name"}
    assert len({(one.does, one.value) for one in after.values()}) == len(after)


@pytest.mark.parametrize("stock", BAR_PAPERS, ids=lambda stock: stock.name)
def test_every_bar_is_read_off_the_sheet_on_both_papers(store: Store, stock: Stock) -> None:
    desk = Desk(store.read, TOM, NOON, ANYONE)
    things = tuple(one.value for one in KINDS[DocumentKind.COMMANDS].choices(desk))

    pdf = lay_out_document(desk, PrintOrder(kind=DocumentKind.COMMANDS, things=things, stock=stock.name)).pdf()

    page = rendered(pdf, 300)
    ink = np.asarray(ink_of(page))
    side, foot = 300 // 4, 300 // 2
    assert not ink[:side].any()
    assert not ink[-foot:].any()
    assert not ink[:, :side].any()
    assert not ink[:, -side:].any()
    words = " ".join(text_of(pdf).split())
    assert all(one in words for one in ("Scan sheet", "Mar 3, 2026", store.read.studio().name, say(TRUE_SIZE, ANYONE)))
    first = things[: stock.per_page]
    assert [symbols_read(label_of(page, stock, place, 300)) for place in range(len(first))] == [{one} for one in first]


@pytest.mark.parametrize("kind", [DocumentKind.COMMANDS, DocumentKind.TRIAL_BARS])
def test_a_sheet_of_bars_is_printed_on_the_readers_own_paper_where_nobody_chooses(
    store: Store, kind: DocumentKind
) -> None:
    desk = Desk(store.read, TOM, NOON, ANYONE)

    assert stock_for(KINDS[kind], desk) == BAR_PAPERS[0 if ANYONE.paper == "a4" else 1]
