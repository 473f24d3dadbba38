"""The rounds of an outdoor session: proposed, checked after people have moved pieces, and told by the clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from tracker.domain.outdoor.kiln_yard import Yard
from tracker.domain.outdoor.pull_heats import pull_c
from tracker.domain.outdoor.setting_up import Container, Crew, OutdoorFloor, Round, Rounds, ToFire
from tracker.domain.studio.settings import OutdoorPractice


def propose_rounds(
    pieces: Sequence[ToFire],
    floor: OutdoorFloor,
    containers: Sequence[Container],
    crew: Crew,
    practice: OutdoorPractice,
    now: datetime,
) -> Rounds:
    """Rounds for the pieces by first fit: the cooler kind first, and within a kind the oldest promises early.

    Every piece is in one round, or left out with every reason. No round is larger than its crew gets out in time.
    Within a kind nothing dry is fired after a round with glaze that is fresh at `now`. The same pieces give the same
    rounds in whatever order they come.
    """
    yard = Yard.of(floor, containers, crew, practice)
    by_age = sorted(pieces, key=lambda piece: (piece.since, piece.piece_id))
    reasons = {piece.piece_id: yard.against(piece) for piece in by_age}
    fit = [piece for piece in by_age if not reasons[piece.piece_id]]
    kinds = sorted({piece.kind for piece in fit}, key=lambda kind: pull_c(kind, practice))
    some = [one for kind in kinds for one in _shared([piece for piece in fit if piece.kind is kind], yard, now)]
    return Rounds(
        tuple(made for one in some if (made := yard.round_of(one)) is not None),
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


Some = list[ToFire]
"""The pieces of one round."""


def _shared(by_age: Sequence[ToFire], yard: Yard, now: datetime) -> list[Some]:
    """Pieces of one kind in rounds: by age, size or wall, whichever has fewer rounds and then less waiting."""
    by_size = sorted(
        by_age,
        key=lambda piece: (not piece.is_apart, not piece.luster, -piece.footprint.area_mm2, piece.piece_id),
    )
    # A thin wall makes its whole round small, so thin ones may be better off together.
    by_wall = sorted(by_age, key=lambda piece: piece.wall_mm or yard.practice.thin_wall_mm)
    ways = [_in_turn(_first_fit(pieces, yard, now), yard.practice, now) for pieces in (by_age, by_size, by_wall)]
    return min(ways, key=lambda rounds: (len(rounds), _waiting(rounds, now)))


def _first_fit(pieces: Sequence[ToFire], yard: Yard, now: datetime) -> list[Some]:
    """Each piece in the first round that takes it too, fresh ones at the earliest in the last with dry ones."""
    rounds: list[Some] = []
    for is_fresh in (False, True):
        first = max(len(rounds) - 1, 0)
        for piece in pieces:
            if piece.is_fresh(now, yard.practice) is is_fresh:
                into = next((some for some in rounds[first:] if yard.round_of([*some, piece])), None)
                if into is None:
                    rounds.append(into := [])
                into.append(piece)
    return rounds


def _in_turn(rounds: Sequence[Some], practice: OutdoorPractice, now: datetime) -> list[Some]:
    """The rounds as they are fired: those with fresh glaze last, and otherwise those that have waited most first."""

    def turn(some: Some) -> tuple[int, int, list[int]]:
        fresh = [piece.is_fresh(now, practice) for piece in some]
        return any(fresh) + all(fresh), -_weight(some, now), [piece.piece_id for piece in some]

    return sorted(rounds, key=turn)


def _waiting(rounds: Sequence[Some], now: datetime) -> int:
    """How long the pieces wait in all: each one's rounds before its own, by what it weighs that it waits."""
    return sum(number * _weight(some, now) for number, some in enumerate(rounds))


def _weight(some: Some, now: datetime) -> int:
    return sum(piece.waiting(now) for piece in some)


# ---- by the clock ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class RoundTime:
    """When a round begins and ends, and whether it ends before dark; it does where it isn't known when that is.

    `change_min` is how long the kiln is brought to another heat before it begins.
    """

    starts_at: datetime
    ends_at: datetime
    before_dark: bool
    change_min: int = 0


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

    Between two rounds of different heat the kiln is changed from one to the other. Rounds that are `done` keep the
    times they had, from the first on, and the one after them runs from `running_since` if that is given. The end of the
    last is the end of the session.
    """
    heats = [pull_c(one.kind, practice) for one in rounds.rounds]
    times = [RoundTime(*both, dark_at is None or both[1] <= dark_at) for both in done[: len(heats)]]
    for number in range(len(times), len(heats)):
        changes = number > 0 and heats[number] != heats[number - 1]
        change_min = practice.change_heat_min if changes else 0
        begins = (times[-1].ends_at if times else starts_at) + timedelta(minutes=change_min)
        if number == len(done) and running_since is not None:
            begins, change_min = running_since, 0
        ends = begins + timedelta(minutes=practice.later_round_min if number else practice.first_round_min)
        times.append(RoundTime(begins, ends, dark_at is None or ends <= dark_at, change_min))
    return tuple(times)
