"""What a rule needs to know and nobody has told: no firing is kinder to a piece for that."""

from __future__ import annotations

from dataclasses import MISSING, fields, replace
from typing import Any

import pytest

from tests.studio import a_clay, a_route
from tracker.domain.cones import Cone
from tracker.domain.findings import Level
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.pieces.piece import Build, Foot, Use, Ware
from tracker.domain.rules.engine import COMMON_PRACTICE, judge
from tracker.domain.rules.untold import untold
from tracker.domain.studio.kilns import COMMON_ROUTES

WORST: dict[str, Any] = {
    "build": Build.SLAB,
    "use": Use.FOOD,
    "height_mm": 900,
    "width_mm": 900,
    "depth_mm": 900,
    "burnished": False,
    "fired_to": Cone.parse("10"),
    "weight_g": 99_000,
    "wall_mm": 900,
    "vented": False,
    "dry": False,
    "foot": Foot.BARE,
    "container_fits": False,
    "glazed_hours": 0.0,
}
"""The value of each fact that may be unknown with which a piece fares worst."""

ASKED_ELSEWHERE = {
    "dry": "at the door of each kiln",
    "foot": "at the glaze table",
    "container_fits": "of no piece: a kiln has its bins",
    "glazed_hours": "of no piece: the history tells",
    "fired_to": "of no piece: the history tells",
    "burnished": "of no piece: the form takes it as not burnished, which is the careful side",
}
REQUIRED = {one.name for one in fields(NewPiece) if one.default is MISSING}


@pytest.mark.parametrize("fact", WORST)
@pytest.mark.parametrize("fired_to", [None, Cone.parse("06")], ids=["greenware", "bisqued"])
def test_what_could_count_against_a_piece_is_asked_before_it_is_fired(fact: str, fired_to: Cone | None) -> None:
    plain = Ware(clay=a_clay(), fired_to=fired_to)
    unknown = replace(plain, **dict[str, Any]({fact: None}))
    counts = {
        name
        for name, route in COMMON_ROUTES.items()
        for one in judge(replace(plain, **{fact: WORST[fact]}), route).findings
        if one.level > Level.NOTE and one not in judge(unknown, route).findings
    }
    asks = {name for name, route in COMMON_ROUTES.items() if fact in _missing(unknown, route)}

    assert counts <= asks or fact in REQUIRED | set(ASKED_ELSEWHERE)


def test_every_fact_that_may_be_unknown_is_looked_at() -> None:
    may_be_unknown = {one.name for one in fields(Ware) if one.default is None}

    assert set(WORST) == may_be_unknown


def test_a_wall_need_not_be_measured_by_whoever_has_looked_at_it() -> None:
    greenware = Ware(clay=a_clay(), vented=True)

    assert _missing(greenware, a_route("bisque")) == {"wall_mm"}
    assert untold(greenware, a_route("bisque"), COMMON_PRACTICE, is_thin=True) == ()


def _missing(ware: Ware, route: Any) -> set[str]:  # noqa: ANN401 -- a route
    return {one.fact for one in untold(ware, route, COMMON_PRACTICE)}
