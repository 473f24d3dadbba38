"""Printing the tags of pieces, and keeping count of what was printed before."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from printing.labels.stock import Stock, TooSmall
from printing.labels.tags import Tag, laid_out, tags_pdf
from tracker.domain.findings import Level
from tracker.domain.labels.print_jobs import PrintOrder
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.piece import Build, Use
from tracker.domain.refusals import Unusable
from tracker.domain.rules.engine import judge_in
from tracker.usecases.labels.print_jobs import TAGS, put_on_record
from tracker.usecases.pieces.lookup import find_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from tracker.domain.pieces.history import Request
    from tracker.domain.studio.catalog import Catalogue
    from tracker.domain.studio.people import Person
    from tracker.store.pieces.queries import PieceRow
    from tracker.store.queries import Queries
    from tracker.store.unit_of_work import Store


@dataclass(frozen=True, slots=True)
class Printed:
    """A PDF of tags, which pieces had one printed before, and the number of the printing."""

    pdf: bytes
    reprints: tuple[str, ...]
    job: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """How tags are printed: the stock, the first free label (from 1), the nudge in mm, the printer's dots an inch.

    `address` is where the QR codes lead; empty takes the studio's own.
    """

    stock: Stock
    start_at: int = 1
    nudge_mm: tuple[float, float] = (0.0, 0.0)
    dpi: int | None = None
    address: str = ""


def print_tags(
    store: Store,
    request: Request,
    refs: Sequence[str],
    sheet: Sheet,
    *,
    progress: Callable[[int], object] | None = None,
) -> Printed:
    """Print the tags of these pieces, in this order; a tag printed before is marked as a reprint.

    The same request sent twice gives the same tags and counts once.
    """
    tags = tags_of(store.read, refs, request.by, address=sheet.address)
    must_fit(tags, sheet.stock, sheet.dpi)
    order = PrintOrder(
        kind=TAGS,
        things=tuple(tag.name for tag in tags),
        stock=sheet.stock.name,
        start_at=sheet.start_at,
        nudge=sheet.nudge_mm,
        dpi=sheet.dpi,
        labels=len(tags),
    )
    job = put_on_record(store, request, order)
    tags = [replace(tag, reprint=tag.name in job.reprints) for tag in tags]
    pdf = tags_pdf(
        tags, sheet.stock, start_at=sheet.start_at, nudge_mm=sheet.nudge_mm, dpi=sheet.dpi, progress=progress
    )
    return Printed(pdf, tuple(tag.name for tag in tags if tag.reprint), job.id)


def tags_of(
    reader: Queries, refs: Sequence[str], by: Person, *, address: str = "", reprints: Collection[str] = ()
) -> list[Tag]:
    """The tags of these pieces, which `by` may see, in this order; `reprints` are marked as such."""
    studio = reader.studio()
    rows = find_rows(reader, refs, by)
    return [tag_of(row, studio.catalogue, address or studio.address, is_reprint=row.ref in reprints) for row in rows]


def must_fit(tags: Sequence[Tag], stock: Stock, dpi: int | None) -> None:
    """Refuse with `Unusable` no tags, or a stock too small for one of them, before anything is on record."""
    if not tags:
        raise Unusable(["No piece is chosen."], "Choose the pieces whose tags you want.")
    try:
        deque(laid_out(tags, stock, dpi), maxlen=0)
    except TooSmall as too_small:
        raise Unusable([str(too_small)], "Choose a larger label.") from None


def tag_of(row: PieceRow, catalogue: Catalogue, address: str, *, is_reprint: bool) -> Tag:
    """What the tag of a piece says; its route is the queue it waits in."""
    piece = row.piece
    route = catalogue.routes.get(piece.route or "")
    place = "p" if piece.code else "slip"
    return Tag(
        code=piece.code,
        slip=slip_text(piece.id),
        maker=row.maker,
        what=piece.what,
        clay=piece.clay.name,
        use=str(piece.use),
        route=f"{route.title}, {route.cone.label}" if route else None,
        warnings=_warnings(row, catalogue),
        address=f"{address.rstrip('/')}/{place}/{piece.code or piece.id}",
        reprint=is_reprint,
    )


def _warnings(row: PieceRow, catalogue: Catalogue) -> tuple[str, ...]:
    """What the tag warns of in few words: not for food, and what may break on the outdoor routes open to the piece."""
    piece = row.piece
    if piece.use is Use.FOOD:
        return ()
    routes = [catalogue.routes[piece.route]] if piece.route else catalogue.routes.values()
    outdoors = [route for route in routes if route.is_outdoors]
    found = {one.rule for route in outdoors for one in judge_in(catalogue, piece, route).of(Level.WARN)}
    said = ["decorative, not for food"]
    if "porcelain-outdoors" in found:
        how = "slab-built" if piece.build is Build.SLAB else f"over {catalogue.practice.large_porcelain_mm} mm"
        said.append(f"porcelain, {how}: may crack in raku")
    if "fragile-outdoors" in found:
        said.append("thin parts: lift from below")
    return tuple(said)
