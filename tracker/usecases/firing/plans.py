"""Planning a firing: its load is thought out while others write, and kept in one short transaction."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from functools import partial

from tracker.domain.cones import Cone
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.refusals import ChangedMeanwhile, NotAStep
from tracker.domain.studio.cone_bands import ConeAnswer
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.people import Right
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.firing.firings import held_firing
from tracker.usecases.firing.load_choice import Load, NotAsPlanned, load_for, must_hold
from tracker.usecases.firing.starting import aimed_at, could_fire, note_aim
from tracker.usecases.once import once, steady
from tracker.usecases.pieces.lookup import find_firing, find_piece

_PLANNED = FiringStage.PLANNED
_NOT_BEGUN = 0
"""The number of a firing that isn't in the store yet; no row has it."""

_TRIES = 3
"""How often a load is planned whose pieces somebody changes meanwhile."""


def plan(
    store: Store,
    request: Request,
    kiln: str,
    route: str,
    target: Cone,
    *,
    planned_for: datetime | None = None,
    answer: ConeAnswer | None = None,
) -> Receipt:
    """Plan a firing: the oldest promises that the kiln's rules and its shelves take.

    A cone that does not fit is asked about with `AsksCone`, until an `answer` says which one is right.
    """

    def to_be(read: Queries) -> Firing:
        served, way = could_fire(read.catalog(), request.by, kiln, route)
        return Firing(id=_NOT_BEGUN, kiln=served, route=way, target=aimed_at(way, target, answer), stage=_PLANNED)

    def keep(load: Load, change: Change) -> Receipt:
        must_hold(change, load)
        return _begin(change, load, target, planned_for)

    about = (kiln, route, str(target), str(planned_for or ""), steady(answer))
    return _planned_apart(store, request, ("plan firing", about), to_be, keep)


def _begin(change: Change, load: Load, asked: Cone, planned_for: datetime | None) -> Receipt:
    firing = load.firing
    number = change.book.begin(
        firing.kiln.name,
        firing.route.name,
        firing.target.rank,
        is_bisque=firing.route.kind is RouteKind.BISQUE,
        stage=_PLANNED,
        planned_for=planned_for,
    )
    note_aim(change, number, firing.route, asked, firing.target)
    change.book.plan(number, load.to_come, load.plan)
    message = Message(
        "firing-planned",
        Plural(
            "count",
            "Firing {firing} is planned: {route} in {kiln}, to {target}, with {count} piece.",
            "Firing {firing} is planned: {route} in {kiln}, to {target}, with {count} pieces.",
        ),
        firing=str(number),
        route=firing.route.title,
        kiln=firing.kiln.name,
        target=firing.target,
        count=load.count,
    )
    return Receipt(message=message, extra={"firing": number})


def plan_anew(store: Store, request: Request, firing_id: int, *, mixed: bool = False) -> Receipt:
    """Plan the load of a firing again, around what is in its kiln already.

    A `mixed` load takes pieces of other firing types too, where room is left and their rules allow this firing.
    """

    def as_it_is(read: Queries) -> Firing:
        request.by.must_be_allowed(Right.FIRE)
        return _must_be_open(find_firing(read, firing_id))

    def keep(load: Load, change: Change) -> Receipt:
        if _to_be_loaded(change, firing_id) != load.firing:
            raise NotAsPlanned
        must_hold(change, load)
        return _plan_anew(change, load)

    return _planned_apart(store, request, ("plan anew", (firing_id, mixed)), as_it_is, keep, mixed=mixed)


def _plan_anew(change: Change, load: Load) -> Receipt:
    change.book.plan(load.firing.id, load.to_come, load.plan)
    words = Plural(
        "count",
        "Firing {firing} is planned again, with {count} piece.",
        "Firing {firing} is planned again, with {count} pieces.",
    )
    message = Message("firing-planned-anew", words, firing=str(load.firing.id), count=load.count)
    return Receipt(message=message, extra={"firing": load.firing.id})


@once("leave out")
def leave_out(change: Change, firing_id: int, ref: str) -> Receipt:
    """Take a piece out of a firing's plan; its place stays empty until the load is planned anew."""
    firing = _to_be_loaded(change, firing_id)
    piece = find_piece(change.read, ref, change.request.by, hold=True)
    if piece.planned_in != firing_id:
        words = _("{piece} isn't in the plan of firing {firing}.")
        message = Message("not-planned-here", words, piece=piece.ref, firing=str(firing_id))
        raise NotAStep(message, Message("nothing-to-leave-out", _("There's nothing to leave out.")))
    others = [one for one in firing.planned_ids if one != piece.id]
    plan = firing.plan.without([piece.id]) if firing.plan else None
    if plan is not None:
        plan = replace(plan, left_out=(*plan.left_out, (piece.id, _TAKEN_OUT)))
    change.book.plan(firing_id, others, plan)
    words = _("{piece}, {what}: removed from the plan.")
    message = Message("left-out-of-plan", words, piece=piece.ref, what=piece.what)
    return Receipt(message=message, ref=piece.ref, piece_id=piece.id)


_TAKEN_OUT = Message("taken-out-of-plan", _("staff took it out of the plan"))


def _to_be_loaded(change: Change, firing_id: int) -> Firing:
    change.request.by.must_be_allowed(Right.FIRE)
    return _must_be_open(held_firing(change, firing_id))


def _must_be_open(firing: Firing) -> Firing:
    """The firing, if its load can still change."""
    firing.must_stand_alone()
    if firing.stage not in {_PLANNED, FiringStage.LOADING}:
        words = _("Firing {firing} is {stage}: its load can't be changed now.")
        message = Message("load-is-fixed", words, firing=str(firing.id), stage=firing.stage)
        raise NotAStep(message, Message("plan-next-firing", _("Plan the next firing.")))
    return firing


def _planned_apart(
    store: Store,
    request: Request,
    what: tuple[str, object],
    firing: Callable[[Queries], Firing],
    keep: Callable[[Load, Change], Receipt],
    *,
    mixed: bool = False,
) -> Receipt:
    """Plan a load while others write, then keep it in one short transaction; where it no longer holds, plan again."""
    doing, about = what
    if (done := store.receipt_of(request, doing, about)) is not None:
        return done
    for _again in range(_TRIES):
        load = load_for(store.read, firing, request.at, mixed=mixed)
        with suppress(NotAsPlanned):
            return store.once(request, doing, partial(keep, load), about)
    raise ChangedMeanwhile(
        Message("load-changed-at-once", _("Someone changed these pieces while their load was being planned.")),
        Message("plan-again", _("Plan the load again.")),
    )
