"""The frame around every page: where its menu leads, six entries at most, by what the reader may open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flask import request, url_for

from tracker.domain.message import Message, _
from tracker.domain.studio.people import Person, Right

MOST_ENTRIES = 6
"""How many entries a menu has at most; a group counts as one."""


@dataclass(frozen=True, slots=True)
class Place:
    """A page that the menu leads to, and the right that shows it."""

    right: Right
    endpoint: str
    label: Message


@dataclass(frozen=True, slots=True)
class Group:
    """Places that share one entry of the menu; a single one stands there under its own name."""

    label: Message
    places: tuple[Place, ...]


MENU = (
    Group(Message("menu-today", _("Today")), (Place(Right.MOVE, "today.today", Message("place-today", _("Today"))),)),
    Group(
        Message("menu-scan", _("Scan and move")),
        (Place(Right.MOVE, "scanning.scan", Message("place-scan", _("Scan and move"))),),
    ),
    Group(
        Message("menu-pieces", _("Pieces")),
        (
            Place(Right.REGISTER, "pieces.mine", Message("place-mine", _("My pieces"))),
            Place(Right.REGISTER, "pieces.new", Message("place-new", _("New piece"))),
            Place(Right.SEE_ALL, "shelves.shelves", Message("place-shelves", _("Shelves"))),
            Place(Right.SEE_ALL, "whose.whose", Message("place-whose", _("Whose is this?"))),
        ),
    ),
    Group(
        Message("menu-kilns", _("Kilns")),
        (
            Place(Right.MOVE, "waiting.waiting", Message("place-waiting", _("Waiting"))),
            Place(Right.FIRE, "firings.firings", Message("place-firings", _("Firings"))),
            Place(Right.MOVE, "outdoor.outdoor", Message("place-outdoor", _("Outdoor kiln"))),
        ),
    ),
    Group(
        Message("menu-pickup", _("Pickup")),
        (Place(Right.HAND_OVER, "pickup.pickup", Message("place-pickup", _("Pickup"))),),
    ),
    Group(
        Message("menu-studio", _("Studio")),
        (
            Place(Right.DECIDE, "questions.questions", Message("place-questions", _("Questions"))),
            Place(Right.MOVE, "paper.paper", Message("place-paper", _("Print desk"))),
            Place(Right.CATALOG, "catalog.catalog", Message("place-catalog", _("Catalog"))),
            Place(Right.PEOPLE, "people.people", Message("place-people", _("People"))),
        ),
    ),
)
"""What the head of each page leads to."""


@dataclass(frozen=True, slots=True)
class Link:
    """A place as the menu shows it; `is_here` while its page is open."""

    label: Message
    href: str
    is_here: bool


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the menu: a single link, or a group that opens; `is_near` while a page of its kind is open."""

    label: Message
    links: tuple[Link, ...]
    is_near: bool


def menu_of(person: Person) -> tuple[Entry, ...]:
    """The menu of this person: what they may open, in groups where it would be more than six entries."""
    allowed = [(group, [one for one in group.places if person.may(one.right)]) for group in MENU]
    if sum(len(places) for _group, places in allowed) <= MOST_ENTRIES:
        return tuple(_entry(one.label, (one,)) for _group, places in allowed for one in places)
    return tuple(
        _entry(group.label if len(places) > 1 else places[0].label, places) for group, places in allowed if places
    )


def _entry(label: Message, places: Sequence[Place]) -> Entry:
    near = request.blueprint in {one.endpoint.partition(".")[0] for one in places}
    links = tuple(Link(one.label, url_for(one.endpoint), request.endpoint == one.endpoint) for one in places)
    return Entry(label, links, near)
