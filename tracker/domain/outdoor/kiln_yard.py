"""The kiln yard: what one round may hold, with this floor, these containers and this crew.

What it answers depends on nothing that it was asked before, and whatever one crew can fire a fuller one can too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from tracker.domain.loading.shelf_shapes import Footprint, Spot
from tracker.domain.outdoor.bins import Containers
from tracker.domain.outdoor.kiln_floor import large_first, reach_mm, stand
from tracker.domain.outdoor.setting_up import Container, Crew, OutdoorFloor, Round, Stood, ToFire
from tracker.domain.studio.kilns import OUTDOORS, RouteKind
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

    @property
    def most(self) -> int:
        """How many pieces a round holds at most, by those who pull."""
        return self.practice.most_a_round(self.crew.hands)

    def against(self, piece: ToFire) -> str:
        """Every reason why a piece is in no round here, one sentence each, or an empty text."""
        if piece.kind not in OUTDOORS:
            return f"It is for a {piece.kind} firing, and outdoors only raku and horsehair ware is fired."
        return " ".join(self._reasons_against(piece))

    def _reasons_against(self, piece: ToFire) -> Iterator[str]:
        if piece.height_mm > self.floor.height_mm:
            yield f"It is {piece.height_mm} mm high and the kiln has room for {self.floor.height_mm} mm."
        if self._spots((piece,)) is None:
            yield f"It is {_across(piece.footprint)} and the floor is {self.floor.shelf}."
        if (heavy := self.too_heavy(piece)) is not None:
            yield heavy
        if piece.kind is RouteKind.RAKU and (why := self.containers.against(piece)):
            yield why
        if self.crew.hands == 0:
            yield "Nobody in this crew pulls."
        elif self.most == 0:
            yield "It would be too cool before the crew has pulled it."

    def too_heavy(self, piece: ToFire) -> str | None:
        """Why a piece is too heavy for the tongs, in a sentence, or None."""
        limit = self.floor.tongs_g
        if limit is None or piece.weight_g is None or piece.weight_g <= limit or piece.lift_allowed:
            return None
        return f"It weighs {piece.weight_g / 1000:g} kg, more than the {limit / 1000:g} kg that the tongs should lift."

    def round_of(self, pieces: Sequence[ToFire]) -> Round | None:
        """One round of exactly these pieces of one kind, in the order of pulling, or nothing where they do not go."""
        if len(pieces) > self.most:
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
    A copper lustre goes straight from the heat under its lid, so it follows while the kiln is hottest. Whatever
    somebody was warned of comes last: by then the hurry is over, and the cooler kiln is the gentler shock.
    """
    if piece.is_apart:
        return 3
    if piece.crackle:
        return 0
    return 1 if piece.lustre else 2


def _across(lies: Footprint) -> str:
    if lies.is_round:
        return f"{lies.width_mm:g} mm across"
    corners = hypot(lies.width_mm, lies.depth_mm)
    return f"{lies.width_mm:g} by {lies.depth_mm:g} mm, {corners:.0f} mm from corner to corner,"
