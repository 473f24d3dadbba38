"""What `footring judge` is asked: one line of JSON, a piece and a route, and one line of JSON in answer."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from tracker.domain.message import Either, Message, _
from tracker.domain.refusals import Unusable
from tracker.domain.studio.kilns import COMMON_ROUTES, Kiln, Route
from tracker.forms.entity import shape
from tracker.forms.fields import LINE
from tracker.forms.pieces.piece_schema import PieceSchema
from tracker.forms.plain_values import Shape, Wrong, kind_of, read_cone, shown
from tracker.forms.strict_json import parsed, where_and_what
from tracker.forms.studio.kiln_schemas import KilnSchema

if TYPE_CHECKING:
    from tracker.domain.pieces.piece import Ware

LONGEST_LINE = 1_000_000
"""Characters in a line; no piece needs a thousandth of it."""


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
        raw: Any = parsed(line, longest=LONGEST_LINE)
        values = _LINE(raw)
    except Wrong as wrong:
        raise Unusable([where_and_what(wrong)]) from None
    ware, route, kiln = values["piece"], values["route"], values.get("kiln")
    if kiln is None:
        return WhatIf(ware, route)
    # An empty list of containers says that there are none, so none fits.
    if raw["kiln"].get("containers") == []:
        ware = replace(ware, container_fits=False)
    return WhatIf(ware, route, replace(kiln, routes=frozenset({route.name})))


# ---- what stands in a line ----------------------------------------------------------------------------------------


def _route(raw: object) -> Route:
    if isinstance(raw, str):
        return _named_route(raw)
    if not isinstance(raw, dict):
        words = _('the name of a route, or an object with "name" and "cone", is needed, not {kind}.')
        raise Wrong(Message("not-a-route", words, kind=kind_of(raw)))
    values = _ROUTE(raw)
    route: Route = values["name"]
    return route.at(values.get("cone", route.cone))


def _named_route(raw: object) -> Route:
    if not isinstance(raw, str):
        raise Wrong(Message("not-a-route-name", _("the name of a route is needed, not {kind}."), kind=kind_of(raw)))
    route = COMMON_ROUTES.get(raw)
    if route is None:
        words = _('"{text}" is none of the routes {routes}.')
        raise Wrong(Message("no-such-route", words, text=shown(raw), routes=Either(tuple(COMMON_ROUTES))))
    return route


_ROUTE = Shape({"name": _named_route, "cone": read_cone}, needs=("name",))
_LINE = Shape(
    {"piece": shape(PieceSchema, LINE), "route": _route, "kiln": shape(KilnSchema, LINE)}, needs=("piece", "route")
)
