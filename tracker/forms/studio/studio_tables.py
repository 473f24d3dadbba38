"""What each table of a studio file holds: its keys, their readers, and the value it becomes."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from tracker.domain.firing.schedules import programme_for
from tracker.domain.labels.stock import LARGEST_PAGE_MM, MOST_LABELS, BadStock, LabelStock
from tracker.domain.studio.absorption import BadWeighing, Weighing, mean_absorption
from tracker.domain.studio.kilns import Atmosphere, Furniture, Kiln, Room, Route, RouteKind
from tracker.domain.studio.leach_limits import Metal, Regime, Unit
from tracker.domain.studio.leach_tests import BadResult, ReleaseTest, Result, Vessel, VesselKind
from tracker.domain.studio.materials import LOWEST_HEAT, Clay, ClayKind, Coat, Family, FoodStanding, Glaze, HowOn, Trait
from tracker.domain.studio.segments import BadProgramme, Segment
from tracker.domain.studio.setting_groups import GROUPS, Group, Number
from tracker.domain.studio.settings import Practice
from tracker.forms.plain_values import (
    Shape,
    Wrong,
    choice,
    listed,
    must_rise,
    not_a_key,
    number,
    read_cone,
    read_date,
    read_flag,
    read_line,
    read_name,
    read_remark,
    read_text,
    shown,
)

Reader = Callable[[object], Any]
Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class TableKind:
    """One kind of table in the file: its keys with their readers, those it must have, and the value it becomes."""

    word: str
    keys: Mapping[str, Reader]
    needs: tuple[str, ...]
    make: Callable[[Values], Any]


def _slug(raw: object) -> str:
    name = read_name(raw)
    if not re.fullmatch(r"[a-z0-9]+(?:-[a-z0-9]+)*", name):
        raise Wrong(f"{shown(name)} stands in addresses: write it in small letters, digits and single hyphens.")
    return name


def _timezone(raw: object) -> str:
    name = read_name(raw)
    try:
        ZoneInfo(name)
    except (LookupError, ValueError, OSError):
        raise Wrong(f'{shown(name)} is no time zone; write it like "Europe/Lisbon" or "America/Denver".') from None
    return name


def _address(raw: object) -> str:
    address = read_text(raw)
    if not re.fullmatch(r"https?://[A-Za-z0-9.\-]+(?::[0-9]{1,5})?(?:/[A-Za-z0-9._~\-]+)*/?", address):
        raise Wrong(f'{shown(address)} is no address to put on a tag; write it like "https://kilns.example.edu".')
    return address.rstrip("/")


def _set_of(reader: Reader, most: int) -> Reader:
    read_all = listed(reader, most)

    def read_set(raw: object) -> frozenset[Any]:
        values = read_all(raw)
        if len(set(values)) < len(values):
            raise Wrong("something stands twice in this list.")
        return frozenset(values)

    return read_set


def _whole(least: int, most: int) -> Reader:
    def read_whole(raw: object) -> int:
        if not isinstance(raw, int) or isinstance(raw, bool) or not least <= raw <= most:
            raise Wrong(f"a whole number from {least} to {most} is needed.")
        return raw

    return read_whole


def _result(raw: object) -> Result:
    """A number, or, in quotes, "<0.01" for what was below detection."""
    if not isinstance(raw, str):
        return Result(number(0, 100_000)(raw))
    try:
        result = Result.parse(raw)
    except BadResult as refusal:
        raise Wrong(str(refusal)) from None
    if not result.is_below:
        raise Wrong(f"{shown(raw)} is a number: write it without quotes.")
    return result


def _results(raw: object) -> tuple[Result, ...]:
    results = listed(_result, 200)(raw)
    if not results:
        raise Wrong("a test has at least one result.")
    return results


_routes = _set_of(read_name, 40)


def _served(raw: object) -> frozenset[str]:
    routes: frozenset[str] = _routes(raw)
    if not routes:
        raise Wrong("a kiln serves at least one route.")
    return routes


def _clay(values: Values) -> Clay:
    nameless = values["kind"] is ClayKind.UNKNOWN
    weighings = tuple(one for one in values.pop("weighing", ()) if one is not None)
    clay = Clay(
        **_with_cones(values, 'only a clay of kind "unknown" may leave it out', nameless=nameless), weighings=weighings
    )
    if clay.absorption_pct is None and not nameless:
        raise Wrong("absorption_pct is missing: without it nobody knows whether this clay is fit for food.")
    if clay.weighed_mature and "absorption_pct" in values:
        _must_agree(values["absorption_pct"], mean_absorption(clay.weighed_mature))
    if clay.slumps_above is not None:
        must_rise(clay.cone_high, clay.slumps_above, "cone_high", "slumps_above")
    return clay


MOST_APART_PCT = 0.1
"""By how much a written absorption may differ from the mean of the weighings, in percent of water (common practice)."""


def _must_agree(written: float, weighed: float) -> None:
    # A little over the bound for what binary fractions add.
    if abs(written - weighed) > MOST_APART_PCT + 1e-9:
        raise Wrong(
            f"absorption_pct is {written:g}, but the weighings of mature specimens come to {weighed:.3f}: "
            "leave it out, or put the weighings right."
        )


def _weighing(values: Values) -> Weighing:
    try:
        return Weighing(**values)
    except BadWeighing as refusal:
        raise Wrong(str(refusal)) from None


def _test(values: Values) -> ReleaseTest:
    measures = {key: values.pop(key) for key in ("kind", "depth_mm", "capacity_ml") if key in values}
    return ReleaseTest(**values, vessel=Vessel(**measures))


def _glaze(values: Values) -> Glaze:
    nameless = values["family"] is Family.OUTSIDE
    tests = tuple(test for test in values.pop("test", ()) if test is not None)
    return Glaze(
        **_with_cones(values, 'only a glaze of family "outside" may leave it out', nameless=nameless), tests=tests
    )


def _with_cones(values: Values, unless: str, *, nameless: bool) -> Values:
    """The values with both cones in their order, or the lowest where nobody can name the material."""
    given = [key for key in ("cone_low", "cone_high") if key in values]
    if not given and nameless:
        return {**values, "cone_low": LOWEST_HEAT[0], "cone_high": LOWEST_HEAT[1]}
    for key in ("cone_low", "cone_high"):
        if key not in given:
            raise Wrong(f"{key} is missing; {unless}.")
    must_rise(values["cone_low"], values["cone_high"])
    return values


CLAY = TableKind(
    "clay",
    {
        "name": read_name,
        "kind": choice(ClayKind),
        "cone_low": read_cone,
        "cone_high": read_cone,
        "slumps_above": read_cone,
        "absorption_pct": number(0, 100),
        "shrinkage_pct": number(0, 100),
        "retired": read_flag,
    },
    ("name", "kind"),
    _clay,
)

WEIGHING = TableKind(
    "weighing",
    {
        "dry_g": number(0, 100_000),
        "saturated_g": number(0, 100_000),
        "suspended_g": number(0, 100_000),
        "cone": read_cone,
        "withdrawn": read_remark,
    },
    ("dry_g", "saturated_g", "suspended_g", "cone"),
    _weighing,
)

TEST = TableKind(
    "test",
    {
        "laboratory": read_name,
        "tested_on": read_date,
        "method": read_text,
        "metal": choice(Metal),
        "unit": choice(Unit),
        "results": _results,
        "kind": choice(VesselKind),
        "depth_mm": number(0, 10_000),
        "capacity_ml": number(0, 1_000_000),
        "clay": read_name,
        "route": read_name,
        "withdrawn": read_remark,
    },
    ("laboratory", "tested_on", "metal", "unit", "results", "kind"),
    _test,
)

INNER = {"clay": WEIGHING, "glaze": TEST}
"""The tables that stand inside another one: [[clay.weighing]] and [[glaze.test]]."""

GLAZE = TableKind(
    "glaze",
    {
        "name": read_name,
        "family": choice(Family),
        "cone_low": read_cone,
        "cone_high": read_cone,
        "food": choice(FoodStanding),
        "traits": _set_of(choice(Trait), 20),
        "metals": _set_of(read_name, 40),
        "coat": choice(Coat),
        "goes_on": _set_of(choice(HowOn), 20),
        "bucket": read_text,
        "colour": read_text,
        "retired": read_flag,
    },
    ("name", "family", "food"),
    _glaze,
)

_SEGMENT = Shape(
    {"rate_c_per_h": number(1, 1_000), "target_c": number(1, 1_450), "hold_min": number(0, 4_320), "note": read_text},
    ("rate_c_per_h", "target_c"),
)


def _segment(raw: object) -> Segment:
    """One line of a way of firing's own programme."""
    if isinstance(raw, dict) and (strange := [key for key in raw if key not in _SEGMENT.keys]):
        raise Wrong(not_a_key(strange[0], _SEGMENT.keys), strange[0])
    return Segment(**_SEGMENT.read(raw))


def _route(values: Values) -> Route:
    """A way of firing; its segments must make a programme together."""
    route = Route(segments=values.pop("segment", ()), **values)
    try:
        if route.segments:
            programme_for(route)
    except BadProgramme as refusal:
        raise Wrong(f"segment: {refusal}") from None
    return route


ROUTE = TableKind(
    "route",
    {
        "name": _slug,
        "title": read_name,
        "kind": choice(RouteKind),
        "cone": read_cone,
        "segment": listed(_segment, 40),
        "retired": read_flag,
    },
    ("name", "title", "kind", "cone"),
    _route,
)

_ROOM = Shape(
    {
        "height_mm": _whole(1, 10_000),
        "round_mm": _whole(1, 10_000),
        "width_mm": _whole(1, 10_000),
        "depth_mm": _whole(1, 10_000),
        "clearance_mm": _whole(0, 1_000),
    },
    ("height_mm",),
)


def _room(raw: object) -> Room:
    """A chamber or a container: round, or with a width and a depth."""
    if isinstance(raw, dict) and (strange := [key for key in raw if key not in _ROOM.keys]):
        raise Wrong(not_a_key(strange[0], _ROOM.keys), strange[0])
    values = _ROOM.read(raw)
    footprint = values.keys() - {"height_mm", "clearance_mm"}
    if footprint not in ({"round_mm"}, {"width_mm", "depth_mm"}):
        raise Wrong("it is round and has round_mm, or it has width_mm and depth_mm.")
    return Room(**values)


_FURNITURE = Shape(
    {
        "round_mm": _whole(1, 10_000),
        "width_mm": _whole(1, 10_000),
        "depth_mm": _whole(1, 10_000),
        "halves": read_flag,
        "thickness_mm": _whole(1, 200),
        "posts_mm": listed(_whole(1, 2_000), 40),
        "post_radius_mm": _whole(0, 200),
    },
    ("thickness_mm", "posts_mm"),
)


def _furniture(raw: object) -> Furniture:
    """What a kiln is stacked with: shelves that are round, or wide and deep, and at least one length of post."""
    if isinstance(raw, dict) and (strange := [key for key in raw if key not in _FURNITURE.keys]):
        raise Wrong(not_a_key(strange[0], _FURNITURE.keys), strange[0])
    values = _FURNITURE.read(raw)
    if values.keys() & {"round_mm", "width_mm", "depth_mm"} not in ({"round_mm"}, {"width_mm", "depth_mm"}):
        raise Wrong("a shelf is round and has round_mm, or it has width_mm and depth_mm.")
    if values.get("halves") and "round_mm" not in values:
        raise Wrong("only a round shelf comes in halves.", "halves")
    if not values["posts_mm"]:
        raise Wrong("write at least one length of post.", "posts_mm")
    return Furniture(**{**values, "posts_mm": tuple(sorted(set(values["posts_mm"])))})


def _kiln(values: Values) -> Kiln:
    return Kiln(containers=values.pop("container", ()), **values)


KILN = TableKind(
    "kiln",
    {
        "name": read_name,
        "routes": _served,
        "outdoor": read_flag,
        "place": read_text,
        "atmosphere": choice(Atmosphere),
        "tongs_g": _whole(1, 1_000_000),
        "chamber": _room,
        "furniture": _furniture,
        "container": listed(_room, 20),
        "retired": read_flag,
    },
    ("name", "routes"),
    _kiln,
)


def _label(values: Values) -> LabelStock:
    try:
        return LabelStock(**values)
    except BadStock as refusal:
        says = str(refusal)
        raise Wrong(f"{refusal.fact} cannot stay: {says[0].lower()}{says[1:]}") from None


_SIDE = number(0, LARGEST_PAGE_MM)
LABEL = TableKind(
    "label",
    {
        "name": read_name,
        "label_width_mm": _SIDE,
        "label_height_mm": _SIDE,
        "page_width_mm": _SIDE,
        "page_height_mm": _SIDE,
        "columns": _whole(1, MOST_LABELS),
        "rows": _whole(1, MOST_LABELS),
        "left_mm": _SIDE,
        "top_mm": _SIDE,
        "pitch_x_mm": _SIDE,
        "pitch_y_mm": _SIDE,
    },
    ("name", "label_width_mm", "label_height_mm"),
    _label,
)
"""The studio's own label stock: a sheet, or without a page a roll."""

STUDIO = TableKind(
    "studio",
    {"name": read_name, "timezone": _timezone, "address": _address, "line": read_line},
    ("name", "timezone", "address"),
    lambda values: values,
)


def _group(group: Group) -> Reader:
    """A reader of one group of common practice, such as [practice.logs]."""
    shape = Shape({one.name: _number_of(one) for one in group.numbers})

    def read_group(raw: object) -> Any:  # noqa: ANN401 -- each group is of a kind of its own
        if isinstance(raw, dict) and (strange := [key for key in raw if key not in shape.keys]):
            raise Wrong(not_a_key(strange[0], shape.keys), strange[0])
        return group.of(shape.read(raw))

    return read_group


def _number_of(one: Number) -> Reader:
    return _whole(int(one.least), int(one.most)) if one.whole else number(one.least, one.most)


PRACTICE = TableKind(
    "practice",
    {
        "large_porcelain_mm": _whole(1, 5_000),
        "food_absorption_pct": number(0, 100),
        "foot_clear_mm": _whole(0, 500),
        "tongs_g": _whole(1, 1_000_000),
        "thick_wall_mm": _whole(1, 5_000),
        "glaze_dries_hours": _whole(0, 10_000),
        "glaze_gap_mm": _whole(0, 200),
        "bisque_share_pct": _whole(0, 100),
        "regime": choice(Regime),
        **{group.name: _group(group) for group in GROUPS},
    },
    (),
    lambda values: Practice(**values),
)

LISTS = (CLAY, GLAZE, ROUTE, KILN, LABEL)
MAY_BE_NONE = (GLAZE, LABEL)
"""What a studio can do without at first."""
