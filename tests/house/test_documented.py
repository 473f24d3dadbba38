"""What the code offers is told: settings, commands, keys and rules in the manual, stages and steps to developers."""

from __future__ import annotations

import dataclasses
import re
import tomllib
from collections.abc import Iterator
from typing import Any

import click
import pytest
from click.testing import CliRunner

from tests.forms.studio.studio_example import STUDIO
from tests.house.documents import IN_FILE, between, drawn
from tests.house.manual import MANUAL
from tests.house.sentences import marked
from tests.house.tree import text
from tests.wording.pseudo import in_pseudo, pseudo
from tracker.cli import main
from tracker.domain.pieces.piece import STEPS, Stage
from tracker.domain.studio.setting_groups import GROUPS
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.forms.entity import EntitySchema, key_of, kind_inside
from tracker.forms.fields import FILE, PAGE
from tracker.forms.labels.label_schema import LabelSchema
from tracker.forms.studio.evidence_schemas import AbsorptionSchema, LeachTestSchema, WeighingSchema
from tracker.forms.studio.kiln_schemas import FurnitureSchema, KilnSchema, RouteSchema, SegmentSchema
from tracker.forms.studio.material_schemas import ClaySchema, GlazeSchema
from tracker.forms.studio.studio_file import SECTIONS
from tracker.settings import Settings


def commands(group: click.Group, before: str = "footring") -> Iterator[str]:
    """Every command as a person types it, with those inside groups."""
    for name, command in group.commands.items():
        yield f"{before} {name}"
        if isinstance(command, click.Group):
            yield from commands(command, f"{before} {name}")


def keys_in(raw: object) -> Iterator[str]:
    """Every key in TOML, however deep."""
    if isinstance(raw, dict):
        for key, value in raw.items():
            yield key
            yield from keys_in(value)
    elif isinstance(raw, list):
        for one in raw:
            yield from keys_in(one)


def test_every_setting_is_told_in_the_manual() -> None:
    names = [f"FOOTRING_{field.name.upper()}" for field in dataclasses.fields(Settings)]

    assert [name for name in names if f"| `{name}` |" not in text("tracker/manual/server.md")] == []


ON_A_PAGE_OF_ITS_OWN = {
    ClaySchema: {"weighings", "cones_checked", "retired"},
    GlazeSchema: {"tests", "cones_checked", "retired"},
    RouteSchema: {"cones_checked", "retired"},
    KilnSchema: {"retired"},
    FurnitureSchema: {"halves"},
    WeighingSchema: {"withdrawn"},
    LeachTestSchema: {"withdrawn"},
    SegmentSchema: {"rate_c_per_h", "target_c", "hold_min", "note"},
    AbsorptionSchema: {"cone", "pct", "method"},
}
"""What no field of a thing's own form asks. Tests are filed and withdrawn under Evidence, unusual cones are asked about
once they are sent, a thing is retired by a button, halves are a shape, and a schedule and measured absorption are typed
into one field, line by line."""


def schemas(kind: type[EntitySchema[Any]]) -> Iterator[type[EntitySchema[Any]]]:
    """A schema with all that are inside it."""
    yield kind
    for one in kind.facts(FILE).values():
        if one.inside is not None:
            yield from schemas(kind_inside(one))


def test_all_of_a_studio_file_can_be_told_on_pages() -> None:
    tables: tuple[type[EntitySchema[Any]], ...] = (
        *SECTIONS,
        ClaySchema,
        GlazeSchema,
        RouteSchema,
        KilnSchema,
        LabelSchema,
    )
    lacking = {one: set(one.facts(FILE)) - set(one.facts(PAGE)) for table in tables for one in schemas(table)}

    assert {one: keys for one, keys in lacking.items() if keys} == ON_A_PAGE_OF_ITS_OWN


@pytest.mark.parametrize("example", [text("demo_seed/studio.toml"), STUDIO], ids=["demo", "tests"])
def test_every_key_of_a_studio_file_is_told_in_the_manual(example: str) -> None:
    told = text("tracker/manual/studio-file.md")
    raw = tomllib.loads(example)
    raw.pop("practice", None)  # It has a page of its own.

    assert [key for key in keys_in(raw) if not re.search(rf"`{key}\b|[\[.]{key}\]", told)] == []


def rows_of(called: str) -> list[str]:
    """The rows in the manual's table of the keys of `called`, such as [[glaze]]."""
    _, *tables = re.split(r"(?m)^\| key of ", text("tracker/manual/studio-file.md"))
    return [
        row for table in tables if f"`{called}`" in table.splitlines()[0] for row in re.findall(r"(?m)^\| `.*", table)
    ]


IN_TABLES_BELOW = {"retired", "absorption", "weighing", "test", "segment", "chamber", "container", "furniture"}
"""Keys that are told beside the tables, or that are tables of their own."""


@pytest.mark.parametrize(("kind", "called"), IN_FILE, ids=[called for _, called in IN_FILE])
def test_every_key_of_a_file_is_told_with_every_word_it_takes(kind: type[EntitySchema[Any]], called: str) -> None:
    for name, one in kind.facts(FILE).items():
        key = key_of(name, one, FILE)
        row = next((row for row in rows_of(called) if f"`{key}`" in row.split("|")[1]), "")
        words = re.fullmatch(r"(?:a list of )?([a-z-]+(?:, [a-z-]+)+)", one.takes)
        assert row or key in IN_TABLES_BELOW, key
        assert [word for word in (words[1].split(", ") if words else ()) if not re.search(rf"\b{word}\b", row)] == []


def test_every_studio_setting_is_told_in_the_manual_with_its_default() -> None:
    told = text("tracker/manual/studio-settings.md")
    groups = {group.name for group in GROUPS}
    single = [one.name for one in dataclasses.fields(COMMON_PRACTICE) if one.name not in groups]

    rows = [rf"| `{key}` | .* | `{getattr(COMMON_PRACTICE, key)}` |" for key in single]
    assert [row for row in rows if not re.search(row.replace("|", r"\|"), told)] == []


@pytest.mark.parametrize("name", MANUAL)
def test_what_the_manual_quotes_from_a_page_is_written_there(name: str) -> None:
    """Names of buttons and headings are in quotes or bold and begin with a capital letter; cautions end with a dot."""
    there = {one.text for one in marked()}

    named = re.findall(r"“([A-Z][^”]*)”|\*\*([A-Z][^*]*[^*.])\*\*", text(name))
    assert [one or other for one, other in named if (one or other) not in there] == []


def test_every_stage_is_told_in_the_manual() -> None:
    told = text("tracker/manual/stages.md")

    assert [stage.value for stage in Stage if f"| {stage.value} |" not in told] == []


def test_every_command_is_told_in_the_manual() -> None:
    assert isinstance(main, click.Group)
    told = text("tracker/manual/commands.md")
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
    rows = [row for (name, _), table in drawn().items() if "every-key" in name for row in table.splitlines()]

    assert "| `bucket` | text of at most 60 characters |" in rows
    assert "| `coat` | type: glaze, underglaze, slip, sigillata, wax, overglaze; default glaze |" in rows
    assert "| `clay` | required: clay |" in rows
    assert [row for row in rows if row and not re.fullmatch(r"\| \S.* \| \S.* \||\|---\|---\|", row)] == []


def test_the_help_of_every_command_is_marked_and_looked_up_when_it_is_shown() -> None:
    own = {main.help, *(one.help for one in main.params if isinstance(one, click.Option))}
    ways = [[], *([name] for name in main.commands)]
    with in_pseudo() as catalog:
        shown = [CliRunner().invoke(main, [*way, "--help"]).output for way in ways]

    written = {
        one.help for command in main.commands.values() for one in command.params if isinstance(one, click.Option)
    }
    written |= {one for command in main.commands.values() for one in (command.help, command.short_help)} | own
    from_click = {"Show the version and exit."}
    assert {one for one in written if one} - from_click <= {one.text for one in marked()} & catalog.asked
    assert all(
        pseudo(str(command.help))[:12] in page
        for command, page in zip((main, *main.commands.values()), shown, strict=True)
    )
