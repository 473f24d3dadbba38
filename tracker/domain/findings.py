"""What a rule has to say about a piece, and how much it weighs."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from enum import IntEnum

from tracker.domain.message import Message, _, together
from tracker.domain.refusals import Refusal


class Level(IntEnum):
    """How much a finding weighs; a verdict is its worst."""

    NOTE = 0
    WARN = 1
    ASK = 2
    REFUSE = 3

    @property
    def word(self) -> str:
        """The level in small letters, as files and pages say it."""
        return self.name.lower()


# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_NOTE = Level.NOTE


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a rule has to say about a piece: what is wrong, what would fix it, and on what it rests.

    The code of its `message` is the rule's name. Two findings are equal when rule, level and facts are. `way_out` is
    the remedy, or what works it out: hundreds of verdicts are made for each one that somebody reads.
    """

    level: Level
    message: Message
    way_out: Message | Callable[[], Message] | None = field(default=None, compare=False, repr=False)
    source: str = field(default="", compare=False)

    @property
    def remedy(self) -> Message | None:
        """What would fix it; None where nothing is said of that."""
        return self.way_out() if callable(self.way_out) else self.way_out

    @property
    def rule(self) -> str:
        """The name of the rule that found it."""
        return self.message.code


@dataclass(frozen=True, slots=True)
class Approval:
    """The instructor's leave for one finding on one firing type; it ends when the facts change it was given for."""

    route: str
    message: Message

    @property
    def rule(self) -> str:
        """The name of the rule that it is about."""
        return self.message.code


class Unsettled(Refusal):
    """The rules have something to say about this piece on this route; `findings` are what stands in the way."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        """Keep `findings`, worst first; together they are what is wrong, and each may have its way out."""
        remedies = [one.remedy for one in findings if one.remedy is not None]
        super().__init__(together(one.message for one in findings), together(remedies) if remedies else None)
        self.findings = tuple(findings)


class Unfit(Unsettled):
    """The rules refuse it, and nobody may override them."""

    word = Message("never", _("Never"))


class NeedsInstructor(Unsettled):
    """The rules leave it to the instructor, who has not allowed it."""

    word = Message("ask", _("Ask"))


class NotShown(Unsettled):
    """The rules allow it, but have something to say that the reader was not shown; told now, the same may be done."""

    word = Message("look-first", _("Check first"))


class NeedsAcceptance(Unsettled):
    """The rules warn, and nobody has accepted the warnings by name yet."""

    word = Message("with-care", _("With care"))


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the rules say about a piece, worst first."""

    findings: tuple[Finding, ...]

    @property
    def level(self) -> Level:
        """The worst of its findings; `NOTE` when there is nothing to hold against the piece."""
        return max([finding.level for finding in self.findings], default=_NOTE)

    @property
    def word(self) -> str:
        """The verdict in one word: clear, warn, ask or refuse."""
        return "clear" if self.level is _NOTE else self.level.word

    def hardness(self) -> tuple[Level, int]:
        """How hard it is on the piece: its level, then how many findings say so."""
        return self.level, len(self.of(self.level))

    def of(self, level: Level) -> tuple[Finding, ...]:
        """The findings of one level."""
        return tuple(finding for finding in self.findings if finding.level is level)

    def from_level(self, least: Level) -> tuple[Finding, ...]:
        """The findings of this level and of every worse one."""
        return tuple(finding for finding in self.findings if finding.level >= least)

    def must_not_be_refused(self) -> None:
        """Refuse with `Unfit` when any finding refuses; warnings and asks are settled when a route is chosen."""
        if never := self.of(Level.REFUSE):
            raise Unfit(never)

    def must_have_been_shown(self, shown: Verdict) -> None:
        """Refuse with `NotShown` when a warning, or what needs the instructor, is not among the findings `shown`."""
        if new := [one for one in self.from_level(Level.WARN) if one not in shown.findings]:
            raise NotShown(new)

    def must_be_settled(
        self, route: str, *, accepts: Collection[str] = (), approvals: Collection[Approval] = ()
    ) -> None:
        """Refuse unless nothing is refused, every ask has the instructor's leave and every warning is accepted by name.

        `accepts` holds names of rules. Raises `Unfit`, `NeedsInstructor` or `NeedsAcceptance`, each with its findings.
        """
        self.must_not_be_refused()
        if open_asks := [one for one in self.of(Level.ASK) if Approval(route, one.message) not in approvals]:
            raise NeedsInstructor(open_asks)
        if warnings := [one for one in self.of(Level.WARN) if one.rule not in accepts]:
            raise NeedsAcceptance(warnings)
