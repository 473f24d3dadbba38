"""When a kiln came on and went off, corrected; what was corrected of a firing stays on record with both values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.firing.witness_cones import Stands
from tracker.domain.message import Choice, Fact, Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import NotAStep, Unusable
from tracker.domain.studio.people import Right
from tracker.store.firing.queries import WitnessRow
from tracker.store.unit_of_work import Change
from tracker.usecases.firing.firings import held_firing
from tracker.usecases.firing.times import AHEAD, must_be_over
from tracker.usecases.once import once

_HAS_A_FIRE = frozenset({FiringStage.FIRING, FiringStage.COOLING, FiringStage.UNLOADED})


def can_correct_times(firing: Firing) -> bool:
    """Whether a firing has a start on record that can be corrected; the times of a round outdoors are its taps."""
    return firing.session_id is None and firing.stage in _HAS_A_FIRE and firing.lit_at is not None


@once("correct times")
def correct_times(
    change: Change, firing_id: int, *, lit_at: datetime, shut_at: datetime | None = None, log_moves: bool = False
) -> Receipt:
    """Say when a kiln really came on, and once it is off when that was; None leaves the latter as it is.

    Readings stay at the time of day at which they were read, unless `log_moves`: then they count from the start, as
    those of a controller's log do.
    """
    change.request.by.must_be_allowed(Right.FIRE)
    firing = held_firing(change, firing_id)
    firing.must_stand_alone()
    if not can_correct_times(firing) or firing.lit_at is None:
        message = Message("not-lit", _("Firing {firing} hasn't started."), firing=str(firing_id))
        raise NotAStep(message, Message("say-door-is-shut", _("Mark the kiln as started first.")))
    shut_at = (shut_at or firing.shut_at) if firing.stage is not FiringStage.FIRING else None
    _must_follow_each_other(change, firing, lit_at, shut_at)
    changed = _changes(firing, lit_at, shut_at)
    if not changed:
        raise Unusable(
            [Message("nothing-different", _("You haven't changed anything."))],
            Message("change-a-time", _("Change a time, then save.")),
        )
    readings = dict(change.read.firings.log(firing_id))
    if log_moves and readings:
        must_be_over(lit_at, max(readings), change.request.at)
    later = 0 if log_moves else round((lit_at - firing.lit_at).total_seconds())
    if readings and later:
        _move_readings(change, firing_id, readings, later)
    change.book.correct_times(firing_id, lit_at=lit_at, shut_at=shut_at)
    for message in changed:
        change.book.note_correction(firing_id, change.request.by.id, message)
    says = Message("times-corrected", _("Firing {firing}: {changes}."), firing=str(firing_id), changes=changed)
    return Receipt(message=says, extra={"firing": firing_id})


def _changes(firing: Firing, lit_at: datetime, shut_at: datetime | None) -> tuple[Message, ...]:
    """What is different, from what to what."""
    found = []
    if lit_at != firing.lit_at:
        found.append(Message("start-changed", _("start from {was} to {now}"), was=firing.lit_at, now=lit_at))
    if shut_at != firing.shut_at:
        words = _("kiln off from {was} to {now}") if firing.shut_at else _("kiln off at {now}")
        found.append(Message("off-changed", words, was=firing.shut_at, now=shut_at))
    return tuple(found)


def _must_follow_each_other(change: Change, firing: Firing, lit_at: datetime, shut_at: datetime | None) -> None:
    """Refuse times that can't be: off before on, after the unloading, to come, or those of the kiln's other firing."""
    page = change.read.firings.page(firing.id)
    unloaded_at = page.unloaded_at if page is not None else None
    problems = []
    if shut_at is not None and shut_at <= lit_at:
        problems.append(Message("off-before-on", _("The kiln went off before it came on.")))
    last = max(one for one in (lit_at, shut_at) if one is not None)
    if last > change.request.at + AHEAD:
        problems.append(Message("time-to-come", _("That time is in the future.")))
    elif unloaded_at is not None and last > unloaded_at:
        problems.append(
            Message("after-unloading", _("The kiln was unloaded at {at}, before that time."), at=unloaded_at)
        )
    until = shut_at or (unloaded_at if firing.stage is FiringStage.UNLOADED else change.request.at) or lit_at
    if not problems and (other := change.read.firings.on_between(firing.kiln.name, lit_at, until, but=firing.id)):
        problems.append(_was_on(other))
    if problems:
        raise Unusable(problems, Message("look-at-times", _("Check the day and the time.")))


def _was_on(other: Firing) -> Message:
    """That the same kiln was on for another firing then."""
    words = {
        "off": _("{kiln} was on for firing {other} then: from {on} to {off}."),
        "on": _("{kiln} was on for firing {other} then: from {on}."),
    }
    facts: dict[str, Fact] = {"kiln": other.kiln.name, "other": str(other.id), "on": other.lit_at, "off": other.shut_at}
    return Message("on-for-another", Choice("told", words), told="off" if other.shut_at else "on", **facts)


def _move_readings(change: Change, firing_id: int, readings: Mapping[int, float], later: int) -> None:
    """Keep each reading at its time of day, so many seconds less after a start that was so much later."""
    moved = {second - later: heat for second, heat in readings.items()}
    if min(moved) < 0:
        raise Unusable(
            [Message("reading-before-start", _("A reading was saved before that start."))],
            Message("log-moves-with-it", _("If the log counts from the start, tick that box.")),
        )
    change.book.clear_log(firing_id)
    change.book.log(firing_id, moved)


def note_cones_before(change: Change, firing_id: int, before: Sequence[WitnessRow]) -> None:
    """Put on record which witness cones a firing had, before others take their place."""
    if not before:
        return
    words = _("witness cones changed. Before: {cones}")
    change.book.note_correction(
        firing_id,
        change.request.by.id,
        Message("cones-changed", words, cones=tuple(_cone_in_words(one) for one in before)),
    )


def _cone_in_words(one: WitnessRow) -> Message:
    cone = Message("witness-as-it-was", Choice("stands", _STOOD), cone=str(one.cone), stands=one.stands)
    words = _("{cone}, shelf {level}")
    return cone if one.level is None else Message("witness-on-its-shelf", words, cone=cone, level=one.level)


_STOOD = {
    Stands.STANDING.value: _("cone {cone} standing"),
    Stands.TIP.value: _("cone {cone} with its tip bent"),
    Stands.HALF.value: _("cone {cone} half down"),
    Stands.DOWN.value: _("cone {cone} down"),
    Stands.FLAT.value: _("cone {cone} flat"),
}
"""How a witness cone stood."""
