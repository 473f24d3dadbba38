"""The demo studio: a term at an invented college, played through the use cases up to a given moment.

Everything in it follows from one seed and from when it ends, so two tellings leave the same pieces, the same codes and
the same history. Only what is secret is drawn anew: the key of the cookies and the first passwords nobody is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from importlib import resources
from random import Random

from demo_seed.floor import Cast, Floor
from demo_seed.hands import Clock, Hands, Told
from demo_seed.photos import take_photos
from demo_seed.plans import plans_for
from demo_seed.sorts import TERM_DAYS
from demo_seed.term import Term
from demo_seed.tiles import hang_tiles
from tracker.domain.studio.people import NewPerson, Person, Role
from tracker.domain.studio.terms import NewTerm
from tracker.forms.studio.roster import read_roster
from tracker.forms.studio.studio_file import read_studio
from tracker.store.schema import migrate
from tracker.store.unit_of_work import Store
from tracker.usecases.studio.catalog import found
from tracker.usecases.studio.membership import enrol
from tracker.usecases.studio.people import choose_password
from tracker.usecases.studio.terms import add_term

SEED = 1042
"""What all chance in the story is drawn from."""

Progress = Callable[[int, int], None]
"""Told how many days of how many have been played."""

PASSWORDS = {
    Role.STUDENT: "crooked knob on the jar",
    Role.STAFF: "warm shelf by the window",
    Role.INSTRUCTOR: "rain on the yard bell",
}
"""The passwords of the three people whose sign-ins are shown. They open this invented studio and nothing else."""

_SEASONS = ("Spring", "Summer", "Fall")
"""What a term is called by the third of the year in which it begins."""

_GOES_ON_DAYS = 28
"""The term ends so long after the story: four weeks, so that nobody has to be told of its end yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignIn:
    """How a reader of the demo gets in as one of the three roles."""

    role: str
    name: str
    email: str
    password: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """What one telling of the story leaves beside the database: the sign-ins, and every move that was refused."""

    sign_ins: tuple[SignIn, ...]
    refusals: tuple[Told, ...]


def play(url: str, *, ends: datetime, progress: Progress | None = None) -> tuple[SignIn, ...]:
    """Fill the empty database at `url` with a term that ends at `ends` (aware); gives a sign-in for each role."""
    return tell(url, ends=ends, progress=progress).sign_ins


def tell(url: str, *, ends: datetime, days: int = TERM_DAYS + 1, progress: Progress | None = None) -> Telling:
    """The same as `play`, with the moves that were refused on the way; `days` stops the story before its end."""
    migrate(url)
    store = Store(url, _chance("codes").randrange, durable=False)
    try:
        return _tell(store, ends, days, progress)
    finally:
        store.close()


def _tell(store: Store, ends: datetime, days: int, progress: Progress | None) -> Telling:
    studio = read_studio(_text("studio.toml"))
    hands = Hands(store, Clock(ends, studio.timezone, TERM_DAYS), _chance("pauses"))
    newcomers = read_roster(_text("people.csv"))
    head = next(one for one in newcomers if one.role is Role.INSTRUCTOR)
    first, _ = found(store, studio, head, at=hands.clock.now - timedelta(days=3))
    cast = _enrol(hands, first, newcomers)
    _begin_term(hands, first, newcomers)
    plans = plans_for(studio.catalog, len(cast.students), _chance("plans"))
    floor = Floor(hands, cast, studio.catalog, _chance("days"))
    term = Term(floor, plans)
    for day in range(days):
        term.live(day)
        if progress:
            progress(day + 1, days)
    take_photos(floor)
    if days > TERM_DAYS:
        hang_tiles(floor)
    shown = (cast.students[0], cast.staff[0], cast.instructors[0])
    return Telling(sign_ins=tuple(_sign_in(store, one) for one in shown), refusals=tuple(hands.refusals))


def _enrol(hands: Hands, first: Person, newcomers: Sequence[NewPerson]) -> Cast:
    """Everybody on the roster, in its order; `first` is here already."""
    enrolment = hands.do(enrol, first, newcomers)
    everybody = (first, *(person for person, _ in enrolment.added))
    students, staff, instructors = (
        tuple(one for one in everybody if one.role is role) for role in (Role.STUDENT, Role.STAFF, Role.INSTRUCTOR)
    )
    return Cast(students, staff, instructors)


def _begin_term(hands: Hands, by: Person, newcomers: Sequence[NewPerson]) -> None:
    """Note the term that everybody works in, with its sections; it goes on after the story for a while."""
    starts = hands.clock.now.date()
    term = NewTerm(
        name=f"{_SEASONS[(starts.month - 1) // 4]} {starts.year}",
        starts_on=starts,
        ends_on=starts + timedelta(days=TERM_DAYS + _GOES_ON_DAYS),
        sections=tuple(dict.fromkeys(one.section for one in newcomers if one.section)),
    )
    hands.note(add_term, by, term)


def _sign_in(store: Store, person: Person) -> SignIn:
    choose_password(store, person, PASSWORDS[person.role])
    return SignIn(role=person.role.value, name=person.name, email=person.email, password=PASSWORDS[person.role])


def _chance(what: str) -> Random:
    """Chance for one part of the story, the same in every telling."""
    return Random(f"{SEED} {what}")  # noqa: S311 -- the story must repeat itself, and nothing in it is secret


def _text(name: str) -> str:
    return resources.files("demo_seed").joinpath(name).read_text(encoding="utf-8")
