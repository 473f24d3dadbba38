"""Signing in with a badge on a shared tablet: what it takes, who it is then, and how it ends."""

from __future__ import annotations

import re
from datetime import timedelta
from html import unescape
from typing import TYPE_CHECKING

import pytest
import zxingcpp

from tests.printing.labels.tags import rendered
from tests.studio import ADA, INES, TOM
from tests.web.conftest import Room, Visitor
from tests.web.pieces.test_scan_pages import scan
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.people import NewPerson, Role
from tracker.usecases.studio import badges, membership

if TYPE_CHECKING:
    from werkzeug.test import TestResponse

SHEET = "A4, 2 x 4, 99.06 x 67.73 mm"
PAT = NewPerson(name="Pat Orrin", email="pat@studio.example", role=Role.STAFF)


def shared(room: Room) -> Visitor:
    """A tablet on which the instructor lets badges sign in, with nobody signed in."""
    ada = room.visit(ADA, anew=True)
    ada.post("/badge/tablet", {"shared": "yes"})
    ada.post("/sign-out", {})
    ada.get("/sign-in")
    return ada


def badge_of(room: Room, who: NewPerson = TOM) -> tuple[str, str]:
    """A badge for one of the staff, and its PIN."""
    person = room.store.read.people.person(email=who.email)
    if person is None:
        membership.add(room.store, room.asks(ADA), who)
        person = room.store.read.people.person(email=who.email)
    assert person is not None
    pin = badges.issue_badge(room.store, room.asks(ADA), person.id)
    badge = room.store.badges.of(person.id)
    assert badge is not None
    return badge.number, pin


def comes(tablet: Visitor, number: str, pin: str, there: str = "/scan?step=wax") -> TestResponse:
    """Scan a badge, type a PIN, and open the page that it leads to."""
    tablet.post("/badge", {"badge": number, "next": there})
    answer = tablet.post("/badge/pin", {"badge": number, "pin": pin, "next": there})
    tablet.get(answer.location or "/sign-in")
    return answer


def test_a_badge_and_its_pin_go_on_where_the_tablet_was_and_are_on_record(room: Room) -> None:
    tablet, (number, pin), piece = shared(room), badge_of(room), room.bisqued()

    assert comes(tablet, number, pin).location == "/scan?step=wax"
    assert scan(tablet, piece.ref, "wax")[1]["ok"]

    (line, *_rest) = [one for one in room.store.read.pieces.page(piece.id).history if one.step == "wax"]
    assert line.by_id == room.person(TOM).id
    assert room.piece(piece.ref).stage is Stage.WAXED


def test_rights_are_those_of_the_person(room: Room) -> None:
    tablet, (number, pin) = shared(room), badge_of(room)
    comes(tablet, number, pin)

    assert tablet.get("/waiting").status_code == 200
    assert tablet.get("/people").status_code == 403


def test_the_next_badge_ends_the_session_before_its_pin_is_typed(room: Room) -> None:
    tablet, (toms, pin), (pats, other) = shared(room), badge_of(room), badge_of(room, PAT)
    comes(tablet, toms, pin)

    page = tablet.post("/badge", {"badge": pats, "next": "/waiting"})

    assert "Pat O." in page.text
    assert tablet.get("/waiting").location == "/sign-in?next=/waiting"
    tablet.post("/badge/pin", {"badge": pats, "pin": other, "next": "/waiting"})
    assert "Pat Orrin" in tablet.get("/waiting").text


def test_a_badge_that_signs_nobody_in_ends_nothing(room: Room) -> None:
    tablet, (number, pin) = shared(room), badge_of(room)
    comes(tablet, number, pin)

    assert tablet.post("/badge", {"badge": "UCDEFGHKLNU", "next": "/waiting"}).location == "/waiting"
    assert tablet.get("/waiting").status_code == 200


def test_ten_minutes_without_a_scan_end_it_and_each_scan_begins_them_anew(room: Room) -> None:
    tablet, (number, pin), piece = shared(room), badge_of(room), room.bisqued()
    comes(tablet, number, pin)

    for _scan in range(3):
        room.clock.moment += timedelta(minutes=9)
        assert tablet.get(f"/find?q={piece.ref}").status_code == 302
        assert tablet.get("/waiting").status_code == 200
    room.clock.moment += timedelta(minutes=9, seconds=50)
    assert tablet.get("/waiting").status_code == 200
    room.clock.moment += timedelta(seconds=20)

    assert tablet.get("/waiting").location == "/sign-in?next=/waiting"
    assert 'name="badge"' in tablet.get("/sign-in?next=/waiting").text


@pytest.mark.parametrize(("who", "is_theirs"), [(TOM, True), (PAT, False)], ids=["its own person", "the next one"])
def test_a_form_sent_after_its_ten_minutes_comes_back_to_whoever_sent_it_and_to_nobody_else(
    room: Room, who: NewPerson, *, is_theirs: bool
) -> None:
    tablet, (toms, pin) = shared(room), badge_of(room)
    comes(tablet, toms, pin, "/pieces/new")
    room.clock.moment += timedelta(minutes=11)
    late = tablet.post("/pieces/new", {"what": "a bowl with a long story"})
    kept = re.search(r'name="kept"\s+value="([^"]*)"', late.text)
    assert kept is not None

    number, code = (toms, pin) if who is TOM else badge_of(room, who)
    sent = {"badge": number, "next": "/pieces/new", "kept": unescape(kept[1])}
    tablet.post("/badge", sent)
    answer = tablet.post("/badge/pin", {**sent, "pin": code})

    assert ("a bowl with a long story" in tablet.get(answer.location or "").text) is is_theirs


def test_a_photographed_badge_does_nothing_without_its_pin_and_nothing_on_any_other_device(room: Room) -> None:
    tablet, elsewhere, (number, pin) = shared(room), room.stranger(), badge_of(room)

    assert tablet.post("/badge/pin", {"badge": number, "pin": "", "next": "/"}).status_code == 403
    assert tablet.get("/waiting").status_code == 302
    for there in ("/badge", "/badge/pin"):
        assert elsewhere.post(there, {"badge": number, "pin": pin}).status_code == 403
    elsewhere.client.set_cookie("footring_tablet", "made-up")
    assert elsewhere.post("/badge/pin", {"badge": number, "pin": pin}).status_code == 403
    assert 'name="badge"' not in elsewhere.get("/sign-in").text


def test_guesses_at_a_pin_are_few_and_a_wait_is_told(room: Room) -> None:
    tablet, (number, pin) = shared(room), badge_of(room)
    wrong = f"{(int(pin) + 1) % 10_000:04}"

    statuses = [tablet.post("/badge/pin", {"badge": number, "pin": wrong}).status_code for _try in range(6)]

    assert statuses == [403] * 5 + [429]
    assert tablet.post("/badge/pin", {"badge": number, "pin": pin}).status_code == 429


@pytest.mark.parametrize("there", ["/people/2/badge", "/people/2/badge/revoke", "/badge/tablet"])
def test_only_the_instructor_makes_badges_and_shares_a_device(room: Room, there: str) -> None:
    assert room.visit(TOM).post(there, {"shared": "yes"}).status_code == 403
    assert room.visit(INES).post(there, {"shared": "yes"}).status_code == 403


def test_the_instructor_makes_a_badge_sees_its_pin_once_prints_it_and_revokes_it(room: Room) -> None:
    ada, tom = room.visit(ADA), room.person(TOM)
    page = ada.post(f"/people/{tom.id}/badge", {}).text
    pin = re.search(r'first-password code" translate="no">(\d{4})<', page)
    badge = room.store.badges.of(tom.id)
    assert pin is not None
    assert badge is not None
    assert pin[1] not in ada.get(f"/people/{tom.id}").text

    printed = ada.prints("badges", {"things": str(tom.id), "stock": SHEET})
    read = zxingcpp.read_barcodes(rendered(printed.data, 300))
    assert [one.text for one in read] == [badge.number]
    assert f'value="{TOM.name}"' in room.visit(TOM).get(f"/pickup?ref={badge.number}").text

    tablet = shared(room)
    comes(tablet, badge.number, pin[1])
    ada.post(f"/people/{tom.id}/badge/revoke", {})
    assert tablet.get("/waiting").status_code == 302
    assert room.store.badges.of(tom.id) is None


@pytest.mark.parametrize("who", [INES, ADA], ids=["student", "instructor"])
def test_nobody_else_is_offered_a_badge(room: Room, who: NewPerson) -> None:
    ada, number = room.visit(ADA), room.person(who).id

    assert f"/people/{number}/badge" not in ada.get(f"/people/{number}").text
    ada.post(f"/people/{number}/badge", {})
    assert room.store.badges.of(number) is None


def test_a_badge_on_other_pages_is_called_what_it_is(room: Room) -> None:
    number, _pin = badge_of(room)
    tom = room.visit(TOM)

    assert scan(tom, number, "wax")[0] == 422
    assert TOM.name in tom.get(f"/find?q={number}").text
