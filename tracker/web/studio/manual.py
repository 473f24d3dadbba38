"""The manual and the list of changes: Markdown read once, shown as pages and searched by words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

from markdown_it import MarkdownIt
from markdown_it.token import Token
from markupsafe import Markup

HERE = Path(__file__).parents[2]
MANUAL = HERE / "manual"
CONTENTS = "index"
"""The page that lists the others."""

MOST_HITS = 30
_LONGEST_QUESTION = 200
_MOST_WORDS = 8
_SHORT = 3  # "gas" is no plural.
_AROUND = 90
_FILLER = re.compile(
    "a|an|and|are|be|can|did|do|does|for|from|how|i|if|in|is|it|me|my|of|on|or|the|this|to|was|we|what|when|where|which|who|why"
    "|with|you"
)

# The marks between which tables are written from the code; they are for files, not for readers.
_MARK = re.compile(r"^<!-- /?[a-z-]+ -->\n", re.MULTILINE)
_WORD = re.compile(r"[^\W_]+")
_TO_A_PAGE = re.compile(r"([a-z-]+)\.md(#[a-z0-9-]+)?")


@dataclass(frozen=True, slots=True)
class Section:
    """The plain words of a page from one heading to the next; the first one's `anchor` is empty."""

    anchor: str
    heading: str
    text: str


@dataclass(frozen=True, slots=True)
class ManualPage:
    """One page: `html` is what follows its title."""

    name: str
    title: str
    html: Markup
    sections: tuple[Section, ...]


@dataclass(frozen=True, slots=True)
class Hit:
    """A section with words that were looked for; in `snippet` each part says whether it is one of them."""

    page: ManualPage
    section: Section
    snippet: tuple[tuple[str, bool], ...]


@dataclass(frozen=True, slots=True)
class Found:
    """What a search found, the best first, and whether each hit has every word that was looked for."""

    hits: tuple[Hit, ...]
    has_every_word: bool


@cache
def pages() -> dict[str, ManualPage]:
    """Every page of the manual by its name."""
    return {path.stem: page_of(path.stem, path.read_text(encoding="utf-8")) for path in sorted(MANUAL.glob("*.md"))}


def with_cautions(name: str, cautions: str) -> ManualPage:
    """A page of the manual with these cautions, a list in Markdown, in place of those of common practice."""
    text = (MANUAL / f"{name}.md").read_text(encoding="utf-8")
    return page_of(name, _CAUTIONS.sub(lambda _found: f"{cautions}\n", text))


_CAUTIONS = re.compile(r"(?<=<!-- cautions -->\n).*?(?=<!-- /cautions -->)", re.DOTALL)


@cache
def changes() -> ManualPage:
    """What changed, version by version, each part of a version folded under its heading."""
    return page_of("changes", HERE.joinpath("changes.md").read_text(encoding="utf-8"), folds=True)


def page_of(name: str, text: str, *, folds: bool = False) -> ManualPage:
    """The page that Markdown `text` makes. HTML in it is shown as text, never passed on.

    Where it `folds`, what follows each heading of the third rank is opened by that heading.
    """
    markdown = MarkdownIt("commonmark", {"html": False}).enable("table")
    title, rest = _title(markdown.parse(_MARK.sub("", text)))
    sections = tuple(_sections(title, rest))
    _lead_on(rest)
    _fold_tables(rest)
    html = markdown.renderer.render(list(_folded(rest)) if folds else rest, markdown.options, {})
    # The renderer escapes every text and refuses addresses that run something.
    return ManualPage(name, title, Markup(html), sections)  # noqa: S704 -- made by the renderer from files of our own


def search(question: str, among: Iterable[ManualPage]) -> Found:
    """The sections with every word of `question` or a longer one; where none has all, those with most of them."""
    words = _words_of(question)
    wanted = [re.compile(rf"(?<![^\W_]){re.escape(word)}", re.IGNORECASE) for word in words]
    fits = [
        (fit, page, section)
        for page in among
        if page.name != CONTENTS
        for section in page.sections
        if (fit := _fit(page, section, wanted)) > (0, 0)
    ]
    most = max((many for (many, _), *_ in fits), default=0)
    best = sorted((one for one in fits if one[0][0] == most), key=lambda one: one[0], reverse=True)[:MOST_HITS]
    hits = tuple(Hit(page, section, _snippet(section.text, words)) for _, page, section in best)
    return Found(hits, has_every_word=most == len(words))


def _words_of(question: str) -> list[str]:
    """The words looked for, without those that only make a sentence of them; the plural finds the singular too."""
    words = re.findall(r"[^\W_]\w*", question[:_LONGEST_QUESTION].casefold())
    words = [word for word in words if not _FILLER.fullmatch(word)] or words
    return [word[:-1] if len(word) > _SHORT and word.endswith("s") else word for word in words[:_MOST_WORDS]]


def _fit(page: ManualPage, section: Section, wanted: Sequence[re.Pattern[str]]) -> tuple[int, int]:
    """How many of the words a section has, and how much it is about them: first by its heading, then by its page."""
    many = about = own = 0
    for word in wanted:
        in_text, in_heading = min(9, len(word.findall(section.text))), bool(word.search(section.heading))
        in_title = bool(word.search(page.title))
        many += bool(in_text or in_heading or in_title)
        about += 10 * in_heading + 5 * in_title + in_text
        own += in_text + in_heading
    # What fits by the title of its page alone is no better than any other section there.
    return (many, about) if own else (0, 0)


def _snippet(text: str, words: Sequence[str]) -> tuple[tuple[str, bool], ...]:
    """The text around the first of `words`, in parts that alternate between other text and one of the words."""
    either = re.compile(rf"(?<![^\W_])((?:{'|'.join(map(re.escape, words))})\w*)", re.IGNORECASE)
    first = either.search(text)
    start = max(0, first.start() - _AROUND) if first else 0
    end = min(len(text), start + 3 * _AROUND)
    # A snippet begins and ends with a whole word.
    start = text.find(" ", start) + 1 if start else 0
    end = text.rfind(" ", start, end) if end < len(text) else end
    parts = either.split(f"{'… ' if start else ''}{text[start:end]}{' …' if end < len(text) else ''}")
    return tuple((part, bool(place % 2)) for place, part in enumerate(parts) if part)


# ---- from Markdown to a page -------------------------------------------------------------------------------------


def _title(tokens: list[Token]) -> tuple[str, list[Token]]:
    """The page's title, and what follows it."""
    if tokens[0].type != "heading_open" or tokens[0].tag != "h1":
        raise ValueError("A page begins with its title: # Title")
    return _plain(tokens[1]), tokens[3:]


def _sections(title: str, tokens: Sequence[Token]) -> Iterator[Section]:
    """The sections of a page; on the way each heading is given the anchor of its section."""
    anchor, heading = "", title
    words: list[str] = []
    for token, inside in zip(tokens, [*tokens[1:], None], strict=True):
        if token.type == "heading_open" and inside:
            yield Section(anchor, heading, " ".join(words))
            heading, words = _plain(inside), []
            anchor = "-".join(_WORD.findall(heading.casefold()))
            token.attrSet("id", anchor)
        elif token.type in {"inline", "fence", "code_block"}:
            words.append(_plain(token))
    yield Section(anchor, heading, " ".join(words))


def _plain(token: Token) -> str:
    """The words of a token without their marks."""
    children = token.children or [token]
    return " ".join("".join(" " if child.type.endswith("break") else child.content for child in children).split())


def _lead_on(tokens: Iterable[Token]) -> None:
    """Let links to other files of the manual lead to where they are shown."""
    for child in (child for token in tokens for child in token.children or []):
        if found := _TO_A_PAGE.fullmatch(str(child.attrs.get("href", ""))):
            child.attrSet("href", f"/help/{found[1]}{found[2] or ''}".removesuffix(f"/{CONTENTS}"))


def _folded(tokens: Iterable[Token]) -> Iterator[Token]:
    """The same tokens with each part of the third rank in a `details`, and its heading in its `summary`."""
    is_open = False
    for token in tokens:
        starts = token.type == "heading_open"
        if starts and is_open:
            yield Token("details_close", "details", -1, block=True)
            is_open = False
        if starts and token.tag == "h3":
            is_open = True
            yield Token("details_open", "details", 1, block=True, attrs={"class": "more"})
            yield Token("summary_open", "summary", 1, block=True)
        yield token
        if token.type == "heading_close" and is_open and token.tag == "h3":
            yield Token("summary_close", "summary", -1, block=True)
    if is_open:
        yield Token("details_close", "details", -1, block=True)


def _fold_tables(tokens: Sequence[Token]) -> None:
    """Let each row of a table become a card where the table has no room: its first cell the head, the others named."""
    labels: list[str] = []
    column = 0
    for before, token in pairwise(tokens):
        match before.type, token.type:
            case _, "table_open":
                labels = []
                token.attrSet("class", "folds")
            case _, "tr_open":
                column = 0
            case "th_open", "inline":
                labels.append(_plain(token))
            case "td_open", "inline":
                before.tag = "td" if column else "th"
                before.attrs = {"data-label": labels[column]} if column else {"scope": "row"}
                # On a card the words of a cell stand together beside the name of their column.
                token.children = [
                    Token("span_open", "span", 1),
                    *(token.children or []),
                    Token("span_close", "span", -1),
                ]
            case "inline", "td_close":
                token.tag = "td" if column else "th"
                column += 1
            case _:
                pass
