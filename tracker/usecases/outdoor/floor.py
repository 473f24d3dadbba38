"""How a session's kiln, its containers and its pieces look to whoever plans the rounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from math import ceil

from tracker.domain.findings import Level
from tracker.domain.loading.shelf_shapes import Shelf, ShelfKind
from tracker.domain.message import Message, _
from tracker.domain.outdoor.rounds import lay_round, propose_rounds
from tracker.domain.outdoor.sessions import Session, SessionFacts
from tracker.domain.outdoor.setting_up import MILD_C, OutdoorFloor, Round, ToFire
from tracker.domain.pieces.piece import Piece
from tracker.domain.quantities import mm
from tracker.domain.refusals import Unusable
from tracker.domain.rules.engine import RULES, judge
from tracker.domain.studio.kilns import Kiln, Route
from tracker.domain.studio.materials import Trait
from tracker.domain.studio.settings import OutdoorPractice, Practice
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.firing.load_choice import to_load

_MAY_BREAK = frozenset(rule.name for rule in RULES if rule.about == "shock")
_COPPER = "copper"
_TALL_AND_THIN = 2.5
"""How many times as high as it is wide a piece counts as tall and thin (practice, from memory)."""


def floor_of(kiln: Kiln, facts: SessionFacts) -> OutdoorFloor:
    """The floor of an outdoor kiln in a session; `Unusable` until its chamber is measured."""
    room = kiln.chamber
    across = room and room.round_mm
    if room is None or room.height_mm is None or not (across or (room.width_mm and room.depth_mm)):
        problem = Message("kiln-not-measured", _("The inside of {kiln} hasn't been measured."), kiln=kiln.name)
        raise Unusable([problem], Message("enter-chamber", _("Enter its chamber in the catalog first.")))
    free = 2 * room.clearance_mm
    if across:
        shelf = Shelf(ShelfKind.ROUND, across - free, across - free)
    else:
        shelf = Shelf(ShelfKind.RECTANGULAR, (room.width_mm or 0) - free, (room.depth_mm or 0) - free)
    height = room.height_mm - room.clearance_mm
    air_c = MILD_C if facts.air_c is None else facts.air_c
    return OutdoorFloor(shelf=shelf, height_mm=height, opening=facts.opening, tongs_g=kiln.tongs_g, air_c=air_c)


def to_fire(row: PieceRow, practice: Practice, at: datetime, route: Route, kiln: Kiln) -> ToFire:
    """A waiting piece as the rounds see it: as large as the bisque left it, with all that whoever pulls must know."""
    piece = row.piece
    # What is pulled with tongs stands on no cookie.
    size = to_load(replace(piece, catch_plate=False), 0, practice, is_raw=False)
    verdict = judge(piece.at(at), route, practice, kiln)
    glazes = [layer.glaze for layer in piece.layers]
    return ToFire(
        piece_id=piece.id,
        ref=piece.ref,
        kind=route.kind,
        footprint=size.footprint,
        height_mm=ceil(size.height_mm),
        # Only what may break it sets a piece apart; what else the rules warn of was accepted when it was queued.
        warnings=(
            *(one.message for one in verdict.of(Level.WARN) if one.rule in _MAY_BREAK),
            *_tall_and_thin(piece),
        ),
        crackle=any(Trait.CRACKLE in glaze.traits for glaze in glazes),
        # A luster of which nobody knows the metals is taken for copper.
        luster=any(Trait.LUSTER in glaze.traits and (_COPPER in glaze.metals or not glaze.metals) for glaze in glazes),
        glazed_at=piece.glazed_at,
        since=row.waiting_since or row.since,
        weight_g=piece.weight_g,
        wall_mm=piece.wall_mm,
        # What is too heavy for the tongs asks the instructor by its own rule, before it comes here.
        lift_allowed=True,
    )


def _tall_and_thin(piece: Piece) -> tuple[Message, ...]:
    sides = [side for side in (piece.width_mm, piece.depth_mm) if side is not None]
    if piece.height_mm is None or not sides or piece.height_mm < _TALL_AND_THIN * min(sides):
        return ()
    words = _("{height} high and only {width} wide: it could tip out of the tongs.")
    return (Message("tall-and-thin", words, height=mm(piece.height_mm), width=mm(min(sides))),)


def round_of(pieces: Sequence[ToFire], session: Session, practice: OutdoorPractice, at: datetime) -> Round:
    """These pieces as one round, each with a place and a container; `Unusable` with why they do not go together."""
    facts = session.facts
    floor = floor_of(session.kiln, facts)
    if (made := lay_round(pieces, floor, facts.containers, facts.crew, practice)) is not None:
        return made
    refs = {piece.piece_id: piece.ref for piece in pieces}
    shared = propose_rounds(pieces, floor, facts.containers, facts.crew, practice, at)
    problems = [
        Message("piece-kept-out", "{piece}: {why}", piece=refs[number], why=why) for number, why in shared.left_out
    ]
    if len(shared.rounds) > 1:
        spare = tuple(refs[number] for other in shared.rounds[1:] for number in other.piece_ids)
        words = _("They don't all fit in one round. There isn't enough room, bins or pullers for {pieces}.")
        problems.append(Message("not-one-round", words, pieces=spare))
    words = _("Take a piece out of that round first, or put this one into another.")
    raise Unusable(problems, Message("take-one-out", words))
