"""Mixed loads: of which firing type each piece in a kiln is, by whose rules it is judged there at the firing's cone."""

from __future__ import annotations

from tracker.domain.firing.firings import Firing
from tracker.domain.pieces.piece import Piece, Stage
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.cone_bands import HOTTEST_BISQUE
from tracker.domain.studio.kilns import Route, RouteKind

MIXES = frozenset({RouteKind.BISQUE, RouteKind.SHELF})
"""The kinds whose ware shares a kiln (common practice): the others pull it hot, or put something on all that is in."""


def may_join(firing: Firing, route: Route) -> bool:
    """Whether pieces of `route` may go into this firing at all; each is then judged at the firing's cone.

    Greenware joins no firing hotter than a bisque: it would come out too dense to take a glaze.
    """
    if route.name == firing.route.name:
        return True
    if route.kind is RouteKind.BISQUE and firing.target > HOTTEST_BISQUE:
        return False
    return {route.kind, firing.route.kind} <= MIXES and firing.kiln.serves(route) and not route.retired


def matures_in(firing: Firing, route: Route, piece: Piece) -> bool:
    """Whether a piece of `route` gets there what its clay needs: the clay's own heat, or no less than it waits for.

    Earthenware that waits for cone 04 stays soft in a bisque to 06 (common practice). Greenware is only bisqued.
    """
    return route.kind is RouteKind.BISQUE or firing.target >= min(route.cone, piece.clay.cone_low)


def stayed_soft(piece: Piece, route: Route) -> bool:
    """Whether a fired piece that waited for `route` never saw that heat, and its clay or its glaze wants more."""
    if piece.fired_to is None or piece.fired_to >= route.cone:
        return False
    return not piece.clay.is_mature_at(piece.fired_to) or bool(piece.too_cool_to_melt(piece.fired_to))


def others_that_join(firing: Firing, catalog: Catalog) -> tuple[Route, ...]:
    """The firing types beside its own from which a firing may take pieces, cool to hot."""
    routes = catalog.routes_by_heat
    return tuple(route for route in routes if route.name != firing.route.name and may_join(firing, route))


def own_route(firing: Firing, piece: Piece, catalog: Catalog) -> Route | None:
    """The firing type of a piece in this firing; None where it waits for none that may join.

    What waits in a queue is of its queue's. Greenware is of the firing's own where that is a bisque, else of the
    coolest bisque that the kiln fires.
    """
    if piece.stage is Stage.GREENWARE:
        types = (catalog.routes[firing.route.name], *others_that_join(firing, catalog))
        return next((route for route in types if route.kind is RouteKind.BISQUE), None)
    if piece.route is None:
        return None
    waits_for = catalog.routes[piece.route]
    return waits_for if may_join(firing, waits_for) else None
