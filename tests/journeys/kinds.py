"""Which kinds of elements a page has: pages of one template that differ by nothing else need looking at once."""

from __future__ import annotations

from collections import Counter
from html.parser import HTMLParser

_NEVER_CLOSED = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
_SAID = {"class", "type", "role", "lang", "scope", "open", "hidden", "disabled", "checked", "selected", "tabindex"}
"""Attributes whose value is part of a kind; of others, whether they are there and say anything."""
_POINTS = {"for", "aria-labelledby", "aria-describedby", "aria-controls", "list", "form"}
"""Attributes that name other elements by their ids."""
_HEADINGS = {f"h{level}" for level in range(1, 7)}


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.kinds: set[object] = set()
        self.ids: Counter[str] = Counter()
        self.pointed: list[tuple[str, str, str]] = []
        self._path: list[tuple[str, str]] = []
        self._heading = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        attributes = tuple(sorted((name, value if name in _SAID else bool(value)) for name, value in told.items()))
        self.kinds.add((*self._path, tag, attributes))
        if "id" in told:
            self.ids[told["id"]] += 1
        self.pointed += [(tag, name, one) for name in told.keys() & _POINTS for one in told[name].split()]
        if tag in _HEADINGS:
            self.kinds.add((self._heading, tag))
            self._heading = tag
        if tag not in _NEVER_CLOSED:
            self._path.append((tag, told.get("class", "")))

    def handle_endtag(self, tag: str) -> None:
        while self._path and self._path.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.kinds.add((*self._path, "text"))


def kinds_of(html: str) -> set[object]:
    """The kinds of elements that a page is made of.

    A kind is an element with its attributes and its place among the elements around it, that it has text, the heading
    before a heading, an id that is there twice, and whether what an attribute points to is there.
    """
    reader = _Reader()
    reader.feed(html)
    twice = {("twice", name) for name, many in reader.ids.items() if many > 1}
    return reader.kinds | twice | {(tag, name, one in reader.ids) for tag, name, one in reader.pointed}
