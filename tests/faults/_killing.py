"""Work that is killed: done by a process of its own, which is struck down at a given moment."""

from __future__ import annotations

import os
import signal
import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable


def killed(work: Callable[[], object], after: float) -> bool:
    """Do `work` in another process and kill that after so many seconds; gives whether it was still at work."""
    child = _started(work)
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def seconds_of(work: Callable[[], object]) -> float:
    """How long `work` takes in a process of its own where nobody stops it."""
    start = time.monotonic()
    child = _started(work)
    if os.waitpid(child, 0)[1]:
        message = "what is to be killed fails even where nobody kills it"
        raise RuntimeError(message)
    return time.monotonic() - start


def _started(work: Callable[[], object]) -> int:
    child = os.fork()
    if child == 0:
        silence = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silence, 1)
        went_well = False
        try:
            work()
            went_well = True
        finally:
            os._exit(0 if went_well else 1)
    return child
