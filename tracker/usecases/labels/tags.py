"""What the tag of each piece says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printing.labels.tags import Tag
from tracker.domain.findings import Level
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.piece import Build, Use
from tracker.domain.rules.engine import judge_in
from tracker.usecases.pieces.lookup import find_rows

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from tracker.domain.studio.catalog import Catalogue
    from tracker.domain.studio.people import Person
    from tracker.store.pieces.queries import PieceRow
    from tracker.store.queries import Queries


def tags_of(
    reader: Queries, refs: Sequence[str], by: Person, *, address: str = "", reprints: Collection[str] = ()
) -> list[Tag]:
    """The tags of these pieces, which `by` may see, in this order; `reprints` are marked as such."""
    studio = reader.studio()
    rows = find_rows(reader, refs, by)
    return [tag_of(row, studio.catalogue, address or studio.address, is_reprint=row.ref in reprints) for row in rows]


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
