"""How a run of the tests goes: in which order, what of it is measured, and what CI leaves out or insists on."""

from __future__ import annotations

import fcntl
import gc
import os
import sys
from collections import Counter
from collections.abc import Generator, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from coverage import Coverage

from tests.machine import ON_CI

if TYPE_CHECKING:
    from tests.twins import Twins

HEARD = "PostgreSQL has heard all of it from other tests"
TWINS: pytest.StashKey[Twins] = pytest.StashKey()
"""What is noted of the twins on both engines, once a test has asked for a database."""

CASES_MEASURED = 1
"""How many cases of one test are measured; the others go the same ways with other values."""

_OF_EVERY_PAGE = tuple(f"tests/web/test_{of}.py" for of in ("auth", "other_makers", "units_everywhere"))
UNMEASURED = ("tests/usecases/", "tests/house/", *_OF_EVERY_PAGE)
"""Use cases are gone through from their pages and commands as well, tests of the house read code and run none, and
tests that ask for every page there is go where each page's own tests have been."""
MEASURED = ("tests/house/test_migrations.py",)
"""But for these: nothing else takes every migration down again."""


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """On CI one worker after the other goes through the tests, so that the second loads what the first compiled.

    A fresh clone has no bytecode: making it takes three times as long as all else, and all would make it at once. The
    other core has mypy to run then. A laptop has its bytecode, and there nobody waits.
    """
    gc.disable()  # What is loaded here stays, so there is nothing to sweep until all of it is there.
    if not ON_CI or sys.dont_write_bytecode:
        return (yield)
    with Path(__file__).open("rb") as door:
        fcntl.flock(door, fcntl.LOCK_EX)
        return (yield)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Whoever asks for the browser is a browser test, marked or not; and what takes long begins first."""
    seen: Counter[str] = Counter()
    for item in items:
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker("browser")
        cases = item.nodeid.partition("[")[0] + ("postgresql" if "postgresql" in item.nodeid else "")
        seen[cases] += 1
        if _repeats(item) or seen[cases] > CASES_MEASURED:
            item.add_marker("unmeasured")
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)


def pytest_collection_finish() -> None:
    """What is loaded by now stays to the end, so the sweeper leaves it alone and comes less often.

    Going through all modules and tests again and again took a tenth of the tests' time.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)
    gc.enable()


def _repeats(item: pytest.Item) -> bool:
    """Whether a test goes again where plain tests have been.

    So do journeys through a browser, hundreds of drawn examples, thousands of steps, the store's twins on the second
    engine outside its own room, and whole rooms of tests.
    """
    if item.nodeid.startswith(UNMEASURED) and not item.nodeid.startswith(MEASURED):
        return True
    if item.get_closest_marker("slow") or item.get_closest_marker("browser"):
        return True
    if getattr(getattr(item, "obj", None), "is_hypothesis_test", False):
        return True
    callspec = getattr(item, "callspec", None)
    return bool(callspec and "postgresql" in callspec.params.values()) and "tests/store/" not in item.nodeid


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Measuring what a test reaches takes as long again, so what is `unmeasured` runs without, set-up and all."""
    if item.get_closest_marker("unmeasured") is None:
        return (yield)
    with nothing_measured():
        return (yield)


@contextmanager
def nothing_measured() -> Iterator[None]:
    """Nothing measures here for a while, nor do programs that are started from here."""
    # A worker of pytest-xdist has two that measure, of which the lower one would go on once the upper one stops.
    stopped: list[Coverage] = []
    while (one := Coverage.current()) is not None:
        one.stop()
        stopped.append(one)
    told = {name: os.environ.pop(name) for name in list(os.environ) if name.startswith("COVERAGE_PROCESS")}
    try:
        yield
    finally:
        os.environ.update(told)
        for one in reversed(stopped):
            one.start()


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """On CI a test of the use cases goes again on PostgreSQL only where it has something new to say to it."""
    if (twins := item.config.stash.get(TWINS, None)) is None:
        return
    if twins.is_heard(item):
        pytest.skip(HEARD)
    twins.begin(item)
    twins.hear(item)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """On CI nothing is left out but twins: any other test that was skipped has failed."""
    report = yield
    if ON_CI and report.skipped and HEARD not in str(report.longrepr):
        report.outcome = "failed"
        report.longrepr = f"Left out on CI, where nothing may be: {report.longrepr}"
    return report


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name the checks of the migrations in the gate's words, whether they passed or not."""
    for outcome in ("passed", "failed", "skipped"):
        for report in terminalreporter.getreports(outcome):
            if "test_migrations.py" in report.nodeid and (report.when == "call" or outcome != "passed"):
                terminalreporter.write_line(f"{report.nodeid.partition('::')[2]}: {outcome}")
