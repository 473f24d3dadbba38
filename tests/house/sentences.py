"""Everything that people read: the marked sentences of templates and Python, and the texts in Markdown."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from babel.messages.extract import extract

from tests.house.manual import MANUAL
from tests.house.tree import TOP, files, text

KEYWORDS = {"_": None, "gettext": None, "ngettext": (1, 2), "Plural": (2, 3)}
"""What marks a sentence for translation, and which of its arguments are sentences."""
METHODS = {".html": "jinja2", ".py": "python"}
OPTIONS = {"extensions": "jinja2.ext.do", "newstyle_gettext": "true"}
TEXTS = ("README.md", "tracker/changes.md", *MANUAL)


@dataclass(frozen=True, slots=True, order=True)
class Said:
    """One text that people read, and where it is written."""

    path: Path
    line: int
    text: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.text}"


@cache
def marked() -> tuple[Said, ...]:
    """Every text that the tool marks for translation."""
    return tuple(
        Said(path, line, one)
        for path in files()
        if path.suffix in METHODS and path.is_relative_to("tracker")
        for line, message, *_ in extract(
            METHODS[path.suffix], io.BytesIO((TOP / path).read_bytes()), KEYWORDS, options=OPTIONS
        )
        for one in ((message,) if isinstance(message, str) else message)
        if one
    )


@cache
def written() -> tuple[Said, ...]:
    """Every paragraph, heading and point of the manual, the README and the list of changes, without code and links."""
    return tuple(Said(Path(name), line, one) for name in TEXTS for line, one in _paragraphs(text(name)))


def sentences(said: Said) -> list[str]:
    """The sentences of one text; a part of one counts as a sentence."""
    return [one for one in re.split(r"(?<=[.!?]) +(?=[A-Z“{%])", said.text.strip()) if one]


def length(sentence: str) -> int:
    """How many words a sentence has; a fact that is put into it counts as one."""
    return len(re.findall(r"(?:%\(\w+\)s|\{[\w:]+\}|[\w'-])+", sentence.replace("%(", " %(").replace("{", " {")))


def _paragraphs(words: str) -> Iterator[tuple[int, str]]:
    """The paragraphs of a Markdown text with the lines on which they begin."""
    bare = re.sub(
        r"^```.*?^```$|^ {4}.*?$", lambda found: "\n" * found[0].count("\n"), words, flags=re.MULTILINE | re.DOTALL
    )
    begins, some = 0, list[str]()
    for number, line in enumerate([*bare.splitlines(), ""], start=1):
        is_new = not line.strip() or re.match(r"\s*(#|[-*] |\d+\. |\|)", line)
        if is_new and some:
            yield begins, _plain(" ".join(some))
            some = []
        if line.strip():
            begins = begins if some else number
            some.append(line.strip())


def _plain(words: str) -> str:
    return re.sub(r"`[^`]*`", "…", re.sub(r"\[([^\]]*)\]\([^)]*\)|[*#]+", lambda found: found[1] or "", words)).strip(
        " -"
    )
