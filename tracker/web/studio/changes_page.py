"""The page that tells what changed in the tool, in its readers' words."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from flask import Blueprint, render_template

from tracker.web.auth import OPEN, allows

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

pages = Blueprint("studio", __name__)

Block = tuple[str, tuple[str, ...]]
"""A part of a text: "title", "heading" or "text" with one line, or "list" with its entries."""


@pages.get("/changes")
@allows(OPEN)
def changes() -> ResponseReturnValue:
    """What changed, the newest first."""
    return render_template("studio/changes.html", blocks=_changes())


@cache
def _changes() -> tuple[Block, ...]:
    return blocks_of(Path(__file__).parents[2].joinpath("changes.md").read_text(encoding="utf-8"))


def blocks_of(text: str) -> tuple[Block, ...]:
    """The parts of a text written with `#` and `##` for headings, `- ` for lists and empty lines between parts."""
    blocks: list[Block] = []
    for part in text.strip().split("\n\n"):
        lines = part.strip().splitlines()
        if lines[0].startswith("## "):
            blocks.append(("heading", (lines[0][3:],)))
        elif lines[0].startswith("# "):
            blocks.append(("title", (lines[0][2:],)))
        elif lines[0].startswith("- "):
            blocks.append(("list", tuple(" ".join(one.split()) for one in f"\n{part.strip()}".split("\n- ")[1:])))
        else:
            blocks.append(("text", (" ".join(lines),)))
    return tuple(blocks)
