"""Scans that reach a kiln's door after its start: nobody checked those pieces, and they may be in the fire."""

from __future__ import annotations

from typing import Any

from flask import g, url_for

from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message, _
from tracker.domain.refusals import NotAStep, Refusal, Unknown
from tracker.usecases.pieces.lookup import find_firing, find_row
from tracker.usecases.pieces.refused_scans import TOO_LATE, keep_refused, late_remedy, list_late, list_refused
from tracker.web.auth import asking, house
from tracker.web.piece_presenters import address_of

_BEFORE = frozenset({FiringStage.PLANNED, FiringStage.LOADING})


def late_or(refusal: Refusal, number: int, ref: str) -> Refusal:
    """The `refusal` of a scan at a kiln's door; of one that came after its start, what it means, kept to deal with."""
    read = house().store.read
    try:
        firing, row = find_firing(read, number), find_row(read, ref, g.person)
    except Unknown:
        return refusal
    is_round = firing.session_id is not None  # run on its session's page, where nothing is scanned in
    if is_round or firing.stage in _BEFORE or row.firing_id == number or not isinstance(refusal, NotAStep):
        return refusal
    words = _("{piece} was scanned for firing {firing}, but its kiln had started. Nobody checked {piece}.")
    message = Message(TOO_LATE, words, piece=row.ref, firing=str(number))
    late = NotAStep(message, late_remedy(firing, row.ref))
    title = Message("load-firing", _("Load firing {firing}"), firing=str(number))
    keep_refused(house().store, asking(), row.ref, {"firing": str(number)}, title, late, late.remedy)
    return late


def out_of_it(refusal: NotAStep, number: int, ref: str) -> NotAStep:
    """The `refusal` of a piece scanned at unloading; of one that was scanned too late for that kiln, what it means."""
    if ref not in {one.ref for one in list_late(house().store, number)}:
        return refusal
    words = _("{piece} isn't on the list. It was scanned for this firing after its kiln had started.")
    do = _("If it came out of this kiln, set it aside. Tell the instructor.")
    return NotAStep(Message("came-out-unlisted", words, piece=ref), Message("set-it-aside", do))


def late_shown(number: int) -> list[dict[str, Any]]:
    """Whoever's scans came after the start of a firing and aren't dealt with; one's own can be marked as that."""
    own = {one.key for one in list_refused(house().store, asking())}
    return [
        {
            "ref": one.ref,
            "href": address_of(one.ref) if one.is_piece else None,
            "says": one.says,
            "remedy": one.remedy,
            "done_href": url_for("refused.deal_with", key=one.key) if one.key in own else None,
        }
        for one in list_late(house().store, number)
    ]
