"""Sizes that make no sense are asked about, and sizes that do are not."""

from __future__ import annotations

import pytest

from tracker.domain.pieces.usual_forms import USUAL_FORMS
from tracker.domain.quantities import Units
from tracker.forms.lengths import read_length
from tracker.forms.pieces.size_doubts import LID, SIDES, far_out, size_doubt, size_question

METRIC, US = Units.METRIC, Units.US
A_MUG = {"height": 100, "width": 125, "depth": 90}


@pytest.mark.parametrize(
    ("texts", "units", "usual", "sides", "meant"),
    [
        pytest.param(("3", "2 1/2 in", ""), METRIC, {}, ("height",), "in", id="a number beside inches"),
        pytest.param(("12", "9", "9"), METRIC, {}, SIDES, "cm", id="a cup as small as a thimble"),
        pytest.param(("4", "5", ""), METRIC, A_MUG, ("height", "width"), "in", id="a mug in inches"),
        pytest.param(("10", "12", ""), METRIC, A_MUG, ("height", "width"), "cm", id="a mug in centimeters"),
        pytest.param(("100", "90", "90"), US, {}, SIDES, "mm", id="a cup as high as a door"),
    ],
)
def test_a_size_that_makes_no_sense_is_asked_about(
    texts: tuple[str, ...], units: Units, usual: dict[str, int], sides: tuple[str, ...], meant: str
) -> None:
    sent = dict(zip(SIDES, texts, strict=True))

    doubt = size_doubt(sent, units, usual)

    assert doubt is not None
    assert (doubt.sides, doubt.meant) == (sides, meant)
    for unit in (doubt.meant, doubt.typed):
        assert size_doubt(sent | doubt.settled(sent, unit), units, usual) is None, "an answer is taken at its word"


@pytest.mark.parametrize(
    ("texts", "units"),
    [
        pytest.param(("168", "2 1/2 in", ""), METRIC, id="millimeters beside inches"),
        pytest.param(("8", "150", "150"), METRIC, id="a thin tile"),
        pytest.param(("3 mm", "2 1/2 in", ""), METRIC, id="with its unit"),
        pytest.param(("4", "3 1/2", ""), US, id="a cup in inches"),
        pytest.param(("tall", "", ""), METRIC, id="no length at all"),
    ],
)
def test_a_size_that_makes_sense_is_not_asked_about(texts: tuple[str, ...], units: Units) -> None:
    assert size_question(dict(zip(SIDES, texts, strict=True)), units, {}) is None


@pytest.mark.parametrize(
    ("texts", "units", "usual", "sides"),
    [
        pytest.param(("0.3", "0.2", ""), US, {}, ("height", "width"), id="a pot smaller than a bead"),
        pytest.param(("8 mm", "5 mm", "5 mm"), METRIC, {}, SIDES, id="with its unit"),
        pytest.param(("900 mm", "10 cm", "10 cm"), METRIC, {}, ("height",), id="as high as a table"),
        pytest.param(("14", "5", "3 1/2"), US, A_MUG, ("height",), id="a mug as high as a vase"),
        pytest.param(("10 mm", "125 mm", "90 mm"), METRIC, A_MUG, ("height",), id="a mug as high as a saucer"),
    ],
)
def test_a_size_far_out_of_the_ordinary_is_confirmed_also_with_its_unit(
    texts: tuple[str, ...], units: Units, usual: dict[str, int], sides: tuple[str, ...]
) -> None:
    doubt = far_out(dict(zip(SIDES, texts, strict=True)), units, usual)

    assert doubt is not None
    assert doubt.sides == sides


@pytest.mark.parametrize(
    ("wide", "lid", "is_asked"),
    [("110", "110", False), ("200", "110", True), ("200", "150", False), ("110", "150", True), ("125", "6", True)],
)
def test_a_lid_fits_its_jar_or_is_asked_about(wide: str, lid: str, *, is_asked: bool) -> None:
    """Common practice: a lid sits on the rim or in it; one left as usual while its jar was corrected is a slip."""
    sent = {"height": "150", "width": wide, "depth": wide, LID: lid}

    doubt = size_question(sent, METRIC, {"height": 150, "width": 110, "depth": 110}, 110)

    assert (doubt is not None and doubt.sides == (LID,)) is is_asked


@pytest.mark.parametrize(("lid", "is_asked"), [("", True), ("110", False)])
def test_a_jar_with_a_lid_is_asked_about_where_its_lid_has_no_size(lid: str, *, is_asked: bool) -> None:
    sent = {"height": "150", "width": "110", "depth": "110", LID: lid}
    usual = {"height": 150, "width": 110, "depth": 110}

    doubt = size_question(sent, METRIC, usual, 110)

    assert (doubt is not None) is is_asked
    assert doubt is None or size_question(sent, METRIC, usual, 110, [doubt.key]) is None
    assert size_question({**sent, LID: ""}, METRIC, {}) is None, "no form with a lid was picked"


def test_a_piece_that_is_known_to_be_tiny_or_huge_may_stay_so() -> None:
    assert far_out({"height": "14 mm", "width": "13 mm"}, METRIC, {"height": 15, "width": 15}) is None
    assert far_out({"height": "640 mm"}, METRIC, {"height": 650}) is None


@pytest.mark.parametrize("units", Units)
def test_the_usual_sizes_are_lengths_of_their_readers_and_never_doubted(units: Units) -> None:
    for sizes in [usual.sizes[units] for usual in USUAL_FORMS.values() if usual.sizes]:
        bare = {side: text.rsplit(" ", 1)[0] for side, text in zip(SIDES, sizes, strict=True)}

        usual = {side: read_length(text) for side, text in zip(SIDES, sizes, strict=True)}

        assert size_question(bare, units, usual) is None


@pytest.mark.parametrize(
    ("wall", "units", "answers"),
    [
        pytest.param("32", US, ["mm", "in"], id="millimeters in a studio of inches"),
        pytest.param("9 in", US, ["sure"], id="with its unit"),
        pytest.param("1 1/4", US, [], id="thick, but half as wide at most"),
        pytest.param("8", METRIC, [], id="as usual"),
    ],
)
def test_a_wall_thicker_than_its_piece_is_asked_about(wall: str, units: Units, answers: list[str]) -> None:
    sent = {"height": "3 in", "width": "6 in", "depth": "6 in", "wall": wall}

    doubt = size_question(sent, units, {})

    assert [one for one, *_told in doubt.answers] == answers if doubt else answers == []


def test_a_tile_is_as_thick_as_its_wall() -> None:
    assert size_question({"height": "8", "width": "150", "depth": "150", "wall": "8"}, METRIC, {}) is None
