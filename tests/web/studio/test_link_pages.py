"""Links in mail: a password chosen by one, by newcomers too, and the end of mail about pieces by another."""

from __future__ import annotations

import re
from email.message import EmailMessage
from io import BytesIO
from typing import TYPE_CHECKING

import pytest

from tests.studio import ADA, INES, TOM
from tracker.domain.studio.mails import NewsWish
from tracker.usecases.pieces import pieces
from tracker.usecases.studio.letters import Sender
from tracker.usecases.studio.mailing import send_due

if TYPE_CHECKING:
    from tests.web.conftest import Room

NEW = "a heron stands on one leg"


@pytest.fixture
def post(room: Room) -> Room:
    """The room with a mail server."""
    room.store.outbox.is_on = True
    return room


def sent(room: Room) -> list[EmailMessage]:
    """What goes out now."""
    got: list[EmailMessage] = []
    send_due(room.store, got.append, Sender("clay@studio.example", "http://localhost"), room.clock)
    return got


def link_in(mail: EmailMessage) -> str:
    """The link of a mail, from the front of its address on."""
    body = mail.get_body(("plain",))
    assert body is not None
    (found,) = re.findall(r"http://localhost(/password-link\S+)", body.get_content())
    return str(found)


def test_whoever_forgot_a_password_asks_for_a_link_and_comes_in_with_it(post: Room) -> None:
    ines = post.stranger()

    assert "/forgot-password" in ines.get("/sign-in").text
    ines.get("/forgot-password")
    ines.post("/forgot-password", {"email": INES.email})
    (mail,) = sent(post)
    link = link_in(mail)
    page = ines.get(link)
    weak = ines.post("/password-link", {"t": link.partition("=")[2], "new": "short"})
    done = ines.post("/password-link", {"t": link.partition("=")[2], "new": NEW}, follow_redirects=True)

    assert INES.name in page.text
    assert (weak.status_code, 'name="t"' in weak.text) == (422, True)
    assert done.request.path == "/pieces"
    again = post.stranger().get(link)
    assert (again.status_code, "/forgot-password" in again.text) == (404, True)


def test_nobody_learns_who_has_an_account(post: Room) -> None:
    known, unknown = (post.stranger().post("/forgot-password", {"email": who}) for who in (INES.email, "who@x.edu"))

    assert known.status_code == unknown.status_code == 200
    assert known.text.replace(INES.email, "") == unknown.text.replace("who@x.edu", "")


def test_without_mail_nobody_is_led_to_a_link(room: Room) -> None:
    visitor = room.stranger()

    assert "/forgot-password" not in visitor.get("/sign-in").text
    assert 'name="email"' not in visitor.get("/forgot-password").text
    visitor.post("/forgot-password", {"email": INES.email})
    assert sent(room) == []


def test_newcomers_get_a_link_and_no_password_is_shown(post: Room) -> None:
    ada = post.visit(ADA)
    ada.get("/people/new")
    facts = {"name": "Pat Oro", "email": "pat@x.edu", "section": "Friday", "role": "student"}
    shown = ada.post("/people/new", facts, follow_redirects=True).text
    table = b"name,email\nKim Ash,kim@x.edu\nLee Oak,lee@x.edu\n"
    taken = ada.post("/people/roster", {"file": (BytesIO(table), "roster.csv")}, content_type="multipart/form-data")

    mails = sent(post)

    assert [one["To"].addresses[0].addr_spec for one in mails] == ["pat@x.edu", "kim@x.edu", "lee@x.edu"]
    assert "first-password" not in shown
    assert (taken.status_code, "<table" in taken.text) == (200, False)
    pat = post.stranger()
    pat.get(link := link_in(mails[0]))
    post.clock.pass_by(days=13)
    begun = pat.post("/password-link", {"t": link.partition("=")[2], "new": NEW}, follow_redirects=True)
    assert begun.request.path == "/pieces"


def test_a_wrong_email_put_right_gets_the_link_and_the_wrong_ones_link_ends(post: Room) -> None:
    ada = post.visit(ADA)
    ada.get("/people/new")
    facts = {"name": "Pat Oro", "email": "pta@x.edu", "section": "Friday", "role": "student"}
    there = ada.post("/people/new", facts).location
    (wrong,) = sent(post)

    ada.post(there, {**facts, "email": "pat@x.edu"})

    (right,) = sent(post)
    visitor = post.stranger()
    assert right["To"].addresses[0].addr_spec == "pat@x.edu"
    assert visitor.get(link_in(wrong)).status_code == 404
    assert visitor.get(link_in(right)).status_code == 200


def test_news_of_a_piece_stop_by_the_link_in_them_also_by_one_click_of_a_mail_program(post: Room) -> None:
    pieces.lose(post.store, post.asks(TOM), post.bisqued().ref, "broken")
    post.clock.pass_by(days=1)
    (mail,) = sent(post)
    link = mail["List-Unsubscribe"].removeprefix("<http://localhost").removesuffix(">")
    visitor, ines = post.stranger(), post.person(INES).id

    asked = visitor.get(link)
    assert (asked.status_code, post.store.outbox.wish(ines)) == (200, NewsWish.DAILY)
    # A mail program has neither a cookie nor a token (RFC 8058).
    done = post.app.test_client().post(link, data={"List-Unsubscribe": "One-Click"})
    assert (done.status_code, post.store.outbox.wish(ines)) == (200, NewsWish.NEVER)
    assert visitor.get(f"{link[:-4]}0000").status_code == 404
    assert post.app.test_client().post("/mail/stop?p=3&s=0").status_code == 404


def test_everybody_chooses_how_often_mail_about_their_pieces_comes(post: Room) -> None:
    ines = post.visit(INES)

    ines.get("/me")
    ines.post("/me", {"units": "", "paper": "", "news": "soon"})

    assert post.store.outbox.wish(post.person(INES).id) is NewsWish.SOON
    assert re.search(r'<option value="soon" selected', ines.get("/me").text)
    post.store.outbox.is_on = False
    assert 'name="news"' not in ines.get("/me").text
