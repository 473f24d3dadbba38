"""A student's data goes when nothing of theirs is under way; pieces and history stay; on both engines."""

from __future__ import annotations

import pytest

from tests.photographed import photographed
from tests.staffed import ADA, INES, MIRA, PASSWORD, TOM, asked_by, bisqued, fired
from tests.studio import NOON
from tracker.domain.refusals import NotAllowed, NotAStep, Unknown
from tracker.domain.studio.people import FORMER_MAKER, NewPerson, Person
from tracker.store import backup as keeping
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import pickup, pieces
from tracker.usecases.studio import membership, people
from tracker.usecases.studio.forgetting import forget


@pytest.fixture
def gone(store: Store) -> str:
    """Mira's only piece, which she took home; it has two photos, and she is signed in."""
    ref = fired(store)
    photographed(store, ref, MIRA)
    photographed(store, ref, TOM)
    pickup.hand_over(store, asked_by(TOM), ref)
    return ref


def test_who_somebody_was_is_gone_and_what_they_made_stays(store: Store, gone: str) -> None:
    token, _ = people.sign_in(store, MIRA.email, PASSWORD, at=NOON, address="10.0.0.7")
    kept = photographed(store, bisqued(store, maker=INES), INES)
    before = store.read.pieces.row(code=gone)
    assert before is not None

    forget(store, asked_by(ADA), MIRA.id)

    row = store.read.pieces.row(code=gone)
    someone = store.read.people.person(number=MIRA.id)
    assert row is not None
    assert someone is not None
    assert (row.maker, row.section, row.piece) == (FORMER_MAKER, "", before.piece)
    assert (someone.name, someone.section) == (FORMER_MAKER, "")
    assert someone.email == ""
    assert store.read.people.person(email=MIRA.email) is None
    assert people.who(store, token, at=NOON) is None
    assert store.accounts.password_hash(MIRA.id)[0] is None
    with pytest.raises(NotAllowed):
        people.sign_in(store, MIRA.email, PASSWORD, at=NOON, address="10.0.0.7")
    assert store.read.pieces.page(row.piece.id).history[0].by == FORMER_MAKER
    assert store.read.album.of(row.piece.id) == ()
    assert store.shelf is not None
    assert [path.name[:32] for path in store.shelf.folder.rglob("*.jpg")] == [kept, kept]


def test_a_former_maker_is_on_no_list_and_the_database_is_whole(
    store: Store, gone: str, database_url: str, tmp_path: object
) -> None:
    forget(store, asked_by(ADA), MIRA.id)

    assert MIRA.id not in {person.id for person in store.read.people.listed()}
    assert store.read.people.named("former") == ()
    assert keeping.check(database_url, photos=f"{tmp_path}/photos") == ()


def test_whoever_comes_back_is_entered_anew(store: Store, gone: str) -> None:
    forget(store, asked_by(ADA), MIRA.id)

    newcomer = NewPerson(name=MIRA.name, email=MIRA.email, section="Friday")
    ((person, _),) = membership.enrol(store, asked_by(ADA), [newcomer]).added

    assert person.id != MIRA.id
    assert store.read.pieces.finished_of(person.id, limit=5) == ()


def test_nobody_goes_while_a_piece_is_under_way(store: Store, gone: str) -> None:
    ref = bisqued(store)
    with pytest.raises(NotAStep, match="pieces-under-way"):
        forget(store, asked_by(ADA), MIRA.id)
    pieces.lose(store, asked_by(TOM), ref, "discarded")

    forget(store, asked_by(ADA), MIRA.id)

    assert store.read.people.person(email=MIRA.email) is None


@pytest.mark.parametrize("who", [TOM, ADA], ids=["staff", "instructor"])
def test_whoever_runs_the_studio_stays(store: Store, who: Person) -> None:
    with pytest.raises(NotAllowed, match="runs-the-studio"):
        forget(store, asked_by(ADA), who.id)


@pytest.mark.parametrize("by", [MIRA, TOM], ids=["student", "staff"])
def test_only_the_instructor_removes_anybody(store: Store, by: Person, gone: str) -> None:
    with pytest.raises(NotAllowed):
        forget(store, asked_by(by), MIRA.id)

    assert store.read.people.person(email=MIRA.email) == MIRA


def test_nobody_is_removed_twice_and_a_stranger_not_at_all(store: Store, gone: str) -> None:
    request = asked_by(ADA)
    assert forget(store, request, MIRA.id) == forget(store, request, MIRA.id)

    with pytest.raises(NotAStep, match="already"):
        forget(store, asked_by(ADA), MIRA.id)
    with pytest.raises(Unknown):
        forget(store, asked_by(ADA), 99)
    with pytest.raises(Unknown):
        people.renew_password(store, asked_by(ADA), MIRA.id)
