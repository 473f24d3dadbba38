"""What the pages of paper send: which things, on which labels, and from which label on."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.domain.message import Message, _
from tracker.forms import fields
from tracker.forms.page_forms import form_of, sent


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperOptions:
    """What is to be printed and how: the things picked or typed, or `all` there are, and the studio's own line.

    `nudge_x` and `nudge_y` are mm to the right and down, `dpi` None for any printer.
    """

    stock: str = sent(fields.line(required=True, needed=Message("stock-needed", _("Choose the label stock."))))
    things: tuple[str, ...] = sent(fields.several())
    all: bool = sent(fields.yes_or_no())
    line: str = sent(fields.line(fields.LONGEST_CARD_LINE))
    start_at: int = sent(fields.whole(1, 200, default=1))
    nudge_x: float = sent(fields.half_steps(10))
    nudge_y: float = sent(fields.half_steps(10))
    dpi: int | None = sent(fields.one_of(203, 300, 600))


PaperOptionsForm = form_of(PaperOptions)
