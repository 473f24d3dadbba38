"""A real server in a process of its own, and hands that sign in and scan into it over HTTP."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http.client import HTTPConnection
from typing import Any
from urllib.parse import urlencode, urlsplit
from uuid import uuid4

from tests.staffed import PASSWORD

_FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@contextmanager
def serving(database: str) -> Iterator[tuple[subprocess.Popen[str], int]]:
    """`footring serve` over a database, and the port it listens on; whatever is left of it ends with the block.

    It serves thousands of scans that other tests have measured one by one, so coverage is not measured in it.
    """
    unmeasured = {name: value for name, value in os.environ.items() if not name.startswith("COVERAGE_PROCESS")}
    command = [sys.executable, "-c", "from tracker.cli import main; main()", "--database", database]
    serve = [*command, "serve", "--port", "0"]
    with subprocess.Popen(serve, stdout=subprocess.PIPE, text=True, env=unmeasured) as server:
        try:
            assert server.stdout is not None
            told = server.stdout.readline()
            port = urlsplit(told.split()[1].rstrip(".")).port
            assert port, told
            yield server, port
        finally:
            server.terminate()


class Hand:
    """Somebody signed in, or a stranger, over one connection that stays open."""

    def __init__(self, port: int, email: str = "") -> None:
        """Sign in with the password that everybody in the studio has; without an email nobody does."""
        self._connection = HTTPConnection("127.0.0.1", port, timeout=30)
        self._cookie = ""
        self._token = ""
        if not email:
            return
        self._learn("/sign-in")
        self._send("POST", "/sign-in", {"email": email, "password": PASSWORD})
        self._learn("/password")

    def scan(self, ref: str, step: str, key: str = "", **more: str) -> tuple[int, dict[str, Any]]:
        """Scan a piece for a step: the status and the answer."""
        form = {"ref": ref, "step": step, "key": key or str(uuid4()), **more}
        status, body = self._send("POST", "/scan", form, {"Accept": "application/json"})
        return status, json.loads(body)

    def send(self, path: str, form: Mapping[str, Any]) -> tuple[int, str]:
        """Send a form as the pages' scripts do, a list once for each of it: the status and the answer as it came."""
        return self._send("POST", path, form, {"Accept": "application/json"})

    def get(self, path: str) -> tuple[int, str]:
        """Open a page."""
        return self._send("GET", path)

    @contextmanager
    def as_signed_in_by(self, other: Hand) -> Iterator[None]:
        """For a while, show the cookie of a hand that signed in elsewhere."""
        mine, self._cookie = self._cookie, other._cookie
        try:
            yield
        finally:
            self._cookie = mine

    def close(self) -> None:
        """Hang up."""
        self._connection.close()

    def _learn(self, path: str) -> None:
        """Take the token out of a page's form."""
        _, page = self._send("GET", path)
        found = re.search(r'name="csrf_token" value="([^"]+)"', page)
        assert found, page[:500]
        self._token = found[1]

    def _send(
        self, method: str, path: str, form: Mapping[str, Any] | None = None, headers: dict[str, str] | None = None
    ) -> tuple[int, str]:
        body = None if form is None else urlencode({**form, "csrf_token": self._token}, doseq=True)
        cookie = {"Cookie": self._cookie} if self._cookie else {}
        self._connection.request(method, path, body, {**_FORM, **cookie, **(headers or {})})
        answer = self._connection.getresponse()
        for name, value in answer.getheaders():
            if name.lower() == "set-cookie":
                self._cookie = value.partition(";")[0]
        return answer.status, answer.read().decode(errors="replace")


@contextmanager
def hands(port: int, email: str, many: int) -> Iterator[list[Hand]]:
    """So many hands of one person. They sign in one after the other: all at once would be taken for guesses."""
    signed_in: list[Hand] = []
    try:
        signed_in += (Hand(port, email) for _ in range(many))
        yield signed_in
    finally:
        for hand in signed_in:
            hand.close()
