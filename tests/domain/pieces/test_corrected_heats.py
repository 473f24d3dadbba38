"""What clay and layers were fired to, when the cone of one of their firings is corrected."""

from __future__ import annotations

import pytest

from tests.studio import a_clay, a_glaze
from tracker.domain.cones import Cone
from tracker.domain.pieces.corrected_heats import Heated, with_heat
from tracker.domain.pieces.piece import Piece, Stage
from tracker.domain.studio.materials import Layer, Zone

BISQUE, FIRST, REFIRE = 1, 2, 3


def heats(piece: Piece) -> str:
    """The cones of the clay and of its layers, in a row."""
    return " ".join(str(one) for one in (piece.fired_to, *(layer.fired_to for layer in piece.layers)))


@pytest.mark.parametrize(
    ("firing", "cone", "after"),
    [
        pytest.param(REFIRE, "5", "5 5 5", id="the refire fell short: the first layer was in both"),
        pytest.param(REFIRE, "08", "04 04 08", id="far short: the first firing counts again"),
        pytest.param(REFIRE, "8", "8 8 8", id="the refire went over"),
        pytest.param(FIRST, "7", "7 7 6", id="the first firing went over"),
        pytest.param(FIRST, "06", "6 6 6", id="the first firing fell short: the refire counts"),
        pytest.param(BISQUE, "02", "6 6 6", id="no layer was in the bisque"),
        pytest.param(9, "10", "6 6 6", id="it wasn't in that firing"),
    ],
)
def test_clay_and_each_layer_keep_the_hottest_of_the_firings_that_they_were_in(
    firing: int, cone: str, after: str
) -> None:
    six = Cone.parse("6")
    layers = tuple(Layer(a_glaze(name), Zone.OUTSIDE, six) for name in ("Still Water", "Rain"))
    piece = Piece(id=1, what="cup", maker_id=1, stage=Stage.FIRED, clay=a_clay(), layers=layers, fired_to=six)
    firings = [
        Heated(BISQUE, Cone.parse("06"), frozenset()),
        Heated(FIRST, Cone.parse("04"), frozenset({0})),
        Heated(REFIRE, six, frozenset({0, 1})),
    ]

    assert heats(with_heat(piece, firings, firing, Cone.parse(cone))) == after
