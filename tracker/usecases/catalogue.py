"""Setting up a studio from its file."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from tracker.usecases.people import first_instructor

if TYPE_CHECKING:
    from datetime import datetime

    from tracker.domain.catalogue import Studio
    from tracker.domain.people import NewPerson, Person
    from tracker.store.saving import Store


def found(store: Store, studio: Studio, instructor: NewPerson, *, at: datetime) -> tuple[Person, str]:
    """Enter a studio and its first instructor into an empty database; gives the instructor and a first password."""
    store.set_up(studio, secrets.token_urlsafe(48))
    return first_instructor(store, instructor, at=at)
