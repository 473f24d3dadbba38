"""What phones tap beside the outdoor kiln tells one story, in whatever order their taps arrive."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as some

from tests.reading import said
from tests.studio import NOON
from tracker.domain.outdoor.event_log import Did, Story, Tap, story_of
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.studio.people import Role
from tracker.wording.reader import Reader
from tracker.wording.render import say, say_all

ROUND, POT, CUP = 7, 1, 2
NAMES = {POT: "K7R43", CUP: "H2V5N", -ROUND: "Round 1"}


def tapped(did: Did, piece: int | None = None, *, after: float = 0, value: str = "", by: int = 1) -> Tap:
    """One tap, so many seconds after noon, by the first or the second of two people."""
    return Tap(
        key=str(uuid4()),
        did=did,
        firing_id=ROUND,
        piece_id=piece,
        value=value,
        at=NOON + timedelta(seconds=after),
        by=f"Person {by}",
        by_id=by,
    )


def told(*taps: Tap) -> Story:
    """The story of some taps."""
    return story_of(taps, NAMES, lambda moment, exact: f"{moment:{'%H:%M:%S' if exact else '%H:%M'}}")


def test_a_round_is_told_from_its_start_to_its_results() -> None:
    story = told(
        tapped(Did.START, value=f"{POT},{CUP}"),
        tapped(Did.AT_HEAT, after=2700),
        tapped(Did.PULLED, POT, after=2710),
        tapped(Did.CLOSED, POT, after=2718),
        tapped(Did.RESULT, POT, after=3600, value="good"),
    )

    one = story.of(ROUND)
    assert one.started_at == NOON
    assert one.at_heat_at == NOON + timedelta(seconds=2700)
    assert one.inside == (POT, CUP)
    assert one.of(POT).open_s == 8
    assert one.of(POT).outcome == Outcome.GOOD
    assert one.of(CUP).stands is None
    assert story.differs == ()


@pytest.mark.parametrize(
    ("did", "stands"), [(did, did) for did in (Did.PULLED, Did.CLOSED, Did.OUT)] + [(Did.RESULT, Did.RESULT)]
)
def test_a_piece_stands_where_it_was_last_said_to_be(did: Did, stands: Did) -> None:
    value = "good" if did is Did.RESULT else ""

    assert told(tapped(did, POT, value=value)).of(ROUND).of(POT).stands is stands


def test_times_minutes_apart_are_told_to_the_minute() -> None:
    late = tapped(Did.PULLED, POT, after=200, by=2)

    (differ, *_rest) = told(tapped(Did.PULLED, POT, after=12), late).about(late.key)

    assert "12:00 (Person 1), at 12:03 (Person 2)" in said(differ)


def test_of_two_times_the_earlier_one_counts_and_a_sentence_says_so() -> None:
    late = tapped(Did.PULLED, POT, after=14, by=2)
    story = told(tapped(Did.PULLED, POT, after=12), late)

    assert story.of(ROUND).of(POT).pulled_at == NOON + timedelta(seconds=12)
    assert say_all(story.about(late.key)) == (
        "K7R43: pulled at 12:00:12 (Person 1), at 12:00:14 (Person 2). The earlier time counts."
    )


def test_a_thick_glove_is_one_tap_and_says_nothing() -> None:
    assert told(tapped(Did.PULLED, POT, after=1), tapped(Did.PULLED, POT, after=3)).differs == ()


def test_of_two_results_the_one_that_came_first_is_on_record() -> None:
    other = tapped(Did.RESULT, POT, value="broke", by=2)
    story = told(tapped(Did.RESULT, POT, value="cracked"), other)

    assert story.of(ROUND).of(POT).outcome == Outcome.of(Flaw.CRACKED)
    assert "Person 1 entered “cracked”, Person 2 entered “broke”" in say_all(story.about(other.key))


def test_nobody_is_told_that_they_themselves_can_put_a_result_right() -> None:
    other = tapped(Did.RESULT, POT, value="broke", by=2)
    (differ,) = told(tapped(Did.RESULT, POT, value="cracked"), other).about(other.key)

    assert "the instructor can correct it" in say(differ, Reader(role=Role.STAFF))
    assert "instructor" not in say(differ, Reader(role=Role.INSTRUCTOR))


def test_two_people_who_say_the_same_result_are_told_so() -> None:
    other = tapped(Did.RESULT, POT, value="good", by=2)

    (agree,) = told(tapped(Did.RESULT, POT, value="good"), other).about(other.key)
    assert said(agree) == "K7R43: Person 1 and Person 2 both entered “good”."


def test_what_is_taken_back_never_was() -> None:
    slip = tapped(Did.PULLED, POT, after=5)
    story = told(slip, tapped(Did.TAKE_BACK, value=slip.key))

    assert story.of(ROUND).of(POT).stands is None
    assert story.taken_back == {slip.key}


def test_what_was_pulled_was_inside_though_nobody_said_so_at_the_start() -> None:
    assert told(tapped(Did.START, value=str(POT)), tapped(Did.PULLED, CUP)).of(ROUND).inside == (POT, CUP)


@given(
    order=some.permutations(range(6)),
    offsets=some.lists(some.integers(0, 600), min_size=6, max_size=6),
)
def test_times_do_not_depend_on_the_order_in_which_taps_arrive(order: list[int], offsets: list[int]) -> None:
    kinds = (Did.START, Did.AT_HEAT, Did.PULLED, Did.PULLED, Did.CLOSED, Did.OUT)
    taps = [
        tapped(
            did,
            POT if did.is_of_a_piece else None,
            after=after,
            by=1 + number % 2,
            value=str(POT) if did is Did.START else "",
        )
        for number, (did, after) in enumerate(zip(kinds, offsets, strict=True))
    ]

    one, other = told(*taps).of(ROUND), told(*(taps[number] for number in order)).of(ROUND)

    assert (one.started_at, one.at_heat_at, one.of(POT)) == (other.started_at, other.at_heat_at, other.of(POT))
