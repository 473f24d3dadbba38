"""A kiln's log as it was read, and what is wrong with it: told line by line, never mended or smoothed away.

What cannot be is refused: time that runs backwards, two temperatures at one time, what is no number, a heat that no
kiln reaches. What may be but looks like a mistake is questioned, and the log becomes a curve only when somebody who
looked says yes: °F read as °C, a gap, a jump. What is merely worth knowing is a note.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import isfinite
from statistics import median
from typing import Final

from tracker.domain.cones import END_POINTS
from tracker.domain.findings import Finding, Level, NeedsAcceptance
from tracker.domain.firing.curves import HOUR_S, Curve, lasting
from tracker.domain.message import Choice, Message, Plural, _, together
from tracker.domain.quantities import celsius, celsius_as_read, celsius_per_minute, celsius_step, hours, seconds
from tracker.domain.refusals import Unusable
from tracker.domain.studio.settings import LOG_PRACTICE, LogPractice

_MOST_TOLD: Final = 12
_MINUTE_S: Final = 60


HOTTEST_CONE_C: Final = max(max(points.values()) for points in END_POINTS.values())
"""The hottest end point of any cone, in °C: a log that goes higher is questioned."""

_COOLEST_CONE_F: Final = min(min(points.values()) for points in END_POINTS.values()) * 9 / 5 + 32


@dataclass(frozen=True, slots=True)
class Reading:
    """One line of a log: its number in the file, seconds from the first reading on, and °C."""

    line: int
    seconds: float
    celsius: float


@dataclass(frozen=True, slots=True)
class LogFinding(Finding):
    """One thing about a log: the `line` it is about and `what` is to be said, both of which its message names."""

    line: int = 0
    what: Message = field(kw_only=True)


def log_finding(line: int, level: Level, what: Message, remedy: Message | None = None) -> LogFinding:
    """What is to be said about `line`: `what` goes on after the line's number, and its code is the rule's name."""
    message = Message(what.code, _("line {line}: {what}"), line=line, what=what)
    return LogFinding(level, message, remedy, "common practice", line, what=what)


@dataclass(frozen=True, slots=True)
class KilnLog:
    """Readings in the order of their lines, with everything found about them."""

    readings: tuple[Reading, ...]
    findings: tuple[LogFinding, ...]

    @property
    def refusals(self) -> tuple[LogFinding, ...]:
        """What makes the log unusable."""
        return tuple(one for one in self.findings if one.level is Level.REFUSE)

    @property
    def questions(self) -> tuple[LogFinding, ...]:
        """What somebody must have looked at before the log is used."""
        return tuple(one for one in self.findings if one.level is Level.ASK)

    @property
    def notes(self) -> tuple[LogFinding, ...]:
        """What is worth knowing and asks nothing."""
        return tuple(one for one in self.findings if one.level is Level.NOTE)

    def curve(self, *, accepts: bool = False) -> Curve:
        """The curve of the log: its readings as they stand.

        `Unusable` with each reason when it is refused; `NeedsAcceptance` when it is questioned and nobody `accepts`.
        """
        if self.refusals:
            remedies = [one.remedy for one in self.refusals if one.remedy is not None]
            raise Unusable(_told(self.refusals), together(remedies) if remedies else None)
        if self.questions and not accepts:
            raise NeedsAcceptance(self.questions)
        return Curve.of({one.seconds: one.celsius for one in self.readings}.items())


def _told(findings: Sequence[LogFinding]) -> list[Message]:
    """Each sentence, or the first dozen and how many more: a scrambled log breaks on every other line."""
    more = len(findings) - _MOST_TOLD
    told = [one.message for one in findings[:_MOST_TOLD]]
    words = Plural("count", "{count} more line is like these.", "{count} more lines are like these.")
    return [*told, Message("more-lines", words, count=more)] if more > 0 else told


def look_over(readings: Sequence[Reading], practice: LogPractice = LOG_PRACTICE) -> tuple[LogFinding, ...]:
    """Everything found about the readings of a log, in the order of its lines."""
    sound = [one for one in readings if isfinite(one.seconds) and isfinite(one.celsius)]
    found = [
        *(_no_number(one) for one in readings if not (isfinite(one.seconds) and isfinite(one.celsius))),
        *_impossible(sound, practice),
        *_clock(sound),
        *_too_few(sound),
        *_unit(sound, practice),
        *_too_long(sound, practice),
        *_gaps(sound, practice),
        *_jumps(sound, practice),
        *_stalls(sound, practice),
    ]
    return tuple(sorted(found, key=lambda one: one.line))


def _no_number(one: Reading) -> LogFinding:
    what = Message("log-no-number", _("this isn't a number."))
    return log_finding(one.line, Level.REFUSE, what, Message("take-line-out", _("Remove the line.")))


_WHICH_UNIT: Final = Message("say-which-unit", _("Choose its unit, or remove the line."))


def _impossible(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    found = []
    for one in readings:
        if one.celsius > practice.hottest_c:
            words = _("{heat} is hotter than any kiln here. It may be °F.")
            if (one.celsius - 32) / 1.8 > practice.hottest_c:
                words = _("{heat}: no kiln gets that hot.")
        elif one.celsius < practice.coldest_c:
            words = _("{heat} is colder than any kiln room.")
        else:
            continue
        what = Message("log-impossible", words, heat=celsius_as_read(one.celsius))
        found.append(log_finding(one.line, Level.REFUSE, what, _WHICH_UNIT))
    return found


def _clock(readings: Sequence[Reading]) -> list[LogFinding]:
    found = []
    for before, after in pairwise(readings):
        if after.seconds < before.seconds:
            words = _("the clock goes back by {span}.")
            what = Message("log-backwards", words, span=lasting(before.seconds - after.seconds))
            remedy = Message("put-lines-in-order", _("Put the lines in order of time."))
            found.append(log_finding(after.line, Level.REFUSE, what, remedy))
        elif after.seconds == before.seconds and after.celsius != before.celsius:
            words = _("{first} and {second} have the same time.")
            what = Message("log-two-at-once", words, first=celsius(before.celsius, 1), second=celsius(after.celsius, 1))
            remedy = Message("keep-right-one", _("Keep the right one."))
            found.append(log_finding(after.line, Level.REFUSE, what, remedy))
        elif after.seconds == before.seconds:
            what = Message("log-twice", _("duplicate reading; counted once."))
            found.append(log_finding(after.line, Level.NOTE, what))
    return found


def _too_few(readings: Sequence[Reading]) -> list[LogFinding]:
    if len({one.seconds for one in readings}) > 1:
        return []
    line = readings[-1].line if readings else 1
    return [log_finding(line, Level.REFUSE, Message("log-too-short", _("a curve needs at least two readings.")))]


def _unit(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    if not readings:
        return []
    first, peak = readings[0], max(readings, key=lambda one: one.celsius)
    heats = {"first": celsius_as_read(first.celsius), "peak": celsius_as_read(peak.celsius)}
    is_f = Message("say-fahrenheit", _("Choose °F, or confirm that it's correct."))
    found = []
    if HOTTEST_CONE_C < peak.celsius <= practice.hottest_c:
        words = _("{peak} is hotter than any cone. Is this °F?")
        what = Message("log-looks-like-f", words, **heats)
        found.append(log_finding(peak.line, Level.ASK, what, is_f))
    elif peak.celsius >= _COOLEST_CONE_F and practice.room_f_from <= first.celsius <= practice.room_f_to:
        words = _("it starts at {first} and goes to {peak}. Is this °F in a room at 70 °F?")
        what = Message("log-looks-like-f", words, **heats)
        found.append(log_finding(first.line, Level.ASK, what, is_f))
    if practice.coldest_c <= first.celsius < practice.cold_room_c:
        words = _("it starts at {first}, colder than a kiln room. Was °C entered as °F?")
        what = Message("log-looks-like-c", words, first=celsius(first.celsius))
        is_c = Message("say-celsius", _("Choose °C, or confirm that it's correct."))
        found.append(log_finding(first.line, Level.ASK, what, is_c))
    return found


def _too_long(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    if not readings or readings[-1].seconds - readings[0].seconds <= practice.longest_h * HOUR_S:
        return []
    lasts = (readings[-1].seconds - readings[0].seconds) / HOUR_S
    words = _("the log lasts {span}, longer than any firing. Were seconds read as minutes?")
    what = Message("log-too-long", words, span=hours(lasts, 0))
    remedy = Message("name-unit", _("Name the unit in the header."))
    return [log_finding(readings[-1].line, Level.ASK, what, remedy)]


def _gaps(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    pauses = [after.seconds - before.seconds for before, after in pairwise(readings) if after.seconds > before.seconds]
    if not pauses:
        return []
    usual = median(pauses)
    times = practice.gap_times_of_few if len(readings) < practice.few else practice.gap_times
    longest = max(practice.gap_min * 60, times * usual)
    both = pairwise(readings)
    found = [_gap(before, after) for before, after in both if after.seconds - before.seconds > longest]
    if usual > practice.sparse_min * 60:
        words = _("readings are {span} apart; the gaps are filled in with straight lines.")
        what = Message("log-sparse", words, span=lasting(usual))
        found.append(log_finding(readings[0].line, Level.NOTE, what))
    return found


def _gap(before: Reading, after: Reading) -> LogFinding:
    what = Message(
        "log-gap",
        _("no reading for {span} before this one, from {low} to {high}."),
        span=lasting(after.seconds - before.seconds),
        low=celsius(before.celsius, 1),
        high=celsius(after.celsius, 1),
    )
    remedy = Message("fill-in", _("Fill in what you know, or accept a straight line."))
    return log_finding(after.line, Level.ASK, what, remedy)


_JUMPS: Final = Choice(
    "way",
    {
        "up": _("it rises by {step} in {span}. No kiln changes by more than {most}."),
        "down": _("it falls by {step} in {span}. No kiln changes by more than {most}."),
    },
)


def _jumps(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    remedy = Message("look-at-thermocouple", _("Check the thermocouple. Was the kiln opened?"))
    found = []
    for before, after in pairwise(readings):
        passed = after.seconds - before.seconds
        moved = after.celsius - before.celsius
        if passed > 0 and abs(moved) > practice.jump_c_per_min * max(1.0, passed / 60):
            what = Message(
                "log-jump",
                _JUMPS,
                way="up" if moved > 0 else "down",
                step=celsius_step(abs(moved)),
                span=lasting(passed) if passed >= _MINUTE_S else seconds(passed),
                most=celsius_per_minute(practice.jump_c_per_min),
            )
            found.append(log_finding(after.line, Level.ASK, what, remedy))
    return found


def _stalls(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    """Where it stood still before its peak and then went on: a hold or a stall, which a log alone cannot tell."""
    peak = max((one.celsius for one in readings), default=0.0)
    found, start = [], 0
    for at, one in enumerate(readings):
        if abs(one.celsius - readings[start].celsius) <= practice.stall_c:
            continue
        begin, end = readings[start], readings[max(start, at - 1)]
        lasted = end.seconds - begin.seconds
        rises_on = begin.celsius < one.celsius and peak - end.celsius > 2 * practice.stall_c
        if lasted >= practice.stall_min * 60 and rises_on:
            words = _("from here it holds at {heat} for {span}: a hold, or a stall?")
            what = Message("log-stall", words, heat=celsius(begin.celsius), span=lasting(lasted))
            found.append(log_finding(begin.line, Level.NOTE, what))
        start = at
    return found
