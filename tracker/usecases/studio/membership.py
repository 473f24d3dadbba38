"""Who belongs to the studio: people are added, changed, shut out and let in again, alone or by a roster."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from tracker.domain.message import Message, Plural, _, together
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.refusals import NotAStep
from tracker.domain.studio.people import FORMER_MAKER, NewPerson, Person, Right, Role, namesake
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.once import once
from tracker.usecases.pieces.supervised import held_to_approve, told_of_supervised
from tracker.usecases.studio.passwords import first_password
from tracker.usecases.studio.people import nobody_there
from tracker.usecases.studio.rosters import NOBODY, coming, must_be_told, told_of
from tracker.usecases.studio.terms import term_known

Deliver = Callable[[Sequence[tuple[Person, str]]], None]
"""Is handed whoever is added, with their first passwords."""


@dataclass(frozen=True, slots=True)
class Enrolment:
    """What came of a roster: who was added with which first password, who was changed, stayed, or was shut out.

    Whoever has no email has no password. `moves` says what became of the pieces of those who are now supervised, or no
    longer.
    """

    added: tuple[tuple[Person, str], ...]
    changed: tuple[Person, ...]
    same: tuple[Person, ...]
    gone: tuple[Person, ...]
    moves: Message | None = None

    @property
    def passwords(self) -> tuple[tuple[Person, str], ...]:
        """Whoever was added with a first password."""
        return tuple((one, password) for one, password in self.added if password)

    @property
    def without_email(self) -> tuple[Person, ...]:
        """Whoever was added without one."""
        return tuple(one for one, password in self.added if not password)


def person_known(reader: Queries, person_id: int) -> Person:
    """The person with this number, unless their data was removed; `Unknown` for nobody's."""
    someone = reader.people.person(number=person_id)
    if someone is None or someone.name == FORMER_MAKER:
        raise nobody_there()
    return someone


def enrol(
    store: Store,
    request: Request,
    roster: Sequence[NewPerson],
    *,
    without_gone: bool = False,
    term_id: int | None = None,
    same: Mapping[int, int] = NOBODY,
    deliver: Deliver | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Enrolment:
    """Make the people here those of a roster, all of it or nothing: add the new ones and change the others.

    Their sections are those of the term with the number `term_id`, or else of the one to which people are added now.
    `same` says of lines which person without an email each means, as `coming` has it; refused where one isn't said.
    `without_gone` shuts out the makers of the roster's sections who are not on it. `deliver` is handed whoever is
    added with their passwords before that is committed, so that none is lost; where it raises, nothing is done. It is
    called again where the work had to be done again; the last time counts. Hashing takes long, so it is done before
    anything is written: nobody else waits for it. Where mail is sent, whoever is added gets a link, and needs no first
    password.
    """
    request.by.must_be_allowed(Right.PEOPLE)
    drawn: dict[str, tuple[str, str]] = {}
    ahead = coming(store.read, roster, request.at.date(), term_id, same)
    must_be_told(ahead, same)
    newcomers = {one.email for one in ahead.new if one.email}
    for done, one in enumerate(roster, start=1):
        if (email := one.email.lower()) in newcomers and email not in drawn:
            drawn[email] = first_password()
        if progress:
            progress(done, len(roster))
    told: list[Enrolment] = []

    def work(change: Change) -> Receipt:
        # A second try begins afresh.
        told[:] = [_enrol(change, roster, drawn, term_id, same, without_gone=without_gone)]
        if deliver:
            deliver(told[0].added)
        return _receipt(told[0])

    # Two rosters with the same people would stand in each other's way.
    about = (tuple(roster), without_gone, term_id, tuple(sorted(same.items())))
    store.once(request, "enrol", work, about, alone=True)
    if not told:
        raise sent_twice(by_mail=store.outbox.is_on)
    return told[0]


def _enrol(
    change: Change,
    roster: Sequence[NewPerson],
    drawn: dict[str, tuple[str, str]],
    term_id: int | None,
    same: Mapping[int, int],
    *,
    without_gone: bool,
) -> Enrolment:
    seen = coming(change.read, roster, change.today, term_id, same)
    must_be_told(seen, same)
    added = []
    for one in seen.new:
        # Somebody who was here a moment ago, and whose data was removed since, is new after all.
        password, hashed = (drawn.get(one.email) or first_password()) if one.email else ("", None)
        newcomer = person_to_be(one, change.people.enrol(one, hashed))
        change.outbox.invite(newcomer.id)
        added.append((newcomer, password))
    for before, after in seen.changed:
        _must_not_be_oneself(change.request.by, before, after)
    moves = _change_people(change, seen.changed)
    for before, after in seen.changed:
        change.terms.put_in(before.id, after, change.today)
    gone = seen.gone if without_gone else ()
    change.people.shut_out([one.id for one in gone])
    _must_have_an_instructor(change)
    changed = tuple(person_to_be(after, before.id) for before, after in seen.changed)
    return Enrolment(tuple(added), changed, seen.same, gone, moves)


def add(store: Store, request: Request, someone: NewPerson) -> tuple[Person, str]:
    """Add one person; gives them with their first password. Refused where somebody is known by that email or name."""
    _must_be_told_apart(store.read, someone)
    ((person, password),) = enrol(store, request, [someone], term_id=someone.term_id).added
    return person, password


@once("change person", alone=True)
def change_person(change: Change, person_id: int, after: NewPerson) -> Receipt:
    """Give somebody another name, email, section or role, or supervise them; their pieces and history stay theirs."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    before = person_known(change.read, person_id)
    _must_not_be_oneself(change.request.by, before, after)
    _must_be_told_apart(change.read, after, before.id)
    if after.term_id is not None:
        term_known(change.read, after.term_id)
    moves = _change_people(change, [(before, after)])
    _must_have_an_instructor(change)
    saved = Message("person-changed", _("Saved: {name}."), name=after.name)
    return Receipt(message=together([saved, moves]))


@once("shut out", alone=True)
def shut_out(change: Change, person_id: int) -> Receipt:
    """Note that somebody left: all their devices are signed out at once, and their pieces and history stay."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    someone = person_known(change.read, person_id)
    if someone.id == change.request.by.id:
        raise NotAStep(
            Message("shuts-out-oneself", _("That's your own account.")),
            Message("ask-another-instructor", _("Another instructor can close it.")),
        )
    change.people.shut_out([someone.id])
    return Receipt(message=Message("person-left", _("{name} can no longer sign in."), name=someone.name))


@once("let in", alone=True)
def let_in(change: Change, person_id: int) -> Receipt:
    """Let somebody who left sign in again, with the password that they had."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    someone = person_known(change.read, person_id)
    change.people.change(someone.id, told_of(someone))
    return Receipt(message=Message("person-back", _("{name} can sign in again."), name=someone.name))


@once("note about")
def note_about(change: Change, person_id: int, note: str) -> Receipt:
    """Keep a note for staff about a maker, in place of the one before; an empty one takes it off."""
    change.request.by.must_be_allowed(Right.MOVE)
    someone = person_known(change.read, person_id)
    change.people.note(someone.id, note)
    return Receipt(message=Message("note-kept", _("Note saved.")))


@once("replace card")
def replace_card(change: Change, person_id: int) -> Receipt:
    """Let somebody's maker card say something else: the one that was lost is nobody's from now on."""
    change.request.by.must_be_allowed(Right.MOVE)
    someone = person_known(change.read, person_id)
    change.people.replace_card(someone.id)
    words = _("The old card of {name} has stopped working. Print the new one.")
    return Receipt(message=Message("card-replaced", words, name=someone.name))


def sent_twice(*, by_mail: bool = False) -> NotAStep:
    """What is said where a roster is sent once more: its passwords were shown and are kept nowhere, or mailed."""
    if by_mail:
        words = _("This was already imported. Everyone who was added gets a link by mail.")
        return NotAStep(Message("roster-sent-and-mailed", words))
    return NotAStep(
        Message("roster-sent-twice", _("This was already imported. Its passwords were shown once.")),
        Message("renew-who-lost", _("Make a new one for anyone without it, on their page.")),
    )


def _change_people(change: Change, changed: Sequence[tuple[Person, NewPerson]]) -> Message | None:
    """Save what is told of people who are here; what became of their pieces where supervision began or ended."""
    begun_or_ended = {
        before.id: after.supervised
        for before, after in changed
        if after.supervised is not None and after.supervised is not before.supervised
    }
    held = held_to_approve(change, begun_or_ended)
    for before, after in changed:
        change.people.change(before.id, after)
    return told_of_supervised(change, held) if begun_or_ended else None


def _must_be_told_apart(reader: Queries, someone: NewPerson, number: int = 0) -> None:
    """Refuse the email of another person, and without one another's name in the same section."""
    if someone.email:
        for other in reader.people.with_emails([someone.email]):
            if other.id != number:
                raise _email_taken(other)
        return
    for other in reader.people.without_email([someone.section]):
        if other.id != number and namesake(other) == namesake(someone):
            raise NotAStep(
                Message("person-is-here", _("{name} is already here, without an email."), name=other.name),
                Message("tell-the-two-apart", _("Add an email or a middle initial.")),
            )


def _email_taken(by: Person) -> NotAStep:
    return NotAStep(
        Message("email-taken", _("{name} already has this email."), name=by.name),
        Message("use-another-email", _("Use another email, or change that person.")),
    )


def _must_not_be_oneself(by: Person, before: Person, after: NewPerson) -> None:
    """Refuse to take one's own role away, so that nobody shuts themselves out by a slip of the hand."""
    if before.id == by.id and after.role is not before.role:
        raise NotAStep(
            Message("own-role", _("You can't change your own role.")),
            Message("ask-another-instructor", _("Another instructor can change it.")),
        )


def _must_have_an_instructor(change: Change) -> None:
    if not any(one.role is Role.INSTRUCTOR for one in change.read.people.staff()):
        raise NotAStep(
            Message("last-instructor", _("Then the studio would have no instructor.")),
            Message("name-another-first", _("Make someone else an instructor first.")),
        )


def _receipt(told: Enrolment) -> Receipt:
    words = Plural("count", "1 person added.", "{count} people added.")
    return Receipt(message=Message("people-added", words, count=len(told.added)), extra={"added": len(told.added)})


def person_to_be(someone: NewPerson, number: int = 0) -> Person:
    """Somebody who is to be entered, as the person that they will be."""
    return Person(
        id=number,
        name=someone.name,
        email=someone.email.lower(),
        role=someone.role,
        section=someone.section,
        supervised=bool(someone.supervised),
    )
