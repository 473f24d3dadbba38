"""A database that goes away while people scan: PostgreSQL stopped, an SQLite file moved, and both put back."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

from tests.faults._place import Place, Row
from tests.faults._scanning import all_working, scanners, until_acknowledged

OUTAGES = 60


def suffer(place: Place) -> Iterator[Row]:
    """Take the database away for a moment, and put it back."""
    row = Row("PostgreSQL crashed and started again" if place.cluster else "database file moved away and put back")
    with scanners(database := place.fresh(), row) as (_server, busy):

        def take_it_away() -> None:
            for _ in range(place.times(OUTAGES)):
                until_acknowledged(busy, 5)
                row.tried += 1
                if place.cluster:
                    place.cluster.stop()
                    time.sleep(0.1)
                    place.cluster.start()
                else:
                    path = Path(database.removeprefix("sqlite:///"))
                    path.rename(path.with_suffix(".away"))
                    time.sleep(0.1)
                    path.with_suffix(".away").rename(path)

        all_working(busy, take_it_away)
    yield row
