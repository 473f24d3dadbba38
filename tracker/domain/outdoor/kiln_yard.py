"""The kiln yard: what one round may hold, with this floor, these containers and this crew.

What it answers depends on nothing that it was asked before, and whatever one crew can fire a fuller one can too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from tracker.domain.loading.shelf_shapes import Footprint, Shelf, Spot
from tracker.domain.message import Fact, Message, _, together
from tracker.domain.outdoor.bins import Containers
from tracker.domain.outdoor.cooling import pulls_in_time, safe_pulls
from tracker.domain.outdoor.kiln_floor import large_first, reach_mm, stand
from tracker.domain.outdoor.setting_up import Container, Crew, OutdoorFloor, Round, Stood, ToFire
from tracker.domain.quantities import compared, grams, mm
from tracker.domain.studio.kilns import PULLED_HOT, RouteKind
from tracker.domain.studio.settings import OutdoorPractice


@dataclass(frozen=True, slots=True)
class Yard:
    """Where a session is fired."""

    floor: OutdoorFloor
    containers: Containers
    crew: Crew
    practice: OutdoorPractice

    @classmethod
    def of(cls, floor: OutdoorFloor, containers: Sequence[Container], crew: Crew, practice: OutdoorPractice) -> Yard:
        """A yard with so many containers."""
        return cls(floor, Containers(containers, practice), crew, practice)

    def most_of(self, kind: RouteKind, pieces: Sequence[ToFire]) -> int:
        """How many pieces a round with these may hold, by who pulls and by how fast the thinnest wall cools.

        At the least one, where that one may come out hot enough.
        """
        if not self.crew.hands:
            return 0
        thin = self.practice.thin_wall_mm
        wall_mm = min((thin if piece.wall_mm is None else piece.wall_mm for piece in pieces), default=thin)
        there = (wall_mm, self.floor.air_c, self.practice)
        if safe := safe_pulls(*there, kind):
            return safe * self.crew.hands
        return min(1, self.practice.most_a_puller, pulls_in_time(*there, kind=kind).high)

    def against(self, piece: ToFire) -> Message | None:
        """Every reason why a piece is in no round here, or None."""
        if piece.kind not in PULLED_HOT:
            words = _("This piece is waiting for a {kind} firing. Outdoor sessions fire raku and horsehair.")
            return Message("not-fired-outdoors", words, kind=piece.kind)
        reasons = list(self._reasons_against(piece))
        return together(reasons) if reasons else None

    def _reasons_against(self, piece: ToFire) -> Iterator[Message]:
        if piece.height_mm > self.floor.height_mm:
            words = _("This piece is {height} high. The kiln has room for {room}.")
            height, room = compared(mm(piece.height_mm), mm(self.floor.height_mm))
            yield Message("kiln-too-low", words, height=height, room=room)
        if self._spots((piece,)) is None:
            yield _too_wide(piece.footprint, self.floor.shelf)
        if self.is_too_heavy(piece):
            words = _("This piece weighs {weight}. The tongs should lift {limit} at most.")
            yield Message("too-heavy", words, **self.weights(piece))
        if piece.kind is RouteKind.RAKU and (why := self.containers.against(piece)):
            yield why
        if self.crew.hands == 0:
            yield Message("nobody-pulls", _("This crew has no puller with tongs."))
        elif self.most_of(piece.kind, [piece]) == 0:
            yield Message("pulled-too-late", _("This piece would be too cool before the crew gets it out."))

    def is_too_heavy(self, piece: ToFire) -> bool:
        """Whether a piece weighs more than the tongs should lift, and nobody has allowed that."""
        limit = self.floor.tongs_g
        return not (limit is None or piece.weight_g is None or piece.weight_g <= limit or piece.lift_allowed)

    def weights(self, piece: ToFire) -> dict[str, Fact]:
        """What a piece weighs and what the tongs should lift at most."""
        weight, limit = compared(grams(piece.weight_g or 0), grams(self.floor.tongs_g or 0))
        return {"weight": weight, "limit": limit}

    def round_of(self, pieces: Sequence[ToFire]) -> Round | None:
        """One round of exactly these pieces of one kind, in the order of pulling, or nothing where they do not go."""
        if len(pieces) > self.most_of(pieces[0].kind, pieces):
            return None
        # As they are put down: those set apart first, large ones before small ones.
        pieces = sorted(pieces, key=lambda one: (not one.is_apart, large_first(one.footprint), one.piece_id))
        spots = self._spots(pieces)
        if spots is None:
            return None
        held = self.containers.hold(pieces) if pieces[0].kind is RouteKind.RAKU else [None] * len(pieces)
        if held is None:
            return None
        standing = sorted(zip(pieces, spots, held, strict=True), key=lambda one: self._turn(one[0], one[1]))
        return Round(
            pieces[0].kind,
            tuple(
                Stood(piece.piece_id, spot.x_mm, spot.y_mm, spot.turned, name, piece.is_apart)
                for piece, spot, name in standing
            ),
        )

    def _spots(self, pieces: Sequence[ToFire]) -> tuple[Spot, ...] | None:
        """Their places on the floor, those set apart first."""
        apart = [piece.footprint for piece in pieces if piece.is_apart]
        return stand(self.floor, apart, [piece.footprint for piece in pieces if not piece.is_apart], self.practice)

    def _turn(self, piece: ToFire, spot: Spot) -> tuple[int, float, int]:
        """When a piece is pulled; then whichever the puller reaches first."""
        return turn(piece), reach_mm(self.floor, spot), piece.piece_id


def turn(piece: ToFire) -> int:
    """When a piece is pulled within its round: 0 comes first.

    Crackle must wait in the air before its smoke, so it is out before anything else and waits while others are pulled.
    A copper luster goes straight from the heat under its lid, so it follows while the kiln is hottest. Whatever
    somebody was warned of comes last: by then the hurry is over, and the cooler kiln is the gentler shock.
    """
    if piece.is_apart:
        return 3
    if piece.crackle:
        return 0
    return 1 if piece.luster else 2


def _too_wide(lies: Footprint, floor: Shelf) -> Message:
    if lies.is_round:
        return Message(
            "floor-too-narrow",
            _("This piece is {size} across. The floor is {floor}."),
            size=lies.size,
            floor=floor.size,
        )
    words = _("This piece is {size}, {corners} from corner to corner. The floor is {floor}.")
    corners = mm(hypot(lies.width_mm, lies.depth_mm))
    return Message("floor-too-narrow-for-corners", words, size=lies.size, corners=corners, floor=floor.size)
