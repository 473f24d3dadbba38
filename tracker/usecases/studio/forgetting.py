"""Removing a person's data: who they were goes, their pieces and the studio's history stay."""

from __future__ import annotations

from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.refusals import NotAllowed, NotAStep
from tracker.domain.studio.people import FORMER_MAKER, Person, Right
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.studio.people import nobody_there


def forget(store: Store, request: Request, person_id: int) -> Receipt:
    """Remove a maker's data: name, email, password, sessions, and the photos of their pieces.

    Only when none of their pieces is under way. Nobody else works meanwhile, so no piece comes in between.
    """
    receipt = store.once(request, "forget", lambda change: _forget(change, person_id), person_id, alone=True)
    if store.shelf is not None:
        store.shelf.drop(str(receipt.extra["photos"]).split())
    return receipt


def _forget(change: Change, person_id: int) -> Receipt:
    change.request.by.must_be_allowed(Right.PEOPLE)
    someone = change.read.people.person(number=person_id)
    if someone is None:
        raise nobody_there()
    must_be_ready_to_go(someone, len(change.read.pieces.of(person_id)))
    photos = forget_within(change, someone)
    words = _("Their data was removed. Their pieces stay under the name of {name}.")
    says = Message("data-removed", words, name=FORMER_MAKER)
    return Receipt(message=says, extra={"photos": " ".join(photos)})


def forget_within(change: Change, someone: Person) -> list[str]:
    """Strike out who somebody is as part of a change; gives the names of their photos' files, to be dropped then."""
    photos = change.read.album.of_maker(someone.id)
    change.album.take_out([one.id for one in photos])
    change.people.forget(someone)
    return [one.stem for one in photos]


def must_be_ready_to_go(someone: Person, under_way: int) -> None:
    """Refuse to remove the data of whoever runs the studio, and of a maker with pieces under way."""
    if someone.name == FORMER_MAKER:
        raise NotAStep(
            Message("removed-already", _("This person's data was already removed.")),
            Message("nothing-left-to-do", _("There's nothing left to do.")),
        )
    if someone.role.runs_studio:
        words = _("{name} is staff or an instructor. Their data can't be removed.")
        raise NotAllowed(
            Message("runs-the-studio", words, name=someone.name),
            Message("only-makers", _("You can only remove students and members.")),
        )
    if under_way:
        many = Plural(
            "count", "{name} still has 1 piece in the studio.", "{name} still has {count} pieces in the studio."
        )
        remedy = _("Hand them out, or mark them as lost first. After that, no piece needs the maker's name.")
        raise NotAStep(
            Message("pieces-under-way", many, name=someone.name, count=under_way),
            Message("hand-them-over-first", remedy),
        )
