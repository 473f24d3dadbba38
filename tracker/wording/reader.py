"""Who reads: the role, units, language and paper that decide how a message is worded and what it is printed on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, tzinfo
from zoneinfo import ZoneInfo

from tracker.domain.labels.stock import Paper
from tracker.domain.quantities import LOCALE, Units
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.people import Person, Role


@dataclass(frozen=True, slots=True)
class Reader:
    """One reader. `role` is None for whoever isn't signed in; `locale` as CLDR names it; times are shown in `zone`.

    `paper` is what sheets are printed on when nobody names another. Costs are in `currency`, or plain numbers without.
    Who reads `in_lines`, as on pages and what they print, gets a number and its unit on one line, by no-break spaces.
    Files, commands and fields to be changed have plain ones.
    """

    role: Role | None = None
    units: Units = Units.METRIC
    locale: str = LOCALE
    zone: tzinfo = UTC
    paper: Paper = Paper.A4
    currency: str = ""
    in_lines: bool = False


def reader_of_studio(studio: Studio, person: Person | None = None, *, in_lines: bool = False) -> Reader:
    """`person` as a reader, in the studio's zone and in the units and on the paper they chose, or else the studio's.

    Without a person it is whoever reads what a command says, or the paper that it makes.
    """
    return Reader(
        role=person.role if person else None,
        units=(person.units if person else None) or studio.units,
        zone=ZoneInfo(studio.timezone),
        paper=(person.paper if person else None) or studio.paper,
        currency=studio.currency,
        in_lines=in_lines,
    )


ANYONE = Reader()
"""A reader of whom nothing is known: metric units, American English."""
