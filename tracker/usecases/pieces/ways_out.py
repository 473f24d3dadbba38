"""What to do with a piece that a queue or a kiln's door refused: what opens the way, and where it belongs instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from tracker.domain.findings import Level, NeedsAcceptance, NeedsInstructor, Unfit
from tracker.domain.firing.firings import Firing
from tracker.domain.firing.mixed_loads import own_route
from tracker.domain.firing.outlooks import STILL_TO_FIRE, Next, Standing
from tracker.domain.message import ByRole, Either, Message, _, together
from tracker.domain.pieces.losses import Loss, cause_of
from tracker.domain.pieces.outcomes import SHARP
from tracker.domain.pieces.piece import Piece, Stage, StepName
from tracker.domain.refusals import NotAStep, Refusal
from tracker.domain.rules.engine import judge
from tracker.domain.rules.suggestions import Change, suggestions
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Kiln, Route
from tracker.store.queries import Queries
from tracker.store.rules.queries import QuestionRow
from tracker.usecases.pieces import pieces
from tracker.usecases.pieces.outlooks import outlook_of
from tracker.usecases.pieces.revalidate import no_of
from tracker.usecases.pieces.ways import standing_of
from tracker.usecases.pieces.wishes import shelf_for


def with_open_ways(reader: Queries, refusal: Refusal, piece: Piece, at: datetime) -> Refusal:
    """The same refusal; where it says what can be done instead, it names a queue only while some firing is open.

    What broke is called so, not lost.
    """
    if refusal.remedy == piece.possible:
        if is_broken(reader, piece):
            refusal.message = Message("piece-broke", _("{piece} broke."), piece=piece.ref)
        refusal.remedy = possible_now(reader, piece, at)
    return refusal


def is_broken(reader: Queries, piece: Piece) -> bool:
    """Whether a lost piece broke, in a kiln or elsewhere."""
    if piece.stage is not Stage.LOST:
        return False
    lost = reader.shelves.causes([piece.id])[piece.id]
    return lost.in_kiln or cause_of(lost.cause) is Loss.BROKEN


def possible_now(reader: Queries, piece: Piece, at: datetime) -> Message:
    """What can be done with a piece now; it can be queued only while some firing takes it, as answers have it too."""
    if is_broken(reader, piece):
        return Message(
            "broke-to-shards",
            _("Wear gloves: keep the shards for its maker. Is it whole? Then open its page to fix that."),
        )
    row = reader.pieces.row(number=piece.id) if piece.stage is Stage.FIRED else None
    if row is not None and outlook_of(reader, row, at).next in {Next.SOFT, Next.FIRE_AGAIN}:
        return together((piece.possible, _ASK_TO_FIRE_AGAIN))
    asked, leaves = reader.questions.of_piece(piece.id), reader.questions.leaves(piece.id)
    standing = standing_of(piece.at(at), reader.catalog(), leaves, asked)
    is_open = piece.stage is Stage.GREENWARE or standing is Standing.OPEN
    return piece.possible_but(frozenset() if is_open else frozenset({StepName.QUEUE}))


_ASK_TO_FIRE_AGAIN = Message(
    "ask-to-fire-again",
    ByRole(
        _("If it should be fired again, ask the instructor."),
        {"instructor": _("To fire it again, open its page: Fix the record.")},
    ),
)


def out_of_a_refused_queue(
    piece: Piece, route: str, refusal: Refusal, known: Catalog, questions: Sequence[QuestionRow] = ()
) -> Message | None:
    """What puts right a queue that refuses, asks or warns: the best one or two ways, else the rules' own.

    No way leads to a firing that the instructor declined, as the `questions` on the piece tell.
    """
    if not isinstance(refusal, Unfit | NeedsInstructor | NeedsAcceptance):
        return refusal.remedy
    found = suggestions(piece, known.route(route), known)
    changed = [one.message for one in found if one.change is not Change.ROUTE]
    if not isinstance(refusal, Unfit):
        return _one_after_another(refusal.remedy, *changed[:1])
    prepared = [one.message for one in found if one.change is Change.PREPARE][:1]
    shelf = right_shelf(piece, known, questions)
    return _one_after_another(*prepared, shelf) if shelf else _one_after_another(*changed[:2]) or refusal.remedy


def right_shelf(piece: Piece, known: Catalog, questions: Sequence[QuestionRow] = ()) -> Message | None:
    """The shelf for a piece that was refused a queue, if the rules leave it a way."""
    open_now = _open_as_it_is(piece, known, questions)
    if open_now and _waits_for_glaze(piece):
        return Message("to-a-ware-shelf", _("Put it on a ware shelf. Its maker glazes it."))
    words = _("Put it on {shelves}.")
    shelves = tuple(map(shelf_for, open_now))
    return Message("put-it-on-the-shelf", words, shelves=Either(shelves)) if shelves else None


def open_queues(piece: Piece, known: Catalog, questions: Sequence[QuestionRow] = ()) -> tuple[Route, ...]:
    """The firing types whose queues take the piece as it is, though some may warn; none for what is finished.

    Bare bisqued ware has none either, though horsehair would take it: nobody meant it for that, so its maker glazes it.
    """
    return () if _waits_for_glaze(piece) else _open_as_it_is(piece, known, questions)


def _open_as_it_is(piece: Piece, known: Catalog, questions: Sequence[QuestionRow]) -> tuple[Route, ...]:
    if piece.stage not in STILL_TO_FIRE:
        return ()
    return tuple(
        route
        for route, verdict in pieces.prospects(known, piece)
        if verdict.level < Level.ASK
        and piece.may_wait_for(route)
        and not no_of(questions, route.name, verdict.findings)
    )


def _waits_for_glaze(piece: Piece) -> bool:
    return piece.stage in {Stage.BISQUED, Stage.WAXED} and not piece.layers and not piece.burnished


def away_from_a_kiln(
    piece: Piece, firing: Firing, refusal: Refusal, known: Catalog, questions: Sequence[QuestionRow] = ()
) -> Message | None:
    """Where a piece belongs that was stopped at the door of this firing's kiln, after what the refusal says itself."""
    if isinstance(refusal, NotAStep) and piece.stage is Stage.FIRED and not piece.is_to_bag:
        if not SHARP.isdisjoint(piece.flaws):
            words = _("It's fired already. Is its glaze still sharp? Grind it smooth, then put it on the pickup shelf.")
            return Message("finished-to-be-ground", words)
        return Message("finished-to-pickup", _("It's fired already. Put it back on the pickup shelf."))
    if isinstance(refusal, NotAStep) and piece.route is None and piece.layers:
        return _one_after_another(refusal.remedy, right_shelf(piece, known, questions))
    if not isinstance(refusal, Unfit):
        return refusal.remedy
    return _one_after_another(refusal.remedy, _another_firing(piece, firing, known, questions))


def _one_after_another(*said: Message | None) -> Message | None:
    messages = [one for one in said if one is not None]
    return together(messages) if messages else None


def _another_firing(piece: Piece, firing: Firing, known: Catalog, questions: Sequence[QuestionRow]) -> Message | None:
    """The kilns and the cone that would do on the same route, or else the shelf of another route."""
    route = own_route(firing, piece, known) or known.route(firing.route.name)
    # That greenware is dry is asked at the door of each firing anew.
    seen = replace(piece, dry=None)
    able = tuple(
        kiln.name
        for kiln in known.kilns.values()
        if kiln.serves(route) and not kiln.retired and _may(seen, route, kiln, known)
    )
    if not able:
        return right_shelf(piece, known, questions)
    if firing.kiln.name in able:
        return Message("keep-it-for-a-firing", _("Keep it for a firing to {cone}."), cone=route.cone)
    return Message("keep-it-for-a-kiln", _("Keep it for {kilns}, {cone}."), kilns=able, cone=route.cone)


def _may(piece: Piece, route: Route, kiln: Kiln, known: Catalog) -> bool:
    return judge(piece, route, known.practice, kiln).level < Level.ASK
