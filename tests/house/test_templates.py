"""Templates show and say: every word of theirs is marked for translation, and their lines can be read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from jinja2 import Environment

from tests.house.tree import files, text

LONGEST = 160
TEMPLATES = [path for path in files() if path.suffix == ".html" and path.is_relative_to("tracker/web/templates")]
_WRITTEN_ELSEWHERE = Path("tracker/web/static/reader")
"""The reader of barcodes, shipped as it came."""
SCRIPTS = [
    path
    for path in files()
    if path.suffix == ".js"
    and path.is_relative_to("tracker/web/static")
    and not path.is_relative_to(_WRITTEN_ELSEWHERE)
]
SPOKEN = {"alt", "aria-label", "placeholder", "title"}
"""The attributes that people read or hear."""
UNMARKED = re.compile(r"(?<![&\w])[A-Za-z][a-z]+")
NOT_WORDS = {"Footring", "mm", "kg", "kWh"}
"""Names and units that are the same in every language."""
KEYS = {"Enter", "Escape", "Tab"}
"""What a browser calls the keys."""
TAG = re.compile(r"<(?P<close>/?)(?P<name>[!a-zA-Z][\w-]*)|>|(?P<attribute>[\w-]+)\s*=\s*(?P<quote>[\"'])|[\"']")


def unmarked(source: str) -> Iterator[tuple[int, str]]:
    """Every word that a template says itself outside `_()`, with its line."""
    environment = Environment(extensions=["jinja2.ext.i18n", "jinja2.ext.do"], autoescape=True)
    where = _Where()
    for line, kind, value in environment.lex(source):
        if kind == "data":
            for word in where.spoken(value):
                yield line, word


class _Where:
    """Whether one is in the text of a page, inside a tag or in an attribute's value, across Jinja's own words."""

    def __init__(self) -> None:
        self._attribute = ""
        self._quote = ""
        self._in_tag = False
        self._silent = False

    def spoken(self, data: str) -> list[str]:
        """The words in a piece of a page that are read or heard."""
        said, at = "", 0
        for found in TAG.finditer(data):
            said += self._heard(data[at : found.start()])
            at = found.end()
            said += self._step(found)
        said += self._heard(data[at:])
        return [word for word in UNMARKED.findall(said) if word not in NOT_WORDS]

    def _heard(self, part: str) -> str:
        if self._quote:
            return part if self._attribute in SPOKEN else ""
        return "" if self._in_tag or self._silent else part

    def _step(self, found: re.Match[str]) -> str:
        """Go on past one mark of HTML; what turns out to be text is given back."""
        mark = found[0]
        if self._quote:
            if mark.endswith(self._quote):
                self._quote = ""
            return ""
        if self._in_tag:
            self._in_tag = mark != ">"
            if found["quote"]:
                self._attribute, self._quote = found["attribute"], found["quote"]
            return ""
        if found["name"]:
            self._in_tag = True
            self._silent = found["name"] in {"script", "style"} and not found["close"]
            return ""
        return "" if self._silent else mark


def sentences_in_script(script: str) -> list[str]:
    """Every text of a script that people would read: one that begins like a sentence or ends like one."""
    code = re.sub(r"/\*.*?\*/|(?<![:\"'])//[^\n]*", "", script, flags=re.DOTALL)
    texts = [plain or pieced for plain, pieced in re.findall(r"\"([^\"\n]*)\"|`([^`]*)`", code)]
    return [
        one
        for one in texts
        if one not in KEYS and re.search(r"^[A-Z][a-z]+(?: |$)|[a-z]\.(?: |$)|…|\} [a-z]+ [a-z]", one)
    ]


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("<p>Fire it.</p>", ["Fire", "it"]),
        ('<p>{{ _("Fire it.") }}</p>', []),
        ('<a title="Go on" class="btn main" href="/there">{{ word }}</a>', ["Go", "on"]),
        ("<p{% if late %} class='late'{% endif %}>{{ when }} ago</p>", ["ago"]),
        ("<script>let words = 1;</script>", []),
    ],
)
def test_the_search_for_unmarked_words_finds_them(source: str, words: list[str]) -> None:
    assert [word for _, word in unmarked(source)] == words


@pytest.mark.parametrize("path", TEMPLATES, ids=str)
def test_every_word_of_a_page_is_marked_for_translation(path: Path) -> None:
    assert [f"{path}:{line}: {word}" for line, word in unmarked(text(path))] == []


@pytest.mark.parametrize("path", TEMPLATES, ids=str)
def test_a_line_of_a_template_can_be_read_at_once(path: Path) -> None:
    assert [number for number, line in enumerate(text(path).splitlines(), 1) if len(line) > LONGEST] == []


@pytest.mark.parametrize(
    ("script", "words"),
    [
        ('say("Sent."); // "Not this."', ["Sent."]),
        ("say(`${many} pieces are left.`)", ["${many} pieces are left."]),
        ('word = "Sending"', ["Sending"]),
        ('if (event.key === "Enter") place.querySelector("[data-firing] .word")', []),
    ],
)
def test_the_search_for_sentences_in_a_script_finds_them(script: str, words: list[str]) -> None:
    assert sentences_in_script(script) == words


@pytest.mark.parametrize("path", SCRIPTS, ids=str)
def test_a_script_says_only_what_its_template_hands_over(path: Path) -> None:
    assert sentences_in_script(text(path)) == []
