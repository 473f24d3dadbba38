"""The studio file: one readable TOML file with all that a studio works with, read whole or not at all."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import fields
from datetime import date
from enum import StrEnum
from typing import Any

from tracker.domain.cones import Cone
from tracker.domain.refusals import Unusable
from tracker.domain.studio.catalog import Catalogue, Studio
from tracker.domain.studio.kilns import Kiln, Route, RouteKind
from tracker.domain.studio.leach_tests import Result, unshown
from tracker.domain.studio.materials import FoodStanding, Glaze
from tracker.domain.studio.setting_groups import GROUPS
from tracker.domain.studio.settings import COMMON_PRACTICE, Practice
from tracker.forms.plain_values import Wrong, kind_of, not_a_key, shown
from tracker.forms.studio.studio_tables import INNER, LISTS, MAY_BE_NONE, PRACTICE, STUDIO, Reader, TableKind, Values
from tracker.forms.studio.toml_lines import Lines, Path

LONGEST_FILE = 2_000_000
"""Characters in a studio file; ten thousand glazes take less."""


def read_studio(text: str) -> Studio:
    """The studio that `text` describes; `Unusable` with every problem in it, each with its line number."""
    raw = _parsed(text)
    found = _Findings()
    studio = _Reading(raw, found).studio()
    if found.problems or studio is None:
        lines = Lines(text)
        raise Unusable(
            [f"line {line}: {says}" for line, says in sorted((lines.of(path), says) for path, says in found.problems)],
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


class _Findings:
    """The problems found so far, each with the path to where it stands."""

    def __init__(self) -> None:
        self.problems: list[tuple[Path, str]] = []

    def add(self, path: Path, who: str, says: str) -> None:
        self.problems.append((path, f"{who}: {says}" if who else says))


# ---- reading the whole file ------------------------------------------------------------------------------------


class _Reading:
    """One reading of one file: what stood in it, and where the problems go."""

    def __init__(self, raw: Values, found: _Findings) -> None:
        self._raw = raw
        self._found = found

    def studio(self) -> Studio | None:
        """The studio, or None when it cannot even be made; either way the problems are with the findings."""
        sections = ("studio", "practice", *(kind.word for kind in LISTS))
        for key in self._raw:
            if key not in sections:
                self._found.add((key,), "", not_a_key(key, sections))
        if "studio" not in self._raw:
            self._found.add((), "", "the file needs a section [studio] with name, timezone and address.")
        about = self._section(STUDIO)
        practice = self._section(PRACTICE) if "practice" in self._raw else COMMON_PRACTICE
        clays, glazes, routes, kilns, labels = (self._named(kind) for kind in LISTS)
        self._look_at_routes(routes)
        self._look_at_kilns(kilns, routes)
        self._look_at_evidence(glazes, practice or COMMON_PRACTICE)
        if about is None or practice is None:
            return None
        return Studio(
            **about,
            catalogue=Catalogue(
                clays=_by_name(clays),
                glazes=_by_name(glazes),
                routes=_by_name(routes),
                kilns=_by_name(kilns),
                practice=practice,
            ),
            labels=_by_name(labels),
        )

    def _section(self, kind: TableKind) -> Any:  # noqa: ANN401 -- each kind of table makes its own value
        raw = self._raw.get(kind.word)
        if raw is None:
            return None
        if not isinstance(raw, dict):
            self._found.add((kind.word,), "", f"[{kind.word}] is needed as a section, not {kind_of(raw)}.")
            return None
        return self._made(kind, raw, (kind.word,), f"[{kind.word}]")

    def _named(self, kind: TableKind) -> list[Any]:
        """Each table of the list `kind`, in the order of the file; one with a problem is None."""
        tables = self._tables(kind.word, self._raw.get(kind.word, []), (kind.word,))
        taken: dict[str, Path] = {}
        for path, raw in tables:
            self._look_for_twin(kind, raw, path, taken)
        if not tables and kind not in MAY_BE_NONE:
            self._found.add((), "", f"the file needs at least one [[{kind.word}]].")
        return [self._made(kind, raw, path, _called(kind, raw, path)) for path, raw in tables]

    def _tables(self, word: str, raw: object, path: Path) -> list[tuple[Path, Values]]:
        if not isinstance(raw, list) or not all(isinstance(one, dict) for one in raw):
            self._found.add(path, "", f"{word} is written as tables with the header [[{'.'.join(_words(path))}]].")
            return []
        return [((*path, place), one) for place, one in enumerate(raw)]

    def _look_for_twin(self, kind: TableKind, raw: Values, path: Path, taken: dict[str, Path]) -> None:
        name = raw.get("name")
        if not isinstance(name, str):
            return
        if name.strip().casefold() in taken:
            self._found.add((*path, "name"), _called(kind, raw, path), "another one above has this name already.")
        taken.setdefault(name.strip().casefold(), path)

    def _made(self, kind: TableKind, raw: Values, path: Path, who: str) -> Any:  # noqa: ANN401 -- as above
        """The value of one table, or None when something in it is wrong."""
        before = len(self._found.problems)
        values = self._values(kind, raw, path, who)
        if len(self._found.problems) > before:
            return None
        try:
            return kind.make(values)
        except Wrong as wrong:
            key = wrong.says.partition(" ")[0]
            self._found.add((*path, key), who, wrong.says)
            return None

    def _values(self, kind: TableKind, raw: Values, path: Path, who: str) -> Values:
        values: Values = {}
        for key, one in raw.items():
            inner = INNER.get(kind.word)
            if inner is not None and key == inner.word:
                values[key] = [
                    self._made(inner, table, place, f"{who}, {key} {place[-1] + 1}")
                    for place, table in self._tables(key, one, (*path, key))
                    if isinstance(place[-1], int)
                ]
            elif key not in kind.keys:
                self._found.add((*path, key), who, not_a_key(key, kind.keys))
            else:
                self._read(kind.keys[key], one, (*path, key), who, values)
        for key in kind.needs:
            if key not in raw:
                self._found.add(path, who, f"{key} is missing.")
        return values

    def _read(self, reader: Reader, raw: object, path: Path, who: str, values: Values) -> None:
        try:
            values[str(path[-1])] = reader(raw)
        except Wrong as wrong:
            inside = ", ".join(str(step + 1 if isinstance(step, int) else step) for step in (path[-1], *wrong.path))
            self._found.add((*path, *wrong.path), f"{who}, {inside}", wrong.says)

    def _look_at_routes(self, routes: Iterable[Route | None]) -> None:
        known = list(routes)
        # A route with a problem may have been the bisque; its own problem is then the one to put right.
        if (
            known
            and None not in known
            and not any(route and route.kind is RouteKind.BISQUE and not route.retired for route in known)
        ):
            self._found.add((), "", 'the file needs a [[route]] of kind "bisque": every piece begins there.')

    def _look_at_evidence(self, glazes: Iterable[Glaze | None], practice: Practice) -> None:
        """A glaze that is said to be tested is so under the studio's regime, and its tests name what there is."""
        for place, glaze in enumerate(glazes):
            if glaze is None:
                continue
            who, missing = f'glaze "{glaze.name}"', unshown(glaze.tests, practice.regime)
            if glaze.food is FoodStanding.TESTED and missing:
                metals = " or ".join(metal.in_words for metal in missing)
                self._found.add(
                    ("glaze", place, "food"),
                    who,
                    f'food is "tested", but no [[glaze.test]] passed for {metals} by {practice.regime.in_words}, '
                    'or one failed; add it, or write "untested".',
                )
            for count, test in enumerate(glaze.tests):
                for kind, name in (("clay", test.clay), ("route", test.route)):
                    if name is not None and name not in self._names_of(kind):
                        path = ("glaze", place, "test", count, kind)
                        self._found.add(path, who, f"there is no {kind} {shown(name)} in this file.")

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
            path, who = ("kiln", place, "routes"), f'kiln "{kiln.name}"'
            for route in sorted(kiln.routes - names):
                self._found.add(path, who, f"there is no route {shown(route)} in this file.")
            for route in sorted(kiln.routes & outdoors) if not kiln.outdoor else ():
                self._found.add(path, who, f"{route} is fired outdoors, so this kiln needs outdoor = true.")


def _called(kind: TableKind, raw: Values, path: Path) -> str:
    name = raw.get("name")
    return f"{kind.word} {shown(name) if isinstance(name, str) else int(path[-1]) + 1}"


def _words(path: Path) -> Iterator[str]:
    return (step for step in path if isinstance(step, str))


def _by_name(things: Iterable[Any]) -> dict[str, Any]:
    return {thing.name: thing for thing in things if thing is not None}


# ---- writing it ------------------------------------------------------------------------------------------------


def write_studio(studio: Studio) -> str:
    """A studio file that reads back as `studio`, in the order in which its catalogue stands."""
    catalogue = studio.catalogue
    parts = [
        _table("[studio]", _plain(studio, "catalogue", "labels")),
        _table("[practice]", _plain(catalogue.practice, *(group.name for group in GROUPS))),
        *(_table(f"[practice.{group.name}]", group.told(catalogue.practice)) for group in GROUPS),
    ]
    for clay in catalogue.clays.values():
        parts.append(_table("[[clay]]", _plain(clay, "weighings")))
        parts.extend(_table("[[clay.weighing]]", _plain(weighing)) for weighing in clay.weighings)
    for glaze in catalogue.glazes.values():
        parts.append(_table("[[glaze]]", _plain(glaze, "tests")))
        parts.extend(
            _table("[[glaze.test]]", {**_plain(test, "vessel"), **_plain(test.vessel)}) for test in glaze.tests
        )
    for route in catalogue.routes.values():
        parts.append(_table("[[route]]", _plain(route, "segments")))
        parts.extend(_table("[[route.segment]]", _plain(segment)) for segment in route.segments)
    for kiln in catalogue.kilns.values():
        parts.append(_table("[[kiln]]", _plain(kiln, "chamber", "furniture", "containers")))
        if kiln.chamber is not None:
            parts.append(_table("[kiln.chamber]", _plain(kiln.chamber)))
        if kiln.furniture is not None:
            parts.append(_table("[kiln.furniture]", _plain(kiln.furniture)))
        parts.extend(_table("[[kiln.container]]", _plain(room)) for room in kiln.containers)
    parts.extend(_table("[[label]]", _plain(stock)) for stock in studio.labels.values())
    return "\n".join(parts)


def _plain(value: Any, *without: str) -> Values:  # noqa: ANN401 -- any of the catalogue's values
    """Its facts by name, but for what is written as tables of its own and for what goes without saying."""
    plain = {field.name: getattr(value, field.name) for field in fields(value) if field.name not in without}
    if plain.get("retired") is False:
        del plain["retired"]
    return plain


def _table(header: str, values: Values) -> str:
    """A header and its keys, leaving out what is empty anyway."""
    rows = [f"{key} = {_written(value)}" for key, value in values.items() if value not in (None, "", (), frozenset())]
    return "\n".join([header, *rows, ""])


def _written(value: object) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case int() | float():
            return repr(value)
        case date():
            return value.isoformat()
        case Result():
            # As many digits as the number has, which its words for people leave out.
            return json.dumps(f"<{value.value!r}") if value.is_below else repr(value.value)
        case tuple() | frozenset():
            written = map(_written, value)
            return f"[{', '.join(sorted(written) if isinstance(value, frozenset) else written)}]"
        case Cone() | StrEnum() | str():
            # A JSON text is a TOML text: the escapes of the one are escapes of the other.
            return json.dumps(str(value), ensure_ascii=False)
    message = f"{type(value).__name__} does not stand in a studio file."
    raise TypeError(message)
