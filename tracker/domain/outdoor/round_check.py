"""What is wrong with a round as people have arranged it by hand: each rule that it breaks, in one sentence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, pairwise

from tracker.domain.outdoor.bins import Containers
from tracker.domain.outdoor.kiln_floor import between_mm, inside_mm, is_in_sight
from tracker.domain.outdoor.kiln_yard import Yard, turn
from tracker.domain.outdoor.setting_up import Container, Crew, OutdoorFloor, Round, Stood, ToFire
from tracker.domain.studio.kilns import OUTDOORS, RouteKind
from tracker.domain.studio.settings import OutdoorPractice

_LEEWAY_MM = 0.01
# Places are written down in thousandths of a mm.

Standing = Sequence[tuple[Stood, ToFire]]
"""The pieces of a round with their places, in the order in which they are pulled."""


def breaks(
    one: Round,
    pieces: Sequence[ToFire],
    floor: OutdoorFloor,
    containers: Sequence[Container],
    crew: Crew,
    practice: OutdoorPractice,
) -> tuple[str, ...]:
    """Every rule that a round breaks, one sentence each; `pieces` are those of the session, or more.

    Fresh glaze last is a rule between rounds and is not asked here.
    """
    known = {piece.piece_id: piece for piece in pieces}
    standing = [(stood, known[stood.piece_id]) for stood in one.stood if stood.piece_id in known]
    yard = Yard.of(floor, containers, crew, practice)
    return (
        *_of_the_whole(one, known, yard),
        *(says for stood, piece in standing for says in _of_one(one.kind, stood, piece, yard)),
        *_too_near(standing, practice),
        *(_of_containers(standing, yard.containers) if one.kind is RouteKind.RAKU else ()),
        *_out_of_turn(standing),
    )


def _of_the_whole(one: Round, known: Mapping[int, ToFire], yard: Yard) -> Iterator[str]:
    if one.kind not in OUTDOORS:
        yield f"A round is raku or horsehair, and this one is {one.kind}."
    if len(one.stood) > yard.most:
        yield f"{len(one.stood)} pieces are too many: this crew pulls {yard.most} before the last is too cool."
    for piece_id, times in Counter(one.piece_ids).items():
        if piece_id not in known:
            yield f"Piece {piece_id} is not in this session."
        elif times > 1:
            yield f"{known[piece_id].ref} stands in this round {times} times."


def _of_one(kind: RouteKind, stood: Stood, piece: ToFire, yard: Yard) -> Iterator[str]:
    """What is wrong with one piece where it stands."""
    floor, place = yard.floor, (piece.footprint, stood.spot)
    if piece.kind is not kind:
        yield f"{piece.ref} is for {piece.kind} and the round is {kind}."
    if piece.height_mm > floor.height_mm:
        yield f"{piece.ref} is {piece.height_mm} mm high and the kiln has room for {floor.height_mm} mm."
    if (heavy := yard.too_heavy(piece)) is not None:
        yield f"{piece.ref} is too heavy: {heavy[0].lower()}{heavy[1:]}"
    if inside_mm(floor.shelf, place) < -_LEEWAY_MM:
        yield f"{piece.ref} stands off the floor."
    if piece.is_apart and not stood.apart:
        yield f"{piece.ref} has a warning and is not set apart."
    if piece.is_apart and not is_in_sight(floor, place):
        yield f"{piece.ref} has a warning and does not stand at the edge, where the puller sees it."
    if kind is RouteKind.HORSEHAIR and stood.container is not None:
        yield f"{piece.ref} is for horsehair, which is laid on a shelf and goes into no container."


def _too_near(standing: Standing, practice: OutdoorPractice) -> Iterator[str]:
    """Each pair with less room between them than tongs need, or than a piece set apart is to have."""
    for (stood, piece), (other_stood, other) in combinations(standing, 2):
        if piece.piece_id == other.piece_id:
            continue
        is_apart = piece.is_apart or other.is_apart
        needed = practice.room_apart_mm if is_apart else practice.tong_room_mm
        room = between_mm((piece.footprint, stood.spot), (other.footprint, other_stood.spot))
        if room < needed - _LEEWAY_MM:
            why = "a piece set apart is to have" if is_apart else "the tongs need"
            between = f"{max(room, 0):.0f} mm between them" if room > 0 else "no room between them"
            yield f"{piece.ref} and {other.ref} have {between} and {why} {needed} mm."


def _of_containers(standing: Standing, containers: Containers) -> Iterator[str]:
    """Who has no container, who does not fit into the one that waits for it, and who must not share it."""
    by_name = {container.name: container for container in containers.containers}
    inside: dict[str, list[ToFire]] = {}
    for stood, piece in standing:
        if stood.container is None:
            yield f"{piece.ref} has no container."
        elif stood.container not in by_name:
            yield f"{piece.ref} is to go into container {stood.container}, and there is none of that name."
        else:
            inside.setdefault(stood.container, []).append(piece)
    for name, pieces in inside.items():
        yield from _in_one_container(by_name[name], pieces, containers)


def _in_one_container(container: Container, pieces: Sequence[ToFire], containers: Containers) -> Iterator[str]:
    for piece in pieces:
        if piece.lustre and len(pieces) > 1:
            yield f"{piece.ref} is a copper lustre and shares container {container.name}: it wants one to itself."
        if piece.lustre and not container.lid:
            yield f"{piece.ref} is a copper lustre and container {container.name} has no lid."
    small = [piece for piece in pieces if not containers.has_room(container.room, (piece,))]
    free = containers.free_mm(container.room)
    for piece in small:
        yield f"{piece.ref} does not fit container {container.name} with {free} mm free all round it."
    if not small and len(pieces) > 1 and not containers.has_room(container.room, pieces):
        refs = " and ".join(piece.ref for piece in pieces)
        yield f"{refs} do not fit container {container.name} together with {free} mm between them."


def _out_of_turn(standing: Standing) -> Iterator[str]:
    """Who is pulled too late or too early: crackle comes first, and what somebody was warned of last."""
    for (_, before), (_, after) in pairwise(standing):
        if turn(after) < turn(before):
            yield f"{after.ref} is pulled after {before.ref} and should be pulled before it."
