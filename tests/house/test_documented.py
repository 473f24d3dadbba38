"""What the code offers is told: settings and commands to users, stages and steps to developers, rules to both."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator

import click
import pytest

from tests.house.documents import between, drawn, entity_tables
from tests.house.tree import text
from tracker.cli import main
from tracker.domain.pieces.piece import STEPS, Stage
from tracker.settings import Settings


def commands(group: click.Group, before: str = "footring") -> Iterator[str]:
    """Every command as a person types it, with those inside groups."""
    for name, command in group.commands.items():
        yield f"{before} {name}"
        if isinstance(command, click.Group):
            yield from commands(command, f"{before} {name}")


def test_every_setting_is_told_in_the_readme() -> None:
    names = [f"FOOTRING_{field.name.upper()}" for field in dataclasses.fields(Settings)]

    assert [name for name in names if name not in text("README.md")] == []


def test_every_command_is_told_in_the_readme() -> None:
    assert isinstance(main, click.Group)
    told = text("README.md")
    names = list(commands(main))
    assert names
    assert [name for name in names if not re.search(rf"{re.escape(name)}\b", told)] == []


def test_every_stage_and_step_is_told_in_developers() -> None:
    told = text("DEVELOPERS.md")

    assert [stage.value for stage in Stage if not re.search(rf"\b{stage.value}\b", told)] == []
    assert [step.value for step in STEPS if not re.search(rf"\b{step.value}\b", told)] == []


@pytest.mark.parametrize(("where", "table"), drawn().items(), ids=[mark for _, mark in drawn()])
def test_a_table_that_the_code_draws_stands_in_its_document(where: tuple[str, str], table: str) -> None:
    name, mark = where

    assert between(text(name), mark) == table.strip()


def test_every_fact_of_an_entity_is_told_in_a_row_of_its_own() -> None:
    rows = entity_tables().splitlines()

    assert "| `bucket` | bucket: text of up to 60 characters |" in rows
    assert "| `coat` | coat: glaze, underglaze, slip, wax; glaze if left out |" in rows
    assert "| `clay` | required: clay |" in rows
    assert [row for row in rows if row and not re.fullmatch(r"\| \S.* \| \S.* \||\|---\|---\|", row)] == []
