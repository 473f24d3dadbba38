"""Why a piece is in no load and in no round comes back as it was kept, and what was kept as text is said as it is."""

from __future__ import annotations

from tests.reading import said
from tracker.domain.firing.firings import KeptPlan, Place, PlannedLevel
from tracker.domain.message import Message, together
from tracker.domain.quantities import mm
from tracker.domain.studio.kilns import RouteKind
from tracker.store.mappers import left_out_of, left_out_text, plan_of, plan_text

TOO_HIGH = Message("kiln-too-low", "It is {height} high.", height=mm(460))
MANY = together([TOO_HIGH, Message("not-fired-outdoors", "It is for a {kind} firing.", kind=RouteKind.SHELF)])


def test_a_load_plan_comes_back_with_its_reasons() -> None:
    why = Message("mate-stopped", "Its set goes whole, and {mate} is stopped: {why}", mate="K7R43", why=TOO_HIGH)
    plan = KeptPlan((PlannedLevel(100.0, (Place(1, 2.5, -3.0, turned=True),)),), ((4, why),))

    kept = plan_of(plan_text(plan))

    assert kept == plan
    assert kept is not None
    assert said(kept.left_out[0][1]) == "Its set goes whole, and K7R43 is stopped: It is 460 mm high."


def test_what_is_in_no_round_comes_back_with_its_reasons() -> None:
    assert left_out_of(left_out_text([(4, MANY), (5, TOO_HIGH)])) == ((4, MANY), (5, TOO_HIGH))


def test_reasons_that_were_kept_as_text_are_read_as_that_text() -> None:
    plan = plan_of('{"levels": [], "left_out": [[4, "no room left in this firing"]]}')

    assert plan is not None
    assert [(number, said(why)) for number, why in plan.left_out] == [(4, "no room left in this firing")]
    assert [said(why) for _, why in left_out_of('[[5, "Tom A. left it out."]]')] == ["Tom A. left it out."]
