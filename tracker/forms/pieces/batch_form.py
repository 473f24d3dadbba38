"""The form for new pieces: one, or several alike, perhaps each with a lid."""

from __future__ import annotations

from collections.abc import Iterator

from marshmallow import ValidationError, post_load, validates_schema

from tracker.domain.message import Message, _
from tracker.domain.pieces.new_pieces import MOST_AT_ONCE, Batch, Lid, NewPiece
from tracker.domain.pieces.piece import HAS_CORNERS
from tracker.domain.pieces.usual_forms import USUAL_FORMS, Form
from tracker.forms import fields
from tracker.forms.fields import PAGE, asking
from tracker.forms.page_forms import FormSchema
from tracker.forms.pieces.piece_schema import PieceSchema
from tracker.forms.plain_values import Values

_NEEDED = {
    "what": Message("name-needed", _("Enter a name.")),
    "clay": Message("clay-needed", _("Choose the clay.")),
    "build": Message("build-needed", _("Choose how it was made.")),
    "use": Message("use-needed", _("Choose its use.")),
    "height_mm": Message("height-needed", _("Enter the height.")),
    "width_mm": Message("width-needed", _("Enter the width.")),
}
"""What is said of a field that has to be sent and was not."""


class BatchForm(FormSchema[Batch]):
    """What is told of new pieces. What only a later step depends on may be left blank: that step asks for it.

    What was not built of slabs or carved is as deep as it is wide where no depth is given. An open form says itself
    that steam gets out.
    """

    class Meta(FormSchema.Meta):
        """The facts of a piece that a page takes, those that are told by a measure or a look only if they are known."""

        include = {  # noqa: RUF012 -- marshmallow only reads it
            name: one.optional()
            if name in {"depth_mm", "weight_g", "wall_mm", "vented"}
            else asking(one, _NEEDED.get(name, one.unsent))
            for name, one in PieceSchema.facts(PAGE).items()
        }

    form = fields.choice(Form, required=False)
    form.data_key = "usual"
    count = fields.whole(1, MOST_AT_ONCE, default=1)
    lid_height_mm = fields.length("lid_height")
    lid_width_mm = fields.length("lid_width")

    @validates_schema(skip_on_field_errors=False)
    def must_agree(self, values: Values, **_context: object) -> None:
        """Refuse what lacks a measure that its build, its form or its lid wants; said beside all else that is wrong."""
        problems = dict(_lacking(values))
        if problems:
            raise ValidationError({field: [message] for field, message in problems.items()})

    @post_load
    def make(self, values: Values, **_context: object) -> Batch:
        """The pieces, once their measures agree with each other."""
        form, count = values.pop("form"), values.pop("count")
        high, wide = values.pop("lid_height_mm"), values.pop("lid_width_mm")
        if values["depth_mm"] is None:
            values["depth_mm"] = values["width_mm"]
        if values["vented"] is None and form is not None:
            values["vented"] = True
        one = NewPiece(**{name: fact for name, fact in values.items() if fact is not None})
        return Batch(one=one, count=count, lid=None if high is None else Lid("", high, wide))


def _lacking(values: Values) -> Iterator[tuple[str, Message]]:
    """What is missing, by the field that it is asked in; a fact that can't be read is no part of `values`."""
    if "depth_mm" in values and values["depth_mm"] is None and values.get("build") in HAS_CORNERS:
        yield "depth", Message("depth-needed", _("Enter the depth of a slab or carved piece."))
    form = values.get("form")
    if form is not None and not USUAL_FORMS[form].is_open and "vented" in values and values["vented"] is None:
        yield "form", Message("hole-needed", _("Say whether the closed form has a hole."))
    high, wide = values.get("lid_height_mm"), values.get("lid_width_mm")
    if high is None and wide is not None and "lid_height_mm" in values:
        yield "lid_height", Message("lid-height-needed", _("Enter the lid's height."))
    if wide is None and high is not None and "lid_width_mm" in values:
        yield "lid_width", Message("lid-width-needed", _("Enter the lid's width."))
