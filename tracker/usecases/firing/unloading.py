"""Unloading a kiln piece by piece: what is said of each is kept at once, and becomes its result with all the others."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Verdict
from tracker.domain.firing.firings import Firing, FiringStage, FiringStep
from tracker.domain.firing.unloading import TakenOut
from tracker.domain.message import Fact, Message, _
from tracker.domain.pieces.corrected_results import Fired
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.outcomes import CRACKS, Outcome, in_order
from tracker.domain.pieces.piece import Piece, Stage, StepName
from tracker.domain.refusals import NotAStep, Unknown
from tracker.domain.rules.unloading_checks import stays_by_the_kiln
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.people import Person, Right
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.firing.before_unloading import must_be_ready
from tracker.usecases.firing.firings import held_firing, line_of, must_join
from tracker.usecases.firing.reached_cones import cone_to_count, note_what_counts
from tracker.usecases.once import once
from tracker.usecases.pieces.flaws_on_record import flaws_out_of
from tracker.usecases.pieces.in_hot_kilns import come_out_wrong
from tracker.usecases.pieces.lookup import find_firing, find_piece
from tracker.usecases.pieces.pieces import stand_at
from tracker.usecases.pieces.revalidate import out_of_a_hot_kiln
from tracker.usecases.pieces.ware_shelves import shelf_meant


@once("say of")
def say_of(change: Change, firing_id: int, ref: str, said: TakenOut | None, *, unless_said: bool = False) -> Receipt:
    """Keep what is said of one piece while its kiln is being unloaded; None takes back what was said before.

    With `unless_said` only the shelf counts where something is said of the piece already, on whatever device; the
    receipt's `stood` tells that this was something else.
    """
    by = change.request.by
    by.must_be_allowed(Right.FIRE)
    change.book.hold(firing_id)
    firing = find_firing(change.read, firing_id)
    if firing.stage is FiringStage.UNLOADED:
        return _said_late(change, firing, find_piece(change.read, ref, by), said, unless_said=unless_said)
    piece = find_in_kiln(change.read, by, firing_id, ref)
    now = said and replace(said, place=shelf_meant(change.read, said.place, may_be_new=True))
    before = change.read.firings.taken_out(firing_id).get(piece.id) if unless_said else None
    stood = before is not None and said is not None and said.outcome != before.outcome
    told = said_already(change.read, firing_id, piece) if stood else None
    if before is not None:
        now = replace(before, place=now.place) if now and now.place and before.outcome else before
    if now is None or now != before:
        change.book.keep_taken_out(firing_id, piece.id, now, by.id)
    return Receipt(message=told or _told(piece, now), ref=piece.ref, piece_id=piece.id, extra={"stood": stood})


def said_already(reader: Queries, firing_id: int, piece: Piece) -> Message | None:
    """What somebody has said of a piece of this kiln so far and who it was; None where nobody said anything."""
    said = reader.firings.taken_out(firing_id).get(piece.id)
    if said is None:
        return None
    name = reader.firings.said_by(firing_id)[piece.id]
    if said.outcome is None:
        words = _("{piece}: {person} already recorded that it wasn't in the kiln.")
        return Message("already-absent", words, piece=piece.ref, person=name)
    words = _("{piece}: already recorded as {outcome} by {person}.")
    return Message("already-said", words, piece=piece.ref, outcome=said.outcome.message, person=name)


def _said_late(change: Change, firing: Firing, piece: Piece, said: TakenOut | None, *, unless_said: bool) -> Receipt:
    """What is said once the firing is unloaded is refused, unless it is what the record says anyway."""
    came = change.read.firings.result(firing.id, piece.id)
    if came is not None and (unless_said or (said is not None and said.outcome == came)):
        return Receipt(message=_told(piece, TakenOut(came)), ref=piece.ref, piece_id=piece.id)
    words = _("Firing {firing} is already unloaded. Your result for {piece} wasn't recorded.")
    message = Message("unloaded-already", words, firing=str(firing.id), piece=piece.ref)
    raise NotAStep(message, Message("correct-the-result", _("Correct the result on the piece's page.")))


def find_in_kiln(reader: Queries, by: Person, firing_id: int, ref: str) -> Piece:
    """The piece that was scanned beside a kiln, where it is one of this firing; else why it can't be unloaded there."""
    piece = find_piece(reader, ref, by)
    if piece.id not in find_firing(reader, firing_id).piece_ids:
        message = Message("not-in-this-kiln", _("{piece} isn't in this kiln."), piece=piece.ref)
        raise NotAStep(message, Message("look-it-up", _("Look up the piece to see where it belongs.")))
    return piece


def _told(piece: Piece, said: TakenOut | None) -> Message:
    if said is None:
        return Message("not-checked", _("{piece}: not checked yet."), piece=piece.ref)
    if said.outcome is None:
        return Message("was-absent", _("{piece} wasn't in the kiln."), piece=piece.ref)
    return Message("came-out", _("{piece}: {outcome}."), piece=piece.ref, outcome=said.outcome.message)


def leave_out_absent(change: Change, firing: Firing, piece: Piece) -> None:
    """Take a piece out of a firing that it was never in, on record; it stays where it was before it was loaded."""
    if piece.id not in firing.piece_ids:
        return
    change.book.take_out(firing.id, [piece.id])
    caught = next(iter(change.read.firings.caught(piece_id=piece.id)), None)
    row = change.read.pieces.row(number=piece.id)
    change.book.caught_no_more(piece.id)
    route = piece.route or firing.route.name
    line = HistoryLine(step=StepName.TAKE_OUT, route=route, kiln=firing.kiln.name, firing_id=firing.id)
    change.write(piece, line, piece.stage)
    if caught is not None and row is not None:
        out_of_a_hot_kiln(change, caught, row, firing)


def put_where_said(change: Change, piece: Piece, said: TakenOut | None) -> None:
    """Note the shelf that a piece was put on as it came out; what broke, is ground or is bagged stands on none."""
    if said is None or not said.place or piece.stage is Stage.LOST:
        return
    if said.outcome is not None and stays_by_the_kiln(said.outcome):
        return
    now = change.read.pieces.piece(number=piece.id)
    if now is not None and now.place != said.place:
        stand_at(change, now, said.place)


# ---- all of it -------------------------------------------------------------------------------------------------


@once("unload")
def unload(
    change: Change,
    firing_id: int,
    outcomes: Mapping[str, Outcome],
    *,
    was_fired: bool = False,
    counts: Cone | None = None,
    absent: Collection[str] = (),
    shelves: Mapping[str, str] | None = None,
) -> Receipt:
    """Unload a firing with an outcome for each code or slip number in it; a bisque issues all its codes at once.

    Where neither log nor witness cones show a fire, somebody must say that the kiln `was_fired`; that goes on record.
    Where they show that it missed its target, somebody must say which cone `counts` for its pieces, and that does too.
    What was `absent` from the kiln is where it was before. What was put on a shelf while unloading stands there,
    and what nobody said anything of until now on the one that `shelves` has for it.
    """
    shelves = shelves or {}
    by = change.request.by
    by.must_be_allowed(Right.FIRE)
    firing = held_firing(change, firing_id)
    firing.must_stand_alone()
    stage = firing.after(FiringStep.UNLOAD)
    said_so_far = change.read.firings.taken_out(firing_id)
    places = {name: shelf_meant(change.read, name, may_be_new=True) for name in set(shelves.values())}
    rest = {find_piece(change.read, ref, by).id: TakenOut(outcomes[ref], places[at]) for ref, at in shelves.items()}
    for ref in absent:
        leave_out_absent(change, firing, find_piece(change.read, ref, by))
    firing = held_firing(change, firing_id) if absent else firing
    named = {find_piece(change.read, ref, by).id: came for ref, came in outcomes.items()}
    refs = {row.piece.id: row.ref for row in change.read.pieces.by_ids({*firing.piece_ids, *named})}
    firing.must_account_for_all(named, refs)
    said = must_be_ready(change.read, firing, change.request.at, was_fired=was_fired)
    if cone := cone_to_count(change.read, firing, counts):
        note_what_counts(change, firing, cone)
        firing = replace(firing, fired_to=cone)
    change.book.take_out(firing_id, firing.piece_ids)
    change.book.note_results(firing_id, named)
    change.book.move(firing_id, FiringStep.UNLOAD, stage)
    out = [come_out(change, firing, piece_id, named[piece_id], said) for piece_id in firing.piece_ids]
    change.book.end_unloading(firing_id)
    for piece in out:
        put_where_said(change, piece, said_so_far.get(piece.id) or rest.get(piece.id))
    kept = tuple(piece.ref for piece in out if piece.stage is not Stage.LOST)
    lost = len(out) - len(kept)
    words = (
        _("Firing {firing}: unloaded. {kept} came out, {lost} broke.")
        if lost
        else _("Firing {firing}: unloaded. {kept} came out.")
    )
    message = Message("unloaded", words, firing=str(firing_id), kept=len(kept), lost=lost)
    return Receipt(message=message, refs=kept, extra={"firing": firing_id})


def come_out(change: Change, firing: Firing, piece_id: int, outcome: Outcome, said: str = "") -> Piece:
    """What the fire made of one piece: bisqued with its code, fired, or lost.

    `said` is the code of the doubt that a person's word settled: that the kiln was fired.
    """
    piece = change.read.pieces.piece(number=piece_id)
    if piece is None:
        message = Message("piece-gone", _("Piece {piece} is missing from the database."), piece=str(piece_id))
        raise Unknown(message, Message("run-check", _("Run footring check.")))
    own = must_join(change, firing, piece)
    found = come_out_wrong(change, piece_id)
    is_bisque = own.kind is RouteKind.BISQUE
    if not (is_bisque and not outcome.survives):
        piece = _fired(change, firing, own, piece, outcome, said, found)
    if not outcome.survives:
        after = piece.take(StepName.LOSE)
        change.save(piece, after, line_of(firing, own, StepName.LOSE, outcome, reason=BROKE_IN_THE_KILN))
        return after
    return piece


BROKE_IN_THE_KILN = "broke in the kiln"
"""The cause of a loss in the fire, as the history keeps it."""


def _fired(
    change: Change,
    firing: Firing,
    own: Route,
    piece: Piece,
    outcome: Outcome,
    said: str,
    found: tuple[Finding, ...],
) -> Piece:
    """Greenware is bisqued and what waited is fired, whatever else was in the kiln.

    `found` is what a change found against it while the kiln was hot.
    """
    is_bisque = own.kind is RouteKind.BISQUE
    name = StepName.BISQUE if is_bisque else StepName.FIRE
    after = piece.take(name).fired(firing.counted)
    if is_bisque:
        after = replace(after, code=piece.code or change.new_code())
        after = replace(after, flaws=in_order((*piece.flaws, *outcome.out_of_a_bisque.flaws)))
    else:
        fire = Fired(firing.id, outcome, piece.beyond(firing.counted))
        # What comes out of its first fire, as most does, has no flaws that the record would tell.
        history = change.read.pieces.page(piece.id).history if piece.flaws else ()
        after = replace(after, flaws=flaws_out_of(history, piece, fire))
    if not CRACKS.isdisjoint(outcome.flaws):
        after = replace(after, mended=True)
    line = line_of(firing, own, name, outcome)
    facts: dict[str, Fact] = {"was_fired": said} if said else {}
    if after.mended and not piece.mended:
        facts["cracked_here"] = True
    change.save(piece, after, replace(line, facts=facts, verdict=Verdict(found) if found else None))
    return after
