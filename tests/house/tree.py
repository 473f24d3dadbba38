"""The files of this house as git knows them, and what their Python says."""

from __future__ import annotations

import ast
import io
import subprocess
import tokenize
from collections.abc import Iterator
from functools import cache
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
SHIPPED = ("tracker", "printing", "migrations", "demo_seed")


@cache
def files() -> tuple[Path, ...]:
    """Every file in the tree that git keeps, relative to the top."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=TOP, check=True, capture_output=True, text=True).stdout
    return tuple(Path(name) for name in listed.split("\0") if name and (TOP / name).exists())


def python_files(*rooms: str) -> list[Path]:
    """The Python files in `rooms`, or in the whole house when none is named."""
    return [path for path in files() if path.suffix == ".py" and (not rooms or path.parts[0] in rooms)]


def text(path: Path | str) -> str:
    """What a file says; the path is relative to the top."""
    return (TOP / path).read_text(encoding="utf-8")


@cache
def tree(path: Path) -> ast.Module:
    """A Python file, parsed."""
    return ast.parse(text(path), filename=str(path))


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """Everything that a Python file is made of, in no order that says anything; the walk is made once for all tests."""
    return tuple(ast.walk(tree(path)))


def comments(path: Path) -> Iterator[tuple[int, str]]:
    """Every comment in a Python file with the number of its line."""
    for token in tokenize.generate_tokens(io.StringIO(text(path)).readline):
        if token.type == tokenize.COMMENT:
            yield token.start[0], token.string


def imported(path: Path) -> set[str]:
    """The full name of every module that a Python file imports, wherever in it."""
    names: set[str] = set()
    for node in nodes(path):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            names.add(node.module or "")
    return names
