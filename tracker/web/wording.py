"""Messages as text for whoever sends this request: their role and the studio's zone decide how they read."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from flask import g
from flask.json.provider import DefaultJSONProvider

from tracker.domain.message import Message
from tracker.wording.reader import Reader
from tracker.wording.render import say, say_refusal

if TYPE_CHECKING:
    from flask import Flask

    from tracker.domain.refusals import Refusal


def reader() -> Reader:
    """The reader of this request's answer."""
    if "reader" not in g:
        from tracker.web.auth import house  # noqa: PLC0415 -- the house asks who may open a page, in these words

        person = g.get("person")
        zone = ZoneInfo(house().store.read.studio().timezone)
        g.reader = Reader(role=person.role if person else None, zone=zone)
    return g.reader  # type: ignore[no-any-return]  # what a request carries has no type


def said(message: Message | None) -> str:
    """A message as text for this reader; an empty text for None."""
    return say(message, reader())


def said_refusal(refusal: Refusal) -> str:
    """A refusal in one line: what is wrong, then the way out."""
    return say_refusal(refusal, reader())


def finished(value: object) -> object:
    """What a template prints: messages as text, nothing for None, all else as it is."""
    if isinstance(value, Message):
        return said(value)
    return "" if value is None else value


class _Json(DefaultJSONProvider):
    """JSON in which a message is its text."""

    @staticmethod
    def default(value: object) -> object:
        return said(value) if isinstance(value, Message) else DefaultJSONProvider.default(value)


def speak(app: Flask) -> None:
    """Let the pages of `app` print messages, in templates and in JSON."""
    app.jinja_env.finalize = finished
    app.jinja_env.filters["said"] = said
    app.jinja_env.filters["said_refusal"] = said_refusal
    app.json = _Json(app)
