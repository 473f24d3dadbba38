"""The studio's own label stock: beside what comes with the tool, and never under the same name."""

from __future__ import annotations

from dataclasses import replace

import pytest

from printing.labels.stock import EVERY_STOCK, STOCKS, stock_named
from tests.reading import said
from tests.staffed import ADA, TOM, asked_by
from tests.studio import NOON, a_studio
from tracker.domain.labels.stock import LabelStock, Paper
from tracker.domain.quantities import Units
from tracker.domain.refusals import NotAllowed, Unknown, Unusable
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.people import NewPerson, Role
from tracker.store.unit_of_work import Store
from tracker.usecases.labels import stock as label_stock
from tracker.usecases.studio import catalog

OURS = LabelStock(name="Ours", label_width_mm=54, label_height_mm=25)
SAME = STOCKS[0].name.upper()


def with_labels(studio: Studio, *labels: LabelStock) -> Studio:
    return replace(studio, labels={one.name: one for one in labels})


def test_own_stock_is_offered_first_and_all_that_comes_with_the_tool_after_it(store: Store) -> None:
    label_stock.keep_stock(store, asked_by(ADA), OURS)
    studio = store.read.studio()

    every = label_stock.every_stock(studio, studio.paper)

    assert every[0].name == "Ours"
    assert set(every[1:]) == set(EVERY_STOCK)
    kinds = (label_stock.label_stocks, label_stock.card_stocks, label_stock.bar_stocks, label_stock.list_stocks)
    assert {stock for stocks in kinds for stock in stocks(studio, studio.paper)} == set(every)
    roll = stock_named("ours", every)
    assert (roll.page_width, roll.page_height, roll.label_width, roll.is_roll) == (54, 25, 54, True)


def test_a_name_that_comes_with_the_tool_is_refused_from_the_page_and_from_a_file(store: Store) -> None:
    same = replace(OURS, name=SAME)

    with pytest.raises(Unusable, match="stock-name-taken"):
        label_stock.keep_stock(store, asked_by(ADA), same)
    with pytest.raises(Unusable, match="stock-name-taken"):
        catalog.change_studio(store, asked_by(ADA), with_labels(store.read.studio(), same))

    assert store.read.studio().labels == {}


def test_a_studio_is_not_founded_on_such_a_name(database_url: str) -> None:
    someone = NewPerson(name="Ada Moss", email="ada@studio.example", role=Role.INSTRUCTOR)
    empty = Store(database_url, lambda count: count - 1)

    with pytest.raises(Unusable, match="stock-name-taken"):
        catalog.found(empty, with_labels(a_studio(), replace(OURS, name=SAME)), someone, at=NOON)

    found = catalog.found(empty, with_labels(a_studio(), OURS), someone, at=NOON)
    assert found[0].name == "Ada Moss"
    empty.close()


def test_a_file_adds_changes_and_takes_away_labels(store: Store) -> None:
    plain = store.read.studio()
    other = replace(OURS, name="Other")

    first = catalog.change_studio(store, asked_by(ADA), with_labels(plain, OURS, other))
    second = catalog.change_studio(store, asked_by(ADA), with_labels(plain, replace(OURS, label_width_mm=60)))

    assert "label stock ours added" in said(first.message).casefold()
    assert "Label stock Other deleted" in said(second.message)
    assert {name: one.label_width_mm for name, one in store.read.studio().labels.items()} == {"Ours": 60}


def test_only_who_may_change_the_catalog_changes_labels(store: Store) -> None:
    with pytest.raises(NotAllowed):
        label_stock.keep_stock(store, asked_by(TOM), OURS)
    with pytest.raises(NotAllowed):
        label_stock.set_line(store, asked_by(TOM), "Open on Tuesdays")


def test_what_somebody_else_took_away_is_unknown(store: Store) -> None:
    with pytest.raises(Unknown):
        label_stock.drop_stock(store, asked_by(ADA), "Ours")
    with pytest.raises(Unknown):
        label_stock.keep_stock(store, asked_by(ADA), OURS, old="Theirs")


@pytest.mark.parametrize(
    ("paper", "sheet", "card"), [("a4", "A4, 3 x 7", "A6 paper"), ("letter", "Letter, 2 x 5", "Letter")]
)
def test_stock_for_the_paper_in_the_studios_printer_is_offered_first(
    store: Store, paper: str, sheet: str, card: str
) -> None:
    catalog.set_facts(store, asked_by(ADA), {"units": Units.US, "paper": Paper(paper)})
    studio = store.read.studio()

    assert label_stock.label_stocks(studio, studio.paper)[0].name.startswith(sheet)
    assert label_stock.usual_stock(studio.paper).name.startswith(sheet)
    assert label_stock.card_stocks(studio, studio.paper)[0].name.startswith(card)
