"""What is known of an outdoor session, put together for its pages and its sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from tracker.domain.firing.firings import Firing, FiringStage, Place
from tracker.domain.message import Message
from tracker.domain.outdoor.event_log import PieceStory, RoundStory, Story, Tap, story_of
from tracker.domain.outdoor.pull_heats import pull_heats, pulled_at
from tracker.domain.outdoor.results import Mark
from tracker.domain.outdoor.round_check import breaks, out_of_heat
from tracker.domain.outdoor.rounds import RoundTime, timetable
from tracker.domain.outdoor.sessions import Session
from tracker.domain.outdoor.setting_up import Round, Rounds, Stood, ToFire
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Piece
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.settings import OutdoorPractice
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.usecases.outdoor.floor import floor_of, to_fire
from tracker.usecases.outdoor.running import clock_of, names_in

__all__ = ["PieceSeen", "RoundSeen", "SessionSeen", "seen"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceSeen:
    """A piece in its round: where it stands, what must be known of it, and what became of it so far.

    `lies` is how it covers the floor; `place` None where nobody planned it there.
    """

    row: PieceRow
    place: Place | None
    fires: ToFire
    told: PieceStory
    outcome: Outcome | None
    mark: Mark | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundSeen:
    """One round. `breaks` says what a hand has made of it that the studio's settings would not.

    `heats` says at what heat it is pulled and in which window its marks are made, `pulled_at` the heat alone.
    """

    number: int
    firing: Firing
    told: RoundStory
    pieces: tuple[PieceSeen, ...]
    time: RoundTime
    heats: Message
    pulled_at: Message
    breaks: tuple[Message, ...]

    @property
    def is_coming(self) -> bool:
        """Whether it has not been lit."""
        return self.firing.stage is FiringStage.PLANNED


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionSeen:
    """A session with its rounds, what is left out and why, everything that was tapped, and the studio's settings."""

    session: Session
    rounds: tuple[RoundSeen, ...]
    left_out: tuple[tuple[PieceRow, Message], ...]
    story: Story
    taps: tuple[Tap, ...]
    practice: OutdoorPractice

    @property
    def wares(self) -> tuple[Piece, ...]:
        """Every piece of its rounds."""
        return tuple(piece.row.piece for one in self.rounds for piece in one.pieces)

    @property
    def ends_at(self) -> datetime | None:
        """When its last round is done, as far as can be said."""
        return self.rounds[-1].time.ends_at if self.rounds else None

    @property
    def present(self) -> RoundSeen | None:
        """The round that is at hand: the first that is not done."""
        return next((one for one in self.rounds if one.firing.is_open), None)

    def warming_after(self, one: RoundSeen) -> RoundSeen | None:
        """The round whose pieces warm up while this one burns."""
        return next((other for other in self.rounds if other.number > one.number and other.is_coming), None)


def seen(reader: Queries, session: Session, at: datetime) -> SessionSeen:
    """All that is known of a session `at` a moment."""
    taps = reader.outdoors.taps(session.id)
    story = story_of(taps, names_in(reader, session, taps), clock_of(reader))
    numbers = {*session.piece_ids, *dict(session.left_out)}
    rows = {row.piece.id: row for row in (reader.pieces.by_ids(numbers) if numbers else ())}
    looking = _Looking(session, reader.catalog(), at, story, rows, reader.outdoors.marks(session.id))
    left_out = tuple(
        (rows[number], why) for number, why in session.left_out if number in rows and number not in session.piece_ids
    )
    return SessionSeen(
        session=session,
        rounds=looking.rounds(),
        left_out=left_out,
        story=story,
        taps=taps,
        practice=looking.practice,
    )


@dataclass(frozen=True, slots=True)
class _Looking:
    """What it takes to look at the rounds of one session."""

    session: Session
    catalog: Catalog
    at: datetime
    story: Story
    rows: Mapping[int, PieceRow]
    marks: Mapping[tuple[int, int], Mark]

    @property
    def practice(self) -> OutdoorPractice:
        """What the studio holds to outdoors."""
        return self.catalog.practice.outdoors

    def rounds(self) -> tuple[RoundSeen, ...]:
        """Each round with its time."""
        both = zip(self.session.rounds, self._times(), strict=True)
        return tuple(self._round(number, firing, time) for number, (firing, time) in enumerate(both, start=1))

    def _times(self) -> tuple[RoundTime, ...]:
        """When each round begins and ends: as it was for those that are done, as it will be for the others."""
        made = Rounds(tuple(Round(one.route.kind, ()) for one in self.session.rounds))
        done, running = [], None
        for firing in self.session.rounds:
            began, ended = self.story.of(firing.id).started_at or firing.lit_at, firing.shut_at
            if began is None or ended is None:
                running = began
                break
            done.append((began, ended))
        facts = self.session.facts
        return timetable(made, facts.starts_at, facts.dark_at, self.practice, done=done, running_since=running)

    def _round(self, number: int, firing: Firing, time: RoundTime) -> RoundSeen:
        levels = firing.plan.levels if firing.plan else ()
        places = {place.piece_id: place for level in levels for place in level.places}
        held = self.session.pieces_of(firing)
        in_order = [*(one for one in places if one in held), *(one for one in held if one not in places)]
        pieces = tuple(self._piece(one, firing, places.get(one)) for one in in_order if one in self.rows)
        is_coming = firing.stage is FiringStage.PLANNED
        return RoundSeen(
            number=number,
            firing=firing,
            told=self.story.of(firing.id),
            pieces=pieces,
            time=time,
            heats=pull_heats(firing.route.kind, self.practice),
            pulled_at=pulled_at(firing.route.kind, self.practice),
            breaks=self._breaks(firing, pieces) if is_coming else (),
        )

    def _piece(self, number: int, firing: Firing, place: Place | None) -> PieceSeen:
        row = self.rows[number]
        return PieceSeen(
            row=row,
            place=place,
            fires=to_fire(row, self.catalog.practice, self.at, firing.route, self.session.kiln),
            told=self.story.of(firing.id).of(number),
            outcome=self.session.outcomes.get(firing.id, {}).get(number),
            mark=self.marks.get((firing.id, number)),
        )

    def _breaks(self, firing: Firing, pieces: Sequence[PieceSeen]) -> tuple[Message, ...]:
        stood = (
            Stood(one.row.piece.id, at.x_mm, at.y_mm, turned=at.turned, container=at.container or None, apart=at.apart)
            for one in pieces
            if (at := one.place) is not None
        )
        facts = self.session.facts
        broken = breaks(
            Round(firing.route.kind, tuple(stood)),
            [one.fires for one in pieces],
            floor_of(self.session.kiln, facts),
            facts.containers,
            facts.crew,
            self.practice,
        )
        late = self._out_of_heat()[firing.id]
        return (late, *broken) if late else broken

    def _out_of_heat(self) -> Mapping[int, Message | None]:
        """What is wrong with the turn of each round to come, by its firing."""
        coming = self.session.coming
        late = out_of_heat([one.route.kind for one in coming], self.practice)
        return dict(zip((one.id for one in coming), late, strict=True))
