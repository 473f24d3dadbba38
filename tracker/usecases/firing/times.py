"""What the clock says against readings of a kiln: none can be from a time that is still to come."""

from __future__ import annotations

from datetime import datetime, timedelta

from tracker.domain.firing.curves import lasting
from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable

AHEAD = timedelta(minutes=2)
"""How far a clock on the wall may be ahead of the studio's."""


def must_be_over(lit_at: datetime | None, last_s: int, now: datetime) -> None:
    """Refuse a log whose last reading, so many seconds after the start, is still to come."""
    if lit_at is not None and lit_at + timedelta(seconds=last_s) > now + AHEAD:
        words = _("The kiln started at {start}. Counted from then, this log ends {late} from now.")
        late = (lit_at + timedelta(seconds=last_s) - now).total_seconds()
        problem = Message("log-in-the-future", words, start=lit_at, late=lasting(late))
        remedy = _("Check the start time, the time unit of the file, and that the log is of this firing.")
        raise Unusable([problem], Message("look-at-start-and-log", remedy))
