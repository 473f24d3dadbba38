"""A server that is killed again and again while people scan, unload kilns and tap beside the outdoor kiln."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from signal import SIGTERM

from tests.faults._place import Place, Row
from tests.faults._scanning import Server, Worker, all_working, keys_of, scanners, until_acknowledged
from tests.faults._tapping import tappers
from tests.faults._unloading import unloaders

AtWork = Callable[[str, Row], AbstractContextManager[tuple[Server, list[Worker]]]]

KILLS: tuple[tuple[str, AtWork, int, int], ...] = (
    ("scans", scanners, 340, 12),
    ("unloading", unloaders, 330, 6),
    ("outdoor taps", tappers, 330, 6),
)
"""A thousand kills, spread over what people do with wet hands: how many, and each after fewer than how many answers."""
STOPS = 40


def suffer(place: Place) -> Iterator[Row]:
    """Kill the server at a random moment, start it again, and let the hands send again what wasn't acknowledged."""
    for what, at_work, many, answers in KILLS:
        yield _ended(place, Row(f"server killed in the middle of {what}"), at_work, many, answers)
    yield _ended(place, Row("server stopped and started in the middle of scans"), scanners, STOPS, 12, stop=True)


def _ended(place: Place, row: Row, at_work: AtWork, many: int, answers: int, *, stop: bool = False) -> Row:
    draw = place.draw()
    with at_work(place.fresh(), row) as (server, busy):

        def end_it() -> None:
            for _ in range(place.times(many)):
                until_acknowledged(busy, draw.randrange(1, answers))
                time.sleep(draw.uniform(0, 0.01))
                _again(server, stop=stop)
                row.tried += 1

        all_working(busy, end_it)
        row.what += f" ({len(keys_of(busy)):,} acknowledged)"
    return row


def _again(server: Server, *, stop: bool) -> None:
    if stop:
        server.end(SIGTERM)
    else:
        server.end()
    server.start()
