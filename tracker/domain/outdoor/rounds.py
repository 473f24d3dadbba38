"""The rounds of an outdoor session: proposed, checked after people have moved pieces, and told by the clock."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import product

from tracker.domain.outdoor.kiln_floor import taken_mm2
from tracker.domain.outdoor.kiln_yard import Yard
from tracker.domain.outdoor.round_check import breaks
from tracker.domain.outdoor.round_search import FEW, Asked, Share, fewest
from tracker.domain.outdoor.setting_up import Container, Crew, OutdoorFloor, Round, Rounds, ToFire
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.settings import OutdoorPractice

__all__ = ["RoundTime", "before_dark", "breaks", "lay_round", "propose_rounds", "timetable", "warm_up"]


def propose_rounds(
    pieces: Sequence[ToFire],
    floor: OutdoorFloor,
    containers: Sequence[Container],
    crew: Crew,
    practice: OutdoorPractice,
    now: datetime,
) -> Rounds:
    """The fewest rounds for the pieces, and of those the ones with the least waiting for the oldest promises.

    Every piece is in one round, or left out with every reason. Nothing dry is fired after a round with glaze that is
    fresh at `now`. The same pieces give the same rounds in whatever order they come. Up to eight pieces of a kind no
    other sharing has fewer rounds by the same floor plans; for more it is a good one.
    """
    yard = Yard.of(floor, containers, crew, practice)
    in_order = sorted(pieces, key=lambda piece: (piece.since, piece.piece_id))
    reasons = {piece.piece_id: yard.against(piece) for piece in in_order}
    fit = [piece for piece in in_order if not reasons[piece.piece_id]]
    shared = _least_waiting(_all_ways(fit, yard, now), _before(now, practice), now)
    return Rounds(
        tuple(one for some in shared if (one := yard.round_of(some)) is not None),
        tuple((piece_id, why) for piece_id, why in reasons.items() if why),
    )


def lay_round(
    pieces: Sequence[ToFire],
    floor: OutdoorFloor,
    containers: Sequence[Container],
    crew: Crew,
    practice: OutdoorPractice,
) -> Round | None:
    """One round of exactly these pieces, or None where they do not go together."""
    yard = Yard.of(floor, containers, crew, practice)
    if len({piece.kind for piece in pieces}) != 1 or any(map(yard.against, pieces)):
        return None
    return yard.round_of(pieces)


Some = tuple[ToFire, ...]
"""The pieces of one round."""


def _all_ways(pieces: Sequence[ToFire], yard: Yard, now: datetime) -> list[list[tuple[Some, ...]]]:
    """For raku and for horsehair the ways to share the pieces among the fewest rounds."""
    both = []
    for kind in (RouteKind.RAKU, RouteKind.HORSEHAIR):
        mine = [piece for piece in pieces if piece.kind is kind]
        asked = _asked(mine, yard, now)
        ways = fewest(asked)
        if len(pieces) > FEW:
            ways = [min(ways, key=lambda way: (asked.waits(way), way))]
        both.append([tuple(_those(mine, share) for share in way) for way in ways])
    return both


def _those(pieces: Sequence[ToFire], share: Share) -> Some:
    return tuple(pieces[number] for number in share)


def _asked(pieces: Sequence[ToFire], yard: Yard, now: datetime) -> Asked:
    practice = yard.practice
    room = {True: practice.room_apart_mm, False: practice.tong_room_mm}
    return Asked(
        weights=[piece.waiting(now) for piece in pieces],
        fresh=[piece.is_fresh(now, practice) for piece in pieces],
        lustre=[piece.lustre for piece in pieces],
        apart=[piece.is_apart for piece in pieces],
        area=[taken_mm2(piece.footprint, room[piece.is_apart]) for piece in pieces],
        most=yard.most,
        takes=lambda share: yard.takes(_those(pieces, share)),
        stands=lambda share: yard.spots(_those(pieces, share)) is not None,
    )


def _before(now: datetime, practice: OutdoorPractice) -> Callable[[Some], tuple[int, int, datetime, tuple[int, ...]]]:
    """When a round comes: those with fresh glaze last, and otherwise those that have waited most first."""

    def key(some: Some) -> tuple[int, int, datetime, tuple[int, ...]]:
        fresh = [piece.is_fresh(now, practice) for piece in some]
        late = 2 if all(fresh) else int(any(fresh))
        return late, -_weight(some, now), min(piece.since for piece in some), tuple(piece.piece_id for piece in some)

    return key


def _weight(some: Some, now: datetime) -> int:
    return sum(piece.waiting(now) for piece in some)


def _least_waiting(
    both: Sequence[Sequence[tuple[Some, ...]]],
    before: Callable[[Some], tuple[int, int, datetime, tuple[int, ...]]],
    now: datetime,
) -> list[Some]:
    """The rounds of both kinds in their order, of all ways the one in which the pieces wait least."""
    ways = (sorted((*raku, *horsehair), key=before) for raku, horsehair in product(*both))
    return min(
        ways,
        key=lambda way: (
            sum(turn * _weight(some, now) for turn, some in enumerate(way)),
            [before(some) for some in way],
        ),
    )


# ---- by the clock ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class RoundTime:
    """When a round begins and ends, and whether it ends before dark; it does where nobody has said when that is."""

    starts_at: datetime
    ends_at: datetime
    before_dark: bool


def timetable(
    rounds: Rounds,
    starts_at: datetime,
    dark_at: datetime | None,
    practice: OutdoorPractice,
    *,
    done: Sequence[tuple[datetime, datetime]] = (),
    running_since: datetime | None = None,
) -> tuple[RoundTime, ...]:
    """The time of each round: the first heats from cold, later ones begin as the one before them ends.

    Rounds that are `done` keep the times they had, from the first on, and the one after them runs from `running_since`
    if that is given. The end of the last is the end of the session.
    """
    times = list(done[: len(rounds.rounds)])
    for number in range(len(times), len(rounds.rounds)):
        begins = times[-1][1] if times else starts_at
        if number == len(done) and running_since is not None:
            begins = running_since
        minutes = practice.later_round_min if number else practice.first_round_min
        times.append((begins, begins + timedelta(minutes=minutes)))
    return tuple(RoundTime(begins, ends, dark_at is None or ends <= dark_at) for begins, ends in times)


def before_dark(rounds: Rounds, times: Sequence[RoundTime]) -> tuple[int, ...]:
    """The pieces whose rounds end before dark, in the order in which they are pulled."""
    lit = (one for one, time in zip(rounds.rounds, times, strict=True) if time.before_dark)
    return tuple(piece_id for one in lit for piece_id in one.piece_ids)


def warm_up(rounds: Rounds, index: int) -> tuple[int, ...]:
    """The pieces of the round after number `index`, counted from 0, so that they can warm up; none after the last."""
    following = rounds.rounds[index + 1 : index + 2] if index >= -1 else ()
    return tuple(piece_id for one in following for piece_id in one.piece_ids)
