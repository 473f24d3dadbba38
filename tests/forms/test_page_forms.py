"""What a browser sends becomes one value, or a sentence for each field that is wrong."""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module
from pkgutil import walk_packages
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from marshmallow import ValidationError
from werkzeug.datastructures import MultiDict

import tracker.forms
from tests.reading import is_told, said
from tracker.domain.cones import Cone
from tracker.domain.message import Fact
from tracker.domain.pieces.new_pieces import Batch, Lid, NewPiece
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Build, Foot, Stage, StepName, Use
from tracker.domain.studio.materials import Zone
from tracker.forms import fields
from tracker.forms.fields import UNTOLD, Typed
from tracker.forms.firing.outcome_forms import read_outcomes
from tracker.forms.labels.print_forms import PaperOptions, PaperOptionsForm
from tracker.forms.page_forms import (
    BadForm,
    Correction,
    CorrectionForm,
    FormSchema,
    HandOver,
    HandOverForm,
    Move,
    MoveForm,
    NewAnswer,
    NewAnswerForm,
    NewFiring,
    NewFiringForm,
    NewLayer,
    NewLayerForm,
    NewQuestion,
    NewQuestionForm,
    Reason,
    ReasonForm,
    Scan,
    ScanForm,
    read_form,
)
from tracker.forms.pieces.batch_form import BatchForm

if TYPE_CHECKING:
    from collections.abc import Iterator

PIECE = {
    "what": "tall  vase ",
    "clay": "Heron White",
    "build": "thrown",
    "use": "decorative",
    "height": "6 5/8 in",
    "width": "90",
    "depth": "9 cm",
    "weight": "2 lb 3 oz",
    "wall": "6",
    "form": "hole",
    "burnished": "on",
    "nests": "on",
    "csrf_token": "not ours",
}

A_VASE = NewPiece(
    what="tall vase",
    clay="Heron White",
    build=Build.THROWN,
    use=Use.DECORATIVE,
    height_mm=168,
    width_mm=90,
    depth_mm=90,
    weight_g=992,
    wall_mm=6,
    vented=True,
    burnished=True,
    nests=True,
)


@pytest.mark.parametrize(
    ("schema", "sent", "value"),
    [
        pytest.param(
            BatchForm(),
            PIECE,
            Batch(one=A_VASE),
            id="new piece",
        ),
        pytest.param(
            BatchForm(),
            MultiDict({**PIECE, "count": "6", "lid_height": "4 cm", "lid_width": "90", "weight": "", "wall": ""}),
            Batch(one=replace(A_VASE, weight_g=None, wall_mm=None), count=6, lid=Lid("", 40, 90)),
            id="six jars with lids",
        ),
        pytest.param(
            BatchForm(),
            MultiDict({**PIECE, "usual": "vase", "depth": "", "form": ""}),
            Batch(one=A_VASE),
            id="a round vase, which is open",
        ),
        pytest.param(
            MoveForm(),
            MultiDict([("step", "queue"), ("ref", "k7r43"), ("route", "raku"), ("accepts", "b"), ("accepts", "a-c")]),
            Move(step=StepName.QUEUE, ref="k7r43", route="raku", accepts=frozenset({"a-c", "b"})),
            id="queue",
        ),
        pytest.param(
            MoveForm(),
            {"step": "wash off", "ref": "W12", "place": "sink", "seen": "3", "route": " "},
            Move(step=StepName.WASH_OFF, ref="W12", place="sink", seen=3),
            id="wash off",
        ),
        pytest.param(
            NewLayerForm(),
            {"glaze": "Fog", "zone": "lip"},
            NewLayer(glaze="Fog", zone=Zone.LIP),
            id="layer",
        ),
        pytest.param(
            NewLayerForm(),
            {"glaze": "Fog", "zone": "outside", "foot": "wiped", "catch_plate": "no"},
            NewLayer(glaze="Fog", zone=Zone.OUTSIDE, foot=Foot.WIPED, catch_plate=False),
            id="layer with its foot",
        ),
        pytest.param(
            NewQuestionForm(),
            {"text": " May it go?\r\nIt is thin. "},
            NewQuestion(text="May it go?\nIt is thin."),
            id="question",
        ),
        pytest.param(
            NewAnswerForm(),
            {"text": "Yes.", "allows": "no"},
            NewAnswer(text="Yes.", allows=False),
            id="answer",
        ),
        pytest.param(
            HandOverForm(),
            {"ref": "K7R43", "to": "Bo"},
            HandOver(ref="K7R43", to="Bo"),
            id="hand over",
        ),
        pytest.param(
            NewFiringForm(),
            {"kiln": "Old Bess", "route": "bisque", "target": "^05 1/2"},
            NewFiring(kiln="Old Bess", route="bisque", target=Cone.parse("05.5")),
            id="firing",
        ),
        pytest.param(ScanForm(), {"ref": "http://x/p/K7R43"}, Scan(ref="http://x/p/K7R43"), id="scan"),
        pytest.param(
            ScanForm(),
            MultiDict([("ref", "W12"), ("dry", "yes"), ("accepts", "thick-wall")]),
            Scan(ref="W12", dry=True, accepts=frozenset({"thick-wall"})),
            id="scan at the door",
        ),
        pytest.param(
            PaperOptionsForm(),
            MultiDict(
                [
                    ("things", "K7R43"),
                    ("things", "W12\nK7R43"),
                    ("stock", "Roll"),
                    ("nudge_x", "-0.5"),
                    ("nudge_y", "+10"),
                ]
            ),
            PaperOptions(things=("K7R43", "W12"), stock="Roll", nudge_x=-0.5, nudge_y=10.0),
            id="paper",
        ),
        pytest.param(
            CorrectionForm(),
            {"to": "waxed", "reason": "wrong scan"},
            Correction(to=Stage.WAXED, reason="wrong scan"),
            id="correction",
        ),
        pytest.param(ReasonForm(), {"reason": "ran thin", "seen": "2"}, Reason(reason="ran thin", seen=2), id="reason"),
    ],
)
def test_each_form_becomes_its_value(schema: FormSchema[Any], sent: Any, value: object) -> None:  # noqa: ANN401 -- whatever a browser may send
    assert read_form(schema, MultiDict(sent)) == value


@pytest.mark.parametrize(
    ("field", "text", "code", "facts"),
    [
        pytest.param("what", "", "name-needed", {}, id="nothing"),
        pytest.param("what", "x" * 61, "too-many-characters", {"most": 60, "long": 61}, id="long"),
        pytest.param("what", "a\nb", "several-lines", {}, id="two lines"),
        pytest.param("what", "a\x00b", "unprintable", {}, id="nul"),
        pytest.param("what", "a\ud800b", "unprintable", {}, id="lone surrogate"),
        pytest.param("build", "blown", "choose-one", {}, id="build"),
        pytest.param("height", "tall", "length-unreadable", {}, id="length"),
        pytest.param("height", "6.5", "length-without-unit", {}, id="no unit"),
        pytest.param("fragile", "perhaps", "yes-or-no", {}, id="box"),
        pytest.param(
            "maker_id", "12.7", "whole-number-outside", {"least": 1, "most": 9_007_199_254_740_992}, id="broken number"
        ),
        pytest.param(
            "maker_id", "1_2", "whole-number-outside", {"least": 1, "most": 9_007_199_254_740_992}, id="underscore"
        ),
        pytest.param(
            "maker_id",
            "١٢",
            "whole-number-outside",
            {"least": 1, "most": 9_007_199_254_740_992},
            id="digits of another script",
        ),
        pytest.param("weight", "heavy", "weight-unreadable", {}, id="isn't a weight"),
        pytest.param("form", "round", "open-or-closed", {}, id="neither open nor closed"),
        pytest.param(
            "maker_id", "0", "whole-number-outside", {"least": 1, "most": 9_007_199_254_740_992}, id="too small"
        ),
        pytest.param(
            "maker_id", "9" * 16, "whole-number-outside", {"least": 1, "most": 9_007_199_254_740_992}, id="too large"
        ),
    ],
)
def test_each_field_says_what_is_wrong_with_it(field: str, text: str, code: str, facts: dict[str, Fact]) -> None:
    sent = MultiDict({**PIECE, field: text})

    with pytest.raises(BadForm) as caught:
        read_form(BatchForm(), sent)

    assert set(caught.value.fields) == {field}
    assert is_told(caught.value.fields[field], code, facts)


def test_every_field_that_is_wrong_is_named_at_once() -> None:
    with pytest.raises(BadForm) as caught:
        read_form(
            BatchForm(),
            MultiDict({"height": "0", "use": "art", "build": "slab", "lid_width": "9 cm", "usual": "closed"}),
        )

    asked = {"what", "clay", "use", "height", "width", "depth", "form", "lid_height"}
    assert set(caught.value.fields) == asked


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        pytest.param({"step": "queue", "ref": "K7R43"}, "route", id="a queue without a route"),
        pytest.param({"step": "lose", "ref": "K7R43"}, "cause", id="a loss without a cause"),
        pytest.param({"step": "claim", "ref": "K7R43"}, "step", id="a step that is no move"),
        pytest.param({"step": "wax", "ref": "K7R43", "accepts": "all of them"}, "accepts", id="no name of a rule"),
        pytest.param({"step": "wax", "ref": "K7R43", "seen": "3\n4"}, "seen", id="two versions"),
        pytest.param({"step": "wax"}, "ref", id="no piece"),
    ],
)
def test_a_move_that_makes_no_sense_is_refused(sent: dict[str, str], field: str) -> None:
    with pytest.raises(BadForm) as caught:
        read_form(MoveForm(), MultiDict(sent))

    assert list(caught.value.fields) == [field]


def test_a_cone_that_is_none_is_refused_in_the_words_for_cones() -> None:
    with pytest.raises(BadForm, match="not-a-cone"):
        read_form(NewFiringForm(), MultiDict({"kiln": "a", "route": "b", "target": "66"}))


@pytest.mark.parametrize("text", ["0.25", "11", "-10.5", "1e1", "nan", "--1"])
def test_a_nudge_goes_by_half_millimetres_up_to_ten(text: str) -> None:
    with pytest.raises(BadForm, match="half-steps"):
        read_form(PaperOptionsForm(), MultiDict({"things": "K7R43", "stock": "Roll", "nudge_x": text}))


def test_allowing_is_never_left_out() -> None:
    with pytest.raises(BadForm) as caught:
        read_form(NewAnswerForm(), MultiDict({"text": "Fine."}))

    assert set(caught.value.fields) == {"allows"}


@pytest.mark.parametrize("stage", ["queued", "claimed", "lost"])
def test_a_correction_leads_to_no_queue_and_to_no_end(stage: str) -> None:
    with pytest.raises(BadForm):
        read_form(CorrectionForm(), MultiDict({"to": stage, "reason": "why"}))


def test_each_piece_of_a_firing_gets_its_outcome() -> None:
    sent = MultiDict({"outcome-K7R43": "good", "outcome-W12": "broke", "outcome-other": "good"})

    assert read_outcomes(sent, ["K7R43", "W12"]) == {"K7R43": Outcome.GOOD, "W12": Outcome.BROKE}


def test_every_piece_without_an_outcome_is_named() -> None:
    with pytest.raises(BadForm) as caught:
        read_outcomes(MultiDict({"outcome-K7R43": "fine"}), ["K7R43", "W12"])

    assert set(caught.value.fields) == {"outcome-K7R43", "outcome-W12"}


@given(st.dictionaries(st.sampled_from([*PIECE, "maker_id"]), st.text(max_size=30)))
def test_whatever_is_sent_a_form_is_read_or_refused(sent: dict[str, str]) -> None:
    try:
        read_form(BatchForm(), MultiDict({**PIECE, **sent}))
    except BadForm as refusal:
        problems = refusal.fields
    else:
        problems = {}

    assert all(said(problem).endswith((".", "?")) for problem in problems.values())


def _kinds(form: type[FormSchema[Any]]) -> Iterator[type[FormSchema[Any]]]:
    for kind in form.__subclasses__():
        yield kind
        yield from _kinds(kind)


def test_every_field_that_has_to_be_sent_says_what_it_needs() -> None:
    for module in walk_packages(tracker.forms.__path__, "tracker.forms."):
        import_module(module.name)

    required = [
        (form.__name__, name, field.unsent)
        for form in _kinds(FormSchema)
        for name, field in form._declared_fields.items()
        if isinstance(field, Typed) and field.required
    ]

    assert len(required) > 50
    assert [(form, name) for form, name, needed in required if needed == UNTOLD] == []


def test_endless_text_is_refused_before_any_field_reads_it() -> None:
    with pytest.raises(BadForm) as refusal:
        read_form(MoveForm(), MultiDict({"ref": " " * 30_000 + "x", "step": "wax"}))

    assert refusal.value.fields["ref"]["long"] == 30_001


@pytest.mark.parametrize(
    ("typed", "means"),
    [
        ("14:05", "14:05"),
        ("5:17 am", "05:17"),
        ("5:17\u202fPM", "17:17"),
        ("12:30 a.m.", "00:30"),
        ("12:30pm", "12:30"),
    ],
)
def test_a_time_is_read_by_either_clock(typed: str, means: str) -> None:
    # CLDR writes a narrow no-break space before AM and PM.
    assert f"{fields.clock().deserialize(typed):%H:%M}" == means


@pytest.mark.parametrize("typed", ["13:05 pm", "0:10 am", "25:10", "5:17 xm"])
def test_what_no_clock_shows_is_no_time(typed: str) -> None:
    with pytest.raises(ValidationError):
        fields.clock().deserialize(typed)
