"""Whom each line of a roster means, and what the roster would change."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from types import MappingProxyType

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable
from tracker.domain.studio.people import NewPerson, Person, namesake
from tracker.domain.studio.spelling import plain
from tracker.domain.studio.terms import Term
from tracker.store.queries import Queries
from tracker.usecases.studio.terms import open_term

NOBODY: Mapping[int, int] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Coming:
    """What a roster would change among the people who are here.

    `new` are to be added. `changed` are here already, each beside what the roster makes of them; among them are those
    who left and come back. `same` stay as they are. `gone` are makers of the roster's sections who are not on it.
    `alike` are lines that could be somebody without an email in another section, each with everyone it could be: a
    person says whether they are. Its sections are those of `term`, None where no term is open; `moved` are the numbers
    of those who were in others.
    """

    new: tuple[NewPerson, ...]
    changed: tuple[tuple[Person, NewPerson], ...]
    same: tuple[Person, ...]
    gone: tuple[Person, ...]
    term: Term | None
    moved: frozenset[int]
    alike: tuple[tuple[NewPerson, tuple[Person, ...]], ...] = ()


def coming(
    reader: Queries,
    roster: Sequence[NewPerson],
    day: date,
    term_id: int | None = None,
    same: Mapping[int, int] = NOBODY,
) -> Coming:
    """What this roster would change on this day; `Unusable` with each line that could mean more than one person.

    The email tells people apart; of two lines with the same one, the first counts. Those without one are told apart by
    their name and section: whoever is here without one gets the email that their line has. `same` says of lines, by
    their numbers, which person without an email of another section each means, 0 for none of them. The roster's
    sections are those of the term with the number `term_id`, or else of the one to which people are added on that day.
    """
    term = reader.terms.on(day) if term_id is None else open_term(reader, term_id)
    lines: dict[object, NewPerson] = {}
    for one in roster:
        lines.setdefault(one.email.lower() or namesake(one), replace(one, email=one.email.lower(), term_id=term_id))
    listed = tuple(lines.values())
    sections = {one.section for one in listed if one.section and not one.role.runs_studio}
    of_sections = reader.people.in_sections(sections, term)
    whom = _whom(reader, listed, of_sections)
    alike = _alike(reader, listed, whom)
    for at, others in alike.items():
        whom[at] = next((one for one in others if one.id == same.get(listed[at].line)), None)
    _must_mean_one_each(listed, whom)
    met = [(before, _filled(before, one)) for one, before in zip(listed, whom, strict=True) if before is not None]
    here = {before.id for before, _after in met}
    moved = reader.terms.elsewhere(sorted(here), term)
    return Coming(
        new=tuple(one for one, before in zip(listed, whom, strict=True) if before is None),
        changed=tuple((before, after) for before, after in met if not _stays(before, after, moved)),
        same=tuple(before for before, after in met if _stays(before, after, moved)),
        gone=tuple(one for one in of_sections if one.id not in here),
        term=term,
        moved=moved,
        alike=tuple((listed[at], others) for at, others in alike.items()),
    )


def must_be_told(seen: Coming, same: Mapping[int, int]) -> None:
    """Refuse a roster while it isn't said of a line whether it means somebody who is here under the same name."""
    words = _("Is {name} the same person who is here without an email?")
    if problems := [
        Message("is-it-the-same", words, name=one.name) for one, _others in seen.alike if one.line not in same
    ]:
        remedy = _("Choose it for each one in the preview. If two people have the same name, add a middle initial.")
        raise Unusable(problems, Message("say-who-is-who", remedy))


def _alike(
    reader: Queries, listed: Sequence[NewPerson], whom: Sequence[Person | None]
) -> dict[int, tuple[Person, ...]]:
    """For lines that mean nobody yet, who of the same name is here without an email and isn't meant by another line."""
    taken = {one.id for one in whom if one is not None}
    others: defaultdict[str, list[Person]] = defaultdict(list)
    for one in reader.people.nameless():
        if one.id not in taken:
            others[plain(one.name)].append(one)
    found = {at: tuple(others[plain(one.name)]) for at, one in enumerate(listed) if whom[at] is None and one.line}
    return {at: some for at, some in found.items() if some}


def _must_mean_one_each(listed: Sequence[NewPerson], whom: Sequence[Person | None]) -> None:
    """Refuse two lines that mean the same person."""
    numbers = [one.id for one in whom if one is not None]
    if problems := [
        _could_be_others(one)
        for one, before in zip(listed, whom, strict=True)
        if before is not None and numbers.count(before.id) > 1
    ]:
        raise Unusable(problems, Message("tell-them-apart", _("Add their emails, or a middle initial.")))


def told_of(someone: Person) -> NewPerson:
    """A person as a line of a roster would tell them."""
    return NewPerson(
        name=someone.name,
        email=someone.email,
        section=someone.section,
        role=someone.role,
        supervised=someone.supervised,
    )


def _whom(reader: Queries, listed: Sequence[NewPerson], of_sections: Sequence[Person]) -> list[Person | None]:
    """Whom each line means, None for somebody new."""
    by_email = {one.email: one for one in reader.people.with_emails([one.email for one in listed if one.email])}
    nameless = _by_name(reader.people.without_email({one.section for one in listed}))
    with_email = _by_name(one for one in of_sections if one.email)
    of_term = {one.id for one in of_sections}
    taken: set[int] = set()
    whom: list[Person | None] = []
    problems = []
    for one in listed:
        found = [by_email[one.email]] if one.email in by_email else nameless[namesake(one)]
        # Of two terms' sections of one name, this term's counts.
        found = [before for before in found if before.id in of_term] or found
        is_unclear = len(found) > 1 or any(before.id in taken for before in found)
        if is_unclear or (not one.email and with_email[namesake(one)]):
            problems.append(_could_be_others(one))
        taken |= {before.id for before in found}
        whom.append(found[0] if found else None)
    if problems:
        raise Unusable(problems, Message("tell-them-apart", _("Add their emails, or a middle initial.")))
    return whom


def _by_name(some: Iterable[Person]) -> defaultdict[tuple[str, str], list[Person]]:
    found: defaultdict[tuple[str, str], list[Person]] = defaultdict(list)
    for one in some:
        found[namesake(one)].append(one)
    return found


def _could_be_others(one: NewPerson) -> Message:
    if one.line:
        words = _("line {line}: {name} could be more than one person of this section.")
        return Message("name-of-several-on-line", words, line=one.line, name=one.name)
    return Message("name-of-several", _("{name} could be more than one person of this section."), name=one.name)


def _filled(before: Person, told: NewPerson) -> NewPerson:
    """What a roster tells of somebody who is here, with what it leaves out as it is."""
    return told if told.supervised is not None else replace(told, supervised=before.supervised)


def _stays(before: Person, after: NewPerson, moved: frozenset[int]) -> bool:
    """Whether a person is here just as the roster tells them, and in no section of another term."""
    return not before.has_left and told_of(before) == after and before.id not in moved
