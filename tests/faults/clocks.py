"""A clock that jumps, by minutes or by years, while people scan and look."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from datetime import timedelta
from uuid import uuid4

from tests.faults._place import Place, Row
from tests.faults._scanning import lost
from tests.faults._visiting import Guest, opened
from tests.pages import NOW
from tests.staffed import TOM, bisqued
from tests.web.conftest import Clock

JUMPS = 1_000
_LOOKED_AT = ("/today", "/waiting", "/firings", "/shelves", "/pieces", "/outdoor", "/pickup")
_FARTHEST_DAYS = 20_000


def suffer(place: Place) -> Iterator[Row]:
    """Set the clock somewhere else before each scan; whoever was signed out by that signs in again."""
    logging.disable(logging.WARNING)
    draw, row, clock = place.draw(), Row("clock set to another time before a scan"), Clock()
    database, photos = place.fresh(), str(place.folder / "photos")
    with opened(database, clock, photos) as (app, store, _names):
        refs = [bisqued(store) for _ in range(12)]
        tom = Guest(app, row, TOM.email)
        waxed = dict.fromkeys(refs, False)
        acknowledged = []
        for _ in range(place.times(JUMPS)):
            days = draw.choice((1 / 24, 1, 400, _FARTHEST_DAYS))
            clock.moment = NOW + timedelta(days=draw.uniform(-days, days))
            ref, key = draw.choice(refs), str(uuid4())
            if tom.get(draw.choice(_LOOKED_AT)).status_code != 200:
                tom.sign_in()
            step = "not waxed" if waxed[ref] else "wax"
            answer = tom.post("/scan", {"ref": ref, "step": step, "key": key}, headers={"Accept": "application/json"})
            row.tried += 1
            if answer.json and answer.json["ok"]:
                acknowledged.append(key)
                waxed[ref] = not waxed[ref]
            else:
                row.lost += 1
    row.lost += lost(database, acknowledged, photos)
    yield row
