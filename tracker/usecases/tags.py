"""Printing the tags of pieces, and keeping count of what was printed before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from printing.stock import Stock, TooSmall
from printing.tags import Tag, tags_pdf
from tracker.domain.codes import slip_text
from tracker.domain.findings import Level
from tracker.domain.history import Receipt
from tracker.domain.people import Right
from tracker.domain.pieces import Build, Use
from tracker.domain.refusals import Unusable
from tracker.usecases.finding import find_row

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tracker.domain.catalogue import Catalogue
    from tracker.domain.history import Request
    from tracker.store.reading import PieceRow
    from tracker.store.saving import Change, Store


@dataclass(frozen=True, slots=True)
class Printed:
    """A PDF of tags, and which pieces had one printed before."""

    pdf: bytes
    reprints: tuple[str, ...]


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
    rows: list[PieceRow] = []

    def work(change: Change) -> Receipt:
        rows.extend(_chosen(change, refs))
        again = change.note_prints([row.piece.id for row in rows])
        return Receipt(
            says=f"{len(rows)} tags printed.",
            refs=tuple(row.ref for row in rows if row.piece.id in again),
        )

    receipt = store.once(request, "print tags", work, about=tuple(refs))
    rows = rows[-len(refs) :] or [find_row(store.read, ref, request.by) for ref in refs]
    studio = store.read.studio()
    address = sheet.address or studio.address
    tags = [tag_of(row, studio.catalogue, address, is_reprint=row.ref in receipt.refs) for row in rows]
    try:
        pdf = tags_pdf(
            tags,
            sheet.stock,
            start_at=sheet.start_at,
            nudge_mm=sheet.nudge_mm,
            dpi=sheet.dpi,
            progress=progress,
        )
    except TooSmall as too_small:
        raise Unusable([str(too_small)], "Choose a larger label.") from None
    return Printed(pdf, receipt.refs)


def _chosen(change: Change, refs: Sequence[str]) -> list[PieceRow]:
    by = change.request.by
    by.must_be_allowed(Right.SEE_OWN)
    if not refs:
        raise Unusable(["No piece is chosen."], "Choose the pieces whose tags you want.")
    return [find_row(change.read, ref, by) for ref in refs]


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
    found = {one.rule for route in outdoors for one in catalogue.judge(piece, route).of(Level.WARN)}
    said = ["decorative, not for food"]
    if "porcelain-outdoors" in found:
        how = "slab-built" if piece.build is Build.SLAB else f"over {catalogue.practice.large_porcelain_mm} mm"
        said.append(f"porcelain, {how}: may crack in raku")
    if "fragile-outdoors" in found:
        said.append("thin parts: lift from below")
    return tuple(said)
