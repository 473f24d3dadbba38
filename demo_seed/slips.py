"""What people try in the term and the tool must refuse: the wrong kiln, the wrong glaze, somebody else's piece."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import cycle

from demo_seed.floor import Floor, Pot
from demo_seed.sorts import TERM_DAYS
from tracker.domain.findings import Unfit
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.refusals import ChangedMeanwhile, NotAllowed, NotAStep, Unknown
from tracker.domain.studio.materials import Zone
from tracker.usecases.pieces import pieces
from tracker.usecases.pieces.pickup import hand_over

BEGINS = 12
"""The day of the first slip: before it too few pots stand where somebody could get them wrong."""


class Slips:
    """Every second day one thing is tried that must not be; where no pot is at hand for it, it waits its turn."""

    def __init__(self, floor: Floor) -> None:
        """Happen on `floor`."""
        self._floor = floor
        self._hands = floor.hands
        self._ways: Iterator[Callable[[], bool]] = cycle(
            (
                self._low_fire_to_the_high_fire_cart,
                self._another_students_piece,
                self._decorative_glaze_on_ware_for_food,
                self._outdoor_glaze_to_an_indoor_cart,
                self._handed_over_too_early,
                self._over_the_limit_on_ware_for_food,
                self._food_to_the_outdoor_kiln,
                self._misread_code,
                self._glazes_that_share_no_heat,
                self._queued_by_a_student,
                self._bare_ware_to_a_glaze_firing,
                self._somebody_was_there_first,
                self._wrong_name_of_a_glaze,
                self._glaze_for_horsehair,
            )
        )

    def happen(self, day: int) -> None:
        """Try this day's wrong move; what it needs is looked for among the pots as they stand now."""
        if day >= BEGINS and (day % 2 == 0 or day == TERM_DAYS):
            for _ in range(4):
                if next(self._ways)():
                    return

    def _pot(self, stage: Stage, wanted: Callable[[Pot], bool] = lambda _: True) -> Pot | None:
        """Any pot at that stage of which `wanted` is true."""
        pots = [pot for pot in self._floor.pots if pot.stage is stage and wanted(pot)]
        return self._floor.random.choice(pots) if pots else None

    # ---- the heat ------------------------------------------------------------------------------------------------

    def _low_fire_to_the_high_fire_cart(self) -> bool:
        pot = self._pot(Stage.GLAZED, lambda pot: pot.plan.sort.route == "low-fire")
        return pot is not None and self._is_unfit(pot, "high-fire")

    def _outdoor_glaze_to_an_indoor_cart(self) -> bool:
        pot = self._pot(Stage.GLAZED, lambda pot: pot.plan.sort.route == "raku" and pot.plan.ware.is_outdoor_only)
        return pot is not None and self._is_unfit(pot, "low-fire")

    def _food_to_the_outdoor_kiln(self) -> bool:
        pot = self._pot(Stage.GLAZED, lambda pot: pot.plan.ware.use is Use.FOOD)
        return pot is not None and self._is_unfit(pot, "raku")

    def _glaze_for_horsehair(self) -> bool:
        pot = self._pot(Stage.GLAZED, lambda pot: pot.plan.sort.route == "raku")
        return pot is not None and self._is_unfit(pot, "horsehair")

    def _is_unfit(self, pot: Pot, route: str) -> bool:
        self._hands.refused(Unfit, pieces.queue, self._floor.somebody, pot.ref, route)
        return True

    def _bare_ware_to_a_glaze_firing(self) -> bool:
        pot = self._pot(Stage.BISQUED)
        if pot:
            self._hands.refused(NotAStep, pieces.queue, self._floor.somebody, pot.ref, "mid-range")
        return pot is not None

    # ---- the glaze table -------------------------------------------------------------------------------------------

    def _decorative_glaze_on_ware_for_food(self) -> bool:
        return self._is_wrong_glaze(self._pot(Stage.WAXED, lambda pot: pot.plan.ware.use is Use.FOOD), "Pewter Moss")

    def _over_the_limit_on_ware_for_food(self) -> bool:
        pot = self._pot(Stage.BISQUED, lambda pot: pot.plan.ware.use is Use.FOOD)
        return self._is_wrong_glaze(pot, "Marmalade Parade")

    def _glazes_that_share_no_heat(self) -> bool:
        pot = self._pot(Stage.GLAZED, lambda pot: pot.plan.sort.route == "low-fire")
        return self._is_wrong_glaze(pot, "Deep Pantry")

    def _is_wrong_glaze(self, pot: Pot | None, glaze: str) -> bool:
        if pot:
            self._hands.refused(Unfit, pieces.glaze, pot.maker, pot.ref, glaze, Zone.INSIDE)
        return pot is not None

    def _wrong_name_of_a_glaze(self) -> bool:
        pot = self._pot(Stage.WAXED)
        if pot:
            self._hands.refused(Unknown, pieces.glaze, pot.maker, pot.ref, "Fog Bell", Zone.OUTSIDE)
        return pot is not None

    # ---- who, and which piece --------------------------------------------------------------------------------------

    def _another_students_piece(self) -> bool:
        pot = self._pot(Stage.BISQUED)
        if pot:
            other = self._floor.random.choice([one for one in self._floor.cast.students if one != pot.maker])
            self._hands.refused(Unknown, pieces.wax, other, pot.ref)
        return pot is not None

    def _queued_by_a_student(self) -> bool:
        pot = self._pot(Stage.GLAZED)
        if pot:
            self._hands.refused(NotAllowed, pieces.queue, pot.maker, pot.ref, pot.plan.sort.route or "mid-range")
        return pot is not None

    def _handed_over_too_early(self) -> bool:
        pot = self._pot(Stage.QUEUED)
        if pot:
            self._hands.refused(NotAStep, hand_over, self._floor.somebody, pot.ref)
        return pot is not None

    def _misread_code(self) -> bool:
        pot = self._pot(Stage.FIRED)
        if pot:
            # Every swap of two neighbours is caught; where they are the same symbol there is nothing to swap.
            first, second, rest = pot.ref[0], pot.ref[1], pot.ref[2:]
            wrong = f"{second}{first}{rest}" if first != second else f"{pot.ref}{first}"
            self._hands.refused(Unknown, hand_over, self._floor.somebody, wrong)
        return pot is not None

    def _somebody_was_there_first(self) -> bool:
        pot = self._pot(Stage.WAXED)
        if pot:
            stale = self._floor.piece(pot).version - 1
            self._hands.refused(ChangedMeanwhile, pieces.wash_off, self._floor.somebody, pot.ref, seen=stale)
        return pot is not None
