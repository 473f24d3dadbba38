"""What the pages of paper send: which things, on which labels, and from which label on."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.forms import fields
from tracker.forms.page_forms import FormSchema


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperOptions:
    """What is to be printed and how: the things picked or typed, or `all` there are, and the studio's own line.

    `nudge_x` and `nudge_y` are mm to the right and down, `dpi` None for any printer.
    """

    stock: str
    things: tuple[str, ...] = ()
    all: bool = False
    line: str = ""
    start_at: int = 1
    nudge_x: float = 0.0
    nudge_y: float = 0.0
    dpi: int | None = None


class PaperOptionsForm(FormSchema[PaperOptions]):
    """Which things, and on which labels."""

    makes = PaperOptions
    things = fields.several()
    all = fields.yes_or_no()
    line = fields.line(fields.LONGEST_CARD_LINE)
    stock = fields.line(required=True)
    start_at = fields.whole(1, 200, default=1)
    nudge_x = fields.half_steps(10)
    nudge_y = fields.half_steps(10)
    dpi = fields.one_of(203, 300, 600)
