"""The poster of a section's join link in words."""

from __future__ import annotations

from datetime import datetime, time

from printing.studio.join_posters import Poster, poster_pdf
from tracker.domain.message import Message, _
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.joining import JoinLink
from tracker.usecases.studio.joining import join_address
from tracker.wording.reader import Reader
from tracker.wording.render import say, whole_day


def join_poster(link: JoinLink, address: str, studio: Studio, reader: Reader, paper: str) -> bytes:
    """A poster with the link as a QR, as a PDF; `paper` is "a4" or "letter"."""
    last = datetime.combine(link.last_day, time(12), reader.zone)
    ends = Message("poster-ends", _("Until {day}"), day=whole_day(last, reader))
    return poster_pdf(
        Poster(
            studio=studio.name,
            title=say(Message("poster-title", _("Join {section}"), section=link.section.name), reader),
            says=say(Message("poster-says", _("Scan this with your phone's camera, or type the address.")), reader),
            address=join_address(address, link),
            ends=say(ends, reader),
        ),
        paper,
    )
