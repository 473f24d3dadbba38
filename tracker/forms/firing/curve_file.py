"""A kiln's log as CSV text, whole or while it still grows: each whole line becomes a reading or is named as unusable.

The first line that is not empty names the columns, in any order and case; units stand in the name, with or without
brackets. Understood are

    minutes, min · seconds, sec, s · hours, h     time from the start, as a number
    elapsed, duration                             time from the start, as H:MM or H:MM:SS
    time, clock, date, timestamp                  clock time HH:MM[:SS], with AM or PM or not, running on past midnight;
                                                  or a whole ISO date and time; numbers there are minutes
    celsius, °C, C, degC · fahrenheit, °F, F      the temperature; temperature or temp alone is °C unless told otherwise
    mV, millivolts, emf                           what a thermocouple gives; K or S may stand beside it
    junction                                      the temperature of its cold junction, in °C

so "Time (min)", "temp_c" and "mV type K" are fine. A column named setpoint, target, schedule or note is passed over,
and so is any other that none of these words is in. Columns are divided by commas, semicolons or tabs. With semicolons a
comma is a decimal mark; else it means what it does in every field. Lines that begin with # and empty lines are passed
over.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from enum import StrEnum
from typing import Final

from tracker.domain.findings import Level
from tracker.domain.firing.curves import HOUR_S
from tracker.domain.firing.logs import KilnLog, LogFinding, Reading, log_finding, look_over
from tracker.domain.firing.thermocouples import Couple, OutOfRange, celsius_of
from tracker.domain.message import Either, Message, _
from tracker.domain.refusals import BadValue
from tracker.domain.studio.settings import LOG_PRACTICE, LogPractice
from tracker.forms.numbers import read_number
from tracker.forms.plain_values import Wrong, quoted, shown
from tracker.forms.strict_json import THIS_LINE, too_long

LONGEST_LOG: Final = 200_000
"""Readings in a log; two days of one a second take fewer."""

LONGEST_LINE: Final = 2_000
"""Characters on a line of a log."""


_TIME: Final = Message("time", _("time"))
_HEAT: Final = Message("temperature", _("temperature"))
_MILLIVOLTS: Final = Message("millivolts", _("number of mV"))


class Unit(StrEnum):
    """What a temperature is written in."""

    C = "c"
    F = "f"


class _Says(StrEnum):
    """What a column says."""

    SECONDS = "seconds"
    MINUTES = "minutes"
    HOURS = "hours"
    ELAPSED = "elapsed"
    CLOCK = "clock"
    TEMPERATURE = "temperature"
    CELSIUS = "celsius"
    FAHRENHEIT = "fahrenheit"
    MILLIVOLTS = "millivolts"
    JUNCTION = "junction"


_PASSED_OVER: Final = frozenset(
    {"setpoint", "set", "target", "schedule", "programme", "program", "note", "notes", "segment", "rate"}
)
# In this order: "elapsed min" is a number of minutes, and "junction °C" is no temperature of the kiln.
_WORDS: Final = (
    (_Says.JUNCTION, {"junction", "coldjunction"}),
    (_Says.MILLIVOLTS, {"mv", "millivolt", "millivolts", "emf"}),
    (_Says.MINUTES, {"minute", "minutes", "min", "mins"}),
    (_Says.SECONDS, {"second", "seconds", "sec", "secs", "s"}),
    (_Says.HOURS, {"hour", "hours", "hr", "hrs", "h"}),
    (_Says.ELAPSED, {"elapsed", "duration"}),
    (_Says.FAHRENHEIT, {"fahrenheit", "f", "degf"}),
    (_Says.CELSIUS, {"celsius", "c", "degc", "centigrade"}),
    (_Says.CLOCK, {"time", "clock", "date", "datetime", "timestamp"}),
    (_Says.TEMPERATURE, {"temperature", "temp"}),
)
_TIMES: Final = frozenset({_Says.SECONDS, _Says.MINUTES, _Says.HOURS, _Says.ELAPSED, _Says.CLOCK})
_HEATS: Final = frozenset({_Says.TEMPERATURE, _Says.CELSIUS, _Says.FAHRENHEIT, _Says.MILLIVOLTS})
_IN_S: Final = {_Says.SECONDS: 1.0, _Says.MINUTES: 60.0, _Says.HOURS: HOUR_S}
_DAY_S: Final = 24 * HOUR_S

# A third in a program's own digits has 17 of them, and some write more.
_NUMBER: Final = re.compile(r"[+-]?[0-9]{1,9}(?:\.[0-9]{1,40})?", re.ASCII)
_SPAN: Final = re.compile(r"([0-9]{1,3}):([0-5][0-9])(?::([0-5][0-9](?:\.[0-9]{1,40})?))?", re.ASCII)
_CLOCK: Final = re.compile(
    r"([01]?[0-9]|2[0-3]):([0-5][0-9])(?::([0-5][0-9](?:\.[0-9]{1,40})?))?(?: ?([ap])\.?m\.?)?",
    re.ASCII | re.IGNORECASE,
)
_MOST_ON_A_HALF_CLOCK: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveOptions:
    """What the person says about the log; each goes before what its header says.

    `unit`: of its temperatures. `couple`: the type of thermocouple behind mV. `junction_c`: its cold junction, in °C.
    """

    unit: Unit | None = None
    couple: Couple | None = None
    junction_c: float | None = None


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where a log's time, heat and junction stand, and what they say."""

    count: int
    time: tuple[int, _Says]
    heat: tuple[int, _Says]
    junction: int | None
    couple: Couple | None
    delimiter: str


class GrowingLog:
    """A log that is read while the kiln still writes it: only whole lines count, a half-written one waits.

    `taken` is how many bytes have been read so far, so that the file can be read on from there.
    """

    def __init__(self, options: CurveOptions | None = None, practice: LogPractice = LOG_PRACTICE) -> None:
        """Begin before the first line."""
        self._options = options or CurveOptions()
        self._practice = practice
        self._waiting = b""
        self._line = 0
        self._columns: _Columns | None = None
        self._is_broken = False
        self._first_s: float | None = None
        self._last_clock_s: float | None = None
        self._days = 0
        self._readings: list[Reading] = []
        self._findings: list[LogFinding] = []
        self.taken = 0

    def take(self, more: bytes) -> None:
        """Read what has come since: all of it but a last line that has no end yet."""
        self.taken += len(more)
        whole, end, rest = (self._waiting + more).rpartition(b"\n")
        self._waiting = rest
        if end:
            self._read(whole + end)

    def end(self) -> None:
        """Take the last line too: nothing more will come."""
        last, self._waiting = self._waiting, b""
        if last:
            self._read(last)

    def log(self) -> KilnLog:
        """The log so far, with everything found about it; refused as long as it has no two readings."""
        found = [*self._findings]
        if not self._is_broken:
            found += look_over(self._readings, self._practice)
        return KilnLog(tuple(self._readings), tuple(sorted(found, key=lambda one: one.line)))

    def _read(self, lines: bytes) -> None:
        for raw in lines.replace(b"\r\n", b"\n").replace(b"\r", b"\n").removesuffix(b"\n").split(b"\n"):
            self._line += 1
            if self._is_broken:
                return
            try:
                self._read_line(self._decoded(raw))
            except Wrong as wrong:
                what = Message("log-unreadable", "{problem}", problem=wrong.message)
                remedy = Message("fix-line", _("Fix the line in the file, or remove it."))
                self._findings.append(log_finding(self._line, Level.REFUSE, what, remedy))
                if self._columns is None:
                    self._is_broken = True

    def _decoded(self, raw: bytes) -> str:
        if len(raw) > LONGEST_LINE:
            raise Wrong(too_long(THIS_LINE, LONGEST_LINE))
        try:
            text = raw.decode("utf-8-sig" if self._line == 1 else "utf-8")
        except UnicodeDecodeError:
            raise Wrong(Message("not-text", _("this isn't UTF-8 text."))) from None
        return text.strip(" ")

    def _read_line(self, text: str) -> None:
        if not text.strip(" \t,;") or text.startswith("#"):
            return
        if self._columns is None:
            self._columns = _read_header(text, self._options)
            return
        if len(self._readings) >= LONGEST_LOG:
            self._is_broken = True
            raise Wrong(Message("too-many-readings", _("a log has at most {most} readings."), most=LONGEST_LOG))
        cells = _cells(text, self._columns.delimiter)
        if len(cells) != self._columns.count:
            words = _("expected {needed} columns. This line has {count}.")
            raise Wrong(Message("line-of-other-length", words, needed=self._columns.count, count=len(cells)))
        at, says = self._columns.time
        if says is _Says.CLOCK and not self._readings and self._number_in(cells[at]) is not None:
            self._columns = replace(self._columns, time=(at, _Says.MINUTES))
        second, celsius = self._second(cells), self._celsius(cells)
        self._first_s = second if self._first_s is None else self._first_s
        # To a millionth of a second, so that 0.1 min taken thirty times is three minutes.
        self._readings.append(Reading(self._line, round(second - self._first_s, 6), celsius))

    def _second(self, cells: list[str]) -> float:
        """The time on a line in s, counted from the start or from the first midnight."""
        at, says = self._here.time
        if says in _IN_S:
            return self._number(cells[at], _TIME) * _IN_S[says]
        if says is _Says.ELAPSED:
            return _span_of(cells[at])
        return self._clock(cells[at])

    def _clock(self, cell: str) -> float:
        """Clock time that goes on past midnight: a step back by more than half a day is a step into the next day."""
        written = _CLOCK.fullmatch(cell)
        if not written:
            return _moment(cell)
        second = _of_the_day(written)
        if self._last_clock_s is not None and self._last_clock_s - second > _DAY_S / 2:
            self._days += 1
        self._last_clock_s = second
        return second + self._days * _DAY_S

    def _celsius(self, cells: list[str]) -> float:
        at, says = self._here.heat
        number = self._number(cells[at], _HEAT if says is not _Says.MILLIVOLTS else _MILLIVOLTS)
        if says is _Says.MILLIVOLTS:
            return self._of_couple(number, cells)
        is_f = self._options.unit is Unit.F or (self._options.unit is None and says is _Says.FAHRENHEIT)
        return (number - 32) / 1.8 if is_f else number

    def _of_couple(self, millivolts: float, cells: list[str]) -> float:
        couple, junction_c = self._options.couple or self._here.couple, self._options.junction_c
        if junction_c is None and self._here.junction is not None:
            junction_c = self._number(cells[self._here.junction], _HEAT)
        if couple is None or junction_c is None:
            words = _("mV readings need a thermocouple type and the temperature of its cold junction.")
            raise Wrong(Message("millivolts-of-what", words))
        try:
            return celsius_of(couple, millivolts, junction_c)
        except OutOfRange as refusal:
            raise Wrong(refusal.message) from None

    def _number(self, cell: str, what: Message) -> float:
        if not cell:
            raise Wrong(Message("cell-missing", _("the {what} is missing."), what=what))
        number = self._number_in(cell)
        if number is None:
            raise Wrong(Message("cell-unreadable", _('"{text}" isn\'t a {what}.'), text=shown(cell), what=what))
        return number

    def _number_in(self, cell: str) -> float | None:
        """The number in a cell; None for anything else.

        Semicolons divide the columns where commas are decimal marks. Elsewhere a comma means what it does in any field.
        """
        plain = cell.replace(",", ".") if self._here.delimiter == ";" else cell
        if _NUMBER.fullmatch(plain):
            return float(plain)
        try:
            number = read_number(cell)
        except BadValue as refusal:
            raise Wrong(refusal.message) from None
        return None if number is None else float(number)

    @property
    def _here(self) -> _Columns:
        """The columns, once the header has been read."""
        if self._columns is None:
            raise Wrong(Message("no-columns", _("the first line must name the columns.")))
        return self._columns


def read_curve_file(text: str, options: CurveOptions | None = None, practice: LogPractice = LOG_PRACTICE) -> KilnLog:
    """A whole log from its CSV `text`, with everything that is wrong or odd about it by its line.

    `KilnLog.curve` gives the curve, or refuses.
    """
    log = GrowingLog(options, practice)
    log.take(text.encode("utf-8", errors="surrogatepass"))
    log.end()
    return log.log()


def _read_header(text: str, options: CurveOptions) -> _Columns:
    """What the columns say; `Wrong` when there is no time, no heat, or two of one."""
    delimiter = max(";\t,", key=text.count)
    names = _cells(text, delimiter)
    says = [_said_by(name) for name in names]
    time = _only(names, says, _TIMES, _TIME, "minutes", "elapsed", "time")
    heat = _only(names, says, _HEATS, _HEAT, "celsius", "fahrenheit", "mV")
    junctions = [at for at, one in enumerate(says) if one is _Says.JUNCTION]
    couple = _couple_in(names[heat[0]])
    if heat[1] is _Says.MILLIVOLTS and not (options.couple or couple):
        words = _("mV readings need a thermocouple type, {types}.")
        raise Wrong(Message("millivolts-of-which", words, types=Either(tuple(map(str, Couple)))))
    if heat[1] is _Says.MILLIVOLTS and options.junction_c is None and not junctions:
        words = _("mV readings need the temperature of the cold junction.")
        raise Wrong(Message("millivolts-above-what", words))
    return _Columns(len(names), time, heat, junctions[0] if junctions else None, couple, delimiter)


def _only(
    names: list[str], says: list[_Says | None], wanted: frozenset[_Says], what: Message, *such_as: str
) -> tuple[int, _Says]:
    found = [(at, one) for at, one in enumerate(says) if one in wanted and one is not None]
    if not found:
        words = _("the first line must name a column for the {what}, such as {such_as}. It names {names}.")
        raise Wrong(Message("no-such-column", words, what=what, such_as=Either(such_as), names=_list(names)))
    if len(found) > 1:
        words = _("{names}: more than one column for the {what}. Keep one.")
        raise Wrong(Message("two-such-columns", words, names=_list([names[at] for at, _one in found]), what=what))
    return found[0]


def _list(names: list[str]) -> tuple[Message | str, ...]:
    more = ("…",) if len(names) > 6 else ()  # noqa: PLR2004 -- as many as one reads
    return (*map(quoted, names[:6]), *more)


def _words_of(name: str) -> set[str]:
    """The words in a column's name: "Temp (°C)" is temp and c."""
    return set(re.findall(r"[a-z]+", name.lower().replace("cold junction", "junction")))


def _said_by(name: str) -> _Says | None:
    """What a column of that name says, or None for one that is passed over."""
    words = _words_of(name)
    if words & _PASSED_OVER:
        return None
    return next((says for says, known in _WORDS if words & known), None)


def _couple_in(name: str) -> Couple | None:
    """The type of thermocouple named beside mV: "mV type K", "S_mV"."""
    words = _words_of(name)
    found = [couple for couple in Couple if couple.lower() in words]
    return found[0] if len(found) == 1 else None


def _cells(text: str, delimiter: str) -> list[str]:
    try:
        (row,) = csv.reader([text], delimiter=delimiter, strict=True, skipinitialspace=True)
    except (csv.Error, ValueError):
        raise Wrong(Message("broken-quotes", _("unmatched quotation marks on this line."))) from None
    return [cell.strip() for cell in row]


def _span_of(cell: str) -> float:
    written = _SPAN.fullmatch(cell)
    if not written:
        words = _('"{text}" isn\'t a time from the start. Write it like 2:05 or 2:05:30.')
        raise Wrong(Message("no-span", words, text=shown(cell)))
    hours, minutes, seconds = written.groups()
    return int(hours) * HOUR_S + int(minutes) * 60 + float(seconds or 0)


def _of_the_day(written: re.Match[str]) -> float:
    hour, half = int(written[1]), (written[4] or "").lower()
    if half:
        if not 1 <= hour <= _MOST_ON_A_HALF_CLOCK:
            raise Wrong(Message("no-such-hour", _('"{text}" isn\'t a time of day.'), text=shown(written[0])))
        hour = hour % _MOST_ON_A_HALF_CLOCK + (_MOST_ON_A_HALF_CLOCK if half == "p" else 0)
    return hour * HOUR_S + int(written[2]) * 60 + float(written[3] or 0)


def _moment(cell: str) -> float:
    """A whole ISO date and time in s; where it names no zone, by the kiln's own clock."""
    try:
        moment = datetime.fromisoformat(cell) if "-" in cell else None
    except ValueError:
        moment = None
    if moment is None:
        raise Wrong(Message("no-clock", _('"{text}" isn\'t a time of day. Write it like 14:05.'), text=shown(cell)))
    return (moment - datetime(2000, 1, 1, tzinfo=UTC if moment.tzinfo else None)).total_seconds()
