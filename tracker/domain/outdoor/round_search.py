"""How pieces of one kind are shared among the fewest rounds.

A few pieces are shared in every possible way. Many are dealt out in some ways that look at the pieces and the floor
alone, never at the crew or the containers; a way that a crew can fire a fuller one can fire too, so that more hands and
more containers never need more rounds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import ceil

FEW = 8
"""Up to so many pieces every way to share them among rounds is tried."""

# How many changes are tried to bring older promises forward, once the number of rounds is known.
_CHANGES_TRIED = 30

Share = tuple[int, ...]
"""The numbers of the pieces in one round."""

Sharing = tuple[Share, ...]
"""All rounds of one kind, in the order in which they are fired."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Pieces by their numbers: what each weighs that waits, which are fresh, lustre or apart, what floor each takes.

    `takes` says whether some go together in one round, `stands` whether the floor alone has room for them. Every piece
    must go in a round of its own.
    """

    weights: Sequence[int]
    fresh: Sequence[bool]
    lustre: Sequence[bool]
    apart: Sequence[bool]
    area: Sequence[float]
    most: int
    takes: Callable[[Share], bool]
    stands: Callable[[Share], bool]

    @property
    def numbers(self) -> range:
        """The numbers of all pieces."""
        return range(len(self.weights))

    def weight(self, share: Share) -> int:
        """What all pieces of a round weigh together."""
        return sum(self.weights[number] for number in share)

    def turn(self, share: Share) -> tuple[int, int, Share]:
        """When a round is fired: those with fresh glaze last, and otherwise those that have waited most first."""
        fresh = [self.fresh[number] for number in share]
        late = 2 if all(fresh) else int(any(fresh))
        return late, -self.weight(share), share

    def in_turn(self, shares: Sequence[Share]) -> Sharing:
        """The rounds in the order in which they are fired."""
        return tuple(sorted((tuple(sorted(share)) for share in shares if share), key=self.turn))

    def keeps_fresh_last(self, shares: Sequence[Share]) -> bool:
        """Whether the rounds can be fired so that nothing dry comes after fresh glaze: one at most has both."""
        return sum(len({self.fresh[number] for number in share}) > 1 for share in shares) <= 1

    def waits(self, sharing: Sharing) -> int:
        """How long the pieces wait in all: each one's rounds before its own, by what it weighs."""
        return sum(turn * self.weight(share) for turn, share in enumerate(sharing))


def fewest(asked: Asked) -> list[Sharing]:
    """Ways to share the pieces among the fewest rounds: all there are for a few pieces, a good one for many."""
    if not asked.weights:
        return [()]
    if len(asked.weights) <= FEW:
        return _of_all_ways(asked)
    return [_sooner(asked, _dealt(asked))]


# ---- a few pieces: every way -------------------------------------------------------------------------------------


def _of_all_ways(asked: Asked) -> list[Sharing]:
    everyone = tuple(asked.numbers)
    if asked.takes(everyone):
        return [(everyone,)]
    going = _all_going(asked)
    # Each piece alone is a way too, so there is always one.
    return next(ways for rounds in range(2, len(everyone) + 1) if (ways := _ways(asked, going, rounds)))


def _ways(asked: Asked, going: dict[int, list[int]], rounds: int) -> list[Sharing]:
    """Every way to share the pieces among exactly so many rounds."""
    everyone = (1 << len(asked.weights)) - 1
    ways = (map(_numbers, groups) for groups in _partitions(going, everyone, rounds))
    return [asked.in_turn(way) for shares in ways if asked.keeps_fresh_last(way := list(shares))]


def _all_going(asked: Asked) -> dict[int, list[int]]:
    """Every set of pieces that goes together and of which each part does, as bits, by its least number."""
    going = {0}
    for size in range(1, len(asked.weights) + 1):
        for some in combinations(asked.numbers, size):
            group = sum(1 << number for number in some)
            if all(group ^ 1 << number in going for number in some) and (size == 1 or asked.takes(some)):
                going.add(group)
    by_least: dict[int, list[int]] = {number: [] for number in asked.numbers}
    for group in sorted(going - {0}, key=lambda group: (-group.bit_count(), group)):
        by_least[(group & -group).bit_length() - 1].append(group)
    return by_least


def _partitions(going: dict[int, list[int]], left: int, rounds: int) -> Iterator[tuple[int, ...]]:
    """Every way to share what is left among exactly so many groups."""
    if left == 0 or rounds == 0:
        if left == 0 and rounds == 0:
            yield ()
        return
    for group in going[(left & -left).bit_length() - 1]:
        if group & ~left == 0:
            for others in _partitions(going, left ^ group, rounds - 1):
                yield (group, *others)


def _numbers(group: int) -> Share:
    return tuple(number for number in range(group.bit_length()) if group >> number & 1)


# ---- many pieces: dealt out --------------------------------------------------------------------------------------


def _dealt(asked: Asked) -> Sharing:
    """The first way to deal into the fewest rounds for which there is one."""
    # Each piece alone is a way too, so there is always one.
    return next(way for rounds in range(_least(asked), len(asked.weights) + 1) for way in _going(asked, rounds))


def _going(asked: Asked, rounds: int) -> Iterator[Sharing]:
    """The deals into exactly so many rounds, none of them empty, that can be fired."""
    for way in dict.fromkeys(asked.in_turn(shares) for shares in _deals(asked, rounds)):
        if len(way) == rounds and asked.keeps_fresh_last(way) and _all_go(asked, way):
            yield way


def _all_go(asked: Asked, way: Sharing) -> bool:
    """Whether every round can be fired; the fullest first, since it is likeliest not to."""
    by_fill = sorted(way, key=lambda share: sum(asked.area[number] for number in share), reverse=True)
    return all(len(share) <= asked.most for share in way) and all(asked.takes(share) for share in by_fill)


def _least(asked: Asked) -> int:
    """Fewer rounds than this are not even tried: as many of the smallest as the floor has room for, in each."""
    smallest = sorted(asked.numbers, key=lambda number: asked.area[number])
    together = 1
    while together < len(smallest) and together < asked.most and asked.stands(tuple(smallest[: together + 1])):
        together += 1
    return ceil(len(smallest) / together)


def _deals(asked: Asked, rounds: int) -> Iterator[list[Share]]:
    """Ways to deal into so many rounds, none of which looks at the crew or the containers."""
    oldest_first = sorted(asked.numbers, key=lambda number: (asked.fresh[number], -asked.weights[number], number))
    for size in range(ceil(len(oldest_first) / rounds), len(oldest_first) + 1):
        if ceil(len(oldest_first) / size) != rounds:
            break
        yield [tuple(oldest_first[start : start + size]) for start in range(0, len(oldest_first), size)]
    ones = [1.0] * len(asked.weights)
    for measure in (ones, asked.area, [area + sum(asked.area) / len(ones) for area in asked.area]):
        for first, last_dry in _where_fresh_begins(asked, rounds, measure):
            yield _dealt_evenly(asked, measure, rounds, (first, last_dry))
            yield _dealt_evenly(replace(asked, apart=[False] * len(ones)), measure, rounds, (first, last_dry))


def _where_fresh_begins(asked: Asked, rounds: int, measure: Sequence[float]) -> Iterator[tuple[int, int]]:
    """From which round on fresh pieces are dealt, and up to which round dry ones are: both about where dry ones end."""
    if len(set(asked.fresh)) == 1:
        yield 0, rounds - 1
        return
    dry = sum(size for size, fresh in zip(measure, asked.fresh, strict=True) if not fresh)
    about = int(dry * rounds / sum(measure))
    for first in range(max(about - 1, 0), min(about + 1, rounds - 1) + 1):
        yield first, first
        if first:
            yield first, first - 1


def _dealt_evenly(asked: Asked, measure: Sequence[float], rounds: int, around: tuple[int, int]) -> list[Share]:
    """The pieces dealt from large to small, each to the round that has least so far.

    Lustres go to where the fewest of them are, and so do pieces set apart: there is not much edge for them.
    """
    first, last_dry = around
    shares: list[list[int]] = [[] for _ in range(rounds)]
    full, lustres, apart = [0.0] * rounds, [0] * rounds, [0] * rounds
    # A round that is to hold both keeps room for the fresh ones that do not go into the rounds after it.
    fresh = sum(size for size, is_fresh in zip(measure, asked.fresh, strict=True) if is_fresh)
    kept = max(fresh - (rounds - 1 - first) * sum(measure) / rounds, 0.0) if first == last_dry else 0.0
    for is_fresh, among in ((False, range(last_dry + 1)), (True, range(first, rounds))):
        full[first] += -kept if is_fresh else kept
        for number in _large_first(asked):
            if asked.fresh[number] is is_fresh:
                into = min(
                    among,
                    key=lambda at: (
                        asked.apart[number] * apart[at],
                        asked.lustre[number] * lustres[at],
                        round(full[at], 6),
                        at,
                    ),
                )
                shares[into].append(number)
                full[into] += measure[number]
                lustres[into] += asked.lustre[number]
                apart[into] += asked.apart[number]
    return [tuple(share) for share in shares]


def _large_first(asked: Asked) -> list[int]:
    return sorted(
        asked.numbers,
        key=lambda number: (not asked.apart[number], not asked.lustre[number], -asked.area[number], number),
    )


# ---- and then the oldest promises forward ------------------------------------------------------------------------


def _sooner(asked: Asked, sharing: Sharing) -> Sharing:
    """The same number of rounds with older promises in earlier ones, as far as a fixed number of changes brings them.

    No round is emptied by it: that would make the number of rounds hang on what the changes happen to find.
    """
    left = _CHANGES_TRIED
    while left > 0:
        for _, early, late, pair in sorted(_changes(asked, sharing)):
            changed = [*sharing]
            changed[early], changed[late] = pair
            better = asked.in_turn(changed)
            if asked.waits(better) >= asked.waits(sharing) or not asked.keeps_fresh_last(better):
                continue
            left -= 1
            if all(map(asked.takes, pair)):
                sharing = better
                break
            if left == 0:
                return sharing
        else:
            return sharing
    return sharing


def _changes(asked: Asked, sharing: Sharing) -> Iterator[tuple[int, int, int, tuple[Share, Share]]]:
    """Every way to bring a piece forward, alone or for one that waits less: the gain below 0, and the two rounds."""
    for early, late in combinations(range(len(sharing)), 2):
        before, after = sharing[early], sharing[late]
        for mine in after:
            without, gain = tuple(number for number in after if number != mine), asked.weights[mine] * (early - late)
            if without and len(before) < asked.most:
                yield gain, early, late, ((*before, mine), without)
            for other in before:
                if asked.weights[other] < asked.weights[mine]:
                    kept = tuple(number for number in before if number != other)
                    less = gain - asked.weights[other] * (early - late)
                    yield less, early, late, ((*kept, mine), (*without, other))
