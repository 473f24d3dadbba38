"""What the studio suggests instead of a closed way: each suggestion, when followed, is indeed clear."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.rules.wares import FEWER, clays, glazes, kilns, routes, wares
from tests.reading import said, tells
from tests.studio import a_clay, a_glaze, a_route, a_studio
from tracker.domain.cones import Cone
from tracker.domain.pieces.piece import Foot, Use, Ware
from tracker.domain.rules.engine import is_clear, judge_in
from tracker.domain.rules.suggestions import MOST_GLAZES, Change, suggestions
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import COMMON_ROUTES, Route
from tracker.domain.studio.materials import Clay, Coat, Family, Glaze, Layer, Trait, Zone

STUDIO = a_studio().catalog

TO_MID_RANGE = "it can go in Mid-range, cone 6, 1,222 °C"


@st.composite
def catalogs(draw: st.DrawFn) -> Catalog:
    """Any shelf of up to eight glazes, the common routes and a kiln of which anything may be known."""
    shelf: list[Glaze] = [replace(one, name=f"Glaze {n}") for n, one in enumerate(draw(st.lists(glazes(), max_size=8)))]
    clay: Clay = draw(clays())
    return Catalog(
        clays={clay.name: clay},
        glazes={one.name: one for one in shelf},
        routes=COMMON_ROUTES,
        kilns={kiln.name: kiln for kiln in draw(st.lists(kilns(), max_size=1))},
    )


def a_ware(*names: str, **facts: object) -> Ware:
    """A decorative pot of Doorstep Buff that wears these glazes of the small studio, but for the `facts` given."""
    worn = tuple(Layer(STUDIO.glaze(name), Zone.OUTSIDE) for name in names)
    return replace(Ware(clay=a_clay(), layers=worn, use=Use.DECORATIVE), **facts)  # type: ignore[arg-type]  # the facts are named by the case


def sentences(ware: Ware, route: str, catalog: Catalog = STUDIO) -> list[str]:
    """What is suggested for a pot on a route, as people read it."""
    return [said(one.message) for one in suggestions(ware, catalog.route(route), catalog)]


@FEWER
@given(wares(), routes, catalogs())
def test_every_suggestion_when_followed_is_clear(ware: Ware, route: Route, catalog: Catalog) -> None:
    for one in suggestions(ware, route, catalog):
        assert judge_in(catalog, one.ware, one.route).word == "clear"
        assert (one.ware, one.route) != (ware, route)


@FEWER
@given(st.data())
def test_every_suggestion_in_the_small_studio_is_clear_and_says_where_it_leads(data: st.DataObject) -> None:
    shelf = st.sampled_from(list(STUDIO.glazes.values()))
    worn = data.draw(st.lists(st.builds(Layer, shelf, st.sampled_from(Zone)), max_size=3))
    clay = data.draw(st.sampled_from(list(STUDIO.clays.values())))
    ware = replace(data.draw(wares()), clay=clay, layers=tuple(worn))
    route = data.draw(st.sampled_from(list(COMMON_ROUTES.values())))

    found = suggestions(ware, route, STUDIO)

    assert all(judge_in(STUDIO, one.ware, one.route).word == "clear" for one in found)
    assert all(one.route.title in said(one.opens) for one in found)
    assert len({one.message for one in found}) == len(found)


@FEWER
@given(wares(), routes, catalogs())
def test_nothing_is_suggested_where_nothing_stands_in_the_way(ware: Ware, route: Route, catalog: Catalog) -> None:
    if judge_in(catalog, ware, route).word == "clear":
        assert suggestions(ware, route, catalog) == ()


def test_bare_ware_that_is_clear_is_not_sent_elsewhere() -> None:
    assert sentences(a_ware(), "mid-range") == []


def test_a_low_fire_glaze_for_the_high_fire_kiln_is_sent_elsewhere_or_to_another_glaze() -> None:
    ware = a_ware("Plum Gloss")

    assert sentences(ware, "high-fire") == [
        "As it is, it can go in Low-fire, cone 04, 1,063 °C.",
        "With Iron Gate instead of Plum Gloss, it can go in High-fire, cone 10, 1,285 °C.",
        "With Gilt Edge instead of Plum Gloss, it can go in High-fire, cone 10, 1,285 °C.",
    ]


def test_a_glaze_that_will_not_do_for_food_is_no_suggestion_for_food() -> None:
    ware = a_ware("Plum Gloss", use=Use.FOOD)

    found = sentences(ware, "high-fire")

    assert any("Iron Gate" in says for says in found)
    assert not any("Gilt Edge" in says for says in found)


def test_a_piece_for_food_in_a_decorative_glaze_may_be_made_decorative() -> None:
    found = suggestions(a_ware("Gilt Edge", use=Use.FOOD), a_route("high-fire"), STUDIO)

    assert [said(one.message) for one in found if one.change is Change.USE] == [
        "Made decorative, not for food, it can go in High-fire, cone 10, 1,285 °C."
    ]


@pytest.mark.parametrize(
    ("facts", "first"),
    [
        ({"foot": Foot.BARE}, f"With its foot wiped 6 mm up the side, {TO_MID_RANGE}."),
        (
            {"foot": Foot.GLAZED},
            "With its foot wiped 6 mm up the side, it can go in Mid-range, cone 6, 1,222 °C.",
        ),
    ],
    ids=["bare", "glazed"],
)
def test_a_foot_is_put_right_with_the_least_work(facts: dict[str, object], first: str) -> None:
    assert sentences(a_ware("Still Water", **facts), "mid-range")[0] == first


@pytest.mark.parametrize(("fact", "done"), [("dry", "bone-dry"), ("vented", "vented")])
def test_greenware_is_made_ready_for_its_bisque(fact: str, done: str) -> None:
    facts = {"dry": True, "vented": True, fact: False}

    (found,) = suggestions(a_ware(**facts), a_route("bisque"), STUDIO)

    assert tells([found.message], done)
    assert getattr(found.ware, fact)


def test_two_preparations_are_named_where_one_is_not_enough() -> None:
    runny = a_glaze("Slow Honey", traits=frozenset({Trait.RUNNY}))
    catalog = replace(STUDIO, glazes={"Slow Honey": runny})
    ware = Ware(clay=a_clay(), layers=(Layer(runny, Zone.OUTSIDE),), foot=Foot.BARE)

    assert sentences(ware, "mid-range", catalog) == [
        f"With its foot wiped 6 mm up the side and a kiln cookie under it, {TO_MID_RANGE}.",
    ]


def test_two_changes_are_named_together_where_no_single_one_is_enough() -> None:
    ware = a_ware("Ember Luster", clay=STUDIO.clay("Roof Tile Red"), use=Use.FOOD, glazed_hours=2.0)

    found = suggestions(ware, a_route("raku"), STUDIO)

    (says,) = [said(one.message) for one in found]
    assert says == ("Made decorative, not for food and with 24 hours for the glaze to dry, it can go in Outdoor, raku.")
    assert [one.change for one in found] == [Change.TOGETHER]


def test_another_use_and_another_route_are_named_together() -> None:
    red = STUDIO.clay("Roof Tile Red")
    ware = a_ware("Plum Gloss", clay=red, use=Use.FOOD, foot=Foot.WAXED)

    assert sentences(ware, "mid-range") == [
        "Made decorative, not for food, it can go in Low-fire, cone 04, 1,063 °C.",
    ]


def test_a_bare_foot_and_a_glaze_that_melts_off_are_both_put_right() -> None:
    ware = a_ware("Plum Gloss", foot=Foot.BARE, fired_to=None)

    wiped = "With its foot wiped 6 mm up the side"
    assert sentences(ware, "high-fire") == [
        f"{wiped}, it can go in Low-fire, cone 04, 1,063 °C.",
        "With a stilt under it, it can go in Low-fire, cone 04, 1,063 °C.",
        f"{wiped} and with Iron Gate instead of Plum Gloss, it can go in High-fire, cone 10, 1,285 °C.",
    ]


@FEWER
@given(wares(), routes, catalogs())
def test_a_pair_is_named_only_where_no_single_change_does(ware: Ware, route: Route, catalog: Catalog) -> None:
    changes = {one.change for one in suggestions(ware, route, catalog)}

    assert changes in ({Change.TOGETHER}, set()) or Change.TOGETHER not in changes


@FEWER
@given(wares(), routes, catalogs())
def test_the_quick_look_says_clear_where_the_verdict_is(ware: Ware, route: Route, catalog: Catalog) -> None:
    assert is_clear(catalog, ware, route) == (judge_in(catalog, ware, route).word == "clear")


def test_bare_ware_is_sent_to_firings_without_glaze_too_but_to_no_bisque() -> None:
    ware = a_ware(clay=STUDIO.clay("Middle Gray"), burnished=True)

    routes = [one.route.name for one in suggestions(ware, a_route("high-fire"), STUDIO)]

    assert "horsehair" in routes
    assert "bisque" not in routes


def test_ware_that_is_loaded_into_a_bisque_is_sent_to_no_other_firing() -> None:
    assert sentences(a_ware("Plum Gloss", foot=Foot.BARE), "bisque") == []


def test_damp_glaze_is_given_its_hours() -> None:
    red = STUDIO.clay("Roof Tile Red")
    ware = a_ware("Ember Luster", clay=red, glazed_hours=2.0)

    says = "With 24 hours for the glaze to dry, it can go in Outdoor, raku."

    assert says in sentences(ware, "raku")


def test_two_glazes_in_the_way_are_both_replaced_by_one() -> None:
    ware = a_ware("Plum Gloss", "Paper Lamp")

    assert (
        "With Iron Gate instead of Plum Gloss and Paper Lamp, it can go in High-fire, cone 10, 1,285 °C."
        in sentences(ware, "high-fire")
    )


def test_the_answer_to_an_open_question_comes_before_any_suggestion() -> None:
    assert sentences(a_ware("Plum Gloss", has_question=True), "high-fire") == []


def test_a_glaze_is_replaced_by_no_slip_and_by_none_that_left_the_shelf() -> None:
    slip = a_glaze("Pale Slip", coat=Coat.SLIP, family=Family.HIGH_FIRE, cone_low="9", cone_high="10")
    gone = a_glaze("Old Iron", family=Family.HIGH_FIRE, cone_low="9", cone_high="10", retired=True)
    catalog = replace(STUDIO, glazes={one.name: one for one in (slip, gone)})

    found = " ".join(sentences(a_ware("Plum Gloss"), "high-fire", catalog))

    assert "Pale Slip" not in found
    assert "Old Iron" not in found


def test_of_a_full_shelf_only_the_first_few_glazes_are_named() -> None:
    many = {f"Iron {n}": a_glaze(f"Iron {n}", family=Family.HIGH_FIRE, cone_low="9", cone_high="10") for n in range(40)}
    catalog = replace(STUDIO, glazes=many)

    found = suggestions(a_ware("Plum Gloss"), a_route("high-fire"), catalog)

    assert sum(one.change is Change.GLAZE for one in found) == MOST_GLAZES


def test_what_was_fired_on_is_neither_swapped_nor_wiped() -> None:
    six, runny = Cone.parse("6"), replace(a_glaze(), traits=frozenset({Trait.RUNNY}))
    raw = replace(a_ware(), layers=(Layer(runny, Zone.OUTSIDE),), foot=Foot.BARE)
    fired = replace(raw.fired(six), foot=Foot.BARE)

    changes = {one.change for one in suggestions(fired, a_route("mid-range"), STUDIO)}
    feet = {one.ware.foot for one in suggestions(raw, a_route("mid-range"), STUDIO)}

    assert Change.GLAZE not in changes
    assert Foot.WIPED in feet
    assert all(one.ware.foot is not Foot.WIPED for one in suggestions(fired, a_route("mid-range"), STUDIO))
