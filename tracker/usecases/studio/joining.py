"""Joining a section by its link: made by the instructor, followed by students, who may wait to be let in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import NotAStep, Unknown, Unusable
from tracker.domain.studio.joining import Joiner, JoinLink, read_token
from tracker.domain.studio.people import NewPerson, Right
from tracker.domain.studio.sign_in_waits import place_of
from tracker.domain.studio.terms import Section, Term
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.once import once
from tracker.usecases.studio.membership import person_to_be
from tracker.usecases.studio.passwords import hash_of, problems_with
from tracker.usecases.studio.people import must_not_be_too_soon

JOIN_PAGE = "/join"
"""The page that a join link opens. What opens it is behind a question mark, which no log writes down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToJoin:
    """A section that students may join, or could if it had a link: its term, if it has one, and the link that works."""

    section: Section
    term: Term | None
    link: JoinLink | None


def to_join(reader: Queries, day: date) -> tuple[ToJoin, ...]:
    """The sections with a link that works on this day, and those that could get one.

    These are of a term that isn't over, or of none while people are added to no term.
    """
    terms = {term.id: term for term in reader.terms.listed()}
    links, of_none = reader.joining.links(), {None} if reader.terms.on(day) is None else set()
    open_terms = of_none | {one.id for one in terms.values() if _is_joinable(one, day)}
    found = (
        ToJoin(section=one, term=terms.get(one.term_id or 0), link=_working(links.get(one.id), day))
        for one in reader.terms.sections()
    )
    return tuple(one for one in found if one.link is not None or one.section.term_id in open_terms)


def section_to_join(reader: Queries, number: int, day: date) -> ToJoin:
    """The section with this number, whether anybody can join it or not."""
    section = section_known(reader, number)
    term = _term_of(reader, section)
    return ToJoin(section=section, term=term, link=_working(reader.joining.link_of(number), day))


def link_followed(reader: Queries, text: str, day: date) -> JoinLink:
    """The link that somebody followed or typed; `Unknown` where it doesn't work, never did, or works no more."""
    token = read_token(text)
    link = _working(reader.joining.link(token) if token else None, day)
    if link is None:
        raise Unknown(
            Message("join-link-ended", _("This link doesn't work, or it has ended.")),
            Message("ask-for-a-join-link", _("Ask the instructor for a new one.")),
        )
    return link


def _working(link: JoinLink | None, day: date) -> JoinLink | None:
    return link if link is not None and link.works_on(day) else None


def _is_joinable(term: Term, day: date) -> bool:
    return term.is_open and term.ends_on >= day


def _term_of(reader: Queries, section: Section) -> Term | None:
    return next((one for one in reader.terms.listed() if one.id == section.term_id), None)


def ask_to_join(
    store: Store, link: JoinLink, name: str, email: str, password: str, *, at: datetime, address: str
) -> None:
    """Ask to join a section as a student. Nobody is told whether somebody has that email.

    With mail, a link goes there: to choose a password, or to the account that there is. Without, a password comes
    along, and the instructor lets everyone in. Whoever asks again and again waits as if they guessed at a password.
    """
    someone = NewPerson(name=name, email=email.lower())
    is_mailed = store.outbox.is_on
    if not is_mailed and (problems := problems_with(password, person_to_be(someone))):
        raise Unusable(problems)
    must_not_be_too_soon(store, someone.email, f"join {place_of(address)}", at=at, is_address=True)
    # It takes long, and as long for everybody.
    hashed = None if is_mailed else hash_of(password)
    store.joining.ask(link, someone, hashed, at)


def section_known(reader: Queries, number: int) -> Section:
    """The section with this number."""
    found = next((one for one in reader.terms.sections() if one.id == number), None)
    if found is None:
        raise Unknown(Message("no-such-section", _("There is no such section.")))
    return found


@once("make join link")
def make_link(change: Change, section_id: int, ends_on: date, *, asks_first: bool) -> Receipt:
    """Give a section a join link until the end of that day; one that it had works no more."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    section = section_known(change.read, section_id)
    term = _term_of(change.read, section)
    if term is not None and not _is_joinable(term, change.today):
        raise NotAStep(
            Message("join-after-term", _("{term} is over, so nobody can join it."), term=term.name),
            Message("join-another-term", _("Make the link for a section of another term.")),
        )
    if ends_on < change.today:
        raise NotAStep(
            Message("join-ends-before-today", _("That day is over.")),
            Message("choose-a-later-day", _("Choose today or a later day.")),
        )
    change.joining.make(section.id, ends_on, asks_first=asks_first)
    return Receipt(message=Message("join-link-made", _("{section} has a join link."), section=section.name))


@once("withdraw join link")
def withdraw_link(change: Change, section_id: int) -> Receipt:
    """End a section's join link now."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    section = section_known(change.read, section_id)
    change.joining.withdraw(section.id)
    words = _("The join link of {section} has stopped working.")
    return Receipt(message=Message("join-link-withdrawn", words, section=section.name))


@once("let join")
def let_join(change: Change, person_id: int) -> Receipt:
    """Let somebody in who asked to join."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    joiner = _waiting(change.read, person_id)
    if joiner.is_here:
        raise NotAStep(Message("joiner-is-here", _("{name} has an account already."), name=joiner.person.name))
    change.joining.let_in(person_id)
    words = _("{name} is in, in {section}.")
    return Receipt(message=Message("let-in", words, name=joiner.person.name, section=joiner.section))


@once("turn away")
def turn_away(change: Change, person_id: int) -> Receipt:
    """Take somebody who asked to join off the list. Nobody tells them."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    joiner = _waiting(change.read, person_id)
    change.joining.turn_away(person_id)
    return Receipt(message=Message("turned-away", _("{name} is off the list."), name=joiner.person.name))


def _waiting(reader: Queries, person_id: int) -> Joiner:
    found = next((one for one in reader.joining.waiting() if one.person.id == person_id), None)
    if found is None:
        raise Unknown(Message("nobody-waits", _("They aren't waiting anymore.")))
    return found


def join_address(address: str, link: JoinLink) -> str:
    """Where the link of a poster leads; its letters stand in groups of four, to be typed."""
    token = "-".join(link.token[at : at + 4] for at in range(0, len(link.token), 4))
    return f"{address.rstrip('/')}{JOIN_PAGE}?t={token}"
