"""A form sent after the session had ended comes back filled in after signing in, and does nothing by itself."""

from __future__ import annotations

import re
from html import unescape

import pytest

from tests.studio import INES, TOM
from tests.web.conftest import PASSWORD, Room, Visitor
from tracker.domain.pieces.piece import Use
from tracker.web.kept_forms import KeptForm, filled, read_kept

CUP = {
    "what": "tall “tea” cup",
    "clay": "Middle Gray",
    "build": "thrown",
    "use": "food",
    "height": "110 mm",
    "width": "80 mm",
    "depth": "80 mm",
    "weight": "350 g",
    "wall": "6 mm",
    "form": "open",
}


def sign_in(visitor: Visitor, page: str, who: str) -> str:
    """The page on which somebody lands who signs in on a page that asks for it."""
    kept = re.search(r'name="kept" value="([^"]*)"', page)
    assert kept is not None
    sent = {"email": who, "password": PASSWORD, "next": "/", "kept": unescape(kept[1])}
    return visitor.post("/sign-in", sent, follow_redirects=True).text


def value_of(page: str, name: str) -> str:
    """What a text field of a page holds."""
    found = re.search(rf'<input(?=[^>]*\sname="{name}")[^>]*\svalue="([^"]*)"', page)
    assert found is not None, name
    return unescape(found[1])


def test_a_form_sent_after_the_session_ended_comes_back_filled_in_and_nothing_is_done_yet(room: Room) -> None:
    ines = room.visit(INES)
    room.clock.pass_by(days=31)

    asked = ines.post("/pieces/new", CUP, headers={"Referer": "http://localhost/pieces/new"})
    page = sign_in(ines, asked.text, INES.email)

    assert asked.status_code == 401
    assert {name: value_of(page, name) for name in ("what", "height", "weight")} == {
        name: CUP[name] for name in ("what", "height", "weight")
    }
    assert re.search(r'<option[^>]*value="Middle Gray"[^>]*selected', page)
    assert re.search(r'<input(?=[^>]*name="use")(?=[^>]*value="food")[^>]*\schecked', page)
    assert room.store.read.pieces.of(room.person(INES).id) == ()


def test_a_form_whose_cookie_is_gone_comes_back_too(room: Room) -> None:
    ines = room.visit(INES)
    ines.client.delete_cookie("footring")

    asked = ines.post("/pieces/new", CUP, headers={"Origin": "http://localhost"})
    ines.token = re.findall(r'name="csrf_token" value="([^"]+)"', asked.text)[0]

    assert value_of(sign_in(ines, asked.text, INES.email), "what") == CUP["what"]


def test_a_form_from_an_older_session_comes_back_in_the_new_one(room: Room) -> None:
    ines = room.visit(INES)

    page = ines.post(
        "/pieces/new", {**CUP, "csrf_token": "of another session"}, headers={"Origin": "http://localhost"},
        follow_redirects=True,
    )  # fmt: skip

    assert value_of(page.text, "what") == CUP["what"]


@pytest.mark.parametrize("origin", [{"Origin": "https://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}])
def test_what_another_site_sends_is_not_kept(room: Room, origin: dict[str, str]) -> None:
    stranger = room.stranger()

    answer = stranger.post("/pieces/new", {**CUP, "csrf_token": "made up"}, headers=origin)

    assert answer.status_code == 400
    assert CUP["what"] not in unescape(answer.text)


def test_a_form_that_its_page_no_longer_shows_can_be_read_and_sent(room: Room) -> None:
    cup, ines = room.bisqued(use=Use.FOOD), room.visit(INES)
    room.clock.pass_by(days=31)

    asked = ines.post(f"/p/{cup.ref}/ask", {"text": "May I dip it?"}, headers={"Referer": "http://localhost/pieces"})
    page = sign_in(ines, asked.text, INES.email)
    sent = re.findall(r'<input type="hidden" name="(text|key)" value="([^"]*)"', page)
    ines.post(f"/p/{cup.ref}/ask", dict(sent))

    assert f'action="/p/{cup.ref}/ask"' in page
    assert "May I dip it?" in page
    assert [str(one.text["text"]) for one in room.store.read.questions.of_piece(cup.id)] == ["May I dip it?"]


def test_passwords_are_never_kept(room: Room) -> None:
    tom = room.visit(TOM)
    room.clock.pass_by(hours=15)

    answer = tom.post("/password", {"old": PASSWORD, "new": "another one of mine"})

    assert answer.status_code == 302
    assert PASSWORD not in answer.text


def test_the_cookie_lasts_as_long_as_the_sign_in_page_says(room: Room) -> None:
    ines = room.visit(INES, anew=True)
    cookie = ines.client.get_cookie("footring")
    room.clock.pass_by(days=29)

    assert "30 days" in room.stranger().get("/sign-in").text
    assert cookie is not None
    assert cookie.max_age is not None or cookie.expires is not None
    assert ines.get("/pieces").status_code == 200


PAGE = """<details><summary>More</summary>
<form method="post" action="/a"><input type="hidden" name="step" value="wax">
<input name="note" value=""></form></details>
<form method="post" action="/a"><input type="hidden" name="step" value="lose">
<input name="note"><input name="note"><textarea name="why">old</textarea>
<input type="checkbox" name="sure" value="yes" checked><input type="password" name="secret" value="">
<select name="to"><option value="">-</option><option value="b">B</option></select></form>"""


def test_the_one_form_is_filled_in_that_was_sent_and_every_field_of_it() -> None:
    kept = KeptForm(
        "/a", "/", (("step", "lose"), ("note", "1"), ("note", '"2"'), ("why", "<b>"), ("to", "b"), ("secret", "x"))
    )

    page = filled(PAGE, kept) or ""

    assert page.count('name="note" value="1"') == 1
    assert 'name="note" value="&quot;2&quot;"' in page
    assert "&lt;b&gt;</textarea>" in page
    assert '<option value="b" selected>' in page
    assert "checked" not in page
    assert 'value="x"' not in page
    assert page.startswith("<details><summary>")


def test_a_folded_form_is_opened_and_a_page_without_the_form_is_left_alone() -> None:
    assert (filled(PAGE, KeptForm("/a", "/", (("step", "wax"), ("note", "1")))) or "").startswith("<details open>")
    assert filled(PAGE, KeptForm("/b", "/", (("note", "1"),))) is None


@pytest.mark.parametrize(
    "text",
    ["", "[]", "null", "[1, 2, 3, 4]", '["//x", "/", [], false]', '["/a", "/\\\\x", [], false]', "[" * 50_000],
    ids=lambda text: text[:20],
)
def test_what_is_no_kept_form_is_none(text: str) -> None:
    assert read_kept(text) is None
