"""Routes (ways of firing) and the kilns that serve them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import zip_longest
from math import ceil, hypot
from typing import Protocol

from tracker.domain.cones import Cone
from tracker.domain.message import Message, _
from tracker.domain.quantities import Quantity, compared, mm
from tracker.domain.studio.segments import Segment


class RouteKind(StrEnum):
    """What a firing does with the ware; the rules ask for the kind, never for a name.

    A shelf firing leaves glazed ware to cool in the kiln. Raku and horsehair are pulled hot. An overglaze (luster,
    china paint) goes over glaze that was fired before. A once-firing takes raw glazed greenware. A pit leaves marks
    of smoke on bare clay. Soda (salt too) and wood put a glaze on all that is bare.
    """

    BISQUE = "bisque"
    SHELF = "shelf"
    RAKU = "raku"
    HORSEHAIR = "horsehair"
    OVERGLAZE = "overglaze"
    ONCE_FIRE = "once-fire"
    PIT = "pit"
    SODA = "soda"
    WOOD = "wood"


PULLED_HOT = frozenset({RouteKind.RAKU, RouteKind.HORSEHAIR})
"""The kinds whose ware is pulled hot with tongs, outdoors."""

SMOKED = PULLED_HOT | {RouteKind.PIT}
"""The kinds that are fired outdoors, low, and leave smoke in porous clay."""

VAPOR = frozenset({RouteKind.SODA, RouteKind.WOOD})
"""The kinds in which vapor and ash glaze the ware, and the kiln shelf with it."""

RAW = frozenset({RouteKind.BISQUE, RouteKind.ONCE_FIRE})
"""The kinds that take greenware."""

ON_SHELVES = VAPOR | {RouteKind.SHELF, RouteKind.OVERGLAZE, RouteKind.ONCE_FIRE}
"""The kinds in which melting glaze would stick to a kiln shelf while it cools."""

NEED_GLAZE = frozenset({RouteKind.SHELF, RouteKind.RAKU, RouteKind.OVERGLAZE, RouteKind.ONCE_FIRE})
"""The kinds in which bare ware has no business."""

AFTER_BISQUE = frozenset(RouteKind) - {RouteKind.BISQUE}
"""The kinds that may be the last fire a piece sees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """A way of firing with its nominal cone. `title` is how people read it, `name` how files and addresses do.

    `segments` are the studio's own schedule for it; without any the common one counts. `cones_checked` says that a
    person has confirmed a cone that is not usual for it. `shelf` is the cart or ware shelf for pieces that
    are to be fired so.
    """

    name: str
    title: str
    kind: RouteKind
    cone: Cone
    segments: tuple[Segment, ...] = ()
    cones_checked: bool = False
    retired: bool = False
    shelf: str = ""

    def __hash__(self) -> int:
        """By its name alone: a catalog has no two of one name."""
        return hash(self.name)

    @property
    def is_pulled_hot(self) -> bool:
        """Whether its ware is pulled hot with tongs, outdoors."""
        return self.kind in PULLED_HOT

    @property
    def needs_yard(self) -> bool:
        """Whether only a kiln outdoors can do it."""
        return self.kind in SMOKED

    @property
    def takes_outdoor_glaze(self) -> bool:
        """Whether a glaze made for the outdoor kiln belongs here."""
        return self.kind is RouteKind.RAKU

    @property
    def takes_glaze(self) -> bool:
        """Whether glazed ware belongs here at all."""
        return self.kind in NEED_GLAZE | VAPOR

    @property
    def takes_bare(self) -> bool:
        """Whether bisqued ware without glaze may wait for it."""
        return self.kind in AFTER_BISQUE - NEED_GLAZE

    def at(self, target: Cone) -> Route:
        """The same way of firing as one firing does it, to its own `target` cone.

        The studio's own schedule leads to the cone of the firing type, so it counts for no other.
        """
        return replace(self, cone=target, segments=self.segments if target == self.cone else ())


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


KNOWN_ROUTES: Mapping[str, Route] = {
    **COMMON_ROUTES,
    **{
        route.name: route
        for route in (
            _route("overglaze", "Overglaze", RouteKind.OVERGLAZE, "018"),
            _route("once-fire", "Once-fire", RouteKind.ONCE_FIRE, "6"),
            _route("pit", "Pit", RouteKind.PIT, "010"),
            _route("soda", "Soda", RouteKind.SODA, "10"),
            _route("wood", "Wood", RouteKind.WOOD, "10"),
        )
    },
}
"""With them the firings that some studios do, with a usual cone of each."""


class Atmosphere(StrEnum):
    """What air a kiln fires in."""

    OXIDATION = "oxidation"
    NEUTRAL = "neutral"
    REDUCTION = "reduction"


class Fuel(StrEnum):
    """What a kiln is heated with; only cautions ask."""

    ELECTRIC = "electric"
    GAS = "gas"
    WOOD = "wood"
    OIL = "oil"


class Sized(Protocol):
    """Anything with a size in mm, None where unknown; what `may_be_round` is as wide as it is deep."""

    @property
    def height_mm(self) -> int | None: ...  # noqa: D102 -- said above

    @property
    def width_mm(self) -> int | None: ...  # noqa: D102 -- said above

    @property
    def depth_mm(self) -> int | None: ...  # noqa: D102 -- said above

    @property
    def may_be_round(self) -> bool: ...  # noqa: D102 -- said above


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The inside of a chamber or a container in mm: round, or `width_mm` by `depth_mm`.

    A round room has `round_mm`, its diameter. All round a piece and above it `clearance_mm` stays free. Lengths of
    None are unknown.
    """

    height_mm: int | None = None
    round_mm: int | None = None
    width_mm: int | None = None
    depth_mm: int | None = None
    clearance_mm: int = 0

    @property
    def sides(self) -> tuple[int, ...]:
        """Its known lengths, the height first."""
        sides = (self.height_mm, self.round_mm, self.width_mm, self.depth_mm)
        return tuple(side for side in sides if side is not None)

    def keeps_out(self, ware: Sized) -> Message | None:
        """Why `ware` cannot stand in it, or None; a measure that nobody has taken keeps nothing out."""
        return self._is_too_low_for(ware) or self._is_too_narrow_for(ware)

    def _is_too_low_for(self, ware: Sized) -> Message | None:
        if self.height_mm is None or ware.height_mm is None:
            return None
        room = self.height_mm - self.clearance_mm
        if ware.height_mm <= room:
            return None
        words = _("it's {size} high, with room for {room}")
        size, most = compared(mm(ware.height_mm), mm(room))
        return Message("too-high", words, size=size, room=most)

    def _is_too_narrow_for(self, ware: Sized) -> Message | None:
        """Why its footprint does not go in, however it is turned; a side that is unknown keeps nothing out."""
        sides = [side for side in (ware.width_mm, ware.depth_mm) if side is not None]
        if not sides:
            return None
        free = 2 * self.clearance_mm
        narrow, wide = min(sides) if len(sides) > 1 else 0, max(sides)
        if self.round_mm is not None:
            across, room = _across(narrow, wide, is_round=ware.may_be_round), self.round_mm - free
            words = _("it's {size} across, with room for {room}")
            if across <= room:
                return None
            size, most = compared(mm(across), mm(room))
            return Message("too-wide", words, size=size, room=most)
        rooms = sorted(side - free for side in (self.width_mm, self.depth_mm) if side is not None)
        if not rooms or (narrow <= rooms[0] and (len(rooms) == 1 or wide <= rooms[1])):
            return None
        words = _("it's {size}, with room for {room}")
        lies, room_for = [side for side in (wide, narrow) if side], rooms[::-1]
        return Message("too-wide", words, size=_by(*_beside(lies, room_for)), room=_by(*_beside(room_for, lies)))


def _beside(sides: Sequence[int], others: Sequence[int]) -> list[Quantity]:
    """Sides as they are told beside those of the room that they don't fit in, or of what doesn't fit in it."""
    pairs = zip_longest(sides, others)
    return [replace(mm(side), beside=other) for side, other in pairs if side is not None]


def _by(wide: Quantity, narrow: Quantity | None = None) -> Message:
    if narrow is not None:
        return Message("width-by-depth", _("{wide} by {narrow}"), wide=wide, narrow=narrow)
    return Message("width", _("{wide} wide"), wide=wide)


def _across(narrow: int, wide: int, *, is_round: bool) -> int:
    """How wide a round room must be for a footprint, in whole mm: as wide as it is when round, else its diagonal."""
    return wide if is_round else ceil(hypot(narrow, wide))


@dataclass(frozen=True, slots=True, kw_only=True)
class Furniture:
    """What a kiln is stacked with, in mm: its shelves, all alike, and the lengths of post there are.

    A shelf is round (`round_mm`, its diameter; of two `halves` where it is cut across the middle, and then nothing
    stands on the seam), or `width_mm` by `depth_mm`. Three posts of `post_radius_mm` carry each shelf.
    """

    round_mm: int | None = None
    width_mm: int | None = None
    depth_mm: int | None = None
    halves: bool = False
    thickness_mm: int
    posts_mm: tuple[int, ...]
    post_radius_mm: int = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Kiln:
    """One kiln: which routes it serves, whether it stands outdoors, and what is known of its inside.

    `furniture` is what its loads are stacked with, None where nobody has measured it. `tongs_g` is the most its tongs
    should lift, in g; `containers` are those that its raku ware goes into.
    """

    name: str
    routes: frozenset[str]
    outdoor: bool = False
    place: str = ""
    chamber: Room | None = None
    furniture: Furniture | None = None
    atmosphere: Atmosphere | None = None
    fuel: Fuel | None = None
    tongs_g: int | None = None
    containers: tuple[Room, ...] = ()
    retired: bool = False

    def serves(self, route: Route) -> bool:
        """Whether this kiln fires that way."""
        return route.name in self.routes
