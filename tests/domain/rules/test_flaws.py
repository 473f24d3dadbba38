"""What a flaw of the last firing does to the answers about the next one, and about food."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from tests.studio import a_clay, a_glaze, a_route
from tracker.commands.answers import answer_line
from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Use, Ware
from tracker.domain.rules.food_standing import FoodWord, food_standing
from tracker.domain.rules.refire import MELTS_NOTHING, melts_nothing
from tracker.domain.rules.reglazing import told_before_glazing
from tracker.domain.studio.materials import Layer, Zone

# On the inside or the rim these keep a piece from food; a crack has three names (common practice).
NOT_FOR_FOOD = {
    *("crazed", "crawled", "underfired", "cracked", "pinholed", "blistered", "shivered"),
    *("dunted", "s-crack"),
}
CRACKS = {"cracked", "dunted", "s-crack"}
FIRED = Layer(a_glaze(cone_low="5", cone_high="6"), Zone.INSIDE, Cone.parse("6"))


def answer(*result: str, route: str = "mid-range", use: str = "food", **more: Any) -> dict[str, Any]:  # noqa: ANN401 -- any key of a piece
    """What is answered about a fired mug of dense stoneware in a tested glaze."""
    passed = [{"metal": metal, "passed": True, "cone": "6"} for metal in ("lead", "cadmium")]
    cones = {"cone_low": "5", "cone_high": "6"}
    piece = {
        "clay": {"name": "Doorstep Buff", "kind": "stoneware", **cones, "absorption_pct": 1.2},
        "layers": [
            {"glaze": {"name": "Still Water", "family": "mid-range", **cones, "food": "tested", "tests": passed}}
        ],
        "use": use,
        "fired_to": "6",
        "result": list(result),
        **more,
    }
    said: dict[str, Any] = json.loads(answer_line(json.dumps({"piece": piece, "route": route}).encode()))
    return said


@pytest.mark.parametrize("flaw", Flaw)
def test_a_flaw_on_a_food_surface_is_not_for_food_and_but_slivers_keeps_nothing_from_another_firing(flaw: Flaw) -> None:
    said = answer(flaw)

    # Shivered glaze sheds slivers that cut, in the kiln too (common practice).
    assert said["verdict"] == ("ask" if flaw == "shivered" else "clear")
    assert (said["food"] == "not-for-food") is (flaw in NOT_FOR_FOOD)
    assert ("flawed-for-food" in said["food_rules"]) is (flaw in NOT_FOR_FOOD)


@pytest.mark.parametrize("flaw", Flaw)
def test_a_functional_piece_holds_food_until_a_flaw_spoils_it(flaw: Flaw) -> None:
    mug = Ware(clay=a_clay(), use=Use.FOOD)

    assert mug.holds_food
    assert replace(mug, flaws=(flaw,)).holds_food is (flaw not in NOT_FOR_FOOD)
    assert not replace(mug, use=Use.DECORATIVE).holds_food


@pytest.mark.parametrize("use", ["food", "decorative"])
@pytest.mark.parametrize("flaw", Flaw)
def test_beside_shivering_no_other_flaw_has_an_order_of_its_own(flaw: Flaw, use: str) -> None:
    said = answer("shivered", flaw, use=use, route="low-fire")

    rules = {one["rule"] for one in said["findings"]}
    assert not {one for one in rules if one.startswith("refire-")}
    assert "shivered-ware-cuts" in rules
    assert said["verdict"] == "ask"
    about_food = said.get("food_rules", ())
    assert len({one["mend"] for one in said["findings"] if one["rule"] in about_food}) <= 1
    # How to handle it is said once.
    assert sum("gloves" in one["mend"] for one in said["findings"]) == 1
    assert about_food or use == "decorative"


@pytest.mark.parametrize("flaw", ["bloated", "overfired"])
def test_what_came_out_too_hot_is_not_shown_to_be_fit(flaw: str) -> None:
    said = answer(flaw)

    assert (said["food"], said["food_rules"]) == ("not-shown", ["overfired-for-food"])
    assert flaw in said["findings"][0]["says"]


@pytest.mark.parametrize("flaw", Flaw)
def test_another_firing_is_promised_only_where_it_may_heal_the_flaw(flaw: Flaw) -> None:
    # A crack by any name stays, and a shivered glaze comes off again (common practice).
    about_food = [one for one in answer(flaw)["findings"] if one["rule"] == "flawed-for-food"]

    for one in about_food:
        lasts = flaw in CRACKS | {"shivered"}
        assert ("A refire doesn't fix that" in one["says"]) is lasts
        assert ("until a refire" in one["says"]) is not lasts
        assert ("ire it again" in one["mend"]) is not lasts


def test_what_came_out_well_has_nothing_against_it() -> None:
    assert answer()["food"] == "nothing-known-against"


def test_one_flaw_among_several_is_enough_and_words_may_be_joined_as_people_join_them() -> None:
    assert answer("stuck", "crazed", "color off")["food"] == "not-for-food"
    assert answer("S crack")["food"] == "not-for-food"


@pytest.mark.parametrize("flaw", Flaw)
def test_a_crack_by_any_name_is_asked_about_before_it_is_pulled_hot(flaw: Flaw) -> None:
    said = answer(flaw, route="raku", use="decorative", fired_to="06", layers=[])

    assert ("ware-already-mature" in {one["rule"] for one in said["findings"]}) is (flaw in CRACKS)


@pytest.mark.parametrize("result", ["crazed", ["chipped"], [1], {"crazed": True}])
def test_what_is_no_list_of_flaws_is_answered_with_the_key(result: object) -> None:
    assert "result" in answer(result=result)["error"]


@pytest.mark.parametrize(
    ("facts", "route", "is_told"),
    [
        pytest.param({}, "low-fire", True, id="fired glaze in a cooler firing"),
        pytest.param({}, "mid-range", False, id="in a firing that melts it"),
        pytest.param({}, "raku", False, id="pulled hot"),
        pytest.param({"flaws": (Flaw.CRAZED,)}, "low-fire", False, id="of a flaw that is told"),
        pytest.param({"layers": (replace(FIRED, fired_to=None), FIRED)}, "low-fire", False, id="raw glaze is on it"),
        pytest.param({"layers": ()}, "low-fire", False, id="bare"),
    ],
)
def test_that_a_firing_melts_nothing_is_told_of_sound_ware_with_nothing_raw_on_it(
    facts: dict[str, Any], route: str, *, is_told: bool
) -> None:
    ware = replace(Ware(clay=a_clay(), layers=(FIRED,), fired_to=FIRED.fired_to), **facts)

    found = melts_nothing(ware, a_route(route))

    assert (found is not None and found.rule == MELTS_NOTHING) is is_told


@pytest.mark.parametrize("flaw", Flaw)
def test_a_flawed_piece_may_change_where_a_refire_may_heal_it(flaw: Flaw) -> None:
    said = food_standing(Ware(clay=a_clay(), layers=(FIRED,), fired_to=FIRED.fired_to, use=Use.FOOD, flaws=(flaw,)))

    if said.word is FoodWord.FLAWED:
        assert said.may_change is (flaw not in {*CRACKS, "shivered"})


@pytest.mark.parametrize(
    ("fired_to", "flaws", "told"),
    [
        pytest.param("06", (), None, id="good bisque"),
        pytest.param("06", (Flaw.SLUMPED,), None, id="bent"),
        pytest.param("06", (Flaw.SLUMPED, Flaw.OVERFIRED), ("why", Flaw.OVERFIRED), id="overfired"),
        pytest.param("010", (Flaw.UNDERFIRED,), ("why", Flaw.UNDERFIRED), id="underfired"),
        # A bisque that went to the clay's own cones leaves it dense (common practice).
        pytest.param("6", (), ("why", "clay"), id="fired to 6"),
        pytest.param("6", (Flaw.OVERFIRED,), ("why", Flaw.OVERFIRED), id="overfired at 6"),
    ],
)
def test_bisque_that_takes_glaze_otherwise_is_told_before_any_is_on_it(
    fired_to: str, flaws: tuple[Flaw, ...], told: tuple[str, str] | None
) -> None:
    clay = a_clay(cone_low=Cone.parse("5"), cone_high=Cone.parse("6"), absorption_pct=1.2)
    ware = Ware(clay=clay, fired_to=Cone.parse(fired_to), flaws=flaws)

    found = told_before_glazing(ware)

    assert (None if found is None else found.message.facts[0]) == told
