"""How one catalogue becomes another: what is different between them, and what must not be done to one in use.

Nothing is ever taken out of a catalogue, since pieces wear it and firings point to it: it is retired. A name stays.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from tracker.domain.findings import listed
from tracker.domain.studio.catalog import Catalogue, Studio
from tracker.domain.studio.kilns import Kiln, Route, RouteKind
from tracker.domain.studio.leach_tests import unshown
from tracker.domain.studio.materials import Clay, FoodStanding, Glaze

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from tracker.domain.labels.stock import LabelStock

Thing = Clay | Glaze | Route | Kiln

SHELVES: Mapping[str, str] = {"clay": "clays", "glaze": "glazes", "route": "routes", "kiln": "kilns"}
"""What each sort of thing is called, and the part of the catalogue that holds it."""

WORDS: Mapping[type, str] = {Clay: "clay", Glaze: "glaze", Route: "route", Kiln: "kiln"}
"""The sort of each thing."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that is different: its sort and name, and whether it is added, changed, retired or back in use."""

    sort: str
    name: str
    how: str

    @property
    def says(self) -> str:
        """The difference in a few words: "glaze Plum Gloss changed"."""
        return f"{self.sort} {self.name} {self.how}"


def with_thing(studio: Studio, thing: Thing) -> Studio:
    """The studio with one thing of its catalogue added or, where its name is known, made anew."""
    part = SHELVES[WORDS[type(thing)]]
    changed: dict[str, Any] = {part: {**getattr(studio.catalogue, part), thing.name: thing}}
    return replace(studio, catalogue=replace(studio.catalogue, **changed))


def merged(before: Studio, wanted: Studio) -> Studio:
    """The studio as a file wants it; what the file leaves out is retired, not forgotten."""
    parts: dict[str, Any] = {
        part: _merged(getattr(before.catalogue, part), getattr(wanted.catalogue, part)) for part in SHELVES.values()
    }
    return replace(wanted, catalogue=replace(wanted.catalogue, **parts))


def _merged(before: Mapping[str, Any], wanted: Mapping[str, Any]) -> dict[str, Any]:
    left_out = {name: replace(one, retired=True) for name, one in before.items() if name not in wanted}
    return {**wanted, **left_out}


def differences(before: Studio, after: Studio) -> tuple[Difference, ...]:
    """Everything that is different, in the order clays, glazes, routes, kilns, and then the studio's own settings."""
    found = [one for sort, part in SHELVES.items() for one in _differences(sort, part, before, after)]
    if before.catalogue.practice != after.catalogue.practice:
        found.append(Difference("the studio's", "practice", "changed"))
    if any(getattr(before, fact) != getattr(after, fact) for fact in ("name", "timezone", "address")):
        found.append(Difference("the studio's", "name, time zone or address", "changed"))
    if before.line != after.line:
        found.append(Difference("the studio's", "own line", "changed"))
    found.extend(_stock_differences(before.labels, after.labels))
    return tuple(found)


def _stock_differences(olds: Mapping[str, LabelStock], news: Mapping[str, LabelStock]) -> Iterator[Difference]:
    """Stock is no part of any piece's story, so what is not wanted any more goes."""
    for name in sorted({*olds, *news}):
        if olds.get(name) != news.get(name):
            how = "added" if name not in olds else "taken away" if name not in news else "changed"
            yield Difference("label stock", name, how)


def _differences(sort: str, part: str, before: Studio, after: Studio) -> Iterator[Difference]:
    olds = getattr(before.catalogue, part)
    for name, new in getattr(after.catalogue, part).items():
        old = olds.get(name)
        if old is None:
            yield Difference(sort, name, "added")
        elif old.retired != new.retired:
            yield Difference(sort, name, "retired" if new.retired else "back in use")
        elif old != new:
            yield Difference(sort, name, "changed")


def problems_of(before: Catalogue, after: Catalogue) -> tuple[str, ...]:
    """Every reason why `after` cannot take the place of `before`, one sentence each."""
    return (
        *_taken_names(before, after),
        *_routes_astray(before, after),
        *_kilns_astray(before, after),
        *_untested(before, after),
        *_waxed_over(before, after),
    )


def _taken_names(before: Catalogue, after: Catalogue) -> Iterator[str]:
    for sort, part in SHELVES.items():
        taken = {name.casefold(): name for name in getattr(before, part)}
        for name in getattr(after, part):
            known = taken.get(name.casefold(), name)
            if known != name:
                yield f"There is a {sort} called “{known}” already; names that differ only in their capitals are one."


def _routes_astray(before: Catalogue, after: Catalogue) -> Iterator[str]:
    for name, route in after.routes.items():
        old = before.routes.get(name)
        if old is not None and old.kind is not route.kind:
            yield (
                f"{route.title} stays a way of firing of kind {old.kind}: "
                f"retire it and add another for kind {route.kind}."
            )
    if not any(route.kind is RouteKind.BISQUE and not route.retired for route in after.routes.values()):
        yield "The bisque stays: every piece begins there."
    for name, route in after.routes.items():
        if name in before.routes and not route.retired and _fires(before, name) and not _fires(after, name):
            last = listed(_fires(before, name))
            yield f"{last} is the last kiln that fires {route.title}: retire that way of firing first."


def _fires(catalogue: Catalogue, route: str) -> list[str]:
    return [kiln.name for kiln in catalogue.kilns.values() if route in kiln.routes and not kiln.retired]


def _kilns_astray(before: Catalogue, after: Catalogue) -> Iterator[str]:
    for name, kiln in after.kilns.items():
        if kiln == before.kilns.get(name):
            continue
        if not kiln.routes:
            yield f"{name} needs at least one way of firing."
        for route in sorted(kiln.routes):
            if route not in after.routes:
                yield f"{name} cannot fire {route}: there is no such way of firing."
            elif after.routes[route].is_outdoors and not kiln.outdoor:
                yield f"{after.routes[route].title} is fired outdoors, and {name} stands indoors."


def _waxed_over(before: Catalogue, after: Catalogue) -> Iterator[str]:
    """Wax stays wax: what pieces wear would else appear on them, or vanish."""
    for name, glaze in after.glazes.items():
        old = before.glazes.get(name)
        if old is not None and old.burns_away != glaze.burns_away:
            yield f"{name} stays {old.coat}: retire it, and add the other under another name."


def _untested(before: Catalogue, after: Catalogue) -> Iterator[str]:
    """A glaze that is newly entered as tested has tests that passed; a test that fails is entered at any time."""
    for name, glaze in after.glazes.items():
        old = before.glazes.get(name)
        if glaze.food is not FoodStanding.TESTED or (old is not None and old.food is FoodStanding.TESTED):
            continue
        if missing := unshown(glaze.tests, after.practice.regime):
            metals = " or ".join(metal.in_words for metal in missing)
            yield (
                f"{name} is entered as tested, but no test on file has passed for {metals} by "
                f"{after.practice.regime.in_words}, or one failed: enter the test, or say untested."
            )
