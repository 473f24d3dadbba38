"""How many pieces of which sort a term has, as one table: this is where the demo studio is made fuller or emptier."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum, auto

from demo_seed.words import (
    FOR_THE_SHELF,
    FOR_THE_TABLE,
    FOR_THE_YARD,
    PORCELAIN_AND_BOLD,
    THIN_AND_STICKING_OUT,
    Shape,
)
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.materials import ClayKind

TERM_DAYS = 77
"""The last day of the story, counted from its first, 0: eleven weeks."""

LAST_OUTDOORS = TERM_DAYS - 24
"""The day of the last outdoor firing: it has rained since, so the yard shelf is full."""


class Question(Enum):
    """What becomes of a question that is put on a piece."""

    ALLOWED = auto()
    NOT_ALLOWED = auto()
    OPEN = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sort:
    """One sort of piece: how many, on what route, in what shapes, and the days on which they are registered.

    The rules must answer `verdict`, by no rules but `rules` (empty: by any). `route` is None for what goes home
    unglazed. `stops_at` is the stage in which it is forgotten, `lost_at` the one in which it is lost. `then` is the
    firing that it sees after its glaze firing, with a luster over the glaze.
    """

    count: int
    route: str | None
    shapes: Sequence[Shape]
    days: range
    verdict: str = "clear"
    rules: frozenset[str] = frozenset()
    clays: frozenset[ClayKind] = frozenset(ClayKind) - {ClayKind.UNKNOWN}
    burnished: bool | None = None
    mended: bool = False
    arrives_bisqued: bool = False
    question: Question | None = None
    stops_at: Stage | None = None
    lost_at: Stage | None = None
    then: str | None = None


_BOTH = (*FOR_THE_TABLE, *FOR_THE_SHELF)
_ALL_TERM = range(TERM_DAYS + 1)
_A_WHILE_AGO = range(3, TERM_DAYS - 22)
_LONG_AGO = range(3, TERM_DAYS - 40)
_BEFORE_THE_RAIN = range(LAST_OUTDOORS - 15)
_SINCE_THE_RAIN = range(LAST_OUTDOORS - 9, TERM_DAYS - 14)
# A bisque may mature earthenware, and of mature ware for the yard the instructor is asked.
_BROAD = frozenset({ClayKind.STONEWARE, ClayKind.GROGGED})
_PORCELAIN = frozenset({ClayKind.PORCELAIN})
_NAMELESS = frozenset({ClayKind.UNKNOWN})


def _sort(count: int, route: str | None, shapes: Sequence[Shape], days: range) -> Sort:
    return Sort(count=count, route=route, shapes=shapes, days=days)


_FRAGILE = replace(
    _sort(4, "raku", THIN_AND_STICKING_OUT, _BEFORE_THE_RAIN),
    verdict="warn",
    rules=frozenset({"fragile-outdoors"}),
    clays=_BROAD,
)
_CRACKING = replace(
    _sort(3, "raku", PORCELAIN_AND_BOLD, _BEFORE_THE_RAIN),
    verdict="warn",
    rules=frozenset({"porcelain-outdoors"}),
    clays=_PORCELAIN,
)
_FAINT = replace(
    _sort(4, "horsehair", FOR_THE_YARD, _BEFORE_THE_RAIN),
    verdict="warn",
    rules=frozenset({"horsehair-unburnished"}),
    clays=_BROAD,
    burnished=False,
)
_UNTESTED = replace(
    _sort(6, "mid-range", FOR_THE_TABLE, _ALL_TERM), verdict="warn", rules=frozenset({"untested-for-food"})
)
_UNTESTED_METALS = frozenset({"untested-for-food", "metals-untested-for-food"})
_CRACKLED = replace(
    _sort(2, "mid-range", FOR_THE_TABLE, _A_WHILE_AGO),
    verdict="ask",
    rules=frozenset({"crackle-for-food"}),
    question=Question.ALLOWED,
)
_INDOOR_GLAZE = replace(
    _sort(2, "raku", FOR_THE_YARD, _BEFORE_THE_RAIN),
    verdict="ask",
    rules=frozenset({"indoor-glaze-in-raku"}),
    question=Question.ALLOWED,
    clays=_BROAD,
)
_MENDED = replace(
    _sort(2, "raku", FOR_THE_YARD, _BEFORE_THE_RAIN),
    verdict="ask",
    rules=frozenset({"ware-already-mature"}),
    question=Question.ALLOWED,
    clays=_BROAD,
    mended=True,
)
_FROM_THE_BIN = replace(
    _sort(3, "low-fire", FOR_THE_SHELF, _A_WHILE_AGO),
    verdict="ask",
    rules=frozenset({"nameless-material"}),
    question=Question.ALLOWED,
    clays=_NAMELESS,
)

SORTS = (
    # What comes through without a word from anybody.
    # Earthenware stays porous, so nothing that is fired low is for food.
    _sort(50, "low-fire", FOR_THE_SHELF, _ALL_TERM),
    _sort(10, "low-fire", FOR_THE_SHELF, range(TERM_DAYS - 25, TERM_DAYS - 16)),
    replace(_sort(6, "mid-range", FOR_THE_SHELF, range(20, TERM_DAYS - 40)), then="overglaze"),
    _sort(120, "mid-range", _BOTH, _ALL_TERM),
    _sort(20, "mid-range", _BOTH, range(TERM_DAYS - 9, TERM_DAYS - 4)),
    _sort(72, "high-fire", _BOTH, _ALL_TERM),
    replace(_sort(30, "raku", FOR_THE_YARD, _BEFORE_THE_RAIN), clays=_BROAD),
    replace(_sort(12, "horsehair", FOR_THE_YARD, _BEFORE_THE_RAIN), clays=_BROAD, burnished=True),
    replace(_sort(9, "raku", FOR_THE_YARD, _SINCE_THE_RAIN), clays=_BROAD),
    replace(_sort(8, "horsehair", FOR_THE_YARD, _SINCE_THE_RAIN), clays=_BROAD, burnished=True),
    _sort(9, None, FOR_THE_SHELF, _A_WHILE_AGO),
    replace(_sort(6, "mid-range", _BOTH, _A_WHILE_AGO), arrives_bisqued=True),
    # What the rules warn about and staff accepts by name.
    _UNTESTED,
    replace(_UNTESTED, route="high-fire", rules=_UNTESTED_METALS),
    _FRAGILE,
    _CRACKING,
    _FAINT,
    replace(_FRAGILE, days=_SINCE_THE_RAIN, count=3),
    replace(_CRACKING, days=_SINCE_THE_RAIN),
    replace(_FAINT, days=_SINCE_THE_RAIN),
    # What waits for the instructor, who allows it, does not, or has not said yet.
    _CRACKLED,
    _INDOOR_GLAZE,
    _MENDED,
    _FROM_THE_BIN,
    replace(_CRACKLED, question=Question.NOT_ALLOWED),
    replace(_MENDED, question=Question.NOT_ALLOWED, count=1),
    replace(_CRACKLED, question=Question.OPEN, days=_SINCE_THE_RAIN),
    replace(_INDOOR_GLAZE, question=Question.OPEN, days=_SINCE_THE_RAIN, count=1),
    replace(_MENDED, question=Question.OPEN, days=_SINCE_THE_RAIN, count=1),
    replace(_FROM_THE_BIN, question=Question.OPEN, days=_SINCE_THE_RAIN, count=2),
    # What is left behind in a stage, and what is lost.
    replace(_sort(6, "mid-range", _BOTH, _LONG_AGO), stops_at=Stage.GREENWARE),
    replace(_sort(7, "high-fire", _BOTH, _LONG_AGO), stops_at=Stage.BISQUED),
    replace(_sort(12, "mid-range", _BOTH, _LONG_AGO), stops_at=Stage.FIRED),
    replace(_sort(4, "low-fire", FOR_THE_SHELF, _LONG_AGO), stops_at=Stage.GLAZED),
    replace(_sort(4, "mid-range", _BOTH, _A_WHILE_AGO), lost_at=Stage.GREENWARE),
    replace(_sort(4, "high-fire", _BOTH, _A_WHILE_AGO), lost_at=Stage.BISQUED),
    replace(_sort(3, "low-fire", FOR_THE_SHELF, _A_WHILE_AGO), lost_at=Stage.GLAZED),
    replace(_sort(3, "mid-range", _BOTH, _A_WHILE_AGO), lost_at=Stage.QUEUED),
    replace(_sort(4, "mid-range", _BOTH, _A_WHILE_AGO), lost_at=Stage.FIRED),
)
"""Every sort of piece there is in the story."""
