"""What the domain's own values are called: stages, steps, roles, traits and the like."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum

from tracker.domain.message import _
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.leach_limits import Metal, Regime, Unit
from tracker.domain.studio.people import Role

# By class first: a value of one StrEnum equals a value of another that has the same text.
NAMES: Mapping[type[Enum], Mapping[Enum, str]] = {
    Stage: {
        Stage.GREENWARE: _("greenware"),
        Stage.BISQUED: _("bisqued"),
        Stage.WAXED: _("waxed"),
        Stage.GLAZED: _("glazed"),
        Stage.QUEUED: _("queued"),
        Stage.FIRED: _("fired"),
        Stage.CLAIMED: _("claimed"),
        Stage.LOST: _("lost"),
    },
    Metal: {Metal.LEAD: _("lead"), Metal.CADMIUM: _("cadmium")},
    Unit: {Unit.MG_L: "mg/L", Unit.MG_DM2: "mg/dm²"},
    Regime: {Regime.US_FDA: "US FDA", Regime.EU: "EU 84/500/EEC", Regime.ISO_6486_2: "ISO 6486-2:1999"},
    Role: {
        Role.STUDENT: _("student"),
        Role.STAFF: _("staff"),
        Role.INSTRUCTOR: _("instructor"),
    },
}
"""The name of each value in small letters, as it is read inside a sentence."""


def name_of(value: Enum) -> str:
    """What `value` is called in English; a value without a name of its own is called by its text."""
    return NAMES.get(type(value), {}).get(value, str(value.value))
