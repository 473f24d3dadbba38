"""A firing: one heating of one kiln on one route, and its life as a table of steps."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding
from tracker.domain.message import Choice, Message, _
from tracker.domain.pieces.outcomes import Outcome, without_result
from tracker.domain.refusals import NotAStep, Unusable
from tracker.domain.studio.kilns import Kiln, Route


class FiringStage(StrEnum):
    """Where a firing stands in its life."""

    PLANNED = "planned"
    LOADING = "loading"
    FIRING = "firing"
    COOLING = "cooling"
    UNLOADED = "unloaded"

    @property
    def holds_the_kiln(self) -> bool:
        """Whether nothing else can be loaded into its kiln meanwhile."""
        return self in _AT_THE_KILN


_HOT = frozenset({FiringStage.FIRING, FiringStage.COOLING})
_AT_THE_KILN = _HOT | {FiringStage.LOADING}


class FiringStep(StrEnum):
    """What people do with a whole firing."""

    LOAD = "load"
    LIGHT = "light"
    OPEN_AGAIN = "open again"
    PUT_OFF = "put off"
    SHUT_OFF = "shut off"
    STILL_ON = "still on"
    UNLOAD = "unload"
    CALL_OFF = "call off"
    TAKE_UP = "take up again"


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of the table: from which stages a step leads where, and what to do when a firing stands elsewhere."""

    start: frozenset[FiringStage]
    to: FiringStage
    remedy: Message


_PLANNED, _LOADING, _FIRING, _COOLING, _UNLOADED = FiringStage
FIRING_STEPS: Mapping[FiringStep, _Row] = {
    FiringStep.LOAD: _Row(
        frozenset({_PLANNED}),
        _LOADING,
        Message("only-planned-loads", _("Only a planned firing can start loading.")),
    ),
    FiringStep.LIGHT: _Row(
        frozenset({_LOADING}), _FIRING, Message("load-first", _("Load the kiln first. Scan each piece as it goes in."))
    ),
    FiringStep.OPEN_AGAIN: _Row(
        frozenset({_FIRING, _COOLING}),
        _LOADING,
        Message("only-lit-opens", _("You can undo a start only before the kiln gets hot.")),
    ),
    FiringStep.PUT_OFF: _Row(
        frozenset({_LOADING}),
        _PLANNED,
        Message("only-loading-put-off", _("You can only postpone a firing that's still loading.")),
    ),
    FiringStep.SHUT_OFF: _Row(
        frozenset({_FIRING}), _COOLING, Message("say-it-is-lit", _("Mark the kiln as started first."))
    ),
    FiringStep.STILL_ON: _Row(
        frozenset({_COOLING}), _FIRING, Message("only-off-is-undone", _("The kiln isn't marked as off."))
    ),
    FiringStep.UNLOAD: _Row(
        frozenset({_FIRING, _COOLING}), _UNLOADED, Message("say-it-was-lit", _("Mark the kiln as started first."))
    ),
    FiringStep.CALL_OFF: _Row(
        frozenset({_PLANNED, _LOADING}),
        _UNLOADED,
        Message("lit-is-unloaded", _("Once it's been fired, it can only be unloaded.")),
    ),
    FiringStep.TAKE_UP: _Row(
        frozenset({_UNLOADED}),
        _PLANNED,
        Message("only-called-off-again", _("Only a canceled firing can be planned again.")),
    ),
}
"""The life of a firing: planned, loading, firing, cooling, unloaded. A step not in the table changes nothing."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a piece is to stand on its shelf: its centre in mm from the shelf's, and whether a quarter turn round.

    What is pulled hot has a `container` to go into, and stands `apart` where whoever pulls must look twice. In a bisque
    a piece may rest in or on the one numbered `below`: it begins `over_mm` over the shelf, and `rests` is how (a value
    of `Rests` in load plans).
    """

    piece_id: int
    x_mm: float
    y_mm: float
    turned: bool = False
    container: str = ""
    apart: bool = False
    over_mm: float = 0.0
    rests: str = ""
    below: int | None = None

    def resting_on(self, below: str) -> Message:
        """How it rests on the piece called `below`."""
        return resting(self.rests, below)


def resting(rests: str, below: str) -> Message:
    """How a piece rests on the one called `below`, by a value of `Rests` in load plans: "in W12"."""
    return Message("resting", Choice("rests", _RESTING), rests=rests, below=below)


_RESTING = {
    "in": _("in {below}"),
    "on": _("on {below}"),
    "rim to rim": _("upside down on {below}"),
    "foot to foot": _("on the foot of {below}"),
}


@dataclass(frozen=True, slots=True)
class PlannedLevel:
    """One level of a load, from the bottom up: the posts on its shelf, and what stands between them."""

    post_mm: float
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A load plan as it is kept with its firing; `left_out` are pieces by number, each with the reason.

    A plan is advice: people move pieces, and each is checked at the kiln's door all the same.
    """

    levels: tuple[PlannedLevel, ...] = ()
    left_out: tuple[tuple[int, Message], ...] = ()

    def level_of(self, piece_id: int) -> int | None:
        """The level a piece is to stand on, from 1 at the bottom; None when the plan has no place for it."""
        levels = enumerate(self.levels, start=1)
        return next((at for at, one in levels if any(place.piece_id == piece_id for place in one.places)), None)

    def place_of(self, piece_id: int) -> Place | None:
        """Where a piece is to stand on its level; None when the plan has no place for it."""
        return next((place for one in self.levels for place in one.places if place.piece_id == piece_id), None)

    def without(self, piece_ids: Collection[int]) -> KeptPlan:
        """The same plan with empty places where these pieces were to stand."""
        levels = (replace(one, places=_without(one.places, piece_ids)) for one in self.levels)
        return KeptPlan(tuple(levels), tuple((one, why) for one, why in self.left_out if one not in piece_ids))


def _without(places: tuple[Place, ...], piece_ids: Collection[int]) -> tuple[Place, ...]:
    """The places but for those of some pieces; what was in or on one of them comes down to what that one was on."""
    for gone in [place for place in places if place.piece_id in piece_ids]:
        places = tuple(
            replace(place, over_mm=gone.over_mm, rests=gone.rests, below=gone.below)
            if place.below == gone.piece_id
            else place
            for place in places
            if place is not gone
        )
    return places


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """A piece that a change made unfit in a kiln being loaded: it is still in there until a person confirms it is out.

    `findings` say why, worst first. The rest is what it takes to put it back where it was: the queue it came from (None
    for greenware), since when it waited there and what was accepted, the question it got for this, and its version.
    """

    piece_id: int
    firing_id: int
    findings: tuple[Finding, ...]
    version: int
    queue_route: str | None = None
    waiting_since: datetime | None = None
    accepted: tuple[str, ...] = ()
    question_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Caught:
    """A piece that a change showed to be wrong in a kiln that is hot: it stays in there until that is unloaded.

    `findings` say what to expect of it, worst first; there are none where only its queue became too hot for it. The
    rest is where it was: when it was loaded, the queue it came from (None for greenware), since when it waited there
    and what was accepted.
    """

    piece_id: int
    firing_id: int
    findings: tuple[Finding, ...]
    loaded_at: datetime
    queue_route: str | None = None
    waiting_since: datetime | None = None
    accepted: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Firing:
    """One heating of one kiln on one route, to its own `target` cone.

    `piece_ids` are what stands in the kiln, in the order in which they went in; `planned_ids` what is meant to go in
    and does not stand there yet, the oldest promise first; `leaving_ids` what a change made unfit:
    it is in the kiln still, and must come out.
    `session_id` is the outdoor session it is a round of. `fired_to` is the cone that counts for its pieces where staff
    had to say it, since the fire missed its target.
    """

    id: int
    kiln: Kiln
    route: Route
    target: Cone
    stage: FiringStage
    piece_ids: tuple[int, ...] = ()
    planned_ids: tuple[int, ...] = ()
    leaving_ids: tuple[int, ...] = ()
    plan: KeptPlan | None = None
    planned_for: datetime | None = None
    lit_at: datetime | None = None
    shut_at: datetime | None = None
    session_id: int | None = None
    fired_to: Cone | None = None

    @property
    def counted(self) -> Cone:
        """The cone that counts for what was in it: the one that staff said, else its target."""
        return self.fired_to or self.target

    @property
    def way(self) -> Route:
        """The route as this firing does it: the kiln door judges by the firing's own target cone."""
        return self.route.at(self.target)

    @property
    def is_open(self) -> bool:
        """Whether it has not come to its end."""
        return self.stage is not FiringStage.UNLOADED

    @property
    def is_hot(self) -> bool:
        """Whether its kiln was started and not unloaded yet, so that nothing can be taken out."""
        return self.stage in _HOT

    def after(self, step: FiringStep) -> FiringStage:
        """The stage that `step` leads to; `NotAStep` when it does not start where this firing stands."""
        row = FIRING_STEPS[step]
        if self.stage is FiringStage.UNLOADED and (step is not FiringStep.TAKE_UP or self.lit_at is not None):
            raise self._unloaded()
        if self.stage not in row.start:
            words = _("Firing {firing} is {stage}, so you can't {step} it now.")
            message = Message("firing-not-there", words, firing=str(self.id), stage=self.stage, step=step)
            raise NotAStep(message, row.remedy)
        return row.to

    def must_stand_alone(self) -> None:
        """Refuse with `NotAStep` what is a round of an outdoor session: it is run with the session, round by round."""
        if self.session_id is not None:
            words = _("Firing {firing} is a round of outdoor session {session}.")
            message = Message("round-of-session", words, firing=str(self.id), session=str(self.session_id))
            raise NotAStep(message, Message("run-on-its-page", _("Run it on the session's page.")))

    def must_be_loading(self) -> None:
        """Refuse with `NotAStep` unless its door is open: pieces go in and out while it is loaded, and never later."""
        if self.stage is FiringStage.UNLOADED:
            raise self._unloaded()
        if self.stage is FiringStage.PLANNED:
            words = _("Firing {firing} is planned. Its kiln isn't being loaded yet.")
            message = Message("not-loading-yet", words, firing=str(self.id))
            raise NotAStep(message, Message("begin-to-load", _("Start loading it first.")))
        if self.stage is not FiringStage.LOADING:
            words = _("Firing {firing} is {stage}: the kiln is closed.")
            message = Message("door-is-shut", words, firing=str(self.id), stage=self.stage)
            raise NotAStep(message, Message("keep-for-next", _("Keep the piece for the next firing.")))

    def _unloaded(self) -> NotAStep:
        message = Message("firing-unloaded", _("Firing {firing} has been unloaded."), firing=str(self.id))
        return NotAStep(message, Message("start-new-firing", _("Start a new firing.")))

    def must_account_for_all(self, outcomes: Mapping[int, Outcome], names: Mapping[int, str]) -> None:
        """Refuse with `Unusable` unless each piece in the kiln, and no other, has an outcome."""
        missing = [names.get(one, str(one)) for one in self.piece_ids if one not in outcomes]
        strange = [names.get(one, str(one)) for one in outcomes if one not in self.piece_ids]
        problems = [
            *([without_result(missing)] if missing else []),
            *(Message("not-in-this-kiln", _("{piece} isn't in this kiln."), piece=one) for one in strange),
        ]
        if problems:
            raise Unusable(problems, Message("give-outcomes", _("Enter a result for each piece in the kiln.")))
