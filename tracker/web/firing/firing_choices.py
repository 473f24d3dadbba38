"""What several pages about firings ask: which kilns fire what, and one firing or a refusal."""

from __future__ import annotations

from collections.abc import Collection

from tracker.domain.cones import CONES
from tracker.domain.firing.heat_work import with_band
from tracker.domain.message import Message, _
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Kiln, Route
from tracker.store.firing.queries import FiringPage
from tracker.usecases.pieces.lookup import find_firing_page
from tracker.web.auth import house
from tracker.web.wording import said

BETWEEN = " / "
"""What stands between a kiln and a route in the value of a choice."""


def kiln_choices(known: Catalog, without: Collection[str] = ()) -> list[tuple[str, list[tuple[str, str]]]]:
    """Each kiln in use with what it serves, cool to hot: no other pair can be picked.

    What is fired outdoors goes in rounds of a session, and is planned there.
    """
    return [
        (
            f"{kiln.name}, {kiln.place}" if kiln.place else kiln.name,
            [
                (f"{kiln.name}{BETWEEN}{route.name}", said(_fires(kiln, route)))
                for route in known.routes_by_heat
                if kiln.serves(route) and not route.is_pulled_hot
            ],
        )
        for kiln in known.kilns.values()
        if not kiln.retired and kiln.name not in without and any(_is_indoors(known, one) for one in kiln.routes)
    ]


def _fires(kiln: Kiln, route: Route) -> Message:
    words = _("{route} in {kiln}, {cone}")
    return Message("fires", words, route=route.title, kiln=kiln.name, cone=route.cone)


def cone_choices() -> list[tuple[str, str]]:
    """What a firing may aim at: the route's own cone, or any other."""
    own = said(Message("own-cone", _("The firing's usual cone")))
    return [
        ("", own),
        *((str(cone), said(Message("target", "{cone:capital}", cone=with_band(cone)))) for cone in CONES),
    ]


def _is_indoors(known: Catalog, route: str) -> bool:
    return not known.route(route).is_pulled_hot


def known_firing(number: int) -> FiringPage:
    """A firing with all that its pages show; `Unknown` when there is none of that number."""
    return find_firing_page(house().store.read, number)
