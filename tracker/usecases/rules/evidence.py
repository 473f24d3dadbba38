"""The evidence behind food: leach tests of glazes and absorption tests of clays, entered as they come in."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from tracker.domain.message import Message, _, together
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.refusals import Unknown, Unusable
from tracker.domain.rules.food_standing import measurement, settled
from tracker.domain.studio.absorption import Weighing
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.catalog_changes import with_thing
from tracker.domain.studio.leach_tests import ReleaseTest, compared, judged
from tracker.store.unit_of_work import Store
from tracker.usecases.studio.catalog import alter

Evidence = TypeVar("Evidence", ReleaseTest, Weighing)


def add_release_test(
    store: Store,
    request: Request,
    glaze: str,
    test: ReleaseTest,
    *,
    seen: str | None = None,
    confirmed: bool = False,
) -> Receipt:
    """Put a laboratory's test of `glaze` on file; what the tests then show settles what the glaze is called.

    Pieces for food that wait in a glaze which failed go to a hold, once that is `confirmed` (else `MovesPieces`).
    """

    def make(before: Studio) -> Studio:
        old = before.catalog.glaze(glaze)
        if test in old.tests:
            raise Unusable(
                [Message("test-on-file", _("This test is already on file."))],
                Message("look-at-the-tests", _("Check the list of tests.")),
            )
        _must_name_what_there_is(before, test)
        new = replace(old, tests=(*old.tests, test))
        return with_thing(before, replace(new, food=settled(new, before.catalog.practice.regime)))

    answer = judged(test, store.read.catalog().practice.regime)
    words = _("{glaze}: test saved, {standing}. {result:capital}.")
    says = Message("test-filed", words, glaze=glaze, standing=answer.standing, result=answer.message)
    says = together([says, compared(test)])
    return alter(store, request, "add test", make, says, (glaze, test), seen, confirmed)


def add_weighing(
    store: Store,
    request: Request,
    clay: str,
    weighing: Weighing,
    *,
    seen: str | None = None,
    confirmed: bool = False,
) -> Receipt:
    """Put the weights of one more specimen of `clay` on file; five of one cone and method count by their mean.

    Pieces for food that wait in clay found too porous go to a hold, once that is `confirmed` (else `MovesPieces`).
    """

    def make(before: Studio) -> Studio:
        old = before.catalog.clay(clay)
        return with_thing(before, replace(old, weighings=(*old.weighings, weighing)))

    words = _("{clay}: test saved, {absorption}.")
    says = Message("weighing-filed", words, clay=clay, absorption=measurement(weighing.absorption))
    return alter(store, request, "add weighing", make, says, (clay, weighing), seen, confirmed)


def withdraw_test(
    store: Store,
    request: Request,
    glaze: str,
    number: int,
    reason: str,
    *,
    seen: str | None = None,
    confirmed: bool = False,
) -> Receipt:
    """Take a release test of `glaze` out of force, the `number`-th on file from 0; it stays there with the reason.

    What the other tests then show settles what the glaze is called. Pieces that wait on it go to a hold, once that is
    `confirmed` (else `MovesPieces`).
    """

    def make(before: Studio) -> Studio:
        old = before.catalog.glaze(glaze)
        new = replace(old, tests=_withdrawn(old.tests, number, reason, request))
        return with_thing(before, replace(new, food=settled(new, before.catalog.practice.regime)))

    words = _("{glaze}: test withdrawn. It stays on file with your reason.")
    says = Message("test-withdrawn", words, glaze=glaze)
    return alter(store, request, "withdraw test", make, says, (glaze, number, reason), seen, confirmed)


def withdraw_weighing(
    store: Store,
    request: Request,
    clay: str,
    number: int,
    reason: str,
    *,
    seen: str | None = None,
    confirmed: bool = False,
) -> Receipt:
    """Take a weighing of `clay` out of force, the `number`-th on file from 0; it stays there with the reason."""

    def make(before: Studio) -> Studio:
        old = before.catalog.clay(clay)
        return with_thing(before, replace(old, weighings=_withdrawn(old.weighings, number, reason, request)))

    words = _("{clay}: test withdrawn. It stays on file with your reason.")
    says = Message("weighing-withdrawn", words, clay=clay)
    return alter(store, request, "withdraw weighing", make, says, (clay, number, reason), seen, confirmed)


def _withdrawn(filed: tuple[Evidence, ...], number: int, reason: str, request: Request) -> tuple[Evidence, ...]:
    """The same evidence with one piece of it out of force, and by whom, when and why."""
    if not reason.strip():
        raise Unusable(
            [Message("say-why-withdrawn", _("Say why you're withdrawing it."))],
            Message("reason-stays", _("Your reason stays on file with it.")),
        )
    if not 0 <= number < len(filed):
        raise Unknown(
            Message("no-such-evidence", _("This test isn't on file.")),
            Message("pick-it", _("Choose it from the list.")),
        )
    if filed[number].withdrawn:
        raise Unusable(
            [Message("withdrawn-already", _("It's already withdrawn."))],
            Message("look-at-the-list", _("Check the list.")),
        )
    # The day as the database has it, in UTC: a reason is no place for a zone.
    told = f"{request.by.name}, {request.at.date().isoformat()}: {reason.strip()}"
    kept = list(filed)
    kept[number] = replace(filed[number], withdrawn=told)
    return tuple(kept)


def _must_name_what_there_is(studio: Studio, test: ReleaseTest) -> None:
    """Refuse with `Unknown` a clay or a route that is not in the catalog."""
    if test.clay is not None:
        studio.catalog.clay(test.clay)
    if test.route is not None:
        studio.catalog.route(test.route)
