"""A registration that was a mistake: canceled, given to the maker whose piece it is, or merged with its other one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from tracker.domain.message import Fact, Message, _, together
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import LINE, Piece, Stage, StepName
from tracker.domain.refusals import NotAStep, Unknown, Unusable
from tracker.domain.studio.materials import Zone
from tracker.domain.studio.people import Person, Right
from tracker.store.pieces.queries import HistoryRow
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.changed_piece import held_where_unfit
from tracker.usecases.pieces.found_again import found_after_all
from tracker.usecases.pieces.layers import ask_again
from tracker.usecases.pieces.lookup import find_piece, held_piece, named
from tracker.usecases.pieces.pieces import plain_step
from tracker.usecases.pieces.revalidate import moves_of, right_again, stays_of

_IN_A_FIRE = frozenset({StepName.BISQUE, StepName.FIRE})


@once("cancel")
def cancel(change: Change, ref: str, *, seen: int | None = None) -> Receipt:
    """Note that a piece was registered by mistake: there is no such piece. What was fired here is there.

    Its maker cancels greenware, staff also what was registered as bisqued. Marking it as found brings it back.
    """
    piece = held_piece(change, StepName.LOSE, ref, seen)
    if not can_cancel(change.read, piece, change.request.by):
        words = _("{piece} is {stage}: it can't have been registered by mistake.")
        remedy = _("Say what became of it: broken, missing or discarded.")
        message = Message("not-canceled-now", words, piece=piece.ref, stage=piece.stage)
        raise NotAStep(message, Message("say-what-became-of-it", remedy))
    return plain_step(change, StepName.LOSE, piece.ref, None, "", Loss.CANCELED)


def can_cancel(reader: Queries, piece: Piece, by: Person) -> bool:
    """Whether this person may say that a piece was registered by mistake."""
    if piece.stage is Stage.GREENWARE:
        return True
    if piece.stage is not Stage.BISQUED or not by.may(Right.EDIT):
        return False
    return all(line.step not in _IN_A_FIRE for line in reader.pieces.page(piece.id).history)


@once("give")
def give(change: Change, ref: str, maker_id: int, *, seen: int | None = None) -> Receipt:
    """Note that a piece is another person's; it leaves the set of the one who was its maker. Given back, it's in it."""
    piece = held_piece(change, StepName.GIVE, ref, seen)
    maker = change.read.people.person(number=maker_id)
    if maker is None:
        raise Unknown(
            Message("nobody-of-that-number", _("No one here has that number.")),
            Message("pick-the-maker", _("Choose the maker from the list.")),
        )
    if maker.id == piece.maker_id:
        words = _("{piece} is {maker}'s piece.")
        raise Unusable(
            [Message("is-the-maker", words, piece=piece.ref, maker=maker.name)],
            Message("choose-another-maker", _("Choose another maker.")),
        )
    back = _given_from(change, piece, maker.id)
    their_set = None if back is None else cast("str | None", back.facts.get("set"))

    def theirs(was: Piece) -> Piece:
        return replace(was.take(StepName.GIVE), maker_id=maker.id, set_name=their_set, supervised=maker.supervised)

    moved = held_where_unfit(change, piece, theirs(piece))
    held = (change.read.pieces.piece(number=piece.id) if moved else None) or piece
    after = theirs(held)
    # By number, for whoever has their data removed is no longer called by name.
    facts = {"from_id": piece.maker_id, "to_id": maker.id, "set": piece.set_name}
    line = HistoryLine(step=StepName.GIVE, facts=facts, undoes=None if back is None else back.id)
    number = change.save(held, after, line)
    message = Message("given", _("{piece}: now {maker}'s piece."), piece=named(after), maker=maker.name)
    news = (message, moves_of(moved), stays_of(right_again(change)))
    return Receipt(message=together(news), ref=after.ref, piece_id=after.id, line=number, refs=(after.ref,))


def _given_from(change: Change, piece: Piece, maker_id: int) -> HistoryRow | None:
    """The line with which a piece was taken from this maker, if nothing has happened to it since."""
    last = change.read.pieces.page(piece.id).history[-1]
    return last if last.step is StepName.GIVE and last.facts["from_id"] == maker_id else None


def cannot_be_one(piece: Piece, other: Piece) -> tuple[Message, ...]:
    """What keeps two registrations from being one piece, whoever is sure: their clays, their glazes or their flaws.

    The rules judge a piece by the record that stays, so neither record may know of less heat or more harm than the
    other. One may be bare where it stands before glazing: the glazed one stays (see `further_of`).
    """
    clays = _("{piece} is {clay}. {other} is {other_clay}.")
    layers = _("{piece} has {layers}. {other} has {other_layers}.")
    flaws = _("{gone} has cracks or flaws on record that {stays} doesn't have.")
    stays = further_of(piece, other)
    gone = other if stays is piece else piece
    refs = {"piece": piece.ref, "other": other.ref}
    found = (
        (
            piece.clay.name != other.clay.name,
            Message("clays-differ", clays, clay=piece.clay.name, other_clay=other.clay.name, **refs),
        ),
        (
            _coats(piece) != _coats(other) and not _still_bare(piece) and not _still_bare(other),
            Message("layers-differ", layers, layers=_told(piece), other_layers=_told(other), **refs),
        ),
        (
            not {*gone.flaws} <= {*stays.flaws} or (gone.mended and not stays.mended),
            Message("flaws-differ", flaws, stays=stays.ref, gone=gone.ref),
        ),
    )
    return tuple(message for differs, message in found if differs)


def _coats(piece: Piece) -> tuple[tuple[str, Zone], ...]:
    """Its layers and where they are; wax isn't one, for it burns away."""
    return tuple((layer.glaze.name, layer.zone) for layer in piece.layers if not layer.glaze.burns_away)


def _told(piece: Piece) -> tuple[Fact, ...]:
    """Its layers by name, as a sentence lists them."""
    names = tuple(dict.fromkeys(name for name, _zone in _coats(piece)))
    return names or (Message("no-layers", _("no glaze")),)


def _still_bare(piece: Piece) -> bool:
    """Whether nothing is on it because its glaze is still to come."""
    stage = piece.came_from if piece.stage is Stage.QUEUED else piece.stage
    return not _coats(piece) and stage in {Stage.GREENWARE, Stage.BISQUED, Stage.WAXED}


def further_of(piece: Piece, other: Piece) -> Piece:
    """Which of two registrations knows more of the pot, and stays: the glazed one, or that at the later stage."""
    return max((piece, other), key=lambda one: (bool(_coats(one)), (Stage.LOST, *LINE).index(one.stage)))


def against_merging(reader: Queries, piece: Piece, other: Piece) -> tuple[Message, ...]:
    """What speaks against two registrations being one piece, if somebody is not sure: makers, and a firing of each."""
    makers = [reader.people.person(number=one.maker_id) for one in (piece, other)]
    names = [one.name if one else "" for one in makers]
    fired = [_fired_in(reader, one) for one in (piece, other)]
    refs = {"piece": piece.ref, "other": other.ref}
    of_makers = _("{piece} is {maker}'s piece, {other} is {other_maker}'s.")
    of_fires = _("{piece} and {other} each came out of a kiln under their own code.")
    found = (
        (names[0] != names[1], Message("makers-differ", of_makers, maker=names[0], other_maker=names[1], **refs)),
        (all(fired), Message("both-were-fired", of_fires, **refs)),
    )
    return tuple(message for contradicts, message in found if contradicts)


def _must_be_one(piece: Piece, gone: Piece) -> None:
    """Refuse to merge what can't be one piece, and to keep the registration that knows less of it."""
    if never := cannot_be_one(piece, gone):
        words = _("These can't be one piece. If one record is wrong, fix its details or layers first.")
        raise Unusable(never, Message("not-one-piece", words))
    if further_of(piece, gone) is not piece:
        words = _("{other} is further along: {stage}. It has to stay.")
        message = Message("further-along", words, other=gone.ref, stage=gone.stage)
        remedy = _("Open {other} and merge {piece} into it.")
        raise Unusable([message], Message("merge-the-other-way", remedy, other=gone.ref, piece=piece.ref))


def _fired_in(reader: Queries, piece: Piece) -> bool:
    history = reader.pieces.page(piece.id).history
    undone = {line.undoes for line in history}
    return any(line.step in _IN_A_FIRE and line.undoes is None and line.id not in undone for line in history)


@once("merge")
def merge(
    change: Change,
    ref: str,
    other: str,
    *,
    seen: int | None = None,
    other_seen: int | None = None,
    sure: bool = False,
) -> Receipt:
    """Note that two registrations are one piece: `ref` stays, and the ticket and code of the `other` lead to it.

    The other is lost as registered twice, and its history stays with it. What can't be one piece, or is further along
    than `ref`, is refused. Unless somebody is `sure`, so is what contradicts that they are one piece.
    """
    piece = held_piece(change, StepName.MERGE, ref, seen)
    after = piece.take(StepName.MERGE)
    gone = find_piece(change.read, other, change.request.by, hold=True)
    if gone.id == piece.id:
        words = _("{other} is {piece} itself.")
        message = Message("merged-with-itself", words, other=other.strip(), piece=piece.ref)
        raise Unusable([message], Message("the-other-one", _("Scan the other registration.")))
    if change.read.firings.leaving(piece_id=gone.id):
        gone = replace(gone, in_firing=change.read.firings.leaving(piece_id=gone.id)[0].firing_id)
    gone.must_not_be_in_a_kiln()
    gone.must_be_as_seen(other_seen)
    _must_be_one(piece, gone)
    against = () if sure else against_merging(change.read, piece, gone)
    if against:
        remedy = _("Compare both pieces. Confirm that they are the same piece, or enter another ticket or code.")
        raise Unusable(against, Message("confirm-the-same-piece", remedy))
    for question in change.read.questions.of_piece(gone.id):
        if question.answered_at is None:
            change.questions.take_back(question.id)
    plain_step(change, StepName.LOSE, gone.ref, None, "", Loss.TWICE)
    change.lead_to(gone.id, piece.id)
    line = HistoryLine(step=StepName.MERGE, facts={"other": gone.ref})
    number = change.save(piece, after, line)
    words = _("{piece}: {other} is the same piece, and now opens this page.")
    message = Message("merged", words, piece=named(after), other=gone.ref)
    return Receipt(message=message, ref=after.ref, piece_id=after.id, line=number, refs=(after.ref,))


@once("part")
def part(change: Change, ref: str, number: int, *, seen: int | None = None) -> Receipt:
    """Undo a merge: piece `number`, whose ticket and code lead to `ref`, is another piece and where it was before.

    What was merged with that other piece before leads to it again.
    """
    piece = held_piece(change, StepName.MERGE, ref, seen)
    after = piece.take(StepName.MERGE)
    gone = change.read.pieces.piece(number=number, hold=True)
    if gone is None or change.read.pieces.leads_to(number) != piece.id:
        message = Message("not-merged", _("No such registration was merged into {piece}."), piece=piece.ref)
        raise NotAStep(message, Message("look-at-its-page", _("Check the piece's page.")))
    history = change.read.pieces.page(gone.id).history
    lost = next(one for one in reversed(history) if one.step is StepName.LOSE)
    change.lead_no_more(gone.id)
    for other in _led_through(change.read, gone.id, piece.id):
        change.lead_no_more(other)
        change.lead_to(other, gone.id)
    found_after_all(change, gone, lost)
    ask_again(change, gone, lost.at)
    merged = [one for one in change.read.pieces.page(piece.id).history if one.step is StepName.MERGE]
    undoes = next((one.id for one in reversed(merged) if one.facts.get("other") == gone.ref), None)
    line = HistoryLine(step=StepName.MERGE, facts={"other": gone.ref}, undoes=undoes)
    kept = change.save(piece, after, line)
    message = Message("parted", _("{piece}: {other} is a separate piece."), piece=named(after), other=gone.ref)
    return Receipt(message=message, ref=after.ref, piece_id=after.id, line=kept, refs=(after.ref, gone.ref))


def _led_through(reader: Queries, number: int, into: int) -> tuple[int, ...]:
    """The numbers of the registrations that lead to piece `into` because `number` did: they were merged with that."""
    others = {row.ref: row.piece.id for row in reader.pieces.registered_twice_as(into)}
    found, ahead = [], [number]
    while ahead:
        merged = _merged_into(reader.pieces.page(ahead.pop()).history) & others.keys()
        ahead += [others[ref] for ref in merged]
        found += [others.pop(ref) for ref in sorted(merged)]
    return tuple(found)


def _merged_into(history: Sequence[HistoryRow]) -> frozenset[str]:
    """What the registrations are called that were merged into a piece, as its history tells, and weren't parted."""
    lines = [one for one in history if one.step is StepName.MERGE]
    undone = {one.undoes for one in lines}
    return frozenset(str(one.facts["other"]) for one in lines if one.undoes is None and one.id not in undone)
