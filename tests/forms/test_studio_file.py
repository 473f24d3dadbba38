"""A studio file is read whole, or every problem in it is named with its line."""

from __future__ import annotations

from datetime import date
from typing import TypeVar

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.forms.studio_example import STUDIO
from tracker.domain.catalogue import Catalogue, Studio
from tracker.domain.cones import CONES, Cone
from tracker.domain.kilns import Kiln, Route, RouteKind
from tracker.domain.materials import (
    LOWEST_HEAT,
    Clay,
    ClayKind,
    Coat,
    Family,
    FoodStanding,
    Glaze,
    HowOn,
    Metal,
    ReleaseTest,
    Trait,
    WareClass,
)
from tracker.domain.refusals import Unusable
from tracker.domain.routing import Practice
from tracker.forms.studio_file import read_studio, write_studio
from tracker.forms.toml_lines import Lines


def _problems(text: str) -> tuple[str, ...]:
    with pytest.raises(Unusable) as caught:
        read_studio(text)
    return caught.value.problems


def _line(text: str, words: str) -> int:
    return next(number for number, line in enumerate(text.splitlines(), start=1) if words in line)


def test_a_good_file_gives_the_whole_studio() -> None:
    studio = read_studio(STUDIO)

    assert (studio.name, studio.timezone, studio.address) == (
        "Marrow Lane",
        "Europe/Lisbon",
        "https://kilns.example.edu",
    )
    assert studio.catalogue.clay("heron white").cone_high == Cone.parse("6")
    assert studio.catalogue.glaze("Fog Harbour").tests[0].tested_on == date(2026, 3, 1)
    assert [route.name for route in studio.catalogue.glazed_routes] == ["raku", "mid-range"]
    assert studio.catalogue.kiln("Yard drum").outdoor


def test_a_clay_that_nobody_can_name_is_taken_for_the_lowest_firing() -> None:
    clay = read_studio(STUDIO).catalogue.clay("Whoever knows")

    assert (clay.cone_low, clay.cone_high) == LOWEST_HEAT


@pytest.mark.parametrize(
    ("old", "new", "line_of", "says"),
    [
        pytest.param(
            'cone_high = "6"\nabs', 'cone_high = "04"\nabs', "cone_low", "is hotter than cone_high 04", id="range"
        ),
        pytest.param(
            'cone_low = "5"\ncone_high = "6"\nabs',
            'cone_low = 5\ncone_high = "6"\nabs',
            "cone_low",
            "in quotes",
            id="number",
        ),
        pytest.param('cone_low = "5"', 'cone_low = "5.7"', "cone_low", "is not a cone", id="no such cone"),
        pytest.param("absorption_pct = 1.8\n", "", "[[clay]]", "absorption_pct is missing", id="absorption"),
        pytest.param("absorption_pct = 1.8", "absorption_pct = nan", "= nan", "from 0 to 100", id="not a number"),
        pytest.param("absorption_pct = 1.8", "absorption_pct = true", "= true", "not true or false", id="a flag"),
        pytest.param(
            "absorption_pct = 1.8",
            "absorption = 1.8",
            "absorption = ",
            'did you mean "absorption_pct"',
            id="unknown key",
        ),
        pytest.param(
            'cone_high = "6"\nabs',
            'cone_high = "6"\nslumps_above = "5"\nabs',
            "cone_high",
            "hotter than slumps_above 5",
            id="slumps",
        ),
        pytest.param('kind = "stoneware"', 'kind = "stonware"', "stonware", "is none of earthenware", id="kind"),
        pytest.param("[0.1, 0.12]", "[0.9]", 'food = "tested"', "[[glaze.test]] that passed", id="failed test"),
        pytest.param("[0.1, 0.12]", "[]", "results_mg_l", "at least one result", id="no results"),
        pytest.param('"Pb"', '"Xx"', "metal =", "is none of Pb, Cd", id="metal"),
        pytest.param("2026-03-01", '"2026-03-01"', "tested_on", "a day is needed", id="day"),
        pytest.param('"Copper Wink"', '"fog HARBOUR"', "fog HARBOUR", "has this name already", id="twin"),
        pytest.param(
            'kind = "bisque"', 'kind = "shelf"', "# The Marrow", 'a [[route]] of kind "bisque"', id="no bisque"
        ),
        pytest.param('["raku"]', '["raku", "salt"]', '"salt"', 'there is no route "salt"', id="kiln's route"),
        pytest.param("outdoor = true\n", "", '["raku"]', "needs outdoor = true", id="raku indoors"),
        pytest.param("Europe/Lisbon", "Europe/Atlantis", "Atlantis", "is no time zone", id="time zone"),
        pytest.param("Europe/Lisbon", "Europe", 'timezone = "Europe"', "is no time zone", id="folder of time zones"),
        pytest.param("https://kilns", "kilns", "address", "is no address", id="address"),
        pytest.param('name = "mid-range"', 'name = "Mid range"', "Mid range", "stands in addresses", id="route name"),
        pytest.param('"Old Bess"', f'"{"B" * 61}"', "BBBB", "61 characters long", id="long name"),
        pytest.param('"Old Bess"', '"Old\\u0007Bess"', "Bess", "U+0007", id="control character"),
        pytest.param('"Old Bess"', '"Old\\u202eBess"', "Bess", "U+202E", id="turned around"),
        pytest.param('    "pour",', '    "dip",', "goes_on", "twice", id="twice"),
        pytest.param("[practice]", "[practise]", "[practise]", 'did you mean "practice"', id="unknown section"),
        pytest.param("[studio]", "[[studio]]", "[[studio]]", "as a section", id="section as list"),
        pytest.param(
            '[[kiln]]\nname = "Yard drum"',
            '[kiln.yard]\nname = "Yard drum"',
            "[kiln.yard]",
            '"yard" is not a key',
            id="list as section",
        ),
        pytest.param('family = "outdoor"', "", "Copper Wink", "family is missing", id="missing"),
        pytest.param(
            'routes = ["raku"]', "routes = []", "routes = []", "at least one route", id="kiln without a route"
        ),
        pytest.param(
            "large_porcelain_mm = 150", "large_porcelain_mm = 0", "large_por", "whole number from 1", id="practice"
        ),
    ],
)
def test_each_problem_is_named_with_its_line(old: str, new: str, line_of: str, says: str) -> None:
    text = STUDIO.replace(old, new, 1)

    problems = _problems(text)

    near = {_line(text, line_of), _line(text, line_of) - 1}
    assert any(says in problem and int(problem.split()[1].rstrip(":")) in near for problem in problems), problems


def test_every_problem_is_named_at_once_in_the_order_of_the_file() -> None:
    text = STUDIO.replace('cone_low = "5"', "cone_low = 5").replace("Lisbon", "Nowhere").replace('["raku"]', '["salt"]')

    problems = _problems(text)

    lines = [int(problem.split()[1].rstrip(":")) for problem in problems]
    assert len(problems) == 4
    assert lines == sorted(lines)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        pytest.param("", "[studio]", id="empty"),
        pytest.param("[studio\nname=3", "line 1: this is not TOML", id="broken"),
        pytest.param("a = 1\na = 2", "line 2: this is not TOML", id="key twice"),
        pytest.param("a = " + "[" * 5_000, "line 1", id="deep"),
        pytest.param("a = " + "9" * 5_000, "digits", id="long number"),
        pytest.param(
            "clay = 3\nglaze = [1]\nkiln = {}\nroute = 'x'\nstudio = 1\npractice = []",
            "written as tables",
            id="wrong kinds",
        ),
        pytest.param(
            "[[route]]\nname = []\n[[kiln]]\nroutes = 1\nname = {}", "a text is needed", id="names of other kinds"
        ),
    ],
)
def test_a_file_that_is_no_studio_file_is_refused_with_a_sentence(text: str, says: str) -> None:
    assert any(says in problem for problem in _problems(text))


def test_lines_are_found_whatever_stands_between() -> None:
    text = (
        'a = """\n[[no]]\nb = 1\n"""\n'
        "[[t]]\nx = [\n  1, # c = 3\n  2,\n]\n\"y z\" = '#'\n"
        "[[t.u]]\nv.w = {m = 1}\n[[t]]\nx = 2"
    )

    lines = Lines(text)

    places = [
        ("a",),
        ("t", 0),
        ("t", 0, "x"),
        ("t", 0, "y z"),
        ("t", 0, "u", 0, "v", "w"),
        ("t", 1, "x"),
        ("t", 1, "no"),
    ]
    assert [lines.of(place) for place in places] == [1, 5, 6, 10, 12, 14, 13]


Thing = TypeVar("Thing", Clay, Glaze)

# ---- what is written reads back equal ------------------------------------------------------------------------

letters = st.characters(exclude_categories=["Cc", "Cf", "Cs", "Zl", "Zp"])
names = st.text(letters, min_size=1, max_size=60).map(str.strip).filter(bool)
texts = st.just("") | names
percents = st.floats(0, 100)
ranges = st.tuples(st.sampled_from(CONES), st.sampled_from(CONES)).map(sorted)


@st.composite
def clays(draw: st.DrawFn) -> Clay:
    low, high = draw(ranges)
    return Clay(
        name=draw(names),
        kind=draw(st.sampled_from(ClayKind)),
        cone_low=low,
        cone_high=high,
        slumps_above=draw(st.none() | st.sampled_from([cone for cone in CONES if cone >= high])),
        absorption_pct=draw(percents),
        shrinkage_pct=draw(st.none() | percents),
    )


release_tests = st.builds(
    ReleaseTest,
    laboratory=names,
    tested_on=st.dates(),
    metal=st.sampled_from(Metal),
    ware=st.sampled_from(WareClass),
    results_mg_l=st.lists(st.floats(0, 100_000), min_size=1, max_size=4).map(tuple),
)


@st.composite
def glazes(draw: st.DrawFn) -> Glaze:
    low, high = draw(ranges)
    tests = tuple(draw(st.lists(release_tests, max_size=2)))
    passed = any(test.passed for test in tests)
    return Glaze(
        name=draw(names),
        family=draw(st.sampled_from(Family)),
        cone_low=low,
        cone_high=high,
        food=draw(st.sampled_from([one for one in FoodStanding if passed or one is not FoodStanding.TESTED])),
        traits=draw(st.frozensets(st.sampled_from(Trait))),
        metals=draw(st.frozensets(names, max_size=2)),
        coat=draw(st.sampled_from(Coat)),
        goes_on=draw(st.frozensets(st.sampled_from(HowOn))),
        bucket=draw(texts),
        colour=draw(texts),
        tests=tests,
    )


def _by_name(things: st.SearchStrategy[Thing], least: int) -> st.SearchStrategy[dict[str, Thing]]:
    """Some things of different names, as a catalogue holds them."""
    lists = st.lists(things, min_size=least, max_size=3, unique_by=lambda thing: thing.name.casefold())
    return lists.map(lambda several: {thing.name: thing for thing in several})


ROUTES = {
    name: Route(name=name, title=name.title(), kind=kind, cone=Cone.parse(cone))
    for name, kind, cone in (
        ("bisque", RouteKind.BISQUE, "06"),
        ("mid-range", RouteKind.SHELF, "6"),
        ("raku", RouteKind.RAKU, "06"),
    )
}

kilns = st.builds(
    Kiln,
    name=names,
    routes=st.frozensets(st.sampled_from(sorted(ROUTES)), min_size=1),
    outdoor=st.sampled_from([True]),
    place=texts,
).map(lambda kiln: {kiln.name: kiln})

studios = st.builds(
    Studio,
    name=names,
    timezone=st.sampled_from(["UTC", "Europe/Lisbon", "America/Denver"]),
    address=st.sampled_from(["https://a.example", "http://127.0.0.1:8000", "http://x.example/kiln/room"]),
    catalogue=st.builds(
        Catalogue,
        clays=_by_name(clays(), 1),
        glazes=_by_name(glazes(), 0),
        routes=st.just(ROUTES),
        kilns=kilns,
        practice=st.builds(Practice, large_porcelain_mm=st.integers(1, 5_000), food_absorption_pct=percents),
    ),
)


@settings(max_examples=40)
@given(studios)
def test_what_is_written_reads_back_equal(studio: Studio) -> None:
    assert read_studio(write_studio(studio)) == studio


@given(st.text(max_size=200) | st.lists(st.sampled_from(STUDIO.splitlines()), max_size=12).map("\n".join))
def test_any_text_is_a_studio_or_refused(text: str) -> None:
    try:
        studio = read_studio(text)
    except Unusable as refusal:
        problems = refusal.problems
    else:
        problems = ()
        assert read_studio(write_studio(studio)) == studio

    assert all(problem.startswith("line ") for problem in problems)
