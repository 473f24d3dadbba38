"""The forms of the studio's own label stock, and of how far off a printer prints."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.domain.message import Message, _
from tracker.forms import fields
from tracker.forms.page_forms import form_of, sent

MOST_OFF_MM = 10
"""How far a print is corrected at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The studio's own line for what goes home."""

    line: str = sent(fields.line(fields.LONGEST_CARD_LINE))


LineForm = form_of(Line)


@dataclass(frozen=True, slots=True, kw_only=True)
class Misprint:
    """How far from the label's corner a cross was printed, in mm, and on which side of it."""

    stock: str = sent(fields.line(required=True, needed=Message("stock-needed", _("Choose the label stock."))))
    across: float = sent(fields.half_steps(MOST_OFF_MM))
    is_right: bool = sent(fields.yes_or_no())
    along: float = sent(fields.half_steps(MOST_OFF_MM))
    is_below: bool = sent(fields.yes_or_no())

    @property
    def nudge(self) -> tuple[float, float]:
        """How far to the right and down all print is to be moved, so that it is put right."""
        return (-self.across if self.is_right else self.across, -self.along if self.is_below else self.along)


MisprintForm = form_of(Misprint)
