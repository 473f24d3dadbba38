"""Who reads: the role, the units and the language that decide how a message is worded."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, tzinfo
from enum import StrEnum
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from tracker.domain.studio.people import Role

if TYPE_CHECKING:
    from tracker.domain.studio.catalog import Studio


class Units(StrEnum):
    """In which units lengths, masses and temperatures are read."""

    METRIC = "metric"
    US = "us"


@dataclass(frozen=True, slots=True)
class Reader:
    """One reader. `role` is None for whoever isn't signed in; `locale` as CLDR names it; times are shown in `zone`."""

    role: Role | None = None
    units: Units = Units.METRIC
    locale: str = "en_US"
    zone: tzinfo = UTC


def reader_of_studio(studio: Studio, role: Role | None = None) -> Reader:
    """A reader in the studio's time zone; without a role whoever reads the paper that a command makes."""
    return Reader(role=role, zone=ZoneInfo(studio.timezone))


ANYONE = Reader()
"""A reader of whom nothing is known: metric units, American English."""
