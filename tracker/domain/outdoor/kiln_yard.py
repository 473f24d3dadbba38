"""The kiln yard: what one round may hold, with this floor, these containers and this crew.

What it answers depends on nothing that it was asked before, and whatever one crew can fire a fuller one can too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import hypot

from tracker.domain.loading.shelf_shapes import Footprint, Spot
from tracker.domain.outdoor.bins import Containers, Held
from tracker.domain.outdoor.kiln_floor import OnFloor, reach_mm, stand
from tracker.domain.outdoor.setting_up import Container, Crew, OutdoorFloor, Round, Stood, ToFire
from tracker.domain.studio.kilns import OUTDOORS, RouteKind
from tracker.domain.studio.settings import OutdoorPractice

Ids = tuple[int, ...]


@dataclass(slots=True)
class Yard:
    """Where a session is fired; it keeps note of the rounds that it has been asked about."""

    floor: OutdoorFloor
    containers: Containers
    crew: Crew
    practice: OutdoorPractice
    _stands: dict[tuple[OnFloor, ...], tuple[Spot, ...] | None] = field(default_factory=dict)
    _holds: dict[Ids, Held | None] = field(default_factory=dict)
    _warm: dict[Ids, bool] = field(default_factory=dict)

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
        if self.spots((piece,)) is None:
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

    def takes(self, pieces: Sequence[ToFire]) -> bool:
        """Whether pieces of one kind go together in one round."""
        if len(pieces) > self.most:
            return False
        pieces = _sorted(pieces)
        known = _ids(pieces)
        if known not in self._warm:
            self._warm[known] = self.spots(pieces) is not None and self.held(pieces) is not None
        return self._warm[known]

    def spots(self, pieces: Sequence[ToFire]) -> tuple[Spot, ...] | None:
        """Their places on the floor, in their order when sorted, or nothing where there is no room for all."""
        some = tuple(_on_floor(piece) for piece in _sorted(pieces))
        if some not in self._stands:
            self._stands[some] = stand(self.floor, some, self.practice)
        return self._stands[some]

    def held(self, pieces: Sequence[ToFire]) -> Held | None:
        """The containers for them, in their order when sorted; no names for horsehair, nothing where too few are."""
        pieces = _sorted(pieces)
        if pieces[0].kind is not RouteKind.RAKU:
            return ()
        known = _ids(pieces)
        if known not in self._holds:
            self._holds[known] = self.containers.hold(pieces)
        return self._holds[known]

    def round_of(self, pieces: Sequence[ToFire]) -> Round | None:
        """One round of exactly these pieces, in the order in which they are pulled, or nothing where they do not go."""
        pieces = _sorted(pieces)
        spots, held = self.spots(pieces), self.held(pieces)
        if spots is None or held is None or len(pieces) > self.most:
            return None
        named = held or (None,) * len(pieces)
        standing = list(zip(pieces, spots, named, strict=True))
        standing.sort(key=lambda one: self._turn(one[0], one[1]))
        return Round(
            pieces[0].kind,
            tuple(
                Stood(piece.piece_id, spot.x_mm, spot.y_mm, spot.turned, name, piece.is_apart)
                for piece, spot, name in standing
            ),
        )

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


def _sorted(pieces: Sequence[ToFire]) -> tuple[ToFire, ...]:
    return tuple(sorted(pieces, key=lambda piece: (_on_floor(piece), piece.piece_id)))


def _on_floor(piece: ToFire) -> OnFloor:
    return OnFloor.of(piece.footprint, apart=piece.is_apart)


def _ids(pieces: Sequence[ToFire]) -> Ids:
    return tuple(piece.piece_id for piece in pieces)


def _across(lies: Footprint) -> str:
    if lies.is_round:
        return f"{lies.width_mm:g} mm across"
    corners = hypot(lies.width_mm, lies.depth_mm)
    return f"{lies.width_mm:g} by {lies.depth_mm:g} mm, {corners:.0f} mm from corner to corner,"
