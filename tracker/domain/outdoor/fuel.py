"""How much propane a session takes, learned from the weighings of this kiln's own, and whether there is enough.

Propane is known by weight alone: a gauge tells nothing while there is liquid in the tank. The first round of a
session starts cold and takes more, so it counts as more than one round. Masses are kept in g and guessed in kg.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import floor, sqrt

from tracker.domain.message import Choice, Fact, Message, Plural, _, together
from tracker.domain.quantities import grams, kilograms
from tracker.domain.refusals import Unusable
from tracker.domain.studio.settings import COMMON_FUEL, FuelPractice

_T_95 = (
    *(6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812),
    *(1.796, 1.782, 1.771, 1.761, 1.753, 1.746, 1.740, 1.734, 1.729, 1.725),
    *(1.721, 1.717, 1.714, 1.711, 1.708, 1.706, 1.703, 1.701, 1.699, 1.697),
)
"""Student's t that 95 % lie below, for 1 to 30 degrees of freedom (textbook table): nine in ten lie within ± t."""

ENOUGH_TO_SPREAD = 3
"""Fewer sessions show no spread worth the name (common practice)."""

ENOUGH_FOR_THE_FIRST = 5
"""From so many sessions on it is tried to learn what the first round takes beyond the others (common practice)."""

_LEEWAY = 1e-9
"""What is enough but for its last binary digit is enough."""

MOST_FIRST_COUNTS = 4.0
"""A first round that seems to take more than so many later ones was not learned but stumbled upon (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionFuel:
    """The weighings of a session, in g with the tanks, and how many rounds it had.

    `added_g` is what was brought while it ran. Unusable, every problem named, for weights and rounds there cannot be.
    """

    before_g: int
    after_g: int
    rounds: int
    added_g: int = 0

    def __post_init__(self) -> None:
        """Refuse a tank that did not grow lighter, weights below nothing and a session without a round."""
        problems = []
        if min(self.before_g, self.after_g, self.added_g) < 0:
            problems.append(Message("weighs-nothing", _("A tank can't weigh less than nothing.")))
        if self.rounds < 1:
            problems.append(Message("no-round", _("A session that burned fuel had at least one round.")))
        if self.used_g < 0:
            words = _("The fuel weighs {more} more after the session than before.")
            problems.append(Message("fuel-grew", words, more=grams(-self.used_g)))
        if self.used_g == 0:
            words = _("The fuel weighs as much after the session as before.")
            problems.append(Message("fuel-unused", words))
        if problems:
            words = _("Weigh the tank again, or enter what was added during the session.")
            raise Unusable(problems, Message("weigh-again", words))

    @property
    def used_g(self) -> int:
        """What the session burnt."""
        return self.before_g + self.added_g - self.after_g


@dataclass(frozen=True, slots=True)
class FuelGuess:
    """Propane in kg for each later round, the first counting as `first_counts` of them, and what it was learned from.

    Nine sessions in ten should lie between `low` and `high`, once at least three were weighed.
    """

    low: float
    likely: float
    high: float
    learned_from: int
    first_counts: float = COMMON_FUEL.first_counts
    first_is_learned: bool = False

    def for_rounds(self, rounds: int) -> tuple[float, float, float]:
        """What a session of so many rounds takes, in kg: low, likely, high."""
        weight = rounds - 1 + self.first_counts if rounds else 0.0
        return self.low * weight, self.likely * weight, self.high * weight

    @property
    def message(self) -> Message:
        """The guess and its ground in two sentences."""
        guess = Message(
            "fuel-guess",
            _GROUNDS,
            ground=self.learned_from if self.learned_from < ENOUGH_TO_SPREAD else "more",
            sessions=self.learned_from,
            **_between(self.low, self.likely, self.high),
        )
        first = Message(
            "first-round-counts",
            _FIRST_COUNTS,
            rests_on="sessions" if self.first_is_learned else "practice",
            rounds=round(self.first_counts, 1),
        )
        return together([guess, first])


_GROUNDS = Choice(
    "ground",
    {
        "0": _(
            "About {likely} of propane per round, between {low} and {high}. This is a first guess: "
            "no session of this kiln has been weighed yet."
        ),
        "1": _(
            "About {likely} of propane per round, between {low} and {high}. From one session of "
            "this kiln, too few to show the spread."
        ),
        "2": _(
            "About {likely} of propane per round, between {low} and {high}. From two sessions of "
            "this kiln, too few to show the spread."
        ),
        "more": _(
            "About {likely} of propane per round, between {low} and {high}. From {sessions} sessions of this kiln."
        ),
    },
)
_FIRST_COUNTS = Choice(
    "rests_on",
    {
        "sessions": _("The first round, from cold, counts as {rounds} rounds (learned from these sessions)."),
        "practice": _("The first round, from cold, counts as {rounds} rounds (common practice)."),
    },
)


def _between(low: float, likely: float, high: float) -> dict[str, Fact]:
    return {"low": kilograms(low), "likely": kilograms(likely), "high": kilograms(high)}


def kg_per_round(sessions: Sequence[SessionFuel], practice: FuelPractice = COMMON_FUEL) -> FuelGuess:
    """What a round takes by this kiln's own sessions, or by practice before there are any.

    What the first round takes beyond the others is learned by least squares once five sessions of different lengths are
    there and what comes out is possible; until then it counts as practice says. The spread is that of sessions about
    the fit, as wide as holds the next one nine times in ten; of one or two sessions it is practice's.
    """
    if not sessions:
        return FuelGuess(practice.low, practice.likely, practice.high, 0, practice.first_counts)
    learned = _first_learned(sessions)
    counts = practice.first_counts if learned is None else learned
    each = [session.used_g / 1000 / (session.rounds - 1 + counts) for session in sessions]
    likely = sum(each) / len(each)
    if len(each) < ENOUGH_TO_SPREAD:
        low, high = min(*each, likely * (1 - practice.spread)), max(*each, likely * (1 + practice.spread))
    else:
        free = len(each) - (1 if learned is None else 2)
        reach = _t_95(free) * sqrt(sum((one - likely) ** 2 for one in each) / free * (1 + 1 / len(each)))
        low, high = max(0.0, likely - reach), likely + reach
    return FuelGuess(low, likely, high, len(each), counts, learned is not None)


def _t_95(free: int) -> float:
    return _T_95[min(free, len(_T_95)) - 1]


def _first_learned(sessions: Sequence[SessionFuel]) -> float | None:
    """As how many later rounds the first counts, by the straight line through fuel over rounds; None where unknown."""
    if len(sessions) < ENOUGH_FOR_THE_FIRST or len({session.rounds for session in sessions}) == 1:
        return None
    rounds, used = _mean(sessions, lambda one: one.rounds), _mean(sessions, lambda one: one.used_g)
    spread = sum((one.rounds - rounds) ** 2 for one in sessions)
    slope = sum((one.rounds - rounds) * (one.used_g - used) for one in sessions) / spread
    if slope <= 0:
        return None
    first = 1 + (used - slope * rounds) / slope
    return first if 1.0 <= first <= MOST_FIRST_COUNTS else None


def _mean(sessions: Sequence[SessionFuel], of: Callable[[SessionFuel], int]) -> float:
    return sum(map(of, sessions)) / len(sessions)


# ---- is there enough -------------------------------------------------------------------------------------------------


class Enough(StrEnum):
    """Whether the fuel on hand will do."""

    ENOUGH = "enough"
    PERHAPS = "perhaps"
    NOT_ENOUGH = "not enough"


@dataclass(frozen=True, slots=True)
class FuelVerdict:
    """The word, why, and for how many rounds the fuel on hand will do for sure."""

    word: Enough
    message: Message
    sure_rounds: int


def enough(on_hand_kg: float, rounds: int, guess: FuelGuess, practice: FuelPractice = COMMON_FUEL) -> FuelVerdict:
    """Whether `on_hand_kg` of propane, without the tanks, will do for `rounds` and what the tanks keep back.

    Enough where even the high guess is there, not enough where not even the low one is, perhaps in between.
    """
    usable = max(0.0, on_hand_kg - practice.reserve_kg)
    low, likely, high = guess.for_rounds(rounds)
    there_is = usable + _LEEWAY
    word = Enough.ENOUGH if there_is >= high else Enough.PERHAPS if there_is >= low else Enough.NOT_ENOUGH
    sure = _rounds_for(usable, guess)
    needs = Message(
        "rounds-take",
        Plural(
            "rounds",
            "{rounds} round takes about {likely}, between {low} and {high}. "
            "On hand: {there}. {kept} stays in the tanks.",
            "{rounds} rounds take about {likely}, between {low} and {high}. "
            "On hand: {there}. {kept} stays in the tanks.",
        ),
        rounds=rounds,
        **_between(low, likely, high),
        there=kilograms(on_hand_kg),
        kept=kilograms(practice.reserve_kg),
    )
    if word is Enough.ENOUGH:
        return FuelVerdict(word, needs, sure)
    return FuelVerdict(word, together([needs, Message("sure-rounds", _WAYS_OUT, word=word, sure=sure)]), sure)


_WAYS_OUT = Choice(
    "word",
    {
        "perhaps": _("Enough for sure: {sure}. Have another tank ready."),
        "not enough": _("Enough for sure: {sure}. Get more propane, or plan fewer rounds."),
    },
)


def _rounds_for(usable_kg: float, guess: FuelGuess) -> int:
    """The most rounds for which even the high guess is there."""
    return max(0, floor(usable_kg / guess.high - guess.first_counts + 1 + _LEEWAY))
