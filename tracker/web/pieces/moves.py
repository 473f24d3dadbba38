"""The steps that a scan takes and a piece's page takes as well: both send the same form."""

from __future__ import annotations

from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import StepName
from tracker.forms.page_forms import Move
from tracker.usecases.pieces import found_again, pieces, registrations
from tracker.usecases.pieces.ware_shelves import shelf_meant
from tracker.web.auth import asking, house

_PLAIN = {
    StepName.WAX: pieces.wax,
    StepName.WASH_OFF: pieces.wash_off,
    StepName.NOT_WAXED: pieces.not_waxed,
    StepName.PULL_BACK: pieces.pull_back,
    StepName.FIND: found_again.find,
}


def take(moved: Move, ref: str) -> Receipt:
    """Take the step that was asked for with the piece called `ref`."""
    store, asked = house().store, asking()
    seen, place = moved.seen, shelf_meant(store.read, moved.place, may_be_new=moved.new_shelf)
    match moved.step:
        case StepName.QUEUE:
            return pieces.queue(store, asked, ref, moved.route, accepts=moved.accepts, seen=seen, place=place)
        case StepName.SHELVE:
            return pieces.shelve(store, asked, ref, place, seen=seen)
        case StepName.LOSE if moved.cause == Loss.CANCELED:
            return registrations.cancel(store, asked, ref, seen=seen)
        case StepName.LOSE:
            return pieces.lose(store, asked, ref, moved.cause, seen=seen, place=place)
        case _:
            return _PLAIN[moved.step](store, asked, ref, seen=seen, place=place)
