"""A server that is killed again and again while people scan."""

from __future__ import annotations

import time
from collections.abc import Iterator
from signal import SIGTERM

from tests.faults._place import Place, Row
from tests.faults._scanning import Server, all_scanning, scanners, until_acknowledged

KILLS = 1_000
STOPS = 40


def suffer(place: Place) -> Iterator[Row]:
    """Kill the server at a random moment, start it again, and let the hands send again what wasn't acknowledged."""
    yield _ended(place, Row("server killed in the middle of scans"), KILLS)
    yield _ended(place, Row("server stopped and started in the middle of scans"), STOPS, stop=True)


def _ended(place: Place, row: Row, many: int, *, stop: bool = False) -> Row:
    draw = place.draw()
    with scanners(place.fresh(), row) as (server, busy):

        def end_it() -> None:
            for _ in range(place.times(many)):
                until_acknowledged(busy, draw.randrange(1, 12))
                time.sleep(draw.uniform(0, 0.01))
                _again(server, stop=stop)
                row.tried += 1

        all_scanning(busy, end_it)
        row.what += f" ({sum(len(one.acknowledged) for one in busy):,} acknowledged)"
    return row


def _again(server: Server, *, stop: bool) -> None:
    if stop:
        server.end(SIGTERM)
    else:
        server.end()
    server.start()
