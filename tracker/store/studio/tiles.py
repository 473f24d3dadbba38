"""The test tiles of glazes: what pages ask of them, and what one request writes of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy import Connection, Select, delete, func, insert, select

from tracker.domain.cones import Cone
from tracker.domain.pieces.history import Request
from tracker.domain.pieces.photos import Prints
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.materials import Clay
from tracker.domain.studio.swatches import Color
from tracker.domain.studio.tiles import Making, Tile, best_tiles
from tracker.store.connected import Connect
from tracker.store.studio.known import Known
from tracker.store.tables import people, tiles

_TILE = select(tiles, people.c.name.label("by_name")).join(people, people.c.id == tiles.c.by_id)


class TileQueries:
    """The test tiles as pages ask for them: `store.read.tiles`. Each question is one query."""

    def __init__(self, connect: Connect, known: Callable[[], Known]) -> None:
        """Ask over connections that `connect` gives; `known` is the catalog."""
        self._connect = connect
        self._known = known

    def best_for(
        self, clay: Clay | None = None, cone: Cone | None = None, atmosphere: Atmosphere | None = None
    ) -> Mapping[str, Tile]:
        """The tile of each glaze that shows best how it comes out on `clay` at `cone`, by the name of the glaze.

        A glaze without any tile is left out. `Tile.was_made_like` tells whether it is that very clay and cone.
        """
        return best_tiles(self._all(_TILE), clay, cone, atmosphere)

    def of_glaze(self, name: str) -> tuple[Tile, ...]:
        """The tiles of one glaze, from cool to hot, and on each cone by the name of the clay; any that is off last."""
        mine = self._all(_TILE.where(tiles.c.glaze_id == self._known().glaze_ids[name]))
        return tuple(sorted(mine, key=lambda one: (one.is_off, one.cone, one.clay.name, -one.id)))

    def count_of_glaze(self, name: str) -> int:
        """How many tiles one glaze has."""
        mine = select(func.count()).where(tiles.c.glaze_id == self._known().glaze_ids[name])
        with self._connect() as connection:
            return connection.scalar(mine) or 0

    def tile(self, stem: str) -> Tile | None:
        """The tile whose files have this name, or None."""
        return next(iter(self._all(_TILE.where(tiles.c.stem == stem))), None)

    def _all(self, wanted: Select[Any]) -> tuple[Tile, ...]:
        known = self._known()
        with self._connect() as connection:
            return tuple(
                Tile(
                    id=row.id,
                    glaze=known.glazes[row.glaze_id].name,
                    clay=known.clays[row.clay_id],
                    cone=Cone.of_rank(row.cone),
                    atmosphere=Atmosphere(row.atmosphere) if row.atmosphere else None,
                    stem=row.stem,
                    side=row.side,
                    swatch=Color.parse(row.swatch),
                    added_at=row.added_at,
                    by=row.by_name,
                    is_off=not known.glazes[row.glaze_id].matures_at(Cone.of_rank(row.cone)),
                )
                for row in connection.execute(wanted)
            )


class TileBook:
    """The test tiles, from inside one request's transaction: `change.tiles`."""

    def __init__(self, connection: Connection, request: Request, known: Callable[[], Known]) -> None:
        """Write over `connection`, on behalf of `request`."""
        self._connection = connection
        self._request = request
        self._known = known

    def put_in(self, glaze: str, making: Making, stem: str, prints: Prints, swatch: Color) -> None:
        """Enter a tile whose files are laid down already; its prints are square."""
        known = self._known()
        self._connection.execute(
            insert(tiles),
            {
                "glaze_id": known.glaze_ids[glaze],
                "clay_id": known.clay_ids[making.clay],
                "cone": making.cone.rank,
                "atmosphere": making.atmosphere,
                "stem": stem,
                "side": prints.width,
                "sha256": prints.sha256,
                "swatch": str(swatch),
                "added_at": self._request.at,
                "by_id": self._request.by.id,
            },
        )

    def take_out(self, number: int) -> None:
        """Strike a tile out; its files go once this is done."""
        self._connection.execute(delete(tiles).where(tiles.c.id == number))
