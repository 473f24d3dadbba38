"""Badges that sign in: for shelf staff, with a PIN, on a shared tablet, for ten minutes; guesses at the PIN are few."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests.staffed import ADA, INES, TOM, asked_by
from tests.studio import NOON
from tracker.domain.labels.badge_bars import read_badge
from tracker.domain.labels.keyboards import Layout, as_typed
from tracker.domain.pieces.codes import read
from tracker.domain.refusals import NotAllowed, TooSoon, Unknown
from tracker.domain.studio.badges import MOST_WRONG, STAY
from tracker.domain.studio.people import NewPerson, Role
from tracker.usecases.studio import badges, membership, people
from tracker.usecases.studio.badges import SharedTablet
from tracker.usecases.studio.rosters import told_of

if TYPE_CHECKING:
    from datetime import datetime

    from tracker.domain.studio.people import Person
    from tracker.store.unit_of_work import Store

TABLET = SharedTablet("by the glaze table")


def issued(store: Store) -> tuple[str, str]:
    """A badge of Tom's, and its PIN."""
    pin = badges.issue_badge(store, asked_by(ADA), TOM.id)
    badge = store.badges.of(TOM.id)
    assert badge is not None
    return badge.number, pin


def signed_in(store: Store, number: str, pin: str, *, at: datetime = NOON, tablet: SharedTablet = TABLET) -> str:
    """The token of a session that a badge began."""
    return badges.sign_in_by_badge(store, number, pin, at=at, tablet=tablet)[0]


def wrong(pin: str) -> str:
    """Another PIN."""
    return f"{(int(pin) + 1) % 10_000:04}"


def test_a_badge_and_its_pin_sign_its_owner_in_for_ten_minutes_after_each_scan(store: Store) -> None:
    number, pin = issued(store)
    token = signed_in(store, f"]C1{number.lower()}", pin)

    assert people.who(store, token, at=NOON + STAY - timedelta(seconds=1)) == (TOM, False)
    badges.stay(store, token, at=NOON + timedelta(minutes=9))
    assert people.who(store, token, at=NOON + timedelta(minutes=18)) is not None
    assert people.who(store, token, at=NOON + timedelta(minutes=20)) is None


def test_a_session_by_password_is_made_no_longer_by_a_scan(store: Store) -> None:
    store.accounts.begin_session(people.hash_of_token("by password"), TOM.id, NOON, NOON + timedelta(hours=14))

    badges.stay(store, "by password", at=NOON + timedelta(hours=13, minutes=55))

    assert people.who(store, "by password", at=NOON + timedelta(hours=14, minutes=1)) is None


@pytest.mark.parametrize("pin", ["", "12", "12345", "abcd", "\uff11\uff12\uff13\uff14", "no pin"])
def test_a_badge_without_its_pin_does_nothing(store: Store, pin: str) -> None:
    number, _right = issued(store)

    with pytest.raises(NotAllowed):
        signed_in(store, number, pin)


def test_wrong_pins_lock_a_badge_wherever_they_are_tried_until_the_instructor_makes_a_new_one(store: Store) -> None:
    number, pin = issued(store)
    for count in range(MOST_WRONG):
        with pytest.raises(NotAllowed):
            signed_in(store, number, wrong(pin), tablet=SharedTablet(f"tablet {count}"))

    with pytest.raises(NotAllowed) as locked:
        signed_in(store, number, pin, tablet=SharedTablet("yet another"))
    assert locked.value.message.code == "badge-is-locked"
    renewed, new_pin = issued(store)
    assert renewed != number
    signed_in(store, renewed, new_pin)
    with pytest.raises(Unknown):
        signed_in(store, number, pin)


def test_a_right_pin_forgets_the_wrong_ones_before_it(store: Store) -> None:
    number, pin = issued(store)
    for _round in range(3):
        for count in range(4):
            with pytest.raises(NotAllowed):
                signed_in(store, number, wrong(pin), tablet=SharedTablet(f"tablet {count}"))
        signed_in(store, number, pin)


def test_whoever_guesses_on_one_tablet_has_to_wait(store: Store) -> None:
    number, pin = issued(store)
    for _try in range(5):
        with pytest.raises(NotAllowed):
            signed_in(store, number, wrong(pin))

    with pytest.raises(TooSoon):
        signed_in(store, number, pin)
    signed_in(store, number, pin, at=NOON + timedelta(seconds=16))


@pytest.mark.parametrize("who", [INES, ADA], ids=["student", "instructor"])
def test_only_shelf_staff_get_a_badge(store: Store, who: Person) -> None:
    with pytest.raises(NotAllowed):
        badges.issue_badge(store, asked_by(ADA), who.id)


def test_only_the_instructor_makes_and_revokes_badges(store: Store) -> None:
    for do in (badges.issue_badge, badges.revoke_badge):
        with pytest.raises(NotAllowed):
            do(store, asked_by(TOM), TOM.id)


def test_revoking_or_renewing_signs_out_whoever_came_by_the_badge_and_nobody_else(store: Store) -> None:
    store.accounts.begin_session(people.hash_of_token("by password"), TOM.id, NOON, NOON + timedelta(hours=14))
    number, pin = issued(store)
    first = signed_in(store, number, pin)
    renewed, new_pin = issued(store)
    assert people.who(store, first, at=NOON) is None

    second = signed_in(store, renewed, new_pin)
    badges.revoke_badge(store, asked_by(ADA), TOM.id)

    assert people.who(store, second, at=NOON) is None
    assert people.who(store, "by password", at=NOON) == (TOM, False)
    with pytest.raises(Unknown):
        signed_in(store, renewed, new_pin)


@pytest.mark.parametrize("goes", ["leaves", "becomes a student"])
def test_a_badge_ends_with_its_owners_place_on_the_staff(store: Store, goes: str) -> None:
    number, pin = issued(store)
    token = signed_in(store, number, pin)

    if goes == "leaves":
        membership.shut_out(store, asked_by(ADA), TOM.id)
    else:
        student = NewPerson(name=TOM.name, email=TOM.email, section="Tuesday", role=Role.STUDENT)
        membership.change_person(store, asked_by(ADA), TOM.id, student)

    assert people.who(store, token, at=NOON) is None
    membership.change_person(store, asked_by(ADA), TOM.id, told_of(TOM))
    with pytest.raises(Unknown):
        signed_in(store, number, pin)


def test_a_badge_says_the_same_on_every_keyboard_and_is_no_code(store: Store) -> None:
    number, _pin = issued(store)

    for layout in Layout:
        assert read_badge(as_typed(f"]C1{number}", layout)) == number
    assert read(number).code is None
