"""Each role may do what the studio's table says, and people are called by first name and initial."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tracker.domain.refusals import NotAllowed
from tracker.domain.studio.people import RIGHTS, Person, Right, Role, short_name

# Who may do what, by hand from the studio's table of steps: students work on pieces, staff moves and fires them, the
# instructor decides, corrects and keeps the house.
MAY = {
    "register": "student member staff instructor",
    "work-on": "student member staff instructor",
    "put-away": "student member staff instructor",
    "ask": "student member staff instructor",
    "see-own": "student member staff instructor",
    "see-all": "staff instructor",
    "move": "staff instructor",
    "edit": "staff instructor",
    "fire": "staff instructor",
    "hand-over": "staff instructor",
    "decide": "instructor",
    "correct": "instructor",
    "catalog": "instructor",
    "people": "instructor",
}


def _person(role: Role) -> Person:
    return Person(id=1, name="Ines Pell", email="ines@studio.example", role=role)


@pytest.mark.parametrize("role", Role, ids=str)
@pytest.mark.parametrize("right", Right, ids=str)
def test_a_role_may_do_what_the_table_says_and_nothing_else(right: Right, role: Role) -> None:
    person = _person(role)

    allowed = role in MAY[right].split()

    assert person.may(right) is allowed
    if allowed:
        person.must_be_allowed(right)
    else:
        with pytest.raises(NotAllowed):
            person.must_be_allowed(right)


def test_no_right_is_forgotten_in_the_table() -> None:
    assert {str(right) for right in RIGHTS} == set(MAY) == {str(right) for right in Right}


def test_who_may_not_is_told_whom_to_ask() -> None:
    with pytest.raises(NotAllowed) as refusal:
        _person(Role.STUDENT).must_be_allowed(Right.MOVE)

    assert said(refusal.value.message) == "Students can't move pieces between stages."
    assert said(refusal.value.remedy) == "Ask the staff or instructor to do this."


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Mira Tann", "Mira T."),
        ("Ana Sofia de Vries", "Ana V."),
        ("  Mira   Tann ", "Mira T."),
        ("Åsa Ölund", "Åsa Ö."),
        ("Mira", "Mira"),
        (" Mira ", "Mira"),
        ("", ""),
    ],
)
def test_a_person_is_called_by_first_name_and_initial(name: str, short: str) -> None:
    assert short_name(name) == short
    assert Person(id=1, name=name, email="mira@studio.example", role=Role.STUDENT).short_name == short


@given(st.text())
def test_a_short_name_is_never_longer_than_two_words(name: str) -> None:
    assert len(short_name(name).split()) == min(2, len(name.split()))
