"""The server as a process of its own, which a test may kill."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

FOOTRING = str(Path(sys.executable).with_name("footring"))


@contextmanager
def serving(database: str, port: int, folder: Path) -> Iterator[subprocess.Popen[str]]:
    """The server over a database, as a process of its own, until the block ends or somebody kills it."""
    process = subprocess.Popen(
        [FOOTRING, "--database", database, "serve", "--port", str(port)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        cwd=folder,
        env={**os.environ, "TMPDIR": str(folder)},
    )
    try:
        assert process.stdout
        assert process.stdout.readline().startswith("Serving")
        yield process
    finally:
        process.send_signal(signal.SIGTERM)
        process.communicate(timeout=20)


def free_port() -> int:
    """A port on which nothing listens."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])
