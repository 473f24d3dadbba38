"""What `footring judge` is asked: one line of JSON, a piece and a route, and one line of JSON in answer."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from tracker.domain.pieces.piece import Build, Foot, Use, Ware
from tracker.domain.refusals import Unusable
from tracker.domain.studio.kilns import COMMON_ROUTES, Atmosphere, Kiln, Room, Route
from tracker.domain.studio.materials import LOWEST_HEAT, Clay, ClayKind, Family, FoodStanding, Glaze, Layer, Trait, Zone
from tracker.forms.plain_values import (
    Shape,
    Wrong,
    choice,
    kind_of,
    listed,
    millimetres,
    must_rise,
    number,
    read_cone,
    read_cone_or_nothing,
    read_flag,
    read_name,
    shown,
)
from tracker.forms.strict_json import parsed, where_and_what

LONGEST_LINE = 1_000_000
"""Characters in a line; no piece needs a thousandth of it."""

MOST_MM = 5_000
"""The longest measure of a piece in mm; no kiln of a teaching studio is as large (common practice)."""

MOST_G = 500_000
"""The heaviest piece in g; nobody lifts half of it alone (common practice)."""

_MOST_LAYERS = 40
_MOST_CONTAINERS = 100


@dataclass(frozen=True, slots=True)
class WhatIf:
    """One question: whether this ware may go this way, in this kiln where one is told of."""

    ware: Ware
    route: Route
    kiln: Kiln | None = None


def read_what_if(line: str) -> WhatIf:
    """What `line` asks about; `Unusable` with one sentence when it makes no sense.

    Where a key is left out nobody has said, and its rules are not asked. Clay and every glaze need their cones, unless
    nobody can name them (kind "unknown", family "outside"): they are taken for the lowest-firing of their kind.
    """
    try:
        values = _LINE.read(parsed(line, longest=LONGEST_LINE))
    except Wrong as wrong:
        raise Unusable([where_and_what(wrong)]) from None
    ware, route, kiln = values["piece"], values["route"], values.get("kiln")
    if kiln is None:
        return WhatIf(ware, route)
    # An empty list of containers says that there are none, so none fits.
    if kiln.get("containers") == ():
        ware = replace(ware, container_fits=False)
    return WhatIf(ware, route, Kiln(**{"name": "this kiln", "routes": frozenset({route.name}), **kiln}))


# ---- the shapes, from the inside out ---------------------------------------------------------------------------


def _with_cones(values: dict[str, Any], *, nameless: bool) -> dict[str, Any]:
    """The values of a clay or glaze with both its cones in their order, or the lowest where nobody can name it."""
    if "cone_low" not in values and "cone_high" not in values and nameless:
        values["cone_low"], values["cone_high"] = LOWEST_HEAT
    for key in ("cone_low", "cone_high"):
        if key not in values:
            raise Wrong(f'"{key}" is missing.')
    must_rise(values["cone_low"], values["cone_high"])
    return values


def _clay(raw: object) -> Clay:
    values = _CLAY.read(raw)
    values.setdefault("name", "This clay")
    return Clay(**_with_cones(values, nameless=values["kind"] is ClayKind.UNKNOWN))


def _glaze(raw: object) -> Glaze:
    values = _GLAZE.read(raw)
    values.setdefault("name", "This glaze")
    values.setdefault("food", None)
    return Glaze(**_with_cones(values, nameless=values["family"] is Family.OUTSIDE))


def _traits(raw: object) -> frozenset[Trait]:
    return frozenset(_listed_traits(raw))


def _trait(raw: object) -> Trait:
    """A trait; the words of "wants-reduction" may be joined by a hyphen, a space or an underscore."""
    return _plain_trait(raw.replace(" ", "-").replace("_", "-") if isinstance(raw, str) else raw)


_plain_trait = choice(Trait)
_listed_traits = listed(_trait, len(Trait) * 2)


def _layer(raw: object) -> Layer:
    values = _LAYER.read(raw)
    return Layer(values["glaze"], values.get("zone", Zone.OUTSIDE))


def _ware(raw: object) -> Ware:
    return Ware(**_PIECE.read(raw))


def _route(raw: object) -> Route:
    if isinstance(raw, str):
        return _named_route(raw)
    if not isinstance(raw, dict):
        raise Wrong(f'the name of a route, or an object with "name" and "cone", is needed, not {kind_of(raw)}.')
    values = _ROUTE.read(raw)
    route: Route = values["name"]
    return route.at(values.get("cone", route.cone))


def _named_route(raw: object) -> Route:
    if not isinstance(raw, str):
        raise Wrong(f"the name of a route is needed, not {kind_of(raw)}.")
    route = COMMON_ROUTES.get(raw)
    if route is None:
        raise Wrong(f"{shown(raw)} is none of the routes {', '.join(COMMON_ROUTES)}.")
    return route


def _room(raw: object) -> Room:
    """A chamber or container: round, or wide and deep, with something left of it between its clearances."""
    room = Room(**_ROOM.read(raw))
    if room.round_mm is not None and (room.width_mm is not None or room.depth_mm is not None):
        raise Wrong('"round_mm" is for a round room, "width_mm" and "depth_mm" for a square one; it is not both.')
    free = room.clearance_mm
    across = [side - 2 * free for side in (room.round_mm, room.width_mm, room.depth_mm) if side is not None]
    if min(across, default=1) <= 0 or (room.height_mm is not None and room.height_mm <= free):
        raise Wrong(f"a clearance of {free} mm leaves no room in it.")
    return room


def _over_nothing(raw: object, what: str, most: int) -> float:
    amount = number(0, most)(raw)
    if amount <= 0:
        raise Wrong(f"{what} is needed.")
    return amount


def _weight(raw: object) -> int:
    """Grams; a broken gram of a piece counts as a whole one, the careful way."""
    return math.ceil(_over_nothing(raw, "a weight over 0 g", MOST_G))


def _limit(raw: object) -> int:
    """Grams that tongs lift; a broken gram does not count, the careful way."""
    return max(1, math.floor(_over_nothing(raw, "a weight over 0 g", MOST_G)))


def _inner_length(raw: object) -> int:
    """Millimetres inside a room; a broken one does not count, the careful way."""
    length = math.floor(number(0, MOST_MM)(raw))
    if length == 0:
        raise Wrong("a length of at least 1 mm is needed.")
    return length


def _clearance(raw: object) -> int:
    return math.ceil(number(0, MOST_MM)(raw))


_length = millimetres(MOST_MM)

_CLAY = Shape(
    {
        "name": read_name,
        "kind": choice(ClayKind),
        "cone_low": read_cone,
        "cone_high": read_cone,
        "absorption_pct": number(0, 100),
    },
    needs=("kind",),
)

_GLAZE = Shape(
    {
        "name": read_name,
        "family": choice(Family),
        "cone_low": read_cone,
        "cone_high": read_cone,
        "food": choice(FoodStanding),
        "traits": _traits,
    },
    needs=("family",),
)

_LAYER = Shape({"glaze": _glaze, "zone": choice(Zone)}, needs=("glaze",))

_PIECE = Shape(
    {
        "clay": _clay,
        "layers": listed(_layer, _MOST_LAYERS),
        "build": choice(Build),
        "use": choice(Use),
        "height_mm": _length,
        "width_mm": _length,
        "depth_mm": _length,
        "fragile": read_flag,
        "burnished": read_flag,
        "fired_to": read_cone_or_nothing,
        "weight_g": _weight,
        "wall_mm": _length,
        "vented": read_flag,
        "dry": read_flag,
        "foot": choice(Foot),
        "catch_plate": read_flag,
        "container_fits": read_flag,
    },
    needs=("clay",),
)

_ROUTE = Shape({"name": _named_route, "cone": read_cone}, needs=("name",))

_ROOM = Shape(
    {
        "round_mm": _inner_length,
        "width_mm": _inner_length,
        "depth_mm": _inner_length,
        "height_mm": _inner_length,
        "clearance_mm": _clearance,
    },
)

_KILN = Shape(
    {
        "name": read_name,
        "outdoor": read_flag,
        "atmosphere": choice(Atmosphere),
        "chamber": _room,
        "tongs_g": _limit,
        "containers": listed(_room, _MOST_CONTAINERS),
    },
)

_LINE = Shape({"piece": _ware, "route": _route, "kiln": _KILN.read}, needs=("piece", "route"))
