"""Whether another firing is open to ware that a rule sends away: no remedy leads where a rule refuses it again."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import replace
from typing import NamedTuple

from tracker.domain.cones import Cone, ConeRange
from tracker.domain.message import ByRole, Choice, Message, Plural, _
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Use
from tracker.domain.rules.rule import Case, Facts, names_of
from tracker.domain.studio.kilns import KNOWN_ROUTES, Route, RouteKind
from tracker.domain.studio.materials import CLAYS_IN_COATS, Coat, Family, Glaze

_USUAL = {kind: next(one for one in KNOWN_ROUTES.values() if one.kind is kind) for kind in RouteKind}
_USUAL_CONES = frozenset(one.cone for one in KNOWN_ROUTES.values())

OPEN, RAKU, DECORATIVE, NONE = "open", "raku", "decorative", "none"
RAKU_DECORATIVE = f"{RAKU}-{DECORATIVE}"
RAKU_BISQUED, RAKU_DECORATIVE_BISQUED = f"{RAKU}-bisqued", f"{RAKU_DECORATIVE}-bisqued"
"""Raku for raw clay, which bursts in it: the bisque comes first."""


class Way(NamedTuple):
    """Another firing for ware: how it `goes` (as it is, made decorative, in raku alone, or none) and to which cones."""

    goes: str
    cones: ConeRange | None = None


def cooler(case: Case, most: Cone | None = None) -> tuple[str, Message | None]:
    """Whether a cooler firing, to `most` at most, takes the ware, and which; raku takes raw clay only after the bisque.

    Raw overglazes on fired glaze go to their own firing. Elsewhere they are left off: another rule says so of what this
    firing burns off.
    """
    burning = [one for one in case.raw if one.coat is Coat.OVERGLAZE and one.cone_high < case.route.cone]
    is_glazed = any(one.fired_to is not None and one.glaze.coat is Coat.GLAZE for one in case.ware.layers)
    if is_glazed and burning and len(burning) == len(case.raw):
        goes = overglaze(case, burning)
        if goes != NONE:
            return goes, overglaze_firing(case, burning)
    goes, cones = _another(
        without(case, burning), lambda route: route.cone < case.route.cone and (most is None or route.cone <= most)
    )
    return goes, None if cones is None else Message("a-firing-to", _("a firing to {cones}"), cones=cones)


def hotter_for_food(case: Case, least: Cone) -> bool:
    """Whether a firing to `least` or hotter takes the ware as it is."""
    return _another(case, lambda route: route.cone >= least and route.kind is not RouteKind.RAKU).goes == OPEN


def hotter(case: Case, least: Cone) -> Way:
    """Whether a firing to `least` or hotter takes the ware."""
    return _another(case, lambda route: route.cone >= least)


def overglaze(case: Case, raw: Iterable[Glaze]) -> str:
    """Whether the overglaze firing of these raw overglazes takes the ware: as it is, made decorative, or none.

    Of several that share no cone it is that of those which need the most heat, before the others go on.
    """
    (_first, cones), *later = _overglaze_firings(case, raw)
    case = without(case, (glaze for group, _cones in later for glaze in group))
    route = _USUAL[RouteKind.OVERGLAZE].at(cones.high)
    return NONE if case.is_refused is None else _first_taken(case, [route], case.is_refused)[0]


def overglaze_firing(case: Case, raw: Collection[Glaze]) -> Message:
    """The firing of these raw overglazes, "an overglaze firing to cone 020 to 018"; one for each where they share none.

    Both ends are named: cooler an overglaze stays dull, hotter it burns off. Of what nobody has identified neither is
    known.
    """
    if nameless := names_of(glaze for glaze in raw if glaze.family is Family.OUTSIDE):
        once = Plural(
            "nameless",
            "an overglaze firing once {nameless} is identified",
            "an overglaze firing once {nameless} are identified",
        )
        return Message("overglaze-firing-unknown", once, nameless=nameless)
    firings = _overglaze_firings(case, raw)
    each = tuple(
        Message("fired-to-cones", _("{glazes} ({cones})"), glazes=names_of(group), cones=cones)
        for group, cones in firings
    )
    words = {
        "one": _("an overglaze firing to {cones}"),
        "several": _("an overglaze firing for each, the hottest first: {each}"),
    }
    many = "one" if len(firings) == 1 else "several"
    return Message("overglaze-firing", Choice("many", words), many=many, each=each, cones=firings[0][1])


def _overglaze_firings(case: Case, raw: Iterable[Glaze]) -> list[tuple[list[Glaze], ConeRange]]:
    """The overglazes that share a firing, and its cones, the hottest first; none burns a fired overglaze off."""
    left, firings = list(raw), []
    stands = [one.cone_high for one in case.glazes if one.coat is Coat.OVERGLAZE and one not in case.raw]
    while left:
        low = max(glaze.cone_low for glaze in left)
        group = [glaze for glaze in left if glaze.cone_high >= low]
        high = min(glaze.cone_high for glaze in group)
        firings.append((group, ConeRange(low, max(low, min([high, *stands])))))
        left = [glaze for glaze in left if glaze not in group]
    return firings


def without(case: Case, coats: Iterable[Glaze]) -> Case:
    """The case of the same ware with these raw coats left off."""
    off = set(coats)
    layers = tuple(one for one in case.ware.layers if one.fired_to is not None or one.glaze not in off)
    return replace(case, ware=replace(case.ware, layers=layers))


def raku(case: Case) -> bool:
    """Whether a raku firing takes the ware, made decorative if it has to be."""
    return _another(case, lambda route: route.kind is RouteKind.RAKU).goes != NONE


def indoors(case: Case) -> bool:
    """Whether a glaze firing in a closed kiln takes the ware, made decorative if it has to be."""
    return _another(case, lambda route: route.kind is RouteKind.SHELF).goes != NONE


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


def _another(case: Case, suits: Callable[[Route], bool]) -> Way:
    if case.is_refused is None:
        return Way(NONE)
    routes = [route for route in _firings(case) if suits(route)]
    # Hotter is better for food, and no rule of heat refuses what lies between: the ends tell of all.
    ends = routes if len(routes) <= _ENDS else [*routes[:2], *routes[-2:]]
    goes, hottest = _first_taken(case, ends, case.is_refused)
    if hottest is None:
        return Way(NONE)
    low = _coolest_worth_it(case)
    alike = [one for one in reversed(routes) if one.kind is hottest.kind and low <= one.cone < hottest.cone]
    as_well, coolest = _first_taken(case, alike, case.is_refused)
    return Way(goes, ConeRange(hottest.cone if coolest is None or as_well != goes else coolest.cone, hottest.cone))


def _coolest_worth_it(case: Case) -> Cone:
    """The coolest firing that does anything for the ware: it melts its glaze, raw before fired, or matures its clay."""
    raw = [glaze for glaze in case.raw if glaze.coat not in CLAYS_IN_COATS]
    glazes = raw or [glaze for glaze in case.glazes if glaze.coat is Coat.GLAZE]
    return max((glaze.cone_low for glaze in glazes), default=case.ware.clay.cone_low)


def _first_taken(case: Case, routes: list[Route], is_refused: Callable[[Case], bool]) -> tuple[str, Route | None]:
    """In what way one of these firings takes the ware, as it is before decorative, and the first that takes it so."""
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
