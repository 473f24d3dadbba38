"""The shelves that were named and the stocktakes of them, as they are written and read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, delete, insert, select, update

from tracker.store.connected import Asked, Written
from tracker.store.numbers import LARGEST_NUMBER, new_number
from tracker.store.tables import stocktake_scans, stocktakes, ware_shelves


@dataclass(frozen=True, slots=True, kw_only=True)
class Stocktake:
    """One stocktake of a shelf: `ended_at` is None while it goes on."""

    id: int
    place: str
    began_at: datetime
    ended_at: datetime | None


class ShelfBook(Written):
    """What a change writes about shelves."""

    def add(self, name: str) -> None:
        """Put a shelf on record, whether anything is on it or not."""
        facts = {"folded": name.casefold(), "name": name, "by_id": self._request.by.id, "added_at": self._request.at}
        self._connection.execute(insert(ware_shelves), facts)

    def remove(self, name: str) -> None:
        """Take a shelf off the record."""
        self._connection.execute(delete(ware_shelves).where(ware_shelves.c.folded == name.casefold()))

    def begin_stocktake(self, place: str) -> int:
        """Begin to count a shelf; gives the stocktake's number."""
        facts = {"place": place, "began_at": self._request.at, "by_id": self._request.by.id}
        return new_number(self._connection.execute(insert(stocktakes), facts))

    def end_stocktake(self, number: int, *, is_over: bool) -> None:
        """Note that all of a shelf was scanned, or that there is more to scan after all."""
        ended_at = self._request.at if is_over else None
        self._connection.execute(update(stocktakes).where(stocktakes.c.id == number).values(ended_at=ended_at))

    def note_scan(self, number: int, piece_id: int) -> None:
        """Note that a piece was seen in a stocktake."""
        facts = {"stocktake_id": number, "piece_id": piece_id, "by_id": self._request.by.id, "at": self._request.at}
        self._connection.execute(insert(stocktake_scans), facts)


class StocktakeQueries(Asked):
    """What is asked of stocktakes and named shelves: `store.read.stocktakes`."""

    def shelves(self) -> tuple[str, ...]:
        """The shelves that were put on record, whether anything is on them or not."""
        with self._connect() as connection:
            return tuple(connection.scalars(select(ware_shelves.c.name).order_by(ware_shelves.c.folded)))

    def stocktake(self, number: int, *, hold: bool = False) -> Stocktake | None:
        """The stocktake with this number, or None; `hold` keeps others from it until the change ends."""
        if number > LARGEST_NUMBER:
            return None
        wanted = select(stocktakes).where(stocktakes.c.id == number)
        return self._one(wanted.with_for_update() if hold else wanted)

    def last_of(self, place: str) -> Stocktake | None:
        """The last stocktake of a shelf; None where it was never counted."""
        of_shelf = select(stocktakes).where(stocktakes.c.place == place)
        return self._one(of_shelf.order_by(stocktakes.c.id.desc()).limit(1))

    def scanned(self, number: int) -> dict[int, datetime]:
        """When each piece was scanned in a stocktake, by its number."""
        wanted = select(stocktake_scans).where(stocktake_scans.c.stocktake_id == number)
        with self._connect() as connection:
            return {row.piece_id: row.at for row in connection.execute(wanted)}

    def _one(self, wanted: Select[Any]) -> Stocktake | None:
        with self._connect() as connection:
            row = connection.execute(wanted).first()
        if row is None:
            return None
        return Stocktake(id=row.id, place=row.place, began_at=row.began_at, ended_at=row.ended_at)
