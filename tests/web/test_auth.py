"""Every door says who may open it, and holds: rights, tokens, headers, and pages without script or style in them."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from uuid import UUID

import pytest
from werkzeug.routing import Rule

from tests.studio import ADA, INES, MIRA, TOM
from tests.web.conftest import Room, Visitor
from tracker.domain.studio.materials import Zone
from tracker.domain.studio.people import NewPerson, Right
from tracker.usecases.pieces import pieces
from tracker.usecases.rules import questions
from tracker.web.auth import OPEN, SIGNED_IN

MACHINES = {"/healthz", "/readyz", "/metrics"}
OPEN_DOORS = MACHINES | {
    "/sign-in",
    "/forgot-password",
    "/join",
    "/password-link",
    "/mail/stop",
    "/badge",
    "/badge/pin",
    "/changes",
    "/help",
    "/help/<name>",
    "/outdoor/worker.js",
    "/static/<path:filename>",
}


def rules(room: Room) -> list[Rule]:
    """Every address there is."""
    return list(room.app.url_map.iter_rules())


def opened(rule: Rule, room: Room, *, code: str = "K7R43") -> str:
    """An address with its places filled in."""
    values = {
        "code": code,
        "number": 1,
        "line": 1,
        "person_id": 1,
        "filename": "footring.css",
        "stem": "0" * 32,
        "size": "small",
        "key": UUID(int=1),
    }
    with room.app.test_request_context():
        built = rule.build({name: values.get(name, 1) for name in rule.arguments})
    assert built is not None
    return built[1]


def test_every_address_declares_who_may_open_it(room: Room) -> None:
    undeclared = [
        rule.endpoint
        for rule in rules(room)
        if rule.endpoint != "static"
        and not (
            isinstance(said := getattr(room.app.view_functions[rule.endpoint], "allows", None), Right)
            or said in {OPEN, SIGNED_IN}
        )
    ]

    assert undeclared == []


def test_only_signing_in_and_what_changed_are_open_to_all(room: Room) -> None:
    is_open = {
        rule.rule
        for rule in rules(room)
        if rule.endpoint == "static" or getattr(room.app.view_functions[rule.endpoint], "allows", None) == OPEN
    }

    assert is_open == OPEN_DOORS


def test_whoever_is_not_signed_in_is_led_to_the_sign_in_page_from_every_other_address(room: Room) -> None:
    stranger = room.stranger()
    let_in = []

    for rule in rules(room):
        if rule.rule in OPEN_DOORS:
            continue
        send = stranger.post if "POST" in (rule.methods or ()) else stranger.get
        answer = send(opened(rule, room))
        if answer.status_code != 302 or not answer.headers["Location"].startswith("/sign-in"):
            let_in.append(rule.rule)

    assert let_in == []


@pytest.mark.parametrize("who", [INES, TOM], ids=["student", "staff"])
def test_nobody_opens_a_page_that_their_role_has_no_right_to(room: Room, who: NewPerson) -> None:
    visitor, person = room.visit(who), room.person(who)
    let_in = []

    for rule in rules(room):
        right = getattr(room.app.view_functions[rule.endpoint], "allows", None)
        if isinstance(right, Right) and not person.may(right):
            send = visitor.post if "POST" in (rule.methods or ()) else visitor.get
            if send(opened(rule, room)).status_code != 403:
                let_in.append(rule.rule)

    assert let_in == []


def test_every_form_without_its_token_is_refused(room: Room) -> None:
    cup = room.bisqued()
    ada = room.visit(ADA)
    before = room.store.read.pieces.page(cup.id)
    taken = []

    for rule in rules(room):
        if "POST" in (rule.methods or ()):
            answer = ada.post(
                opened(rule, room, code=str(cup.code)), {"csrf_token": "", "step": "wax", "ref": cup.code}
            )
            if answer.status_code != 400:
                taken.append(rule.rule)

    # A mail program that stops mail by one click has no token: what it sends is signed (RFC 8058).
    assert taken == ["/mail/stop"]
    assert room.store.read.pieces.page(cup.id) == before


# ---- other people's pieces -------------------------------------------------------------------------------------


def test_a_student_sees_nobody_elses_piece_by_any_address(room: Room) -> None:
    slip, cup = room.greenware(MIRA, what="secret tile"), room.bisqued(MIRA, what="secret vase")
    ines = room.visit(INES)
    addresses = [
        f"/p/{cup.code}",
        f"/p/{str(cup.code).lower()}",
        f"/p/{slip.ref}",
        f"/p/W{cup.id}",
        f"/slip/{slip.id}",
        f"/slip/{cup.id}",
        f"/p/{cup.code}/glaze",
        f"/p/{cup.code}/known",
        f"/paper/tags?ref={cup.code}",
        f"/paper/tags?ref={slip.ref}",
    ]

    seen = [there for there in addresses if ines.get(there).status_code != 404]
    told = [there for there in addresses if "secret" in ines.get(there, follow_redirects=True).text]

    assert (seen, told) == ([], [])


@pytest.mark.parametrize(
    ("there", "fields"),
    [
        ("step", {"step": "wax"}),
        ("step", {"step": "wash off"}),
        ("step", {"step": "queue", "route": "raku"}),
        ("step", {"step": "lose", "cause": "missing"}),
        ("step", {"step": "correct", "to": "greenware", "reason": "a slip"}),
        ("step", {"step": "fire again", "reason": "a whim"}),
        ("glaze", {"glaze": "Still Water", "zone": "outside"}),
        ("known", {"use": "food", "height": "90"}),
        ("ask", {"text": "May I have it?"}),
    ],
    ids=lambda value: value.get("step") or next(iter(value)) if isinstance(value, dict) else value,
)
def test_a_student_changes_nobody_elses_piece_by_any_form(room: Room, there: str, fields: dict[str, str]) -> None:
    cup = room.bisqued(MIRA)
    before = room.store.read.pieces.page(cup.id)
    ines = room.visit(INES)

    answer = ines.post(f"/p/{cup.code}/{there}", {"ref": str(cup.code), **fields})

    assert answer.status_code == 404
    assert room.store.read.pieces.page(cup.id) == before


def test_a_student_cannot_print_another_ones_tag_beside_her_own(room: Room) -> None:
    own, cup = room.bisqued(INES), room.bisqued(MIRA)
    ines = room.visit(INES)

    answer = ines.prints("tags", {"things": [own.code, cup.code], "stock": "Roll, 100 x 50 mm"})

    assert answer.status_code == 404
    assert room.store.read.pieces.page(own.id).times_printed == 0


def test_a_piece_named_in_the_form_does_not_stand_in_for_the_one_in_the_address(room: Room) -> None:
    own, cup = room.bisqued(INES), room.bisqued(MIRA)
    ines = room.visit(INES)

    ines.post(f"/p/{own.code}/step", {"step": "wax", "ref": str(cup.code)})

    assert room.piece(own.ref).stage == "waxed"
    assert room.piece(cup.ref).stage == "bisqued"


def test_a_student_cannot_register_a_piece_in_somebody_elses_name(room: Room) -> None:
    ines = room.visit(INES)
    fields = {"what": "bowl", "clay": "Doorstep Buff", "build": "thrown", "use": "decorative"}
    sizes = {"height": "90", "width": "90", "depth": "90", "weight": "300", "wall": "6", "form": "open"}

    answer = ines.post("/pieces/new", fields | sizes | {"maker_id": str(room.person(MIRA).id)})

    assert answer.status_code == 403
    assert room.store.read.pieces.of(room.person(MIRA).id) == ()


@pytest.mark.parametrize("step", ["queue", "pull back", "correct", "fire again"])
def test_a_student_takes_none_of_the_staffs_steps_with_her_own_piece(room: Room, step: str) -> None:
    cup = room.bisqued(INES)
    before = room.store.read.pieces.page(cup.id)
    fields = {"route": "horsehair", "cause": "missing", "to": "greenware", "reason": "a slip of the hand"}

    answer = room.visit(INES).post(f"/p/{cup.code}/step", {"step": step, "ref": str(cup.code), **fields})

    assert answer.status_code == 403
    assert room.store.read.pieces.page(cup.id) == before


# ---- what every answer carries ---------------------------------------------------------------------------------


class Inline(HTMLParser):
    """Finds what a strict content policy would refuse: scripts and styles written into the page itself."""

    def __init__(self, text: str) -> None:
        """Read a whole page."""
        super().__init__()
        self.found: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an inline script, a style, or an attribute that holds either."""
        given = dict(attrs)
        # What a page hands to its scripts is data, which no policy refuses.
        is_data = given.get("type") == "application/json"
        if tag == "style" or (tag == "script" and "src" not in given and not is_data):
            self.found.append(tag)
        for name, value in attrs:
            if name == "style" or name.startswith("on") or str(value).lower().lstrip().startswith("javascript:"):
                self.found.append(f"{tag} {name}={value}")


def every_page(room: Room, visitor: Visitor) -> dict[str, str]:
    """Every page that opens with a plain address, and those of a few pieces, by address."""
    cup = room.bisqued()
    pieces.glaze(room.store, room.asks(INES), cup.ref, "Ember Luster", Zone.OUTSIDE)
    questions.ask(room.store, room.asks(INES), cup.ref, "May it stand on its <rim>?")
    tile = room.greenware(what='"><script>alert(1)</script>')
    lost = room.bisqued()
    pieces.lose(room.store, room.asks(TOM), lost.ref, "broken")
    number, _ = room.bisque_load(2)
    plain = [opened(rule, room) for rule in rules(room) if "GET" in (rule.methods or ()) and not rule.arguments]
    more = [
        *(f"/p/{one.ref}" for one in (cup, lost)),
        f"/slip/{tile.id}",
        f"/p/{cup.ref}/glaze",
        f"/p/{cup.ref}/known",
        f"/p/{cup.ref}/glaze?show=refuse",
        f"/paper/tags?ref={cup.ref}",
        f"/paper/tags?firing={number}",
        f"/firings/{number}",
        f"/paper/tags?ref={cup.ref}&stock=Roll, 100 x 50 mm",
        "/pieces?finished=1",
        "/nowhere",
    ]
    answers = {there: visitor.get(there, follow_redirects=True) for there in (*plain, *more)}
    # A studio file and a chart are opened too, but are no pages.
    return {there: answer.text for there, answer in answers.items() if answer.mimetype == "text/html"}


@pytest.mark.parametrize("who", [INES, ADA], ids=["student", "instructor"])
def test_no_page_has_a_script_or_a_style_written_into_it(room: Room, who: NewPerson) -> None:
    shown = every_page(room, room.visit(who))

    inline = {there: found for there, text in shown.items() if (found := Inline(text).found)}

    assert inline == {}
    assert len(shown) > 15


def test_the_search_for_inline_scripts_and_styles_finds_each_kind() -> None:
    page = '<p style="x" onclick="y"></p><style></style><script>z</script><a href="javascript:q">a</a><script src="s">'

    assert len(Inline(page).found) == 5


@pytest.mark.parametrize("there", ["/sign-in", "/pieces", "/nowhere", "/static/footring.css", "/changes", "/help"])
def test_every_answer_carries_a_policy_that_lets_no_inline_script_run(room: Room, there: str) -> None:
    answer = room.visit(INES).get(there)

    policy = dict(part.strip().split(" ", 1) for part in answer.headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == "'self'"
    assert policy["style-src"] == "'self'"
    assert policy["frame-ancestors"] == "'none'"
    assert "unsafe" not in answer.headers["Content-Security-Policy"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("there", ["/scan?step=shelve&place=rack+3", "/pickup"])
def test_only_a_page_that_scans_with_the_camera_may_run_its_reader(room: Room, there: str) -> None:
    tom = room.visit(TOM)

    policies = [tom.get(one).headers["Content-Security-Policy"] for one in (there, "/scan", "/today")]

    assert ["'wasm-unsafe-eval'" in one for one in policies] == [True, False, False]
    assert all("'unsafe-eval'" not in one for one in policies)


def test_pages_with_peoples_work_on_them_are_kept_by_no_cache(room: Room) -> None:
    assert room.visit(INES).get("/pieces").headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize(
    "there", ["/slip/0", f"/slip/{10**30}", "/p/%00", "/p/W0", "/p/ZZZZZZZZ", "/paper/tags?firing=999", "/printed/9"]
)
def test_an_address_that_means_nothing_gets_a_sentence_and_no_fault(room: Room, there: str) -> None:
    answer = room.visit(ADA).get(there)

    assert answer.status_code in {404, 422}
    assert re.search(r"<h1>[^<]+</h1>", answer.text)
