"""What is told of a way of firing and of a kiln with its inside, each fact declared once."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from typing import Any, ClassVar

from tracker.domain.firing.schedules import Schedule
from tracker.domain.message import Either, Message, _
from tracker.domain.quantities import Unit, Units, in_units, mm, out_of_units
from tracker.domain.studio.kilns import Atmosphere, Fuel, Furniture, Kiln, Room, Route, RouteKind
from tracker.domain.studio.segments import BadSchedule, Segment
from tracker.forms import fields
from tracker.forms.entity import EntitySchema, many, part, shape
from tracker.forms.fields import EVERYWHERE, FILE, LINE, PAGE, Typed, Within, fact, invalid
from tracker.forms.lengths import LENGTH_HINT, length_written, read_length
from tracker.forms.numbers import read_number
from tracker.forms.plain_values import (
    WEIGHT_NEEDED,
    Tables,
    Values,
    Wrong,
    above_zero,
    listed,
    number,
    read_name,
    set_of,
    whole,
)
from tracker.forms.studio.cone_checks import cones_checked, must_fit

MOST_MM = 5_000
"""The longest measure in mm that a line may tell; no kiln of a teaching studio is as large (common practice)."""

MOST_G = 500_000
"""The heaviest weight in g that a line may tell; nobody lifts half of it alone (common practice)."""

MOST_CONTAINERS = 20
"""Containers beside one kiln."""

MOST_CONTAINERS_ASKED = 100
"""Containers in a line."""

MOST_POSTS = 40
"""Lengths of post in one kiln."""

MOST_SEGMENTS = 40
"""Lines of one schedule."""


# ---- a way of firing ------------------------------------------------------------------------------------------------

# 100 to 600, hold 20: slow through quartz · 150 °C/h to 900 °C hold 30 min
_SEGMENT = re.compile(
    r"([0-9][0-9.,]{0,9})\s*(?:°?\s*([CF]))?\s*(?:/\s*h|an hour)?\s*to\s*"
    r"([0-9][0-9.,]{0,9}?)\s*(?:°?\s*([CF]))?"
    r"(?:\s*,?\s*hold\s*([0-9]{1,4})\s*(?:min(?:utes)?)?)?(?:\s*[:,]\s*(\S.*))?",
    re.IGNORECASE | re.ASCII,
)


def _segments() -> Typed:
    """A schedule, one segment a line: its rate by the hour, its target, and if wanted its hold and a note."""

    def read(text: str, units: Units) -> tuple[Segment, ...]:
        return tuple(_segment(line.strip(), units) for line in text.splitlines() if line.strip())

    def show(segments: Iterable[Segment], units: Units) -> list[str]:
        text = "\n".join(_segment_in_words(one, units) for one in segments)
        return [text] if text else []

    return Typed(read, default=(), show=show, control="area", by_units=True)


def _segment(line: str, units: Units) -> Segment:
    match = _SEGMENT.fullmatch(line.replace("\u00a0", " "))
    rate, of_rate, target, of_target, hold, note = match.groups() if match else ("",) * 6
    by_the_hour, heat = read_number(rate), read_number(target)
    if by_the_hour is None or heat is None:
        words = _("“{line}” isn't a segment. Write it like “100 °C/h to 600 °C, hold 20: slow through quartz”.")
        raise invalid(Message("segment-unreadable", words, line=line[:40]))
    if scale := of_rate or of_target:
        units = Units.US if scale in "Ff" else Units.METRIC
    return Segment(
        rate_c_per_h=out_of_units(float(by_the_hour), Unit.CELSIUS_PER_HOUR, units),
        target_c=out_of_units(float(heat), Unit.CELSIUS, units),
        hold_min=float(hold or 0),
        note=note or "",
    )


def _segment_in_words(one: Segment, units: Units) -> str:
    rate = round(in_units(one.rate_c_per_h, Unit.CELSIUS_PER_HOUR, units), 2)
    target = round(in_units(one.target_c, Unit.CELSIUS, units), 2)
    hold = f", hold {one.hold_min:g}" if one.hold_min else ""
    note = f": {one.note}" if one.note else ""
    return f"{rate:g} to {target:g}{hold}{note}"


class SegmentSchema(EntitySchema[Segment]):
    """One line of a way of firing's own schedule."""

    makes = Segment
    word = "segment"

    rate_c_per_h = fact(_("Rate"), fields.number(1, 1_000), unit=_("°C an hour"), must=FILE, within=FILE)
    target_c = fact(_("To"), fields.number(1, 1_450), unit="°C", must=FILE, within=FILE)
    hold_min = fact(_("Hold"), fields.number(0, 4_320), unit="min", within=FILE)
    note = fact(_("Note"), fields.line(), within=FILE)


class RouteSchema(EntitySchema[Route]):
    """A way of firing, and the cone by which its queue is judged."""

    makes = Route
    word = "route"

    name = fact(
        _("Name"),
        fields.slug(),
        must=PAGE | FILE,
        fixed=True,
        hint=_("Short name for files and web addresses: lowercase letters, digits and hyphens."),
        maxlength="60",
    )
    title = fact(
        _("Title"), fields.name(), must=PAGE | FILE, hint=_("As people read it, such as Mid-range."), maxlength="60"
    )
    kind = fact(
        _("Kind"),
        fields.choice(RouteKind),
        must=PAGE | FILE,
        fixed=True,
        blank=_("Choose a kind"),
        words={
            "bisque": _("bisque: the first firing"),
            "shelf": _("shelf: glazed pieces on kiln shelves"),
            "raku": _("raku: pulled hot, outdoors"),
            "horsehair": _("horsehair: burnished pieces, outdoors"),
            "overglaze": _("overglaze: luster or china paint over fired glaze"),
            "once-fire": _("once-fire: raw glazed greenware"),
            "pit": _("pit: bare pieces in smoke, outdoors"),
            "soda": _("soda or salt: vapor glazes the pieces"),
            "wood": _("wood: ash glazes the pieces"),
        },
    )
    cone = fact(
        _("Cone"),
        fields.cone(),
        must=PAGE | FILE,
        hint=_("Pieces in this queue are checked against this cone."),
        blank=_("Choose a cone"),
    )
    segments = fact(
        _("Custom firing schedule"),
        many(SegmentSchema, MOST_SEGMENTS, _segments()),
        key="segment",
        hint=Message(
            "segments-hint",
            _(
                "One segment a line, in {rate}, {heat} and minutes: 100 °C/h to 600 °C, hold 20: slow through "
                "quartz. Leave blank for the usual schedule. Raku and horsehair are fired by eye and "
                "have none."
            ),
            rate=Unit.CELSIUS_PER_HOUR,
            heat=Unit.CELSIUS,
        ),
        rows="6",
    )
    shelf = fact(
        _("Cart or shelf"), fields.line(), hint=_("Where pieces for this firing go, such as cart 2."), maxlength="60"
    )
    cones_checked = cones_checked()
    retired = fact(_("Retired"), fields.yes_or_no(), within=FILE)

    @classmethod
    def checked(cls, values: Values, where: Within) -> Values:
        """Refuse segments that make no schedule together."""
        try:
            if segments := values.get("segments"):
                Schedule("", RouteKind.SHELF, values["cone"], segments)
        except BadSchedule as refusal:
            raise Wrong(refusal.message, "segments" if where is PAGE else "segment") from None
        return values

    @classmethod
    def made(cls, values: Values, where: Within) -> Route:
        """The firing type; in a file its cone fits it, or somebody vouches for that."""
        route: Route = super().made(values, where)
        must_fit(route, where)
        return route


# ---- a kiln ---------------------------------------------------------------------------------------------------------

_SIDES = ("round_mm", "width_mm", "depth_mm")
_ROUND, _HALVES, _RECTANGULAR = "round", "halves", "rectangular"
_SIDES_OF: Mapping[str, tuple[str, ...]] = {
    _ROUND: ("round_mm",),
    _HALVES: ("round_mm",),
    _RECTANGULAR: ("width_mm", "depth_mm"),
}


def _shape(sent_as: str, **names: str) -> Typed:
    """Which shape it is; nothing where nobody has measured it."""
    shapes = {name: Message(name, words) for name, words in names.items()}

    def read(text: str) -> str:
        if text.strip() not in shapes:
            choose = Message("no-shape", _("Choose {shapes}."), shapes=Either(tuple(shapes.values())))
            raise invalid(choose)
        return text.strip()

    kind = Typed(read, sent_as=sent_as, control="select")
    kind.choices = [*shapes.items()]
    return kind


def _inner_length(raw: object) -> int:
    """Millimetres inside a room; a broken one does not count, the careful way."""
    length = math.floor(number(0, MOST_MM)(raw))
    if length == 0:
        raise Wrong(Message("inner-length", _("use a length of at least {least}."), least=mm(1)))
    return length


def _free(raw: object) -> int:
    return math.ceil(number(0, MOST_MM)(raw))


class MeasuredSchema(EntitySchema[Any]):
    """Something round, or wide and deep; on a page its `shape` is chosen first, and nothing when it is not measured."""

    asks: ClassVar[tuple[str, ...]] = ()
    ways = (_SIDES_OF[_ROUND], _SIDES_OF[_RECTANGULAR])

    @classmethod
    def checked(cls, values: Values, where: Within) -> Values:
        """Refuse what was measured in part; on a page, sides that are not of the shape do not count."""
        if where is PAGE:
            sides = _SIDES_OF[values["shape"]]
            for name in (*sides, *cls.asks):
                if values[name] is None:
                    words = _("measure this too, or choose “not measured”.")
                    raise Wrong(Message("not-measured", words), name)
            return {name: value for name, value in values.items() if name in sides or name not in {*_SIDES, "shape"}}
        return values

    @classmethod
    def made(cls, values: Values, where: Within) -> Any:  # noqa: ANN401 -- as where it comes from
        """Nothing, where a page says that nobody has measured it."""
        return None if where is PAGE and not values["shape"] else super().made(values, where)

    @classmethod
    def told(cls, entity: Any) -> Values:  # noqa: ANN401 -- a room or furniture
        """Its facts and its shape."""
        halves = getattr(entity, "halves", False)
        shape = _RECTANGULAR if entity.round_mm is None else _HALVES if halves else _ROUND
        return {name: shape if name == "shape" else getattr(entity, name) for name in cls._declared_fields}


class RoomSchema(MeasuredSchema):
    """A chamber or a container: round, or with a width and a depth."""

    makes = Room
    asks = ("height_mm",)

    shape = fact(
        _("Chamber"),
        _shape("shape", round=_("round"), rectangular=_("rectangular")),
        within=PAGE,
        blank=_("not measured"),
    )
    height_mm = fact(
        _("Height"),
        fields.length("height", most=10_000),
        within=EVERYWHERE,
        must=FILE,
        asked=_inner_length,
        hint=_("Inside."),
    )
    round_mm = fact(
        _("Diameter"),
        fields.length("across", most=10_000),
        within=EVERYWHERE,
        asked=_inner_length,
        hint=_("Round chambers only."),
        beside=True,
    )
    width_mm = fact(
        _("Width"),
        fields.length("width", most=10_000),
        within=EVERYWHERE,
        asked=_inner_length,
        hint=_("Rectangular chambers only."),
    )
    depth_mm = fact(
        _("Depth"),
        fields.length("depth", most=10_000),
        within=EVERYWHERE,
        asked=_inner_length,
        hint=_("Rectangular chambers only."),
        beside=True,
    )
    clearance_mm = fact(
        _("Clearance"),
        fields.length("clearance", least=0, most=1_000, zero=""),
        within=EVERYWHERE,
        asked=_free,
        hint=_("Space to leave around and above each piece."),
    )

    @classmethod
    def made(cls, values: Values, where: Within) -> Any:  # noqa: ANN401 -- as where it comes from
        """The room; a line may leave measures out, but not say that it is both round and square, or that it is full."""
        room = super().made(values, where)
        if where is LINE:
            _must_hold_something(room)
        return room


def _must_hold_something(room: Room) -> None:
    if room.round_mm is not None and (room.width_mm is not None or room.depth_mm is not None):
        words = _('Give "round_mm" for a round chamber, or "width_mm" and "depth_mm" for a rectangular one, not both.')
        raise Wrong(Message("round-and-square", words))
    free = room.clearance_mm
    across = [side - 2 * free for side in (room.round_mm, room.width_mm, room.depth_mm) if side is not None]
    if min(across, default=1) <= 0 or (room.height_mm is not None and room.height_mm <= free):
        raise Wrong(
            Message("clearance-too-large", _("a clearance of {clearance} leaves no room in it."), clearance=mm(free))
        )


def _posts() -> Typed:
    """Lengths of post with commas or spaces between them, each once, from short to long."""

    def read(text: str, units: Units) -> tuple[int, ...]:
        # A space before a number parts two lengths, but for the one in 5 7/8.
        written = [part for part in re.split(r"[,;]\s*|\s+(?=[0-9])(?![0-9]+/)", text.strip()) if part]
        if len(written) > MOST_POSTS:
            raise invalid(Message("too-many-posts", _("At most {most} lengths."), most=MOST_POSTS))
        return tuple(sorted({read_length(part, units) for part in written}))

    def plain(raw: object) -> tuple[int, ...]:
        return tuple(sorted(set(listed(whole(1, 2_000), MOST_POSTS)(raw))))

    def show(posts: Iterable[int], units: Units) -> list[str]:
        return [", ".join(dict.fromkeys(length_written(one, units) for one in posts))]

    return Typed(read, default=(), sent_as="posts", plain=plain, show=show, takes="a list of mm", by_units=True)


class FurnitureSchema(MeasuredSchema):
    """What a kiln is stacked with: shelves that are round, or wide and deep, and at least one length of post."""

    makes = Furniture
    asks = ("thickness_mm",)

    shape = fact(
        _("Shelves"),
        _shape("shelf", round=_("round"), halves=_("round, in two halves"), rectangular=_("rectangular")),
        within=PAGE,
        blank=_("not measured"),
    )
    round_mm = fact(_("Shelf diameter"), fields.length("shelf_across", most=10_000), hint=_("Round shelves only."))
    thickness_mm = fact(
        _("Shelf thickness"),
        fields.length("shelf_thick", most=200),
        must=FILE,
        hint=_("Thickness of one kiln shelf."),
        beside=True,
    )
    width_mm = fact(_("Shelf width"), fields.length("shelf_width", most=10_000), hint=_("Rectangular shelves only."))
    depth_mm = fact(
        _("Shelf depth"), fields.length("shelf_depth", most=10_000), hint=_("Rectangular shelves only."), beside=True
    )
    halves = fact(_("In two halves"), fields.yes_or_no(), within=FILE)
    posts_mm = fact(
        _("Posts"),
        _posts(),
        must=FILE,
        hint=Message("posts-hint", _("Post lengths you have, in {unit}, with commas between them."), unit=Unit.MM),
    )
    post_radius_mm = fact(
        _("Post radius"),
        fields.length("post_radius", least=0, most=200),
        hint=Message("post-radius-hint", _("Leave blank for {usual}."), usual=mm(20)),
    )

    @classmethod
    def checked(cls, values: Values, where: Within) -> Values:
        """Refuse halves of what is not round, and shelves without a post."""
        halves = values.get("halves") or values.get("shape") == _HALVES
        values = super().checked(values, where)
        if halves and "round_mm" not in values:
            raise Wrong(Message("halves-not-round", _("only a round shelf comes in halves.")), "halves")
        if not values["posts_mm"]:
            raise Wrong(Message("no-posts", _("enter at least one post length.")), "posts_mm")
        return {**values, "halves": halves}


def _containers() -> Typed:
    """One container a line: height by diameter, or height by width by depth."""

    def read(text: str, units: Units) -> tuple[Room, ...]:
        written = [line for line in text.splitlines() if line.strip()]
        if len(written) > MOST_CONTAINERS:
            words = _("At most {most} bins.")
            raise invalid(Message("too-many-containers", words, most=MOST_CONTAINERS))
        return tuple(_container(line, units) for line in written)

    def show(containers: Iterable[Room], units: Units) -> list[str]:
        text = "\n".join(container_in_words(one, units) for one in containers)
        return [text] if text else []

    return Typed(read, default=(), show=show, control="area", by_units=True)


def _container(line: str, units: Units) -> Room:
    sides = [
        read_length(side, units) for side in re.split(r"\s*(?:[x\u00d7]|\bby\b)\s*", line.strip(), flags=re.IGNORECASE)
    ]
    match sides:
        case [height, across]:
            return Room(height_mm=height, round_mm=across)
        case [height, width, depth]:
            return Room(height_mm=height, width_mm=width, depth_mm=depth)
    words = _("“{line}” isn't a bin. Write height x diameter, or height x width x depth.")
    raise invalid(Message("container-unreadable", words, line=line.strip()[:40]))


def container_in_words(one: Room, units: Units = Units.METRIC) -> str:
    """A container as the form takes it: "400 x 350"."""
    return " x ".join(length_written(side, units) for side in one.sides)


def _served() -> Typed:
    """The ways that a kiln fires, by name, each ticked on a list; at least one."""

    def plain(raw: object) -> frozenset[str]:
        routes = set_of(read_name, 40)(raw)
        if not routes:
            raise Wrong(Message("no-routes", _("a kiln needs at least one route.")))
        return routes

    kind = Typed(frozenset, takes_all=True, plain=plain, takes="a list of names of routes", control="ticks")
    kind.unsent = Message("no-routes", _("Choose at least one firing type."))
    return kind


def _tongs(raw: object) -> int:
    """Grams that tongs lift; a broken gram does not count, the careful way."""
    return max(1, math.floor(above_zero(number(0, MOST_G), WEIGHT_NEEDED)(raw)))


class KilnSchema(EntitySchema[Kiln]):
    """A kiln: which ways it fires, where it is, and what is known of its inside."""

    makes = Kiln
    word = "kiln"

    name = fact(
        _("Name"), fields.name(), within=EVERYWHERE, must=PAGE | FILE, unsaid="this kiln", fixed=True, maxlength="60"
    )
    routes = fact(_("Firing types"), _served(), must=PAGE | FILE)
    outdoor = fact(_("Outdoors"), fields.yes_or_no(), within=EVERYWHERE)
    place = fact(_("Place"), fields.line(), hint=_("Where the kiln is, such as the kiln room."), maxlength="60")
    chamber = fact(
        _("Chamber"),
        part(RoomSchema),
        within=EVERYWHERE,
        asked=shape(RoomSchema, LINE),
        hint=LENGTH_HINT,
    )
    furniture = fact(_("Shelves and posts"), part(FurnitureSchema), hint=_("Used to plan loads."))
    atmosphere = fact(_("Atmosphere"), fields.choice(Atmosphere), within=EVERYWHERE, blank=_("not entered"))
    fuel = fact(
        _("Fuel"),
        fields.choice(Fuel),
        blank=_("not entered"),
        hint=_(
            "Decides which cautions the kiln's pages and papers show. An outdoor kiln, or one "
            "that reduces, counts as gas."
        ),
    )
    tongs_g = fact(
        _("Most weight for its tongs"),
        fields.weight(required=False, most=1_000_000),
        within=EVERYWHERE,
        asked=_tongs,
        legend=_("Raku kilns only"),
        unit="g",
        hint=_("Leave blank for the studio default."),
    )
    containers = fact(
        _("Reduction bins"),
        many(RoomSchema, MOST_CONTAINERS, _containers()),
        key="container",
        within=EVERYWHERE,
        asked=Tables(shape(RoomSchema, LINE), MOST_CONTAINERS_ASKED),
        legend=_("Raku kilns only"),
        hint=Message(
            "containers-hint",
            _("One a line, in {unit}: height x diameter, or height x width x depth."),
            unit=Unit.MM,
        ),
        rows="3",
    )
    retired = fact(_("Retired"), fields.yes_or_no(), within=FILE)

    @classmethod
    def made(cls, values: Values, where: Within) -> Any:  # noqa: ANN401 -- as where it comes from
        """The kiln; of one in a line only the line knows which way it fires."""
        return super().made({"routes": frozenset(), **values}, where)
