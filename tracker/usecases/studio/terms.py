"""Terms: one is added with its sections, and changed."""

from __future__ import annotations

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import NotAStep, Unknown
from tracker.domain.studio.people import Right
from tracker.domain.studio.terms import NewTerm, Term
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once


def term_known(reader: Queries, number: int) -> Term:
    """The term with this number; `Unknown` for none."""
    found = next((one for one in reader.terms.listed() if one.id == number), None)
    if found is None:
        raise Unknown(Message("no-such-term", _("There is no such term.")))
    return found


def term_called(reader: Queries, name: str) -> Term:
    """The open term of this name, whatever its case; `Unknown` for none."""
    found = next((one for one in reader.terms.listed() if one.name.casefold() == name.strip().casefold()), None)
    if found is None:
        raise Unknown(Message("no-such-term", _("There is no such term.")))
    return open_term(reader, found.id)


def open_term(reader: Queries, number: int) -> Term:
    """The term with this number, whose end isn't on record; `Unknown` for none, and refused for one that ended."""
    term = term_known(reader, number)
    if not term.is_open:
        raise NotAStep(
            Message("term-is-over", _("{term} has ended."), term=term.name),
            Message("choose-open-term", _("Choose another term, or reopen it.")),
        )
    return term


@once("add term", alone=True)
def add_term(change: Change, new: NewTerm) -> Receipt:
    """Add a term with its sections; gives its number as `term`.

    The first term that a studio has takes in the sections of that name that were there before it, with their people.
    """
    change.request.by.must_be_allowed(Right.PEOPLE)
    _must_be_free(change.read, new.name)
    is_first = not change.read.terms.listed()
    number = change.terms.add(new)
    if is_first:
        change.terms.take_in(number, new.sections)
    change.terms.have_sections(number, new.sections)
    added = Message("term-added", _("{term} was added."), term=new.name)
    return Receipt(message=added, extra={"term": number})


@once("change term", alone=True)
def change_term(change: Change, number: int, after: NewTerm) -> Receipt:
    """Give a term another name, other days or more sections; a section that isn't named stays if it has people."""
    change.request.by.must_be_allowed(Right.PEOPLE)
    term = term_known(change.read, number)
    _must_be_free(change.read, after.name, but=term.id)
    change.terms.change(term.id, after)
    change.terms.drop_empty_sections(term.id, but=after.sections)
    change.terms.have_sections(term.id, after.sections)
    return Receipt(message=Message("term-changed", _("Saved: {term}."), term=after.name))


def _must_be_free(reader: Queries, name: str, but: int | None = None) -> None:
    """Refuse a name that another term has."""
    if any(one.name.casefold() == name.casefold() and one.id != but for one in reader.terms.listed()):
        raise NotAStep(
            Message("term-named-twice", _("There's already a term called {name}."), name=name),
            Message("name-term-otherwise", _("Choose another name.")),
        )
