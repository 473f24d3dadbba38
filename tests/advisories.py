"""What is known against the pinned versions: `python -m tests.advisories` tells it, where a database of it answers.

It is no part of the gate, for what is published today would fail what was right yesterday, and it says nothing where no
database can be reached.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

PINS = Path(__file__).parents[1] / ".ci" / "constraints.txt"
_SECONDS = 60
_SERVICES = ("osv", "pypi")
"""The databases that pip-audit asks, the one that needs fewer questions first."""


def known(answer: str) -> list[str] | None:
    """One line for each vulnerability that pip-audit (`--format json`) found; None where nothing was looked up."""
    try:
        found = json.loads(answer)["dependencies"]
    except (ValueError, KeyError, TypeError):
        return None
    looked_up = [one for one in found if "vulns" in one]
    return [_line(one, fault) for one in looked_up for fault in one["vulns"]] if looked_up else None


def ask(service: str) -> str:
    """What pip-audit answers about the pins, from one service; nothing where it takes too long."""
    how = ["--no-deps", "--disable-pip", "--progress-spinner", "off", "--timeout", "5", "--format", "json"]
    command = [sys.executable, "-m", "pip_audit", "--vulnerability-service", service, "--requirement", str(PINS), *how]
    try:
        return subprocess.run(command, capture_output=True, text=True, timeout=_SECONDS, check=False).stdout
    except subprocess.TimeoutExpired:
        return ""


def _line(one: dict[str, Any], fault: dict[str, Any]) -> str:
    names = ", ".join([fault["id"], *fault.get("aliases", ())])
    mended = ", ".join(fault.get("fix_versions", ()))
    return f"{one['name']} {one['version']}: {names}" + (f"; fixed in {mended}" if mended else "")


def main() -> None:
    """Tell what the first database that answers knows."""
    for service in _SERVICES:
        lines = known(ask(service))
        if lines is None:
            continue
        for line in lines:
            print(f"Known vulnerability: {line}")
        return


if __name__ == "__main__":
    main()
