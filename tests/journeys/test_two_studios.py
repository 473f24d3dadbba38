"""Two studios on one machine: one PostgreSQL server, a database and a port for each; nothing of one opens the other."""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable
from contextlib import ExitStack, closing
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlsplit

from tests.commands.test_deployment import SERVERS, served
from tests.mail_server import Inbox, mail_server
from tests.serving import Hand
from tests.staffed import PASSWORD, asked_by
from tests.studio import a_new_piece, a_studio
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.studio.people import NewPerson, Role
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import pieces
from tracker.usecases.studio import founding, password_links
from tracker.usecases.studio.mailing import stop_query

ADA = NewPerson(name="Ada Lindqvist", email="ada@studio.example", role=Role.INSTRUCTOR)
"""She runs both, with one email and one password."""
NAMES = ("clay", "glass")


def founded(url: str, draw: Callable[[int], int]) -> tuple[str, str]:
    """A new studio in which she asked for a password by mail and made a piece: its code, and what stops her mail."""
    now = datetime.now(UTC)
    ada, _ = founding.open_studio(url, a_studio(), ADA, at=now, chosen=PASSWORD)
    with closing(Store(url, draw, sends_mail=True)) as store:
        password_links.ask_for_link(store, ADA.email, at=now, address="10.0.0.7")
        clay = next(iter(store.read.catalog().clays))
        new: NewPiece = a_new_piece(clay=clay, arrives_bisqued=True)
        return pieces.register(store, asked_by(ada, now), new).ref, stop_query(store, ada.id)


def mail_from(name: str, inbox: Inbox) -> str:
    """What the one mail says that came from a studio, once it has come."""
    until = time.monotonic() + 20
    while time.monotonic() < until:
        told = [one for one in inbox.got if one["From"].addresses[0].addr_spec == f"{name}@studio.example"]
        if told:
            body = told[0].get_body(("plain",))
            return str(body.get_content()) if body else ""
        time.sleep(0.05)
    raise AssertionError(inbox.got)


def test_nothing_of_one_studio_opens_another_on_the_same_machine(
    postgres_room: Callable[[str, str], str], postgres_template: str, worker_id: str, tmp_path: Path
) -> None:
    urls = [postgres_room(f"{name}_{worker_id}", postgres_template) for name in NAMES]
    codes, stops = zip(*(founded(url, secrets.randbelow) for url in urls), strict=True)
    with ExitStack() as running:
        inbox, hands = running.enter_context(mail_server()), []
        for name, url in zip(NAMES, urls, strict=True):
            settings = {
                "FOOTRING_ADDRESS": f"http://{name}.studio.example",
                "FOOTRING_SECURE_COOKIES": "no",
                "FOOTRING_SMTP": f"smtp://127.0.0.1:{inbox.address.port}",
                "FOOTRING_MAIL_FROM": f"{name}@studio.example",
            }
            address, _told = running.enter_context(served(SERVERS["footring serve"], url, tmp_path, **settings))
            hands.append(running.enter_context(closing(Hand(urlsplit(address).port or 0, ADA.email))))
        for here, there in ((0, 1), (1, 0)):
            mail = mail_from(NAMES[here], inbox)
            token = mail.partition(f"http://{NAMES[here]}.studio.example/password-link?t=")[2].split()[0]
            link = f"/password-link?t={token}"

            assert f"{NAMES[there]}.studio.example" not in mail
            assert [hands[one].get(link)[0] for one in (here, there)] == [200, 404]
            assert [hands[one].get(f"/p/{codes[here]}")[0] for one in (here, there)] == [200, 404]
            assert [hands[one].get(f"/mail/stop?{stops[here]}")[0] for one in (here, there)] == [200, 404]
            with hands[there].as_signed_in_by(hands[here]):
                status, page = hands[there].get("/people")
            assert (status, ADA.name in page) == (302, False)
            assert hands[there].get("/people")[0] == 200
    assert len(inbox.got) == 2
