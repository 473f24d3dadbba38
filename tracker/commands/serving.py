"""Setting up a studio, serving its pages, and serving an invented one to look around in."""

from __future__ import annotations

import re
import resource
import secrets
import signal
import socket
import sys
from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import replace
from datetime import datetime
from functools import partial
from importlib.metadata import entry_points
from logging import ERROR, getLogger
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

import click

from tracker.commands.house import FILE, House, as_json_option, progress, say, text_of
from tracker.commands.keeping import upgraded
from tracker.commands.mail import sending_beside
from tracker.domain.message import Message, _
from tracker.domain.refusals import Unknown, Unusable
from tracker.domain.studio.people import NewPerson, Role
from tracker.settings import Settings

if TYPE_CHECKING:
    from tracker.web.auth import House as PagesHouse

_PORTS_TRIED = 50
# waitress reads a request whole before any page sees it. Up to here a photo that is too heavy gets its sentence from
# the page; what is heavier still is turned away before it is read.
_MOST_TAKEN_IN = 64_000_000
# Browsers keep connections open that they don't use, six to a phone. One without a request costs nothing but a file,
# and is closed after half a minute.
_MOST_CONNECTIONS = 800
_IDLE_SECONDS = 30
# Each connection is a file to the system, and an upload or an answer on its way may be two more.
_FILES = 4_096
_FIRST_PAGES = {"student": "pieces", "staff": "today", "instructor": "today"}


@click.command(help=_("Set up a studio from a TOML file. Reports every problem in the file at once."))
@click.option(
    "--studio",
    "path",
    type=FILE,
    required=True,
    help=_("The studio file: clays, glazes, firing types and kilns (TOML)."),
)
@click.option(
    "--instructor", "who", required=True, metavar='"NAME <EMAIL>"', help=_("The first instructor's name and email.")
)
@as_json_option
@click.pass_obj
def init(house: House, path: Path, who: str, *, as_json: bool) -> None:
    """Set up a studio from a TOML file."""
    from tracker.forms.studio.studio_file import read_studio
    from tracker.store.engine import shown
    from tracker.usecases.studio.founding import open_studio

    studio, someone = read_studio(text_of(path)), _instructor(who)
    database = house.settings.database
    person, password = open_studio(database, studio, someone, at=house.clock())
    say(
        [
            f"{studio.name} is set up in {shown(database)}.",
            f"{person.name} signs in with {person.email} and {password}.",
        ],
        {"studio": studio.name, "database": shown(database), "email": person.email, "password": password},
        as_json=as_json,
    )


def _instructor(text: str) -> NewPerson:
    from tracker.forms.plain_values import Wrong, read_name
    from tracker.forms.studio.roster import read_email
    from tracker.wording.render import say as in_words

    match = re.fullmatch(r"\s*([^<>]*)<([^<>]*)>\s*", text)
    if not match:
        raise click.BadParameter('write it like "Ines Prado <ines@college.example>".', param_hint="--instructor")
    try:
        return NewPerson(name=read_name(match[1]), email=read_email(match[2]), role=Role.INSTRUCTOR)
    except Wrong as wrong:
        raise click.BadParameter(in_words(wrong.message), param_hint="--instructor") from None


@click.command(help=_("Serve the pages until Ctrl-C. With no studio yet, tell a one-time address to set one up."))
@click.option("--host", help=_("Address to listen on; overrides FOOTRING_HOST."))
@click.option("--port", type=click.IntRange(0, 65_535), help=_("Port to listen on; overrides FOOTRING_PORT."))
@click.pass_obj
def serve(house: House, host: str | None, port: int | None) -> None:
    """Serve the pages until Ctrl-C."""
    from tracker.store.engine import shown
    from tracker.store.locks import serving
    from tracker.store.presence import holds_a_studio

    settings = house.settings
    settings = replace(settings, host=host or settings.host, port=settings.port if port is None else port)
    has_a_studio = holds_a_studio(settings.database)
    with serving(settings.database):
        if not has_a_studio:
            _serve(settings, partial(_tell_to_set_up, shown(settings.database)), clock=house.clock)
            return
        if done := upgraded(house):
            click.echo(done, err=True)
        _carry_approvals_over(house)
        _serve(settings, lambda address: click.echo(f"Serving {address}. Press Ctrl-C to stop."))


def _tell_to_set_up(database: str, address: str) -> None:
    click.echo(f"There's no studio in {database} yet. Set it up at {address}")
    click.echo("Keep this address to yourself. It works until the studio is set up. Press Ctrl-C to stop.")
    sys.stdout.flush()


def _carry_approvals_over(house: House) -> None:
    """Give approvals from before findings had facts the facts they were given for, where they still hold."""
    from tracker.usecases.rules.approvals import carry_over
    from tracker.wording.render import say

    with house.store() as store:
        carry_over(store, say, at=house.clock())


def _serve(
    settings: Settings,
    ready: Callable[[str], None],
    *,
    is_demo: bool = False,
    clock: Callable[[], datetime] | None = None,
) -> None:
    """Serve the pages; `ready` is told the address before the first request.

    A demo takes the first free one of some ports, and its tags lead to wherever that is. With a `clock` there is no
    studio yet: the address is that of the page that sets one up, after which the pages of the studio are served.
    """
    from tracker.app import create_app
    from tracker.web.request_log import begin_log

    begin_log(settings)
    pages = _Pages()
    server = _listening(pages, settings, _PORTS_TRIED if is_demo else 1)
    shown = f"[{settings.host}]" if ":" in settings.host else settings.host
    # A name such as localhost may stand for several addresses; waitress then listens on all of them.
    port = server.effective_listen[0][1] if hasattr(server, "effective_listen") else server.effective_port
    address = f"http://{shown}:{port}"

    # Where the pages are reached is known only now; nobody is answered before the server runs.
    beside = ExitStack()

    def open_pages() -> None:
        pages.app = app = create_app(
            replace(settings, address=address) if is_demo else settings, port=0 if settings.proxies else port
        )
        house: PagesHouse = app.extensions["footring"]
        beside.enter_context(sending_beside(house.store, settings, house.tag_address, house.clock))

    there = f"{address}/"
    if clock is None:
        open_pages()
    else:
        from tracker.web.studio.set_up import ADDRESS, set_up_app

        door = secrets.token_urlsafe(24)
        pages.app = set_up_app(settings.database, door, clock, open_pages)
        there = f"{address}{ADDRESS}?door={door}"
    # A stop from outside ends the same way as Ctrl-C, so that what is open is closed and what is temporary removed.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    with beside:
        ready(there)
        server.run()


class _Pages:
    """The application, once there is one."""

    app: Callable[[Any, Any], Any]

    def __call__(self, environ: object, answer: object) -> Any:  # noqa: ANN401 -- the words of WSGI
        return self.app(environ, answer)


def _listening(pages: _Pages, settings: Settings, ports: int) -> Any:  # noqa: ANN401 -- one of two kinds of waitress's
    from waitress.server import create_server

    # Eight scanners at once are a busy afternoon and no fault, so nobody needs a line about each scan that waits.
    getLogger("waitress.queue").setLevel(ERROR)
    few, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    if few != resource.RLIM_INFINITY and few < _FILES:
        wanted = _FILES if most == resource.RLIM_INFINITY else min(most, _FILES)
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, most))
    how: dict[str, Any] = {
        "host": settings.host,
        "threads": settings.threads,
        "ident": None,
        # The pages themselves take the word of as many proxies as the settings name.
        "clear_untrusted_proxy_headers": not settings.proxies,
        "max_request_body_size": _MOST_TAKEN_IN,
        "connection_limit": _MOST_CONNECTIONS,
        "channel_timeout": _IDLE_SECONDS,
        "cleanup_interval": _IDLE_SECONDS // 3,
        "asyncore_use_poll": True,  # The other way, select(), knows no file above 1,024.
    }
    for port in range(settings.port, min(settings.port + ports, 65_536)):
        with suppress(OSError):
            _must_be_free(settings.host, port)
            return create_server(pages, port=port, **how)
    words = _("Port {port} of {host} is already in use or not permitted.")
    problem = Message("port-taken", words, port=str(settings.port), host=settings.host)
    raise Unusable([problem], Message("port-taken-remedy", _("Choose another --port.")))


def _must_be_free(host: str, port: int) -> None:
    """Raise OSError where nobody could listen. The server itself, when it cannot, leaves its sockets open behind it."""
    for family, kind, *_rest, place in socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE):
        with socket.socket(family, kind) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(place)
            probe.listen()


@click.command(help=_("Serve an invented studio to explore. It's deleted when you stop it, unless you use --keep."))
@click.option("--port", type=click.IntRange(1, 65_535), default=8000, show_default=True, help=_("First port to try."))
@click.option("--no-serve", is_flag=True, help=_("Set up the demo studio only, without serving it."))
@click.option(
    "--keep", type=click.Path(file_okay=False, path_type=Path), help=_("Keep the demo studio in this folder.")
)
@as_json_option
@click.pass_obj
def demo(house: House, port: int, keep: Path | None, *, no_serve: bool, as_json: bool) -> None:
    """Serve an invented studio to explore."""
    found = list(entry_points(group="footring.demo"))
    if not found:
        raise Unknown(
            Message("no-demo", _("This installation has no demo studio.")),
            Message("no-demo-remedy", _("Install the complete footring.")),
        )
    with TemporaryDirectory(prefix="footring-demo-") as room:
        folder = keep or Path(room)
        folder.mkdir(parents=True, exist_ok=True)
        database = folder / "footring.db"
        if database.exists():
            problem = Message("demo-there", _("{database} already exists."), database=str(database))
            remedy = _("Serve it with footring --database {database} serve.")
            raise Unusable([problem], Message("demo-there-remedy", remedy, database=str(database)))
        play = found[0].load()
        with progress("Setting up a term at an invented college") as note:
            sign_ins = play(str(database), ends=house.clock(), progress=note)
        rows = [{key: getattr(one, key) for key in ("role", "name", "email", "password")} for one in sign_ins]
        if no_serve:
            say(_sign_ins(rows), {"database": str(database), "sign_ins": rows}, as_json=as_json)
            return
        settings = Settings(database=str(database), port=port)
        _serve(settings, lambda address: _tell(address, rows, as_json=as_json), is_demo=True)


def _tell(address: str, rows: list[dict[str, str]], *, as_json: bool) -> None:
    rows = [{**row, "address": f"{address}{_FIRST_PAGES.get(row['role'], '')}"} for row in rows]
    plain = [f"An invented studio is open at {address} (press Ctrl-C to stop). Sign in as one of:", *_sign_ins(rows)]
    say(plain, {"address": address, "sign_ins": rows}, as_json=as_json)
    sys.stdout.flush()


def _sign_ins(rows: list[dict[str, str]]) -> list[str]:
    """Each sign-in as one line, in columns as wide as what stands in them."""
    keys = list(rows[0]) if rows else []
    widths = {key: max(len(row[key]) for row in rows) for key in keys}
    return ["  " + "  ".join(row[key].ljust(widths[key]) for key in keys).rstrip() for row in rows]
