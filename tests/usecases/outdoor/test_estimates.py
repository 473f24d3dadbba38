"""What a puller is told before the outdoor kiln opens."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.reading import tells
from tracker.domain.outdoor.cooling import pulls_in_time
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.usecases.outdoor.estimates import RoundPull


@pytest.mark.parametrize(("lid_s", "pull_s", "is_late"), [(3.0, 8.0, True), (1.0, 4.0, False)])
def test_a_first_piece_that_may_be_too_cool_in_its_bin_is_told_of(
    lid_s: float, pull_s: float, *, is_late: bool
) -> None:
    """To open takes 3 s and a piece 8 s (common practice): none is out before 11, and a fast wall lasts for 7."""
    practice = replace(COMMON_PRACTICE.outdoors, lid_s=lid_s, pull_s=pull_s)
    kind = RouteKind.RAKU
    estimate = pulls_in_time(5.0, 20, practice, kind=kind)
    pull = RoundPull(estimate=estimate, kind=kind, practice=practice, pullers=1, many=1, wall_mm=5.0, air_c=20)

    assert (estimate.seconds.low < lid_s + pull_s) is is_late
    assert tells([pull.note], "first-may-be-late") is is_late
