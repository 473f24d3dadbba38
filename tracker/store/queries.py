"""The reading side: the studio with its catalog, and one object for each subject that is asked about.

Each answer is one query or two, as frozen values.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from functools import cached_property

from sqlalchemy import select

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unknown
from tracker.domain.studio.catalog import Catalog, Studio
from tracker.store.connected import Connect
from tracker.store.firing.forecast_queries import ForecastQueries
from tracker.store.firing.queries import FiringQueries
from tracker.store.labels.print_records import PaperQueries
from tracker.store.outdoor.queries import OutdoorQueries
from tracker.store.pieces.find_queries import FindQueries
from tracker.store.pieces.photo_album import Album
from tracker.store.pieces.queries import PieceQueries
from tracker.store.pieces.shelf_book import StocktakeQueries
from tracker.store.pieces.shelf_queries import ShelfQueries
from tracker.store.pieces.term_queries import TermPieceQueries
from tracker.store.prepared import Prepared
from tracker.store.rules.queries import QuestionQueries
from tracker.store.studio.cone_answers import ConeAnswers
from tracker.store.studio.joining import JoinQueries
from tracker.store.studio.known import Known
from tracker.store.studio.queries import PeopleQueries, read_known
from tracker.store.studio.terms import TermQueries
from tracker.store.studio.tiles import TileQueries
from tracker.store.tables import house

_CATALOG_VERSION = Prepared(select(house.c.value).where(house.c.name == "catalog"))


class Queries:
    """Everything that can be asked: `store.read`, and `change.read` within a change.

    The studio and its catalog are asked here, all else by its subject: `pieces`, `finding` (by name), `shelves`,
    `term_pieces`, `questions`, `firings`, `outdoors`, `people`, `terms`, `joining`, `cone_answers`, `album` (photos),
    `tiles` (of glazes) and `papers` (printings).
    """

    def __init__(self, connect: Connect, cache: dict[str, Known], *, version: str | None = None) -> None:
        """Keep how to connect; `cache` is shared by all queries of one store and holds the newest catalog.

        Within a change the catalog's `version` is given: it stays the same until the end of the transaction.
        """
        self._connect = connect
        self._cache = cache
        self._version = version

    # Each is made when it is first asked: a scan asks two of them, within a change of its own.
    questions = cached_property(lambda self: QuestionQueries(self._connect, self.known))
    pieces = cached_property(lambda self: PieceQueries(self._connect, self.known, self.questions))
    finding = cached_property(lambda self: FindQueries(self._connect, self.known, self.pieces))
    shelves = cached_property(lambda self: ShelfQueries(self._connect, self.pieces))
    term_pieces = cached_property(lambda self: TermPieceQueries(self._connect, self.pieces))
    stocktakes = cached_property(lambda self: StocktakeQueries(self._connect))
    firings = cached_property(lambda self: FiringQueries(self._connect, self.catalog, self.pieces))
    forecasts = cached_property(lambda self: ForecastQueries(self._connect))
    outdoors = cached_property(lambda self: OutdoorQueries(self._connect, self.catalog, self.firings))
    people = cached_property(lambda self: PeopleQueries(self._connect))
    terms = cached_property(lambda self: TermQueries(self._connect))
    joining = cached_property(lambda self: JoinQueries(self._connect))
    cone_answers = cached_property(lambda self: ConeAnswers(self._connect))
    album = cached_property(lambda self: Album(self._connect))
    papers = cached_property(lambda self: PaperQueries(self._connect))
    tiles = cached_property(lambda self: TileQueries(self._connect, self.known))

    def known(self) -> Known:
        """The studio and its catalog with their numbers; read anew only when somebody changed it."""
        if self._version is not None and (known := self._cache.get(self._version)):
            return known
        with self._connect() as connection:
            row = _CATALOG_VERSION.first(connection, {})
            if row is None:
                raise Unknown(
                    Message("no-studio-here", _("No studio has been set up in this database.")),
                    Message("init-a-studio", _("Run footring init --studio FILE.toml first.")),
                )
            version = row.value
            known = self._cache.get(version)
            if known is None:
                known = read_known(connection, version)
                # Another thread may do the same at this moment, so the answer is never looked up again.
                self._cache.clear()
                self._cache[version] = known
            return known

    @contextmanager
    def together(self) -> Iterator[Queries]:
        """The same over one connection, where several questions are answered as of one moment."""
        with self._connect() as connection:
            # Nothing else begins one: a prepared statement goes past SQLAlchemy, straight to the driver.
            if not connection.in_transaction():
                connection.begin()
            version = self._version
            if version is None and (row := _CATALOG_VERSION.first(connection, {})):
                version = row.value
            yield Queries(lambda: nullcontext(connection), self._cache, version=version)

    def by_catalog(self, version: str) -> Queries:
        """The same by that version of the catalog, as a change that was just made knew it."""
        return Queries(self._connect, self._cache, version=version)

    def forget(self) -> None:
        """Within a change of the catalog: read it anew, for this transaction alone as long as it may still fail."""
        self._cache, self._version = {}, None

    def version(self) -> str:
        """The version of the catalog, which every change of it gives a new value."""
        return self.known().version

    def studio(self) -> Studio:
        """The studio with its catalog."""
        return self.known().studio

    def studio_as_last_read(self) -> Studio:
        """The studio as this process last read it; the database is asked only where nothing was read yet."""
        known = next(iter(self._cache.values()), None)
        return self.studio() if known is None else known.studio

    def catalog(self) -> Catalog:
        """The clays, glazes, routes and kilns by name, and the studio's own practice."""
        return self.studio().catalog

    def secret(self) -> str:
        """The key with which this studio's cookies are signed."""
        with self._connect() as connection:
            return str(connection.scalar(select(house.c.value).where(house.c.name == "secret")))
