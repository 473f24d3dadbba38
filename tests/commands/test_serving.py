"""The server as it is started from the command line, and the demo studio."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from importlib.metadata import entry_points
from pathlib import Path
from urllib.request import urlopen

import pytest

from demo_seed.play import play
from tests.commands.conftest import Run
from tests.staffed import open_studio

FOOTRING = str(Path(sys.executable).with_name("footring"))


SHORT_DEMO = """
from demo_seed.play import tell

def play(url, **how):
    return tell(url, **how, days=1).sign_ins
"""


@contextmanager
def _started(*words: str, folder: Path, plugged_in: str = "") -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A command that serves, and the address that it says; it is stopped as a machine stops its services.

    `plugged_in` is a folder whose modules and distributions it finds before all others.
    """
    path = [one for one in (plugged_in, os.environ.get("PYTHONPATH", "")) if one]
    process = subprocess.Popen(
        [FOOTRING, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        cwd=folder,
        env={**os.environ, "TMPDIR": str(folder), "PYTHONPATH": os.pathsep.join(path)},
    )
    try:
        said = process.stdout.readline() if process.stdout else ""
        found = re.search(r"http://[0-9.:]+/", said)
        assert found, said
        yield process, found[0]
    finally:
        process.send_signal(signal.SIGTERM)
        process.communicate(timeout=20)


@contextmanager
def _taken_port() -> Iterator[int]:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        yield taken.getsockname()[1]


@pytest.fixture
def short_demo(tmp_path: Path) -> str:
    """A folder with a demo of its own, the first day of the term: the whole of it is played elsewhere."""
    described = tmp_path / "short" / "short_demo-1.dist-info"
    described.mkdir(parents=True)
    (described / "METADATA").write_text("Metadata-Version: 2.1\nName: short-demo\nVersion: 1\n", encoding="utf-8")
    (described / "entry_points.txt").write_text("[footring.demo]\nshort = short_demo:play\n", encoding="utf-8")
    (described.parent / "short_demo.py").write_text(SHORT_DEMO, encoding="utf-8")
    return str(described.parent)


def test_the_pages_are_served_where_the_server_says_and_a_stop_ends_them(sqlite_url: str, tmp_path: Path) -> None:
    open_studio(sqlite_url).close()

    with (
        _started("--database", sqlite_url, "serve", "--port", "0", folder=tmp_path) as (process, address),
        urlopen(f"{address}sign-in") as answer,  # noqa: S310 -- an address of this machine
    ):
        status = answer.status

    assert (status, process.returncode) == (200, 0)


def test_hundreds_of_connections_that_say_nothing_keep_nobody_out(sqlite_url: str, tmp_path: Path) -> None:
    open_studio(sqlite_url).close()

    with (
        _started("--database", sqlite_url, "serve", "--port", "0", folder=tmp_path) as (_, address),
        ExitStack() as idle,
    ):
        port = int(address.rstrip("/").rpartition(":")[2])
        for count in range(300):
            one = idle.enter_context(socket.create_connection(("127.0.0.1", port)))
            if count % 2:
                one.sendall(b"GET /sign-in HTTP/1.1\r\nHost: ")
        with urlopen(f"{address}sign-in", timeout=10) as answer:  # noqa: S310 -- an address of this machine
            status = answer.status

    assert status == 200


def test_a_port_that_is_taken_is_one_sentence(run: Run, sqlite_url: str) -> None:
    open_studio(sqlite_url).close()

    with _taken_port() as port:
        result = run("--database", sqlite_url, "serve", "--port", str(port))

    assert result.exit_code == 1
    assert (
        result.stderr
        == f"Check this: Port {port} of 127.0.0.1 is already in use or not permitted. Choose another --port.\n"
    )


def test_a_demo_is_never_played_over_another(run: Run, tmp_path: Path) -> None:
    (tmp_path / "footring.db").write_text("somebody's", encoding="utf-8")

    result = run("demo", "--no-serve", "--keep", str(tmp_path))

    assert result.exit_code == 1
    assert "already exists" in result.stderr
    assert (tmp_path / "footring.db").read_text(encoding="utf-8") == "somebody's"


def test_a_demo_that_is_kept_is_a_studio_with_three_sign_ins(
    run: Run, short_demo: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(short_demo)

    result = run("demo", "--no-serve", "--keep", "demo", "--json")

    answer = json.loads(result.stdout)
    assert [one["role"] for one in answer["sign_ins"]] == ["student", "staff", "instructor"]
    assert run("--database", answer["database"], "check").stdout == "No problems found.\n"


def test_the_demo_that_comes_with_the_tool_is_the_whole_term() -> None:
    assert [one.load() for one in entry_points(group="footring.demo")] == [play]


@pytest.mark.unmeasured
def test_a_demo_takes_the_next_free_port_and_leaves_nothing_behind(tmp_path: Path, short_demo: str) -> None:
    (folder := tmp_path / "temporary").mkdir()

    with (
        _taken_port() as port,
        _started("demo", "--port", str(port), folder=folder, plugged_in=short_demo) as (_, address),
    ):
        with urlopen(f"{address}sign-in") as answer:  # noqa: S310 -- an address of this machine
            status = answer.status
        during = [path.name for path in folder.iterdir()]

    assert status == 200
    assert address != f"http://127.0.0.1:{port}/"
    assert len(during) == 1
    assert list(folder.iterdir()) == []
