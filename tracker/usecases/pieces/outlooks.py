"""What comes next for each of some pieces, put together from what is on record: what to do, where it is, and when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from functools import cached_property

from tracker.domain.findings import Approval, Level
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.forecasts import Heating, Opening, in_line, opening_of, with_room
from tracker.domain.firing.greenware import schedule_of
from tracker.domain.firing.mixed_loads import stayed_soft
from tracker.domain.firing.outlooks import (
    STILL_TO_FIRE,
    Behind,
    Circumstances,
    Coming,
    FiringAhead,
    Hot,
    Next,
    Outlook,
    Planned,
    Spot,
    Standing,
    When,
    Where,
    is_mendable,
    next_of,
    spot_of,
)
from tracker.domain.message import Fact, Message, _
from tracker.domain.outdoor.pull_heats import heat_of
from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.losses import Loss, cause_of
from tracker.domain.pieces.outcomes import MENDED_BY_FIRE, SHARP, came_out, in_order
from tracker.domain.pieces.piece import Piece, Stage, Use
from tracker.domain.rules.engine import judge_in
from tracker.domain.rules.food_prospects import Never, why_never
from tracker.domain.rules.food_standing import FoodWord, food_of
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.store.pieces.queries import PieceRow
from tracker.store.pieces.shelf_queries import LostAs
from tracker.store.queries import Queries
from tracker.store.rules.queries import QuestionRow
from tracker.usecases.pieces.turns import standing_answer
from tracker.usecases.pieces.ways import may_be_mended, standing_of
from tracker.usecases.pieces.wishes import greenware_place, is_put_away, place_for, shelf_of, wrong_cart


def outlooks_of(read: Queries, rows: Iterable[PieceRow], at: datetime) -> Mapping[int, Outlook]:
    """What comes next for each of these pieces, by number.

    Firings, kilns and queues are each asked about once, however many pieces wait for them.
    """
    rows = tuple(rows)
    to_fire = [row.piece.id for row in rows if row.piece.stage in STILL_TO_FIRE]
    asked: dict[int, list[QuestionRow]] = defaultdict(list)
    for question in read.questions.answered_on(to_fire):
        asked[question.piece_id].append(question)
    steps = read.pieces.last_steps(asked) if asked else {}
    causes = read.shelves.causes([row.piece.id for row in rows if row.piece.stage is Stage.LOST])
    parted = read.shelves.parted_with([row.piece.id for row in rows if row.piece.stage is Stage.CLAIMED])
    known = _Known(read, at)
    waited_for = read.pieces.waited_for([row.piece.id for row in rows if row.piece.stage is Stage.FIRED])
    told = {
        row.piece.id: _outlook(
            row, known, asked[row.piece.id], steps.get(row.piece.id, at), waited_for.get(row.piece.id)
        )
        for row in rows
        if row.piece.id not in causes and row.piece.id not in parted
    }
    told |= {row.piece.id: _parted(row.piece, *parted[row.piece.id]) for row in rows if row.piece.id in parted}
    return told | {row.piece.id: _lost(row.piece, causes[row.piece.id]) for row in rows if row.piece.id in causes}


def _lost(piece: Piece, lost: LostAs) -> Outlook:
    """What comes next for a lost piece: what became of it decides."""
    loss = Loss.BROKEN if lost.in_kiln else cause_of(lost.cause) or Stage.LOST
    around = Circumstances(broke=lost.in_kiln, loss=loss)
    return Outlook(next=next_of(piece, around), spot=spot_of(piece, ""), loss=loss)


def _parted(piece: Piece, goes: Disposal, to: str) -> Outlook:
    """What comes next for a piece that was donated or kept for the studio."""
    where = Where.STUDIO if goes is Disposal.KEEP else Where.DONATED
    return Outlook(next=next_of(piece, Circumstances(goes=goes)), spot=Spot(where=where, name=to))


def outlook_of(read: Queries, row: PieceRow, at: datetime) -> Outlook:
    """What comes next for one piece."""
    return outlooks_of(read, [row], at)[row.piece.id]


def _outlook(
    row: PieceRow, known: _Known, questions: Sequence[QuestionRow], last_step: datetime, waited_for: str | None
) -> Outlook:
    piece = row.piece
    firing = known.ahead.get(row.firing_id) if row.firing_id is not None else None
    answer = None if row.question_open else standing_answer(piece, questions, last_step)
    never = known.never_fit(piece) if piece.stage in STILL_TO_FIRE else None
    waited = known.routes.get(waited_for or "")
    unsafe = is_unsafe(piece, known.catalog)
    around = Circumstances(
        firing=firing,
        must_leave=row.leaving_id is not None,
        is_asked=row.question_open,
        is_declined=answer is not None and not answer.allows,
        standing=known.standing(piece, questions),
        is_wished=row.wish is not None and (answer is None or answer.allows or answer.route != row.wish.route),
        is_never_fit=never is not None,
        is_unmeasured=never is Never.UNMEASURED,
        is_soft=waited is not None and stayed_soft(piece, waited),
        may_mend=is_mendable(piece) and may_be_mended(piece, known.catalog),
        is_unsafe=unsafe,
    )
    nearest = next_of(piece, around)
    wish = row.wish.route if row.wish and nearest is Next.QUEUE else None
    route = (
        waited_for
        if nearest is Next.SOFT
        else firing.route
        if firing
        else answer.route
        if answer and nearest in {Next.CHANGE, Next.SAY_FIRING, Next.OTHER_FIRING}
        else wish or piece.route
    )
    return Outlook(
        next=nearest,
        spot=spot_of(piece, row.kiln, known.greenware_at),
        when=_when(row, firing, nearest, known),
        firing=known.routes[route].title if route else "",
        heat=known.heat(route) if route else None,
        shelf=shelf_of(known.routes[wish], piece) if wish else None,
        place=place_for(known.routes[wish]) if wish and not is_put_away(piece, known.routes[wish]) else "",
        # What is still in a kiln is on no cart.
        wrong_cart="" if around.must_leave else wrong_cart(piece, known.catalog, wish),
        flaws=_flaws_told(piece, nearest),
        is_sharp=nearest in {Next.PICK_UP, Next.FIRE_AGAIN} and not SHARP.isdisjoint(piece.flaws),
        is_not_for_food=nearest in _GOES_HOME and piece.use is Use.FOOD and (unsafe or not piece.holds_food),
    )


_GOES_HOME = frozenset({Next.PICK_UP, Next.FIRE_AGAIN, Next.SOFT})


def is_unsafe(piece: Piece, catalog: Catalog) -> bool:
    """Whether what is known now, such as a failed leach test, refuses a piece for food that was fired for it."""
    is_fired = piece.stage in {Stage.FIRED, Stage.CLAIMED} and piece.holds_food
    return is_fired and food_of(piece, catalog).word is FoodWord.NOT_FOR_FOOD


def _flaws_told(piece: Piece, nearest: Next) -> tuple[Fact, ...]:
    """The flaws that what comes next is about: those that fire mends, or those that keep it from food."""
    if nearest is Next.FIRE_AGAIN:
        return in_order(MENDED_BY_FIRE.intersection(piece.flaws))
    return came_out(in_order(piece.spoilt_by)) if nearest is Next.NO_FOOD else ()


def _when(row: PieceRow, firing: FiringAhead | None, nearest: Next, known: _Known) -> When | None:
    """When its kiln may be opened or its firing is; None where it waits for a person first."""
    if firing is not None and nearest is Next.COOL:
        opening = known.opening(firing)
        return Hot(firing=firing, opening=opening, is_past=opening.at is not None and opening.at <= known.at)
    planned = firing or known.ahead.get(row.piece.planned_in or 0)
    if planned is not None and nearest is not Next.COME_OUT:
        is_late = planned.day is not None and planned.takes_pieces and known.is_over(planned.day)
        return Planned(firing=planned, is_late=is_late)
    if nearest is Next.QUEUE and row.wish is not None:
        return known.coming(row.wish.route)
    return known.behind(row) if nearest in {Next.WAIT, Next.DRY} else None


class _Known:
    """What forecasts rest on, each part read when it is first needed and then kept."""

    def __init__(self, read: Queries, at: datetime) -> None:
        self.at = at
        self._read = read
        self._lines: dict[str | None, tuple[Sequence[int], Sequence[int]]] = {}
        self._openings: dict[int, Opening] = {}
        self._never_fit: dict[str, Never | None] = {}

    @cached_property
    def ahead(self) -> Mapping[int, FiringAhead]:
        """The firings that have not been unloaded, by number."""
        return {firing.id: firing for firing in self._read.forecasts.ahead()}

    @cached_property
    def catalog(self) -> Catalog:
        """The studio's materials, kilns and firing types."""
        return self._read.catalog()

    @property
    def routes(self) -> Mapping[str, Route]:
        """Every firing type, by its key."""
        return self.catalog.routes

    def heat(self, route: str) -> Fact:
        """The cone of a firing type, or the heat at which its ware is pulled."""
        return heat_of(self.routes[route], self._read.catalog().practice.outdoors)

    @cached_property
    def greenware_at(self) -> str:
        """The shelf for greenware; empty where the studio named none."""
        return greenware_place(self.catalog)

    def standing(self, piece: Piece, questions: Sequence[QuestionRow]) -> Standing:
        """Whether a firing takes a piece as it is; what is neither greenware nor glazed is not asked about."""
        if piece.stage not in {Stage.GREENWARE, Stage.GLAZED} or piece.in_firing is not None:
            return Standing.OPEN
        allowed = [(one.route, one.findings) for one in questions if one.allows and one.route]
        leaves = {Approval(route, found.message) for route, findings in allowed for found in findings}
        return standing_of(piece.at(self.at), self._read.catalog(), leaves, questions)

    def never_fit(self, piece: Piece) -> Never | None:
        """Why no firing here makes the clay of a piece for food fit for that; None for every other piece."""
        if piece.use is not Use.FOOD:
            return None
        clay = piece.clay.name
        if clay not in self._never_fit:
            self._never_fit[clay] = why_never(self.catalog, piece)
        return self._never_fit[clay]

    def is_over(self, day: datetime) -> bool:
        """Whether a planned day has gone by: a firing is late from the next day on."""
        return (self.at - day).total_seconds() > _A_DAY_S

    def opening(self, firing: FiringAhead) -> Opening:
        """When a kiln that is hot may be opened."""
        if firing.id not in self._openings:
            self._openings[firing.id] = self._opening(firing)
        return self._openings[firing.id]

    def _opening(self, firing: FiringAhead) -> Opening:
        below_c = self._read.catalog().practice.fires.open_below_c
        return opening_of(
            Heating(lit_at=firing.lit_at, shut_at=firing.shut_at),
            below_c=below_c,
            log_points=self._read.firings.log(firing.id),
            earlier=self._read.forecasts.heatings(firing.kiln, firing.route),
            schedule_s=self._schedule_s(firing) if firing.stage is FiringStage.FIRING else None,
        )

    def _schedule_s(self, firing: FiringAhead) -> float | None:
        held = self._read.firings.firing(firing.id)
        if held is None:
            return None
        practice = self._read.catalog().practice.fires
        schedule = schedule_of(held, practice, has_raw=self._read.firings.has_raw(held))
        return schedule.lasts_s if schedule else None

    def behind(self, row: PieceRow) -> Behind | None:
        """A piece's turn among those that wait for its firing type; None where it waits for none."""
        piece, catalog = row.piece, self._read.catalog()
        if piece.route is not None:
            titles, key = {piece.route: catalog.routes[piece.route].title}, piece.route
        else:
            bisques = (route for route in catalog.routes_by_heat if route.kind is RouteKind.BISQUE)
            titles, key = {route.name: route.title for route in bisques}, None
        waiting, counts = self._line(key, titles)
        without = tuple(one for one in self.ahead.values() if one.route in titles and one.takes_pieces)
        line = in_line(piece.id, waiting, planned=[one.id for one in without], counts=counts)
        if line is None or not titles:
            return None
        why = self._why(piece, without)
        return Behind(title=next(iter(titles.values())), line=line, without=without, why=why)

    def coming(self, route: str) -> Coming:
        """The next planned firing of a type with room for a piece that goes to the end of its queue."""
        waiting, counts = self._line(route, [route])
        mine = (one for one in self.ahead.values() if one.route == route and one.stage is FiringStage.PLANNED)
        planned = [one for one in mine if one.day is None or not self.is_over(one.day)]
        planned.sort(key=lambda one: (one.day is None, one.day or self.at, one.id))
        at = with_room(len(waiting), [self.meant_for.get(one.id, 0) for one in planned], counts)
        return Coming(firing=None if at is None else planned[at], is_full=bool(planned) and at is None)

    @cached_property
    def meant_for(self) -> Mapping[int, int]:
        """How many pieces are planned for each firing."""
        return self._read.forecasts.planned_counts()

    def _why(self, piece: Piece, without: Sequence[FiringAhead]) -> Message | None:
        """Why a piece is in no load: what keeps it out of every kiln, or else why the next firing goes without it."""
        catalog = self._read.catalog()
        verdict = None if piece.route is None else judge_in(catalog, piece.at(self.at), catalog.routes[piece.route])
        if verdict is not None and (never := verdict.of(Level.REFUSE)):
            return never[0].message
        if not without:
            return None
        has_plan, why = self._read.forecasts.why_left_out(piece.id, without[0].id)
        return why or (_TOO_LATE if has_plan else None)

    def _line(self, key: str | None, names: Collection[str]) -> tuple[Sequence[int], Sequence[int]]:
        if key not in self._lines:
            forecasts = self._read.forecasts
            self._lines[key] = forecasts.line(key), forecasts.load_counts(names)
        return self._lines[key]


_TOO_LATE = Message("queued-after-the-plan", _("it was queued after that load was planned"))
_A_DAY_S = 86_400
