"""An independent check of load plans: its own geometry, shared with nothing in the tool.

It takes what `footring plan-load` is given and gives, both as plain JSON values, and tells every way in which the plan
cannot be loaded as it stands. Where posts and witness cones stand is what the manual says.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from itertools import combinations
from typing import Any

TOLERANCE_MM = 1e-6

Shape = tuple[str, float, float, float, float]
"""("round", x, y, radius, radius) or ("box", x, y, half a width, half a depth)."""


def faults(asked: dict[str, Any], plan: dict[str, Any]) -> list[str]:
    """Everything that is wrong with a plan, in words; empty when it can be loaded."""
    return [
        *_accounts(asked, plan),
        *_heights(asked, plan),
        *_grounds(asked, plan),
        *_piles(asked, plan),
        *_sets(asked, plan),
    ]


def _pieces(asked: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {piece["code"]: piece for piece in asked["pieces"]}


def _accounts(asked: dict[str, Any], plan: dict[str, Any]) -> Iterator[str]:
    """Every piece is placed once or left out."""
    told = Counter(
        [one["code"] for firing in plan["firings"] for shelf in firing["shelves"] for one in shelf["pieces"]]
        + [one["code"] for one in plan["left_out"]]
    )
    for code in _pieces(asked).keys() | told.keys():
        if told[code] != 1 or code not in _pieces(asked):
            yield f"{code} is told {told[code]} times"
    for one in plan["left_out"]:
        if not one["why"] or not _is_true(asked, _pieces(asked)[one["code"]], one["why"]):
            yield f"{one['code']} is left out with an untrue reason: {one['why']}"


def _is_true(asked: dict[str, Any], piece: dict[str, Any], why: str) -> bool:
    """Whether a reason holds, as far as it can be told from the piece and the kiln alone."""
    kiln = asked["kiln"]
    over = kiln["height_mm"] - max(kiln.get("clearance_top_mm", 0), _gap_above(asked)) - kiln["shelf_thickness_mm"]
    if "set" in piece and ("its set" in why or "sets are fired together" in why):
        return True
    if why.startswith("too tall for the chamber"):
        return bool(piece["height_mm"] > over)
    if why.startswith("wider than the kiln shelf"):
        return not _goes_on(kiln["shelf"], piece)
    if why.startswith("no space for it beside the witness cones"):
        return not _has_place(asked, piece)
    return why.startswith("no room left in this firing")


def _goes_on(shelf: dict[str, Any], piece: dict[str, Any]) -> bool:
    """Whether a piece goes on a bare shelf."""
    sizes = [(piece["round_mm"], piece["round_mm"])] if "round_mm" in piece else []
    if not sizes:
        sizes = [(piece["width_mm"], piece["depth_mm"]), (piece["depth_mm"], piece["width_mm"])]
    if "width_mm" in shelf:
        return any(wide <= shelf["width_mm"] and deep <= shelf["depth_mm"] for wide, deep in sizes)
    across = piece.get("round_mm", math.hypot(*sizes[0]))
    if "round_mm" in shelf:
        return bool(across <= shelf["round_mm"])
    radius = shelf["half_mm"] / 2
    if "round_mm" in piece:
        return bool(across <= radius)
    return any(math.hypot(wide, deep / 2) <= radius for wide, deep in sizes)


def _has_place(asked: dict[str, Any], piece: dict[str, Any]) -> bool:
    """Whether some place on a shelf without posts is free, looked for on a grid of 4 mm."""
    half = max(_size(asked["kiln"]["shelf"])) / 2
    steps = [-half + 4 * step for step in range(int(half / 2) + 1)]
    standing = _cones(asked)
    for turned in (False, True):
        for x in steps:
            for y in steps:
                shape = _shape(piece, {"x_mm": x, "y_mm": y, "turned": turned})
                if not _off_shelf(asked["kiln"]["shelf"], shape) and all(
                    _apart(shape, other) >= asked.get("gap_mm", 0) for other in standing
                ):
                    return True
    return False


def _gap_above(asked: dict[str, Any]) -> float:
    """How much stays free over each piece, as the manual says."""
    return float(asked.get("gap_above_mm", 5 if asked.get("bisque") else 10))


def _tops(asked: dict[str, Any], shelf: dict[str, Any]) -> dict[str, float]:
    """How high over its shelf each piece ends."""
    return {one["code"]: one.get("over_mm", 0) + _pieces(asked)[one["code"]]["height_mm"] for one in shelf["pieces"]}


def _heights(asked: dict[str, Any], plan: dict[str, Any]) -> Iterator[str]:
    """The levels of a firing stay under the roof, and each piece under the next shelf, with the gap over it."""
    kiln, gap = asked["kiln"], _gap_above(asked)
    for number, firing in enumerate(plan["firings"]):
        stack = sum(shelf["post_mm"] + kiln["shelf_thickness_mm"] for shelf in firing["shelves"])
        if stack + kiln.get("clearance_top_mm", 0) > kiln["height_mm"] + TOLERANCE_MM:
            yield f"firing {number} is {stack} mm high"
        for level, shelf in enumerate(firing["shelves"], start=1):
            tops = _tops(asked, shelf)
            highest = max(tops.values(), default=0)
            on_top = shelf.get("without_posts", False)
            if not on_top and shelf["post_mm"] not in kiln["posts_mm"]:
                yield f"there is no post of {shelf['post_mm']} mm"
            if on_top and (level != len(firing["shelves"]) or highest != shelf["post_mm"]):
                yield f"a shelf without posts is {shelf['post_mm']} mm high, or something is over it"
            if on_top and stack + gap > kiln["height_mm"] + TOLERANCE_MM:
                yield f"firing {number} touches the roof"
            if not shelf["pieces"]:
                yield f"a shelf of firing {number} is empty"
            for code, top in tops.items():
                if not on_top and top + gap > shelf["post_mm"] + TOLERANCE_MM:
                    yield f"{code} is higher than its post, less the gap over it"


def _grounds(asked: dict[str, Any], plan: dict[str, Any]) -> Iterator[str]:
    """On each shelf nothing overlaps, and nothing leaves it."""
    for firing in plan["firings"]:
        for shelf in firing["shelves"]:
            standing = [one for one in shelf["pieces"] if "below" not in one]
            shapes = [(one["code"], _shape(_pieces(asked)[one["code"]], one)) for one in standing]
            for code, shape in shapes:
                if _off_shelf(asked["kiln"]["shelf"], shape):
                    yield f"{code} leaves its shelf"
            posts = [] if shelf.get("without_posts") else _posts(asked)
            fixed = [("a post", post) for post in posts] + [("the cones", one) for one in _cones(asked)]
            for (code, shape), (other_code, other) in [
                *combinations(shapes, 2),
                *((piece, thing) for piece in shapes for thing in fixed),
            ]:
                if _apart(shape, other) < asked.get("gap_mm", 0) - TOLERANCE_MM:
                    yield f"{code} and {other_code} are {_apart(shape, other):.4f} mm apart"


# ---- what is nested or stacked -----------------------------------------------------------------------------------


def _piles(asked: dict[str, Any], plan: dict[str, Any]) -> Iterator[str]:
    """What rests in or on another piece may rest there, in a bisque, as the manual says."""
    for firing in plan["firings"]:
        for shelf in firing["shelves"]:
            there = {one["code"]: one for one in shelf["pieces"]}
            bearers = Counter(one["below"] for one in shelf["pieces"] if "below" in one)
            yield from (f"{code} carries {count} pieces" for code, count in bearers.items() if count > 1)
            for one in shelf["pieces"]:
                if "below" in one:
                    yield from (f"{one['code']} {fault}" for fault in _rests_wrongly(asked, there, one))


def _rests_wrongly(asked: dict[str, Any], there: dict[str, Any], one: dict[str, Any]) -> Iterator[str]:
    upper, below = _pieces(asked)[one["code"]], there.get(one["below"])
    if below is None:
        yield "rests on a piece that isn't on its shelf"
        return
    lower = _pieces(asked)[below["code"]]
    if not asked.get("bisque"):
        yield "is nested in a glaze firing"
    if (one["x_mm"], one["y_mm"]) != (below["x_mm"], below["y_mm"]) or not _within(
        _shape(upper, one), _shape(lower, below)
    ):
        yield "isn't over the piece that carries it"
    if "below" in below and "below" in there[below["below"]]:
        yield "is the fourth"
    if upper.get("set") != lower.get("set"):
        yield "is of another set"
    if False in (upper.get("nests"), lower.get("nests")):
        yield "or what carries it is to stand alone"
    if _may_be_heavier(upper, lower):
        yield "is heavier than what carries it"
    if lower.get("wall_mm", 4) < 4:
        yield "is on thin ware"
    if not _is_right(upper, lower, one, below):
        yield f"can't rest {one['rests']} another there"


def _is_right(upper: dict[str, Any], lower: dict[str, Any], one: dict[str, Any], below: dict[str, Any]) -> bool:
    over, begins = one["over_mm"] - below.get("over_mm", 0), below.get("over_mm", 0)
    both_open = bool(upper.get("nests") and lower.get("nests")) and ("round_mm" in upper) == ("round_mm" in lower)
    if one["rests"] == "on":
        return bool(max(upper["height_mm"], lower["height_mm"]) <= 15 and over == lower["height_mm"])
    if one["rests"] == "rim to rim":
        return both_open and begins == 0 and over == lower["height_mm"] and _rims_meet(upper, lower)
    if one["rests"] == "foot to foot":
        return both_open and below.get("rests") == "rim to rim" and over == lower["height_mm"]
    return both_open and below.get("rests") in {None, "in"} and _goes_in(upper, lower, over)


def _sides(piece: dict[str, Any]) -> list[float]:
    return sorted([piece["round_mm"]] * 2 if "round_mm" in piece else [piece["width_mm"], piece["depth_mm"]])


def _rims_meet(upper: dict[str, Any], lower: dict[str, Any]) -> bool:
    return all(abs(one - other) <= 4 for one, other in zip(_sides(upper), _sides(lower), strict=True))


def _may_be_heavier(upper: dict[str, Any], lower: dict[str, Any]) -> bool:
    """Whether the upper piece weighs more, or 3 kg; by the box around both where a weight isn't told."""
    if "weight_g" in upper and "weight_g" in lower:
        return bool(upper["weight_g"] > lower["weight_g"] or upper["weight_g"] >= 3000)
    return bool(upper.get("weight_g", 0) >= 3000 or _bulk(upper) > _bulk(lower) + TOLERANCE_MM)


def _bulk(piece: dict[str, Any]) -> float:
    short, long = _sides(piece)
    return float(short * long * piece["height_mm"] * (math.pi / 4 if "round_mm" in piece else 1))


def _goes_in(upper: dict[str, Any], lower: dict[str, Any], over: float) -> bool:
    """Whether two cones, feet two thirds as wide as rims, have 3 mm between them at every height, walked in steps.

    The wall of the lower one is 8 mm where it isn't told, and its floor a foot ring of 7 mm more.
    """
    wall = lower.get("wall_mm", 8)
    # The answer tells heights to a tenth of a mm.
    over += 0.05
    if not wall + 7 <= over <= lower["height_mm"] + 0.05:
        return False
    until = min(over + upper["height_mm"], lower["height_mm"])
    for narrow, wide in zip(_sides(upper), _sides(lower), strict=True):
        for step in range(201):
            at = over + (until - over) * step / 200
            outside = narrow / 2 * (2 / 3 + (at - over) / upper["height_mm"] / 3)
            inside = wide / 2 * (2 / 3 + at / lower["height_mm"] / 3) - wall
            if inside - outside < 3 - 0.05:
                return False
    return True


def _within(upper: Shape, lower: Shape) -> bool:
    if lower[0] == "round":
        reach = upper[3] if upper[0] == "round" else math.hypot(upper[3], upper[4])
        return reach <= lower[3] + TOLERANCE_MM
    return upper[3] <= lower[3] + TOLERANCE_MM and upper[4] <= lower[4] + TOLERANCE_MM


def _sets(asked: dict[str, Any], plan: dict[str, Any]) -> Iterator[str]:
    """A set is in one firing, or left out whole."""
    where: dict[str, set[int]] = {}
    for number, firing in enumerate(plan["firings"]):
        for shelf in firing["shelves"]:
            for one in shelf["pieces"]:
                where.setdefault(_pieces(asked)[one["code"]].get("set", ""), set()).add(number)
    for one in plan["left_out"]:
        where.setdefault(_pieces(asked)[one["code"]].get("set", ""), set()).add(-1)
    yield from (f"the set {name} is taken apart" for name, places in where.items() if name and len(places) > 1)


# ---- geometry ----------------------------------------------------------------------------------------------------


def _size(shelf: dict[str, Any]) -> tuple[float, float]:
    across = shelf.get("round_mm") or shelf.get("half_mm")
    return (across, across) if across else (shelf["width_mm"], shelf["depth_mm"])


def _shape(piece: dict[str, Any], place: dict[str, Any]) -> Shape:
    if "round_mm" in piece:
        return "round", place["x_mm"], place["y_mm"], piece["round_mm"] / 2, piece["round_mm"] / 2
    wide, deep = piece["width_mm"] / 2, piece["depth_mm"] / 2
    return ("box", place["x_mm"], place["y_mm"], *((deep, wide) if place["turned"] else (wide, deep)))


def _posts(asked: dict[str, Any]) -> list[Shape]:
    """Where the manual says that the posts stand."""
    shelf, radius = asked["kiln"]["shelf"], asked["kiln"].get("post_radius_mm", 0)
    if radius == 0:
        return []
    if "width_mm" in shelf:
        wide, deep = shelf["width_mm"] / 2 - radius, shelf["depth_mm"] / 2 - radius
        return [("round", x, y, radius, radius) for x, y in ((-wide, -deep), (wide, -deep), (0, deep))]
    out = max(_size(shelf)) / 2 - radius
    if "round_mm" in shelf:
        angles = [math.radians(degrees) for degrees in (90, 210, 330)]
        return [("round", out * math.cos(angle), out * math.sin(angle), radius, radius) for angle in angles]
    end = math.sqrt(out**2 - radius**2)
    return [
        ("round", side * x, y, radius, radius) for side in (-1, 1) for x, y in ((out, 0), (radius, end), (radius, -end))
    ]


def _cones(asked: dict[str, Any]) -> list[Shape]:
    """The room for witness cones, touching the middle of the front edge (beside the seam's post on half shelves)."""
    cones, shelf = asked["kiln"].get("cones"), asked["kiln"]["shelf"]
    if not cones:
        return []
    wide, deep = cones["width_mm"] / 2, cones["depth_mm"] / 2
    x = 2 * asked["kiln"].get("post_radius_mm", 0) + wide if "half_mm" in shelf else 0
    edge = _size(shelf)[1] / 2 if "width_mm" in shelf else math.sqrt((_size(shelf)[0] / 2) ** 2 - (x + wide) ** 2)
    return [("box", x, deep - edge, wide, deep)]


def _off_shelf(shelf: dict[str, Any], shape: Shape) -> bool:
    kind, x, y, wide, deep = shape
    if "half_mm" in shelf and abs(x) < wide - TOLERANCE_MM:
        return True
    if "width_mm" in shelf:
        right, back = shelf["width_mm"] / 2 - abs(x) - wide, shelf["depth_mm"] / 2 - abs(y) - deep
        return bool(min(right, back) < -TOLERANCE_MM)
    far = math.hypot(x, y) + wide if kind == "round" else math.hypot(abs(x) + wide, abs(y) + deep)
    return bool(far > max(_size(shelf)) / 2 + TOLERANCE_MM)


def _apart(one: Shape, other: Shape) -> float:
    """The room between two shapes; below 0 where they overlap."""
    if one[0] == other[0] == "round":
        return math.dist(one[1:3], other[1:3]) - one[3] - other[3]
    if one[0] == other[0]:
        right = abs(one[1] - other[1]) - one[3] - other[3]
        back = abs(one[2] - other[2]) - one[4] - other[4]
        return math.hypot(max(right, 0), max(back, 0)) if max(right, back) >= 0 else max(right, back)
    circle, box = (one, other) if one[0] == "round" else (other, one)
    nearest = (
        min(max(circle[1], box[1] - box[3]), box[1] + box[3]),
        min(max(circle[2], box[2] - box[4]), box[2] + box[4]),
    )
    return math.dist(circle[1:3], nearest) - circle[3]
