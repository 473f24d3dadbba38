"""Whether another firing is open to ware that a rule sends away: no remedy leads where a rule refuses it again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from tracker.domain.cones import Cone
from tracker.domain.message import ByRole, _
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Use
from tracker.domain.rules.rule import Case, Facts
from tracker.domain.studio.kilns import KNOWN_ROUTES, Route, RouteKind
from tracker.domain.studio.materials import CLAYS_IN_COATS, Coat, Glaze

_USUAL = {kind: next(one for one in KNOWN_ROUTES.values() if one.kind is kind) for kind in RouteKind}
_USUAL_CONES = frozenset(one.cone for one in KNOWN_ROUTES.values())

OPEN, RAKU, DECORATIVE, NONE = "open", "raku", "decorative", "none"
RAKU_DECORATIVE = f"{RAKU}-{DECORATIVE}"
RAKU_BISQUED, RAKU_DECORATIVE_BISQUED = f"{RAKU}-bisqued", f"{RAKU_DECORATIVE}-bisqued"
"""Raku for raw clay, which bursts in it: the bisque comes first."""


def cooler(case: Case, most: Cone | None = None) -> str:
    """Whether a cooler firing, to `most` at most, takes the ware: as it is, made decorative, in raku alone, or none.

    Of raw clay, raku is said to come after the bisque.
    """
    return _another(case, lambda route: route.cone < case.route.cone and (most is None or route.cone <= most))


def hotter_for_food(case: Case, least: Cone) -> bool:
    """Whether a firing to `least` or hotter takes the ware as it is."""
    return _another(case, lambda route: route.cone >= least and route.kind is not RouteKind.RAKU) == OPEN


def hotter(case: Case, least: Cone) -> str:
    """Whether a firing to `least` or hotter takes the ware: as it is, made decorative, in raku alone, or none."""
    return _another(case, lambda route: route.cone >= least)


def overglaze(case: Case, cone: Cone) -> str:
    """Whether an overglaze firing to `cone` takes the ware: as it is, made decorative, or none."""
    route = _USUAL[RouteKind.OVERGLAZE].at(cone)
    return NONE if case.is_refused is None else _taken(case, [route], case.is_refused)


def without(case: Case, coats: Iterable[Glaze]) -> Case:
    """The case of the same ware with these raw coats left off."""
    off = set(coats)
    layers = tuple(one for one in case.ware.layers if one.fired_to is not None or one.glaze not in off)
    return replace(case, ware=replace(case.ware, layers=layers))


def raku(case: Case) -> bool:
    """Whether a raku firing takes the ware, made decorative if it has to be."""
    return _another(case, lambda route: route.kind is RouteKind.RAKU) != NONE


def indoors(case: Case) -> bool:
    """Whether a glaze firing in a closed kiln takes the ware, made decorative if it has to be."""
    return _another(case, lambda route: route.kind is RouteKind.SHELF) != NONE


def indoors_or_not(case: Case) -> Facts:
    """Whether a firing indoors takes the ware instead: no bare clay, nothing cracked or shivered.

    Ware in fired glaze that came out well is "finished": it needs no firing at all.
    """
    ware = case.ware
    stays = ware.is_cracked or Flaw.SHIVERED in ware.flaws
    is_finished = not case.raw and not ware.flaws and any(layer.glaze.coat is Coat.GLAZE for layer in ware.layers)
    if is_finished and not ware.is_outdoor_only and not stays:
        return {"instead": "finished"}
    return {"instead": "none" if stays or not ware.has_glaze or not indoors(case) else "indoors"}


LEAVE_FINISHED = ByRole(
    _("Leave it as it is, or ask the instructor."), {"instructor": _("Leave it as it is, or allow it.")}
)
"""What becomes of finished ware that only the instructor may fire again."""


def glaze_firing(case: Case, suits: Callable[[Route], bool] = lambda _route: True) -> Facts:
    """A firing for glazed ware that suits, takes it and melts its glaze, by its `cone`; and in what way it `goes`."""
    coats = case.raw or case.glazes
    glaze = [one for one in coats if one.coat is Coat.GLAZE] or coats
    low = max((one.cone_low for one in glaze), default=case.route.cone)
    indoors = [one for one in _firings(case) if one.kind is RouteKind.SHELF and one.cone >= low and suits(one)]
    goes, route = (NONE, None) if case.is_refused is None else _first_taken(case, indoors, case.is_refused)
    return {"goes": goes} if route is None else {"goes": goes, "cone": route.cone}


def _another(case: Case, suits: Callable[[Route], bool]) -> str:
    if case.is_refused is None:
        return NONE
    routes = [route for route in _firings(case) if suits(route)]
    # Hotter is better for food, and no rule of heat refuses what lies between: the ends tell of all.
    routes = routes if len(routes) <= _ENDS else [*routes[:2], *routes[-2:]]
    return _taken(case, routes, case.is_refused)


def _taken(case: Case, routes: list[Route], is_refused: Callable[[Case], bool]) -> str:
    """In what way one of these firings takes the ware; as it is goes before decorative."""
    return _first_taken(case, routes, is_refused)[0]


def _first_taken(case: Case, routes: list[Route], is_refused: Callable[[Case], bool]) -> tuple[str, Route | None]:
    """As `_taken`, with the first of the firings that takes it so."""
    shown = replace(case.ware, use=Use.DECORATIVE)
    uses = ((case.ware, OPEN), (shown, DECORATIVE)) if case.ware.use is Use.FOOD else ((case.ware, OPEN),)
    for ware, word in uses:
        for route in routes:
            # Of a firing that isn't chosen no kiln is known, nor its atmosphere.
            if not is_refused(replace(case, ware=ware, route=route, kiln=None, air=None)):
                is_raku = route.kind is RouteKind.RAKU and case.route.kind is not RouteKind.RAKU
                return _to_raku(case, word) if is_raku else word, route
    return NONE, None


def _to_raku(case: Case, word: str) -> str:
    if case.goes_in_raw:
        return RAKU_BISQUED if word == OPEN else RAKU_DECORATIVE_BISQUED
    return RAKU if word == OPEN else RAKU_DECORATIVE


_ENDS = 4


def _firings(case: Case) -> Iterator[Route]:
    """Firings to the cones that suit every coat and the clay, the hottest first: glazed ware, the same kind, raku.

    Of those cones only such as the ware or the trade knows.
    """
    ware = case.ware
    glazes = [layer.glaze for layer in ware.layers if not layer.glaze.burns_away]
    # Of ware too mature for the shock of raku the instructor is asked.
    is_brittle = ware.fired_to is not None and ware.clay.is_brittle_at(ware.fired_to)
    raku = () if is_brittle else (_USUAL[RouteKind.RAKU],)
    least = max((one.cone_low for one in case.raw if one.coat not in CLAYS_IN_COATS), default=None)
    ends = {cone for glaze in glazes for cone in (glaze.cone_low, glaze.ceiling)}
    known = ends | {ware.clay.cone_low, ware.clay.ceiling} | _USUAL_CONES
    most = ware.ceiling
    cones = sorted((one for one in known if one <= most and (least is None or one >= least)), reverse=True)
    if any(glaze.is_outdoor_only for glaze in glazes):
        yield from raku
        yield from (usual.at(cone) for usual in raku for cone in cones)
        return
    own = () if case.route.kind in {RouteKind.SHELF, RouteKind.RAKU} else (case.route,)
    for usual in (_USUAL[RouteKind.SHELF], *own):
        yield from (usual.at(cone) for cone in cones)
    if not glazes:
        yield from raku
