"""A message becomes text for one reader: counts, lists, units and roles decide the words, and the facts stay."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.domain.cones import CONES, Cone, ConeRange
from tracker.domain.message import ByRole, Choice, Either, Message, Plural, Sentences, together
from tracker.domain.pieces.piece import Stage
from tracker.domain.quantities import (
    Quantity,
    Unit,
    Units,
    celsius,
    celsius_step,
    compared,
    grams,
    hours,
    kilograms,
    kilowatts,
    mm,
    percent,
)
from tracker.domain.studio.people import Role
from tracker.wording.quantities import NO_BREAK
from tracker.wording.reader import ANYONE, Reader
from tracker.wording.render import read, say, say_all

METRIC, US = ANYONE, Reader(units=Units.US)


def test_facts_stand_where_the_template_names_them() -> None:
    message = Message("melts", "{glaze} melts at {cone}.", glaze="Moss", cone=Cone.parse("06"))

    assert say(message) == "Moss melts at cone 06, 998 °C."


def test_messages_are_equal_when_code_and_facts_are_whatever_their_words() -> None:
    one = Message("melts", "{glaze} melts.", glaze="Moss")

    assert one == Message("melts", "{glaze} runs off the pot.", glaze="Moss")
    assert hash(one) == hash(Message("melts", "{glaze} runs off the pot.", glaze="Moss"))
    assert one != Message("melts", "{glaze} melts.", glaze="Plum")
    assert one != Message("runs", "{glaze} melts.", glaze="Moss")


@pytest.mark.parametrize(("glazes", "text"), [(("Moss",), "Moss runs."), (("Moss", "Plum"), "Moss and Plum run.")])
def test_a_plural_counts_a_list(glazes: tuple[str, ...], text: str) -> None:
    assert say(Message("runs", Plural("glazes", "{glazes} runs.", "{glazes} run."), glazes=glazes)) == text


@pytest.mark.parametrize(("count", "text"), [(0, "0 pieces"), (1, "1 piece"), (1_200, "1,200 pieces")])
def test_a_plural_counts_a_number_as_the_locale_writes_it(count: int, text: str) -> None:
    assert say(Message("pieces", Plural("count", "{count} piece", "{count} pieces"), count=count)) == text


def test_lists_are_written_as_cldr_writes_them_and_name_each_thing_once() -> None:
    assert read(("Plum", "Moss", "Plum", "Ash")) == "Plum, Moss, and Ash"
    assert read(Either(("Plum", "Moss", "Ash"))) == "Plum, Moss, or Ash"


def test_a_choice_goes_by_a_fact() -> None:
    words = Choice("why", {"dense": "It is dense.", "cracked": "It is cracked."})

    assert say(Message("shock", words, why="cracked")) == "It is cracked."


def test_nobody_is_told_to_ask_the_person_they_are() -> None:
    message = Message("ask", ByRole("Ask the instructor.", {"instructor": "Decide."}))

    assert {role: say(message, Reader(role=role)) for role in (None, *Role)} == {
        None: "Ask the instructor.",
        Role.STUDENT: "Ask the instructor.",
        Role.MEMBER: "Ask the instructor.",
        Role.STAFF: "Ask the instructor.",
        Role.INSTRUCTOR: "Decide.",
    }


def test_sentences_follow_one_another_each_once() -> None:
    one, other = Message("one", "One."), Message("other", "Other.")

    assert say(together([one, other, one])) == "One. Other."
    assert together([one]) is one
    assert say_all([one, other, one]) == "One. Other."
    assert read(Sentences((one, other))) == "One. Other."


def test_a_fact_that_begins_a_sentence_gets_its_capital() -> None:
    result = Message("result", "{what} over the limit", what="lead")

    assert say(Message("told", "{result:capital}.", result=result)) == "Lead over the limit."


# 1 in is 25.4 mm and 1 lb is 453.59237 g exactly (international yard and pound agreement of 1959); °F = 1.8 °C + 32.
@pytest.mark.parametrize(
    ("fact", "metric", "us"),
    [
        (mm(168), "168 mm", "6 5/8 in"),
        (mm(25.4), "25 mm", "1 in"),
        (mm(3), "3 mm", "1/8 in"),
        (mm(1_016), "1,016 mm", "40 in"),
        (grams(350), "350 g", "12 oz"),
        (grams(5), "5 g", "0.18 oz"),
        (mm(8), "8 mm", "5/16 in"),
        (mm(66.68, 2), "66.68 mm", "2.625 in"),
        (kilograms(9.07184740), "9.1 kg", "20 lb"),
        (grams(453.59237), "453.6 g", "1 lb"),
        (grams(4_500), "4.5 kg", "9 lb 15 oz"),
        (celsius(0), "0 °C", "32 °F"),
        (celsius(700), "700 °C", "1,292 °F"),
        (celsius_step(100), "100 °C", "180 °F"),
        (Quantity(150, Unit.CELSIUS_PER_HOUR, 0), "150 °C/h", "270 °F/h"),
        (percent(2.5), "2.5%", "2.5%"),
        (hours(24), "24 hours", "24 hours"),
        (hours(1), "1 hour", "1 hour"),
        (Quantity(0.52, Unit.MG_PER_L, 9), "0.52 mg/L", "0.52 mg/L"),
        (Quantity(1_250, Unit.CENTS), "12.50", "12.50"),
        (Quantity(320, Unit.MILLILITERS), "320 mL", "10.8 fl oz"),
    ],
)
def test_quantities_are_read_in_the_readers_units(fact: Quantity, metric: str, us: str) -> None:
    assert (read(fact, METRIC), read(fact, US)) == (metric, us)
    assert read(fact, replace(US, in_lines=True)) == us.replace(" ", NO_BREAK)


@pytest.mark.parametrize(
    ("over", "bound", "metric", "us"),
    [
        (grams(4_504), grams(4_500), ("4.504 kg", "4.5 kg"), ("9 lb 14.9 oz", "9 lb 14.7 oz")),
        (grams(1_816), grams(1_814.369), ("1.82 kg", "1.81 kg"), ("4 lb 0.1 oz", "4 lb")),
        (mm(168), mm(167), ("168 mm", "167 mm"), ("6 5/8 in", "6 9/16 in")),
        (percent(3.004), percent(3), ("3.004%", "3%"), ("3.004%", "3%")),
        (celsius(120.4), celsius(120), ("120.4 °C", "120 °C"), ("249 °F", "248 °F")),
        (kilowatts(12.3), kilowatts(12.1), ("12.3 kW", "12.1 kW"), ("42,000 Btu/h", "41,000 Btu/h")),
        (grams(5_000), grams(4_500), ("5 kg", "4.5 kg"), ("11 lb", "9 lb 15 oz")),
    ],
    ids=["tongs", "four pounds", "a chamber", "absorption", "a hot kiln", "a burner", "far over"],
)
def test_what_is_over_a_bound_never_reads_like_it(
    over: Quantity, bound: Quantity, metric: tuple[str, str], us: tuple[str, str]
) -> None:
    both = compared(over, bound)

    assert tuple(read(one, METRIC) for one in both) == metric
    assert tuple(read(one, US) for one in both) == us


@given(st.floats(0, 5_000))
def test_a_length_in_inches_is_never_off_by_more_than_a_sixteenth(length: float) -> None:
    words = read(mm(length), US).removesuffix(" in").replace(",", "").split()
    inches = sum(int(top) / int(below or 1) for top, _, below in (word.partition("/") for word in words))

    assert abs(inches * 25.4 - length) <= 25.4 / 16 + 1e-6


@given(st.sampled_from(CONES))
def test_a_cone_is_read_with_its_word_so_that_no_one_takes_06_for_6(cone: Cone) -> None:
    assert read(cone).startswith(f"cone {cone}, ")
    assert read(cone, US).endswith(f"{round(cone.celsius * 9 / 5 + 32):,} °F")


def test_a_range_of_cones_is_read_with_its_temperatures() -> None:
    assert read(ConeRange(Cone.parse("06"), Cone.parse("04"))) == "cone 06 to 04, 998 °C to 1,063 °C"


def test_moments_are_shown_in_the_readers_zone() -> None:
    moment = datetime(2026, 3, 3, 13, 5, tzinfo=UTC)
    spaces = str.maketrans({"\u202f": " "})

    assert read(moment, Reader(zone=ZoneInfo("America/Chicago"))).translate(spaces) == "Tue, Mar 3, 7:05 AM"
    assert read(date(2026, 3, 3)) == "Mar 3, 2026"


def test_a_value_of_an_enum_is_called_by_its_name() -> None:
    assert read(Stage.BISQUED) == "bisqued"
