"""The writing side: one request is one transaction, with a line of history for each step, or nothing at all."""

from __future__ import annotations

import json
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from hashlib import sha256
from threading import Lock
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, delete, func, insert, select, update
from sqlalchemy.exc import DBAPIError, IntegrityError

from tracker.domain.message import Message, _
from tracker.domain.pieces.codes import LENGTHS, draw_code
from tracker.domain.refusals import ChangedMeanwhile, KeyUsedElsewhere
from tracker.domain.studio.people import FORMER_MAKER
from tracker.store.engine import WRITES, open_engine
from tracker.store.firing.writer import KilnBook
from tracker.store.labels.print_records import PaperBook
from tracker.store.mappers import (
    clay_row,
    findings_text,
    glaze_row,
    kiln_row,
    labels_text,
    line_facts_text,
    message_text,
    person_of,
    piece_row,
    practice_text,
    receipt_of,
    receipt_text,
    route_row,
    verdict_text,
)
from tracker.store.outdoor.writer import OutdoorBook
from tracker.store.pieces.photo_album import AlbumPen
from tracker.store.pieces.photo_shelf import shelf_for
from tracker.store.queries import Reader
from tracker.store.studio.catalog_writer import save_studio
from tracker.store.studio.known import Known
from tracker.store.tables import (
    clays,
    glazes,
    history,
    house,
    kiln_routes,
    kilns,
    layers,
    people,
    pieces,
    questions,
    requests,
    routes,
    sessions,
    sign_ins,
    waiting,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterator
    from contextlib import AbstractContextManager
    from datetime import datetime

    from sqlalchemy import Connection, CursorResult

    from tracker.domain.findings import Finding
    from tracker.domain.pieces.history import HistoryLine, Receipt, Request
    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.catalog import Catalogue, Studio
    from tracker.domain.studio.people import NewPerson, Person

_DRAWS_BEFORE_A_LONGER_CODE = 64
_DEADLOCK = "40P01"
_CATALOGUE_LOCK = -1
"""No request's lock is negative."""
_SAVE_PIECE = update(pieces).where(pieces.c.id == bindparam("of_piece"), pieces.c.version == bindparam("as_read"))
_LEAVE_QUEUE = delete(waiting).where(waiting.c.piece_id == bindparam("of_piece"))
_JOIN_QUEUE = insert(waiting)
_WRITE_LINE = insert(history)
_KEEP_RECEIPT = insert(requests)
_SESSION = (
    select(*(people.c[one] for one in ("id", "name", "email", "role", "section", "must_change_password")))
    .join(sessions, people.c.id == sessions.c.person_id)
    .where(sessions.c.token_hash == bindparam("of_token"), sessions.c.ends_at > bindparam("at"))
)
# One question instead of two, because every request asks both before it does anything else.
_CATALOGUE_AND_EARLIER = (
    select(house.c.value.label("version"), requests.c.person_id, requests.c.doing, requests.c.receipt)
    .outerjoin(requests, requests.c.key == bindparam("same"))
    .where(house.c.name == "catalogue")
)


class Store:
    """A studio's database: `read` asks it, `once` changes it."""

    def __init__(self, database: str, draw: Callable[[int], int], *, durable: bool = True, photos: str = "") -> None:
        """Open `database` (a URL or a file's path); `draw(n)` gives a number from 0 to n-1 for the next code.

        Only a database that can be made again from nothing is opened without `durable`. `photos` is the folder in
        which photos lie where the database is no file; `shelf` is None where nobody said so.
        """
        self.shelf = shelf_for(database, photos, durable=durable)
        self._engine = open_engine(database, durable=durable)
        self._draw = draw
        self._cache: dict[str, Known] = {}
        self.read = Reader(self._engine.connect, self._cache)
        self._writer = self._engine.execution_options(**{WRITES: True})
        # SQLite has one writer at a time; waiting here in turn is fairer and far quicker than its own retries.
        self._turn: AbstractContextManager[Any] = Lock() if self._engine.dialect.name == "sqlite" else nullcontext()

    def once(
        self,
        request: Request,
        doing: str,
        work: Callable[[Change], Receipt],
        about: object = (),
        *,
        alone: bool = False,
    ) -> Receipt:
        """Do `work` in one transaction and keep its receipt under the request's key.

        A key seen before gives its first receipt again and `work` is not done; with another person's request, another
        `doing` or `about` something else it is refused with `KeyUsedElsewhere`. Whatever `work` raises undoes it all.
        What changes the catalogue works `alone`: everybody else's work is decided on the one before it or after it.
        """
        whole = f"{doing} {sha256(repr(about).encode()).hexdigest()[:16]}" if about else doing
        try:
            return self._once(request, whole, work, alone=alone)
        except DBAPIError as breach:
            # Two that drew the same code, or that stand in each other's way, which only PostgreSQL lets come this
            # far: the second try draws again, or finds the way free. A real breach fails once more, and rises.
            if not isinstance(breach, IntegrityError) and getattr(breach.orig, "sqlstate", None) != _DEADLOCK:
                raise
            return self._once(request, whole, work, alone=alone)

    def _once(self, request: Request, doing: str, work: Callable[[Change], Receipt], *, alone: bool) -> Receipt:
        with self.writing() as connection:
            if connection.dialect.name != "sqlite":
                # The same request twice at once: the second waits here for the receipt of the first.
                same = func.pg_advisory_xact_lock(request.key.int >> 65)
                catalogue = func.pg_advisory_xact_lock if alone else func.pg_advisory_xact_lock_shared
                connection.execute(select(same, catalogue(_CATALOGUE_LOCK)))
            catalogue_version, earlier = _where_it_stands(connection, request, doing)
            if earlier is not None:
                return earlier
            receipt = work(Change(connection, self._cache, request, self._draw, catalogue_version))
            connection.execute(
                _KEEP_RECEIPT,
                {
                    "key": str(request.key),
                    "person_id": request.by.id,
                    "doing": doing,
                    "at": request.at,
                    "receipt": receipt_text(receipt),
                },
            )
            return receipt

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction that writes; on SQLite in turn."""
        with self._turn, self._writer.connect() as connection, connection.begin():
            yield connection

    def set_up(self, studio: Studio, secret: str) -> None:
        """Enter a studio and its catalogue into an empty, migrated database."""
        with self.writing() as connection:
            _enter_studio(connection, studio, secret)

    def close(self) -> None:
        """Let go of every connection."""
        self._engine.dispose()

    # ---- people and their sessions: no piece is touched, so there is no request key -----------------------------

    def enrol(self, someone: NewPerson, password_hash: str, at: datetime) -> int:
        """Enter a person, who must change the password at the first sign-in; gives the person's number."""
        with self.writing() as connection:
            return enter_person(connection, someone, password_hash, at)

    def password_hash(self, person_id: int) -> tuple[str | None, bool]:
        """A person's password hash, and whether the password must be changed first."""
        wanted = select(people.c.password_hash, people.c.must_change_password).where(people.c.id == person_id)
        with self._engine.connect() as connection:
            row = connection.execute(wanted).one()
            return row.password_hash, row.must_change_password

    def set_password(self, person_id: int, password_hash: str, *, must_change: bool = False) -> None:
        """Give a person a new password, and end all their sessions."""
        with self.writing() as connection:
            connection.execute(
                update(people)
                .where(people.c.id == person_id)
                .values(password_hash=password_hash, must_change_password=must_change),
            )
            connection.execute(delete(sessions).where(sessions.c.person_id == person_id))

    def begin_session(self, token_hash: str, person_id: int, at: datetime, ends_at: datetime) -> None:
        """Remember a session by the hash of its token, and forget those that have ended."""
        with self.writing() as connection:
            connection.execute(delete(sessions).where(sessions.c.ends_at < at))
            connection.execute(
                insert(sessions),
                {"token_hash": token_hash, "person_id": person_id, "began_at": at, "ends_at": ends_at},
            )

    def end_session(self, token_hash: str) -> None:
        """Forget a session."""
        with self.writing() as connection:
            connection.execute(delete(sessions).where(sessions.c.token_hash == token_hash))

    def session(self, token_hash: str, at: datetime) -> tuple[Person, bool] | None:
        """Whose running session this is, and whether their password must be changed first; None for no session."""
        with self._engine.connect() as connection:
            row = connection.execute(_SESSION, {"of_token": token_hash, "at": at}).first()
            return None if row is None else (person_of(row), row.must_change_password)

    def count_sign_in(self, email: str, address: str, at: datetime, *, since: datetime) -> tuple[int, int]:
        """Note an attempt to sign in; give how many there were since then for this email and from this address.

        Older attempts are forgotten. The count includes this one.
        """
        with self.writing() as connection:
            connection.execute(delete(sign_ins).where(sign_ins.c.at < since))
            connection.execute(insert(sign_ins), {"email": email[:254], "address": address[:64], "at": at})
            for_email = select(func.count()).where(sign_ins.c.email == email[:254])
            from_address = select(func.count()).where(sign_ins.c.address == address[:64])
            return connection.scalar(for_email) or 0, connection.scalar(from_address) or 0

    def forget_sign_ins(self, email: str) -> None:
        """Forget the attempts for this email, after one that worked."""
        with self.writing() as connection:
            connection.execute(delete(sign_ins).where(sign_ins.c.email == email[:254]))


class Change:
    """One request's transaction, from inside. What it reads it also holds until the end."""

    def __init__(
        self,
        connection: Connection,
        cache: dict[str, Known],
        request: Request,
        draw: Callable[[int], int],
        catalogue_version: str | None,
    ) -> None:
        """Work over `connection`, on behalf of `request`; None for a version means that no studio is set up yet."""
        self._connection = connection
        self._draw = draw
        self.request = request
        self.read = Reader(lambda: nullcontext(connection), cache, version=catalogue_version)
        self.book = KilnBook(connection, request.at)
        self.outdoors = OutdoorBook(connection, request.at)
        self.album = AlbumPen(connection, request)
        self.papers = PaperBook(connection, request)

    @property
    def catalogue(self) -> Catalogue:
        """The studio's catalogue as it is within this transaction."""
        return self.read.catalogue()

    def register(self, new: Piece, line: HistoryLine) -> Piece:
        """Save a new piece with its first line of history; gives it back with the number it is known by for life."""
        row = piece_row(new, self.read.known().clay_ids[new.clay.name])
        done = self._connection.execute(
            insert(pieces),
            {"registered_at": self.request.at, "since": self.request.at, **row},
        )
        piece = replace(new, id=_number(done))
        self.write(piece, line)
        return piece

    def save(self, before: Piece, after: Piece, line: HistoryLine, *, waits_since: datetime | None = None) -> int:
        """Save what a step made of a piece, with its line of history; gives the line's number.

        `waits_since` gives a piece that comes back to its queue the place it had there.
        Refuses with `ChangedMeanwhile` when the piece is no longer as `before` was read.
        """
        if before.planned_in is not None and before.stage is not after.stage:
            self.book.leave_plan([before.id])
        if before.route and before.route != after.route:
            self._connection.execute(_LEAVE_QUEUE, {"of_piece": before.id})
        kept = len(before.layers) if after.layers[: len(before.layers)] == before.layers else 0
        if before.layers and not kept:
            self._connection.execute(delete(layers).where(layers.c.piece_id == before.id))
        self._update(before, after)
        for layer in after.layers[kept:]:
            self._put_on(after, layer.glaze.name, layer.zone)
        if after.route and after.route != before.route:
            self._stand_in_line(after, line, waits_since or self.request.at)
        return self.write(after, line)

    def write(self, piece: Piece, line: HistoryLine) -> int:
        """Write one line of history; gives its number."""
        done = self._connection.execute(
            _WRITE_LINE,
            {
                "piece_id": piece.id,
                "at": self.request.at,
                "by_id": self.request.by.id,
                "request_key": str(self.request.key),
                "step": line.step,
                "start": line.start,
                "to": line.to,
                "route": line.route,
                "kiln": line.kiln,
                "firing_id": line.firing_id,
                "place": line.place,
                "verdict": verdict_text(line.verdict),
                "accepted": json.dumps(line.accepted) if line.accepted else None,
                "outcome": line.outcome,
                "reason": line.reason,
                "facts": line_facts_text(line.facts),
                "undoes": line.undoes,
            },
        )
        return _number(done)

    def accept_while_waiting(self, piece: Piece, rules: Collection[str]) -> None:
        """Note that more warnings of a piece are accepted, for as long as it waits in the same queue."""
        row = waiting.c.piece_id == piece.id
        before = json.loads(self._connection.scalar(select(waiting.c.accepted).where(row)) or "[]")
        now = json.dumps([*before, *(rule for rule in rules if rule not in before)])
        self._connection.execute(update(waiting).where(row).values(accepted=now))

    def new_code(self) -> str:
        """A code that no piece has had; once five symbols have nearly run out, one of six."""
        for length in LENGTHS:
            for _draw in range(_DRAWS_BEFORE_A_LONGER_CODE):
                code = draw_code(self._draw, length)
                if self._connection.scalar(select(pieces.c.id).where(pieces.c.code == code)) is None:
                    return code
        message = "no free code was drawn"
        raise RuntimeError(message)

    # ---- questions, prints, people -----------------------------------------------------------------------------

    def ask(self, piece_id: int, route: str | None, text: Message | str, findings: Collection[Finding]) -> int:
        """Put a question on a piece, as somebody typed it or as a message; gives its number."""
        done = self._connection.execute(
            insert(questions),
            {
                "piece_id": piece_id,
                "route": route,
                "text": text if isinstance(text, str) else "",
                "message": None if isinstance(text, str) else message_text(text),
                "findings": findings_text(findings),
                "asked_by": self.request.by.id,
                "asked_at": self.request.at,
            },
        )
        return _number(done)

    def answer(
        self,
        question_id: int,
        text: str,
        *,
        allows: bool,
        findings: Collection[Finding],
        clay: str | None = None,
        glaze: str | None = None,
    ) -> None:
        """Answer a question nobody has answered; `findings` are what an allowing answer gives leave for.

        The answer is pinned to the clay or the glaze of that name, where one is given.
        """
        known = self.read.known()
        done = self._connection.execute(
            update(questions)
            .where(questions.c.id == question_id, questions.c.answered_at.is_(None))
            .values(
                answered_by=self.request.by.id,
                answered_at=self.request.at,
                allows=allows,
                answer=text,
                findings=findings_text(findings),
                pinned_clay=known.clay_ids[clay] if clay else None,
                pinned_glaze=known.glaze_ids[glaze] if glaze else None,
            ),
        )
        if not done.rowcount:
            raise ChangedMeanwhile(
                Message("answered-already", _("Somebody has answered this question already.")),
                Message("read-the-answer", _("Read the answer first.")),
            )

    def forget(self, person: Person) -> None:
        """Strike out who a person is: name, email, section and password, and every session and try to sign in."""
        self._connection.execute(delete(sessions).where(sessions.c.person_id == person.id))
        self._connection.execute(delete(sign_ins).where(sign_ins.c.email == person.email))
        self._connection.execute(
            update(people)
            .where(people.c.id == person.id)
            .values(
                name=FORMER_MAKER,
                email=f"former-maker-{person.id}@removed.invalid",
                section="",
                password_hash=None,
                must_change_password=True,
                removed_at=self.request.at,
            ),
        )

    def enrol(self, someone: NewPerson, password_hash: str) -> int:
        """Enter a person, who must change the password at the first sign-in; gives the person's number."""
        return enter_person(self._connection, someone, password_hash, self.request.at)

    # ---- the catalogue -----------------------------------------------------------------------------------------

    def save_studio(self, after: Studio) -> None:
        """Make `after` the studio and its catalogue; whatever this transaction reads from here on goes by it.

        Nothing is taken out of a catalogue: `after` has everything that it had before, retired or not. Whoever waits
        for what the new heats no longer allow must have left its queue and its kiln before.
        """
        save_studio(self._connection, self.read.known(), after)
        self.read.forget()

    # ---- the parts of saving a piece ---------------------------------------------------------------------------

    def _update(self, before: Piece, after: Piece) -> None:
        clay_ids = self.read.known().clay_ids
        was = piece_row(before, clay_ids[before.clay.name])
        # Only what changed is written: an engine that is told of a column looks after its indexes, keys and triggers.
        new = {name: now for name, now in piece_row(after, clay_ids[after.clay.name]).items() if now != was[name]}
        new["version"] = after.version
        if before.stage is not after.stage:
            new["since"] = self.request.at
        done = self._connection.execute(_SAVE_PIECE, {**new, "of_piece": before.id, "as_read": before.version})
        if not done.rowcount:
            words = _("Somebody changed {piece} at the same moment.")
            raise ChangedMeanwhile(
                Message("changed-at-once", words, piece=before.ref),
                Message("look-as-it-is", _("Look at it as it is now.")),
            )

    def _put_on(self, piece: Piece, glaze: str, zone: str) -> None:
        known = self.read.known()
        worn = known.studio.catalogue.glazes[glaze]
        self._connection.execute(
            insert(layers),
            {
                "piece_id": piece.id,
                "piece_ceiling": piece.ceiling.rank,
                "piece_outdoor_only": piece.is_outdoor_only,
                "glaze_id": known.glaze_ids[glaze],
                "glaze_ceiling": worn.cone_high.rank,
                "glaze_outdoor_only": worn.is_outdoor_only,
                "zone": zone,
            },
        )

    def _stand_in_line(self, piece: Piece, line: HistoryLine, since: datetime) -> None:
        route = self.catalogue.route(piece.route or "")
        self._connection.execute(
            _JOIN_QUEUE,
            {
                "piece_id": piece.id,
                "stage": piece.stage,
                "ceiling": piece.ceiling.rank,
                "outdoor_only": piece.is_outdoor_only,
                "route": route.name,
                "heat": route.cone.rank,
                "takes_outdoor": route.takes_outdoor_glaze,
                "since": since,
                "accepted": json.dumps(line.accepted),
            },
        )


def enter_person(connection: Connection, someone: NewPerson, password_hash: str, at: datetime) -> int:
    """Enter a person over `connection`; gives the person's number."""
    done = connection.execute(
        insert(people),
        {
            "name": someone.name,
            "email": someone.email.lower(),
            "role": someone.role,
            "section": someone.section,
            "password_hash": password_hash,
            "must_change_password": True,
            "joined_at": at,
        },
    )
    return _number(done)


def _number(done: CursorResult[Any]) -> int:
    (number,) = done.inserted_primary_key or (0,)
    return int(number)


def _where_it_stands(connection: Connection, request: Request, doing: str) -> tuple[str | None, Receipt | None]:
    """The catalogue's version, and the receipt this request got when it was done before."""
    row = connection.execute(_CATALOGUE_AND_EARLIER, {"same": str(request.key)}).first()
    if row is None:
        return None, None
    if row.receipt is None:
        return row.version, None
    if (row.person_id, row.doing) != (request.by.id, doing):
        raise KeyUsedElsewhere(
            Message("form-used-before", _("This form was already used for something else.")),
            Message("load-anew", _("Load the page anew.")),
        )
    return row.version, receipt_of(row.receipt)


def _enter_studio(connection: Connection, studio: Studio, secret: str) -> None:
    catalogue = studio.catalogue
    facts = {
        "name": studio.name,
        "timezone": studio.timezone,
        "address": studio.address,
        "practice": practice_text(catalogue.practice),
        "secret": secret,
        "catalogue": "1",
        "line": studio.line,
        "labels": labels_text(studio.labels),
    }
    connection.execute(insert(house), [{"name": name, "value": value} for name, value in facts.items()])
    connection.execute(insert(clays), [clay_row(clay) for clay in catalogue.clays.values()])
    connection.execute(insert(glazes), [glaze_row(glaze) for glaze in catalogue.glazes.values()])
    connection.execute(insert(routes), [route_row(route) for route in catalogue.routes.values()])
    connection.execute(
        insert(kilns),
        [kiln_row(kiln) for kiln in catalogue.kilns.values()],
    )
    served = [
        {"kiln": kiln.name, "route": route, "retired": False}
        for kiln in catalogue.kilns.values()
        for route in sorted(kiln.routes)
    ]
    connection.execute(insert(kiln_routes), served)
