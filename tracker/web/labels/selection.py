"""Which things a request to the print desk chooses, and what it offers to choose from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import g, request, url_for

from tracker.usecases.labels.choosing import Chosen, choose
from tracker.usecases.labels.document_kinds import Kind
from tracker.usecases.labels.selection import Desk, Heap, offers, pieces_in
from tracker.web.auth import house
from tracker.web.wording import reader
from tracker.wording.render import read


@dataclass(frozen=True, slots=True)
class Choice:
    """A heap of pieces to choose: what it is called, how many they are, and the address that chooses them."""

    name: str
    count: int
    href: str


def desk() -> Desk:
    """The print desk as this request stands at it."""
    return Desk(house().store.read, g.person, house().clock(), reader(), house().tag_address)


def things(kind: Kind, here: Desk) -> Chosen:
    """What this request may print of a kind: all there is, or the pieces that it chooses."""
    return choose(here, kind, _refs(kind, here)) if kind.of_pieces else Chosen(tuple(kind.choices(here)))


def _refs(kind: Kind, here: Desk) -> list[str]:
    """What stands for each piece, out of the form that was sent, or the address.

    A form names all that it offers, so that what is not ticked stays in its list. Of a heap only those come that the
    kind is for.
    """
    if request.form:
        return lines(request.form.getlist("offered")) or lines(request.form.getlist("things"))
    refs = [*lines(request.args.getlist("ref")), *lines(request.args.getlist("codes"))]
    for heap in Heap:
        if asked := request.args.get(heap.value, "").strip():
            refs += kind.takes(here, pieces_in(here, heap, asked))
    return list(dict.fromkeys(refs))


def lines(texts: Sequence[str]) -> list[str]:
    """What was typed or ticked, each once and without what surrounds it."""
    return list(dict.fromkeys(line.strip() for text in texts for line in text.splitlines() if line.strip()))


def heaps(kind: Kind, here: Desk) -> list[tuple[str, list[Choice]]]:
    """The heaps of pieces that this person may choose for a kind of document, under their headings."""
    return [
        (
            read(heading, reader()),
            [Choice(read(one.name, reader()), one.count, _href(kind, one.heap, one.text)) for one in some],
        )
        for heading, some in offers(here)
    ]


def _href(kind: Kind, heap: Heap, text: str) -> str:
    asked: dict[str, Any] = {heap.value: text}
    return url_for("paper.choose", kind=kind.name, **asked)
