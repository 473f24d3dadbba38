"""The only wiring: a store, a clock and a source of codes become an application."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from time import perf_counter
from typing import TYPE_CHECKING

from tracker.store.owner_only import keep_new_files_private
from tracker.store.unit_of_work import Store
from tracker.web.app_factory import build

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask

    from tracker.settings import Settings


def now() -> datetime:
    """The present moment, in UTC."""
    return datetime.now(UTC)


def create_app(
    settings: Settings,
    clock: Callable[[], datetime] = now,
    codes: Callable[[int], int] = secrets.randbelow,
    *,
    port: int = 0,
) -> Flask:
    """The application over the database that `settings` name; `codes(n)` draws a number below n for the next code.

    `port` is where its pages are served, 0 where something else serves them.
    """
    keep_new_files_private()
    store = Store(
        settings.database,
        codes,
        photos=settings.photos,
        threads=settings.threads,
        sends_mail=settings.smtp is not None,
    )
    return build(store, settings, clock, perf_counter, port=port)
