"""What is told of a studio's own label stock."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tracker.domain.labels.stock import LARGEST_PAGE_MM, MOST_LABELS, BadStock, LabelStock
from tracker.domain.message import _
from tracker.forms import fields
from tracker.forms.entity import EntitySchema
from tracker.forms.fields import FILE, PAGE, Typed, fact
from tracker.forms.plain_values import Wrong

if TYPE_CHECKING:
    from tracker.forms.fields import Within
    from tracker.forms.plain_values import Values


def _side() -> Typed:
    """A length in mm with decimals, with a point or a comma."""
    return fields.number(0, LARGEST_PAGE_MM, unit="mm")


class LabelSchema(EntitySchema[LabelStock]):
    """One sort of labels; without a page it is a roll."""

    makes = LabelStock
    word = "label"

    name = fact(_("Name"), fields.name(), must=PAGE | FILE)
    label_width_mm = fact(_("Width of a label"), _side(), unit="mm", must=PAGE | FILE)
    label_height_mm = fact(_("Height of a label"), _side(), unit="mm", must=PAGE | FILE)
    page_width_mm = fact(_("Width of the page"), _side(), unit="mm")
    page_height_mm = fact(_("Height of the page"), _side(), unit="mm")
    columns = fact(_("Columns"), fields.whole(1, MOST_LABELS))
    rows = fact(_("Rows"), fields.whole(1, MOST_LABELS))
    left_mm = fact(_("From the left edge to the first label"), _side(), unit="mm")
    top_mm = fact(_("From the top edge to the first label"), _side(), unit="mm")
    pitch_x_mm = fact(_("From one label to the next across"), _side(), unit="mm")
    pitch_y_mm = fact(_("From one label to the next down"), _side(), unit="mm")

    @classmethod
    def made(cls, values: Values, where: Within) -> Any:  # noqa: ANN401 -- as where it comes from
        """The stock; `Wrong` for measurements that contradict each other, at the one to put right."""
        try:
            return super().made(values, where)
        except BadStock as bad:
            raise Wrong(bad.message, bad.fact) from None
