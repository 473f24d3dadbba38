"""The writing side: one request is one transaction, with a line of history for each step, or nothing at all."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import replace
from datetime import date, datetime
from functools import cached_property
from hashlib import sha256
from operator import attrgetter
from pathlib import Path
from sqlite3 import Error as DriverError
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, bindparam, delete, func, insert, select, update
from sqlalchemy.exc import DBAPIError, IntegrityError, OperationalError

from tracker.domain.message import Message, _, together
from tracker.domain.pieces.codes import LENGTHS, draw_code
from tracker.domain.pieces.history import HistoryLine, Receipt, Request, Taken
from tracker.domain.pieces.news import news_of, ready_news
from tracker.domain.pieces.piece import Piece, Stage
from tracker.domain.refusals import ChangedMeanwhile, KeyUsedElsewhere, Trouble, Unavailable
from tracker.domain.rules.food_standing import Fired, FoodWord, food_of, last_fire
from tracker.domain.studio.catalog import Catalog, Studio
from tracker.domain.studio.materials import Layer
from tracker.domain.studio.people import NewPerson
from tracker.store.engine import open_for_studio
from tracker.store.firing.writer import KilnBook
from tracker.store.kept_readers import KeptReaders
from tracker.store.labels.print_records import PaperBook
from tracker.store.mappers import (
    line_facts_text,
    piece_row,
    receipt_of,
    receipt_text,
    verdict_text,
)
from tracker.store.numbers import new_number
from tracker.store.outdoor.writer import OutdoorBook
from tracker.store.owner_only import take_from_others
from tracker.store.pieces.photo_album import AlbumPen
from tracker.store.pieces.photo_shelf import shelf_for
from tracker.store.pieces.refused_scans import RefusedScans
from tracker.store.pieces.shelf_book import ShelfBook
from tracker.store.pieces.wish_book import WishBook
from tracker.store.prepared import Prepared
from tracker.store.queries import Queries
from tracker.store.rules.writer import QuestionBook
from tracker.store.studio.accounts import Accounts
from tracker.store.studio.badge_book import BadgeBook
from tracker.store.studio.catalog_writer import enter_studio, save_studio
from tracker.store.studio.cone_answers import ConeBook
from tracker.store.studio.joining import JoinBook, Joining
from tracker.store.studio.known import Known
from tracker.store.studio.outbox import Outbox, OutboxPen
from tracker.store.studio.people_book import PeopleBook, enter_person
from tracker.store.studio.terms import TermBook
from tracker.store.studio.tiles import TileBook
from tracker.store.tables import (
    history,
    house,
    layers,
    merged,
    pieces,
    requests,
    waiting,
)
from tracker.store.turns import Turns

_FOR_FOOD = attrgetter("use", "flaws", "clay", "layers")
"""What people change of a fired piece by which more or less is said of it and food."""
_DRAWS_BEFORE_A_LONGER_CODE = 64
_DEADLOCK = "40P01"
_CATALOG_LOCK = -1
"""No request's lock is negative."""
_SAVE_PIECE = Prepared(
    update(pieces).where(pieces.c.id == bindparam("of_piece"), pieces.c.version == bindparam("as_read"))
)
_LEAVE_QUEUE = Prepared(delete(waiting).where(waiting.c.piece_id == bindparam("of_piece")))
_JOIN_QUEUE = Prepared(insert(waiting))
_WRITE_LINE = Prepared(insert(history).returning(history.c.id))
_KEEP_RECEIPT = Prepared(insert(requests))
# One question instead of two, because every request asks both before it does anything else.
_CATALOG_AND_EARLIER = Prepared(
    select(house.c.value.label("version"), requests.c.person_id, requests.c.doing, requests.c.receipt)
    .outerjoin(requests, requests.c.key == bindparam("same"))
    .where(house.c.name == "catalog")
)


class Store:
    """A studio's database: `read` asks it, `once` changes it, and `accounts` knows who is signed in."""

    def __init__(
        self,
        database: str,
        draw: Callable[[int], int],
        *,
        durable: bool = True,
        photos: str = "",
        threads: int = 8,
        sends_mail: bool = False,
    ) -> None:
        """Open `database` (a URL or a file's path); `draw(n)` gives a number from 0 to n-1 for the next code.

        Only a database that can be made again from nothing is opened without `durable`. `photos` is the folder in
        which photos lie where the database is no file; `shelf` is None where nobody said so. `threads` is how many
        requests are answered at once; writers who are stuck never hold all of them. Without `sends_mail` nothing is
        written to the outbox.
        """
        self.shelf = shelf_for(database, photos, durable=durable)
        self._engine, self._writer = open_for_studio(database, durable=durable)
        file = Path(str(self._engine.url.database)) if self._engine.dialect.name == "sqlite" else None
        take_from_others(file, self.shelf.folder if self.shelf else None)
        self._draw = draw
        self._cache: dict[str, Known] = {}
        self._readers = KeptReaders(self._engine)
        # A server's connections are few, and one that it closed must be noticed before it is asked.
        self._asking = self._engine.connect if file is None else self._readers.connect
        self.read = Queries(self._asking, self._cache)
        self.accounts = Accounts(self._asking, self.writing)
        self.refused_scans = RefusedScans(self._asking, self.writing)
        self.badges = BadgeBook(self._asking, self.writing)
        self.outbox = Outbox(self._asking, self.writing, is_on=sends_mail)
        self.joining = Joining(self.writing, is_mailed=lambda: self.outbox.is_on)
        self._kept: tuple[Connection, tuple[int, int]] | None = None
        # SQLite has one writer at a time; waiting here in turn is fairer and far quicker than its own retries.
        half = max(1, threads // 2)
        self._turns = Turns(1, half - 1) if self._engine.dialect.name == "sqlite" else Turns(half, half // 2)

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
        What changes the catalog works `alone`: everybody else's work is decided on the one before it or after it.
        """
        whole = _whole(doing, about)
        try:
            return self._once(request, whole, work, alone=alone)
        except DBAPIError as breach:
            # Two that drew the same code, or that stand in each other's way, which only PostgreSQL lets come this
            # far: the second try draws again, or finds the way free. A real breach fails once more, and rises.
            if not isinstance(breach, IntegrityError) and getattr(breach.orig, "sqlstate", None) != _DEADLOCK:
                raise
            return self._once(request, whole, work, alone=alone)

    def receipt_of(self, request: Request, doing: str, about: object = ()) -> Receipt | None:
        """The receipt that `once` would give again for a request that was done before; None for one that wasn't."""
        with self._asking() as connection:
            return _where_it_stands(connection, request, _whole(doing, about))[1]

    def _once(self, request: Request, doing: str, work: Callable[[Change], Receipt], *, alone: bool) -> Receipt:
        with self.writing() as connection:
            if connection.dialect.name != "sqlite":
                # The same request twice at once: the second waits here for the receipt of the first.
                same = func.pg_advisory_xact_lock(request.key.int >> 65)
                catalog = func.pg_advisory_xact_lock if alone else func.pg_advisory_xact_lock_shared
                connection.execute(select(same, catalog(_CATALOG_LOCK)))
            catalog_version, earlier = _where_it_stands(connection, request, doing)
            if earlier is not None:
                return earlier
            outbox = OutboxPen(connection, request.at, is_on=self.outbox.is_on)
            change = Change(connection, self._cache, request, self._draw, catalog_version, outbox)
            receipt = work(change)
            _KEEP_RECEIPT.run(
                connection,
                {
                    "key": str(request.key),
                    "person_id": request.by.id,
                    "doing": doing,
                    "at": request.at,
                    "receipt": receipt_text(receipt),
                },
            )
            return replace(receipt, taken=change.taken.get(receipt.line or 0))

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction that writes, in turn; `Unavailable` where the turn doesn't come in time."""
        with self._turns.turn():
            try:
                with self._over_which_to_write() as connection, connection.begin():
                    yield connection
            except (OperationalError, DriverError):
                self._let_go()
                raise

    def _over_which_to_write(self) -> AbstractContextManager[Connection]:
        """On SQLite the one connection there is for it, which stays open; elsewhere any of the pool."""
        if self._engine.dialect.name != "sqlite":
            return self._writer.connect()
        file = _file_at(str(self._writer.url.database))
        if self._kept is not None and self._kept[1] != file:
            # What is written now would go into a file that nobody finds anymore.
            self._let_go()
            self._readers.let_go()
            self._engine.dispose()
        if file is None:
            raise Unavailable(Trouble.GONE)
        if self._kept is None:
            self._kept = self._writer.connect(), file
        return nullcontext(self._kept[0])

    def _let_go(self) -> None:
        """Close the one connection that writes; the next writer opens another."""
        if self._kept is not None:
            kept, self._kept = self._kept[0], None
            kept.invalidate()
            kept.close()

    def set_up(self, studio: Studio, secret: str) -> None:
        """Enter a studio and its catalog into an empty, migrated database."""
        with self.writing() as connection:
            enter_studio(connection, studio, secret)

    def set_up_with(
        self, studio: Studio, secret: str, instructor: NewPerson, password_hash: str, at: datetime, *, must_change: bool
    ) -> int:
        """Enter a studio, its catalog and its first instructor, or nothing; gives the instructor's number."""
        with self.writing() as connection:
            enter_studio(connection, studio, secret)
            return enter_person(connection, instructor, password_hash, at, must_change=must_change)

    def close(self) -> None:
        """Let go of every connection."""
        with self._turns.turn():
            self._let_go()
        self._readers.let_go()
        self._writer.dispose()
        self._engine.dispose()


def _file_at(path: str) -> tuple[int, int] | None:
    """Which file lies at `path`, as its disk numbers it; None where there is none."""
    try:
        there = os.stat(path)  # noqa: PTH116 -- every change asks, and a Path takes three times as long
    except OSError:
        return None
    return there.st_dev, there.st_ino


class Change:
    """One request's transaction, from inside. What it reads it also holds until the end."""

    def __init__(
        self,
        connection: Connection,
        cache: dict[str, Known],
        request: Request,
        draw: Callable[[int], int],
        catalog_version: str | None,
        outbox: OutboxPen,
    ) -> None:
        """Work over `connection`, on behalf of `request`; None for a version means that no studio is set up yet."""
        self._connection = connection
        self._draw = draw
        self.request = request
        here = nullcontext(connection)
        self.read = Queries(lambda: here, cache, version=catalog_version)
        self.outbox = outbox
        self.taken: dict[int, Taken] = {}

    # Each is made when something is first written in it; most steps of a piece write in none of them.
    book = cached_property(lambda self: KilnBook(self._connection, self.request))
    outdoors = cached_property(lambda self: OutdoorBook(self._connection, self.request))
    questions = cached_property(lambda self: QuestionBook(self._connection, self.request, self.read.known))
    album = cached_property(lambda self: AlbumPen(self._connection, self.request))
    papers = cached_property(lambda self: PaperBook(self._connection, self.request))
    cones = cached_property(lambda self: ConeBook(self._connection, self.request))
    tiles = cached_property(lambda self: TileBook(self._connection, self.request, self.read.known))
    wishes = cached_property(lambda self: WishBook(self._connection, self.request))
    shelves = cached_property(lambda self: ShelfBook(self._connection, self.request))
    terms = cached_property(lambda self: TermBook(self._connection))
    joining = cached_property(lambda self: JoinBook(self._connection, self.request))
    people = cached_property(lambda self: PeopleBook(self._connection, self.request, self.outbox))

    @property
    def catalog(self) -> Catalog:
        """The studio's catalog as it is within this transaction."""
        return self.read.catalog()

    def register(self, new: Piece, line: HistoryLine) -> Piece:
        """Save a new piece with its first line of history; gives it back with the number it is known by for life."""
        row = piece_row(new, self.read.known().clay_ids[new.clay.name])
        done = self._connection.execute(
            insert(pieces),
            {"registered_at": self.request.at, "since": self.request.at, **row},
        )
        piece = replace(new, id=new_number(done))
        self.write(piece, line, None)
        return piece

    def save(self, before: Piece, after: Piece, line: HistoryLine, *, waits_since: datetime | None = None) -> int:
        """Save what a step made of a piece, with its line of history; gives the line's number.

        `waits_since` gives a piece that comes back to its queue the place it had there.
        Refuses with `ChangedMeanwhile` when the piece is no longer as `before` was read.
        """
        if before.planned_in is not None and before.stage is not after.stage:
            self.book.leave_plan([before.id])
        if after.stage is Stage.FIRED and before.stage is Stage.QUEUED:
            self.wishes.end(before.id)
        if before.route and before.route != after.route:
            _LEAVE_QUEUE.run(self._connection, {"of_piece": before.id})
        kept = len(before.layers) if after.layers[: len(before.layers)] == before.layers else 0
        if before.layers and not kept:
            self._connection.execute(delete(layers).where(layers.c.piece_id == before.id))
        self._update(before, after)
        for layer in after.layers[kept:]:
            self._put_on(after, layer)
        if after.route and after.route != before.route:
            self.stand_in_line(after, waits_since or self.request.at, line.accepted)
        may_say_more = (after.stage is Stage.FIRED and _FOR_FOOD(before) != _FOR_FOOD(after)) or (
            after.stage is Stage.CLAIMED and before.flaws != after.flaws
        )
        if self.outbox.is_on and (may_say_more or (after.stage, after.maker_id) != (before.stage, before.maker_id)):
            self._tell_maker(before, after, line)
        return self.write(after, line, before.stage)

    def stands_since(self, piece_id: int, since: datetime) -> None:
        """Note since when a piece is at its stage, where that isn't since this moment: a step was undone."""
        self._connection.execute(update(pieces).where(pieces.c.id == piece_id).values(since=since))

    def _tell_maker(self, before: Piece, after: Piece, line: HistoryLine) -> None:
        """Mail a piece's maker what became of it, in place of what was to be told before, unless they did it."""
        was_untold = self.outbox.went_on(after.id)
        news = news_of(before, after, line)
        if news is None and was_untold and after.stage is before.stage is Stage.FIRED:
            # What is said of it and food has changed before anything was said.
            news = ready_news(after)
        if news is None or after.maker_id == self.request.by.id:
            return
        if after.stage is Stage.FIRED:
            fires: tuple[Fired, ...] = (line, *reversed(self.read.pieces.page(after.id).history))
            told = food_of(after, self.catalog, last_fire(fires))
            news = news if told.word is FoodWord.NOTHING_AGAINST else together((news, told.message))
        self.outbox.tell(after.maker_id, news, self.zone, after.id)

    @property
    def today(self) -> date:
        """The day of this request in the studio's zone."""
        return self.request.at.astimezone(self.zone).date()

    @property
    def zone(self) -> ZoneInfo:
        """The studio's zone."""
        return ZoneInfo(self.read.studio().timezone)

    def write(self, piece: Piece, line: HistoryLine, start: Stage | None) -> int:
        """Write one line of history of a piece as it is now, which was at `start` before; gives the line's number."""
        written = _WRITE_LINE.first(
            self._connection,
            {
                "piece_id": piece.id,
                "at": self.request.at,
                "by_id": self.request.by.id,
                "request_key": str(self.request.key),
                "step": line.step,
                "start": start,
                "to": piece.stage,
                "route": line.route,
                "kiln": line.kiln,
                "firing_id": line.firing_id,
                "place": line.place,
                "verdict": verdict_text(line.verdict),
                "accepted": json.dumps(line.accepted) if line.accepted else None,
                "outcome": None,
                "reason": line.reason,
                "facts": line_facts_text(line.facts, line.outcome),
                "undoes": line.undoes,
            },
        )
        number = int(written.id)
        self.taken[number] = Taken(piece, line, self.read.version())
        return number

    def lead_to(self, piece_id: int, into_id: int) -> None:
        """Make the ticket and code of one piece lead to another, and with them what led to it before."""
        self._connection.execute(update(merged).where(merged.c.into_id == piece_id).values(into_id=into_id))
        self._connection.execute(insert(merged), {"piece_id": piece_id, "into_id": into_id})

    def lead_no_more(self, piece_id: int) -> None:
        """Make a piece one of its own again."""
        self._connection.execute(delete(merged).where(merged.c.piece_id == piece_id))

    def new_code(self) -> str:
        """A code that no piece has had; once five symbols have nearly run out, one of six."""
        for length in LENGTHS:
            for _draw in range(_DRAWS_BEFORE_A_LONGER_CODE):
                code = draw_code(self._draw, length)
                if self._connection.scalar(select(pieces.c.id).where(pieces.c.code == code)) is None:
                    return code
        message = "no free code was drawn"
        raise RuntimeError(message)

    # ---- the catalog -----------------------------------------------------------------------------------------

    def save_studio(self, after: Studio) -> None:
        """Make `after` the studio and its catalog; whatever this transaction reads from here on goes by it.

        Nothing is taken out of a catalog: `after` has everything that it had before, retired or not. Whoever waits
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
        done = _SAVE_PIECE.run(self._connection, {**new, "of_piece": before.id, "as_read": before.version})
        if not done:
            words = _("Someone changed {piece} at the same moment.")
            raise ChangedMeanwhile(
                Message("changed-at-once", words, piece=before.ref),
                Message("look-as-it-is", _("Check it again before you continue.")),
            )

    def _put_on(self, piece: Piece, layer: Layer) -> None:
        known = self.read.known()
        worn = known.studio.catalog.glazes[layer.glaze.name]
        self._connection.execute(
            insert(layers),
            {
                "piece_id": piece.id,
                "piece_ceiling": piece.ceiling.rank,
                "piece_outdoor_only": piece.is_outdoor_only,
                "glaze_id": known.glaze_ids[worn.name],
                "glaze_ceiling": worn.ceiling.rank,
                "glaze_outdoor_only": worn.is_outdoor_only,
                "zone": layer.zone,
                "fired_to": None if layer.fired_to is None else layer.fired_to.rank,
            },
        )

    def stand_in_line(self, piece: Piece, since: datetime, accepted: Sequence[str]) -> None:
        """Let a piece wait for its firing type since that moment, with these warnings accepted."""
        route = self.catalog.route(piece.route or "")
        _JOIN_QUEUE.run(
            self._connection,
            {
                "piece_id": piece.id,
                "stage": piece.stage,
                "ceiling": piece.ceiling.rank,
                "outdoor_only": piece.is_outdoor_only,
                "route": route.name,
                "heat": route.cone.rank,
                "takes_outdoor": route.takes_outdoor_glaze,
                "since": since,
                "accepted": json.dumps(accepted),
            },
        )


def _whole(doing: str, about: object) -> str:
    """What is done and about what, as it is kept with a request."""
    return f"{doing} {sha256(repr(about).encode()).hexdigest()[:16]}" if about else doing


def _where_it_stands(connection: Connection, request: Request, doing: str) -> tuple[str | None, Receipt | None]:
    """The catalog's version, and the receipt this request got when it was done before."""
    row = _CATALOG_AND_EARLIER.first(connection, {"same": str(request.key)})
    if row is None:
        return None, None
    if row.receipt is None:
        return row.version, None
    if (row.person_id, row.doing) != (request.by.id, doing):
        raise KeyUsedElsewhere(
            Message("form-used-before", _("This form was already used for something else.")),
            Message("load-anew", _("Reload the page and try again.")),
        )
    return row.version, receipt_of(row.receipt)
