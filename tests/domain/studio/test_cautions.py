"""Cautions: each kiln brings its own dangers, and every danger is told in short orders."""

from __future__ import annotations

import pytest

from tests.reading import said
from tests.studio import a_glaze
from tracker.domain.studio.cautions import (
    Danger,
    fuel_of,
    told,
    while_firing,
    while_glazing,
    while_loading,
    while_opening,
)
from tracker.domain.studio.kilns import PULLED_HOT, Atmosphere, Fuel, Kiln, RouteKind
from tracker.domain.studio.materials import Coat, Family, HowOn, Trait
from tracker.domain.studio.settings import COMMON_PRACTICE, FiringPractice, Practice

ELECTRIC = {Danger.HOT_KILN, Danger.CARBON_MONOXIDE, Danger.AUTHORITY}
GAS_INDOORS = ELECTRIC | {Danger.GAS, Danger.FIRE}
IN_THE_YARD = {Danger.HOT_KILN, Danger.CARBON_MONOXIDE_OUTDOORS, Danger.AUTHORITY, Danger.FIRE}
WOOD = (IN_THE_YARD - {Danger.HOT_KILN}) | {Danger.HOT_WOOD_KILN}
PULLED = {
    *(Danger.HOT_WARE, Danger.GAS, Danger.CARBON_MONOXIDE_OUTDOORS, Danger.FIRE, Danger.WATER, Danger.SMOKE),
    *(Danger.FIBER, Danger.AUTHORITY),
}
OF_RAKU_ALONE = {Danger.HOT_WARE, Danger.BINS, Danger.FERRIC_CHLORIDE}


def a_kiln(**facts: object) -> Kiln:
    return Kiln(name="Long Room", routes=frozenset(), **facts)  # type: ignore[arg-type]  # any fact of a kiln


@pytest.mark.parametrize(
    ("kiln", "kinds", "meant"),
    [
        pytest.param(a_kiln(), {RouteKind.SHELF}, ELECTRIC, id="indoors, nothing said"),
        pytest.param(a_kiln(atmosphere=Atmosphere.OXIDATION), {RouteKind.BISQUE}, ELECTRIC, id="indoors, oxidizing"),
        pytest.param(a_kiln(atmosphere=Atmosphere.REDUCTION), {RouteKind.SHELF}, GAS_INDOORS, id="indoors, reducing"),
        pytest.param(a_kiln(fuel=Fuel.GAS), {RouteKind.SHELF}, GAS_INDOORS, id="gas indoors"),
        pytest.param(a_kiln(fuel=Fuel.OIL), {RouteKind.SHELF}, ELECTRIC | {Danger.FIRE}, id="oil indoors"),
        pytest.param(a_kiln(outdoor=True), {RouteKind.SHELF}, IN_THE_YARD | {Danger.GAS}, id="outdoors, nothing said"),
        pytest.param(
            a_kiln(outdoor=True, fuel=Fuel.ELECTRIC),
            {RouteKind.SHELF},
            IN_THE_YARD - {Danger.FIRE},
            id="electric outdoors",
        ),
        pytest.param(a_kiln(outdoor=True), {RouteKind.RAKU}, PULLED | {Danger.BINS}, id="raku"),
        pytest.param(
            a_kiln(outdoor=True), {RouteKind.HORSEHAIR}, PULLED | {Danger.FERRIC_CHLORIDE}, id="horsehair: no bins"
        ),
        pytest.param(
            a_kiln(outdoor=True),
            {RouteKind.WOOD},
            WOOD | {Danger.FIREBOX, Danger.FIREWOOD, Danger.WATER, Danger.SMOKE},
            id="wood",
        ),
        pytest.param(
            a_kiln(outdoor=True, fuel=Fuel.WOOD),
            {RouteKind.SHELF},
            WOOD | {Danger.FIREBOX, Danger.FIREWOOD, Danger.WATER, Danger.SMOKE},
            id="wood under any firing",
        ),
        pytest.param(
            a_kiln(outdoor=True),
            {RouteKind.PIT},
            (IN_THE_YARD - {Danger.HOT_KILN})
            | {Danger.HOT_PIT, Danger.FIREWOOD, Danger.WATER, Danger.SMOKE, Danger.METAL_FUME},
            id="pit",
        ),
        pytest.param(
            a_kiln(outdoor=True), {RouteKind.SODA}, IN_THE_YARD | {Danger.GAS, Danger.VAPOR}, id="soda outdoors"
        ),
        pytest.param(a_kiln(), {RouteKind.SODA}, GAS_INDOORS | {Danger.VAPOR}, id="soda indoors"),
        pytest.param(a_kiln(), {RouteKind.OVERGLAZE}, ELECTRIC | {Danger.OVERGLAZE_FUMES}, id="overglaze"),
        pytest.param(a_kiln(), {RouteKind.ONCE_FIRE}, ELECTRIC, id="once-fire"),
        pytest.param(a_kiln(atmosphere=Atmosphere.NEUTRAL), {RouteKind.SHELF}, GAS_INDOORS, id="indoors, neutral"),
    ],
)
def test_a_kiln_brings_the_dangers_of_its_fuel_its_place_and_what_is_fired_in_it(
    kiln: Kiln, kinds: set[RouteKind], meant: set[Danger]
) -> None:
    assert while_firing(kiln, kinds) == meant


@pytest.mark.parametrize("fuel", [*Fuel, None], ids=str)
@pytest.mark.parametrize("is_outdoors", [True, False], ids=["outdoors", "indoors"])
@pytest.mark.parametrize("kind", [one for one in RouteKind if one not in PULLED_HOT])
def test_no_kiln_but_one_that_is_pulled_from_has_what_belongs_to_raku(
    kind: RouteKind, *, is_outdoors: bool, fuel: Fuel | None
) -> None:
    assert while_firing(a_kiln(outdoor=is_outdoors, fuel=fuel), {kind}).isdisjoint(OF_RAKU_ALONE)


@pytest.mark.parametrize("kind", RouteKind)
@pytest.mark.parametrize("atmosphere", [*Atmosphere, None], ids=str)
@pytest.mark.parametrize("is_outdoors", [True, False], ids=["outdoors", "indoors"])
def test_every_kiln_has_the_caution_of_carbon_monoxide_of_its_place(
    kind: RouteKind, atmosphere: Atmosphere | None, *, is_outdoors: bool
) -> None:
    dangers = while_firing(a_kiln(outdoor=is_outdoors, atmosphere=atmosphere), {kind})

    meant = Danger.CARBON_MONOXIDE_OUTDOORS if is_outdoors else Danger.CARBON_MONOXIDE
    assert dangers & {Danger.CARBON_MONOXIDE, Danger.CARBON_MONOXIDE_OUTDOORS} == {meant}


def test_nobody_is_told_of_parts_that_a_pit_or_a_wood_kiln_does_not_have() -> None:
    """Common practice: a pit has neither walls nor shelves; a wood kiln has spy holes, a bricked door and a damper."""
    pit, wood = a_kiln(outdoor=True), a_kiln(outdoor=True, fuel=Fuel.WOOD)
    for kiln, kind, parts in (
        (pit, RouteKind.PIT, ("peephole", "plug", "lid", "damper", "kiln shel", "shelves and", "ceramic fiber")),
        (wood, RouteKind.WOOD, ("peephole", "lid")),
    ):
        phases = (while_loading(kiln, {kind}), while_firing(kiln, {kind}), while_opening(kiln, {kind}))
        orders = " ".join(said(one.line) for one in told(COMMON_PRACTICE, *phases)).lower()
        assert [part for part in parts if part in orders] == []


def test_no_order_leaves_the_kind_of_a_respirator_to_a_label_that_names_none() -> None:
    """Common practice: acid gas, organic vapor and dust each want a filter of their own, and none stops monoxide."""
    named = {
        Danger.VAPOR: "acid gas",
        Danger.FERRIC_CHLORIDE: "acid gas",
        Danger.LUSTER: "organic vapor",
        Danger.METAL_FUME: "P100",
        Danger.CARBON_MONOXIDE: "A respirator doesn't stop",
        Danger.CARBON_MONOXIDE_OUTDOORS: "A respirator doesn't stop",
    }

    orders = {one.danger: said(one.line) for one in told(COMMON_PRACTICE, Danger)}

    assert [one for one, kind in named.items() if kind not in orders[one]] == []
    assert not any("that the label names" in words for words in orders.values())


def test_what_the_studio_says_of_a_kilns_fuel_comes_before_what_it_is_taken_for() -> None:
    assert fuel_of(a_kiln(outdoor=True), {RouteKind.SHELF}) is Fuel.GAS
    assert fuel_of(a_kiln(outdoor=True, fuel=Fuel.OIL), {RouteKind.SHELF}) is Fuel.OIL


@pytest.mark.parametrize(
    ("words", "fumes"),
    [
        *(("Copper", True), ("copper carbonate", True), ("MnO2", True), ("manganese dioxide", True)),
        # Lead, cadmium and selenium boil out of a glaze below stoneware heat (common practice).
        *(("lead bisilicate", True), ("cadmium", True), ("selenium", True), ("iron", False), ("tin", False)),
    ],
)
def test_what_poisons_whoever_breathes_it_gives_off_fume(words: str, *, fumes: bool) -> None:
    glaze = a_glaze(metals=frozenset({words}))

    assert (Danger.METAL_FUME in while_firing(a_kiln(), {RouteKind.SHELF}, [glaze])) is fumes


def test_a_raku_luster_whose_recipe_is_not_known_is_taken_for_copper() -> None:
    luster = a_glaze(family=Family.OUTDOOR, cone_low="08", cone_high="06", traits=frozenset({Trait.LUSTER}))

    assert Danger.METAL_FUME in while_firing(a_kiln(outdoor=True), {RouteKind.RAKU}, [luster])


@pytest.mark.parametrize("metal", ["barium carbonate", "manganese", "cadmium", "lead bisilicate"])
def test_toxic_metals_in_raw_glaze_are_warned_of(metal: str) -> None:
    assert Danger.TOXIC_METALS in while_glazing([a_glaze(metals=frozenset({metal}))])
    assert Danger.TOXIC_METALS not in while_glazing([a_glaze(metals=frozenset({"iron", "tin"}))])


@pytest.mark.parametrize(("fuel", "is_electric"), [(None, True), (Fuel.ELECTRIC, True), (Fuel.GAS, False)], ids=str)
def test_the_power_is_cut_before_an_electric_kiln_is_loaded_or_unloaded(
    fuel: Fuel | None, *, is_electric: bool
) -> None:
    kiln = a_kiln(fuel=fuel)

    assert (Danger.ELECTRICITY in while_loading(kiln, {RouteKind.SHELF})) is is_electric
    assert (Danger.ELECTRICITY in while_opening(kiln, {RouteKind.SHELF})) is is_electric
    assert Danger.ELECTRICITY not in while_firing(kiln, {RouteKind.SHELF})


def test_at_a_gas_kiln_that_fires_gas_and_carbon_monoxide_come_before_its_heat() -> None:
    nearest = told(COMMON_PRACTICE, while_firing(a_kiln(fuel=Fuel.GAS), {RouteKind.SHELF}))[:3]

    assert [one.danger for one in nearest] == [Danger.GAS, Danger.CARBON_MONOXIDE, Danger.HOT_KILN]


def test_no_tank_is_heated() -> None:
    (gas,) = told(COMMON_PRACTICE, {Danger.GAS})

    assert "Never heat a tank." in said(gas.line)


def test_a_glaze_that_is_sprayed_wants_a_respirator() -> None:
    sprayed = a_glaze(goes_on=frozenset({HowOn.DIP, HowOn.SPRAY}))

    assert while_glazing([a_glaze(), sprayed]) == {Danger.DUST, Danger.SPRAYING}
    assert while_glazing([a_glaze()]) == {Danger.DUST}


def test_an_overglaze_on_the_shelf_has_its_solvents() -> None:
    luster = a_glaze(coat=Coat.OVERGLAZE, cone_low="019", cone_high="017")

    assert while_glazing([luster]) == {Danger.DUST, Danger.LUSTER}


def test_cautions_come_phase_after_phase_the_nearest_first_and_rules_last() -> None:
    some = told(
        COMMON_PRACTICE,
        {Danger.FIBER, Danger.SHARP_GLAZE},
        {Danger.AUTHORITY, Danger.CARBON_MONOXIDE, Danger.HOT_KILN},
        {Danger.OPENING, Danger.SHARP_GLAZE, Danger.AUTHORITY},
    )

    assert [one.danger for one in some] == [
        *(Danger.SHARP_GLAZE, Danger.FIBER, Danger.CARBON_MONOXIDE, Danger.HOT_KILN, Danger.OPENING, Danger.AUTHORITY)
    ]


def test_a_kiln_stays_shut_above_what_the_studio_has_set() -> None:
    careful = Practice(fires=FiringPractice(open_below_c=95))

    (usual,), (mine,) = told(COMMON_PRACTICE, {Danger.OPENING}), told(careful, {Danger.OPENING})

    assert "120 °C" in said(usual.line)
    assert "95 °C" in said(mine.line)


@pytest.mark.parametrize("danger", Danger)
def test_every_danger_is_told_in_orders_that_are_read_at_one_glance(danger: Danger) -> None:
    (caution,) = told(COMMON_PRACTICE, {danger})

    orders = [said(one) for one in caution.orders]
    assert all(order.endswith(".") and len(order.split()) <= 20 for order in orders)
    # The first is never folded away, so it fits on two lines of a phone.
    assert len(orders[0].split()) <= 14
    assert len({one.code for one in caution.orders}) == len(orders)
