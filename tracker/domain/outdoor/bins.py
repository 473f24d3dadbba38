"""Which container waits for which piece: one each where there are enough, shared where there are not.

Lengths are mm. Whatever a container takes it also takes beside others, so more of them never take fewer pieces.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import pi

from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.outdoor.kiln_floor import packed
from tracker.domain.outdoor.setting_up import Container, ToFire
from tracker.domain.studio.kilns import Room
from tracker.domain.studio.settings import OutdoorPractice

Held = tuple[str, ...]
"""The name of each piece's container, in the order of the pieces."""

MOST_SEARCHED = 8
"""Up to so many pieces every way to share the containers is tried."""


class Containers:
    """The containers of a session, and which pieces go into each of them."""

    def __init__(self, containers: Sequence[Container], practice: OutdoorPractice) -> None:
        """Keep them from small to large, so that a piece is offered the smallest that it fits."""
        self.containers = sorted(containers, key=lambda one: (_size(one.room), one.lid, one.name))
        self.practice = practice
        self._known: dict[tuple[Room, tuple[Footprint, ...]], bool] = {}

    def against(self, piece: ToFire) -> str:
        """Why no container here takes a piece, in a sentence, or an empty text."""
        if not self.containers:
            return "There is no container for it."
        if piece.lustre and not any(one.lid for one in self.containers):
            return "A copper lustre wants a container lidded tight to itself, and none here has a lid."
        if any(self.takes(one, (piece,)) for one in self.containers):
            return ""
        if piece.lustre and any(self.has_room(one.room, (piece,)) for one in self.containers):
            return "A copper lustre wants a container lidded tight to itself, and none with a lid is large enough."
        return "No container here is large enough for it."

    def takes(self, container: Container, pieces: Sequence[ToFire]) -> bool:
        """Whether all of `pieces` go into one container together."""
        if any(piece.lustre for piece in pieces) and (len(pieces) > 1 or not container.lid):
            return False
        return self.has_room(container.room, pieces)

    def has_room(self, room: Room, pieces: Sequence[ToFire]) -> bool:
        """Whether a container's room is high and wide enough; a measure that nobody has taken keeps one piece in it."""
        free = self.free_mm(room)
        if room.height_mm is not None and max(piece.height_mm for piece in pieces) > room.height_mm - free:
            return False
        footprints = tuple(sorted((piece.footprint for piece in pieces), key=_large_first))
        known = (room, footprints)
        if known not in self._known:
            self._known[known] = _stand_in(room, free, footprints)
        return self._known[known]

    def free_mm(self, room: Room) -> int:
        """What stays free all round a piece in that room and above it."""
        return max(self.practice.container_room_mm, room.clearance_mm)

    def hold(self, pieces: Sequence[ToFire]) -> Held | None:
        """A container's name for each piece, or nothing where they do not all find one.

        One each comes first, and then the smallest sharing; for a few pieces every way to share is tried at last.
        """
        each = self._one_each([(piece,) for piece in pieces])
        if each is not None:
            return tuple(one.name for one in each)
        shared = self._smallest_shared(pieces)
        return shared if shared or len(pieces) > MOST_SEARCHED else self._shared_somehow(pieces)

    def _one_each(self, groups: Sequence[Sequence[ToFire]]) -> list[Container] | None:
        """A container for each group, matched so that all find one if that is possible at all."""
        if len(groups) > len(self.containers):
            return None
        fitting = [[number for number, one in enumerate(self.containers) if self.takes(one, group)] for group in groups]
        taken: dict[int, int] = {}
        # Whoever has the fewest to choose from chooses first, and nobody has to give way but for one who has no other.
        for group in sorted(range(len(groups)), key=lambda number: len(fitting[number])):
            if not _finds_one(group, fitting, taken, set()):
                return None
        mine = {group: self.containers[number] for number, group in taken.items()}
        return [mine[group] for group in range(len(groups))]

    def _shared_somehow(self, pieces: Sequence[ToFire]) -> Held | None:
        """The way to share in which the fewest pieces share, and those in the smallest containers."""
        everyone = (1 << len(pieces)) - 1
        # For each set of pieces that the containers so far can hold, the best way to.
        best: dict[int, tuple[tuple[int, int], tuple[tuple[int, str], ...]]] = {0: ((0, 0), ())}
        for rank, container in enumerate(self.containers):
            groups = self._groups(container, pieces)
            for mask, ((sharing, size), ways) in list(best.items()):
                for group in groups:
                    if group & mask:
                        continue
                    cost = (sharing + (group.bit_count() if group.bit_count() > 1 else 0), size + rank)
                    known = best.get(mask | group)
                    if known is None or cost < known[0]:
                        best[mask | group] = cost, (*ways, (group, container.name))
        if everyone not in best:
            return None
        return tuple(
            next(name for group, name in best[everyone][1] if group >> place & 1) for place in range(len(pieces))
        )

    def _groups(self, container: Container, pieces: Sequence[ToFire]) -> list[int]:
        """Every set of pieces that goes into a container together, as bits, each grown from a smaller one that does."""
        going: list[int] = []
        last = [0]
        while last:
            last = [
                group
                for smaller in last
                for place in range(smaller.bit_length(), len(pieces))
                if self.takes(container, _those(pieces, group := smaller | 1 << place))
            ]
            going += last
        return going

    def _smallest_shared(self, pieces: Sequence[ToFire]) -> Held | None:
        """Containers for the first way to put the smallest pieces together for which there are enough."""
        for groups in _groupings(pieces):
            found = self._one_each([[pieces[place] for place in group] for group in groups])
            if found is not None:
                names = {place: one.name for group, one in zip(groups, found, strict=True) for place in group}
                return tuple(names[place] for place in range(len(pieces)))
        return None


def _those(pieces: Sequence[ToFire], group: int) -> tuple[ToFire, ...]:
    return tuple(piece for place, piece in enumerate(pieces) if group >> place & 1)


def _finds_one(group: int, fitting: Sequence[Sequence[int]], taken: dict[int, int], asked: set[int]) -> bool:
    """Whether a group finds a container, with others giving theirs up for another where they can."""
    for number in fitting[group]:
        if number in asked:
            continue
        asked.add(number)
        if number not in taken or _finds_one(taken[number], fitting, taken, asked):
            taken[number] = group
            return True
    return False


def _groupings(pieces: Sequence[ToFire]) -> Iterator[list[list[int]]]:
    """Ways to put small pieces together, so many groups of so many, those in which the fewest share first."""
    places = range(len(pieces))
    sharing = sorted((place for place in places if not pieces[place].lustre), key=lambda place: _bulk(pieces[place]))
    ways = [(size * count, size) for size in range(2, len(sharing) + 1) for count in range(1, len(sharing) // size + 1)]
    for together, size in sorted(ways):
        groups = [sharing[start : start + size] for start in range(0, together, size)]
        shared = set(sharing[:together])
        yield [*groups, *([place] for place in places if place not in shared)]


def _bulk(piece: ToFire) -> tuple[float, int, int]:
    return piece.footprint.area_mm2, piece.height_mm, piece.piece_id


def _size(room: Room) -> tuple[float, int]:
    """How large a room is, as something to sort by; one that nobody has measured comes last."""
    if room.round_mm is not None:
        area = pi / 4 * room.round_mm**2
    else:
        area = float(room.width_mm * room.depth_mm) if room.width_mm and room.depth_mm else float("inf")
    return area, room.height_mm or 0


def _large_first(footprint: Footprint) -> tuple[float, float, float, bool]:
    return -footprint.area_mm2, -footprint.width_mm, -footprint.depth_mm, footprint.is_round


def _stand_in(room: Room, free_mm: int, footprints: Sequence[Footprint]) -> bool:
    """Whether footprints stand in a room side by side, with so much free between them and all round."""
    base = _base(room, free_mm)
    if base is not None:
        return base.width_mm > 0 and base.depth_mm > 0 and packed(base, free_mm, footprints) is not None
    narrow = min(footprints[0].width_mm, footprints[0].depth_mm)
    known = [side - 2 * free_mm for side in (room.width_mm, room.depth_mm) if side is not None]
    return len(footprints) == 1 and all(narrow <= side for side in known)


def _base(room: Room, free_mm: int) -> Shelf | None:
    """What pieces may stand on in a room; None where nobody has measured it."""
    if room.round_mm is not None:
        across = room.round_mm - 2 * free_mm
        return Shelf(ShelfKind.ROUND, across, across)
    if room.width_mm is None or room.depth_mm is None:
        return None
    return Shelf(ShelfKind.RECTANGULAR, room.width_mm - 2 * free_mm, room.depth_mm - 2 * free_mm)
