"""An independent check of proposed rounds: its own geometry and its own reading of the rules, shared with nothing."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from functools import cache
from itertools import combinations
from typing import NamedTuple

from tests.domain.outdoor.own_plate import last_face
from tracker.domain.loading.shelf_shapes import Shelf, ShelfKind
from tracker.domain.message import Message, Sentences
from tracker.domain.outdoor.cooling import Wall
from tracker.domain.outdoor.setting_up import Container, Crew, Opening, OutdoorFloor, Round, Rounds, Stood, ToFire
from tracker.domain.studio.kilns import Room
from tracker.domain.studio.settings import OutdoorPractice

TOLERANCE_MM = 1e-3


class Session(NamedTuple):
    """All that rounds are proposed for."""

    pieces: Sequence[ToFire]
    floor: OutdoorFloor
    containers: Sequence[Container]
    crew: Crew
    practice: OutdoorPractice
    now: datetime


def faults(session: Session, rounds: Rounds) -> list[str]:
    """Everything that is wrong with proposed rounds, in words."""
    return [*_accounts(session, rounds), *_order(session, rounds), *_each(session, rounds)]


def _known(session: Session) -> dict[int, ToFire]:
    return {piece.piece_id: piece for piece in session.pieces}


def _accounts(session: Session, rounds: Rounds) -> Iterator[str]:
    """Every piece is in one round or left out, for a reason that holds."""
    told = Counter([stood.piece_id for one in rounds.rounds for stood in one.stood])
    told.update(piece_id for piece_id, _ in rounds.left_out)
    for piece_id in told.keys() | _known(session).keys():
        if told[piece_id] != 1:
            yield f"{piece_id} is told {told[piece_id]} times"
    for piece_id, why in rounds.left_out:
        for reason in each_of(why):
            if not is_true(session, _known(session)[piece_id], reason):
                yield f"{piece_id} is left out with an untrue reason: {reason}"


def each_of(why: Message) -> tuple[Message, ...]:
    """Each reason in what is said of a piece left out."""
    many = why["sentences"] if why.code == "together" else Sentences((why,))
    assert isinstance(many, Sentences)
    return many.messages


def is_true(session: Session, piece: ToFire, reason: Message) -> bool:
    """Whether what is said of a piece left out holds, as far as a piece and a yard alone can tell."""
    truths = {
        "not-fired-outdoors": piece.kind.value not in {"raku", "horsehair"},
        "kiln-too-low": piece.height_mm > session.floor.height_mm,
        "floor-too-narrow": not _goes_on(session.floor.shelf, piece),
        "floor-too-narrow-for-corners": not _goes_on(session.floor.shelf, piece),
        "too-heavy": (piece.weight_g or 0) > (session.floor.tongs_g or math.inf),
        "no-container": not session.containers,
        "no-lid": piece.luster and not any(one.lid for one in session.containers),
        "no-large-lid": piece.luster
        and not any(one.lid and goes_into(one.room, piece, session.practice) for one in session.containers),
        "no-large-container": not any(goes_into(one.room, piece, session.practice) for one in session.containers),
        "nobody-pulls": not [name for name in session.crew.pullers if name.strip()],
        "pulled-too-late": session.practice.most_a_puller == 0 or _cools_at_once(session, piece),
    }
    return truths[reason.code]


def _cools_at_once(session: Session, piece: ToFire) -> bool:
    """Whether not even a first piece with such a wall is likely to be out in time."""
    practice, kind = session.practice, piece.kind.value
    wall = piece.wall_mm or practice.thin_wall_mm
    face = face_of_the_last(wall, session.floor.air_c, kind, 1, practice)
    return face < (practice.hair_least_c if kind == "horsehair" else practice.raku_sure_c)


def _goes_on(shelf: Shelf, piece: ToFire) -> bool:
    """Whether a piece goes on a bare floor at all."""
    wide, deep = piece.footprint.width_mm, piece.footprint.depth_mm
    if shelf.kind is ShelfKind.RECTANGULAR:
        return sorted((wide, deep)) <= sorted((shelf.width_mm, shelf.depth_mm)) and max(wide, deep) <= max(
            shelf.width_mm, shelf.depth_mm
        )
    if shelf.kind is ShelfKind.ROUND:
        return (wide if piece.footprint.is_round else math.hypot(wide, deep)) <= shelf.width_mm
    radius = shelf.width_mm / 2
    if piece.footprint.is_round:
        return wide <= radius
    return min(math.hypot(wide, deep / 2), math.hypot(deep, wide / 2)) <= radius


def goes_into(room: Room, piece: ToFire, practice: OutdoorPractice) -> bool:
    """Whether one piece goes into a container with its room all round it and above."""
    free = max(practice.container_room_mm, room.clearance_mm)
    if room.height_mm is not None and piece.height_mm + free > room.height_mm:
        return False
    wide, deep = sorted((piece.footprint.width_mm, piece.footprint.depth_mm))
    if room.round_mm is not None:
        return (wide if piece.footprint.is_round else math.hypot(wide, deep)) + 2 * free <= room.round_mm + TOLERANCE_MM
    sides = sorted(side - 2 * free for side in (room.width_mm, room.depth_mm) if side is not None)
    return all(mine <= side for mine, side in zip((wide, deep), sides, strict=False))


def _order(session: Session, rounds: Rounds) -> Iterator[str]:
    """Cool rounds come first, each heat at one go; and among those of raku nothing dry comes after fresh glaze."""
    hair, raku = session.practice.horsehair_pull_c, session.practice.raku_pull_c
    heats = [hair if one.kind.value == "horsehair" else raku for one in rounds.rounds]
    if heats != sorted(heats):
        yield f"rounds change their heat to and fro: {heats}"
    seen_fresh = False
    for number, one in enumerate(rounds.rounds):
        fresh = [is_fresh(session, _known(session)[stood.piece_id]) for stood in one.stood]
        if seen_fresh and not all(fresh):
            yield f"round {number} has dry pieces after fresh ones"
        seen_fresh = seen_fresh or any(fresh)


def is_fresh(session: Session, piece: ToFire) -> bool:
    """Whether a piece for raku was glazed within the hours that glaze takes to dry."""
    dried = session.now - timedelta(hours=session.practice.fresh_hours)
    return piece.kind.value == "raku" and piece.glazed_at is not None and piece.glazed_at > dried


LIKELY = Wall(density=1800, heat_capacity=1100, conductivity=1.1, emissivity=0.9, convection=15, sides=1.3)
"""A likely wall; while it waits all of it is taken as in the open."""


@cache
def face_of_the_last(wall_mm: float, air_c: float, kind: str, number: int, practice: OutdoorPractice) -> float:
    """How hot the face of a puller's piece of this number is when it is out, hair laid on, by the tests' own plate."""
    pull = practice.horsehair_pull_c if kind == "horsehair" else practice.raku_pull_c
    open_s = practice.pull_s + (practice.hair_s if kind == "horsehair" else 0)
    waits = practice.lid_s + (number - 1) * open_s
    return last_face(LIKELY, wall_mm, pull, round(waits), 1.0, round(open_s), air_c)


def _in_time(session: Session, one: Round) -> Iterator[str]:
    """The last piece of each round, but for a piece alone, is out before its face is too cool."""
    practice, floor = session.practice, session.floor
    hands = len({name.strip().casefold() for name in session.crew.pullers} - {""})
    walls = [_known(session)[stood.piece_id].wall_mm or practice.thin_wall_mm for stood in one.stood]
    kind = one.kind.value
    number = math.ceil(len(one.stood) / hands)
    face = face_of_the_last(min(walls), floor.air_c, kind, number, practice)
    limit = practice.hair_least_c if kind == "horsehair" else practice.raku_sure_c
    # Two solvers differ by a degree or two.
    if len(one.stood) > 1 and face < limit - 3:
        yield f"the last of {len(one.stood)} pieces with walls of {min(walls)} mm comes out at {face} °C"


def _each(session: Session, rounds: Rounds) -> Iterator[str]:
    for one in rounds.rounds:
        yield from _in_time(session, one)
        pulled = len({name.strip().casefold() for name in session.crew.pullers} - {""})
        if not 0 < len(one.stood) <= pulled * session.practice.most_a_puller:
            yield f"{len(one.stood)} pieces in a round"
        yield from _on_the_floor(session, one)
        yield from _pulled(session, one)
        yield from _contained(session, one) if one.kind.value == "raku" else _laid(one)


def _on_the_floor(session: Session, one: Round) -> Iterator[str]:
    known, practice = _known(session), session.practice
    for stood in one.stood:
        piece = known[stood.piece_id]
        if piece.kind is not one.kind:
            yield f"{stood.piece_id} is of another kind"
        if piece.height_mm > session.floor.height_mm:
            yield f"{stood.piece_id} is too high"
        if _sticks_out(session.floor.shelf, piece, stood) > TOLERANCE_MM:
            yield f"{stood.piece_id} leaves the floor by {_sticks_out(session.floor.shelf, piece, stood)}"
        if stood.apart is not bool(piece.warnings):
            yield f"{stood.piece_id} is set apart or not, wrongly"
        if stood.apart and not _at_the_edge(session.floor, piece, stood):
            yield f"{stood.piece_id} is not at the puller's edge"
    for here, there in combinations(one.stood, 2):
        needed = (
            max(practice.tong_room_mm, practice.apart_room_mm) if here.apart or there.apart else practice.tong_room_mm
        )
        room = apart_mm(known[here.piece_id], here, known[there.piece_id], there)
        if room < needed - TOLERANCE_MM:
            yield f"{here.piece_id} and {there.piece_id} are {room} mm apart"


def _sides(piece: ToFire, stood: Stood) -> tuple[float, float]:
    wide, deep = piece.footprint.width_mm / 2, piece.footprint.depth_mm / 2
    return (deep, wide) if stood.turned else (wide, deep)


def _corners(piece: ToFire, stood: Stood) -> list[tuple[float, float]]:
    """The corners of a piece, or for a round one 720 points of its circle."""
    wide, deep = _sides(piece, stood)
    if piece.footprint.is_round:
        turns = [math.tau * step / 720 for step in range(720)]
        return [(stood.x_mm + wide * math.cos(turn), stood.y_mm + wide * math.sin(turn)) for turn in turns]
    return [(stood.x_mm + right * wide, stood.y_mm + back * deep) for right in (-1, 1) for back in (-1, 1)]


def _sticks_out(shelf: Shelf, piece: ToFire, stood: Stood) -> float:
    """By how much the farthest corner leaves the floor, or reaches over a seam that the centre is not on."""
    corners = _corners(piece, stood)
    if shelf.kind is ShelfKind.RECTANGULAR:
        return max(max(abs(x) - shelf.width_mm / 2, abs(y) - shelf.depth_mm / 2) for x, y in corners)
    out = max(math.hypot(x, y) for x, y in corners) - shelf.width_mm / 2
    over = max(-math.copysign(1, stood.x_mm) * x for x, _ in corners) if shelf.kind is ShelfKind.HALF else -1.0
    return max(out, over)


def _at_the_edge(floor: OutdoorFloor, piece: ToFire, stood: Stood) -> bool:
    """Whether it touches the edge that the puller stands at, to a couple of mm."""
    wide, deep = _sides(piece, stood)
    shelf = floor.shelf
    if floor.opening is Opening.FRONT and (stood.y_mm > TOLERANCE_MM or shelf.kind is ShelfKind.RECTANGULAR):
        return shelf.kind is ShelfKind.RECTANGULAR and stood.y_mm - deep <= 2 - shelf.depth_mm / 2
    if shelf.kind is ShelfKind.RECTANGULAR:
        return min(shelf.width_mm / 2 - abs(stood.x_mm) - wide, shelf.depth_mm / 2 - abs(stood.y_mm) - deep) <= 2
    return shelf.width_mm / 2 - max(math.hypot(x, y) for x, y in _corners(piece, stood)) <= 2


def apart_mm(one: ToFire, here: Stood, other: ToFire, there: Stood) -> float:
    """The room between two pieces; 0 or less where they touch or overlap."""
    if one.footprint.is_round and other.footprint.is_round:
        return (
            math.dist((here.x_mm, here.y_mm), (there.x_mm, there.y_mm)) - _sides(one, here)[0] - _sides(other, there)[0]
        )
    if not one.footprint.is_round and not other.footprint.is_round:
        (left, front, right, back), (west, south, east, north) = _box(one, here), _box(other, there)
        return math.hypot(max(west - right, left - east, 0), max(south - back, front - north, 0))
    pot, pot_at, tile, tile_at = (one, here, other, there) if one.footprint.is_round else (other, there, one, here)
    left, front, right, back = _box(tile, tile_at)
    nearest = (min(max(pot_at.x_mm, left), right), min(max(pot_at.y_mm, front), back))
    return math.dist((pot_at.x_mm, pot_at.y_mm), nearest) - _sides(pot, pot_at)[0]


def _box(piece: ToFire, stood: Stood) -> tuple[float, float, float, float]:
    wide, deep = _sides(piece, stood)
    return stood.x_mm - wide, stood.y_mm - deep, stood.x_mm + wide, stood.y_mm + deep


def _pulled(session: Session, one: Round) -> Iterator[str]:
    """Crackle first, then luster, then the rest, and what is set apart last."""
    pieces = [_known(session)[stood.piece_id] for stood in one.stood]
    words = ["crackle" if piece.crackle else "luster" if piece.luster else "plain" for piece in pieces]
    words = ["warned" if piece.warnings else word for piece, word in zip(pieces, words, strict=True)]
    # As it happens the four words stand in their order in the alphabet.
    if words != sorted(words):
        yield f"pulled out of turn: {words}"


def _laid(one: Round) -> Iterator[str]:
    yield from (f"{stood.piece_id} has a container" for stood in one.stood if stood.container is not None)


def _contained(session: Session, one: Round) -> Iterator[str]:
    """Each in a container that it fits; lusters alone under a lid; those that share with room between them."""
    known, by_name = _known(session), {container.name: container for container in session.containers}
    inside: dict[str, list[ToFire]] = {}
    for stood in one.stood:
        if stood.container not in by_name:
            yield f"{stood.piece_id} has no container"
            continue
        inside.setdefault(stood.container, []).append(known[stood.piece_id])
    for name, pieces in inside.items():
        for piece in pieces:
            if not goes_into(by_name[name].room, piece, session.practice):
                yield f"{piece.piece_id} does not go into {name}"
            if piece.luster and (len(pieces) > 1 or not by_name[name].lid):
                yield f"the luster {piece.piece_id} shares or has no lid"
        if len(pieces) > 1 and not _may_share(by_name[name].room, pieces, session.practice):
            yield f"container {name} is too small for {len(pieces)}"


def _may_share(room: Room, pieces: Sequence[ToFire], practice: OutdoorPractice) -> bool:
    """What must hold at least where pieces stand side by side: their widest circles fit in twos, and their areas."""
    free = max(practice.container_room_mm, room.clearance_mm)
    if room.round_mm is None and None in (room.width_mm, room.depth_mm):
        return False
    narrow = [min(piece.footprint.width_mm, piece.footprint.depth_mm) for piece in pieces]
    if room.round_mm is not None:
        across, area = room.round_mm - 2 * free, math.pi / 4 * (room.round_mm - 2 * free) ** 2
        in_twos = all(one + other + free <= across + TOLERANCE_MM for one, other in combinations(narrow, 2))
    else:
        wide, deep = (room.width_mm or 0) - 2 * free, (room.depth_mm or 0) - 2 * free
        area = wide * deep
        in_twos = all(
            math.hypot(wide - (one + other) / 2, deep - (one + other) / 2) >= (one + other) / 2 + free - TOLERANCE_MM
            for one, other in combinations(narrow, 2)
        )
    return in_twos and sum(piece.footprint.area_mm2 for piece in pieces) <= area
