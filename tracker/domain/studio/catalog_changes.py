"""How one catalog becomes another: what is different between them, and what must not be done to one in use.

Nothing is ever taken out of a catalog, since pieces use it and firings point to it: it is retired. A name stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from tracker.domain.labels.stock import LabelStock
from tracker.domain.message import Message, _
from tracker.domain.studio.catalog import Catalog, Studio, ThingKind
from tracker.domain.studio.changed_facts import changed_facts, changed_settings
from tracker.domain.studio.changed_tests import changed_tests
from tracker.domain.studio.kilns import Kiln, Route, RouteKind
from tracker.domain.studio.leach_evidence import never_shown
from tracker.domain.studio.materials import Clay, FoodStanding, Glaze

Thing = Clay | Glaze | Route | Kiln

SHELVES: Mapping[ThingKind, str] = {
    ThingKind.CLAY: "clays",
    ThingKind.GLAZE: "glazes",
    ThingKind.ROUTE: "routes",
    ThingKind.KILN: "kilns",
}
"""Each kind of thing, and the part of the catalog that holds it."""

KINDS: Mapping[type, ThingKind] = {
    Clay: ThingKind.CLAY,
    Glaze: ThingKind.GLAZE,
    Route: ThingKind.ROUTE,
    Kiln: ThingKind.KILN,
}
"""The kind of each thing."""


def with_thing(studio: Studio, thing: Thing) -> Studio:
    """The studio with one thing of its catalog added or, where its name is known, made anew."""
    part = SHELVES[KINDS[type(thing)]]
    changed: dict[str, Any] = {part: {**getattr(studio.catalog, part), thing.name: thing}}
    return replace(studio, catalog=replace(studio.catalog, **changed))


def merged(before: Studio, wanted: Studio) -> Studio:
    """The studio as a file wants it; what the file leaves out is retired, not forgotten."""
    parts: dict[str, Any] = {
        part: _merged(getattr(before.catalog, part), getattr(wanted.catalog, part)) for part in SHELVES.values()
    }
    return replace(wanted, catalog=replace(wanted.catalog, **parts))


def _merged(before: Mapping[str, Any], wanted: Mapping[str, Any]) -> dict[str, Any]:
    left_out = {name: replace(one, retired=True) for name, one in before.items() if name not in wanted}
    return {**wanted, **left_out}


def differences(before: Studio, after: Studio) -> tuple[Message, ...]:
    """Everything that is different, in the order clays, glazes, routes, kilns, and then the studio's own settings."""
    found = [one for kind, part in SHELVES.items() for one in _differences(kind, part, before, after)]
    if before.catalog.practice != after.catalog.practice:
        facts = changed_settings(before.catalog.practice, after.catalog.practice)
        found.append(Message("settings-changed", _("studio settings: {facts}"), facts=facts))
    if any(getattr(before, fact) != getattr(after, fact) for fact in ("name", "timezone", "address")):
        found.append(Message("studio-changed", _("the studio's name, time zone or address changed")))
    if before.line != after.line:
        found.append(Message("own-line-changed", _("the studio's footer line changed")))
    if any(getattr(before, fact) != getattr(after, fact) for fact in ("units", "paper", "currency")):
        found.append(Message("units-changed", _("the studio's units, paper or currency changed")))
    found.extend(_stock_differences(before.labels, after.labels))
    return tuple(found)


def _stock_differences(olds: Mapping[str, LabelStock], news: Mapping[str, LabelStock]) -> Iterator[Message]:
    """Stock is no part of any piece's story, so what is not wanted anymore goes."""
    for name in sorted({*olds, *news}):
        if name not in olds:
            yield Message("stock-added", _("label stock {name} added"), name=name)
        elif name not in news:
            yield Message("stock-taken-away", _("label stock {name} deleted"), name=name)
        elif olds[name] != news[name]:
            yield Message("stock-changed", _("label stock {name} changed"), name=name)


def _differences(kind: ThingKind, part: str, before: Studio, after: Studio) -> Iterator[Message]:
    olds = getattr(before.catalog, part)
    for name, new in getattr(after.catalog, part).items():
        old = olds.get(name)
        if old is None:
            yield Message("thing-added", _("{kind} {name} added"), kind=kind, name=name)
        elif new.retired and not old.retired:
            yield Message("thing-retired", _("{kind} {name} retired"), kind=kind, name=name)
        elif old.retired and not new.retired:
            yield Message("thing-back", _("{kind} {name} back in use"), kind=kind, name=name)
            if changed_facts(old, new) or changed_tests(old, new):
                yield _changed(kind, old, new)
        elif old != new:
            yield _changed(kind, old, new)


def _changed(kind: ThingKind, old: Thing, new: Thing) -> Message:
    if facts := (*changed_facts(old, new), *changed_tests(old, new)):
        words = _("{kind} {name}: {facts}")
        return Message("thing-changed-so", words, kind=kind, name=new.name, facts=facts)
    return Message("thing-changed", _("{kind} {name} changed"), kind=kind, name=new.name)


def problems_of(before: Catalog, after: Catalog) -> tuple[Message, ...]:
    """Every reason why `after` cannot take the place of `before`."""
    return (
        *_taken_names(before, after),
        *_routes_astray(before, after),
        *_kilns_astray(before, after),
        *_untested(before, after),
        *_waxed_over(before, after),
    )


def _taken_names(before: Catalog, after: Catalog) -> Iterator[Message]:
    words = _("There is already a {kind} called “{name}”. Capital letters don't make a name different.")
    for kind, part in SHELVES.items():
        taken = {name.casefold(): name for name in getattr(before, part)}
        for name in getattr(after, part):
            known = taken.get(name.casefold(), name)
            if known != name:
                yield Message("name-in-other-capitals", words, kind=kind, name=known)


def _routes_astray(before: Catalog, after: Catalog) -> Iterator[Message]:
    words = _("{firing} can't change from {old} to {new}. Retire it and add a new firing type.")
    for name, route in after.routes.items():
        old = before.routes.get(name)
        if old is not None and old.kind is not route.kind:
            yield Message("firing-kind-stays", words, firing=route.title, old=old.kind, new=route.kind)
    if not any(route.kind is RouteKind.BISQUE and not route.retired for route in after.routes.values()):
        yield Message("bisque-stays", _("The bisque firing must stay: every piece needs it."))
    last = _("{kilns} is the last kiln for {firing}. Retire {firing} first.")
    for name, route in after.routes.items():
        if name in before.routes and not route.retired and _fires(before, name) and not _fires(after, name):
            yield Message("last-kiln", last, kilns=_fires(before, name), firing=route.title)


def _fires(catalog: Catalog, route: str) -> tuple[str, ...]:
    return tuple(kiln.name for kiln in catalog.kilns.values() if route in kiln.routes and not kiln.retired)


def _kilns_astray(before: Catalog, after: Catalog) -> Iterator[Message]:
    for name, kiln in after.kilns.items():
        if kiln == before.kilns.get(name):
            continue
        if not kiln.routes:
            yield Message("kiln-fires-nothing", _("{kiln} needs at least one firing type."), kiln=name)
        for route in sorted(kiln.routes):
            if route not in after.routes:
                words = _("{kiln} can't fire {firing}: there's no such firing type.")
                yield Message("kiln-fires-unknown", words, kiln=name, firing=route)
            elif after.routes[route].needs_yard and not kiln.outdoor:
                words = _("{firing} is fired outdoors, and {kiln} is indoors.")
                yield Message("kiln-indoors", words, firing=after.routes[route].title, kiln=name)


def _waxed_over(before: Catalog, after: Catalog) -> Iterator[Message]:
    """Wax stays wax: what pieces wear would else appear on them, or vanish."""
    for name, glaze in after.glazes.items():
        old = before.glazes.get(name)
        if old is not None and old.burns_away != glaze.burns_away:
            words = _("{glaze} can't change from {coat}. Retire it, and add a new one with another name.")
            yield Message("coat-stays", words, glaze=name, coat=old.coat)


def _untested(before: Catalog, after: Catalog) -> Iterator[Message]:
    """A glaze that is newly entered as tested has tests that passed; a test that fails is entered at any time."""
    words = _(
        "{glaze} is entered as tested. That needs a passed test for Pb and one for Cd, of the same cone, atmosphere, "
        "clay and firing, by {regime}. Missing: {metals}. Add them, or enter it as untested."
    )
    for name, glaze in after.glazes.items():
        old = before.glazes.get(name)
        if glaze.food is not FoodStanding.TESTED or (old is not None and old.food is FoodStanding.TESTED):
            continue
        if missing := never_shown(glaze.tests, after.practice.regime):
            yield Message("not-shown-tested", words, glaze=name, metals=tuple(missing), regime=after.practice.regime)
