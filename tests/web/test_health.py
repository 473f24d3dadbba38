"""What machines ask of the server, and what it writes down: numbers and faults, and nothing secret."""

from __future__ import annotations

import json
import logging
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import insert
from sqlalchemy.exc import IntegrityError

from tests.studio import INES, NOON
from tests.web.conftest import PASSWORD, Room
from tracker.store.tables import people
from tracker.store.unit_of_work import Store
from tracker.web.auth import House
from tracker.web.request_log import AsJson, without_secrets

TOKEN = "a token of a test, sixteen"


def with_token(room: Room, token: str) -> None:
    """Give the house a token for its numbers."""
    house: House = room.app.extensions["footring"]
    room.app.extensions["footring"] = replace(house, settings=replace(house.settings, metrics_token=token))


def test_the_process_answers_and_so_does_its_database(room: Room) -> None:
    machine = room.app.test_client()

    assert [machine.get(there).status_code for there in ("/healthz", "/readyz")] == [200, 200]


def test_without_its_database_the_server_is_alive_and_not_ready(room: Room) -> None:
    machine, file = room.app.test_client(), Path(room.app.extensions["footring"].settings.database.partition("///")[2])
    room.store.close()
    file.rename(file.with_suffix(".away"))

    assert [machine.get(there).status_code for there in ("/healthz", "/readyz")] == [200, 503]


def test_the_numbers_are_for_whoever_brings_the_token(room: Room) -> None:
    machine = room.app.test_client()
    without = machine.get("/metrics", headers={"Authorization": "Bearer "}).status_code
    with_token(room, TOKEN)
    room.visit(INES).get(f"/p/{room.bisqued().code}")

    refused = [machine.get("/metrics", headers={"Authorization": said}).status_code for said in ("", "Bearer x", TOKEN)]
    told = machine.get("/metrics", headers={"Authorization": f"Bearer {TOKEN}"})

    assert (without, refused, told.status_code) == (404, [401] * 3, 200)
    assert 'footring_requests_total{method="GET",page="pieces.piece",status="200"}' in told.text
    assert "footring_request_seconds_bucket" in told.text


def test_a_fault_is_one_line_of_json_with_the_number_of_its_request_and_nothing_secret(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines: list[str] = []

    class Kept(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            lines.append(AsJson().format(record))

    handler = Kept()
    visitor = room.stranger()
    with room.store.writing() as connection:
        connection.exec_driver_sql("DROP TABLE sign_ins")
    room.app.logger.addHandler(handler)
    monkeypatch.setattr(room.app, "testing", False)

    answer = visitor.post("/sign-in", {"email": INES.email, "password": PASSWORD})

    room.app.logger.removeHandler(handler)
    (line,) = lines
    told = json.loads(line)
    assert answer.status_code == 500
    assert told["request"] == answer.headers["X-Request-ID"]
    assert "sign_ins" in told["trace"]
    assert INES.email not in line
    assert PASSWORD not in line


def test_a_row_that_the_database_refuses_is_in_no_log(store: Store) -> None:
    # PostgreSQL tells the whole row beside the constraint.
    row = {"name": "Pat Oro", "email": "pat@studio.example", "role": "potter", "note": "Tuesday"}
    secret = {"password_hash": "a hash of nobody", "must_change_password": True, "joined_at": NOON}

    with pytest.raises(IntegrityError) as refused, store.writing() as connection:
        connection.execute(insert(people), row | secret)
    told = (refused.type, refused.value, refused.tb)
    line = AsJson().format(logging.LogRecord("footring", logging.ERROR, __file__, 1, "a fault", (), told))

    assert "role" in line
    assert not [one for one in ("Pat Oro", "pat@studio.example", "potter", "Tuesday", "a hash of") if one in line]


@pytest.mark.parametrize("header", ["X-Forwarded-Proto", "X-Forwarded-Protocol", "X-Forwarded-Ssl"])
def test_with_no_proxy_in_front_nobodys_word_is_taken(room: Room, header: str) -> None:
    # As gunicorn hands it on, which believes anybody on this machine.
    believed = {"wsgi.url_scheme": "https", "REMOTE_ADDR": "127.0.0.1"}
    forwarded = {header: "https", "X-Forwarded-For": "203.0.113.9", "X-Request-ID": "of-the-visitor"}

    answer = room.app.test_client().get("/sign-in", headers=forwarded, environ_overrides=believed)

    assert "Strict-Transport-Security" not in answer.headers
    assert answer.request.remote_addr == "127.0.0.1"
    assert answer.headers["X-Request-ID"] != "of-the-visitor"


def test_over_https_browsers_are_told_to_stay_there(room: Room) -> None:
    answer = room.app.test_client().get("/sign-in", base_url="https://studio.example")

    assert answer.headers["Strict-Transport-Security"] == "max-age=31536000"


@pytest.mark.parametrize(
    "secret",
    [
        "postgresql://footring:hunter2hunter2@db/footring",
        "could not connect: host=db password=hunter2hunter2 user=x",
        "$argon2id$v=19$m=65536,t=3,p=4$hunter2hunter2$hunter2hunter2",
    ],
    ids=["an address", "libpq", "a hash"],
)
def test_what_a_library_says_loses_its_secrets(secret: str) -> None:
    assert "hunter2" not in without_secrets(f"fault in {secret} here")
    assert without_secrets("GET /p/K7R43 took 12.5 ms") == "GET /p/K7R43 took 12.5 ms"
