"""The forms of the studio's own label stock, and of how far off a printer prints."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.forms import fields
from tracker.forms.page_forms import FormSchema


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The studio's own line for what goes home."""

    line: str = ""


class LineForm(FormSchema[Line]):
    """One line; empty takes it away."""

    makes = Line
    line = fields.line(fields.LONGEST_CARD_LINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Misprint:
    """How far from the label's corner a cross was printed, in mm, and on which side of it."""

    stock: str
    across: float = 0.0
    is_right: bool = False
    along: float = 0.0
    is_below: bool = False

    @property
    def nudge(self) -> tuple[float, float]:
        """How far to the right and down all print is to be moved, so that it is put right."""
        return (-self.across if self.is_right else self.across, -self.along if self.is_below else self.along)


class MisprintForm(FormSchema[Misprint]):
    """What somebody read off the alignment page."""

    makes = Misprint
    stock = fields.line(required=True)
    across = fields.half_steps(10)
    is_right = fields.yes_or_no()
    along = fields.half_steps(10)
    is_below = fields.yes_or_no()
