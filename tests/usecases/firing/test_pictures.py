"""A firing's pictures as they are told to those who cannot see it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from printing.firing.curves import CurveSeen
from printing.loading.load_pictures import LevelSeen, LoadSeen, PieceSeen, ShelfSeen
from tests.printing.firing.words import CURVE_WORDS, LOAD_WORDS
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.quantities import Units
from tracker.domain.studio.kilns import KNOWN_ROUTES, Atmosphere, Kiln
from tracker.usecases.firing.pictures import curve_told, shelf_told, stack_told, witness_boxes, witness_key
from tracker.wording.reader import ANYONE, Reader

SEEN = CurveSeen(said=CURVE_WORDS, points=((0, 20), (9, 1010), (10, 990)), marks=((8.5, 985, "cone 06"),))


@pytest.mark.parametrize(
    ("reader", "told"),
    [
        (
            ANYONE,
            "Measured over 10 hours, peak 1,010 °C at 9 hours. cone 06: cone reached at 8.5 hours, 985 °C.",
        ),
        (
            replace(ANYONE, locale="de_DE"),
            ("Measured over 10 Stunden, peak 1.010 °C at 9 Stunden. cone 06: cone reached at 8,5 Stunden, 985 °C."),
        ),
        (
            Reader(units=Units.US),
            "Measured over 10 hours, peak 1,010 °F at 9 hours. cone 06: cone reached at 8.5 hours, 985 °F.",
        ),
    ],
    ids=["American", "German", "in °F"],
)
def test_who_cannot_see_the_chart_is_told_its_peak_and_its_cones(reader: Reader, told: str) -> None:
    assert curve_told(SEEN, reader) == told


def test_a_target_and_a_schedule_are_told_where_nothing_was_measured() -> None:
    seen = CurveSeen(said=CURVE_WORDS, schedule=((0, 20), (8, 1000)), target=(998, "target: cone 06"))

    assert curve_told(seen, ANYONE) == "The firing schedule goes to 1,000 °C. Target: cone 06."


def test_who_cannot_see_a_load_is_told_what_stands_where() -> None:
    careful = PieceSeen(label="K7R43", x_mm=-200, y_mm=180, height_mm=140, round_mm=90, with_care=True)
    plain = PieceSeen(label="HX5NA", x_mm=0, y_mm=0, height_mm=60, round_mm=90)
    levels = (LevelSeen(150, (careful, plain), name="Shelf 1 of 2, lowest", facts="2 pieces"), LevelSeen(0, ()))
    load = LoadSeen("Big gas kiln", ShelfSeen(round_mm=560), levels, 20, 500, LOAD_WORDS)

    assert shelf_told(load, 1, ANYONE) == (
        "Shelf 1 of 2, lowest. 2 pieces. HX5NA middle and K7R43 back left (caution)."
    )
    assert stack_told(load, ANYONE) == (
        "From the bottom up. Shelf 1: K7R43 and HX5NA. Shelf 2: empty. 310 mm free below the top of the kiln."
    )


def _to_be_fired(cone: str, atmosphere: Atmosphere) -> Firing:
    kiln = Kiln(name="Front box", routes=frozenset({"high-fire"}), atmosphere=atmosphere)
    return Firing(id=4, kiln=kiln, route=KNOWN_ROUTES["high-fire"], target=Cone.parse(cone), stage=FiringStage.PLANNED)


def test_a_reducing_firing_has_its_body_reduction_cones_beside_guide_firing_and_guard_cone() -> None:
    """Cones 012 and 08 in a cone 10 reduction, 012 and 010 in a mid-range one (common practice)."""
    packs = [
        [box.cones for box in witness_boxes(_to_be_fired(cone, atmosphere), ANYONE)]
        for cone, atmosphere in (("10", Atmosphere.REDUCTION), ("6", Atmosphere.REDUCTION), ("10", Atmosphere.NEUTRAL))
    ]

    assert packs == [[("012", "08"), ("9", "10", "11")], [("012", "010"), ("5", "6", "7")], [("9", "10", "11")]]


def test_a_soda_pack_has_the_cone_at_which_soda_goes_in_and_a_pit_has_no_pack() -> None:
    """Soda goes in about two cones before the last (common practice)."""
    soda, pit = (
        Firing(
            id=4,
            kiln=Kiln(name="Yard box", routes=frozenset({name}), outdoor=True, atmosphere=Atmosphere.NEUTRAL),
            route=KNOWN_ROUTES[name],
            target=KNOWN_ROUTES[name].cone,
            stage=FiringStage.PLANNED,
        )
        for name in ("soda", "pit")
    )

    assert [box.cones for box in witness_boxes(soda, ANYONE)][-1] == ("8", "9", "10", "11")
    assert "soda-cone" in {told.code for told in witness_key(soda)}
    assert list(witness_boxes(pit, ANYONE)) == []
    assert list(witness_key(pit)) == []


def test_each_witness_cone_is_told_what_it_is_for() -> None:
    reducing, clean = (
        {told.code for told in witness_key(_to_be_fired("10", atmosphere))}
        for atmosphere in (Atmosphere.REDUCTION, Atmosphere.OXIDATION)
    )

    assert clean == {"witness-boxes", "guide-cone", "firing-cone", "guard-cone"}
    assert reducing == clean | {"body-reduction-cones"}
