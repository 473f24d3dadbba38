"""Load plans made: one firing that takes what was promised first, or as many firings as all pieces need."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import cycle

from tracker.domain.loading.loads import LeftOut, LoadKiln, LoadPlan, PieceToLoad
from tracker.domain.loading.piles import Pile, may_share
from tracker.domain.loading.stacking import Level, More, Stacker, loaded
from tracker.domain.message import Message, _

NO_ROOM = Message("no-room", _("no room left in this firing"))
_NO_ROOM_FOR_SET = Message("no-room-for-set", _("no room left in this firing for the whole of its set"))

# Plans made before anybody asks for more, by the number of pieces: one for more than 75, and three for up to 50.
_PIECES_PLANNED, _MOST_PLANS = 150, 3

# How often each level of the first plan is filled anew: often where pieces are few, for a fill tries all that are left.
# With these 100 or 200 pieces take about six tenths of a second.
_FILLS, _FEWEST_REFILLS, _MOST_REFILLS = 400_000, 10, 60

# Up to so many levels every way to share them among firings is tried.
_FEW_GROUPS = 8

# How often each level is filled anew, and how far posts mix, from plan to plan after the first.
_AT_ONCE = ((5, 0.2), (10, 0.0))
_LATER = ((25, 0.0), (5, 0.8), (60, 0.0), (10, 0.2), (5, 0.5))

Unit = tuple[PieceToLoad, ...]
"""Pieces that fire together: those of one set, or one piece alone."""


def plan_firing(kiln: LoadKiln, gap_mm: float, pieces: Sequence[PieceToLoad], *, may_nest: bool = False) -> LoadPlan:
    """One firing that takes the pieces promised first, as many as go in, and then whatever still fits.

    In a bisque they `may_nest`. The same pieces give the same plan. What is left out says why: it never fits this kiln,
    or there is no room left.
    """
    stacker = Stacker(kiln, gap_mm, may_nest=may_nest)
    units, left_out = _fitting_units(stacker, pieces)
    levels, rest = _one_firing(stacker, units)
    left_out += [LeftOut(piece, _no_room_for(piece)) for unit in rest for piece in unit]
    return LoadPlan((loaded(levels),) if levels else (), tuple(left_out))


def plan_firings(
    kiln: LoadKiln,
    gap_mm: float,
    pieces: Sequence[PieceToLoad],
    more: More = lambda: False,
    *,
    may_nest: bool = False,
) -> LoadPlan:
    """As many firings as all pieces need, those with what was promised first before others.

    In a bisque they `may_nest`. It searches on for lower stacks as long as there is `more` time; with none the same
    pieces give the same plan.
    """
    stacker = Stacker(kiln, gap_mm, may_nest=may_nest)
    units, left_out = _fitting_units(stacker, pieces)
    firings = _lowest_firings(stacker, units, more)
    firings.sort(key=lambda firing: min(pile.promised for level in firing for pile in level.piles))
    return LoadPlan(tuple(map(loaded, firings)), tuple(left_out))


def _lowest_firings(stacker: Stacker, units: Sequence[Unit], more: More) -> list[list[Level]]:
    """The fewest and then the lowest of several plans: a fixed number of them, and others as long as there is time."""
    best: list[list[Level]] | None = None
    for levels in _tried(stacker, [piece for unit in units for piece in unit], more):
        firings = _into_firings(stacker, levels)
        if firings is not None and (best is None or _cost(stacker, firings) < _cost(stacker, best)):
            best = firings
    return best if best is not None else _one_after_another(stacker, units)


def _tried(stacker: Stacker, pieces: Sequence[PieceToLoad], more: More) -> Iterator[list[Level]]:
    """Levels for all pieces, again and again: a fixed number of times for each piling, and then the last one's."""
    pilings = stacker.pilings(pieces)
    for piles in pilings:
        fixed = max(1, min(_MOST_PLANS, _PIECES_PLANNED // max(len(piles), 1)))
        yield stacker.stack(piles, _refills(len(piles)))
        for refills, mixing in _AT_ONCE[: fixed - 1]:
            yield stacker.stack(piles, refills, mixing)
    for refills, mixing in cycle(_LATER):
        if not more():
            return
        yield stacker.stack(pilings[-1], refills, mixing, more)


def _refills(count: int) -> int:
    return max(_FEWEST_REFILLS, min(_MOST_REFILLS, _FILLS // max(count, 1) ** 2))


def _cost(stacker: Stacker, firings: Sequence[Sequence[Level]]) -> tuple[int, float]:
    return len(firings), sum(map(stacker.height, firings))


# ---- what may be loaded at all -----------------------------------------------------------------------------------


def _fitting_units(stacker: Stacker, pieces: Sequence[PieceToLoad]) -> tuple[list[Unit], list[LeftOut]]:
    """The pieces by what fires together, in the order of their promise, and those that go into no firing."""
    units: dict[object, list[PieceToLoad]] = {}
    for piece in sorted(pieces, key=lambda piece: piece.promised):
        # A set's name may be another piece's code, so the two are told apart.
        units.setdefault((piece.set_name,) if piece.set_name else piece.code, []).append(piece)
    fitting, left_out = list[Unit](), list[LeftOut]()
    known: dict[object, Message | None] = {}
    for unit in units.values():
        reasons = _reasons_against(stacker, unit, known)
        left_out += [LeftOut(piece, why) for piece, why in zip(unit, reasons, strict=True) if why]
        if not any(reasons):
            fitting.append(tuple(unit))
    return fitting, left_out


def _reasons_against(
    stacker: Stacker, unit: Sequence[PieceToLoad], known: dict[object, Message | None]
) -> list[Message | None]:
    """For each piece of a unit why it goes into no firing, or None; whatever stops one piece stops its set."""
    reasons = []
    for piece in unit:
        size = (piece.footprint, piece.height_mm)
        if size not in known:
            known[size] = stacker.kiln.never_takes(piece, stacker.without_posts)
        reasons.append(known[size])
    if len(unit) == 1:
        return reasons
    if any(reasons):
        stopped, because = next((piece, why) for piece, why in zip(unit, reasons, strict=True) if why)
        words = _("sets are fired together, and {mate} doesn't fit: {why}")
        return [why or Message("mate-left-out", words, mate=stopped.code, why=because) for why in reasons]
    if not any(stacker.go_in(stacker.stack(piles)) for piles in stacker.pilings(unit)):
        words = _("its set of {count} pieces is too large for one firing")
        return [Message("set-too-large", words, count=len(unit))] * len(unit)
    return reasons


def _no_room_for(piece: PieceToLoad) -> Message:
    return _NO_ROOM_FOR_SET if piece.set_name else NO_ROOM


# ---- one firing ---------------------------------------------------------------------------------------------------


def _one_firing(stacker: Stacker, units: Sequence[Unit]) -> tuple[list[Level], list[Unit]]:
    """Levels for as many of the first units as go in together, filled up with later ones; and the units left over."""
    levels, taken = _first_together(stacker, units)
    rest = []
    for unit in units[taken:]:
        with_it = _with_unit(stacker, levels, unit)
        if with_it is None:
            rest.append(unit)
        else:
            levels = with_it
    return levels, rest


def _first_together(stacker: Stacker, units: Sequence[Unit]) -> tuple[list[Level], int]:
    """Levels for the first so many units, as many as one firing holds, and how many those are."""
    most, least, levels = len(units) + 1, 0, list[Level]()
    trying = min(len(units), _likely(stacker, units))
    while least + 1 < most:
        some = _in_one_firing(stacker, [piece for unit in units[:trying] for piece in unit])
        if some is not None:
            least, levels = trying, some
            trying = min((least + most) // 2, least + max(4, least // 8))
        else:
            most = trying
            trying = max((least + most) // 2, most - max(4, most // 8))
    return levels, least


def _in_one_firing(stacker: Stacker, pieces: Sequence[PieceToLoad]) -> list[Level] | None:
    """The lowest levels of one firing with all these pieces, if one holds them."""
    tries = (stacker.stack(piles, refills=1) for piles in stacker.pilings(pieces))
    return min(filter(stacker.go_in, tries), key=stacker.height, default=None)


def _likely(stacker: Stacker, units: Sequence[Unit]) -> int:
    """How many units one firing may hold, so that the search begins near it: at a fill of three fifths."""
    room, count = stacker.kiln.room_mm * 0.6, 0
    for unit in units:
        room -= stacker.least_height(stacker.pilings(unit)[-1])
        if room < 0:
            break
        count += 1
    return max(count, 1)


def _with_unit(stacker: Stacker, levels: Sequence[Level], unit: Unit) -> list[Level] | None:
    """The levels with a unit on top of what stands there, on a new level where there is height for one; or nothing."""
    changed = list(levels) if len(unit) == 1 else [level.copy() for level in levels]
    for piece in unit:
        pile = Pile.of(piece)
        if stacker.may_nest and may_share(piece) and any(level.nest(piece) for level in changed):
            continue
        if any(level.take(pile) for level in changed):
            continue
        level = stacker.empty_for(pile)
        others = changed
        if level.only_on_top and (top := next((one for one in changed if one.only_on_top), None)):
            level, others = stacker.raised(top, pile), [one for one in changed if one is not top]
        if not stacker.go_in([*others, level]) or not level.take(pile):
            return None
        changed = [*others, level]
    return changed


# ---- as many as it takes ------------------------------------------------------------------------------------------


def _one_after_another(stacker: Stacker, units: Sequence[Unit]) -> list[list[Level]]:
    """Firings filled one by one, for sets that would not come together otherwise."""
    firings = []
    while units:
        levels, rest = _one_firing(stacker, units)
        firings.append(levels)
        units = rest
    return firings


def _into_firings(stacker: Stacker, levels: Iterable[Level]) -> list[list[Level]] | None:
    """The levels by firings: the fewest for a few levels, first-fit decreasing for many.

    Nothing where the levels of a set do not go into one firing.
    """
    groups = sorted(_bound_by_sets(levels), key=stacker.height, reverse=True)
    if not all(map(stacker.go_in, groups)):
        return None
    firings = _first_fit(stacker, groups)
    while len(groups) <= _FEW_GROUPS and len(firings) > 1:
        fewer: list[list[Level]] = [[] for _ in firings[1:]]
        if not _all_placed(stacker, groups, fewer):
            break
        firings = [firing for firing in fewer if firing]
    return firings


def _first_fit(stacker: Stacker, groups: Sequence[Sequence[Level]]) -> list[list[Level]]:
    firings: list[list[Level]] = []
    for some in groups:
        firing = next((firing for firing in firings if stacker.go_in([*firing, *some])), None)
        if firing is None:
            firings.append(list(some))
        else:
            firing.extend(some)
    return firings


def _all_placed(stacker: Stacker, groups: Sequence[Sequence[Level]], firings: list[list[Level]]) -> bool:
    """Whether all groups go into these firings, into which they are put; firings equally high are tried once."""
    if not groups:
        return True
    tried = set[tuple[float, bool]]()
    for place, firing in enumerate(firings):
        like = stacker.height(firing), any(level.only_on_top for level in firing)
        if like not in tried and stacker.go_in([*firing, *groups[0]]):
            tried.add(like)
            firings[place] = [*firing, *groups[0]]
            if _all_placed(stacker, groups[1:], firings):
                return True
            firings[place] = firing
    return False


def _bound_by_sets(levels: Iterable[Level]) -> list[list[Level]]:
    """Levels in groups that must fire together, because pieces of one set stand on them."""
    groups: list[tuple[set[str], list[Level]]] = []
    for level in levels:
        names, together = {pile.set_name for pile in level.piles if pile.set_name}, [level]
        apart = []
        for group in groups:
            if names & group[0]:
                names, together = names | group[0], group[1] + together
            else:
                apart.append(group)
        groups = [*apart, (names, together)]
    return [together for _, together in groups]
