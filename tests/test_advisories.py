"""Known vulnerabilities of the pins: told as pip-audit answers them, and silence where nobody answers."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from tests.advisories import PINS, known

# As pip-audit writes it with --format json; the second was looked up and is fine, the third was not looked up.
ANSWER = {
    "dependencies": [
        {
            "name": "flask",
            "version": "0.5",
            "vulns": [{"id": "PYSEC-2019-179", "fix_versions": ["1.0"], "aliases": ["CVE-2019-1010083"]}],
        },
        {"name": "click", "version": "8.5.1", "vulns": []},
        {"name": "jinja2", "skip_reason": "Dependency not found"},
    ],
    "fixes": [],
}


def test_each_vulnerability_is_one_line_with_its_way_out() -> None:
    assert known(json.dumps(ANSWER)) == ["flask 0.5: PYSEC-2019-179, CVE-2019-1010083; fixed in 1.0"]


@pytest.mark.parametrize("answer", ["", "no answer", "[]", json.dumps({"dependencies": ANSWER["dependencies"][2:]})])
def test_where_nothing_was_looked_up_nothing_is_known(answer: str) -> None:
    assert known(answer) is None


def test_without_a_way_to_any_database_nothing_is_said() -> None:
    # Nobody listens on the port of "discard".
    nowhere = {**os.environ, "HTTPS_PROXY": "http://127.0.0.1:9", "HTTP_PROXY": "http://127.0.0.1:9"}

    done = subprocess.run(
        [sys.executable, "-m", "tests.advisories"],
        env=nowhere,
        cwd=PINS.parents[1],
        check=False,
        capture_output=True,
        text=True,
    )

    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
