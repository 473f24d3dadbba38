"""Which cone a log has reached, asked from the command line without a database."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tracker.domain.cones import Cone
from tracker.domain.firing.cone_model import fits
from tracker.domain.firing.curves import Curve
from tracker.domain.firing.heat_work import heat_work
from tracker.domain.firing.thermocouples import Couple, emf_of

# Cone 6 self-supporting ends at 1222 °C and large at 1220 °C when heated by 60 °C an hour (the Orton chart).
TO_SIX = "minutes,celsius\n0,20\n1202,1222\n"


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """A file to write a log into."""
    return tmp_path / "curve.csv"


def test_a_script_gets_exactly_the_documented_keys(run: Run, log: Path) -> None:
    log.write_text(TO_SIX, encoding="utf-8")

    result = run("cone-reached", str(log), "--json")

    answer = json.loads(result.stdout)
    assert (result.exit_code, result.stderr) == (0, "")
    assert list(answer) == ["cone", "fraction", "peak_c", "rate_last_100_c_per_h", "reached"]
    assert (answer["cone"], answer["peak_c"], answer["rate_last_100_c_per_h"]) == ("6", 1222, 60)
    assert answer["fraction"] == pytest.approx(0, abs=1e-4)
    assert answer["reached"]["6"] == pytest.approx(1, abs=1e-6)
    assert list(answer["reached"]) == [str(cone) for cone in fits("self-supporting")]


def test_a_kiln_that_reached_no_cone_says_null(run: Run, log: Path) -> None:
    log.write_text("minutes,celsius\n0,20\n30,80\n", encoding="utf-8")

    answer = json.loads(run("cone-reached", str(log), "--json").stdout)

    assert (answer["cone"], answer["rate_last_100_c_per_h"]) == (None, None)
    assert 0 <= answer["fraction"] < 1e-6


def test_whoever_asks_for_us_units_reads_them_in_the_sentences_and_not_in_the_json(run: Run, log: Path) -> None:
    log.write_text(TO_SIX, encoding="utf-8")

    us = ("--units", "us")

    assert "Peak 2,232 °F (1,222 °C)" in run("cone-reached", str(log), *us).stdout
    assert json.loads(run("cone-reached", str(log), *us, "--json").stdout)["peak_c"] == 1222
    # Cone 6 ends at 1,222 °C or 2,232 °F, when heated by 60 °C or 108 °F an hour.
    table = run("hold-times", *us).stdout
    assert " 2232 °F " in table
    assert "108 °F an hour" in table
    assert "°C" not in table


def test_a_person_gets_sentences(run: Run, log: Path) -> None:
    log.write_text(TO_SIX, encoding="utf-8")

    result = run("cone-reached", str(log), "--target", "cone 7")

    assert result.stdout.splitlines() == [
        "Cone 6, 1,222 °C (self-supporting cones).",
        "Peak 1,222 °C (2,232 °F) after 20 hours 2 minutes; 60 °C/h over the last 100 °C.",
        (
            "Target cone 7, 1,239 °C: will fall in 17 minutes at the current 60 °C/h, "
            "or in 27 minutes if held at 1,222 °C."
        ),
        "Note: line 2: readings are 20 hours 2 minutes apart; the gaps are filled in with straight lines.",
        "A model, not a witness. Trust the cones in the kiln. Never leave a firing kiln unattended.",
    ]


@pytest.mark.parametrize(
    ("lines", "target", "says"),
    [
        pytest.param("0,20\n1202,1222\n", "6", "Target cone 6, 1,222 °C: it's down.", id="down"),
        pytest.param("0,20\n1202,1222\n1220,1000\n", "10", "or held at 1,000 °C.", id="never"),
        pytest.param("0,20\n600,580\n", "022", "That gives 1,398 kJ/mol, and its neighbors have 420", id="odd fit"),
    ],
)
def test_a_target_is_told_with_what_is_odd_about_it(run: Run, log: Path, lines: str, target: str, says: str) -> None:
    log.write_text(f"minutes,celsius\n{lines}", encoding="utf-8")

    assert says in run("cone-reached", str(log), "--target", target).stdout


def test_large_cones_are_asked_by_name_and_have_their_own_table(run: Run, log: Path) -> None:
    log.write_text(TO_SIX.replace("1202,1222", "1200,1220"), encoding="utf-8")

    large = json.loads(run("cone-reached", str(log), "--json", "--kind", "large").stdout)
    small = json.loads(run("cone-reached", str(log), "--json").stdout)

    said = run("cone-reached", str(log), "--kind", "large", "--target", "7").stdout
    assert said.startswith("Cone 6, 1,220 °C (large cones).")
    assert "Target cone 7, 1,237 °C" in said
    assert (large["cone"], small["cone"]) == ("6", "5.5")
    assert "5.5" not in large["reached"]


def test_celsius_fahrenheit_and_millivolts_of_one_firing_reach_one_cone(run: Run, log: Path) -> None:
    curve = Curve.of((60.0 * minute, 20 + minute * 1.02) for minute in range(0, 1_201, 5))
    points = list(zip(curve.seconds, curve.celsius, strict=True))
    answers = []
    for heading, words, options in (
        ("celsius", [f"{heat:.4f}" for _, heat in points], ()),
        ("temp", [f"{heat * 1.8 + 32:.4f}" for _, heat in points], ("--unit", "f")),
        ("mV", [f"{emf_of(Couple.K, heat) - emf_of(Couple.K, 30):.6f}" for _, heat in points],
         ("--thermocouple", "k", "--junction", "30")),
        ("mV", [f"{emf_of(Couple.S, heat):.6f}" for _, heat in points], ("--thermocouple", "S", "--junction", "0")),
    ):  # fmt: skip
        lines = [f"{second / 60},{word}" for (second, _), word in zip(points, words, strict=True)]
        log.write_text("\n".join([f"minutes,{heading}", *lines]), encoding="utf-8")
        answers.append(json.loads(run("cone-reached", str(log), "--json", *options).stdout))

    wanted = heat_work(curve).reached
    assert [answer["cone"] for answer in answers] == [str(wanted.cone)] * 4
    assert [answer["fraction"] for answer in answers] == pytest.approx([wanted.fraction] * 4, abs=2e-3)


def test_a_questioned_log_is_not_used_until_somebody_accepts_it(run: Run, log: Path) -> None:
    log.write_text("minutes,celsius\n0,70\n600,1319\n", encoding="utf-8")

    asked, accepted = run("cone-reached", str(log), "--json"), run("cone-reached", str(log), "--json", "--accept")

    assert (asked.exit_code, asked.stdout) == (1, "")
    assert "line 2: it starts at 70 °C and goes to 1,319 °C. Is this °F" in asked.stderr
    assert "add --accept" in asked.stderr
    assert accepted.exit_code == 0
    assert json.loads(accepted.stdout)["peak_c"] == 1319


def test_a_refused_log_stays_refused_whatever_is_accepted(run: Run, log: Path) -> None:
    log.write_text("minutes,celsius\n0,20\n30,80\n20,90\n", encoding="utf-8")

    result = run("cone-reached", str(log), "--json", "--accept")

    assert (result.exit_code, result.stdout) == (1, "")
    assert "line 4: the clock goes back by 10 minutes." in result.stderr


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        pytest.param(["--target", "6.3"], 2, "isn't a cone", id="no cone"),
        pytest.param(["--target", "022", "--kind", "large"], 1, "for a large cone 022", id="a cone that large lacks"),
        pytest.param(["--kind", "small"], 2, "'small' is not one of", id="a kind nobody knows"),
    ],
)
def test_a_question_that_makes_no_sense_is_answered_so(
    run: Run, log: Path, words: list[str], status: int, says: str
) -> None:
    log.write_text(TO_SIX, encoding="utf-8")

    result = run("cone-reached", str(log), *words)

    assert result.exit_code == status
    assert says in result.stderr


def test_hold_times_are_printed_for_all_neighbours(run: Run) -> None:
    lines = run("hold-times").stdout.splitlines()
    values = json.loads(run("hold-times", "--kind", "large", "--json").stdout)

    assert "    5   1186 °C      6     89 min" in lines
    assert len(lines) == 1 + len(fits("self-supporting")) - 1 + 2 + 1
    assert values[0] == {"cone": "019", "at_c": 676, "next": "018", "minutes": 94.0}
    assert {one["cone"] for one in values} == {str(cone) for cone in fits("large") if cone != Cone.parse("12")}
