"""What a change of the catalog makes of each fact that matters: from what to what, such as "top cone 04 → 4"."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tracker.domain.cones import Cone
from tracker.domain.message import Fact, Message, _
from tracker.domain.quantities import celsius, grams, percent

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
    "coat": _("layer"),
    "traits": _("traits"),
    "metals": _("metals"),
    "cones_checked": _("unusual cones confirmed"),
    "routes": _("firings"),
    "outdoor": _("outdoors"),
    "atmosphere": _("atmosphere"),
    "tongs_g": _("tongs lift"),
}
"""What each fact is called on which it depends where a piece may go, in the order in which they are told."""

_MEASURED = {"absorption_pct": percent, "shrinkage_pct": percent, "tongs_g": grams}


def changed_facts(old: Any, new: Any) -> tuple[Message, ...]:  # noqa: ANN401 -- two of the same sort in the catalog
    """Each fact of those that matters and differs between a thing and what becomes of it."""
    told = [name for name in _CALLED if hasattr(old, name)]
    return tuple(
        _changed(name, getattr(old, name), getattr(new, name))
        for name in told
        if getattr(old, name) != getattr(new, name)
    )


def _changed(name: str, old: object, new: object) -> Message:
    fact = Message(f"fact-{name.replace('_', '-')}", _CALLED[name])
    if isinstance(old, Cone) and isinstance(new, Cone):
        words = _("{fact} {old} → {new} ({old_heat} → {new_heat})")
        heats = {"old_heat": celsius(old.celsius), "new_heat": celsius(new.celsius)}
        return Message("cone-changed", words, fact=fact, old=str(old), new=str(new), **heats)
    words = _("{fact} {old} → {new}")
    return Message("fact-changed", words, fact=fact, old=_told(name, old), new=_told(name, new))


_MOST = 8
"""Words of a list that are told."""

_NOTHING = Message("nothing-said", _("not said"))
_NONE = Message("none-said", _("none"))
_FLAGS = {True: Message("flag-yes", _("yes")), False: Message("flag-no", _("no"))}


def _told(name: str, value: Any) -> Fact:  # noqa: ANN401 -- whatever a fact is
    match value:
        case None:
            return _NOTHING
        case bool():
            return _FLAGS[value]
        case frozenset():
            some = tuple(sorted(value))
            more = (Message("more", _("{count} more"), count=len(some) - _MOST),) if len(some) > _MOST else ()
            return (*some[:_MOST], *more) or _NONE
        case int() | float():
            return _MEASURED[name](value)
    fact: Fact = value
    return fact
