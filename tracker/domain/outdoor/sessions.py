"""An outdoor session: who fires what outdoors on one afternoon, and the life of it as a table of steps.

Each of its rounds is a firing, one heating of one kiln on one route, so that a round is held to all that any firing is
held to; the session says what they share.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.message import Choice, Message, _
from tracker.domain.outdoor.evaporation import Tanks
from tracker.domain.outdoor.setting_up import Container, Crew, Opening
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.quantities import compared, kilograms
from tracker.domain.refusals import NotAStep, Unusable
from tracker.domain.studio.kilns import Kiln


class SessionStage(StrEnum):
    """Where an outdoor session stands."""

    PLANNED = "planned"
    RUNNING = "running"
    ENDED = "ended"


class SessionStep(StrEnum):
    """What people do with a whole session."""

    PLAN = "plan"
    BEGIN = "begin"
    END = "end"
    CALL_OFF = "call off"


_PLANNED, _RUNNING, _ENDED = SessionStage
_PLAN_NEW = Message("plan-new-session", _("Plan a new session."))
SESSION_STEPS: Mapping[SessionStep, tuple[frozenset[SessionStage], SessionStage, Message]] = {
    # A round that has been lit stays as it is; what comes after it may be planned anew at any time.
    SessionStep.PLAN: (frozenset({_PLANNED, _RUNNING}), _PLANNED, _PLAN_NEW),
    # A phone that had no network may tell of a fire when the others have ended their session.
    SessionStep.BEGIN: (frozenset(SessionStage), _RUNNING, _PLAN_NEW),
    SessionStep.END: (
        frozenset({_RUNNING}),
        _ENDED,
        Message("start-or-call-off", _("Start a round first, or cancel the session.")),
    ),
    SessionStep.CALL_OFF: (
        frozenset({_PLANNED}),
        _ENDED,
        Message("lit-is-ended", _("A session that has started can be ended, not canceled.")),
    ),
}
"""The life of a session: planned, running from its first fire on, ended. A step not in the table changes nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionFacts:
    """What people say of a session beforehand. Weights in kg, temperatures in °C, power in kW; None is unknown.

    `dark_at` is when it gets too dark to pull; `combustibles` what goes into the bins. The propane on hand is in
    `tanks`, from which the burner draws `burner_kw` by its plate.
    """

    kiln: str
    starts_at: datetime
    opening: Opening
    crew: Crew
    containers: tuple[Container, ...]
    dark_at: datetime | None = None
    combustibles: str = ""
    fuel_before_kg: float | None = None
    tanks: Tanks | None = None
    burner_kw: float | None = None
    air_c: float | None = None
    weather: str = ""

    def must_make_sense(self) -> None:
        """Refuse with `Unusable` what no afternoon can be: dark before it begins, no two people, overfull tanks."""
        if self.dark_at is not None and self.dark_at <= self.starts_at:
            problem = Message("dark-before-start", _("The session starts after dark."))
            raise Unusable([problem], Message("look-at-times", _("Check the two times.")))
        self.crew.must_be_safe()
        if self.tanks is not None and self.fuel_before_kg is not None:
            self.tanks.must_hold(self.fuel_before_kg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """One outdoor session with its rounds in their order; `left_out` are pieces by number, each with the reason.

    `outcomes` is what came of pieces so far, by the round's firing and then by piece.
    """

    id: int
    stage: SessionStage
    facts: SessionFacts
    kiln: Kiln
    rounds: tuple[Firing, ...] = ()
    outcomes: Mapping[int, Mapping[int, Outcome]] = field(default_factory=dict)
    left_out: tuple[tuple[int, Message], ...] = ()
    fuel_after_kg: float | None = None
    ended_at: datetime | None = None

    @property
    def is_open(self) -> bool:
        """Whether it has not come to its end."""
        return self.stage is not SessionStage.ENDED

    @property
    def piece_ids(self) -> tuple[int, ...]:
        """Every piece that is in one of its rounds, was in it, or is meant to be; each once."""
        held = (one for firing in self.rounds for one in self.pieces_of(firing))
        return tuple(dict.fromkeys(held))

    def pieces_of(self, firing: Firing) -> tuple[int, ...]:
        """The pieces of one round: what is out already, what is in it, and what is meant to be."""
        return tuple(dict.fromkeys((*self.outcomes.get(firing.id, {}), *firing.piece_ids, *firing.planned_ids)))

    @property
    def fuel_used_kg(self) -> float | None:
        """What it burned, once both weights are known."""
        if self.facts.fuel_before_kg is None or self.fuel_after_kg is None:
            return None
        return self.facts.fuel_before_kg - self.fuel_after_kg

    @property
    def coming(self) -> tuple[Firing, ...]:
        """The rounds that have not been lit."""
        return tuple(one for one in self.rounds if one.stage is FiringStage.PLANNED)

    def after(self, step: SessionStep) -> SessionStage:
        """The stage that `step` leads to; `NotAStep` when it does not start where this session stands."""
        starts, to, remedy = SESSION_STEPS[step]
        if self.stage not in starts:
            message = Message("session-not-there", _NOT_THERE, session=str(self.id), stage=self.stage, step=step)
            raise NotAStep(message, remedy)
        return self.stage if step is SessionStep.PLAN else to

    def must_burn_no_more_than_it_had(self, after_kg: float | None) -> None:
        """Refuse with `Unusable` a tank that weighs more after the session than before it."""
        before = self.facts.fuel_before_kg
        if before is not None and after_kg is not None and after_kg > before:
            words = _("The propane weighs {after} after the session and {before} before it.")
            after, least = compared(kilograms(after_kg, 3), kilograms(before, 3))
            problem = Message("fuel-after-more", words, after=after, before=least)
            raise Unusable([problem], Message("same-bottles", _("Weigh the same tanks both times.")))


_NOT_THERE = Choice(
    "stage",
    {
        "planned": _("Session {session} is planned, so you can't {step} it now."),
        "running": _("Session {session} is running, so you can't {step} it now."),
        "ended": _("Session {session} has ended, so you can't {step} it now."),
    },
)
