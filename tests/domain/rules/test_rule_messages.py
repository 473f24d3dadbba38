"""What the rules say is one plain sentence with its facts in it, and what would mend it is another."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given

from tests.domain.rules.truth import rows
from tests.domain.rules.wares import FEWER, kilns, routes, wares
from tests.reading import said
from tests.studio import a_clay, a_glaze, a_route, a_test
from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level
from tracker.domain.message import ByRole, Choice, Message, Plural, Template
from tracker.domain.pieces.piece import Foot, Use, Ware
from tracker.domain.quantities import grams
from tracker.domain.rules.engine import NO_ROUTE_LEFT, RULES, judge, judge_layers, rules_table
from tracker.domain.rules.rule import Rule
from tracker.domain.studio.kilns import COMMON_ROUTES, KNOWN_ROUTES, Kiln, Route
from tracker.domain.studio.materials import ClayKind, Coat, Family, FoodStanding, Glaze, Layer, Trait, Zone
from tracker.domain.studio.people import Role

SODA = KNOWN_ROUTES["soda"].at(Cone.parse("6"))
GLAZED_ROUTES = tuple(route for route in COMMON_ROUTES.values() if route.takes_glaze)

ABOUT_A_GLAZE = {
    "glaze-melts-off",
    "outdoor-glaze-indoors",
    "layers-share-no-heat",
    "glaze-on-horsehair",
    "underglaze-on-horsehair",
    "glaze-underfired",
    "indoor-glaze-in-raku",
    "decorative-glaze-for-food",
    "release-over-limit",
    "crackle-for-food",
    "untested-for-food",
    "runny-without-catch-plate",
    "wants-reduction",
}
ABOUT_THE_KILN = {"does-not-fit", "wants-reduction"}
ABOUT_A_NUMBER = {
    "does-not-fit": ("height_mm", "width_mm", "depth_mm"),
    "porcelain-outdoors": ("height_mm", "width_mm", "depth_mm"),
    "thick-wall": ("wall_mm",),
}
ABOUT_THE_CLAY = {"clay-slumps", "clay-stays-porous", "clay-porous-for-food"}

LOW_FIRE = a_glaze("Plum Gloss", family=Family.LOW_FIRE, cone_low="06", cone_high="04")

# A cone is followed by its temperature ("cone 06, 998 °C") or by the other end of its range and both temperatures.
A_CONE = re.compile(r"cone (\d[\d.]*\d|\d)")
WITH_ITS_HEAT = re.compile(r"cone (\d[\d.]*)(?: to (\d[\d.]*))?, ([\d,]+)(?: °C)?(?: to ([\d,]+))? °C")


def _findings() -> list[tuple[Ware, Route, Finding]]:
    return [
        (row.ware, row.route, finding)
        for row in rows()
        for finding in judge(row.ware, row.route, kiln=row.kiln).findings
    ]


@FEWER
@given(wares(), routes, kilns())
def test_every_finding_is_written_out_in_whole_sentences(ware: Ware, route: Route, kiln: Kiln) -> None:
    for finding in judge(ware, route, kiln=kiln).findings:
        for sentence in (said(finding.message), said(finding.remedy)):
            assert sentence.endswith("."), sentence
            assert sentence[0].isupper(), sentence
            assert "  " not in sentence, sentence
            assert sentence == sentence.strip()
            assert "None" not in sentence, sentence
        assert finding.source.strip()


@FEWER
@given(wares(), routes, kilns())
def test_every_cone_in_a_sentence_carries_its_temperature(ware: Ware, route: Route, kiln: Kiln) -> None:
    for finding in judge(ware, route, kiln=kiln).findings:
        heats = list(WITH_ITS_HEAT.finditer(said(finding.message)))

        assert len(heats) == len(A_CONE.findall(said(finding.message))), said(finding.message)
        for low, high, cool, hot in (heat.groups() for heat in heats):
            assert cool == f"{Cone.parse(low).celsius:,}"
            assert high is None or hot == f"{Cone.parse(high).celsius:,}"


@FEWER
@given(wares(), routes, kilns())
def test_what_is_wrong_is_said_in_two_sentences_at_most(ware: Ware, route: Route, kiln: Kiln) -> None:
    for finding in judge(ware, route, kiln=kiln).findings:
        assert len(re.findall(r"[.!?] [A-Z]", said(finding.message))) <= 1, said(finding.message)


def test_a_sentence_about_one_offender_is_short_even_when_names_are_long() -> None:
    longest = 60
    for ware, route, _ in _findings():
        clay = replace(ware.clay, name="C" * longest)
        layers = tuple(
            Layer(replace(layer.glaze, name=str(number) * longest), layer.zone)
            for number, layer in enumerate(ware.layers[:1])
        )
        for finding in judge(replace(ware, clay=clay, layers=layers), route).findings:
            assert len(said(finding.message)) < 300, said(finding.message)


@pytest.mark.parametrize("rule", sorted(ABOUT_A_GLAZE))
def test_a_sentence_about_a_glaze_names_it(rule: str) -> None:
    found = [(ware, finding) for ware, _, finding in _findings() if finding.rule == rule]

    assert found
    for ware, finding in found:
        assert any(layer.glaze.name in said(finding.message) for layer in ware.layers), said(finding.message)


@pytest.mark.parametrize("rule", sorted(ABOUT_THE_CLAY))
def test_a_sentence_about_clay_names_it(rule: str) -> None:
    found = [(ware, finding) for ware, _, finding in _findings() if finding.rule == rule]

    assert found
    for ware, finding in found:
        assert ware.clay.name in said(finding.message)


@pytest.mark.parametrize("rule", sorted(ABOUT_THE_KILN))
def test_a_sentence_about_a_kiln_names_it(rule: str) -> None:
    found = [(row.kiln, one) for row in rows() for one in judge(row.ware, row.route, kiln=row.kiln).findings]

    named = [(kiln, finding) for kiln, finding in found if finding.rule == rule]

    assert named
    assert all(kiln and kiln.name in said(finding.message) for kiln, finding in named)


@pytest.mark.parametrize("rule", sorted(ABOUT_A_NUMBER))
def test_a_sentence_about_a_measure_says_what_was_measured(rule: str) -> None:
    found = [
        (ware, finding)
        for ware, _, finding in _findings()
        if finding.rule == rule and "Slab" not in said(finding.message)
    ]

    assert found
    for ware, finding in found:
        # The diagonal of a square foot is no measure that anybody took.
        measures = {getattr(ware, name) for name in ABOUT_A_NUMBER[rule]}
        assert "across" in said(finding.message) or measures & set(
            map(int, re.findall(r"\d+", said(finding.message)))
        ), said(finding.message)


def test_too_heavy_is_said_in_kilograms_with_the_limit() -> None:
    found = [(ware, finding) for ware, _, finding in _findings() if finding.rule == "too-heavy-for-tongs"]

    assert found
    for ware, finding in found:
        assert ware.weight_g is not None
        assert finding.message["weight"] == grams(ware.weight_g)
        assert said(finding.message).count(" kg") == 2


def test_every_offender_is_named_once_and_in_the_order_in_which_it_went_on() -> None:
    plum, lamp = (
        a_glaze(name, family=Family.LOW_FIRE, cone_low="06", cone_high="04", food=FoodStanding.DECORATIVE)
        for name in ("Plum Gloss", "Paper Lamp")
    )
    layers = (Layer(plum, Zone.INSIDE), Layer(lamp, Zone.LIP), Layer(plum, Zone.OUTSIDE))
    ware = Ware(clay=a_clay(cone_low="6", cone_high="10"), layers=layers, use=Use.FOOD)

    says = {finding.rule: said(finding.message) for finding in judge(ware, a_route("mid-range")).findings}

    assert says["glaze-melts-off"] == (
        "Plum Gloss only goes to cone 04, 1,063 °C and Paper Lamp only goes to cone 04, 1,063 "
        "°C: at cone 6, 1,222 °C, they melt off the pot onto the shelf."
    )
    assert says["decorative-glaze-for-food"] == (
        "Plum Gloss and Paper Lamp are decorative only, and this piece is functional."
    )


def test_layers_that_share_no_heat_are_refused_at_glazing_and_both_are_named() -> None:
    low = a_glaze("Plum Gloss", family=Family.LOW_FIRE, cone_low="06", cone_high="04")
    ware = Ware(clay=a_clay(cone_low="04"), layers=(Layer(low, Zone.INSIDE), Layer(a_glaze(), Zone.OUTSIDE)))

    verdict = judge_layers(ware, GLAZED_ROUTES)

    assert [finding.rule for finding in verdict.findings] == ["layers-share-no-heat"]
    assert verdict.word == "refuse"
    assert said(verdict.findings[0].message) == (
        "No cone fits both Still Water (cone 5 to 6, 1,186 °C to 1,222 °C) and Plum Gloss (cone 06 to 04, 998 "
        "°C to 1,063 °C): the heat that melts one ruins the other."
    )


def test_an_overglaze_on_raw_glaze_is_told_to_wait_for_the_glaze_firing() -> None:
    gold = replace(a_glaze("Gold", cone_low="020", cone_high="018"), coat=Coat.OVERGLAZE)
    ware = Ware(clay=a_clay(), layers=(Layer(a_glaze(), Zone.OUTSIDE), Layer(gold, Zone.LIP)))

    (finding,) = judge_layers(ware, GLAZED_ROUTES).findings

    assert finding.rule == "layers-share-no-heat"
    assert finding.message["why"] == "overglaze"
    assert "Fire Still Water first" in said(finding.remedy)


def test_what_lies_on_a_raw_overglaze_is_refused_at_glazing_by_its_own_name() -> None:
    gold = a_glaze("Gold", cone_low="020", cone_high="018", coat=Coat.OVERGLAZE)
    polish = a_glaze("Burnish Coat", cone_low="022", cone_high="06", coat=Coat.UNDERGLAZE)
    ware = Ware(clay=a_clay(), layers=(Layer(gold, Zone.LIP), Layer(polish, Zone.LIP)))

    verdict = judge_layers(ware, GLAZED_ROUTES)

    assert [finding.rule for finding in verdict.findings] == ["coat-over-raw-overglaze"]


def test_a_glaze_that_leaves_a_pot_no_kiln_is_refused_at_glazing_and_says_why() -> None:
    hot = a_glaze("Night Field", family=Family.HIGH_FIRE, cone_low="9", cone_high="10")
    ware = Ware(clay=a_clay(cone_low="6"), layers=(Layer(hot, Zone.OUTSIDE),), use=Use.FOOD)

    verdict = judge_layers(ware, [a_route("raku"), a_route("high-fire", "11")])

    assert [(finding.rule, finding.level) for finding in verdict.findings] == [(NO_ROUTE_LEFT, Level.REFUSE)]
    assert said(verdict.findings[0].message).startswith("No firing would be left for this piece. ")
    assert said(verdict.findings[0].remedy).endswith(".")


def test_where_one_thing_alone_leaves_a_pot_no_kiln_that_is_what_to_mend() -> None:
    ware = Ware(clay=a_clay(), layers=(Layer(a_glaze(), Zone.OUTSIDE),), foot=Foot.BARE)

    refused = judge_layers(ware, [a_route("mid-range", "6")]).findings

    assert [finding.remedy and finding.remedy.code for finding in refused] == ["foot-not-clear-remedy"]


def test_a_stilt_that_bends_is_what_to_mend_and_not_the_clay_of_a_firing_too_cool_for_it() -> None:
    # Common practice: the foot is wiped, and the piece goes in the firing that matures its clay.
    ware = Ware(
        clay=a_clay(cone_low="5", cone_high="6"),
        layers=(Layer(a_glaze(food=FoodStanding.TESTED), Zone.ALL_OVER),),
        foot=Foot.STILTED,
        use=Use.FOOD,
    )

    refused = judge_layers(ware, [a_route("low-fire", "04"), a_route("mid-range", "6")]).findings

    assert [finding.remedy and finding.remedy.code for finding in refused] == ["stilt-sinks-remedy"]


def test_a_studio_without_any_glaze_kiln_says_so() -> None:
    ware = Ware(clay=a_clay(), layers=(Layer(a_glaze(), Zone.OUTSIDE),))

    verdict = judge_layers(ware, ())

    assert [(finding.rule, said(finding.message)) for finding in verdict.findings] == [
        (NO_ROUTE_LEFT, "This studio has no firing for glazed ware.")
    ]


@pytest.mark.parametrize(
    ("facts", "rule"),
    [
        pytest.param({"food": FoodStanding.DECORATIVE}, "decorative-glaze-for-food", id="decorative"),
        pytest.param(
            {
                "food": FoodStanding.TESTED,
                "tests": (a_test(0.6),),
            },
            "release-over-limit",
            id="over the limit",
        ),
    ],
)
def test_what_food_rules_refuse_is_refused_at_glazing_by_its_own_name(facts: dict[str, Any], rule: str) -> None:
    ware = Ware(clay=a_clay(cone_low="5", cone_high="6"), layers=(Layer(a_glaze(**facts), Zone.INSIDE),), use=Use.FOOD)

    verdict = judge_layers(ware, GLAZED_ROUTES)

    assert [finding.rule for finding in verdict.findings] == [rule]


def test_at_glazing_the_kindest_kiln_speaks_for_the_pot() -> None:
    ware = Ware(clay=a_clay(), layers=(Layer(a_glaze(traits=frozenset({Trait.CRACKLE})), Zone.INSIDE),), use=Use.FOOD)

    verdict = judge_layers(ware, GLAZED_ROUTES)

    assert verdict.word == "ask"
    assert [finding.rule for finding in verdict.findings] == ["crackle-for-food"]


def test_unknown_clay_and_an_outside_glaze_are_asked_about_in_one_sentence() -> None:
    ware = Ware(
        clay=a_clay("Box of scraps", kind=ClayKind.UNKNOWN),
        layers=(Layer(a_glaze("Jar from home", family=Family.OUTSIDE), Zone.INSIDE),),
    )

    asked = [one for one in judge(ware, a_route("low-fire")).findings if one.level is Level.ASK]

    (finding,) = asked
    assert said(finding.message) == (
        "Box of scraps and Jar from home haven't been identified, so they count as the lowest-firing, "
        "cone 06 to 04, 998 °C to 1,063 °C."
    )


def test_a_vent_hole_is_asked_for_before_a_piece_dries() -> None:
    found = judge(Ware(clay=a_clay(), vented=False, dry=False), KNOWN_ROUTES["bisque"]).findings

    assert [one.rule for one in found if one.level is Level.REFUSE] == ["sealed-hollow", "damp-greenware"]


@pytest.mark.parametrize(
    ("names", "sentence"),
    [
        (("Fog",), "Fog: the vapor of this firing changes it, and no leach test covers that."),
        (("Fog", "Plum"), "Fog and Plum: the vapor of this firing changes them, and no leach test covers that."),
        (
            ("Fog", "Plum", "Wet Slate"),
            "Fog, Plum, and Wet Slate: the vapor of this firing changes them, and no leach test covers that.",
        ),
    ],
)
def test_what_vapor_changes_is_one_sentence_for_any_number_of_layers(names: tuple[str, ...], sentence: str) -> None:
    layers = tuple(Layer(a_glaze(name, food=FoodStanding.TESTED), Zone.OUTSIDE) for name in names)
    ware = Ware(clay=a_clay(cone_low="5", cone_high="6"), layers=layers, use=Use.FOOD)

    (untested,) = [one for one in judge(ware, SODA).findings if one.rule == "untested-for-food"]

    assert said(untested.message) == sentence


def test_what_is_untested_for_different_reasons_is_a_sentence_for_each() -> None:
    layers = (
        Layer(a_glaze("Fog", food=FoodStanding.TESTED), Zone.INSIDE),
        Layer(a_glaze("Plum", food=FoodStanding.UNTESTED), Zone.OUTSIDE),
    )
    ware = Ware(clay=a_clay(cone_low="5", cone_high="6"), layers=layers, use=Use.FOOD)

    (untested,) = [one for one in judge(ware, SODA).findings if one.rule == "untested-for-food"]

    assert said(untested.message).endswith("covers that. Plum: no leach test on file.")


def test_the_table_for_readers_has_a_row_for_every_rule_and_names_its_level() -> None:
    shown = {Level.NOTE: "note", Level.WARN: "with care", Level.ASK: "ask", Level.REFUSE: "never"}
    table = rules_table().splitlines()

    assert len(table) == len(RULES) + 2
    for rule, line in zip(RULES, table[2:], strict=True):
        assert line.startswith(f"| `{rule.name}` | {rule.about} | ")
        assert f" | {shown[rule.level]} | " in line


def test_no_two_rules_share_a_name() -> None:
    names = [rule.name for rule in RULES]

    assert len(set(names)) == len(names)
    assert {rule.about for rule in RULES} == {"heat", "shock", "food", "kiln", "prep"}


def _texts(template: Template, role: str) -> list[str]:
    """Every text of a template that a reader of this role may get."""
    match template:
        case str():
            return [template]
        case Plural():
            return [template.one, template.more]
        case Choice():
            return [text for one in template.templates.values() for text in _texts(one, role)]
        case ByRole():
            return _texts(template.roles.get(role, template.everybody), role)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_only_those_who_may_are_told_to_accept_a_risk_or_to_have_a_test_made(rule: Rule) -> None:
    theirs = {
        Role.STUDENT: r"(^|, |or |and )(accept the risk|sign off|have \w+ \w+ test)",
        Role.STAFF: r"[Aa]sk staff|(^|, |or )have \w+ \w+ test",
        Role.INSTRUCTOR: r"[Aa]sk (the instructor|staff)",
    }

    told = {role: [one for one in _texts(rule.remedy, role) if re.search(no, one)] for role, no in theirs.items()}

    assert told == {role: [] for role in theirs}


@pytest.mark.parametrize(
    ("beside", "use", "goes"),
    [
        pytest.param((), Use.DECORATIVE, "raku", id="a raku glaze alone"),
        pytest.param((), Use.FOOD, "wash", id="ware for food goes in no raku firing"),
        pytest.param((LOW_FIRE,), Use.DECORATIVE, "wash", id="a glaze for indoors beside it"),
    ],
)
def test_raku_is_a_remedy_for_nothing_that_raku_would_not_take(beside: tuple[Glaze, ...], use: Use, goes: str) -> None:
    glazes = (a_glaze("Copper Moth", family=Family.OUTDOOR, cone_low="06", cone_high="04"), *beside)
    ware = Ware(clay=a_clay(), layers=tuple(Layer(one, Zone.OUTSIDE) for one in glazes), use=use)

    (found,) = [one for one in judge(ware, a_route()).findings if one.rule == "outdoor-glaze-indoors"]

    assert found.remedy is not None
    assert found.remedy["goes"] == goes


@pytest.mark.parametrize(
    ("coat", "traits", "noun"),
    [
        (Coat.GLAZE, set(), "glaze"),
        (Coat.UNDERGLAZE, set(), "underglaze"),
        (Coat.SLIP, set(), "slip"),
        (Coat.SIGILLATA, set(), "sigillata"),
        (Coat.OVERGLAZE, set(), "overglaze"),
        (Coat.OVERGLAZE, {Trait.LUSTER}, "luster"),
    ],
)
def test_a_remedy_calls_a_coat_by_what_it_is(coat: Coat, traits: set[Trait], noun: str) -> None:
    leaded = frozenset({"lead", "barium"})
    worn = a_glaze(coat=coat, traits=frozenset(traits), metals=leaded, food=FoodStanding.DECORATIVE)
    ware = Ware(clay=a_clay(), layers=(Layer(worn, Zone.INSIDE),), use=Use.FOOD, supervised=True)

    findings = judge(ware, a_route("mid-range")).findings

    choices = [one.remedy["choose"] for one in findings if one.remedy is not None and "choose" in one.remedy]
    assert len(choices) >= 2
    for choice in choices:
        assert isinstance(choice, Message)
        one = dict(choice.facts).get("one", choice)
        assert isinstance(one, Message)
        assert one["noun"] == noun


@pytest.mark.parametrize(
    ("coat", "what"),
    [
        (Coat.SLIP, "wash-off-coats"),
        (Coat.SIGILLATA, "wash-off-coats"),
        (Coat.GLAZE, "choose-a-coat"),
    ],
)
def test_only_what_goes_on_raw_clay_is_washed_off_once_that_is_fired(coat: Coat, what: str) -> None:
    worn = a_glaze(coat=coat, food=FoodStanding.DECORATIVE)
    ware = Ware(clay=a_clay(), layers=(Layer(worn, Zone.INSIDE),), use=Use.FOOD, fired_to=Cone.parse("06"))

    (found,) = [one for one in judge(ware, a_route("mid-range")).findings if one.rule == "decorative-glaze-for-food"]

    assert found.remedy is not None
    choice = found.remedy["choose"]
    assert isinstance(choice, Message)
    assert choice.code == what


@pytest.mark.parametrize(("cone", "when"), [("04", "before"), ("4", "now"), ("5", "now")])
def test_what_an_earlier_firing_left_porous_is_told_by_that_firing(cone: str, when: str) -> None:
    ware = Ware(clay=a_clay(cone_low="6"), use=Use.FOOD, fired_to=Cone.parse("4"))

    (found,) = [one for one in judge(ware, a_route("low-fire", cone)).findings if one.rule == "clay-porous-for-food"]

    at = found.message["at"]
    assert isinstance(at, Message)
    assert (at["when"], at["cone"]) == (when, max(Cone.parse("4"), Cone.parse(cone)))
