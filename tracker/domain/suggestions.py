"""What change would make a closed way clear: another route, glaze or use, or a little preparing, each judged first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import combinations
from typing import TYPE_CHECKING, Any

from tracker.domain.findings import Level
from tracker.domain.kilns import RouteKind
from tracker.domain.materials import Coat, FoodStanding, Layer
from tracker.domain.pieces import Foot, Use
from tracker.domain.rules.rule import listed

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from tracker.domain.catalogue import Catalogue
    from tracker.domain.kilns import Route
    from tracker.domain.materials import Glaze
    from tracker.domain.pieces import Ware

MOST_GLAZES = 4
"""So many other glazes are named for one that stands in the way; the glazing page shows the whole shelf."""


class Change(StrEnum):
    """What a suggestion changes."""

    PREPARE = "prepare"
    ROUTE = "route"
    GLAZE = "glaze"
    USE = "use"


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """One change and what it opens: `ware` is the piece once it is made, for which `route` is then clear.

    `glaze` names the one that is to go on in place of another, where that is the change.
    """

    change: Change
    says: str
    ware: Ware
    route: Route
    glaze: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Preparation:
    """Something done to a piece that leaves its glaze and its use alone; `facts` are what is then known of it."""

    words: str
    facts: Mapping[str, Any]


def suggestions(ware: Ware, route: Route, catalogue: Catalogue) -> tuple[Suggestion, ...]:
    """Every change of one kind after which the rules have nothing against it, the least work first.

    Nothing is suggested for a way that is clear already, nor while a question on the piece is open: its answer comes
    first. Each suggestion was judged like any piece, in the kilns of this studio.
    """
    if ware.has_question or _is_clear(ware, route, catalogue):
        return ()
    return (
        *_prepared(ware, route, catalogue),
        *_elsewhere(ware, route, catalogue),
        *_reglazed(ware, route, catalogue),
        *_decorative(ware, route, catalogue),
    )


def _is_clear(ware: Ware, route: Route, catalogue: Catalogue) -> bool:
    return catalogue.judge(ware, route).word == "clear"


def _rules_against(ware: Ware, route: Route, catalogue: Catalogue) -> set[str]:
    """The names of the rules that have something against this ware on this route."""
    return {one.rule for one in catalogue.judge(ware, route).findings if one.level is not Level.NOTE}


def _goes_to(route: Route) -> str:
    return f"it could go to {route.title}, {route.cone.label}"


# ---- preparing -------------------------------------------------------------------------------------------------


def _prepared(ware: Ware, route: Route, catalogue: Catalogue) -> Iterator[Suggestion]:
    """The fewest preparations that open the way: one of them, or where one is not enough two or three."""
    possible = [
        one for one in _preparations(catalogue) if any(getattr(ware, name) != fact for name, fact in one.facts.items())
    ]
    for many in range(1, 4):
        found = [
            Suggestion(
                change=Change.PREPARE,
                says=f"With {listed(one.words for one in chosen)}, {_goes_to(route)}.",
                ware=after,
                route=route,
            )
            for chosen in combinations(possible, many)
            if (after := _after(ware, chosen)) and _is_clear(after, route, catalogue)
        ]
        if found:
            yield from found
            return


def _preparations(catalogue: Catalogue) -> tuple[_Preparation, ...]:
    practice = catalogue.practice
    hours = practice.glaze_dries_hours
    return (
        _Preparation(words=f"its foot wiped clear {practice.foot_clear_mm} mm up the side", facts={"foot": Foot.WIPED}),
        _Preparation(words="a stilt beneath", facts={"foot": Foot.STILTED}),
        _Preparation(words="a catch plate beneath", facts={"catch_plate": True}),
        _Preparation(words=f"its glaze left to dry for {hours} hours", facts={"glazed_hours": float(hours)}),
        _Preparation(words="its clay bone dry", facts={"dry": True}),
        _Preparation(words="a hole for the steam", facts={"vented": True}),
    )


def _after(ware: Ware, chosen: tuple[_Preparation, ...]) -> Ware | None:
    """The piece once all of them are done; None where two of them say different things of the same fact."""
    facts: dict[str, Any] = {}
    for one in chosen:
        if facts.keys() & one.facts.keys():
            return None
        facts |= one.facts
    return replace(ware, **facts)


# ---- another route, another glaze, another use -----------------------------------------------------------------


def _elsewhere(ware: Ware, route: Route, catalogue: Catalogue) -> Iterator[Suggestion]:
    """The other ways of firing after the bisque that are clear for the piece as it is; bare ware goes unglazed ones."""
    if route.kind is RouteKind.BISQUE:
        return
    for other in catalogue.routes_by_heat:
        fits = other.kind is not RouteKind.BISQUE and (other.takes_glaze or not ware.layers)
        if other.name != route.name and fits and _is_clear(ware, other, catalogue):
            says = f"As it is, {_goes_to(other)}."
            yield Suggestion(change=Change.ROUTE, says=says, ware=ware, route=other)


def _reglazed(ware: Ware, route: Route, catalogue: Catalogue) -> Iterator[Suggestion]:
    """Another coat of the same sort for one that it wears; where no single one is enough, one glaze for all of them."""
    worn = list(dict.fromkeys(layer.glaze for layer in ware.layers))
    single = [found for one in worn for found in _in_place_of((one,), ware, route, catalogue)]
    melting = tuple(one for one in worn if one.coat is Coat.GLAZE)
    if single or len(melting) < 2:  # noqa: PLR2004 -- one glaze was tried alone already
        yield from single
        return
    yield from _in_place_of(melting, ware, route, catalogue)


def _in_place_of(worn: tuple[Glaze, ...], ware: Ware, route: Route, catalogue: Catalogue) -> Iterator[Suggestion]:
    """The first few glazes of the shelf with which, in place of those `worn`, the piece goes this way."""
    # Another layer never mends a verdict, so where the piece is not clear without these none in their place will do.
    without = replace(ware, layers=tuple(layer for layer in ware.layers if layer.glaze not in worn))
    if not _is_clear(_dried(without, route, catalogue), route, catalogue):
        return
    shelf = [one for one in catalogue.glazes.values() if _may_replace(one, worn, ware, route)]
    shelf.sort(key=lambda one: (list(FoodStanding).index(one.food or FoodStanding.UNTESTED), one.name))
    dried = f", once dry for {catalogue.practice.glaze_dries_hours} hours" if route.is_outdoors else ""
    many = 0
    for other in shelf:
        after = _dried(_with_instead(ware, worn, other), route, catalogue)
        if _is_clear(after, route, catalogue):
            names = listed(one.name for one in worn)
            says = f"With {other.name} in place of {names}, {_goes_to(route)}{dried}."
            yield Suggestion(change=Change.GLAZE, says=says, ware=after, route=route, glaze=other.name)
            many += 1
            if many == MOST_GLAZES:
                return


def _may_replace(other: Glaze, worn: tuple[Glaze, ...], ware: Ware, route: Route) -> bool:
    """Whether a glaze is worth judging: on the shelf, of the same sort, not on the piece, and at home in that heat."""
    return (
        not other.retired
        and other.coat is worn[0].coat
        and other.name not in {layer.glaze.name for layer in ware.layers}
        and other.cone_low <= route.cone <= other.cone_high
    )


def _with_instead(ware: Ware, worn: tuple[Glaze, ...], other: Glaze) -> Ware:
    """The piece with `other` wherever one of `worn` is now; what then lies on itself in one zone is one coat."""
    layers = (Layer(other, layer.zone) if layer.glaze in worn else layer for layer in ware.layers)
    return replace(ware, layers=tuple(dict.fromkeys(layers)))


def _dried(ware: Ware, route: Route, catalogue: Catalogue) -> Ware:
    """The piece once a fresh coat has dried; indoors nobody waits for that."""
    return replace(ware, glazed_hours=float(catalogue.practice.glaze_dries_hours)) if route.is_outdoors else ware


def _decorative(ware: Ware, route: Route, catalogue: Catalogue) -> Iterator[Suggestion]:
    after = replace(ware, use=Use.DECORATIVE)
    if ware.use is Use.FOOD and _is_clear(after, route, catalogue):
        says = f"Made decorative, not for food, {_goes_to(route)}."
        yield Suggestion(change=Change.USE, says=says, ware=after, route=route)
