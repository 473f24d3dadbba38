"""What this machine has for the tests: a Chromium, and a PostgreSQL to start and throw away."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ON_CI = os.environ.get("CI", "").lower() == "true"
POSTGRES_VARIABLE = "FOOTRING_TEST_POSTGRES"

# PostgreSQL refuses to run as root; Debian's package brings this account for it.
POSTGRES_ACCOUNT = "postgres"
PATIENCE_SECONDS = 30.0
# A cluster with two workers' databases takes about 400 MB.
ROOM_BYTES = 2 << 30

# A cluster that lives for one test run has nothing to keep: no write has to reach the disk.
THROWAWAY = {
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "listen_addresses": "",
    "max_connections": "200",
    "autovacuum": "off",
    "wal_level": "minimal",
    "max_wal_senders": "0",
}


@dataclass(frozen=True, slots=True)
class LeftOut:
    """One part of the tests that this machine cannot run, and how to get it."""

    what: str
    how: str

    def __str__(self) -> str:
        """Tell both in one plain line."""
        return f"Left out: {self.what}. Get them with: {self.how}"


NO_CHROMIUM = LeftOut("pages in a real browser", "apt-get install chromium")
NO_POSTGRES = LeftOut("everything on PostgreSQL", "apt-get install postgresql")


def chromium() -> Path | None:
    """The Chromium of this machine, if it has one.

    Best is the shell of it that draws no window: the whole browser keeps drawing its own tabs and buttons for nobody,
    which takes as long again as our pages.
    """
    for name in ("chromium-headless-shell", "chromium", "chromium-browser"):
        if found := shutil.which(name):
            return Path(found)
    return None


def postgres_programs() -> Path | None:
    """The folder with initdb and postgres; of several versions the newest."""
    found = shutil.which("initdb")
    if found and (Path(found).resolve().parent / "postgres").exists():
        return Path(found).resolve().parent
    folders = [path.parent for path in Path("/usr/lib/postgresql").glob("*/bin/initdb")]
    return max(folders, key=lambda folder: float(folder.parent.name), default=None)


def left_out(*, quick: bool = False) -> list[LeftOut]:
    """What a run on this machine cannot test; `quick` runs do not ask for the browser."""
    lacking = [] if quick or chromium() else [NO_CHROMIUM]
    return lacking if postgres_programs() else [*lacking, NO_POSTGRES]


@contextmanager
def throwaway_postgres(programs: Path) -> Iterator[str]:
    """A PostgreSQL that lives as long as the block; gives the URL of its first database.

    It is reached through a socket in its own folder, so that it needs no free port. It ends with the block, and with
    this process should that be killed.
    """
    with tempfile.TemporaryDirectory(prefix="footring-pg-", dir=in_memory()) as name:
        server = PostgresFolder(programs, Path(name))
        server.start()
        try:
            yield server.url("postgres")
        finally:
            server.stop()


class PostgresFolder:
    """A PostgreSQL of our own in a folder: made when it is first started, and it may be stopped and started again."""

    def __init__(self, programs: Path, folder: Path, settings: Mapping[str, str] | None = None) -> None:
        """Keep where it lies; `settings` go before those of a throwaway one."""
        self._programs, self._folder = programs, folder
        self._settings = THROWAWAY | dict(settings or {})
        self._account: list[str] | None = None
        self._server: subprocess.Popen[bytes] | None = None

    def url(self, name: str) -> str:
        """The URL of one of its databases."""
        return f"postgresql+psycopg://footring@/{name}?host={self._folder}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        if self._account is None:
            self._account = _lend_to_postgres(self._folder)
            _initdb(self._programs, self._folder, self._account)
        self._server = _start(self._programs, self._folder, self._account, self._settings)
        _wait_until_ready(self._programs, self._folder, self._server)

    def stop(self) -> None:
        """End it at once, and its children with it, as a machine does that crashes."""
        if self._server is not None:
            self._server.send_signal(signal.SIGQUIT)
            self._server.wait(PATIENCE_SECONDS)
            self._server = None


def in_memory() -> Path | None:
    """A folder that is kept in memory and has room, where there is one: databases are copied there 15 times faster."""
    shared = Path("/dev/shm")  # noqa: S108 -- tempfile makes a folder of our own in it
    if not os.access(shared, os.W_OK) or shutil.disk_usage(shared).free < ROOM_BYTES:
        return None
    return shared


def _lend_to_postgres(folder: Path) -> list[str]:
    """Words before a command that run it as an account PostgreSQL accepts and end it when we end."""
    if os.geteuid() == 0:
        shutil.chown(folder, POSTGRES_ACCOUNT, POSTGRES_ACCOUNT)
        account = [f"--reuid={POSTGRES_ACCOUNT}", f"--regid={POSTGRES_ACCOUNT}", "--init-groups"]
    else:
        account = []
    if shutil.which("setpriv"):
        return ["setpriv", "--pdeathsig=QUIT", *account]
    if account:
        message = "PostgreSQL cannot run as root and setpriv (util-linux) is missing; run the tests as another user."
        raise RuntimeError(message)
    return []


def _initdb(programs: Path, folder: Path, account: list[str]) -> None:
    """Lay a cluster into `folder`/data with one superuser and no passwords."""
    words = ["--auth=trust", "--username=footring", "--encoding=UTF8", "--locale=C.UTF-8", "--no-sync"]
    done = subprocess.run(
        [*account, programs / "initdb", *words, "--pgdata", folder / "data"],
        check=False,
        cwd=folder,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        message = f"initdb failed: {done.stderr.strip()}"
        raise RuntimeError(message)


def _start(programs: Path, folder: Path, account: list[str], settings: Mapping[str, str]) -> subprocess.Popen[bytes]:
    """Start the server as a child of this process, its words going to `folder`/log."""
    options = [f"-c{name}={value}" for name, value in settings.items()]
    with (folder / "log").open("wb") as log:
        return subprocess.Popen(
            [*account, programs / "postgres", "-D", folder / "data", "-k", folder, *options],
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            start_new_session=True,  # Ctrl-C goes to us; the server is ended last, by name.
        )


def _wait_until_ready(programs: Path, folder: Path, server: subprocess.Popen[bytes]) -> None:
    """Return once the server answers; say what its log says when it does not."""
    until = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < until and server.poll() is None:
        ready = subprocess.run([programs / "pg_isready", "-q", "-h", folder], check=False)
        if ready.returncode == 0:
            return
        time.sleep(0.05)
    sys.stderr.write((folder / "log").read_text())
    message = "PostgreSQL did not start."
    raise RuntimeError(message)
