"""A log is read from what kilns, spreadsheets and people write, and every bad line is named."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.firing.test_curves import curves
from tests.reading import said, tells
from tracker.domain.findings import NeedsAcceptance
from tracker.domain.firing.curves import Curve
from tracker.domain.firing.heat_work import heat_work
from tracker.domain.firing.logs import KilnLog
from tracker.domain.firing.thermocouples import Couple, emf_of
from tracker.domain.refusals import Unusable
from tracker.forms.firing.curve_file import LONGEST_LINE, CurveOptions, GrowingLog, Unit, read_curve_file

PLAIN = "minutes,celsius\n0,20\n30,70.5\n90,250\n"
CURVE = Curve.of([(0, 20), (1_800, 70.5), (5_400, 250)])


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(PLAIN, id="as documented"),
        pytest.param("\ufeffMinutes;°C\r\n0;20\r\n30;70,5\r\n90;250", id="a spreadsheet with decimal commas"),
        pytest.param("Temp (°C)\tTime (min)\n20\t0\n70,5\t30\n250\t90\n", id="tabs and the other order"),
        pytest.param("# kiln 2, Tuesday\n\nmin , temperature\n0, 20\n\n# lunch\n30, 70.5\n,\n90, 250\n", id="comments"),
        pytest.param(
            '"minutes","celsius","note"\n"0","20","lit, at last"\n"30","70.5",""\n"90","250",""\n', id="quotes"
        ),
        pytest.param("minutes,setpoint c,celsius,zone 2\n0,25,20,1\n30,80,70.5,x\n90,260,250,\n", id="other columns"),
        pytest.param("seconds,degC\n0,20\n1800,70.5\n5400,250\n", id="seconds"),
        pytest.param("time_h,temp_c\n0,20\n0.5,70.5\n1.5,250\n", id="hours"),
        pytest.param("time;temp\n0;20\n30;70,5\n90;250\n", id="time and temp without units"),
        pytest.param("h,c\n0.0000000000000000,20\n0.5,70.4999999999999999\n1.5,249.99999999999997\n", id="decimals"),
        pytest.param("elapsed,c\n0:00:00.0000000000,20\n0:30,70.5\n1:30:00,250\n", id="parts of a second"),
        pytest.param("elapsed,c\n0:00,20\n0:30,70.5\n1:30:00,250\n", id="elapsed"),
        pytest.param("time,°F\n22:45,68\n23:15,158.9\n00:15,482\n", id="clock past midnight, and °F"),
        pytest.param("clock,fahrenheit\n10:45 PM,68\n11:15 pm,158.9\n12:15 a.m.,482\n", id="a twelve-hour clock"),
        pytest.param(
            "timestamp,celsius\n2026-02-28T23:30,20\n2026-03-01 00:00:00,70.5\n2026-03-01T01:00,250\n", id="ISO"
        ),
        pytest.param(
            "time,celsius\n2026-03-29T01:30+01:00,20\n2026-03-29T03:00+02:00,70.5\n2026-03-29T02:00Z,250\n", id="zones"
        ),
        pytest.param("minutes,celsius\r0,20\r30,70.5\r90,250\r", id="old line ends"),
        pytest.param("minutes,celsius\n10,20\n40,70.5\n100,250", id="not from 0"),
    ],
)
def test_a_log_is_read_however_it_was_written(text: str) -> None:
    curve = read_curve_file(text).curve()

    assert curve.seconds == pytest.approx(CURVE.seconds)
    assert curve.celsius == pytest.approx(CURVE.celsius)


def test_two_nights_go_by_on_one_clock() -> None:
    times = ["12:00", "20:00", "04:00", "12:00", "20:00", "04:00"]
    text = "time,celsius\n" + "".join(f"{time},{100 + at}\n" for at, time in enumerate(times))

    assert read_curve_file(text).curve().lasts_s == 40 * 3_600


@pytest.mark.parametrize(
    ("header", "options"),
    [
        pytest.param("mV type K,junction", CurveOptions(), id="all in the header"),
        pytest.param("mV,cold junction (°C)", CurveOptions(couple=Couple.K), id="the type from the person"),
        pytest.param("emf,x", CurveOptions(couple=Couple.K, junction_c=25), id="both from the person"),
        pytest.param("K_mv,junction", CurveOptions(junction_c=25), id="the person goes before the column"),
    ],
)
def test_millivolts_become_degrees(header: str, options: CurveOptions) -> None:
    junction = 40 if "junction" in header and options.junction_c else 25
    measured = {minutes: emf_of(Couple.K, heat) - emf_of(Couple.K, 25) for minutes, heat in ((0, 30), (300, 905))}
    lines = [f"{minutes},{millivolts:.4f},{junction}" for minutes, millivolts in measured.items()]

    curve = read_curve_file("\n".join([f"minutes,{header}", *lines]), options).curve()

    assert curve.celsius == pytest.approx((30, 905), abs=0.01)


def test_type_s_is_read_too() -> None:
    # 13.159 mV is 1300 °C and 0.646 mV is 100 °C by the NIST tables, with the cold junction at 0 °C.
    curve = read_curve_file("minutes,S mV,junction\n0,0.646,0\n600,13.159,0").curve()

    assert curve.celsius == pytest.approx((100, 1_300), abs=0.05)


@pytest.mark.parametrize(
    ("text", "peak"),
    [
        # In a file divided by semicolons commas are decimal marks; elsewhere "1,018" is what it is in any field.
        pytest.param('minutes,celsius\n0,20\n60,"1,018"\n', 1_018, id="quoted among commas"),
        pytest.param("minutes\tcelsius\n0\t20\n60\t1,018\n", 1_018, id="tabs"),
        pytest.param("minutes\tcelsius\n0\t20\n60\t1,018.5\n", 1_018.5, id="tabs, with decimals"),
        pytest.param("minutes;celsius\n0;20\n60;70,125\n", 70.125, id="semicolons"),
    ],
)
def test_what_a_comma_means_depends_on_what_divides_the_columns(text: str, peak: float) -> None:
    assert read_curve_file(text).curve(accepts=True).peak_c == peak


@pytest.mark.parametrize(
    ("text", "line", "code"),
    [
        pytest.param("", 1, "log-too-short", id="nothing"),
        pytest.param("minutes,celsius\n", 1, "log-too-short", id="a header alone"),
        pytest.param("0,20\n30,70\n", 1, "no-such-column", id="no header"),
        pytest.param("minutes,pressure\n0,20\n", 1, "no-such-column", id="no heat"),
        pytest.param("minutes,hours,c\n0,0,20\n", 1, "two-such-columns", id="two times"),
        pytest.param("minutes,top c,bottom c\n0,20,20\n", 1, "two-such-columns", id="two heats"),
        pytest.param("minutes,mV\n0,1\n", 1, "millivolts-of-which", id="mV of what"),
        pytest.param("minutes,mV K\n0,1\n", 1, "millivolts-above-what", id="mV above what"),
        pytest.param("minutes,mV K,junction\n0,1,25\n1,60,25\n", 3, "no-such-voltage", id="mV that K never gives"),
        pytest.param("minutes,mV K,junction\n0,1,25\n1,2,99\n", 3, "junction-outside", id="hot junction"),
        pytest.param("minutes,mV K,junction\n0,1,25\n1,2,\n", 3, "cell-missing", id="no junction"),
        pytest.param(PLAIN + "100,\n", 5, "cell-missing", id="no heat on a line"),
        pytest.param(PLAIN + "100,ERR\n", 5, "cell-unreadable", id="an error of the kiln"),
        pytest.param(PLAIN + "100,nan\n", 5, "cell-unreadable", id="nan"),
        pytest.param(PLAIN + "100,1e3\n", 5, "cell-unreadable", id="exponent"),
        pytest.param('minutes,c\n0,20\n60,"1018,500"\n', 3, "number-either-way", id="a comma that could be either"),
        pytest.param(PLAIN + "100,260,5\n", 5, "line-of-other-length", id="long line"),
        pytest.param(PLAIN + "100\n", 5, "line-of-other-length", id="short line"),
        pytest.param(PLAIN + '100,"260\n', 5, "broken-quotes", id="open quote"),
        pytest.param(PLAIN + "80,260\n", 5, "log-backwards", id="backwards"),
        pytest.param(PLAIN + "90,260\n", 5, "log-two-at-once", id="two at once"),
        pytest.param(PLAIN + f"{'1' * LONGEST_LINE},260\n", 5, "too-long", id="endless line"),
        pytest.param(PLAIN + "\ud800,260\n", 5, "not-text", id="half a letter"),
        pytest.param("time,celsius\n25:00,20\n", 2, "no-clock", id="25 o'clock"),
        pytest.param("time,celsius\n13:00 pm,20\n", 2, "no-such-hour", id="13 pm"),
        pytest.param("time,celsius\n10:00,20\n20,40\n", 3, "no-clock", id="a number after a clock"),
        pytest.param("time,celsius\n10,20\n10:20,40\n", 3, "cell-unreadable", id="a clock after a number"),
        pytest.param("time,celsius\n2026-02-31,20\n", 2, "no-clock", id="no such day"),
        pytest.param("time,celsius\n23:00,20\n22:30,40\n", 3, "log-backwards", id="clock back"),
        pytest.param("elapsed,celsius\n0:00,20\n90,40\n", 3, "no-span", id="no span"),
    ],
)
def test_a_log_that_cannot_be_used_is_refused_by_its_line(text: str, line: int, code: str) -> None:
    with pytest.raises(Unusable) as refusal:
        read_curve_file(text).curve(accepts=True)

    assert any(one["line"] == line and tells([one], code) for one in refusal.value.problems)
    assert all(said(one).startswith("line ") and said(one).endswith(".") for one in refusal.value.problems)


def test_every_bad_line_is_named_at_once() -> None:
    log = read_curve_file("minutes,celsius\n0,20\nx,30\n20,y\n15,40\n10,50\n")

    assert [one.line for one in log.refusals] == [3, 4, 6]


@pytest.mark.parametrize(
    ("text", "options", "rule"),
    [
        pytest.param("minutes,celsius\n0,70\n600,1319\n", None, "log-looks-like-f", id="°F under °C"),
        pytest.param("minutes,temp\n0,20\n600,661\n", CurveOptions(unit=Unit.F), "log-looks-like-c", id="°C as °F"),
    ],
)
def test_a_log_in_the_wrong_unit_is_questioned(text: str, options: CurveOptions | None, rule: str) -> None:
    with pytest.raises(NeedsAcceptance, match=rule):
        read_curve_file(text, options).curve()


def test_what_the_person_says_about_the_unit_goes_before_the_header() -> None:
    curve = read_curve_file("minutes,celsius\n0,68\n600,1868\n", CurveOptions(unit=Unit.F)).curve()

    assert curve.celsius == pytest.approx((20, 1_020))


@given(curve=curves())
def test_a_log_in_fahrenheit_reaches_the_cone_that_it_reaches_in_celsius(curve: Curve) -> None:
    points = list(zip(curve.seconds, curve.celsius, strict=True))
    celsius = "seconds,celsius\n" + "".join(f"{second:.3f},{heat:.9f}\n" for second, heat in points)
    fahrenheit = "seconds,fahrenheit\n" + "".join(f"{second:.3f},{heat * 1.8 + 32:.9f}\n" for second, heat in points)

    one, other = (heat_work(read_curve_file(text).curve(accepts=True)).reached for text in (celsius, fahrenheit))

    assert one.step == pytest.approx(other.step, abs=1e-4)


@given(
    text=st.text(max_size=60) | st.from_regex(r"(minutes|time|s),(c|mv k|temp)(\n[0-9:.,-]{0,9}){0,6}", fullmatch=True)
)
def test_any_text_is_a_curve_or_refused_and_never_anything_else(text: str) -> None:
    log = read_curve_file(text)

    if log.refusals:
        with pytest.raises(Unusable) as refused:
            log.curve(accepts=True)
        assert all("line" in one or one.code == "more-lines" for one in refused.value.problems)
    else:
        assert len(log.curve(accepts=True).seconds) > 1


# ---- while it grows --------------------------------------------------------------------------------------------


def test_a_growing_log_takes_whole_lines_and_lets_a_half_written_one_wait() -> None:
    log = GrowingLog()
    log.take(b"minutes,celsius\n0,20\n30,70.5\n90,2")
    half = log.log()
    log.take(b"50\n")

    assert [one.celsius for one in half.readings] == [20, 70.5]
    assert log.log().curve() == CURVE
    assert log.taken == len(PLAIN)


def test_a_log_that_has_ended_takes_its_last_line_too() -> None:
    log = GrowingLog()
    log.take(PLAIN.strip().encode())
    assert len(log.log().readings) == 2

    log.end()

    assert log.log().curve() == CURVE


@given(cuts=st.lists(st.integers(0, 200), max_size=12))
def test_in_whatever_pieces_a_log_comes_it_is_the_same_log(cuts: list[int]) -> None:
    raw = "\ufeffclock;°C;note\r\n23:50;20;é\r\n00:20;70,5;\r\n# ü\r\n01:20;x;\r\n01:40;250;ok\r\n".encode()
    ends = [0, *sorted(min(cut, len(raw)) for cut in cuts), len(raw)]
    log = GrowingLog()

    for start, end in pairwise(ends):
        log.take(raw[start:end])

    assert log.log() == read_curve_file(raw.decode())
    assert [one.line for one in log.log().refusals] == [5]


def test_a_log_that_has_only_just_begun_is_not_usable_yet() -> None:
    log = GrowingLog()

    assert isinstance(log.log(), KilnLog)
    with pytest.raises(Unusable, match="log-too-short"):
        log.log().curve()
