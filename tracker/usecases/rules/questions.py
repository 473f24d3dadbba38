"""Questions on a piece for the instructor, and the answers, which may give leave for what the rules leave open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from tracker.domain.findings import Approval, Finding, Level, Unfit
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.firing.mixed_loads import own_route
from tracker.domain.message import Choice, Message, _, together
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.news import answer_news
from tracker.domain.pieces.piece import Piece
from tracker.domain.refusals import NotAStep, Unknown, Unusable
from tracker.domain.rules.engine import RULES, judge, judge_in
from tracker.domain.rules.kiln import OPEN_QUESTION
from tracker.domain.studio.kilns import Route
from tracker.domain.studio.people import Person, Right
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.store.rules.queries import QuestionRow
from tracker.store.unit_of_work import Change
from tracker.usecases.firing.firings import held_firing, judged_at_the_door, must_join
from tracker.usecases.once import once
from tracker.usecases.pieces.editing import set_right_within
from tracker.usecases.pieces.lookup import find_piece, named
from tracker.usecases.pieces.moved import Moved
from tracker.usecases.pieces.revalidate import (
    EVERY_FIRING,
    declined,
    fit_again,
    is_note_to_decide,
    moves_of,
    queue_left,
    send_out,
    stays_of,
)


@once("ask")
def ask(change: Change, ref: str, text: str, *, route: str | None = None, seen: int | None = None) -> Receipt:
    """Put a question on a piece for the instructor; with `route`, whether it may be fired that way."""
    by = change.request.by
    by.must_be_allowed(Right.ASK)
    piece = find_piece(change.read, ref, by)
    piece.must_be_as_seen(seen)
    findings = _left_open(change, piece, route)
    if not text.strip() and not findings:
        raise Unusable(
            [Message("question-blank", _("The question is blank."))],
            Message("write-it", _("Write what you want to know.")),
        )
    number = change.questions.ask(piece.id, route, text.strip() or _may_it(change, route), findings)
    has_it = _("{piece}: the instructor has your question.")
    words = _("{piece}: question noted. The piece waits for your answer.") if by.may(Right.DECIDE) else has_it
    return Receipt(
        message=Message("asked", words, piece=piece.ref),
        ref=piece.ref,
        piece_id=piece.id,
        extra={"question": number},
    )


def _may_it(change: Change, route: str | None) -> Message:
    title = change.catalog.route(route or "").title
    return Message("may-it-go", _("Can it go in {firing}?"), firing=title)


@once("ask at the door")
def ask_at_the_door(change: Change, firing_id: int, ref: str) -> Receipt:
    """Ask the instructor whether a piece may go into this firing, about all that its kiln's door leaves to them.

    What this kiln and this firing's own cone ask about never came up in the queue; the leave counts at the door.
    """
    change.request.by.must_be_allowed(Right.FIRE)
    firing = held_firing(change, firing_id)
    firing.must_be_loading()
    piece = find_piece(change.read, ref, change.request.by, hold=True)
    own = must_join(change, firing, piece)
    # Whether greenware is dry is no question for the instructor.
    verdict = judged_at_the_door(change, firing, piece, own, dry=True)
    verdict.must_not_be_refused()
    leaves = change.read.questions.leaves(piece.id)
    asks = [one for one in verdict.of(Level.ASK) if Approval(own.name, one.message) not in leaves]
    if not waits_to_be_asked(change.read, piece, own.name, asks):
        words = _("{piece}: there's nothing new to ask the instructor.")
        raise NotAStep(
            Message("nothing-new-to-ask", words, piece=piece.ref),
            Message("keep-it-out", _("Don't load it until they answer.")),
        )
    words = _("Can it go in firing {firing}, {kiln}, to {cone}?")
    text = Message("may-it-go-in", words, firing=str(firing.id), kiln=firing.kiln.name, cone=firing.target)
    asked = [one for one in asks if one.rule != OPEN_QUESTION]
    number = change.questions.ask(piece.id, own.name, text, asked)
    words = _("{piece}: the instructor has your question. Don't load it until they answer.")
    says = Message("asked-at-the-kiln", words, piece=named(piece))
    return Receipt(message=says, ref=piece.ref, piece_id=piece.id, extra={"question": number})


def waits_to_be_asked(reader: Queries, piece: Piece, route: str, findings: Iterable[Finding]) -> bool:
    """Whether the instructor has not been asked yet about one of these findings on this piece for this route."""
    asked = {
        one
        for question in reader.pieces.page(piece.id).questions
        if question.answered_at is None and question.route == route
        for one in question.findings
    }
    return any(one.rule != OPEN_QUESTION and one not in asked for one in findings)


@once("withdraw question")
def withdraw(change: Change, ref: str, question_id: int) -> Receipt:
    """Take back a question of one's own that nobody has answered; it stays on the piece's page as withdrawn."""
    by = change.request.by
    piece = find_piece(change.read, ref, by, hold=True)
    question = next((one for one in change.read.questions.of_piece(piece.id) if one.id == question_id), None)
    if question is None or not may_withdraw(question, by) or not change.questions.take_back(question.id):
        raise NotAStep(
            Message("not-withdrawn", _("{piece}: this question can't be withdrawn."), piece=piece.ref),
            Message("own-open-questions", _("You can withdraw a question of your own until it is answered.")),
        )
    stays = stays_of(fit_again(change))
    says = Message("question-withdrawn", _("{piece}: the question is withdrawn."), piece=named(piece))
    return Receipt(message=together((says, stays)), ref=piece.ref, piece_id=piece.id)


def may_withdraw(question: QuestionRow, by: Person) -> bool:
    """Whether this person may take a question back: their own, while it is open; what a change left to decide stays."""
    return question.answered_at is None and question.asked_by_id == by.id and not is_note_to_decide(question)


def find_question(reader: Queries, question_id: int) -> QuestionRow:
    """The question of this number, open or answered; `Unknown` where there is none."""
    question = reader.questions.question(question_id)
    if question is None:
        raise Unknown(
            Message("no-such-question", _("This question isn't there.")),
            Message("look-at-the-questions", _("Check the list of questions.")),
        )
    return question


@once("answer")
def answer(change: Change, question_id: int, text: str, *, allows: bool, pin: str = "", clay: str = "") -> Receipt:
    """Answer a question; an allowing answer gives leave for what the rules ask about on that route now.

    It gives leave for what the question itself named too: at a kiln's door the firing's own cone may ask about more.
    About a piece in a kiln that is being loaded every answer is a yes or a no to that firing.

    `pin` is "clay" or "glaze:NAME": then whoever chooses the piece's clay, or that glaze, reads the answer too.
    `clay` is the name of the clay that the piece is made of, where the question was about that: it is edited first.
    """
    by = change.request.by
    by.must_be_allowed(Right.DECIDE)
    question = find_question(change.read, question_id)
    if not text.strip():
        raise Unusable(
            [Message("answer-blank", _("Add a reason to your answer."))],
            Message("write-a-sentence", _("Write a sentence. It stays with the piece.")),
        )
    piece = find_piece(change.read, question.ref, by)
    edited = None
    if clay and clay != piece.clay.name:
        edited = set_right_within(change, find_piece(change.read, question.ref, by, hold=True), Told(), clay).message
        piece = find_piece(change.read, question.ref, by)
    for_clay, for_glaze = _pinned(change, piece, pin)
    route = question.route or asked_in(change.read, change.read.pieces.row(number=piece.id))[0]
    findings: Sequence[Finding] = question.findings
    if allows:
        of_the_question = [one for one in question.findings if question.route and one.level is Level.ASK]
        findings = tuple(dict.fromkeys((*_left_open(change, piece, question.route), *of_the_question)))
    change.questions.answer(
        question_id, text.strip(), allows=allows, findings=findings, route=route, clay=for_clay, glaze=for_glaze
    )
    if question.asked_by_id != by.id:
        change.outbox.tell(question.asked_by_id, answer_news(piece.what, text.strip(), by.name), change.zone)
    if route and not allows:
        moved = _taken_out(change, piece, route)
        more = moves_of(moved)
    else:
        more = stays_of(fit_again(change))
    decision = "answered" if not route else "allowed" if allows else "declined"
    said = Message(decision, Choice("decision", _DECIDED), piece=piece.ref, decision=decision)
    pinned = Message("pinned", _("Pinned to {name}, for others to read."), name=for_clay or for_glaze)
    told = together((said, edited, pinned if pin else None, more))
    return Receipt(message=told, ref=piece.ref, piece_id=piece.id)


def asked_in(reader: Queries, row: PieceRow | None) -> tuple[str | None, Firing | None]:
    """The firing type and the firing of a piece in a kiln that is being loaded: what a free question asks about."""
    firing = reader.firings.firing(row.firing_id) if row is not None and row.firing_id is not None else None
    if row is None or firing is None or firing.stage is not FiringStage.LOADING:
        return None, None
    own = own_route(firing, row.piece, reader.catalog())
    return (own.name, firing) if own is not None else (None, None)


def as_found_now(reader: Queries, question: QuestionRow, at: datetime) -> tuple[tuple[Finding, ...], list[Finding]]:
    """What a question is about as the rules find it now, and what of it they no longer find.

    A finding whose facts changed is told by the facts of now. What no rule of the rulebook found stays as it was told.
    """
    piece, catalog = reader.pieces.piece(number=question.piece_id), reader.catalog()
    if piece is None or not question.findings:
        return question.findings, []
    left = queue_left(reader, question)
    named = catalog.routes.get(question.route or "") or left
    routes = [named] if named else list(catalog.routes.values())
    now = list(_found_now(reader, piece.at(at), routes))
    still, gone = [], []
    for one in question.findings:
        same = [found for found in now if found.rule == one.rule]
        if one in same or one.rule not in _RULEBOOK:
            still.append(one)
        elif same:
            still.append(same[0])
        else:
            gone.append(one)
    return tuple(still), gone


_RULEBOOK = frozenset(rule.name for rule in RULES)


def _found_now(reader: Queries, piece: Piece, routes: Sequence[Route]) -> Iterator[Finding]:
    """Everything found against a piece on these firing types, in each of their kilns and in each open firing."""
    catalog = reader.catalog()
    for route in routes:
        yield from judge_in(catalog, piece, route).findings
        for kiln in catalog.kilns.values():
            if kiln.serves(route):
                yield from judge(piece, route, catalog.practice, kiln).findings
        for row in reader.firings.listed(limit=EVERY_FIRING):
            kiln = catalog.kilns[row.kiln]
            if kiln.serves(route):
                yield from judge(replace(piece, dry=True), route.at(row.target), catalog.practice, kiln).findings


def _taken_out(change: Change, piece: Piece, route: str) -> tuple[Moved, ...]:
    """Take a piece that the instructor declines for `route` out of its queue and its load, unless its kiln is shut."""
    row = change.read.pieces.row(number=piece.id)
    if row is None or (row.firing_id is None and piece.route != route):
        return ()
    if row.firing_id is None:
        own, kiln = change.catalog.route(route), ""
        verdict = judge_in(change.catalog, piece.at(change.request.at), own)
    else:
        firing = held_firing(change, row.firing_id)
        own, kiln = must_join(change, firing, piece), firing.kiln.name
        if firing.stage is not FiringStage.LOADING or own.name != route:
            return ()
        verdict = judged_at_the_door(change, firing, piece, own, dry=True)
    no = declined(change.read, piece.id, route, verdict.findings)
    if not no:
        return ()
    moved = Moved(row, no, kiln=kiln, queue=own.title if piece.route else "")
    send_out(change, moved, None)
    return (moved,)


_DECIDED = {
    "answered": _("{piece}: answered."),
    "allowed": _("{piece}: approved."),
    "declined": _("{piece}: declined."),
}


def _pinned(change: Change, piece: Piece, pin: str) -> tuple[str | None, str | None]:
    """The names of the clay and the glaze that an answer is pinned to; at most one of them."""
    kind, _colon, name = pin.partition(":")
    if kind == "clay" and not name:
        return piece.clay.name, None
    if kind == "glaze" and name:
        return None, change.catalog.glaze(name).name
    if pin:
        raise Unusable(
            [Message("pinned-to-what", _("You can pin an answer to the piece's clay or to a glaze."))],
            Message("choose-from-the-list", _("Choose one from the list.")),
        )
    return None, None


def _left_open(change: Change, piece: Piece, route: str | None) -> Sequence[Finding]:
    """What the rules leave to the instructor for this piece on this route; a refusal is nobody's to allow."""
    if route is None:
        return ()
    verdict = judge_in(change.catalog, piece.at(change.request.at), change.catalog.route(route))
    if never := verdict.of(Level.REFUSE):
        raise Unfit(never)
    # That a question is open is settled by answering it, not by leave.
    return tuple(finding for finding in verdict.of(Level.ASK) if finding.rule != OPEN_QUESTION)
