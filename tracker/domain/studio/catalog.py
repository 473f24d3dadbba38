"""What a studio works with: its clays, glazes, ways of firing and kilns, each found by its name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from enum import StrEnum
from typing import TypeVar

from tracker.domain.labels.stock import LabelStock, Paper
from tracker.domain.message import Either, Message, _
from tracker.domain.quantities import Units
from tracker.domain.refusals import Unknown
from tracker.domain.studio.kilns import Kiln, Route, RouteKind
from tracker.domain.studio.materials import Clay, Glaze
from tracker.domain.studio.settings import COMMON_PRACTICE, Practice

Thing = TypeVar("Thing", Clay, Glaze, Route, Kiln)

_LONGEST_SHOWN = 60


class ThingKind(StrEnum):
    """What a catalog holds."""

    CLAY = "clay"
    GLAZE = "glaze"
    ROUTE = "route"
    KILN = "kiln"


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalog:
    """Everything the studio has on its shelves and in its kiln yard, by name, and the numbers it has settled on."""

    clays: Mapping[str, Clay]
    glazes: Mapping[str, Glaze]
    routes: Mapping[str, Route]
    kilns: Mapping[str, Kiln]
    practice: Practice = COMMON_PRACTICE

    def clay(self, name: str) -> Clay:
        """The clay called `name`, in whatever case; `Unknown` when there is none."""
        return _find(self.clays, name, ThingKind.CLAY)

    def glaze(self, name: str) -> Glaze:
        """The glaze called `name`, in whatever case; `Unknown` when there is none."""
        return _find(self.glazes, name, ThingKind.GLAZE)

    def route(self, name: str) -> Route:
        """The route called `name`, in whatever case; `Unknown` when there is none."""
        return _find(self.routes, name, ThingKind.ROUTE)

    def kiln(self, name: str) -> Kiln:
        """The kiln called `name`, in whatever case; `Unknown` when there is none."""
        return _find(self.kilns, name, ThingKind.KILN)

    def kilns_for(self, route: Route) -> Sequence[Kiln | None]:
        """The kilns in use that serve `route`; only None where there is none, which asks nothing of a kiln."""
        return [kiln for kiln in self.kilns.values() if kiln.serves(route) and not kiln.retired] or [None]

    @property
    def routes_by_heat(self) -> tuple[Route, ...]:
        """Every route in use, from cool to hot; routes of the same cone stand in the order of their names."""
        in_use = (route for route in self.routes.values() if not route.retired)
        return tuple(sorted(in_use, key=lambda route: (route.cone, route.name)))

    @property
    def queues(self) -> tuple[Route, ...]:
        """The routes that pieces wait for, from cool to hot: greenware goes straight into a bisque."""
        return tuple(route for route in self.routes_by_heat if route.kind is not RouteKind.BISQUE)

    @property
    def fires_once(self) -> bool:
        """Whether the studio has a firing type that takes raw glazed greenware."""
        return any(route.kind is RouteKind.ONCE_FIRE for route in self.routes_by_heat)

    @property
    def glazed_routes(self) -> tuple[Route, ...]:
        """The routes that take glazed ware, from cool to hot."""
        return tuple(route for route in self.routes_by_heat if route.takes_glaze)


@dataclass(frozen=True, slots=True, kw_only=True)
class Studio:
    """One studio: its name, its time zone as the IANA database calls it, and the address its tags lead to.

    `line` is its own line at the foot of what goes home, `labels` its own label stock by name. `units` are read by
    everyone who chose no others, `paper` is in its printer, and `currency` is what its costs are in: an ISO 4217 code,
    or empty for plain numbers.
    """

    name: str
    timezone: str
    address: str
    catalog: Catalog
    line: str = ""
    labels: Mapping[str, LabelStock] = field(default_factory=dict)
    units: Units = Units.METRIC
    paper: Paper = Paper.A4
    currency: str = ""


def _find(things: Mapping[str, Thing], name: str, kind: ThingKind) -> Thing:
    """The thing called `name`, exactly or but for case; `Unknown`, with the nearest names there are, when none is."""
    if name in things:
        return things[name]
    folded = {one.casefold(): one for one in things}
    wanted = name.strip().casefold()
    if wanted in folded:
        return things[folded[wanted]]
    shown = name if len(name) <= _LONGEST_SHOWN else f"{name[:_LONGEST_SHOWN]}…"
    words = Message("no-such-thing", _("There is no {kind} called “{name}” here."), kind=kind, name=shown)
    if near := tuple(folded[one] for one in get_close_matches(wanted[:_LONGEST_SHOWN], folded, n=3, cutoff=0.6)):
        raise Unknown(words, Message("did-you-mean", _("Did you mean {names}?"), names=Either(near)))
    if not things:
        raise Unknown(words, Message("none-entered", _("No {kind} has been entered yet."), kind=kind))
    raise Unknown(words, Message("pick-one", _("Choose from the {count} listed."), count=len(things)))
