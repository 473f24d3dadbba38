"""Who comes in, how often one may try, what the cookie says of itself and where one lands afterwards."""

from __future__ import annotations

import re
from html import unescape

import pytest

from tests.studio import ADA, INES, MIRA, TOM
from tests.web.conftest import PASSWORD, Room
from tracker.settings import Settings
from tracker.usecases.studio import people
from tracker.web.app_factory import build


def test_the_right_password_lets_a_student_in_to_her_own_pieces(room: Room) -> None:
    ines = room.stranger()

    answer = ines.post("/sign-in", {"email": INES.email, "password": PASSWORD}, follow_redirects=True)

    assert answer.request.path == "/pieces"
    assert "<h1>My pieces</h1>" in answer.text


@pytest.mark.parametrize(
    ("email", "password"),
    [(INES.email, "not her password"), ("nobody@studio.example", PASSWORD), ("", ""), (INES.email, "")],
    ids=["wrong password", "unknown email", "nothing", "no password"],
)
def test_a_wrong_sign_in_is_one_sentence_that_does_not_tell_which_half_was_wrong(
    room: Room, email: str, password: str
) -> None:
    visitor = room.stranger()

    answer = visitor.post("/sign-in", {"email": email, "password": password})

    assert answer.status_code == 403
    assert "Wrong email or password." in answer.text
    assert visitor.get("/pieces").status_code == 302


def test_what_was_typed_as_email_is_still_there_after_a_wrong_sign_in(room: Room) -> None:
    visitor = room.stranger()

    answer = visitor.post("/sign-in", {"email": "ines@studio.exmaple", "password": "x"})

    assert 'value="ines@studio.exmaple"' in answer.text


def test_a_guesser_is_told_how_long_to_wait_and_the_owners_own_browser_is_let_in(room: Room) -> None:
    owner, guesser = room.visit(INES, anew=True), room.stranger()
    for number in range(5):
        guesser.post("/sign-in", {"email": INES.email, "password": f"guess {number}"})

    answer = guesser.post("/sign-in", {"email": INES.email, "password": PASSWORD})

    assert (answer.status_code, answer.headers["Retry-After"]) == (429, "15")
    assert "Wait 15 s" in answer.text
    owner.post("/sign-out")
    owner.get("/sign-in")
    assert owner.post("/sign-in", {"email": INES.email, "password": PASSWORD}).status_code == 302


def test_a_forged_device_cookie_is_nobodys(room: Room) -> None:
    guesser = room.stranger()
    for number in range(5):
        guesser.post("/sign-in", {"email": INES.email, "password": f"guess {number}"})
    guesser.client.set_cookie("footring_device", '["x",[1,2,3,4]].AAAA', path="/sign-in")

    assert guesser.post("/sign-in", {"email": INES.email, "password": PASSWORD}).status_code == 429


def test_the_cookie_is_out_of_reach_of_scripts_and_of_other_sites(room: Room) -> None:
    visitor = room.stranger()

    answer = visitor.post("/sign-in", {"email": INES.email, "password": PASSWORD})

    set_here = answer.headers.getlist("Set-Cookie")
    assert {flags.partition("=")[0] for flags in set_here} == {"footring", "footring_device"}
    # The session's comes along where somebody follows a link to a page of ours, and with no form of another site.
    assert [flags.partition("SameSite=")[2][:3] for flags in sorted(set_here)] == ["Lax", "Str"]
    assert all("HttpOnly" in flags for flags in set_here)


def test_behind_https_the_cookie_travels_over_https_only(room: Room) -> None:
    secure = build(room.store, Settings(database="unused", secure_cookies=True), room.clock, lambda: 0.0)

    answer = secure.test_client().get("/sign-in", base_url="https://studio.example")

    assert "; Secure;" in answer.headers["Set-Cookie"]


@pytest.mark.parametrize(
    "elsewhere",
    [
        "https://elsewhere.example/",
        "https:elsewhere.example",
        "\\\\elsewhere.example",
        "\t//elsewhere.example",
        " //elsewhere.example",
        "elsewhere.example",
        "//elsewhere.example/",
        "/\\elsewhere.example",
        "%2F%2Felsewhere.example",
        "javascript:alert(1)",
        "/pieces\r\nSet-Cookie: a=b",
        "%252F%252Felsewhere.example",
        "/\t/elsewhere.example",
    ],
)
def test_signing_in_never_leads_out_of_the_house(room: Room, elsewhere: str) -> None:
    visitor = room.stranger()

    answer = visitor.post("/sign-in", {"email": INES.email, "password": PASSWORD, "next": elsewhere})

    assert answer.status_code == 302
    assert answer.headers["Location"] == "/"


@pytest.mark.parametrize(
    "there", ["/find?q=50%25+of+it&from=2", "/find?q=a%2526b", "/%2Felsewhere.example", "/%5Celse.example"]
)
def test_the_way_on_is_decoded_once_by_the_page_that_asks_for_it(room: Room, there: str) -> None:
    visitor = room.stranger()
    asked = visitor.get(there, follow_redirects=there.startswith("/find"))
    if asked.request.path != "/sign-in":
        asked = visitor.get("/sign-in", query_string={"next": there})
    (shown,) = re.findall(r'name="next" value="([^"]*)"', asked.text)

    answer = visitor.post("/sign-in", {"email": INES.email, "password": PASSWORD, "next": unescape(shown)})

    assert answer.headers["Location"] == there


def test_whoever_opens_a_page_first_lands_on_it_after_signing_in(room: Room) -> None:
    cup = room.bisqued()
    visitor = room.stranger()
    asked = visitor.get(f"/p/{cup.code}", follow_redirects=True)

    there = asked.request.args["next"]
    answer = visitor.post("/sign-in", {"email": INES.email, "password": PASSWORD, "next": there})

    assert answer.headers["Location"] == f"/p/{cup.code}"


def test_signing_out_ends_the_session_in_the_store_too(room: Room) -> None:
    ines = room.visit(INES)
    cookie = ines.client.get_cookie("footring")
    assert cookie is not None

    ines.post("/sign-out")

    ines.client.set_cookie("footring", cookie.value)
    assert ines.get("/pieces").headers["Location"].startswith("/sign-in")


def test_a_first_password_opens_nothing_but_the_page_that_changes_it(room: Room) -> None:
    first = people.renew_password(room.store, room.asks(ADA), room.person(MIRA).id)
    mira = room.stranger()
    mira.post("/sign-in", {"email": MIRA.email, "password": first})

    answer = mira.get("/pieces")

    assert answer.headers["Location"] == "/password"


def test_a_chosen_password_takes_the_place_of_the_first(room: Room) -> None:
    first = people.renew_password(room.store, room.asks(ADA), room.person(MIRA).id)
    mira = room.stranger()
    mira.post("/sign-in", {"email": MIRA.email, "password": first})
    mira.get("/password")

    mira.post("/password", {"old": first, "new": "a password of my own"})

    again = room.stranger()
    answer = again.post("/sign-in", {"email": MIRA.email, "password": "a password of my own"})
    assert answer.status_code == 302
    assert again.get("/pieces").status_code == 200


def test_every_problem_with_a_new_password_is_said_at_once(room: Room) -> None:
    tom = room.visit(TOM)

    answer = tom.post("/password", {"old": "wrong", "new": "short"})

    assert answer.status_code == 422
    assert "That isn&#39;t your current password." in answer.text
    assert "10 to 200 characters" in answer.text
