"""How surely a reader that shares no code with us reads 2,000 tags from every sort of head, clean and ill-treated.

It is no race, so there is no rival; the bounds are those that the papers are held to. PDFium and poppler, gray and one
bit take turns sheet by sheet, and of the stresses each label takes two (about six minutes).
"""

from collections.abc import Iterator
from itertools import cycle

from printing.labels.tags import Tag
from tests.printing.labels.thousands import (
    HEADS,
    PRINTS,
    SHEET,
    STRESSES,
    Count,
    Print,
    pieces_of_a_year,
    read_clean,
    read_stressed,
    together,
)

HOW_MANY = 2_000
STRESSES_EACH = 2
LEAST_READ = 0.97


def measure() -> list[tuple[str, float, float, str]]:
    """The share read from each head, clean and under the worst stress, and all that was misread."""
    pieces = pieces_of_a_year(HOW_MANY)
    rows: list[tuple[str, float, float, str]] = []
    every: list[Count] = []
    for dpi in HEADS:
        read = [
            (read_clean(tags, how), read_stressed(tags, how, each=STRESSES_EACH)) for how, tags in _sheets(dpi, pieces)
        ]
        plain = together(one for one, _ in read)
        hard = {name: together(counts[name] for _, counts in read) for name in STRESSES}
        worst = min(hard, key=lambda name: hard[name].share)
        rows += [
            (f"{dpi} dpi: bars and QR both read, clean", plain.share, 1.0, "at least"),
            (f"{dpi} dpi: bars or QR read, {worst}", hard[worst].share, LEAST_READ, "at least"),
        ]
        every += [plain, *hard.values()]
    everything = together(every)
    return [*rows, (f"of {everything.shown:,} reads another text", float(len(everything.wrong)), 0.0, "at most")]


def _sheets(dpi: int, pieces: list[Tag]) -> Iterator[tuple[Print, list[Tag]]]:
    turns = cycle([how for how in PRINTS if how.dpi == dpi])
    for first in range(0, len(pieces), SHEET.per_page):
        yield next(turns), pieces[first : first + SHEET.per_page]
