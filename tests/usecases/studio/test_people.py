"""Who is in the studio: enrolling, signing in, sessions and passwords."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

import pytest
from argon2 import PasswordHasher, extract_parameters
from argon2.profiles import RFC_9106_LOW_MEMORY
from zxcvbn.frequency_lists import FREQUENCY_LISTS

from tests.staffed import ADA, MIRA, PASSWORD, TOM, asked_by
from tests.studio import NOON
from tracker.domain.refusals import NotAllowed, TooSoon, Unknown, Unusable
from tracker.domain.studio.passwords import LONGEST, SHORTEST
from tracker.domain.studio.people import NewPerson, Person
from tracker.domain.studio.sign_in_waits import Device
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import membership, passwords, people

NEW = "a kiln god in the rafters"
SECOND = timedelta(seconds=1)
HERE, ELSEWHERE = "10.0.0.7", "10.0.0.8"
A_NEW_ONE = Device()
OF_MIRA = Device("the phone in her apron", (MIRA.id,))


def signed_in(
    store: Store,
    email: str = MIRA.email,
    password: str = PASSWORD,
    address: str = HERE,
    *,
    at: datetime = NOON,
    device: Device = A_NEW_ONE,
) -> str:
    """The token of a new session."""
    return people.sign_in(store, email, password, at=at, address=address, device=device)[0]


def guess(
    store: Store, email: str = MIRA.email, address: str = HERE, *, times: int, device: Device = A_NEW_ONE
) -> None:
    """Try so many wrong passwords, each of which is compared."""
    for _ in range(times):
        with pytest.raises(NotAllowed, match="wrong-password"):
            signed_in(store, email, "wrong", address, device=device)


def new_password(store: Store, old: str, new: str, *, at: datetime = NOON) -> None:
    """Change Mira's password, as somebody does who found her phone signed in."""
    people.set_password(store, MIRA, old, new, at=at, token="the same session")


def test_who_signs_in_is_known_by_their_token(store: Store) -> None:
    token = signed_in(store, MIRA.email.upper())

    assert people.who(store, token, at=NOON) == (MIRA, False)
    assert people.who(store, token[:-1], at=NOON) is None
    assert people.who(store, "", at=NOON) is None


@pytest.mark.parametrize(("email", "password"), [(MIRA.email, "wrong"), ("nobody@studio.example", PASSWORD), ("", "")])
def test_a_wrong_password_and_a_wrong_email_are_answered_alike(store: Store, email: str, password: str) -> None:
    with pytest.raises(NotAllowed, match="wrong-password"):
        signed_in(store, email, password)


def test_each_guess_after_the_fifth_waits_twice_as_long_as_the_one_before(store: Store) -> None:
    guess(store, times=5)
    waits, at = [], NOON

    for _ in range(8):
        with pytest.raises(TooSoon) as refused:
            signed_in(store, at=at)
        waits.append(refused.value.seconds)
        at += refused.value.seconds * SECOND
        with pytest.raises(NotAllowed, match="wrong-password"):
            signed_in(store, password="wrong", at=at)

    assert waits == [15, 30, 60, 120, 240, 480, 900, 900]
    assert signed_in(store, at=at + 900 * SECOND)


def test_a_sign_in_that_works_clears_the_count(store: Store) -> None:
    for _ in range(3):
        guess(store, times=4)
        signed_in(store)


def test_nobody_elsewhere_makes_the_owner_of_an_account_wait(store: Store) -> None:
    guess(store, address=ELSEWHERE, times=5)
    with pytest.raises(TooSoon):
        signed_in(store, address=ELSEWHERE)

    assert signed_in(store)


def test_one_who_has_a_whole_network_of_addresses_has_one_place(store: Store) -> None:
    for last in range(5):
        guess(store, address=f"2001:db8::{last}", times=1)

    with pytest.raises(TooSoon):
        signed_in(store, address="2001:db8::ffff")


def test_a_device_that_is_known_for_a_person_waits_only_for_its_own_guesses(store: Store) -> None:
    guess(store, times=5)

    assert signed_in(store, device=OF_MIRA)
    guess(store, times=5, device=OF_MIRA)
    with pytest.raises(TooSoon):
        signed_in(store, device=OF_MIRA)
    with pytest.raises(TooSoon):
        signed_in(store, device=Device("a phone that others use", (TOM.id,)))


@pytest.mark.parametrize("by_command", [False, True], ids=["on the page", "from the command line"])
def test_a_renewed_password_clears_every_wait(store: Store, *, by_command: bool) -> None:
    guess(store, times=5)

    if by_command:
        person, first = people.reset_password(store, MIRA.email)
        assert person == MIRA
    else:
        first = people.renew_password(store, asked_by(ADA), MIRA.id)

    assert people.who(store, signed_in(store, password=first), at=NOON) == (MIRA, True)


def test_one_address_that_tries_many_names_waits_a_minute_at_most(store: Store) -> None:
    for number in range(40):
        guess(store, f"guess{number}@studio.example", times=1)

    with pytest.raises(TooSoon) as refused:
        signed_in(store)

    assert refused.value.seconds <= 60
    assert signed_in(store, address=ELSEWHERE)
    assert signed_in(store, device=OF_MIRA)


def test_guesses_at_the_old_password_are_bounded_too(store: Store) -> None:
    for _ in range(5):
        with pytest.raises(Unusable):
            new_password(store, "wrong", NEW)

    with pytest.raises(TooSoon):
        new_password(store, PASSWORD, NEW)

    new_password(store, PASSWORD, NEW, at=NOON + 15 * SECOND)
    assert signed_in(store, password=NEW)


def test_a_chosen_password_is_hashed_as_the_standard_recommends(usual_hasher: PasswordHasher) -> None:
    # RFC 9106, section 4, the second recommended option.
    assert extract_parameters(usual_hasher.hash(NEW)) == RFC_9106_LOW_MEMORY


def test_it_takes_as_long_to_refuse_a_stranger_as_a_person_with_a_first_or_a_chosen_password(
    usual_hasher: PasswordHasher, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(passwords, "_hasher", usual_hasher)
    monkeypatch.setattr(passwords, "_DECOY", passwords._decoy(usual_hasher))
    _, first = passwords.first_password()
    chosen = passwords.hash_of(NEW)

    def cost(held: str | None, *, is_first: bool) -> float:
        began = time.process_time()
        assert not passwords.matches(held, "wrong", is_first=is_first)
        return time.process_time() - began

    kinds = [(None, False), (first, True), (chosen, False)]
    least = [min(cost(held, is_first=is_first) for _ in range(2)) for held, is_first in kinds]

    assert max(least) < 1.5 * min(least), least


def test_others_write_while_a_password_is_hashed(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    hashed = []

    def beside(real: Callable[..., object]) -> Callable[..., object]:
        def meanwhile(*given: object) -> object:
            store.accounts.end_session("nobody's")
            hashed.append(given)
            return real(*given)

        return meanwhile

    for name in ("hash", "verify"):
        monkeypatch.setattr(PasswordHasher, name, beside(getattr(PasswordHasher, name)))
    signed_in(store)
    new_password(store, PASSWORD, NEW)
    people.renew_password(store, asked_by(ADA), MIRA.id)
    membership.enrol(store, asked_by(ADA), [NewPerson(name="Pat Oro", email="pat@studio.example")])

    # Two are compared at the sign-in and two with the old password; three are made.
    assert len(hashed) == 7


def test_a_session_ends_by_signing_out_and_by_itself(store: Store) -> None:
    student, staff = signed_in(store), signed_in(store, TOM.email)

    assert people.who(store, staff, at=NOON + timedelta(hours=13)) is not None
    assert people.who(store, staff, at=NOON + timedelta(hours=15)) is None
    assert people.who(store, student, at=NOON + timedelta(days=29)) is not None
    assert people.who(store, student, at=NOON + timedelta(days=31)) is None
    people.sign_out(store, student)
    assert people.who(store, student, at=NOON) is None


def test_a_new_password_ends_all_sessions_and_holds_from_then_on(store: Store) -> None:
    here, there = signed_in(store), signed_in(store)

    new_password(store, PASSWORD, NEW)

    assert people.who(store, here, at=NOON) is people.who(store, there, at=NOON) is None
    with pytest.raises(NotAllowed):
        signed_in(store)
    assert signed_in(store, password=NEW)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        pytest.param("wrong", NEW, "old-password-wrong", id="the old one wrong"),
        pytest.param(PASSWORD, "x" * (SHORTEST - 1), "password-length", id="too short"),
        pytest.param(PASSWORD, "x" * (LONGEST + 1), "password-length", id="too long"),
        pytest.param(PASSWORD, PASSWORD, "password-not-new", id="not new"),
        pytest.param(PASSWORD, MIRA.email, "password-own-name", id="own email"),
        pytest.param(PASSWORD, f"{MIRA.name}-2026", "password-own-name", id="own name and a year"),
        pytest.param(PASSWORD, "P@ssw0rd123", "password-common", id="a common one in disguise"),
    ],
)
def test_a_new_password_is_refused(store: Store, old: str, new: str, says: str) -> None:
    token = signed_in(store)

    with pytest.raises(Unusable, match=says):
        new_password(store, old, new)

    assert people.who(store, token, at=NOON) == (MIRA, False)


def test_none_of_the_ten_thousand_commonest_passwords_is_taken() -> None:
    # They come in the order of how common they are.
    commonest = list(FREQUENCY_LISTS["passwords"])[:10_000]

    taken = [one for one in commonest if not passwords.problems_with(one, MIRA)]

    assert taken == []


def test_whoever_is_enrolled_must_change_the_first_password(store: Store) -> None:
    enrolment = membership.enrol(store, asked_by(ADA), [NewPerson(name="Pat Oro", email="Pat@studio.example")])
    ((pat, first),) = enrolment.added

    token = signed_in(store, pat.email, first)

    assert people.who(store, token, at=NOON) == (pat, True)
    people.set_password(store, pat, first, NEW, at=NOON, token=token)
    assert people.who(store, signed_in(store, pat.email, NEW), at=NOON) == (pat, False)


def test_only_the_instructor_enrols_and_renews(store: Store) -> None:
    with pytest.raises(NotAllowed):
        membership.enrol(store, asked_by(TOM), [NewPerson(name="Pat", email="pat@studio.example")])
    with pytest.raises(NotAllowed):
        people.renew_password(store, asked_by(TOM), MIRA.id)
    with pytest.raises(Unknown):
        people.renew_password(store, asked_by(ADA), 10**12)

    assert store.read.people.person(email="pat@studio.example") is None


def test_a_renewed_password_ends_the_sessions_and_must_be_changed(store: Store) -> None:
    token = signed_in(store)

    first = people.renew_password(store, asked_by(ADA), MIRA.id)

    assert people.who(store, token, at=NOON) is None
    assert people.who(store, signed_in(store, password=first), at=NOON) == (MIRA, True)


def test_a_password_chosen_at_the_command_line_holds_at_once(store: Store) -> None:
    people.choose_password(store, MIRA, NEW)

    assert people.who(store, signed_in(store, password=NEW), at=NOON) == (MIRA, False)


def test_whoever_is_added_has_a_delivered_password_before_that_is_committed(store: Store) -> None:
    pat = NewPerson(name="Pat Oro", email="pat@studio.example")
    seen: list[Person | None] = []

    def deliver(added: Sequence[tuple[Person, str]]) -> None:
        assert [one.email for one, _ in added] == [pat.email]
        seen.append(store.read.people.person(email=pat.email))

    membership.enrol(store, asked_by(ADA), [pat], deliver=deliver)

    assert seen == [None]
    assert store.read.people.person(email=pat.email)


def test_nobody_is_added_whose_password_could_not_be_delivered(store: Store) -> None:
    pat = NewPerson(name="Pat Oro", email="pat@studio.example")

    def deliver(_added: object) -> None:
        raise OSError

    with pytest.raises(OSError):  # noqa: PT011 -- any fault of the system does
        membership.enrol(store, asked_by(ADA), [pat], deliver=deliver)

    assert store.read.people.person(email=pat.email) is None
