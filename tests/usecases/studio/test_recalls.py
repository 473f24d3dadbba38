"""A leach test that fails is told of the pots that are fired, also of those that their makers have at home."""

from __future__ import annotations

from contextlib import closing
from datetime import timedelta

from tests.mail_server import Inbox
from tests.reading import said
from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, started, the_piece, unload
from tests.studio import NOON, a_new_piece, a_test
from tracker.commands.mail_carrier import MailCarrier
from tracker.domain.firing.outlooks import Next
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Use
from tracker.domain.studio.materials import Zone
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pickup, pieces
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.pieces.outlooks import outlook_of
from tracker.usecases.rules import evidence
from tracker.usecases.studio.letters import Sender
from tracker.usecases.studio.mailing import send_due


def fired_inside(store: Store, use: Use = Use.FOOD) -> str:
    """The code of a piece with glaze inside that came out of the mid-range kiln."""
    ref = bisqued(store, a_new_piece(use=use))
    pieces.glaze(store, asked_by(TOM, NOON - timedelta(days=2)), ref, "Still Water", Zone.INSIDE)
    pieces.queue(store, asked_by(TOM), ref, "mid-range")
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    unload(store, firing, {ref: Outcome.GOOD})
    return ref


def next_for(store: Store, ref: str) -> tuple[Next, bool]:
    """What comes next for a piece, and whether its maker is told that it isn't for food."""
    outlook = outlook_of(store.read, find_row(store.read, ref, TOM), NOON)
    return outlook.next, outlook.is_not_for_food


def test_a_failed_leach_test_names_the_pots_at_pickup_and_at_home(mailing: Store, inbox: Inbox) -> None:
    ready, home = fired_inside(mailing), fired_inside(mailing)
    vase = fired_inside(mailing, Use.DECORATIVE)
    pickup.hand_over(mailing, asked_by(TOM), home)
    before = {ref: next_for(mailing, ref) for ref in (ready, home, vase)}

    done = evidence.add_release_test(mailing, asked_by(ADA), "Still Water", a_test(*[1.2] * 6))

    told = said(done.message)
    assert f"Fired, and not for food or drink now: {ready}." in told
    assert f"Already picked up: {home}. Tell their makers" in told
    assert vase not in told
    after = {ref: next_for(mailing, ref) for ref in (ready, home, vase)}
    assert before == after | {ready: (Next.PICK_UP, False), home: (Next.DONE, False)}
    assert (after[ready], after[home]) == ((Next.PICK_UP, True), (Next.NO_FOOD, False))
    with closing(MailCarrier(inbox.address)) as carry:
        sender = Sender("clay@studio.example", "https://kilns.studio.example")
        send_due(mailing, carry, sender, lambda: NOON + timedelta(days=1))
    body = inbox.got[-1].get_body(("plain",))
    assert body is not None
    assert f"{home} isn't safe for food" in " ".join(str(body.get_content()).split())
    assert the_piece(mailing, home).maker_id == MIRA.id


def test_a_second_failed_test_names_no_pot_that_was_refused_before(store: Store) -> None:
    ref = fired_inside(store)
    first = evidence.add_release_test(store, asked_by(ADA), "Still Water", a_test(*[1.2] * 6))

    second = evidence.add_release_test(store, asked_by(ADA), "Still Water", a_test(*[1.3] * 6))

    assert ref in said(first.message)
    assert ref not in said(second.message)
