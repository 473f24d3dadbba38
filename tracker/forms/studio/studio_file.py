"""The studio file: one readable TOML file with all that a studio works with, read whole or not at all."""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING, Any

from tracker.domain.refusals import Unusable
from tracker.domain.studio.catalog import Catalogue, Studio
from tracker.domain.studio.catalog_changes import SHELVES
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.leach_tests import unshown
from tracker.domain.studio.materials import FoodStanding
from tracker.domain.studio.settings import COMMON_PRACTICE, Practice
from tracker.forms.entity import as_tables, shape
from tracker.forms.fields import FILE
from tracker.forms.labels.label_schema import LabelSchema
from tracker.forms.plain_values import Values, Wrong, kind_of, not_a_key, shown
from tracker.forms.studio.kiln_schemas import KilnSchema, RouteSchema
from tracker.forms.studio.material_schemas import ClaySchema, GlazeSchema
from tracker.forms.studio.settings_schema import PracticeSchema, StudioSchema
from tracker.forms.studio.toml_lines import Lines

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from tracker.domain.studio.kilns import Kiln, Route
    from tracker.domain.studio.materials import Glaze
    from tracker.forms.entity import EntitySchema

LONGEST_FILE = 2_000_000
"""Characters in a studio file; ten thousand glazes take less."""

CATALOGUE: Mapping[str, type[EntitySchema[Any]]] = {
    "clay": ClaySchema,
    "glaze": GlazeSchema,
    "route": RouteSchema,
    "kiln": KilnSchema,
}
"""What each sort of thing in the catalogue is told by."""

LISTS: tuple[type[EntitySchema[Any]], ...] = (*CATALOGUE.values(), LabelSchema)
"""What there are several of, each a table in a list."""

SECTIONS: tuple[type[EntitySchema[Any]], ...] = (StudioSchema, PracticeSchema)
"""What there is one of."""

_MAY_BE_NONE = (GlazeSchema, LabelSchema)
"""What a studio can do without at first."""

_KNOWN = tuple(kind.word for kind in (*SECTIONS, *LISTS))


def read_studio(text: str) -> Studio:
    """The studio that `text` describes; `Unusable` with every problem in it, each with its line number."""
    raw = _parsed(text)
    reading = _Reading(raw)
    studio = reading.studio()
    if reading.problems or studio is None:
        lines = Lines(text)
        found = [
            (lines.of((*wrong.path, *((wrong.key,) if wrong.key else ()))), _with_its_place(wrong, raw))
            for wrong in reading.problems
        ]
        raise Unusable(
            [f"line {line}: {says}" for line, says in sorted(found)],
            "Put these right in the file and try again; nothing has been changed.",
        )
    return studio


def _parsed(text: str) -> Values:
    text = text.removeprefix("\ufeff")
    if len(text) > LONGEST_FILE:
        raise Unusable([f"line 1: the file is longer than {LONGEST_FILE:,} characters."])
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        place = re.fullmatch(r"(.*) \(at (?:line (\d+), column \d+|end of document)\)", str(fault), re.DOTALL)
        says, line = (place[1], place[2]) if place else (str(fault), None)
        raise Unusable([f"line {line or text.count(chr(10)) + 1}: this is not TOML: {says}."]) from None
    except RecursionError:
        raise Unusable(["line 1: the file is nested too deeply."]) from None
    except ValueError:
        # Python refuses to read whole numbers of more than 4,300 digits.
        raise Unusable(["line 1: the file holds a number with too many digits."]) from None


def _with_its_place(wrong: Wrong, raw: Values) -> str:
    """What is wrong, after the thing it is about and where in it: `glaze "Fog", test 1, metal: …`."""
    match wrong.path:
        case (str(word), int(place), *inside):
            name = raw[word][place].get("name") if isinstance(raw[word][place], dict) else None
            who = f"{word} {shown(name) if isinstance(name, str) else place + 1}"
        case (str(word), *inside) if isinstance(raw.get(word), dict):
            who = f"[{word}]"
        case _:
            return wrong.says
    for step in inside:
        who += f" {step + 1}" if isinstance(step, int) else f", {step}"
    return f"{who}: {wrong.says}"


class _Reading:
    """One reading of one file: what stood in it, and every problem found so far."""

    def __init__(self, raw: Values) -> None:
        self._raw = raw
        self.problems: list[Wrong] = []

    def studio(self) -> Studio | None:
        """The studio, or None when it cannot even be made; either way the problems are with the findings."""
        self.problems += (Wrong(not_a_key(key, _KNOWN), key=key) for key in self._raw if key not in _KNOWN)
        if "studio" not in self._raw:
            self.problems.append(Wrong("the file needs a section [studio] with name, timezone and address."))
        about = self._section(StudioSchema)
        practice = self._section(PracticeSchema) if "practice" in self._raw else COMMON_PRACTICE
        clays, glazes, routes, kilns, labels = map(self._listed, LISTS)
        self._look_at_routes(routes)
        self._look_at_kilns(kilns, routes)
        self._look_at_evidence(glazes, practice or COMMON_PRACTICE)
        if about is None or practice is None:
            return None
        named = zip(SHELVES.values(), map(_by_name, (clays, glazes, routes, kilns)), strict=True)
        return Studio(**about, catalogue=Catalogue(**dict(named), practice=practice), labels=_by_name(labels))

    def _section(self, kind: type[EntitySchema[Any]]) -> Any:  # noqa: ANN401 -- each kind makes its own value
        raw = self._raw.get(kind.word)
        if raw is None or isinstance(raw, dict):
            return None if raw is None else shape(kind, FILE).gather(raw, self.problems, kind.word)
        self.problems.append(Wrong(f"[{kind.word}] is needed as a section, not {kind_of(raw)}.", kind.word))
        return None

    def _listed(self, kind: type[EntitySchema[Any]]) -> list[Any]:
        """Each entity of that kind, in the order of the file; one with a problem is None."""
        raw = self._raw.get(kind.word, [])
        if not isinstance(raw, list) or not all(isinstance(one, dict) for one in raw):
            says = f"{kind.word} is written as tables with the header [[{kind.word}]]."
            self.problems.append(Wrong(says, kind.word))
            return []
        if not raw and kind not in _MAY_BE_NONE:
            self.problems.append(Wrong(f"the file needs at least one [[{kind.word}]]."))
        self._look_for_twins(kind.word, raw)
        return [shape(kind, FILE).gather(one, self.problems, kind.word, place) for place, one in enumerate(raw)]

    def _look_for_twins(self, word: str, raw: list[Values]) -> None:
        taken = set()
        for place, name in enumerate(one.get("name") for one in raw):
            if isinstance(name, str):
                if name.strip().casefold() in taken:
                    self.problems.append(Wrong("another one above has this name already.", word, place, key="name"))
                taken.add(name.strip().casefold())

    def _look_at_routes(self, routes: list[Route | None]) -> None:
        # A route with a problem may have been the bisque; its own problem is then the one to put right.
        if routes and None not in routes and not any(_is_bisque_in_use(route) for route in routes if route):
            self.problems.append(Wrong('the file needs a [[route]] of kind "bisque": every piece begins there.'))

    def _look_at_evidence(self, glazes: Iterable[Glaze | None], practice: Practice) -> None:
        """A glaze that is said to be tested is so under the studio's regime, and its tests name what there is."""
        for place, glaze in enumerate(glazes):
            if glaze is None:
                continue
            missing = unshown(glaze.tests, practice.regime)
            if glaze.food is FoodStanding.TESTED and missing:
                metals = " or ".join(metal.in_words for metal in missing)
                says = (
                    f'food is "tested", but no [[glaze.test]] passed for {metals} by {practice.regime.in_words}, '
                    'or one failed; add it, or write "untested".'
                )
                self.problems.append(Wrong(says, "glaze", place, key="food"))
            for count, test in enumerate(glaze.tests):
                for kind, name in (("clay", test.clay), ("route", test.route)):
                    if name is not None and name not in self._names_of(kind):
                        says = f"there is no {kind} {shown(name)} in this file."
                        self.problems.append(Wrong(says, "glaze", place, "test", count, key=kind))

    def _names_of(self, word: str) -> set[str]:
        """The names in the list `word`, of those with a problem too: nothing else is blamed for it."""
        raw = self._raw.get(word, [])
        tables = [one for one in raw if isinstance(one, dict)] if isinstance(raw, list) else []
        return {str(one.get("name")).strip() for one in tables}

    def _look_at_kilns(self, kilns: Iterable[Kiln | None], routes: Iterable[Route | None]) -> None:
        names = self._names_of("route")
        outdoors = {route.name for route in routes if route and route.is_outdoors}
        for place, kiln in enumerate(kilns):
            if kiln is None:
                continue
            says = [f"there is no route {shown(route)} in this file." for route in sorted(kiln.routes - names)]
            if not kiln.outdoor:
                out = sorted(kiln.routes & outdoors)
                says += [f"{route} is fired outdoors, so this kiln needs outdoor = true." for route in out]
            self.problems += (Wrong(one, "kiln", place, key="routes") for one in says)


def _is_bisque_in_use(route: Route) -> bool:
    return route.kind is RouteKind.BISQUE and not route.retired


def _by_name(things: Iterable[Any]) -> dict[str, Any]:
    return {thing.name: thing for thing in things if thing is not None}


def write_studio(studio: Studio) -> str:
    """A studio file that reads back as `studio`, in the order in which its catalogue stands."""
    return "\n".join(_tables(studio))


def _tables(studio: Studio) -> Iterator[str]:
    catalogue = studio.catalogue
    yield from as_tables(StudioSchema, studio, "[studio]")
    yield from as_tables(PracticeSchema, catalogue.practice, "[practice]")
    for kind, things in zip(
        LISTS, (*(getattr(catalogue, part) for part in SHELVES.values()), studio.labels), strict=True
    ):
        for thing in things.values():
            yield from as_tables(kind, thing)
