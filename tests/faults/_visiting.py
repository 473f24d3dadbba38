"""Guests at the pages of one application, in this process: what they open and send, and every form they are shown."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode
from uuid import uuid4

from tests.faults._place import Row
from tests.pages import lay_out
from tests.staffed import PASSWORD, open_studio
from tracker.app import create_app
from tracker.settings import Settings

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.test import TestResponse

    from tests.web.conftest import Clock
    from tracker.store.unit_of_work import Store


_FORM = "application/x-www-form-urlencoded"


@contextmanager
def opened(database: str, clock: Clock, photos: str = "") -> Iterator[tuple[Flask, Store, dict[str, object]]]:
    """The pages of a studio with something of everything in it, and what addresses call it."""
    first = open_studio(database, photos=photos)
    names = lay_out(first)
    first.close()
    app = create_app(Settings(database=database, photos=photos), clock)
    store: Store = app.extensions["footring"].store
    yield app, store, names
    store.close()


class Guest:
    """Somebody at a browser of their own; every answer is counted in a row."""

    def __init__(self, app: Flask, row: Row, email: str = "") -> None:
        """Sign in, or stay a stranger."""
        self._client = app.test_client()
        self._row, self._email, self._token = row, email, ""
        if email:
            self.sign_in()

    def sign_in(self) -> None:
        """Sign in anew."""
        self.get("/sign-in")
        self.post("/sign-in", {"email": self._email, "password": PASSWORD})
        self.get("/me")

    def get(self, address: str, **how: Any) -> TestResponse:  # noqa: ANN401 -- whatever the test client takes
        """Open a page."""
        return self._counted(self._client.get(address, buffered=True, **how))

    def post(self, address: str, fields: Mapping[str, Any], **how: Any) -> TestResponse:  # noqa: ANN401 -- as above
        """Send a form with the token of the last page, and a key unless it brings one."""
        sent = {"csrf_token": self._token, "key": str(uuid4())} | dict(fields)
        # Half a character can be written in a form too, if not by a browser.
        body = urlencode(sent, doseq=True, errors="surrogatepass")
        return self._counted(self._client.post(address, data=body, content_type=_FORM, buffered=True, **how))

    def upload(self, address: str, fields: Mapping[str, Any]) -> TestResponse:
        """Send a form with files, each a tuple of what is in it and its name."""
        sent = {"csrf_token": self._token, "key": str(uuid4())} | {name: _whole(one) for name, one in fields.items()}
        return self._counted(self._client.post(address, data=sent, buffered=True))

    def _counted(self, answer: TestResponse) -> TestResponse:
        is_text = answer.mimetype in {"text/html", "application/json", "text/plain"}
        self._row.answered(answer.status_code, answer.get_data(as_text=True) if is_text else "")
        if answer.mimetype == "text/html" and (found := re.search(r'name="csrf_token" value="([^"]+)"', answer.text)):
            self._token = found[1]
        return answer


def _whole(sent: Any) -> Any:  # noqa: ANN401 -- text, a list of texts or a file
    """The same text with a sign in place of each half character, which can't be sent beside a file."""
    if isinstance(sent, list):
        return [_whole(one) for one in sent]
    return sent.encode(errors="replace").decode() if isinstance(sent, str) else sent


@dataclass
class SeenForm:
    """A form of a page: where it goes, how, what its fields hold, and which of them takes a file."""

    action: str
    posts: bool
    fields: dict[str, str] = field(default_factory=dict)
    file_field: str = ""


class _Forms(HTMLParser):
    def __init__(self, address: str) -> None:
        super().__init__()
        self.found: list[SeenForm] = []
        self._address, self._open = address, False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            action = told.get("action", "").partition("#")[0] or self._address
            self.found.append(SeenForm(action, posts=told.get("method", "").lower() == "post"))
            self._open = True
        elif self._open and tag in {"input", "select", "textarea", "button"}:
            last = self.found[-1]
            if told.get("type") == "file":
                last.file_field = told.get("name", "")
            elif told.get("name"):
                last.fields.setdefault(told["name"], told.get("value", ""))
            if told.get("formaction"):
                self.found.insert(-1, SeenForm(told["formaction"], posts=True, fields=last.fields))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = False


def forms_on(guest: Guest, addresses: list[str]) -> list[SeenForm]:
    """Every sort of form on these pages, each once: what goes to the same address but for its numbers is one sort."""
    seen: dict[tuple[str, bool], SeenForm] = {}
    for address in addresses:
        answer = guest.get(address)
        if answer.mimetype != "text/html":
            continue
        forms = _Forms(address)
        forms.feed(answer.text)
        for one in forms.found:
            path = one.action.partition("?")[0]
            sort = re.sub(r"/[0-9A-Z]{5}(?=/|$)|[0-9]+|[0-9a-f]{32}", "#", path), one.posts
            before = seen.setdefault(sort, one)
            before.fields = one.fields | before.fields
    return list(seen.values())
