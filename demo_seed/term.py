"""The term, day by day: who registers, glazes, queues, fires, asks, loses and fetches what."""

from __future__ import annotations

from dataclasses import replace

from demo_seed import words
from demo_seed.floor import Floor, Pot
from demo_seed.kiln_room import KilnRoom
from demo_seed.plans import Plan, second_try
from demo_seed.second_thoughts import SecondThoughts
from demo_seed.slips import Slips
from demo_seed.sorts import TERM_DAYS, Question
from tracker.domain.findings import Level, NeedsAcceptance, NeedsInstructor
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Foot, Stage, Use
from tracker.domain.rules.engine import judge_in
from tracker.domain.studio.materials import CLAYS_IN_COATS, ClayKind, Coat, Zone
from tracker.usecases.pieces import editing, found_again, pieces, undoing
from tracker.usecases.pieces.later_flaws import note_flaws
from tracker.usecases.pieces.pickup import hand_over
from tracker.usecases.rules import questions

_WONDERING = dict(zip((22, 45, TERM_DAYS - 6, TERM_DAYS - 3, TERM_DAYS - 1), words.WONDERING, strict=True))
_CORRECTED = (30, 37, 52)
"""The days on which a question is asked that no rule raises, and on which the record is put right."""
_CRAZED_AT_HOME = 50
"""The day on which somebody finds at home that the glaze of a mug has crazed."""


_TOLD_AGAIN = (16, 27, 41, TERM_DAYS - 9)
"""The days on which somebody finds with a needle that a wall is thicker than was said of it."""

_THICK_MM = 28
_LUSTER = "Soap Window"
_WORTH_ANOTHER_FIRE = {Flaw.PINHOLED, Flaw.UNDERFIRED}
_WAX, _WAXES_LINES = "Emulsion wax", 9
"""One in so many of the pots with two coats or more gets lines of this wax between the first two."""


class Term:
    """The way of every piece, one day after the other."""

    def __init__(self, floor: Floor, plans: tuple[Plan, ...]) -> None:
        """Begin on `floor`; `plans` are in the order of their days."""
        self.floor = floor
        self._hands = floor.hands
        self._to_come = list(plans)
        self._kilns = KilnRoom(floor)
        self._slips = Slips(floor)
        self._second_thoughts = SecondThoughts(floor, lambda pot: _new_piece(pot.plan))
        self._missing = 0

    def live(self, day: int) -> None:
        """Play one day, from unloading the kilns in the morning to loading them in the evening."""
        clock = self._hands.clock
        clock.turn_to(day, 9)
        self._kilns.unload(day)
        self._look_at_what_came_out(day)
        self._shelve()
        clock.turn_to(day, 10.5)
        self._hand_over(day)
        self._ask_for_the_bisque(day)
        self._answer(day)
        self._wonder(day)
        clock.turn_to(day, 12)
        self._register(day)
        self._decorate(day)
        clock.turn_to(day, 13.5)
        self._work_at_the_benches(day)
        self._slips.happen(day)
        self._second_thoughts.happen(day, self._kilns.out_today)
        self._correct(day)
        self._put_right(day)
        clock.turn_to(day, 15.5)
        self._queue(day)
        self._lose(day)
        self._find(day)
        clock.turn_to(day, 16.5)
        self._kilns.load(day)

    # ---- one part of the day each --------------------------------------------------------------------------------

    def _register(self, day: int) -> None:
        while self._to_come and self._to_come[0].born == day:
            plan = self._to_come.pop(0)
            maker = self.floor.cast.students[plan.maker]
            receipt = self._hands.do(pieces.register, maker, _new_piece(plan))
            stage = Stage.BISQUED if plan.sort.arrives_bisqued else Stage.GREENWARE
            self.floor.pots.append(
                Pot(
                    plan=plan,
                    maker=maker,
                    id=receipt.piece_id or 0,
                    ref=receipt.ref,
                    stage=stage,
                    due=self.floor.later(day, 4, 7),
                    lost_at=plan.sort.lost_at,
                    may_be_bisqued=plan.ware.clay.kind is not ClayKind.UNKNOWN,
                )
            )

    def _decorate(self, day: int) -> None:
        """Brush slip and terra sigillata, and every second underglaze, on ware that is still raw."""
        for pot in self.floor.pots:
            if pot.stage is not Stage.GREENWARE or pot.plan.born >= day or pot.worn:
                continue
            for layer in pot.to_come[:1]:
                coat = layer.glaze.coat
                if coat in CLAYS_IN_COATS or (coat is Coat.UNDERGLAZE and pot.id % 2):
                    self._hands.do(pieces.glaze, pot.maker, pot.ref, layer.glaze.name, layer.zone)
                    pot.worn = 1

    def _work_at_the_benches(self, day: int) -> None:
        for pot in list(self.floor.standing(Stage.BISQUED, day)):
            if pot.plan.sort.route is None:
                self._hands.scan(hand_over, self.floor.somebody, pot.ref)
                pot.stage = Stage.CLAIMED
            elif pot.plan.waxed:
                self._hands.do(pieces.wax, pot.maker, pot.ref, place="waxing bench")
                pot.stage, pot.due = Stage.WAXED, self.floor.later(day, 1, 4)
            elif pot.to_come:
                self._glaze(pot, day)
        for pot in list(self.floor.standing(Stage.WAXED, day)):
            self._glaze(pot, day)

    def _glaze(self, pot: Pot, day: int) -> None:
        ware = pot.plan.ware
        foot = Foot.WAXED if pot.plan.waxed else ware.foot
        for layer in pot.to_come:
            self._hands.do(
                pieces.glaze,
                pot.maker,
                pot.ref,
                layer.glaze.name,
                layer.zone,
                foot=foot,
                catch_plate=ware.catch_plate,
            )
            if pot.id % _WAXES_LINES == 0 and layer is not ware.layers[-1]:
                self._hands.do(pieces.glaze, pot.maker, pot.ref, _WAX, layer.zone)
        pot.worn = len(ware.layers)
        pot.stage, pot.due = Stage.GLAZED, self.floor.later(day, 1, 3)

    def _queue(self, day: int) -> None:
        bare = [pot for pot in self.floor.standing(Stage.BISQUED, day) if pot.plan.sort.route and not pot.to_come]
        for pot in [*self.floor.standing(Stage.GLAZED, day), *bare]:
            if pot.held:
                continue
            if pot.plan.sort.question and not pot.settled:
                self._ask(pot, day)
            else:
                self._stand_in_line(pot, day)

    def _stand_in_line(self, pot: Pot, day: int) -> None:
        route = self.floor.catalog.route(pot.plan.sort.route or "")
        somebody = self.floor.somebody
        verdict = judge_in(self.floor.catalog, self.floor.piece(pot).at(self._hands.clock.now), route)
        warnings = frozenset(one.rule for one in verdict.of(Level.WARN))
        if warnings and self.floor.chance(0.3):  # some do not read the warning at first
            self._hands.refused(NeedsAcceptance, pieces.queue, somebody, pot.ref, route.name)
        place = route.shelf
        receipt = self._hands.scan(pieces.queue, somebody, pot.ref, route.name, accepts=warnings, place=place)
        pot.stage, pot.due = Stage.QUEUED, day
        if self.floor.chance(0.02) and receipt.line is not None:  # a slip of the scanner
            self._hands.scan(undoing.undo, somebody, receipt.line)
            pot.stage, pot.due = self.floor.piece(pot).stage, day + 1

    # ---- questions -----------------------------------------------------------------------------------------------

    def _ask(self, pot: Pot, day: int) -> None:
        if pot.question is not None:
            return
        route = pot.plan.sort.route or ""
        self._hands.refused(NeedsInstructor, pieces.queue, self.floor.somebody, pot.ref, route)
        (rule,) = pot.plan.sort.rules
        receipt = self._hands.do(questions.ask, pot.maker, pot.ref, words.TALKS[rule].asks, route=route)
        pot.question = int(receipt.extra["question"])
        pot.due = self.floor.later(day, 1, 4)

    def _ask_for_the_bisque(self, day: int) -> None:
        """Have every maker of nameless clay ask about its first fire, and the instructor allow it the next morning."""
        for pot in self.floor.pots:
            if pot.stage is not Stage.GREENWARE or pot.may_be_bisqued or pot.plan.born >= day:
                continue
            receipt = self._hands.do(questions.ask, pot.maker, pot.ref, words.FIRST_FIRE.asks, route="bisque")
            asked = int(receipt.extra["question"])
            text = words.FIRST_FIRE.allows
            self._hands.do(questions.answer, self.floor.cast.instructors[0], asked, text, allows=True)
            pot.may_be_bisqued = True

    def _answer(self, day: int) -> None:
        for pot in self.floor.pots:
            meant = pot.plan.sort.question
            if pot.question is None or pot.settled or pot.due > day or meant is Question.OPEN:
                continue
            (rule,) = pot.plan.sort.rules
            talk, allows = words.TALKS[rule], meant is Question.ALLOWED
            text = talk.allows if allows else talk.refuses
            self._hands.do(questions.answer, self.floor.instructor, pot.question, text, allows=allows)
            pot.settled = True
            if not allows:
                self._begin_again(pot, day)

    def _begin_again(self, pot: Pot, day: int) -> None:
        """Wash a piece off that the instructor did not let through, and plan glazes that need nobody's leave."""
        self._hands.do(pieces.wash_off, pot.maker, pot.ref, place="sink")
        ware, route = second_try(self.floor.catalog, pot.plan.ware, self.floor.random)
        sort = replace(pot.plan.sort, route=route, question=None)
        pot.plan, pot.worn = replace(pot.plan, ware=ware, sort=sort), 0
        pot.stage, pot.due = self.floor.piece(pot).stage, self.floor.later(day, 1, 3)

    def _wonder(self, day: int) -> None:
        """Let a student ask about a piece with which nothing is wrong; the last of these questions are still open."""
        mine = [pot for pot in self.floor.pots if pot.stage is Stage.BISQUED and pot.plan.sort.question is None]
        if day not in _WONDERING or not mine:
            return
        pot, (asks, answer) = self.floor.random.choice(mine), _WONDERING[day]
        receipt = self._hands.do(questions.ask, pot.maker, pot.ref, asks)
        if answer:
            number = int(receipt.extra["question"])
            self._hands.do(questions.answer, self.floor.instructor, number, answer, allows=True)
        pot.held = not answer

    def _put_right(self, day: int) -> None:
        """Let the maker of a drying piece put right how thick its wall is."""
        drying = [pot for pot in self.floor.pots if pot.stage is Stage.GREENWARE and not pot.thick]
        if day in _TOLD_AGAIN and drying:
            pot = drying[-1]
            self._hands.do(editing.set_right, pot.maker, pot.ref, Told(wall_mm=_THICK_MM))
            pot.thick = True

    # ---- the end of the way ----------------------------------------------------------------------------------------

    def _look_at_what_came_out(self, day: int) -> None:
        """Send the worst of what was unloaded this morning back for another fire, by the instructor's leave."""
        for pot, outcome in self._kilns.out_today:
            spoilt = pot.stage is Stage.FIRED and not _WORTH_ANOTHER_FIRE.isdisjoint(outcome.flaws)
            if pot.stage is Stage.FIRED and pot.plan.sort.then is not None:
                self._luster(pot, pot.plan.sort.then, day)
            elif spoilt and pot.plan.sort.stops_at is None and not self._is_outdoors(pot):
                self._hands.do(pieces.fire_again, self.floor.instructor, pot.ref, words.WHY_FIRE_AGAIN[pot.id % 2])
                pot.stage, pot.due = Stage.GLAZED, self.floor.later(day, 1, 3)

    def _luster(self, pot: Pot, route: str, day: int) -> None:
        """Brush a luster over the fired glaze of a piece that is meant for one, for a firing of its own."""
        self._hands.do(pieces.fire_again, self.floor.instructor, pot.ref, words.WHY_LUSTER)
        self._hands.do(pieces.glaze, pot.maker, pot.ref, _LUSTER, Zone.OUTSIDE)
        pot.plan = replace(pot.plan, sort=replace(pot.plan.sort, route=route, then=None))
        pot.stage, pot.due = Stage.GLAZED, self.floor.later(day, 1, 3)

    def _shelve(self) -> None:
        """Scan what is finished onto the shelves from which it is fetched; what sheds slivers is bagged instead."""
        for pot, _ in self._kilns.out_today:
            if pot.stage is Stage.FIRED and not self.floor.piece(pot).sheds_slivers:
                shelf = words.PICKUP_SHELVES[pot.id % len(words.PICKUP_SHELVES)]
                self._hands.note(pieces.shelve, self.floor.cast.staff[0], pot.ref, shelf)

    def _is_outdoors(self, pot: Pot) -> bool:
        return self.floor.catalog.route(pot.plan.sort.route or "").is_pulled_hot

    def _hand_over(self, day: int) -> None:
        for pot in list(self.floor.standing(Stage.FIRED, day)):
            to = self.floor.random.choice(words.STAND_INS) if self.floor.chance(0.08) else ""  # now and then
            if self.floor.piece(pot).sheds_slivers:
                self._hands.do(pieces.lose, self.floor.somebody, pot.ref, Loss.DISCARDED)
                pot.stage = Stage.LOST
            else:
                self._hands.scan(hand_over, self.floor.somebody, pot.ref, to=to)
                pot.stage = Stage.CLAIMED
        if day == _CRAZED_AT_HOME:
            self._find_a_crazed_mug()

    def _find_a_crazed_mug(self) -> None:
        for pot in self.floor.pots:
            if pot.stage is Stage.CLAIMED and pot.plan.ware.use is Use.FOOD and pot.plan.ware.layers:
                piece = self._hands.store.read.pieces.piece(code=pot.ref)
                if piece is not None and piece.layers and not piece.flaws:
                    self._hands.note(note_flaws, pot.maker, pot.ref, {Flaw.CRAZED})
                    return

    def _correct(self, day: int) -> None:
        """Put a piece back that was noted as waxed and is not."""
        pots = [pot for pot in self.floor.pots if pot.stage is Stage.WAXED]
        if day in _CORRECTED and pots:
            pot = self.floor.random.choice(pots)
            if day == _CORRECTED[0]:
                self._hands.do(pieces.correct, self.floor.instructor, pot.ref, Stage.BISQUED, words.WHY_CORRECT)
            else:
                self._hands.do(pieces.not_waxed, pot.maker, pot.ref)
            pot.stage, pot.due = Stage.BISQUED, day + 1

    def _lose(self, day: int) -> None:
        for pot in self.floor.pots:
            if pot.lost_at is pot.stage and pot.due <= day:
                causes = words.BROKEN if pot.id % 2 else (*words.MISSING, *words.DISCARDED)
                cause = self.floor.random.choice(causes)
                self._hands.do(pieces.lose, self.floor.somebody, pot.ref, cause)
                pot.stage, pot.lost_at, pot.due = Stage.LOST, None, day + 9
                # Only what is missing turns up again, and of that the first and every second.
                self._missing += cause in words.MISSING
                pot.turns_up = cause in words.MISSING and self._missing % 2 == 1

    def _find(self, day: int) -> None:
        for pot in self.floor.pots:
            if pot.stage is Stage.LOST and pot.turns_up and pot.due <= day:
                self._hands.do(found_again.find, self.floor.somebody, pot.ref, place="behind the glaze table")
                pot.stage, pot.due, pot.turns_up = self.floor.piece(pot).stage, day + 1, False


def _new_piece(plan: Plan) -> NewPiece:
    ware = plan.ware
    if ware.build is None or ware.use is None:
        raise ValueError(f"Nobody has said how {plan.what} is built and for what.")
    return NewPiece(
        what=plan.what,
        clay=ware.clay.name,
        build=ware.build,
        use=ware.use,
        height_mm=ware.height_mm or 0,
        width_mm=ware.width_mm or 0,
        depth_mm=ware.depth_mm or 0,
        fragile=ware.fragile,
        burnished=bool(ware.burnished),
        mended=ware.mended,
        weight_g=ware.weight_g,
        wall_mm=ware.wall_mm,
        vented=ware.vented,
        nests=plan.nests,
        arrives_bisqued=plan.sort.arrives_bisqued,
    )
