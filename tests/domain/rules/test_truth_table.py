"""The rules answer as the truth table says: it was written from the studio's rules, not from the code."""

from __future__ import annotations

import json

import pytest

from tests.domain.rules import food_truth
from tests.domain.rules.truth import Row, rows
from tests.reading import all_in, said
from tracker.commands.answers import answer_line
from tracker.domain.cones import ConeRange
from tracker.domain.findings import Level
from tracker.domain.message import Fact, Message
from tracker.domain.pieces.piece import Piece, Stage, Ware
from tracker.domain.rules.engine import RULES, judge
from tracker.domain.rules.rule import Case, Signs, outside_of, signs_of

ROWS = rows()
SPOKEN = [row.rules for row in ROWS] + [row.rules for row in food_truth.rows()]
"""Which rules speak in each row of this table and of that of food."""
ASKABLE = [(row, line) for row in ROWS if (line := row.line) is not None]


def _case(row: Row) -> str:
    return row.facts["case"]


def _words(message: Message) -> set[str]:
    """The codes and the facts, as text, of a message and of all within it; cones from one to another as "020-018"."""
    return {word for one in all_in([message]) for word in (one.code, *(_word(fact) for _name, fact in one.facts))}


def _word(fact: Fact) -> str:
    return f"{fact.low}-{fact.high}" if isinstance(fact, ConeRange) else str(fact)


@pytest.mark.parametrize("row", ROWS, ids=_case)
def test_the_rules_judge_as_the_table_says(row: Row) -> None:
    verdict = judge(row.ware, row.route, kiln=row.kiln)

    assert (verdict.word, {finding.rule for finding in verdict.findings}) == (row.level, row.rules)
    # There are words for whatever is found, and for its remedy.
    assert all(said(one.message) and said(one.remedy) for one in verdict.findings)
    found = {finding.rule: finding for finding in verdict.findings}
    for rule, word in row.says:
        remedy = found[rule].remedy
        assert remedy is not None
        assert word in _words(remedy)


@pytest.mark.parametrize(("row", "line"), ASKABLE, ids=[_case(row) for row, _ in ASKABLE])
def test_the_command_line_judges_as_the_table_says(row: Row, line: str) -> None:
    answer = json.loads(answer_line(line.encode()))

    assert (answer["verdict"], {finding["rule"] for finding in answer["findings"]}) == (row.level, row.rules)
    # A what-if belongs to no studio.
    assert "this studio" not in json.dumps(answer)


def test_the_table_has_each_rule_speaking_and_keeping_silent() -> None:
    spoken = {name: {name in rules for rules in SPOKEN} for name in (rule.name for rule in RULES)}

    assert len(ROWS) >= 550
    assert len({_case(row) for row in ROWS}) == len(ROWS)
    assert all(row.facts["source"] for row in ROWS)
    assert all(both == {True, False} for both in spoken.values()), spoken


def _came_bisqued() -> tuple[Row, Piece, Case]:
    """A slip on ware that came here bisqued: no firing of it is on record, but its stage tells that it's fired clay."""
    row = next(row for row in ROWS if _case(row) == "raw slip on bisqued ware")
    told = {name: getattr(row.ware, name) for name in Ware.__slots__} | {"fired_to": None}
    piece = Piece(id=1, code=None, what="cup", maker_id=1, stage=Stage.BISQUED, **told)
    return row, piece, Case(piece, row.route, kiln=row.kiln)


def test_no_rule_is_asked_in_vain_nor_anew_of_each_piece_where_its_materials_tell_all() -> None:
    asked = [(row, row.ware, Case(row.ware, row.route, kiln=row.kiln)) for row in ROWS]
    asked.append(_came_bisqued())
    bare = [
        Case(
            Ware(clay=ware.clay, layers=ware.layers, use=ware.use, fired_to=ware.fired_to),
            case.route,
            air=case.air,
            outside=outside_of(ware),
        )
        for _, ware, case in asked
    ]

    shown = [(row.rules, signs_of(ware, case.kiln)) for row, ware, case in asked]
    # What a rule of materials asks of a kiln is its atmosphere, which may be known without one.
    wanted = {
        rule.name: {sign for sign in Signs._fields if not (rule.of_materials and sign == "in_a_kiln")} for rule in RULES
    }
    signs = {
        name: {sign for sign in asks if all(getattr(one, sign) for rules, one in shown if name in rules)}
        for name, asks in wanted.items()
    }
    of_materials = {
        rule.name: all(
            (rule.finding(case) is None) is (rule.finding(less) is None)
            for (_, _, case), less in zip(asked, bare, strict=True)
        )
        for rule in RULES
    }

    assert signs == {rule.name: {sign for sign in Signs._fields if getattr(rule, sign)} for rule in RULES}
    assert of_materials == {rule.name: rule.of_materials for rule in RULES}


def test_the_table_knows_no_rule_that_the_studio_does_not() -> None:
    named = {name for rules in SPOKEN for name in rules}

    assert named == {rule.name for rule in RULES}


def test_every_verdict_stands_in_the_table_and_most_rows_can_be_asked_on_the_command_line() -> None:
    words = {row.level for row in ROWS}

    assert words == {"clear", *(level.word for level in Level if level is not Level.NOTE)}
    assert len(ASKABLE) > 450
