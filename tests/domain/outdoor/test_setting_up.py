"""A crew is safe or told why not, and a session knows what is fresh and how long it waits."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from tests.reading import said
from tracker.domain.loading.shelf_shapes import Footprint
from tracker.domain.outdoor.setting_up import NOT_PROMISED, Crew, ToFire
from tracker.domain.refusals import Unusable
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.settings import OutdoorPractice

NOW = datetime(2026, 5, 16, 12, tzinfo=UTC)
PRACTICE = OutdoorPractice()


@pytest.mark.parametrize(
    "crew",
    [
        pytest.param(Crew(("Mio",), ("Ines",), "Olu", "Bea"), id="a person for each task"),
        pytest.param(Crew(("Mio",), ("Mio",), "Mio", "Bea"), id="two people"),
        pytest.param(Crew(("Mio", "Tariq"), ("Mio",), "Tariq", "Bea"), id="a puller handles lids"),
    ],
)
def test_a_crew_with_each_task_covered_is_safe(crew: Crew) -> None:
    crew.must_be_safe()


@pytest.mark.parametrize(
    ("crew", "problems"),
    [
        pytest.param(Crew((), ("Ines",), "Olu", "Bea"), ["Name a puller."], id="nobody pulls"),
        pytest.param(Crew((" ",), ("Ines",), "Olu", "Bea"), ["Name a puller."], id="a blank pulls"),
        pytest.param(Crew(("Mio",), (), "Olu", "Bea"), ["Name a person for bins and lids."], id="nobody at the lids"),
        pytest.param(Crew(("Mio",), ("Ines",), "", "Bea"), ["Name a timekeeper."], id="nobody at the clock"),
        pytest.param(Crew(("Mio",), ("Ines",), "Olu", " "), ["Name a person for the water hose."], id="no hose"),
        pytest.param(
            Crew(("Mio", "Bea "), ("Ines",), "Olu", "bea"),
            ["bea has the water hose, so can't also pull."],
            id="the hose pulls",
        ),
        pytest.param(
            Crew(("Mio",), ("Bea",), "Bea", "Bea"),
            [
                "Bea has the water hose, so can't also handle bins and lids.",
                "Bea has the water hose, so can't also watch the clock.",
            ],
            id="the hose has other jobs",
        ),
        pytest.param(
            Crew(("Mio",), ("Mio",), "Mio", "Mio"),
            [
                "Mio has the water hose, so can't also pull.",
                "Mio has the water hose, so can't also handle bins and lids.",
                "Mio has the water hose, so can't also watch the clock.",
                "No one works alone. You need at least two people.",
            ],
            id="alone",
        ),
        pytest.param(
            Crew((), (), "", ""),
            [
                "Name a puller.",
                "Name a person for bins and lids.",
                "Name a timekeeper.",
                "Name a person for the water hose.",
                "No one works alone. You need at least two people.",
            ],
            id="nobody",
        ),
    ],
)
def test_an_unsafe_crew_is_refused_with_every_reason(crew: Crew, problems: list[str]) -> None:
    with pytest.raises(Unusable) as refused:
        crew.must_be_safe()

    assert list(map(said, refused.value.problems)) == problems
    assert said(refused.value.remedy)


def test_a_crew_has_as_many_hands_as_different_pullers_with_tongs() -> None:
    crew = Crew(("Mio", "mio ", "Tariq", ""), ("Ines",), "Olu", "Bea")

    assert crew.hands == 2
    assert replace(crew, tongs=1).hands == 1
    assert replace(crew, tongs=5).hands == 2


def glazed(hours: float | None, kind: RouteKind = RouteKind.RAKU) -> ToFire:
    """A pot that was glazed so many hours ago."""
    at = None if hours is None else NOW - timedelta(hours=hours)
    return ToFire(1, "K7R43", kind, Footprint.round(100), 120, glazed_at=at)


@pytest.mark.parametrize(
    ("piece", "fresh"),
    [
        pytest.param(glazed(23.9), True, id="within a day"),
        pytest.param(glazed(24), False, id="a day"),
        pytest.param(glazed(None), False, id="never"),
        pytest.param(glazed(1, RouteKind.HORSEHAIR), False, id="for horsehair, which wears no glaze"),
    ],
)
def test_glaze_is_fresh_for_a_day(piece: ToFire, fresh: bool) -> None:  # noqa: FBT001 - a column of the table above
    assert piece.is_fresh(NOW, PRACTICE) is fresh


def test_a_piece_waits_since_its_promise_and_never_less_than_a_minute() -> None:
    since = NOW - timedelta(hours=2)

    assert ToFire(1, "K7R43", RouteKind.RAKU, Footprint.round(100), 120, since=since).waiting(NOW) == 121
    assert ToFire(1, "K7R43", RouteKind.RAKU, Footprint.round(100), 120).waiting(NOW) == 1
    assert NOT_PROMISED > NOW
