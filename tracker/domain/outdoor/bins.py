"""Which container waits for which piece: one each where there are enough, shared where there are not.

Lengths are mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import pi

from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.message import Message, _
from tracker.domain.outdoor.kiln_floor import large_first, packed
from tracker.domain.outdoor.setting_up import Container, ToFire
from tracker.domain.studio.kilns import Room
from tracker.domain.studio.settings import OutdoorPractice

Inside = dict[int, tuple[ToFire, ...]]
"""The pieces in each container that is not empty, by its number."""

_MOST_TRIES = 300
# So many times at most a piece is put into a container before a search is given up, after some 10 ms. In 420 sessions
# drawn by lot 2,000 tries saved no round that 50 did not.


class Containers:
    """The containers of a session, and which pieces go into each of them."""

    def __init__(self, containers: Sequence[Container], practice: OutdoorPractice) -> None:
        """Keep them from small to large, so that a piece is offered the smallest that it fits."""
        self.containers = sorted(containers, key=lambda one: (_size(one.room), one.lid, one.name))
        self.practice = practice
        self._known: dict[tuple[Room, tuple[Footprint, ...]], bool] = {}

    def against(self, piece: ToFire) -> Message | None:
        """Why no container here takes a piece, or None."""
        if not self.containers:
            return Message("no-container", _("This session has no bins."))
        if piece.luster and not any(one.lid for one in self.containers):
            words = _("A copper luster needs its own bin with a tight lid. No bin here has a lid.")
            return Message("no-lid", words)
        if any(self.takes(one, (piece,)) for one in self.containers):
            return None
        if piece.luster and any(self.has_room(one.room, (piece,)) for one in self.containers):
            words = _("A copper luster needs its own bin with a tight lid. No bin with a lid is large enough.")
            return Message("no-large-lid", words)
        return Message("no-large-container", _("No bin here is large enough for this piece."))

    def takes(self, container: Container, pieces: Sequence[ToFire]) -> bool:
        """Whether all of `pieces` go into one container together."""
        if any(piece.luster for piece in pieces) and (len(pieces) > 1 or not container.lid):
            return False
        return self.has_room(container.room, pieces)

    def has_room(self, room: Room, pieces: Sequence[ToFire]) -> bool:
        """Whether a container's room is high and wide enough; a measure that nobody has taken keeps one piece in it."""
        free = self.free_mm(room)
        if room.height_mm is not None and max(piece.height_mm for piece in pieces) > room.height_mm - free:
            return False
        footprints = tuple(sorted((piece.footprint for piece in pieces), key=large_first))
        known = (room, footprints)
        if known not in self._known:
            self._known[known] = _stand_in(room, free, footprints)
        return self._known[known]

    def free_mm(self, room: Room) -> int:
        """What stays free all round a piece in that room and above it."""
        return max(self.practice.container_room_mm, room.clearance_mm)

    def hold(self, pieces: Sequence[ToFire]) -> tuple[str, ...] | None:
        """A container's name for each piece, or nothing where no way is found in which all have one.

        One each comes first, and sharing where that cannot be.
        """
        in_order = sorted(pieces, key=_hard_to_place_first)
        for most_in_one in (1, len(pieces)):
            if len(pieces) <= most_in_one * len(self.containers):
                found = _Search(self, most_in_one).place(in_order, {})
                if found is not None:
                    inside = {piece.piece_id: number for number, group in found.items() for piece in group}
                    return tuple(self.containers[inside[piece.piece_id]].name for piece in pieces)
        return None


class _Search:
    """Puts one piece after another into a container, and takes the last out again where the next finds none."""

    def __init__(self, containers: Containers, most_in_one: int) -> None:
        self.containers = containers
        self.most_in_one = most_in_one
        self.tries = _MOST_TRIES

    def place(self, pieces: Sequence[ToFire], inside: Inside) -> Inside | None:
        """All pieces with those that are inside already, or nothing where that cannot be or takes too many tries."""
        if not pieces:
            return inside
        for number in self._open_to(pieces[0], inside):
            if self.tries == 0:
                break
            self.tries -= 1
            found = self.place(pieces[1:], {**inside, number: (*inside.get(number, ()), pieces[0])})
            if found is not None:
                return found
        return None

    def _open_to(self, piece: ToFire, inside: Inside) -> Iterator[int]:
        """The containers that take one piece more: empty ones before shared ones, and of those just alike the first."""
        tried = set()
        for number in sorted(range(len(self.containers.containers)), key=inside.__contains__):
            container, group = self.containers.containers[number], inside.get(number, ())
            alike = (container.room, container.lid, group)
            if len(group) < self.most_in_one and alike not in tried:
                tried.add(alike)
                if self.containers.takes(container, (*group, piece)):
                    yield number


def _hard_to_place_first(piece: ToFire) -> tuple[bool, float, int, int]:
    return not piece.luster, -piece.footprint.area_mm2, -piece.height_mm, piece.piece_id


def _size(room: Room) -> tuple[float, int]:
    """How large a room is, as something to sort by; one that nobody has measured comes last."""
    if room.round_mm is not None:
        area = pi / 4 * room.round_mm**2
    else:
        area = float(room.width_mm * room.depth_mm) if room.width_mm and room.depth_mm else float("inf")
    return area, room.height_mm or 0


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
