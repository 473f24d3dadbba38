"""What the manual and DEVELOPERS.md take from the code; `python -m tests.house.documents` writes it again."""

from __future__ import annotations

import re
from dataclasses import fields as dataclass_fields
from pathlib import Path
from typing import Any

from tracker.domain.pieces.piece import STEPS, Stage, StepName
from tracker.domain.pieces.usual_forms import USUAL_FORMS
from tracker.domain.quantities import Units
from tracker.domain.rules.engine import rules_table
from tracker.domain.studio.cautions import Danger, told
from tracker.domain.studio.setting_groups import GROUPS
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.forms.entity import EntitySchema, key_of
from tracker.forms.fields import FILE, LINE, Within
from tracker.forms.labels.label_schema import LabelSchema
from tracker.forms.pieces.piece_schema import LayerSchema, PieceSchema
from tracker.forms.studio.evidence_schemas import AbsorptionSchema, LeachTestSchema, WeighingSchema
from tracker.forms.studio.kiln_schemas import FurnitureSchema, KilnSchema, RoomSchema, RouteSchema, SegmentSchema
from tracker.forms.studio.material_schemas import ClaySchema, GlazeSchema
from tracker.wording.render import say

ROOT = Path(__file__).parents[2]


def drawn() -> dict[tuple[str, str], str]:
    """What must stand in which file between which marks."""
    return {
        ("tracker/manual/rules.md", "rules"): rules_table(),
        ("tracker/manual/studio-settings.md", "practice"): _groups_table(),
        ("tracker/manual/safety.md", "cautions"): _cautions(),
        ("tracker/manual/new-pieces.md", "sizes"): _usual_sizes(),
        ("tracker/manual/every-key.md", "file"): _tables(IN_FILE, FILE),
        ("tracker/manual/every-key.md", "judge"): _tables(_IN_LINE, LINE),
        ("DEVELOPERS.md", "stages"): f"```mermaid\n{stage_diagram()}\n```",
    }


IN_FILE: tuple[tuple[type[EntitySchema[Any]], str], ...] = (
    (ClaySchema, "[[clay]]"),
    (AbsorptionSchema, "[[clay.absorption]]"),
    (WeighingSchema, "[[clay.weighing]]"),
    (GlazeSchema, "[[glaze]]"),
    (LeachTestSchema, "[[glaze.test]]"),
    (RouteSchema, "[[route]]"),
    (SegmentSchema, "[[route.segment]]"),
    (KilnSchema, "[[kiln]]"),
    (RoomSchema, "[kiln.chamber]"),
    (FurnitureSchema, "[kiln.furniture]"),
    (LabelSchema, "[[label]]"),
)
_IN_LINE: tuple[tuple[type[EntitySchema[Any]], str], ...] = (
    (PieceSchema, "piece"),
    (ClaySchema, "clay"),
    (AbsorptionSchema, "absorption"),
    (LayerSchema, "layers"),
    (GlazeSchema, "glaze"),
    (LeachTestSchema, "tests"),
    (KilnSchema, "kiln"),
    (RoomSchema, "chamber"),
)


def _cautions() -> str:
    """Every caution as a list, the nearest danger first."""
    return "\n".join(
        f"- **{say(one.title)}.** {' '.join(say(order) for order in one.orders)}"
        for one in told(COMMON_PRACTICE, Danger)
    )


def _usual_sizes() -> str:
    """The usual size of each form, in both unit systems."""
    rows = [
        f"| {say(one.name)} | {' × '.join(one.sizes[Units.METRIC])} | {' × '.join(one.sizes[Units.US])} |"  # noqa: RUF001 -- the sign for times
        for one in USUAL_FORMS.values()
        if one.sizes
    ]
    return "\n".join(["| form | height, width, depth | in inches |", "|---|---|---|", *rows])


def _tables(entities: tuple[tuple[type[EntitySchema[Any]], str], ...], where: Within) -> str:
    """What is told of each entity there, table after table."""
    return "\n\n".join(_as_markdown(kind, where, called) for kind, called in entities)


def stage_diagram() -> str:
    """The table of steps as a Mermaid state diagram; steps that lead back to where a piece was are left out."""
    moves = {(stage, step.to): step.name for step in STEPS.values() for stage in step.start if step.to is not None}
    lines = [f"    {start} --> {to}: {name}" for (start, to), name in sorted(moves.items(), key=_along_the_line)]
    return "\n".join(["stateDiagram-v2", "    [*] --> greenware: register", *lines])


def _along_the_line(move: tuple[tuple[Stage, Stage], StepName]) -> tuple[int, int]:
    order = list(Stage)
    (start, to), _name = move
    return order.index(start), order.index(to)


def _groups_table() -> str:
    """The groups as the Markdown table that the manual shows, each number with its default."""
    rows = [
        f"| `[practice.{group.name}]` `{one.name}` | {one.what} | `{getattr(group.kind(), one.name):g}` {one.unit} |"
        for group in GROUPS
        for one in group.numbers
    ]
    return "\n".join(["| in the file | what it is | default (common practice) |", "|---|---|---|", *rows])


def _as_markdown(kind: type[EntitySchema[Any]], where: Within, called: str) -> str:
    """What is told of the entity there, key for key, as a table in Markdown; `called` is how it is written there."""
    rows = [f"| `{key_of(name, one, where)}` | {_told(kind, name, where)} |" for name, one in kind.facts(where).items()]
    return "\n".join([f"| key of `{called}` | value |", "|---|---|", *rows])


def _told(kind: type[EntitySchema[Any]], name: str, where: Within) -> str:
    """A fact in one line: whether it is required, what it is, what stands there, and what counts otherwise."""
    one = kind.facts(where)[name]
    what = f"{one.label[:1].lower()}{one.label[1:]}".rstrip("?") + (f", in {one.unit}" if one.unit else "")
    takes = one.takes if where is FILE or one.asked is one.plain else ""
    # What only says its key again says nothing beside what the key takes.
    says_nothing = takes and what.casefold() == name.replace("_", " ")
    told = takes if says_nothing else f"{what}: {takes}" if takes else what
    made: Any = kind.makes
    default = next((field.default for field in dataclass_fields(made) if field.name == name), None)
    if where in one.must:
        return f"required: {told}"
    return f"{told}; default {default}" if default and isinstance(default, str | int | float) else told


def between(text: str, mark: str) -> str | None:
    """What stands in `text` between <!-- mark --> and <!-- /mark -->, or None where the marks are missing."""
    found = re.search(rf"<!-- {mark} -->\n(.*?)<!-- /{mark} -->", text, re.DOTALL)
    return found[1].strip() if found else None


def write() -> None:
    """Write every table again."""
    for (name, mark), table in drawn().items():
        path = ROOT / name
        text = path.read_text(encoding="utf-8")
        head, rest = text.split(f"<!-- {mark} -->\n")
        _, tail = rest.split(f"<!-- /{mark} -->")
        path.write_text(f"{head}<!-- {mark} -->\n{table}\n<!-- /{mark} -->{tail}", encoding="utf-8")


if __name__ == "__main__":
    write()
