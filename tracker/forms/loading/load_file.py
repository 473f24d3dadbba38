"""What `footring plan-load` is asked, a file of JSON with a kiln and pieces, and its answer as plain values."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from tracker.domain.loading.loads import LoadKiln, LoadPlan, PieceToLoad
from tracker.domain.loading.shelf_shapes import Footprint, Shelf, ShelfKind
from tracker.domain.message import Message
from tracker.domain.refusals import Unusable
from tracker.forms.plain_values import Shape, Wrong, kind_of, listed, not_a_key, number, read_name, shown
from tracker.forms.strict_json import parsed, where_and_what

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
    """A kiln, the gap that its pieces keep in mm, and the pieces."""

    kiln: LoadKiln
    gap_mm: float
    pieces: tuple[PieceToLoad, ...]


def read_load(text: str) -> LoadAsked:
    """What a file asks; `Unusable` with one sentence for each thing in it that makes no sense."""
    problems: list[Wrong] = []
    try:
        raw = parsed(text, what="this file", longest=LONGEST_FILE)
    except Wrong as wrong:
        raise Unusable([where_and_what(wrong)]) from None
    values = _all_of(_FILE, raw, problems)
    kiln = _kiln(values["kiln"], problems) if "kiln" in values else None
    pieces = tuple(_piece(one, place, problems) for place, one in enumerate(values.get("pieces", ())))
    codes = Counter(piece.code for piece in pieces if piece)
    problems += (
        Wrong(f"the code {shown(code)} stands there {count} times.", "pieces")
        for code, count in codes.items()
        if count > 1
    )
    if problems or kiln is None:
        raise Unusable([where_and_what(wrong) for wrong in problems])
    return LoadAsked(kiln, values.get("gap_mm", 0.0), tuple(filter(None, pieces)))


def plan_as_json(plan: LoadPlan, say: Callable[[Message], str]) -> dict[str, object]:
    """A plan as plain values, as the manual tells: firings, their shelves from the bottom up, and what is left out.

    `say` words why a piece is left out.
    """
    firings = [
        {
            "shelves": [
                {
                    "post_mm": _plain(shelf.post_mm),
                    "pieces": [
                        {
                            "code": one.piece.code,
                            "x_mm": _plain(one.spot.x_mm),
                            "y_mm": _plain(one.spot.y_mm),
                            "turned": one.spot.turned,
                        }
                        for one in shelf.placed
                    ],
                }
                for shelf in firing
            ]
        }
        for firing in plan.firings
    ]
    return {"firings": firings, "left_out": [{"code": one.piece.code, "why": say(one.reason)} for one in plan.left_out]}


def _plain(length: float) -> float:
    """A whole number where it is one, so that 100 is not written 100.0."""
    return int(length) if length == int(length) else length


# ---- reading on past a mistake -----------------------------------------------------------------------------------


def _all_of(shape: Shape, raw: object, problems: list[Wrong], *path: str | int) -> dict[str, Any]:
    """What can be read of an object with this shape; everything else in it is added to `problems`."""
    values: dict[str, Any] = {}
    if not isinstance(raw, dict):
        problems.append(Wrong(f"an object with keys is needed here, not {kind_of(raw)}.", *path))
        return values
    for key, value in raw.items():
        reader = shape.keys.get(key)
        if reader is None:
            problems.append(Wrong(not_a_key(key, shape.keys), *path))
            continue
        try:
            values[key] = reader(value)
        except Wrong as wrong:
            problems.append(wrong.inside(*path, key))
    problems += (Wrong(f'"{key}" is missing.', *path) for key in shape.needs if key not in raw)
    return values


def _kiln(raw: object, problems: list[Wrong]) -> LoadKiln | None:
    before = len(problems)
    values = _all_of(_KILN, raw, problems, "kiln")
    if len(problems) > before:
        return None
    kiln = LoadKiln(**values)
    narrowest = min(kiln.shelf.width_mm, kiln.shelf.depth_mm)
    if 4 * kiln.post_radius_mm >= narrowest:
        problems.append(
            Wrong(f"posts of {2 * kiln.post_radius_mm:g} mm leave no room on this shelf.", "kiln", "post_radius_mm")
        )
    if not kiln.usable_posts_mm:
        problems.append(
            Wrong(f"no level on any of these posts fits into {kiln.room_mm:g} mm of height.", "kiln", "posts_mm")
        )
    return kiln


def _piece(raw: object, place: int, problems: list[Wrong]) -> PieceToLoad | None:
    before, sides = len(problems), ""
    values = _all_of(_PIECE, raw, problems, "pieces", place)
    if isinstance(raw, dict):
        try:
            sides = _sides(raw, ("round_mm",), ("width_mm", "depth_mm"))
        except Wrong as wrong:
            problems.append(wrong.inside("pieces", place))
    if len(problems) > before:
        return None
    lies = (
        Footprint.round(values["round_mm"])
        if sides == "round_mm"
        else Footprint(values["width_mm"], values["depth_mm"])
    )
    return PieceToLoad(
        values["code"],
        lies,
        values["height_mm"],
        weight_g=values.get("weight_g"),
        promised=values.get("promised", 0.0),
        set_name=values.get("set"),
    )


def _sides(raw: Mapping[str, object], *ways: tuple[str, ...]) -> str:
    """By which measures something is told, as the first key of its way; `Wrong` unless it is just one way, whole."""
    told = [way for way in ways if any(key in raw for key in way)]
    names = " or ".join(" and ".join(f'"{key}"' for key in way) for way in ways)
    if len(told) != 1:
        raise Wrong(f"it is told by {names}, and by one of these ways only.")
    missing = [key for key in told[0] if key not in raw]
    if missing:
        raise Wrong(f'"{missing[0]}" is missing.')
    return told[0][0]


# ---- the shapes, from the inside out -------------------------------------------------------------------------------

_from_nothing = number(0, _MOST_MM)


def _over_nothing(most: float, what: str) -> Callable[[object], float]:
    plain = number(0, most)

    def read_amount(raw: object) -> float:
        amount = plain(raw)
        if amount <= 0:
            raise Wrong(f"{what} is needed.")
        return amount

    return read_amount


_length = _over_nothing(_MOST_MM, "a length over 0 mm")


def _shelf(raw: object) -> Shelf:
    values = _SHELF.read(raw)
    match _sides(values, ("round_mm",), ("half_mm",), ("width_mm", "depth_mm")):
        case "round_mm":
            return Shelf(ShelfKind.ROUND, values["round_mm"], values["round_mm"])
        case "half_mm":
            return Shelf(ShelfKind.HALF, values["half_mm"], values["half_mm"])
        case _:
            return Shelf(ShelfKind.RECTANGULAR, values["width_mm"], values["depth_mm"])


def _posts(raw: object) -> tuple[float, ...]:
    posts = listed(_length, _MOST_POSTS)(raw)
    if not posts:
        raise Wrong("a list of at least one post is needed.")
    return posts


def _cones(raw: object) -> Footprint:
    values = _CONES.read(raw)
    return Footprint(values["width_mm"], values["depth_mm"])


def _anything(raw: object) -> object:
    """What is read later, so that all its problems are told and not only the first."""
    return raw


def _pieces(raw: object) -> tuple[object, ...]:
    return listed(_anything, MOST_PIECES)(raw)


_SHELF = Shape({"round_mm": _length, "half_mm": _length, "width_mm": _length, "depth_mm": _length})

_CONES = Shape({"width_mm": _length, "depth_mm": _length}, needs=("width_mm", "depth_mm"))

_KILN = Shape(
    {
        "shelf": _shelf,
        "height_mm": _length,
        "shelf_thickness_mm": _from_nothing,
        "posts_mm": _posts,
        "clearance_top_mm": _from_nothing,
        "post_radius_mm": _from_nothing,
        "cones": _cones,
    },
    needs=("shelf", "height_mm", "shelf_thickness_mm", "posts_mm"),
)

_PIECE = Shape(
    {
        "code": read_name,
        "round_mm": _length,
        "width_mm": _length,
        "depth_mm": _length,
        "height_mm": _length,
        "weight_g": _over_nothing(_MOST_G, "a weight over 0 g"),
        "promised": number(-_LAST_PROMISED, _LAST_PROMISED),
        "set": read_name,
    },
    needs=("code", "height_mm"),
)

_FILE = Shape({"kiln": _anything, "gap_mm": _from_nothing, "pieces": _pieces}, needs=("kiln", "pieces"))
