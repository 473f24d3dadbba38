"""What `footring judge` is asked: one line of JSON, a piece and a route, and one line of JSON in answer."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from tracker.domain.message import Either, Message, _
from tracker.domain.pieces.piece import Coats, Ware
from tracker.domain.refusals import Unusable
from tracker.domain.studio.kilns import KNOWN_ROUTES, VAPOR, Kiln, Route, RouteKind
from tracker.domain.studio.materials import Coat, Glaze, Layer
from tracker.forms.entity import shape
from tracker.forms.fields import LINE
from tracker.forms.pieces.piece_schema import PieceSchema
from tracker.forms.plain_values import Shape, Values, Wrong, choice, kind_of, missing_key, read_cone, read_name, shown
from tracker.forms.strict_json import parsed, where_and_what
from tracker.forms.studio.kiln_schemas import KilnSchema
from tracker.forms.studio.material_schemas import GlazeSchema

_NAMELESS = GlazeSchema.facts(LINE)["name"].unsaid

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
    told = all("zone" in layer for layer in raw["piece"].get("layers", [{}]))
    # A layer that was fired says that the clay under it was, as hot or hotter.
    heats = [one.fired_to for one in ware.layers if one.fired_to is not None]
    hottest = max([*heats, *([ware.fired_to] if ware.fired_to is not None else [])], default=None)
    layers = _told_apart(ware.layers, route)
    ware = replace(ware, layers=layers, coats=Coats.ALL_TOLD if told else Coats.SOMEWHERE, fired_to=hottest)
    if kiln is None:
        return WhatIf(ware, route)
    # An empty list of containers says that there are none, so none fits.
    if raw["kiln"].get("containers") == []:
        ware = replace(ware, container_fits=False)
    # Where nobody has said, it stands where the firing wants it.
    outdoor = raw["kiln"].get("outdoor", route.needs_yard)
    return WhatIf(ware, route, replace(kiln, routes=frozenset({route.name}), outdoor=outdoor))


def _told_apart(layers: tuple[Layer, ...], route: Route) -> tuple[Layer, ...]:
    """The layers with coats that can be told apart: one without a name is called by what it is, several are numbered.

    A test made in vapor was made in a firing of that kind, whatever the one that is asked about is called.
    """
    nameless = [one for one in dict.fromkeys(layer.glaze for layer in layers) if one.name == _NAMELESS]
    if all(one.noun == Coat.GLAZE for one in nameless) and len(nameless) <= 1 and route.kind not in VAPOR:
        return layers
    names = _names(nameless)

    def told(glaze: Glaze) -> Glaze:
        tests = tuple(replace(one, route=route.name) if one.route == route.kind else one for one in glaze.tests)
        return replace(glaze, name=names.get(glaze, glaze.name), tests=tests)

    return tuple(replace(layer, glaze=told(layer.glaze)) for layer in layers)


def _names(nameless: list[Glaze]) -> dict[Glaze, str]:
    """What coats without a name are called: "this slip", or of several of a sort "slip 1", "slip 2" from the bottom."""
    sorts: dict[str, list[Glaze]] = {}
    for glaze in nameless:
        sorts.setdefault(_NOUNS.get(glaze.noun, glaze.noun), []).append(glaze)
    return {
        glaze: f"this {noun}" if len(alike) == 1 else f"{noun} {number}"
        for noun, alike in sorts.items()
        for number, glaze in enumerate(alike, start=1)
    }


_NOUNS = {"sigillata": "terra sigillata"}


# ---- what stands in a line ----------------------------------------------------------------------------------------


def _route(raw: object) -> Route:
    if isinstance(raw, str):
        return _named_route(raw)
    if not isinstance(raw, dict):
        words = _('expected the name of a route, or an object with "name" and "cone", not {kind}.')
        raise Wrong(Message("not-a-route", words, kind=kind_of(raw)))
    route: Route = _ROUTE(raw)
    return route


def _named_route(name: str) -> Route:
    route = KNOWN_ROUTES.get(name)
    if route is None:
        words = _('"{text}" isn\'t one of the routes {routes}.')
        raise Wrong(Message("no-such-route", words, text=shown(name), routes=Either(tuple(KNOWN_ROUTES))))
    return route


def _told_route(values: Values) -> Route:
    """The usual route of that name; or, where a kind is told, the usual one of that kind under any name."""
    name, kind = values.get("name"), values.get("kind")
    if name is None and kind is None:
        raise Wrong(missing_key("name"))
    usual = KNOWN_ROUTES.get(name) if name is not None else None
    if kind is None:
        route = _named_route(name or "")
    elif usual is not None and usual.kind is kind:
        route = usual
    else:
        of_kind = next(one for one in KNOWN_ROUTES.values() if one.kind is kind)
        route = replace(of_kind, name=name or of_kind.name, title=name or of_kind.title)
    return route.at(values.get("cone", route.cone))


_ROUTE = Shape({"name": read_name, "kind": choice(RouteKind), "cone": read_cone}, make=_told_route)
_LINE = Shape(
    {"piece": shape(PieceSchema, LINE), "route": _route, "kiln": shape(KilnSchema, LINE)}, needs=("piece", "route")
)
