"""What is said of a piece and food is never more than a laboratory has shown."""

from __future__ import annotations

import re
from dataclasses import fields, replace
from typing import Any, NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.rules.wares import wares
from tests.reading import said, tells
from tests.studio import a_clay, a_glaze, a_route, a_studio, a_test
from tracker.domain.cones import Cone
from tracker.domain.findings import Level
from tracker.domain.pieces.piece import Build, Coats, Piece, Stage, StepName, Use, Ware
from tracker.domain.quantities import percent
from tracker.domain.rules.engine import ABOUT_FOOD, judge
from tracker.domain.rules.food_standing import (
    FoodWord,
    LastFire,
    firing_of,
    food_of,
    food_standing,
    glaze_standing,
    last_fire,
    settled,
    what_was_tested,
)
from tracker.domain.rules.food_tests import UNTESTED
from tracker.domain.rules.rule import outside_of
from tracker.domain.studio.absorption import Absorption, Scheme, Soak
from tracker.domain.studio.kilns import KNOWN_ROUTES, Atmosphere, Kiln
from tracker.domain.studio.leach_limits import Regime, WareClass
from tracker.domain.studio.leach_tests import Outside, VesselKind
from tracker.domain.studio.materials import Coat, FoodStanding, Layer, Trait, Zone
from tracker.domain.studio.metals import LIMITED, Metal
from tracker.domain.studio.settings import Practice

SIX = Cone.parse("6")
BOTH = tuple(a_test(metal=metal, cone=SIX) for metal in LIMITED)
SHELF = a_route("mid-range")


def a_mug(**facts: Any) -> Ware:  # noqa: ANN401 -- any fact of a glaze or of a pot
    """A mug for food of mature, dense clay in one glaze that passed for both metals, but for the facts given."""
    glaze = a_glaze(**({"food": FoodStanding.TESTED, "tests": BOTH} | facts.pop("glaze", {})))
    plain: dict[str, Any] = {"clay": a_clay(), "layers": (Layer(glaze, Zone.INSIDE),), "use": Use.FOOD}
    plain |= {"height_mm": 100, "width_mm": 120, "depth_mm": 90}
    return Ware(**(plain | facts))


def test_that_nothing_is_known_against_it_is_the_most_that_is_ever_said() -> None:
    answer = food_standing(a_mug(), SHELF)

    assert answer.word is FoodWord.NOTHING_AGAINST
    assert "This piece itself wasn't tested" in said(answer.message)
    assert tells(answer.reasons, "absorption", clay="Doorstep Buff", limit=percent(3.0))
    assert tells(answer.reasons, "absorption-sheet", pct=percent(1.5))
    assert tells(answer.reasons, "absorption-class", scheme=Scheme.ANSI_A137_1, name="vitreous")


def test_passed_tests_are_told_with_their_metals_their_cone_and_their_day() -> None:
    told = [said(reason) for reason in food_standing(a_mug(), SHELF).reasons]

    assert (
        "Still Water: leach tests passed: lead and cadmium at cone 6, 1,222 °C, Nov 4, 2025 (on cups and mugs)." in told
    )


@pytest.mark.parametrize(
    ("facts", "because"),
    [
        pytest.param({"glaze": {"food": FoodStanding.DECLARED, "tests": ()}}, {"standing": "declared"}, id="declared"),
        pytest.param({"clay": a_clay(absorption_pct=None, absorption=None)}, {"standing": "passed"}, id="not asked"),
    ],
)
def test_what_is_declared_or_not_asked_about_is_told_as_that(facts: dict[str, Any], because: dict[str, Any]) -> None:
    answer = food_standing(a_mug(**facts), SHELF)

    assert answer.word is FoodWord.NOTHING_AGAINST
    assert tells(answer.reasons, "glaze-standing", **because)


@pytest.mark.parametrize(
    ("facts", "because"),
    [
        pytest.param({"glaze": {"food": FoodStanding.UNTESTED, "tests": ()}}, {"standing": "untested"}, id="untested"),
        pytest.param(
            {"glaze": {"food": FoodStanding.UNTESTED, "tests": BOTH[:1]}}, {"code": UNTESTED}, id="lead alone"
        ),
        pytest.param(
            {"glaze": {"tests": (a_test(0.1, cone=SIX), BOTH[1])}},
            {"code": "leach-too-few", "count": 1},
            id="one specimen",
        ),
        pytest.param(
            {"glaze": {"tests": tuple(replace(one, clay="Lantern White") for one in BOTH)}},
            {"standing": "elsewhere"},
            id="other clay",
        ),
        pytest.param(
            {"glaze": {"tests": tuple(replace(one, route="high-fire") for one in BOTH)}},
            {"standing": "elsewhere"},
            id="other firing",
        ),
        pytest.param(
            {"glaze": {"tests": tuple(replace(one, cone=Cone.parse("04")) for one in BOTH)}},
            {"standing": "elsewhere"},
            id="other cone",
        ),
        pytest.param({"glaze": {"traits": frozenset({Trait.CRACKLE})}}, {"code": "crackle-for-food"}, id="crackle"),
        pytest.param({"glaze": {"metals": frozenset({"Cu"})}}, {"code": "metals-untested-for-food"}, id="copper"),
    ],
)
def test_whatever_is_missing_is_said_and_the_piece_is_not_shown_to_be_fit(
    facts: dict[str, Any], because: dict[str, Any]
) -> None:
    answer = food_standing(a_mug(**facts), SHELF)

    assert answer.word is FoodWord.NOT_SHOWN
    assert tells(answer.reasons, **({"code": "glaze-standing"} | because)), answer.reasons
    assert all(map(said, answer.reasons))


def test_a_test_speaks_for_the_atmosphere_of_the_kiln() -> None:
    tests = tuple(replace(one, atmosphere=Atmosphere.OXIDATION) for one in BOTH)
    mug = a_mug(glaze={"tests": tests})

    words = {
        air: food_standing(mug, SHELF, kiln=Kiln(name="Old Bess", routes=frozenset({"mid-range"}), atmosphere=air)).word
        for air in (None, Atmosphere.OXIDATION, Atmosphere.REDUCTION)
    }

    assert words == {
        None: FoodWord.NOTHING_AGAINST,
        Atmosphere.OXIDATION: FoodWord.NOTHING_AGAINST,
        Atmosphere.REDUCTION: FoodWord.NOT_SHOWN,
    }


@pytest.mark.parametrize(
    ("facts", "route", "rule"),
    [
        pytest.param(
            {"glaze": {"food": FoodStanding.DECORATIVE}}, "mid-range", "decorative-glaze-for-food", id="decorative"
        ),
        pytest.param(
            {"glaze": {"tests": (*BOTH, a_test(0.6))}}, "mid-range", "release-over-limit", id="over the limit"
        ),
        pytest.param({}, "raku", "outdoors-for-food", id="outdoors"),
        pytest.param({"clay": a_clay(absorption_pct=3.1)}, "mid-range", "clay-porous-for-food", id="porous"),
        pytest.param({"clay": a_clay(cone_low="8")}, "mid-range", "clay-porous-for-food", id="immature"),
        pytest.param({"clay": a_clay(absorption_pct=None)}, "mid-range", "clay-porous-for-food", id="unmeasured"),
        pytest.param(
            {"glaze": {"metals": frozenset({"lead"}), "tests": ()}}, "mid-range", "lead-or-cadmium-for-food", id="lead"
        ),
    ],
)
def test_what_the_rules_refuse_for_food_is_not_for_food(facts: dict[str, Any], route: str, rule: str) -> None:
    answer = food_standing(a_mug(**facts), a_route(route))

    assert answer.word is FoodWord.NOT_FOR_FOOD
    assert rule in {reason.code for reason in answer.reasons}


@pytest.mark.parametrize("use", [Use.DECORATIVE, None])
def test_what_nobody_means_for_food_is_decorative(use: Use | None) -> None:
    assert food_standing(a_mug(use=use), SHELF).word is FoodWord.DECORATIVE


def test_a_bare_piece_has_everything_still_to_come() -> None:
    answer = food_standing(a_mug(layers=()))

    assert (answer.word, answer.may_change) == (FoodWord.STILL_TO_COME, True)


def test_without_a_route_the_fire_it_had_is_what_counts() -> None:
    fired, cold = Cone.parse("6"), Cone.parse("06")

    assert food_standing(a_mug(fired_to=fired)).word is FoodWord.NOTHING_AGAINST
    assert tells(food_standing(a_mug(fired_to=cold)).reasons, "clay-porous-for-food", why="immature", firing=cold)
    assert tells(food_standing(a_mug()).reasons, "maturing-to-come")


def test_before_any_firing_is_chosen_a_glaze_that_only_ever_failed_is_not_for_food() -> None:
    failed = a_test(0.6, cone=SIX)

    assert food_standing(a_mug(glaze={"tests": (failed,)})).word is FoodWord.NOT_FOR_FOOD
    assert food_standing(a_mug(glaze={"tests": (failed, replace(BOTH[0], cone=Cone.parse("5")))})).word is (
        FoodWord.NOT_SHOWN
    )


def test_a_piece_is_told_by_the_cone_that_it_was_fired_to() -> None:
    catalog = a_studio().catalog
    mug = a_mug(fired_to=Cone.parse("5"))
    facts = {one.name: getattr(mug, one.name) for one in fields(Ware)}
    piece = Piece(**facts, id=7, what="tall cup", maker_id=1, stage=Stage.FIRED)

    answer = food_of(piece, catalog, LastFire("mid-range", None))

    assert answer.word is FoodWord.NOT_FOR_FOOD
    assert tells(answer.reasons, "clay-porous-for-food", firing=Cone.parse("5"))


def a_piece(stage: Stage, **facts: Any) -> Piece:  # noqa: ANN401 -- any fact of a pot
    """The mug as a piece of the studio at that stage."""
    mug = a_mug()
    known = {one.name: getattr(mug, one.name) for one in fields(Ware)}
    return Piece(**(known | facts), id=7, what="tall cup", maker_id=1, stage=stage)


class Line(NamedTuple):
    """A line of a piece's history."""

    step: StepName
    route: str | None = None
    kiln: str | None = None


def test_the_last_glaze_firing_tells_how_a_piece_was_fired_whatever_was_done_since() -> None:
    catalog = a_studio().catalog
    kiln = next(iter(catalog.kilns.values()))
    newest_first = [
        *(Line(StepName.SHELVE), Line(StepName.CLAIM), Line(StepName.FIRE, "mid-range", kiln.name)),
        *(Line(StepName.QUEUE, "low-fire"), Line(StepName.FIRE, "low-fire", None)),
    ]

    last = last_fire(newest_first)

    assert last == LastFire("mid-range", kiln.name)
    assert last_fire(newest_first[:2]) == LastFire()
    assert firing_of(a_piece(Stage.FIRED, fired_to=SIX), catalog, last) == (catalog.routes["mid-range"].at(SIX), kiln)
    assert firing_of(a_piece(Stage.GREENWARE), catalog, last) == (None, None)


def test_until_it_comes_out_of_its_glaze_firing_that_is_still_to_come() -> None:
    catalog = a_studio().catalog

    waits = food_of(a_piece(Stage.QUEUED, route="mid-range", fired_to=Cone.parse("06")), catalog)
    fired = food_of(a_piece(Stage.FIRED, fired_to=SIX), catalog, LastFire("mid-range", None))

    assert (waits.word, fired.word) == (FoodWord.STILL_TO_COME, FoodWord.NOTHING_AGAINST)
    assert tells(waits.reasons, "glaze-standing", standing="passed")


def test_raw_glaze_is_not_told_by_the_bisque_under_it() -> None:
    glazed = a_piece(Stage.GLAZED, fired_to=Cone.parse("06"))

    assert food_of(glazed, a_studio().catalog).word is FoodWord.STILL_TO_COME


def test_a_second_bisque_leaves_the_glaze_firing_to_come() -> None:
    bisqued = a_mug(layers=(), fired_to=Cone.parse("06"))
    glazed = a_mug(fired_to=SIX)

    assert food_standing(bisqued, a_route("bisque")).word is FoodWord.STILL_TO_COME
    assert food_standing(glazed.fired(SIX), a_route("bisque")).word is FoodWord.NOTHING_AGAINST
    immature = replace(glazed, clay=a_clay(cone_low="8")).fired(SIX)
    for ware, is_immature in ((glazed.fired(SIX), False), (immature, True)):
        assert tells(food_standing(ware, a_route("bisque")).reasons, "clay-immature", cone=SIX) is is_immature


def test_china_paint_over_a_tested_liner_is_a_combination_that_was_not_tested() -> None:
    paint = a_glaze("Gilt Line", coat=Coat.OVERGLAZE, cone_low="019", cone_high="017", food=FoodStanding.DECLARED)
    liner = a_mug().layers[0].fired(SIX)

    inside, outside = (
        food_standing(a_mug(layers=(liner, Layer(paint, zone)), fired_to=SIX), KNOWN_ROUTES["overglaze"])
        for zone in (Zone.INSIDE, Zone.OUTSIDE)
    )

    assert "layered-for-food" in {one.code for one in inside.reasons}
    assert "layered-for-food" not in {one.code for one in outside.reasons}


def test_a_glaze_that_passed_for_one_metal_is_told_with_the_one_that_is_missing() -> None:
    mug = a_mug(glaze={"food": FoodStanding.UNTESTED, "tests": BOTH[:1]})

    told = " ".join(map(said, food_standing(mug, SHELF).reasons))

    assert "no leach test for cadmium passed at cone 6" in told
    assert "none for cadmium" in told
    assert "no leach test on file" not in told


def test_clay_measured_at_the_cone_of_its_firing_is_not_compared_with_itself() -> None:
    porous = a_clay(absorption_pct=None, absorption=(Absorption(cone=SIX, pct=3.4, method=Soak.BOIL),))

    told = [said(one) for one in food_standing(a_mug(clay=porous), SHELF).reasons]

    assert any("absorbs 3.4% at cone 6, 1,222 °C, over the limit for food of 3%" in one for one in told), told


@pytest.mark.parametrize(("pct", "why"), [(0.5, "dense"), (0.6, "bare")])
def test_bare_clay_is_called_dense_up_to_what_counts_as_impervious(pct: float, why: str) -> None:
    # ANSI A137.1: impervious is 0.5% or less.
    dense = a_clay(absorption_pct=None, absorption=(Absorption(cone=SIX, pct=pct, method=Soak.BOIL),))

    found = judge(a_mug(clay=dense, layers=(), coats=Coats.ALL_TOLD), SHELF).findings

    assert tells([one.message for one in found], "unlined-for-food", why=why)


@pytest.mark.parametrize(
    ("cone", "method", "why"),
    [("6", Soak.BOIL, "measured here"), ("7", Soak.BOIL, "measured boil"), ("6", Soak.COLD, "measured cold")],
)
def test_only_a_boil_test_at_this_cone_says_how_much_clay_absorbs_here(cone: str, method: Soak, why: str) -> None:
    # ASTM C373: a cold soak leaves pores unfilled; clay absorbs more the cooler it is fired (common practice).
    porous = a_clay(absorption_pct=None, absorption=(Absorption(cone=Cone.parse(cone), pct=3.4, method=method),))

    found = judge(a_mug(clay=porous), SHELF).findings

    assert tells([one.message for one in found], "clay-porous-for-food", why=why)


@pytest.mark.parametrize(
    ("cone", "method", "known"),
    [
        ("6", Soak.BOIL, "tested"),
        ("6", Soak.COLD, "tested-least"),
        ("7", Soak.BOIL, "tested-least"),
        ("5", Soak.BOIL, "tested-most"),
    ],
)
def test_a_decorative_piece_seeps_by_what_was_measured_here_or_as_its_bound(
    cone: str, method: Soak, known: str
) -> None:
    porous = a_clay(absorption_pct=None, absorption=(Absorption(cone=Cone.parse(cone), pct=9.0, method=method),))

    found = judge(a_mug(clay=porous, use=Use.DECORATIVE), SHELF).findings

    assert tells([one.message for one in found], "clay-stays-porous", known=known)


@pytest.mark.parametrize(
    ("measured", "why"),
    [
        ((), "unmeasured"),
        ((Absorption(cone=SIX, pct=1.0, method=Soak.COLD),), "soaked"),
        ((Absorption(cone=Cone.parse("7"), pct=1.0, method=Soak.BOIL),), "unbounded"),
    ],
    ids=["not measured", "by a cold soak alone", "boiled at a hotter cone"],
)
def test_what_keeps_clay_from_being_shown_dense_is_told(measured: tuple[Absorption, ...], why: str) -> None:
    # ASTM C373: a cold soak leaves pores unfilled; clay absorbs more the cooler it is fired (common practice).
    found = judge(a_mug(clay=a_clay(absorption_pct=None, absorption=measured)), SHELF).findings

    assert tells([one.message for one in found], "clay-porous-for-food", why=why)


def test_a_test_that_failed_in_this_firing_is_told_without_one() -> None:
    (found,) = judge(a_mug(glaze={"tests": (a_test(0.6, cone=SIX), BOTH[1])}), SHELF).findings

    assert tells([found.message], "failed-leach-test", fired=None)


def test_what_was_measured_of_clay_is_told_before_its_first_firing_too() -> None:
    dense = a_clay(absorption_pct=None, absorption=(Absorption(cone=SIX, pct=1.8, method=Soak.BOIL),))

    assert tells(food_standing(a_mug(clay=dense)).reasons, "absorption-at", pct=percent(1.8), cone=SIX)


def test_clay_that_was_measured_at_a_cooler_cone_alone_is_told_by_that() -> None:
    measured = (Absorption(cone=Cone.parse("5"), pct=1.8, method=Soak.BOIL),)
    mug = a_mug(clay=a_clay(absorption_pct=None, absorption=measured))

    assert tells(food_standing(mug, SHELF).reasons, "absorption-at", pct=percent(1.8), cone=Cone.parse("5"))


def test_a_data_sheet_of_clay_for_hotter_firings_never_tells_that_it_is_dense() -> None:
    told = food_standing(a_mug(clay=a_clay(absorption_pct=2.9, cone_low="6", cone_high="10")), SHELF).reasons

    assert {"absorption", "absorption-unmeasured"} & {one.code for one in told} == {"absorption-unmeasured"}


@pytest.mark.parametrize("zone", Zone)
def test_crackle_is_asked_about_anywhere_in_words_that_fit_where_it_is(zone: Zone) -> None:
    crackle = a_glaze(food=FoodStanding.TESTED, tests=BOTH, traits=frozenset({Trait.CRACKLE}))

    found = judge(a_mug(layers=(Layer(crackle, zone),)), SHELF).findings

    told = next(one for one in found if one.rule == "crackle-for-food")
    assert told.level is Level.ASK
    assert ("food gets trapped in the cracks" in said(told.message)) is (zone in {Zone.ALL_OVER, Zone.INSIDE, Zone.LIP})


def test_a_test_is_told_as_this_pieces_own_only_of_a_glaze_that_food_touches() -> None:
    liner, outer = a_mug().layers[0], Layer(a_glaze("Ninth Rain", food=FoodStanding.TESTED, tests=BOTH), Zone.OUTSIDE)

    tested, _not = what_was_tested(a_mug(layers=(liner, outer)), SHELF)

    assert tells(tested, "release-within", glaze="Still Water")
    assert not tells(tested, "release-within", glaze="Ninth Rain")


def test_a_metal_that_failed_in_a_test_is_not_told_as_passed_in_another() -> None:
    # CPG 545.450: 0.5 mg/L for cups and mugs.
    tests = (a_test(*[0.6] * 6, cone=SIX), a_test(*[0.1] * 6))

    tested, untested = what_was_tested(a_mug(glaze={"tests": tests}), SHELF)

    assert tells(tested, "release-over", metals=(Metal.LEAD,))
    assert not tells(tested, "release-within")
    assert tells(untested, "release-unknown", metals=(Metal.CADMIUM,))


def test_the_regime_of_the_studio_decides() -> None:
    cadmium = a_test(*[0.3] * 6, metal=Metal.CADMIUM)
    mug = a_mug(glaze={"tests": (BOTH[0], cadmium)})

    by = {regime: food_standing(mug, SHELF, Practice(regime=regime)).word for regime in Regime}

    # 0.3 mg/L out of a mug of 300 ml: 0.5 by the US FDA, 0.3 in category 2 of 84/500/EEC, 0.25 by ISO 6486-2 (the
    # last from memory).
    assert by == {
        Regime.US_FDA: FoodWord.NOTHING_AGAINST,
        Regime.EU: FoodWord.NOTHING_AGAINST,
        Regime.ISO_6486_2: FoodWord.NOT_FOR_FOOD,
    }


def test_a_thrown_piece_that_was_altered_is_as_deep_as_somebody_measured() -> None:
    # CPG 545.450: under 1.1 L is small hollowware (from memory); 110 x 110 x 100 mm is 1.21 L.
    thrown = Ware(clay=a_clay(), build=Build.THROWN, height_mm=100, width_mm=110)

    by = {depth: outside_of(replace(thrown, depth_mm=depth)) for depth in (None, 90)}

    assert by == {None: Outside.HOLLOW, 90: Outside.SMALL}


@given(wares(), st.sampled_from(["mid-range", "high-fire", "raku", "low-fire"]), st.sampled_from(Regime))
def test_nothing_is_ever_called_safe_and_the_rules_have_nothing_where_nothing_is_against_it(
    ware: Ware, name: str, regime: Regime
) -> None:
    answer = food_standing(ware, a_route(name), Practice(regime=regime))

    told = " ".join(map(said, (answer.message, *answer.reasons)))
    # What is denied, left to a laboratory or said by somebody else is no promise of ours.
    told = re.sub("(not shown to be|whether it's|says it's|aren't|isn't) food-safe", "", told)
    assert "safe" not in told.lower()
    if answer.word is FoodWord.NOTHING_AGAINST:
        judged = judge(ware, a_route(name), Practice(regime=regime)).findings
        assert not ABOUT_FOOD & {one.rule for one in judged}


@pytest.mark.parametrize(
    ("food", "tests", "then"),
    [
        pytest.param("untested", BOTH, "tested", id="shown"),
        pytest.param("declared", BOTH, "tested", id="shown beyond a claim"),
        pytest.param("decorative", BOTH, "decorative", id="decorative for other reasons"),
        pytest.param("tested", BOTH[:1], "untested", id="half shown"),
        pytest.param("tested", (*BOTH, a_test(0.6)), "untested", id="failed since"),
        pytest.param("declared", (), "declared", id="a claim alone"),
        pytest.param("tested", (BOTH[0], replace(BOTH[1], cone=Cone.parse("04"))), "untested", id="two firings"),
        pytest.param("untested", (*BOTH, a_test(0.6, cone=Cone.parse("04"))), "tested", id="failed in another firing"),
    ],
)
def test_tests_on_file_settle_what_a_glaze_is_called(food: str, tests: tuple[Any, ...], then: str) -> None:
    glaze = a_glaze(food=FoodStanding(food), tests=tests)

    assert settled(glaze, Regime.US_FDA) == then


def test_a_glaze_is_told_with_its_tests_or_without() -> None:
    tested = a_glaze(food=FoodStanding.TESTED, tests=BOTH)

    shown = glaze_standing(tested, Regime.EU)

    assert (shown.code, shown["standing"]) == ("glaze-standing", "passed")
    assert tells([shown], "passed-at", metals=LIMITED, cone=SIX)
    unsaid = {one: a_test(metal=one, passed=None, results=(), cone=SIX) for one in (Metal.LEAD, Metal.COPPER)}
    assert glaze_standing(a_glaze(tests=(*BOTH, unsaid[Metal.COPPER])), Regime.US_FDA).code == "glaze-standing"
    assert glaze_standing(a_glaze(tests=(unsaid[Metal.LEAD],)), Regime.US_FDA).code == "glaze-standing-in-doubt"
    failed = glaze_standing(a_glaze(tests=(a_test(0.6), a_test(0.6, metal=Metal.CADMIUM))), Regime.US_FDA)
    assert (failed.code, failed["metal"]) == ("glaze-failed", Metal.LEAD)
    assert glaze_standing(a_glaze(food=FoodStanding.DECORATIVE), Regime.US_FDA).code == "glaze-decorative"


def test_a_test_on_a_plate_is_told_as_one_and_leaves_a_mug_unshown() -> None:
    # CPG 545.450: 3.0 mg/L for flatware, 0.5 mg/L for cups and mugs.
    plate = {"kind": VesselKind.TABLEWARE, "depth_mm": 20, "cone": SIX}
    tests = (a_test(*[2.9] * 6, **plate), a_test(metal=Metal.CADMIUM, **plate))
    mug = a_mug(glaze={"tests": tests})

    answer = food_standing(mug, SHELF)

    assert answer.word is FoodWord.NOT_SHOWN
    assert tells(answer.reasons, "leach-other-ware", tested=WareClass.FLATWARE, ware=WareClass.CUPS_AND_MUGS)
    assert tells(answer.reasons, "untested-glaze", why="ware", metals=(Metal.LEAD,), wares=(WareClass.FLATWARE,))
    assert food_standing(replace(mug, height_mm=25), SHELF).word is FoodWord.NOTHING_AGAINST
    (tested, *_), untested = what_was_tested(mug, SHELF)
    assert tells([tested], "passed-on", ware=WareClass.FLATWARE)
    assert tells(untested, "release-unknown", metals=(Metal.LEAD,))


def test_a_test_in_another_atmosphere_is_blamed_for_its_atmosphere() -> None:
    tests = tuple(replace(one, atmosphere=Atmosphere.OXIDATION) for one in BOTH)
    kiln = Kiln(name="Big door", routes=frozenset({"mid-range"}), atmosphere=Atmosphere.REDUCTION)

    (found,) = judge(a_mug(glaze={"tests": tests}), SHELF, kiln=kiln).findings

    assert tells([found.message], "untested-glaze", why="air")
    assert tells([found.message], "in-air", air=Atmosphere.OXIDATION)
    assert tells([found.message], "in-air", air=Atmosphere.REDUCTION)


def test_a_test_on_another_clay_is_blamed_for_its_clay() -> None:
    tests = tuple(replace(one, clay="Lantern White") for one in BOTH)

    (found,) = judge(a_mug(glaze={"tests": tests}), SHELF).findings

    blame = {"why": "clay", "clays": ("Lantern White",), "clay": "Doorstep Buff"}
    assert tells([found.message], "untested-glaze", **blame)


def test_a_failure_for_copper_rests_on_the_report_and_one_for_lead_on_published_limits() -> None:
    copper = a_test(metal=Metal.COPPER, passed=False, results=(), cone=SIX)

    found = {
        metal: next(one for one in judge(mug, SHELF).findings if one.rule == "release-over-limit")
        for metal, mug in (
            (Metal.COPPER, a_mug(glaze={"tests": (*BOTH, copper)})),
            (Metal.LEAD, a_mug(glaze={"tests": (a_test(0.6), *BOTH)})),
        )
    }

    assert "CPG" in found[Metal.LEAD].source
    assert "CPG" not in found[Metal.COPPER].source
    assert said(found[Metal.COPPER].message).count("failed") == 1
