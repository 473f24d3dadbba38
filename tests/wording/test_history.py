"""A line of history is told by the values it keeps, and a line from before it kept any by its text."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.reading import said
from tests.staffed import MIRA, asked_by, glazed, the_piece
from tests.studio import NOON, a_glaze, a_studio
from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level
from tracker.domain.message import Message
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.studio.materials import Coat, Zone
from tracker.store.pieces.queries import HistoryRow
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import pieces
from tracker.wording.history import notes_of, step_of

KNOWN = a_studio().catalog
WAX = replace(KNOWN, glazes={**KNOWN.glazes, "Line wax": a_glaze("Line wax", coat=Coat.WAX)})


def a_line(step: StepName, to: Stage = Stage.GLAZED, **facts: Any) -> HistoryRow:  # noqa: ANN401 -- any fact of a line
    """A line of history by Mira, of a step that leads to this stage."""
    plain: dict[str, Any] = {"id": 1, "at": NOON, "by": "Mira Tann", "by_id": 3, "start": Stage.BISQUED, "route": None}
    plain |= {"kiln": None, "firing_id": None, "place": "", "findings": (), "accepted": (), "outcome": None}
    return HistoryRow(**(plain | {"reason": "", "facts": {}, "undoes": None, "step": step, "to": to} | facts))


LINES = {
    "Registered": a_line(StepName.REGISTER, Stage.GREENWARE),
    "Registered already bisque-fired, and code issued": a_line(StepName.REGISTER, Stage.BISQUED),
    "Bisque-fired in Front box, firing 4, and code issued": a_line(StepName.BISQUE, kiln="Front box", firing_id=4),
    "Foot waxed": a_line(StepName.WAX, Stage.WAXED, place="rack 3", facts={"before": ""}),
    "Waxed with Line wax (foot)": a_line(StepName.WAX, facts={"glaze": "Line wax", "zone": Zone.FOOT}),
    "Still Water taken off (all over)": a_line(
        StepName.WASH_OFF, facts={"glaze": "Still Water", "zone": Zone.ALL_OVER}
    ),
    "Glazed with Still Water (rim)": a_line(StepName.GLAZE, facts={"glaze": "Still Water", "zone": Zone.LIP}),
    "Waxed with Line wax (rim)": a_line(StepName.GLAZE, facts={"glaze": "Line wax", "zone": Zone.LIP}),
    "Glazed": a_line(StepName.GLAZE),
    "Put on a shelf": a_line(StepName.SHELVE, place="rack 3", facts={"before": ""}),
    "Removed from its shelf": a_line(StepName.SHELVE, facts={"before": "rack 3"}),
    "Details changed: weight from 700 g to 720 g and thin parts from no to yes": a_line(
        StepName.SET_RIGHT, facts={"changes": (("weight_g", 700, 720), ("fragile", False, True))}
    ),
    "Details changed: weight from 700 g to 720 g": a_line(StepName.SET_RIGHT, reason="weight from 700 g to 720 g"),
    "Queued for Mid-range": a_line(StepName.QUEUE, Stage.QUEUED, route="mid-range"),
    "Passes the check again. Back in the Mid-range queue and in Back box, firing 4.": a_line(
        StepName.QUEUE, Stage.QUEUED, route="mid-range", kiln="Back box", firing_id=4
    ),
    "Taken out of Back box, firing 4: it was no longer fit for that firing": a_line(
        StepName.TAKE_OUT, kiln="Back box", firing_id=4
    ),
    "Queued for gone": a_line(StepName.QUEUE, Stage.QUEUED, route="gone"),
    "Asked for Mid-range": a_line(StepName.WISH, route="mid-range"),
    "Request for Mid-range withdrawn": a_line(StepName.WITHDRAW, route="mid-range"),
    "Taken out of the queue for Mid-range, back to glazed": a_line(StepName.PULL_BACK, route="mid-range"),
    "Loaded for Mid-range with a warning, in Back box, firing 4": a_line(
        StepName.ACCEPT, route="mid-range", kiln="Back box", firing_id=4
    ),
    "Queued for Mid-range with a warning": a_line(StepName.ACCEPT, route="mid-range"),
    "Fired, Mid-range in Back box, firing 1234: ran": a_line(
        StepName.FIRE, Stage.FIRED, route="mid-range", kiln="Back box", firing_id=1234, outcome=Outcome.of(Flaw.RAN)
    ),
    "Fired, Mid-range in Back box, firing 5: crazed, S-crack, and color off": a_line(
        StepName.FIRE,
        Stage.FIRED,
        route="mid-range",
        kiln="Back box",
        firing_id=5,
        outcome=Outcome.of(Flaw.COLOR_OFF, Flaw.CRAZED, Flaw.S_CRACK),
    ),
    "Fired with the Bisque, cone 06, 998 °C, in Front box, firing 7: good": a_line(
        StepName.FIRE,
        Stage.FIRED,
        route="low-fire",
        kiln="Front box",
        firing_id=7,
        firing_route="bisque",
        firing_target=Cone.parse("06"),
        outcome=Outcome.GOOD,
    ),
    "Handed out to Leo Tann, for Mira Tann": a_line(StepName.CLAIM, facts={"taker": "Leo Tann", "maker": "Mira Tann"}),
    "Handed out to Mira Tann": a_line(StepName.CLAIM, facts={"taker": "Mira Tann", "maker": None}),
    "Handed out, taken by Leo, for Mira": a_line(StepName.CLAIM, reason="taken by Leo, for Mira"),
    "Handed out": a_line(StepName.CLAIM),
    "Result of firing 5 corrected from broke to crazed": a_line(
        StepName.CORRECT_RESULT,
        Stage.FIRED,
        firing_id=5,
        outcome=Outcome.of(Flaw.CRAZED),
        facts={"was": Outcome.BROKE.message},
    ),
    "Registered twice: W7 opens this piece": a_line(StepName.MERGE, facts={"other": "W7"}),
    "W7 is a separate piece after all": a_line(StepName.MERGE, facts={"other": "W7"}, undoes=5),
    "Given from Mira Tann to Ines Pell": a_line(
        StepName.GIVE, facts={"from_id": 4, "to_id": 3, "was": "Mira Tann", "now": "Ines Pell"}
    ),
    "Hand-out undone, back to fired": a_line(StepName.TAKE_BACK, Stage.FIRED),
    "Layers back on the record, back to glazed": a_line(StepName.GLAZE, undoes=7),
    "Raw layers taken off, back to bisqued": a_line(StepName.WASH_OFF, Stage.BISQUED, start=Stage.GLAZED),
    "Raw layers taken off": a_line(StepName.WASH_OFF, Stage.GREENWARE, start=Stage.GREENWARE),
    "Marked as not waxed, back to bisqued": a_line(StepName.NOT_WAXED, Stage.BISQUED),
    "Chalk Slip (outside), on raw clay": a_line(
        StepName.DECORATE, Stage.GREENWARE, facts={"glaze": "Chalk Slip", "zone": Zone.OUTSIDE}
    ),
    "Found later: crazed": a_line(StepName.NOTE_FLAWS, Stage.CLAIMED, facts={"more": (Flaw.CRAZED,), "fewer": ()}),
    "Removed from the record: crazed": a_line(StepName.NOTE_FLAWS, facts={"more": (), "fewer": (Flaw.CRAZED,)}),
    "Sent back for a refire": a_line(StepName.FIRE_AGAIN),
    "Lost: broken": a_line(StepName.LOSE, Stage.LOST, reason="broken"),
    "Lost": a_line(StepName.LOSE, Stage.LOST),
    "Found, back to glazed": a_line(StepName.FIND),
    "Corrected from bisqued to greenware": a_line(StepName.CORRECT, Stage.GREENWARE),
}


@pytest.mark.parametrize(("says", "line"), LINES.items(), ids=LINES)
def test_each_step_is_told_by_its_values_or_by_its_old_text(says: str, line: HistoryRow) -> None:
    assert said(step_of(line, WAX)) == says


def test_no_step_is_without_words() -> None:
    assert {line.step for line in LINES.values()} == set(StepName)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (a_line(StepName.WASH_OFF, undoes=7), ["Undid a mistake."]),
        (a_line(StepName.CORRECT, reason="wrong tag"), ["Reason: wrong tag"]),
        (a_line(StepName.LOSE, reason="broken"), []),
        (
            a_line(StepName.BISQUE, outcome=Outcome((Flaw.CRACKED,), clay_note="along the rim"), place="rack 3"),
            ["It came out cracked.", "Clay: along the rim", "At rack 3."],
        ),
        (a_line(StepName.BISQUE, outcome=Outcome.GOOD), []),
    ],
    ids=["taken back", "why", "a cause", "a bad outcome and a place", "a good outcome"],
)
def test_beside_a_step_stands_why_and_where(line: HistoryRow, says: list[str]) -> None:
    assert list(map(said, notes_of(line))) == says


def test_what_was_accepted_is_told_with_all_else_that_was_shown() -> None:
    damp, thick = (
        Finding(Level.WARN, Message(rule, words)) for rule, words in (("damp", "Damp."), ("thick", "Thick."))
    )
    asked = Finding(Level.ASK, Message("nameless", "Nameless."))

    line = a_line(StepName.QUEUE, findings=(asked, damp, thick), accepted=("damp",))

    assert list(map(said, notes_of(line))) == [
        "Signed off: Damp.",
        "Also shown (the instructor allowed it): Nameless.",
        "Also shown (signed off before): Thick.",
    ]


def test_a_layer_that_an_old_line_kept_as_text_is_read_as_values(store: Store) -> None:
    ref = glazed(store, "Still Water")
    piece = the_piece(store, ref)
    # History is never changed, so the line of before is written beside the newest.
    with store.writing() as connection:
        connection.exec_driver_sql(
            'INSERT INTO history (piece_id, at, by_id, request_key, step, start, "to", place, reason) '
            "SELECT piece_id, at, by_id, request_key, step, start, \"to\", '', 'Moss, and more, lip' FROM history "
            f"WHERE id = {store.read.pieces.last_line(piece.id)}"
        )

    line = store.read.pieces.page(piece.id).history[-1]

    assert line.facts == {"glaze": "Moss, and more", "zone": Zone.LIP}
    assert pieces.glaze(store, asked_by(MIRA), ref, "Still Water", Zone.LIP).ref == ref
