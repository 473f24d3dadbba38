"""Cones that don't fit a family are asked about, and what is really sold and fired is not.

The bands are common practice; the ranges that must pass are those that makers of clays and glazes print on their bags
and jars (common practice, from memory).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as some

from tests.reading import said
from tests.studio import a_clay, a_glaze, a_route
from tracker.domain.cones import CONES, Cone, ConeRange
from tracker.domain.studio.cone_bands import (
    CLAY_BANDS,
    GLAZE_BANDS,
    ConeAnswer,
    ConeFix,
    ConeQuestion,
    HasCones,
    are_alike,
    asked_before,
    cone_question,
    firing_question,
    fixed,
    open_question,
    rising,
    toggled,
)
from tracker.domain.studio.kilns import KNOWN_ROUTES, Route, RouteKind
from tracker.domain.studio.materials import ClayKind, Coat, Family
from tracker.domain.studio.segments import Segment

LOW, MID, HIGH, RAKU = Family.LOW_FIRE, Family.MID_RANGE, Family.HIGH_FIRE, Family.OUTDOOR
EARTHENWARE, STONEWARE, PORCELAIN, GROGGED = (
    ClayKind.EARTHENWARE,
    ClayKind.STONEWARE,
    ClayKind.PORCELAIN,
    ClayKind.GROGGED,
)


def glaze(family: Family, low: str, high: str, coat: Coat = Coat.GLAZE) -> HasCones:
    return a_glaze(family=family, cone_low=low, cone_high=high, coat=coat)


def clay(kind: ClayKind, low: str, high: str, slumps: str | None = None) -> HasCones:
    return a_clay(kind=kind, cone_low=low, cone_high=high, slumps_above=slumps)


def known(name: str, cone: str) -> Route:
    """One of the known firing types, to another cone."""
    return replace(KNOWN_ROUTES[name], cone=Cone.parse(cone))


def fixes(question: ConeQuestion | None) -> list[tuple[str, str, str]]:
    """What a question offers: the fact, the cone as it is and the one that may have been meant."""
    assert question is not None
    return [(one.fact, str(one.was), str(one.cone)) for one in question.fixes]


@pytest.mark.parametrize(
    ("thing", "offered"),
    [
        pytest.param(glaze(LOW, "06", "4"), [("cone_high", "4", "04")], id="low-fire to 4"),
        pytest.param(glaze(LOW, "6", "10"), [], id="low-fire 6 to 10"),
        pytest.param(glaze(LOW, "06", "1"), [("cone_high", "1", "01")], id="low-fire to 1"),
        pytest.param(glaze(LOW, "6", "6"), [("cone_low", "6", "06")], id="low-fire 6 to 6"),
        pytest.param(glaze(MID, "06", "06"), [("cone_low", "06", "6")], id="mid-range 06 to 06"),
        pytest.param(glaze(MID, "06", "6"), [("cone_low", "06", "6")], id="mid-range from 06"),
        pytest.param(glaze(MID, "06", "05"), [], id="mid-range 06 to 05"),
        pytest.param(glaze(MID, "2", "6"), [], id="mid-range from 2"),
        pytest.param(glaze(MID, "6", "9"), [], id="mid-range to 9"),
        pytest.param(glaze(HIGH, "09", "10"), [("cone_low", "09", "9")], id="high-fire from 09"),
        pytest.param(glaze(HIGH, "6", "10"), [], id="high-fire from 6"),
        pytest.param(glaze(RAKU, "7", "12"), [], id="raku 7 to 12"),
        pytest.param(glaze(RAKU, "08", "6"), [("cone_high", "6", "06")], id="raku to 6"),
        pytest.param(glaze(RAKU, "06", "03"), [], id="raku to 03"),
        pytest.param(clay(EARTHENWARE, "06", "4"), [("cone_high", "4", "04")], id="earthenware to 4"),
        pytest.param(clay(EARTHENWARE, "05", "04", "4"), [("slumps_above", "4", "04")], id="earthenware slumps at 4"),
        pytest.param(clay(STONEWARE, "05", "6"), [("cone_low", "05", "5")], id="stoneware from 05"),
        pytest.param(clay(STONEWARE, "06", "04"), [], id="stoneware 06 to 04"),
        pytest.param(clay(PORCELAIN, "010", "10"), [("cone_low", "010", "10")], id="porcelain from 010"),
        pytest.param(
            clay(GROGGED, "06", "6"), [("cone_high", "6", "06"), ("cone_low", "06", "6")], id="grogged 06 to 6"
        ),
        pytest.param(clay(GROGGED, "06", "4"), [("cone_high", "4", "04")], id="grogged 06 to 4"),
        pytest.param(clay(GROGGED, "05", "6"), [("cone_low", "05", "5")], id="grogged 05 to 6"),
        pytest.param(clay(GROGGED, "06", "04", "4"), [("slumps_above", "4", "04")], id="grogged slumps at 4"),
        pytest.param(a_route("bisque", "5"), [("cone", "5", "05")], id="bisque to 5"),
        pytest.param(a_route("low-fire", "6"), [("cone", "6", "06")], id="low-fire firing to 6"),
        pytest.param(a_route("low-fire", "10"), [("cone", "10", "010")], id="low-fire firing to 10"),
        pytest.param(a_route("mid-range", "06"), [("cone", "06", "6")], id="mid-range firing to 06"),
        pytest.param(a_route("high-fire", "010"), [("cone", "010", "10")], id="high-fire firing to 010"),
        pytest.param(a_route("raku", "7"), [("cone", "7", "07")], id="raku firing to 7"),
        pytest.param(a_route("raku", "12"), [("cone", "12", "012")], id="raku firing to 12"),
        pytest.param(a_route("horsehair", "10"), [("cone", "10", "010")], id="horsehair to 10"),
        pytest.param(glaze(LOW, "018", "14", Coat.OVERGLAZE), [("cone_high", "14", "014")], id="a luster to 14"),
        pytest.param(glaze(LOW, "06", "04", Coat.OVERGLAZE), [], id="a luster 06 to 04"),
        pytest.param(known("overglaze", "14"), [("cone", "14", "014")], id="overglaze firing to 14"),
        pytest.param(known("soda", "010"), [("cone", "010", "10")], id="soda firing to 010"),
        pytest.param(known("wood", "06"), [("cone", "06", "6")], id="wood firing to 06"),
        pytest.param(known("pit", "10"), [("cone", "10", "010")], id="pit to 10"),
        pytest.param(
            replace(known("once-fire", "4"), title="Once-fire, low-fire"), [("cone", "4", "04")], id="once-fired low"
        ),
    ],
)
def test_what_does_not_fit_is_asked_with_the_cone_that_would(thing: HasCones, offered: list[tuple[str, ...]]) -> None:
    assert fixes(cone_question(thing)) == offered


@pytest.mark.parametrize(
    "thing",
    [
        pytest.param(glaze(LOW, "06", "04"), id="low-fire 06 to 04"),
        pytest.param(glaze(LOW, "018", "018"), id="a luster"),
        pytest.param(glaze(LOW, "05", "01"), id="low-fire to 01"),
        pytest.param(glaze(MID, "4", "6"), id="mid-range 4 to 6"),
        pytest.param(glaze(MID, "3", "8"), id="mid-range 3 to 8"),
        pytest.param(glaze(HIGH, "8", "11"), id="high-fire 8 to 11"),
        pytest.param(glaze(HIGH, "7", "14"), id="high-fire 7 to 14"),
        pytest.param(glaze(RAKU, "08", "04"), id="raku 08 to 04"),
        pytest.param(glaze(LOW, "06", "10", Coat.UNDERGLAZE), id="an underglaze 06 to 10"),
        pytest.param(glaze(HIGH, "06", "10", Coat.SLIP), id="a slip 06 to 10"),
        pytest.param(glaze(LOW, "06", "10", Coat.WAX), id="wax"),
        pytest.param(glaze(Family.OUTSIDE, "6", "10"), id="from outside, held to the lowest heat"),
        pytest.param(clay(EARTHENWARE, "06", "02"), id="earthenware 06 to 02"),
        pytest.param(clay(EARTHENWARE, "04", "2"), id="terracotta 04 to 2"),
        pytest.param(clay(EARTHENWARE, "05", "03", "1"), id="earthenware that slumps above 1"),
        pytest.param(clay(STONEWARE, "1", "6"), id="stoneware 1 to 6"),
        pytest.param(clay(STONEWARE, "5", "10", "12"), id="stoneware 5 to 10"),
        pytest.param(clay(PORCELAIN, "3", "3"), id="porcelain for cone 3"),
        pytest.param(clay(PORCELAIN, "9", "13"), id="porcelain 9 to 13"),
        pytest.param(clay(GROGGED, "06", "10"), id="raku and sculpture body 06 to 10"),
        pytest.param(clay(GROGGED, "06", "04", "1"), id="grogged terracotta"),
        pytest.param(clay(GROGGED, "8", "10"), id="grogged stoneware"),
        pytest.param(clay(ClayKind.UNKNOWN, "6", "10"), id="nameless, held to the lowest heat"),
        *(pytest.param(route, id=route.title) for route in KNOWN_ROUTES.values()),
        pytest.param(glaze(LOW, "010", "04", Coat.SIGILLATA), id="terra sigillata"),
        pytest.param(glaze(MID, "022", "014", Coat.OVERGLAZE), id="china paint"),
        pytest.param(replace(known("soda", "04"), title="Low-fire soda"), id="a low-fire soda firing"),
        pytest.param(a_route("bisque", "010"), id="a soft bisque"),
        pytest.param(a_route("bisque", "01"), id="a hard bisque"),
        pytest.param(replace(a_route("mid-range", "06"), name="slow", title="Slow"), id="a firing of no family"),
    ],
)
def test_what_is_really_sold_and_fired_is_not_asked_about(thing: HasCones) -> None:
    assert cone_question(thing) is None


@pytest.mark.parametrize(
    ("name", "title"), [("low-fire", "Anything"), ("tuesdays", "Low fire, Tuesdays"), ("low-fire-2", "Second")]
)
def test_a_firing_goes_by_the_family_it_is_called_after(name: str, title: str) -> None:
    route = Route(name=name, title=title, kind=RouteKind.SHELF, cone=Cone.parse("6"))

    assert fixes(cone_question(route)) == [("cone", "6", "06")]


@pytest.mark.parametrize(
    ("route", "target", "offered"),
    [
        pytest.param(a_route("bisque"), "5", [("cone", "5", "05")], id="bisque to 5"),
        pytest.param(a_route("mid-range"), "06", [("cone", "06", "6")], id="mid-range to 06"),
        pytest.param(a_route("low-fire"), "4", [("cone", "4", "04")], id="low-fire to 4"),
        pytest.param(a_route("mid-range"), "10", [], id="mid-range to 10"),
        pytest.param(
            replace(a_route("mid-range"), name="slow", title="Slow"),
            "05",
            [("cone", "05", "5")],
            id="a firing of no family, a zero away from its own cone",
        ),
        pytest.param(
            replace(a_route("bisque", "5"), cones_checked=True), "6", [("cone", "6", "06")], id="not what was confirmed"
        ),
    ],
)
def test_a_firings_own_cone_is_asked_about_too(route: Route, target: str, offered: list[tuple[str, ...]]) -> None:
    assert fixes(firing_question(route, Cone.parse(target))) == offered


@pytest.mark.parametrize(
    ("route", "target"),
    [
        pytest.param(a_route("bisque"), "04", id="a bisque a little hotter"),
        pytest.param(a_route("mid-range"), "5.5", id="mid-range a little cooler"),
        pytest.param(replace(a_route("bisque", "5"), cones_checked=True), "5", id="confirmed for the firing type"),
        pytest.param(replace(a_route("mid-range"), name="slow", title="Slow"), "10", id="a firing of no family"),
    ],
)
def test_a_firings_own_cone_that_fits_is_not_asked_about(route: Route, target: str) -> None:
    assert firing_question(route, Cone.parse(target)) is None


def _led(cone: str, *targets_c: float, name: str = "slow") -> Route:
    """A firing type of kiln shelves with a schedule of its own."""
    segments = tuple(Segment(100.0, one) for one in targets_c)
    return Route(name=name, title=name, kind=RouteKind.SHELF, cone=Cone.parse(cone), segments=segments)


# Self-supporting cones at 60 °C an hour: 04 at 1,063 °C, 6 at 1,222 °C, 10 at 1,285 °C (Orton chart).
@pytest.mark.parametrize(
    ("route", "offered"),
    [
        pytest.param(_led("04", 600, 1222), [("cone", "04", "6")], id="04 with the schedule of 6"),
        pytest.param(_led("6", 600, 1000), [("cone", "6", "06")], id="6 with the schedule of 06"),
        pytest.param(_led("04", 600, 1222, name="low-fire"), [], id="low-fire with the schedule of 6"),
        pytest.param(_led("04", 600, 1000), [("cone", "04", "06")], id="04 with the schedule of 06, without a hold"),
        pytest.param(_led("04", 538, 573), [], id="04 in °C that were read as °F"),
    ],
)
def test_a_schedule_that_leads_to_another_cone_is_asked_about(route: Route, offered: list[tuple[str, ...]]) -> None:
    assert fixes(cone_question(route)) == offered


@pytest.mark.parametrize(
    "route",
    [
        pytest.param(_led("6", 600, 1222), id="at 60 °C an hour"),
        pytest.param(_led("6", 600, 1243), id="at 150 °C an hour"),
        pytest.param(_led("6", 600, 1190), id="cooler, with a long hold"),
        pytest.param(_led("10", 900, 1285, 1000), id="with a slow way down"),
        pytest.param(replace(_led("04"), segments=(Segment(100, 1000, 90),)), id="three cones cooler, with a hold"),
    ],
)
def test_a_schedule_that_leads_to_its_own_cone_is_not_asked_about(route: Route) -> None:
    assert cone_question(route) is None


def test_a_schedule_cooler_than_any_cone_names_its_heat_and_that_of_its_cone() -> None:
    question = cone_question(_led("04", 538, 573))

    assert question is not None
    told = "its schedule only goes to 573 °C, not cone 04, 1,063 °C. Check the unit: °C or °F."
    assert said(question.message) == told


def test_a_firing_to_another_cone_does_not_go_by_the_schedule_of_its_type() -> None:
    route = _led("6", 600, 1222)

    assert route.at(Cone.parse("6")).segments == route.segments
    assert route.at(Cone.parse("4")).segments == ()


def test_a_question_says_both_cones_with_their_heat_and_what_is_usual() -> None:
    question = cone_question(glaze(LOW, "06", "4"))

    assert question is not None
    assert said(question.title) == "04 or 4?"
    assert said(question.message) == (
        "cone 4, 1,162 °C doesn't fit low-fire glazes: cone 01, 1,119 °C or cooler is usual."
    )


def test_an_answer_counts_for_the_very_cones_and_family_that_were_asked_about() -> None:
    asked = glaze(LOW, "06", "4")
    question = cone_question(asked)
    assert question is not None
    right = ConeAnswer(key=question.key, fact="cone_high", cone=Cone.parse("4"), meant=Cone.parse("4"))

    others = (glaze(LOW, "05", "4"), glaze(LOW, "06", "5"), glaze(RAKU, "06", "4"), replace(asked, name="Other"))

    assert right.answers(question)
    for other in others:
        assert not right.answers(cone_question(other) or question), other
        assert not are_alike(asked, other)


def test_both_cones_without_their_zero_get_it_at_once() -> None:
    asked = glaze(LOW, "6", "6")
    question = cone_question(asked)
    assert question is not None
    zero = ConeAnswer(key=question.key, fact="cone_low", cone=Cone.parse("6"), meant=Cone.parse("06"))

    meant = fixed(asked, zero)

    assert zero.answers(question)
    assert meant == glaze(LOW, "06", "06")
    assert asked_before(meant, zero)
    assert str(question.for_file.facts).count("06") == 1


@pytest.mark.parametrize(
    ("low", "high", "band", "meant"),
    [
        pytest.param(
            "05", "06", CLAY_BANDS[PORCELAIN], [("cone_low", "5"), ("cone_high", "6")], id="porcelain 05 to 06"
        ),
        pytest.param("6", "04", CLAY_BANDS[EARTHENWARE], [("cone_low", "06")], id="earthenware 6 to 04"),
        pytest.param("6", "04", GLAZE_BANDS[HIGH], [("cone_low", "06")], id="high-fire 6 to 04"),
        pytest.param("8", "010", GLAZE_BANDS[HIGH], [("cone_high", "10")], id="high-fire 8 to 010"),
        pytest.param("6", "4", GLAZE_BANDS[LOW], [("cone_low", "06"), ("cone_high", "04")], id="low-fire 6 to 4"),
        pytest.param("5", "04", CLAY_BANDS[STONEWARE], [("cone_high", "4")], id="stoneware 5 to 04"),
        pytest.param("6", "04", None, [("cone_low", "06")], id="grogged 6 to 04"),
    ],
)
def test_cones_out_of_order_rise_with_a_zero_changed(
    low: str, high: str, band: ConeRange | None, meant: list[tuple[str, str]]
) -> None:
    fix = rising({"cone_low": Cone.parse(low), "cone_high": Cone.parse(high)}, band)

    assert fix is not None
    assert [(one.fact, str(one.cone)) for one in (fix, *fix.also)] == meant


def test_no_zero_is_at_fault_where_both_cones_are_usual() -> None:
    assert rising({"cone_low": Cone.parse("6"), "cone_high": Cone.parse("4")}, GLAZE_BANDS[MID]) is None


def test_only_what_was_offered_is_an_answer() -> None:
    question = cone_question(glaze(LOW, "06", "4"))
    assert question is not None
    cones = {name: Cone.parse(name) for name in ("4", "04", "05", "6")}

    answers = [
        ConeAnswer(key=question.key, fact="cone_high", cone=cones["4"], meant=cones["05"]),
        ConeAnswer(key=question.key, fact="cone_low", cone=cones["4"], meant=cones["04"]),
        ConeAnswer(key=question.key, fact="cone_high", cone=cones["6"], meant=cones["6"]),
        ConeAnswer(key="", fact="cone_high", cone=cones["4"], meant=cones["4"]),
    ]

    assert not any(one.answers(question) for one in answers)


_ANY = some.sampled_from(CONES)


def _rising(*cones: Cone) -> list[Cone]:
    return sorted(cones)


@given(some.sampled_from([LOW, MID, HIGH, RAKU]), some.builds(_rising, _ANY, _ANY))
def test_whatever_is_offered_fits_and_is_the_same_cone_but_for_its_zero(family: Family, cones: list[Cone]) -> None:
    asked = a_glaze(family=family, cone_low=cones[0], cone_high=cones[1])
    question = cone_question(asked)

    for fix in question.fixes if question else ():
        answer = ConeAnswer(key=question.key if question else "", fact=fix.fact, cone=fix.was, meant=fix.cone)
        assert toggled(fix.was) == fix.cone
        assert cone_question(fixed(asked, answer)) is None


@given(some.sampled_from(ClayKind), some.builds(_rising, _ANY, _ANY, _ANY))
def test_what_is_confirmed_is_not_asked_about_again(kind: ClayKind, cones: list[Cone]) -> None:
    asked = a_clay(kind=kind, cone_low=cones[0], cone_high=cones[1], slumps_above=cones[2])
    question = cone_question(asked)
    if question is not None:
        right = ConeAnswer(key=question.key, fact=question.fact, cone=question.cone, meant=question.cone)

        assert right.answers(question)
        assert open_question(fixed(asked, right)) is None
        assert ConeFix(question.fact, question.cone, question.cone) not in question.fixes
