"""What a change of the catalog makes of each fact that matters: from what to what, such as "top cone 04 → 4"."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from tracker.domain.cones import Cone
from tracker.domain.message import Fact, Message, _
from tracker.domain.quantities import Quantity, celsius, grams, hours, mm, percent
from tracker.domain.studio.setting_groups import GROUPS, Number
from tracker.domain.studio.settings import Practice

_CALLED: Mapping[str, str] = {
    "kind": _("kind"),
    "family": _("family"),
    "cone": _("cone"),
    "cone_low": _("lowest cone"),
    "cone_high": _("top cone"),
    "slumps_above": _("slumps above"),
    "absorption_pct": _("absorption"),
    "shrinkage_pct": _("shrinkage"),
    "food": _("food"),
    "coat": _("type"),
    "traits": _("traits"),
    "metals": _("metals"),
    "cones_checked": _("unusual cones confirmed"),
    "routes": _("firings"),
    "outdoor": _("outdoors"),
    "atmosphere": _("atmosphere"),
    "tongs_g": _("tongs lift"),
    "place": _("place"),
    "fuel": _("fuel"),
}
"""What each fact is called on which it depends where a piece may go, in the order in which they are told."""

_PARTS: Mapping[str, Mapping[str, str]] = {
    "chamber": {
        "height_mm": _("chamber height"),
        "round_mm": _("chamber diameter"),
        "width_mm": _("chamber width"),
        "depth_mm": _("chamber depth"),
        "clearance_mm": _("chamber clearance"),
    },
    "furniture": {
        "round_mm": _("shelf diameter"),
        "width_mm": _("shelf width"),
        "depth_mm": _("shelf depth"),
        "halves": _("half shelves"),
        "thickness_mm": _("shelf thickness"),
        "posts_mm": _("posts"),
        "post_radius_mm": _("post radius"),
    },
}
"""What is told of the inside of a kiln, part by part."""

_SETTINGS: Mapping[str, str] = {
    "regime": _("lead and cadmium limits"),
    "food_absorption_pct": _("food absorption"),
    "large_porcelain_mm": _("large porcelain"),
    "foot_clear_mm": _("foot clearance"),
    "tongs_g": _("tongs lift"),
    "thick_wall_mm": _("thick wall"),
    "glaze_dries_hours": _("glaze drying"),
    "glaze_gap_mm": _("gap between glazed pieces"),
    "gap_above_mm": _("gap above a piece in a glaze load"),
    "bisque_gap_above_mm": _("gap above a piece in a bisque load"),
    "cookie_margin_mm": _("cookie width around a piece"),
    "cookie_thickness_mm": _("cookie thickness"),
    "bisque_share_pct": _("shrinkage in the bisque"),
}
"""What each setting is called that is no part of a group."""

_MEASURED: Mapping[str, Callable[[float], Quantity]] = {"pct": percent, "g": grams, "mm": mm, "hours": hours}
"""How the number of a fact is said, by how its name ends."""


def changed_facts(old: Any, new: Any) -> tuple[Message, ...]:  # noqa: ANN401 -- two of the same sort in the catalog
    """Each fact of those that matters and differs between a thing and what becomes of it."""
    told = _differing(_CALLED, old, new)
    inside = [
        one
        for part, called in _PARTS.items()
        if hasattr(old, part)
        for one in _differing(called, getattr(old, part), getattr(new, part))
    ]
    if getattr(old, "containers", ()) != getattr(new, "containers", ()):
        inside.append(Message("bins-changed", _("bins changed")))
    return (*told, *inside)


def changed_settings(old: Practice, new: Practice) -> tuple[Message, ...]:
    """Each studio setting that differs, from what to what: its plain numbers, then those of every group."""
    told = list(_differing(_SETTINGS, old, new))
    for group in GROUPS:
        was, becomes = group.told(old), group.told(new)
        for one in group.numbers:
            if was[one.name] != becomes[one.name]:
                said = [_number(one, number[one.name]) for number in (was, becomes)]
                fact = Message("setting", "{what}", what=Message(f"setting-{one.name.replace('_', '-')}", one.what))
                words = _("{fact} {old} → {new}")
                told.append(Message("fact-changed", words, fact=fact, old=said[0], new=said[1]))
    return tuple(told)


def _number(number: Number, value: float) -> Fact:
    if number.measure is not None:
        return Quantity(value, number.measure, 1)
    return Message("number-with-unit", number.counted or "{value} {unit}", value=value, unit=number.unit)


def _differing(called: Mapping[str, str], old: object, new: object) -> tuple[Message, ...]:
    """Each fact of these that differs; of a part that isn't there nothing is said."""
    pairs = [(name, getattr(old, name, None), getattr(new, name, None)) for name in called]
    return tuple(_changed(name, called[name], was, becomes) for name, was, becomes in pairs if was != becomes)


def _changed(name: str, called: str, old: object, new: object) -> Message:
    fact = Message(f"fact-{name.replace('_', '-')}", called)
    if isinstance(old, Cone) and isinstance(new, Cone):
        words = _("{fact} {old} → {new} ({old_heat} → {new_heat})")
        heats = {"old_heat": celsius(old.celsius), "new_heat": celsius(new.celsius)}
        return Message("cone-changed", words, fact=fact, old=str(old), new=str(new), **heats)
    words = _("{fact} {old} → {new}")
    return Message("fact-changed", words, fact=fact, old=_told(name, old), new=_told(name, new))


_MOST = 8
"""Words of a list that are told."""

_NOTHING = Message("nothing-said", _("blank"))
_NONE = Message("none-said", _("none"))
_FLAGS = {True: Message("flag-yes", _("yes")), False: Message("flag-no", _("no"))}


def _told(name: str, value: Any) -> Fact:  # noqa: ANN401 -- whatever a fact is
    match value:
        case None | "":
            return _NOTHING
        case bool():
            return _FLAGS[value]
        case frozenset():
            some = tuple(sorted(value))
            more = (Message("more", _("{count} more"), count=len(some) - _MOST),) if len(some) > _MOST else ()
            return (*some[:_MOST], *more) or _NONE
        case int() | float():
            return _MEASURED[name.rpartition("_")[2]](value)
        case tuple():
            return tuple(mm(one) for one in value) or _NONE
    fact: Fact = value
    return fact
