"""What people think better of: a wrong maker, a wrong result, a piece not handed out, a firing asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from demo_seed.floor import Floor, Pot
from demo_seed.sorts import TERM_DAYS
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Stage, StepName, Use
from tracker.usecases.firing.results import correct_result
from tracker.usecases.pieces import pieces, registrations, wishes
from tracker.usecases.pieces.pickup import hand_over, take_back

_A_MINUTE = 60


class SecondThoughts:
    """Each happens once, on the first day from its own on that has a piece for it; none takes time or chance."""

    def __init__(self, floor: Floor, new_piece: Callable[[Pot], NewPiece]) -> None:
        """Begin with none; `new_piece` says again what the maker of a pot said when it was registered."""
        self._floor = floor
        self._hands = floor.hands
        self._staff = floor.cast.staff[0]
        self._new_piece = new_piece
        self._out_today: Sequence[tuple[Pot, Outcome]] = ()
        self._to_come: list[tuple[int, Callable[[], bool]]] = [
            (33, self._give),
            (44, self._take_back),
            (48, self._correct_result),
            (TERM_DAYS, self._ask_for_a_firing),
            (TERM_DAYS, self._withdraw),
            (TERM_DAYS, self._merge),
        ]

    def happen(self, day: int, out_today: Sequence[tuple[Pot, Outcome]]) -> None:
        """Let what is due happen; `out_today` was unloaded this morning."""
        self._out_today = out_today
        self._to_come = [(first, act) for first, act in self._to_come if day < first or not act()]

    def _give(self) -> bool:
        """A piece was registered under the name that stands above its maker's on the roster."""
        students = self._floor.cast.students
        for pot in self._floor.pots:
            if pot.stage is Stage.GREENWARE and pot.maker not in {students[0], students[-1]}:
                maker = students[students.index(pot.maker) + 1]
                self._hands.note(registrations.give, self._staff, pot.ref, maker.id)
                pot.maker = maker
                return True
        return False

    def _take_back(self) -> bool:
        """A piece was scanned instead of its neighbor, and goes home a minute later after all."""
        for pot in self._floor.pots:
            if pot.stage is Stage.CLAIMED and pot.plan.sort.route is not None:
                self._hands.note(take_back, self._staff, pot.ref)
                self._hands.note_later(_A_MINUTE, hand_over, self._staff, pot.ref)
                return True
        return False

    def _correct_result(self) -> bool:
        """By daylight a piece has pinholes that nobody saw at the kiln."""
        for pot, outcome in self._out_today:
            if pot.stage is Stage.FIRED and outcome == Outcome.GOOD and pot.plan.ware.use is not Use.FOOD:
                history = self._hands.store.read.pieces.page(pot.id).history
                fired = next(line for line in reversed(history) if line.step is StepName.FIRE)
                came = Outcome(flaws=(Flaw.PINHOLED,))
                self._hands.note(correct_result, self._staff, fired.firing_id or 0, pot.ref, came)
                return True
        return False

    def _ask_for_a_firing(self) -> bool:
        pot = next(self._could_ask(), None)
        if pot is not None:
            self._hands.note(wishes.wish, pot.maker, pot.ref, pot.plan.sort.route or "")
        return pot is not None

    def _withdraw(self) -> bool:
        """Somebody else asks too, and wants one more layer on first."""
        pot = next((one for one in self._could_ask() if self._hands.store.read.pieces.wish(one.id) is None), None)
        if pot is not None:
            self._hands.note(wishes.wish, pot.maker, pot.ref, pot.plan.sort.route or "")
            self._hands.note_later(_A_MINUTE, wishes.withdraw, pot.maker, pot.ref)
        return pot is not None

    def _could_ask(self) -> Iterator[Pot]:
        for pot in self._floor.pots:
            if pot.stage is Stage.GLAZED and pot.plan.sort.route and pot.plan.sort.question is None and not pot.held:
                yield pot

    def _merge(self) -> bool:
        """The last piece of the term was registered twice."""
        pot = self._floor.pots[-1]
        twice = self._hands.note(pieces.register, pot.maker, self._new_piece(pot))
        self._hands.note(registrations.merge, self._staff, pot.ref, twice.ref)
        return True
