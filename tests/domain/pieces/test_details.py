"""What is known of a piece may be told again, and history keeps what it was."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.pieces.test_pieces import a_piece
from tests.reading import said
from tracker.domain.pieces.details import Changed, Told, all_changes, changes, set_right
from tracker.domain.pieces.piece import Build, Foot, Stage, Use
from tracker.domain.refusals import NotAStep, Unusable

A_TELLING = st.builds(
    Told,
    use=st.none() | st.sampled_from(Use),
    height_mm=st.none() | st.integers(1, 900),
    weight_g=st.none() | st.integers(1, 9_000),
    vented=st.none() | st.booleans(),
    fragile=st.none() | st.booleans(),
    foot=st.none() | st.sampled_from(Foot),
    catch_plate=st.none() | st.booleans(),
)


def test_every_change_is_said_from_what_to_what() -> None:
    piece = a_piece(Stage.GLAZED, use=Use.FOOD, weight_g=700, foot=Foot.BARE, vented=False)

    after = set_right(piece, Told(use=Use.DECORATIVE, weight_g=720, wall_mm=8, foot=Foot.WIPED, vented=True))

    assert changes(piece, after) == (
        Changed("use", Use.FOOD, Use.DECORATIVE),
        Changed("weight_g", 700, 720),
        Changed("wall_mm", None, 8),
        Changed("vented", was=False, now=True),
        Changed("foot", Foot.BARE, Foot.WIPED),
    )


def test_every_fact_has_its_words() -> None:
    changed = (
        Changed("use", Use.FOOD, Use.DECORATIVE),
        Changed("what", "tall cup", "mug"),
        Changed("clay", "Raw Umber", "Middle Gray"),
        Changed("build", Build.SLAB, Build.THROWN),
        *(Changed(name, None, 8) for name in ("height_mm", "width_mm", "depth_mm", "weight_g", "wall_mm")),
        Changed("vented", was=False, now=True),
        *(Changed(name, was=True, now=False) for name in ("fragile", "burnished", "mended", "nests", "catch_plate")),
        Changed("foot", Foot.BARE, Foot.WIPED),
        Changed("set_name", None, "teapot"),
    )

    assert {one.fact for one in changed} == set(Told.__slots__)
    assert said(all_changes(changed)) == (
        "use from food to decorative, name from “tall cup” to “mug”, clay from Raw Umber to Middle Gray, build from "
        "slab to thrown, height from unknown to 8 mm, width from unknown to 8 "
        "mm, depth from unknown to 8 mm, weight from unknown to 8 g, wall from unknown to 8 "
        "mm, form from closed, no hole to open or with a hole, thin parts from yes to no, "
        "burnished from yes to no, cracked or mended from yes to no, nests in a bisque from "
        "yes to no, kiln cookie from yes to no, foot from not waxed or wiped to wiped, and set from none to "
        "“teapot”"
    )


@given(A_TELLING)
def test_what_is_told_is_known_and_all_else_stays(told: Told) -> None:
    piece = a_piece(Stage.GLAZED, use=Use.FOOD, weight_g=700, foot=Foot.BARE, height_mm=120)
    given_facts = {name: fact for name in Told.__slots__ if (fact := getattr(told, name)) is not None}
    wanted = replace(piece, **given_facts, version=2)

    if replace(wanted, version=1) == piece:
        with pytest.raises(Unusable) as refused:
            set_right(piece, told)
        assert refused.value.code == "nothing-different"
    else:
        assert set_right(piece, told) == wanted


@pytest.mark.parametrize("stage", [Stage.QUEUED, Stage.FIRED, Stage.CLAIMED, Stage.LOST], ids=str)
def test_what_waits_or_was_fired_is_known_as_it_is(stage: Stage) -> None:
    with pytest.raises(NotAStep) as refused:
        set_right(a_piece(stage), Told(fragile=True))

    assert refused.value.code == ("not-a-step-now" if stage is Stage.LOST else "staff-edits-it")


@pytest.mark.parametrize("told", [Told(foot=Foot.WIPED), Told(catch_plate=True)], ids=["foot", "catch plate"])
@pytest.mark.parametrize("stage", [Stage.GREENWARE, Stage.BISQUED, Stage.WAXED], ids=str)
def test_of_bare_ware_neither_a_foot_nor_a_catch_plate_is_told(stage: Stage, told: Told) -> None:
    with pytest.raises(NotAStep) as refused:
        set_right(a_piece(stage), told)

    assert refused.value.code == "foot-of-glazed-ware"
