"""The three things that may never happen, tried at every door that people have: each says why, and what to do."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from click.testing import CliRunner
from playwright.sync_api import Page

from tests.journeys.visiting import TABLET, Visits, answered, line, scan, words_in
from tests.staffed import ADA, TOM, asked_by, bisqued, glazed, started, the_piece
from tests.studio import a_new_piece
from tracker.cli import main
from tracker.domain.cones import Cone
from tracker.domain.message import Choice
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.rules.engine import RULES
from tracker.usecases.pieces import pieces
from tracker.wording.render import read


@dataclass(frozen=True)
class Never:
    """A glaze on a piece, the queue it may never be in, and what is said about it."""

    glaze: str
    use: Use
    route: str
    title: str
    says: str
    mend: str


def _remedy(name: str, goes: str) -> str:
    """What a rule says to do about ware that `goes` there."""
    (rule,) = (one for one in RULES if one.name == name)
    assert isinstance(rule.remedy, Choice)
    return str(rule.remedy.templates[goes])


_LOW, _HIGH = read(Cone.parse("04")), read(Cone.parse("10"))

LOW_FIRE_IN_HIGH = Never(
    glaze="Plum Gloss",
    use=Use.DECORATIVE,
    route="high-fire",
    title="High-fire",
    says=f"Plum Gloss only goes to {_LOW}: at {_HIGH}, it melts off the pot onto the shelf.",
    mend="Choose a firing to cone 06 to 04, 998 °C to 1,063 °C, or another glaze.",
)
OUTDOOR_INDOORS = Never(
    glaze="Ember Luster",
    use=Use.DECORATIVE,
    route="low-fire",
    title="Low-fire",
    says="Ember Luster is made for raku: it goes in the raku kiln only.",
    mend=_remedy("outdoor-glaze-indoors", "raku"),
)
_FIRED_INDOORS = [
    pytest.param(LOW_FIRE_IN_HIGH, id="a low-fire glaze in the high-fire queue"),
    pytest.param(OUTDOOR_INDOORS, id="an outdoor glaze in an indoor queue"),
]
_ON_A_CUP_FOR_FOOD = [
    pytest.param("Gilt Edge", "Gilt Edge is decorative only, and this piece is functional.", id="a decorative glaze"),
    pytest.param(
        "Ember Luster", "Ember Luster is decorative only, and this piece is functional.", id="an outdoor glaze"
    ),
]


@pytest.mark.parametrize("never", _FIRED_INDOORS)
def test_the_page_of_a_piece_says_never_and_offers_no_way_into_that_queue(visits: Visits, never: Never) -> None:
    ref = glazed(visits.store, never.glaze)

    page = visits.visit(TOM, f"/p/{ref}", viewport=TABLET)
    way = page.locator(".routes > .route.refuse", has=page.get_by_text(never.title, exact=True))

    assert never.says in words_in(way)
    assert never.mend in words_in(way)
    assert way.get_by_role("button").count() == 0


@pytest.mark.parametrize("never", _FIRED_INDOORS)
@pytest.mark.parametrize("who", [TOM, ADA], ids=["staff", "the instructor"])
def test_the_form_of_its_page_is_refused_when_it_is_bent_to_that_queue(
    visits: Visits, never: Never, who: object
) -> None:
    ref = glazed(visits.store, never.glaze)
    page = visits.visit(TOM if who is TOM else ADA, f"/p/{ref}", viewport=TABLET)
    _bend_a_queue_form(page, never.route)

    said = words_in(page.locator(".notice.stop"))

    assert never.says in said
    assert never.mend in said
    assert (the_piece(visits.store, ref).stage, the_piece(visits.store, ref).route) == (Stage.GLAZED, None)


@pytest.mark.parametrize("never", _FIRED_INDOORS)
def test_a_scan_into_that_queue_is_refused_and_shows_the_right_shelf(visits: Visits, never: Never) -> None:
    ref = glazed(visits.store, never.glaze)
    page = visits.visit(TOM, f"/scan?step=queue&route={never.route}", viewport=TABLET)

    scan(page, ref)
    answered(page, 1)
    said = words_in(line(page).locator("p"))

    right = "Low-fire" if never is LOW_FIRE_IN_HIGH else "Outdoor, raku"
    assert never.says in said
    assert said.endswith(f" Put it on the {right} shelf.")
    buttons = line(page).get_by_role("button")
    assert buttons.all_text_contents() == [f"Put it on the {right} shelf"], "there is nothing to accept"
    assert the_piece(visits.store, ref).stage is Stage.GLAZED


def test_the_kilns_door_stops_what_the_cone_of_this_firing_would_ruin(visits: Visits) -> None:
    ref = glazed(visits.store, "Plum Gloss")
    pieces.queue(visits.store, asked_by(TOM), ref, "low-fire")
    page = visits.visit(TOM, "/firings", viewport=TABLET)
    page.get_by_label("Kiln and firing type").select_option("Front box / low-fire")
    page.get_by_label("Cone").select_option("01")
    page.get_by_role("button", name="Start loading").click()

    scan(page, ref)
    answered(page, 1)

    said = words_in(line(page))
    assert "STOP" in said
    assert f"Plum Gloss only goes to {_LOW}: at {read(Cone.parse('01'))}, it melts off the pot onto the shelf." in said
    assert LOW_FIRE_IN_HIGH.mend in said
    assert the_piece(visits.store, ref).stage is Stage.QUEUED


@pytest.mark.parametrize("never", _FIRED_INDOORS)
def test_the_door_of_a_kiln_stops_what_waits_for_another_or_for_none(visits: Visits, never: Never) -> None:
    ref = glazed(visits.store, never.glaze)
    kiln, route, cone = (
        ("Back box", "high-fire", "10") if never is LOW_FIRE_IN_HIGH else ("Front box", "low-fire", "04")
    )
    open_ones = {firing.kiln: firing.id for firing in visits.store.read.firings.listed()}
    firing = open_ones.get(kiln) or started(visits.store, kiln, route, cone)
    page = visits.visit(TOM, f"/firings/{firing}", viewport=TABLET)

    scan(page, ref)
    answered(page, 1)

    assert "STOP" in words_in(line(page))
    assert f"{ref} is glazed" in words_in(line(page))
    assert the_piece(visits.store, ref).stage is Stage.GLAZED


@pytest.mark.parametrize(("glaze", "says"), _ON_A_CUP_FOR_FOOD)
def test_on_a_cup_for_food_it_cannot_be_taken_and_a_bent_form_is_refused(visits: Visits, glaze: str, says: str) -> None:
    ref = bisqued(visits.store, a_new_piece(use=Use.FOOD))
    page = visits.visit(TOM, f"/p/{ref}/glaze", viewport=TABLET)
    row = page.locator(".refused li", has=page.get_by_text(glaze, exact=True))
    explained, radios = words_in(row.locator(".findings")), row.get_by_role("radio").count()

    page.evaluate(
        "glaze => { const one = document.querySelector('input[name=glaze]'); one.value = glaze; one.checked = true }",
        glaze,
    )
    page.locator("label.choice", has_text="wiped").click()
    page.get_by_role("button", name="Apply").click()
    said = words_in(page.locator(".problems"))

    mend = "Choose a glaze made for functional ware, or make the piece decorative."
    assert (says in explained, mend in explained, radios) == (True, True, 0)
    assert (says in said, mend in said) == (True, True)
    assert the_piece(visits.store, ref).layers == ()


def _low_fire_in_high() -> dict[str, object]:
    return {"piece": _cup("low-fire", "06", "04", "declared", "decorative"), "route": "high-fire"}


def _outdoor_indoors() -> dict[str, object]:
    return {"piece": _cup("outdoor", "08", "06", "decorative", "decorative"), "route": "low-fire"}


def _outdoor_on_food() -> dict[str, object]:
    return {"piece": _cup("outdoor", "08", "06", "decorative", "food"), "route": "raku"}


def _decorative_on_food() -> dict[str, object]:
    return {"piece": _cup("high-fire", "9", "10", "decorative", "food"), "route": "high-fire"}


@pytest.mark.parametrize(
    ("asked", "rule"),
    [
        (_low_fire_in_high, "glaze-melts-off"),
        (_outdoor_indoors, "outdoor-glaze-indoors"),
        (_outdoor_on_food, "outdoors-for-food"),
        (_decorative_on_food, "decorative-glaze-for-food"),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_the_command_line_refuses_it_with_its_sentence_and_its_mend(
    asked: Callable[[], dict[str, object]], rule: str
) -> None:
    result = CliRunner().invoke(main, ["judge", "-"], input=json.dumps(asked()) + "\n")
    answer = json.loads(result.stdout)

    found = {one["rule"]: one for one in answer["findings"]}
    assert (result.exit_code, answer["verdict"]) == (0, "refuse")
    assert found[rule]["level"] == "refuse"
    assert found[rule]["says"]
    assert found[rule]["mend"]


def _cup(family: str, cone_low: str, cone_high: str, food: str, use: str) -> dict[str, object]:
    clay = {"name": "Buff", "kind": "stoneware", "cone_low": "6", "cone_high": "10", "absorption_pct": 1.5}
    glaze = {
        "name": "Plum",
        "family": family,
        "cone_low": cone_low,
        "cone_high": cone_high,
        "food": food,
        "traits": [],
    }
    size = {"height_mm": 120, "width_mm": 80, "depth_mm": 80}
    facts = {"build": "thrown", "use": use, "fragile": False, "burnished": False, "fired_to": None}
    return {"clay": clay, "layers": [{"glaze": glaze, "zone": "inside"}], **size, **facts}


def _bend_a_queue_form(page: Page, route: str) -> None:
    """Send a form of this page to a queue that the page does not offer, as a hand at the browser's tools could."""
    page.evaluate(
        """route => {
            const token = document.querySelector("main input[name=csrf_token]").value;
            const form = document.createElement("form");
            form.method = "post";
            form.action = location.pathname + "/step";
            const code = location.pathname.split("/").pop();
            for (const [name, value] of Object.entries({csrf_token: token, step: "queue", ref: code, route})) {
                form.append(Object.assign(document.createElement("input"), {type: "hidden", name, value}));
            }
            document.body.append(form);
            form.submit();
        }""",
        route,
    )
