"""Pyrometric cones: what a firing aims at and what a clay or glaze bears, as ordered values.

A cone is never a number: "06" and "6" lie 224 °C apart, and 04 is hotter than 06.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final, Literal

Kind = Literal["large", "self-supporting"]
Rate = Literal[60, 150]


class BadCone(ValueError):
    """Refused because something is not a cone; says which cones there are."""


class NoEndPoint(LookupError):
    """Refused because no end point is published for a cone of that kind at that rate."""


# Cool to hot; then °C of large cones at 60 and 150 °C/h, then °C of self-supporting cones at 60 and 150 °C/h over the
# last 100 °C. From the Orton chart; tests/reference/cone_end_points.csv tells which were read there and which are from
# memory. Large and self-supporting are different columns: where one has no value the other does not stand in for it.
_CHART: Final = (
    ("022", None, None, 586, 590),
    ("021", None, None, 600, 617),
    ("020", None, None, 626, 638),
    ("019", 676, 693, 678, 695),
    ("018", 712, 732, 715, 734),
    ("017", 736, 761, 738, 763),
    ("016", 769, 794, 772, 796),
    ("015", 788, 816, 791, 818),
    ("014", 807, 836, 807, 838),
    ("013", 837, 859, 837, 861),
    ("012", 858, 880, 861, 882),
    ("011", 873, 892, 875, 894),
    ("010", 898, 913, 903, 915),
    ("09", 917, 928, 920, 930),
    ("08", 942, 954, 942, 956),
    ("07", 973, 985, 976, 987),
    ("06", 995, 1011, 998, 1013),
    ("05.5", 1012, 1023, 1015, 1025),
    ("05", 1030, 1046, 1031, 1044),
    ("04", 1060, 1070, 1063, 1077),
    ("03", 1086, 1101, 1086, 1104),
    ("02", 1101, 1120, 1102, 1122),
    ("01", 1117, 1137, 1119, 1138),
    ("1", 1136, 1154, 1137, 1154),
    ("2", 1142, 1162, 1142, 1164),
    ("3", 1152, 1168, 1152, 1170),
    ("4", 1160, 1181, 1162, 1183),
    ("5", 1184, 1205, 1186, 1207),
    ("5.5", None, None, 1203, 1225),
    ("6", 1220, 1241, 1222, 1243),
    ("7", 1237, 1255, 1239, 1257),
    ("8", 1247, 1269, 1249, 1271),
    ("9", 1257, 1278, 1260, 1280),
    ("10", 1282, 1303, 1285, 1305),
    ("11", 1293, 1312, 1294, 1315),
    ("12", 1304, 1324, 1306, 1326),
    ("13", None, None, 1331, 1348),
    ("14", None, None, 1365, 1384),
)


class Band(StrEnum):
    """A band of heat, by the hottest cone in it (common practice; studios draw the lines a cone or two apart)."""

    OVERGLAZE = "014"
    SOFT_BISQUE = "09"
    BISQUE = "05"
    LOW_FIRE = "01"
    BETWEEN = "2"
    MID_RANGE = "6"
    MID_OR_HIGH = "8"
    HIGH_FIRE = "14"


def _rank(name: str) -> int:
    """Ten times the number of a cone, below zero for the cones written with a leading 0."""
    tenfold = round(float(name) * 10)
    return -tenfold if name.startswith("0") else tenfold


_NAMES: Final = {_rank(name): name for name, *_ in _CHART}
_RANKS: Final = {name: rank for rank, name in _NAMES.items()}

# Only plain digits, and around them only spaces and tabs: a line break is a sign of pasted rubbish.
_WRITTEN: Final = re.compile(
    r"(?:cone|[\u2206\u0394\u25b2\u25b3^])?[ ]*([0-9]{1,3}(?:\.5)?)([ ]*\xbd|[ ]+1/2)?",
    re.IGNORECASE,
)
_BLANKS: Final = str.maketrans("\t\xa0", "  ")
_LONGEST_WRITTEN: Final = 60
_LONGEST_SHOWN: Final = 20


@dataclass(frozen=True, slots=True)
class Cone:
    """One pyrometric cone; a cooler cone is less than a hotter one.

    `rank` is ten times its number and negative for the cones written with a leading 0: 06 is -60, 05.5 is -55,
    6 is 60. BadCone for a rank that no cone has.
    """

    rank: int

    def __post_init__(self) -> None:
        """Refuse a rank that no cone has."""
        if self.rank not in _NAMES:
            raise _bad(self.rank)

    @classmethod
    def parse(cls, text: str) -> Cone:
        """The cone written as `text`: "06", "cone 06", "∆06", "^06", "05.5" or "05 1/2"; BadCone for anything else."""
        written = _WRITTEN.fullmatch(text.translate(_BLANKS).strip(" ")) if len(text) <= _LONGEST_WRITTEN else None
        name = written[1] + (".5" if written[2] else "") if written else ""
        if name not in _RANKS:
            raise _bad(text)
        return cls(_RANKS[name])

    @classmethod
    def of_rank(cls, rank: int) -> Cone:
        """The cone whose `rank` this is, as it stands in the database; BadCone when there is none."""
        return cls(rank)

    # Written out because a verdict compares a dozen cones, and what dataclass writes takes twice as long.

    def __hash__(self) -> int:
        """By its rank."""
        return self.rank

    def __lt__(self, other: Cone) -> bool:
        """Whether this is the cooler one."""
        return self.rank < other.rank if other.__class__ is Cone else NotImplemented

    def __le__(self, other: Cone) -> bool:
        """Whether this is the cooler one, or the same."""
        return self.rank <= other.rank if other.__class__ is Cone else NotImplemented

    def __gt__(self, other: Cone) -> bool:
        """Whether this is the hotter one."""
        return self.rank > other.rank if other.__class__ is Cone else NotImplemented

    def __ge__(self, other: Cone) -> bool:
        """Whether this is the hotter one, or the same."""
        return self.rank >= other.rank if other.__class__ is Cone else NotImplemented

    def __str__(self) -> str:
        """The cone as a potter writes it, such as 06 or 5.5."""
        return _NAMES[self.rank]

    @property
    def celsius(self) -> int:
        """Where the self-supporting cone ends when heated by 60 °C an hour, in °C."""
        return _CELSIUS[self.rank]

    @property
    def label(self) -> str:
        """The cone with its temperature beside it: "cone 06, 998 °C"."""
        return _LABELS[self.rank]

    @property
    def band(self) -> Band:
        """The band of heat it is in."""
        return next(band for band in Band if self.rank <= _RANKS[band.value])


@dataclass(frozen=True, slots=True)
class ConeRange:
    """Two cones between which something matures, `low` the cooler; read with their temperatures."""

    low: Cone
    high: Cone


CONES: Final = tuple(map(Cone, _NAMES))
"""Every cone, from cool to hot."""


def _column(at: int) -> Mapping[Cone, int]:
    points = {cone: point for cone, row in zip(CONES, _CHART, strict=True) if isinstance(point := row[at], int)}
    return MappingProxyType(points)


END_POINTS: Final[Mapping[tuple[Kind, Rate], Mapping[Cone, int]]] = MappingProxyType(
    {
        ("large", 60): _column(1),
        ("large", 150): _column(2),
        ("self-supporting", 60): _column(3),
        ("self-supporting", 150): _column(4),
    },
)
"""End points in °C by kind of cone and heating rate in °C/h, then by cone; a cone with no published value is absent."""


_CELSIUS: Final = {cone.rank: point for cone, point in END_POINTS["self-supporting", 60].items()}
# A page full of verdicts says thousands of them.
_LABELS: Final = {rank: f"cone {name}, {_CELSIUS[rank]} °C" for rank, name in _NAMES.items()}


def end_point(cone: Cone, kind: Kind, rate: Rate) -> int:
    """Where `cone` ends, in °C, as `kind` and heated by `rate` °C an hour; NoEndPoint where none is published."""
    column = END_POINTS.get((kind, rate))
    if column is None or cone not in column:
        message = f"No end point is published for a {kind} cone {cone} at {rate} °C an hour."
        raise NoEndPoint(message)
    return column[cone]


def cones_apart(cool: Cone, hot: Cone) -> float:
    """How many cones `hot` is above `cool`: 1 from 5 to 6, from 06 to 05 and from 01 to 1; half a one from 5 to 5.5."""
    return (_without_gap(hot.rank) - _without_gap(cool.rank)) / _TENTHS


_TENTHS: Final = 10


def _without_gap(rank: int) -> int:
    """A rank as if cone 1 came right after 01: there is no cone 0."""
    return rank - _TENTHS if rank > 0 else rank


def _bad(what: str | int) -> BadCone:
    shown = repr(f"{what[:_LONGEST_SHOWN]}…" if isinstance(what, str) and len(what) > _LONGEST_SHOWN else what)
    coolest, hottest = CONES[0], CONES[-1]
    return BadCone(
        f"{shown} isn't a cone. Cones run from {coolest} ({coolest.celsius} °C) to {hottest} ({hottest.celsius} °C); "
        '"06" and "6" are different cones.',
    )
