"""The studio's catalog: set up from a file, and changed thing by thing or as a whole while pieces are under way."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from printing.labels.stock import EVERY_STOCK
from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Choice, Fact, Message, _, together
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.refusals import ChangedMeanwhile, MovesPieces, Unusable
from tracker.domain.rules.food_standing import settled
from tracker.domain.studio.catalog import Catalog, Studio
from tracker.domain.studio.catalog_changes import KINDS, SHELVES, Thing, differences, merged, problems_of, with_thing
from tracker.domain.studio.cone_bands import ConeAnswer
from tracker.domain.studio.people import NewPerson, Person, Right
from tracker.domain.studio.settings import Practice
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change, Store
from tracker.usecases.once import steady
from tracker.usecases.pieces.moved import Moved
from tracker.usecases.pieces.recalls import recalled, recalls_of, tell_makers
from tracker.usecases.pieces.revalidate import (
    EVERY_FIRING,
    fit_again,
    fit_to_queue,
    leaves_any,
    moves_of,
    settle_waiting,
    stays_of,
    to_queue_of,
    would_move,
)
from tracker.usecases.studio.cone_answers import note_cones, unchecked, unconfirmed, with_cones_answered
from tracker.usecases.studio.membership import person_to_be
from tracker.usecases.studio.passwords import first_password, hash_of, problems_with

_MOST_TOLD = 6
"""Differences in a receipt, which a browser carries from page to page; whoever looks ahead sees all."""


def found(store: Store, studio: Studio, instructor: NewPerson, *, at: datetime, chosen: str = "") -> tuple[Person, str]:
    """Enter a studio and its first instructor into an empty database; gives the instructor and their password.

    That is the one that they have `chosen`, or else one that is drawn for them, which they must change.
    """
    if problems := (*_taken_names(studio.labels), *unconfirmed(studio)):
        raise Unusable(problems, Message("nothing-entered", _("The form is blank.")))
    if problems := tuple(problems_with(chosen, person_to_be(instructor)) if chosen else ()):
        raise Unusable(problems)
    password, hashed = (chosen, hash_of(chosen)) if chosen else first_password()
    secret = secrets.token_urlsafe(48)
    number = store.set_up_with(studio, secret, instructor, hashed, at, must_change=not chosen)
    return person_to_be(instructor, number), password


# ---- one thing -------------------------------------------------------------------------------------------------


def add(
    store: Store,
    request: Request,
    thing: Thing,
    *,
    seen: str | None = None,
    confirmed: bool = False,
    answer: ConeAnswer | None = None,
) -> Receipt:
    """Enter a clay, glaze, route or kiln whose name nothing of its sort has.

    `seen` is the version of the catalog that somebody decided on, None for a command; `confirmed` says that pieces
    may leave their queues for it. Both alike in every function here. `answer` is what was answered to the question
    about a cone that doesn't fit, which is asked as `AsksCone`.
    """
    kind = KINDS[type(thing)]

    def make(before: Studio) -> Studio:
        if any(name.casefold() == thing.name.casefold() for name in getattr(before.catalog, SHELVES[kind])):
            words = _("There is already a {kind} called “{name}”.")
            raise Unusable(
                [Message("name-taken", words, kind=kind, name=thing.name)],
                Message("choose-a-name", _("Change that one, or choose another name.")),
            )
        return with_thing(before, unchecked(thing))

    says = Message("in-the-catalog", _("{name}: added to the catalog."), name=thing.name)
    return alter(store, request, f"add {kind}", make, says, thing, seen, confirmed, answer=answer)


def change(
    store: Store,
    request: Request,
    thing: Thing,
    *,
    seen: str | None = None,
    confirmed: bool = False,
    answer: ConeAnswer | None = None,
) -> Receipt:
    """Make the clay, glaze, route or kiln of this name what `thing` says; a name itself stays. Says what is different.

    `answer` is what was answered to the question about a cone that doesn't fit, which is asked as `AsksCone`.
    """
    kind = KINDS[type(thing)]

    def make(before: Studio) -> Studio:
        return with_thing(before, unchecked(thing, _named(before.catalog, kind, thing.name)))

    return alter(store, request, f"change {kind}", make, None, thing, seen, confirmed, answer=answer)


def retire(
    store: Store, request: Request, sort: str, name: str, *, seen: str | None = None, confirmed: bool = False
) -> Receipt:
    """Take a clay, glaze, route or kiln out of use; what wears it or was fired in it keeps it."""
    says = Message("thing-is-retired", _("{name}: retired."), name=name)
    return alter(store, request, f"retire {sort}", _retiring(sort, name, to=True), says, name, seen, confirmed)


def bring_back(
    store: Store, request: Request, sort: str, name: str, *, seen: str | None = None, confirmed: bool = False
) -> Receipt:
    """Put a retired clay, glaze, route or kiln back into use."""
    says = Message("thing-is-back", _("{name}: back in use."), name=name)
    return alter(store, request, f"bring back {sort}", _retiring(sort, name, to=False), says, name, seen, confirmed)


def _retiring(sort: str, name: str, *, to: bool) -> Callable[[Studio], Studio]:
    return lambda before: with_thing(before, replace(_named(before.catalog, sort, name), retired=to))


def _named(catalog: Catalog, sort: str, name: str) -> Thing:
    """The thing of this sort and name; `Unknown` when there is none."""
    find: dict[str, Callable[[str], Thing]] = {
        "clay": catalog.clay,
        "glaze": catalog.glaze,
        "route": catalog.route,
        "kiln": catalog.kiln,
    }
    return find[sort](name)


# ---- the whole -------------------------------------------------------------------------------------------------


def set_practice(
    store: Store, request: Request, practice: Practice, *, seen: str | None = None, confirmed: bool = False
) -> Receipt:
    """Settle the numbers that are common practice and this studio's own to choose."""

    def make(before: Studio) -> Studio:
        glazes = before.catalog.glazes
        if practice.regime is not before.catalog.practice.regime:
            # By other limits a glaze may be shown to be tested, or no longer be.
            glazes = {name: replace(one, food=settled(one, practice.regime)) for name, one in glazes.items()}
        return replace(before, catalog=replace(before.catalog, practice=practice, glazes=glazes))

    return alter(store, request, "set practice", make, None, practice, seen, confirmed)


def set_facts(store: Store, request: Request, facts: Mapping[str, Any], *, seen: str | None = None) -> Receipt:
    """Settle what is told of the studio itself: its name, zone and address, its units, paper, currency and footer.

    `facts` are those that change, by their names in `Studio`.
    """
    says = Message("studio-saved", _("{name}: saved."), name=facts.get("name", store.read.studio().name))

    def make(before: Studio) -> Studio:
        return replace(before, **facts)

    about = tuple(sorted(facts.items()))
    return alter(store, request, "set facts", make, says, about, seen, False)  # noqa: FBT003 -- no piece waits for a name


def change_studio(
    store: Store, request: Request, wanted: Studio, *, seen: str | None = None, confirmed: bool = False
) -> Receipt:
    """Make the studio what a studio file says; what the file leaves out is retired."""
    return alter(store, request, "change studio", lambda before: merged(before, wanted), None, wanted, seen, confirmed)


@dataclass(frozen=True, slots=True)
class Prospect:
    """What a change would do: what is different, every reason against it, and the pieces that would be moved."""

    differences: tuple[Message, ...]
    problems: tuple[Message, ...]
    moved: tuple[Moved, ...]


def look_ahead(reader: Queries, after: Studio, at: datetime) -> Prospect:
    """What would happen if `after` became the studio, without doing it."""
    before = reader.studio()
    problems = _problems(reader, before, after)
    moved = () if problems else would_move(reader, after.catalog, at)
    recalls = () if problems else recalls_of(recalled(reader, before.catalog, after.catalog))
    stay = _firings_that_stay(reader, before, after, moved)
    return Prospect((*differences(before, after), *stay, *recalls), problems, moved)


# ---- the parts -------------------------------------------------------------------------------------------------


def alter(
    store: Store,
    request: Request,
    doing: str,
    make: Callable[[Studio], Studio],
    says: Message | None,
    about: object,
    seen: str | None,
    confirmed: bool,  # noqa: FBT001 -- it is passed on as it was given
    *,
    answer: ConeAnswer | None = None,
) -> Receipt:
    """Do one change of the catalog: `make` turns the studio as it is within the change into what it is to be.

    `doing` and `about` tell the request from others; `says` is what the receipt begins with, None for
    a list of what is different. Refused are a catalog
    that is not as `seen`, problems, and, unless `confirmed`, a change that takes pieces out of their queues.
    Asked is about a cone that doesn't fit, until an `answer` says which one is right.
    """
    return store.once(
        request,
        doing,
        lambda change: _change(change, make, says, seen, answer, confirmed=confirmed),
        (steady(about), seen, steady(answer)),
        alone=True,
    )


def _change(
    change: Change,
    make: Callable[[Studio], Studio],
    says: Message | None,
    seen: str | None,
    answer: ConeAnswer | None,
    *,
    confirmed: bool,
) -> Receipt:
    change.request.by.must_be_allowed(Right.CATALOG)
    if seen is not None and seen != change.read.version():
        raise ChangedMeanwhile(
            Message("catalog-changed", _("Someone else changed the catalog while you were looking at it.")),
            Message("look-again", _("Check it again before you continue.")),
        )
    before = change.read.studio()
    made = make(before)
    if problems := _problems(change.read, before, made):
        raise Unusable(problems, NOTHING_CHANGED)
    after = with_cones_answered(before, made, answer)
    note_cones(change, before, after, answer)
    different = differences(before, after)
    if not different:
        return Receipt(message=Message("nothing-different", _("You haven't changed anything.")))
    # Read before any piece leaves its load.
    ahead = would_move(change.read, after.catalog, change.request.at)
    different += _firings_that_stay(change.read, before, after, ahead)
    called_back = recalled(change.read, before.catalog, after.catalog)
    recalls = recalls_of(called_back)
    moved = settle_waiting(change, after.catalog)
    if (would_leave := moves_of(moved, is_done=False)) and not confirmed:
        remedy = Message("confirm-moves", _("Check the box and save again."))
        raise MovesPieces(would_leave, remedy, (*different, *recalls), leaves=leaves_any(moved))
    change.save_studio(after)
    tell_makers(change, called_back)
    told = (
        says or _told(different),
        *recalls,
        moves_of(moved),
        stays_of(fit_again(change)),
        to_queue_of(fit_to_queue(change)),
    )
    left = tuple(one.row.ref for one in moved if one.firing is None)
    stayed = {"in_hot_kilns": len(moved) - len(left)}
    return Receipt(message=together(told), refs=left, extra=stayed)


def _firings_that_stay(reader: Queries, before: Studio, after: Studio, moved: Iterable[Moved]) -> tuple[Message, ...]:
    """Each firing that is planned or being loaded and keeps its cone, though its firing type gets another one.

    Of `moved` those in its kiln leave it with their queue, which goes by the new cone.
    """
    leave = {one.row.firing_id for one in moved if one.firing is None}
    return tuple(
        Message(
            "firing-stays",
            _STAYS,
            leave="yes" if one.id in leave else "no",
            firing=str(one.id),
            kiln=one.kiln,
            cone=str(one.target),
            next=str(after.catalog.routes[one.route].cone),
        )
        for one in reader.firings.listed(limit=EVERY_FIRING)
        if one.stage in {FiringStage.PLANNED, FiringStage.LOADING}
        and before.catalog.routes[one.route].cone != after.catalog.routes[one.route].cone
    )


_STAYS = Choice(
    "leave",
    {
        "no": _("firing {firing} in {kiln} stays at cone {cone}"),
        "yes": _(
            "firing {firing} in {kiln} stays at cone {cone}, but pieces in it come out, because their queue is now for "
            "cone {next}"
        ),
    },
)


def _told(different: tuple[Message, ...]) -> Message:
    more = len(different) - _MOST_TOLD
    # What became of a fact matters more than a name.
    some: tuple[Fact, ...] = tuple(sorted(different, key=lambda one: "facts" not in one)[:_MOST_TOLD])
    if more > 0:
        some = (*some, Message("more", _("{count} more"), count=more))
    return Message("done", _("Saved. {changes:capital}."), changes=some)


NOTHING_CHANGED = Message("nothing-changed", _("Nothing was changed."))
_IN_THE_WAY = Choice(
    "stage",
    {
        "planned": _("{kiln} is planned for {firing}. Cancel firing {number}, or save this change once it's unloaded."),
        "loading": _(
            "{kiln} is being loaded for {firing}. Cancel firing {number}, or save this change once it's unloaded."
        ),
        "firing": _("{kiln} is firing {firing}. Save this change once firing {number} is unloaded."),
        "cooling": _("{kiln} is cooling from {firing}. Save this change once firing {number} is unloaded."),
    },
)


def _problems(reader: Queries, before: Studio, after: Studio) -> tuple[Message, ...]:
    """Every reason why the change cannot be made; a kiln keeps its way of firing until its firing is over."""
    in_the_way = []
    for firing in reader.firings.listed(limit=EVERY_FIRING):
        kiln, route = after.catalog.kilns[firing.kiln], after.catalog.routes[firing.route]
        if kiln.retired or route.retired or not kiln.serves(route):
            facts = {"kiln": kiln.name, "firing": route.title, "number": str(firing.id)}
            in_the_way.append(Message("firing-in-the-way", _IN_THE_WAY, stage=firing.stage, **facts))
    # What was named before the tool brought a stock of that name may stay.
    taken = _taken_names(name for name in after.labels if name not in before.labels)
    return (*in_the_way, *problems_of(before.catalog, after.catalog), *taken)


def _taken_names(labels: Iterable[str]) -> tuple[Message, ...]:
    """What is wrong with each label stock of the studio's own that is called like one that comes with the tool."""
    words = _("There is already label stock called “{name}”. Choose another name.")
    known = {stock.name.casefold() for stock in EVERY_STOCK}
    return tuple(Message("stock-name-taken", words, name=name) for name in labels if name.casefold() in known)
