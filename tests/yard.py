"""An outdoor session in the invented studio: its crew and containers, its rounds, and the taps of a phone beside it."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from tests.staffed import TOM, asked_by
from tests.studio import NOON
from tracker.domain.outdoor.event_log import Did
from tracker.domain.outdoor.sessions import Session, SessionFacts
from tracker.domain.outdoor.setting_up import Container, Crew, Opening
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.studio.kilns import Room
from tracker.usecases.outdoor import running as outdoor_running
from tracker.usecases.outdoor import sessions as outdoor
from tracker.usecases.outdoor.running import Said

if TYPE_CHECKING:
    from tracker.domain.pieces.history import Receipt, Request
    from tracker.domain.studio.people import Person
    from tracker.store.unit_of_work import Store

CREW = Crew(pullers=("Tom", "Mira"), lids=("Ines",), clock="Ines", hose="Ada")
DRUM = Room(height_mm=600, round_mm=500)


def session_facts(**facts: Any) -> SessionFacts:  # noqa: ANN401 -- any fact of a session
    """A session at noon in the Yard drum with a crew of four and two lidded containers, but for the `facts` given."""
    plain: dict[str, Any] = {
        "kiln": "Yard drum",
        "starts_at": NOON,
        "opening": Opening.LIFT_OFF,
        "crew": CREW,
        "containers": (Container("A1", DRUM), Container("A2", DRUM)),
        "combustibles": "sawdust",
        "fuel_before_kg": 20.0,
        "air_c": 12.0,
    }
    return SessionFacts(**(plain | facts))


def planned_session(store: Store, **facts: Any) -> int:  # noqa: ANN401 -- any fact of a session
    """The number of a session that is planned from all that waits."""
    return int(outdoor.plan(store, asked_by(TOM), session_facts(**facts)).extra["session"])


def the_session(store: Store, number: int) -> Session:
    """A session as it is now."""
    session = store.read.outdoors.session(number)
    assert session is not None
    return session


def refs_in(store: Store, session: int, round_number: int = 1) -> list[str]:
    """The codes of a round's pieces, in the order of their numbers."""
    it = the_session(store, session)
    return [row.ref for row in store.read.pieces.by_ids(it.pieces_of(it.rounds[round_number - 1]))]


def tap(
    store: Store,
    session: int,
    did: Did,
    ref: str = "",
    *,
    round_number: int = 1,
    value: str = "",
    inside: tuple[str, ...] = (),
    after: float = 0,
    by: Person = TOM,
    request: Request | None = None,
) -> Receipt:
    """One tap, so many seconds `after` noon; it arrives an hour later."""
    firing = the_session(store, session).rounds[round_number - 1].id
    at = NOON + timedelta(seconds=after)
    said = Said(did=did, firing_id=firing, ref=ref, value=value, inside=inside, at=at)
    return outdoor_running.hear(store, request or asked_by(by, later()), session, said)


def later() -> datetime:
    """When taps arrive."""
    return NOON + timedelta(hours=1)


def fire_round(store: Store, session: int, round_number: int = 1, outcome: Outcome = Outcome.GOOD) -> list[str]:
    """Fire one round from the start to its last result; gives the codes of its pieces."""
    refs = refs_in(store, session, round_number)
    tap(store, session, Did.START, round_number=round_number, inside=tuple(refs))
    tap(store, session, Did.AT_HEAT, round_number=round_number, after=1500)
    for ref in refs:
        tap(store, session, Did.PULLED, ref, round_number=round_number, after=1510)
        tap(store, session, Did.CLOSED, ref, round_number=round_number, after=1518)
        tap(store, session, Did.OUT, ref, round_number=round_number, after=2200)
        tap(store, session, Did.RESULT, ref, round_number=round_number, after=2300, value=str(outcome))
    return refs
