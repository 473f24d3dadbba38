"""A server that can be killed a thousand times: `python -m tests.faults._forked URL PORT`.

For each line on standard input it forks a child that serves the pages exactly as `footring serve` does, and prints the
child's number once it listens. Everything is loaded before, so that a new server takes a moment.
"""

from __future__ import annotations

import os
import sys

import tracker.app  # noqa: F401 -- loaded before anything is forked
from tracker.commands.serving import _serve
from tracker.settings import Settings


def main(database: str, port: str, photos: str) -> None:
    """Serve, and serve again when that was killed, until nobody asks anymore."""
    child = 0
    for _ in sys.stdin:
        if child:
            os.waitpid(child, 0)
        child = os.fork()
        if not child:
            _serve(
                Settings(database=database, port=int(port), photos=photos),
                lambda _address: print(os.getpid(), flush=True),
            )
            os._exit(0)


if __name__ == "__main__":
    main(*sys.argv[1:])
