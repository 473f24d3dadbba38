"""The rounds of an outdoor session: proposed, checked after people have moved pieces, and told by the clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from tracker.domain.outdoor.kiln_yard import Yard
from tracker.domain.outdoor.setting_up import Container, Crew, OutdoorFloor, Round, Rounds, ToFire
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.settings import OutdoorPractice


def propose_rounds(
    pieces: Sequence[ToFire],
    floor: OutdoorFloor,
    containers: Sequence[Container],
    crew: Crew,
    practice: OutdoorPractice,
    now: datetime,
) -> Rounds:
    """Rounds for the pieces by first fit, the oldest promises early.

    Every piece is in one round, or left out with every reason. Nothing dry is fired after a round with glaze that is
    fresh at `now`. The same pieces give the same rounds in whatever order they come.
    """
    yard = Yard.of(floor, containers, crew, practice)
    by_age = sorted(pieces, key=lambda piece: (piece.since, piece.piece_id))
    reasons = {piece.piece_id: yard.against(piece) for piece in by_age}
    fit = [piece for piece in by_age if not reasons[piece.piece_id]]
    raku, horsehair = (
        _shared([piece for piece in fit if piece.kind is kind], yard, now)
        for kind in (RouteKind.RAKU, RouteKind.HORSEHAIR)
    )
    return Rounds(
        tuple(one for some in _in_turn([*raku, *horsehair], practice, now) if (one := yard.round_of(some)) is not None),
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
    """Pieces of one kind in rounds: by their age or by their size, whichever has fewer rounds and then less waiting."""
    by_size = sorted(
        by_age,
        key=lambda piece: (not piece.is_apart, not piece.lustre, -piece.footprint.area_mm2, piece.piece_id),
    )
    ways = [_in_turn(_first_fit(pieces, yard, now), yard.practice, now) for pieces in (by_age, by_size)]
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
