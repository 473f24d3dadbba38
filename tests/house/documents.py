"""What the manual and DEVELOPERS.md take from the code; `python -m tests.house.documents` writes it again."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from tracker.domain.pieces.piece import stage_diagram
from tracker.domain.pieces.usual_forms import USUAL_FORMS
from tracker.domain.quantities import Units
from tracker.domain.rules.engine import rules_table
from tracker.domain.studio.cautions import Danger, told
from tracker.domain.studio.setting_groups import groups_table
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.forms.entity import EntitySchema, as_markdown
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
        ("tracker/manual/studio-settings.md", "practice"): groups_table(),
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
    return "\n\n".join(as_markdown(kind, where, called) for kind, called in entities)


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
