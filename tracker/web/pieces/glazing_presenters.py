"""The glazing page made ready for its template: glazes with their tiles, the layers, and the firings to ask for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import groupby
from typing import Any

from tracker.domain.findings import Finding
from tracker.domain.message import Choice, Message, _
from tracker.domain.pieces.layers_off import may_come_off
from tracker.domain.pieces.piece import WISHED_AT, Piece
from tracker.domain.pieces.wishes import off_its_cart
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route
from tracker.domain.studio.materials import Clay, Glaze
from tracker.domain.studio.tiles import Tile
from tracker.store.pieces.queries import PiecePage, PieceRow
from tracker.store.rules.queries import QuestionRow
from tracker.usecases.pieces.actions import first_to_ask
from tracker.usecases.pieces.glaze_shelf import SAY_WHY, Candidate, sorted_shelf, usual_zone
from tracker.usecases.pieces.ways import ways_for
from tracker.usecases.pieces.wishes import is_put_away, place_for, shelf_of, wrong_cart
from tracker.usecases.studio.cautions import of_applying
from tracker.web.auth import house
from tracker.web.piece_presenters import ways_shown
from tracker.web.tile_presenters import tile_shown
from tracker.web.wording import reader, said, shown
from tracker.wording.render import listed

Plain = dict[str, Any]

SHOWN_AT_ONCE, SHOWN_OVER_OTHERS, SHOWN_WHILE_ASKED, SHOWN_BESIDE_ONE = 9, 6, 3, 1
"""How many glazes are shown before the rest is folded, three to a row on a phone: fewer where layers are on already or
the instructor was asked, and no other where something is told of one, so that the page stays three screens long."""


# ---- the glaze shelf -------------------------------------------------------------------------------------------


def tiles_for(clay: Clay, candidates: Iterable[Candidate]) -> Mapping[str, Tile]:
    """The tile of each glaze that shows best how it comes out on this clay, in the firing it would go to."""
    wanted = {one.name: one.cone if one.can_go_on else None for one in candidates}
    best = {cone: house().store.read.tiles.best_for(clay, cone) for cone in set(wanted.values())}
    return {name: best[cone][name] for name, cone in wanted.items() if name in best[cone]}


def shelf_shown(
    candidates: Sequence[Candidate],
    tiles: Mapping[str, Tile],
    piece: Piece,
    *,
    picked: str,
    is_searched: bool,
    most: int,
    can_glaze: bool,
) -> Plain:
    """The groups of the glaze shelf: `first` at once, then `more`, `ask`, `after_bisque` and `never` by reason, folded.

    The glaze that is picked comes first of all. `most` are shown at once; what somebody searched for is shown whole.
    Where nothing can go on unasked, what needs the instructor's approval is shown at once.
    """
    well = {one.name for one in candidates if one.name in tiles and tiles[one.name].was_made_like(piece.clay, one.cone)}
    groups = sorted_shelf(candidates, well)
    practice = house().store.read.catalog().practice
    asked = _asked_before(candidates)

    def told(some: Iterable[Candidate]) -> list[Plain]:
        return [
            {
                "name": one.name,
                "cones": one.cones,
                "short": one.cones if one.glaze.burns_away else cones_alone(one.glaze),
                "verdict": one.verdict,
                "findings": one.findings,
                "leaves": one.leaves,
                "closes": one.closes,
                "facts": said(_line_of(one)),
                "how": one.how,
                "food": one.food,
                "bucket": one.glaze.bucket,
                "reason": one.reason if not one.can_go_on else None,
                "runs": one.is_runny,
                "zone": usual_zone(piece, one.glaze),
                "words": f"{one.name} {one.glaze.color}".casefold(),
                "surface": one.glaze.surface,
                "color": tiles[one.name].color if one.name in tiles else "",
                "tile": tile_shown(tiles[one.name], piece.clay, one.cone) if one.name in tiles else None,
                "asked": asked.get(one.name, ()),
                "cautions": of_applying(one.glaze, practice),
                "is_picked": one.name == picked,
                "may_take": can_glaze and one.can_go_on and one.goes_on_now,
            }
            for one in some
        ]

    meant = [one for one in (*groups.can_go, *groups.ask_first) if one.name == picked]
    now = [*meant, *(one for one in groups.can_go or groups.ask_first if one not in meant)]
    many = len(now) if is_searched else most
    return {
        "first": told(now[:many]),
        "more": told(now[many:]),
        "ask": told(one for one in groups.ask_first if one not in meant) if groups.can_go else [],
        "after_bisque": told(groups.after_bisque),
        "never": [
            (head, [(why, told(some), head not in SAY_WHY and not why) for why, some in _by_reason(many, head)])
            for head, many in groups.never.items()
        ],
        "never_count": sum(map(len, groups.never.values())),
    }


def _by_reason(members: Sequence[Candidate], heading: Message) -> list[tuple[tuple[Finding, ...], Sequence[Candidate]]]:
    """The refused glazes under a heading: those that the very same is said of together, then the others one by one."""
    if heading in SAY_WHY:
        return [((), members)]
    alike: dict[tuple[Finding, ...], list[Candidate]] = {}
    for one in members:
        alike.setdefault(one.findings, []).append(one)
    shared = [(why, many) for why, many in alike.items() if len(many) > 1]
    alone = [many[0] for many in alike.values() if len(many) == 1]
    return [*shared, *([((), alone)] if alone else [])]


def _line_of(one: Candidate) -> Message:
    """What to know before one reaches for it, in one line."""
    facts = listed([said(fact) for fact in one.facts], reader(), style="unit") if one.facts else ""
    return Message("glaze-facts", "{facts:capital}", facts=facts)


def _asked_before(candidates: Iterable[Candidate]) -> Mapping[str, list[QuestionRow]]:
    """The answers that are pinned to each glaze, by its name."""
    asked: dict[str, list[QuestionRow]] = {}
    for row in house().store.read.questions.pinned(glazes_named=[one.name for one in candidates]):
        asked.setdefault(row.pinned_glaze or "", []).append(row)
    return asked


def most_shown(piece: Piece, *, is_asked: bool, is_told: bool) -> int:
    """How many glazes are shown at once; `is_told` where one was scanned, or something stands against one."""
    if is_told:
        return SHOWN_BESIDE_ONE
    return SHOWN_WHILE_ASKED if is_asked else SHOWN_OVER_OTHERS if piece.layers else SHOWN_AT_ONCE


# ---- the layers ------------------------------------------------------------------------------------------------


def layers_shown(piece: Piece, *, may_come_off: bool = False) -> list[Plain]:
    """The layers of a piece as the macro `layers` shows them, the first first; alike ones that follow are one line.

    `place` is the number of the uppermost of a line, counted from 0, and None where it can't be taken off.
    """
    lines = []
    for _key, many in groupby(enumerate(piece.layers), key=lambda one: (one[1].glaze, one[1].zone)):
        places = list(many)
        place, layer = places[-1]
        kind = Message("burns-away", _("burns away")) if layer.glaze.burns_away else cones_alone(layer.glaze)
        count = Message("layers-alike", _("{count} layers"), count=len(places)) if len(places) > 1 else None
        is_loose = may_come_off and layer_may_come_off(piece, place)
        lines.append(
            {
                "name": layer.glaze.name,
                "zone": layer.zone,
                "where": shown(layer.zone),
                "kind": said(kind),
                "how": said(count),
                "place": place if is_loose else None,
                "is_covered": is_covered(piece, place),
            }
        )
    return lines


def cones_alone(glaze: Glaze) -> Message:
    """The cones that a glaze is made for, without their temperatures, where there is little room."""
    low, high = str(glaze.cone_low), str(glaze.cone_high)
    words = Choice("is_one", {"True": _("cone {low}"), "False": _("cone {low} to {high}")})
    return Message("cones-alone", words, low=low, high=high, is_one=str(low == high))


def is_covered(piece: Piece, place: int) -> bool:
    """Whether another layer went on over the one at this place."""
    return any(one.zone.meets(piece.layers[place].zone) for one in piece.layers[place + 1 :])


def layer_may_come_off(piece: Piece, place: int) -> bool:
    """Whether the layer at this place can be taken off."""
    return may_come_off(piece, piece.layers[place])


# ---- where it should be fired ----------------------------------------------------------------------------------


def firings_shown(page: PiecePage, catalog: Catalog, now: datetime) -> Plain | None:
    """The firings that take a piece as it is, the others, and which one its maker asked for; None where it is late.

    Each open firing has its `shelf`, where the piece is put for it, and what says that it mends nothing (`idle`).
    `to_ask` is the one to ask the instructor about.
    """
    piece = page.piece
    if piece.stage not in WISHED_AT:
        return None
    fit = {route.name for route in catalog.routes_by_heat if piece.may_wait_for(route)}
    # A question about something else keeps it out of a kiln, but not from having a wish.
    seen = replace(piece.at(now), has_question=False)
    ways = [way for way in ways_for(seen, catalog, page.leaves, page.questions) if way.route in fit]
    open_ways = [way for way in ways if way.is_open]
    idle = {way.route: [one.message for one in way.idle] for way in open_ways}
    shelves = {name: shelf_of(catalog.route(name), piece) for name in fit}
    asked = next((row.route for row in page.questions if row.answered_at is None and row.route), None)
    wished = next((way.route for way in open_ways if _is_wished(page, way.route)), None)
    cart = wrong_cart(piece, catalog, wished)
    to_ask = first_to_ask(ways, page.questions) if piece.has_glaze else ""
    return {
        # A firing that it was asked for and that takes it says so itself.
        "off": _off(cart, piece, [catalog.route(way.route) for way in open_ways]) if cart and wished is None else None,
        "is_held": piece.has_question,
        "open": [
            way
            | {"shelf": shelves[way["route"]], "is_wished": _is_wished(page, way["route"]), "idle": idle[way["route"]]}
            for way in ways_shown(open_ways)
        ],
        "closed": ways_shown([way for way in ways if not way.is_open], piece),
        "to_ask": next((way for way in ways if way.route == to_ask), None),
        "asked": catalog.routes[asked].title if asked and asked in catalog.routes else None,
        "wish": wish_shown(page.row, catalog),
    }


def _off(cart: str, piece: Piece, open_routes: Sequence[Route]) -> Message:
    """What to do with a piece on a cart that it isn't asked for: a firing of that cart may still be asked for."""
    here = next((route for route in open_routes if is_put_away(piece, route)), None)
    if here is None:
        return off_its_cart(cart)
    words = _("It's on {cart}. Ask for {firing}, or put it on a ware shelf.")
    return Message("ask-or-off-its-cart", words, cart=cart, firing=here.title)


def kept_at(piece: Piece, catalog: Catalog) -> Message:
    """Where a piece is kept while a question on it is open: on its shelf or another one, and on no cart."""
    cart = wrong_cart(piece, catalog)
    if cart:
        return off_its_cart(cart)
    if piece.shelf:
        return Message("stays-on-its-shelf", _("Leave it on its shelf."))
    return Message("onto-a-ware-shelf", _("Put it on a ware shelf."))


def _is_wished(page: PiecePage, route: str) -> bool:
    return page.row.wish is not None and page.row.wish.route == route


def wish_shown(row: PieceRow, catalog: Catalog) -> Plain | None:
    """Where somebody asked that a piece be fired, who and when, and where it is put; None where nobody did."""
    if row.wish is None or row.piece.stage not in WISHED_AT or row.wish.route not in catalog.routes:
        return None
    route = catalog.routes[row.wish.route]
    return {
        "firing": route.title,
        "by": row.wish.by,
        "at": row.wish.at,
        "shelf": shelf_of(route, row.piece),
        "place": place_for(route),
        "is_put_away": is_put_away(row.piece, route),
        "route": route.name,
    }
