"""Beside the outdoor kiln: every tap is kept as it came, and what they say together is done to the rounds."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from tracker.domain.firing.firings import Firing, FiringStage, FiringStep
from tracker.domain.message import Choice, Fact, Message, _, together
from tracker.domain.outdoor.event_log import Did, PieceStory, RoundStory, Story, Tap, pieces_in, story_of
from tracker.domain.outdoor.results import Mark
from tracker.domain.outdoor.sessions import Session, SessionStage, SessionStep
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Piece
from tracker.domain.refusals import NotAStep, Refusal, Unknown, Unusable
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.firing.firings import held_firing, let_in
from tracker.usecases.firing.unloading import come_out
from tracker.usecases.once import once
from tracker.usecases.outdoor.sessions import allowed_session, held_session
from tracker.usecases.pieces.in_hot_kilns import free_of_heat
from tracker.usecases.pieces.lookup import find_piece
from tracker.usecases.pieces.revalidate import out_of_a_hot_kiln

_LATEST = timedelta(hours=36)
"""How long after a session's beginning a phone may still have something of it to tell (common sense)."""
_EARLIEST = timedelta(hours=12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a phone says: what was done, to which round (its firing) or piece, and when by its own clock.

    `value` is the outcome of a result in its words, or the key of the tap that is taken back; `inside` are the codes
    of the pieces in the kiln, for a start.
    """

    did: Did
    firing_id: int
    ref: str = ""
    value: str = ""
    inside: tuple[str, ...] = ()
    at: datetime


def hear(store: Store, request: Request, session_id: int, said: Said) -> Receipt:
    """Keep one tap, under the request's key, and do what all taps of the session together say."""
    # A phone tells how long ago it was, so the same tap sent again is of another moment.
    about = (session_id, said.did, said.firing_id, said.ref, said.value, said.inside)
    return store.once(request, "tap", lambda change: _hear(change, session_id, said), about)


def _hear(change: Change, session_id: int, said: Said) -> Receipt:
    session = allowed_session(change, session_id)
    firing = held_firing(change, said.firing_id)
    if firing.session_id != session_id:
        words = _("Firing {firing} isn't a round of session {session}.")
        raise Unknown(
            Message("firing-no-round", words, firing=str(said.firing_id), session=str(session_id)), _LOAD_ANEW
        )
    _must_be_of_this_day(session, said.at, change.request.at)
    by = change.request.by
    piece = find_piece(change.read, said.ref, by) if said.did.is_of_a_piece else None
    value = said.value
    if said.did is Did.START:
        value = ",".join(str(find_piece(change.read, ref, by).id) for ref in said.inside)
        if not value:
            problem = Message("nothing-in-kiln", _("No pieces are marked as in the kiln."))
            raise Unusable([problem], Message("say-what-is-in", _("Tick the pieces that are in the kiln.")))
    tap = Tap(
        key=str(change.request.key),
        did=said.did,
        firing_id=firing.id,
        piece_id=piece.id if piece else None,
        value=value,
        at=min(said.at, change.request.at),
        by=by.short_name,
        by_id=by.id,
    )
    heard = change.read.outdoors.taps(session_id)
    if said.did is Did.TAKE_BACK:
        _must_be_taken_back(change, session, heard, said.value)
    change.outdoors.hear(session_id, tap)
    if firing.stage is FiringStage.UNLOADED and firing.lit_at is None and said.did is not Did.TAKE_BACK:
        # The others had called this round off while the phone that ran it was out of reach.
        change.book.move(firing.id, FiringStep.TAKE_UP, firing.after(FiringStep.TAKE_UP))
        session = held_session(change, session_id)
    round_name = _round_name(session, firing)
    names: dict[int, Fact] = {-firing.id: round_name, **({piece.id: piece.ref} if piece else {})}
    of_this_round = [one for one in (*heard, tap) if one.firing_id == firing.id or one.did is Did.TAKE_BACK]
    story = story_of(of_this_round, names, clock_of(change.read))
    stopped = _do(change, session, story)
    kept = Message("tap-kept", _KEPT, name=piece.ref if piece else round_name, did=said.did, result=_result(said))
    more = [*story.about(tap.key), *([stopped[piece.id]] if piece and piece.id in stopped else [])]
    more += [stopped[number] for number in pieces_in(tap) if number in stopped]
    return Receipt(
        message=together([kept, *more]),
        ref=piece.ref if piece else "",
        piece_id=piece.id if piece else None,
        extra={"session": session_id},
    )


_KEPT = Choice(
    "did",
    {
        "start": _("{name}: started."),
        "at heat": _("{name}: up to temperature."),
        "pulled": _("{name}: pulled."),
        "closed": _("{name}: in its bin."),
        "out": _("{name}: out."),
        "result": _("{name}: {result}."),
        "take back": _("{name}: undone."),
    },
)
_LOAD_ANEW = Message("load-anew", _("Reload the page."))


def _result(said: Said) -> Message | None:
    return Outcome.parse(said.value).message if said.did is Did.RESULT else None


def _must_be_of_this_day(session: Session, at: datetime, now: datetime) -> None:
    begins = session.facts.starts_at
    if not is_of_its_day(session, now) and not is_of_its_day(session, at):
        raise Unusable([planned_for(session)], Message("change-its-day", _("Change its day first.")))
    if not begins - _EARLIEST <= at <= min(now + timedelta(minutes=5), begins + _LATEST):
        words = _("By this phone's clock it was {at}. That isn't during session {session}.")
        problem = Message("not-during-session", words, at=at, session=str(session.id))
        raise Unusable([problem], Message("set-clock", _("Set the phone's clock, then tap again.")))


def is_of_its_day(session: Session, at: datetime) -> bool:
    """Whether a session may be under way at this moment, as it is planned."""
    first, last = its_day(session)
    return first <= at <= last


def its_day(session: Session) -> tuple[datetime, datetime]:
    """The first and the last moment at which a session may be under way, as it is planned."""
    return session.facts.starts_at - _EARLIEST, session.facts.starts_at + _LATEST


def planned_for(session: Session) -> Message:
    """When a session is planned for."""
    return Message("session-planned-for", _("Planned for {at}."), at=session.facts.starts_at)


def _round_name(session: Session, firing: Firing) -> Message:
    called_off = Message("called-off-round", _("Canceled round"))
    return next((_round(n) for n, one in enumerate(session.rounds, start=1) if one.id == firing.id), called_off)


def _round(number: int) -> Message:
    return Message("round", _("Round {number}"), number=number)


def _must_be_taken_back(change: Change, session: Session, heard: tuple[Tap, ...], key: str) -> None:
    """Refuse to take back what was never tapped, or what has had its effect on a piece already."""
    tap = next((one for one in heard if one.key == key), None)
    if tap is None:
        raise Unknown(Message("no-such-tap", _("That tap doesn't belong to this session.")), _LOAD_ANEW)
    if tap.did is Did.RESULT:
        message = Message("result-on-record", _("The result is on record."))
        raise NotAStep(message, Message("put-result-right", _PUT_RIGHT))
    if tap.did is Did.START:
        firing = _still_whole(session, heard, tap)
        if firing is None:
            message = Message("pulled-already", _("A piece of this round has been pulled."))
            raise NotAStep(message, Message("end-as-it-is", _("Finish the round as it is.")))
        _put_off(change, firing)


def _still_whole(session: Session, heard: Iterable[Tap], start: Tap) -> Firing | None:
    """The round that this tap started, while it burns and nothing was pulled out of it; else None."""
    firing = next((one for one in session.rounds if one.id == start.firing_id), None)
    pulled = any(one.did is Did.PULLED and one.firing_id == start.firing_id for one in heard)
    return None if pulled or firing is None or firing.stage is not FiringStage.FIRING else firing


def last_to_take_back(session: Session, heard: Sequence[Tap]) -> Tap | None:
    """The last tap if it can be undone: no result, no undo, and no start of a round that was pulled from."""
    last = heard[-1] if heard else None
    if last is None or last.did in {Did.RESULT, Did.TAKE_BACK}:
        return None
    return None if last.did is Did.START and _still_whole(session, heard, last) is None else last


_PUT_RIGHT = _("Correct it on the piece's page.")


def _put_off(change: Change, firing: Firing) -> None:
    """A round was not started after all: its pieces are meant for it again, and stand on their shelf."""
    change.book.take_out(firing.id, firing.piece_ids)
    caught = free_of_heat(change, firing.id)
    change.book.move(firing.id, FiringStep.OPEN_AGAIN, firing.after(FiringStep.OPEN_AGAIN))
    opened = replace(firing, stage=FiringStage.LOADING, piece_ids=())
    put_off = opened.after(FiringStep.PUT_OFF)
    change.book.move(firing.id, FiringStep.PUT_OFF, put_off)
    for one, row in caught:
        out_of_a_hot_kiln(change, one, row, replace(opened, stage=put_off))
    wrong = {one.piece_id for one, _row in caught}
    change.book.plan(firing.id, [one for one in firing.piece_ids if one not in wrong], firing.plan)


# ---- what the story does ------------------------------------------------------------------------------------------


def _do(change: Change, session: Session, story: Story) -> Mapping[int, Message]:
    """Do what the story says and was not done yet; gives what could not be done, a message for each piece."""
    stopped: dict[int, Message] = {}
    for firing in session.rounds:
        told = story.of(firing.id)
        if told.inside and firing.stage is not FiringStage.UNLOADED:
            stopped.update(_do_round(change, firing, told, dict(session.outcomes.get(firing.id, {}))))
    return stopped


def _do_round(change: Change, firing: Firing, told: RoundStory, done: dict[int, Outcome]) -> Mapping[int, Message]:
    """The same for one round; `done` is what came of its pieces so far."""
    stopped = {}
    inside = list(firing.piece_ids)
    for number in told.inside:
        if number in inside or number in done:
            continue
        piece = change.read.pieces.piece(number=number, hold=True)
        if piece is None:
            continue
        if why := _let_in(change, firing, piece):
            stopped[number] = why
        else:
            inside.append(number)
    stage = _light(change, firing, told) if inside and firing.stage is FiringStage.PLANNED else firing.stage
    pulled = [told.of(one).pulled_at for one in inside]
    if stage is FiringStage.FIRING and all(pulled) and inside:
        change.book.move(
            firing.id, FiringStep.SHUT_OFF, FiringStage.COOLING, at=max(one for one in pulled if one is not None)
        )
        stage = FiringStage.COOLING
    lit = replace(firing, stage=stage, piece_ids=tuple(inside))
    for number in inside:
        if (outcome := told.of(number).outcome) is not None:
            _out(change, lit, number, told.of(number), outcome)
            done[number] = outcome
    if inside and all(number in done for number in inside):
        change.book.move(firing.id, FiringStep.UNLOAD, lit.after(FiringStep.UNLOAD))
    return stopped


def _let_in(change: Change, firing: Firing, piece: Piece) -> Message | None:
    """Enter a piece that somebody saw in the kiln, if its rules allow it there; else why it is on no record."""
    try:
        let_in(change, firing, piece)
    except Refusal as refusal:
        not_recorded = Message("not-recorded", _("{piece} has no firing here on record."), piece=piece.ref)
        return together([not_recorded, refusal.message])
    return None


def _light(change: Change, firing: Firing, told: RoundStory) -> FiringStage:
    """Light a round at the time somebody tapped; what was planned for it and did not go in waits on."""
    change.book.forget_plan(firing.id)
    change.book.move(firing.id, FiringStep.LOAD, FiringStage.LOADING)
    loading = replace(firing, stage=FiringStage.LOADING)
    seen = [told.started_at, *(one.pulled_at for one in told.pieces.values())]
    change.book.move(
        firing.id,
        FiringStep.LIGHT,
        loading.after(FiringStep.LIGHT),
        at=min((at for at in seen if at is not None), default=change.request.at),
    )
    session = allowed_session(change, firing.session_id or 0)
    if session.stage is not SessionStage.RUNNING:
        change.outdoors.move(session.id, session.after(SessionStep.BEGIN))
    return FiringStage.FIRING


def _out(change: Change, firing: Firing, number: int, told: PieceStory, outcome: Outcome) -> None:
    """Take one piece out of the round's books with what came of it, and how long it stood in the open."""
    change.book.take_out(firing.id, [number])
    change.book.note_results(firing.id, {number: outcome})
    come_out(change, firing, number, outcome)
    change.outdoors.mark(firing.id, number, Mark(open_s=told.open_s))


# ---- what the fire did -------------------------------------------------------------------------------------------


@once("mark")
def mark(change: Change, session_id: int, firing_id: int, ref: str, told: Mark) -> Receipt:
    """Say what air and smoke a piece had, and which color came; how long it stood open is known from the taps."""
    allowed_session(change, session_id)
    piece = find_piece(change.read, ref, change.request.by)
    before = change.read.outdoors.marks(session_id).get((firing_id, piece.id))
    if before is None:
        message = Message("no-result-yet", _("{piece} has no result in that round yet."), piece=piece.ref)
        raise NotAStep(message, Message("say-result-first", _("Record its result first.")))
    change.outdoors.mark(firing_id, piece.id, replace(told, open_s=before.open_s))
    message = Message(
        "mark-noted", _("{piece}, {what}: atmosphere, smoke and color recorded."), piece=piece.ref, what=piece.what
    )
    return Receipt(message=message, ref=piece.ref, piece_id=piece.id)


# ---- reading ------------------------------------------------------------------------------------------------------


def names_in(reader: Queries, session: Session, taps: tuple[Tap, ...]) -> Mapping[int, Fact]:
    """What a session's pieces and rounds are called: codes by number, and below zero the rounds by their firings."""
    numbers = {one.piece_id for one in taps if one.piece_id is not None} | set(session.piece_ids)
    rows = reader.pieces.by_ids(numbers) if numbers else ()
    rounds = {-firing.id: _round(number) for number, firing in enumerate(session.rounds, start=1)}
    return {**{row.piece.id: row.ref for row in rows}, **rounds}


def clock_of(reader: Queries) -> Callable[[datetime, bool], str]:
    """How a moment is written in the studio: by its own zone, to the second where that is asked for."""
    zone = ZoneInfo(reader.studio().timezone)
    return lambda moment, to_the_second: f"{moment.astimezone(zone):{'%H:%M:%S' if to_the_second else '%H:%M'}}"
