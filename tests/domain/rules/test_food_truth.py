"""What is answered about food is what the truth table of food says: it was written from the studio's rules."""

from __future__ import annotations

import json

import pytest

from tests.domain.rules.food_truth import Row, rows
from tracker.commands.answers import answer_line
from tracker.domain.rules.engine import RULES

ROWS = rows()


def _case(row: Row) -> str:
    return row.facts["case"]


@pytest.mark.parametrize("row", ROWS, ids=_case)
def test_food_is_judged_as_the_table_says(row: Row) -> None:
    answer = json.loads(answer_line(row.line.encode()))

    assert (answer.get("food"), set(answer.get("food_rules", ()))) == (row.food, row.rules), answer


def test_each_row_has_its_source_and_a_name_of_its_own() -> None:
    assert all(row.facts["source"] for row in ROWS)
    assert len({_case(row) for row in ROWS}) == len(ROWS)


def test_the_table_names_rules_about_food_alone() -> None:
    about_food = {rule.name for rule in RULES if rule.about == "food"}

    assert {name for row in ROWS for name in row.rules} <= about_food


@pytest.mark.parametrize("name", ["mid-range", "overglaze", "soda"])
def test_raw_clay_that_no_such_firing_takes_is_not_shown_for_food(name: str) -> None:
    glaze = {"name": "Plum Gloss", "family": "mid-range", "cone_low": "5", "cone_high": "6", "food": "tested"}
    clay = {"name": "Doorstep Buff", "kind": "stoneware", "cone_low": "5", "cone_high": "6", "absorption_pct": 1.5}
    piece = {"clay": clay, "layers": [{"glaze": glaze, "zone": "inside"}], "use": "food", "fired_to": None}
    line = {"piece": {**piece, "dry": True, "vented": True}, "route": {"name": name, "cone": "6"}}

    answer = json.loads(answer_line(json.dumps(line).encode()))

    assert (answer["verdict"], answer["food"]) == ("refuse", "not-shown"), answer


@pytest.mark.parametrize(
    ("glaze", "air", "rule", "word"),
    [
        pytest.param(
            {"metals": ["Cu"], "tests": [{"metal": "Cu", "passed": False, "cone": "5", "atmosphere": "reduction"}]},
            "oxidation",
            "release-over-limit",
            "cone 5, ",
            id="a test that failed in another firing names its cone",
        ),
        pytest.param(
            {"traits": ["wants-oxidation"]},
            "reduction",
            "untested-for-food",
            " test ",
            id="a tested glaze has no label",
        ),
    ],
)
def test_what_a_test_says_is_told_with_the_firing_it_was_made_in(
    glaze: dict[str, object], air: str, rule: str, word: str
) -> None:
    told = {"name": "Plum Gloss", "family": "mid-range", "cone_low": "5", "cone_high": "6", "food": "tested", **glaze}
    clay = {"kind": "stoneware", "cone_low": "5", "cone_high": "6", "absorption_pct": 1.5}
    piece = {"clay": clay, "layers": [{"glaze": told, "zone": "inside"}], "use": "food", "fired_to": "06"}
    line = {"piece": piece, "route": "mid-range", "kiln": {"atmosphere": air}}

    found = {one["rule"]: one["says"] for one in json.loads(answer_line(json.dumps(line).encode()))["findings"]}

    assert word in found[rule]
