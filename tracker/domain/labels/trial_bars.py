"""The bars by which a scanner is tried out, and what the way they arrive says about its keys, ending and prefix."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tracker.domain.labels.keyboards import Fit, Layout, as_typed, layouts_of
from tracker.domain.message import Message, _

_PREFIXES = ("", "]C0", "]C1", "]C2", "]C4")
"""What may come before a Code 128 bar (ISO/IEC 15424)."""


class TrialBar(StrEnum):
    """A test bar, by what it tries: together they have every key on which codes and labels depend."""

    LETTERS = "letters"
    DIGITS = "digits"
    SIGNS = "signs"

    @property
    def text(self) -> str:
        """What the bar says."""
        return _TEXTS[self]


_TEXTS = {TrialBar.LETTERS: "AMQWYZaqz", TrialBar.DIGITS: "0123456789", TrialBar.SIGNS: "S.%-/:]C"}
TRIAL_TITLES = {
    TrialBar.LETTERS: Message("test-letters", _("1. Letters")),
    TrialBar.DIGITS: Message("test-digits", _("2. Digits")),
    TrialBar.SIGNS: Message("test-signs", _("3. Signs")),
}


class Ending(StrEnum):
    """What a scanner sends after a bar, as a page saw it."""

    ENTER = "enter"
    TAB = "tab"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Trial:
    """One bar as it arrived: the layouts that show it so, none where no keyboard does; what came before it."""

    bar: TrialBar
    arrived: str
    fits: tuple[Fit, ...]
    has_prefix: bool

    @property
    def is_right(self) -> bool:
        """Whether every letter arrived as it is in the bar."""
        return Fit(Layout.US) in self.fits


def tried(arrived: str) -> Trial | None:
    """Which bar this is, and how it arrived; None where it is none of them on any keyboard."""
    text = arrived.strip()
    for bar in TrialBar:
        for prefix in _PREFIXES:
            if fits := layouts_of(prefix + bar.text, text):
                return Trial(bar, text, fits, has_prefix=bool(prefix))
    return None


def layout_found(trials: list[Trial]) -> Fit | None:
    """The layout on which all of these arrived as they did, the likeliest; None where there is no such one."""
    if not trials:
        return None
    common = [fit for fit in trials[0].fits if all(_shows(fit, one) for one in trials)]
    return common[0] if common else None


def _shows(fit: Fit, trial: Trial) -> bool:
    return fit in trial.fits


def swapped(trial: Trial) -> tuple[tuple[str, str], ...]:
    """The letters of a bar that arrive as others: what is in the bar, and what arrives."""
    fit = trial.fits[0]
    pairs = ((letter, as_typed(letter, fit.layout)) for letter in trial.bar.text)
    shown = ((letter, typed.swapcase() if fit.caps_lock else typed) for letter, typed in pairs)
    return tuple((letter, typed) for letter, typed in shown if letter != typed)
