"""The terms and their sections, and who belongs to which, as they are read and written."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, Connection, Row, Select, delete, func, insert, or_, select, update

from tracker.domain.studio.people import NewPerson, Person
from tracker.domain.studio.terms import NewTerm, Section, Term, term_on
from tracker.store.connected import Asked
from tracker.store.mappers import person_of
from tracker.store.numbers import AT_ONCE, new_number
from tracker.store.tables import IS_STRANGER, house, join_links, people, sections, terms

SECTION = func.coalesce(
    select(sections.c.name).where(sections.c.id == people.c.section_id).correlate(people).scalar_subquery(), ""
).label("section")
"""The name of a person's section, empty where they have none; beside the columns of `people`."""


def of_people() -> Select[Any]:
    """What a person is made of: `person_of` reads its rows."""
    return select(people, SECTION)


_SEVERAL = 2


class TermQueries(Asked):
    """The terms and their sections: `store.read.terms`."""

    def listed(self) -> tuple[Term, ...]:
        """Every term, the last to begin first."""
        with self._connect() as connection:
            return tuple(reversed(_terms(connection)))

    def on(self, day: date) -> Term | None:
        """The term to which people are added on this day; None where no term is open."""
        with self._connect() as connection:
            return term_on(_terms(connection), day)

    def sections(self) -> tuple[Section, ...]:
        """Every section, by name."""
        with self._connect() as connection:
            found = [_section_of(row) for row in connection.execute(select(sections).order_by(sections.c.id))]
        return tuple(sorted(found, key=lambda one: one.name.casefold()))

    def of_person(self, person_id: int) -> Term | None:
        """The term of a person's section."""
        wanted = select(terms).join(sections, sections.c.term_id == terms.c.id)
        wanted = wanted.join(people, people.c.section_id == sections.c.id).where(people.c.id == person_id)
        with self._connect() as connection:
            row = connection.execute(wanted).first()
            return None if row is None else _term_of(row)

    def names_by_person(self, person_ids: Sequence[int]) -> dict[int, str]:
        """The name of the term of each of these people's section, for those in one, where there are several terms."""
        wanted = select(people.c.id, terms.c.name).join(sections, sections.c.id == people.c.section_id)
        wanted = wanted.join(terms, terms.c.id == sections.c.term_id)
        found: dict[int, str] = {}
        with self._connect() as connection:
            if len(_terms(connection)) < _SEVERAL:
                return {}
            for start in range(0, len(person_ids), AT_ONCE):
                some = people.c.id.in_(person_ids[start : start + AT_ONCE])
                found |= {row.id: row.name for row in connection.execute(wanted.where(some))}
        return found

    def people(self, term_id: int) -> tuple[Person, ...]:
        """Everybody in a term's sections, also those who left, by section and name; nobody whose data was removed."""
        wanted = of_people().where(_of_term(term_id), people.c.removed_at.is_(None), ~IS_STRANGER)
        with self._connect() as connection:
            found = map(person_of, connection.execute(wanted.order_by(people.c.name)))
            return tuple(sorted(found, key=lambda one: one.section.casefold()))

    def gone_since(self, day: date) -> tuple[tuple[Person, Term], ...]:
        """Those who left, and whose section's term ended by `day`, each with that term; by term and name."""
        wanted = of_people().add_columns(terms.c.id.label("of_term"))
        wanted = wanted.join(sections, sections.c.id == people.c.section_id).join(
            terms, terms.c.id == sections.c.term_id
        )
        gone = (people.c.left_at.is_not(None), people.c.removed_at.is_(None), ~IS_STRANGER, terms.c.ends_on <= day)
        with self._connect() as connection:
            known = {one.id: one for one in _terms(connection)}
            rows = connection.execute(wanted.where(*gone).order_by(terms.c.ends_on, people.c.name)).all()
        return tuple((person_of(row), known[row.of_term]) for row in rows)

    def elsewhere(self, person_ids: Sequence[int], term: Term | None) -> frozenset[int]:
        """Which of these people are in a section, but in none of this term; nobody for no term."""
        found: set[int] = set()
        if term is None:
            return frozenset()
        wanted = select(people.c.id).join(sections, sections.c.id == people.c.section_id)
        wanted = wanted.where(sections.c.term_id.is_distinct_from(term.id))
        with self._connect() as connection:
            for start in range(0, len(person_ids), AT_ONCE):
                some = people.c.id.in_(person_ids[start : start + AT_ONCE])
                found.update(connection.scalars(wanted.where(some)))
        return frozenset(found)


class TermBook:
    """The terms and their sections, from inside one request's transaction: `change.terms`."""

    def __init__(self, connection: Connection) -> None:
        """Write over `connection`."""
        self._connection = connection

    def add(self, new: NewTerm) -> int:
        """Add a term without its sections; gives its number."""
        return new_number(self._connection.execute(insert(terms), _told(new)))

    def change(self, number: int, after: NewTerm) -> None:
        """Give a term another name and other days."""
        self._connection.execute(update(terms).where(terms.c.id == number).values(_told(after)))

    def end(self, number: int, at: datetime | None) -> None:
        """Put on record that a term ended at this moment, or that it's open again."""
        self._connection.execute(update(terms).where(terms.c.id == number).values(ended_at=at))

    def noticed(self, number: int, days: int) -> bool:
        """Note which notice of a term's end goes out; False where another worker was first."""
        is_first = or_(terms.c.noticed_days.is_(None), terms.c.noticed_days > days)
        done = self._connection.execute(update(terms).where(terms.c.id == number, is_first).values(noticed_days=days))
        return done.rowcount > 0

    def have_sections(self, number: int, names: Iterable[str]) -> None:
        """See to it that a term has sections of these names."""
        there = set(self._connection.scalars(select(sections.c.name).where(sections.c.term_id == number)))
        if new := [{"name": name, "term_id": number} for name in names if name not in there]:
            self._connection.execute(insert(sections), new)

    def take_in(self, number: int, names: Collection[str]) -> None:
        """Make the sections so called that are of no term those of this one."""
        which = (sections.c.term_id.is_(None), sections.c.name.in_(names))
        self._connection.execute(update(sections).where(*which).values(term_id=number))

    def drop_empty_sections(self, number: int, *, but: Collection[str]) -> None:
        """Delete the sections of a term in which nobody is and to which no link leads, but for those so called."""
        somebody = select(people.c.id).where(people.c.section_id == sections.c.id).exists()
        link = select(join_links.c.id).where(join_links.c.section_id == sections.c.id).exists()
        which = (sections.c.term_id == number, sections.c.name.not_in(but), ~somebody, ~link)
        self._connection.execute(delete(sections).where(*which))

    def put_in(self, person_id: int, someone: NewPerson, day: date) -> None:
        """Put a person in the section that is told of them, as `section_number` finds it; in none for no name."""
        theirs = people.c.id == person_id
        row = {"section_id": section_number(self._connection, someone, day)}
        self._connection.execute(update(people).where(theirs).values(row))


def section_number(connection: Connection, someone: NewPerson, day: date) -> int | None:
    """The number of the section told of somebody: in the term told with it, else in the one people join on `day`.

    Where no term is open, it is a section of none. It is made where there is none. None for no name.
    """
    name, term_id = someone.section, someone.term_id
    if not name:
        return None
    if term_id is None:
        term = term_on(_terms(connection), day)
        term_id = None if term is None else term.id
    same = (sections.c.name == name, sections.c.term_id.is_not_distinct_from(term_id))
    number: int | None = connection.scalar(select(sections.c.id).where(*same))
    if number is not None:
        return number
    return new_number(connection.execute(insert(sections), {"name": name, "term_id": term_id}))


def section_to_be(connection: Connection, person_id: int, someone: NewPerson, day: date) -> int | None:
    """The number of the section in which a person is to be: with no term told, their own if it is called so."""
    own = select(sections.c.id).join(people, people.c.section_id == sections.c.id)
    stays = own.where(people.c.id == person_id, sections.c.name == someone.section)
    number = connection.scalar(stays) if someone.term_id is None else None
    return section_number(connection, someone, day) if number is None else number


def tell_of_no_end(connection: Connection, day: date) -> None:
    """Take it that every notice of a term's end that is due by `day` was given."""
    for term in _terms(connection):
        left = (term.ends_on - day).days
        if left >= 0:
            noticed = left if term.noticed_days is None else min(left, term.noticed_days)
            connection.execute(update(terms).where(terms.c.id == term.id).values(noticed_days=noticed))


def today(connection: Connection, at: datetime) -> date:
    """The day on which `at` is in the studio's zone."""
    zone = connection.scalar(select(house.c.value).where(house.c.name == "timezone"))
    return at.astimezone(ZoneInfo(zone)).date() if zone else at.date()


def _terms(connection: Connection) -> list[Term]:
    return [_term_of(row) for row in connection.execute(select(terms).order_by(terms.c.starts_on, terms.c.id))]


def _of_term(term_id: int) -> ColumnElement[bool]:
    return people.c.section_id.in_(select(sections.c.id).where(sections.c.term_id == term_id))


def _told(new: NewTerm) -> dict[str, object]:
    return {"name": new.name, "starts_on": new.starts_on, "ends_on": new.ends_on, "pickup_on": new.pickup_on}


def _term_of(row: Row[Any]) -> Term:
    return Term(
        id=row.id,
        name=row.name,
        starts_on=row.starts_on,
        ends_on=row.ends_on,
        pickup_on=row.pickup_on,
        ended_at=row.ended_at,
        noticed_days=row.noticed_days,
    )


def _section_of(row: Row[Any]) -> Section:
    return Section(id=row.id, name=row.name, term_id=row.term_id)
