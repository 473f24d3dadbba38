"""The forms of the studio's own label stock, and of how far off a printer prints."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from marshmallow import ValidationError, validates_schema

from tracker.domain.labels.stock import LARGEST_PAGE_MM, MOST_LABELS, BadStock, LabelStock
from tracker.forms import fields
from tracker.forms.fields import Typed
from tracker.forms.page_forms import FormSchema
from tracker.forms.plain_values import LONGEST_LINE

_LENGTH = re.compile(r"([0-9]{1,4}(?:[.,][0-9]{1,3})?)\s*(?:mm)?", re.ASCII)


def _millimetres(*, required: bool = False, default: float | None = None) -> Typed:
    """A length in mm with up to three decimals, with a point or a comma."""

    def read(text: str) -> float:
        match = _LENGTH.fullmatch(text.strip())
        value = float(match[1].replace(",", ".")) if match else -1.0
        if not 0 <= value <= LARGEST_PAGE_MM:
            raise ValueError(f"Write millimetres, such as 63.5, at most {LARGEST_PAGE_MM:g}.")
        return value

    return Typed(read, required=required, default=default)


class LabelStockForm(FormSchema[LabelStock]):
    """One sort of labels; without a page it is a roll."""

    makes = LabelStock
    name = fields.line(required=True)
    label_width_mm = _millimetres(required=True)
    label_height_mm = _millimetres(required=True)
    page_width_mm = _millimetres()
    page_height_mm = _millimetres()
    columns = fields.whole(1, MOST_LABELS, default=1)
    rows = fields.whole(1, MOST_LABELS, default=1)
    left_mm = _millimetres(default=0.0)
    top_mm = _millimetres(default=0.0)
    pitch_x_mm = _millimetres()
    pitch_y_mm = _millimetres()

    @validates_schema(skip_on_field_errors=True)
    def agrees(self, values: Mapping[str, Any], **_: object) -> None:
        """Refuse measurements that contradict each other, at the one to put right."""
        try:
            LabelStock(**values)
        except BadStock as bad:
            raise ValidationError(str(bad), bad.fact) from None


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The studio's own line for what goes home."""

    line: str = ""


class LineForm(FormSchema[Line]):
    """One line; empty takes it away."""

    makes = Line
    line = fields.line(LONGEST_LINE)


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
