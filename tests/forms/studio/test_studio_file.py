"""A studio file is read whole, or every problem in it is named with its line."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import TypeVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.drawn import examples
from tests.forms.studio.studio_example import STUDIO
from tests.reading import is_told, said
from tests.store.any_values import untold
from tests.studio import a_test
from tracker.domain.cones import CONES, Cone
from tracker.domain.message import Fact, Message
from tracker.domain.refusals import Unusable
from tracker.domain.studio.absorption import Absorption, Soak, Weighing
from tracker.domain.studio.catalog import Catalog, Studio
from tracker.domain.studio.cone_bands import cone_question
from tracker.domain.studio.kilns import Atmosphere, Kiln, Route, RouteKind
from tracker.domain.studio.leach_evidence import never_shown
from tracker.domain.studio.leach_limits import Regime, Unit
from tracker.domain.studio.leach_tests import ReleaseTest, Result, Vessel, VesselKind
from tracker.domain.studio.materials import LOWEST_HEAT, Clay, ClayKind, Coat, Family, FoodStanding, Glaze, HowOn, Trait
from tracker.domain.studio.metals import LIMITED, Metal
from tracker.domain.studio.settings import Practice
from tracker.forms.studio.studio_file import read_studio, write_studio
from tracker.forms.studio.toml_lines import Lines

PB = "results = [0.1, 0.12, 0.1, 0.1, 0.11, 0.1]"
CD = 'results = ["<0.01", "<0.01", 0.02, "<0.01", "<0.01", "<0.01"]'


def _problems(text: str) -> tuple[Message, ...]:
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
    assert studio.catalog.clay("heron white").cone_high == Cone.parse("6")
    lead, cadmium = studio.catalog.glaze("Fog Harbour").tests
    assert (lead.tested_on, lead.clay, lead.vessel.depth_mm) == (date(2026, 3, 1), "Heron White", 85)
    assert [str(one) for one in cadmium.results] == ["<0.01", "<0.01", "0.02", "<0.01", "<0.01", "<0.01"]
    assert (cadmium.vessel.depth_mm, cadmium.route) == (None, None)
    assert [route.name for route in studio.catalog.glazed_routes] == ["raku", "mid-range"]
    assert studio.catalog.kiln("Yard drum").outdoor


def test_what_a_clay_absorbs_by_measuring_stands_beside_its_data_sheet() -> None:
    both = STUDIO.replace('"Weighed Buff"', '"Weighed Buff"\nabsorption_pct = 2.9')
    percent = (
        '[[clay.absorption]]\ncone = "04"\npct = 11.5\nmethod = "cold"\n\n[[clay.weighing]]\nmethod = "boil"\ndry_g'
    )

    clay = read_studio(both.replace("[[clay.weighing]]\ndry_g", percent)).catalog.clay("Weighed Buff")
    weighed = read_studio(STUDIO).catalog.clay("Weighed Buff")

    # D 100.00, M 102.00, S 60.00 g take up 2.000 % (ASTM C373, formulas from memory).
    two = Absorption(cone=Cone.parse("6"), pct=2.0, method=Soak.BOIL)
    assert (weighed.absorption_pct, weighed.measured) == (None, (two,))
    assert clay.absorption_pct == 2.9
    assert clay.measured == (Absorption(cone=Cone.parse("04"), pct=11.5, method=Soak.COLD), two)


def test_a_clay_may_leave_open_what_it_absorbs() -> None:
    clay = read_studio(STUDIO.replace("absorption_pct = 1.8\n", "")).catalog.clay("Heron White")

    assert (clay.absorption_pct, clay.absorption, clay.measured) == (None, (), ())


def test_a_test_names_its_cone_its_atmosphere_and_any_metal() -> None:
    told = STUDIO.replace('metal = "Pb"', 'metal = "copper"\ncone = "6"\natmosphere = "reduction"\npassed = true')

    test, _cadmium = (
        read_studio(told.replace('food = "tested"', 'food = "untested"')).catalog.glaze("Fog Harbour").tests
    )

    assert (test.metal, test.cone, test.atmosphere, test.passed) == (
        Metal.COPPER,
        Cone.parse("6"),
        Atmosphere.REDUCTION,
        True,
    )


def test_a_cone_without_quotes_is_told_how_to_write_it_on_each_line_at_once() -> None:
    bare = STUDIO.replace('cone = "06"', "cone = 06").replace('cone_low = "06"', "cone_low = 06 # cool")

    problems = _problems(bare)

    lines = bare.splitlines()
    assert [one.code for one in problems] == ["cone-without-quotes"] * len(problems)
    assert len(problems) == sum(bool(re.search("= 06", line)) for line in lines) > 1


def test_what_is_tested_by_one_regime_may_not_be_so_by_another() -> None:
    fails = STUDIO.replace(CD, "results = [0.3, 0.3, 0.3, 0.3, 0.3, 0.3]")

    studio = read_studio(fails)
    problems = _problems(fails.replace("[practice]", '[practice]\nregime = "iso-6486-2"'))

    # A mug that holds 320 ml: cadmium 0.5 mg/L by the US FDA as small hollowware, 0.25 by ISO 6486-2 (from memory).
    assert studio.catalog.glaze("Fog Harbour").food is FoodStanding.TESTED
    missing = {"metals": (Metal.CADMIUM,), "regime": Regime.ISO_6486_2}
    assert is_told(problems[0], "not-tested", missing)


def test_a_clay_that_nobody_can_name_is_taken_for_the_lowest_firing() -> None:
    clay = read_studio(STUDIO).catalog.clay("Whoever knows")

    assert (clay.cone_low, clay.cone_high) == LOWEST_HEAT


@pytest.mark.parametrize(
    ("old", "new", "line_of", "code", "facts"),
    [
        pytest.param(
            'cone_high = "6"\nabs',
            'cone_high = "04"\nabs',
            "cone_high",
            "cones-fall",
            {},
            id="range",
        ),
        pytest.param(
            'cone_low = "5"\ncone_high = "6"\nabs',
            'cone_low = 5\ncone_high = "6"\nabs',
            "cone_low",
            "cone-as-number",
            {},
            id="number",
        ),
        pytest.param('cone_low = "5"', 'cone_low = "5.7"', "cone_low", "not-a-cone", {}, id="no such cone"),
        pytest.param(
            "absorption_pct = 1.8",
            "absorption_pct = nan",
            "= nan",
            "number-outside",
            {"least": 0, "most": 100},
            id="isn't a usable number",
        ),
        pytest.param("absorption_pct = 1.8", "absorption_pct = true", "= true", "not-a-number", {}, id="a flag"),
        pytest.param(
            "absorption_pct = 1.8",
            "absorbtion_pct = 1.8",
            "absorbtion_pct = ",
            "key-misspelt",
            {"key": "absorbtion_pct", "near": "absorption_pct"},
            id="unknown key",
        ),
        pytest.param(
            'cone_high = "6"\nabs',
            'cone_high = "6"\nslumps_above = "5"\nabs',
            "cone_high",
            "cones-fall",
            {},
            id="slumps",
        ),
        pytest.param('kind = "stoneware"', 'kind = "stonware"', "stonware", "none-of-these", {}, id="kind"),
        pytest.param(PB, "results = [0.9]", 'food = "tested"', "not-tested", {}, id="failed test"),
        pytest.param(PB, "results = [0.1]", 'food = "tested"', "not-tested", {}, id="too few specimens"),
        pytest.param(CD, "results = [0.6]", 'food = "tested"', "not-tested", {}, id="failed cadmium"),
        pytest.param(
            CD,
            "results = [0.3]\nunit_ = 1",
            "unit_",
            "key-misspelt",
            {"key": "unit_", "near": "unit"},
            id="strange key of a test",
        ),
        pytest.param(PB, "results = []", "results =", "no-results", {}, id="no results"),
        pytest.param(PB, 'results = ["0.1"]', "results =", "quoted-number", {}, id="number in quotes"),
        pytest.param(PB, 'results = ["<0"]', "results =", "below-nothing", {}, id="below nothing"),
        pytest.param(PB, 'results = ["<"]', "results =", "not-a-result", {}, id="no number"),
        pytest.param(
            PB, "results = [-0.1]", "results =", "number-outside", {"least": 0, "most": 100_000}, id="less than nothing"
        ),
        pytest.param('unit = "mg/L"', 'unit = "mg/l"', "unit =", "none-of-these", {}, id="unit"),
        pytest.param('"cup or mug"', '"mug"', '"mug"', "none-of-these", {}, id="vessel"),
        pytest.param(
            "depth_mm = 85", "depth_mm = -1", "depth_mm", "number-outside", {"least": 0, "most": 10_000}, id="depth"
        ),
        pytest.param(
            'clay = "Heron White"',
            'clay = "Heron"',
            'clay = "H',
            "not-in-file",
            {"key": "clay", "word": "clay", "name": "Heron"},
            id="test's clay",
        ),
        pytest.param(
            '\nroute = "mid-range"',
            '\nroute = "salt"',
            'route = "s',
            "not-in-file",
            {"key": "route", "word": "route", "name": "salt"},
            id="test's route",
        ),
        pytest.param("food_absorption_pct = 3.0", 'regime = "uk"', "regime", "none-of-these", {}, id="regime"),
        pytest.param("dry_g = 100.00", "dry_g = 103", "saturated_g", "lighter-when-wet", {}, id="weighing"),
        pytest.param("suspended_g = 60.00", "suspended_g = 102", "saturated_g", "no-lift", {}, id="suspended"),
        pytest.param(
            "saturated_g = 102.00\n", "", "[[clay.weighing]]", "key-missing", {"key": "saturated_g"}, id="one weight"
        ),
        pytest.param('"Pb"', '"Xx"', "metal =", "no-such-metal", {"text": "Xx"}, id="metal"),
        pytest.param("2026-03-01", '"2026-03-01"', "tested_on", "not-a-day", {}, id="day"),
        pytest.param('"Copper Wink"', '"fog HARBOUR"', "fog HARBOUR", "name-taken-above", {"key": "name"}, id="twin"),
        pytest.param('kind = "bisque"', 'kind = "shelf"', "# The Marrow", "no-bisque", {}, id="no bisque"),
        pytest.param(
            '["raku"]',
            '["raku", "salt"]',
            '"salt"',
            "not-in-file",
            {"word": "route", "name": "salt"},
            id="kiln's route",
        ),
        pytest.param("outdoor = true\n", "", '["raku"]', "kiln-not-outdoors", {"route": "raku"}, id="raku indoors"),
        pytest.param(
            "Europe/Lisbon", "Europe/Atlantis", "Atlantis", "no-such-zone", {"name": "Europe/Atlantis"}, id="time zone"
        ),
        pytest.param(
            "Europe/Lisbon",
            "Europe",
            'timezone = "Europe"',
            "no-such-zone",
            {"name": "Europe"},
            id="folder of time zones",
        ),
        pytest.param("https://kilns", "kilns", "address", "not-an-address", {"key": "address"}, id="address"),
        pytest.param(
            'name = "mid-range"',
            'name = "Mid range"',
            "Mid range",
            "not-a-slug",
            {"name": "Mid range"},
            id="route name",
        ),
        pytest.param('"Old Bess"', f'"{"B" * 61}"', "BBBB", "text-too-long", {"long": 61, "most": 60}, id="long name"),
        pytest.param(
            '"Old Bess"', '"Old\\u0007Bess"', "Bess", "stray-character", {"character": "U+0007"}, id="control character"
        ),
        pytest.param(
            '"Old Bess"', '"Old\\u202eBess"', "Bess", "stray-character", {"character": "U+202E"}, id="turned around"
        ),
        pytest.param('    "pour",', '    "dip",', "goes_on", "twice-in-list", {}, id="twice"),
        pytest.param(
            "[practice]",
            "[practise]",
            "[practise]",
            "key-misspelt",
            {"key": "practise", "near": "practice"},
            id="unknown section",
        ),
        pytest.param("[studio]", "[[studio]]", "[[studio]]", "no-section", {"word": "studio"}, id="section as list"),
        pytest.param(
            '[[kiln]]\nname = "Yard drum"',
            '[kiln.yard]\nname = "Yard drum"',
            "[kiln.yard]",
            "key-unknown",
            {"key": "yard"},
            id="list as section",
        ),
        pytest.param('family = "outdoor"', "", "Copper Wink", "key-missing", {"key": "family"}, id="missing"),
        pytest.param('routes = ["raku"]', "routes = []", "routes = []", "no-routes", {}, id="kiln without a route"),
        pytest.param(
            "large_porcelain_mm = 150",
            "large_porcelain_mm = 0",
            "large_por",
            "whole-number-outside",
            {"least": 1, "most": 5_000},
            id="practice",
        ),
    ],
)
def test_each_problem_is_named_with_its_line(
    old: str, new: str, line_of: str, code: str, facts: dict[str, Fact]
) -> None:
    text = STUDIO.replace(old, new, 1)

    problems = _problems(text)

    near = {_line(text, line_of), _line(text, line_of) - 1}
    assert any(is_told(problem, code, facts) and problem["line"] in near for problem in problems), problems
    assert all(said(problem).startswith(f"line {problem['line']}: ") for problem in problems)
    assert all(said(problem).endswith((".", "?")) for problem in problems)


def test_every_problem_is_named_at_once_in_the_order_of_the_file() -> None:
    text = STUDIO.replace('cone_low = "5"', "cone_low = 5").replace("Lisbon", "Nowhere").replace('["raku"]', '["salt"]')

    problems = _problems(text)

    lines = [problem["line"] for problem in problems]
    assert len(problems) == 5
    assert lines == sorted(lines, key=lambda line: int(str(line)))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        pytest.param("", "[studio]", id="empty"),
        pytest.param("[studio\nname=3", "line 1: this isn't TOML", id="broken"),
        pytest.param("a = 1\na = 2", "line 2: this isn't TOML", id="key twice"),
        pytest.param("a = " + "[" * 5_000, "line 1", id="deep"),
        pytest.param("a = " + "9" * 5_000, "digits", id="long number"),
        pytest.param(
            "clay = 3\nglaze = [1]\nkiln = {}\nroute = 'x'\nstudio = 1\npractice = []",
            "as tables",
            id="wrong kinds",
        ),
        pytest.param(
            "[[route]]\nname = []\n[[kiln]]\nroutes = 1\nname = {}", "expected text", id="names of other kinds"
        ),
    ],
)
def test_a_file_that_is_no_studio_file_is_refused_with_a_sentence(text: str, says: str) -> None:
    assert any(says in said(problem) for problem in _problems(text))


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


cones = st.sampled_from(CONES)


def _weighed(dry: float, water: float, cone: Cone) -> Weighing:
    return Weighing(dry_g=dry, saturated_g=dry * (1 + water), suspended_g=dry / 2, cone=cone)


def vouched(thing: Thing, *, anyway: bool) -> Thing:
    """The thing as somebody vouches for its cones where they are not usual, or `anyway`."""
    return replace(thing, cones_checked=anyway or cone_question(thing) is not None)


measured = st.builds(Absorption, cone=cones, pct=percents, method=st.sampled_from(Soak))


@st.composite
def clays(draw: st.DrawFn) -> Clay:
    low, high = draw(ranges)
    clay = Clay(
        name=draw(names),
        kind=draw(st.sampled_from(ClayKind)),
        cone_low=low,
        cone_high=high,
        slumps_above=draw(st.none() | st.sampled_from([cone for cone in CONES if cone >= high])),
        absorption_pct=draw(st.none() | percents),
        shrinkage_pct=draw(st.none() | percents),
        absorption=draw(st.lists(measured, max_size=2).map(tuple)),
        weighings=draw(
            st.lists(st.builds(_weighed, st.floats(1, 500), st.floats(0, 0.9), cones), max_size=2).map(tuple)
        ),
        retired=draw(st.booleans()),
    )
    return vouched(clay, anyway=draw(st.booleans()))


measures = st.none() | st.floats(0, 10_000)
release_tests = st.builds(
    ReleaseTest,
    laboratory=names,
    tested_on=st.dates(),
    metal=st.sampled_from(Metal),
    unit=st.sampled_from(Unit),
    results=st.lists(
        st.builds(Result, st.floats(0, 100_000))
        | st.builds(Result, st.floats(0.001, 10), is_below=st.sampled_from([True])),
        min_size=1,
        max_size=7,
    ).map(tuple),
    vessel=st.builds(Vessel, kind=st.sampled_from(VesselKind), depth_mm=measures, capacity_ml=measures),
    passed=st.none() | st.booleans(),
    cone=st.none() | cones,
    atmosphere=st.none() | st.sampled_from(Atmosphere),
    method=texts,
    route=st.none() | st.sampled_from(["bisque", "mid-range", "raku"]),
)
PASSED = tuple(a_test(metal=metal) for metal in LIMITED)


@st.composite
def glazes(draw: st.DrawFn) -> Glaze:
    low, high = draw(ranges)
    tests = tuple(draw(st.lists(release_tests, max_size=2))) + draw(st.sampled_from([(), PASSED]))
    passed = not any(never_shown(tests, regime) for regime in Regime)
    glaze = Glaze(
        name=draw(names),
        family=draw(st.sampled_from(Family)),
        cone_low=low,
        cone_high=high,
        food=draw(st.sampled_from([one for one in FoodStanding if passed or one is not FoodStanding.TESTED])),
        traits=draw(st.frozensets(st.sampled_from(Trait))),
        metals=draw(st.frozensets(names, max_size=2)),
        coat=draw(st.sampled_from(Coat)),
        goes_on=draw(st.frozensets(st.sampled_from(HowOn))),
        tests=tests,
        **draw(untold(Glaze, texts, "name")),
    )
    return vouched(glaze, anyway=draw(st.booleans()))


def _by_name(things: st.SearchStrategy[Thing], least: int) -> st.SearchStrategy[dict[str, Thing]]:
    """Some things of different names, as a catalog holds them."""
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
    catalog=st.builds(
        Catalog,
        clays=_by_name(clays(), 1),
        glazes=_by_name(glazes(), 0),
        routes=st.just(ROUTES),
        kilns=kilns,
        practice=st.builds(
            Practice,
            large_porcelain_mm=st.integers(1, 5_000),
            food_absorption_pct=percents,
            glaze_dries_hours=st.integers(0, 72),
            regime=st.sampled_from(Regime),
        ),
    ),
)


@examples(40)
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

    assert all("line" in problem for problem in problems)
