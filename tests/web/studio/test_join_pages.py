"""A late joiner: the QR is read back off the poster, and leads into the studio, by mail or by the instructor."""

from __future__ import annotations

import re
from datetime import timedelta
from urllib.parse import urlsplit

import pypdfium2
import pytest
import zxingcpp

from tests.printing.labels.tags import text_of
from tests.studio import ADA, INES, NOON, TOM
from tests.web.conftest import Room
from tests.web.studio.test_link_pages import NEW, link_in, post, sent
from tracker.domain.studio.people import Role

__all__ = ["post"]

LEA = {"name": "Lea Moor", "email": "lea@studio.example", "new": NEW}


def _poster(room: Room, *, asks_first: bool = False, paper: str = "a4") -> bytes:
    (number,) = [one.id for one in room.store.read.terms.sections() if one.name == INES.section]
    ada, there = room.visit(ADA), f"/people/joining/{number}"
    fields = {"ends_on": (NOON.date() + timedelta(days=9)).isoformat()} | ({"asks_first": "yes"} if asks_first else {})
    ada.post(there, fields)
    assert f"{there}/poster.pdf" in ada.get(there).text
    return bytes(ada.get(f"{there}/poster.pdf?paper={paper}").data)


def code_on(pdf: bytes) -> str:
    """The address in the QR on the first page, as an independent reader reads it."""
    document = pypdfium2.PdfDocument(pdf)
    image = document[0].render(scale=2, grayscale=True).to_numpy()
    document.close()
    (found,) = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode]))
    return str(found.text)


def _there(pdf: bytes) -> tuple[str, str]:
    """The page that the poster leads to, and what opens it."""
    address = urlsplit(code_on(pdf))
    return f"{address.path}?{address.query}", address.query.partition("=")[2]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_poster_says_the_section_the_address_and_the_last_day_in_words(room: Room, paper: str) -> None:
    pdf = _poster(room, paper=paper)

    words = " ".join(text_of(pdf).split())
    assert code_on(pdf) in words.replace(" ", "")
    last = NOON + timedelta(days=9)
    assert all(one in words for one in (INES.section, f"{last:%A, %B} {last.day}, {last.year}"))


def test_a_late_joiner_proves_the_email_and_is_in(post: Room) -> None:
    there, token = _there(_poster(post))
    lea = post.stranger()

    form = lea.get(there).text
    lea.post("/join", {"t": token, "name": LEA["name"], "email": LEA["email"]})
    (mail,) = sent(post)
    studio = post.store.read.studio().name
    assert all(name in mail["Subject"] for name in (studio, "Tuesday"))
    assert f">{studio}<" in lea.get(f"/join?t={token}").text.partition("<main")[2]
    done = lea.post("/password-link", {"t": link_in(mail).partition("=")[2], "new": NEW}, follow_redirects=True)

    assert 'name="new"' not in form
    assert done.request.path == "/pieces"
    someone = post.store.read.people.person(email=LEA["email"])
    assert someone is not None
    assert (someone.name, someone.section, someone.role) == (LEA["name"], INES.section, Role.STUDENT)
    assert "joined by link" in post.visit(ADA).get("/people").text


def test_where_the_instructor_lets_each_one_in_a_proven_email_waits_on_people_and_today(post: Room) -> None:
    _page, token = _there(_poster(post, asks_first=True))
    lea, ada = post.stranger(), post.visit(ADA)
    lea.post("/join", {"t": token, "name": LEA["name"], "email": LEA["email"]})
    unproven = ada.get("/people").text
    (mail,) = sent(post)

    lea.post("/password-link", {"t": link_in(mail).partition("=")[2], "new": NEW})

    assert LEA["email"] not in unproven
    assert lea.get("/pieces").status_code == 302
    assert "/people#waiting" in ada.get("/today").text
    assert "/people#waiting" not in post.visit(TOM).get("/today").text
    (action,) = re.findall(r'action="(/people/joiners/\d+/let-in)"', ada.get("/people").text)
    ada.post(action, {})
    assert lea.post("/sign-in", {"email": LEA["email"], "password": NEW}).location != "/sign-in"
    assert lea.get("/pieces").status_code == 200


@pytest.mark.parametrize("is_mailed", [True, False], ids=["mail", "no mail"])
def test_the_answer_is_the_same_whether_somebody_has_the_email_or_not(room: Room, is_mailed: bool) -> None:  # noqa: FBT001 -- of a table
    room.store.outbox.is_on = is_mailed
    _page, token = _there(_poster(room))
    answers = []
    for email in (LEA["email"], INES.email):
        answer = room.stranger().post("/join", {**LEA, "t": token, "email": email})
        answers.append((answer.status_code, answer.text.replace(email, "")))

    told = [mail["To"].addresses[0].addr_spec for mail in sent(room)] if is_mailed else []

    assert answers[0] == answers[1]
    assert set(told) == ({LEA["email"], INES.email} if is_mailed else set())
    assert room.visit(INES).get("/pieces").status_code == 200


def test_a_link_that_ended_asks_nothing_and_a_bad_form_comes_back_as_it_was(room: Room) -> None:
    there, token = _there(_poster(room))
    bad = room.stranger().post("/join", {**LEA, "t": token, "email": "lea at home"})
    room.clock.moment += timedelta(days=10)
    ended = room.stranger().get(there)

    assert (bad.status_code, f'value="{LEA["name"]}"' in bad.text) == (422, True)
    assert (ended.status_code, "<form" in ended.text.partition("<main")[2]) == (404, False)
    assert room.stranger().post("/join", {**LEA, "t": token}).status_code == 404
    assert room.store.read.people.person(email=LEA["email"]) is None
