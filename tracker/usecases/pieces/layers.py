"""What comes after a layer is on: taking one off again, and a question that asks itself."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import cast

from tracker.domain.findings import Approval, Finding, Level
from tracker.domain.message import Fact, Message, _, together
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.layers_off import without_layer
from tracker.domain.pieces.piece import Foot, Piece, StepName
from tracker.domain.pieces.wishes import loses_its_lining
from tracker.domain.rules.engine import judge_in, judge_layers_in
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route
from tracker.domain.studio.materials import Layer, Zone
from tracker.domain.studio.people import Right
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.lookup import held_piece, named
from tracker.usecases.pieces.wishes import ended_wish, wish_ended_by, wish_said

# ---- one layer off ---------------------------------------------------------------------------------------------


@once("take off")
def take_off(change: Change, ref: str, place: int, *, seen: int | None = None) -> Receipt:
    """Take layer number `place`, counted from 0, off a piece; the history keeps it, with the verdict on the rest."""
    piece = held_piece(change, StepName.WASH_OFF, ref, seen)
    piece.must_not_be_in_a_kiln()
    after = without_layer(piece, place)
    layer = piece.layers[place]
    ended = wish_ended_by(change, piece, after)
    line = HistoryLine(
        step=StepName.WASH_OFF,
        verdict=judge_layers_in(change.catalog, after) if after.has_glaze else None,
        facts={"glaze": layer.glaze.name, "zone": layer.zone, **ended_wish(ended), **kept_for_undo(piece)},
    )
    number = change.save(piece, after, line)
    take_back_questions(change, after)
    words = _("{piece}: {glaze} taken off ({zone}). Stage: {stage}.")
    says = Message(
        "layer-taken-off", words, piece=named(after), stage=after.stage, glaze=layer.glaze.name, zone=layer.zone
    )
    bare = [Message("inside-is-bare", _("The inside has no glaze."))] if loses_its_lining(piece, after) else []
    says = together((says, *bare, *wish_said(ended, after)))
    return Receipt(message=says, ref=after.ref, piece_id=after.id, line=number, refs=(after.ref,))


def kept_for_undo(piece: Piece) -> dict[str, Fact]:
    """What a piece wears, as the line of a step that takes layers off keeps it: the layers go back by this."""
    return {"wore": tuple((layer.glaze.name, layer.zone) for layer in piece.layers), **told_before(piece)}


def told_before(piece: Piece) -> dict[str, Fact]:
    """What a step that changes the layers may change beside them: the foot, the cookie, and since when it dries."""
    return {"foot": piece.foot, "cookie": piece.catch_plate, "dry_since": piece.glazed_at}


def as_told_before(piece: Piece, facts: Mapping[str, Fact]) -> Piece:
    """The piece with all of that as the facts of a line keep it; as it is where an older line keeps nothing."""
    if "dry_since" not in facts:
        return piece
    return replace(
        piece,
        foot=cast("Foot | None", facts["foot"]),
        catch_plate=bool(facts["cookie"]),
        glazed_at=cast("datetime | None", facts["dry_since"]),
    )


def worn_before(catalog: Catalog, piece: Piece, facts: Mapping[str, Fact]) -> Piece:
    """The piece with the layers back on that a step took off, as the facts of its line tell; its stage is as it was.

    A layer that is still on it keeps the heat that it has seen.
    """
    still = list(piece.layers)
    layers = []
    for glaze, zone in cast("tuple[tuple[str, Zone], ...]", facts["wore"]):
        on = next((one for one in still if (one.glaze.name, one.zone) == (glaze, zone)), None)
        if on is not None:
            still.remove(on)
        layers.append(on or Layer(catalog.glaze(glaze), Zone(zone)))
    return replace(as_told_before(piece, facts), layers=tuple(layers), version=piece.version + 1)


def take_back_questions(change: Change, piece: Piece) -> None:
    """Take back what a layer asked by itself and nobody has answered, where the piece wouldn't ask it anymore."""
    rows = change.read.questions.of_piece(piece.id)
    by_itself = [row for row in rows if row.answered_at is None and row.route and row.text.code == _MAY_IT_GO]
    if not by_itself:
        return
    asks = route_to_ask_about(change.catalog, piece.at(change.request.at)) if piece.has_glaze else None
    for row in by_itself:
        if asks is None or row.route != asks[0].name or not set(row.findings) & set(asks[1]):
            change.questions.take_back(row.id)


def ask_again(change: Change, piece: Piece, at: datetime) -> None:
    """Ask again what a step took back on a piece at that moment, now that the step is undone."""
    seen = replace(piece, has_question=False).at(change.request.at)

    def asked(route: str | None) -> Sequence[Finding]:
        return judge_in(change.catalog, seen, change.catalog.route(route)).of(Level.ASK) if route else ()

    change.questions.put_back(piece.id, at, asked)


# ---- what is asked of itself -----------------------------------------------------------------------------------


def route_to_ask_about(
    catalog: Catalog, piece: Piece, leaves: Collection[Approval] = ()
) -> tuple[Route, Sequence[Finding]] | None:
    """The firing that the instructor has to allow for this piece, and what about; None where one needs no leave.

    Of several it is the one with the fewest things to allow, a kiln before the tongs, the cooler first.
    """
    judged = [
        (route, judge_in(catalog, replace(piece, has_question=False), route))
        for route in catalog.glazed_routes
        if piece.may_come_to(route)
    ]
    asked = [(route, verdict.of(Level.ASK)) for route, verdict in judged if verdict.level is Level.ASK]
    allowed = (all(Approval(route.name, one.message) in leaves for one in found) for route, found in asked)
    if not asked or any(verdict.level < Level.ASK for _route, verdict in judged) or any(allowed):
        return None
    return min(asked, key=lambda one: (len(one[1]), one[0].needs_yard))


def ask_by_itself(change: Change, piece: Piece) -> Message | None:
    """Ask the instructor about a glazed piece that no firing takes without their leave, unless they know of it."""
    if not piece.has_glaze or not change.request.by.may(Right.ASK):
        return None
    leaves = change.read.questions.leaves(piece.id)
    found = route_to_ask_about(change.catalog, piece.at(change.request.at), leaves)
    if found is None:
        return None
    route, findings = found
    rows = change.read.questions.of_piece(piece.id)
    asked = {one for row in rows if row.answered_at is None and row.route == route.name for one in row.findings}
    new = [one for one in findings if Approval(route.name, one.message) not in leaves and one not in asked]
    if not new:
        return None
    change.questions.ask(piece.id, route.name, may_it_go(route), new)
    return Message("asked-by-itself", _ASKED, firing=route.title)


_ASKED = _("The instructor was asked: Can it go in {firing}? Wait for the answer before it's fired.")


def may_it_go(route: Route) -> Message:
    """What the instructor is asked about a firing."""
    return Message(_MAY_IT_GO, _("Can it go in {firing}?"), firing=route.title)


_MAY_IT_GO = "may-it-go"
