"""The forms of the catalogue: a clay, a glaze, a route, a kiln and the studio's practice, each made from what was sent.

What a form does not ask (tests on file, weighings) stays as it was: `made` takes the thing that is to be changed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from enum import StrEnum
from typing import Any

from marshmallow import ValidationError, validates_schema

from tracker.domain.cones import Cone
from tracker.domain.firing.schedules import Programme
from tracker.domain.studio.kilns import Atmosphere, Furniture, Kiln, Room, Route, RouteKind
from tracker.domain.studio.materials import Clay, ClayKind, Coat, Family, FoodStanding, Glaze, HowOn, Trait
from tracker.domain.studio.segments import Segment
from tracker.domain.studio.setting_groups import GROUPS
from tracker.domain.studio.settings import Practice
from tracker.forms import fields
from tracker.forms.fields import Typed
from tracker.forms.lengths import read_length
from tracker.forms.page_forms import FormSchema
from tracker.forms.plain_values import LONGEST_NAME

MOST_CONTAINERS = 20
"""Containers beside one kiln."""

MOST_POSTS = 40
"""Lengths of post in one kiln."""


# ---- fields that only these forms have ------------------------------------------------------------------------------


def _several(kind: type[StrEnum]) -> Typed:
    """Any number of the words of `kind`, each ticked in a box."""
    members = {str(member): member for member in kind}

    def read(texts: list[str]) -> frozenset[StrEnum]:
        if any(text not in members for text in texts):
            raise ValueError(f"Choose among {', '.join(members)}.")
        return frozenset(members[text] for text in texts)

    return Typed(read, default=frozenset(), takes_all=True)


def _names() -> Typed:
    """Names ticked in a list."""
    return Typed(frozenset, default=frozenset(), takes_all=True)


def _words() -> Typed:
    """Words with commas between them: "copper, cobalt"."""

    def read(text: str) -> frozenset[str]:
        words = [" ".join(word.split()) for word in text.split(",") if word.strip()]
        if any(len(word) > LONGEST_NAME for word in words):
            raise ValueError(f"At most {LONGEST_NAME} letters fit into each.")
        return frozenset(words)

    return Typed(read, default=frozenset())


def percent() -> Typed:
    """A percentage with a point or a comma, or None."""

    def read(text: str) -> float:
        match = re.fullmatch(r"[0-9]{1,3}(?:[.,][0-9]{1,4})?", text.strip().removesuffix("%").strip(), re.ASCII)
        value = float(match[0].replace(",", ".")) if match else -1.0
        if not 0 <= value <= 100:  # noqa: PLR2004 -- a percentage
            raise ValueError("A number from 0 to 100 is needed, such as 1.5.")
        return value

    return Typed(read)


def _cone(*, required: bool = True) -> Typed:
    return Typed(lambda text: Cone.parse(text.strip()), required=required)


def _length() -> Typed:
    """A length in either unit system as whole mm, or None."""
    return Typed(read_length)


# 100 to 600, hold 20: slow through quartz · 150 °C/h to 900 °C hold 30 min
_SEGMENT = re.compile(
    r"([0-9]{1,4}(?:[.,][0-9]+)?)\s*(?:°?\s*C)?\s*(?:/\s*h|an hour)?\s*to\s*([0-9]{1,4}(?:[.,][0-9]+)?)\s*(?:°?\s*C)?"
    r"(?:\s*,?\s*hold\s*([0-9]{1,4})\s*(?:min(?:utes)?)?)?(?:\s*[:,]\s*(\S.*))?",
    re.IGNORECASE | re.ASCII,
)


def _segments() -> Typed:
    """A programme, one segment a line: its rate in °C an hour, its target in °C, and if wanted its hold and a note."""

    def read(text: str) -> tuple[Segment, ...]:
        segments = tuple(_segment(line.strip()) for line in text.splitlines() if line.strip())
        if segments:
            # What the lines make together is asked of any cone: only the cone's own check needs the right one.
            Programme("", RouteKind.SHELF, Cone.parse("06"), segments)
        return segments

    return Typed(read, default=())


def _segment(line: str) -> Segment:
    match = _SEGMENT.fullmatch(line.replace("\u00a0", " "))
    if match is None:
        raise ValueError(f"“{line[:40]}” is no segment: write “100 to 600, hold 20: slow through quartz”.")
    rate, target, hold, note = match.groups()
    return Segment(
        rate_c_per_h=float(rate.replace(",", ".")),
        target_c=float(target.replace(",", ".")),
        hold_min=float(hold or 0),
        note=note or "",
    )


def segments_in_words(segments: Iterable[Segment]) -> str:
    """A programme as its form takes it, one segment a line: "100 to 600, hold 20: slow through quartz"."""
    return "\n".join(
        f"{one.rate_c_per_h:g} to {one.target_c:g}"
        + (f", hold {one.hold_min:g}" if one.hold_min else "")
        + (f": {one.note}" if one.note else "")
        for one in segments
    )


def _posts() -> Typed:
    """Lengths of post with commas or spaces between them, each once, from short to long."""

    def read(text: str) -> tuple[int, ...]:
        written = [part for part in re.split(r"[,;\s]+", text.strip()) if part]
        if len(written) > MOST_POSTS:
            raise ValueError(f"At most {MOST_POSTS} lengths fit.")
        return tuple(sorted({read_length(part) for part in written}))

    return Typed(read, default=())


def _containers() -> Typed:
    """One container a line: height by diameter, or height by width by depth."""

    def read(text: str) -> tuple[Room, ...]:
        written = [line for line in text.splitlines() if line.strip()]
        if len(written) > MOST_CONTAINERS:
            raise ValueError(f"At most {MOST_CONTAINERS} containers fit.")
        return tuple(map(_container, written))

    return Typed(read, default=())


def _container(line: str) -> Room:
    sides = [read_length(side) for side in re.split(r"\s*(?:[x\u00d7]|\bby\b)\s*", line.strip(), flags=re.IGNORECASE)]
    match sides:
        case [height, across]:
            return Room(height_mm=height, round_mm=across)
        case [height, width, depth]:
            return Room(height_mm=height, width_mm=width, depth_mm=depth)
    raise ValueError(f"“{line.strip()[:40]}” is no container: write height x diameter, or height x width x depth.")


def _must_rise(values: Mapping[str, Any], low: str, high: str, says: str) -> None:
    cool, hot = values.get(low), values.get(high)
    if cool is not None and hot is not None and cool > hot:
        raise ValidationError(f"{says}: {hot.label} is cooler than {cool.label}.", high)


# ---- the forms ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaySent:
    """A clay as its form sends it."""

    name: str
    kind: ClayKind
    cone_low: Cone
    cone_high: Cone
    slumps_above: Cone | None
    absorption_pct: float | None
    shrinkage_pct: float | None

    def made(self, old: Clay | None) -> Clay:
        """The clay, with the weighings of `old`."""
        facts: dict[str, Any] = {key: getattr(self, key) for key in ClaySent.__slots__}
        return replace(old, **{**facts, "name": old.name}) if old else Clay(**facts)


class ClayForm(FormSchema[ClaySent]):
    """What a clay is, between which cones it matures, and above which it slumps."""

    makes = ClaySent
    name = fields.line(required=True)
    kind = fields.choice(ClayKind)
    cone_low = _cone()
    cone_high = _cone()
    slumps_above = _cone(required=False)
    absorption_pct = percent()
    shrinkage_pct = percent()

    @validates_schema(skip_on_field_errors=True)
    def stands_together(self, values: Mapping[str, Any], **_: object) -> None:
        """Refuse cones out of order, and a clay whose absorption nobody knows."""
        _must_rise(values, "cone_low", "cone_high", "It matures from cool to hot")
        _must_rise(values, "cone_high", "slumps_above", "It slumps above the heat it matures at")
        if values["absorption_pct"] is None and values["kind"] is not ClayKind.UNKNOWN:
            raise ValidationError("Without it nobody knows whether this clay is fit for food.", "absorption_pct")


@dataclass(frozen=True, slots=True, kw_only=True)
class GlazeSent:
    """A glaze as its form sends it."""

    name: str
    family: Family
    cone_low: Cone
    cone_high: Cone
    food: FoodStanding
    coat: Coat
    traits: frozenset[Trait]
    metals: frozenset[str]
    goes_on: frozenset[HowOn]
    bucket: str
    colour: str

    def made(self, old: Glaze | None) -> Glaze:
        """The glaze, with the tests on file of `old`."""
        facts: dict[str, Any] = {key: getattr(self, key) for key in GlazeSent.__slots__}
        return replace(old, **{**facts, "name": old.name}) if old else Glaze(**facts)


class GlazeForm(FormSchema[GlazeSent]):
    """What a glaze is, between which cones it matures, how it behaves, and where it stands."""

    makes = GlazeSent
    name = fields.line(required=True)
    family = fields.choice(Family)
    cone_low = _cone()
    cone_high = _cone()
    food = fields.choice(FoodStanding)
    coat = fields.choice(Coat)
    traits = _several(Trait)
    metals = _words()
    goes_on = _several(HowOn)
    bucket = fields.line()
    colour = fields.line()

    @validates_schema(skip_on_field_errors=True)
    def stands_together(self, values: Mapping[str, Any], **_: object) -> None:
        """Refuse cones out of order."""
        _must_rise(values, "cone_low", "cone_high", "It matures from cool to hot")


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteSent:
    """A route as its form sends it."""

    name: str
    title: str
    kind: RouteKind
    cone: Cone
    segments: tuple[Segment, ...]

    def made(self, old: Route | None) -> Route:
        """The route; one that is changed keeps its name and its kind."""
        if old:
            return replace(old, title=self.title, cone=self.cone, segments=self.segments)
        return Route(name=self.name, title=self.title, kind=self.kind, cone=self.cone, segments=self.segments)


def _slug() -> Typed:
    def read(text: str) -> str:
        if len(text.strip()) > LONGEST_NAME or not re.fullmatch(r"[a-z0-9]+(?:-[a-z0-9]+)*", text.strip(), re.ASCII):
            raise ValueError("It stands in addresses: write it in small letters, digits and single hyphens.")
        return text.strip()

    return Typed(read, required=True)


class RouteForm(FormSchema[RouteSent]):
    """A way of firing, and the cone by which its queue is judged."""

    makes = RouteSent
    name = _slug()
    title = fields.line(required=True)
    kind = fields.choice(RouteKind)
    segments = _segments()
    cone = _cone()


@dataclass(frozen=True, slots=True, kw_only=True)
class KilnSent:
    """A kiln as its form sends it; `shape` is round, rectangular, or empty for a chamber nobody has measured."""

    name: str
    routes: frozenset[str]
    outdoor: bool
    place: str
    shape: str
    height: int | None
    across: int | None
    width: int | None
    depth: int | None
    clearance: int | None
    shelf: str
    shelf_across: int | None
    shelf_width: int | None
    shelf_depth: int | None
    shelf_thick: int | None
    posts: tuple[int, ...]
    post_radius: int | None
    atmosphere: Atmosphere | None
    tongs_g: int | None
    containers: tuple[Room, ...]

    def made(self, old: Kiln | None) -> Kiln:
        """The kiln; one that is changed keeps its name, and stays retired if it was."""
        return Kiln(
            name=old.name if old else self.name,
            routes=self.routes,
            outdoor=self.outdoor,
            place=self.place,
            chamber=self.chamber,
            furniture=self.furniture,
            atmosphere=self.atmosphere,
            tongs_g=self.tongs_g,
            # The form does not ask how much room a container leaves free; what a file said of it stays.
            containers=old.containers if old and _same(old.containers, self.containers) else self.containers,
            retired=bool(old and old.retired),
        )

    @property
    def chamber(self) -> Room | None:
        """The room inside, or None when nobody has measured it."""
        free = self.clearance or 0
        if self.shape == ROUND:
            return Room(height_mm=self.height, round_mm=self.across, clearance_mm=free)
        if self.shape == RECTANGULAR:
            return Room(height_mm=self.height, width_mm=self.width, depth_mm=self.depth, clearance_mm=free)
        return None

    @property
    def furniture(self) -> Furniture | None:
        """What it is stacked with, or None when nobody has measured its shelves."""
        if not self.shelf:
            return None
        across = self.shelf_across if self.shelf in {ROUND, HALVES} else None
        width, depth = (self.shelf_width, self.shelf_depth) if self.shelf == RECTANGULAR else (None, None)
        return Furniture(
            round_mm=across,
            width_mm=width,
            depth_mm=depth,
            halves=self.shelf == HALVES,
            thickness_mm=self.shelf_thick or 0,
            posts_mm=self.posts,
            post_radius_mm=_POST_RADIUS_MM if self.post_radius is None else self.post_radius,
        )


def _same(some: Iterable[Room], others: Iterable[Room]) -> bool:
    return containers_in_words(some) == containers_in_words(others)


ROUND, HALVES, RECTANGULAR = "round", "halves", "rectangular"
_SIDES = {ROUND: ("height", "across"), RECTANGULAR: ("height", "width", "depth")}
_SHELVES = {
    ROUND: ("shelf_across", "shelf_thick"),
    HALVES: ("shelf_across", "shelf_thick"),
    RECTANGULAR: ("shelf_width", "shelf_depth", "shelf_thick"),
}
_POST_RADIUS_MM = 20


class KilnForm(FormSchema[KilnSent]):
    """A kiln: which ways it fires, where it stands, and what is known of its inside."""

    makes = KilnSent
    name = fields.line(required=True)
    routes = _names()
    outdoor = fields.yes_or_no()
    place = fields.line()
    shape = fields.line()
    height = _length()
    across = _length()
    width = _length()
    depth = _length()
    clearance = _length()
    shelf = fields.line()
    shelf_across = _length()
    shelf_width = _length()
    shelf_depth = _length()
    shelf_thick = _length()
    posts = _posts()
    post_radius = _length()
    atmosphere = Typed(lambda text: _word(text, Atmosphere))
    tongs_g = fields.whole(1, 1_000_000)
    containers = _containers()

    @validates_schema(skip_on_field_errors=True)
    def stands_together(self, values: Mapping[str, Any], **_: object) -> None:
        """Refuse a kiln that fires no way, and a chamber that was measured in part."""
        if not values["routes"]:
            raise ValidationError("Tick at least one way of firing.", "routes")
        if values["shape"] not in {"", *_SIDES}:
            raise ValidationError("Choose round or rectangular.", "shape")
        for side in _SIDES.get(values["shape"], ()):
            if values[side] is None:
                raise ValidationError("Measure this too, or choose a chamber that is not measured.", side)
        if values["shelf"] not in {"", *_SHELVES}:
            raise ValidationError("Choose round, in halves or rectangular.", "shelf")
        for side in _SHELVES.get(values["shelf"], ()):
            if values[side] is None:
                raise ValidationError("Measure this too, or choose shelves that are not measured.", side)
        if values["shelf"] and not values["posts"]:
            raise ValidationError("Write at least one length of post.", "posts")


def _word(text: str, kind: type[Atmosphere]) -> Atmosphere:
    if text.strip() not in set(kind):
        raise ValueError(f"Choose one of {', '.join(kind)}.")
    return kind(text.strip())


# ---- and back: what a form shows of a thing that is there -----------------------------------------------------------

Shown = dict[str, list[str]]
_NOT_ASKED = {"tests", "weighings", "chamber", "furniture", "retired", *(group.name for group in GROUPS)}


def shown(thing: Clay | Glaze | Route | Kiln | Practice) -> Shown:
    """The fields of the form for `thing`, each as the texts a browser would send."""
    plain = asdict(thing)
    if isinstance(thing, Kiln):
        plain |= _shown_inside(thing)
    return {
        name: texts
        for name, value in plain.items()
        if name not in _NOT_ASKED and (texts := _texts(getattr(thing, name, value)))
    }


def _shown_inside(kiln: Kiln) -> dict[str, Any]:
    room = kiln.chamber
    inside: dict[str, Any] = {"containers": ""}
    if room is not None:
        inside = {
            "shape": ROUND if room.round_mm is not None else RECTANGULAR,
            "height": room.height_mm,
            "across": room.round_mm,
            "width": room.width_mm,
            "depth": room.depth_mm,
            "clearance": room.clearance_mm or None,
        }
    return inside | _shown_furniture(kiln.furniture)


def _shown_furniture(furniture: Furniture | None) -> dict[str, Any]:
    if furniture is None:
        return {}
    shelf = RECTANGULAR if furniture.round_mm is None else HALVES if furniture.halves else ROUND
    return {
        "shelf": shelf,
        "shelf_across": furniture.round_mm,
        "shelf_width": furniture.width_mm,
        "shelf_depth": furniture.depth_mm,
        "shelf_thick": furniture.thickness_mm,
        "posts": ", ".join(map(str, furniture.posts_mm)),
        "post_radius": furniture.post_radius_mm,
    }


def containers_in_words(containers: Iterable[Room]) -> str:
    """Containers as the form takes them, one a line: "400 x 350"."""
    return "\n".join(" x ".join(map(str, one.sides)) for one in containers)


def _texts(value: object) -> list[str]:
    match value:
        case True:
            return ["yes"]
        case frozenset():
            return sorted(map(str, value))
        case float():
            return [f"{value:.6g}"]
        case tuple() if value and all(isinstance(one, Segment) for one in value):
            return [segments_in_words(value)]
        case tuple() if all(isinstance(one, Room) for one in value):
            return [containers_in_words(value)] if value else []
    return [str(value)] if value or (value == 0 and value is not False) else []
