"""The commands and the JSON that README and the manual show, as a reader would take them from there."""

from __future__ import annotations

import re
import shlex

from tests.house.tree import TOP, text

MANUAL = sorted(path.relative_to(TOP).as_posix() for path in (TOP / "tracker" / "manual").glob("*.md"))
"""Every file of the manual."""


def shown_commands(name: str) -> list[list[str]]:
    """Each command of ours that stands on a line of its own in a file, as words."""
    return [shlex.split(line) for line in re.findall(r"^(?: {4})?(footring .*)$", text(name), re.MULTILINE)]


def shown_json(name: str) -> list[str]:
    """Each block of JSON in a file."""
    return re.findall(r"^```json\n(.*?)^```$", text(name), re.MULTILINE | re.DOTALL)
