"""Notices on paper: for each maker what is ready, what waits for them too long, and what happened, as mail tells it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from zoneinfo import ZoneInfo

from printing.labels.label_parts import Label
from printing.labels.notices import Notice, NoticeLine, notices
from printing.labels.stock import Stock
from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.news import answer_news, loss_news, ready_news, reminder
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import Unknown
from tracker.domain.studio.terms import is_near_its_end, notice_of_end
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.labels.home_papers import NAMELESS, TICKET_CAUTION, UNREADABLE, day_and_studio, mark_of
from tracker.usecases.labels.selection import Desk, Thing
from tracker.usecases.pieces.shelves import late_by
from tracker.wording.reader import Reader
from tracker.wording.render import say

LATELY = timedelta(days=14)
"""How far back losses and answers are told: over the class before last."""

_MOST = 10_000
_ENDS = Message("notice-ends", _("End of term"))
_READY = Message("notice-ready", _("Ready for pickup"))
NOTICE_LATE = Message("notice-late", _("On a shelf too long"))
_NEWS = Message("notice-news", _("In the last 14 days"))


@dataclass(slots=True)
class _Told:
    """What one maker is told."""

    name: str = ""
    ready: list[PieceRow] = field(default_factory=list)
    late: list[PieceRow] = field(default_factory=list)
    news: list[Message] = field(default_factory=list)
    ends: list[Message] = field(default_factory=list)


_COUNTED = Plural("count", "{count} notice of a loss or answer", "{count} notices of losses or answers")


def makers_to_tell(desk: Desk) -> list[Thing]:
    """Everybody for whom there is something to tell, by name, with how much."""
    told = sorted(_told(desk).items(), key=lambda one: one[1].name.casefold())
    mailed = {one.id for one in desk.read.people.listed() if one.email}
    return [Thing(str(number), one.name, _counted(one, has_email=number in mailed)) for number, one in told]


def _counted(told: _Told, *, has_email: bool) -> Message:
    ready, late, news = len(told.ready), len(told.late), len(told.news)
    counts = (
        (ready, Message("count-ready", _("{count} ready for pickup"), count=ready)),
        (late, Message("count-late", _("{count} on a shelf too long"), count=late)),
        (news, Message("count-news", _COUNTED, count=news)),
        (told.ends, Message("count-ends", _("the term ends"))),
        (not has_email, Message("no-email", _("no email"))),
    )
    return Message("notice-counts", "{counts}", counts=tuple(says for count, says in counts if count))


def notices_of(desk: Desk, numbers: Sequence[str], stock: Stock, dpi: int | None = None) -> list[Label]:
    """The notices of these makers, one after another; refused where there is nothing to tell one of them."""
    told = _told(desk)
    known = {str(number): one for number, one in told.items()}
    if strangers := [number for number in numbers if number not in known]:
        words = _("There's nothing to tell person {number}.")
        remedy = Message("pick-from-the-list", _("Choose from the list."))
        raise Unknown(Message("nothing-to-tell", words, number=strangers[0][:20]), remedy)
    when = day_and_studio(desk.at, desk.studio, desk.reader)
    told_of = (known[number] for number in numbers)
    each = (notice_of(one.name, tuple(_lines(desk, one)), when, desk.reader) for one in told_of)
    return [label for one in each for label in notices(one, stock, dpi)]


def _told(desk: Desk) -> dict[int, _Told]:
    read, since = desk.read, desk.at - LATELY
    told: dict[int, _Told] = defaultdict(_Told)

    def of(row: PieceRow) -> _Told:
        told[row.piece.maker_id].name = row.maker_name
        return told[row.piece.maker_id]

    for row in read.pieces.standing(Stage.FIRED, limit=_MOST):
        if row.piece.is_to_bag:
            of(row).news.append(ready_news(row.piece))
        else:
            of(row).ready.append(row)
    for row in read.shelves.late_for_makers(*late_by(desk.studio.catalog, desk.at)):
        if row.piece.stage is not Stage.FIRED:
            of(row).late.append(row)
    lost = read.shelves.lost_since(since)
    causes = read.shelves.causes([row.piece.id for row in lost])
    for row in lost:
        cause = causes[row.piece.id]
        news = loss_news(row.piece.what, cause.cause, in_kiln=cause.in_kiln)
        if news is not None and cause.by_id != row.piece.maker_id:
            of(row).news.append(news)
    for question in read.questions.answered_since(since, limit=_MOST):
        if question.answered_by not in {None, question.asked_by}:
            told[question.asked_by_id].name = question.asked_by
            news = answer_news(question.what, question.answer or "", question.answered_by or "")
            told[question.asked_by_id].news.append(news)
    _tell_of_ends(desk, told)
    return told


def _tell_of_ends(desk: Desk, told: dict[int, _Told]) -> None:
    """Add that a term ends, from its first notice on, to what makers with pieces of it are told."""
    read, day = desk.read, desk.at.astimezone(ZoneInfo(desk.studio.timezone)).date()
    near = [one for one in read.terms.listed() if is_near_its_end(one, desk.studio.catalog.practice.terms.notices, day)]
    names = {one.id: one.name for one in read.people.listed()} if near else {}
    for term in near:
        for maker, (ready, in_work) in read.term_pieces.counted_by_maker(term.id).items():
            if maker in names:
                told[maker].name = names[maker]
                told[maker].ends.append(notice_of_end(term, ready, in_work))


def _lines(desk: Desk, told: _Told) -> Iterator[NoticeLine]:
    """What stands on a notice, line by line; of what is ready also what is known of it and food."""
    reader = desk.reader
    for one in told.ends:
        yield NoticeLine(heading=say(_ENDS, reader), text=say(one, reader))
    for row in told.ready:
        since = row.since.astimezone(reader.zone).date()
        words = Message("ready-since", _("{what}, since {since}"), what=row.piece.what, since=since)
        warning = mark_of(desk.read.pieces.page(row.piece.id), desk.studio, reader)
        yield NoticeLine(heading=say(_READY, reader), text=say(words, reader), code=row.ref, warning=warning)
    for row in told.late:
        since = row.since.astimezone(reader.zone).date()
        words = reminder(row.piece.stage, row.piece.what, row.ref, since)
        yield NoticeLine(heading=say(NOTICE_LATE, reader), text=say(words, reader))
    for one in told.news:
        yield NoticeLine(heading=say(_NEWS, reader), text=say(one, reader))


def notice_of(maker: str, lines: tuple[NoticeLine, ...], when: Message, reader: Reader) -> Notice:
    """What one maker is told, with the words around it."""
    numbered = Message("notice-of", _("Page {number} of {count}"), number="{number}", count="{count}")
    return Notice(
        maker=maker,
        when=say(when, reader),
        lines=lines,
        numbered=say(numbered, reader),
        nameless=say(NAMELESS, reader),
        unreadable=say(UNREADABLE, reader),
        caution=say(TICKET_CAUTION, reader),
    )
