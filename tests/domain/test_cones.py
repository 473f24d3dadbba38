"""Cones are ordered values, read from what people write and checked against the published chart."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tracker.domain.cones import CONES, END_POINTS, BadCone, Cone, NoEndPoint, end_point
from tracker.domain.firing.heat_work import with_band

# The Orton chart; the column how_known tells which rows were read there and which are from memory.
CHART = Path(__file__).parents[1] / "reference" / "cone_end_points.csv"

cones = st.sampled_from(CONES)


def published() -> list[dict[str, str]]:
    with CHART.open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def test_every_end_point_is_the_one_on_the_chart_and_there_are_no_others() -> None:
    on_the_chart = {((row["kind"], int(row["rate_c_per_h"])), row["cone"]): int(row["temp_c"]) for row in published()}

    ours = {(column, str(cone)): point for column, points in END_POINTS.items() for cone, point in points.items()}

    assert ours == on_the_chart
    assert len(ours) == len(published())


@pytest.mark.parametrize("column", END_POINTS, ids=str)
def test_a_hotter_cone_ends_hotter_in_every_column(column: tuple[str, int]) -> None:
    points = END_POINTS[column]  # type: ignore[index]  # the column comes from the table

    by_heat = sorted(points, key=points.__getitem__)

    assert by_heat == sorted(points)


def test_cones_stand_from_cool_to_hot() -> None:
    names = " ".join(map(str, CONES))

    assert list(CONES) == sorted(CONES, key=lambda cone: cone.celsius)
    assert names == (
        "022 021 020 019 018 017 016 015 014 013 012 011 010 09 08 07 06 05.5 05 04 03 02 01 "
        "1 2 3 4 5 5.5 6 7 8 9 10 11 12 13 14"
    )


@given(one=cones, other=cones)
def test_the_order_of_two_cones_is_the_order_of_their_temperatures(one: Cone, other: Cone) -> None:
    assert (one < other) is (one.celsius < other.celsius)
    assert (one == other) is (str(one) == str(other))
    assert (one >= other) is not (one < other)


@given(cone=cones)
def test_a_cone_comes_back_from_its_name_and_from_its_rank(cone: Cone) -> None:
    assert Cone.parse(str(cone)) == cone
    assert Cone.of_rank(cone.rank) == cone
    assert len({cone, Cone.parse(str(cone))}) == 1


def test_06_is_not_6_but_224_degrees_cooler() -> None:
    low, mid = Cone.parse("06"), Cone.parse("6")

    assert low != mid
    assert low < mid
    assert mid.celsius - low.celsius == 224


def test_04_is_hotter_than_06() -> None:
    assert Cone.parse("04") > Cone.parse("05") > Cone.parse("05.5") > Cone.parse("06")


@pytest.mark.parametrize(("name", "rank"), [("022", -220), ("06", -60), ("05.5", -55), ("5.5", 55), ("6", 60)])
def test_the_rank_is_ten_times_the_number_and_below_zero_after_a_leading_nought(name: str, rank: int) -> None:
    assert Cone.parse(name).rank == rank


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("06", "06"),
        ("cone 06", "06"),
        ("Cone 6", "6"),
        ("CONE6", "6"),
        ("\u220606", "06"),
        ("\u25b306", "06"),
        ("\u0394 10", "10"),
        ("^06", "06"),
        ("05.5", "05.5"),
        ("05 1/2", "05.5"),
        ("05\u00bd", "05.5"),
        ("cone 5 \u00bd", "5.5"),
        ("  06\t", "06"),
        ("cone\u00a06", "6"),
    ],
)
def test_a_cone_is_read_however_people_write_it(text: str, name: str) -> None:
    assert str(Cone.parse(text)) == name


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "0",
        "00",
        "000",
        "-6",
        "+6",
        "6-8",
        "6/8",
        "6.3",
        "6.0",
        "6.5",
        "6 1/2",
        "051/2",
        "05.5\u00bd",
        "006",
        "15",
        "023",
        "999",
        "six",
        "cone",
        "cone cone 6",
        "6 6",
        "06\n",
        "\n06",
        "0\n6",
        "cone\n06",
        "06\x00",
        "\ud800",
        "\u0660\u0666",
        "\uff10\uff16",
        "1e1",
        "0x6",
        "nan",
        "'\"",
        "6" * 1_000_000,
        " " * 1_000_000,
        "cone" * 9_999,
    ],
    ids=lambda text: repr(text[:12]),
)
def test_what_is_not_a_cone_is_refused_with_a_sentence_that_helps(text: str) -> None:
    with pytest.raises(BadCone) as refusal:
        Cone.parse(text)

    sentence = str(refusal.value)
    assert "isn't a cone. Cones run from 022 (586 °C) to 14 (1365 °C)" in sentence
    assert len(sentence) < 250
    assert sentence.isprintable()


def test_the_sentence_repeats_what_was_written() -> None:
    with pytest.raises(BadCone) as refusal:
        Cone.parse("0")

    assert str(refusal.value) == (
        '\'0\' isn\'t a cone. Cones run from 022 (586 °C) to 14 (1365 °C); "06" and "6" are different cones.'
    )


@given(
    text=st.text(alphabet=st.characters(), max_size=30)
    | st.from_regex(r"(cone |\^)?0?[0-9]{1,2}(\.5)?", fullmatch=True)
)
def test_any_text_is_a_cone_or_refused_and_never_anything_else(text: str) -> None:
    try:
        cone = Cone.parse(text)
    except BadCone:
        return

    assert str(cone).removesuffix(".5") in text


@given(rank=st.integers())
def test_a_rank_that_no_cone_has_is_refused(rank: int) -> None:
    if rank in {cone.rank for cone in CONES}:
        assert Cone.of_rank(rank).rank == rank
    else:
        with pytest.raises(BadCone, match="isn't a cone"):
            Cone.of_rank(rank)


@pytest.mark.parametrize("name", ["022", "5.5", "13"])
def test_a_large_cone_that_the_chart_leaves_out_never_borrows_from_the_other_kind(name: str) -> None:
    cone = Cone.parse(name)

    with pytest.raises(NoEndPoint, match=f"large cone {name} at 60 °C an hour"):
        end_point(cone, "large", 60)

    assert end_point(cone, "self-supporting", 60) == cone.celsius


def test_a_rate_that_is_not_on_the_chart_is_refused() -> None:
    with pytest.raises(NoEndPoint, match="at 100 °C an hour"):
        end_point(Cone.parse("6"), "self-supporting", 100)  # type: ignore[arg-type]  # a rate nobody published


# The bands are common practice; the sentence for cone 06 stands in the studio's own words.
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("018", "cone 018, 715 °C, overglaze or pit range"),
        ("014", "cone 014, 807 °C, overglaze or pit range"),
        ("010", "cone 010, 903 °C, cooler than most bisques"),
        ("06", "cone 06, 998 °C, bisque range"),
        ("04", "cone 04, 1,063 °C, low-fire range"),
        ("2", "cone 2, 1,142 °C, between low-fire and mid-range"),
        ("3", "cone 3, 1,152 °C, mid-range"),
        ("6", "cone 6, 1,222 °C, mid-range"),
        ("8", "cone 8, 1,249 °C, mid-range or high-fire"),
        ("10", "cone 10, 1,285 °C, high-fire range"),
    ],
)
def test_a_cone_is_read_back_with_its_temperature_and_its_band(name: str, words: str) -> None:
    assert said(with_band(Cone.parse(name))) == words


@given(cone=cones)
def test_every_cone_is_no_hotter_than_the_hottest_of_its_band(cone: Cone) -> None:
    assert cone <= Cone.parse(cone.band.value)
