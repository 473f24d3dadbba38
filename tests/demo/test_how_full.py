"""The demo studio is as full as it should be: people, catalog, kilns, and pieces at every stage."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

from tests.demo.conftest import ENDS, Demo
from tracker.domain.cones import Cone
from tracker.domain.firing.curves import Curve
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.heat_work import heat_work
from tracker.domain.outdoor.sessions import SessionStage
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.photos import Size
from tracker.domain.pieces.piece import Stage, StepName, Use
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.leach_evidence import failures
from tracker.domain.studio.materials import ClayKind, Coat, Family, FoodStanding
from tracker.domain.studio.people import Role
from tracker.domain.studio.swatches import ColorFamily
from tracker.usecases.firing.stories import kiln_correction
from tracker.usecases.labels.home_papers import needs_a_warning, stick_on_of
from tracker.wording.reader import ANYONE


def test_sixty_students_in_three_sections_five_staff_and_two_instructors_are_there(demo: Demo) -> None:
    people = demo.read.people.listed()

    roles = Counter(one.role for one in people)
    sections = Counter(one.section for one in people if one.role is Role.STUDENT)

    assert roles == {Role.STUDENT: 60, Role.STAFF: 5, Role.INSTRUCTOR: 2}
    assert sorted(sections.values()) == [20, 20, 20]
    assert all(one.email.endswith("@marrowbank.example") for one in people)


def test_the_shelves_hold_twelve_clays_that_have_a_name_and_a_bin_that_has_none(demo: Demo) -> None:
    kinds = Counter(clay.kind for clay in demo.read.catalog().clays.values())

    assert kinds.pop(ClayKind.UNKNOWN) == 1
    assert set(kinds) == {ClayKind.EARTHENWARE, ClayKind.STONEWARE, ClayKind.PORCELAIN, ClayKind.GROGGED}
    assert kinds.total() == 12


def test_the_shelves_hold_twenty_four_glazes_over_the_four_families(demo: Demo) -> None:
    glazes = [one for one in demo.read.catalog().glazes.values() if one.coat is Coat.GLAZE]

    families = Counter(one.family for one in glazes)

    assert families == {Family.LOW_FIRE: 6, Family.MID_RANGE: 7, Family.HIGH_FIRE: 6, Family.OUTDOOR: 5}
    assert {one.food for one in glazes} == set(FoodStanding)


def test_what_counts_as_tested_has_a_test_on_file_and_none_that_failed(demo: Demo) -> None:
    catalog = demo.read.catalog()
    tested = [one for one in catalog.glazes.values() if one.food is FoodStanding.TESTED]

    assert tested
    assert [one.name for one in tested if not one.tests or failures(one.tests, catalog.practice.regime)] == []


def test_five_kilns_are_there_and_the_one_outdoors_fires_the_outdoor_routes(demo: Demo) -> None:
    catalog = demo.read.catalog()

    outdoors = [kiln for kiln in catalog.kilns.values() if kiln.outdoor]

    assert len(catalog.kilns) == 5
    assert [kiln.routes for kiln in outdoors] == [{"raku", "horsehair"}]
    assert {route for kiln in catalog.kilns.values() for route in kiln.routes} == set(catalog.routes)


def test_every_clay_glaze_kiln_and_maker_has_a_part_in_the_story(demo: Demo) -> None:
    pieces = [page.piece for page in demo.pages]
    catalog = demo.read.catalog()

    fired = Counter(firing.kiln for firing in demo.read.firings.listed(open_only=False, limit=1000))

    assert {piece.clay.name for piece in pieces} == set(catalog.clays)
    assert {layer.glaze.name for piece in pieces for layer in piece.layers} == set(catalog.glazes)
    assert set(fired) == set(catalog.kilns)
    assert len({piece.maker_id for piece in pieces}) == 60


def test_four_hundred_pieces_stand_at_every_stage(demo: Demo) -> None:
    stages = Counter(page.piece.stage for page in demo.pages)

    assert stages.total() >= 400
    assert {stage: count for stage, count in stages.items() if count >= 3}.keys() == set(Stage)


def test_moves_of_every_kind_were_refused_and_each_said_why(demo: Demo) -> None:
    kinds = Counter(told.kind for told in demo.telling.refusals)

    assert kinds.total() >= 40
    assert set(kinds) == {
        *("Unfit", "NeedsAcceptance", "NeedsInstructor"),
        *("NotAStep", "NotAllowed", "ChangedMeanwhile", "Unknown"),
    }
    assert all(told.says and told.mend for told in demo.telling.refusals)


def test_some_pieces_are_lost_each_with_its_cause_and_some_were_found_again(demo: Demo) -> None:
    lost = [page for page in demo.pages if page.piece.stage is Stage.LOST]

    causes = [page.history[-1] for page in lost]

    assert len(lost) >= 10
    assert all(line.step is StepName.LOSE and line.reason for line in causes)
    assert StepName.FIND in {line.step for page in demo.pages for line in page.history}


def test_some_pieces_have_stood_too_long_at_each_stage_in_which_people_forget_them(demo: Demo) -> None:
    # Practice: greenware 30 days, fired ware 21 days; bisqued ware stands here since long before the end of term.
    limits = {Stage.GREENWARE: 30, Stage.BISQUED: 30, Stage.FIRED: 21}

    forgotten = {
        stage: sum(ENDS - row.since > timedelta(days=days) for row in demo.read.pieces.standing(stage))
        for stage, days in limits.items()
    }

    assert all(count >= 3 for count in forgotten.values()), forgotten


def test_each_outdoor_queue_has_ten_to_twenty_waiting_and_some_only_with_care(demo: Demo) -> None:
    for route in ("raku", "horsehair"):
        waiting = demo.read.pieces.waiting([route])

        assert 10 <= len(waiting) <= 20
        assert 2 <= sum(bool(row.accepted) for row in waiting) < len(waiting)


def test_a_bisque_and_a_glaze_firing_are_being_loaded_now(demo: Demo) -> None:
    loading = [one for one in demo.read.firings.listed() if one.stage is FiringStage.LOADING]

    kinds = {demo.read.catalog().route(one.route).kind for one in loading}

    assert kinds == {RouteKind.BISQUE, RouteKind.SHELF}
    assert all(one.count >= 5 for one in loading)


def test_a_firing_is_planned_for_what_waits_and_its_load_is_drawn_up(demo: Demo) -> None:
    (planned,) = (one for one in demo.read.firings.listed(rounds=False) if one.stage is FiringStage.PLANNED)

    firing = demo.read.firings.firing(planned.id)

    assert planned.planned >= 5
    assert firing is not None
    assert firing.plan is not None
    assert sum(len(level.places) for level in firing.plan.levels) == planned.planned


def test_sessions_were_fired_outdoors_and_the_next_one_is_planned(demo: Demo) -> None:
    coming, *done = demo.read.outdoors.sessions()

    assert coming.stage is SessionStage.PLANNED
    assert coming.pieces >= 5
    assert len(done) >= 3
    assert {one.stage for one in done} == {SessionStage.ENDED}
    assert len(demo.read.outdoors.fuel(coming.kiln)) == len(done)
    assert len(demo.read.outdoors.examples()) >= 10


def test_every_fire_that_goes_by_a_schedule_reached_its_cone_and_one_kiln_corrects_itself(demo: Demo) -> None:
    done = [one for one in demo.read.firings.listed(open_only=False, limit=1000) if one.stage is FiringStage.UNLOADED]
    indoors = [one for one in done if not demo.read.catalog().route(one.route).is_pulled_hot]

    curves = {one.id: Curve.of((float(at), heat) for at, heat in demo.read.firings.log(one.id)) for one in indoors}

    assert indoors
    assert all(heat_work(curves[one.id]).works[one.target] >= 0.9 for one in indoors)
    assert kiln_correction(demo.read, "North box").agreed


def test_every_route_has_been_fired_and_not_everything_came_out_well(demo: Demo) -> None:
    done = [one for one in demo.read.firings.listed(open_only=False, limit=1000) if one.stage is FiringStage.UNLOADED]

    outcomes = Counter(page.row.outcome for page in demo.pages if page.row.outcome)

    assert {one.route for one in done} == set(demo.read.catalog().routes)
    assert outcomes[Outcome.BROKE] >= 3
    assert outcomes[Outcome.GOOD] > outcomes.total() / 2


def test_every_flaw_came_out_of_some_fire_some_together_and_some_with_a_note(demo: Demo) -> None:
    came = [line.outcome for page in demo.pages for line in page.history if line.outcome is not None]

    assert {flaw for one in came for flaw in one.flaws} == set(Flaw)
    assert any(len(one.flaws) > 1 for one in came)
    assert all(any(getattr(one, note) for one in came) for note in ("clay_note", "glaze_note"))


def test_a_flaw_keeps_something_for_food_that_waits_for_pickup_from_food(demo: Demo) -> None:
    studio = demo.read.studio()
    spoilt = [
        page
        for page in demo.pages
        if page.piece.stage is Stage.FIRED and page.piece.use is Use.FOOD and page.piece.spoilt_by
    ]

    assert spoilt
    assert all(needs_a_warning(page, studio) for page in spoilt)
    assert all(stick_on_of(page, studio, ANYONE) for page in spoilt)


def test_a_planned_bisque_was_fired_with_bowls_in_bowls(demo: Demo) -> None:
    done = [one for one in demo.read.firings.listed(open_only=False, limit=1000) if one.stage is FiringStage.UNLOADED]
    bisques = [demo.read.firings.firing(one.id) for one in done if one.route == "bisque"]

    resting = [
        place
        for firing in bisques
        if firing is not None and firing.plan is not None
        for level in firing.plan.levels
        for place in level.places
        if place.below is not None
    ]

    assert resting


def test_low_fire_ware_went_into_a_bisque_that_was_fired_to_the_heat_of_both(demo: Demo) -> None:
    fires = [
        (line.firing_id, line.step)
        for page in demo.pages
        for line in page.history
        if line.step in {StepName.BISQUE, StepName.FIRE} and line.firing_id is not None
    ]
    firings = {number for number, step in fires if step is StepName.BISQUE} & {
        number for number, step in fires if step is StepName.FIRE
    }

    mixed = [demo.read.firings.firing(number) for number in firings]

    assert mixed
    assert {firing.route.name for firing in mixed if firing} == {"bisque"}
    assert {str(firing.target) for firing in mixed if firing} == {"05"}


def test_some_questions_are_open_and_some_were_answered_either_way(demo: Demo) -> None:
    asked = [question for page in demo.pages for question in page.questions]

    answers = Counter(question.allows for question in asked)

    assert len(demo.read.questions.open()) == answers[None] >= 4
    assert answers[True] >= 4
    assert answers[False] >= 2


def test_every_step_was_taken_and_one_piece_went_to_a_stand_in(demo: Demo) -> None:
    lines = [line for page in demo.pages for line in page.history]

    assert {line.step for line in lines} == set(StepName)
    assert any(line.undoes for line in lines)
    assert any(line.step is StepName.CLAIM and line.facts.get("maker") for line in lines)


def test_a_few_dozen_pieces_have_photos_and_so_has_the_student_who_is_shown(demo: Demo) -> None:
    newest = demo.read.album.newest_of([page.piece.id for page in demo.pages])
    shown = next(one for one in demo.read.people.listed() if one.email == demo.telling.sign_ins[0].email)
    own = demo.read.pieces.of(shown.id)

    assert 24 <= len(newest) <= 60
    assert sum(row.piece.id in newest for row in own) >= 3
    assert demo.store.shelf is not None
    assert all(demo.store.shelf.has(photo.stem) for photo in newest.values())
    assert len({demo.store.shelf.path(photo.stem, Size.LARGE).read_bytes() for photo in newest.values()}) == len(newest)
    assert {page.piece.stage for page in demo.pages if page.piece.id in newest} >= {Stage.QUEUED, Stage.FIRED}


def test_every_glaze_has_test_tiles_in_its_own_color(demo: Demo) -> None:
    glazes = [glaze for glaze in demo.read.catalog().glazes.values() if not glaze.burns_away]
    best = demo.read.tiles.best_for(demo.read.catalog().clay("Lampwick"), Cone.parse("6"))

    assert best.keys() == {glaze.name for glaze in glazes}
    assert all(glaze.surface is not None for glaze in glazes)
    assert demo.store.shelf is not None
    assert all(demo.store.shelf.has(tile.stem) for tile in best.values())
    colors = {name: best[name].color for name in ("Ninth Rain", "Kelp Stair", "Night Ferry", "Fogbell", "Gatehinge")}
    assert list(colors.values()) == [*map(ColorFamily, ("blue", "green", "black", "white", "brown"))]
    assert {name for name, tile in best.items() if tile.clay.name == "Lampwick"} >= colors.keys()
