"""How low load plans are, beside what no plan can beat and beside planning shelf by shelf without heights.

The bound is area times height: each piece takes its footprint of a shelf, for a level as high as the shortest post that
takes it with the gap over it and a shelf's thickness. All of that over the area of a shelf is the least height of all
levels together, if every level could be covered to the last corner with pieces that need just its post. No gap, no post
and no curve is taken off. Stacks are all levels of all firings; nothing is kept between or over pieces, and none nests;
what a gap over each costs is told beside.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from statistics import mean
from time import perf_counter
from typing import Any

from tests.domain.loading.load_check import faults
from tests.domain.loading.load_mixes import KILNS, studio_mix
from tests.reading import said
from tracker.domain.loading.loads import LoadKiln, LoadPlan, PieceToLoad
from tracker.domain.loading.planner import plan_firings
from tracker.forms.loading.load_file import LoadAsked, plan_as_json, read_load

COUNTS = (20, 50, 100, 200)
SEEDS = (1, 2, 3)
# Mixes that no number of the planner was chosen by: they are told beside the others and held to nothing, so that who
# reads the table sees whether the bound is met by luck.
FRESH_SEEDS = (101, 102, 103, 104, 105, 106)
THINKING_S = 2.0
MOST_OVER_BOUND = {100: 1.60, 200: 1.50}
SLOWEST_S = 1.0
GAIN_PCT = 2.0


@dataclass(frozen=True)
class Case:
    """One mix in one kiln, planned at once and with time to think."""

    kiln_name: str
    count: int
    seed: int
    gap_above_mm: float = 0

    @cached_property
    def file(self) -> dict[str, Any]:
        """What is asked, as a file says it."""
        return {
            "kiln": KILNS[self.kiln_name],
            "gap_above_mm": self.gap_above_mm,
            "pieces": studio_mix(self.count, self.seed),
        }

    @cached_property
    def asked(self) -> LoadAsked:
        """What is asked, as values."""
        return read_load(json.dumps(self.file))

    @cached_property
    def bound_mm(self) -> float:
        """The area times height bound."""
        kiln = self.asked.kiln
        volume = sum(
            piece.footprint.area_mm2 * (_post(kiln, piece.height_mm) + _thick(kiln)) for piece in self.asked.pieces
        )
        return volume / kiln.shelf.area_mm2

    @cached_property
    def at_once(self) -> tuple[LoadPlan, float]:
        """The plan without thinking, and the seconds it took: the shortest of three turns, which give the same plan."""
        turns = []
        for _ in range(3):
            begun = perf_counter()
            plan = plan_firings(self.asked.kiln, self.asked.gap_mm, self.asked.pieces)
            turns.append((perf_counter() - begun, self._sound(plan)))
        took, plan = min(turns, key=lambda turn: turn[0])
        return plan, took

    @property
    def once(self) -> LoadPlan:
        """The plan without thinking, in one turn."""
        return self._sound(plan_firings(self.asked.kiln, self.asked.gap_mm, self.asked.pieces))

    @cached_property
    def thought(self) -> LoadPlan:
        """The plan with time to think."""
        until = perf_counter() + THINKING_S
        plan = plan_firings(self.asked.kiln, self.asked.gap_mm, self.asked.pieces, lambda: perf_counter() < until)
        return self._sound(plan)

    def _sound(self, plan: LoadPlan) -> LoadPlan:
        """The plan, once the independent check has nothing against it."""
        if wrong := faults(self.file, plan_as_json(plan, said)):
            raise ValueError("; ".join(wrong))
        return plan

    def over_bound(self, plan: LoadPlan) -> float:
        """How many times the bound a plan's stack is high."""
        return plan.stack_mm(self.asked.kiln) / self.bound_mm

    def stack_with(self, gap_above_mm: float) -> float:
        """The height of its stack where so much stays free over each piece."""
        return Case(self.kiln_name, self.count, self.seed, gap_above_mm).once.stack_mm(self.asked.kiln)

    @property
    def gain_pct(self) -> float:
        """By how many percent thinking lowers the stack."""
        kiln = self.asked.kiln
        return 100 * (1 - self.thought.stack_mm(kiln) / self.at_once[0].stack_mm(kiln))


def _post(kiln: LoadKiln, height_mm: float) -> float:
    return min(post for post in kiln.posts_mm if post >= height_mm + kiln.gap_above_mm)


def _thick(kiln: LoadKiln) -> float:
    return kiln.shelf_thickness_mm


def firings_without_heights(kiln: LoadKiln, pieces: tuple[PieceToLoad, ...]) -> int:
    """How many firings it takes to fill shelf after shelf with the largest pieces, whatever their height.

    Each shelf stands on the shortest post that takes its tallest piece; a shelf that does not fit into a firing
    begins the next.
    """
    rest, left, firings = sorted(pieces, key=lambda piece: -piece.footprint.area_mm2), 0.0, 0
    while rest:
        ground, over, tallest = kiln.ground(0), [], 0.0
        for piece in rest:
            if spot := ground.spot_for(piece.footprint):
                ground.put(piece.footprint, spot)
                tallest = max(tallest, piece.height_mm)
            else:
                over.append(piece)
        high = _post(kiln, tallest) + _thick(kiln)
        if high > left:
            firings, left = firings + 1, kiln.room_mm
        left -= high
        rest = over
    return firings


def measure() -> list[tuple[str, float, float | None, str]]:
    """Stacks beside their bounds, the slowest plan, the gain of thinking, and firings beside the naive ones."""
    cases = [Case(kiln, count, seed) for kiln, count, seed in product(KILNS, COUNTS, SEEDS)]
    rows: list[tuple[str, float, float | None, str]] = []
    for kiln, (count, most) in product(KILNS, MOST_OVER_BOUND.items()):
        ratios = [case.over_bound(case.at_once[0]) for case in cases if (case.kiln_name, case.count) == (kiln, count)]
        rows.append((f"stack of {count} pieces over area x height, {kiln}", mean(ratios), most, "at most"))
    for kiln, (count, most) in product(KILNS, MOST_OVER_BOUND.items()):
        fresh = [Case(kiln, count, seed) for seed in FRESH_SEEDS]
        told = f"the same of fresh mixes, for which {most:g} was not tuned: {count} pieces, {kiln}"
        rows.append((told, mean(case.over_bound(case.once) for case in fresh), None, "at most"))
    for kiln, gap_mm in product(KILNS, (5, 10)):
        bare = [Case(kiln, max(COUNTS), seed) for seed in SEEDS]
        costs = mean(case.stack_with(gap_mm) / case.at_once[0].stack_mm(case.asked.kiln) for case in bare)
        rows.append(
            (
                f"stack with {gap_mm} mm over each of {max(COUNTS)} pieces over one without, {kiln}",
                costs,
                None,
                "at most",
            )
        )
    slowest = max(case.at_once[1] for case in cases if case.count == max(COUNTS))
    rows.append((f"seconds for {max(COUNTS)} pieces", slowest, SLOWEST_S, "at most"))
    gains = [case.gain_pct for case in cases]
    rows.append((f"least % that {THINKING_S:g} s of thinking gain", min(gains), 0.0, "at least"))
    rows.append((f"mean % that {THINKING_S:g} s of thinking gain", mean(gains), GAIN_PCT, "at least"))
    more = max(
        len(case.at_once[0].firings) - firings_without_heights(case.asked.kiln, case.asked.pieces) for case in cases
    )
    rows.append(("firings more than without heights", more, 0.0, "at most"))
    return rows
