"""How often ware breaks here, and how sure we are of it: shares with their 95 % Wilson intervals."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum, StrEnum
from math import ceil, floor, sqrt
from statistics import NormalDist
from typing import Self, TypeAlias

from tracker.domain.message import Choice, Message, Plural, Template, _
from tracker.domain.pieces.outcomes import CRACKS, Outcome
from tracker.domain.pieces.piece import Build
from tracker.domain.quantities import percent
from tracker.domain.studio.materials import ClayKind

_Z = NormalDist().inv_cdf(0.975)
"""How many standard deviations hold 95 % of a normal distribution around its middle: 1.96."""

FEW = 5
"""Of fewer pieces nobody should make much (common practice)."""

LARGE_MM = 150
"""Over this many mm a piece counts as large (common practice)."""


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many, and between which two parts of one the true chance lies with 95 % confidence."""

    hits: int
    of: int
    low: float
    high: float

    @property
    def percents(self) -> tuple[int, int]:
        """The interval in whole percent, rounded outwards so that it never claims more than is known."""
        # A hundredth of a hundredth of leeway, so that what is 15 % but for its last binary digit does not become 16.
        return floor(100 * self.low + 1e-9), ceil(100 * self.high - 1e-9)

    @property
    def is_small(self) -> bool:
        """Whether it rests on too few pieces to say much."""
        return self.of < FEW


def wilson(hits: int, of: int) -> Share:
    """The 95 % score interval of `hits` out of `of` (E. B. Wilson, 1927); of nothing, nothing is known: 0 to 1.

    ValueError for more hits than there were, or fewer than none.
    """
    if not 0 <= hits <= of:
        raise ValueError(f"Nothing has {hits} of {of}.")
    if of == 0:
        return Share(0, 0, 0.0, 1.0)
    part, weight = hits / of, _Z**2 / of
    middle = (part + weight / 2) / (1 + weight)
    reach = _Z / (1 + weight) * sqrt(part * (1 - part) / of + weight / (4 * of))
    return Share(hits, of, middle - reach if hits else 0.0, middle + reach if hits < of else 1.0)


# ---- what broke, by what it was --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Fired:
    """A piece that went through the fire here: what it was, and what came of it; None where nobody has said."""

    clay: str
    kind: ClayKind = ClayKind.UNKNOWN
    build: Build | None = None
    largest_mm: int | None = None
    glazes: tuple[str, ...] = ()
    outcome: Outcome


class By(StrEnum):
    """What pieces are put together by; `GLAZE` counts a piece once for each of its glazes."""

    SIZE = "size"
    BUILD = "build"
    KIND = "kind of clay"
    CLAY = "clay"
    GLAZE = "glaze"


class Harm(Enum):
    """What counts as a loss: that it broke, or also that it cracked in any way."""

    BROKE = "broke"
    BROKE_OR_CRACKED = "broke or cracked"

    def befell(self, fired: Fired) -> bool:
        """Whether that is what came of it."""
        came = fired.outcome
        return came.broke or (self is Harm.BROKE_OR_CRACKED and not CRACKS.isdisjoint(came.flaws))


class Size(StrEnum):
    """How large a piece counts as."""

    LARGE = "large"
    SMALL = "small"


Group: TypeAlias = tuple[tuple[By, str], ...]
"""What pieces were put together by, and what each of them is in that respect: a value of an enum, or a name."""


@dataclass(frozen=True, slots=True)
class Losses:
    """How many of a group came to harm: the group and the share."""

    group: Group
    share: Share
    harm: Harm = Harm.BROKE

    @property
    def what(self) -> Message:
        """The group as one names it: "slab-built porcelain pieces with Ember Luster"."""
        return self._named(self.share.of)

    @property
    def message(self) -> Message:
        """One sentence, its numbers first: "4 of 11 slab-built porcelain pieces broke here (15% to 65%)."."""
        share = self.share
        if share.of == 0:
            return Message("none-fired", _("No {piece} has been fired here yet."), piece=self._named(1))
        low, high = (percent(part, 0) for part in share.percents)
        words = _("{hits} of {of} {pieces} {harm} here ({share}).")
        if share.hits == 0:
            words = _("None of {of} {pieces} {harm} here ({share}).")
        between = Message("share", _("{low} to {high}"), low=low, high=high)
        if share.is_small:
            between = Message("small-share", _("too few to tell: {low} to {high}"), low=low, high=high)
        return Message(
            "came-to-harm", words, hits=share.hits, of=share.of, pieces=self.what, harm=self.harm, share=between
        )

    def _named(self, count: int) -> Message:
        named = Message("pieces", Plural("count", "piece", "pieces"), count=count)
        for by, value in sorted(self.group, key=lambda one: _FROM_INSIDE.index(one[0])):
            named = Message(by.name.lower(), _NAMED[by], value=value, pieces=named)
        return named


_FROM_INSIDE = (By.KIND, By.BUILD, By.SIZE, By.CLAY, By.GLAZE)
_NAMED: Mapping[By, Template] = {
    By.SIZE: _("{value} {pieces}"),
    By.KIND: _("{value} {pieces}"),
    By.BUILD: Choice(
        "value",
        {
            Build.SLAB: _("slab-built {pieces}"),
            Build.COIL: _("coil-built {pieces}"),
            Build.PINCH: _("pinched {pieces}"),
            **{build: _("{value} {pieces}") for build in Build if build not in {Build.SLAB, Build.COIL, Build.PINCH}},
        },
    ),
    By.CLAY: _("{pieces} of {value}"),
    By.GLAZE: _("{pieces} with {value}"),
}


class Record(tuple[Fired, ...]):  # noqa: SLOT001 -- a tuple has no room for slots, and this one counts
    """What was fired, each way of grouping it counted only once however often it is asked for."""

    _counted: dict[tuple[tuple[By, ...], Harm], tuple[Losses, ...]]

    def __new__(cls, rows: Iterable[Fired] = ()) -> Self:
        """Keep the rows; nothing is counted yet."""
        record = super().__new__(cls, rows)
        record._counted = {}
        return record

    def losses(self, order: tuple[By, ...], harm: Harm) -> tuple[Losses, ...]:
        """The share that came to harm in each group, the surest losses first."""
        if (order, harm) not in self._counted:
            self._counted[order, harm] = self._count(order, harm)
        return self._counted[order, harm]

    def _count(self, order: tuple[By, ...], harm: Harm) -> tuple[Losses, ...]:
        of, hits = Counter[Group](), Counter[Group]()
        for row in self:
            for group in _groups(row, order):
                of[group] += 1
                hits[group] += harm.befell(row)
        found = [Losses(group, wilson(hits[group], count), harm) for group, count in of.items()]
        return tuple(sorted(found, key=lambda one: (-one.share.low, -one.share.of, one.group)))


def losses(rows: Iterable[Fired], by: Sequence[By], harm: Harm = Harm.BROKE) -> tuple[Losses, ...]:
    """The share that came to harm in each group there is, the surest losses first.

    A piece of which something asked for is not known is in no group, so that no group holds what it does not name.
    The order is by the lower end of the interval, then by the number of pieces, then by name.
    """
    order = tuple(sorted(set(by), key=list(By).index))
    return (rows if isinstance(rows, Record) else Record(rows)).losses(order, harm)


def losses_like(ware: Fired, rows: Iterable[Fired], by: Sequence[By], harm: Harm = Harm.BROKE) -> tuple[Losses, ...]:
    """The same for the groups that `ware` belongs to, also where nothing was fired yet; its own outcome is unused."""
    order = tuple(sorted(set(by), key=list(By).index))
    known = {one.group: one for one in losses(rows, by, harm)}
    return tuple(known.get(group, Losses(group, wilson(0, 0), harm)) for group in _groups(ware, order))


def _groups(row: Fired, by: tuple[By, ...]) -> Iterator[Group]:
    """The groups of a piece: one, or one for each of its glazes; none where something is not known."""
    names = [_names(row, one) for one in by]
    if not all(names):
        return
    plain = tuple((one, said[0]) for one, said in zip(by, names, strict=True) if one is not By.GLAZE)
    if By.GLAZE in by:
        yield from ((*plain, (By.GLAZE, glaze)) for glaze in dict.fromkeys(row.glazes))
    else:
        yield plain


def _names(row: Fired, by: By) -> tuple[str, ...]:
    """What a piece is called in that respect; empty where it is not known."""
    match by:
        case By.SIZE:
            return () if row.largest_mm is None else (Size.LARGE if row.largest_mm > LARGE_MM else Size.SMALL,)
        case By.BUILD:
            return () if row.build is None else (row.build,)
        case By.KIND:
            return () if row.kind is ClayKind.UNKNOWN else (row.kind,)
        case By.CLAY:
            return (row.clay,) if row.clay else ()
        case By.GLAZE:
            return row.glazes
