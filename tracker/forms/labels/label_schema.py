"""What is told of a studio's own label stock."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from tracker.domain.labels.stock import LARGEST_PAGE_MM, MOST_LABELS, BadStock, LabelStock
from tracker.forms import fields
from tracker.forms.entity import EntitySchema
from tracker.forms.fields import FILE, NOWHERE, PAGE, Typed, fact
from tracker.forms.plain_values import Wrong

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tracker.forms.fields import Within
    from tracker.forms.plain_values import Values


_SHEET = "On a sheet"


def _side(label: str, *, must: Within = NOWHERE, legend: str = "", hint: str = "", beside: bool = False) -> Typed:
    """A length in mm with decimals, with a point or a comma."""
    kind = fields.number(0, LARGEST_PAGE_MM, unit="mm")
    return fact(label, kind, must=must, legend=legend, hint=hint, beside=beside, unit="mm", inputmode="decimal")


class LabelSchema(EntitySchema[LabelStock]):
    """One sort of labels; without a page it is a roll."""

    makes = LabelStock
    word = "label"

    legends: ClassVar[Mapping[str, str]] = {
        _SHEET: "Leave all of this empty for a roll, on which one label follows another."
    }

    name = fact("What you call it", fields.name(), must=PAGE | FILE, maxlength="60")
    label_width_mm = _side("Width of a label", must=PAGE | FILE)
    label_height_mm = _side("Height of a label", must=PAGE | FILE, beside=True)
    page_width_mm = _side("Width of the page", hint="A4 is 210 \u00d7 297, US letter 215.9 \u00d7 279.4.")
    page_height_mm = _side("Height of the page", legend=_SHEET, beside=True)
    columns = fact("Labels side by side", fields.whole(1, MOST_LABELS), legend=_SHEET, inputmode="numeric")
    rows = fact(
        "Labels one under another", fields.whole(1, MOST_LABELS), legend=_SHEET, beside=True, inputmode="numeric"
    )
    left_mm = _side("From the page's left to the first label", legend=_SHEET)
    top_mm = _side("From its top to the first label", legend=_SHEET, beside=True)
    pitch_x_mm = _side("From one label's left to the next one's", legend=_SHEET, hint="Empty where they touch.")
    pitch_y_mm = _side("From one label's top to the next one's", legend=_SHEET, beside=True)

    @classmethod
    def made(cls, values: Values, where: Within) -> Any:  # noqa: ANN401 -- as where it comes from
        """The stock; `Wrong` for measurements that contradict each other, at the one to put right."""
        try:
            return super().made(values, where)
        except BadStock as bad:
            raise Wrong(str(bad), bad.fact) from None
