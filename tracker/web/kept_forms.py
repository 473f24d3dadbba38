"""A form that was sent after its session had ended: kept through signing in, and shown again as it was filled in.

What was sent goes along in the sign-in page, and into the new session once somebody is signed in. Then the page that
the form came from is shown with every field as it was. Nothing is done until the form is sent again, by whoever
signed in. Files are left out, and so is everything that is secret or belongs to one showing of a page.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from html import escape
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urlsplit

from flask import current_app, request
from werkzeug.exceptions import HTTPException

LONGEST = 100_000
"""Characters of a form that is kept; a longer one is not."""

_OF_ONE_SHOWING = frozenset({"csrf_token", "key", "seen"})
_NEVER = ("/sign-in", "/sign-out", "/password")
"""Addresses whose forms hold passwords, or nothing worth keeping."""

_LEFT_ALONE = frozenset({"hidden", "password", "file", "submit", "button", "image", "reset"})


@dataclass(frozen=True, slots=True)
class KeptForm:
    """What was sent to `path`, from the page at `page`; `had_files` says that files have to be chosen again."""

    path: str
    page: str
    fields: tuple[tuple[str, str], ...]
    had_files: bool = False

    @property
    def values(self) -> dict[str, list[str]]:
        """Every value that was sent, by the name of its field."""
        found: dict[str, list[str]] = {}
        for name, value in self.fields:
            found.setdefault(name, []).append(value)
        return found

    def text(self) -> str:
        """The form as text, for `read_kept`."""
        return json.dumps([self.path, self.page, self.fields, self.had_files], ensure_ascii=False)


def form_sent() -> KeptForm | None:
    """The form that this request brings, if it is worth keeping; None for any other request."""
    fields = tuple((name, value) for name, value in request.form.items(multi=True) if name not in {"csrf_token", "key"})
    if request.method != "POST" or request.path in _NEVER or not fields:
        return None
    kept = KeptForm(request.path, _page_of_form(), fields, bool(request.files))
    return kept if len(kept.text()) <= LONGEST else None


def sent_again() -> KeptForm | None:
    """The form that this request brings with its key, so that sending it again does it once; files are left behind."""
    had_files = any(file.filename for file in request.files.values())
    if form_sent() is None or "key" not in request.form or had_files:
        return None
    fields = tuple((name, value) for name, value in request.form.items(multi=True) if name != "csrf_token")
    return KeptForm(request.full_path.rstrip("?"), request.path, fields)


def read_kept(text: str) -> KeptForm | None:
    """A kept form out of its text; None for text that is no such form, or leads out of the house."""
    try:
        path, page, fields, had_files = json.loads(text[: LONGEST + 1])
        pairs = tuple((str(name), str(value)) for name, value in fields)
    except (ValueError, TypeError, RecursionError):
        return None
    is_ours = all(
        isinstance(one, str) and one.startswith("/") and one.isprintable() and not one.startswith(("//", "/\\"))
        for one in (path, page)
    )
    return KeptForm(path, page, pairs, bool(had_files)) if is_ours else None


def comes_from_here() -> bool | None:
    """Whether a page of this house sent the request, by what the browser says; None where it says nothing."""
    if site := request.headers.get("Sec-Fetch-Site"):
        return site == "same-origin"
    told = request.headers.get("Origin") or request.headers.get("Referer")
    return urlsplit(told).netloc == request.host if told else None


def _page_of_form() -> str:
    """The page that showed the form: the one the browser names, or else the nearest address that can be opened."""
    named = urlsplit(request.headers.get("Referer", ""))
    if named.netloc == request.host and _can_be_opened(named.path):
        return f"{named.path}?{named.query}" if named.query else named.path
    parts = request.path.split("/")
    above = ("/".join(parts[:end]) for end in range(len(parts), 1, -1))
    return next((one for one in above if _can_be_opened(one)), "/")


def _can_be_opened(path: str) -> bool:
    try:
        current_app.create_url_adapter(request).match(path, method="GET")  # type: ignore[union-attr]  # there is a request
    except HTTPException:
        return False
    return path not in _NEVER


# ---- filling a page in ----------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Tag:
    """One start tag of a page: where it stands, what it says, and which form and which select it belongs to."""

    name: str
    attributes: dict[str, str | None]
    start: int
    end: int
    form: int = -1
    select: str = ""
    inside: tuple[int, ...] = ()
    closes: int = 0


class _Reader(HTMLParser):
    """Finds the forms of a page with their fields, and the folded parts around them."""

    def __init__(self, page: str) -> None:
        """Read `page` from its start to its end."""
        super().__init__(convert_charrefs=False)
        self.tags: list[_Tag] = []
        self._lines = [0]
        for line in page.split("\n"):
            self._lines.append(self._lines[-1] + len(line) + 1)
        self._form, self._select, self._folded = -1, "", list[int]()
        self.feed(page)
        self.close()

    def _here(self) -> int:
        line, column = self.getpos()
        return self._lines[line - 1] + column

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a form, a field of one, or a folded part."""
        if tag not in {"form", "input", "select", "option", "textarea", "button", "details"}:
            return
        start, number = self._here(), len(self.tags)
        if tag == "form":
            self._form = number
        elif tag == "select":
            self._select = dict(attrs).get("name") or ""
        one = _Tag(tag, dict(attrs), start, start + len(self.get_starttag_text() or ""), self._form, self._select)
        one.inside = tuple(self._folded)
        self.tags.append(one)
        if tag == "details":
            self._folded.append(number)

    def handle_endtag(self, tag: str) -> None:
        """Note where a form, a select or a folded part ends, and how far the words of a text area reach."""
        if tag == "form":
            self._form = -1
        elif tag == "select":
            self._select = ""
        elif tag == "details" and self._folded:
            self._folded.pop()
        elif tag == "textarea":
            self.tags[-1].closes = self._here()


def filled(page: str, kept: KeptForm) -> str | None:
    """The page with the kept form filled in and unfolded; None where the page has no such form."""
    # Lines are counted as the parser counts them.
    page = page.replace("\r\n", "\n").replace("\r", "\n")
    tags = _Reader(page).tags
    number = _form_meant(tags, kept)
    if number is None:
        return None
    left = {name: list(values) for name, values in kept.values.items()}
    edits = [
        *_unfolded(tags, number),
        *(edit for tag in tags if tag.form == number for edit in _as_it_was(tag, kept.values, left)),
    ]
    for start, end, text in sorted(edits, reverse=True):
        page = page[:start] + text + page[end:]
    return page


def _form_meant(tags: list[_Tag], kept: KeptForm) -> int | None:
    """Which form of a page was sent: one that goes to the same address, with the same hidden fields where it can be."""
    best: tuple[int, int] | None = None
    for number, tag in enumerate(tags):
        if tag.name != "form" or (tag.attributes.get("method") or "").lower() != "post":
            continue
        own = [one for one in tags if one.form == number]
        leads_to = {
            (one.attributes.get("action" if one is tag else "formaction") or "").partition("#")[0] for one in own
        }
        if kept.path not in leads_to:
            continue
        score = sum(_agrees(one, kept.values) for one in own)
        if best is None or score > best[0]:
            best = (score, number)
    return None if best is None else best[1]


def _agrees(tag: _Tag, sent: Mapping[str, list[str]]) -> int:
    """How far a field speaks for its form: a hidden one with what was sent for it, another field that was sent."""
    name = tag.attributes.get("name") or ""
    if tag.name == "input" and tag.attributes.get("type") == "hidden" and name not in _OF_ONE_SHOWING:
        return 2 if (tag.attributes.get("value") or "") in sent.get(name, ()) else -2
    return int(tag.name in {"input", "select", "textarea"} and name in sent)


def _unfolded(tags: list[_Tag], number: int) -> Iterator[tuple[int, int, str]]:
    """The folded parts around a form and in it, opened."""
    around = tags[number].inside
    for place, tag in enumerate(tags):
        if tag.name == "details" and "open" not in tag.attributes and (place in around or tag.form == number):
            yield tag.start, tag.end, _written("details", {**tag.attributes, "open": None})


def _as_it_was(tag: _Tag, sent: Mapping[str, list[str]], left: dict[str, list[str]]) -> Iterable[tuple[int, int, str]]:
    """What to write in place of one field, so that it holds what was sent; `left` are the texts not given out yet."""
    name, value = tag.attributes.get("name") or "", tag.attributes.get("value")
    kind = (tag.attributes.get("type") or "text").lower()
    if tag.name == "option" and tag.select:
        return [_chosen(tag, "selected", is_so=(value or "") in sent.get(tag.select, ()))]
    if tag.name == "input" and kind in {"checkbox", "radio"}:
        return [_chosen(tag, "checked", is_so=(value or "on") in sent.get(name, ()))]
    if not left.get(name):
        return []
    if tag.name == "input" and kind not in _LEFT_ALONE:
        return [(tag.start, tag.end, _written("input", {**tag.attributes, "value": left[name].pop(0)}))]
    if tag.name == "textarea" and tag.closes:
        # A first line break right after the tag is not part of the text.
        return [(tag.end, tag.closes, "\n" + escape(left[name].pop(0)))]
    return []


def _chosen(tag: _Tag, how: str, *, is_so: bool) -> tuple[int, int, str]:
    others = {name: value for name, value in tag.attributes.items() if name != how}
    return tag.start, tag.end, _written(tag.name, {**others, how: None} if is_so else others)


def _written(tag: str, attributes: Mapping[str, Any]) -> str:
    told = "".join(f" {name}" if value is None else f' {name}="{escape(value)}"' for name, value in attributes.items())
    return f"<{tag}{told}>"
