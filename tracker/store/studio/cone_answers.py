"""Who said which cone is right, and when: written as it is answered, and never changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import insert, select

from tracker.domain.cones import Cone
from tracker.store.connected import Asked, Written
from tracker.store.tables import cone_answers, people

FIRING = "firing"
"""What a question about the target of one firing is kept under; all others under their kind in the catalog."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConeAnswered:
    """One answer on record: whether `cone` was `meant`, or another; `name` is in the catalog, or a firing's number."""

    kind: str
    name: str
    fact: str
    cone: Cone
    meant: Cone
    by: str
    at: datetime

    @property
    def is_right(self) -> bool:
        """Whether the cone was right as it was."""
        return self.cone == self.meant


class ConeBook(Written):
    """The answers about cones, from inside one request's transaction."""

    def note(self, kind: str, name: str, fact: str, cone: Cone, meant: Cone) -> None:
        """Put on record that `meant` is the cone of this thing where `cone` was written, which may be the same."""
        about = {"kind": kind, "name": name, "fact": fact, "cone": cone.rank, "meant": meant.rank}
        told = {**about, "by_id": self._request.by.id, "at": self._request.at}
        self._connection.execute(insert(cone_answers), told)


class ConeAnswers(Asked):
    """What was answered about cones: `store.read.cone_answers`."""

    def of(self, kind: str, name: str) -> tuple[ConeAnswered, ...]:
        """The answers about one thing of the catalog, or one firing by its number, the newest first."""
        wanted = (
            select(cone_answers, people.c.name.label("by"))
            .join(people, people.c.id == cone_answers.c.by_id)
            .where(cone_answers.c.kind == kind, cone_answers.c.name == name)
            .order_by(cone_answers.c.id.desc())
        )
        with self._connect() as connection:
            return tuple(
                ConeAnswered(
                    kind=row.kind,
                    name=row.name,
                    fact=row.fact,
                    cone=Cone.of_rank(row.cone),
                    meant=Cone.of_rank(row.meant),
                    by=row.by,
                    at=row.at,
                )
                for row in connection.execute(wanted)
            )
