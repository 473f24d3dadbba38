"""What an afternoon outdoors will take and may cost: fuel, how long a pull may last, and what broke here before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tracker.domain.firing.costs import shared, volume_mm3
from tracker.domain.message import Message, Plural, _, together
from tracker.domain.outdoor.breakage import By, Fired, Harm, Losses, losses_like
from tracker.domain.outdoor.cooling import (
    FAST_WALL,
    LIKELY_WALL,
    SLOW_WALL,
    PullEstimate,
    Range,
    cool,
    pulls_in_time,
    safe_pulls,
    seconds_until,
)
from tracker.domain.outdoor.evaporation import Draw, EvaporationVerdict, keeps_up
from tracker.domain.outdoor.fuel import FuelGuess, FuelVerdict, SessionFuel, enough, kg_per_round
from tracker.domain.outdoor.pull_heats import hot_enough_c, pull_c
from tracker.domain.outdoor.setting_up import MILD_C
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Piece
from tracker.domain.quantities import celsius, seconds
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.settings import OutdoorPractice
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.usecases.outdoor.stories import RoundSeen, SessionSeen

_EVERY_S, _MINUTE_S = 5, 60


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionFuelSeen:
    """A session's fuel: the guess for its kiln, whether there is enough for its rounds, and what it took in the end.

    `evaporation` tells whether the tanks keep up with the burner; None once the session is over.
    `shares` are the pieces with what each took, in g, adding up to `used_g`; both are empty until it was weighed twice.
    """

    guess: FuelGuess
    rounds: int
    verdict: FuelVerdict | None
    evaporation: EvaporationVerdict | None
    used_g: int | None
    shares: tuple[tuple[PieceRow, int], ...]


def fuel_of(reader: Queries, it: SessionSeen) -> SessionFuelSeen:
    """What a session's fuel comes to, learned from what this kiln's other sessions took."""
    session, known = it.session, reader.catalog().practice
    facts, practice = session.facts, known.fuel
    weighed = [row for row in reader.outdoors.fuel(session.kiln.name) if row.session_id != session.id]
    guess = kg_per_round(
        [
            SessionFuel(before_g=round(row.burned_kg * 1000), after_g=0, rounds=row.rounds)
            for row in reversed(weighed)
            if round(row.burned_kg * 1000) > 0
        ],
        practice,
    )
    rounds = len(it.rounds)
    on_hand, is_coming = facts.fuel_before_kg, session.is_open and rounds > 0
    verdict = enough(on_hand, rounds, guess, practice) if is_coming and on_hand is not None else None
    draw = Draw.of(facts.burner_kw, guess, known.outdoors.later_round_min)
    used = guess.for_rounds(rounds)[1]
    evaporation = keeps_up(facts.tanks, on_hand, used, facts.air_c, draw) if is_coming else None
    used_g = None if session.fuel_used_kg is None else round(session.fuel_used_kg * 1000)
    return SessionFuelSeen(
        guess=guess,
        rounds=rounds,
        verdict=verdict,
        evaporation=evaporation,
        used_g=used_g,
        shares=_shares(it, used_g) if used_g else (),
    )


def _shares(it: SessionSeen, used_g: int) -> tuple[tuple[PieceRow, int], ...]:
    rows = [piece.row for one in it.rounds for piece in one.pieces if piece.outcome is not None]
    return tuple(zip(rows, shared(used_g, [volume_mm3(row.piece) for row in rows]), strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundPull:
    """How many pieces one puller gets out of a round in time, and whether its crew is asked for more than is likely."""

    estimate: PullEstimate
    kind: RouteKind
    practice: OutdoorPractice
    pullers: int
    many: int
    wall_mm: float
    air_c: float

    @property
    def cooling(self) -> tuple[tuple[int, Range], ...]:
        """The temperature of the thinnest wall's face in °C after so many seconds in the open, for a minute."""
        kiln = pull_c(self.kind, self.practice)
        fast, likely, slow = (
            cool(self.wall_mm, kiln, self.air_c, _MINUTE_S, wall=wall) for wall in (FAST_WALL, LIKELY_WALL, SLOW_WALL)
        )
        return tuple(
            (second, Range(fast[second - 1], likely[second - 1], slow[second - 1]))
            for second in range(_EVERY_S, _MINUTE_S + 1, _EVERY_S)
        )

    @property
    def is_full(self) -> bool:
        """Whether there is more in the kiln than a round is planned with for this crew."""
        return self.many > self.safe

    @property
    def safe(self) -> int:
        """How many pieces the crew gets out while they are hot enough, on the safe end of the estimate."""
        return safe_pulls(self.wall_mm, self.air_c, self.practice, self.kind) * self.pullers

    @property
    def note(self) -> Message:
        """What a puller should know before the kiln opens."""
        return together(self._notes())

    def _notes(self) -> Iterator[Message]:
        lasts, (_low, likely, high) = self.estimate.seconds, self.estimate.by(self.pullers)
        window = {"likely": seconds(lasts.likely), "low": seconds(lasts.low), "high": seconds(lasts.high)}
        if self.kind is RouteKind.HORSEHAIR:
            words = _(
                "Estimate: hair marks until about {likely} after the kiln opens, between {low} and {high}. "
                "By then every piece must be out and have its hair."
            )
            yield Message("hair-marks", words, **window)
            if pull_c(self.kind, self.practice) > self.practice.hair_most_c:
                wait = seconds_until(
                    self.practice.hair_most_c, self.wall_mm, pull_c(self.kind, self.practice), self.air_c
                )
                words = _("For the first {wait} after the kiln opens, hair burns away. Wait.")
                yield Message("hair-waits", words, wait=seconds(wait.likely))
        else:
            words = _(
                "Estimate: the face stays above {limit} for about {likely} after the kiln opens, "
                "between {low} and {high}. By then every piece must be in its bin."
            )
            yield Message("stays-hot", words, limit=celsius(hot_enough_c(self.kind, self.practice)), **window)
        yield from self._first_late(lasts.low)
        if self.is_full:
            many = Plural(
                "pullers",
                "{many} pieces are too many for one puller. Plan {safe}. Likely in time: {likely}, at best {high}.",
                "{many} pieces are too many for {pullers} pullers. "
                "Plan {safe}. Likely in time: {likely}, at best {high}.",
            )
            counts = {"many": self.many, "safe": self.safe, "likely": likely, "high": high}
            yield Message("more-than-in-time", many, pullers=self.pullers, **counts)

    def _first_late(self, low_s: float) -> Iterator[Message]:
        """That a wall that cools in `low_s` is too cool before even the first piece is out, where that is so."""
        hair_s = self.practice.hair_s if self.kind is RouteKind.HORSEHAIR else 0.0
        first_s = self.practice.lid_s + self.practice.pull_s + hair_s
        if low_s < first_s:
            words = _(
                "Opening the kiln and pulling the first piece takes {first}. A wall that cools fast is too cool then."
            )
            yield Message("first-may-be-late", words, first=seconds(first_s))


def pull_of(it: SessionSeen, one: RoundSeen) -> RoundPull | None:
    """How long the thinnest wall of a round stays hot enough; None for a round without pieces."""
    if not one.pieces:
        return None
    facts, kind, practice = it.session.facts, one.firing.route.kind, it.practice
    walls = [practice.thin_wall_mm if (wall := piece.row.piece.wall_mm) is None else wall for piece in one.pieces]
    air_c = MILD_C if facts.air_c is None else facts.air_c
    thinnest = None if all(piece.row.piece.wall_mm is None for piece in one.pieces) else min(walls)
    return RoundPull(
        estimate=pulls_in_time(thinnest, air_c, practice, kind=kind),
        kind=kind,
        practice=practice,
        pullers=max(1, facts.crew.hands),
        many=len(one.pieces),
        wall_mm=min(walls),
        air_c=air_c,
    )


# ---- what broke here before ------------------------------------------------------------------------------------------

_ALIKE = ((By.BUILD, By.KIND), (By.KIND,))
"""By what a piece is compared with those before it, the closest likeness first."""


def fired_before(piece: Piece, outcomes: Sequence[Fired]) -> Losses | None:
    """How many pieces like this one broke or cracked in the outdoor kiln here; None where there was none like it."""
    ware = Fired(
        clay=piece.clay.name,
        kind=piece.clay.kind,
        build=piece.build,
        largest_mm=piece.largest_mm,
        glazes=piece.worn_names,
        outcome=Outcome.GOOD,
    )
    found = (one for by in _ALIKE for one in losses_like(ware, outcomes, by, Harm.BROKE_OR_CRACKED))
    return next((one for one in found if one.share.of), None)
