"""The evidence behind food: release tests of glazes and weighings of clays, entered as they come in."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tracker.domain.food import settled
from tracker.domain.refusals import Unusable
from tracker.domain.release import judged
from tracker.domain.reshelving import with_thing
from tracker.usecases.catalogue import alter

if TYPE_CHECKING:
    from tracker.domain.absorption import Weighing
    from tracker.domain.catalogue import Studio
    from tracker.domain.history import Receipt, Request
    from tracker.domain.release import ReleaseTest
    from tracker.store.saving import Store


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
        old = before.catalogue.glaze(glaze)
        if test in old.tests:
            raise Unusable(["This very test is on file already."], "Look at the list of tests.")
        _must_name_what_there_is(before, test)
        new = replace(old, tests=(*old.tests, test))
        return with_thing(before, replace(new, food=settled(new, before.catalogue.practice.regime)))

    answer = judged(test, store.read.catalogue().practice.regime)
    says = f"{glaze}: the test is on file, {answer.standing}. {answer.says[:1].upper()}{answer.says[1:]}."
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
    """Put the three weights of one more specimen of `clay` on file; the mean of the mature ones is its absorption.

    Pieces for food that wait in clay found too porous go to a hold, once that is `confirmed` (else `MovesPieces`).
    """

    def make(before: Studio) -> Studio:
        old = before.catalogue.clay(clay)
        return with_thing(before, replace(old, weighings=(*old.weighings, weighing)))

    says = f"{clay}: the specimen took up {weighing.absorption_pct:.3f} % of water."
    return alter(store, request, "add weighing", make, says, (clay, weighing), seen, confirmed)


def _must_name_what_there_is(studio: Studio, test: ReleaseTest) -> None:
    """Refuse with `Unknown` a clay or a route that is not in the catalogue."""
    if test.clay is not None:
        studio.catalogue.clay(test.clay)
    if test.route is not None:
        studio.catalogue.route(test.route)
