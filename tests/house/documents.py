"""What the manual and DEVELOPERS.md take from the code; `python -m tests.house.documents` writes it again."""

from __future__ import annotations

import re
from pathlib import Path

from tracker.domain.pieces.piece import stage_diagram
from tracker.domain.rules.engine import rules_table
from tracker.domain.studio.setting_groups import groups_table

ROOT = Path(__file__).parents[2]


def drawn() -> dict[tuple[str, str], str]:
    """What must stand in which file between which marks."""
    return {
        ("tracker/manual/rules.md", "rules"): rules_table(),
        ("tracker/manual/studio-settings.md", "practice"): groups_table(),
        ("DEVELOPERS.md", "stages"): f"```mermaid\n{stage_diagram()}\n```",
    }


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
