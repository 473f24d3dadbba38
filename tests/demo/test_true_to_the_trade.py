"""The demo studio tells no untruth about the trade, and keeps every rule of the house."""

from __future__ import annotations

from itertools import pairwise

from tests.demo.conftest import ENDS, Demo
from tracker.domain.findings import Level
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Build, StepName, Use
from tracker.domain.rules.engine import judge
from tracker.domain.studio.materials import CLAYS_IN_COATS, ClayKind, Coat
from tracker.store.backup import check


def test_a_luster_goes_over_fired_glaze_and_is_fired_to_018_on_its_own(demo: Demo) -> None:
    catalog = demo.read.catalog()
    lusters = {name for name, one in catalog.glazes.items() if one.coat is Coat.OVERGLAZE}
    # Makers' usual range of lusters and china paints: cone 022 to 014, most lusters 018 (common practice).
    assert all(str(catalog.glaze(name).cone_high) == "018" for name in lusters)
    over = [page for page in demo.pages if lusters & set(page.piece.worn_names)]

    fired = [[line.route for line in page.history if line.step is StepName.FIRE] for page in over]

    assert lusters
    assert any("overglaze" in routes for routes in fired)
    assert all(routes[0] != "overglaze" for routes in fired)
    assert str(catalog.route("overglaze").cone) == "018"


def test_earthenware_absorbs_ten_percent_and_more_and_a_raku_clay_is_not_measured(demo: Demo) -> None:
    # Earthenware 10 % and more: common practice for low-fire bodies; ASTM C242 calls over 7 % nonvitreous.
    clays = demo.read.catalog().clays.values()
    earthenware = [one.absorption_pct for one in clays if one.kind is ClayKind.EARTHENWARE]

    assert all(absorbs is not None and absorbs >= 10 for absorbs in earthenware)
    assert demo.read.catalog().clay("Cobble").absorption_pct is None


def test_nothing_of_earthenware_is_for_food(demo: Demo) -> None:
    low = [page.piece for page in demo.pages if page.piece.clay.kind is ClayKind.EARTHENWARE]

    assert low
    assert {piece.use for piece in low} == {Use.DECORATIVE}


def test_slip_and_sigillata_go_on_greenware_alone(demo: Demo) -> None:
    # On bisque they shrink away from the clay and flake (common practice).
    catalog = demo.read.catalog()
    steps = {
        line.step
        for page in demo.pages
        for line in page.history
        if (coat := catalog.glazes.get(str(line.facts.get("glaze", "")))) is not None and coat.coat in CLAYS_IN_COATS
    }

    assert steps == {StepName.DECORATE}


def test_a_crack_like_an_s_is_in_thrown_ware_alone(demo: Demo) -> None:
    # An S-crack comes of clay that was not compressed on the wheel (common practice).
    cracked = {
        page.piece.build
        for page in demo.pages
        for line in page.history
        if line.outcome is not None and Flaw.S_CRACK in line.outcome.flaws
    }

    assert cracked == {Build.THROWN}


def test_no_piece_waits_in_a_queue_that_the_rules_refuse_or_whose_warnings_nobody_accepted(demo: Demo) -> None:
    catalog = demo.read.catalog()
    waiting = demo.read.pieces.waiting()

    for row in waiting:
        route = catalog.route(row.piece.route or "")
        verdict = judge(row.piece, route, catalog.practice)

        verdict.must_be_settled(route.name, accepts=row.accepted, approvals=demo.read.questions.leaves(row.piece.id))

    assert waiting


def test_nothing_was_ever_fired_hotter_than_its_clay_and_glazes_stand(demo: Demo) -> None:
    fired = [page.piece for page in demo.pages if page.piece.fired_to is not None]

    assert len(fired) >= 200
    assert [piece.ref for piece in fired if piece.fired_to and piece.fired_to > piece.clay.ceiling] == []
    layers = [layer for piece in fired for layer in piece.layers if layer.fired_to is not None]
    assert [one for one in layers if one.fired_to and one.fired_to > one.glaze.ceiling] == []


def test_nothing_for_food_went_through_a_fire_that_the_rules_keep_from_food(demo: Demo) -> None:
    catalog = demo.read.catalog()
    # A piece is as its last fire had it; before it, a luster for instance was not yet on it.
    fires = [
        (page.piece, catalog.route(line.route or ""))
        for page in demo.pages
        for line in [line for line in page.history if line.step is StepName.FIRE][-1:]
    ]

    refused = [
        (piece.ref, finding.rule)
        for piece, route in fires
        for finding in judge(piece, route, catalog.practice).of(Level.REFUSE)
    ]

    assert len(fires) >= 200
    assert refused == []


def test_every_history_begins_with_the_registering_and_goes_on_in_time_and_stage(demo: Demo) -> None:
    for page in demo.pages:
        lines = page.history

        assert lines[0].step is StepName.REGISTER
        assert lines[-1].to is page.piece.stage
        assert all(one.at <= other.at and one.to is other.start for one, other in pairwise(lines))
        assert lines[-1].at <= ENDS


def test_the_check_of_the_whole_database_finds_nothing(demo: Demo) -> None:
    problems = check(str(demo.file))

    assert problems == ()
