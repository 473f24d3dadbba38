"""Whose turn it is to write, so that one writer who is stuck leaves room for everybody who only reads."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore, Lock

from tracker.domain.refusals import Trouble, Unavailable

A_MOMENT = 0.5
"""Seconds without anybody's turn beginning or ending, after which the line counts as stuck."""

_MOMENTS_WHILE_IT_MOVES = 3
IN_A_STUCK_LINE = 1.0
"""Seconds that the few who wait in a line that is stuck go on waiting."""


class Turns:
    """Turns for writers. While turns begin and end, everybody waits for theirs; in a line that is stuck, only a few.

    So a process with more threads than turns and places in the line always has some that answer readers.
    """

    def __init__(self, at_once: int, in_line: int) -> None:
        """Let `at_once` write at the same time, and `in_line` wait where nothing moves."""
        # A lock is handed on quicker than a semaphore, and SQLite's writers come one by one.
        self._free: Lock | BoundedSemaphore = Lock() if at_once == 1 else BoundedSemaphore(at_once)
        self._line = BoundedSemaphore(in_line) if in_line else None
        self._moves = 0
        self._stuck_at = -1

    @contextmanager
    def turn(self) -> Iterator[None]:
        """One turn; `Unavailable` for whoever gets none in time."""
        if not self._taken():
            raise Unavailable(Trouble.BUSY)
        self._moves += 1
        try:
            yield
        finally:
            self._moves += 1
            self._free.release()

    def _taken(self) -> bool:
        if self._free.acquire(blocking=False):
            return True
        for _ in range(_MOMENTS_WHILE_IT_MOVES):
            seen = self._moves
            if self._stuck_at == seen:
                break
            if self._free.acquire(timeout=A_MOMENT):
                return True
            if self._moves == seen:
                self._stuck_at = seen
        if self._line is None or not self._line.acquire(blocking=False):
            return False
        try:
            return self._free.acquire(timeout=IN_A_STUCK_LINE)
        finally:
            self._line.release()
