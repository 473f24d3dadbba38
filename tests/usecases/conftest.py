"""The invented studio in a fresh database on each engine, for what people do."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.staffed import open_studio
from tracker.store.saving import Store


@pytest.fixture
def store(database_url: str) -> Iterator[Store]:
    """The studio with its four people, on each engine in turn."""
    opened = open_studio(database_url)
    yield opened
    opened.close()
