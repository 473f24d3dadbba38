"""What every page costs each role when a million finished pieces lie in the store, beside a thousand; on both engines.

Both studios are served at once and asked in turn. A page's number is the ratio of its quick answers, the fastest
quarter of them: a busy machine delays some, and none is faster than its work. A page over the bound is asked again many
times before that counts. Outside the gate a smaller studio may be measured: BENCH_FINISHED=200000.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import psycopg
from sqlalchemy import update

from tests.bench._long_history import build
from tests.machine import in_memory, postgres_programs, throwaway_postgres
from tests.pages import VISITORS, everybody_everywhere, lay_out
from tests.serving import Hand, serving
from tracker.store.schema import migrate
from tracker.store.tables import join_links, links

FEW = 1_000
MANY = int(os.environ.get("BENCH_FINISHED", "1000000"))
TURNS, TURNS_OF_THE_SLOW = 8, 40
MOST = 1.3
SHOWN = 5

# What no journey looks at because it is downloaded, and more ways to ask for what is.
MORE = {
    "staff": (
        "/outdoor/examples?glaze=Ember+Luster",
        "/outdoor/examples?glaze=Raku+Clear",
        "/pickup?ref=Potter+171",
        "/pickup?maker=1003",
        "/find?q=still+water",
        "/find?q=firing&from=20",
        "/firings?sort=pieces&from=400",
        "/printed?find=nothing+like+it",
        "/firings/{planned}/sheet.pdf",
        "/outdoor/{done_outdoors}/sheet.pdf",
        "/outdoor/{done_outdoors}/story",
        "/printed/{printed}.pdf",
    ),
    "instructor": (
        "/people?find=potter+171",
        "/people?left=yes",
        "/people?sort=newest&from=600",
        "/terms/1001",
        "/catalog/studio.toml",
        "/catalog/chart.pdf",
    ),
    "student": (
        "/p/{bisqued}/known",
        "/outdoor/examples?smoke=heavy",
        "/pieces?finished=1&find=cup",
        "/pieces?finished=1&find=nothing+like+it",
        "/find?q=still+water",
    ),
}


@dataclass(frozen=True, slots=True)
class Visit:
    """One address, for one role, in the small studio and in the large one."""

    who: str
    address: str
    few: str
    many: str


@contextmanager
def _databases(room: Path) -> Iterator[Iterator[tuple[str, str, str]]]:
    """The engine, and the addresses of a fresh database for few and for many; PostgreSQL where this machine has it."""
    with ExitStack() as stack:

        def each() -> Iterator[tuple[str, str, str]]:
            yield "SQLite", f"sqlite:///{room / 'few.db'}", f"sqlite:///{room / 'many.db'}"
            if programs := postgres_programs():
                server = stack.enter_context(throwaway_postgres(programs))
                with psycopg.connect(server.replace("+psycopg", ""), autocommit=True) as connection:
                    for name in ("few", "many"):
                        connection.execute(f"CREATE DATABASE {name}".encode())
                yield "PostgreSQL", server.replace("/postgres?", "/few?"), server.replace("/postgres?", "/many?")

        yield each()


def laid_out(database: str, finished: int, room: Path) -> dict[str, object]:
    """A studio with so many finished pieces, and the names of what its pages are about."""
    migrate(database)
    store = build(database, finished, photos=str(room / f"photos-{finished}"))
    names = lay_out(store)
    in_a_month = datetime.now(UTC) + timedelta(days=30)
    with store.writing() as connection:
        # They were laid out by the tests' clock, and are over by a server's.
        connection.execute(update(join_links).values(ends_on=in_a_month.date()))
        connection.execute(update(links).values(ends_at=in_a_month))
    store.close()
    return names


def _visits(few: dict[str, object], many: dict[str, object]) -> list[Visit]:
    """Every page for each role."""
    asked = [*everybody_everywhere(), *((who, address) for who, more in MORE.items() for address in more)]
    return [Visit(who, one, one.format(**few), one.format(**many)) for who, one in asked]


def _took(hand: Hand, address: str) -> float:
    """How many seconds a page took."""
    begun = time.perf_counter()
    status, page = hand.get(address)
    took = time.perf_counter() - begun
    if status != 200:
        message = f"{address} answers {status}: {page[:300]}"
        raise RuntimeError(message)
    return took


def _ratio(few: Hand, many: Hand, visit: Visit, turns: int) -> float:
    """How many times the page takes with many that it takes with few, asked in turn."""
    pairs = [(_took(few, visit.few), _took(many, visit.many)) for _ in range(turns)]
    return _quick([more for _, more in pairs]) / _quick([less for less, _ in pairs])


def _quick(times: list[float]) -> float:
    """What the fastest quarter stayed under."""
    return sorted(times)[len(times) // 4]


def _ratios(databases: tuple[str, str], visits: list[Visit]) -> list[tuple[float, str]]:
    """The ratio of each page, with who opened it; the largest first."""
    found: list[tuple[float, str]] = []
    with ExitStack() as stack:
        ports = [stack.enter_context(serving(database))[1] for database in databases]
        # One role after another, for a server hangs up on who asks nothing for two minutes.
        for who, person in VISITORS.items():
            few, many = (stack.enter_context(closing(Hand(port, person.email if person else ""))) for port in ports)
            found.extend(_of_role(few, many, [visit for visit in visits if visit.who == who]))
    return sorted(found, reverse=True)


def _of_role(few: Hand, many: Hand, visits: list[Visit]) -> Iterator[tuple[float, str]]:
    for visit in visits:
        _took(few, visit.few)
        _took(many, visit.many)
        ratio = _ratio(few, many, visit, TURNS)
        if ratio > MOST:
            ratio = _ratio(few, many, visit, TURNS_OF_THE_SLOW)
        yield ratio, f"{visit.address} for {visit.who}"


def measure() -> Iterator[tuple[str, float, float | None, str]]:
    """For each engine the page that grows most, held to the bound, and the next ones to look at."""
    with TemporaryDirectory(prefix="footring-bench-", dir=in_memory()) as name, _databases(Path(name)) as engines:
        for engine, *databases in engines:
            few, many = (
                laid_out(database, finished, Path(name))
                for database, finished in zip(databases, (FEW, MANY), strict=True)
            )
            (worst, page), *others = _ratios((databases[0], databases[1]), _visits(few, many))
            yield f"{engine}, {MANY:,} finished vs {FEW:,}: {page}", worst, MOST, "at most"
            for ratio, other in others[:SHOWN]:
                yield f"{engine}, next: {other}", ratio, None, "at most"
