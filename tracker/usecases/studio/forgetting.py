"""Removing a person's data: who they were goes, their pieces and the studio's history stay."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracker.domain.message import as_message
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import NotAllowed, NotAStep, Unknown
from tracker.domain.studio.people import FORMER_MAKER, Person, Right, Role

if TYPE_CHECKING:
    from tracker.domain.pieces.history import Request
    from tracker.store.unit_of_work import Change, Store


def forget(store: Store, request: Request, person_id: int) -> Receipt:
    """Remove a student's data: name, email, password, sessions, and the photos of their pieces.

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
        raise Unknown("Nobody here has that number.", "Pick somebody from the list.")
    must_be_ready_to_go(someone, len(change.read.pieces.of(person_id)))
    photos = change.read.album.of_maker(person_id)
    change.album.take_out([one.id for one in photos])
    change.forget(someone)
    says = f"Their data is removed; their pieces stay under the name of {FORMER_MAKER}."
    return Receipt(message=as_message(says), extra={"photos": " ".join(one.stem for one in photos)})


def must_be_ready_to_go(someone: Person, under_way: int) -> None:
    """Refuse to remove the data of whoever runs the studio, and of a student with pieces under way."""
    if someone.name == FORMER_MAKER:
        raise NotAStep("This person's data is removed already.", "There is nothing left to do.")
    if someone.role is not Role.STUDENT:
        raise NotAllowed(
            f"{someone.name} runs the studio: the data of staff and instructors stays.", "Only students are removed."
        )
    if under_way:
        many = "1 piece" if under_way == 1 else f"{under_way} pieces"
        raise NotAStep(
            f"{someone.name} still has {many} in the studio.",
            "Hand them over or note them as lost first; then nothing is left that needs its maker.",
        )
