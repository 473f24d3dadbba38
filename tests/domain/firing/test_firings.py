"""A firing is judged by its own cone, and unloading it accounts for every piece in the kiln and for no other."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tests.studio import NOON, a_route
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import Firing, FiringStage, FiringStep
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.refusals import NotAStep, Unusable
from tracker.domain.studio.kilns import COMMON_ROUTES, Kiln

NAMES = {1: "K7R43", 2: "AC4D7", 3: "XY7TR"}

# Nominal cones and what each way of firing takes, as the studio has them.
ROUTES = {
    "bisque": ("06", False, False, False),
    "low-fire": ("04", True, False, False),
    "mid-range": ("6", True, False, False),
    "high-fire": ("10", True, False, False),
    "raku": ("06", True, True, True),
    "horsehair": ("010", False, False, True),
}


def a_firing(**facts: Any) -> Firing:  # noqa: ANN401 -- any fact of a firing
    """A mid-range firing to cone 6 with two pieces in the kiln."""
    plain: dict[str, Any] = {
        "kiln": Kiln(name="Old Bess", routes=frozenset({"mid-range"})),
        "route": a_route("mid-range"),
        "target": Cone.parse("6"),
        "stage": FiringStage.LOADING,
        "piece_ids": (1, 2),
    }
    return Firing(id=5, **(plain | facts))


def test_a_firing_with_an_outcome_for_each_of_its_pieces_adds_up() -> None:
    a_firing().must_account_for_all({1: Outcome.GOOD, 2: Outcome.BROKE}, NAMES)


def test_every_missing_and_every_strange_piece_is_named_at_once() -> None:
    with pytest.raises(Unusable) as refusal:
        a_firing().must_account_for_all({1: Outcome.GOOD, 3: Outcome.GOOD, 9: Outcome.of(Flaw.RAN)}, NAMES)

    assert [(one.code, one.facts[0][1]) for one in refusal.value.problems] == [
        ("no-result", ("AC4D7",)),
        ("not-in-this-kiln", "XY7TR"),
        ("not-in-this-kiln", "9"),
    ]
    assert said(refusal.value.remedy) == "Enter a result for each piece in the kiln."


@given(st.frozensets(st.integers(1, 9)), st.frozensets(st.integers(1, 9)))
def test_a_firing_adds_up_just_when_the_outcomes_are_those_of_its_pieces(
    inside: frozenset[int], accounted: frozenset[int]
) -> None:
    firing, outcomes = a_firing(piece_ids=tuple(inside)), dict.fromkeys(accounted, Outcome.GOOD)

    if inside == accounted:
        firing.must_account_for_all(outcomes, NAMES)
        return
    with pytest.raises(Unusable) as refusal:
        firing.must_account_for_all(outcomes, NAMES)
    # What has no result is named in one sentence, each strange piece in its own.
    assert len(refusal.value.problems) == bool(inside - accounted) + len(accounted - inside)


# The life of a firing as the trade knows it: planned, loaded, fired, left to cool, unloaded (common practice).
LIFE = {
    ("planned", "load"): "loading",
    ("planned", "call off"): "unloaded",
    ("loading", "light"): "firing",
    ("loading", "call off"): "unloaded",
    ("firing", "open again"): "loading",
    ("firing", "shut off"): "cooling",
    ("cooling", "still on"): "firing",
    # It was switched off cold, as whoever stood there says.
    ("cooling", "open again"): "loading",
    ("firing", "unload"): "unloaded",
    ("cooling", "unload"): "unloaded",
    # A round outdoors that somebody said was lit, or called off, while it was not so.
    ("loading", "put off"): "planned",
    ("unloaded", "take up again"): "planned",
}


@pytest.mark.parametrize("step", FiringStep, ids=str)
@pytest.mark.parametrize("stage", FiringStage, ids=str)
def test_a_firing_goes_the_way_of_its_life_and_no_other(stage: FiringStage, step: FiringStep) -> None:
    firing = a_firing(stage=stage)

    if (str(stage), str(step)) in LIFE:
        assert firing.after(step) == LIFE[str(stage), str(step)]
        return
    with pytest.raises(NotAStep) as refusal:
        firing.after(step)
    assert said(refusal.value.remedy)


def test_what_was_lit_is_not_taken_up_again() -> None:
    with pytest.raises(NotAStep, match="firing-unloaded"):
        a_firing(stage=FiringStage.UNLOADED, lit_at=NOON).after(FiringStep.TAKE_UP)


@pytest.mark.parametrize(
    ("stage", "code"),
    [
        ("planned", "not-loading-yet"),
        ("firing", "door-is-shut"),
        ("cooling", "door-is-shut"),
        ("unloaded", "firing-unloaded"),
    ],
)
def test_pieces_go_through_the_door_only_while_the_kiln_is_loaded(stage: str, code: str) -> None:
    a_firing(stage=FiringStage.LOADING).must_be_loading()

    with pytest.raises(NotAStep) as refusal:
        a_firing(stage=FiringStage(stage)).must_be_loading()
    assert refusal.value.code == code


@pytest.mark.parametrize("stage", FiringStage, ids=str)
def test_a_kiln_is_taken_from_the_first_piece_in_to_the_last_piece_out(stage: FiringStage) -> None:
    assert stage.holds_the_kiln is (stage in {"loading", "firing", "cooling"})


def test_the_kiln_door_judges_by_the_firings_own_cone_and_the_queue_by_the_nominal_one() -> None:
    firing = a_firing(target=Cone.parse("7"))

    assert firing.way.cone == Cone.parse("7")
    assert (firing.way.name, firing.way.kind) == (firing.route.name, firing.route.kind)
    assert firing.route.cone == Cone.parse("6")


@pytest.mark.parametrize("name", ROUTES)
def test_a_common_way_of_firing_is_as_the_studio_has_it(name: str) -> None:
    route = COMMON_ROUTES[name]

    assert (str(route.cone), route.takes_glaze, route.takes_outdoor_glaze, route.is_pulled_hot) == ROUTES[name]


def test_there_are_no_other_common_ways_of_firing() -> None:
    assert set(COMMON_ROUTES) == set(ROUTES)


def test_a_kiln_serves_the_routes_it_was_given_and_no_other() -> None:
    kiln = Kiln(name="Old Bess", routes=frozenset({"bisque", "mid-range"}))

    assert {name for name, route in COMMON_ROUTES.items() if kiln.serves(route)} == {"bisque", "mid-range"}
