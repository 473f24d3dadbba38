"""A mail server, and a studio that sends its mail there."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import closing

import pytest

from tests.mail_server import Inbox, mail_server
from tracker.store.unit_of_work import Store


@pytest.fixture
def inbox() -> Iterator[Inbox]:
    """A mail server."""
    with mail_server() as server:
        yield server


@pytest.fixture
def mailing(store: Store, database_url: str) -> Iterator[Store]:
    """The studio, set up to send mail."""
    with closing(Store(database_url, secrets.randbelow, sends_mail=True)) as mailing:
        yield mailing
