"""Where a piece should be fired: its maker asks for a firing, puts it on the cart for it, or withdraws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, cast

from tracker.domain.findings import Level
from tracker.domain.message import Choice, Fact, Message, _
from tracker.domain.outdoor.pull_heats import with_heat
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.piece import WISHED_AT, Piece, StepName
from tracker.domain.pieces.wishes import loses_its_lining, off_its_cart
from tracker.domain.refusals import NotAStep
from tracker.domain.rules.engine import judge_in
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.people import Right
from tracker.store.pieces.wish_book import KeptWish
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.lookup import find_piece, held_piece, named

# ---- asked for and withdrawn -----------------------------------------------------------------------------------


@once("wish")
def wish(change: Change, ref: str, name: str, *, seen: int | None = None) -> Receipt:
    """Put on record where the maker of a piece wants it fired; staff sees it, and queues the piece as before."""
    piece = held_piece(change, StepName.WISH, ref, seen)
    route = change.catalog.route(name)
    if piece.stage not in WISHED_AT or route.retired or not piece.may_wait_for(route):
        words = _("{piece} is {stage}. It can't wait for {firing}.")
        facts = {"piece": piece.ref, "stage": piece.stage, "firing": route.title}
        raise NotAStep(
            Message("no-wish-now", words, **facts), Message("choose-its-firing", _("Choose another firing."))
        )
    judge_in(change.catalog, piece.at(change.request.at), route).must_not_be_refused()
    number = None
    if change.read.pieces.wish(piece.id) != route.name:
        after = piece.take(StepName.WISH)
        line = HistoryLine(step=StepName.WISH, route=route.name)
        number = change.save(piece, after, line)
        change.wishes.note(piece.id, route.name)
    words = _("{piece}: asked for {firing}. {shelf}")
    firing = with_heat(route, change.catalog.practice.outdoors)
    says = Message("wished", words, piece=named(piece), firing=firing, shelf=shelf_of(route, piece))
    return Receipt(message=says, ref=piece.ref, piece_id=piece.id, line=number, refs=(piece.ref,))


@once("withdraw")
def withdraw(change: Change, ref: str, *, seen: int | None = None) -> Receipt:
    """Take the firing that was asked for off the record; the history keeps that it was, and who withdrew it."""
    piece = held_piece(change, StepName.WITHDRAW, ref, seen)
    route = _wished(change, piece)
    after = piece.take(StepName.WITHDRAW)
    line = HistoryLine(step=StepName.WITHDRAW, route=route.name)
    number = change.save(piece, after, line)
    change.wishes.end(piece.id)
    words = _("{piece}: the request for {firing} is withdrawn.")
    says = Message("withdrawn", words, piece=named(piece), firing=route.title)
    return Receipt(message=says, ref=piece.ref, piece_id=piece.id, line=number, refs=(piece.ref,))


def _wished(change: Change, piece: Piece) -> Route:
    """The firing that a piece is asked for; refused where it is asked for none."""
    route = change.catalog.routes.get(change.read.pieces.wish(piece.id) or "")
    if route is None:
        raise NotAStep(
            Message("nothing-asked-for", _("{piece} has no request for a firing."), piece=piece.ref),
            Message("ask-for-one", _("Ask for a firing first.")),
        )
    return route


# ---- put on its cart -------------------------------------------------------------------------------------------


@once("put away")
def put_away(change: Change, ref: str, *, seen: int | None = None) -> Receipt:
    """Note that a piece is on the cart or shelf of the firing it is asked for: makers say so of their own pieces."""
    change.request.by.must_be_allowed(Right.PUT_AWAY)
    piece = find_piece(change.read, ref, change.request.by, hold=True)
    piece.must_be_as_seen(seen)
    piece.must_not_be_in_a_kiln()
    place = place_for(_wished(change, piece))
    there = next((one for one in change.read.pieces.places() if one.casefold() == place.casefold()), place)
    number = None
    if there != piece.place:
        after = replace(piece.take(StepName.SHELVE), place=there)
        before: dict[str, Fact] = {"before": piece.place}
        line = HistoryLine(step=StepName.SHELVE, place=there, facts=before)
        number = change.save(piece, after, line)
    says = Message("shelved", _("{piece}: now on {place}."), piece=named(piece), place=there)
    return Receipt(message=says, ref=piece.ref, piece_id=piece.id, line=number, refs=(piece.ref,))


def place_for(route: Route) -> str:
    """The cart or ware shelf for a firing: the one that the studio named, or else the one called by the firing."""
    return route.shelf or route.title


def shelf_for(route: Route) -> Fact:
    """The same as a sentence names it: "yard rack, left", or "the Low-fire shelf" where the studio named none."""
    return route.shelf or Message("shelf-of-firing", _("the {firing} shelf"), firing=route.title)


def greenware_place(catalog: Catalog) -> str:
    """Where greenware dries and waits for its bisque: the shelf named for that firing; empty where none was named."""
    bisques = (route for route in catalog.routes_by_heat if route.kind is RouteKind.BISQUE)
    return next((route.shelf for route in bisques if route.shelf), "")


def is_put_away(piece: Piece, route: Route) -> bool:
    """Whether a piece is on the cart or shelf for that firing."""
    return piece.place.casefold() == place_for(route).casefold()


_PUT_IT = {
    "held": _("Leave it on its shelf until the instructor answers."),
    "nowhere": _("Keep it on a ware shelf until the instructor answers."),
    "off": _("Take it off {shelf} until the instructor answers. Put it on a ware shelf."),
    "there": _("Leave it here: {shelf}."),
    "named": _("Put it here: {shelf}."),
    "usual": _("Put it on the {shelf} shelf."),
}


def shelf_of(route: Route, piece: Piece) -> Message:
    """Where a piece goes for a firing, or that it is there; while a question is open it goes on no cart."""
    is_there = is_put_away(piece, route)
    if piece.has_question:
        which = "off" if is_there else "held" if piece.shelf else "nowhere"
    else:
        which = "there" if is_there else "named" if route.shelf else "usual"
    return Message("its-shelf", Choice("which", _PUT_IT), which=which, shelf=place_for(route))


def wrong_cart(piece: Piece, catalog: Catalog, wished: str | None = None) -> str:
    """The cart or shelf of a firing that a piece is on though it isn't going there; empty where it is on none.

    `wished` is the firing that it goes to: the one that is asked for and takes it. A question keeps it off every cart.
    """
    if piece.stage not in WISHED_AT or piece.in_firing is not None:
        return ""
    carts = [route.name for route in catalog.routes.values() if is_put_away(piece, route)]
    is_right = wished in carts and not piece.has_question
    return "" if is_right or not carts else piece.place


# ---- ended by a change of layers -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class EndedWish:
    """A firing that was asked for and isn't anymore, with the wish as it was on record."""

    route: Route
    kept: KeptWish


def wish_ended_by(change: Change, before: Piece, after: Piece) -> EndedWish | None:
    """The wish that was taken off the record because the layers changed; None where it stays.

    It stays while the piece may wait for that firing and the rules find nothing there that they hadn't found before.
    """
    route = change.catalog.routes.get(change.read.pieces.wish(before.id) or "")
    if route is None:
        return None
    if after.stage in WISHED_AT and after.may_wait_for(route) and not loses_its_lining(before, after):
        # How long ago the last layer went on says nothing about the layers.
        was, found = (
            judge_in(change.catalog, replace(one, has_question=False, glazed_hours=None), route)
            for one in (before, after)
        )
        if all(one in was.findings for one in found.from_level(Level.WARN)):
            return None
    kept = change.wishes.end(before.id)
    return None if kept is None else EndedWish(route, kept)


def ended_wish(ended: EndedWish | None) -> dict[str, Fact]:
    """The same as the history keeps it, so that it can be put back."""
    if ended is None:
        return {}
    kept = ended.kept
    return {
        "ended_wish": ended.route.title,
        "wish_route": kept.route,
        "wish_by": kept.by_id,
        "wish_at": kept.at,
    }


def wish_said(ended: EndedWish | None, piece: Piece) -> tuple[Message, ...]:
    """The same as whoever changed the layers of this piece is told it, and that it comes off the cart where it is."""
    if ended is None:
        return ()
    words = _("Its request for {firing} has ended. Choose its firing again.")
    says = Message("wish-ended", words, firing=ended.route.title)
    return (says, off_its_cart(piece.place)) if is_put_away(piece, ended.route) else (says,)


def wish_again(change: Change, piece: Piece, facts: Mapping[str, Fact]) -> None:
    """Put the wish back that a step ended, as the facts of its line of history keep it; nothing where it ended none."""
    if "wish_route" in facts:
        route, by_id, at = (cast("Any", facts[name]) for name in ("wish_route", "wish_by", "wish_at"))
        change.wishes.put_back(piece.id, KeptWish(route=route, by_id=by_id, at=at))
