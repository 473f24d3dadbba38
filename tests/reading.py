"""What people read, for tests of messages: text as somebody of whom nothing is known would read it."""

from __future__ import annotations

from tracker.domain.message import Message
from tracker.wording.render import say


def said(message: Message | None) -> str:
    """A message as text."""
    return say(message)
