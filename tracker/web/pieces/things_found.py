"""What a search finds beside pieces, people and shelves: glazes, clays, kilns and firings, by the reader's rights."""

from __future__ import annotations

from flask import g, url_for

from tracker.domain.message import Message, Plural, _
from tracker.domain.outdoor.pull_heats import fired_to
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Kiln, Route, RouteKind
from tracker.domain.studio.materials import Clay, Glaze
from tracker.domain.studio.people import Right
from tracker.domain.studio.spelling import holds
from tracker.store.firing.queries import FiringRow
from tracker.usecases.pieces import glaze_shelf as shelf
from tracker.web.auth import house
from tracker.web.presenters import Plain, catalog, route_title
from tracker.web.wording import day, reader, said
from tracker.wording.render import listed, read, whole_day

_MOST_OF_A_KIND = 12
_MOST_FIRINGS = 3
_MOST_LOOKED_THROUGH = 500
"""So many firings are looked through, the newest first; an older one is found by its number on the page of firings."""


def glazes_found(words: tuple[str, ...]) -> list[Glaze]:
    """The glazes with these words in their names."""
    return [one for one in catalog().glazes.values() if holds(one.name, words)]


def glazes_shown(found: list[Glaze]) -> list[Plain]:
    """The first of these glazes as a list shows them."""
    return [_material("glaze", one) for one in found[:_MOST_OF_A_KIND]]


def clays_shown(words: tuple[str, ...]) -> list[Plain]:
    """The clays with these words in their name or their kind."""
    found = [one for one in catalog().clays.values() if holds(f"{one.name} {read(one.kind, reader())}", words)]
    return [_material("clay", one) for one in found[:_MOST_OF_A_KIND]]


def kilns_shown(words: tuple[str, ...]) -> list[Plain]:
    """The kilns with these words in their name or place, for whoever fires them."""
    if not g.person.may(Right.FIRE):
        return []
    found = [one for one in catalog().kilns.values() if holds(f"{one.name} {one.place}", words)]
    return [_kiln(one) for one in found[:_MOST_OF_A_KIND]]


def queues_shown(words: tuple[str, ...]) -> list[Plain]:
    """The firing types with these words in their names: what waits for them that one may see."""
    if not words:
        return []
    moves, known = g.person.may(Right.MOVE), catalog()
    found = [
        one for one in (known.queues if moves else known.routes_by_heat) if holds(f"{one.title} {one.name}", words)
    ]
    return [_queue(one) if moves else _firing_type(one) for one in found]


def _queue(route: Route) -> Plain:
    says = said(Message("queue-of-firing", _("what waits for it")))
    return {"name": route.title, "says": says, "href": url_for("waiting.waiting", route=route.name)}


def _firing_type(route: Route) -> Plain:
    """A firing type for a maker: its heat, and how many of their pieces wait for it."""
    own = house().store.read.pieces.of(g.person.id)
    waits = sum(
        one.piece.stage is Stage.GREENWARE if route.kind is RouteKind.BISQUE else one.piece.route == route.name
        for one in own
    )
    words = Plural(
        "count",
        "{heat:capital}. {count} of your pieces is waiting.",
        "{heat:capital}. {count} of your pieces are waiting.",
    )
    heat = fired_to(route, catalog().practice.outdoors)
    says = said(Message("own-pieces-waiting", words, heat=heat, count=waits))
    return {"name": route.title, "says": says, "href": url_for("pieces.mine", find=route.title) if waits else ""}


def firings_shown(words: tuple[str, ...]) -> tuple[list[Plain], int]:
    """The newest firings of which each word tells the number, kiln, type or day, and how many there are."""
    if not words or not g.person.may(Right.FIRE):
        return [], 0
    rows, known = house().store.read.firings.listed(open_only=False, limit=_MOST_LOOKED_THROUGH), catalog()
    found = [row for row in rows if holds(_told_of(row, known), words)]
    return [_firing(row, known) for row in found[:_MOST_FIRINGS]], len(found)


def _material(sort: str, one: Glaze | Clay) -> Plain:
    href = url_for("catalog.thing", sort=sort, name=one.name) if g.person.may(Right.CATALOG) else ""
    return {"name": one.name, "says": said(shelf.cones_of(one)), "retired": one.retired, "href": href}


def _kiln(one: Kiln) -> Plain:
    titles = [route.title for route in catalog().routes.values() if route.name in one.routes]
    in_catalog = g.person.may(Right.CATALOG)
    if in_catalog:
        there = url_for("catalog.thing", sort="kiln", name=one.name)
    else:
        there = url_for("outdoor.outdoor") if one.outdoor else url_for("firings.firings", kind=one.name)
    return {"name": one.name, "says": listed(titles, reader()), "retired": one.retired, "href": there}


def _firing(row: FiringRow, known: Catalog) -> Plain:
    return {
        "id": row.id,
        "route": route_title(row.route, known),
        "kiln": row.kiln,
        "stage": row.stage,
        "day": day(row.last_at),
        "href": url_for("firings.firing", number=row.id),
    }


def _told_of(row: FiringRow, known: Catalog) -> str:
    """All by which a firing is looked up, in one line; its day in words and in figures."""
    at = row.last_at.astimezone(reader().zone)
    days = (day(at), whole_day(at, reader()), at.date().isoformat())
    name = said(Message("firing-called", _("Firing {number}"), number=str(row.id)))
    cone = said(Message("cone-called", _("cone {cone}"), cone=str(row.counted)))
    return " ".join((name, row.kiln, route_title(row.route, known), cone, *days))
