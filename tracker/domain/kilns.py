"""Routes (ways of firing) and the kilns that serve them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from tracker.domain.cones import Cone

if TYPE_CHECKING:
    from collections.abc import Mapping


class RouteKind(StrEnum):
    """What a way of firing does with the ware; the rules ask for the kind, never for a name."""

    BISQUE = "bisque"
    SHELF = "shelf"
    RAKU = "raku"
    HORSEHAIR = "horsehair"


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """A way of firing with its nominal cone. `title` is how people read it, `name` how files and addresses do."""

    name: str
    title: str
    kind: RouteKind
    cone: Cone

    @property
    def is_outdoors(self) -> bool:
        """Whether its ware is pulled hot with tongs, outdoors."""
        return self.kind in {RouteKind.RAKU, RouteKind.HORSEHAIR}

    @property
    def takes_outdoor_glaze(self) -> bool:
        """Whether a glaze made for the outdoor kiln belongs here."""
        return self.kind is RouteKind.RAKU

    @property
    def takes_glaze(self) -> bool:
        """Whether glazed ware belongs here at all."""
        return self.kind in {RouteKind.SHELF, RouteKind.RAKU}

    def at(self, target: Cone) -> Route:
        """The same way of firing as one firing does it, to its own `target` cone."""
        return replace(self, cone=target)


def _route(name: str, title: str, kind: RouteKind, cone: str) -> Route:
    return Route(name=name, title=title, kind=kind, cone=Cone.parse(cone))


COMMON_ROUTES: Mapping[str, Route] = {
    route.name: route
    for route in (
        _route("bisque", "Bisque", RouteKind.BISQUE, "06"),
        _route("low-fire", "Low-fire", RouteKind.SHELF, "04"),
        _route("mid-range", "Mid-range", RouteKind.SHELF, "6"),
        _route("high-fire", "High-fire", RouteKind.SHELF, "10"),
        _route("raku", "Outdoor, raku", RouteKind.RAKU, "06"),
        _route("horsehair", "Outdoor, horsehair", RouteKind.HORSEHAIR, "010"),
    )
}
"""The ways of firing a teaching studio knows, with the nominal cones of common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kiln:
    """One kiln: which routes it serves and whether it stands outdoors."""

    name: str
    routes: frozenset[str]
    outdoor: bool = False
    place: str = ""

    def serves(self, route: Route) -> bool:
        """Whether this kiln fires that way."""
        return route.name in self.routes
