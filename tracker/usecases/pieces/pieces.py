"""What people do with a piece: register, wax, glaze, queue, lose and find, correct."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from tracker.domain.findings import Level, Verdict
from tracker.domain.firing.outlooks import STILL_TO_FIRE
from tracker.domain.message import Choice, Fact, Message, Template, _, together
from tracker.domain.outdoor.pull_heats import with_heat
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.losses import cause_of
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.pieces.piece import Foot, Piece, Stage, StepName, Ware
from tracker.domain.refusals import NotAStep, Unknown, Unusable
from tracker.domain.rules.engine import judge_in, judge_layers_in
from tracker.domain.rules.untold import must_be_told
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.materials import Glaze, Layer, Zone
from tracker.domain.studio.people import Right
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.glaze_shelf import goes_on_now, keeps_its_foot
from tracker.usecases.pieces.layers import ask_by_itself, kept_for_undo, take_back_questions, told_before
from tracker.usecases.pieces.lookup import clay_in_use, find_piece, held_piece, receipt_of
from tracker.usecases.pieces.revalidate import declined, waited_since
from tracker.usecases.pieces.sets import in_set
from tracker.usecases.pieces.ware_shelves import known_shelves
from tracker.usecases.pieces.wishes import ended_wish, wish_ended_by, wish_said

Prospect = tuple["Route", Verdict]


@dataclass(frozen=True, slots=True, kw_only=True)
class Back:
    """What a step goes back to: the number of the line that it undoes, if any, and the shelf the piece was on before.

    `waits_since` is since when it waited in the queue to which it goes back; `found` the line with which it was found
    that brings it there.
    """

    undoes: int | None
    place: str
    waits_since: datetime | None = None
    found: int | None = None


# ---- registering -----------------------------------------------------------------------------------------------


@once("register")
def register(change: Change, new: NewPiece) -> Receipt:
    """Enter a new piece for its maker; ware that arrives bisqued gets its code at once."""
    by = change.request.by
    by.must_be_allowed(Right.REGISTER)
    maker_id = new.maker_id or by.id
    if maker_id != by.id:
        by.must_be_allowed(Right.MOVE)
        if change.read.people.person(number=maker_id) is None:
            raise Unknown(
                Message("nobody-of-that-number", _("No one here has that number.")),
                Message("pick-the-maker", _("Choose the maker from the list.")),
            )
    ware = new.as_ware(clay_in_use(change.catalog, new.clay))
    stage = Stage.BISQUED if new.arrives_bisqued else Stage.GREENWARE
    piece = Piece(
        id=0,
        code=change.new_code() if new.arrives_bisqued else None,
        what=new.what,
        maker_id=maker_id,
        stage=stage,
        nests=new.nests,
        **{name: getattr(ware, name) for name in Ware.__slots__},
    )
    piece = in_set(change, piece, new.set_name, new.belongs_with)
    piece = change.register(piece, HistoryLine(step=StepName.REGISTER))
    return receipt_of(piece, "registered", _("{piece}: registered."), line=change.read.pieces.last_line(piece.id))


def prospects(catalog: Catalog, ware: Ware | NewPiece) -> tuple[Prospect, ...]:
    """Each way of firing after the bisque with the rules' verdict on this ware, from cool to hot."""
    judged = ware.as_ware(catalog.clay(ware.clay)) if isinstance(ware, NewPiece) else ware
    return tuple(
        (route, judge_in(catalog, judged, route)) for route in catalog.routes_by_heat if judged.may_come_to(route)
    )


# ---- wax and glaze ---------------------------------------------------------------------------------------------


@once(StepName.WAX)
def wax(change: Change, ref: str, *, seen: int | None = None, place: str = "") -> Receipt:
    """Note that the foot of a bisqued piece is waxed."""
    return plain_step(change, StepName.WAX, ref, seen, place)


@once(StepName.WASH_OFF)
def wash_off(change: Change, ref: str, *, seen: int | None = None, place: str = "") -> Receipt:
    """Note that raw glaze is washed off a piece; dry wax and what was fired stay on it."""
    return plain_step(change, StepName.WASH_OFF, ref, seen, place)


@once(StepName.NOT_WAXED)
def not_waxed(change: Change, ref: str, *, seen: int | None = None, place: str = "") -> Receipt:
    """Take wax off the record of a piece that never was waxed: dry wax itself only burns out."""
    return plain_step(change, StepName.NOT_WAXED, ref, seen, place)


@once("glaze")
def glaze(
    change: Change,
    ref: str,
    glaze: str,
    zone: Zone,
    *,
    foot: Foot | None = None,
    catch_plate: bool | None = None,
    checked_for: Zone | None = None,
    asks: bool = False,
    seen: int | None = None,
) -> Receipt:
    """Put one more layer on a piece, or say every reason why not; on greenware it is a decoration.

    `foot` says what was done about its foot, `catch_plate` whether it will stand on one; None leaves it as it was.
    `checked_for` is the zone whose verdicts this person was shown: `NotShown` where the layer's own zone has others.
    With `asks` the instructor is asked at once where no firing takes the piece without their leave.
    """
    done = _glaze(change, ref, (glaze, zone), foot, catch_plate, seen, checked_for or zone)
    asked = ask_by_itself(change, find_piece(change.read, done.ref, change.request.by)) if asks else None
    return replace(done, message=together((done.message, asked)))


def _glaze(
    change: Change,
    ref: str,
    layer: tuple[str, Zone],
    foot: Foot | None,
    catch_plate: bool | None,  # noqa: FBT001 -- it is passed on as it was given
    seen: int | None,
    checked_for: Zone,
) -> Receipt:
    piece = held_piece(change, StepName.GLAZE, ref, seen)
    step = StepName.DECORATE if piece.stage is Stage.GREENWARE else StepName.GLAZE
    catalog, (name, zone) = change.catalog, layer
    glaze = catalog.glaze(name)
    if glaze.retired:
        raise NotAStep(
            Message("glaze-retired", _("{glaze} isn't on the glaze shelf anymore."), glaze=glaze.name),
            Message("choose-a-glaze", _("Choose another glaze.")),
        )
    if step is StepName.DECORATE:
        _must_go_on_greenware(piece, glaze, catalog)
    if glaze.burns_away and not piece.layers:
        return _wax_alone(change, piece, glaze, zone)
    after = replace(
        piece.wearing(Layer(glaze, zone)).take(step),
        foot=(foot if keeps_its_foot(piece, catalog) else None) or piece.foot,
        catch_plate=piece.catch_plate if catch_plate is None else catch_plate,
        glazed_at=piece.glazed_at if glaze.burns_away else change.request.at,
    )
    verdict = judge_layers_in(catalog, after)
    verdict.must_not_be_refused()
    shown = replace(after, layers=piece.wearing(Layer(glaze, checked_for)).layers)
    verdict.must_have_been_shown(judge_layers_in(catalog, shown))
    ended = wish_ended_by(change, piece, after)
    line = HistoryLine(
        step=step,
        verdict=verdict,
        facts={"glaze": name, "zone": zone, **ended_wish(ended), **told_before(piece)},
    )
    number = change.save(piece, after, line)
    take_back_questions(change, after)
    done = receipt_of(after, "glazed", _("{piece}: {glaze} applied ({zone})."), line=number, glaze=name, zone=zone)
    return replace(done, message=together((done.message, *wish_said(ended, after))))


def _must_go_on_greenware(piece: Piece, glaze: Glaze, catalog: Catalog) -> None:
    """Refuse what belongs on bisqued ware; raw glaze is for a studio that fires once."""
    if goes_on_now(piece, glaze, catalog):
        return
    words = _("{piece} is greenware, and {glaze} is for bisqued ware.")
    raise NotAStep(
        Message("not-on-greenware", words, piece=piece.ref, glaze=glaze.name),
        Message(
            "bisque-it-first", _("Bisque the piece first. Now you can only put on slip, underglaze or terra sigillata.")
        ),
    )


def _wax_alone(change: Change, piece: Piece, wax: Glaze, zone: Zone) -> Receipt:
    """Note wax on bare clay: it makes a piece waxed and never glazed, and only on the foot it keeps that clear."""
    if piece.stage is Stage.WAXED:
        remedy = _("To wax between layers, add a glaze first. Or re-bisque it to burn off the wax.")
        raise NotAStep(
            Message("waxed-already", _("{piece} is already waxed and has no glaze yet."), piece=piece.ref),
            Message("wax-between-coats", remedy),
        )
    waxed = piece.take(StepName.WAX)
    after = replace(waxed, foot=waxed.foot if zone is Zone.FOOT else piece.foot)
    facts: dict[str, Fact] = {"glaze": wax.name, "zone": zone}
    line = HistoryLine(step=StepName.WAX, facts=facts)
    number = change.save(piece, after, line)
    return receipt_of(after, "waxed", _("{piece}: {glaze} applied ({zone}). Stage: waxed."), line=number, **facts)


# ---- the queue -------------------------------------------------------------------------------------------------


@once("queue")
def queue(
    change: Change,
    ref: str,
    route: str,
    *,
    accepts: Collection[str] = frozenset(),
    seen: int | None = None,
    place: str = "",
) -> Receipt:
    """Put a piece on the waiting list of `route`, or say every reason why not. `accepts` names rules that warn."""
    return queue_within(change, ref, route, accepts, seen, place)


def queue_within(
    change: Change,
    ref: str,
    route_name: str,
    accepts: Collection[str],
    seen: int | None,
    place: str,
    back: Back | None = None,
) -> Receipt:
    """The same; `back` is for a piece that goes back to its place there."""
    by = change.request.by
    # Whoever put it there had the right to: that it goes back asks for no more than to find it.
    piece = find_piece(change.read, ref, by, hold=True) if back else held_piece(change, StepName.QUEUE, ref, seen)
    route = change.catalog.route(route_name)
    verdict = must_be_let_in(change.read, piece, route, lambda: accepts, change.request.at)
    # What fires once never has a bisque to get its code from.
    code = piece.code or change.new_code()
    there = _place_after(piece, place, back)
    after = replace(piece.take(StepName.QUEUE), route=route.name, place=there, code=code)
    accepted = tuple(one.rule for one in verdict.findings if one.rule in accepts)
    since = waited_since(change.read, piece, route) if back is None else back.waits_since
    line = HistoryLine(
        step=StepName.QUEUE,
        route=route.name,
        place=place,
        verdict=verdict,
        accepted=accepted,
        facts={**_place_before(piece, there), **_kept_of(back, since)},
        undoes=None if back is None else back.undoes,
    )
    number = change.save(piece, after, line, waits_since=since)
    firing = with_heat(route, change.catalog.practice.outdoors)
    wanted = change.catalog.routes.get(change.read.pieces.wish(piece.id) or "")
    other = wanted.title if wanted and wanted.name != route.name else None
    words = Choice("is_other", {"False": _WAITS, "True": _WAITS_ELSEWHERE})
    return receipt_of(after, "queued", words, line=number, firing=firing, wanted=other, is_other=other is not None)


def _kept_of(back: Back | None, since: datetime | None) -> dict[str, Fact]:
    """What the line of a piece that goes back to its queue keeps: since when it waits, and how it was found."""
    waits: dict[str, Fact] = {"waits_since": since} if back or since else {}
    return waits | ({"found": back.found} if back and back.found is not None else {})


def must_be_let_in(
    reader: Queries, piece: Piece, route: Route, accepts: Callable[[], Collection[str]], at: datetime
) -> Verdict:
    """The verdict on a piece that may wait for this route at that moment; else every reason why not.

    `accepts` gives names of rules that warn; it is asked only where one does.
    """
    piece.must_start(StepName.QUEUE)
    _must_belong(piece, route)
    catalog = reader.catalog()
    # The door has the last word on a wall: whoever loads the kiln holds the piece.
    must_be_told(piece, route, catalog.practice, is_thin=True)
    verdict = judge_in(catalog, piece.at(at), route)
    verdict = Verdict((*declined(reader, piece.id, route.name, verdict.findings), *verdict.findings))
    leaves = reader.questions.leaves(piece.id) if verdict.of(Level.ASK) else ()
    verdict.must_be_settled(route.name, accepts=accepts() if verdict.of(Level.WARN) else (), approvals=leaves)
    return verdict


_WAITS = _("{piece}: queued for {firing}.")
_WAITS_ELSEWHERE = _("{piece}: queued for {firing}. The firing asked for is {wanted}.")


def _must_belong(piece: Piece, route: Route) -> None:
    """Refuse a queue for which this piece is not ready: bisque has none, and unglazed ware waits for horsehair only."""
    if route.retired:
        raise NotAStep(
            Message("route-retired", _("{firing} isn't fired here anymore."), firing=route.title),
            Message("choose-another-firing", _("Choose another firing.")),
        )
    if route.kind is RouteKind.BISQUE:
        raise NotAStep(
            Message("no-queue-for-bisque", _("There is no queue for bisque.")),
            Message("straight-into-a-bisque", _("Load greenware straight into a bisque firing.")),
        )
    if piece.stage is Stage.GREENWARE and not piece.may_wait_for(route):
        words = _("{piece} is greenware, and {firing} is for bisqued ware.")
        raise NotAStep(
            Message("not-bisqued-yet", words, piece=piece.ref, firing=route.title),
            Message("bisque-it", _("Load it into a bisque firing first.")),
        )
    if not piece.has_glaze and not route.takes_bare:
        words = _("{piece} is {stage} and has no glaze. {firing} is for glazed ware.")
        raise NotAStep(
            Message("wears-no-glaze", words, piece=piece.ref, stage=piece.stage, firing=route.title),
            Message("glaze-it-first", _("Glaze it first, or choose a firing for bare ware.")),
        )


@once(StepName.PULL_BACK)
def pull_back(change: Change, ref: str, *, seen: int | None = None, place: str = "") -> Receipt:
    """Take a piece off its waiting list, back to the stage before."""
    return plain_step(change, StepName.PULL_BACK, ref, seen, place)


# ---- the shelves -----------------------------------------------------------------------------------------------


@once("shelve")
def shelve(change: Change, ref: str, place: str, *, seen: int | None = None) -> Receipt:
    """Note that a piece stands at `place` from now on; a name that differs in case only is the shelf there is.

    What came out shivered is bagged, not shelved. The receipt's `looks` tells that it is still to be fired, and that
    most there is: such a shelf is one for pickup.
    """
    piece = held_piece(change, StepName.SHELVE, ref, seen)
    piece.must_not_be_in_a_kiln()
    piece.must_not_shed()
    piece.must_start(StepName.SHELVE)
    if not place:
        raise Unusable(
            [Message("no-shelf", _("Scan a shelf first."))],
            Message("scan-the-shelf", _("Scan the shelf's label, or type its name.")),
        )
    known = known_shelves(change.read)
    there = next((one for one in known if one.casefold() == place.casefold()), place)
    if there not in known:
        change.shelves.add(there)
    if there == piece.place:
        return receipt_of(piece, "stands-there", _("{piece}: already on {place}."), line=None, place=there)
    is_early = piece.stage in STILL_TO_FIRE and _is_for_pickup(change.read, there)
    done = stand_at(change, piece, there)
    if not is_early:
        return done
    told = "bisqued" if piece.stage is Stage.BISQUED else "other"
    look = Message("not-fired-yet", Choice("told", _NOT_FIRED_YET), told=told, stage=piece.stage)
    return replace(done, message=together([done.message, look]), extra={**done.extra, "looks": True})


def _is_for_pickup(reader: Queries, place: str) -> bool:
    """Whether a shelf is one for finished pieces, by what is on it: more that is fired than anything else."""
    there = reader.shelves.stages_on(place)
    fired = there.pop(Stage.FIRED, 0)
    return fired > sum(there.values())


_NOT_FIRED_YET = {
    "bisqued": _("Most pieces there are fired. This one isn't glazed: leave it only if its maker wants it so."),
    "other": _("Check the shelf: most pieces there are fired, and this one is {stage}."),
}


def stand_at(change: Change, piece: Piece, place: str, undoes: int | None = None) -> Receipt:
    """Set where a piece stands; the line keeps where it stood before, so that it can go back there."""
    piece.must_not_be_in_a_kiln()
    after = replace(piece.take(StepName.SHELVE), place=place)
    before: dict[str, Fact] = {"before": piece.place}
    line = HistoryLine(step=StepName.SHELVE, place=place, facts=before, undoes=undoes)
    number = change.save(piece, after, line)
    if not place:
        return receipt_of(after, "stands-nowhere", _("{piece}: removed from its shelf."), line=number)
    return receipt_of(after, "shelved", _("{piece}: now on {place}."), line=number, place=place)


# ---- lost and found, corrected ---------------------------------------------------------------------------------


@once(StepName.LOSE)
def lose(change: Change, ref: str, cause: str, *, seen: int | None = None, place: str = "") -> Receipt:
    """Note that a piece is broken, missing or discarded, with the cause."""
    return plain_step(change, StepName.LOSE, ref, seen, place, cause)


@once(StepName.FIRE_AGAIN)
def fire_again(change: Change, ref: str, reason: str, *, seen: int | None = None) -> Receipt:
    """Send a fired piece back to be fired once more."""
    return plain_step(change, StepName.FIRE_AGAIN, ref, seen, "", reason)


@once(StepName.CORRECT)
def correct(change: Change, ref: str, to: Stage, reason: str, *, seen: int | None = None) -> Receipt:
    """Put a piece back to an earlier stage because the record was wrong, with the reason."""
    return plain_step(change, StepName.CORRECT, ref, seen, "", reason, to=to)


# ---- the parts -------------------------------------------------------------------------------------------------


def plain_step(
    change: Change,
    name: StepName,
    ref: str,
    seen: int | None,
    place: str,
    reason: str = "",
    *,
    to: Stage | None = None,
    back: Back | None = None,
) -> Receipt:
    """Take a step that asks nothing of the rules, and say what became of the piece."""
    piece = held_piece(change, name, ref, seen)
    after, there = piece.take(name, to=to), _place_after(piece, place, back)
    if there != after.place:
        after = replace(after, place=there)
    if name in {StepName.LOSE, StepName.FIRE_AGAIN, StepName.CORRECT} and not reason and back is None:
        raise Unusable([Message("say-why", _("Give a reason for “{step}”."), step=name)])
    piece.must_not_be_in_a_kiln()
    if name is StepName.FIND:
        _must_be_there_to_find(change, piece)
    ended = wish_ended_by(change, piece, after) if name is StepName.WASH_OFF else None
    line = HistoryLine(
        step=name,
        facts={
            **ended_wish(ended),
            **(kept_for_undo(piece) if name in _TAKES_OFF else {}),
            **_place_before(piece, after.place),
        },
        route=piece.route,
        place=place,
        reason=reason,
        undoes=None if back is None else back.undoes,
    )
    number = change.save(piece, after, line)
    if name in _TAKES_OFF:
        take_back_questions(change, after)
    code, words = _BECAME.get((name, bool(reason)), ("became", _("{piece}: {stage}.")))
    done = receipt_of(after, code, words, line=number, stage=after.stage, cause=cause_of(reason))
    return replace(done, message=together((done.message, *wish_said(ended, after))))


def _place_after(piece: Piece, place: str, back: Back | None) -> str:
    """The shelf that a piece is on after a step at `place`, or after one that takes it back where it was."""
    return (place or piece.place) if back is None else back.place


def _place_before(piece: Piece, place: str) -> dict[str, Fact]:
    """The shelf that a piece was on, as the line of a step that puts it on another keeps it for an undo."""
    return {} if place == piece.place else {"before": piece.place}


def _must_be_there_to_find(change: Change, piece: Piece) -> None:
    """Refuse to find what a firing broke by its record, which must say otherwise first, and what is another piece."""
    if change.read.pieces.leads_to(piece.id) is not None:
        message = Message("found-as-another", _("{piece} was registered twice. It has another code."), piece=piece.ref)
        raise NotAStep(message, Message("staff-part-them", _("If it's a piece of its own, tell staff.")))
    if change.read.shelves.causes([piece.id])[piece.id].in_kiln:
        message = Message("broke-by-its-result", _("{piece} is on record as broken in a kiln."), piece=piece.ref)
        raise NotAStep(message, Message("correct-that-result", _("If it's whole, correct its result on its page.")))


_TAKES_OFF = frozenset({StepName.WASH_OFF, StepName.NOT_WAXED})
"""The steps after which fewer layers are on a piece: their lines keep what it wore before."""
_BECAME: Mapping[tuple[StepName, bool], tuple[str, Template]] = {
    (StepName.PULL_BACK, False): ("pulled-back", _("{piece}: out of the queue. It's back to {stage}.")),
    (StepName.WASH_OFF, False): ("washed-off", _("{piece}: raw layers taken off. Stage: {stage}.")),
    (StepName.NOT_WAXED, False): ("wax-taken-back", _("{piece}: marked as not waxed. It's back to {stage}.")),
    (StepName.LOSE, True): ("lost", _("{piece}: {cause}.")),
    (StepName.LOSE, False): ("lost-again", _("{piece}: lost again.")),
    (StepName.FIND, False): ("found", _("{piece}: found. It's back to {stage}.")),
}
"""What is said after a step that asks nothing of the rules, with or without a cause, where it is more than a stage."""
