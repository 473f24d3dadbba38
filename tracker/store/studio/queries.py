"""What is asked about the people of the studio, and how its catalog is read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection

from sqlalchemy import Connection, or_, select, union

from tracker.domain.labels.stock import Paper
from tracker.domain.pieces.piece import Stage
from tracker.domain.quantities import Units
from tracker.domain.studio.catalog import Catalog, Studio
from tracker.domain.studio.people import Person
from tracker.domain.studio.spelling import holds, words_in
from tracker.domain.studio.terms import Term
from tracker.store.connected import Asked
from tracker.store.mappers import clay_of, glaze_of, kiln_of, labels_of, person_of, practice_of, route_of
from tracker.store.numbers import AT_ONCE, is_number
from tracker.store.studio.known import Known
from tracker.store.studio.terms import of_people
from tracker.store.tables import (
    IS_STRANGER,
    RUNS_STUDIO,
    badges,
    clays,
    glazes,
    house,
    kiln_routes,
    kilns,
    people,
    pieces,
    routes,
    sections,
)

_HERE = of_people().where(people.c.removed_at.is_(None), people.c.left_at.is_(None))
_LEFT = of_people().where(people.c.removed_at.is_(None), people.c.left_at.is_not(None), ~IS_STRANGER)
_STAFF = _HERE.where(RUNS_STUDIO).order_by(people.c.name)
_MAKERS = _HERE.where(~RUNS_STUDIO)
_IN_STUDIO = tuple(stage for stage in Stage if stage not in {Stage.CLAIMED, Stage.LOST})
_NUMBERS = union(
    select(select(people.c.id).order_by(people.c.id.desc()).limit(1_000).subquery().c.id),
    select(pieces.c.maker_id).where(pieces.c.stage.in_(_IN_STUDIO)),
)
# The offset of nothing keeps PostgreSQL from looking at the names of all people first.
_FOUND_BY = people.c.id, people.c.name, people.c.removed_at
_SEARCHED = select(*_FOUND_BY).where(people.c.id.in_(_NUMBERS), ~IS_STRANGER).offset(0)
"""The people among whom a name is looked for, and no more of them than that takes."""


class PeopleQueries(Asked):
    """The people: `store.read.people`."""

    def listed(self, *, makers: int = 200) -> tuple[Person, ...]:
        """Those who run the studio and its newest makers, by section and name; the others are searched for.

        Not those whose data was removed.
        """
        with self._connect() as connection:
            newest = connection.execute(_MAKERS.order_by(people.c.id.desc()).limit(makers)).all()
            found = map(person_of, [*connection.execute(_STAFF), *newest])
            return tuple(sorted(found, key=lambda one: (one.section, one.name)))

    def left(self, *, limit: int = 1_000) -> tuple[Person, ...]:
        """Those who left last, the newest first; not those whose data was removed."""
        with self._connect() as connection:
            found = connection.execute(_LEFT.order_by(people.c.left_at.desc(), people.c.id.desc()).limit(limit))
            return tuple(map(person_of, found))

    def note_about(self, number: int) -> str:
        """What staff noted about this person; empty for nothing."""
        with self._connect() as connection:
            return connection.scalar(select(people.c.note).where(is_number(people.c.id, number))) or ""

    def in_sections(self, names: Collection[str], term: Term | None) -> tuple[Person, ...]:
        """The makers of the sections that are called so in this term, or in none; by name."""
        of_term = sections.c.term_id.is_not_distinct_from(None if term is None else term.id)
        theirs = select(sections.c.id).where(sections.c.name.in_(names), of_term)
        wanted = _MAKERS.where(people.c.section_id.in_(theirs)).order_by(people.c.name)
        with self._connect() as connection:
            return tuple(map(person_of, connection.execute(wanted)))

    def with_emails(self, emails: Collection[str]) -> tuple[Person, ...]:
        """Whoever has one of these emails, also those who left."""
        wanted = sorted({email.lower() for email in emails})
        found: list[Person] = []
        with self._connect() as connection:
            for start in range(0, len(wanted), AT_ONCE):
                some = people.c.email.in_(wanted[start : start + AT_ONCE])
                found += map(person_of, connection.execute(of_people().where(some, people.c.removed_at.is_(None))))
        return tuple(found)

    def without_email(self, names: Collection[str]) -> tuple[Person, ...]:
        """Whoever has no email and is in a section so called, of whichever term; also those who left.

        An empty name is for those in no section.
        """
        called = people.c.section_id.in_(select(sections.c.id).where(sections.c.name.in_(names)))
        theirs = or_(called, people.c.section_id.is_(None)) if "" in names else called
        wanted = of_people().where(people.c.email.is_(None), theirs, people.c.removed_at.is_(None))
        with self._connect() as connection:
            return tuple(map(person_of, connection.execute(wanted)))

    def nameless(self) -> tuple[Person, ...]:
        """Everybody without an email, also those who left."""
        wanted = of_people().where(people.c.email.is_(None), people.c.removed_at.is_(None)).order_by(people.c.id)
        with self._connect() as connection:
            return tuple(map(person_of, connection.execute(wanted)))

    def by_ids(self, numbers: Collection[int]) -> tuple[Person, ...]:
        """The people with these numbers, as far as there are any."""
        wanted = sorted(numbers)
        found: list[Person] = []
        with self._connect() as connection:
            for start in range(0, len(wanted), AT_ONCE):
                some = people.c.id.in_(wanted[start : start + AT_ONCE])
                found += map(person_of, connection.execute(of_people().where(some, people.c.removed_at.is_(None))))
        return tuple(found)

    def cards(self, numbers: Collection[int]) -> dict[int, str]:
        """What the maker card of each of these people says, by the person's number."""
        wanted = select(people.c.id, people.c.card).where(people.c.id.in_(numbers), people.c.card.is_not(None))
        with self._connect() as connection:
            return dict(connection.execute(wanted).all())

    def staff(self) -> tuple[Person, ...]:
        """Those who run the studio, by name."""
        with self._connect() as connection:
            return tuple(map(person_of, connection.execute(_STAFF)))

    def badge_numbers(self) -> dict[int, str]:
        """What each badge says that signs in, by the person's number."""
        with self._connect() as connection:
            return {
                row.person_id: row.number for row in connection.execute(select(badges.c.person_id, badges.c.number))
            }

    def named(self, text: str, *, limit: int = 30) -> tuple[Person, ...]:
        """Those whose name holds the words of `text`, whatever their case and accents, by name.

        Looked through are the newest people and whoever has a piece in the studio, so that a search costs the same
        however many there ever were.
        """
        words, among = words_in(text), _SEARCHED.subquery("searched")
        wanted = select(among).where(among.c.removed_at.is_(None)).order_by(among.c.name)
        with self._connect() as connection:
            found = [row.id for row in connection.execute(wanted) if holds(row.name, words)][:limit]
        return tuple(sorted(self.by_ids(found), key=lambda one: found.index(one.id)))

    def person(self, *, email: str | None = None, number: int | None = None, card: str | None = None) -> Person | None:
        """The person with this email, maker card or number, or None."""
        if card is not None:
            wanted = people.c.card == card
        else:
            wanted = people.c.email == email.lower() if email is not None else is_number(people.c.id, number)
        with self._connect() as connection:
            row = connection.execute(of_people().where(wanted)).first()
            return None if row is None else person_of(row)


def read_known(connection: Connection, version: str) -> Known:
    """The studio and its catalog as the tables hold them; `version` is the catalog's."""
    facts = dict(connection.execute(select(house.c.name, house.c.value)).all())
    all_clays = {row.id: clay_of(row) for row in connection.execute(select(clays).order_by(clays.c.name))}
    all_glazes = {row.id: glaze_of(row) for row in connection.execute(select(glazes).order_by(glazes.c.name))}
    served: dict[str, set[str]] = defaultdict(set)
    fired_now = select(kiln_routes.c.kiln, kiln_routes.c.route).where(kiln_routes.c.retired.is_(False))
    for kiln, route in connection.execute(fired_now):
        served[kiln].add(route)
    catalog = Catalog(
        clays={clay.name: clay for clay in all_clays.values()},
        glazes={glaze.name: glaze for glaze in all_glazes.values()},
        routes={row.name: route_of(row) for row in connection.execute(select(routes).order_by(routes.c.heat))},
        kilns={
            row.name: kiln_of(row, served[row.name]) for row in connection.execute(select(kilns).order_by(kilns.c.name))
        },
        practice=practice_of(facts["practice"]),
    )
    return Known(
        version=version,
        studio=Studio(
            name=facts["name"],
            timezone=facts["timezone"],
            address=facts["address"],
            catalog=catalog,
            line=facts.get("line", ""),
            labels=labels_of(facts.get("labels", "[]")),
            units=Units(facts.get("units", Units.METRIC)),
            paper=Paper(facts.get("paper", Paper.A4)),
            currency=facts.get("currency", ""),
        ),
        clays=all_clays,
        glazes=all_glazes,
        clay_ids={clay.name: number for number, clay in all_clays.items()},
        glaze_ids={glaze.name: number for number, glaze in all_glazes.items()},
    )
