"""The term whose section is meant, where people are added or moved: chosen among those that are open."""

from __future__ import annotations

from datetime import date

from flask import request

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unknown
from tracker.domain.studio.people import Person
from tracker.store.studio.terms import TermQueries


def terms_to_choose(read: TermQueries, sent: str, day: date, of: Person | None = None) -> dict[str, object]:
    """What a form of sections shows of terms: `terms` (number, name) where there are several, and the `term` picked.

    What was `sent` is picked, or else the term of a person's section, or else the one that people join on `day`.
    """
    own = read.of_person(of.id) if of is not None else None
    open_ones = [one for one in read.listed() if one.is_open]
    offered = [own, *open_ones] if own is not None and own not in open_ones else open_ones
    usual = own or (None if of is not None and of.section else read.on(day))
    if of is not None and of.section and own is None:
        # Their section is of no term: it stays so until somebody chooses one.
        choices = [("", Message("of-no-term", _("no term"))), *((str(one.id), one.name) for one in offered)]
    else:
        choices = [(str(one.id), one.name) for one in offered]
    return {"terms": choices if len(choices) > 1 else [], "term": sent or (str(usual.id) if usual else "")}


def term_sent() -> int | None:
    """The number of the term that a form names; None for the one that people are added to now."""
    text = request.form.get("term", "")
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and len(text) <= _LONGEST_NUMBER):
        raise Unknown(Message("no-such-term", _("There is no such term.")))
    return int(text)


_LONGEST_NUMBER = 9
