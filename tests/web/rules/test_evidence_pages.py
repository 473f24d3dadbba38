"""The evidence page shows what each test and weighing on file shows, and takes new ones."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.studio import ADA, INES, TOM
from tests.web.conftest import Room, Visitor
from tracker.domain.cones import Cone
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.studio.absorption import Soak
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.materials import FoodStanding, Zone
from tracker.domain.studio.metals import Metal
from tracker.forms.studio.studio_file import read_studio, write_studio
from tracker.usecases.pieces import pieces

TEST = {
    "glaze": "Still Water",
    "laboratory": "Invented Assay",
    "tested_on": "2026-02-02",
    "method": "acetic acid",
    "metal": "Pb",
    "fired_to": "6",
    "atmosphere": "oxidation",
    "unit": "mg/L",
    "results": "0.02 <0.01 0.02, 0,03 0.02 0.02",
    "kind": "cup or mug",
    "depth_mm": "85",
    "capacity_ml": "320",
}
WEIGHING = {
    "clay": "Doorstep Buff",
    "fired_to": "6",
    "method": "boil",
    "dry_g": "100",
    "saturated_g": "102.00",
    "suspended_g": "60,0",
}


@pytest.fixture
def ada(room: Room) -> Visitor:
    """The instructor at her desk."""
    return room.visit(ADA)


def glaze_of(room: Room) -> Any:  # noqa: ANN401 -- a glaze
    """Still Water as it is now."""
    return room.store.read.catalog().glaze("Still Water")


def test_the_page_shows_each_test_with_its_standing_and_each_clay_with_its_classes(ada: Visitor) -> None:
    page = ada.get("/evidence").text

    assert "Lead and cadmium limits: US FDA" in page
    assert "each tests passed: lead and cadmium, Nov 4, 2025, cone not on record" in page
    assert "is within the limit of 0.5 mg/L for cups and mugs (US FDA)" in page
    assert "impervious in ANSI A137.1 (tile); Ia in ISO 13006 (tile); vitreous in ASTM C242 (whiteware terms)" in page


def test_a_test_of_both_metals_makes_a_glaze_tested(room: Room, ada: Visitor) -> None:
    first = ada.post("/evidence/tests", TEST)
    between = glaze_of(room).food
    ada.post("/evidence/tests", TEST | {"metal": "Cd"})

    assert first.status_code == 303
    assert [str(one) for one in glaze_of(room).tests[0].results] == ["0.02", "<0.01", "0.02", "0.03", "0.02", "0.02"]
    assert (between, glaze_of(room).food) == (FoodStanding.DECLARED, FoodStanding.TESTED)
    assert "Still Water: test saved, passed." in ada.get(first.location).text


def test_the_next_metal_of_a_report_has_all_but_its_metal_and_results_filled_in(ada: Visitor) -> None:
    sent = TEST | {"passed": "yes", "route": "mid-range"}
    page = ada.get(ada.post("/evidence/tests", sent).location).text
    form = re.search(r'<form id="new-test".*?</form>', page, re.DOTALL)

    assert form is not None
    assert filled_in(form[0]) == {
        name: value for name, value in sent.items() if name not in {"metal", "results", "passed"}
    }


def test_the_next_specimen_of_a_clay_has_all_but_its_weights_filled_in(ada: Visitor) -> None:
    page = ada.get(ada.post("/evidence/weighings", WEIGHING).location).text
    form = re.search(r'<form id="new-weighing".*?</form>', page, re.DOTALL)

    assert form is not None
    assert filled_in(form[0]) == {name: WEIGHING[name] for name in ("clay", "fired_to", "method")}


def test_alike_faults_each_name_their_field(ada: Visitor) -> None:
    wrong = dict.fromkeys(("dry_g", "saturated_g", "suspended_g"), "heavy")

    page = ada.post("/evidence/weighings", WEIGHING | wrong).text

    for label in ("Dry", "Saturated", "Suspended in water"):
        assert f"{label}: Use a value from 0" in page


def filled_in(form: str) -> dict[str, str]:
    """What the fields of a form hold, but for those that are blank."""
    fields = dict(re.findall(r'<input(?=[^>]* id="\w+-)[^>]* name="(\w+)"[^>]* value="([^"]+)"', form))
    chosen = re.findall(r'<select[^>]* name="(\w+)"[^>]*>(.*?)</select>', form, re.DOTALL)
    picked = {name: re.search(r'value="([^"]+)" selected', options) for name, options in chosen}
    return {**fields, **{name: found[1] for name, found in picked.items() if found}}


def test_an_undecided_test_is_kept_and_says_why(room: Room, ada: Visitor) -> None:
    answer = ada.post("/evidence/tests", TEST | {"unit": "mg/dm2"})
    page = ada.get(answer.location).text

    assert len(glaze_of(room).tests) == 1
    assert "US FDA needs mg/L" in page
    assert glaze_of(room).food is FoodStanding.DECLARED


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("results", "0.02 none", "isn&#39;t a result"),
        ("results", "", "Enter the result of each specimen"),
        ("tested_on", "2026-03-04", "This day is in the future"),
        ("tested_on", "yesterday", "Choose a day."),
        ("depth_mm", "deep", "Use a value from 0"),
        ("metal", "leed", "isn&#39;t a metal"),
        ("fired_to", "", "Choose a cone."),
        ("atmosphere", "smoke", "Choose one of"),
        ("kind", "", "Choose one for “What was tested”."),
    ],
)
def test_what_is_wrong_with_a_test_is_said_beside_its_field(
    room: Room, ada: Visitor, field: str, value: str, says: str
) -> None:
    answer = ada.post("/evidence/tests", TEST | {field: value})

    assert answer.status_code == 422
    assert f'id="test-{field}-error"' in answer.text
    assert says in answer.text
    assert "Invented Assay" in answer.text
    assert glaze_of(room).tests == ()


def test_a_name_that_is_not_in_the_catalog_is_refused(room: Room, ada: Visitor) -> None:
    glaze, clay = (ada.post("/evidence/tests", TEST | fact) for fact in ({"glaze": "Sill Water"}, {"clay": "Doorstop"}))

    assert (glaze.status_code, clay.status_code) == (404, 404)
    assert "Did you mean Still Water" in glaze.text
    assert glaze_of(room).tests == ()


def test_the_same_test_is_filed_once(room: Room, ada: Visitor) -> None:
    ada.post("/evidence/tests", TEST)

    again = ada.post("/evidence/tests", TEST)

    assert "already on file" in again.text
    assert len(glaze_of(room).tests) == 1


def test_a_failed_test_moves_waiting_ware_for_food_once_that_is_confirmed(room: Room, ada: Visitor) -> None:
    ref = room.bisqued(use=Use.FOOD).ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")

    first = ada.post("/evidence/tests", TEST | {"results": "0.6"})
    waits = room.piece(ref).stage
    second = ada.post("/evidence/tests", TEST | {"results": "0.6", "confirmed": "yes"})

    assert (first.status_code, waits) == (409, Stage.QUEUED)
    assert ref in first.text
    assert second.status_code == 303
    assert room.piece(ref).stage is not Stage.QUEUED
    assert any(question.ref == ref for question in room.store.read.questions.open())


def test_a_weighing_settles_what_a_clay_takes_up(room: Room, ada: Visitor) -> None:
    answer = ada.post("/evidence/weighings", WEIGHING)
    page = ada.get(answer.location).text

    # ASTM C373, formulas from memory: D 100.00, M 102.00, S 60.00 g.
    (measured,) = room.store.read.catalog().clay("Doorstep Buff").measured
    assert (measured.pct, measured.cone, measured.method) == (2.0, Cone.parse("6"), Soak.BOIL)
    assert all(words in page for words in ("2.000%", "4.762%", "2.381 g/cm³"))
    assert "Absorption 2% at cone 6, 1,222 °C, boiled (ASTM C373)" in page


def test_a_cold_soak_is_two_weights_and_never_passes_a_clay(room: Room, ada: Visitor) -> None:
    cold = {key: one for key, one in WEIGHING.items() if key != "suspended_g"} | {"method": "cold"}
    page = ada.get(ada.post("/evidence/weighings", cold).location).text

    (measured,) = room.store.read.catalog().clay("Doorstep Buff").measured
    assert measured.method is Soak.COLD
    assert "Absorption at least 2% at cone 6, 1,222 °C, cold soak" in page
    assert "A cold soak can fail a clay, never pass it." in page


def test_any_metal_may_be_tested_and_its_report_says_whether_it_passed(room: Room, ada: Visitor) -> None:
    copper = TEST | {"metal": "Cu", "results": "0.8", "passed": "yes"}
    page = ada.get(ada.post("/evidence/tests", copper).location).text

    (test,) = glaze_of(room).tests
    assert (test.metal, test.passed, test.cone, test.atmosphere) == (
        Metal.COPPER,
        True,
        Cone.parse("6"),
        Atmosphere.OXIDATION,
    )
    assert "0.8 mg/L of copper, of one specimen: passed, as the report says." in page
    assert "For comparison only: 1.3 mg/L is the US EPA&#39;s action level" in page


@pytest.mark.parametrize(
    ("facts", "field", "says"),
    [
        ({"saturated_g": "99"}, "saturated_g", "(99 g)"),
        ({"suspended_g": "102"}, "saturated_g", "(102 g)"),
        ({"dry_g": "heavy"}, "dry_g", "Use a value from 0"),
        ({"fired_to": "99"}, "fired_to", "isn&#39;t a cone"),
    ],
)
def test_weights_that_cannot_be_are_refused_beside_their_field(
    room: Room, ada: Visitor, facts: dict[str, str], field: str, says: str
) -> None:
    answer = ada.post("/evidence/weighings", WEIGHING | facts)

    assert answer.status_code == 422
    assert f'id="weighing-{field}-error"' in answer.text
    assert says in answer.text
    assert room.store.read.catalog().clay("Doorstep Buff").weighings == ()


def test_a_page_gone_stale_changes_nothing(room: Room, ada: Visitor) -> None:
    seen = room.store.read.version()
    ada.post("/evidence/weighings", WEIGHING)

    answer = ada.post("/evidence/tests", TEST | {"seen": seen})

    assert answer.status_code == 409
    assert glaze_of(room).tests == ()


@pytest.mark.parametrize("who", [TOM, INES], ids=["staff", "student"])
def test_only_the_instructor_enters_evidence(room: Room, who: Any) -> None:  # noqa: ANN401 -- somebody new
    visitor = room.visit(who)

    assert visitor.get("/evidence").status_code == 403
    assert visitor.post("/evidence/tests", TEST).status_code == 403
    assert glaze_of(room).tests == ()


# ---- taking evidence out of force ----------------------------------------------------------------------------------

WHY = {"of": "Still Water", "number": "0", "reason": "It was another bucket."}


def test_a_test_that_is_withdrawn_stays_on_file_with_the_reason_and_shows_nothing(room: Room, ada: Visitor) -> None:
    ada.post("/evidence/tests", TEST)
    ada.post("/evidence/tests", TEST | {"metal": "Cd"})
    before = glaze_of(room).food

    answer = ada.post("/evidence/tests/withdraw", WHY)

    page = ada.get(answer.location).text
    assert (before, glaze_of(room).food) == (FoodStanding.TESTED, FoodStanding.UNTESTED)
    assert [test.withdrawn for test in glaze_of(room).tests] == ["Ada Quill, 2026-03-03: It was another bucket.", ""]
    assert "Ada Quill, 2026-03-03: It was another bucket." in page


def test_a_failed_test_that_is_withdrawn_refuses_no_ware_any_more(room: Room, ada: Visitor) -> None:
    ada.post("/evidence/tests", TEST | {"results": "0.6"})
    ref = room.bisqued(use=Use.FOOD).ref
    refused = room.visit(INES).post(f"/p/{ref}/glaze", {"glaze": "Still Water", "zone": "inside", "foot": "waxed"})

    ada.post("/evidence/tests/withdraw", WHY)
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.INSIDE)

    assert refused.status_code == 409
    assert room.piece(ref).stage is Stage.GLAZED


@pytest.mark.parametrize(
    ("facts", "status", "says"),
    [
        ({"reason": ""}, 422, "Write the reason."),
        ({"number": "7"}, 404, "This test isn&#39;t on file"),
        ({"number": "first"}, 422, "Use a whole number"),
        ({"of": "Sill Water"}, 404, "Did you mean Still Water"),
    ],
    ids=["no reason", "no such test", "no number", "no such glaze"],
)
def test_evidence_is_withdrawn_only_with_a_reason_and_when_it_is_there(
    room: Room, ada: Visitor, facts: dict[str, str], status: int, says: str
) -> None:
    ada.post("/evidence/tests", TEST)

    answer = ada.post("/evidence/tests/withdraw", WHY | facts)

    assert answer.status_code == status
    assert says in answer.text
    assert not glaze_of(room).tests[0].withdrawn


def test_waiting_ware_that_rests_on_a_withdrawn_test_moves_once_that_is_confirmed(room: Room, ada: Visitor) -> None:
    for metal in ("Pb", "Cd"):
        ada.post("/evidence/tests", TEST | {"metal": metal})
    ref = room.bisqued(use=Use.FOOD).ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")

    first = ada.post("/evidence/tests/withdraw", WHY)
    waits = room.piece(ref).stage
    second = ada.post("/evidence/tests/withdraw", WHY | {"confirmed": "yes"})

    assert (first.status_code, waits) == (409, Stage.QUEUED)
    assert 'name="confirmed"' in first.text.partition("Withdraw<span")[2]
    # The question is in no closed fold, and in view: the form's own address leads to it.
    folds = re.findall("<details[^>]*>|</details>", first.text.partition('id="moves"')[0])
    while "</details>" in folds:
        end = folds.index("</details>")
        del folds[end - 1 : end + 1]
    assert folds
    assert all(" open" in one for one in folds)
    assert 'action="/evidence/tests/withdraw#moves"' in first.text
    assert second.status_code == 303
    assert room.piece(ref).stage is not Stage.QUEUED


def test_a_withdrawn_absorption_test_no_longer_counts(room: Room, ada: Visitor) -> None:
    ada.post("/evidence/weighings", WEIGHING)
    why = {"of": "Doorstep Buff", "number": "0", "reason": "The balance stood askew."}

    told = ada.post("/evidence/weighings/withdraw", why)

    clay = room.store.read.catalog().clay("Doorstep Buff")
    assert (told.status_code, clay.absorption_pct, clay.measured, len(clay.weighings)) == (303, 1.5, (), 1)
    assert "The balance stood askew." in ada.get("/evidence").text


def test_withdrawn_evidence_goes_out_with_the_studio_file_and_comes_back_the_same(room: Room, ada: Visitor) -> None:
    ada.post("/evidence/tests", TEST)
    ada.post("/evidence/tests/withdraw", WHY)

    studio = room.store.read.studio()

    assert read_studio(write_studio(studio)) == studio


def test_a_cone_of_an_absorption_test_that_seems_to_miss_its_zero_is_asked_about(room: Room, ada: Visitor) -> None:
    # Doorstep Buff matures at cone 6, not at 06.
    asked = ada.post("/evidence/weighings", WEIGHING | {"fired_to": "06"})
    before = room.store.read.catalog().clay("Doorstep Buff").weighings

    ada.post("/evidence/weighings", WEIGHING | {"fired_to": "06", "cone_is_right": "06"})

    assert asked.status_code == 422
    assert "06 or 6?" in asked.text
    assert 'name="cone_is_right" value="06"' in asked.text
    assert before == ()
    assert [one.cone for one in room.store.read.catalog().clay("Doorstep Buff").weighings] == [Cone.parse("06")]


def test_a_report_stays_metric_for_every_reader_and_a_measure_may_have_its_own_unit(room: Room, ada: Visitor) -> None:
    """A US fluid ounce is 29.5735 ml and an inch 25.4 mm; of a bare weight nobody knows whether it is pounds."""
    ada.post("/me", {"units": "us"})

    ada.post("/evidence/tests", TEST | {"depth_mm": "3 3/8 in", "capacity_ml": "12 fl oz"})
    ada.post("/evidence/tests", TEST | {"metal": "Cd", "depth_mm": "85", "capacity_ml": "320"})
    bare = ada.post("/evidence/weighings", WEIGHING)
    ounces = {"dry_g": "4 oz", "saturated_g": "4.08 oz", "suspended_g": "68.04 g"}
    filed = ada.post("/evidence/weighings", WEIGHING | ounces)

    inches, metric = (one.vessel for one in glaze_of(room).tests[:2])
    assert (inches.depth_mm, inches.capacity_ml) == pytest.approx((85.725, 354.88), abs=0.01)
    assert (metric.depth_mm, metric.capacity_ml) == (85, 320)
    assert "85 mm deep, holds 320 ml" in ada.get("/evidence").text
    assert (bare.status_code, filed.status_code) == (422, 303)
    (weighing,) = room.store.read.catalog().clays["Doorstep Buff"].weighings
    assert (weighing.dry_g, weighing.absorption_pct) == pytest.approx((113.398, 2.0), abs=0.001)
