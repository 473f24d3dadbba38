"""What `footring plan-load` is asked, a file of JSON with a kiln and pieces, and its answer as plain values."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace

from tracker.domain.loading.loads import LoadedShelf, LoadKiln, LoadPlan, PieceToLoad, Placed
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.message import Message, _
from tracker.domain.quantities import mm
from tracker.domain.refusals import Unusable
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.forms.plain_values import (
    LENGTH_NEEDED,
    WEIGHT_NEEDED,
    Shape,
    Tables,
    Values,
    Wrong,
    above_zero,
    listed,
    number,
    read_flag,
    read_name,
    shown,
)
from tracker.forms.strict_json import THIS_FILE, parsed, where_and_what

LONGEST_FILE = 5_000_000
"""Characters in a file; a thousand pieces need a twentieth of it."""

MOST_PIECES = 1_000
"""Pieces in a file; no teaching studio has as many waiting for one kiln (common practice)."""

_MOST_MM = 5_000
_MOST_G = 500_000
_MOST_POSTS = 50
_LAST_PROMISED = 10**9


@dataclass(frozen=True, slots=True)
class LoadAsked:
    """A kiln with the gap over its pieces, the gap between them in mm, and the pieces; in a bisque they may nest."""

    kiln: LoadKiln
    gap_mm: float
    pieces: tuple[PieceToLoad, ...]
    bisque: bool = False


def read_load(text: str) -> LoadAsked:
    """What a file asks; `Unusable` with one sentence for each thing in it that makes no sense."""
    problems: list[Wrong] = []
    try:
        raw = parsed(text, what=THIS_FILE, longest=LONGEST_FILE)
    except Wrong as wrong:
        raise Unusable([where_and_what(wrong)]) from None
    asked: LoadAsked | None = _FILE.gather(raw, problems)
    if problems or asked is None:
        raise Unusable([where_and_what(wrong) for wrong in problems])
    return asked


def plan_as_json(plan: LoadPlan, say: Callable[[Message], str]) -> dict[str, object]:
    """A plan as plain values, as the manual tells: firings, their shelves from the bottom up, and what is left out.

    `say` words why a piece is left out.
    """
    firings = [{"shelves": [_shelf_as_json(shelf) for shelf in firing]} for firing in plan.firings]
    return {"firings": firings, "left_out": [{"code": one.piece.code, "why": say(one.reason)} for one in plan.left_out]}


def _shelf_as_json(shelf: LoadedShelf) -> dict[str, object]:
    posts = {"without_posts": True} if shelf.without_posts else {}
    return {"post_mm": _plain(shelf.post_mm), **posts, "pieces": [_placed_as_json(one) for one in shelf.placed]}


def _placed_as_json(one: Placed) -> dict[str, object]:
    place = {
        "code": one.piece.code,
        "x_mm": _plain(one.spot.x_mm),
        "y_mm": _plain(one.spot.y_mm),
        "turned": one.spot.turned,
    }
    if one.rests is None:
        return place
    return {**place, "over_mm": _plain(round(one.over_mm, 1)), "rests": str(one.rests), "below": one.below}


def _plain(length: float) -> float:
    """A whole number where it is one, so that 100 is not written 100.0."""
    return int(length) if length == int(length) else length


# ---- the shapes, from the inside out -------------------------------------------------------------------------------

_from_nothing = number(0, _MOST_MM)
_length = above_zero(_from_nothing, LENGTH_NEEDED)


def _shelf(values: Values) -> Shelf:
    match values:
        case {"round_mm": across}:
            return Shelf(ShelfKind.ROUND, across, across)
        case {"half_mm": across}:
            return Shelf(ShelfKind.HALF, across, across)
    return Shelf(ShelfKind.RECTANGULAR, values["width_mm"], values["depth_mm"])


def _posts(raw: object) -> tuple[float, ...]:
    posts = listed(_length, _MOST_POSTS)(raw)
    if not posts:
        raise Wrong(Message("no-posts", _("expected a list of at least one post.")))
    return posts


def _kiln(values: Values) -> LoadKiln:
    kiln = LoadKiln(**values, gap_above_mm=0)
    if 4 * kiln.post_radius_mm >= min(kiln.shelf.width_mm, kiln.shelf.depth_mm):
        words = _("posts of {across} leave no room on this kiln shelf.")
        raise Wrong(Message("posts-too-thick", words, across=mm(2 * kiln.post_radius_mm, 2)), "post_radius_mm")
    if not kiln.usable_posts_mm:
        words = _("no level on any of these posts fits into a height of {room}.")
        raise Wrong(Message("posts-too-long", words, room=mm(kiln.room_mm, 2)), "posts_mm")
    return kiln


def _piece(values: Values) -> PieceToLoad:
    sides = [values.pop(side) for side in ("round_mm", "width_mm", "depth_mm") if side in values]
    lies = Footprint(*sides) if len(sides) > 1 else Footprint.round(*sides)
    return PieceToLoad(footprint=lies, **values)


def _asked(values: Values) -> LoadAsked:
    for code, count in Counter(piece.code for piece in values["pieces"]).items():
        if count > 1:
            words = _('the code "{code}" appears {count} times.')
            raise Wrong(Message("code-repeated", words, code=shown(code), count=count), "pieces")
    usual = COMMON_PRACTICE.bisque_gap_above_mm if values.get("bisque") else COMMON_PRACTICE.gap_above_mm
    kiln = replace(values.pop("kiln"), gap_above_mm=values.pop("gap_above_mm", usual))
    return LoadAsked(kiln=kiln, **{"gap_mm": 0.0, **values})


_RECTANGLE = ("width_mm", "depth_mm")

_SHELF = Shape(
    {"round_mm": _length, "half_mm": _length, "width_mm": _length, "depth_mm": _length},
    make=_shelf,
    ways=(("round_mm",), ("half_mm",), _RECTANGLE),
)

_CONES = Shape({"width_mm": _length, "depth_mm": _length}, needs=_RECTANGLE, make=lambda values: Footprint(**values))

_KILN = Shape(
    {
        "shelf": _SHELF,
        "height_mm": _length,
        "shelf_thickness_mm": _from_nothing,
        "posts_mm": _posts,
        "clearance_top_mm": _from_nothing,
        "post_radius_mm": _from_nothing,
        "cones": _CONES,
    },
    needs=("shelf", "height_mm", "shelf_thickness_mm", "posts_mm"),
    make=_kiln,
)

_PIECE = Shape(
    {
        "code": read_name,
        "round_mm": _length,
        "width_mm": _length,
        "depth_mm": _length,
        "height_mm": _length,
        "weight_g": above_zero(number(0, _MOST_G), WEIGHT_NEEDED),
        "promised": number(-_LAST_PROMISED, _LAST_PROMISED),
        "set": read_name,
        "nests": read_flag,
        "wall_mm": _length,
    },
    needs=("code", "height_mm"),
    make=_piece,
    names={"set": "set_name"},
    ways=(("round_mm",), _RECTANGLE),
)

_FILE = Shape(
    {
        "kiln": _KILN,
        "gap_mm": _from_nothing,
        "gap_above_mm": _from_nothing,
        "bisque": read_flag,
        "pieces": Tables(_PIECE, MOST_PIECES),
    },
    needs=("kiln", "pieces"),
    make=_asked,
)
