"""Terms on pages: one is added, copied and brought down to zero; nothing is lost that nobody decided about."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.staffed import fired
from tests.studio import ADA, INES, MIRA, TOM
from tracker.domain.pieces.piece import Stage
from tracker.forms.studio.spreadsheets import packed, read_sheet
from tracker.usecases.pieces import pieces

if TYPE_CHECKING:
    from tests.web.conftest import Room, Visitor

SPRING = {"name": "Spring", "starts_on": "2026-01-12", "ends_on": "2026-05-08", "sections": "Tuesday\n Thursday \n"}


def a_term(room: Room, ada: Visitor) -> int:
    ada.post("/terms/new", SPRING)
    return room.store.read.terms.listed()[0].id


def ticks(page: str) -> list[str]:
    """What each tick on a page would send."""
    return re.findall(r'name="piece" value="([^"]+)"', page)


def left(page: str) -> list[int]:
    """How many are unclaimed, in work and lost, by the page."""
    return [int(figure) for figure in re.findall(r"<dd>(\d+)</dd>", page)]


def test_a_term_is_added_copied_and_changed_and_a_bad_one_is_told_field_by_field(room: Room) -> None:
    ada = room.visit(ADA)

    bad = ada.post("/terms/new", {**SPRING, "name": "", "ends_on": "2025-05-08", "pickup_on": "soon"})
    late = ada.post("/terms/new", {**SPRING, "pickup_on": "2026-05-09"})
    number = a_term(room, ada)
    like = ada.get(f"/terms/new?from={number}").text
    ada.post(f"/terms/{number}", {**SPRING, "name": "Spring 26", "pickup_on": "2026-05-07", "sections": "Friday"})
    (term,) = room.store.read.terms.listed()

    assert (bad.status_code, late.status_code) == (422, 422)
    assert 'id="pickup_on-error"' in late.text
    assert [f'id="{name}-error"' in bad.text for name in ("name", "ends_on", "pickup_on")] == [True] * 3
    assert 'value="2026-05-11"' in like  # A Monday again, in the week after the end.
    assert "Thursday\nTuesday" in like
    assert (term.name, str(term.pickup_on)) == ("Spring 26", "2026-05-07")
    assert {one.name for one in room.store.read.terms.sections()} == {"Tuesday", "Thursday", "Friday"}


def test_the_end_of_a_term_goes_down_to_zero_on_its_page_and_is_undone_from_it(room: Room) -> None:
    ada = room.visit(ADA)
    ready, raw, lost = fired(room.store), room.bisqued(by=MIRA).ref, room.bisqued().ref
    number = a_term(room, ada)
    there = f"/terms/{number}/end"
    pieces.lose(room.store, room.asks(INES), lost, "missing")

    before, by_shelf = ada.get(there).text, ada.get(f"{there}?by=shelf").text
    nothing = ada.post(f"/terms/{number}/pieces", {"how": "donate"}, follow_redirects=True)
    ada.post(there, {})
    too_early = room.store.read.terms.listed()[0].ended_at
    tick = [one for one in ticks(before) if one.startswith(ready)]
    given = ada.post(f"/terms/{number}/pieces", {"how": "donate", "piece": tick, "to": "Harvest sale"})
    undoes = given.location.partition("undo=")[2].split("&undo=")
    ada.post(f"/terms/{number}/undo", {"line": undoes})
    back = left(ada.get(there).text)
    for how, code in (("keep", ready), ("discard", raw)):
        some = [one for one in ticks(ada.get(there).text) if one.startswith(f"{code}.")]
        ada.post(f"/terms/{number}/pieces", {"how": how, "piece": some})
    empty = ada.get(there).text
    ada.post(there, {})

    assert sorted(one.partition(".")[0] for one in ticks(before)) == sorted([ready, raw])
    assert sorted(ticks(before)) == sorted(ticks(by_shelf))
    assert "Nothing was ticked." in nothing.text
    assert room.store.read.terms.listed()[0].ended_at == room.clock()
    assert too_early is None
    assert (left(before)[:2], back[:2], left(empty)[:2]) == ([1, 1], [1, 1], [0, 0])
    assert [room.piece(one).stage for one in (ready, raw)] == [Stage.CLAIMED, Stage.LOST]


def test_a_section_is_archived_from_the_page_and_only_the_instructor_sees_any_of_it(room: Room) -> None:
    ada = room.visit(ADA)
    number = a_term(room, ada)
    page = ada.get(f"/terms/{number}/end").text
    sections = re.findall(r'name="section"\s+value="(\d+)"', page)

    for section in sections:
        ada.post(f"/terms/{number}/archive", {"section": section})
    by_tom = room.visit(TOM).get(f"/terms/{number}/end")

    people = [room.store.read.people.person(email=one.email) for one in (INES, MIRA, TOM)]
    assert [one and one.has_left for one in people] == [True, True, False]
    assert by_tom.status_code == 403
    assert ada.get("/terms/data").status_code == 200


def test_a_roster_and_a_person_go_to_the_term_that_is_chosen_while_another_runs(room: Room) -> None:
    ada = room.visit(ADA)
    a_term(room, ada)
    mira = room.store.read.people.person(email=MIRA.email)
    assert mira is not None
    alone = ada.get(f"/people/{mira.id}").text
    ada.post("/terms/new", {"name": "Fall", "starts_on": "2026-09-01", "ends_on": "2026-12-01", "sections": "Tuesday"})
    fall, spring = room.store.read.terms.listed()
    table = packed(read_sheet(b"name,email,section\nPat Oro,pat@x.edu,Tuesday"))

    looked = ada.post("/people/roster/look", {"table": table, "term": str(fall.id)}).text
    ada.post("/people/roster", {"table": table, "term": str(fall.id)})
    page = ada.get(f"/people/{mira.id}").text
    details = {"name": MIRA.name, "email": MIRA.email, "section": "Tuesday", "role": "student"}
    unknown = ada.post(f"/people/{mira.id}", {**details, "term": "99"}).status_code
    ada.post(f"/people/{mira.id}", {**details, "term": str(fall.id)})

    assert 'name="term"' not in alone
    assert f'value="{spring.id}" selected' in page
    assert f'name="term" value="{fall.id}"' in looked
    assert INES.name not in looked
    assert unknown == 404
    assert {one.name for one in room.store.read.terms.people(fall.id)} == {"Pat Oro", MIRA.name}


def test_two_terms_with_the_same_section_are_told_apart_wherever_people_and_links_are_listed(room: Room) -> None:
    ada = room.visit(ADA)
    ada.post("/terms/new", {**SPRING, "name": "Fall", "starts_on": "2025-09-01", "ends_on": "2025-12-01"})
    (fall,) = room.store.read.terms.listed()
    a_term(room, ada)
    (ines,) = [one for one in room.store.read.terms.people(fall.id) if one.name == INES.name]
    of_fall = next(one.id for one in room.store.read.terms.sections() if one.term_id == fall.id)

    ada.post(f"/people/joining/{of_fall}", {"ends_on": "2027-01-01"})
    people, joining = ada.get("/people").text, ada.get("/people/joining").text

    assert f"{ines.section}, Fall" in people
    assert all("Fall" in ada.get(f"/{page}/{ines.id}").text for page in ("people", "makers"))
    assert INES.name in ada.get("/people?kind=Tuesday%2C+Fall").text
    assert ("Spring" in joining, "Fall" in joining) == (True, False)
    assert room.store.read.joining.link_of(of_fall) is None


def test_all_of_a_makers_pieces_are_ticked_at_once_and_notices_are_a_press_away(room: Room) -> None:
    ada = room.visit(ADA)
    refs = [room.bisqued(by=MIRA).ref for _ in range(2)]
    number = a_term(room, ada)

    page = ada.get(f"/terms/{number}/end").text
    (together,) = re.findall(r'name="all" value="([^"]+)"', page)
    ada.post(f"/terms/{number}/pieces", {"how": "keep", "all": together, "piece": ticks(page)[:1]})

    assert [one.partition(".")[0] for one in together.split()] == refs
    assert left(ada.get(f"/terms/{number}/end").text)[:2] == [0, 0]
    assert "notices" in page
