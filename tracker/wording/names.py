"""What the domain's own values are called: stages, steps, roles, traits and the like."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum

from tracker.domain.message import _
from tracker.domain.pieces.piece import Foot, Stage, StepName, Use
from tracker.domain.studio.catalog import ThingKind
from tracker.domain.studio.leach_limits import Metal, Regime, Unit
from tracker.domain.studio.materials import Zone
from tracker.domain.studio.people import Right, Role

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
    StepName: {
        StepName.REGISTER: _("register"),
        StepName.BISQUE: _("bisque"),
        StepName.WAX: _("wax"),
        StepName.GLAZE: _("glaze"),
        StepName.SET_RIGHT: _("set right"),
        StepName.QUEUE: _("queue"),
        StepName.PULL_BACK: _("pull back"),
        StepName.SHELVE: _("shelve"),
        StepName.ACCEPT: _("accept"),
        StepName.FIRE: _("fire"),
        StepName.CLAIM: _("claim"),
        StepName.WASH_OFF: _("wash off"),
        StepName.FIRE_AGAIN: _("fire again"),
        StepName.LOSE: _("lose"),
        StepName.FIND: _("find"),
        StepName.CORRECT: _("correct"),
    },
    Use: {Use.FOOD: _("food"), Use.DECORATIVE: _("decorative")},
    Foot: {
        Foot.WAXED: _("waxed"),
        Foot.WIPED: _("wiped"),
        Foot.BARE: _("bare"),
        Foot.GLAZED: _("glazed"),
        Foot.STILTED: _("stilted"),
    },
    Zone: {Zone.INSIDE: _("inside"), Zone.OUTSIDE: _("outside"), Zone.LIP: _("lip"), Zone.FOOT: _("foot")},
    ThingKind: {
        ThingKind.CLAY: _("clay"),
        ThingKind.GLAZE: _("glaze"),
        ThingKind.ROUTE: _("route"),
        ThingKind.KILN: _("kiln"),
    },
    Right: {
        Right.REGISTER: _("register a piece"),
        Right.WORK_ON: _("wax, glaze or wash off a piece, and set right what is known of it"),
        Right.ASK: _("put a question on a piece"),
        Right.SEE_OWN: _("see a piece of their own"),
        Right.SEE_ALL: _("see every piece"),
        Right.MOVE: _("move pieces between stages"),
        Right.FIRE: _("load and unload kilns"),
        Right.HAND_OVER: _("hand a piece to its maker"),
        Right.DECIDE: _("answer questions and allow what the rules leave open"),
        Right.CORRECT: _("correct a stage or send a piece to be fired again"),
        Right.CATALOGUE: _("change clays, glazes, routes and kilns"),
        Right.PEOPLE: _("see and change who is in the studio"),
    },
}
"""The name of each value in small letters, as it is read inside a sentence."""


def name_of(value: Enum) -> str:
    """What `value` is called in English; a value without a name of its own is called by its text."""
    return NAMES.get(type(value), {}).get(value, str(value.value))
