"""A studio that is being served, and people who visit it in a real browser."""

from __future__ import annotations

import logging
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.journeys.visiting import Visits, served
from tests.staffed import open_studio

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="module")
def visits(
    browser: Browser,
    sqlite_template: Path,
    tmp_path_factory: pytest.TempPathFactory,
    quick_pages: None,
) -> Iterator[Visits]:
    """One studio for the tests of a file, served at noon of a day that stands still; each makes pieces of its own."""
    path = tmp_path_factory.mktemp("journey") / "studio.sqlite"
    shutil.copyfile(sqlite_template, path)
    database = f"sqlite:///{path}"
    open_studio(database).close()
    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    with served(database) as here:
        yield Visits(browser, here)


@pytest.fixture(autouse=True)
def _goodbye(request: pytest.FixtureRequest) -> Iterator[None]:
    """After each test its visitors leave, and none of their pages may have had an error of its own."""
    yield
    if "visits" in request.fixturenames:
        request.getfixturevalue("visits").leave()
