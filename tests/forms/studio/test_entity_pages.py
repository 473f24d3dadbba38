"""What the catalogue's forms show of a thing is read back as that thing, and nothing that they do not ask is lost."""

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
from tracker.domain.studio.kilns import Furniture, Kiln, Room, Route
from tracker.domain.studio.materials import Clay, ClayKind, Glaze
from tracker.domain.studio.settings import Practice
from tracker.forms.entity import read_entity, sections, shown_entity
from tracker.forms.fields import PAGE
from tracker.forms.page_forms import BadForm
from tracker.forms.studio.kiln_schemas import KilnSchema
from tracker.forms.studio.material_schemas import ClaySchema, GlazeSchema
from tracker.forms.studio.settings_schema import PracticeSchema
from tracker.forms.studio.studio_file import CATALOGUE


def sent(kind: type[Any], thing: object, **otherwise: str) -> MultiDict[str, str]:
    """The form for a thing as a browser sends it, but for what is typed otherwise."""
    texts = shown_entity(kind, thing) | {name: [text] for name, text in otherwise.items()}
    return MultiDict([(name, text) for name, several in texts.items() for text in several])


@given(clays().filter(lambda clay: clay.kind is ClayKind.UNKNOWN or clay.absorption_pct is not None))
def test_a_clay_left_as_its_form_shows_it_stays_the_same(clay: Clay) -> None:
    assert read_entity(ClaySchema, sent(ClaySchema, clay), clay) == clay


@given(glazes(), some.booleans())
def test_a_glaze_left_as_its_form_shows_it_stays_the_same(glaze: Glaze, retired: bool) -> None:  # noqa: FBT001 -- Hypothesis gives it
    before = replace(glaze, retired=retired)

    assert read_entity(GlazeSchema, sent(GlazeSchema, before), before) == before


@given(routes)
def test_a_way_of_firing_left_as_its_form_shows_it_stays_the_same(route: Route) -> None:
    assert read_entity(CATALOGUE["route"], sent(CATALOGUE["route"], route), route) == route


@given(kilns)
def test_a_kiln_left_as_its_form_shows_it_stays_the_same(kiln: Kiln) -> None:
    assert read_entity(KilnSchema, sent(KilnSchema, kiln), kiln) == kiln


@given(kilns)
def test_a_new_kiln_is_as_its_form_tells_it(kiln: Kiln) -> None:
    # A form says nothing of the room that containers leave free, and a new kiln is in use.
    containers = tuple(replace(one, clearance_mm=0) for one in kiln.containers)

    made = read_entity(KilnSchema, sent(KilnSchema, kiln))

    assert made == replace(kiln, containers=containers, retired=False)


def test_what_is_typed_is_changed_and_nothing_else() -> None:
    glaze = a_glaze("Tin Roof", bucket="shelf 4", colour="grey", retired=True)

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


@pytest.mark.parametrize("sort", CATALOGUE)
def test_a_form_asks_every_fact_that_a_page_tells(sort: str) -> None:
    kind = CATALOGUE[sort]

    asked = {one.label for section in sections(kind()) for row in section.rows for one in row}
    asked |= {section.legend for section in sections(kind())}

    assert {one.label for one in kind.facts(PAGE).values()} <= asked
