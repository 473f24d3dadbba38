"""The lists of the catalog: one part at a time, searched, sorted and paged by the address."""

from __future__ import annotations

from typing import Any

from flask import request

from tracker.domain.message import Message, _
from tracker.domain.quantities import percent
from tracker.domain.rules.food_standing import glaze_standing, measurement
from tracker.domain.studio.catalog import ThingKind
from tracker.domain.studio.catalog_changes import SHELVES
from tracker.domain.studio.materials import Clay
from tracker.domain.studio.spelling import holds, words_in
from tracker.web.auth import house
from tracker.web.lists import Order, listed
from tracker.web.presenters import Plain
from tracker.web.presenters import catalog as known
from tracker.web.tile_presenters import search_asked, search_shown, tile_shown
from tracker.web.wording import shown

ON_A_PAGE = 10
"""So many fill about two screens of a phone."""


def _heat(thing: Any) -> tuple[int, str]:  # noqa: ANN401 -- a clay, glaze, route or kiln
    """Cool to hot where a thing has a heat, then by name."""
    cone = getattr(thing, "cone", None) or getattr(thing, "cone_high", None)
    return (cone.rank if cone else 0, thing.name.casefold())


_BY_HEAT: Order[Any] = Order(Message("coolest-first", _("coolest first")), _heat)
_BY_NAME: Order[Any] = Order(Message("by-name", _("name")), lambda one: _name(one).casefold())
_ORDERS = {"heat": _BY_HEAT, "name": _BY_NAME}


def catalog_list() -> Plain:
    """The part of the catalog that the address names, the glazes where it names none.

    `part` is its name, `sort` its kind, `counts` how many things in use each part has, `list` a page of them and
    `retired` those that are used no longer; then what is told of each thing beside its own facts.
    """
    part = request.args.get("part", "")
    sort = next((kind for kind, name in SHELVES.items() if name == part), ThingKind.GLAZE)
    part, search, tiles = SHELVES[sort], search_asked(), house().store.read.tiles.best_for()
    things = list(getattr(known(), part).values())
    searching = search_shown(search, known().glazes.values(), tiles)
    if sort is ThingKind.GLAZE:
        things = [one for one in things if search.finds(one, tiles.get(one.name))]
    words = words_in(request.args.get("find", ""))
    retired = [one for one in things if one.retired and (not words or holds(_told(one), words))]
    return {
        "part": part,
        "sort": str(sort),
        "counts": {name: sum(not one.retired for one in getattr(known(), name).values()) for name in SHELVES.values()},
        "list": listed(
            (one for one in things if not one.retired),
            told=_told,
            orders={"name": _BY_NAME} if sort is ThingKind.KILN else _ORDERS,
            kind_of=_kind if sort in {ThingKind.CLAY, ThingKind.ROUTE} else None,
            searched=sort is ThingKind.GLAZE,
            on_a_page=ON_A_PAGE,
        ),
        "retired": sorted(retired, key=_heat),
        "search": searching,
        "absorptions": {clay.name: absorption_in_words(clay) for clay in known().clays.values()},
        "standings": {glaze.name: glaze_standing(glaze, known().practice.regime) for glaze in known().glazes.values()},
        "tiles": {name: tile_shown(tile) for name, tile in tiles.items()},
    }


def _name(thing: Any) -> str:  # noqa: ANN401 -- as above
    return str(getattr(thing, "title", "") or thing.name)


def _kind(thing: Any) -> str:  # noqa: ANN401 -- as above
    return shown(thing.kind)


def _told(thing: Any) -> str:  # noqa: ANN401 -- as above
    """All by which a thing is searched, in one line."""
    kind = _kind(thing) if hasattr(thing, "kind") else ""
    return f"{_name(thing)} {thing.name} {kind} {getattr(thing, 'place', '')}"


def absorption_in_words(clay: Clay) -> Message:
    """What is known of a clay's absorption: by its data sheet, and what was measured."""
    told = [measurement(one) for one in clay.measured]
    if clay.absorption_pct is not None:
        sheet = Message("by-data-sheet", _("{pct} when mature (data sheet)"), pct=percent(clay.absorption_pct))
        told.insert(0, sheet)
    return Message("known-absorption", "{told}", told=tuple(told)) if told else Message("not-known", _("not known"))
