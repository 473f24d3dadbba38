"""What the manual and DEVELOPERS.md take from the code; `python -m tests.house.documents` writes it again."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tracker.domain.pieces.piece import stage_diagram
from tracker.domain.rules.engine import rules_table
from tracker.domain.studio.setting_groups import groups_table
from tracker.forms.entity import as_markdown
from tracker.forms.fields import FILE, LINE
from tracker.forms.labels.label_schema import LabelSchema
from tracker.forms.pieces.piece_schema import LayerSchema, PieceSchema
from tracker.forms.studio.evidence_schemas import LeachTestSchema, WeighingSchema
from tracker.forms.studio.kiln_schemas import FurnitureSchema, KilnSchema, RoomSchema, RouteSchema, SegmentSchema
from tracker.forms.studio.material_schemas import ClaySchema, GlazeSchema

if TYPE_CHECKING:
    from tracker.forms.entity import EntitySchema

ROOT = Path(__file__).parents[2]


def drawn() -> dict[tuple[str, str], str]:
    """What must stand in which file between which marks."""
    return {
        ("tracker/manual/rules.md", "rules"): rules_table(),
        ("tracker/manual/studio-settings.md", "practice"): groups_table(),
        ("DEVELOPERS.md", "stages"): f"```mermaid\n{stage_diagram()}\n```",
    }


def entity_tables() -> str:
    """What a studio file holds of each entity, and a line of `footring judge` of a piece, table after table."""
    in_file: tuple[tuple[type[EntitySchema[Any]], str], ...] = (
        (ClaySchema, "[[clay]]"),
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
    in_line: tuple[tuple[type[EntitySchema[Any]], str], ...] = (
        (PieceSchema, "piece"),
        (ClaySchema, "clay"),
        (LayerSchema, "layers"),
        (GlazeSchema, "glaze"),
        (KilnSchema, "kiln"),
        (RoomSchema, "chamber"),
    )
    tables = [as_markdown(kind, FILE, called) for kind, called in in_file]
    return "\n\n".join([*tables, *(as_markdown(kind, LINE, called) for kind, called in in_line)])


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
