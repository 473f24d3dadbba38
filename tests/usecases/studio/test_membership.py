"""Who belongs to the studio: a roster is taken whole, and whoever leaves is shut out at once and loses nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.staffed import ADA, INES, MIRA, PASSWORD, TOM, asked_by
from tests.studio import NOON
from tracker.domain.refusals import NotAllowed, NotAStep, Unusable
from tracker.domain.studio.people import RIGHTS, NewPerson, Right, Role
from tracker.usecases.studio import membership, people, rosters

if TYPE_CHECKING:
    from tracker.store.unit_of_work import Store

PAT = NewPerson(name="Pat Oro", email="pat@studio.example", section="Tuesday")


def _roster(store: Store) -> list[NewPerson]:
    """Everybody who is here, as a roster."""
    return [rosters.told_of(one) for one in store.read.people.listed()]


def test_a_roster_adds_changes_and_leaves_alone_and_sent_again_changes_nothing(store: Store) -> None:
    moved = replace(rosters.told_of(MIRA), section="Friday", email=MIRA.email.upper())
    roster = [PAT, replace(PAT, name="Pat again", email="PAT@studio.example"), moved, rosters.told_of(TOM)]
    told: list[tuple[int, int]] = []

    ahead = rosters.coming(store.read, roster, NOON.date())
    first = membership.enrol(store, asked_by(ADA), roster, progress=lambda *done: told.append(done))
    second = membership.enrol(store, asked_by(ADA), roster)

    assert [one.name for one in ahead.new] == [one.name for one, _ in first.added] == ["Pat Oro"]
    assert [before for before, _ in ahead.changed] == [MIRA]
    assert [one.section for one in first.changed] == ["Friday"]
    assert (first.same, second.added, second.changed) == ((TOM,), (), ())
    assert told == [(number, 4) for number in range(1, 5)]
    assert store.read.people.person(email=MIRA.email) == replace(MIRA, section="Friday")


def test_whoever_is_no_longer_on_the_roster_of_their_section_is_told_and_shut_out_when_asked(store: Store) -> None:
    roster = [replace(PAT, section=MIRA.section)]

    ahead = rosters.coming(store.read, roster, NOON.date())
    membership.enrol(store, asked_by(ADA), roster)
    still_here = store.read.people.person(number=MIRA.id)
    done = membership.enrol(store, asked_by(ADA), roster, without_gone=True)

    assert MIRA in ahead.gone
    assert still_here == MIRA
    assert done.gone == ahead.gone
    assert store.read.people.person(number=MIRA.id) == replace(MIRA, has_left=True)
    assert MIRA.id not in {one.id for one in store.read.people.listed()}


def test_whoever_left_is_shut_out_at_once_and_comes_back_by_a_roster_or_by_hand(store: Store) -> None:
    def sign_in() -> str:
        return people.sign_in(store, MIRA.email, PASSWORD, at=NOON, address="10.0.0.7")[0]

    token = sign_in()
    membership.shut_out(store, asked_by(ADA), MIRA.id)
    ended = people.who(store, token, at=NOON)
    gone = store.read.people.person(number=MIRA.id)
    with pytest.raises(NotAllowed) as at_the_door:
        sign_in()

    assert ended is None
    assert at_the_door.value.message.code == "wrong-password"
    assert gone is not None
    with pytest.raises(NotAllowed) as refused:
        gone.must_be_allowed(Right.SEE_OWN)
    assert refused.value.message.code == "has-left"
    assert store.read.people.left() == (gone,)
    ahead = rosters.coming(store.read, [rosters.told_of(MIRA)], NOON.date())
    assert [before for before, _ in ahead.changed] == [gone]

    membership.enrol(store, asked_by(ADA), [rosters.told_of(MIRA)])
    assert people.who(store, sign_in(), at=NOON) == (MIRA, False)
    membership.shut_out(store, asked_by(ADA), MIRA.id)
    membership.let_in(store, asked_by(ADA), MIRA.id)
    assert people.who(store, sign_in(), at=NOON) == (MIRA, False)


def test_one_person_is_added_and_changed_by_the_instructor_alone(store: Store) -> None:
    added, password = membership.add(store, asked_by(ADA), PAT)
    membership.change_person(store, asked_by(ADA), added.id, replace(PAT, name="Pat Orr", role=Role.STAFF))

    assert people.sign_in(store, PAT.email, password, at=NOON, address="10.0.0.7")[1].role is Role.STAFF
    assert [one.name for one in store.read.people.named("orr")] == ["Pat Orr"]
    for deed in (
        lambda: membership.add(store, asked_by(TOM), replace(PAT, email="other@studio.example")),
        lambda: membership.enrol(store, asked_by(TOM), [replace(PAT, email="other@studio.example")]),
        lambda: membership.change_person(store, asked_by(TOM), MIRA.id, PAT),
        lambda: membership.shut_out(store, asked_by(INES), MIRA.id),
        lambda: membership.let_in(store, asked_by(MIRA), MIRA.id),
    ):
        with pytest.raises(NotAllowed):
            deed()


KID = NewPerson(name="Lía Paz", email="", section="Saturday", supervised=True)


def test_people_without_an_email_are_told_apart_by_name_and_section_until_they_have_one(store: Store) -> None:
    ((lia, password),) = membership.enrol(store, asked_by(ADA), [KID]).added

    same = rosters.coming(store.read, [replace(KID, name="LIA PAZ")], NOON.date())
    other = rosters.coming(store.read, [replace(KID, section="Sunday")], NOON.date())
    with pytest.raises(NotAllowed):
        people.sign_in(store, "", "", at=NOON, address="10.0.0.7")
    with pytest.raises(NotAStep):
        people.renew_password(store, asked_by(ADA), lia.id)
    written = people.person_called(store.read, lia.called)
    done = membership.enrol(store, asked_by(ADA), [replace(KID, email="lia@studio.example")])

    assert (lia.email, password) == ("", "")
    assert [before for before, _ in same.changed] == [written] == [lia]
    assert [one.section for one in other.new] == ["Sunday"]
    assert (done.added, done.changed) == ((), (replace(lia, email="lia@studio.example"),))
    assert people.renew_password(store, asked_by(ADA), lia.id)


def test_members_have_the_rights_of_students() -> None:
    member, student = ({one for one in Right if role in RIGHTS[one]} for role in (Role.MEMBER, Role.STUDENT))

    assert member == student


def test_members_stay_where_a_section_of_students_leaves(store: Store) -> None:
    member = replace(PAT, section="", role=Role.MEMBER, supervised=False)
    membership.enrol(store, asked_by(ADA), [member, replace(PAT, name="Ann Oro", email="ann@studio.example")])

    done = membership.enrol(store, asked_by(ADA), [replace(KID, section=PAT.section)], without_gone=True)

    assert "Ann Oro" in {one.name for one in done.gone}
    assert member in _roster(store)


REFUSED: dict[str, Callable[[Store], object]] = {
    "email-taken": lambda store: membership.add(store, asked_by(ADA), replace(PAT, email=MIRA.email.upper())),
    "person-is-here": lambda store: membership.add(store, asked_by(ADA), replace(KID, name="Lia Paz")),
    "own-role": lambda store: membership.change_person(
        store, asked_by(ADA), ADA.id, replace(rosters.told_of(ADA), role=Role.STAFF)
    ),
    "shuts-out-oneself": lambda store: membership.shut_out(store, asked_by(ADA), ADA.id),
}


@pytest.mark.parametrize("code", REFUSED)
def test_what_would_lock_the_studio_or_mix_two_people_is_refused(store: Store, code: str) -> None:
    membership.enrol(store, asked_by(ADA), [KID])
    before = _roster(store)

    with pytest.raises(NotAStep) as refused:
        REFUSED[code](store)

    assert refused.value.message.code == code
    assert _roster(store) == before


def test_somebody_elses_email_is_refused_in_a_change(store: Store) -> None:
    with pytest.raises(NotAStep) as refused:
        membership.change_person(store, asked_by(ADA), INES.id, replace(rosters.told_of(INES), email=MIRA.email))

    assert refused.value.message.code == "email-taken"
    assert store.read.people.person(number=INES.id) == INES


def test_a_roster_that_would_leave_no_instructor_changes_nothing(store: Store) -> None:
    roster = [PAT, replace(rosters.told_of(ADA), role=Role.STUDENT)]

    with pytest.raises(NotAStep) as refused:
        membership.enrol(store, asked_by(ADA), roster)

    assert refused.value.message.code == "own-role"
    assert store.read.people.person(email=PAT.email) is None


def test_a_child_without_an_email_who_changes_section_is_asked_about_and_never_doubled(store: Store) -> None:
    membership.enrol(store, asked_by(ADA), [KID])
    (before,) = store.read.people.without_email([KID.section])
    moved = replace(KID, section="Sunday", line=7)

    seen = rosters.coming(store.read, [moved], NOON.date())
    with pytest.raises(Unusable) as unsaid:
        membership.enrol(store, asked_by(ADA), [moved])
    same = membership.enrol(store, asked_by(ADA), [moved], same={7: before.id})
    back = replace(KID, line=3)
    other = membership.enrol(store, asked_by(ADA), [back], same={3: 0})

    assert [(one.line, others) for one, others in seen.alike] == [(7, (before,))]
    assert [one.code for one in unsaid.value.problems] == ["is-it-the-same"]
    assert [one.id for one in same.changed] == [before.id]
    assert (same.added, len(other.added)) == ((), 1)
