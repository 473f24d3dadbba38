"""What a studio file says of a kiln's inside, and of what is retired: read with every mistake, written back equal."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.forms.studio.studio_example import STUDIO
from tests.reading import is_told, said
from tests.store.any_values import groups_of_practice, kilns
from tests.studio import a_studio
from tracker.domain.labels.stock import LabelStock
from tracker.domain.message import Fact
from tracker.domain.refusals import Unusable
from tracker.domain.studio.kilns import Atmosphere, Furniture, Kiln, Room
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.segments import Segment
from tracker.domain.studio.settings import Practice
from tracker.forms.studio.studio_file import read_studio, write_studio

KILN = """
[[kiln]]
name = "Cask"
routes = ["bisque"]
atmosphere = "reduction"
tongs_g = 3500

[kiln.chamber]
height_mm = 600
round_mm = 500
clearance_mm = 15

[kiln.furniture]
round_mm = 460
halves = true
thickness_mm = 18
posts_mm = [150, 50, 100, 50]

[[kiln.container]]
height_mm = 400
width_mm = 300
depth_mm = 250
"""

_practices = st.builds(
    Practice,
    **groups_of_practice,
    large_porcelain_mm=st.integers(1, 5_000),
    foot_clear_mm=st.integers(0, 500),
    tongs_g=st.integers(1, 1_000_000),
    thick_wall_mm=st.integers(1, 5_000),
    glaze_dries_hours=st.integers(0, 10_000),
    glaze_gap_mm=st.integers(0, 200),
    gap_above_mm=st.integers(0, 200),
    bisque_gap_above_mm=st.integers(0, 200),
    cookie_margin_mm=st.integers(0, 200),
    cookie_thickness_mm=st.integers(0, 100),
    bisque_share_pct=st.integers(0, 100),
    # By the regime the tests on file of the small studio are judged, so it stays.
    regime=st.just(Regime.US_FDA),
)


ROUTE = """
[[route]]
name = "slow-bisque"
title = "Slow bisque"
kind = "bisque"
cone = "06"

[[route.segment]]
rate_c_per_h = 60
target_c = 90
hold_min = 240
note = "thick walls dry"

[[route.segment]]
rate_c_per_h = 80.5
target_c = 990
"""


def test_a_way_of_firing_is_read_with_its_own_schedule_and_written_back_equal() -> None:
    studio = read_studio(STUDIO + ROUTE)

    assert studio.catalog.route("slow-bisque").segments == (
        Segment(60, 90, 240, "thick walls dry"),
        Segment(80.5, 990),
    )
    assert read_studio(write_studio(studio)) == studio


@pytest.mark.parametrize(
    ("old", "new", "code", "facts"),
    [
        ("rate_c_per_h = 60", "rate_c_per_h = 0", "number-outside", {"least": 1, "most": 1_000}),
        ("target_c = 990", "target_c = 90", "segment-without-effect", {"key": "segment"}),
        ("hold_min = 240", "hold_mins = 240", "key-misspelt", {"key": "hold_mins", "near": "hold_min"}),
        ("target_c = 990\n", "", "key-missing", {"key": "target_c"}),
    ],
)
def test_a_mistake_in_a_schedule_is_named(old: str, new: str, code: str, facts: dict[str, Fact]) -> None:
    with pytest.raises(Unusable) as refused:
        read_studio(STUDIO + ROUTE.replace(old, new))

    (problem,) = refused.value.problems
    assert is_told(problem, code, facts)
    assert str(problem["place"]).startswith('route "slow-bisque"')


def test_a_kiln_is_read_with_its_inside() -> None:
    kiln = read_studio(STUDIO + KILN).catalog.kiln("Cask")

    assert kiln.chamber == Room(height_mm=600, round_mm=500, clearance_mm=15)
    assert kiln.containers == (Room(height_mm=400, width_mm=300, depth_mm=250),)
    assert kiln.furniture == Furniture(round_mm=460, halves=True, thickness_mm=18, posts_mm=(50, 100, 150))
    assert (kiln.atmosphere, kiln.tongs_g) == (Atmosphere.REDUCTION, 3500)


@pytest.mark.parametrize(
    ("old", "new", "line_of", "code", "facts"),
    [
        ("round_mm = 500", "width_mm = 500", "[kiln.chamber]", "key-missing", {"key": "depth_mm"}),
        ("height_mm = 600", "height_mm = 0", "height_mm = 0", "whole-number-outside", {"least": 1, "most": 10_000}),
        (
            "clearance_mm = 15",
            "clearence_mm = 15",
            "clearence_mm",
            "key-misspelt",
            {"key": "clearence_mm", "near": "clearance_mm"},
        ),
        ("height_mm = 400\n", "", "[[kiln.container]]", "key-missing", {"key": "height_mm"}),
        ('"reduction"', '"smoke"', "atmosphere", "none-of-these", {}),
        ("tongs_g = 3500", "tongs_g = 3.5", "tongs_g", "whole-number-outside", {"least": 1, "most": 1_000_000}),
        ("round_mm = 460", "width_mm = 460", "[kiln.furniture]", "key-missing", {"key": "depth_mm"}),
        ("round_mm = 500", "round_mm = 500\nwidth_mm = 500", "[kiln.chamber]", "one-way-only", {}),
        ("round_mm = 460", "width_mm = 460\ndepth_mm = 400", "halves", "halves-not-round", {"key": "halves"}),
        ("[150, 50, 100, 50]", "[]", "posts_mm", "no-posts", {}),
        ("thickness_mm = 18\n", "", "[kiln.furniture]", "key-missing", {"key": "thickness_mm"}),
        (
            "thickness_mm = 18",
            "thicknes_mm = 18",
            "thicknes_mm",
            "key-misspelt",
            {"key": "thicknes_mm", "near": "thickness_mm"},
        ),
    ],
)
def test_a_mistake_in_a_kiln_is_named_with_its_line(
    old: str, new: str, line_of: str, code: str, facts: dict[str, Fact]
) -> None:
    text = STUDIO + KILN.replace(old, new)

    with pytest.raises(Unusable) as refused:
        read_studio(text)

    line = 1 + next(at for at, row in reversed(list(enumerate(text.splitlines()))) if row.startswith(line_of))
    (problem,) = refused.value.problems
    assert is_told(problem, code, {"line": line, **facts})
    assert said(problem).startswith(f'line {line}: kiln "Cask"')


@given(kilns, _practices, st.booleans())
def test_every_kiln_and_practice_is_written_and_read_back_equal(kiln: Kiln, practice: Practice, retired: bool) -> None:  # noqa: FBT001 -- Hypothesis gives it
    plain = a_studio()
    glazes = {name: replace(one, retired=retired) for name, one in plain.catalog.glazes.items()}
    yard = {**plain.catalog.kilns, "Cask": kiln}
    studio = replace(plain, catalog=replace(plain.catalog, kilns=yard, practice=practice, glazes=glazes))

    assert read_studio(write_studio(studio)) == studio


LABEL = """
[[label]]
name = "Ours"
label_width_mm = 70
label_height_mm = 40.5
page_width_mm = 210
page_height_mm = 297
columns = 2
rows = 5
left_mm = 12
top_mm = 10
pitch_x_mm = 80
"""


def test_labels_of_ones_own_and_the_line_are_read_and_written_back_equal() -> None:
    studio = read_studio(STUDIO.replace("timezone", 'line = "Open on Tuesdays"\ntimezone', 1) + LABEL)

    assert (studio.line, studio.labels["Ours"].pitch) == ("Open on Tuesdays", (80, 40.5))
    assert read_studio(write_studio(studio)) == studio


@st.composite
def _label_stocks(draw: st.DrawFn) -> LabelStock:
    """Any stock a studio may have: a roll, or a sheet whose labels may touch and whose pitch may go without saying."""
    name = draw(st.sampled_from(("Ours", "Kate's “blue” sheet", "Etiketten, 2 Spalten", "李明")))
    width, height = draw(st.floats(5, 100)), draw(st.floats(5, 100))
    if draw(st.booleans()):
        return LabelStock(name=name, label_width_mm=width, label_height_mm=height)
    columns, rows = draw(st.integers(1, 8)), draw(st.integers(1, 8))
    gap = draw(st.floats(0, 20))
    left, top = draw(st.floats(0, 30)), draw(st.floats(0, 30))
    return LabelStock(
        name=name,
        label_width_mm=width,
        label_height_mm=height,
        page_width_mm=left + columns * (width + gap),
        page_height_mm=top + rows * (height + gap),
        columns=columns,
        rows=rows,
        left_mm=left,
        top_mm=top,
        pitch_x_mm=draw(st.sampled_from((None, width, width + gap))),
        pitch_y_mm=draw(st.sampled_from((None, height, height + gap))),
    )


@given(label=_label_stocks())
def test_every_label_stock_is_written_and_read_back_equal(label: LabelStock) -> None:
    studio = replace(a_studio(), labels={label.name: label})

    assert read_studio(write_studio(studio)) == studio


@pytest.mark.parametrize(
    ("old", "new", "code", "facts"),
    [
        ("pitch_x_mm = 80", "pitch_x_mm = 0", "pitch-too-small", {"key": "pitch_x_mm"}),
        ("page_width_mm = 210", "page_width_mm = 0", "page-outside", {"key": "page_width_mm"}),
        ("label_width_mm = 70", "label_width_mm = 2000", "number-outside", {"least": 0, "most": 1_000}),
        ("pitch_x_mm = 80", "pitch_x_mm = 60", "pitch-too-small", {"key": "pitch_x_mm"}),
        ("left_mm = 12", "left_mm = 70", "labels-past-page", {"key": "left_mm"}),
        ("rows = 5", "rows = 0", "whole-number-outside", {"least": 1, "most": 1_000}),
        (
            "label_width_mm = 70",
            "label_widht_mm = 70",
            "key-misspelt",
            {"key": "label_widht_mm", "near": "label_width_mm"},
        ),
        ('name = "Ours"', 'name = ""', "name-missing", {"key": "name"}),
    ],
)
def test_a_mistake_in_a_label_is_named_with_its_line(old: str, new: str, code: str, facts: dict[str, Fact]) -> None:
    text = STUDIO + LABEL.replace(old, new)

    with pytest.raises(Unusable) as refused:
        read_studio(text)

    line = text[: text.rindex(new)].count("\n") + 1
    assert any(is_told(problem, code, {"line": line, **facts}) for problem in refused.value.problems)


def test_two_label_stocks_of_one_name_are_refused_whatever_the_case() -> None:
    with pytest.raises(Unusable, match="name-taken-above"):
        read_studio(STUDIO + LABEL + LABEL.replace("Ours", "OURS"))
