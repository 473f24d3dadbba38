"""What is wrong with a round as people have arranged it by hand: each rule that it breaks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, pairwise

from tracker.domain.message import Choice, Message, _
from tracker.domain.outdoor.bins import Containers
from tracker.domain.outdoor.kiln_floor import between_mm, inside_mm, is_in_sight
from tracker.domain.outdoor.kiln_yard import Yard, turn
from tracker.domain.outdoor.pull_heats import pull_c
from tracker.domain.outdoor.setting_up import Container, Crew, OutdoorFloor, Round, Stood, ToFire
from tracker.domain.quantities import celsius, compared, mm
from tracker.domain.studio.kilns import PULLED_HOT, RouteKind
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
) -> tuple[Message, ...]:
    """Every rule that a round breaks; `pieces` are those of the session, or more.

    Fresh glaze last is a rule between rounds and is not asked here.
    """
    known = {piece.piece_id: piece for piece in pieces}
    standing = [(stood, known[stood.piece_id]) for stood in one.stood if stood.piece_id in known]
    yard = Yard.of(floor, containers, crew, practice)
    return (
        *_of_the_whole(one, known, yard),
        *(one_break for stood, piece in standing for one_break in _of_one(one.kind, stood, piece, yard)),
        *_too_near(standing, practice),
        *(_of_containers(standing, yard.containers) if one.kind is RouteKind.RAKU else ()),
        *_out_of_turn(standing),
    )


def _of_the_whole(one: Round, known: Mapping[int, ToFire], yard: Yard) -> Iterator[Message]:
    if one.kind not in PULLED_HOT:
        yield Message("round-of-neither", _("A round is raku or horsehair. This one is {kind}."), kind=one.kind)
    most = yard.most_of(one.kind, [known[piece_id] for piece_id in one.piece_ids if piece_id in known])
    if len(one.stood) > most:
        words = _("{count} pieces are more than this crew can pull: {most} before the last is too cool.")
        yield Message("too-many", words, count=len(one.stood), most=most)
    for piece_id, times in Counter(one.piece_ids).items():
        if piece_id not in known:
            yield Message("not-in-session", _("Piece {piece} isn't in this session."), piece=str(piece_id))
        elif times > 1:
            words = _("{piece} is in this round {times} times.")
            yield Message("stands-twice", words, piece=known[piece_id].ref, times=times)


def out_of_heat(kinds: Sequence[RouteKind], practice: OutdoorPractice) -> tuple[Message | None, ...]:
    """For each of the rounds to come, in their order, what is wrong with its turn: cool ones go before hot ones."""
    heats = [pull_c(kind, practice) for kind in kinds]
    words = _("A cooler round comes after a hotter one: {heat} after {before}.")
    found: list[Message | None] = []
    for heat, before in zip(heats, (heats[:1] + heats)[: len(heats)], strict=True):
        cool, hot = compared(celsius(heat), celsius(before))
        found.append(Message("out-of-heat", words, heat=cool, before=hot) if heat < before else None)
    return tuple(found)


def _of_one(kind: RouteKind, stood: Stood, piece: ToFire, yard: Yard) -> Iterator[Message]:
    """What is wrong with one piece where it stands."""
    floor, place = yard.floor, (piece.footprint, stood.spot)
    if piece.kind is not kind:
        words = _("{piece} is for {kind}. The round is {round}.")
        yield Message("wrong-kind", words, piece=piece.ref, kind=piece.kind, round=kind)
    if piece.height_mm > floor.height_mm:
        words = _("{piece} is {height} high. The kiln has room for {room}.")
        height, free = compared(mm(piece.height_mm), mm(floor.height_mm))
        yield Message("piece-too-high", words, piece=piece.ref, height=height, room=free)
    if yard.is_too_heavy(piece):
        words = _("{piece} is too heavy: {weight}. The tongs should lift {limit} at most.")
        yield Message("piece-too-heavy", words, piece=piece.ref, **yard.weights(piece))
    if inside_mm(floor.shelf, place) < -_LEEWAY_MM:
        yield Message("off-the-floor", _("{piece} doesn't fit on the floor."), piece=piece.ref)
    if piece.is_apart and not stood.apart:
        yield Message("not-apart", _("{piece} has a warning and isn't kept apart."), piece=piece.ref)
    if piece.is_apart and not is_in_sight(floor, place):
        words = _("{piece} has a warning and isn't at the edge, where the puller sees it.")
        yield Message("out-of-sight", words, piece=piece.ref)
    if kind is RouteKind.HORSEHAIR and stood.container is not None:
        words = _("{piece} is for horsehair. Horsehair pieces don't go into a bin.")
        yield Message("horsehair-in-container", words, piece=piece.ref)


def _too_near(standing: Standing, practice: OutdoorPractice) -> Iterator[Message]:
    """Each pair with less room between them than tongs need, or than a piece set apart is to have."""
    for (stood, piece), (other_stood, other) in combinations(standing, 2):
        if piece.piece_id == other.piece_id:
            continue
        is_apart = piece.is_apart or other.is_apart
        needed = practice.room_apart_mm if is_apart else practice.tong_room_mm
        room = between_mm((piece.footprint, stood.spot), (other.footprint, other_stood.spot))
        if room < needed - _LEEWAY_MM:
            there, least = compared(mm(max(room, 0)), mm(needed))
            yield Message(
                "too-near",
                _TOO_NEAR,
                case=f"{'some' if room > 0 else 'no'} room, {'apart' if is_apart else 'tongs'}",
                pieces=(piece.ref, other.ref),
                room=there,
                needed=least,
            )


_TOO_NEAR = Choice(
    "case",
    {
        "some room, apart": _("{pieces} have {room} between them. A piece kept apart needs {needed}."),
        "some room, tongs": _("{pieces} have {room} between them. The tongs need {needed}."),
        "no room, apart": _("{pieces} have no space between them. A piece kept apart needs {needed}."),
        "no room, tongs": _("{pieces} have no space between them. The tongs need {needed}."),
    },
)


def _of_containers(standing: Standing, containers: Containers) -> Iterator[Message]:
    """Who has no container, who does not fit into the one that waits for it, and who must not share it."""
    by_name = {container.name: container for container in containers.containers}
    inside: dict[str, list[ToFire]] = {}
    for stood, piece in standing:
        if stood.container is None:
            yield Message("without-container", _("{piece} has no bin."), piece=piece.ref)
        elif stood.container not in by_name:
            words = _("{piece} is planned for bin {container}. There is no bin of that name.")
            yield Message("unknown-container", words, piece=piece.ref, container=stood.container)
        else:
            inside.setdefault(stood.container, []).append(piece)
    for name, pieces in inside.items():
        yield from _in_one_container(by_name[name], pieces, containers)


def _in_one_container(container: Container, pieces: Sequence[ToFire], containers: Containers) -> Iterator[Message]:
    for piece in pieces:
        if piece.luster and len(pieces) > 1:
            words = _("{piece} is a copper luster and needs its own bin. Here it shares bin {container}.")
            yield Message("luster-shares", words, piece=piece.ref, container=container.name)
        if piece.luster and not container.lid:
            words = _("{piece} is a copper luster. Bin {container} has no lid.")
            yield Message("luster-without-lid", words, piece=piece.ref, container=container.name)
    small = [piece for piece in pieces if not containers.has_room(container.room, (piece,))]
    free = mm(containers.free_mm(container.room))
    for piece in small:
        words = _("{piece} doesn't fit in bin {container} with {free} of space all around.")
        yield Message("does-not-fit", words, piece=piece.ref, container=container.name, free=free)
    if not small and len(pieces) > 1 and not containers.has_room(container.room, pieces):
        words = _("{pieces} don't fit together in bin {container} with {free} between them.")
        refs = tuple(piece.ref for piece in pieces)
        yield Message("do-not-fit-together", words, pieces=refs, container=container.name, free=free)


def _out_of_turn(standing: Standing) -> Iterator[Message]:
    """Who is pulled too late or too early: crackle comes first, and what somebody was warned of last."""
    for (_first, before), (_second, after) in pairwise(standing):
        if turn(after) < turn(before):
            words = _("{piece} is pulled after {other}. Pull {piece} first.")
            yield Message("out-of-turn", words, piece=after.ref, other=before.ref)
