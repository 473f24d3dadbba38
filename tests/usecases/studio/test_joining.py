"""Joining by a link: until when it works, who is let in, and that nobody learns who is here."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from tests.staffed import ADA, INES, MIRA, PASSWORD, TOM, asked_by
from tests.studio import NOON
from tracker.domain.refusals import NotAllowed, NotAStep, TooSoon, Unknown, Unusable
from tracker.domain.studio.people import NewPerson, Role
from tracker.domain.studio.terms import NewTerm
from tracker.usecases.studio import joining, membership, people, terms

if TYPE_CHECKING:
    from tracker.domain.studio.joining import JoinLink
    from tracker.store.unit_of_work import Store

WORDS = "a heron on one leg"
LAST = NOON.date() + timedelta(days=10)
LEA = "lea@studio.example"


def _link(store: Store, *, asks_first: bool = False, section: str = "Tuesday", ends_on: date = LAST) -> JoinLink:
    (number,) = [one.id for one in store.read.terms.sections() if one.name == section]
    joining.make_link(store, asked_by(ADA), number, ends_on, asks_first=asks_first)
    link = store.read.joining.link_of(number)
    assert link is not None
    return link


def _asks(store: Store, link: JoinLink, email: str = LEA, name: str = "Lea Moor", password: str = WORDS) -> None:
    joining.ask_to_join(store, link, name, email, password, at=NOON, address="10.0.0.7")


def _comes_in(store: Store, email: str, password: str = WORDS) -> bool:
    try:
        people.sign_in(store, email, password, at=NOON, address="10.0.0.8")
    except NotAllowed:
        return False
    return True


def test_without_mail_whoever_joins_waits_on_no_list_until_the_instructor_lets_them_in(store: Store) -> None:
    link = _link(store)
    _asks(store, link)
    (lea,) = store.read.joining.waiting()
    before = (_comes_in(store, LEA), store.read.people.named("lea"), store.read.people.left())

    joining.let_join(store, asked_by(ADA), lea.person.id)

    someone = store.read.people.person(email=LEA)
    assert before == (False, (), ())
    assert someone is not None
    assert (someone.role, someone.section, lea.is_new) == (Role.STUDENT, "Tuesday", True)
    assert _comes_in(store, LEA)
    assert store.read.joining.waiting() == ()
    assert store.read.joining.joined_since(NOON) == {someone.id}


def test_an_email_that_somebody_has_changes_nothing_and_only_the_instructor_is_told(store: Store) -> None:
    link = _link(store)

    _asks(store, link, INES.email.upper(), "Somebody Else")
    (asked,) = store.read.joining.waiting()

    assert asked.is_here
    assert store.read.people.person(number=INES.id) == INES
    assert (_comes_in(store, INES.email), _comes_in(store, INES.email, PASSWORD)) == (False, True)
    with pytest.raises(NotAStep):
        joining.let_join(store, asked_by(ADA), INES.id)
    joining.turn_away(store, asked_by(ADA), INES.id)
    assert store.read.joining.waiting() == ()
    assert store.read.people.person(number=INES.id) == INES


def test_whoever_left_comes_back_as_a_student_with_their_own_password(store: Store) -> None:
    membership.shut_out(store, asked_by(ADA), TOM.id)
    _asks(store, _link(store), TOM.email, "Tommy")

    (asked,) = store.read.joining.waiting()
    joining.let_join(store, asked_by(ADA), TOM.id)

    back = store.read.people.person(number=TOM.id)
    assert (asked.is_new, asked.is_here) == (False, False)
    assert back is not None
    assert (back.name, back.role, back.section) == (TOM.name, Role.STUDENT, "Tuesday")
    assert (_comes_in(store, TOM.email), _comes_in(store, TOM.email, PASSWORD)) == (False, True)


def test_whoever_is_turned_away_is_forgotten_and_may_ask_again(store: Store) -> None:
    link = _link(store)
    _asks(store, link)
    (lea,) = store.read.joining.waiting()

    joining.turn_away(store, asked_by(ADA), lea.person.id)

    assert store.read.people.person(email=LEA) is None
    _asks(store, link, name="Lea M. Moor")
    assert [one.person.name for one in store.read.joining.waiting()] == ["Lea M. Moor"]


def _withdrawn(store: Store, link: JoinLink) -> None:
    joining.withdraw_link(store, asked_by(ADA), link.section.id)


def _renewed(store: Store, link: JoinLink) -> None:
    joining.make_link(store, asked_by(ADA), link.section.id, LAST, asks_first=False)


ENDS: dict[str, Callable[[Store, JoinLink], object]] = {"withdrawn": _withdrawn, "a new one was made": _renewed}


@pytest.mark.parametrize("why", ENDS)
def test_a_link_ends_when_it_is_withdrawn_or_replaced(store: Store, why: str) -> None:
    link = _link(store)
    spelt = f"{link.token[:4]}-{link.token[4:8]} {link.token[8:].lower()}"
    assert joining.link_followed(store.read, spelt, NOON.date()) == link

    ENDS[why](store, link)

    with pytest.raises(Unknown):
        joining.link_followed(store.read, link.token, NOON.date())


def test_a_link_ends_after_its_last_day_and_with_its_term(store: Store) -> None:
    today = NOON.date()
    new = NewTerm(name="Spring", starts_on=today, ends_on=today + timedelta(days=5), sections=("Tuesday",))
    terms.add_term(store, asked_by(ADA), new)
    short, of_term = _link(store, section="Thursday"), _link(store)

    for link, last in ((short, 10), (of_term, 5)):
        assert joining.link_followed(store.read, link.token, NOON.date() + timedelta(days=last)) == link
        with pytest.raises(Unknown):
            joining.link_followed(store.read, link.token, NOON.date() + timedelta(days=last + 1))

    def sections(day: int) -> dict[str, JoinLink | None]:
        found = joining.to_join(store.read, today + timedelta(days=day))
        return {one.section.name: one.link for one in found if one.section.name in {"Tuesday", "Thursday"}}

    # A section of no term is there by its link alone, and one of a term that is over isn't.
    assert (sections(0), sections(6)) == ({"Tuesday": of_term, "Thursday": short}, {"Thursday": short})
    for wrong in ("", "2" * 12, "2" * 500, "é"):
        with pytest.raises(Unknown):
            joining.link_followed(store.read, wrong, NOON.date())


def test_weak_passwords_many_tries_and_everybody_but_the_instructor_are_refused(store: Store) -> None:
    link = _link(store)
    with pytest.raises(Unusable):
        _asks(store, link, password="short")
    with pytest.raises(NotAStep):
        _link(store, ends_on=NOON.date() - timedelta(days=1))
    for _time in range(5):
        _asks(store, link)
    with pytest.raises(TooSoon):
        _asks(store, link)
    deeds: tuple[Callable[[], object], ...] = (
        lambda: joining.make_link(store, asked_by(TOM), link.section.id, LAST, asks_first=False),
        lambda: joining.withdraw_link(store, asked_by(MIRA), link.section.id),
        lambda: joining.let_join(store, asked_by(TOM), 9),
        lambda: joining.turn_away(store, asked_by(TOM), 9),
    )
    for deed in deeds:
        with pytest.raises(NotAllowed):
            deed()


def test_a_roster_with_somebody_who_waits_lets_them_in(store: Store) -> None:
    _asks(store, _link(store))

    membership.enrol(store, asked_by(ADA), [NewPerson(name="Lea Moor", email=LEA, section="Tuesday")])

    assert _comes_in(store, LEA)
    assert store.read.joining.waiting() == ()
