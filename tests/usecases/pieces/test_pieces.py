"""What people do with a piece: each step's answer, and each way it is refused."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from tests.reading import said
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, fired, glazed, queued, started, the_piece
from tests.studio import NOON, a_new_piece, a_route
from tracker.domain.cones import Cone
from tracker.domain.findings import NeedsAcceptance, NeedsInstructor, Unfit
from tracker.domain.outdoor.pull_heats import with_heat
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.piece import Build, Foot, Stage, StepName, Use
from tracker.domain.refusals import NotAllowed, NotAStep, Refusal, Unknown, Unusable
from tracker.domain.studio.materials import Zone
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import found_again, pickup, pieces, undoing


def history(store: Store, ref: str) -> list[tuple[StepName, Stage | None, Stage]]:
    """The steps of a piece as they stand on record."""
    return [(row.step, row.start, row.to) for row in store.read.pieces.page(the_piece(store, ref).id).history]


# ---- registering


def test_a_student_registers_a_pot_and_gets_a_slip(store: Store) -> None:
    receipt = pieces.register(store, asked_by(MIRA), a_new_piece())

    assert receipt.ref == "W1"
    assert said(receipt.message) == "W1, tall cup: registered."
    assert the_piece(store, "W1").code is None
    assert history(store, "W1") == [(StepName.REGISTER, None, Stage.GREENWARE)]


def test_ware_that_arrives_bisqued_gets_its_code_at_once(store: Store) -> None:
    receipt = pieces.register(store, asked_by(MIRA), a_new_piece(arrives_bisqued=True))

    piece = the_piece(store, receipt.ref)
    assert piece.code == receipt.ref
    assert piece.stage is Stage.BISQUED


def test_staff_register_a_pot_for_its_maker(store: Store) -> None:
    receipt = pieces.register(store, asked_by(TOM), a_new_piece(maker_id=INES.id))

    assert the_piece(store, receipt.ref).maker_id == INES.id


@pytest.mark.parametrize(
    ("facts", "refusal", "says"),
    [
        pytest.param({"maker_id": 3}, NotAllowed, "not-allowed.*right=move", id="for somebody else"),
        pytest.param(
            {"clay": "Doorstep Bufff"}, Unknown, "no-such-thing.*name=Doorstep Bufff", id="a clay there is not"
        ),
    ],
)
def test_a_pot_is_not_registered(store: Store, facts: dict[str, Any], refusal: type[Refusal], says: str) -> None:
    with pytest.raises(refusal, match=says):
        pieces.register(store, asked_by(MIRA), a_new_piece(**facts))

    assert store.read.pieces.of(MIRA.id) == ()


def test_a_pot_of_nobody_is_not_registered(store: Store) -> None:
    with pytest.raises(Unknown, match="nobody-of-that-number"):
        pieces.register(store, asked_by(TOM), a_new_piece(maker_id=2**40))


def test_a_new_piece_hears_where_it_could_be_fired(store: Store) -> None:
    cup = a_new_piece(use=Use.FOOD)

    words = {route.name: verdict.word for route, verdict in pieces.prospects(store.read.catalog(), cup)}

    assert words == {
        "horsehair": "refuse",
        "raku": "refuse",
        "low-fire": "refuse",
        "mid-range": "clear",
        "high-fire": "clear",
    }


# ---- wax and glaze


def test_a_student_waxes_a_pot_of_their_own_and_takes_that_back(store: Store) -> None:
    ref = bisqued(store)

    waxed = pieces.wax(store, asked_by(MIRA), ref, place="shelf 4")
    taken_back = pieces.not_waxed(store, asked_by(MIRA), ref)

    assert said(waxed.message) == f"{ref}, tall cup: waxed."
    assert said(taken_back.message) == f"{ref}, tall cup: marked as not waxed. It's back to bisqued."
    assert the_piece(store, ref).place == "shelf 4"


def test_dry_wax_does_not_wash_off(store: Store) -> None:
    ref = bisqued(store)
    pieces.wax(store, asked_by(MIRA), ref)
    pieces.glaze(store, asked_by(MIRA), ref, "Still Water", Zone.OUTSIDE)

    washed = pieces.wash_off(store, asked_by(MIRA), ref)

    assert said(washed.message) == f"{ref}, tall cup: raw layers taken off. Stage: waxed."
    assert the_piece(store, ref).foot is Foot.WAXED
    with pytest.raises(NotAStep):
        pieces.wash_off(store, asked_by(MIRA), ref)


def test_a_second_layer_goes_on_top_of_the_first(store: Store) -> None:
    ref = bisqued(store)
    pieces.glaze(store, asked_by(MIRA), ref, "Still Water", Zone.OUTSIDE)

    pieces.glaze(store, asked_by(MIRA), ref, "Attic Window", Zone.LIP)

    piece = the_piece(store, ref)
    assert [(layer.glaze.name, layer.zone) for layer in piece.layers] == [
        ("Still Water", Zone.OUTSIDE),
        ("Attic Window", Zone.LIP),
    ]
    assert piece.ceiling == Cone.parse("6")


_RED_CUP = {"clay": "Roof Tile Red", "use": Use.FOOD}


@pytest.mark.parametrize(
    ("worn", "glaze", "facts", "rule"),
    [
        pytest.param(["Plum Gloss"], "Iron Gate", {}, "layers-share-no-heat", id="layers that share no heat"),
        pytest.param([], "Gilt Edge", {"use": Use.FOOD}, "decorative-glaze-for-food", id="a decorative glaze for food"),
        pytest.param(
            [], "Ember Luster", {"use": Use.FOOD}, "decorative-glaze-for-food", id="an outdoor glaze for food"
        ),
        pytest.param([], "Still Water", _RED_CUP, "no-route-left", id="a glaze for which no kiln is left"),
    ],
)
def test_a_glaze_is_refused_before_it_goes_on(
    store: Store, worn: list[str], glaze: str, facts: dict[str, Any], rule: str
) -> None:
    ref = glazed(store, *worn, new=a_new_piece(**facts)) if worn else bisqued(store, a_new_piece(**facts))
    before = the_piece(store, ref)

    with pytest.raises(Unfit) as refused:
        pieces.glaze(store, asked_by(MIRA), ref, glaze, Zone.INSIDE)

    assert rule in [one.rule for one in refused.value.findings]
    assert the_piece(store, ref) == before


def test_a_glaze_that_there_is_not_is_answered_with_the_nearest(store: Store) -> None:
    ref = bisqued(store)

    with pytest.raises(Unknown) as refused:
        pieces.glaze(store, asked_by(MIRA), ref, "plum glos", Zone.INSIDE)

    assert said(refused.value.remedy) == "Did you mean Plum Gloss?"


# ---- the queue


def test_a_glazed_pot_waits_for_its_kiln(store: Store) -> None:
    ref = glazed(store)

    receipt = pieces.queue(store, asked_by(TOM), ref, "mid-range")

    assert receipt.message["firing"] == with_heat(a_route(), COMMON_PRACTICE.outdoors)
    (row,) = store.read.pieces.waiting()
    assert (row.ref, row.piece.route, row.waiting_since) == (ref, "mid-range", NOON)


def test_a_pot_pulled_back_stands_where_it_stood(store: Store) -> None:
    ref = queued(store)

    pieces.pull_back(store, asked_by(TOM), ref)

    piece = the_piece(store, ref)
    assert (piece.stage, piece.route, piece.came_from) == (Stage.GLAZED, None, None)
    assert store.read.pieces.waiting() == ()


MELTS, SLUMPS, OUTDOOR = "glaze-melts-off", "clay-slumps", "outdoor-glaze-indoors"
CUP = {"use": Use.FOOD}


@pytest.mark.parametrize(
    ("glaze", "route", "facts", "rule"),
    [
        pytest.param("Plum Gloss", "high-fire", {}, MELTS, id="a low-fire glaze for high fire"),
        pytest.param("Plum Gloss", "mid-range", {}, MELTS, id="a low-fire glaze for mid-range"),
        pytest.param("Ember Luster", "low-fire", {}, OUTDOOR, id="an outdoor glaze indoors"),
        pytest.param("Plum Gloss", "high-fire", {"clay": "Roof Tile Red"}, SLUMPS, id="a clay that slumps"),
        pytest.param("Plum Gloss", "horsehair", {}, "glaze-on-horsehair", id="glaze for horsehair"),
        pytest.param("Still Water", "low-fire", CUP, "clay-porous-for-food", id="clay too porous for food"),
        pytest.param("Still Water", "raku", CUP, "outdoors-for-food", id="raku for food"),
    ],
)
def test_a_piece_never_waits_for_the_wrong_kiln(
    store: Store, glaze: str, route: str, facts: dict[str, Any], rule: str
) -> None:
    ref = glazed(store, glaze, new=a_new_piece(**facts))

    with pytest.raises(Unfit) as refused:
        pieces.queue(store, asked_by(ADA), ref, route, accepts={rule})

    assert rule in [one.rule for one in refused.value.findings]
    assert the_piece(store, ref).stage is Stage.GLAZED
    assert store.read.pieces.waiting() == ()


def test_a_warning_is_accepted_by_its_name_and_goes_on_record(store: Store) -> None:
    ref = glazed(store, "Ember Luster", new=a_new_piece(clay="Lantern White", build=Build.SLAB, fragile=True))
    with pytest.raises(NeedsAcceptance) as refused:
        pieces.queue(store, asked_by(TOM), ref, "raku", accepts={"fragile-outdoors"})

    pieces.queue(store, asked_by(TOM), ref, "raku", accepts={"fragile-outdoors", "porcelain-outdoors", "made-up"})

    assert [one.rule for one in refused.value.findings] == ["porcelain-outdoors"]
    (row,) = store.read.pieces.waiting()
    assert set(row.accepted) == {"fragile-outdoors", "porcelain-outdoors"}
    last = store.read.pieces.page(row.piece.id).history[-1]
    assert set(last.accepted) == {"fragile-outdoors", "porcelain-outdoors"}


def test_what_the_rules_leave_to_the_instructor_waits_for_an_answer(store: Store) -> None:
    ref = glazed(store, "Plum Gloss")

    with pytest.raises(NeedsInstructor) as refused:
        pieces.queue(store, asked_by(TOM), ref, "raku", accepts={"indoor-glaze-in-raku"})

    assert [one.rule for one in refused.value.findings] == ["indoor-glaze-in-raku"]


def test_there_is_no_queue_for_bisque_nor_for_bare_ware_where_glaze_belongs(store: Store) -> None:
    ref = bisqued(store)

    with pytest.raises(NotAStep, match="no-queue-for-bisque"):
        pieces.queue(store, asked_by(TOM), ref, "bisque")
    with pytest.raises(NotAStep, match="wears-no-glaze"):
        pieces.queue(store, asked_by(TOM), ref, "raku")
    with pytest.raises(Unknown, match=r"no-such-thing.*name=rakku"):
        pieces.queue(store, asked_by(TOM), ref, "rakku")


def test_bare_burnished_ware_waits_for_horsehair(store: Store) -> None:
    ref = bisqued(store, a_new_piece(clay="Gravel Walk", burnished=True))

    pieces.queue(store, asked_by(TOM), ref, "horsehair")

    assert the_piece(store, ref).route == "horsehair"


# ---- lost, found, fired again, corrected


def test_its_maker_says_that_a_piece_broke_or_turned_up_and_nobody_elses(store: Store) -> None:
    ref = glazed(store)

    pieces.lose(store, asked_by(MIRA), ref, "broken")
    lost = the_piece(store, ref).stage
    with pytest.raises(Unknown):
        found_again.find(store, asked_by(INES), ref)
    found_again.find(store, asked_by(MIRA), ref)

    assert (lost, the_piece(store, ref).stage) == (Stage.LOST, Stage.GLAZED)


def test_a_lost_pot_has_a_cause_and_turns_up_again_where_it_stood(store: Store) -> None:
    ref = glazed(store)

    lost = pieces.lose(store, asked_by(TOM), ref, "missing since Monday")
    found = found_again.find(store, asked_by(TOM), ref)

    assert said(lost.message) == f"{ref}, tall cup: missing since Monday."
    assert said(found.message) == f"{ref}, tall cup: found. It's back to glazed."


def test_a_fired_pot_goes_back_for_another_firing_by_the_instructor_with_a_reason(store: Store) -> None:
    ref = fired(store)
    with pytest.raises(NotAllowed):
        pieces.fire_again(store, asked_by(TOM), ref, "crawled")
    with pytest.raises(Unusable, match="say-why"):
        pieces.fire_again(store, asked_by(ADA), ref, "")

    pieces.fire_again(store, asked_by(ADA), ref, "crawled at the foot")

    piece = the_piece(store, ref)
    assert (piece.stage, piece.fired_to) == (Stage.GLAZED, Cone.parse("6"))


def test_the_instructor_corrects_a_stage_and_nobody_else(store: Store) -> None:
    ref = glazed(store)
    with pytest.raises(NotAllowed):
        pieces.correct(store, asked_by(TOM), ref, Stage.BISQUED, "scanned the wrong tag")

    pieces.correct(store, asked_by(ADA), ref, Stage.BISQUED, "scanned the wrong tag")

    piece = the_piece(store, ref)
    assert (piece.stage, piece.layers) == (Stage.BISQUED, ())
    assert store.read.pieces.page(piece.id).history[-1].reason == "scanned the wrong tag"


@pytest.mark.parametrize("to", [Stage.QUEUED, Stage.CLAIMED, Stage.GLAZED, Stage.LOST])
def test_a_correction_never_goes_forward_nor_into_a_queue(store: Store, to: Stage) -> None:
    ref = glazed(store)

    with pytest.raises(NotAStep, match=f"not-earlier.*wanted={to}"):
        pieces.correct(store, asked_by(ADA), ref, to, "because I say so")


def test_a_pot_that_was_claimed_by_mistake_is_fired_again_with_all_that_is_known_of_it(store: Store) -> None:
    ref = fired(store)
    pickup.hand_over(store, asked_by(TOM), ref)

    pieces.correct(store, asked_by(ADA), ref, Stage.FIRED, "it still stands here")

    piece = the_piece(store, ref)
    assert (piece.stage, piece.fired_to, piece.worn_names) == (Stage.FIRED, Cone.parse("6"), ("Still Water",))


# ---- what is not possible, and who may not


@pytest.mark.parametrize(
    ("step", "says"),
    [
        pytest.param(lambda s, r: pieces.wax(s, asked_by(TOM), r), "not-a-step-now.*step=wax", id="wax"),
        pytest.param(lambda s, r: found_again.find(s, asked_by(TOM), r), "not-a-step-now.*step=find", id="find"),
        pytest.param(lambda s, r: pieces.queue(s, asked_by(TOM), r, "raku"), "not-a-step-now.*step=queue", id="queue"),
        pytest.param(
            lambda s, r: pieces.glaze(s, asked_by(TOM), r, "Plum Gloss", Zone.LIP),
            "not-on-greenware",
            id="glaze",
        ),
        pytest.param(
            lambda s, r: pieces.pull_back(s, asked_by(TOM), r),
            "not-a-step-now.*step=pull back",
            id="pull back",
        ),
        pytest.param(
            lambda s, r: pieces.fire_again(s, asked_by(ADA), r, "x y"),
            "not-a-step-now.*step=fire again",
            id="fire again",
        ),
    ],
)
def test_a_step_that_does_not_start_here_says_what_is_possible(
    store: Store, step: Callable[[Store, str], Receipt], says: str
) -> None:
    ref = pieces.register(store, asked_by(MIRA), a_new_piece()).ref

    with pytest.raises(NotAStep, match=says) as refused:
        step(store, ref)

    if refused.value.message.code == "not-a-step-now":
        assert refused.value.remedy is not None
        assert dict(refused.value.remedy.facts)["next"] == StepName.BISQUE
    assert the_piece(store, ref).version == 1


def test_a_student_sees_and_changes_no_piece_of_another(store: Store) -> None:
    ref = bisqued(store)

    for step in (pieces.wax, pieces.wash_off):
        with pytest.raises(Unknown, match=f"none-of-yours.*{ref}"):
            step(store, asked_by(INES), ref)

    assert the_piece(store, ref).stage is Stage.BISQUED


@pytest.mark.parametrize(
    "step",
    [
        pytest.param(lambda s, r: pieces.queue(s, asked_by(MIRA), r, "mid-range"), id="queue"),
        pytest.param(lambda s, r: pieces.pull_back(s, asked_by(MIRA), r), id="pull back"),
        pytest.param(lambda s, r: pieces.correct(s, asked_by(MIRA), r, Stage.BISQUED, "oh"), id="correct"),
    ],
)
def test_a_student_may_not_move_pieces(store: Store, step: Callable[[Store, str], Receipt]) -> None:
    ref = glazed(store)

    with pytest.raises(NotAllowed, match="not-allowed"):
        step(store, ref)


def test_a_piece_in_a_kiln_moves_only_out_of_the_kiln(store: Store) -> None:
    ref, firing = queued(store), started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)

    stands = f"piece-in-a-kiln.*firing={firing}"
    with pytest.raises(NotAStep, match=stands):
        pieces.pull_back(store, asked_by(TOM), ref)
    with pytest.raises(NotAStep, match=stands):
        pieces.lose(store, asked_by(TOM), ref, "broken")
    with pytest.raises(NotAStep, match=stands):
        pieces.correct(store, asked_by(ADA), ref, Stage.BISQUED, "wrong pot")


# ---- finding a piece from what somebody typed


@pytest.mark.parametrize("typed", [str.lower, " {} ".format, "{0[0]}{0[1]}-{0[2]} {0[3]}{0[4]}".format])
def test_what_a_hand_typed_is_forgiven(store: Store, typed: Callable[[str], str]) -> None:
    ref = bisqued(store)

    assert pieces.wax(store, asked_by(TOM), typed(ref)).ref == ref


def test_a_wrong_code_is_answered_with_the_likely_piece(store: Store) -> None:
    ref = bisqued(store, a_new_piece("moon vase"))
    wrong = ref[:-1] + ("2" if ref[-1] != "2" else "3")

    with pytest.raises(Unknown, match=f"not-a-code.*{wrong}") as refused:
        pieces.wax(store, asked_by(TOM), wrong)

    assert f"{ref}, the moon vase by Mira T." in said(refused.value.remedy)


def test_a_student_is_not_told_of_other_peoples_pieces(store: Store) -> None:
    ref = bisqued(store)
    wrong = ref[:-1] + ("2" if ref[-1] != "2" else "3")

    with pytest.raises(Unknown) as refused:
        pieces.wax(store, asked_by(INES), wrong)

    assert ref not in said(refused.value.remedy)


@pytest.mark.parametrize("typed", ["W999999999", "W1", "22222", "", "   ", "Q" * 500, "💧", "'; DROP TABLE pieces"])
def test_what_is_no_piece_is_said_to_be_none(store: Store, typed: str) -> None:
    with pytest.raises(Unknown):
        pieces.wax(store, asked_by(TOM), typed)


# ---- taking a slip back


def test_each_slip_of_the_scanner_is_taken_back(store: Store) -> None:
    ref = bisqued(store)

    def undone(receipt: Receipt) -> Stage:
        undoing.undo(store, asked_by(TOM), receipt.line or 0)
        return the_piece(store, ref).stage

    assert undone(pieces.wax(store, asked_by(TOM), ref)) is Stage.BISQUED
    pieces.wax(store, asked_by(TOM), ref)
    assert undone(pieces.glaze(store, asked_by(TOM), ref, "Still Water", Zone.LIP)) is Stage.WAXED
    pieces.glaze(store, asked_by(TOM), ref, "Still Water", Zone.LIP)
    assert undone(pieces.queue(store, asked_by(TOM), ref, "mid-range")) is Stage.GLAZED
    pieces.queue(store, asked_by(TOM), ref, "mid-range")
    assert undone(pieces.pull_back(store, asked_by(TOM), ref)) is Stage.QUEUED
    assert undone(pieces.lose(store, asked_by(TOM), ref, "dropped")) is Stage.QUEUED
    pieces.lose(store, asked_by(TOM), ref, "dropped")
    assert undone(found_again.find(store, asked_by(TOM), ref)) is Stage.LOST


def test_taking_back_the_second_layer_leaves_the_first(store: Store) -> None:
    ref = glazed(store, "Still Water")
    second = pieces.glaze(store, asked_by(TOM), ref, "Attic Window", Zone.LIP)

    receipt = undoing.undo(store, asked_by(TOM), second.line or 0)

    assert said(receipt.message) == f"{ref}, tall cup: last layer taken off. It's back to glazed."
    assert the_piece(store, ref).worn_names == ("Still Water",)


def test_taking_back_a_pull_gives_the_piece_its_old_place_and_what_was_accepted(store: Store) -> None:
    ref = glazed(store, "Ember Luster", new=a_new_piece(fragile=True))
    pieces.queue(store, asked_by(TOM), ref, "raku", accepts={"fragile-outdoors"})
    pulled = pieces.pull_back(store, asked_by(TOM, NOON + timedelta(days=3)), ref)

    undoing.undo(store, asked_by(TOM, NOON + timedelta(days=3)), pulled.line or 0)

    (row,) = store.read.pieces.waiting()
    assert (row.waiting_since, row.accepted) == (NOON, ("fragile-outdoors",))


def test_only_ones_own_last_step_is_taken_back(store: Store) -> None:
    ref = bisqued(store)
    waxed = pieces.wax(store, asked_by(TOM), ref)

    with pytest.raises(NotAllowed, match="somebody-elses-step"):
        undoing.undo(store, asked_by(ADA), waxed.line or 0)
    pieces.lose(store, asked_by(TOM), ref, "dropped")
    with pytest.raises(NotAStep, match="moved-on"):
        undoing.undo(store, asked_by(TOM), waxed.line or 0)
    with pytest.raises(Unknown, match="no-such-line"):
        undoing.undo(store, asked_by(TOM), 10**30)


def test_what_cannot_be_taken_back_says_so(store: Store) -> None:
    receipt = pieces.register(store, asked_by(MIRA), a_new_piece())

    with pytest.raises(NotAStep, match="not-taken-back"):
        undoing.undo(store, asked_by(MIRA), receipt.line or 0)
