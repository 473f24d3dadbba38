"""A kiln's log as it was read, and what is wrong with it: told line by line, never mended or smoothed away.

What cannot be is refused: time that runs backwards, two temperatures at one time, what is no number, a heat that no
kiln reaches. What may be but looks like a mistake is questioned, and the log becomes a curve only when somebody who
looked says yes: °F read as °C, a gap, a jump. What is merely worth knowing is a note.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from statistics import median
from typing import Final

from tracker.domain.cones import END_POINTS
from tracker.domain.findings import Finding, Level, NeedsAcceptance
from tracker.domain.firing.curves import HOUR_S, Curve, clock_words
from tracker.domain.message import Message, _, as_message, together
from tracker.domain.refusals import Unusable
from tracker.domain.studio.settings import LOG_PRACTICE, LogPractice

_MOST_TOLD: Final = 12


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
    """One thing about a log, with the `line` it is about, which its message names too."""

    line: int = 0


def log_finding(line: int, rule: str, level: Level, says: Message | str, mend: str = "") -> LogFinding:
    """What is to be said about `line`, as one sentence that names it."""
    message = Message(rule, _("line {line}: {text}"), line=line, text=says)
    return LogFinding(level, message, as_message(mend) if mend else None, "common practice", line)


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
    words = _("And {count} lines more are like these.")
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
    return log_finding(one.line, "log-no-number", Level.REFUSE, "this is no number.", "Take the line out.")


def _impossible(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    found = []
    for one in readings:
        if one.celsius > practice.hottest_c:
            says = f"{one.celsius:g} °C is hotter than any kiln here; it may be °F."
        elif one.celsius < practice.coldest_c:
            says = f"{one.celsius:g} °C is colder than any kiln room."
        else:
            continue
        mend = "Say which unit it is, or take the line out."
        found.append(log_finding(one.line, "log-impossible", Level.REFUSE, says, mend))
    return found


def _clock(readings: Sequence[Reading]) -> list[LogFinding]:
    found = []
    for before, after in pairwise(readings):
        if after.seconds < before.seconds:
            says = f"the clock runs backwards by {clock_words(before.seconds - after.seconds)}."
            mend = "Put the lines in order as the kiln wrote them."
            found.append(log_finding(after.line, "log-backwards", Level.REFUSE, says, mend))
        elif after.seconds == before.seconds and after.celsius != before.celsius:
            says = f"{before.celsius:g} °C and {after.celsius:g} °C are both read at the same time."
            found.append(log_finding(after.line, "log-two-at-once", Level.REFUSE, says, "Keep the right one."))
        elif after.seconds == before.seconds:
            says = "the same reading stands twice; it counts once."
            found.append(log_finding(after.line, "log-twice", Level.NOTE, says))
    return found


def _too_few(readings: Sequence[Reading]) -> list[LogFinding]:
    if len({one.seconds for one in readings}) > 1:
        return []
    line = readings[-1].line if readings else 1
    return [log_finding(line, "log-too-short", Level.REFUSE, "a curve takes two readings or more.")]


def _unit(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    if not readings:
        return []
    first, peak = readings[0], max(readings, key=lambda one: one.celsius)
    mend = "Say that it is °F, or that it is right as it stands."
    found = []
    if HOTTEST_CONE_C < peak.celsius <= practice.hottest_c:
        says = f"{peak.celsius:g} °C is hotter than any cone bears; is this °F?"
        found.append(log_finding(peak.line, "log-looks-like-f", Level.ASK, says, mend))
    elif peak.celsius >= _COOLEST_CONE_F and practice.room_f_from <= first.celsius <= practice.room_f_to:
        says = f"it begins at {first.celsius:g} °C and goes to {peak.celsius:g} °C; is this °F in a room at 70 °F?"
        found.append(log_finding(first.line, "log-looks-like-f", Level.ASK, says, mend))
    if practice.coldest_c <= first.celsius < practice.cold_room_c:
        says = f"it begins at {first.celsius:.0f} °C, colder than a kiln room; are these °C that were read as °F?"
        found.append(log_finding(first.line, "log-looks-like-c", Level.ASK, says, "Say that it is °C, or right."))
    return found


def _too_long(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    if not readings or readings[-1].seconds - readings[0].seconds <= practice.longest_h * HOUR_S:
        return []
    lasts = (readings[-1].seconds - readings[0].seconds) / HOUR_S
    says = f"the log lasts {lasts:.0f} hours, and no firing does; were seconds read as minutes?"
    return [log_finding(readings[-1].line, "log-too-long", Level.ASK, says, "Name the unit in the header.")]


def _gaps(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    pauses = [after.seconds - before.seconds for before, after in pairwise(readings) if after.seconds > before.seconds]
    if not pauses:
        return []
    usual = median(pauses)
    times = practice.gap_times_of_few if len(readings) < practice.few else practice.gap_times
    longest = max(practice.gap_min * 60, times * usual)
    found = [
        log_finding(
            after.line,
            "log-gap",
            Level.ASK,
            f"nothing was read for {clock_words(after.seconds - before.seconds)} before it, "
            f"from {before.celsius:g} to {after.celsius:g} °C.",
            "Fill in what is known, or take it for a straight line.",
        )
        for before, after in pairwise(readings)
        if after.seconds - before.seconds > longest
    ]
    if usual > practice.sparse_min * 60:
        says = f"readings are {clock_words(usual)} apart; between them a straight line is taken."
        found.append(log_finding(readings[0].line, "log-sparse", Level.NOTE, says))
    return found


def _jumps(readings: Sequence[Reading], practice: LogPractice) -> list[LogFinding]:
    found = []
    for before, after in pairwise(readings):
        minutes = (after.seconds - before.seconds) / 60
        moved = after.celsius - before.celsius
        if minutes > 0 and abs(moved) > practice.jump_c_per_min * max(1.0, minutes):
            says = (
                f"it {'rises' if moved > 0 else 'falls'} by {abs(moved):.0f} °C in {_short(minutes)}, "
                f"and no kiln moves by more than {practice.jump_c_per_min:g} °C a minute."
            )
            mend = "Look at the thermocouple, and whether the kiln was opened."
            found.append(log_finding(after.line, "log-jump", Level.ASK, says, mend))
    return found


def _short(minutes: float) -> str:
    return clock_words(minutes * 60) if minutes >= 1 else f"{minutes * 60:.0f} s"


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
            says = f"from here it stands at {begin.celsius:.0f} °C for {clock_words(lasted)}: a hold, or a stall?"
            found.append(log_finding(begin.line, "log-stall", Level.NOTE, says))
        start = at
    return found
