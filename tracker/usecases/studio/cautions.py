"""Which cautions each page and each paper shows, by the facts of what is on it: one source for phone and paper."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator

from tracker.domain.firing.firings import FiringStage
from tracker.domain.outdoor.sessions import Session
from tracker.domain.pieces.outcomes import SHARP, Flaw
from tracker.domain.pieces.piece import Piece, Stage, Use
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.cautions import (
    Caution,
    Danger,
    told,
    while_firing,
    while_glazing,
    while_loading,
    while_opening,
)
from tracker.domain.studio.kilns import PULLED_HOT, SMOKED, Kiln, Route, RouteKind
from tracker.domain.studio.materials import Glaze
from tracker.domain.studio.settings import Practice
from tracker.store.firing.queries import FiringPage

_NONE: frozenset[Danger] = frozenset()
_FOOD = frozenset({Danger.FOOD})
_CUTS = frozenset({Danger.SHARP_GLAZE, Danger.DUST})
_SANDED = frozenset({Stage.BISQUED, Stage.WAXED, Stage.GLAZED})
"""Where a piece is sanded, washed or wiped."""
_WHILE_HOT = frozenset({Danger.HOT_KILN, Danger.HOT_WOOD_KILN, Danger.HOT_PIT, Danger.METAL_FUME})
"""What a kiln that was turned off still does for hours."""
_GROUND_AT = frozenset({Stage.FIRED, Stage.GLAZED, Stage.QUEUED, Stage.CLAIMED})
"""Where that is done: as it comes out, before it is fired again, or by whoever took it home."""


# ---- firings ---------------------------------------------------------------------------------------------------------


def of_whole_firing(page: FiringPage, studio: Studio) -> tuple[Caution, ...]:
    """From the first shelf to the last piece out: on the sheet, and on the page while the firing is planned."""
    return told(studio.catalog.practice, _firing(page), _loading(page), _opening(page))


def of_firing(page: FiringPage, studio: Studio) -> tuple[Caution, ...]:
    """What is meant now, by how far the firing has come."""
    phases: dict[FiringStage, tuple[Collection[Danger], ...]] = {
        FiringStage.PLANNED: (_loading(page), _firing(page), _opening(page)),
        FiringStage.LOADING: (_loading(page), _firing(page)),
        FiringStage.FIRING: (_firing(page),),
        FiringStage.COOLING: (_opening(page), _firing(page) & _WHILE_HOT),
        FiringStage.UNLOADED: (_sharp(page), _of_ware(page.firing.route.kind)),
    }
    return told(studio.catalog.practice, *phases[page.firing.stage])


def _sharp(page: FiringPage) -> frozenset[Danger]:
    """Where something came out with glaze that cuts: it is handled and ground off."""
    came = [row.outcome for row in page.pieces if row.outcome is not None]
    return frozenset().union(*(_of_flaws(one.flaws) for one in came))


def _of_flaws(flaws: Iterable[Flaw]) -> frozenset[Danger]:
    """What cuts on a piece with these flaws."""
    found = frozenset(flaws)
    shivered = frozenset({Danger.SHIVERED}) if Flaw.SHIVERED in found else _NONE
    return shivered | (_CUTS if found & SHARP else _NONE)


def _of_ware(kind: RouteKind) -> frozenset[Danger]:
    """Of what came out: bisque is sanded, smoked ware is never for food, and of the rest a laboratory says so."""
    if kind is RouteKind.BISQUE:
        return frozenset({Danger.DUST})
    return frozenset({Danger.SMOKED_WARE}) if kind in SMOKED else _FOOD


def of_unloading(page: FiringPage, studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a kiln is opened and emptied."""
    return told(studio.catalog.practice, _opening(page))


def of_firings(studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a firing is planned or begun in any kiln that is left to cool."""
    kinds = _kinds(studio) - PULLED_HOT
    return told(studio.catalog.practice, _of_kilns(studio, kinds, while_loading), _of_kilns(studio, kinds))


def _loading(page: FiringPage) -> frozenset[Danger]:
    return while_loading(page.firing.kiln, {page.firing.route.kind})


def _firing(page: FiringPage) -> frozenset[Danger]:
    firing = page.firing
    return while_firing(firing.kiln, {firing.route.kind}, _worn(row.piece for row in (*page.pieces, *page.coming)))


def _opening(page: FiringPage) -> frozenset[Danger]:
    return while_opening(page.firing.kiln, {page.firing.route.kind})


# ---- kilns and firing types ------------------------------------------------------------------------------------------


def of_kiln(kiln: Kiln | None, studio: Studio) -> tuple[Caution, ...]:
    """What is meant at a kiln from loading to opening, on its card and where it is described; None for a new one."""
    if kiln is None:
        return told(studio.catalog.practice, _of_kilns(studio, _kinds(studio)))
    kinds = _kinds_in(kiln, studio)
    opening = while_opening(kiln, kinds) if kinds - PULLED_HOT else _NONE
    fires = while_firing(kiln, kinds, _goes_in(kiln, kinds, studio))
    return told(studio.catalog.practice, fires, while_loading(kiln, kinds), opening)


def of_route(route: Route | None, studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a firing type is described, in whatever kilns serve it; None for a new one."""
    return told(studio.catalog.practice, _of_kilns(studio, {route.kind} if route else _kinds(studio)))


def of_settings(studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a studio sets its numbers: every firing in every kiln, and food."""
    return told(studio.catalog.practice, _of_kilns(studio, _kinds(studio)) | _FOOD)


def _kinds(studio: Studio) -> frozenset[RouteKind]:
    return frozenset(route.kind for route in studio.catalog.routes.values())


def _kinds_in(kiln: Kiln, studio: Studio) -> frozenset[RouteKind]:
    return frozenset(route.kind for route in studio.catalog.routes.values() if kiln.serves(route))


def _goes_in(kiln: Kiln, kinds: Collection[RouteKind], studio: Studio) -> Iterator[Glaze]:
    """The glazes on the shelf that are made for what a kiln fires of these kinds."""
    routes = [one for one in studio.catalog.routes.values() if kiln.serves(one) and one.kind in kinds]
    for glaze in _on_shelf(studio):
        if any(
            route.takes_glaze
            and route.takes_outdoor_glaze == glaze.is_outdoor_only
            and glaze.cone_low <= route.cone <= glaze.ceiling
            for route in routes
        ):
            yield glaze


def _of_kilns(
    studio: Studio,
    kinds: Collection[RouteKind],
    dangers_of: Callable[[Kiln, Iterable[RouteKind]], frozenset[Danger]] | None = None,
) -> frozenset[Danger]:
    """The dangers of firing these kinds in all kilns of the studio that do, or those that `dangers_of` finds there."""
    dangers = _NONE
    for kiln in studio.catalog.kilns.values():
        mine = _kinds_in(kiln, studio) & set(kinds)
        if mine and not kiln.retired:
            dangers |= dangers_of(kiln, mine) if dangers_of else while_firing(kiln, mine, _goes_in(kiln, mine, studio))
    return dangers


# ---- outdoors --------------------------------------------------------------------------------------------------------


def of_session(session: Session, pieces: Iterable[Piece] | None, studio: Studio) -> tuple[Caution, ...]:
    """What is meant beside the outdoor kiln, on the phone as on the sheet: by what is fired and what it wears.

    `pieces` is None where they are still chosen. Nothing once the session has ended.
    """
    if not session.is_open:
        return ()
    kinds = {firing.route.kind for firing in session.rounds} or _pulled_in(session.kiln, studio)
    glazes = _goes_in(session.kiln, kinds, studio) if pieces is None else _worn(pieces)
    return told(studio.catalog.practice, while_firing(session.kiln, kinds, glazes))


def of_outdoor_kiln(kiln: Kiln, studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a session of that kiln is set up."""
    kinds = _pulled_in(kiln, studio)
    return told(studio.catalog.practice, while_firing(kiln, kinds, _goes_in(kiln, kinds, studio)))


def of_outdoor_kilns(studio: Studio) -> tuple[Caution, ...]:
    """What is meant beside the list of all that waits to be pulled hot."""
    return told(studio.catalog.practice, _of_kilns(studio, PULLED_HOT))


def _pulled_in(kiln: Kiln, studio: Studio) -> frozenset[RouteKind]:
    return _kinds_in(kiln, studio) & PULLED_HOT


def _worn(pieces: Iterable[Piece]) -> frozenset[Glaze]:
    return frozenset(layer.glaze for piece in pieces for layer in piece.layers)


# ---- pieces and glazes -----------------------------------------------------------------------------------------------


def of_piece(
    piece: Piece, studio: Studio, *, is_pulled: bool = False, opened: Kiln | None = None
) -> tuple[Caution, ...]:
    """What is meant on a piece's own page; `is_pulled` where it may be sent to a firing that is pulled hot.

    `opened` is the kiln that it cools in, which somebody is going to open.
    """
    return told(
        studio.catalog.practice,
        while_opening(opened, _kinds_in(opened, studio)) if opened else _NONE,
        {Danger.DUST} if piece.stage in _SANDED else _NONE,
        _of_flaws(piece.flaws) if piece.stage in _GROUND_AT else _NONE,
        _PULLED if is_pulled else _NONE,
        _FOOD if piece.use is Use.FOOD else _NONE,
    )


def of_handing_out(flaws: Iterable[Flaw], studio: Studio) -> tuple[Caution, ...]:
    """What is meant beside a piece with these flaws where it would be handed out: what cuts whoever takes it."""
    return told(studio.catalog.practice, _of_flaws(flaws) - {Danger.DUST})


def of_new_piece(studio: Studio, *, is_food: bool, is_pulled: bool) -> tuple[Caution, ...]:
    """What is meant where it is asked what a piece is for and where it could be fired."""
    return told(studio.catalog.practice, (_FOOD if is_food else _NONE) | (_PULLED if is_pulled else _NONE))


def of_glazing(piece: Piece, studio: Studio) -> tuple[Caution, ...]:
    """What is meant where any piece is glazed; what one glaze adds is told with that glaze."""
    food = _FOOD if piece.use is Use.FOOD else _NONE
    return told(studio.catalog.practice, while_glazing(()) | food)


def of_applying(glaze: Glaze, practice: Practice) -> tuple[Caution, ...]:
    """What a glaze adds where it is applied: its spray, its fumes, its metals."""
    return told(practice, while_glazing([glaze]) - while_glazing(()))


def of_shelf(studio: Studio) -> tuple[Caution, ...]:
    """What is meant at the glaze shelf, on its chart."""
    return told(studio.catalog.practice, while_glazing(_on_shelf(studio)))


def of_bucket(glaze: Glaze, practice: Practice) -> tuple[Caution, ...]:
    """What is meant at a glaze's bucket, on its label."""
    return told(practice, while_glazing([glaze]))


def _on_shelf(studio: Studio) -> list[Glaze]:
    return [glaze for glaze in studio.catalog.glazes.values() if not glaze.retired]


def of_glaze(glaze: Glaze | None, studio: Studio) -> tuple[Caution, ...]:
    """What is meant where a glaze is described, for whoever mixes it; None for any or for one that is new."""
    return told(studio.catalog.practice, while_glazing([glaze] if glaze else []) | _FOOD)


def of_washing(studio: Studio) -> tuple[Caution, ...]:
    """What is meant where glaze or wax is washed off."""
    return told(studio.catalog.practice, {Danger.DUST})


def of_food(studio: Studio) -> tuple[Caution, ...]:
    """What is meant wherever something is said of ware and food."""
    return told(studio.catalog.practice, _FOOD)


def of_smoked_ware(studio: Studio) -> tuple[Caution, ...]:
    """What is meant beside pictures of ware that was pulled hot."""
    return told(studio.catalog.practice, {Danger.SMOKED_WARE})


_PULLED = frozenset({Danger.HOT_WARE, Danger.AUTHORITY})
