"""Who is in the studio: enrolling, signing in, sessions and passwords."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.staffed import ADA, MIRA, PASSWORD, QUICK, TOM, asked_by
from tests.studio import NOON
from tracker.domain.refusals import NotAllowed, Unknown, Unusable
from tracker.domain.studio.people import NewPerson, Role
from tracker.store.unit_of_work import Store
from tracker.usecases.studio import people
from tracker.usecases.studio.people import LONGEST_PASSWORD, SHORTEST_PASSWORD

NEW = "a kiln god in the rafters"
MINUTE = timedelta(minutes=1)


def signed_in(store: Store, email: str = MIRA.email, password: str = PASSWORD, address: str = "10.0.0.7") -> str:
    """The token of a new session."""
    return people.sign_in(store, email, password, at=NOON, address=address)[0]


def test_who_signs_in_is_known_by_their_token(store: Store) -> None:
    token = signed_in(store, MIRA.email.upper())

    assert people.who(store, token, at=NOON) == (MIRA, False)
    assert people.who(store, token[:-1], at=NOON) is None
    assert people.who(store, "", at=NOON) is None


@pytest.mark.parametrize(("email", "password"), [(MIRA.email, "wrong"), ("nobody@studio.example", PASSWORD), ("", "")])
def test_a_wrong_password_and_a_wrong_email_are_answered_alike(store: Store, email: str, password: str) -> None:
    with pytest.raises(NotAllowed, match="wrong-password"):
        signed_in(store, email, password)


def test_after_six_wrong_tries_even_the_right_password_waits_a_quarter_of_an_hour(store: Store) -> None:
    for _ in range(6):
        with pytest.raises(NotAllowed, match="wrong-password"):
            signed_in(store, password="wrong")

    with pytest.raises(NotAllowed, match="too-many-attempts"):
        signed_in(store)
    later = NOON + 16 * MINUTE

    assert people.sign_in(store, MIRA.email, PASSWORD, at=later, address="10.0.0.7")[1] == MIRA


def test_a_sign_in_that_works_clears_the_count(store: Store) -> None:
    for _ in range(4):
        for _ in range(4):
            with pytest.raises(NotAllowed, match="wrong-password"):
                signed_in(store, password="wrong")
        signed_in(store)


def test_one_address_that_tries_many_names_is_bounded(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    # What a stranger's guess is compared with costs as much as a real password; here forty guesses need not wait.
    monkeypatch.setattr(people, "_NOBODY", QUICK.hash("nobody's"))
    for number in range(40):
        with pytest.raises(NotAllowed, match="wrong-password"):
            signed_in(store, f"guess{number}@studio.example")

    with pytest.raises(NotAllowed, match="too-many-attempts"):
        signed_in(store)

    assert signed_in(store, address="10.0.0.8")


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

    people.set_password(store, MIRA, PASSWORD, NEW)

    assert people.who(store, here, at=NOON) is people.who(store, there, at=NOON) is None
    with pytest.raises(NotAllowed):
        signed_in(store)
    assert signed_in(store, password=NEW)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        pytest.param("wrong", NEW, "old-password-wrong", id="the old one wrong"),
        pytest.param(PASSWORD, "x" * (SHORTEST_PASSWORD - 1), "password-length", id="too short"),
        pytest.param(PASSWORD, "x" * (LONGEST_PASSWORD + 1), "password-length", id="too long"),
        pytest.param(PASSWORD, PASSWORD, "password-not-new", id="not new"),
    ],
)
def test_a_new_password_is_refused(store: Store, old: str, new: str, says: str) -> None:
    token = signed_in(store)

    with pytest.raises(Unusable, match=says):
        people.set_password(store, MIRA, old, new)

    assert people.who(store, token, at=NOON) == (MIRA, False)


def test_whoever_is_enrolled_must_change_the_first_password(store: Store) -> None:
    enrolment = people.enrol(store, asked_by(ADA), [NewPerson(name="Pat Oro", email="Pat@studio.example")])
    ((pat, first),) = enrolment.added

    token = signed_in(store, pat.email, first)

    assert people.who(store, token, at=NOON) == (pat, True)
    people.set_password(store, pat, first, NEW)
    assert people.who(store, signed_in(store, pat.email, NEW), at=NOON) == (pat, False)


def test_a_roster_entered_twice_adds_nobody_twice(store: Store) -> None:
    roster = [
        NewPerson(name="Pat Oro", email="pat@studio.example", section="Tuesday"),
        NewPerson(name="Pat Oro again", email="PAT@studio.example"),
        NewPerson(name=MIRA.name, email=MIRA.email.upper(), role=Role.INSTRUCTOR),
    ]
    told: list[tuple[int, int]] = []

    first = people.enrol(store, asked_by(ADA), roster, progress=lambda *done: told.append(done))
    second = people.enrol(store, asked_by(ADA), roster)

    assert [person.name for person, _ in first.added] == ["Pat Oro"]
    assert (first.already, second.added, second.already) == (2, (), 3)
    assert told == [(1, 3), (2, 3), (3, 3)]
    assert store.read.people.person(email=MIRA.email) == MIRA


def test_only_the_instructor_enrols_and_renews(store: Store) -> None:
    with pytest.raises(NotAllowed):
        people.enrol(store, asked_by(TOM), [NewPerson(name="Pat", email="pat@studio.example")])
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
