"""A piece takes the steps of the table and no others."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.house.documents import stage_diagram
from tests.reading import said
from tests.studio import a_clay, a_glaze
from tracker.domain.cones import Cone
from tracker.domain.message import Message
from tracker.domain.pieces.layers_off import WayOff, way_off
from tracker.domain.pieces.piece import LINE, STEPS, Foot, Piece, Stage, StepName
from tracker.domain.refusals import ChangedMeanwhile, NotAStep
from tracker.domain.studio.kilns import KNOWN_ROUTES
from tracker.domain.studio.materials import Coat, Layer, Zone
from tracker.domain.studio.people import Right, Role
from tracker.wording.reader import Reader
from tracker.wording.render import say

COAT = Layer(a_glaze(), Zone.OUTSIDE)

BEFORE_THE_QUEUE = ("bisqued", "waxed", "glazed")
IN_THE_STUDIO = ("greenware", "bisqued", "waxed", "glazed", "queued", "fired")

# The table of steps as the studio keeps it: from → to, written out by hand. Where a step leads back to the stage
# before, each pair stands here as the piece went that way.
TABLE: dict[str, set[tuple[str, str]]] = {
    "register": set(),
    "bisque": {("greenware", "bisqued")},
    "wax": {("bisqued", "waxed")},
    "glaze": {("bisqued", "glazed"), ("waxed", "glazed"), ("glazed", "glazed")},
    "set right": {(stage, stage) for stage in (*IN_THE_STUDIO, "claimed")},
    "queue": {("glazed", "queued"), ("bisqued", "queued"), ("waxed", "queued")},
    "pull back": {("queued", "glazed"), ("queued", "bisqued"), ("queued", "waxed")},
    "shelve": {(stage, stage) for stage in IN_THE_STUDIO},
    "accept": {("queued", "queued"), ("greenware", "greenware")},
    "take out": {(stage, stage) for stage in (*IN_THE_STUDIO, "claimed", "lost")},
    "fire": {("queued", "fired")},
    "claim": {("fired", "claimed"), ("bisqued", "claimed")},
    "wash off": {("glazed", "bisqued")},
    "not waxed": {("waxed", "bisqued")},
    "correct result": set(),
    "merge": {(stage, stage) for stage in (*IN_THE_STUDIO, "claimed")},
    "give": {(stage, stage) for stage in (*IN_THE_STUDIO, "claimed")},
    "take back": {("claimed", "fired"), ("claimed", "bisqued")},
    "decorate": {("greenware", "greenware")},
    "note flaws": {("fired", "fired"), ("claimed", "claimed")},
    "wish": {(stage, stage) for stage in ("bisqued", "waxed", "glazed")},
    "withdraw": {(stage, stage) for stage in ("bisqued", "waxed", "glazed")},
    "fire again": {("fired", "glazed")},
    "lose": {(stage, "lost") for stage in IN_THE_STUDIO},
    "find": {("lost", stage) for stage in ("greenware", "bisqued", "waxed", "glazed", "fired")},
}

# What nobody is told to do instead: it goes with another step, or belongs to one page alone.
NEVER_NAMED = {"accept", "take out", "note flaws", "wish", "withdraw", "take back", "correct result", "give", "merge"}

# Any earlier stage but the queue, which is entered only through its rules.
CORRECTIONS = {
    "greenware": set(),
    "bisqued": {"greenware"},
    "waxed": {"greenware", "bisqued"},
    "glazed": {"greenware", "bisqued", "waxed"},
    "queued": {"greenware", "bisqued", "waxed", "glazed"},
    "fired": {"greenware", "bisqued", "waxed", "glazed"},
    "claimed": {"greenware", "bisqued", "waxed", "glazed", "fired"},
    "lost": set(),
}

# Who may take a step, as the studio's table says: a student on their own pieces, staff, or the instructor alone.
WHO = {
    "register": Right.REGISTER,
    "bisque": Right.FIRE,
    "wax": Right.WORK_ON,
    "glaze": Right.WORK_ON,
    "set right": Right.WORK_ON,
    "queue": Right.MOVE,
    "pull back": Right.MOVE,
    "shelve": Right.MOVE,
    "accept": Right.FIRE,
    "take out": Right.FIRE,
    "fire": Right.FIRE,
    "claim": Right.HAND_OVER,
    "wash off": Right.WORK_ON,
    "not waxed": Right.WORK_ON,
    "take back": Right.HAND_OVER,
    "correct result": Right.FIRE,
    "give": Right.EDIT,
    "merge": Right.EDIT,
    "decorate": Right.WORK_ON,
    "note flaws": Right.WORK_ON,
    "wish": Right.WORK_ON,
    "withdraw": Right.WORK_ON,
    "fire again": Right.CORRECT,
    "lose": Right.WORK_ON,
    "find": Right.WORK_ON,
    "correct": Right.CORRECT,
}

PLAIN_STEPS = [name for name in StepName if name not in {StepName.REGISTER, StepName.CORRECT, StepName.CORRECT_RESULT}]


def a_piece(stage: Stage, **facts: Any) -> Piece:  # noqa: ANN401 -- any fact of a piece
    """A cup where a cup of its stage would be: a queued one came from the shelf of glazed ware, a lost one too."""
    plain: dict[str, Any] = {
        "clay": a_clay(),
        "layers": (COAT,) if stage in {Stage.GLAZED, Stage.QUEUED, Stage.FIRED, Stage.CLAIMED} else (),
        "came_from": Stage.GLAZED if stage in {Stage.QUEUED, Stage.LOST} else None,
        "route": "mid-range" if stage is Stage.QUEUED else None,
        "code": None if stage is Stage.GREENWARE else "K7R43",
    }
    return Piece(id=7, what="tall cup", maker_id=3, stage=stage, **(plain | facts))


def _ways(name: StepName) -> set[tuple[str, str]]:
    """Every way in which step `name` can be taken, tried from every stage and from every stage before it."""
    found = set()
    for stage in Stage:
        backs = [Stage(one) for one in (BEFORE_THE_QUEUE if stage is Stage.QUEUED else IN_THE_STUDIO)]
        for came_from in backs if stage in {Stage.QUEUED, Stage.LOST} else [None]:
            if came_from is Stage.QUEUED:
                continue
            piece = a_piece(stage, came_from=came_from)
            if name is StepName.TAKE_BACK and stage in STEPS[name].start:
                found |= {(str(stage), str(piece.take(name, to=to).stage)) for to in STEPS[StepName.CLAIM].start}
            elif stage in STEPS[name].start and name not in piece.out_of_reach:
                found.add((str(stage), str(piece.take(name).stage)))
    return found


@pytest.mark.parametrize("name", PLAIN_STEPS, ids=str)
def test_a_step_leads_where_the_studios_table_says(name: StepName) -> None:
    assert _ways(name) == TABLE[name]


def test_the_table_has_all_steps_and_each_belongs_to_whom_the_studio_says() -> None:
    assert {str(step.name): step.right for step in STEPS.values()} == WHO
    assert set(WHO) == {*TABLE, "correct"}


@pytest.mark.parametrize("stage", Stage, ids=str)
@pytest.mark.parametrize("name", PLAIN_STEPS, ids=str)
def test_a_step_that_is_not_in_the_table_is_refused_and_says_what_is_possible(stage: Stage, name: StepName) -> None:
    if any(start == stage for start, _ in TABLE[name]):
        return
    piece = a_piece(stage)
    possible = {
        one for one, ways in TABLE.items() if one not in NEVER_NAMED and any(start == stage for start, _ in ways)
    }
    if stage in {Stage.QUEUED, Stage.FIRED, Stage.CLAIMED}:
        # From the queue on only staff edit a piece.
        possible -= {"set right"}

    with pytest.raises(NotAStep) as refusal:
        piece.take(name)

    if name is StepName.WASH_OFF and stage is Stage.GREENWARE:
        assert refusal.value.message.code == "nothing-to-wash-off"
        return
    assert refusal.value.message == Message("not-a-step-now", "", piece=piece.ref, stage=stage, step=name)
    if stage is Stage.LOST:
        assert piece.possible.code == "found-it"
    elif possible:
        assert set(piece.possible["steps"]) == possible  # type: ignore[arg-type]  # the steps are a list
    else:
        assert piece.possible.code == "undo-the-hand-out"
    assert refusal.value.remedy == piece.possible


@pytest.mark.parametrize("to", Stage, ids=str)
@pytest.mark.parametrize("stage", Stage, ids=str)
def test_a_correction_leads_to_any_earlier_stage_and_never_to_a_queue_nor_forward(stage: Stage, to: Stage) -> None:
    piece = a_piece(stage)

    if to in CORRECTIONS[stage]:
        assert piece.take(StepName.CORRECT, to=to).stage is to
    else:
        with pytest.raises(NotAStep) as refusal:
            piece.take(StepName.CORRECT, to=to)
        assert refusal.value.message["piece"] == piece.ref


def test_a_refused_correction_says_where_the_piece_can_go_back_to() -> None:
    piece = a_piece(Stage.FIRED)

    with pytest.raises(NotAStep) as refusal:
        piece.take(StepName.CORRECT, to=Stage.QUEUED)

    assert said(refusal.value.message) == "K7R43 is fired: a correction can't make it queued."
    assert said(refusal.value.remedy) == (
        "You can correct it to greenware, bisqued, waxed, or glazed. To queue it, use “Scan and move”."
    )


def test_nobody_is_told_to_ask_staff_who_undoes_a_hand_out_themselves() -> None:
    words = a_piece(Stage.CLAIMED).possible

    asks = {role: "Ask staff" in say(words, Reader(role=role)) for role in Role}

    assert {role for role, is_told in asks.items() if not is_told} == {Role.STAFF, Role.INSTRUCTOR}


def test_the_stages_stand_in_their_order_and_lost_beside_them() -> None:
    words = [str(stage) for stage in LINE]

    assert words == ["greenware", "bisqued", "waxed", "glazed", "queued", "fired", "claimed"]
    assert set(Stage) - set(LINE) == {Stage.LOST}


@pytest.mark.parametrize(
    ("name", "stage"),
    [
        pytest.param(StepName.WAX, Stage.BISQUED, id="wax"),
        *(pytest.param(StepName.QUEUE, Stage(one), id=f"queue {one}") for one in BEFORE_THE_QUEUE),
        *(pytest.param(StepName.LOSE, Stage(one), id=f"lose {one}") for one in IN_THE_STUDIO if one != "queued"),
        pytest.param(StepName.FIND, Stage.LOST, id="find"),
        pytest.param(StepName.PULL_BACK, Stage.QUEUED, id="pull back"),
    ],
)
def test_a_step_and_the_step_that_undoes_it_leave_the_piece_as_it_was(name: StepName, stage: Stage) -> None:
    piece, inverse = a_piece(stage), STEPS[name].undone_by
    assert inverse is not None

    there = piece.take(name)
    back = replace(there, route=piece.route).take(inverse) if name is StepName.PULL_BACK else there.take(inverse)

    assert replace(back, version=piece.version, route=piece.route) == piece
    assert back.version == piece.version + 2


@pytest.mark.parametrize("route", ["mid-range", None])
def test_a_piece_lost_out_of_a_queue_is_found_on_the_shelf_and_not_in_the_queue(route: str | None) -> None:
    piece = a_piece(Stage.QUEUED, route=route)

    lost = piece.take(StepName.LOSE)
    found = lost.take(StepName.FIND)

    assert (lost.stage, lost.route) == (Stage.LOST, None)
    assert (found.stage, found.route) == (Stage.GLAZED, None)


@pytest.mark.parametrize("name", [StepName.PULL_BACK, StepName.FIRE, StepName.LOSE], ids=str)
def test_a_piece_that_leaves_a_queue_waits_for_no_route(name: StepName) -> None:
    assert a_piece(Stage.QUEUED).take(name).route is None


def test_washing_off_takes_every_raw_layer_and_firing_again_keeps_them() -> None:
    washed = a_piece(Stage.GLAZED, catch_plate=True).take(StepName.WASH_OFF)
    again = a_piece(Stage.FIRED).take(StepName.FIRE_AGAIN)

    assert (washed.layers, washed.catch_plate, washed.version) == ((), False, 2)
    assert again.layers == (COAT,)


def test_dry_wax_and_fired_glaze_stay_when_the_rest_is_washed_off() -> None:
    wax = Layer(a_glaze("Line wax", coat=Coat.WAX), Zone.OUTSIDE)
    fired = COAT.fired(Cone.parse("6"))

    waxed = a_piece(Stage.GLAZED, layers=(wax, COAT), foot=Foot.WAXED).take(StepName.WASH_OFF)
    refired = a_piece(Stage.GLAZED, layers=(fired, COAT)).take(StepName.WASH_OFF)

    assert (waxed.stage, waxed.layers, waxed.foot) == (Stage.WAXED, (wax,), Foot.WAXED)
    assert (refired.stage, refired.layers) == (Stage.GLAZED, (fired,))
    for piece in (waxed, refired):
        with pytest.raises(NotAStep):
            replace(piece, stage=Stage.GLAZED).take(StepName.WASH_OFF)


def test_dry_wax_comes_off_the_record_only_of_what_was_never_waxed() -> None:
    wax = Layer(a_glaze("Line wax", coat=Coat.WAX), Zone.OUTSIDE)

    queued = a_piece(Stage.GLAZED, layers=(COAT, wax)).take(StepName.QUEUE)
    never = a_piece(Stage.WAXED, layers=(wax,)).take(StepName.NOT_WAXED)

    assert (queued.layers, never.layers) == ((COAT, wax), ())


def test_slip_on_greenware_washes_off_and_stays_once_it_is_fired() -> None:
    slip = Layer(a_glaze("Chalk", coat=Coat.SLIP), Zone.OUTSIDE)
    green = a_piece(Stage.GREENWARE, layers=(slip,))

    bisqued = green.take(StepName.BISQUE).fired(Cone.parse("06"))

    assert (green.take(StepName.WASH_OFF).stage, green.take(StepName.WASH_OFF).layers) == (Stage.GREENWARE, ())
    assert (bisqued.layers, bisqued.fired_to) == ((slip.fired(Cone.parse("06")),), Cone.parse("06"))
    assert StepName.WASH_OFF in bisqued.out_of_reach


def test_raw_clay_is_never_rinsed_and_an_overglaze_takes_its_own_solvent() -> None:
    """Common practice: unfired clay slakes in water, and the resins of lusters don't dissolve in it."""
    slip = Layer(a_glaze("Chalk", coat=Coat.SLIP), Zone.OUTSIDE)
    luster = Layer(a_glaze("Gilt", coat=Coat.OVERGLAZE), Zone.LIP)

    ways = {
        "slip on greenware": way_off(a_piece(Stage.GREENWARE, layers=(slip,))),
        "raw glaze": way_off(a_piece(Stage.GLAZED, layers=(COAT,))),
        "raw luster": way_off(a_piece(Stage.GLAZED, layers=(COAT.fired(Cone.parse("6")), luster))),
        "fired luster": way_off(a_piece(Stage.GLAZED, layers=(luster.fired(Cone.parse("018")), COAT))),
    }

    assert ways == {
        "slip on greenware": WayOff.SCRAPED,
        "raw glaze": WayOff.RINSED,
        "raw luster": WayOff.DISSOLVED,
        "fired luster": WayOff.RINSED,
    }


def test_greenware_waits_only_to_be_fired_once_and_with_its_glaze_on() -> None:
    once, bare, glazed = KNOWN_ROUTES["once-fire"], a_piece(Stage.GREENWARE), a_piece(Stage.GREENWARE, layers=(COAT,))

    assert not bare.may_wait_for(once)
    assert {name for name, route in KNOWN_ROUTES.items() if glazed.may_wait_for(route)} == {"once-fire"}
    assert glazed.take(StepName.QUEUE).came_from is Stage.GREENWARE


def test_bare_ware_waits_where_smoke_or_vapor_marks_it_and_glazed_ware_where_glaze_melts() -> None:
    bare, glazed = a_piece(Stage.BISQUED), a_piece(Stage.GLAZED)

    assert {name for name, route in KNOWN_ROUTES.items() if bare.may_wait_for(route)} == {
        *("horsehair", "pit", "soda", "wood"),
    }
    assert {name for name, route in KNOWN_ROUTES.items() if glazed.may_wait_for(route)} == {
        *("low-fire", "mid-range", "high-fire", "raku", "soda", "wood"),
    }


def test_a_refire_keeps_the_hottest_cone_of_clay_and_layers() -> None:
    first = a_piece(Stage.QUEUED).take(StepName.FIRE).fired(Cone.parse("6"))

    again = first.fired(Cone.parse("018"))

    assert again.fired_to == Cone.parse("6")
    assert [layer.fired_to for layer in again.layers] == [Cone.parse("6")]


@pytest.mark.parametrize("to", ["greenware", "bisqued", "waxed"])
def test_a_correction_to_before_the_glaze_takes_the_layers_and_the_firing_with_it(to: str) -> None:
    piece = a_piece(Stage.FIRED, fired_to=Cone.parse("6"), foot=Foot.WAXED, catch_plate=True)

    corrected = piece.take(StepName.CORRECT, to=Stage(to))

    assert (corrected.layers, corrected.fired_to) == ((), None)
    assert corrected.catch_plate is False


def test_what_nobody_told_of_a_piece_is_not_so() -> None:
    piece = Piece(clay=a_clay(), id=7, what="tall cup", maker_id=1, stage=Stage.GREENWARE)

    assert piece.version == 1
    assert [piece.fragile, piece.mended, piece.catch_plate, piece.nests, piece.has_question, piece.supervised] == (
        [False] * 6
    )


def test_a_piece_handed_to_the_wrong_person_comes_back_as_fired_as_it_was() -> None:
    piece = a_piece(Stage.CLAIMED, fired_to=Cone.parse("6"))

    corrected = piece.take(StepName.CORRECT, to=Stage.FIRED)

    assert (corrected.layers, corrected.fired_to) == ((COAT,), Cone.parse("6"))


@given(st.lists(st.sampled_from(PLAIN_STEPS), max_size=25))
def test_any_walk_stays_in_the_table_and_counts_its_steps(walk: list[StepName]) -> None:
    piece, taken = a_piece(Stage.GREENWARE), 0

    for name in walk:
        before = piece
        try:
            piece = piece.take(name)
        except NotAStep:
            assert name in before.out_of_reach or not any(start == before.stage for start, _ in TABLE[name])
            continue
        taken += 1
        assert (str(before.stage), str(piece.stage)) in TABLE[name]

    assert piece.version == 1 + taken


def test_a_piece_is_called_by_its_code_and_before_the_bisque_by_its_slip() -> None:
    assert a_piece(Stage.GREENWARE).ref == "W7"
    assert a_piece(Stage.BISQUED).ref == "K7R43"


def test_a_piece_that_changed_meanwhile_is_not_decided_upon() -> None:
    piece = a_piece(Stage.GLAZED, version=4)

    piece.must_be_as_seen(4)
    piece.must_be_as_seen(None)

    with pytest.raises(ChangedMeanwhile) as refusal:
        piece.must_be_as_seen(3)

    assert refusal.value.message == Message("piece-changed", "", piece="K7R43", stage=Stage.GLAZED)


def test_a_piece_stands_no_more_heat_than_the_weakest_thing_on_it() -> None:
    clay = a_clay(cone_low="5", cone_high="6", slumps_above="8")
    bare = a_piece(Stage.BISQUED, clay=clay)

    worn = bare.wearing(Layer(a_glaze(cone_low="4", cone_high="5.5"), Zone.LIP))

    assert bare.ceiling == Cone.parse("8")
    assert worn.ceiling == Cone.parse("5.5")
    assert worn.worn_names == ("Still Water",)


@pytest.mark.parametrize(
    ("measures", "largest", "measured"),
    [((120, 80, 81), 120, True), ((80, 81, 120), 120, True), ((None, 90, 80), 90, False), ((None,) * 3, None, False)],
)
def test_a_piece_is_as_large_as_its_largest_known_measure(
    measures: tuple[int | None, ...], largest: int | None, *, measured: bool
) -> None:
    height, width, depth = measures

    piece = a_piece(Stage.BISQUED, height_mm=height, width_mm=width, depth_mm=depth)

    assert (piece.largest_mm, piece.is_measured) == (largest, measured)


def test_the_diagram_draws_every_way_that_leads_to_one_stage() -> None:
    arrows = {line.strip() for line in stage_diagram().splitlines() if "-->" in line}

    led_back = {
        "pull back",
        "find",
        "correct",
        "register",
        "set right",
        "shelve",
        "accept",
        "take out",
        "decorate",
        "note flaws",
        "wish",
        "withdraw",
    }
    led_back |= {"wash off", "take back", "give", "merge"}
    by_hand = {(start, to) for name, ways in TABLE.items() if name not in led_back for start, to in ways}
    by_hand |= {("greenware", "queued")}

    assert {tuple(arrow.split(":")[0].split(" --> ")) for arrow in arrows} == by_hand | {("[*]", "greenware")}
