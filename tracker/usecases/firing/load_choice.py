"""What may go into a firing, the oldest first, and where each piece is to stand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from tracker.domain.findings import Approval, Level
from tracker.domain.firing.firings import Firing, KeptPlan, Place, PlannedLevel
from tracker.domain.firing.mixed_loads import matures_in, others_that_join, own_route
from tracker.domain.loading.loads import LoadKiln, PieceToLoad, shrunk
from tracker.domain.loading.planner import plan_firing
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import Piece, Stage
from tracker.domain.rules.engine import judge
from tracker.domain.rules.untold import untold
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.settings import Practice
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change

_CONE_PACK = Footprint(90, 30)
"""The room on each level for a pack of three witness cones, in mm (common practice, from memory)."""

_MOST_LOOKED_AT = 400
"""Pieces considered for one load; no kiln here holds as many."""


@dataclass(frozen=True, slots=True)
class Load:
    """What is to go into a firing, with its plan, as thought out on the catalog of one `version`.

    `inside` stands in the kiln already, `coming` is to go in, in this order.
    """

    firing: Firing
    version: str
    inside: tuple[PieceRow, ...]
    coming: tuple[PieceRow, ...]
    plan: KeptPlan

    @property
    def count(self) -> int:
        """How many pieces that are in all."""
        return len(self.inside) + len(self.coming)

    @property
    def to_come(self) -> tuple[int, ...]:
        """The numbers of what is to go in."""
        return tuple(row.piece.id for row in self.coming)


class NotAsPlanned(Exception):
    """Somebody changed the firing, its pieces or the catalog while its load was being planned."""


def must_hold(change: Change, load: Load) -> None:
    """Raise `NotAsPlanned` where a piece or the catalog is not as it was when the load was planned."""
    read = change.read
    now = {row.piece.id: row for row in read.pieces.by_ids([row.piece.id for row in (*load.inside, *load.coming)])}
    was = {row.piece.id: row.piece.version for row in (*load.inside, *load.coming)}
    if (
        read.version() != load.version
        or {number: row.piece.version for number, row in now.items()} != was
        or not all(_is_free(now[number], load.firing) for number in load.to_come)
    ):
        raise NotAsPlanned


def load_for(read: Queries, which: Callable[[Queries], Firing], at: datetime, *, mixed: bool) -> Load:
    """Choose what is to go into a firing, and where each piece is to stand."""
    version, firing = read.version(), which(read)
    practice = read.catalog().practice
    inside = read.pieces.by_ids(firing.piece_ids) if firing.piece_ids else ()
    chosen, kept_out = _may_go_in(read, firing, at)
    # What would only fill the room that is left never pushes out what waits for this firing.
    fills_up = [row for row, _route in may_join_it(read, firing, at)] if mixed else []
    kiln = load_kiln(firing, practice)
    if kiln is None:
        plan = KeptPlan(left_out=tuple(kept_out))
    else:
        sets_begun = {row.piece.set_key for row in inside} - {None}
        chosen.sort(key=lambda row: row.piece.set_key not in sets_begun)
        plan = _load_plan(kiln, (*inside, *chosen, *fills_up), kept_out, practice)
    out = {number for number, _why in plan.left_out}
    coming = tuple(row for row in (*chosen, *fills_up) if row.piece.id not in out)
    return Load(firing, version, inside, coming, plan)


def _may_go_in(read: Queries, firing: Firing, at: datetime) -> tuple[list[PieceRow], list[tuple[int, Message]]]:
    """What waits for this firing's route and stands nowhere else, the oldest first; and what its door would stop."""
    rows = _waiting_for(read, firing.route)
    chosen, kept_out = [], []
    for row in _looked_at(rows):
        if not _is_free(row, firing):
            continue
        if why := _stopped(read, firing, firing.route, row.piece, at):
            kept_out.append((row.piece.id, why))
        else:
            chosen.append(row)
    return _whole_sets(chosen, kept_out, {row.piece.id: row for row in rows})


def may_join_it(read: Queries, firing: Firing, at: datetime) -> list[tuple[PieceRow, Route]]:
    """The pieces of other firing types that may go into this firing too, the oldest of each type first, with the type.

    Each is judged by its own firing type's rules in this kiln, at this firing's cone, and gets the heat that its clay
    needs. A set comes whole or not at all.
    """
    catalog = read.catalog()
    found: list[tuple[PieceRow, Route]] = []
    for route in others_that_join(firing, catalog):
        rows = _waiting_for(read, route)
        chosen, kept_out = [], []
        for row in _looked_at(rows):
            if not _is_free(row, firing) or own_route(firing, row.piece, catalog) != route:
                continue
            if why := _stopped(read, firing, route, row.piece, at) or _too_cool(firing, route, row.piece):
                kept_out.append((row.piece.id, why))
            else:
                chosen.append(row)
        whole, _with_theirs = _whole_sets(chosen, kept_out, {row.piece.id: row for row in rows})
        found += [(row, route) for row in whole]
    return found


def joins_of(read: Queries, firings: Iterable[Firing], at: datetime) -> dict[str, list[tuple[Firing, int]]]:
    """For each firing type the firings of other types that some of its pieces may join as they are, and how many."""
    found: dict[str, list[tuple[Firing, int]]] = {}
    for firing in firings:
        counted = Counter(route.name for _row, route in may_join_it(read, firing, at))
        for name, count in counted.items():
            found.setdefault(name, []).append((firing, count))
    return found


def _waiting_for(read: Queries, route: Route) -> tuple[PieceRow, ...]:
    is_bisque = route.kind is RouteKind.BISQUE
    return read.pieces.standing(Stage.GREENWARE) if is_bisque else read.pieces.waiting([route.name])


def _is_free(row: PieceRow, firing: Firing) -> bool:
    """Whether a piece is in no kiln and planned for no other firing."""
    return (row.firing_id, row.leaving_id) == (None, None) and row.piece.planned_in in {None, firing.id}


def _stopped(read: Queries, firing: Firing, own: Route, piece: Piece, at: datetime) -> Message | None:
    """What would stop a piece at this firing's kiln, None where nothing would.

    That greenware is bone dry and its wall not too thick is asked there, piece by piece, and not weeks before.
    """
    practice = read.catalog().practice
    if missing := untold(piece, own, practice, is_thin=True):
        return missing[0].message
    seen = replace(piece.at(at), dry=True)
    verdict = judge(seen, own.at(firing.target), practice, firing.kiln)
    if never := verdict.of(Level.REFUSE):
        return never[0].message
    asks = verdict.of(Level.ASK)
    leaves = read.questions.leaves(piece.id) if asks else ()
    return next((one.message for one in asks if Approval(own.name, one.message) not in leaves), None)


def _too_cool(firing: Firing, route: Route, piece: Piece) -> Message | None:
    """That the clay of a piece from another queue stays soft in this firing, None where it doesn't."""
    if matures_in(firing, route, piece):
        return None
    words = _("{clay} isn't mature at {cone}. {firing} is hotter.")
    return Message("clay-too-cool-here", words, clay=piece.clay.name, cone=firing.target, firing=route.title)


def _looked_at(rows: Sequence[PieceRow]) -> Iterable[PieceRow]:
    """The first so many, and later ones that fire together with one of them."""
    first, later = rows[:_MOST_LOOKED_AT], rows[_MOST_LOOKED_AT:]
    sets = {row.piece.set_key for row in first} - {None}
    return (*first, *(row for row in later if row.piece.set_key in sets))


def _whole_sets(
    chosen: Iterable[PieceRow], kept_out: Sequence[tuple[int, Message]], rows: Mapping[int, PieceRow]
) -> tuple[list[PieceRow], list[tuple[int, Message]]]:
    """What goes in, without the pieces of a set of which the door would stop another; those say so."""
    stopped = {rows[number].piece.set_key: (rows[number], why) for number, why in reversed(kept_out)}
    stopped.pop(None, None)
    whole, with_theirs = [], list(kept_out)
    for row in chosen:
        if row.piece.set_key not in stopped:
            whole.append(row)
            continue
        mate, why = stopped[row.piece.set_key]
        with_theirs.append((row.piece.id, Message("mate-stopped", _MATE_STOPPED, mate=mate.ref, why=why)))
    return whole, with_theirs


_MATE_STOPPED = _("sets are fired together, and {mate} can't be fired: {why}")


# ---- how large each piece is, and what the kiln holds ---------------------------------------------------------------


def _load_plan(
    kiln: LoadKiln, rows: Sequence[PieceRow], kept_out: Iterable[tuple[int, Message]], practice: Practice
) -> KeptPlan:
    numbers = {row.ref: row.piece.id for row in rows}
    raw = {row.piece.id for row in rows if row.piece.stage is Stage.GREENWARE}
    pieces = [to_load(row.piece, turn, practice, is_raw=row.piece.id in raw) for turn, row in enumerate(rows)]
    if glazed := len(raw) < len(rows):
        kiln = replace(kiln, gap_above_mm=practice.gap_above_mm)
    # Glazed ware never nests, whatever is in the kiln with it: only greenware has a form that may.
    made = plan_firing(kiln, practice.glaze_gap_mm if glazed else 0, pieces, may_nest=bool(raw))
    levels = tuple(
        PlannedLevel(
            shelf.post_mm,
            tuple(
                Place(
                    numbers[one.piece.code],
                    round(one.spot.x_mm, 1),
                    round(one.spot.y_mm, 1),
                    one.spot.turned,
                    over_mm=round(one.over_mm, 1),
                    rests=one.rests or "",
                    below=numbers[one.below] if one.below else None,
                )
                for one in shelf.placed
            ),
        )
        for shelf in made.shelves
    )
    left_out = ((numbers[one.piece.code], one.reason) for one in made.left_out)
    return KeptPlan(levels, (*kept_out, *left_out))


def to_load(piece: Piece, turn: int, practice: Practice, *, is_raw: bool) -> PieceToLoad:
    """A piece as the plan sees it: greenware as it was registered, later ware as much smaller as the bisque made it.

    Bare, sound greenware may nest: an open form in others, a tile on others. What is decorated, fragile or mended may
    smudge or break, and stands alone (common practice). On a kiln cookie it is as wide and as high as with the cookie.
    """
    whole = 0.0 if is_raw else piece.clay.shrinkage_pct or 0.0
    shrinkage = whole * practice.bisque_share_pct / 100
    height, width, depth = (
        shrunk(size or _UNMEASURED_MM, shrinkage) for size in (piece.height_mm, piece.width_mm, piece.depth_mm)
    )
    if piece.catch_plate:
        height += practice.cookie_thickness_mm
        width, depth = width + 2 * practice.cookie_margin_mm, depth + 2 * practice.cookie_margin_mm
    lies = Footprint.round(max(width, depth)) if piece.is_round else Footprint(width, depth)
    # What stands in the kiln is there already: its mates come next, but whether they find room moves it no more.
    tied = piece.set_key if piece.in_firing is None else None
    name = f"{tied[0]} {tied[1]}" if tied else None
    alone = not is_raw or piece.layers or piece.fragile or piece.mended
    return PieceToLoad(
        piece.ref,
        lies,
        height,
        weight_g=piece.weight_g,
        promised=turn,
        set_name=name,
        nests=False if alone else piece.nests or None,
        wall_mm=piece.wall_mm,
    )


_UNMEASURED_MM = 150
"""What a side that nobody has measured is taken for; pages always ask for all three."""


def load_kiln(firing: Firing, practice: Practice) -> LoadKiln | None:
    """A firing's kiln as a load plan sees it; None while its chamber or its shelves have not been measured."""
    chamber, furniture = firing.kiln.chamber, firing.kiln.furniture
    if chamber is None or furniture is None or chamber.height_mm is None:
        return None
    is_bisque = firing.route.kind is RouteKind.BISQUE
    if furniture.round_mm is not None:
        kind = ShelfKind.HALF if furniture.halves else ShelfKind.ROUND
        shelf = Shelf(kind, furniture.round_mm, furniture.round_mm)
    else:
        shelf = Shelf(ShelfKind.RECTANGULAR, furniture.width_mm or 0, furniture.depth_mm or 0)
    return LoadKiln(
        shelf=shelf,
        height_mm=chamber.height_mm,
        shelf_thickness_mm=furniture.thickness_mm,
        posts_mm=furniture.posts_mm,
        clearance_top_mm=chamber.clearance_mm,
        gap_above_mm=practice.bisque_gap_above_mm if is_bisque else practice.gap_above_mm,
        post_radius_mm=furniture.post_radius_mm,
        cones=_CONE_PACK,
    )
