"""What to do with a piece that a queue or a kiln's door refused: what opens the way, and where it belongs instead."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tracker.domain.findings import Level, NeedsAcceptance, NeedsInstructor, Unfit, listed
from tracker.domain.refusals import NotAStep, Refusal
from tracker.domain.rules.engine import judge
from tracker.domain.rules.suggestions import Change, suggestions
from tracker.usecases.pieces import pieces
from tracker.web.wording import said

if TYPE_CHECKING:
    from tracker.domain.firing.firings import Firing
    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.catalog import Catalogue
    from tracker.domain.studio.kilns import Kiln, Route


def out_of_a_refused_queue(piece: Piece, route: str, refusal: Refusal, known: Catalogue) -> str:
    """What puts right a queue that refuses, asks or warns: the best one or two ways, else the rules' own."""
    if not isinstance(refusal, Unfit | NeedsInstructor | NeedsAcceptance):
        return said(refusal.remedy)
    found = suggestions(piece, known.route(route), known)
    changed = [said(one.message) for one in found if one.change is not Change.ROUTE]
    if not isinstance(refusal, Unfit):
        return " ".join([said(refusal.remedy), *changed[:1]])
    prepared = [said(one.message) for one in found if one.change is Change.PREPARE][:1]
    shelf = right_shelf(piece, known)
    return " ".join([*prepared, shelf] if shelf else changed[:2]) or said(refusal.remedy)


def right_shelf(piece: Piece, known: Catalogue) -> str:
    """The shelf for a piece that was refused a queue, if the rules leave it a way."""
    open_ways = [
        route.title
        for route, verdict in pieces.prospects(known, piece)
        if verdict.level < Level.ASK and route.takes_glaze == bool(piece.layers)
    ]
    return f"Put it on the {' or the '.join(open_ways)} shelf." if open_ways else ""


def away_from_a_kiln(piece: Piece, firing: Firing, refusal: Refusal, known: Catalogue) -> str:
    """Where a piece belongs that was stopped at the door of this firing's kiln, after what the refusal says itself."""
    if isinstance(refusal, NotAStep) and piece.route is None and piece.layers:
        return " ".join(one for one in (said(refusal.remedy), right_shelf(piece, known)) if one)
    if not isinstance(refusal, Unfit):
        return said(refusal.remedy)
    return " ".join(one for one in (said(refusal.remedy), _another_firing(piece, firing, known)) if one)


def _another_firing(piece: Piece, firing: Firing, known: Catalogue) -> str:
    """The kilns and the cone that would do on the same route, or else the shelf of another route."""
    route = known.route(firing.route.name)
    # That greenware is dry is asked at the door of each firing anew.
    seen = replace(piece, dry=None)
    able = [
        kiln
        for kiln in known.kilns.values()
        if kiln.serves(route) and not kiln.retired and _may(seen, route, kiln, known)
    ]
    if not able:
        return right_shelf(piece, known)
    if any(kiln.name == firing.kiln.name for kiln in able):
        return f"Keep it for a firing to {route.cone.label}."
    return f"Keep it for {listed(kiln.name for kiln in able)}, {route.cone.label}."


def _may(piece: Piece, route: Route, kiln: Kiln, known: Catalogue) -> bool:
    return judge(piece, route, known.practice, kiln).level < Level.ASK
