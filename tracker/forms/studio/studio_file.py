"""The studio file: one readable TOML file with all that a studio works with, read whole or not at all."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable
from tracker.domain.studio.catalog import Catalog, Studio
from tracker.domain.studio.catalog_changes import SHELVES
from tracker.domain.studio.kilns import Kiln, Route, RouteKind
from tracker.domain.studio.leach_evidence import never_shown
from tracker.domain.studio.materials import FoodStanding, Glaze
from tracker.domain.studio.settings import COMMON_PRACTICE, Practice
from tracker.forms.entity import EntitySchema, as_tables, shape
from tracker.forms.fields import FILE
from tracker.forms.labels.label_schema import LabelSchema
from tracker.forms.plain_values import Values, Wrong, at_line, kind_of, not_a_key, shown
from tracker.forms.strict_json import THE_FILE, too_deep, too_long, too_many_digits
from tracker.forms.studio.kiln_schemas import KilnSchema, RouteSchema
from tracker.forms.studio.material_schemas import ClaySchema, GlazeSchema
from tracker.forms.studio.settings_schema import PracticeSchema, StudioSchema
from tracker.forms.studio.toml_lines import Lines

LONGEST_FILE = 2_000_000
"""Characters in a studio file; ten thousand glazes take less."""

CATALOG: Mapping[str, type[EntitySchema[Any]]] = {
    "clay": ClaySchema,
    "glaze": GlazeSchema,
    "route": RouteSchema,
    "kiln": KilnSchema,
}
"""What each sort of thing in the catalog is told by."""

LISTS: tuple[type[EntitySchema[Any]], ...] = (*CATALOG.values(), LabelSchema)
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
        found = [(lines.of((*wrong.path, *_key_of(wrong))), wrong) for wrong in reading.problems]
        words = _("Fix these in the file and try again. Nothing was changed.")
        raise Unusable(
            [_with_its_place(line, wrong, raw) for line, wrong in sorted(found, key=lambda one: one[0])],
            Message("fix-studio-file", words),
        )
    return studio


def _parsed(text: str) -> Values:
    text = text.removeprefix("\ufeff")
    if len(text) > LONGEST_FILE:
        raise Unusable([at_line(1, too_long(THE_FILE, LONGEST_FILE))])
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        if bare := tuple(_bare_cones(text)):
            raise Unusable(bare) from None
        place = re.fullmatch(r"(.*) \(at (?:line (\d+), column \d+|end of document)\)", str(fault), re.DOTALL)
        says, line = (place[1], place[2]) if place else (str(fault), None)
        what = Message("not-toml", _("this isn't TOML: {fault}."), fault=says)
        raise Unusable([at_line(int(line or text.count("\n") + 1), what)]) from None
    except RecursionError:
        raise Unusable([at_line(1, too_deep(THE_FILE))]) from None
    except ValueError:
        # Python refuses to read whole numbers of more than 4,300 digits.
        raise Unusable([at_line(1, too_many_digits(THE_FILE))]) from None


def _bare_cones(text: str) -> Iterator[Message]:
    """What to write for each number that begins with a zero, which TOML doesn't know: a cone without its quotes."""
    words = _('write the cone in quotes: {key} = "{cone}". "06" and "6" are different cones.')
    for number, line in enumerate(text.splitlines(), start=1):
        if found := _BARE_CONE.match(line):
            yield at_line(number, Message("cone-without-quotes", words, key=found[1], cone=found[2]))


_BARE_CONE = re.compile(r"\s*([A-Za-z_]+)\s*=\s*(0\d{1,2})\s*(?:#.*)?$")


def _key_of(wrong: Wrong) -> tuple[str, ...]:
    return (wrong.key,) if wrong.key else ()


def _with_its_place(line: int, wrong: Wrong, raw: Values) -> Message:
    """What is wrong, after its line, the thing it is about and where in it: `line 9: glaze "Fog", test 1, metal: …`."""
    if not (place := _place(wrong, raw)):
        return at_line(line, wrong.message)
    keys = [step for step in (*wrong.path, *_key_of(wrong)) if isinstance(step, str)]
    words = _("line {line}: {place}: {what}")
    return Message(wrong.message.code, words, line=line, place=place, key=keys[-1], what=wrong.message)


def _place(wrong: Wrong, raw: Values) -> str:
    """Where it stands, in the file's own words; empty where it is about the file as a whole."""
    match wrong.path:
        case (str(word), int(place), *inside):
            name = raw[word][place].get("name") if isinstance(raw[word][place], dict) else None
            who = f'{word} "{shown(name)}"' if isinstance(name, str) else f"{word} {place + 1}"
        case (str(word), *inside) if isinstance(raw.get(word), dict):
            who = f"[{word}]"
        case _:
            return ""
    for step in inside:
        who += f" {step + 1}" if isinstance(step, int) else f", {step}"
    return who


class _Reading:
    """One reading of one file: what stood in it, and every problem found so far."""

    def __init__(self, raw: Values) -> None:
        self._raw = raw
        self.problems: list[Wrong] = []

    def studio(self) -> Studio | None:
        """The studio, or None when it cannot even be made; either way the problems are with the findings."""
        self.problems += (Wrong(not_a_key(key, _KNOWN), key=key) for key in self._raw if key not in _KNOWN)
        if "studio" not in self._raw:
            words = _("the file needs a section [studio] with name, timezone and address.")
            self.problems.append(Wrong(Message("studio-untold", words)))
        about = self._section(StudioSchema)
        practice = self._section(PracticeSchema) if "practice" in self._raw else COMMON_PRACTICE
        clays, glazes, routes, kilns, labels = map(self._listed, LISTS)
        self._look_at_routes(routes)
        self._look_at_kilns(kilns, routes)
        self._look_at_evidence(glazes, practice or COMMON_PRACTICE)
        if about is None or practice is None:
            return None
        named = zip(SHELVES.values(), map(_by_name, (clays, glazes, routes, kilns)), strict=True)
        return Studio(**about, catalog=Catalog(**dict(named), practice=practice), labels=_by_name(labels))

    def _section(self, kind: type[EntitySchema[Any]]) -> Any:  # noqa: ANN401 -- each kind makes its own value
        raw = self._raw.get(kind.word)
        if raw is None or isinstance(raw, dict):
            return None if raw is None else shape(kind, FILE).gather(raw, self.problems, kind.word)
        words = _("expected [{word}] as a section, not {kind}.")
        self.problems.append(Wrong(Message("no-section", words, word=kind.word, kind=kind_of(raw)), kind.word))
        return None

    def _listed(self, kind: type[EntitySchema[Any]]) -> list[Any]:
        """Each entity of that kind, in the order of the file; one with a problem is None."""
        raw = self._raw.get(kind.word, [])
        if not isinstance(raw, list) or not all(isinstance(one, dict) for one in raw):
            words = _("write {word} as tables with the header [[{word}]].")
            self.problems.append(Wrong(Message("not-tables", words, word=kind.word), kind.word))
            return []
        if not raw and kind not in _MAY_BE_NONE:
            words = _("the file needs at least one [[{word}]].")
            self.problems.append(Wrong(Message("none-of-kind", words, word=kind.word)))
        self._look_for_twins(kind.word, raw)
        return [shape(kind, FILE).gather(one, self.problems, kind.word, place) for place, one in enumerate(raw)]

    def _look_for_twins(self, word: str, raw: list[Values]) -> None:
        taken = set()
        for place, name in enumerate(one.get("name") for one in raw):
            if isinstance(name, str):
                if name.strip().casefold() in taken:
                    what = Message("name-taken-above", _("this name is already used above."))
                    self.problems.append(Wrong(what, word, place, key="name"))
                taken.add(name.strip().casefold())

    def _look_at_routes(self, routes: list[Route | None]) -> None:
        # A route with a problem may have been the bisque; its own problem is then the one to put right.
        if routes and None not in routes and not any(_is_bisque_in_use(route) for route in routes if route):
            words = _('the file needs a [[route]] of kind "bisque": every piece needs it.')
            self.problems.append(Wrong(Message("no-bisque", words)))

    def _look_at_evidence(self, glazes: Iterable[Glaze | None], practice: Practice) -> None:
        """A glaze that is said to be tested is so under the studio's regime, and its tests name what there is."""
        for place, glaze in enumerate(glazes):
            if glaze is None:
                continue
            missing = never_shown(glaze.tests, practice.regime)
            if glaze.food is FoodStanding.TESTED and missing:
                what = Message("not-tested", _NOT_TESTED, metals=tuple(missing), regime=practice.regime)
                self.problems.append(Wrong(what, "glaze", place, key="food"))
            for count, test in enumerate(glaze.tests):
                for kind, name in (("clay", test.clay), ("route", test.route)):
                    if name is not None and name not in self._names_of(kind):
                        self.problems.append(Wrong(_not_here(kind, name), "glaze", place, "test", count, key=kind))

    def _names_of(self, word: str) -> set[str]:
        """The names in the list `word`, of those with a problem too: nothing else is blamed for it."""
        raw = self._raw.get(word, [])
        tables = [one for one in raw if isinstance(one, dict)] if isinstance(raw, list) else []
        return {str(one.get("name")).strip() for one in tables}

    def _look_at_kilns(self, kilns: Iterable[Kiln | None], routes: Iterable[Route | None]) -> None:
        names = self._names_of("route")
        outdoors = {route.name for route in routes if route and route.needs_yard}
        for place, kiln in enumerate(kilns):
            if kiln is None:
                continue
            found = [_not_here("route", route) for route in sorted(kiln.routes - names)]
            if not kiln.outdoor:
                words = _("{route} is fired outdoors, so this kiln needs outdoor = true.")
                out = sorted(kiln.routes & outdoors)
                found += [Message("kiln-not-outdoors", words, route=route) for route in out]
            self.problems += (Wrong(one, "kiln", place, key="routes") for one in found)


_NOT_TESTED = _(
    'food is "tested". That needs a passed [[glaze.test]] for Pb and one for Cd, of the same cone, atmosphere, clay '
    'and firing, by {regime}. Missing: {metals}. Add them, or write "untested".'
)


def _not_here(word: str, name: str) -> Message:
    return Message("not-in-file", _('there\'s no {word} "{name}" in this file.'), word=word, name=shown(name))


def _is_bisque_in_use(route: Route) -> bool:
    return route.kind is RouteKind.BISQUE and not route.retired


def _by_name(things: Iterable[Any]) -> dict[str, Any]:
    return {thing.name: thing for thing in things if thing is not None}


def write_studio(studio: Studio) -> str:
    """A studio file that reads back as `studio`, in the order in which its catalog stands."""
    return "\n".join(_tables(studio))


def _tables(studio: Studio) -> Iterator[str]:
    catalog = studio.catalog
    yield from as_tables(StudioSchema, studio, "[studio]")
    yield from as_tables(PracticeSchema, catalog.practice, "[practice]")
    for kind, things in zip(
        LISTS, (*(getattr(catalog, part) for part in SHELVES.values()), studio.labels), strict=True
    ):
        for thing in things.values():
            yield from as_tables(kind, thing)
