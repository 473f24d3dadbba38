"""Firings under way: pieces scanned in and out at the door, the kiln started and off, until it is unloaded.

What a change makes unfit in a kiln being loaded must come out, confirmed piece by piece, before it can be started.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from tracker.domain.findings import Approval, Finding, Level, Verdict
from tracker.domain.firing.firings import Firing, FiringStage, FiringStep
from tracker.domain.firing.mixed_loads import own_route
from tracker.domain.message import Choice, Message, Plural, _, together
from tracker.domain.outdoor.pull_heats import with_heat
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Piece, StepName
from tracker.domain.refusals import AlreadyThere, NotAStep, Refusal, Unusable
from tracker.domain.rules.engine import judge
from tracker.domain.rules.untold import must_be_told
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.materials import GLASS
from tracker.domain.studio.people import Right
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.firing.before_unloading import must_never_have_been_hot
from tracker.usecases.firing.care import with_care
from tracker.usecases.firing.starting import must_stand_free
from tracker.usecases.once import once
from tracker.usecases.pieces.in_hot_kilns import free_of_heat
from tracker.usecases.pieces.lookup import find_firing, find_piece
from tracker.usecases.pieces.revalidate import declined, moves_of, out_of, out_of_a_hot_kiln
from tracker.usecases.pieces.sets import mates_named, still_to_be_fired
from tracker.usecases.pieces.wishes import shelf_for

# ---- a firing's life -------------------------------------------------------------------------------------------


@once("load firing")
def load(change: Change, firing_id: int) -> Receipt:
    """Begin to load the kiln of a planned firing."""
    return _step(change, firing_id, FiringStep.LOAD)


@once("light")
def light(change: Change, firing_id: int) -> Receipt:
    """Note that a kiln's door is shut and its fire lit; from here on nothing goes in and nothing comes out."""
    return _step(change, firing_id, FiringStep.LIGHT)


@once("open again")
def open_again(change: Change, firing_id: int, *, never_hot: bool = False) -> Receipt:
    """Note that a kiln was not lit after all, and go on loading it.

    Of one that is off again somebody must say that it was `never_hot`, which goes on record; nothing in it was fired.
    """
    return _step(change, firing_id, FiringStep.OPEN_AGAIN, never_hot=never_hot)


@once("shut off")
def shut_off(change: Change, firing_id: int) -> Receipt:
    """Note that the fire is off and the kiln cools."""
    return _step(change, firing_id, FiringStep.SHUT_OFF)


@once("still on")
def still_on(change: Change, firing_id: int) -> Receipt:
    """Note that a kiln which was marked as off is on after all; when it was marked as off stays on record."""
    return _step(change, firing_id, FiringStep.STILL_ON)


@once("call off")
def call_off(change: Change, firing_id: int) -> Receipt:
    """End a firing that will not be: nothing was in its kiln, and what was planned for it is free again."""
    return _step(change, firing_id, FiringStep.CALL_OFF)


_STEPPED = Choice(
    "step",
    {
        "load": _("Firing {firing}: loading. Scan each piece as you load it."),
        "light": _("Firing {firing}: started. Keep its door or lid shut. Follow its schedule for the vents."),
        "open again": _("Firing {firing}: loading again. The start was undone."),
        "shut off": _("Firing {firing}: kiln off, cooling."),
        "still on": _("Firing {firing}: still on. “Kiln off” was undone."),
        "call off": _("Firing {firing}: canceled."),
    },
)


def _step(change: Change, firing_id: int, step: FiringStep, *, never_hot: bool = False) -> Receipt:
    change.request.by.must_be_allowed(Right.FIRE)
    firing = held_firing(change, firing_id)
    firing.must_stand_alone()
    stage = firing.after(step)
    if step in {FiringStep.LIGHT, FiringStep.CALL_OFF}:
        _must_have_let_all_out(change, firing)
    match step:
        case FiringStep.OPEN_AGAIN:
            must_never_have_been_hot(change.read, firing, never_hot=never_hot)
        case FiringStep.LOAD:
            must_stand_free(change, firing.kiln.name)
        case FiringStep.LIGHT if not firing.piece_ids:
            message = Message("kiln-is-empty", _("The kiln of firing {firing} is empty."), firing=str(firing_id))
            raise NotAStep(message, Message("scan-in-or-call-off", _("Scan its pieces in, or cancel the firing.")))
        case FiringStep.CALL_OFF if firing.piece_ids:
            words = Plural(
                "count",
                "A piece is in the kiln of firing {firing}.",
                "{count} pieces are in the kiln of firing {firing}.",
            )
            message = Message("kiln-is-not-empty", words, count=len(firing.piece_ids), firing=str(firing_id))
            raise NotAStep(message, Message("take-everything-out", _("Take everything out first.")))
    if step is FiringStep.LIGHT:
        _must_be_fit(change, firing)
    if step in {FiringStep.LIGHT, FiringStep.CALL_OFF}:
        # What was planned and never scanned in stands on its shelf and waits for the next firing.
        change.book.forget_plan(firing_id)
    if step is FiringStep.STILL_ON:
        undone = Message("off-undone", _("kiln off at {was} undone"), was=firing.shut_at)
        change.book.note_correction(firing_id, change.request.by.id, undone)
    done = Message("firing-stepped", _STEPPED, firing=str(firing_id), step=step)
    if step is FiringStep.OPEN_AGAIN:
        out = _opened_again(change, firing, stage)
        return Receipt(message=together([done, out]), extra={"firing": firing_id})
    change.book.move(firing_id, step, stage)
    apart = sets_apart(change.read, firing) if step is FiringStep.LIGHT else ()
    return Receipt(message=together([done, *apart]), extra={"firing": firing_id})


def _opened_again(change: Change, firing: Firing, stage: FiringStage) -> Message | None:
    """Open a kiln that was not started after all; what a change made unfit meanwhile must come out, by name."""
    if firing.stage is FiringStage.COOLING:
        words = _("start at {was} undone: the kiln never got hot")
        undone = Message("never-hot", words, was=firing.lit_at)
        change.book.note_correction(firing.id, change.request.by.id, undone)
        change.book.end_unloading(firing.id)
    caught = free_of_heat(change, firing.id)
    change.book.move(firing.id, FiringStep.OPEN_AGAIN, stage)
    opened = replace(firing, stage=stage)
    return moves_of(moved for one, row in caught for moved in out_of_a_hot_kiln(change, one, row, opened))


def _must_have_let_all_out(change: Change, firing: Firing) -> None:
    """Refuse to start or to call off a kiln while something that must come out of it is not confirmed to be out."""
    if firing.leaving_ids:
        refs = [row.ref for row in change.read.pieces.by_ids(firing.leaving_ids)]
        remedy = _("Confirm on the firing's page that each piece is out: press its button.")
        raise NotAStep(out_of(firing.kiln.name, refs), Message("confirm-each-is-out", remedy))


def _must_be_fit(change: Change, firing: Firing) -> None:
    """Refuse to start a kiln with a piece in it that the rules refuse by now, or that waits for the instructor."""
    found = [
        (row.ref, one)
        for row in change.read.pieces.by_ids(firing.piece_ids)
        for one in _against(change, firing, row.piece)
    ]
    if found:
        problems = [Message("unfit-in-a-kiln", "{piece}: {why}", piece=ref, why=one.message) for ref, one in found]
        refs = tuple(dict.fromkeys(ref for ref, _one in found))
        words = _("Take {pieces} out first.")
        if any(one.level is Level.ASK for _ref, one in found):
            words = _("Take {pieces} out first. Or ask the instructor to answer on the piece's page.")
        raise Unusable(problems, Message("take-out-or-answer", words, pieces=refs))


def _against(change: Change, firing: Firing, piece: Piece) -> tuple[Finding, ...]:
    """What is refused of a piece in this kiln, or asked and not allowed; that greenware is dry was said before."""
    own = must_join(change, firing, piece)
    verdict = judged_at_the_door(change, firing, piece, own, dry=True)
    asks = verdict.of(Level.ASK)
    leaves = change.read.questions.leaves(piece.id) if asks else ()
    not_allowed = (one for one in asks if Approval(own.name, one.message) not in leaves)
    return (*verdict.of(Level.REFUSE), *not_allowed)


# ---- the kiln door ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class InHand:
    """What whoever loads a kiln sees of greenware in their hands: bone dry, and no wall over the thick wall."""

    dry: bool | None = None
    is_thin: bool = False


@once("put in")
def put_in(
    change: Change,
    firing_id: int,
    ref: str,
    *,
    dry: bool | None = None,
    is_thin: bool = False,
    accepts: Collection[str] = frozenset(),
) -> Receipt:
    """Put a piece into a firing's kiln, or say at its door every reason why not.

    `dry` says whether greenware is bone dry, `is_thin` that no wall of it is over the studio's thick wall; `accepts`
    names rules that warn, beside those accepted in the queue.
    """
    seen = InHand(dry=dry, is_thin=is_thin)
    change.request.by.must_be_allowed(Right.FIRE)
    firing = _loading(change, firing_id)
    piece = _held(change, ref)
    enter = _let_back_in if piece.id in firing.leaving_ids else let_in
    warned = enter(change, firing, piece, seen, accepts)
    done = Message("put-in", _("{piece}, {what}: in the kiln."), piece=piece.ref, what=piece.what)
    care = with_care(firing, must_join(change, firing, piece), piece, warned)
    # Whoever has the piece in their hands reads first what to do with it.
    first = (_on_a_cookie(piece), _clear_of_others(firing, piece))
    then = (_place_in_plan(change, firing, piece), _still_out(change, firing, piece))
    message = together([*first, care, done, *then])
    extra = {"with_care": True} if care else {}
    return Receipt(message=message, ref=piece.ref, piece_id=piece.id, extra=extra)


def _on_a_cookie(piece: Piece) -> Message | None:
    """That a piece stands on a kiln cookie, as the load plan draws it."""
    return Message("goes-on-a-cookie", _("Put it on a kiln cookie.")) if piece.catch_plate else None


def _clear_of_others(firing: Firing, piece: Piece) -> Message | None:
    """What whoever stacks a bisque has to know of a glazed piece: other ware may touch there (common practice)."""
    if firing.route.kind is not RouteKind.BISQUE or not any(layer.glaze.coat in GLASS for layer in piece.layers):
        return None
    return Message("glazed-in-bisque", _("It's glazed: nothing may touch it."))


def _let_back_in(
    change: Change, firing: Firing, piece: Piece, seen: InHand, accepts: Collection[str]
) -> tuple[Finding, ...]:
    """Enter a piece that had to leave this kiln and is fit again; else it must come out, which is confirmed apart."""
    try:
        return let_in(change, firing, piece, seen, accepts)
    except Refusal as refusal:
        remedy = _("Is it out? Press its button, or turn on “Take scanned pieces out” and scan it.")
        message = together([out_of(firing.kiln.name, [piece.ref]), refusal.message])
        raise NotAStep(message, Message("confirm-it-apart", remedy)) from refusal


def let_in(
    change: Change,
    firing: Firing,
    piece: Piece,
    seen: InHand = InHand(),
    accepts: Collection[str] = frozenset(),
) -> tuple[Finding, ...]:
    """Enter a piece into a firing's kiln, if it waits for it and this fire would not ruin it; else every reason.

    Gives the warnings that were accepted before, in the queue.
    """
    if piece.in_firing == firing.id:
        raise AlreadyThere(Message("in-this-kiln", _("{piece} is already in this kiln."), piece=piece.ref))
    if piece.in_firing is not None:
        words = _("{piece} is in firing {firing}.")
        message = Message("in-a-firing", words, piece=piece.ref, firing=str(piece.in_firing))
        raise NotAStep(message, Message("only-once", _("You can load it only once.")))
    leaving = next(iter(change.read.firings.leaving(piece_id=piece.id)), None)
    if leaving is not None and leaving.firing_id != firing.id:
        words = _("{piece}: take it out of {kiln}, firing {firing}, first.")
        kiln = find_firing(change.read, leaving.firing_id).kiln.name
        message = Message("still-in-another-kiln", words, piece=piece.ref, kiln=kiln, firing=str(leaving.firing_id))
        raise NotAStep(message, Message("confirm-it-is-out", _("Confirm on that firing's page that it's out.")))
    own = must_join(change, firing, piece)
    verdict = judged_at_the_door(change, firing, piece, own, dry=True)
    if not verdict.of(Level.REFUSE):  # Of what is refused, dry as it may be, nothing more is asked.
        must_be_told(piece, own, change.catalog.practice, is_thin=seen.is_thin, dry=seen.dry)
    taken_on = _must_survive(change, piece, own, verdict, accepts)
    if piece.planned_in is not None:
        change.book.leave_plan([piece.id])
    change.book.put_in(firing, piece)
    if leaving is not None:
        change.book.must_leave_no_more(piece.id)
    if taken_on:
        line = line_of(firing, own, StepName.ACCEPT)
        change.write(piece, replace(line, verdict=verdict, accepted=taken_on), piece.stage)
    return tuple(one for one in verdict.of(Level.WARN) if one.rule not in taken_on)


def _place_in_plan(change: Change, firing: Firing, piece: Piece) -> Message | None:
    """Where the plan wants a piece, for whoever stands before the kiln with it in their hands."""
    if firing.plan is None or not firing.plan.levels:
        return None
    level, place = firing.plan.level_of(piece.id), firing.plan.place_of(piece.id)
    if place and place.below:
        (below,) = change.read.pieces.by_ids([place.below])
        words = _("Shelf {level} from the bottom, {resting}.")
        return Message("on-shelf-resting", words, level=level, resting=place.resting_on(below.ref))
    if level:
        return Message("on-shelf", _("Shelf {level} from the bottom."), level=level)
    return Message("not-in-plan", _("It's not in the load plan: choose a spot for it."))


def _still_out(change: Change, firing: Firing, piece: Piece) -> Message | None:
    """Which pieces of its set are still to be fired and neither in this firing's kiln nor in its plan."""
    mates = still_to_be_fired(change.read, piece)
    out = [row for row in mates if firing.id not in {row.firing_id, row.piece.planned_in}]
    if not out:
        return None
    words = Plural("mates", "Its {mates} isn't in yet.", "Its {mates} aren't in yet.")
    return Message("set-not-in", words, mates=mates_named(out))


def sets_apart(read: Queries, firing: Firing) -> tuple[Message, ...]:
    """Of each set that is in a firing's kiln in part, which of its pieces are still to be fired and aren't in it."""
    inside = read.pieces.by_ids(firing.piece_ids)
    one_of_each = {(row.piece.maker_id, row.piece.set_name): row.piece for row in inside if row.piece.set_name}
    apart = (
        (piece, [row for row in still_to_be_fired(read, piece) if row.firing_id != firing.id])
        for piece in one_of_each.values()
    )
    words = Plural("mates", "Set “{set}”: {mates} isn't in the kiln.", "Set “{set}”: {mates} aren't in the kiln.")
    return tuple(Message("set-apart", words, set=piece.set_name, mates=mates_named(out)) for piece, out in apart if out)


def judged_at_the_door(change: Change, firing: Firing, piece: Piece, own: Route, *, dry: bool | None) -> Verdict:
    """What the rules of a piece's `own` firing type say for this kiln and this firing's cone, and the instructor."""
    seen = replace(piece.at(change.request.at), dry=dry)
    verdict = judge(seen, own.at(firing.target), change.catalog.practice, firing.kiln)
    no = declined(change.read, piece.id, own.name, verdict.findings)
    return Verdict((*no, *verdict.findings)) if no else verdict


def must_join(change: Change, firing: Firing, piece: Piece) -> Route:
    """The firing type of a piece, if its ware may join this firing; refused at the kiln is what waits for another."""
    if (own := own_route(firing, piece, change.catalog)) is not None:
        return own
    if piece.route is None:
        words = _("{piece} is {stage} and isn't queued for {route}.")
        message = Message("not-waiting", words, piece=piece.ref, stage=piece.stage, route=firing.route.title)
        raise NotAStep(message, piece.possible)
    belongs = change.catalog.route(piece.route)
    message = Message(
        "wrong-queue",
        _("{piece} is queued for {belongs}, not for {route}."),
        piece=piece.ref,
        belongs=with_heat(belongs, change.catalog.practice.outdoors),
        route=firing.route.title,
    )
    raise NotAStep(message, Message("put-on-shelf", _("Put it back on {shelf}."), shelf=shelf_for(belongs)))


def _must_survive(
    change: Change, piece: Piece, own: Route, verdict: Verdict, accepts: Collection[str]
) -> tuple[str, ...]:
    """Refuse what this very kiln and its target cone would ruin; what was settled in the queue stays settled.

    Gives the names of the warnings that were accepted only here, at the door.
    """
    row = change.read.pieces.row(number=piece.id)
    before = row.accepted if row else ()
    verdict.must_be_settled(own.name, accepts={*accepts, *before}, approvals=change.read.questions.leaves(piece.id))
    return tuple(one.rule for one in verdict.of(Level.WARN) if one.rule not in before)


@once("take out")
def take_out(change: Change, firing_id: int, ref: str) -> Receipt:
    """Take a piece out of a kiln that is still being loaded; it goes back to its place in the queue.

    Of a piece that a change made unfit this confirms that it is out, which goes on record.
    """
    change.request.by.must_be_allowed(Right.FIRE)
    firing = _loading(change, firing_id)
    piece = _held(change, ref)
    if piece.id in firing.leaving_ids:
        return _confirm_out(change, firing, piece)
    if piece.id not in firing.piece_ids:
        message = Message("not-in-this-kiln", _("{piece} isn't in this kiln."), piece=piece.ref)
        raise NotAStep(message, Message("nothing-to-take-out", _("There's nothing to take out.")))
    change.book.take_out(firing_id, [piece.id])
    message = Message("taken-out", _("{piece}, {what}: out of the kiln."), piece=piece.ref, what=piece.what)
    return Receipt(message=message, ref=piece.ref, piece_id=piece.id)


def _confirm_out(change: Change, firing: Firing, piece: Piece) -> Receipt:
    """Put on record that a piece that must leave this kiln is out of it."""
    (leaving,) = change.read.firings.leaving(piece_id=piece.id)
    own = change.catalog.routes[leaving.queue_route] if leaving.queue_route else firing.route
    line = replace(line_of(firing, own, StepName.TAKE_OUT), verdict=Verdict(leaving.findings))
    # Whoever takes it out puts it down at hand: where it was before it went in is no longer where it is.
    place = "" if piece.version == leaving.version else piece.place
    change.save(piece, replace(piece, place=place, version=piece.version + 1), line)
    change.book.must_leave_no_more(piece.id)
    words = _("{piece}, {what}: recorded as out of {kiln}. Keep it out.")
    message = Message("confirmed-out", words, piece=piece.ref, what=piece.what, kiln=firing.kiln.name)
    return Receipt(message=message, ref=piece.ref, piece_id=piece.id)


def line_of(
    firing: Firing, own: Route, name: StepName, outcome: Outcome | None = None, reason: str = ""
) -> HistoryLine:
    """A line of history of a piece in a firing: what was done there, and what came of it."""
    return HistoryLine(
        step=name,
        route=own.name,
        kiln=firing.kiln.name,
        firing_id=firing.id,
        outcome=outcome,
        reason=reason,
    )


def _loading(change: Change, firing_id: int) -> Firing:
    firing = held_firing(change, firing_id)
    firing.must_stand_alone()
    firing.must_be_loading()
    return firing


def held_firing(change: Change, firing_id: int) -> Firing:
    """The firing, kept from others until the end."""
    change.book.hold(firing_id)
    return find_firing(change.read, firing_id)


def _held(change: Change, ref: str) -> Piece:
    return find_piece(change.read, ref, change.request.by, hold=True)
