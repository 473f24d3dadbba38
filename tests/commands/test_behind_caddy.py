"""The server behind Caddy with the settings that are shipped: https, and nobody's word about a visitor but Caddy's."""

from __future__ import annotations

import json
import os
import re
import socket
import ssl
import subprocess
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from http.client import HTTPConnection, HTTPResponse, HTTPSConnection
from pathlib import Path
from shutil import which
from urllib.parse import urlencode

import pytest

from tests.commands.test_deployment import FILES, SERVERS, served
from tests.journeys.serving import free_port
from tests.staffed import MIRA, open_studio

pytestmark = [pytest.mark.unmeasured, pytest.mark.skipif(not which("caddy"), reason="needs Caddy")]

FORGED = {
    "X-Forwarded-For": "203.0.113.9",
    "X-Forwarded-Proto": "http",
    "X-Forwarded-Host": "evil.example",
    "X-Real-IP": "203.0.113.9",
    "Forwarded": "for=203.0.113.9;proto=http;host=evil.example",
}


class Visitor:
    """A browser at an address of its own, which says that it is elsewhere."""

    def __init__(self, port: int, authority: Path, address: str) -> None:
        """Trust Caddy's own authority and nobody else."""
        context = ssl.create_default_context(cafile=str(authority))
        self._connection = HTTPSConnection("localhost", port, context=context, source_address=(address, 0), timeout=20)
        self._cookie = ""

    def asks(self, path: str, fields: dict[str, str] | None = None) -> tuple[HTTPResponse, str]:
        """The answer to a question, or to a form."""
        head = FORGED | {"Cookie": self._cookie}
        if fields is not None:
            head |= {"Content-Type": "application/x-www-form-urlencoded", "Referer": self._site}
        body = None if fields is None else urlencode(fields)
        self._connection.request("GET" if fields is None else "POST", path, body, head)
        answer = self._connection.getresponse()
        if cookie := answer.headers["Set-Cookie"]:
            self._cookie = cookie.partition(";")[0]
        return answer, answer.read().decode()

    def close(self) -> None:
        """Hang up."""
        self._connection.close()

    def guesses(self) -> int:
        """The status that a wrong password gets."""
        _, page = self.asks("/sign-in")
        token = re.findall(r'name="csrf_token" value="([^"]+)"', page)[0]
        return self.asks("/sign-in", {"csrf_token": token, "email": MIRA.email, "password": "wrong"})[0].status

    @property
    def _site(self) -> str:
        return f"https://localhost:{self._connection.port}/"


def a_form_begun(port: int, authority: Path) -> socket.socket:
    """A connection over which somebody sends the first bytes of a form, and then no more."""
    plain = socket.create_connection(("127.0.0.1", port))
    there = ssl.create_default_context(cafile=str(authority)).wrap_socket(plain, server_hostname="localhost")
    head = f"Host: localhost:{port}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 5000"
    there.sendall(f"POST /sign-in HTTP/1.1\r\n{head}\r\n\r\nemail=a".encode())
    return there


@contextmanager
def behind_caddy(upstream: str, folder: Path) -> Iterator[tuple[int, int, Path]]:
    """Caddy in front of a server, with a certificate of its own: the ports for https and http, and its authority."""
    https, http = free_port(), free_port()
    ports = f"{{\n\tadmin off\n\tskip_install_trust\n\thttps_port {https}\n\thttp_port {http}\n\tservers"
    settings = (FILES / "Caddyfile").read_text(encoding="utf-8").replace("{\n\tservers", ports)
    if subprocess.check_output(["caddy", "version"], text=True).startswith("2.6.2"):
        # As Debian 12 has it; the file is for 2.6.4 and later, where the same is said so.
        settings = settings.replace("request_buffers", "buffer_requests\n\t\tmax_buffer_size")
    (folder / "Caddyfile").write_text(settings.replace("footring:8000", upstream), encoding="utf-8")
    authority = folder / "caddy/pki/authorities/local/root.crt"
    env = {**os.environ, "SITE": "localhost", "XDG_DATA_HOME": str(folder), "XDG_CONFIG_HOME": str(folder)}
    words = ["caddy", "run", "--config", str(folder / "Caddyfile"), "--adapter", "caddyfile"]
    with (folder / "caddy.log").open("w") as log, subprocess.Popen(words, env=env, stderr=log) as caddy:
        try:
            _until_ready(https, authority)
            yield https, http, authority
        finally:
            caddy.terminate()


def _until_ready(port: int, authority: Path) -> None:
    for _ in range(200):
        try:
            with closing(Visitor(port, authority, "127.0.0.1")) as visitor:
                visitor.asks("/healthz")
        except OSError:
            time.sleep(0.1)
        else:
            return
    pytest.fail("Caddy doesn't answer")


def test_behind_caddy_a_visitor_is_who_caddy_says_whatever_they_say_themselves(sqlite_url: str, tmp_path: Path) -> None:
    open_studio(sqlite_url).close()
    (tmp_path / "metrics").mkdir()
    settings = {
        "FOOTRING_ADDRESS": "https://localhost",
        "FOOTRING_PROXIES": "1",
        "FOOTRING_METRICS_TOKEN": "a-token-that-nobody-guesses",
        "PROMETHEUS_MULTIPROC_DIR": str(tmp_path / "metrics"),
    }
    with ExitStack() as running:
        address, told = running.enter_context(served(SERVERS["gunicorn"], sqlite_url, tmp_path, **settings))
        upstream = address.removeprefix("http://")
        https, http, authority = running.enter_context(behind_caddy(upstream, tmp_path))
        stranger, other = (
            running.enter_context(closing(Visitor(https, authority, one))) for one in ("127.0.0.2", "127.0.0.3")
        )

        page, _ = stranger.asks("/sign-in")
        guesses = [stranger.guesses() for _ in range(7)]
        elsewhere = other.guesses()
        metrics, _ = other.asks("/metrics")
        dawdlers = [running.enter_context(closing(a_form_begun(https, authority))) for _ in range(20)]
        asked = time.monotonic()
        other.asks("/sign-in")
        took = time.monotonic() - asked
        plain = HTTPConnection("localhost", http, timeout=20)
        plain.request("GET", "/sign-in")
        moved = plain.getresponse()
        plain.close()

    assert page.headers["Strict-Transport-Security"] == "max-age=31536000"
    assert "; Secure" in page.headers["Set-Cookie"]
    # Five tries are free, for this address and not for the one that both pretend to have.
    assert (guesses[:5], guesses[-1], elsewhere) == ([403] * 5, 429, 403)
    assert metrics.status == 404
    # Gunicorn answers two at a time here; those who send a form byte by byte hold up Caddy alone, for a minute at most.
    assert (len(dawdlers), took < 10) == (20, True)
    assert moved.status == 308
    assert moved.headers["Location"].startswith("https://localhost")
    lines = [json.loads(one) for one in told if '"answered"' in one]
    assert {line["address"] for line in lines} == {"127.0.0.1", "127.0.0.2", "127.0.0.3"}
