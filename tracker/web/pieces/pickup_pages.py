"""Pickup: scan a piece or find its maker, hand it over, and see what else of this maker's is ready."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from flask import Blueprint, g, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.firing.outlooks import Next
from tracker.domain.labels.studio_bars import Sort, read_bar
from tracker.domain.message import Message, _
from tracker.domain.pieces.corrected_results import Fired, FoundLater
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.outcomes import SHARP, Flaw, came_out, in_order
from tracker.domain.pieces.piece import STEPS, Piece, Stage, StepName
from tracker.domain.refusals import Refusal
from tracker.domain.rules.food_standing import last_fire
from tracker.domain.studio.people import Person, Right
from tracker.domain.studio.spelling import plain
from tracker.forms.page_forms import HandOverForm, read_form
from tracker.store.pieces.queries import PiecePage, PieceRow
from tracker.usecases.labels.home_papers import needs_a_warning
from tracker.usecases.pieces import found_again
from tracker.usecases.pieces import pickup as handing
from tracker.usecases.pieces.flaws_on_record import events_of, seen_outside
from tracker.usecases.pieces.jobs import Job
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.pieces.outlooks import outlook_of
from tracker.usecases.pieces.sets import not_handed_out, still_here
from tracker.usecases.pieces.ways_out import is_broken, possible_now
from tracker.usecases.studio.badges import maker_on, name_on
from tracker.usecases.studio.cautions import of_handing_out
from tracker.web.auth import allows, asking, house
from tracker.web.camera import offered_camera
from tracker.web.lists import Listed, Order, listed
from tracker.web.piece_presenters import address_of, food_words
from tracker.web.pieces.photo_presenters import newest_shown
from tracker.web.pieces.scan_refusals import found_url
from tracker.web.plain_input import whole
from tracker.web.presenters import Plain, glazes_of, ref_in, told
from tracker.web.stations import scanned
from tracker.web.wording import reader
from tracker.wording.outlooks import to_do

pages = Blueprint("pickup", __name__)

SHORTEST_NAME = 2
_MOST_LISTED = 1_000
_ON_A_PAGE = 12
_FIRED_AGAIN = frozenset({Next.SOFT, Next.FIRE_AGAIN})
"""What comes next where whoever hands out reads of another firing first."""
_ORDERS: dict[str, Order[PieceRow]] = {
    "longest": Order(Message("longest-wait-first", _("longest wait")), lambda row: row.since),
    "newest": Order(Message("newest-first", _("newest")), lambda row: row.since, falling=True),
    "maker": Order(Message("by-maker", _("maker")), lambda row: (plain(row.maker_name), row.since)),
    "shelf": Order(Message("by-shelf", _("shelf")), lambda row: (plain(row.piece.place), row.since)),
}


@pages.get("/pickup")
@allows(Right.HAND_OVER)
def pickup() -> ResponseReturnValue:
    """What was looked for: a piece with its maker's other fired pieces, a maker's pieces, or makers of that name."""
    wanted = _wanted(request.args.get("ref", "").strip()[:400])
    row, refusal = None, None
    makers: tuple[Person, ...] = ()
    maker = _maker(request.args.get("maker", "")) or maker_on(house().store, wanted)
    if wanted and maker is None:
        try:
            row = find_row(house().store.read, wanted, g.person)
        except Refusal as no:
            makers = _makers_named(wanted)
            refusal = None if makers else no
    if row is not None:
        maker = house().store.read.people.person(number=row.piece.maker_id)
    ready = house().store.read.pieces.ready_for_pickup(maker.id) if maker else ()
    others = [one for one in ready if not one.piece.is_to_bag and (row is None or one.piece.id != row.piece.id)]
    pictures = newest_shown([*([row] if row else []), *others])
    return render_template(
        "pieces/pickup.html",
        wanted=wanted,
        refusal=refusal,
        makers=makers,
        maker=maker,
        piece=_shown(row, pictures) if row else None,
        rest=[_shown(one, pictures) for one in others],
        out=_just_out(request.args.get("out", "")[:60]),
        ready=None if wanted or maker else _all_ready(),
        camera=offered_camera(),
    )


def _just_out(text: str) -> dict[str, Any] | None:
    """The piece that was handed out last, while it still is."""
    ref = ref_in(text)
    row = find_row(house().store.read, ref, g.person) if ref else None
    if row is None or row.piece.stage is not Stage.CLAIMED:
        return None
    return {"ref": row.ref, "what": row.piece.what, "version": row.piece.version}


def _wanted(text: str) -> str:
    """What is looked for: the name on a scanned badge, or the text as it is."""
    text = scanned(text)
    if name := name_on(house().store, text):
        return name
    labelled = read_bar(text)
    return labelled.name if labelled is not None and labelled.sort is Sort.BADGE else text


@pages.post("/pickup")
@allows(Right.HAND_OVER)
def hand_over() -> ResponseReturnValue:
    """Note that a piece went to its maker or a named stand-in, and go on with the rest of this maker's pieces."""
    maker = request.form.get("maker", "")

    def do() -> Receipt:
        sent = read_form(HandOverForm(), request.form)
        return handing.hand_over(house().store, asking(), sent.ref, to=sent.to, knows=sent.knows, seen=sent.seen)

    def there(receipt: Receipt | None) -> str:
        if receipt is None:
            return url_for("pickup.pickup", ref=request.form.get("ref", "")[:60])
        return url_for("pickup.pickup", maker=maker if _maker(maker) else None, out=receipt.ref)

    return told(do, there)


@pages.post("/pickup/found")
@allows(Right.HAND_OVER)
def found() -> ResponseReturnValue:
    """Note that a lost piece turned up at the pickup shelf, and go on with it."""
    ref = request.form.get("ref", "")[:60]
    return told(
        lambda: found_again.find(house().store, asking(), ref), lambda _receipt: url_for("pickup.pickup", ref=ref)
    )


@pages.post("/pickup/back")
@allows(Right.HAND_OVER)
def take_back() -> ResponseReturnValue:
    """Undo a hand-out, and go on with the piece, which waits for its maker again."""

    def do() -> Receipt:
        sent = read_form(HandOverForm(), request.form)
        return handing.take_back(house().store, asking(), sent.ref, seen=sent.seen)

    return told(do, lambda _receipt: url_for("pickup.pickup", ref=request.form.get("ref", "")[:60]))


def _maker(number: str) -> Person | None:
    there = whole({"maker": number}, "maker", 0)
    return house().store.read.people.person(number=there) if there else None


def _makers_named(text: str) -> tuple[Person, ...]:
    """People of that name, if the text can be one at all."""
    is_name = len(text) >= SHORTEST_NAME and not ref_in(text) and not any(symbol.isdigit() for symbol in text)
    return house().store.read.people.named(text) if is_name else ()


def _all_ready() -> Listed[PieceRow]:
    """Every piece that waits to be picked up, as a list; what sheds slivers waits for a bag."""
    fired = house().store.read.pieces.standing(Stage.FIRED, limit=_MOST_LISTED)
    return listed(
        [row for row in fired if not row.piece.is_to_bag],
        told=lambda row: f"{row.ref} {row.piece.what} {row.maker_name} {row.piece.place}",
        orders=_ORDERS,
        kind_of=lambda row: row.section,
        on_a_page=_ON_A_PAGE,
    )


def _result(row: PieceRow, page: PiecePage) -> Message | None:
    """What came of a fired piece, with what was found after its firing was unloaded; None before its glaze firing."""
    outcome = row.outcome
    if outcome is None or row.piece.stage not in {Stage.FIRED, Stage.CLAIMED}:
        return None
    outside = seen_outside(page.history, row.piece)
    if others := in_order({*row.piece.flaws, *outside} - set(outcome.flaws)):
        came = () if outcome.is_good else (outcome.message,)
        return Message("result-with-later", "{all}", all=(*came, *_of_other_times(others, page)))
    return outcome.message


def _of_other_times(flaws: tuple[Flaw, ...], page: PiecePage) -> Iterator[Message]:
    """The flaws of a piece that its last firing didn't show, each with when it was found."""
    events = list(events_of(page.history, page.piece))
    in_bisque = {one for event in events if isinstance(event, Fired) and event.is_bisque for one in event.outcome.flaws}
    later = {one for event in events if isinstance(event, FoundLater) for one in event.more}
    for code, words, found in (
        ("from-bisque", _("{flaws} (since its bisque)"), in_bisque - later),
        ("found-later", _("{flaws} (found after unloading)"), later),
        ("from-before", _("{flaws} (since an earlier firing)"), set(flaws) - in_bisque - later),
    ):
        if these := tuple(one for one in flaws if one in found):
            yield Message(code, words, flaws=came_out(these))


def _before_handing_out(piece: Piece, flaws: tuple[Flaw, ...]) -> Iterator[Message]:
    """What is done or asked before a piece with these flaws is handed out."""
    if piece.stage is Stage.BISQUED:
        words = _("This piece is bisqued and unglazed. Hand it out only if the maker wants it as is.")
        yield Message("bisqued-as-it-is", words)
    if not SHARP.isdisjoint(flaws) and not piece.sheds_slivers:
        yield Message("grind-first", _("Is its glaze still sharp? Staff grind it smooth before it's handed out."))
        yield Message("grind-wet", _("Grind wet, with goggles, gloves and a fitted respirator."))


def _why_not(piece: Piece) -> Message:
    """Why a piece can't be handed out."""
    if is_broken(house().store.read, piece):
        return Message("broke-no-hand-out", _("It broke, so it can't be handed out."))
    if piece.stage is Stage.CLAIMED:
        return Message("is-handed-out", _("This piece was handed out."))
    words = _("This piece is {stage}, so it can't be handed out yet.")
    return Message("no-hand-out-yet", words, stage=piece.stage)


def _shown(row: PieceRow, pictures: Mapping[int, Plain]) -> Plain:
    piece = row.piece
    can_go = piece.stage in STEPS[StepName.CLAIM].start
    studio = house().store.read.studio()
    page = house().store.read.pieces.page(piece.id)
    food, lines = food_words(piece, studio.catalog, last_fire(reversed(page.history)))
    flaws = in_order((*piece.flaws, *seen_outside(page.history, piece)))
    mates = still_here(house().store.read, piece) if can_go else []
    again = outlook_of(house().store.read, row, house().clock()) if piece.stage is Stage.FIRED else None
    return {
        "ref": row.ref,
        "photo": pictures.get(piece.id),
        "build": piece.build,
        "href": address_of(row.ref),
        "what": piece.what,
        "clay": piece.clay.name,
        "glaze": glazes_of(piece),
        "stage": piece.stage,
        "outcome": _result(row, page),
        "place": piece.shelf,
        "since": row.since,
        "maker": row.maker_name,
        "short": row.maker,
        "for_food": not needs_a_warning(page, studio),
        "food": food,
        "food_lines": lines,
        "warned": needs_a_warning(page, studio),
        "cautions": of_handing_out(flaws, studio),
        "is_good": row.outcome is None or (row.outcome.is_good and not flaws),
        "can_go": can_go,
        "is_bagged": can_go and piece.sheds_slivers,
        "may_go": can_go and (not piece.sheds_slivers or g.person.may(Right.DECIDE)),
        "is_lost": piece.stage is Stage.LOST,
        "is_out": piece.stage is Stage.CLAIMED,
        "first": tuple(_before_handing_out(piece, flaws)) if can_go else (),
        "why_not": None if can_go else _why_not(piece),
        "can_be_found": found_url(row.ref, Job(StepName.FIND)) is not None,
        "possible": None if can_go else possible_now(house().store.read, piece, house().clock()),
        "version": piece.version,
        "is_soft": again is not None and again.next is Next.SOFT,
        "again": to_do(again, reader(), is_mine=False) if again and again.next in _FIRED_AGAIN else None,
        "apart": not_handed_out(mates) if mates else None,
    }
