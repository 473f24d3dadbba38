"""What change would make a closed way clear: another route, glaze or use, or a little preparing, each judged first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import Enum, auto
from itertools import combinations, islice
from typing import Any

from tracker.domain import quantities
from tracker.domain.findings import Level
from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import Foot, Use, Ware
from tracker.domain.quantities import Quantity, mm
from tracker.domain.rules.engine import is_clear, judge_in, may_be_clear
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.materials import Coat, FoodStanding, Glaze, Layer

MOST_GLAZES = 4
"""So many other glazes are named for one that stands in the way; the glazing page shows the whole shelf."""

MOST_TOGETHER = 3
"""So many pairs of changes are named where no single change is enough."""

_MADE_DECORATIVE = Message("made-decorative", _("made decorative, not for food"))
_AS_IT_IS = Message("as-it-is", _("as it is"))


class Change(Enum):
    """What a suggestion changes."""

    PREPARE = auto()
    ROUTE = auto()
    GLAZE = auto()
    USE = auto()
    TOGETHER = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """One change, or two together, and what that opens: `ware` is the piece after it, for which `route` is clear.

    `how` says what is changed, `opens` what that opens. `glaze` names the one that is to go on in place of another,
    where that is the change.
    """

    change: Change
    how: tuple[Message, ...]
    opens: Message
    ware: Ware
    route: Route
    glaze: str = ""

    @property
    def message(self) -> Message:
        """The change and what it opens: "As it is, it can go in Low-fire, cone 04, 1063 °C."."""
        return Message("suggestion", _("{how:capital}, {opens}."), how=self.how, opens=self.opens)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Preparation:
    """Something done to a piece that leaves its glaze and its use alone; `facts` are what is then known of it."""

    message: Message
    facts: Mapping[str, Any]

    def is_new_to(self, ware: Ware) -> bool:
        """Whether it has not been done to this piece already."""
        return any(getattr(ware, name) != fact for name, fact in self.facts.items())


def suggestions(ware: Ware, route: Route, catalog: Catalog) -> tuple[Suggestion, ...]:
    """Every change of one kind after which the rules have nothing against it, the least work first.

    Where no single change is enough, two together are looked for. Nothing is suggested for a way that is clear
    already, nor while a question on the piece is open: its answer comes first. Each suggestion was judged like any
    piece, in the kilns of this studio.
    """
    if ware.has_question or is_clear(catalog, ware, route):
        return ()
    single = (
        *_prepared(ware, route, catalog),
        *_elsewhere(ware, route, catalog),
        *_reglazed(ware, route, catalog),
        *_decorative(ware, route, catalog),
    )
    return single or tuple(islice(_together(ware, route, catalog), MOST_TOGETHER))


def _goes_to(route: Route, *, dry: Quantity | None = None) -> Message:
    """That it could go this way; `dry` is for how long a fresh coat dries first."""
    # What is pulled hot is pulled by its pyrometer: its cone would be read as that heat.
    words = _("{route}") if route.is_pulled_hot else _("{route}, {cone}")
    where = Message("firing-and-cone", words, route=route.title, cone=None if route.is_pulled_hot else route.cone)
    if dry is None:
        return Message("could-go", _("it can go in {firing}"), firing=where)
    return Message("could-go-dry", _("it can go in {firing}, once dry for {hours}"), firing=where, hours=dry)


# ---- preparing -------------------------------------------------------------------------------------------------


def _prepared(ware: Ware, route: Route, catalog: Catalog) -> Iterator[Suggestion]:
    """The fewest preparations that open the way: one of them, or where one is not enough two or three."""
    possible = _helpful(ware, route, catalog)
    for many in range(1, 4):
        found = [
            Suggestion(
                change=Change.PREPARE,
                how=(Message("prepared", _("with {what}"), what=tuple(one.message for one in chosen)),),
                opens=_goes_to(route),
                ware=after,
                route=route,
            )
            for chosen in combinations(possible, many)
            if (after := _after(ware, chosen)) and is_clear(catalog, after, route)
        ]
        if found:
            yield from found
            return


def _helpful(ware: Ware, route: Route, catalog: Catalog) -> list[_Preparation]:
    """The preparations that each put an end to something, where together they could put an end to everything."""
    # No preparing changes what a piece is made of, what it wears or what it is for.
    if not may_be_clear(catalog, ware, route):
        return []
    against = _rules_against(ware, route, catalog)
    helpful, settled = [], set()
    for one in _preparations(ware, catalog):
        ended = against - _rules_against(replace(ware, **one.facts), route, catalog) if one.is_new_to(ware) else set()
        if ended:
            helpful.append(one)
            settled |= ended
    return helpful if settled >= against else []


def _rules_against(ware: Ware, route: Route, catalog: Catalog) -> set[str]:
    """The names of the rules that have something against this ware on this route."""
    return {one.rule for one in judge_in(catalog, ware, route).findings if one.level is not Level.NOTE}


def _preparations(ware: Ware, catalog: Catalog) -> tuple[_Preparation, ...]:
    """What can be done to it; only a foot with raw glaze above it can be wiped."""
    practice = catalog.practice
    hours = practice.glaze_dries_hours
    clear = Message("foot-wiped", _("its foot wiped {clear} up the side"), clear=mm(practice.foot_clear_mm))
    dried = Message("glaze-dried", _("{hours} for the glaze to dry"), hours=quantities.hours(hours))
    is_fired = all(layer.fired_to is not None for layer in ware.layers) and ware.has_glaze
    return (
        *(() if is_fired else (_Preparation(message=clear, facts={"foot": Foot.WIPED}),)),
        _Preparation(message=_STILT, facts={"foot": Foot.STILTED}),
        _Preparation(message=_COOKIE, facts={"catch_plate": True}),
        _Preparation(message=dried, facts={"glazed_hours": float(hours)}),
        _Preparation(message=_BONE_DRY, facts={"dry": True}),
        _Preparation(message=_VENTED, facts={"vented": True}),
    )


_STILT = Message("stilt", _("a stilt under it"))
_COOKIE = Message("cookie", _("a kiln cookie under it"))
_BONE_DRY = Message("bone-dry", _("bone-dry clay"))
_VENTED = Message("vented", _("a hole for the steam"))


def _after(ware: Ware, chosen: tuple[_Preparation, ...]) -> Ware | None:
    """The piece once all of them are done; None where two of them say different things of the same fact."""
    facts: dict[str, Any] = {}
    for one in chosen:
        if facts.keys() & one.facts.keys():
            return None
        facts |= one.facts
    return replace(ware, **facts)


# ---- another route, another glaze, another use -----------------------------------------------------------------


def _elsewhere(ware: Ware, route: Route, catalog: Catalog) -> Iterator[Suggestion]:
    """The other ways of firing after the bisque that are clear for the piece as it is; bare ware goes unglazed ones."""
    if route.kind is RouteKind.BISQUE:
        return
    for other in catalog.routes_by_heat:
        fits = ware.may_come_to(other) and (other.takes_glaze or not ware.has_glaze)
        if other.name != route.name and fits and is_clear(catalog, ware, other):
            yield Suggestion(change=Change.ROUTE, how=(_AS_IT_IS,), opens=_goes_to(other), ware=ware, route=other)


def _reglazed(ware: Ware, route: Route, catalog: Catalog) -> Iterator[Suggestion]:
    """Another coat of the same sort for a raw one; where no single one is enough, one glaze for all of them.

    What was fired on stays.
    """
    fired = {layer.glaze for layer in ware.layers if layer.fired_to is not None}
    raw = dict.fromkeys(layer.glaze for layer in ware.layers if not layer.glaze.burns_away)
    worn = [glaze for glaze in raw if glaze not in fired]
    single = [found for one in worn for found in _in_place_of((one,), ware, route, catalog)]
    melting = tuple(one for one in worn if one.coat is Coat.GLAZE)
    if single or len(melting) < 2:  # noqa: PLR2004 -- one glaze was tried alone already
        yield from single
        return
    yield from _in_place_of(melting, ware, route, catalog)


def _in_place_of(worn: tuple[Glaze, ...], ware: Ware, route: Route, catalog: Catalog) -> Iterator[Suggestion]:
    """The first few glazes of the shelf with which, in place of those `worn`, the piece goes this way."""
    # Another layer never mends a verdict, so where the piece is not clear without these none in their place will do.
    left = tuple(layer for layer in ware.layers if layer.glaze not in worn)
    if not may_be_clear(catalog, replace(ware, layers=left), route):
        return
    dry = _dried(ware, route, catalog)
    if is_clear(catalog, dry, route):
        # All it has to do is dry: another glaze would have to dry as long.
        return
    if not is_clear(catalog, replace(dry, layers=left), route):
        return
    shelf = [one for one in catalog.glazes.values() if _may_replace(one, worn, ware, route)]
    shelf.sort(key=lambda one: (list(FoodStanding).index(one.food or FoodStanding.UNTESTED), one.name))
    opens = _goes_to(route, dry=quantities.hours(catalog.practice.glaze_dries_hours) if route.is_pulled_hot else None)
    names = tuple(dict.fromkeys(one.name for one in worn))
    many = 0
    for other in shelf:
        layers = _with_instead(ware, worn, other)
        if not may_be_clear(catalog, replace(ware, layers=layers), route):
            continue
        after = replace(dry, layers=layers)
        if is_clear(catalog, after, route):
            how = Message("glaze-instead", _("with {glaze} instead of {worn}"), glaze=other.name, worn=names)
            yield Suggestion(change=Change.GLAZE, how=(how,), opens=opens, ware=after, route=route, glaze=other.name)
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


def _with_instead(ware: Ware, worn: tuple[Glaze, ...], other: Glaze) -> tuple[Layer, ...]:
    """Its layers with `other` wherever one of `worn` is now; what then lies on itself in one zone is one coat."""
    layers = (Layer(other, layer.zone) if layer.glaze in worn else layer for layer in ware.layers)
    return tuple(dict.fromkeys(layers))


def _dried(ware: Ware, route: Route, catalog: Catalog) -> Ware:
    """The piece once a fresh coat has dried; indoors nobody waits for that."""
    return replace(ware, glazed_hours=float(catalog.practice.glaze_dries_hours)) if route.is_pulled_hot else ware


def _decorative(ware: Ware, route: Route, catalog: Catalog) -> Iterator[Suggestion]:
    if ware.use is not Use.FOOD:
        return
    after = replace(ware, use=Use.DECORATIVE)
    if is_clear(catalog, after, route):
        yield Suggestion(change=Change.USE, how=(_MADE_DECORATIVE,), opens=_goes_to(route), ware=after, route=route)


# ---- two changes together --------------------------------------------------------------------------------------


def _together(ware: Ware, route: Route, catalog: Catalog) -> Iterator[Suggestion]:
    """Two changes that open a way, where neither alone is enough: another use or a preparation, then one more."""
    if ware.use is Use.FOOD:
        decorative = replace(ware, use=Use.DECORATIVE)
        for look in (_prepared, _elsewhere, _reglazed):
            yield from (_first(_MADE_DECORATIVE, one) for one in look(decorative, route, catalog))
    if route.kind is RouteKind.BISQUE:
        return
    for other in catalog.routes_by_heat:
        fits = ware.may_come_to(other) and (other.takes_glaze or not ware.has_glaze)
        if other.name != route.name and fits:
            yield from (replace(one, change=Change.TOGETHER) for one in _prepared(ware, other, catalog))
    against = _rules_against(ware, route, catalog)
    for one in _preparations(ware, catalog):
        after = replace(ware, **one.facts)
        if one.is_new_to(ware) and against - _rules_against(after, route, catalog):
            done = Message("prepared", _("with {what}"), what=(one.message,))
            yield from (_first(done, then) for then in _reglazed(after, route, catalog))


def _first(done: Message, then: Suggestion) -> Suggestion:
    """The suggestion `then` for a piece with which something else was done first."""
    how = (done, *(one for one in then.how if one != _AS_IT_IS))
    return replace(then, change=Change.TOGETHER, how=how)
