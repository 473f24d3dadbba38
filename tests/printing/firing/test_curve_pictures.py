"""A firing's curve: nothing of it is smoothed away, every mark is named, no word stands on another."""

from __future__ import annotations

import math
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from printing.firing.curve_pictures import curve_picture
from printing.firing.curves import CurveSeen, Point, runs, thinned
from printing.lettering import NARROW, POINT, SCREEN_SIZE, WIDE
from printing.shapes import Ink, Line, Picture
from printing.svg import svg
from tests.drawn import examples
from tests.printing.firing.firings import SCHEDULE, a_log, any_curves, outside, overlapping, said, texts
from tests.printing.firing.words import CURVE_WORDS

CONES = (
    *((10.75, 935.0, "cone 08"), (11.2, 985.0, "cone 06"), (11.7, 1046.0, "cone 04"), (12.3, 1110.0, "cone 01")),
    *((12.8, 1144.0, "cone 4"), (13.2, 1160.0, "cone 5"), (13.8, 1176.0, "cone 6")),
)
DONE = CurveSeen(said=CURVE_WORDS, points=a_log(400), schedule=SCHEDULE, marks=CONES, target=(1222, "cone 6, 1222 °C"))


def lines_in(picture: Picture, ink: Ink) -> list[Line]:
    """The lines of a chart in one ink, without the legend's samples."""
    lines = [shape for shape in picture.shapes if isinstance(shape, Line) and shape.pen and shape.pen.ink is ink]
    return [line for line in lines if len(line.points) > 2 or line.points[0][1] != line.points[1][1]]


@examples(25)
@given(any_curves())
def test_whatever_the_curve_no_word_stands_on_another_and_nothing_leaves_the_picture(curve: CurveSeen) -> None:
    for width, size in ((NARROW, SCREEN_SIZE), (WIDE, SCREEN_SIZE), (67.0, 7 * POINT)):
        picture = curve_picture(curve, width=width, size=size)

        assert overlapping(picture) == []
        assert outside(picture) == []
        assert all(text.size >= size for text in texts(picture))


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_every_cone_is_named_beside_its_mark_though_seven_fell_within_three_hours(width: float) -> None:
    picture = curve_picture(DONE, width=width)

    assert {label for _, _, label in CONES} <= {text.text for text in texts(picture)}
    assert sum(isinstance(shape, Line) and shape.closed for shape in picture.shapes) == len(CONES) + 1


def test_marks_that_find_no_room_for_their_names_are_told_below() -> None:
    crowd = tuple((10 + n / 100, 1000.0 + n, f"cone number {n}") for n in range(40))

    picture = curve_picture(CurveSeen(said=CURVE_WORDS, points=a_log(50), marks=crowd))

    assert all(f"cone number {n}" in said(picture) for n in range(40))
    assert "°C at 10.4 h" in said(picture)


def test_what_each_line_is_stands_in_words() -> None:
    words = {text.text for text in texts(curve_picture(DONE, width=WIDE))}

    assert {"measured", "schedule", "cone reached", "cone 6, 1222 °C", "573 °C, quartz inversion"} <= words


def test_lines_differ_in_more_than_their_color() -> None:
    picture = curve_picture(DONE)

    (measured,) = lines_in(picture, Ink.IRON)
    (schedule,) = lines_in(picture, Ink.COBALT)
    assert measured.pen is not None
    assert measured.pen.dash is None
    assert schedule.pen is not None
    assert schedule.pen.dash is not None


def test_without_readings_there_is_the_schedule_alone() -> None:
    picture = curve_picture(CurveSeen(said=CURVE_WORDS, schedule=SCHEDULE, target=(1222, "cone 6")))

    assert lines_in(picture, Ink.IRON) == []
    assert len(lines_in(picture, Ink.COBALT)[0].points) == len(SCHEDULE)
    assert "measured" not in said(picture)


def test_without_anything_the_chart_says_so() -> None:
    assert "nothing measured yet" in said(curve_picture(CurveSeen(said=CURVE_WORDS)))


def test_now_is_a_line_with_its_word() -> None:
    now = CurveSeen(said=CURVE_WORDS, points=a_log(50, 11.2), schedule=SCHEDULE, now=(11.2, "now, 11.2 h"))

    assert "now, 11.2 h" in said(curve_picture(now))


def test_ten_thousand_readings_are_a_small_picture_that_keeps_the_peak() -> None:
    log = list(a_log(10_000))
    log[5200] = (log[5200][0], 1301.0)  # one reading, higher than all others
    curve = CurveSeen(said=CURVE_WORDS, points=tuple(log), schedule=SCHEDULE, marks=CONES)

    drawn = svg(curve_picture(curve, width=WIDE), name="Curve", says="")

    assert len(drawn.encode()) < 60_000
    heights = [
        float(point.split(",")[1])
        for line in ET.fromstring(drawn).iter("{http://www.w3.org/2000/svg}polyline")  # noqa: S314 - our own text
        if line.attrib["class"] == "ink-iron"
        for point in line.attrib["points"].split()
    ]
    # 1400 °C stands at the top of the lines, 24 below the picture's edge, and 0 °C 332.8 further down.
    top, foot = 2.0 * SCREEN_SIZE, 2.0 * SCREEN_SIZE + 0.52 * WIDE
    assert min(heights) == pytest.approx(foot - 1301 / 1400 * (foot - top), abs=0.06)


readings = st.lists(st.tuples(st.floats(0, 48), st.floats(-20, 1400)), min_size=1, max_size=300).map(
    lambda points: tuple(sorted(points))
)


@given(readings, st.integers(1, 20))
def test_thinning_keeps_ends_peak_and_lowest_and_makes_nothing_up(points: tuple[Point, ...], columns: int) -> None:
    kept = thinned(points, columns)

    degrees = [at for _, at in points]
    assert (kept[0], kept[-1]) == (points[0], points[-1])
    assert {max(degrees), min(degrees)} <= {at for _, at in kept}
    assert len(kept) <= max(4 * (columns + 1), 2 * columns)
    there = iter(points)
    assert all(point in there for point in kept)  # each of them, in their order


def test_a_gap_in_the_log_is_a_gap_in_the_line() -> None:
    log = tuple(point for point in a_log(261) if not 4 < point[0] < 6)

    before, after = runs(log)

    assert before[-1][0] == pytest.approx(4)
    assert after[0][0] == pytest.approx(6)
    assert len(lines_in(curve_picture(CurveSeen(said=CURVE_WORDS, points=log)), Ink.IRON)) == 2


def test_hourly_readings_by_hand_are_one_line() -> None:
    assert len(runs(tuple((float(hour), 100.0 * hour) for hour in range(12)))) == 1


@pytest.mark.parametrize(
    ("curve", "why"),
    [
        ({"points": ((1.0, 20.0), (0.5, 30.0))}, "order of time"),
        ({"schedule": ((1.0, 20.0), (0.5, 30.0))}, "order of time"),
        ({"points": ((0.0, math.nan),)}, "numbers only"),
        ({"now": (math.inf, "now")}, "numbers only"),
    ],
    ids=["readings", "schedule", "no number", "isn't a time"],
)
def test_a_curve_that_cannot_be_is_refused(curve: dict[str, object], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        CurveSeen(said=CURVE_WORDS, **curve)  # type: ignore[arg-type]  # every key names a field


def test_equal_curves_are_equal_pictures() -> None:
    assert curve_picture(DONE) == curve_picture(DONE)
