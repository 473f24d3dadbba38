"""Outdoor sessions: plan one, choose and arrange its rounds, keep what is tapped beside the kiln, and end it."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from tracker.domain.findings import Approval, Level
from tracker.domain.firing.firings import Firing, FiringStage, FiringStep, KeptPlan, Place, PlannedLevel
from tracker.domain.loading.packing import DIGITS
from tracker.domain.message import Message, Plural, _
from tracker.domain.outdoor.pull_heats import pull_c
from tracker.domain.outdoor.rounds import propose_rounds, timetable
from tracker.domain.outdoor.sessions import Session, SessionFacts, SessionStage, SessionStep
from tracker.domain.outdoor.setting_up import Round, Rounds, Stood, ToFire
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.outcomes import without_result
from tracker.domain.pieces.piece import Piece
from tracker.domain.refusals import NotAStep, Unknown, Unusable
from tracker.domain.rules.engine import judge
from tracker.domain.rules.untold import untold
from tracker.domain.studio.kilns import Kiln, Route, RouteKind
from tracker.domain.studio.people import Right
from tracker.domain.studio.settings import OutdoorPractice
from tracker.store.unit_of_work import Change
from tracker.usecases.firing.starting import no_longer_in_use
from tracker.usecases.once import once
from tracker.usecases.outdoor.floor import floor_of, round_of, to_fire
from tracker.usecases.pieces.lookup import find_piece

_MOST_LOOKED_AT = 120
"""Pieces considered for one session; no afternoon fires as many."""


@once("plan session")
def plan(change: Change, facts: SessionFacts) -> Receipt:
    """Plan a session, with rounds proposed from what waits longest: as many as end before it is dark."""
    change.request.by.must_be_allowed(Right.FIRE)
    _must_be_possible(change, facts)
    number = change.outdoors.begin(facts, SessionStage.PLANNED)
    rounds, pieces = _propose(change, held_session(change, number), None)
    words = _("Outdoor session {session} is planned: {pieces} in {rounds}.")
    message = Message("session-planned", words, session=str(number), pieces=_pieces(pieces), rounds=_rounds(rounds))
    return Receipt(message=message, extra={"session": number})


def _must_be_possible(change: Change, facts: SessionFacts) -> Kiln:
    facts.must_make_sense()
    kiln = change.catalog.kiln(facts.kiln)
    if kiln.retired:
        raise no_longer_in_use(kiln.name)
    if not any(change.catalog.route(one).is_pulled_hot for one in kiln.routes):
        problem = Message("no-outdoor-kiln", _("{kiln} isn't an outdoor kiln."), kiln=kiln.name)
        raise Unusable([problem], Message("choose-outdoor-kiln", _("Choose one that fires outdoors.")))
    floor_of(kiln, facts)
    return kiln


@once("tell session")
def tell(change: Change, session_id: int, facts: SessionFacts) -> Receipt:
    """Say anew what is known of a session beforehand; the rounds that have not been lit are planned anew by it."""
    session = _to_be_planned(change, session_id)
    if facts.kiln != session.facts.kiln and session.stage is not SessionStage.PLANNED:
        words = _("Session {session} is running in {kiln}.")
        message = Message("session-runs", words, session=str(session_id), kiln=session.facts.kiln)
        raise NotAStep(message, Message("end-and-plan", _("End that session, then plan another one.")))
    _must_be_possible(change, facts)
    wanted = {*(one for firing in session.coming for one in firing.planned_ids), *dict(session.left_out)}
    if facts.kiln != session.facts.kiln:
        _call_off_rounds(change, session.coming)
    change.outdoors.tell(session_id, facts)
    rounds, pieces = _propose(change, held_session(change, session_id), wanted or None, before_dark=True)
    return _to_come(session_id, pieces, rounds)


@once("choose for session")
def choose(change: Change, session_id: int, refs: Collection[str]) -> Receipt:
    """Say which pieces are fired in the rounds that have not been lit, and have these planned anew."""
    session = _to_be_planned(change, session_id)
    by = change.request.by
    chosen = {find_piece(change.read, ref, by, hold=True).id for ref in refs}
    inside = {one for firing in session.rounds for one in firing.piece_ids}
    rounds, pieces = _propose(change, session, chosen - inside)
    return _to_come(session_id, pieces, rounds)


@once("arrange")
def arrange(change: Change, session_id: int, ref: str, round_number: int | None) -> Receipt:
    """Put a piece into another round that has not been lit, by hand; None leaves it for another day."""
    session = _to_be_planned(change, session_id)
    piece = find_piece(change.read, ref, change.request.by, hold=True)
    source = next((one for one in session.coming if piece.id in one.planned_ids), None)
    if round_number is None:
        if source is None:
            message = Message("in-no-round", _("{piece} isn't in an upcoming round."), piece=piece.ref)
            raise NotAStep(message, Message("nothing-to-leave-out", _("Nothing to leave out.")))
        _rewrite(change, session, source, [one for one in source.planned_ids if one != piece.id])
        kept = [one for one in session.left_out if one[0] != piece.id]
        by_hand = Message("left-out-by-hand", _("Left out by {person}."), person=change.request.by.short_name)
        change.outdoors.leave_out(session_id, [*kept, (piece.id, by_hand)])
        words = _("{piece}, {what}: left for another day.")
        message = Message("left-for-another-day", words, piece=piece.ref, what=piece.what)
        return Receipt(message=message, ref=piece.ref, piece_id=piece.id)
    there = _coming_round(session, round_number)
    if piece.planned_in not in {None, *(one.id for one in session.coming)}:
        words = _("{piece} is planned for firing {firing}.")
        message = Message("planned-elsewhere", words, piece=piece.ref, firing=str(piece.planned_in))
        raise NotAStep(message, Message("take-out-of-plan", _("Take the piece out of that plan first.")))
    _must_wait_for(change, there, piece)
    if source is not None and source.id != there.id:
        _rewrite(change, session, source, [one for one in source.planned_ids if one != piece.id])
    if source is None or source.id != there.id:
        _rewrite(change, session, there, [*there.planned_ids, piece.id])
    change.outdoors.leave_out(session_id, [one for one in session.left_out if one[0] != piece.id])
    words = _("{piece}, {what}: in round {round}.")
    message = Message("in-round", words, piece=piece.ref, what=piece.what, round=round_number)
    return Receipt(message=message, ref=piece.ref, piece_id=piece.id)


def _coming_round(session: Session, number: int) -> Firing:
    if not 1 <= number <= len(session.rounds):
        words = _("Session {session} has no round {round}.")
        message = Message("no-such-round", words, session=str(session.id), round=number)
        raise Unknown(message, Message("pick-round", _("Choose one of its rounds.")))
    firing = session.rounds[number - 1]
    if firing.stage is not FiringStage.PLANNED:
        message = Message("round-started", _("Round {round} has started."), round=number)
        raise NotAStep(message, Message("pick-coming-round", _("Choose a round that hasn't started.")))
    return firing


def _must_wait_for(change: Change, firing: Firing, piece: Piece) -> None:
    """Refuse with every reason what this round's fire would not take."""
    if piece.in_firing is not None:
        words = _("{piece} is in firing {firing}.")
        message = Message("in-a-firing", words, piece=piece.ref, firing=str(piece.in_firing))
        raise NotAStep(message, Message("wait-until-out", _("Wait until the piece is out.")))
    if piece.route is None:
        words = _("{piece} isn't waiting for any firing.")
        message = Message("waits-for-nothing", words, piece=piece.ref, route=firing.route.title)
        raise NotAStep(message, piece.possible)
    if piece.route != firing.route.name:
        words, waits = _("{piece} is waiting for {waits}, not for {route}."), change.catalog.route(piece.route).title
        message = Message("waits-for-another", words, piece=piece.ref, waits=waits, route=firing.route.title)
        raise NotAStep(message, piece.possible)
    if why := _kept_out(change, firing.kiln, firing.route, piece):
        message = Message("piece-kept-out", "{piece}: {why}", piece=piece.ref, why=why)
        raise NotAStep(message, Message("settle-first", _("Fix that first.")))


def _rewrite(change: Change, session: Session, firing: Firing, piece_ids: Sequence[int]) -> None:
    """Give a round these pieces, each with a place on the floor and a container again, as one round."""
    if not piece_ids:
        change.book.forget_plan(firing.id)
        change.book.move(firing.id, FiringStep.CALL_OFF, firing.after(FiringStep.CALL_OFF))
        return
    practice = change.catalog.practice
    rows = change.read.pieces.by_ids(piece_ids)
    pieces = [to_fire(row, practice, change.request.at, firing.route, session.kiln) for row in rows]
    made = round_of(pieces, session, change.catalog.practice.outdoors, change.request.at)
    change.book.plan(firing.id, [one.piece_id for one in made.stood], _kept(made.stood))


# ---- the proposal ---------------------------------------------------------------------------------------------


def _propose(
    change: Change, session: Session, wanted: Collection[int] | None, *, before_dark: bool | None = None
) -> tuple[int, int]:
    """Plan the rounds to come anew, from the `wanted` pieces or else from all that wait; gives how many of each.

    A proposal ends before dark; what was chosen by hand is planned whole. Cool rounds come first.
    """
    practice = change.catalog.practice.outdoors
    ends_by_dark = wanted is None if before_dark is None else before_dark
    routes = [one for one in change.catalog.routes_by_heat if one.is_pulled_hot and session.kiln.serves(one)]
    may, left_out = _may_be_fired(change, session, routes, wanted)
    made: list[tuple[Route, Round]] = []
    for group in _one_of_each_kind(routes):
        pieces = [piece for piece, route in may if group.get(route.kind) is route]
        proposed = propose_rounds(
            pieces,
            floor_of(session.kiln, session.facts),
            session.facts.containers,
            session.facts.crew,
            practice,
            change.request.at,
        )
        made.extend((group[one.kind], one) for one in proposed.rounds)
        left_out.extend(proposed.left_out)
    made.sort(key=lambda one: (pull_c(one[1].kind, practice), one[0].cone.rank))
    if ends_by_dark:
        made, late = _before_dark(session, made, practice)
        left_out.extend(late)
    _write_rounds(change, session, made)
    change.outdoors.leave_out(session.id, left_out)
    return len(made), sum(len(one.stood) for _route, one in made)


def _one_of_each_kind(routes: Sequence[Route]) -> list[dict[RouteKind, Route]]:
    """Routes that can be planned together, for they tell their ware apart by its kind: mostly all of them."""
    groups: list[dict[RouteKind, Route]] = []
    for route in routes:
        group = next((one for one in groups if route.kind not in one), None)
        if group is None:
            groups.append(group := {})
        group[route.kind] = route
    return groups


def _may_be_fired(
    change: Change, session: Session, routes: Sequence[Route], wanted: Collection[int] | None
) -> tuple[list[tuple[ToFire, Route]], list[tuple[int, Message]]]:
    """What waits for these routes and stands nowhere else, the oldest first; and what the rules keep out, with why."""
    rounds_to_come = {firing.id for firing in session.coming}
    by_name = {route.name: route for route in routes}
    may: list[tuple[ToFire, Route]] = []
    left_out: list[tuple[int, Message]] = []
    for row in change.read.pieces.waiting(by_name)[:_MOST_LOOKED_AT]:
        piece = row.piece
        if row.firing_id is not None or piece.planned_in not in {None, *rounds_to_come}:
            continue
        if wanted is not None and piece.id not in wanted:
            continue
        route = by_name[piece.route or ""]
        if why := _kept_out(change, session.kiln, route, piece):
            left_out.append((piece.id, why))
        else:
            fires = to_fire(row, change.catalog.practice, change.request.at, route, session.kiln)
            may.append((fires, route))
    return may, left_out


def _kept_out(change: Change, kiln: Kiln, route: Route, piece: Piece) -> Message | None:
    """Why the rules keep a piece out of this kiln for now: what is refused, or what nobody has allowed yet."""
    practice = change.catalog.practice
    if missing := untold(piece, route, practice):
        return missing[0].message
    verdict = judge(piece.at(change.request.at), route, practice, kiln)
    if never := verdict.of(Level.REFUSE):
        return never[0].message
    if asks := verdict.of(Level.ASK):
        leaves = change.read.questions.leaves(piece.id)
        return next((one.message for one in asks if Approval(route.name, one.message) not in leaves), None)
    return None


def _before_dark(
    session: Session, made: list[tuple[Route, Round]], practice: OutdoorPractice
) -> tuple[list[tuple[Route, Round]], list[tuple[int, Message]]]:
    """The rounds that end before it is dark, and the pieces of the others."""
    rounds = Rounds(tuple(one for _route, one in made))
    times = timetable(rounds, session.facts.starts_at, session.facts.dark_at, practice)
    kept = [one for one, time in zip(made, times, strict=True) if time.before_dark]
    late = [one for one, time in zip(made, times, strict=True) if not time.before_dark]
    why = Message("too-dark", _("Its round would end after dark."))
    return kept, [(stood.piece_id, why) for _route, one in late for stood in one.stood]


def _write_rounds(change: Change, session: Session, made: Sequence[tuple[Route, Round]]) -> None:
    """Make these the rounds to come, in this order: that of their numbers, of which each is kept where it can be."""
    free, last = list(session.coming), 0
    for firing in free:
        change.book.forget_plan(firing.id)
    for route, one in made:
        same = next((firing for firing in free if firing.route.name == route.name and firing.id > last), None)
        if same is not None:
            free.remove(same)
            number = same.id
        else:
            number = change.outdoors.add_round(
                session.id, session.kiln.name, route.name, route.cone.rank, session.facts.starts_at
            )
        last = number
        change.book.plan(number, [stood.piece_id for stood in one.stood], _kept(one.stood))
    _call_off_rounds(change, free)


def _call_off_rounds(change: Change, firings: Sequence[Firing]) -> None:
    for firing in firings:
        change.book.forget_plan(firing.id)
        change.book.move(firing.id, FiringStep.CALL_OFF, firing.after(FiringStep.CALL_OFF))


def _kept(stood: Sequence[Stood]) -> KeptPlan:
    """A round's floor as it is kept with its firing: its places in the order in which the pieces are pulled."""
    places = (
        Place(
            one.piece_id,
            round(one.x_mm, DIGITS),
            round(one.y_mm, DIGITS),
            turned=one.turned,
            container=one.container or "",
            apart=one.apart,
        )
        for one in stood
    )
    return KeptPlan((PlannedLevel(0, tuple(places)),))


@once("call off session")
def call_off(change: Change, session_id: int) -> Receipt:
    """Call off a session that has not begun; all its pieces wait on as before."""
    session = allowed_session(change, session_id)
    stage = session.after(SessionStep.CALL_OFF)
    _call_off_rounds(change, session.coming)
    change.outdoors.move(session_id, stage, ended=True)
    message = Message("session-called-off", _("Outdoor session {session} is canceled."), session=str(session_id))
    return Receipt(message=message, extra={"session": session_id})


@once("end session")
def end(change: Change, session_id: int, *, fuel_after_kg: float | None = None) -> Receipt:
    """End a session once every piece that was lit has its result; rounds that were not lit are called off."""
    session = allowed_session(change, session_id)
    stage = session.after(SessionStep.END)
    session.must_burn_no_more_than_it_had(fuel_after_kg)
    open_ids = [one for firing in session.rounds if firing.is_open for one in firing.piece_ids]
    if open_ids:
        refs = [row.ref for row in change.read.pieces.by_ids(open_ids)]
        raise Unusable([without_result(refs)], Message("say-results", _("Record a result for each piece first.")))
    _call_off_rounds(change, session.coming)
    change.outdoors.weigh(session_id, fuel_after_kg)
    change.outdoors.move(session_id, stage, ended=True)
    fired = sum(len(firing.piece_ids) for firing in session.rounds)
    words = _("Outdoor session {session} has ended: {pieces} fired.")
    message = Message("session-ended", words, session=str(session_id), pieces=_pieces(fired))
    return Receipt(message=message, extra={"session": session_id})


@once("weigh")
def weigh(change: Change, session_id: int, fuel_after_kg: float | None) -> Receipt:
    """Say what a session's fuel weighed afterwards, when it was not said at its end."""
    session = allowed_session(change, session_id)
    session.must_burn_no_more_than_it_had(fuel_after_kg)
    change.outdoors.weigh(session_id, fuel_after_kg)
    message = Message("fuel-weighed", _("Outdoor session {session}: propane weight saved."), session=str(session_id))
    return Receipt(message=message, extra={"session": session_id})


def held_session(change: Change, session_id: int) -> Session:
    """The session, kept from others until the end."""
    change.outdoors.hold(session_id)
    session = change.read.outdoors.session(session_id)
    if session is None:
        raise no_session(session_id)
    return session


def no_session(session_id: int) -> Unknown:
    """The answer to whoever asks for an outdoor session that there is not."""
    message = Message("no-session", _("There is no outdoor session {session}."), session=str(session_id))
    return Unknown(message, Message("pick-session", _("Choose one from the list at the outdoor kiln.")))


def allowed_session(change: Change, session_id: int) -> Session:
    """The same, for somebody who may fire."""
    change.request.by.must_be_allowed(Right.FIRE)
    return held_session(change, session_id)


def _to_be_planned(change: Change, session_id: int) -> Session:
    session = allowed_session(change, session_id)
    session.after(SessionStep.PLAN)
    return session


def _to_come(session_id: int, pieces: int, rounds: int) -> Receipt:
    words = _("Outdoor session {session}: {pieces} in {rounds} to come.")
    message = Message("rounds-to-come", words, session=str(session_id), pieces=_pieces(pieces), rounds=_rounds(rounds))
    return Receipt(message=message, extra={"session": session_id})


def _pieces(count: int) -> Message:
    return Message("count-of-pieces", Plural("count", "{count} piece", "{count} pieces"), count=count)


def _rounds(count: int) -> Message:
    return Message("count-of-rounds", Plural("count", "{count} round", "{count} rounds"), count=count)
