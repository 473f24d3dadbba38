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
