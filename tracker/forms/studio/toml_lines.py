"""On which line of a TOML file a value stands: Python's reader gives the values and forgets their places.

The file is known to be good TOML when it comes here, so this looks only for what begins a line: a header or a key
outside of brackets and of texts that run over several lines.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

Path = tuple[str | int, ...]

# What matters between two keys: a comment, texts (the long forms first), and what opens or closes a list or table.
_MARK = re.compile(
    r"""
      \#[^\n]*
    | \"{3}(?:\\.|[^\\])*?\"{3,5}
    | '{3}.*?'{3,5}
    | "(?:\\.|[^"\\\n])*"
    | '[^'\n]*'
    | [\[\]{}=\n]
    | [^\[\]{}=\n"'\#]+
    """,
    re.VERBOSE | re.DOTALL,
)


class Lines:
    """The lines of one TOML file, by the path to what stands there: ("glaze", 2, "cone_low")."""

    def __init__(self, text: str) -> None:
        """Find the line of every header and key in `text`."""
        self._lines: dict[Path, int] = {}
        self._counts: dict[Path, int] = {}
        table: Path = ()
        for line, written, is_header in _beginnings(text):
            if is_header:
                table = self._opened(_parts(written.strip("[] \t")), many=written.startswith("[["))
                self._lines.setdefault(table, line)
            else:
                self._lines.setdefault((*table, *_parts(written)), line)

    def of(self, path: Path) -> int:
        """The line, counted from 1, of what stands at `path`, or else of the nearest thing around it."""
        for length in range(len(path), 0, -1):
            if path[:length] in self._lines:
                return self._lines[path[:length]]
        return 1

    def _opened(self, parts: Path, *, many: bool) -> Path:
        """The path to the table that a header opens, with the place of each table of a list in it."""
        path: Path = ()
        for part in parts[:-1]:
            path = (*path, part)
            if path in self._counts:
                path = (*path, self._counts[path] - 1)
        path = (*path, parts[-1])
        if many:
            self._counts[path] = self._counts.get(path, 0) + 1
            path = (*path, self._counts[path] - 1)
        return path


def _beginnings(text: str) -> Iterator[tuple[int, str, bool]]:
    """Each header and each key at the beginning of a line: its line, how it is written, whether it is a header."""
    line, depth, start, in_value = 1, 0, "", False
    began = 1
    for mark in _MARK.findall(text):
        if mark == "\n":
            if start.startswith("[") and depth == 0:
                yield began, start.strip(), True
            if depth == 0:
                start, in_value = "", False
        elif mark == "=" and depth == 0 and not in_value:
            yield began, start.strip(), False
            in_value = True
        elif not mark.startswith("#"):
            depth += (mark in {"[", "{"}) - (mark in {"]", "}"})
            if not in_value:
                began = line if not start.strip() else began
                start += mark
        line += mark.count("\n")
    if start.startswith("["):
        yield began, start.strip(), True


def _parts(written: str) -> Path:
    """The parts of a key such as glaze.test or "my glaze".name, as the TOML reader itself takes them apart."""
    inner: object = tomllib.loads(f"{written} = 0")
    parts: list[str | int] = []
    while isinstance(inner, dict):
        key, inner = next(iter(inner.items()))
        parts.append(key)
    return tuple(parts)
