"""What stands on each kind of document, in the words, units and numbers of whoever reads it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from printing.shapes import Text
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, fired
from tests.studio import NOON, a_new_piece, a_test
from tracker.domain.cones import Cone
from tracker.domain.labels.print_jobs import DocumentKind, PrintOrder
from tracker.domain.pieces.piece import Use
from tracker.domain.quantities import Units
from tracker.domain.refusals import Unknown, Unusable
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.terms import NewTerm
from tracker.usecases.labels.document_kinds import KINDS
from tracker.usecases.labels.documents import lay_out_document
from tracker.usecases.labels.selection import Desk
from tracker.usecases.labels.wall_chart import shelf_of
from tracker.usecases.pieces import pieces, registrations
from tracker.usecases.rules import evidence, questions
from tracker.usecases.studio import terms
from tracker.usecases.studio.catalog import set_practice
from tracker.wording.reader import ANYONE, Reader, reader_of_studio
from tracker.wording.render import say

if TYPE_CHECKING:
    from tracker.store.unit_of_work import Store

A6 = "A6 paper, 105 x 148 mm"
ROLL = "Roll, 100 x 50 mm"
GERMAN, AMERICAN = replace(ANYONE, locale="de_DE"), replace(ANYONE, units=Units.US)


def words_of(store: Store, kind: DocumentKind, *things: str, reader: Reader = ANYONE, stock: str = A6) -> str:
    """All that stands on the labels of one printing, line after line."""
    desk = Desk(store.read, ADA, NOON, reader)
    layout = lay_out_document(desk, PrintOrder(kind=kind, things=things, stock=stock))
    return " ".join(shape.text for shapes in layout.shapes for shape in shapes if isinstance(shape, Text))


def things_of(store: Store, kind: DocumentKind) -> tuple[str, ...]:
    """Something to print of each kind."""
    ref = fired(store)
    if KINDS[kind].of_pieces:
        return (ref,)
    if kind is DocumentKind.SHELVES:
        return ("rack 3",)
    return (KINDS[kind].choices(Desk(store.read, ADA, NOON, ANYONE))[0].value,)


EXPECTED = {
    DocumentKind.TAGS: ("decorative, not for food", "ticket W1"),
    DocumentKind.SHELVES: ("rack 3", "Scan this, then each piece you put here."),
    DocumentKind.BUCKETS: ("Food: ", "Apply by ", "Never hotter than cone", "Clean up wet"),
    DocumentKind.KILN_DOORS: ("Do not fire in this kiln", "In every firing", "Raku glazes."),
    DocumentKind.CONTAINERS: ("A1",),
    DocumentKind.BADGES: ("instructor",),
    DocumentKind.MAKER_CARDS: ("Mira Tann", "Thursday"),
    DocumentKind.COMMANDS: ("Undo the last scan",),
    DocumentKind.TRIAL_BARS: ("1. Letters",),
    DocumentKind.CARE: (
        "Not for Food Use. May Poison Food.",
        "Decorative: not for food",
        "Care",
        "at least 3.2 mm high",
        "1,222 °C",
    ),
    DocumentKind.NOT_FOR_FOOD: ("Not for Food Use. May Poison Food.", "Decorative piece."),
    DocumentKind.NOTICES: ("Mira Tann", "Ready for pickup", "since Mar 3, 2026", "Decorative, not for food or drink"),
    DocumentKind.PICKUP_DAY: ("Pickup day, 1 of 1", "Mar 3, 2026", "shelf not on record", "Decorative, not for food"),
    DocumentKind.PICKUP_SLIP: ("Pickup", "Mar 3, 2026", "Picked up by", "Decorative, not for food or drink"),
}


@pytest.mark.parametrize("kind", DocumentKind)
def test_each_document_says_what_it_is_for(store: Store, kind: DocumentKind) -> None:
    text = words_of(store, kind, *things_of(store, kind))

    for words in EXPECTED[kind]:
        assert words in text


def test_a_notice_tells_what_mail_would_and_is_for_nobody_else(store: Store) -> None:
    late, broke = bisqued(store), bisqued(store)
    pieces.lose(store, asked_by(TOM, NOON), broke, "broken")
    number = questions.ask(store, asked_by(MIRA), late, "Which clay is it?").extra["question"]
    questions.answer(store, asked_by(ADA), int(number), "Yes, stoneware", allows=True)
    own = bisqued(store, maker=INES)
    pieces.lose(store, asked_by(INES), own, "broken")

    def told(at: datetime) -> list[str]:
        desk = Desk(store.read, TOM, at, ANYONE)
        return [thing.value for thing in KINDS[DocumentKind.NOTICES].choices(desk)]

    text = words_of(store, DocumentKind.NOTICES, str(MIRA.id))
    assert "We are sorry" in text
    assert "“Yes, stoneware”" in text
    assert late not in text
    assert told(NOON) == [str(MIRA.id)]
    assert told(NOON + timedelta(days=15)) == []
    with pytest.raises(Unknown):
        words_of(store, DocumentKind.NOTICES, str(INES.id))
    assert set(told(NOON + timedelta(days=43))) == {str(MIRA.id)}
    ends = NOON.date() + timedelta(days=20)
    terms.add_term(
        store, asked_by(ADA), NewTerm(name="Spring", starts_on=NOON.date(), ends_on=ends, sections=(MIRA.section,))
    )
    assert "Spring ends on" in words_of(store, DocumentKind.NOTICES, str(MIRA.id))


def test_a_pickup_day_list_names_the_next_pickup_day_and_is_signed_once_for_each_maker(store: Store) -> None:
    refs = [fired(store) for _ in range(3)]
    registrations.give(store, asked_by(TOM), refs[1], INES.id)
    for name, ahead in (("Late", 40), ("Spring", 6)):
        last = NOON.date() + timedelta(days=ahead)
        new = NewTerm(name=name, starts_on=NOON.date(), ends_on=last, pickup_on=last, sections=())
        terms.add_term(store, asked_by(ADA), new)

    text = words_of(store, DocumentKind.PICKUP_DAY, *refs)

    assert "Mar 9, 2026 · Spring" in text
    assert text.count("Picked up by") == 2


def test_a_pickup_day_list_says_the_same_of_a_piece_and_food_as_its_makers_notice(store: Store) -> None:
    ref = fired(store, new=a_new_piece(use=Use.FOOD))

    listed = words_of(store, DocumentKind.PICKUP_DAY, ref)

    assert "Not shown to be food-safe" in listed
    assert "Not shown to be food-safe" in words_of(store, DocumentKind.NOTICES, str(MIRA.id))


def test_the_wall_chart_names_its_columns_and_lists_what_must_never_be_done(store: Store) -> None:
    chart = shelf_of(store.read.studio(), ANYONE)

    assert chart.heads == ("Glaze", "Cones", "Apply by", "Location", "Food", "Limits")
    assert chart.numbered.format(studio="Ours", number=1, count=2) == "Ours, page 1 of 2"
    rows = [glaze for _, glazes in chart.groups for glaze in glazes]
    assert any(", and never on a functional piece" in row.limits for row in rows)


def test_paper_is_in_its_readers_units_numbers_and_dates(store: Store) -> None:
    ref = fired(store)

    card = words_of(store, DocumentKind.CARE, ref, reader=AMERICAN)
    assert "at least 1/8 in high" in card
    assert "2,232 °F" in card
    assert "03.03.2026" in words_of(store, DocumentKind.PICKUP_SLIP, ref, reader=GERMAN)


def test_the_day_on_a_slip_is_the_studios_own(store: Store) -> None:
    far_east = reader_of_studio(replace(store.read.studio(), timezone="Pacific/Kiritimati"))

    assert "Mar 4, 2026" in words_of(store, DocumentKind.PICKUP_SLIP, fired(store), reader=far_east)


def test_what_has_no_room_is_named_with_its_size(store: Store) -> None:
    ref = bisqued(store, maker=INES)

    with pytest.raises(Unusable) as refused:
        words_of(store, DocumentKind.CARE, ref, stock="Letter, 4 x 20, 44.45 x 12.7 mm")

    told = refused.value.message
    assert (told.code, told["kind"]) == ("label-too-small", DocumentKind.CARE)
    assert refused.value.remedy is not None
    # The smallest that holds it, on paper as large as what was chosen.
    assert refused.value.remedy.code == "choose-this-label"
    assert str(refused.value.remedy["stock"]).startswith("Letter")
    assert [reason.code for reason in told["reasons"]] == ["no-room-for-bars"]  # type: ignore[union-attr]  # a list of messages


@pytest.mark.parametrize("kind", DocumentKind)
def test_titles_cautions_and_choices_are_said_to_every_reader(store: Store, kind: DocumentKind) -> None:
    what, desk = KINDS[kind], Desk(store.read, TOM, NOON, GERMAN)

    for message in (what.title, what.says, what.caution):
        assert message is None or say(message, GERMAN)
    assert any(not lacks for lacks in what.too_small(desk).values())


def test_a_stick_on_and_a_tag_say_that_ware_with_a_failed_glaze_is_not_for_food(store: Store) -> None:
    ref = fired(store, "Still Water", new=a_new_piece(use=Use.FOOD))
    before = words_of(store, DocumentKind.TAGS, ref)

    evidence.add_release_test(store, asked_by(ADA), "Still Water", a_test(0.6, cone=Cone.parse("6")))

    assert "functional" in before
    assert "not for food" not in before
    assert "not for food" in words_of(store, DocumentKind.TAGS, ref)
    assert "May Poison Food." in words_of(store, DocumentKind.NOT_FOR_FOOD, ref)


def test_the_labels_for_a_firing_are_those_of_ware_not_for_food(store: Store) -> None:
    vase, bowl = fired(store), fired(store, new=a_new_piece(use=Use.FOOD))
    desk = Desk(store.read, TOM, NOON, ANYONE)

    assert KINDS[DocumentKind.NOT_FOR_FOOD].takes(desk, [vase, bowl]) == [vase]
    assert KINDS[DocumentKind.CARE].takes(desk, [vase, bowl]) == [vase, bowl]


def test_each_regime_has_its_own_words_for_ware_not_for_food(store: Store) -> None:
    ref = fired(store)
    european = replace(store.read.catalog().practice, regime=Regime.EU)

    american = words_of(store, DocumentKind.NOT_FOR_FOOD, ref)
    set_practice(store, asked_by(ADA), european)

    # The first wording of 21 CFR 109.16 (from memory); elsewhere short words of our own.
    assert "Not for Food Use. May Poison Food." in american
    assert "NOT FOR FOOD OR DRINK" in words_of(store, DocumentKind.NOT_FOR_FOOD, ref)
    card = words_of(store, DocumentKind.CARE, ref)
    assert "“NOT FOR FOOD OR DRINK”. Fire it on or engrave it. Make the letters at least 3.2 mm high" in card
    # Fired clay and glaze are glass and silica dust under a drill (common practice).
    assert all(word in card for word in ("wet", "goggles", "respirator"))
