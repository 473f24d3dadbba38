"""The end of a term: what of its makers' work is left, its sections archived, and old data removed."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import NotAStep, Refusal
from tracker.domain.studio.people import Person, Right
from tracker.domain.studio.terms import Section, Term, months_before
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.once import once
from tracker.usecases.studio.forgetting import forget_within, must_be_ready_to_go
from tracker.usecases.studio.rosters import told_of
from tracker.usecases.studio.terms import term_known


@dataclass(frozen=True, slots=True)
class Members:
    """A section of a term: who is here, who left, and how many of those here have pieces in the studio."""

    section: Section
    here: tuple[Person, ...]
    left: tuple[Person, ...]
    with_pieces: int


@dataclass(frozen=True, slots=True)
class TermEnd:
    """What is left of a term: pieces nobody picked up, those in work, those lost during it, and its sections."""

    term: Term
    unclaimed: tuple[PieceRow, ...]
    in_work: tuple[PieceRow, ...]
    lost: tuple[PieceRow, ...]
    sections: tuple[Members, ...]

    @property
    def left(self) -> int:
        """How many pieces are still in the studio."""
        return len(self.unclaimed) + len(self.in_work)


@dataclass(frozen=True, slots=True)
class Removable:
    """Somebody whose data the studio's rule offers for removal: of which term, and why it has to wait, if it does."""

    person: Person
    term: Term
    photos: int
    waits: Message | None = None


def end_of(reader: Queries, number: int) -> TermEnd:
    """What is left of a term."""
    term = term_known(reader, number)
    here = reader.term_pieces.here(term.id)
    people = reader.terms.people(term.id)
    sections = [one for one in reader.terms.sections() if one.term_id == term.id]
    owners = {row.piece.maker_id for row in here}
    return TermEnd(
        term=term,
        unclaimed=tuple(row for row in here if row.piece.stage is Stage.FIRED),
        in_work=tuple(row for row in here if row.piece.stage is not Stage.FIRED),
        lost=reader.term_pieces.lost(term.id, _first_moment(reader, term.starts_on)),
        sections=tuple(
            Members(
                section=one,
                here=tuple(who for who in people if who.section == one.name and not who.has_left),
                left=tuple(who for who in people if who.section == one.name and who.has_left),
                with_pieces=sum(who.section == one.name and not who.has_left and who.id in owners for who in people),
            )
            for one in sections
        ),
    )


@once("end term", alone=True)
def end_term(change: Change, number: int) -> Receipt:
    """Put on record that a term ended; refused while a piece of its makers is in the studio."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    term = term_known(change.read, number)
    if left := change.read.term_pieces.count_here(term.id):
        words = Plural("count", "{count} piece is still in the studio.", "{count} pieces are still in the studio.")
        raise NotAStep(
            Message("term-not-empty", words, count=left),
            Message("settle-the-rest", _("Hand them out, or donate, keep or discard them first.")),
        )
    change.terms.end(term.id, change.request.at)
    return Receipt(message=Message("term-ended", _("{term} has ended. Nothing is left of it."), term=term.name))


@once("reopen term", alone=True)
def reopen_term(change: Change, number: int) -> Receipt:
    """Take it back that a term ended."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    term = term_known(change.read, number)
    change.terms.end(term.id, None)
    return Receipt(message=Message("term-reopened", _("{term} is open again."), term=term.name))


@once("archive section", alone=True)
def archive_section(change: Change, number: int, section_id: int) -> Receipt:
    """Note that all makers of a section left: they're signed out, and their pieces and history stay.

    Staff and instructors never are among them. The receipt's `people` are their numbers, for letting them in again.
    """
    change.request.by.must_be_allowed(Right.PEOPLE)
    found = next((one for one in end_of(change.read, number).sections if one.section.id == section_id), None)
    leaving = [] if found is None else [one for one in found.here if not one.role.runs_studio]
    if not leaving:
        raise NotAStep(Message("nobody-to-archive", _("Nobody is left in this section.")))
    change.people.shut_out([one.id for one in leaving])
    words = Plural("count", "{count} person can no longer sign in.", "{count} people can no longer sign in.")
    message = Message("section-archived", words, count=len(leaving))
    return Receipt(message=message, extra={"people": " ".join(str(one.id) for one in leaving)})


@once("let in together", alone=True)
def let_in_together(change: Change, number: int, person_ids: Collection[int]) -> Receipt:
    """Let those among these people in again who left a term's sections, as if their section hadn't been archived."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    known = term_known(change.read, number)
    back = [one for one in change.read.terms.people(known.id) if one.has_left and one.id in person_ids]
    if not back:
        raise NotAStep(Message("nobody-to-let-in", _("None of them is shut out any more.")))
    for one in back:
        change.people.change(one.id, told_of(one))
    words = Plural("count", "{count} person can sign in again.", "{count} people can sign in again.")
    return Receipt(message=Message("section-back", words, count=len(back)))


def removable(reader: Queries, day: date) -> tuple[Removable, ...]:
    """Whose data the studio's rule offers for removal on this day; nobody's where it has no rule."""
    months = reader.catalog().practice.terms.remove_after_months
    if not months:
        return ()
    gone = reader.terms.gone_since(months_before(day, months))
    return tuple(_removable(reader, person, term) for person, term in gone if not person.role.runs_studio)


def _removable(reader: Queries, person: Person, term: Term) -> Removable:
    photos = len(reader.album.of_maker(person.id))
    try:
        must_be_ready_to_go(person, len(reader.pieces.of(person.id)))
    except Refusal as refusal:
        return Removable(person, term, photos, refusal.message)
    return Removable(person, term, photos)


def remove_data(store: Store, request: Request, seen: Collection[int]) -> Receipt:
    """Remove the data of those among the people that were `seen` whom the rule offers and whom nothing keeps."""

    def work(change: Change) -> Receipt:
        ready = [one for one in removable(change.read, change.today) if one.waits is None and one.person.id in seen]
        if not ready:
            raise NotAStep(Message("nobody-to-remove", _("Nobody's data is due for removal.")))
        photos = [stem for one in ready for stem in forget_within(change, one.person)]
        words = Plural("count", "The data of {count} person was removed.", "The data of {count} people was removed.")
        return Receipt(
            message=Message("data-of-many-removed", words, count=len(ready)), extra={"photos": " ".join(photos)}
        )

    request.by.must_be_allowed(Right.PEOPLE)
    receipt = store.once(request, "remove data", work, tuple(sorted(seen)), alone=True)
    if store.shelf is not None:
        store.shelf.drop(str(receipt.extra["photos"]).split())
    return receipt


def _first_moment(reader: Queries, day: date) -> datetime:
    return datetime.combine(day, time.min, ZoneInfo(reader.studio().timezone))
