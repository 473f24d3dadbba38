"""What the catalog's forms show of a thing is read back as that thing, and nothing that they do not ask is lost."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some
from werkzeug.datastructures import MultiDict

from tests.forms.studio.test_studio_file import clays, glazes
from tests.store.any_values import kilns, routes
from tests.studio import a_glaze
from tracker.domain.cones import Cone
from tracker.domain.quantities import Units
from tracker.domain.studio.absorption import Absorption, Soak
from tracker.domain.studio.kilns import Furniture, Kiln, Room, Route
from tracker.domain.studio.materials import Clay, ClayKind, Glaze
from tracker.domain.studio.settings import LogPractice, Practice
from tracker.forms.entity import kept, read_entity, sections, shown_entity
from tracker.forms.fields import PAGE
from tracker.forms.page_forms import BadForm
from tracker.forms.studio.kiln_schemas import KilnSchema, RouteSchema
from tracker.forms.studio.material_schemas import ClaySchema, GlazeSchema
from tracker.forms.studio.settings_schema import PracticeSchema
from tracker.forms.studio.studio_file import CATALOG
from tracker.wording.reader import Reader
from tracker.wording.render import say


def sent(kind: type[Any], thing: object, units: Units = Units.METRIC, /, **otherwise: str) -> MultiDict[str, str]:
    """The form for a thing as a browser sends it, but for what is typed otherwise."""
    texts = shown_entity(kind, thing, units) | {name: [text] for name, text in otherwise.items()}
    return MultiDict([(name, text) for name, several in texts.items() for text in several])


@given(clays())
def test_a_clay_left_as_its_form_shows_it_stays_the_same(clay: Clay) -> None:
    assert read_entity(ClaySchema, sent(ClaySchema, clay), clay) == clay


def test_measured_absorption_is_typed_line_by_line_as_a_data_sheet_has_it() -> None:
    before = Clay(name="Buff", kind=ClayKind.STONEWARE, cone_low=Cone.parse("5"), cone_high=Cone.parse("6"))

    def read(text: str) -> Clay:
        return read_entity(ClaySchema, sent(ClaySchema, before, absorption=text), before)

    boiled = Absorption(cone=Cone.parse("6"), pct=2.1, method=Soak.BOIL)
    cold = Absorption(cone=Cone.parse("04"), pct=9.5, method=Soak.COLD)
    assert read("cone 6: 2.1%, boil\n\n04: 9,5 % cold soak").absorption == (boiled, cold)
    for wrong in ("2.1%", "cone 6: 2.1%", "cone 6: 101%, boil", "cone 44: 2%, boil"):
        with pytest.raises(BadForm) as refused:
            read(wrong)
        assert set(refused.value.fields) == {"absorption"}


recipes = some.frozensets(some.sampled_from(["Cu", "cobalt carbonate", "Fe2O3"]))


@given(glazes(), recipes, some.booleans())
def test_a_glaze_left_as_its_form_shows_it_stays_the_same(
    glaze: Glaze,
    metals: frozenset[str],
    retired: bool,  # noqa: FBT001 -- Hypothesis gives it
) -> None:
    # A form asks again for a word of a recipe that isn't a metal.
    before = replace(glaze, retired=retired, metals=frozenset() if glaze.burns_away else metals)

    assert read_entity(GlazeSchema, sent(GlazeSchema, before), before) == before


@given(routes, some.sampled_from(Units))
def test_a_way_of_firing_left_as_its_form_shows_it_stays_the_same(route: Route, units: Units) -> None:
    assert read_entity(CATALOG["route"], sent(CATALOG["route"], route, units), route, units) == route


@given(kilns, some.sampled_from(Units))
def test_a_kiln_left_as_its_form_shows_it_stays_the_same(kiln: Kiln, units: Units) -> None:
    assert read_entity(KilnSchema, sent(KilnSchema, kiln, units), kiln, units) == kiln


@given(kilns, some.sampled_from(Units))
def test_a_new_place_for_a_kiln_leaves_all_it_measures_as_it_was(kiln: Kiln, units: Units) -> None:
    typed = sent(KilnSchema, kiln, units, place="by the gate")

    assert read_entity(KilnSchema, typed, kiln, units) == replace(kiln, place="by the gate")


@pytest.mark.parametrize("units", Units)
def test_one_measure_of_a_chamber_is_changed_and_the_others_stay_exactly(units: Units) -> None:
    kiln = Kiln(name="Tall", routes=frozenset({"bisque"}), chamber=Room(height_mm=701, round_mm=443, clearance_mm=7))
    typed = sent(KilnSchema, kiln, units, across="18 in")

    # 18 in are 457.2 mm, an inch being 25.4 mm exactly.
    changed = read_entity(KilnSchema, typed, kiln, units)

    assert changed.chamber == Room(height_mm=701, round_mm=457, clearance_mm=7)


@pytest.mark.parametrize("units", Units)
def test_one_setting_is_changed_and_the_others_stay_exactly(units: Units) -> None:
    practice = Practice(logs=LogPractice(hottest_c=1_777.77), thick_wall_mm=23, tongs_g=4_567)
    text = {Units.METRIC: "8", Units.US: "14,4"}[units]

    typed = read_entity(PracticeSchema, sent(PracticeSchema, practice, units, **{"logs-stall_c": text}), units=units)
    changed = kept(PracticeSchema, practice, typed, units)

    # A difference of 8 °C is one of 14.4 °F: 1.8 to one, and no 32.
    assert changed.logs.stall_c == pytest.approx(8)
    assert replace(changed.logs, stall_c=practice.logs.stall_c) == practice.logs
    assert replace(changed, logs=practice.logs) == practice


@pytest.mark.parametrize(
    ("written", "units", "rate", "target"),
    [
        ("100 to 600", Units.METRIC, 100, 600),
        ("180 to 1112", Units.US, 100, 600),
        ("100 °C/h to 600 °C", Units.US, 100, 600),
        ("180 °F/h to 1112 °F", Units.METRIC, 100, 600),
        ("180 to 1112 F, hold 20: slow", Units.METRIC, 100, 600),
    ],
)
def test_a_segment_is_typed_in_the_units_of_whoever_types_it(
    written: str, units: Units, rate: float, target: float
) -> None:
    fields = {"name": "own", "title": "Own", "kind": "bisque", "cone": "04", "segments": written}

    # °F = 1.8 °C + 32, and a rate is 1.8 to one.
    (segment,) = read_entity(RouteSchema, MultiDict(fields), units=units).segments

    assert (segment.rate_c_per_h, segment.target_c) == pytest.approx((rate, target))


def test_what_is_out_of_bounds_is_said_in_the_units_in_which_it_was_typed() -> None:
    typed = sent(PracticeSchema, Practice(), Units.US, **{"logs-hottest_c": "1800"})

    with pytest.raises(BadForm) as bad:
        read_entity(PracticeSchema, typed, units=Units.US)

    words = say(bad.value.fields["logs-hottest_c"], Reader(units=Units.US))
    assert words == "Use a value from 1,832 °F to 5,432 °F."


@given(kilns)
def test_a_new_kiln_is_as_its_form_tells_it(kiln: Kiln) -> None:
    # A form says nothing of the room that containers leave free, and a new kiln is in use.
    containers = tuple(replace(one, clearance_mm=0) for one in kiln.containers)

    made = read_entity(KilnSchema, sent(KilnSchema, kiln))

    assert made == replace(kiln, containers=containers, retired=False)


def test_what_is_typed_is_changed_and_nothing_else() -> None:
    glaze = a_glaze("Tin Roof", bucket="shelf 4", color="gray", retired=True)

    changed = read_entity(GlazeSchema, sent(GlazeSchema, glaze, bucket="shelf 5", name="Another"), glaze)

    assert changed == replace(glaze, bucket="shelf 5")


def test_a_chamber_is_measured_whole_or_not_at_all() -> None:
    kiln = Kiln(name="Cask", routes=frozenset({"bisque"}), chamber=Room(height_mm=600, round_mm=500))

    with pytest.raises(BadForm) as refused:
        read_entity(KilnSchema, sent(KilnSchema, kiln, shape="rectangular"), kiln)
    gone = read_entity(KilnSchema, sent(KilnSchema, kiln, shape=""), kiln)

    assert set(refused.value.fields) == {"width"}
    assert gone == replace(kiln, chamber=None)


@pytest.mark.parametrize(("field", "most"), [("shelf_thick", 200), ("post_radius", 200), ("clearance", 1_000)])
def test_a_page_takes_no_measure_that_a_studio_file_would_refuse(field: str, most: int) -> None:
    room, shelves = Room(height_mm=600, round_mm=500), Furniture(round_mm=460, thickness_mm=18, posts_mm=(50,))
    kiln = Kiln(name="Cask", routes=frozenset({"bisque"}), chamber=room, furniture=shelves)

    with pytest.raises(BadForm) as refused:
        read_entity(KilnSchema, sent(KilnSchema, kiln, **{field: f"{most + 1} mm"}), kiln)
    read_entity(KilnSchema, sent(KilnSchema, kiln, **{field: f"{most} mm"}), kiln)

    assert set(refused.value.fields) == {field}


def test_a_practice_left_as_its_form_shows_it_stays_the_same() -> None:
    assert read_entity(PracticeSchema, sent(PracticeSchema, Practice())) == Practice()


@pytest.mark.parametrize("sort", CATALOG)
def test_a_form_asks_every_fact_that_a_page_tells(sort: str) -> None:
    kind = CATALOG[sort]

    asked = {one.label for section in sections(kind()) for row in section.rows for one in row}
    asked |= {section.legend for section in sections(kind())}

    assert {one.label for one in kind.facts(PAGE).values()} <= asked
