"""The papers of the studio's own things tell the dangers that are meant there, and no others."""

from __future__ import annotations

from typing import Any

import pytest

from printing.labels.labels import refuses
from tests.reading import said
from tests.studio import a_glaze, a_studio
from tracker.domain.message import Message
from tracker.domain.quantities import Units
from tracker.domain.studio.catalog_changes import with_thing
from tracker.domain.studio.cautions import Danger, food_on, told
from tracker.domain.studio.kilns import KNOWN_ROUTES, Atmosphere, Fuel, Kiln
from tracker.domain.studio.materials import ON_CLAY, Coat, Family, HowOn, Trait
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.usecases.labels.specimens import a_kiln_card
from tracker.usecases.labels.stock import card_stocks
from tracker.usecases.labels.studio_labels import bucket, container, kiln_door, never_in
from tracker.usecases.labels.wall_chart import limits, shelf_of
from tracker.wording.reader import ANYONE, Reader
from tracker.wording.render import read

STUDIO = a_studio()
SHELVES = {Danger.SHARP_GLAZE, Danger.DUST, Danger.FIBER}
SHELF_KILN = SHELVES | {Danger.HOT_KILN, Danger.OPENING, Danger.AUTHORITY}
OF_RAKU = {Danger.BINS, Danger.METAL_FUME}
ELECTRIC = {Danger.CARBON_MONOXIDE, Danger.ELECTRICITY}
PULLED = SHELVES | {
    *(Danger.HOT_WARE, Danger.GAS, Danger.CARBON_MONOXIDE_OUTDOORS, Danger.FIRE, Danger.WATER, Danger.SMOKE),
    Danger.AUTHORITY,
}


STILTS = {"never-a-glazed-foot", "never-a-stilt"}


def test_the_wall_chart_tells_cones_in_celsius_too_to_those_who_read_fahrenheit() -> None:
    shelf = shelf_of(STUDIO, Reader(units=Units.US))

    told = [glaze.matures for _group, glazes in shelf.groups for glaze in glazes]
    # Cone 6 of the self-supporting kind goes down at 1,222 °C or 2,232 °F (Orton's chart, at 60 °C an hour).
    assert any("2,232 °F" in one and "1,222 °C" in one for one in told)
    assert not any("°F" in glaze.matures for _group, glazes in shelf_of(STUDIO, ANYONE).groups for glaze in glazes)


@pytest.mark.parametrize("coat", [one for one in Coat if one not in {Coat.GLAZE, Coat.WAX}])
def test_what_is_another_coat_stands_under_no_heat_of_glazes(coat: Coat) -> None:
    other = a_glaze("Garden Wall", coat=coat, family=Family.MID_RANGE)
    shelf = shelf_of(with_thing(STUDIO, other), ANYONE)

    (group,) = [name for name, glazes in shelf.groups for glaze in glazes if glaze.name == other.name]
    label = bucket(other, COMMON_PRACTICE, ANYONE)
    assert read(coat, ANYONE) in group.casefold()
    assert read(Family.MID_RANGE, ANYONE) not in group.casefold()
    assert read(Message("heat", "{coat}: {cones}", coat=coat, cones=other.cones), ANYONE) in label.parts[1].text


def test_only_what_melts_is_never_fired_hotter_and_what_colors_the_clay_fades() -> None:
    """Slip, underglaze and sigillata don't run (common practice)."""
    kinds: dict[Coat, str] = {
        coat: said(limits(a_glaze(coat=coat), STUDIO.catalog.practice.regime)[0]) for coat in Coat if coat != Coat.WAX
    }

    assert kinds[Coat.GLAZE] == kinds[Coat.OVERGLAZE]
    assert len({kinds[coat] for coat in (*ON_CLAY, Coat.GLAZE)}) == len(ON_CLAY) + 1


def told_in(words: str) -> set[Danger]:
    """The dangers of which a paper gives every order."""
    return {one.danger for one in told(COMMON_PRACTICE, Danger) if all(said(order) in words for order in one.orders)}


def card_of(kiln: Kiln) -> str:
    """The words of a kiln's card."""
    return " ".join(part.text for part in kiln_door(kiln, STUDIO, ANYONE).parts)


@pytest.mark.parametrize(
    ("kiln", "meant"),
    [
        pytest.param(STUDIO.catalog.kiln("Front box"), SHELF_KILN | ELECTRIC, id="electric"),
        pytest.param(
            Kiln(name="Car", routes=frozenset({"high-fire"}), atmosphere=Atmosphere.REDUCTION),
            SHELF_KILN | {Danger.CARBON_MONOXIDE, Danger.GAS, Danger.FIRE},
            id="reducing",
        ),
        pytest.param(
            Kiln(name="Lean-to", routes=frozenset({"bisque", "high-fire"}), outdoor=True, fuel=Fuel.GAS),
            SHELF_KILN | {Danger.CARBON_MONOXIDE_OUTDOORS, Danger.GAS, Danger.FIRE},
            id="gas, outdoors",
        ),
        pytest.param(Kiln(name="Drum", routes=frozenset({"raku"}), outdoor=True), PULLED | OF_RAKU, id="raku"),
        pytest.param(
            Kiln(name="Drum", routes=frozenset({"horsehair"}), outdoor=True),
            PULLED | {Danger.FERRIC_CHLORIDE},
            id="horsehair",
        ),
    ],
)
def test_a_kilns_card_tells_the_dangers_of_that_kiln(kiln: Kiln, meant: set[Danger]) -> None:
    assert told_in(card_of(kiln)) == meant


@pytest.mark.parametrize(
    ("routes", "never"),
    [
        (("bisque", "high-fire"), {"never-raku-glazes", "never-damp-greenware", *STILTS}),
        (("raku",), {"never-ware-for-food", "never-greenware", "never-cracked", "never-a-glazed-raku-foot"}),
        (
            ("horsehair",),
            {"never-ware-for-food", "never-raku-glazes", "never-glazed-horsehair", "never-greenware", "never-cracked"},
        ),
        (("pit",), {"never-ware-for-food", "never-raku-glazes", "never-greenware-unasked"}),
        # At cone 018 fired glaze doesn't melt, so a glazed foot doesn't stick (common practice; the rule of the foot).
        (("overglaze",), {"never-raku-glazes", "never-greenware", "never-overglaze-on-a-foot", "never-a-stilt"}),
        (("low-fire", "overglaze"), {"never-raku-glazes", "never-greenware", "never-overglaze-on-a-foot", *STILTS}),
        (("soda",), {"never-raku-glazes", "never-greenware", "never-without-wadding"}),
        (("wood",), {"never-raku-glazes", "never-greenware", "never-without-wadding"}),
        (("once-fire",), {"never-raku-glazes", "never-damp-greenware", *STILTS}),
    ],
    ids=lambda some: ", ".join(some) if isinstance(some, tuple) else "",
)
def test_what_must_never_go_in_is_said_by_what_is_fired_there_not_by_where_the_kiln_is(
    routes: tuple[str, ...], never: set[str]
) -> None:
    said_of = {one.code for one in never_in([KNOWN_ROUTES[name] for name in routes])}

    assert said_of == never | {"never-for-less-heat"}


@pytest.mark.parametrize("kiln", ["Front box", "Yard drum"])
def test_every_card_stock_that_is_offered_holds_the_cautions_of_a_kiln(kiln: str) -> None:
    label = kiln_door(STUDIO.catalog.kiln(kiln), STUDIO, ANYONE)
    usual = a_kiln_card(ANYONE)

    assert [
        stock.name for stock in card_stocks(STUDIO, STUDIO.paper) if not refuses(usual, stock) and refuses(label, stock)
    ] == []


@pytest.mark.parametrize(
    ("how", "meant"),
    [(HowOn.DIP, {Danger.DUST}), (HowOn.SPRAY, {Danger.DUST, Danger.SPRAYING})],
    ids=["dipped", "sprayed"],
)
def test_a_buckets_label_gives_the_first_order_of_each_danger_of_its_glaze(how: HowOn, meant: set[Danger]) -> None:
    words = " ".join(part.text for part in bucket(a_glaze(goes_on=frozenset({how})), COMMON_PRACTICE, ANYONE).parts)

    firsts = {one.danger for one in told(COMMON_PRACTICE, Danger) if said(one.orders[0]) in words}
    assert firsts == meant
    (spray,) = told(COMMON_PRACTICE, {Danger.SPRAYING})
    assert all((said(order) in words) is (how is HowOn.SPRAY) for order in spray.orders)
    assert said(food_on("label")) in words


def words_of(**facts: Any) -> str:  # noqa: ANN401 -- any fact of a glaze
    """The words of a bucket's label."""
    return " ".join(part.text for part in bucket(a_glaze(**facts), COMMON_PRACTICE, ANYONE).parts)


@pytest.mark.parametrize(
    ("trait", "words"),
    [
        (Trait.CRACKLE, "rackles: ask before you use it on a functional piece"),
        (Trait.RUNNY, "uns: set the piece on a kiln cookie (drip plate)"),
        (Trait.WANTS_REDUCTION, "eeds a reducing kiln"),
        (Trait.WANTS_OXIDATION, "eeds an oxidizing kiln"),
    ],
)
def test_a_buckets_label_and_the_chart_say_what_a_glaze_asks_for(trait: Trait, words: str) -> None:
    glaze = a_glaze(traits=frozenset({trait}))

    assert words in words_of(traits=glaze.traits)
    assert words not in words_of()
    assert any(words in said(one) for one in limits(glaze, COMMON_PRACTICE.regime))


def test_a_raku_glaze_is_reduced_in_a_bin_and_no_tongs_lift_it_with_a_cookie() -> None:
    raku = a_glaze(family=Family.OUTDOOR, traits=frozenset({Trait.WANTS_REDUCTION, Trait.RUNNY}))

    assert {"reduced-in-a-bin", "runs-off-the-foot"} <= {one.code for one in limits(raku, COMMON_PRACTICE.regime)}


@pytest.mark.parametrize("metal", ["barium", "manganese", "cadmium", "lead"])
def test_the_label_of_a_toxic_glaze_says_what_is_in_it_and_every_order(metal: str) -> None:
    words = words_of(metals=frozenset({metal}))

    (toxic,) = told(COMMON_PRACTICE, {Danger.TOXIC_METALS})
    assert f"Contains {metal}" in words
    assert said(toxic.line) in words
    assert "oison" in said(toxic.orders[0]), "the worst comes first"


def test_the_label_of_a_luster_gives_hood_respirator_and_flame() -> None:
    words = words_of(coat=Coat.OVERGLAZE, cone_low="019", cone_high="017")

    (luster,) = told(COMMON_PRACTICE, {Danger.LUSTER})
    assert all(said(order) in words for order in luster.orders)


@pytest.mark.parametrize(
    ("routes", "words"),
    [
        (("low-fire",), "isn't waxed or wiped, unless on a stilt: they stick"),
        (("low-fire", "mid-range"), "unless on a stilt at cone 02"),
        # In a bisque a stilt keeps its shape.
        (("bisque", "mid-range"), "A stilt hotter than cone 02"),
        (("mid-range",), "A stilt: its wires bend in this heat."),
        (("low-fire", "mid-range"), "A stilt hotter than cone 02"),
        (("low-fire",), "A stilt under mature stoneware or porcelain"),
        (("low-fire", "overglaze"), "Fired glaze there stays hard."),
    ],
)
def test_a_kilns_card_says_of_stilts_what_the_rules_do(routes: tuple[str, ...], words: str) -> None:
    assert words in " ".join(said(one) for one in never_in([KNOWN_ROUTES[name] for name in routes]))


def test_a_bisque_kilns_card_asks_for_a_clear_foot_of_glazed_pieces_alone() -> None:
    told = [said(one) for one in never_in([KNOWN_ROUTES["bisque"], KNOWN_ROUTES["low-fire"]])]

    assert [one for one in told if "foot" in one] == [
        "Glazed pieces whose foot isn't waxed or wiped, unless on a stilt: they stick."
    ]
    assert not any("foot" in said(one) for one in never_in([KNOWN_ROUTES["bisque"]]))


def test_a_bins_number_says_that_its_lid_may_flare() -> None:
    (bins,) = told(COMMON_PRACTICE, {Danger.BINS})

    assert said(bins.orders[0]) in [part.text for part in container("B1", ANYONE).parts]


def test_the_chart_of_the_shelf_speaks_of_dust_of_smoked_ware_and_of_the_laboratory() -> None:
    chart = shelf_of(STUDIO, ANYONE)

    assert told_in(chart.caution) == {Danger.DUST, Danger.SMOKED_WARE}
    assert said(food_on("chart")) in chart.caution


def test_a_bottle_of_luster_holds_no_silica_and_says_what_is_brushed_under_a_hood() -> None:
    """Common practice: luster is metal in resin; china paint is powdered glass."""
    plain = {"coat": Coat.OVERGLAZE, "cone_low": "019", "cone_high": "018", "goes_on": frozenset({HowOn.BRUSH})}
    (dust,), (luster,) = told(COMMON_PRACTICE, {Danger.DUST}), told(COMMON_PRACTICE, {Danger.LUSTER})
    bottle, paint = words_of(traits=frozenset({Trait.LUSTER}), **plain), words_of(**plain)

    assert (said(dust.orders[0]) in bottle, said(dust.orders[0]) in paint) == (False, True)
    assert said(luster.orders[0]) in bottle
