"""The tree holds what the design says and nothing else."""

from __future__ import annotations

import itertools
import re
import subprocess
import tomllib

from tests.house.tree import TOP, files, text

FILES = {"README.md", "DEVELOPERS.md", "pyproject.toml"}
FOLDERS = {"tracker", "printing", "migrations", "tests", "demo_seed"}

# Written in halves, so that this file does not name them either.
REGISTRY_HOSTS = re.compile("|".join(["py" + r"pi\.org", "python" + "hosted", "npm" + r"js\.org", "deb" + r"\.debian"]))


def test_the_top_level_is_what_the_design_names_and_dotfiles() -> None:
    shown = [path for path in files() if not path.parts[0].startswith(".")]

    beside = {path.name for path in shown if len(path.parts) == 1}
    folders = {path.parts[0] for path in shown if len(path.parts) > 1}
    assert beside == FILES, _only("files", FILES)
    assert folders == FOLDERS, _only("folders", FOLDERS)


def _only(what: str, named: set[str]) -> str:
    return (
        f"At the top stand the {what} {', '.join(sorted(named))} and dotfiles, and nothing else: move it into a room."
    )


def test_no_file_names_the_host_of_a_package_registry() -> None:
    naming = [path for path in files() if REGISTRY_HOSTS.search((TOP / path).read_bytes().decode("latin-1"))]

    assert naming == []


def test_nothing_in_the_tree_is_ignored_by_its_own_rules() -> None:
    done = subprocess.run(
        ["git", "ls-files", "--cached", "--ignored", "--exclude-standard"],
        cwd=TOP,
        check=True,
        capture_output=True,
        text=True,
    )

    assert done.stdout == ""


def test_every_pin_is_a_name_and_one_exact_version() -> None:
    lines = [line for line in text(".ci/constraints.txt").splitlines() if not line.startswith("#")]

    odd = [line for line in lines if not re.fullmatch(r"[A-Za-z0-9._-]+==[0-9][A-Za-z0-9.!+]*", line)]
    assert odd == []
    assert lines


def test_everything_the_distribution_asks_for_is_pinned() -> None:
    project = tomllib.loads(text("pyproject.toml"))["project"]
    asked = [*project["dependencies"], *itertools.chain(*project["optional-dependencies"].values())]
    pinned = {_plain(line.partition("==")[0]) for line in text(".ci/constraints.txt").splitlines() if "==" in line}

    unpinned = [words for words in asked if _plain(re.split(r"[\[<>=~! ]", words)[0]) not in pinned]

    assert unpinned == []


def _plain(name: str) -> str:
    """A distribution's name the way registries compare them."""
    return re.sub(r"[-_.]+", "-", name).lower()
