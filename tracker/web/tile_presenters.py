"""Test tiles as the templates want them: addresses, measures, what they show, and words for whoever cannot see them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from flask import request, url_for

from tracker.domain.cones import CONES, Cone
from tracker.domain.firing.heat_work import with_band
from tracker.domain.message import Message, _
from tracker.domain.pieces.photos import LONGEST_SIDE, Size
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.materials import Clay, Glaze, Surface
from tracker.domain.studio.swatches import ColorFamily
from tracker.domain.studio.tiles import MOST_OF_A_GLAZE, GlazeSearch, Tile
from tracker.forms.page_forms import read_form
from tracker.forms.studio.tile_forms import GlazeSearchForm
from tracker.web.auth import house
from tracker.web.presenters import Plain
from tracker.web.wording import said, shown

ASKED = "tile_cone"
"""The field of the form, and of the address after it, with the cone of a tile that was asked about."""


def tile_shown(tile: Tile, clay: Clay | None = None, cone: Cone | None = None) -> Plain:
    """A tile as `macros/tiles.html` shows it: both prints, its page, what it shows, its swatch and color.

    `is_match` says that it was made on that very `clay` at that very `cone`.
    """
    return {
        "stem": tile.stem,
        "glaze": tile.glaze,
        "small": url_for("tiles.picture", stem=tile.stem, size=Size.SMALL.value),
        "large": url_for("tiles.picture", stem=tile.stem, size=Size.LARGE.value),
        "href": url_for("tiles.look", stem=tile.stem),
        "side": min(tile.side, LONGEST_SIDE[Size.SMALL]),
        "large_side": tile.side,
        "alt": said(Message("tile-of", _("{glaze} on {made}"), glaze=tile.glaze, made=_made(tile))),
        "made": said(_made(tile)),
        "swatch": str(tile.swatch),
        "color": shown(tile.color),
        "is_match": tile.was_made_like(clay, cone),
    }


def tiles_of_glaze(glaze: Glaze) -> Plain:
    """What the catalog shows of a glaze's tiles: each of them, and whether and with which choices one may be added."""
    catalog, tiles = house().store.read.catalog(), house().store.read.tiles.of_glaze(glaze.name)
    return {
        "shown": [tile_shown(tile) for tile in tiles],
        "may_add": house().store.shelf is not None and len(tiles) < MOST_OF_A_GLAZE and not glaze.burns_away,
        "clays": [(name, name) for name, clay in sorted(catalog.clays.items()) if not clay.retired],
        "cones": [(str(cone), said(with_band(cone))) for cone in CONES],
        "asked": request.args.get(ASKED, ""),
        "clay": request.args.get("tile_clay", ""),
        "cone": request.args.get(ASKED) or str(glaze.cone_high),
        "atmosphere": request.args.get("tile_air", ""),
        "atmospheres": [(one.value, shown(one)) for one in Atmosphere],
    }


def search_asked() -> GlazeSearch:
    """What the address of this page looks for on the glaze shelf."""
    return read_form(GlazeSearchForm(), request.args)


def search_shown(search: GlazeSearch, glazes: Iterable[Glaze], tiles: Mapping[str, Tile]) -> Plain:
    """The fields of a search, as `search_fields` of `macros/tiles.html` shows them.

    Only the colors and surfaces that some of these glazes have can be chosen; `tiles` are those that tell their color.
    """
    colors, surfaces = {one.color for one in tiles.values()}, {one.surface for one in glazes}
    return {
        "words": search.words,
        "color": search.color,
        "surface": search.surface,
        "is_empty": search.is_empty,
        "colors": [(one.value, shown(one)) for one in ColorFamily if one in colors or one is search.color],
        "surfaces": [(one.value, shown(one)) for one in Surface if one in surfaces or one is search.surface],
    }


def _made(tile: Tile) -> Message:
    """On which clay, at which cone and in which atmosphere."""
    facts = {"clay": tile.clay.name, "cone": str(tile.cone)}
    if tile.atmosphere is None:
        return Message("tile-made", _("{clay}, cone {cone}"), **facts)
    return Message("tile-made-in", _("{clay}, cone {cone}, {atmosphere}"), **facts, atmosphere=tile.atmosphere)
