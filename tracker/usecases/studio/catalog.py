"""The studio's catalogue: set up from a file, and changed thing by thing or as a whole while pieces are under way."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any

from printing.labels.stock import EVERY_STOCK
from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import as_message
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import ChangedMeanwhile, MovesPieces, Unusable
from tracker.domain.rules.food_standing import settled
from tracker.domain.studio.catalog_changes import SHELVES, WORDS, Thing, differences, merged, problems_of, with_thing
from tracker.domain.studio.people import Right
from tracker.usecases.pieces.revalidate import EVERY_FIRING, Moved, in_words, settle_waiting, would_move
from tracker.usecases.studio.people import first_instructor

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import datetime

    from tracker.domain.pieces.history import Request
    from tracker.domain.studio.catalog import Catalogue, Studio
    from tracker.domain.studio.catalog_changes import Difference
    from tracker.domain.studio.people import NewPerson, Person
    from tracker.domain.studio.settings import Practice
    from tracker.store.queries import Queries
    from tracker.store.unit_of_work import Change, Store

_MOST_TOLD = 12


def found(store: Store, studio: Studio, instructor: NewPerson, *, at: datetime) -> tuple[Person, str]:
    """Enter a studio and its first instructor into an empty database; gives the instructor and a first password."""
    if taken := _taken_names(studio.labels):
        raise Unusable(taken, "Nothing has been entered.")
    store.set_up(studio, secrets.token_urlsafe(48))
    return first_instructor(store, instructor, at=at)


# ---- one thing -------------------------------------------------------------------------------------------------


def add(store: Store, request: Request, thing: Thing, *, seen: str | None = None, confirmed: bool = False) -> Receipt:
    """Enter a clay, glaze, route or kiln whose name nothing of its sort has.

    `seen` is the version of the catalogue that somebody decided on, None for a command; `confirmed` says that pieces
    may leave their queues for it. Both alike in every function here.
    """
    sort = WORDS[type(thing)]

    def make(before: Studio) -> Studio:
        if any(name.casefold() == thing.name.casefold() for name in getattr(before.catalogue, SHELVES[sort])):
            raise Unusable([f"There is a {sort} called “{thing.name}” already."], "Change that one, or choose a name.")
        return with_thing(before, thing)

    return alter(store, request, f"add {sort}", make, f"{thing.name} is in the catalogue.", thing, seen, confirmed)


def change(
    store: Store, request: Request, thing: Thing, *, seen: str | None = None, confirmed: bool = False
) -> Receipt:
    """Make the clay, glaze, route or kiln of this name what `thing` says; a name itself stays."""
    sort = WORDS[type(thing)]

    def make(before: Studio) -> Studio:
        _named(before.catalogue, sort, thing.name)
        return with_thing(before, thing)

    return alter(store, request, f"change {sort}", make, f"{thing.name} is changed.", thing, seen, confirmed)


def retire(
    store: Store, request: Request, sort: str, name: str, *, seen: str | None = None, confirmed: bool = False
) -> Receipt:
    """Take a clay, glaze, route or kiln out of use; what wears it or was fired in it keeps it."""
    says = f"{name} is retired."
    return alter(store, request, f"retire {sort}", _retiring(sort, name, to=True), says, name, seen, confirmed)


def bring_back(
    store: Store, request: Request, sort: str, name: str, *, seen: str | None = None, confirmed: bool = False
) -> Receipt:
    """Put a retired clay, glaze, route or kiln back into use."""
    says = f"{name} is in use again."
    return alter(store, request, f"bring back {sort}", _retiring(sort, name, to=False), says, name, seen, confirmed)


def _retiring(sort: str, name: str, *, to: bool) -> Callable[[Studio], Studio]:
    return lambda before: with_thing(before, replace(_named(before.catalogue, sort, name), retired=to))


def _named(catalogue: Catalogue, sort: str, name: str) -> Any:  # noqa: ANN401 -- each sort has its own type
    """The thing of this sort and name; `Unknown` when there is none."""
    find = {"clay": catalogue.clay, "glaze": catalogue.glaze, "route": catalogue.route, "kiln": catalogue.kiln}
    return find[sort](name)


# ---- the whole -------------------------------------------------------------------------------------------------


def set_practice(
    store: Store, request: Request, practice: Practice, *, seen: str | None = None, confirmed: bool = False
) -> Receipt:
    """Settle the numbers that are common practice and this studio's own to choose."""

    def make(before: Studio) -> Studio:
        glazes = before.catalogue.glazes
        if practice.regime is not before.catalogue.practice.regime:
            # By other limits a glaze may be shown to be tested, or no longer be.
            glazes = {name: replace(one, food=settled(one, practice.regime)) for name, one in glazes.items()}
        return replace(before, catalogue=replace(before.catalogue, practice=practice, glazes=glazes))

    return alter(store, request, "set practice", make, "The practice is settled.", practice, seen, confirmed)


def change_studio(
    store: Store, request: Request, wanted: Studio, *, seen: str | None = None, confirmed: bool = False
) -> Receipt:
    """Make the studio what a studio file says; what the file leaves out is retired."""
    return alter(store, request, "change studio", lambda before: merged(before, wanted), "", wanted, seen, confirmed)


@dataclass(frozen=True, slots=True)
class Prospect:
    """What a change would do: what is different, every reason against it, and the pieces that would be moved."""

    differences: tuple[Difference, ...]
    problems: tuple[str, ...]
    moved: tuple[Moved, ...]


def look_ahead(reader: Queries, after: Studio, at: datetime) -> Prospect:
    """What would happen if `after` became the studio, without doing it."""
    before = reader.studio()
    problems = _problems(reader, before, after)
    return Prospect(differences(before, after), problems, () if problems else would_move(reader, after.catalogue, at))


# ---- the parts -------------------------------------------------------------------------------------------------


def alter(
    store: Store,
    request: Request,
    doing: str,
    make: Callable[[Studio], Studio],
    says: str,
    about: object,
    seen: str | None,
    confirmed: bool,  # noqa: FBT001 -- it is passed on as it was given
) -> Receipt:
    """Do one change of the catalogue: `make` turns the studio as it is within the change into what it is to be.

    `doing` and `about` tell the request from others; `says` is what the receipt begins with. Refused are a catalogue
    that is not as `seen`, problems, and, unless `confirmed`, a change that takes pieces out of their queues.
    """
    return store.once(
        request,
        doing,
        lambda change: _change(change, make, says, seen, confirmed=confirmed),
        (_steady(about), seen),
        alone=True,
    )


def _change(
    change: Change, make: Callable[[Studio], Studio], says: str, seen: str | None, *, confirmed: bool
) -> Receipt:
    change.request.by.must_be_allowed(Right.CATALOGUE)
    if seen is not None and seen != change.read.version():
        raise ChangedMeanwhile(
            "Somebody changed the catalogue while you looked at it.", "Look at it as it is now, and decide again."
        )
    before = change.read.studio()
    after = make(before)
    different = differences(before, after)
    if not different:
        return Receipt(message=as_message("Nothing is different, so nothing was changed."))
    if problems := _problems(change.read, before, after):
        raise Unusable(problems, "Nothing has been changed.")
    moved = settle_waiting(change, after.catalogue)
    if moved and not confirmed:
        raise MovesPieces(in_words(moved, is_done=False), "Confirm that they may, and save once more.")
    change.save_studio(after)
    told = f"{says or _told(different)} {in_words(moved)}".strip()
    return Receipt(message=as_message(told), refs=tuple(one.row.ref for one in moved))


def _told(different: tuple[Difference, ...]) -> str:
    some = ", ".join(one.says for one in different[:_MOST_TOLD])
    more = len(different) - _MOST_TOLD
    return f"Done: {some}{f' and {more} more' if more > 0 else ''}."


_DOING = {
    FiringStage.PLANNED: ("is planned for", "call off"),
    FiringStage.LOADING: ("is being loaded for", "unload"),
}


def _problems(reader: Queries, before: Studio, after: Studio) -> tuple[str, ...]:
    """Every reason why the change cannot be made; a kiln keeps its way of firing until its firing is over."""
    in_the_way = []
    for firing in reader.firings.listed(limit=EVERY_FIRING):
        kiln, route = after.catalogue.kilns[firing.kiln], after.catalogue.routes[firing.route]
        if kiln.retired or route.retired or not kiln.serves(route):
            doing, end = _DOING.get(firing.stage, ("fires", "unload"))
            in_the_way.append(f"{kiln.name} {doing} {route.title}: {end} firing {firing.id} first.")
    # What was named before the tool brought a stock of that name may stay.
    taken = _taken_names(name for name in after.labels if name not in before.labels)
    return (*in_the_way, *problems_of(before.catalogue, after.catalogue), *taken)


def _taken_names(labels: Iterable[str]) -> tuple[str, ...]:
    """One sentence for each label stock of the studio's own that is called like one that comes with the tool."""
    known = {stock.name.casefold() for stock in EVERY_STOCK}
    return tuple(
        f"There is a stock called “{name}” already: call your own something else."
        for name in labels
        if name.casefold() in known
    )


def _steady(value: object) -> object:
    """A value in a form whose text is the same in every process, whatever the order of its sets."""
    if is_dataclass(value):
        return tuple((field.name, _steady(getattr(value, field.name))) for field in fields(value))
    if isinstance(value, frozenset):
        return tuple(sorted(map(str, value)))
    if isinstance(value, Mapping):
        return tuple((key, _steady(value[key])) for key in sorted(value))
    if isinstance(value, tuple):
        return tuple(map(_steady, value))
    return str(value)
