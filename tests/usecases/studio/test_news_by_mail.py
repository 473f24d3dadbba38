"""What makers are told by mail of their pieces: once a day, soon or never, in the right words, and nothing stale."""

from __future__ import annotations

from contextlib import closing
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from tests.mail_server import Inbox
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, fired, queued, the_piece
from tests.studio import NOON, a_new_piece
from tracker.commands.mail_carrier import MailCarrier
from tracker.domain.firing.outlooks import Next
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.rules.food_standing import FoodWord, LastFire, food_of
from tracker.domain.studio.mails import NewsWish, news_due
from tracker.domain.studio.terms import NewTerm
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import found_again, later_flaws, pickup, pieces, registrations
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.pieces.outlooks import outlook_of
from tracker.usecases.pieces.shelves import TOO_LONG
from tracker.usecases.rules import questions
from tracker.usecases.studio import forgetting, membership, terms
from tracker.usecases.studio.letters import Sender
from tracker.usecases.studio.mailing import Sent, send_due, stop_mail, stop_query
from tracker.wording.reader import reader_of_studio
from tracker.wording.render import read, say

SENDER = Sender("clay@studio.example", "https://kilns.studio.example")
A_DAY = timedelta(days=1)


def send(store: Store, inbox: Inbox, at: datetime = NOON + A_DAY) -> Sent:
    """What a worker does at that moment."""
    with closing(MailCarrier(inbox.address)) as carry:
        return send_due(store, carry, SENDER, lambda: at)


def words(inbox: Inbox) -> str:
    """What the last mail says."""
    body = inbox.got[-1].get_body(("plain",))
    assert body is not None
    return str(body.get_content())


def test_a_day_is_one_mail_with_what_still_holds_in_it(mailing: Store, inbox: Inbox) -> None:
    ready = fired(mailing)
    gone, lost = fired(mailing), bisqued(mailing)
    pickup.hand_over(mailing, asked_by(TOM), gone)
    pieces.lose(mailing, asked_by(TOM), lost, "broken")
    number = questions.ask(mailing, asked_by(MIRA), ready, "Is it fit for soup?").extra["question"]
    questions.answer(mailing, asked_by(ADA), int(number), "Yes, with a lid", allows=True)

    assert send(mailing, inbox, NOON) == Sent()
    assert send(mailing, inbox) == Sent(accepted=1)

    told, mail = words(inbox), inbox.got[0]
    assert f"ready for pickup. Its code is {ready}" in told
    assert "We are sorry" in told
    assert "“Yes, with a lid”" in told
    assert gone not in told
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    # RFC 8058 and RFC 2369 want the bare address, which a mail reader in Python would also find in encoded words.
    stop = f"<https://kilns.studio.example/mail/stop?{stop_query(mailing, MIRA.id)}>"
    assert f"List-Unsubscribe: {stop}\r\n".encode() in inbox.raw[0]
    assert send(mailing, inbox, NOON + 2 * A_DAY) == Sent()


def test_the_daily_mail_goes_at_six_by_the_studios_clocks() -> None:
    zone = ZoneInfo("America/New_York")
    morning, evening = (datetime(2026, 10, 31, hour, 30, tzinfo=zone) for hour in (9, 18))

    assert news_due(NewsWish.DAILY, morning, zone) == datetime(2026, 10, 31, 18, tzinfo=zone)
    # The clocks go back in that night.
    assert news_due(NewsWish.DAILY, evening, zone) == datetime(2026, 11, 1, 18, tzinfo=zone)


def test_somebody_may_want_mail_soon_or_never(mailing: Store, inbox: Inbox) -> None:
    mailing.outbox.choose(MIRA.id, NewsWish.SOON)
    fired(mailing)

    assert send(mailing, inbox, NOON + timedelta(minutes=16)) == Sent(accepted=1)
    fired(mailing)
    assert not stop_mail(mailing, MIRA.id, "0" * 64)
    assert stop_mail(mailing, MIRA.id, stop_query(mailing, MIRA.id).partition("s=")[2])
    fired(mailing)
    assert send(mailing, inbox) == Sent()


def test_nobody_who_left_or_was_removed_is_told(mailing: Store, inbox: Inbox) -> None:
    fired(mailing)
    pieces.lose(mailing, asked_by(TOM), bisqued(mailing, maker=INES), "broken")

    membership.shut_out(mailing, asked_by(ADA), MIRA.id)
    fired(mailing)
    forgetting.forget(mailing, asked_by(ADA), INES.id)

    assert send(mailing, inbox) == Sent()


def test_what_shows_after_pickup_reaches_its_maker_where_it_could_hurt(mailing: Store, inbox: Inbox) -> None:
    # Crazing and shivering often show only days after the kiln was opened (common practice).
    found = {flaw: fired(mailing, new=a_new_piece("bowl", use=Use.FOOD)) for flaw in (Flaw.CRAZED, Flaw.SHIVERED)}
    warped = fired(mailing, new=a_new_piece("bowl", use=Use.FOOD))
    for flaw, ref in {**found, Flaw.WARPED: warped}.items():
        pickup.hand_over(mailing, asked_by(TOM), ref)
        later_flaws.note_flaws(mailing, asked_by(TOM), ref, [flaw])
    rows = {flaw: find_row(mailing.read, ref, TOM) for flaw, ref in found.items()}

    send(mailing, inbox)

    assert [outlook_of(mailing.read, row, NOON).next for row in rows.values()] == [Next.NO_FOOD, Next.THROW_AWAY]
    assert f"{found[Flaw.CRAZED]}: it came out crazed. Don't eat or drink" in words(inbox)
    assert f"{found[Flaw.SHIVERED]}: it shivered" in words(inbox)
    assert warped not in words(inbox)


def test_what_is_ready_says_what_is_known_of_it_and_food_at_last(mailing: Store, inbox: Inbox) -> None:
    vase, crazed = fired(mailing), fired(mailing, new=a_new_piece("bowl", use=Use.FOOD))
    later_flaws.note_flaws(mailing, asked_by(TOM), crazed, [Flaw.CRAZED])

    send(mailing, inbox)

    told, catalog = words(inbox), mailing.read.catalog()
    known = [food_of(the_piece(mailing, ref), catalog, LastFire("mid-range", "Back box")) for ref in (vase, crazed)]
    assert [one.word for one in known] == [FoodWord.DECORATIVE, FoodWord.FLAWED]
    assert [
        f"Its code is {ref}. {say(one.message)}" in told for ref, one in zip((vase, crazed), known, strict=True)
    ] == [True, True]
    assert told.count(crazed) == 1


def test_a_piece_given_to_another_maker_is_told_to_them_alone(mailing: Store, inbox: Inbox) -> None:
    ref = fired(mailing)
    registrations.give(mailing, asked_by(ADA), ref, INES.id)

    assert send(mailing, inbox) == Sent(accepted=1)

    assert inbox.got[0]["To"].addresses[0].addr_spec == INES.email
    assert f"{ref} is now under your name" in words(inbox)
    assert f"ready for pickup. Its code is {ref}" in words(inbox)


def test_a_piece_that_turned_up_is_told_also_where_it_waits_again(mailing: Store, inbox: Inbox) -> None:
    ref = queued(mailing)
    for by in (TOM, MIRA):
        pieces.lose(mailing, asked_by(by), ref, "missing")
        found_again.find(mailing, asked_by(by), ref)
        send(mailing, inbox)

    # What its maker found is no news to them.
    assert len(inbox.got) == 1
    assert "We found your" in words(inbox)


def test_a_maker_is_reminded_once_of_what_is_on_a_shelf_for_too_long_unless_it_waits_for_staff(
    mailing: Store, inbox: Inbox
) -> None:
    ready, waits, asked = fired(mailing), queued(mailing), bisqued(mailing)
    questions.ask(mailing, asked_by(MIRA), asked, "Which clay is it?")
    send(mailing, inbox)
    late = NOON + TOO_LONG[Stage.BISQUED] + A_DAY

    for moment in (NOON + TOO_LONG[Stage.FIRED], late, late + A_DAY, late + 2 * A_DAY, late + 30 * A_DAY):
        send(mailing, inbox, moment)

    assert len(inbox.got) == 2
    since = read(NOON.date(), reader_of_studio(mailing.read.studio(), MIRA))
    assert f"has been ready for pickup since {since}. Its code is {ready}" in words(inbox)
    assert waits not in words(inbox)
    assert asked not in words(inbox)


def test_makers_with_pieces_hear_of_the_end_of_their_term_once_for_each_notice(mailing: Store, inbox: Inbox) -> None:
    last = NOON + 30 * A_DAY
    spring = NewTerm(name="Spring", starts_on=NOON.date(), ends_on=last.date(), sections=("Thursday", "Tuesday"))
    fired(mailing)
    terms.add_term(mailing, asked_by(ADA), spring)
    send(mailing, inbox)

    for days in (22, 21, 20, 20, 7, 6, 0, -1):
        send(mailing, inbox, last - days * A_DAY)
        send(mailing, inbox, last - days * A_DAY + A_DAY / 3)

    told = [one for one in inbox.got if "Spring ends on" in str(one.get_body(("plain",)))]
    assert [one["To"] for one in told] == [one["To"] for one in inbox.got[:1]] * 3
    assert "1 of your pieces is ready for pickup" in words(inbox)


def test_the_end_of_a_term_is_told_of_what_is_there_when_the_mail_goes_out(mailing: Store, inbox: Inbox) -> None:
    last = NOON + 7 * A_DAY
    spring = NewTerm(name="Spring", starts_on=NOON.date(), ends_on=last.date(), sections=("Thursday", "Tuesday"))
    gone = bisqued(mailing)
    terms.add_term(mailing, asked_by(ADA), spring)
    send(mailing, inbox, NOON)
    pieces.lose(mailing, asked_by(TOM), gone, "by mistake")
    bisqued(mailing, maker=INES)
    inbox.got.clear()

    send(mailing, inbox, NOON + A_DAY / 3)

    told = {str(one["To"]) for one in inbox.got if "Spring ends on" in str(one.get_body(("plain",)))}
    assert [INES.email in one for one in told] == [True]


def test_without_a_mail_server_nothing_is_written(store: Store, inbox: Inbox) -> None:
    fired(store)

    assert send(store, inbox) == Sent()


def test_news_wait_for_whoever_is_let_in_again_before_they_go_out(mailing: Store, inbox: Inbox) -> None:
    fired(mailing)
    membership.shut_out(mailing, asked_by(ADA), MIRA.id)

    gone = send(mailing, inbox)
    membership.let_in(mailing, asked_by(ADA), MIRA.id)

    assert (gone, send(mailing, inbox)) == (Sent(), Sent(accepted=1))
