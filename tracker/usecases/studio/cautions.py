"""Which cautions each page and each paper shows, by the facts of what is on it: one source for phone and paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracker.domain.firing.firings import FiringStage
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.studio.cautions import (
    WHILE_LOADING,
    Danger,
    told,
    while_firing,
    while_glazing,
    while_opening,
)
from tracker.domain.studio.kilns import PULLED_HOT, SMOKED, RouteKind

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from tracker.domain.outdoor.sessions import Session
    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.catalog import Studio
    from tracker.domain.studio.cautions import Caution
    from tracker.domain.studio.kilns import Kiln, Route
    from tracker.domain.studio.materials import Glaze
    from tracker.domain.studio.settings import Practice
    from tracker.store.firing.queries import FiringPage

_NONE: frozenset[Danger] = frozenset()
_FOOD = frozenset({Danger.FOOD})
_SANDED = frozenset({Stage.BISQUED, Stage.WAXED, Stage.GLAZED})
"""Where a piece is sanded, washed or wiped."""
_GROUND = frozenset({Flaw.STUCK, Flaw.RAN, Flaw.BLISTERED, Flaw.SHIVERED})
"""The flaws whose sharp glaze is ground off (common practice)."""


# ---- firings ---------------------------------------------------------------------------------------------------------


def of_whole_firing(page: FiringPage, studio: Studio) -> tuple[Caution, ...]:
    """From the first shelf to the last piece out: on the sheet, and on the page while the firing is planned."""
    return told(studio.catalogue.practice, WHILE_LOADING, _firing(page), while_opening(page.firing.kiln))


def of_firing(page: FiringPage, studio: Studio) -> tuple[Caution, ...]:
    """What is meant now, by how far the firing has come."""
    phases: dict[FiringStage, tuple[Collection[Danger], ...]] = {
        FiringStage.PLANNED: (WHILE_LOADING, _firing(page), while_opening(page.firing.kiln)),
        FiringStage.LOADING: (WHILE_LOADING, _firing(page)),
        FiringStage.FIRING: (_firing(page),),
        FiringStage.COOLING: (while_opening(page.firing.kiln),),
        FiringStage.UNLOADED: (_of_ware(page.firing.route.kind),),
    }
    return told(studio.catalogue.practice, *phases[page.firing.stage])


def _of_ware(kind: RouteKind) -> frozenset[Danger]:
    """Of what came out: bisque is sanded, smoked ware is never for food, and of the rest a laboratory says so."""
    if kind is RouteKind.BISQUE:
        return frozenset({Danger.DUST})
    return frozenset({Danger.SMOKED_WARE}) if kind in SMOKED else _FOOD


def of_unloading(page: FiringPage, studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a kiln is opened and emptied."""
    return told(studio.catalogue.practice, while_opening(page.firing.kiln))


def of_firings(studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a firing is planned or begun in any kiln that is left to cool."""
    return told(studio.catalogue.practice, WHILE_LOADING, _of_kilns(studio, _kinds(studio) - PULLED_HOT))


def _firing(page: FiringPage) -> frozenset[Danger]:
    firing = page.firing
    return while_firing(firing.kiln, {firing.route.kind}, _metals(row.piece for row in (*page.pieces, *page.coming)))


# ---- kilns and firing types ------------------------------------------------------------------------------------------


def of_kiln(kiln: Kiln | None, studio: Studio) -> tuple[Caution, ...]:
    """What is meant at a kiln from loading to opening, on its card and where it is described; None for a new one."""
    if kiln is None:
        return told(studio.catalogue.practice, _of_kilns(studio, _kinds(studio)))
    kinds = {route.kind for route in studio.catalogue.routes.values() if kiln.serves(route)}
    fires = while_firing(kiln, kinds)
    # What is pulled hot is nearer than the shelf it stands on.
    phases = (WHILE_LOADING, fires, while_opening(kiln)) if kinds - PULLED_HOT else (fires, WHILE_LOADING)
    return told(studio.catalogue.practice, *phases)


def of_route(route: Route | None, studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a firing type is described, in whatever kilns serve it; None for a new one."""
    return told(studio.catalogue.practice, _of_kilns(studio, {route.kind} if route else _kinds(studio)))


def of_settings(studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a studio sets its numbers: every firing in every kiln, and food."""
    return told(studio.catalogue.practice, _of_kilns(studio, _kinds(studio)) | _FOOD)


def _kinds(studio: Studio) -> frozenset[RouteKind]:
    return frozenset(route.kind for route in studio.catalogue.routes.values())


def _of_kilns(studio: Studio, kinds: Collection[RouteKind]) -> frozenset[Danger]:
    """The dangers of firing these kinds in all kilns of the studio that do."""
    known = studio.catalogue
    dangers = _NONE
    for kiln in known.kilns.values():
        mine = {route.kind for route in known.routes.values() if kiln.serves(route)} & set(kinds)
        if mine and not kiln.retired:
            dangers |= while_firing(kiln, mine)
    return dangers


# ---- outdoors --------------------------------------------------------------------------------------------------------


def of_session(session: Session, pieces: Iterable[Piece], studio: Studio) -> tuple[Caution, ...]:
    """What is meant beside the outdoor kiln, on the phone as on the sheet: by what is fired and what it wears.

    Nothing once the session has ended.
    """
    if not session.is_open:
        return ()
    kinds = {firing.route.kind for firing in session.rounds} or _pulled_in(session.kiln, studio)
    return told(studio.catalogue.practice, while_firing(session.kiln, kinds, _metals(pieces)))


def of_outdoor_kiln(kiln: Kiln, studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a session of that kiln is set up."""
    return told(studio.catalogue.practice, while_firing(kiln, _pulled_in(kiln, studio)))


def of_outdoor_kilns(studio: Studio) -> tuple[Caution, ...]:
    """What is meant beside the list of all that waits to be pulled hot."""
    return told(studio.catalogue.practice, _of_kilns(studio, PULLED_HOT))


def _pulled_in(kiln: Kiln, studio: Studio) -> frozenset[RouteKind]:
    return frozenset(route.kind for route in studio.catalogue.routes.values() if kiln.serves(route)) & PULLED_HOT


def _metals(pieces: Iterable[Piece]) -> frozenset[str]:
    return frozenset(metal for piece in pieces for layer in piece.layers for metal in layer.glaze.metals)


# ---- pieces and glazes -----------------------------------------------------------------------------------------------


def of_piece(piece: Piece, studio: Studio, *, is_pulled: bool = False) -> tuple[Caution, ...]:
    """What is meant on a piece's own page; `is_pulled` where it may be sent to a firing that is pulled hot."""
    return told(
        studio.catalogue.practice,
        {Danger.DUST} if piece.stage in _SANDED else _NONE,
        {Danger.SHARP_GLAZE, Danger.DUST}
        if piece.stage is Stage.FIRED and _GROUND.intersection(piece.flaws)
        else _NONE,
        _PULLED if is_pulled else _NONE,
        _FOOD if piece.use is Use.FOOD else _NONE,
    )


def of_new_piece(studio: Studio, *, is_food: bool, is_pulled: bool) -> tuple[Caution, ...]:
    """What is meant where it is asked what a piece is for and where it could be fired."""
    return told(studio.catalogue.practice, (_FOOD if is_food else _NONE) | (_PULLED if is_pulled else _NONE))


def of_glazing(piece: Piece, studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a piece is glazed, by how the glazes on the shelf go on."""
    food = _FOOD if piece.use is Use.FOOD else _NONE
    return told(studio.catalogue.practice, while_glazing(_on_shelf(studio)) | food)


def of_shelf(studio: Studio) -> tuple[Caution, ...]:
    """What is meant at the glaze shelf, on its chart."""
    return told(studio.catalogue.practice, while_glazing(_on_shelf(studio)))


def of_bucket(glaze: Glaze, practice: Practice) -> tuple[Caution, ...]:
    """What is meant at a glaze's bucket, on its label."""
    return told(practice, while_glazing([glaze]))


def _on_shelf(studio: Studio) -> list[Glaze]:
    return [glaze for glaze in studio.catalogue.glazes.values() if not glaze.retired]


def of_glaze(glaze: Glaze | None, studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a glaze is described, for whoever mixes it; None for any or for one that is new."""
    return told(studio.catalogue.practice, while_glazing([glaze] if glaze else []) | _FOOD)


def of_washing(studio: Studio) -> tuple[Caution, ...]:
    """What is meant where glaze or wax is washed off."""
    return told(studio.catalogue.practice, {Danger.DUST})


def of_food(studio: Studio) -> tuple[Caution, ...]:
    """What is meant wherever something is said of ware and food."""
    return told(studio.catalogue.practice, _FOOD)


def of_smoked_ware(studio: Studio) -> tuple[Caution, ...]:
    """What is meant beside pictures of ware that was pulled hot."""
    return told(studio.catalogue.practice, {Danger.SMOKED_WARE})


_PULLED = frozenset({Danger.HOT_WARE, Danger.AUTHORITY})
