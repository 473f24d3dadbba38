"""Starting a firing: which kiln fires what, and the cone that it aims at."""

from __future__ import annotations

from tracker.domain.cones import Cone
from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Choice, Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import NotAStep, Unusable
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.cone_bands import FIRED_TO, AsksCone, ConeAnswer, firing_question
from tracker.domain.studio.kilns import Kiln, Route, RouteKind
from tracker.domain.studio.people import Person, Right
from tracker.store.studio.cone_answers import FIRING
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.revalidate import EVERY_FIRING


@once("start firing")
def start(change: Change, kiln_name: str, route_name: str, asked: Cone, *, answer: ConeAnswer | None = None) -> Receipt:
    """Start loading a kiln for a route, to the cone this firing aims at.

    A cone that does not fit is asked about with `AsksCone`, until an `answer` says which one is right.
    """
    kiln, route = could_fire(change.catalog, change.request.by, kiln_name, route_name)
    must_stand_free(change, kiln.name)
    target = aimed_at(route, asked, answer)
    number = change.book.begin(
        kiln.name,
        route.name,
        target.rank,
        is_bisque=route.kind is RouteKind.BISQUE,
        stage=FiringStage.LOADING,
    )
    note_aim(change, number, route, asked, target)
    words = _("Firing {firing}: {route} in {kiln}, to {target}.")
    message = Message("firing-started", words, firing=str(number), route=route.title, kiln=kiln.name, target=target)
    return Receipt(message=message, extra={"firing": number})


def aimed_at(route: Route, target: Cone, answer: ConeAnswer | None) -> Cone:
    """The cone that a firing aims at; `AsksCone` about one that doesn't fit and that nobody has answered for."""
    question = firing_question(route, target)
    if question is None:
        return target
    if answer is None or not answer.answers(question):
        raise AsksCone(question)
    return answer.meant


def note_aim(change: Change, firing_id: int, route: Route, asked: Cone, target: Cone) -> None:
    """Put on record which cone was meant for a firing, where that was asked."""
    if firing_question(route, asked) is not None:
        change.cones.note(FIRING, str(firing_id), FIRED_TO, asked, target)


def could_fire(catalog: Catalog, by: Person, kiln_name: str, route_name: str) -> tuple[Kiln, Route]:
    """The kiln and the route of a new firing, if this person may fire and the kiln fires that way."""
    by.must_be_allowed(Right.FIRE)
    kiln, route = catalog.kiln(kiln_name), catalog.route(route_name)
    for name, retired in ((kiln.name, kiln.retired), (route.title, route.retired)):
        if retired:
            raise no_longer_in_use(name)
    if route.is_pulled_hot:
        words = _("{route} is fired in an outdoor session, round by round.")
        message = Message("fired-outdoors", words, route=route.title)
        raise NotAStep(message, Message("plan-session", _("Plan an outdoor session.")))
    if not kiln.serves(route):
        served = tuple(catalog.route(one).title for one in sorted(kiln.routes))
        problem = Message("kiln-does-not-fire", _("{kiln} doesn't fire {route}."), kiln=kiln.name, route=route.title)
        raise Unusable([problem], Message("kiln-fires", _("It fires {routes}."), routes=served))
    return kiln, route


def no_longer_in_use(name: str) -> NotAStep:
    """The answer to whoever picks a kiln or a route that has been retired."""
    message = Message("no-longer-in-use", _("{name} isn't in use anymore."), name=name)
    return NotAStep(message, Message("choose-another", _("Choose another one.")))


def must_stand_free(change: Change, kiln: str) -> None:
    """Refuse to load a kiln in which another firing stands."""
    for firing in change.read.firings.listed(limit=EVERY_FIRING):
        if firing.kiln == kiln and firing.stage.holds_the_kiln:
            message = Message("kiln-is-taken", _TAKEN, kiln=kiln, stage=firing.stage, firing=str(firing.id))
            raise NotAStep(message, Message("unload-that-first", _("Unload that firing first.")))


_TAKEN = Choice(
    "stage",
    {
        "loading": _("{kiln} is already being loaded for firing {firing}."),
        "firing": _("{kiln} is already running for firing {firing}."),
        "cooling": _("{kiln} is still cooling from firing {firing}."),
    },
)
