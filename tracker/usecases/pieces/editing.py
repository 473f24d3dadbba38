"""Editing what is known of a piece: who may, what the rules say to it, and what moves for it."""

from __future__ import annotations

from dataclasses import replace

from tracker.domain.findings import Finding, Level, Verdict
from tracker.domain.message import Choice, Message, _, together
from tracker.domain.pieces.details import Told, all_changes, changes, is_news
from tracker.domain.pieces.details import set_right as known_anew
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.piece import Piece, Stage, StepName, Use
from tracker.domain.refusals import NotAllowed
from tracker.domain.rules.engine import judge_layers_in
from tracker.domain.rules.food_prospects import never_for_food
from tracker.domain.studio.people import Right
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.changed_piece import held_where_unfit
from tracker.usecases.pieces.lookup import clay_in_use, held_piece, receipt_of
from tracker.usecases.pieces.revalidate import moves_of, right_again, stays_of
from tracker.usecases.pieces.sets import change_line, set_for


@once("set right")
def set_right(
    change: Change, ref: str, told: Told, *, clay: str = "", belongs_with: str = "", seen: int | None = None
) -> Receipt:
    """Change what is known of a piece to what it is `told`; the history keeps what it was before.

    A piece that comes to be for food is judged by what it wears, as at glazing, and so is one of another clay or build,
    which is saved all the same: what stands against it is told. Staff may say what is true of it in its queue, in a
    kiln and afterwards: it is judged where it is, and leaves where it is unfit. `clay` is the name of the one it is
    made of, empty to leave it. `belongs_with` is the code or slip number of a piece that it fires together with; one
    that belongs to no set yet is tied to this one.
    """
    piece = held_piece(change, StepName.SET_RIGHT, ref, seen)
    return set_right_within(change, piece, told, clay, belongs_with)


def set_right_within(change: Change, piece: Piece, told: Told, clay: str = "", belongs_with: str = "") -> Receipt:
    """The same as part of a change."""
    if clay and clay != piece.clay.name:
        told = replace(told, clay=clay_in_use(change.catalog, clay))
    return _set_right(change, piece, told, belongs_with)


def _set_right(change: Change, piece: Piece, told: Told, belongs_with: str) -> Receipt:
    tied: Message | None = None
    if told.set_name or belongs_with:
        theirs, tied = set_for(change, piece, told.set_name or "", belongs_with)
        told = replace(told, set_name=theirs)
    if tied and not is_news(piece, told):
        return receipt_of(piece, tied.code, "{tied}", line=None, tied=tied)
    by = change.request.by
    after = known_anew(piece, told, by_staff=by.may(Right.EDIT))
    if not by.may(Right.EDIT):
        piece.must_not_be_in_a_kiln()
    if piece.mended and not after.mended and not by.may(Right.MOVE):
        raise NotAllowed(
            Message("noted-as-mended", _("{piece} is marked as cracked or mended."), piece=piece.ref),
            Message("staff-looks", _("Shelf staff can check it and remove that note.")),
        )
    verdict, against = _judged_anew(change, piece, after)
    moved = held_where_unfit(change, piece, after)
    held = change.read.pieces.piece(number=piece.id) if moved else None
    if held is not None:
        after = known_anew(held, told, by_staff=True)
    number = change.save(held or piece, after, change_line(held or piece, after, verdict))
    if piece.stage in {Stage.FIRED, Stage.CLAIMED}:
        change.book.past_changed()
    words = Choice("is_tied", {"True": _("{piece}: details saved, {changes}. {tied}"), "False": _SET_RIGHT})
    what = all_changes(changes(piece, after))
    done = receipt_of(after, "set-right", words, line=number, changes=what, tied=tied, is_tied=tied is not None)
    never = never_for_food(change.catalog, after) if (after.clay, after.use) != (piece.clay, piece.use) else None
    told_against = (one for found in against for one in (found.message, found.remedy))
    news = (moves_of(moved), stays_of(right_again(change)), *told_against, never)
    return replace(done, message=together([done.message, *news]))


def _judged_anew(change: Change, piece: Piece, after: Piece) -> tuple[Verdict | None, tuple[Finding, ...]]:
    """The verdict on what a piece wears where its clay, build or use is another, and what stands against the new facts.

    A use is chosen, so the rules may refuse it. A clay and a build are facts: they are on record whatever the rules
    say, and the piece goes nowhere that they refuse.
    """
    is_other_ware = (piece.clay, piece.build) != (after.clay, after.build)
    becomes_food = after.use is Use.FOOD and piece.use is not Use.FOOD
    if not after.layers or not (is_other_ware or becomes_food):
        return None, ()
    verdict = judge_layers_in(change.catalog, after)
    if becomes_food:
        verdict.must_not_be_refused()
    return verdict, tuple(verdict.of(Level.REFUSE))


_SET_RIGHT = _("{piece}: details saved, {changes}.")
