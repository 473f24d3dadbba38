"""The server on a machine of its own: behind a proxy, under either server, with the files that set it up."""

from __future__ import annotations

import configparser
import json
import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import which
from urllib.request import Request, urlopen

import pytest
import yaml

from tests.commands.conftest import Run
from tests.house.tree import TOP
from tests.staffed import open_studio
from tracker.settings import VARIABLES

BIN = Path(sys.executable).parent
FILES = TOP / "tracker" / "deployment"
SERVERS = {
    "footring serve": [str(BIN / "footring"), "serve", "--port", "0"],
    "gunicorn": [
        *(sys.executable, "-m", "gunicorn", "--threads", "2", "--bind", "127.0.0.1:0"),
        *("--no-control-socket", "tracker.wsgi:app"),
    ],
}
FORWARDED = {
    "X-Forwarded-For": "203.0.113.9, 198.51.100.7",
    "X-Forwarded-Proto": "https",
    "X-Request-ID": "of-the-proxy-1",
}


@contextmanager
def served(command: list[str], url: str, folder: Path, **settings: str) -> Iterator[tuple[str, list[str]]]:
    """A server's address, and the lines that it wrote, once it has ended."""
    told: list[str] = []
    env = {**os.environ, "FOOTRING_DATABASE": url, "FOOTRING_LOG": "requests", **settings}
    process = subprocess.Popen(
        command, cwd=folder, env=env, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    )
    try:
        address = ""
        while not address and (line := process.stdout.readline() if process.stdout else ""):
            address = "".join(re.findall(r"http://127\.0\.0\.1:[0-9]+", line))
        assert address
        yield address, told
    finally:
        process.send_signal(signal.SIGTERM)
        told += process.communicate(timeout=20)[0].splitlines()


# The address that the one trusted proxy saw is the last that it names (RFC 7239 has the same order).
@pytest.mark.parametrize("server", SERVERS)
def test_the_word_of_one_proxy_is_taken_under_either_server(sqlite_url: str, tmp_path: Path, server: str) -> None:
    open_studio(sqlite_url).close()

    with served(SERVERS[server], sqlite_url, tmp_path, FOOTRING_PROXIES="1") as (address, told):
        asked = Request(f"{address}/sign-in?next=/find", headers=FORWARDED)  # noqa: S310 -- an address of this machine
        with urlopen(asked, timeout=10) as answer:  # noqa: S310 -- as above
            headers = answer.headers

    (line,) = [json.loads(one) for one in told if '"answered"' in one]
    assert (line["address"], line["path"], line["status"]) == ("198.51.100.7", "/sign-in", 200)
    assert line["request"] == headers["X-Request-ID"] == FORWARDED["X-Request-ID"]
    assert headers["Strict-Transport-Security"] == "max-age=31536000"


def test_a_database_without_a_studio_ends_gunicorn_with_a_sentence(tmp_path: Path) -> None:
    env = {**os.environ, "FOOTRING_DATABASE": str(tmp_path / "none.db")}

    ended = subprocess.run(SERVERS["gunicorn"], cwd=tmp_path, env=env, capture_output=True, timeout=30, check=False)

    assert ended.returncode == 3
    assert ended.stderr.count(b"There's no database at ") == 1
    assert b"Traceback" not in ended.stderr
    assert not (tmp_path / "none.db").exists()


def test_the_files_are_written_once_and_never_over_others(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "server"

    first, second = run("deployment-files", str(folder)), run("deployment-files", str(folder))

    assert (first.exit_code, second.exit_code) == (0, 1)
    assert {one.name for one in folder.iterdir()} == {one.name for one in FILES.iterdir()} - {
        "__init__.py",
        "__pycache__",
    }


UNITS = sorted(path.name for path in FILES.iterdir() if path.suffix in {".service", ".timer"})


@pytest.mark.skipif(not which("systemd-analyze"), reason="needs systemd-analyze")
def test_systemd_finds_nothing_to_say_about_the_units_of_a_studio(tmp_path: Path) -> None:
    units = [tmp_path / name.replace("@", "@clay") for name in UNITS]
    for name, unit in zip(UNITS, units, strict=True):
        unit.write_text((FILES / name).read_text(encoding="utf-8").replace("/opt/footring/bin", str(BIN)))

    said = subprocess.run(["systemd-analyze", "verify", *units], capture_output=True, text=True, check=False)

    assert [line for line in (said.stdout + said.stderr).splitlines() if "footring" in line] == []
    assert said.returncode == 0


def _read(name: str) -> configparser.ConfigParser:
    unit = configparser.ConfigParser(strict=False, interpolation=None)
    unit.optionxform = str  # type: ignore[assignment, method-assign]  # as systemd reads it: by case
    unit.read(FILES / name)
    return unit


def test_a_studios_units_share_its_account_its_settings_and_nothing_with_another_studio() -> None:
    services = [_read(name)["Service"] for name in UNITS if name.endswith(".service")]

    same = ("User", "Group", "WorkingDirectory", "EnvironmentFile", "UMask", "ProtectSystem")
    assert len(services) == 3
    assert len({tuple(one[key] for key in same) for one in services}) == 1
    for one in services:
        assert all("%i" in one[key] for key in same[:4])
        # Each place that a studio writes to has the studio's name in it.
        assert all("%i" in path for path in re.findall(r"/(?:var|run|etc)/\S+", " ".join(one.values())))


def test_the_files_say_the_same_as_the_tool() -> None:
    unit = _read("footring@.service")
    image, site = ((FILES / name).read_text(encoding="utf-8") for name in ("Containerfile", "Caddyfile"))
    services = yaml.safe_load((FILES / "compose.yaml").read_text(encoding="utf-8"))["services"]

    assert all("tracker.wsgi:app" in started for started in (unit["Service"]["ExecStart"], image))
    assert all("footring upgrade" in before for before in (unit["Service"]["ExecStartPre"], image))
    assert all("FOOTRING_PROXIES=1" in one for one in (unit["Service"]["Environment"], image))
    assert set(services) == {"database", "footring", "mail", "caddy"}
    assert services["mail"]["command"] == ["footring", "mail"]
    assert services["mail"]["environment"].items() <= services["footring"]["environment"].items()
    assert "reverse_proxy footring:8000" in site
    whole = " ".join(path.read_text(encoding="utf-8") for path in FILES.iterdir() if path.is_file())
    assert set(re.findall(r"\bFOOTRING_[A-Z_]+", whole)) <= set(VARIABLES)
