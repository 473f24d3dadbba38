"""People: the roster by section, and a new first password that is shown once and must be changed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.studio import ADA, INES, MIRA, TOM
from tracker.usecases.pieces import pickup

if TYPE_CHECKING:
    from tests.web.conftest import Room
    from tracker.domain.studio.people import NewPerson


@pytest.mark.parametrize(
    ("query", "order"),
    [
        ("", (ADA, INES, MIRA, TOM)),
        ("sort=section", (MIRA, INES, ADA, TOM)),
        ("kind=Tuesday", (INES,)),
        ("kind=staff", (TOM,)),
    ],
)
def test_people_are_sorted_and_filtered(room: Room, query: str, order: tuple[NewPerson, ...]) -> None:
    page = room.visit(ADA).get(f"/people?{query}").text

    emails = re.findall(r"[a-z.]+@[a-z.]+", page.partition("<main")[2])
    assert emails == [one.email for one in order]


def test_a_new_first_password_is_asked_about_shown_once_and_opens_the_door(room: Room) -> None:
    ada, ines = room.visit(ADA), room.visit(INES)
    number = room.person(INES).id

    asked = ada.get(f"/people/{number}").text
    shown = ada.post(f"/people/{number}/password").text
    [password] = re.findall(r'class="first-password code" translate="no">([^<]+)<', shown)

    assert "The old password stops working now" in asked
    assert password not in ada.get(f"/people/{number}").text
    assert ines.get("/pieces/new").status_code == 302
    stranger = room.stranger()
    stranger.post("/sign-in", {"email": INES.email, "password": password})
    assert stranger.get("/pieces/new").location == "/password"


def test_a_person_is_added_changed_shut_out_and_let_in_on_pages(room: Room) -> None:
    ada = room.visit(ADA)
    facts = {"name": "Pat  Oro", "email": "Pat@x.edu", "section": "Friday", "role": "student"}

    bad = ada.post("/people/new", {**facts, "email": "pat"})
    twice = ada.post("/people/new", {**facts, "email": INES.email})
    shown = ada.post("/people/new", facts).text
    pat = room.store.read.people.person(email="pat@x.edu")
    assert pat is not None
    there = f"/people/{pat.id}"
    ada.post(there, {**facts, "name": "Pat Orr", "role": "staff"})
    changed = ada.get(there).text
    ada.post(f"{there}/leave")
    left = (ada.get(there).text, ada.get("/people").text, ada.get("/people?left=yes").text)
    ada.post(f"{there}/return")

    assert (bad.status_code, twice.status_code) == (422, 409)
    assert 'value="Friday"' in bad.text
    assert INES.name in twice.text
    assert re.search(r'class="first-password code" translate="no">([^<]+)<', shown)
    assert 'value="Pat Orr"' in changed
    assert '<option value="staff" selected>' in changed
    assert "Let them in again" in left[0]
    assert ["Pat Orr" in page for page in left[1:]] == [False, True]
    assert "Pat Orr" in ada.get("/people").text


def test_only_the_instructor_sees_who_is_a_minor_or_a_visitor(room: Room) -> None:
    cup, mira = room.bisqued(MIRA), room.person(MIRA)
    ada, facts = room.visit(ADA), {"name": mira.name, "email": mira.email, "section": mira.section, "role": "student"}
    ticked = r'name="supervised" value="yes" checked'

    ada.post(f"/people/{mira.id}", {**facts, "supervised": "yes"})
    set_ = ada.get(f"/people/{mira.id}").text
    read = [
        room.visit(who).get(where).text
        for who, where in (
            *(
                (TOM, f"/makers/{mira.id}"),
                (TOM, f"/pieces/{cup.ref}"),
                (MIRA, f"/pieces/{cup.ref}"),
                (MIRA, "/pieces"),
            ),
        )
    ]
    ada.post(f"/people/{mira.id}", facts)

    assert re.search(ticked, set_)
    assert not any(re.search("minor|visitor|supervis", page.partition("<main")[2], re.IGNORECASE) for page in read)
    assert not re.search(ticked, ada.get(f"/people/{mira.id}").text)


def test_nobody_by_that_number_is_said_so(room: Room) -> None:
    ada = room.visit(ADA)

    assert ada.get("/people/99").status_code == 404
    assert ada.post("/people/99/password").status_code == 404


def test_only_the_instructor_sees_the_roster_and_renews_a_password(room: Room) -> None:
    number = room.person(INES).id

    for who in (TOM, INES):
        visitor = room.visit(who)
        assert visitor.get("/people").status_code == 403
        assert visitor.post(f"/people/{number}/password").status_code == 403


def test_a_students_data_is_removed_from_their_page_once_nothing_is_under_way(room: Room) -> None:
    cup = room.bisqued(MIRA)
    ada, number = room.visit(ADA), room.person(MIRA).id

    kept = ada.get(f"/people/{number}").text
    refused = ada.post(f"/people/{number}/forget")
    pickup.hand_over(room.store, room.asks(TOM), cup.ref)
    offered = ada.get(f"/people/{number}").text
    removed = ada.post(f"/people/{number}/forget")

    assert "Mira Tann still has 1 piece in the studio." in kept
    assert "Remove this person's data for good?" not in kept
    assert refused.headers["Location"] == f"/people/{number}"
    assert "Remove this person's data for good?" in offered
    assert removed.headers["Location"] == "/people"
    page = ada.get("/people").text
    assert "Their data was removed" in page
    assert "Mira" not in page
    assert "a former maker" in ada.get(f"/p/{cup.ref}").text


@pytest.mark.parametrize("who", ["pell", "Ines P", INES.email, INES.email.upper()])
def test_somebody_is_found_by_name_or_email(room: Room, who: str) -> None:
    page = room.visit(ADA).get(f"/people?find={who}").text

    assert INES.email in page
    assert TOM.email not in page


def test_a_search_that_finds_nobody_says_so(room: Room) -> None:
    page = room.visit(ADA).get("/people?find=Nobody+Here").text

    assert "“Nobody Here”" in page
    assert INES.email not in page
