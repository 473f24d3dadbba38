"""Every message can be said to every reader, and no code reads a sentence that has been said."""

from __future__ import annotations

import ast
import importlib
import re
from collections import defaultdict
from collections.abc import Collection, Iterator
from pathlib import Path
from string import Formatter

import pytest

from tests.house.tree import nodes, python_files, text

CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
SAYING = {"say", "said", "say_all", "say_finding", "say_refusal", "said_refusal"}
"""What makes text of a message; `read` does so of a single fact."""
MAY_SAY = re.compile(rf"\.template\b|\bstr\(|\b(?:{'|'.join(sorted(SAYING))})\(")
"""A file without any of this has no text of a message, so nobody has to look through it."""
READING = {
    *("split", "rsplit", "partition", "rpartition", "startswith", "endswith", "removeprefix", "removesuffix"),
    *("find", "index", "count", "replace", "lower", "upper", "casefold", "capitalize", "strip", "rstrip", "lstrip"),
}
"""What one does to a text to find something out or to change it."""
TELLS_PAPER = ("labels", "pictures", "stories", "letters")
"""The use cases that make paper and mail say their messages; all others hand them on."""


def calls(path: Path, *names: str) -> Iterator[ast.Call]:
    """Every call of a function or class with one of these names."""
    for node in nodes(path):
        if isinstance(node, ast.Call) and _name(node.func) in names:
            yield node


def _name(node: ast.expr) -> str:
    return node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""


# ---- every message is whole -------------------------------------------------------------------------------------


def templates(path: Path, node: ast.expr) -> Iterator[str]:
    """Every text that a template is made of, constants of its module looked up; nothing of what a variable holds."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.Name):
        value = getattr(importlib.import_module(".".join(path.with_suffix("").parts)), node.id, None)
        yield from [value] if isinstance(value, str) else []
    elif isinstance(node, ast.Call) and _name(node.func) in {"Plural", "Choice", "ByRole", "_"}:
        parts = node.args if _name(node.func) in {"ByRole", "_"} else node.args[1:]
        for part in parts:
            yield from templates(path, part)
    elif isinstance(node, ast.Dict):
        for part in node.values:
            yield from templates(path, part)


def told(path: Path) -> Iterator[tuple[str, ast.Call, frozenset[str]]]:
    """Every message a file makes whose words are written beside it: its code, its call, the facts its words name."""
    for call in calls(path, "Message"):
        if len(call.args) > 1 and isinstance(call.args[0], ast.Constant):
            words = list(templates(path, call.args[1]))
            named = frozenset(field for text in words for _, field, _, _ in Formatter().parse(text) if field)
            yield str(call.args[0].value), call, named


def test_a_message_has_every_fact_that_its_words_name() -> None:
    lacking = []
    for path in python_files("tracker"):
        for code, call, named in told(path):
            given = {one.arg for one in call.keywords if one.arg}
            if len(given) == len(call.keywords) and not named <= given:
                lacking.append(f"{path}:{call.lineno}: {code} names {sorted(named - given)}, is given {sorted(given)}")

    assert lacking == []


def test_codes_are_short_names_with_hyphens() -> None:
    wrong = [
        f"{path}:{call.lineno}: {code}"
        for path in python_files("tracker")
        for code, call, _ in told(path)
        if not CODE.fullmatch(code)
    ]

    assert wrong == []


def test_one_code_says_one_thing() -> None:
    """A code that two rooms use must carry the same facts, or equal codes would not mean the same."""
    facts = defaultdict(set)
    for path in python_files("tracker"):
        for code, call, _ in told(path):
            given = {one.arg for one in call.keywords}
            if None not in given:
                facts[code].add(frozenset(given))

    assert {code: many for code, many in facts.items() if len(many) > 1} == {}


# ---- nobody reads what was said ---------------------------------------------------------------------------------


def readings(module: Collection[ast.AST]) -> Iterator[int]:
    """The lines on which a text that came out of a message is cut, searched or compared."""
    texts = {
        target.id
        for node in module
        if isinstance(node, ast.Assign) and _is_said(node.value, set())
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    yield from (node.lineno for node in module if isinstance(node, ast.expr) and _reads(node, texts))


def _reads(node: ast.expr, texts: set[str]) -> bool:
    """Whether a piece of code compares, cuts or searches a text that was said."""
    if isinstance(node, ast.Compare):
        return any(_is_said(one, texts) for one in (node.left, *node.comparators))
    if isinstance(node, ast.Subscript):
        return _is_said(node.value, texts)
    return isinstance(node, ast.Attribute) and node.attr in READING and _is_said(node.value, texts)


def _is_said(node: ast.expr, texts: set[str]) -> bool:
    """Whether an expression is a text that was said, or the name of one."""
    if isinstance(node, ast.Name):
        return node.id in texts
    if isinstance(node, ast.Attribute):
        return node.attr == "template"
    if isinstance(node, ast.Call) and _name(node.func) == "str" and node.args:
        return isinstance(node.args[0], ast.Attribute) and node.args[0].attr in {"message", "remedy"}
    return isinstance(node, ast.Call) and _name(node.func) in SAYING


@pytest.mark.parametrize(
    "line",
    [
        "say(one.message).partition(': ')",
        "said(one) == 'It melts.'",
        "'melts' in say(one)",
        "say(one)[:20]",
        "str(refusal.message).startswith('line')",
        "text = say(one)\ntext.lower()",
        "one.template == other.template",
    ],
)
def test_the_search_for_reading_knows_every_way_to_do_it(line: str) -> None:
    assert list(readings(list(ast.walk(ast.parse(line)))))


def test_no_code_reads_what_was_said() -> None:
    allowed = {Path("tracker/wording/render.py"), Path("tracker/store/messages.py")}
    found = [
        f"{path}:{line}"
        for path in python_files("tracker")
        if path not in allowed and MAY_SAY.search(text(path))
        for line in sorted(set(readings(nodes(path))))
    ]

    assert found == []


def test_what_decides_says_nothing() -> None:
    """The domain, the store, the forms and the use cases but for paper have no words: they cannot even render."""
    speaking = [
        str(path)
        for path in python_files("tracker")
        if path.parts[1] in {"domain", "store", "forms", "usecases"}
        and not (path.parts[1] == "usecases" and (set(path.parts) | {path.stem}) & set(TELLS_PAPER))
        and any(name.startswith("tracker.wording") for name in _imports(path))
    ]

    assert speaking == []


def _imports(path: Path) -> Iterator[str]:
    for node in nodes(path):
        if isinstance(node, ast.ImportFrom):
            yield node.module or ""
