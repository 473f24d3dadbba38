"""What is told of a studio's own label stock."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from tracker.domain.labels.stock import LARGEST_PAGE_MM, MOST_LABELS, BadStock, LabelStock
from tracker.domain.message import Message, _
from tracker.domain.quantities import Unit, mm
from tracker.forms import fields
from tracker.forms.entity import EntitySchema
from tracker.forms.fields import FILE, NOWHERE, PAGE, Typed, Within, fact
from tracker.forms.plain_values import Values, Wrong

_SHEET = _("On a sheet")


def _side(
    label: str, *, must: Within = NOWHERE, legend: str = "", hint: str | Message = "", beside: bool = False
) -> Typed:
    """A length in mm with decimals, with a point or a comma."""
    kind = fields.number(0, LARGEST_PAGE_MM, unit="mm", measure=Unit.MM)
    return fact(label, kind, must=must, legend=legend, hint=hint, beside=beside, unit="mm", inputmode="decimal")


_PAGES = Message(
    "page-sizes",
    _("A4 is {wide} \u00d7 {high}, US Letter {letter_wide} \u00d7 {letter_high}."),
    wide=mm(210, 2),
    high=mm(297, 2),
    letter_wide=mm(215.9, 2),
    letter_high=mm(279.4, 2),
)
"""ISO 216, and ANSI/ASME Y14.1 size A."""


class LabelSchema(EntitySchema[LabelStock]):
    """One sort of labels; without a page it is a roll."""

    makes = LabelStock
    word = "label"

    legends: ClassVar[Mapping[str, str]] = {_SHEET: _("Leave blank for a roll.")}

    name = fact(_("Name"), fields.name(), must=PAGE | FILE, maxlength="60")
    label_width_mm = _side(_("Label width"), must=PAGE | FILE)
    label_height_mm = _side(_("Label height"), must=PAGE | FILE, beside=True)
    page_width_mm = _side(_("Page width"), hint=_PAGES)
    page_height_mm = _side(_("Page height"), legend=_SHEET, beside=True)
    columns = fact(_("Labels across"), fields.whole(1, MOST_LABELS), legend=_SHEET, inputmode="numeric")
    rows = fact(_("Labels down"), fields.whole(1, MOST_LABELS), legend=_SHEET, beside=True, inputmode="numeric")
    left_mm = _side(_("Left margin"), legend=_SHEET)
    top_mm = _side(_("Top margin"), legend=_SHEET, beside=True)
    pitch_x_mm = _side(
        _("Horizontal pitch, from one label's left edge to the next"),
        legend=_SHEET,
        hint=_("Leave blank if they touch."),
    )
    pitch_y_mm = _side(_("Vertical pitch, from one label's top edge to the next"), legend=_SHEET, beside=True)

    @classmethod
    def made(cls, values: Values, where: Within) -> Any:  # noqa: ANN401 -- as where it comes from
        """The stock; `Wrong` for measurements that contradict each other, at the one to put right."""
        try:
            return super().made(values, where)
        except BadStock as bad:
            raise Wrong(bad.message, bad.fact) from None
