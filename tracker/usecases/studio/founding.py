"""A new studio: entered into a database that nobody has set up, with the instructor who runs it."""

from __future__ import annotations

import secrets
from contextlib import closing
from datetime import datetime

from tracker.domain.message import Message, _
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.people import NewPerson, Person
from tracker.store.presence import must_be_empty
from tracker.store.schema import migrate
from tracker.store.unit_of_work import Store
from tracker.usecases.studio.catalog import found


def open_studio(
    database: str, studio: Studio, instructor: NewPerson, *, at: datetime, chosen: str = ""
) -> tuple[Person, str]:
    """Set up a studio in an empty database or one yet to be made; gives the instructor and their password.

    Refused where there is a studio already, and nothing is written where the studio can't be.
    """
    # Before anything is migrated: a studio of an older Footring is upgraded by nobody who meant to set up another.
    must_be_empty(database, Message("studio-there-remedy", _("Choose another --database.")))
    migrate(database)
    with closing(Store(database, secrets.randbelow)) as store:
        return found(store, studio, instructor, at=at, chosen=chosen)
