"""What the fire did: readings typed in or read from a log, witness cones, and what a firing took and cost."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from math import exp
from typing import Final

from tracker.domain.firing.cone_model import fits
from tracker.domain.firing.curves import lasting
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.firing.logs import KilnLog, Reading, look_over
from tracker.domain.firing.schedules import ROOM_C
from tracker.domain.firing.witness_cones import WitnessCone, witnessed
from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.quantities import celsius as heat_of
from tracker.domain.refusals import NotAStep, Unusable
from tracker.domain.studio.people import Right
from tracker.domain.studio.settings import Practice
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.firing.corrections import note_cones_before
from tracker.usecases.firing.firings import held_firing
from tracker.usecases.firing.times import AHEAD, must_be_over
from tracker.usecases.once import once

_MOST_WITNESSES = 40
_MOST_COST_CENTS = 10_000_000


@once("note reading")
def note_reading(
    change: Change, firing_id: int, celsius: float, *, at: datetime | None = None, sure: bool = False
) -> Receipt:
    """Note what a kiln's pyrometer shows, now or `at` an earlier moment since the fire was lit, in °C.

    A reading that cannot be beside its neighbours is refused; one that looks like a mistake is taken when somebody is
    `sure` of it.
    """
    firing = _with_a_fire(change, firing_id)
    lit_at, moment = firing.lit_at, at or change.request.at
    if lit_at is None:
        message = Message(
            "lighting-not-noted", _("No start time was recorded for firing {firing}."), firing=str(firing_id)
        )
        raise NotAStep(message, Message("take-whole-log", _("Import its log from a file.")))
    if moment < lit_at or moment > change.request.at + AHEAD:
        problem = Message("reading-outside-fire", _("The time must be between the start of the firing and now."))
        raise Unusable([problem], Message("look-at-time", _("Check the time.")))
    second = round((moment - lit_at).total_seconds())
    before = dict(change.read.firings.log(firing_id))
    _must_go_with(firing, before, (second, celsius), change.catalog.practice, sure=sure)
    change.book.log(firing_id, {second: celsius})
    return _receipt(firing_id, Message("reading-noted", _("{heat} recorded."), heat=heat_of(celsius, 1)))


def _must_go_with(
    firing: Firing, before: dict[int, float], read: tuple[int, float], practice: Practice, *, sure: bool
) -> None:
    """Refuse a reading that no kiln could have beside the readings before and after it, or at all.

    Before its first reading a kiln was loaded by hand, so it was no hotter than a kiln may be opened at.
    """
    second, celsius = read
    sooner = max((one for one in before if one < second), default=None)
    later = min((one for one in before if one > second), default=None)
    around = [(one, before[one]) for one in (sooner, later) if one is not None]
    if sooner is None and celsius > practice.fires.open_below_c:
        around.append((min(0, second - 1), practice.fires.open_below_c))
    readings = [Reading(1, float(when), heat) for when, heat in sorted([*around, (second, celsius)])]
    found = [one for one in look_over(readings, practice.logs) if one.rule in {"log-impossible", "log-jump"}]
    # A reading that was typed in stands on no line.
    problems = [Message(one.rule, "{what:capital}", what=one.what) for one in found]
    if not found and sooner is not None and (fall := _falls_too_fast(firing, (sooner, before[sooner]), read, practice)):
        problems.append(fall)
    was_hot = firing.stage is FiringStage.COOLING or max(before.values(), default=0.0) > practice.fires.open_below_c
    room_c = (practice.logs.room_f_from - 32) / 1.8 if was_hot else practice.logs.cold_room_c
    if celsius < room_c and not found:
        words = _("{heat} is colder than a kiln room. Was °C entered as °F?")
        problems.append(Message("colder-than-room", words, heat=heat_of(celsius, 1)))
    if problems and not (sure and all(one.code != "log-impossible" for one in problems)):
        raise Unusable(problems, Message("read-again", _("Read it again. If it's right, confirm it.")))


_COOLS_IN_S: Final = 3_600.0
"""Hardly any closed kiln loses two thirds of its heat above the room (1 - 1/e) within an hour (common practice)."""


def _falls_too_fast(
    firing: Firing, hot: tuple[int, float], read: tuple[int, float], practice: Practice
) -> Message | None:
    """Why a reading that would open a kiln is doubted: closed, hardly any cools so fast (Newton's law of cooling)."""
    (sooner, before_c), (second, celsius) = hot, read
    if firing.session_id is not None or not celsius <= practice.fires.open_below_c < before_c:
        return None
    least_c = ROOM_C + (before_c - ROOM_C) * exp(-(second - sooner) / _COOLS_IN_S)
    if celsius >= least_c:
        return None
    words = _("It falls from {high} to {low} in {span}. That's very fast for a closed kiln.")
    return Message("cools-too-fast", words, high=heat_of(before_c), low=heat_of(celsius), span=lasting(second - sooner))


@once("take back reading")
def take_back_reading(change: Change, firing_id: int, second: int) -> Receipt:
    """Take a wrong reading away, by its seconds since the start of a firing that isn't unloaded; it stays on record."""
    firing = _with_a_fire(change, firing_id)
    read = dict(change.read.firings.log(firing_id))
    if second not in read or not firing.is_open:
        gone = Message("no-such-reading", _("This reading isn't in the log of firing {firing}."), firing=str(firing_id))
        raise NotAStep(gone, Message("look-at-log", _("Reload the page to see its readings.")))
    change.book.take_back_reading(firing_id, second)
    at = firing.lit_at + timedelta(seconds=second) if firing.lit_at else None
    words = _("{heat}, read at {at}, taken back") if at else _("{heat} taken back")
    done = Message("reading-taken-back", words, heat=heat_of(read[second], 1), at=at)
    change.book.note_correction(firing_id, change.request.by.id, done)
    return _receipt(firing_id, Message("reading-is-gone", "{what}.", what=done))


def _receipt(firing_id: int, done: Message) -> Receipt:
    message = Message("firing-noted", _("Firing {firing}: {done}"), firing=str(firing_id), done=done)
    return Receipt(message=message, extra={"firing": firing_id})


def take_log(
    store: Store, request: Request, firing_id: int, log: KilnLog, *, accepts: bool = False, begins: int = 0
) -> Receipt:
    """Make a kiln's own log the log of a firing; whatever was noted before gives way to it.

    `begins` is how many seconds after the fire was lit its first reading is. Raises what `KilnLog.curve` raises.
    """
    curve = log.curve(accepts=accepts)
    points = {round(second) + begins: heat for second, heat in zip(curve.seconds, curve.celsius, strict=True)}
    about = (firing_id, len(points), sorted(points.items())[:3], sorted(points.items())[-3:], accepts, begins)

    def work(change: Change) -> Receipt:
        must_be_over(_with_a_fire(change, firing_id).lit_at, max(points), change.request.at)
        change.book.clear_log(firing_id)
        change.book.log(firing_id, points)
        words = _("{count} readings imported, peak {peak}.")
        return _receipt(firing_id, Message("log-taken", words, count=len(points), peak=heat_of(curve.peak_c)))

    return store.once(request, "take log", work, about)


@once("add to log")
def add_to_log(change: Change, firing_id: int, points: Sequence[tuple[int, float]]) -> Receipt:
    """Add readings as a kiln writes them: seconds after the fire was lit, and °C."""
    last_s = max((second for second, _heat in points), default=0)
    must_be_over(_with_a_fire(change, firing_id).lit_at, last_s, change.request.at)
    change.book.log(firing_id, dict(points))
    words = Plural("count", "{count} reading added.", "{count} readings added.")
    return _receipt(firing_id, Message("log-continued", words, count=len(points)))


def _with_a_fire(change: Change, firing_id: int) -> Firing:
    change.request.by.must_be_allowed(Right.FIRE)
    firing = held_firing(change, firing_id)
    if firing.stage in {FiringStage.PLANNED, FiringStage.LOADING}:
        message = Message("not-lit", _("Firing {firing} hasn't started."), firing=str(firing_id))
        raise NotAStep(message, Message("say-door-is-shut", _("Mark the kiln as started first.")))
    return firing


@once("note witness cones")
def note_witnesses(change: Change, firing_id: int, cones: Sequence[tuple[int | None, WitnessCone]]) -> Receipt:
    """Note the witness cones of a firing, each with the level it stood on (from 1 at the bottom, or None).

    Cones of one level that no heat could leave like that are refused with both named.
    """
    _with_a_fire(change, firing_id)
    _must_agree(cones)
    before = change.read.firings.page(firing_id)
    note_cones_before(change, firing_id, before.witnesses if before else ())
    rows = [(level, one.cone.rank, one.kind, str(one.stands)) for level, one in cones]
    change.book.note_witnesses(firing_id, rows)
    words = Plural("count", "{count} witness cone recorded.", "{count} witness cones recorded.")
    return _receipt(firing_id, Message("witnesses-noted", words, count=len(cones)))


def _must_agree(cones: Sequence[tuple[int | None, WitnessCone]]) -> None:
    if len(cones) > _MOST_WITNESSES:
        words = _("You can enter {most} witness cones at most.")
        raise Unusable([Message("too-many-witnesses", words, most=_MOST_WITNESSES)])
    for _level, one in cones:
        if one.cone not in fits(one.kind):
            words = _("There's no {kind} cone {cone} in the chart.")
            problem = Message("cone-not-in-chart", words, kind=one.kind, cone=str(one.cone))
            raise Unusable([problem], Message("choose-another-cone", _("Choose another cone or kind.")))
    for level in {level for level, _cone in cones}:
        witnessed([one for where, one in cones if where == level])


@once("note cost")
def note_cost(
    change: Change,
    firing_id: int,
    *,
    kwh: float | None = None,
    fuel_kg: float | None = None,
    cost_cents: int | None = None,
) -> Receipt:
    """Note what a firing took, in kWh and kg of propane, and what it cost in cents; None is unknown."""
    _with_a_fire(change, firing_id)
    if cost_cents is not None and not 0 <= cost_cents <= _MOST_COST_CENTS:
        problem = Message("costs-too-much", _("That's too much for one firing."))
        raise Unusable([problem], Message("cost-of-this-alone", _("Enter the cost of this firing only.")))
    change.book.note_cost(firing_id, kwh=kwh, fuel_kg=fuel_kg, cost_cents=cost_cents)
    return _receipt(firing_id, Message("cost-noted", _("energy and cost recorded.")))
