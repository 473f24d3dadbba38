"""What the tag of each piece says."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from printing.labels.tags import Manner, Tag, Words
from tracker.domain.cones import Cone
from tracker.domain.findings import Level
from tracker.domain.message import Message, Plural, _
from tracker.domain.outdoor.pull_heats import heat_of
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.piece import Build, Piece
from tracker.domain.quantities import mm
from tracker.domain.rules.engine import judge_in
from tracker.domain.rules.food_standing import FoodWord, food_of
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route
from tracker.domain.studio.people import Person
from tracker.domain.studio.settings import OutdoorPractice
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.usecases.labels.home_papers import NAMELESS
from tracker.usecases.pieces.lookup import find_rows
from tracker.wording.reader import Reader
from tracker.wording.render import say

_MOST_WARNINGS = 4
"""No tag has as many; of so many it can be said that they have no room."""

_NOT_FOR_FOOD = Message("tag-not-for-food", _("not for food"))
_DECORATIVE = Message("tag-decorative", _("decorative, {never}"), never=_NOT_FOR_FOOD)
_SLABS = Message("tag-porcelain-slabs", _("porcelain, slab-built: may crack in raku"))


def tags_of(
    read: Queries,
    refs: Sequence[str],
    by: Person,
    reader: Reader,
    *,
    address: str = "",
    reprints: Collection[str] = (),
) -> list[Tag]:
    """The tags of these pieces, which `by` may see, in this order; `reprints` are marked as such."""
    studio = read.studio()
    rows = find_rows(read, refs, by)
    once = read.papers.once_fired([row.piece.id for row in rows if row.piece.is_glaze_fired])
    return [
        replace(
            tag_of(row, studio.catalog, address or studio.address, reader, is_reprint=row.ref in reprints),
            once=say(_fired_once(row.piece), reader) if row.piece.id in once else "",
        )
        for row in rows
    ]


def tag_of(row: PieceRow, catalog: Catalog, address: str, reader: Reader, *, is_reprint: bool) -> Tag:
    """What the tag of a piece says; its route is the queue it waits in."""
    piece = row.piece
    route = catalog.routes.get(piece.route or "")
    place = "p" if piece.code else "slip"
    is_for_food = piece.holds_food and food_of(piece, catalog).word is not FoodWord.NOT_FOR_FOOD
    return Tag(
        code=piece.code,
        slip=slip_text(piece.id),
        maker=row.maker,
        what=piece.what,
        clay=piece.clay.name,
        use=say(Message("tag-functional", _("functional")), reader) if is_for_food else "",
        never="" if is_for_food else say(_NOT_FOR_FOOD if piece.holds_food else _DECORATIVE, reader),
        route=say(_waits_for(route, catalog.practice.outdoors), reader) if route else None,
        warnings=() if is_for_food else tuple(say(one, reader) for one in _warnings(row, catalog)),
        address=f"{address.rstrip('/')}/{place}/{piece.code or piece.id}",
        no_code=say(_WHEN_QUEUED, reader) if piece.is_raw and piece.has_glaze else "",
        reprint=is_reprint,
    )


def _fired_once(piece: Piece) -> Message:
    return Message("tag-once-fired", _("once fired to cone {cone}"), cone=str(piece.fired_to))


_WHEN_QUEUED = Message("tag-code-when-queued", _("code issued when queued"))
"""What fires once has no bisque to get its code from."""


def _waits_for(route: Route, practice: OutdoorPractice) -> Message:
    return Message("tag-firing", "{firing}, {cone}", firing=route.title, cone=heat_of(route, practice))


def _warnings(row: PieceRow, catalog: Catalog) -> Iterator[Message]:
    """What the tag warns of in few words: what may break on the outdoor routes open to the piece."""
    piece = row.piece
    routes = [catalog.routes[piece.route]] if piece.route else catalog.routes.values()
    outdoors = [route for route in routes if route.is_pulled_hot]
    found = {one.rule for route in outdoors for one in judge_in(catalog, piece, route).of(Level.WARN)}
    if "porcelain-outdoors" in found:
        large = _("porcelain, over {size}: may crack in raku")
        is_slab = piece.build is Build.SLAB
        yield (
            _SLABS if is_slab else Message("tag-large-porcelain", large, size=mm(catalog.practice.large_porcelain_mm))
        )
    if "fragile-outdoors" in found:
        yield Message("tag-thin-parts", _("thin parts: lift from below"))


@lru_cache(maxsize=16)
def manner_of(reader: Reader) -> Manner:
    """How tags are made for this reader: one with everything on it, what tags say by themselves, and a long name."""
    full = Tag(
        code="K7R43",
        slip="W1042",
        maker="Mira T.",
        what=say(Message("usual-piece", _("lidded jar")), reader),
        clay=say(Message("usual-clay", _("white porcelain")), reader),
        use="",
        never=say(_DECORATIVE, reader),
        route=say(Message("usual-firing", _("outdoor kiln, raku, {cone}"), cone=Cone.parse("06")), reader),
        warnings=(say(_SLABS, reader),),
        address="http://127.0.0.1:8000/p/K7R43",
    )
    return Manner(full, _words(reader), say(Message("usual-long-name", _("lidded jar with two handles")), reader))


def _words(reader: Reader) -> Words:
    more = Plural("count", "and {count} more: see page", "and {count} more: see page")
    return Words(
        reprint=say(Message("tag-reprint", _("reprint")), reader),
        slip=say(Message("tag-ticket", _("ticket {slip}"), slip="{slip}"), reader),
        no_code_yet=say(Message("tag-no-code-yet", _("code issued after bisque")), reader),
        nameless=say(NAMELESS, reader),
        strong=say(_NOT_FOR_FOOD, reader),
        more=tuple(say(Message("tag-more", more, count=count), reader) for count in range(1, _MOST_WARNINGS + 1)),
    )
