"""Which cone counts is said after unloading, where witness cones or a log came late: pieces and history follow."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tracker.domain.cones import Cone
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.firing.reached_cones import Missed
from tracker.domain.message import Message, Plural, _, together
from tracker.domain.pieces.corrected_heats import Heated, with_heat
from tracker.domain.pieces.corrected_results import flaws_after
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.layers_then import OF_LAYERS, layers_before
from tracker.domain.pieces.piece import Piece, Stage, StepName
from tracker.domain.refusals import NotAStep
from tracker.domain.studio.people import Right
from tracker.store.pieces.queries import HistoryRow
from tracker.store.unit_of_work import Change
from tracker.usecases.firing.firings import held_firing
from tracker.usecases.firing.reached_cones import missed_of, note_what_counts
from tracker.usecases.once import once
from tracker.usecases.pieces.changed_piece import held_where_unfit
from tracker.usecases.pieces.flaws_on_record import events_of
from tracker.usecases.pieces.lookup import held_piece
from tracker.usecases.pieces.moved import Moved
from tracker.usecases.pieces.revalidate import moves_of


def cones_to_count(firing: Firing, missed: Missed | None) -> tuple[Cone, ...]:
    """The cones that could count for an unloaded firing instead, or that nobody has confirmed; none as a rule."""
    if firing.stage is not FiringStage.UNLOADED or firing.session_id is not None:
        return ()
    known = missed.cones if missed else (firing.target,)
    return tuple(one for one in known if one != firing.counted or (missed and firing.fired_to is None))


@once("count cone")
def count_cone(change: Change, firing_id: int, cone: Cone) -> Receipt:
    """Say which cone counts for the pieces of a firing that was unloaded; what they were fired to follows."""
    change.request.by.must_be_allowed(Right.FIRE)
    firing = held_firing(change, firing_id)
    if cone not in cones_to_count(firing, missed_of(change.read, firing)):
        nothing = _("Nothing on record of firing {firing} asks whether {cone} counts.")
        message = Message("cone-not-in-question", nothing, firing=str(firing_id), cone=cone)
        raise NotAStep(message, Message("record-the-cones", _("Record its witness cones first.")))
    before = change.read.firings.page(firing_id)
    inside = before.pieces if before else ()
    done = [_corrected(change, firing, row.ref, cone) for row in inside if row.piece.stage is not Stage.LOST]
    note_what_counts(change, firing, cone)
    change.book.past_changed()
    changed = [(piece, moved) for piece, moved in done if piece is not None]
    words = Plural(
        "count",
        "Firing {firing}: {cone} counts. {count} piece corrected.",
        "Firing {firing}: {cone} counts. {count} pieces corrected.",
    )
    says = Message("cone-counted", words, firing=str(firing_id), cone=cone, count=len(changed))
    gone = tuple(piece.ref for piece, _moved in changed if piece.stage is Stage.CLAIMED)
    tell = Message("tell-their-makers", _("Already picked up: {pieces}. Tell their makers."), pieces=gone)
    moves = moves_of(one for _piece, moved in changed for one in moved)
    return Receipt(message=together([says, tell if gone else None, moves]), extra={"firing": firing_id})


def _corrected(change: Change, firing: Firing, ref: str, cone: Cone) -> tuple[Piece | None, tuple[Moved, ...]]:
    """A piece as it is by that cone, saved, with what it had to leave; None where nothing about it changes."""
    piece = held_piece(change, StepName.CORRECT_RESULT, ref, None)
    history = change.read.pieces.page(piece.id).history
    after = _as_heated(piece, history, firing.id, cone)
    if replace(after, version=piece.version) == piece:
        return None, ()
    moved = held_where_unfit(change, piece, after)
    held = (change.read.pieces.piece(number=piece.id) if moved else None) or piece
    after = _as_heated(held, history, firing.id, cone)
    line = HistoryLine(
        step=StepName.CORRECT_RESULT,
        route=next(one.route for one in history if one.firing_id == firing.id),
        kiln=firing.kiln.name,
        firing_id=firing.id,
        outcome=change.read.firings.result(firing.id, piece.id),
        facts={"counted": firing.counted, "counts": cone},
    )
    change.save(held, after, line)
    return after, moved


def _as_heated(piece: Piece, history: Sequence[HistoryRow], firing_id: int, cone: Cone) -> Piece:
    """The piece with what it was fired to by that cone, and the flaws that this heat could mend."""
    after = with_heat(piece, tuple(_firings_of(history, piece)), firing_id, cone)
    now = [replace(line, firing_target=cone) if line.firing_id == firing_id else line for line in history]
    if after != piece and flaws_after(events_of(history, piece)) == piece.flaws:
        after = replace(after, flaws=flaws_after(events_of(now, after)))
    return replace(after, version=piece.version + 1)


def _firings_of(history: Sequence[HistoryRow], piece: Piece) -> Iterator[Heated]:
    """The firings that a piece has seen, without those of which a correction said that they never were."""
    never = [at for at, line in enumerate(history) if line.step is StepName.CORRECT and line.to is not Stage.FIRED]
    first = never[-1] + 1 if never else 0
    for at, line in enumerate(history[first:], start=first):
        if line.step not in _IN_A_FIRE or line.firing_id is None or line.firing_target is None:
            continue
        since = [(one.step, one.facts) for one in history[at + 1 :] if one.step in OF_LAYERS]
        then = layers_before(piece.layers, since)
        worn = (number for number, layer in enumerate(piece.layers) if any(layer is one for one in then))
        yield Heated(line.firing_id, line.firing_target, frozenset(worn))


_IN_A_FIRE = frozenset({StepName.BISQUE, StepName.FIRE})
