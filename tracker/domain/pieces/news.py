"""What a maker is told by mail of a step of a piece: what waits for them, and what became of what is lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracker.domain.message import Message, _
from tracker.domain.pieces.losses import Loss, cause_of
from tracker.domain.pieces.piece import Stage, StepName

if TYPE_CHECKING:
    from tracker.domain.pieces.history import HistoryLine
    from tracker.domain.pieces.piece import Piece

_BROKE = _(
    "Your {what} broke. We are sorry. It happens to everyone's work now and then. Ask shelf staff for the shards."
)
_IN_KILN = _(
    "Your {what} broke in the kiln. We are sorry. It happens to everyone's work now and then. "
    "Ask shelf staff for the shards."
)
_MISSING = _("We can't find your {what}. Staff are looking for it. If you have it, say so under My pieces.")
_DISCARDED = _("Your {what} was discarded. Ask shelf staff why.")
_LOST = _("Your {what} is lost. Ask shelf staff what happened.")
_BISQUED = _("Your {what} is out of the bisque. Its code is {code}. You can glaze it now.")
_READY = _("Your {what} is ready for pickup. Its code is {code}.")


def news_of(before: Piece, after: Piece, line: HistoryLine) -> Message | None:
    """What this step is to the piece's maker; None for nothing to write about."""
    if after.stage is before.stage:
        return None
    if after.stage is Stage.LOST:
        return _loss(after.what, line)
    if line.step is StepName.BISQUE:
        return Message("news-bisqued", _BISQUED, what=after.what, code=after.code)
    if line.step is StepName.FIRE:
        return Message("news-ready", _READY, what=after.what, code=after.code)
    return None


def _loss(what: str, line: HistoryLine) -> Message | None:
    if line.firing_id is not None:
        return Message("news-broke-in-kiln", _IN_KILN, what=what)
    cause = cause_of(line.reason)
    if cause in {Loss.CANCELED, Loss.TWICE}:
        # What was registered by mistake never was.
        return None
    told = {
        Loss.BROKEN: ("news-broke", _BROKE),
        Loss.MISSING: ("news-missing", _MISSING),
        Loss.DISCARDED: ("news-discarded", _DISCARDED),
    }
    code, words = told[cause] if isinstance(cause, Loss) else ("news-lost", _LOST)
    return Message(code, words, what=what)
