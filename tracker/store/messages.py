"""Messages as JSON and back: code, template and typed facts, equal both ways, so that an approval can be compared."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from enum import Enum
from functools import cache
from types import MappingProxyType
from typing import Any

from tracker.domain.cones import Cone, ConeRange
from tracker.domain.firing.firings import FiringStage, FiringStep
from tracker.domain.labels.stock import Paper
from tracker.domain.loading.shelf_shapes import ShelfKind
from tracker.domain.message import ByRole, Choice, Either, Fact, Message, Plural, Sentences, Template
from tracker.domain.outdoor.event_log import Did
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Build, Foot, Stage, StepName, Use
from tracker.domain.quantities import Quantity, Unit, Units
from tracker.domain.studio import leach_limits, leach_tests, metals
from tracker.domain.studio.absorption import Scheme, Soak
from tracker.domain.studio.catalog import ThingKind
from tracker.domain.studio.kilns import Atmosphere, Fuel, RouteKind
from tracker.domain.studio.materials import ClayKind, Coat, Family, FoodStanding, HowOn, Surface, Trait, Zone
from tracker.domain.studio.people import Right, Role

ENUMS: Mapping[str, type[Enum]] = MappingProxyType(
    {
        kind.__qualname__: kind
        for kind in (
            *(
                Atmosphere,
                Build,
                Coat,
                Family,
                FiringStage,
                FiringStep,
                FoodStanding,
                Flaw,
                Foot,
                HowOn,
                Loss,
                Right,
                Role,
                RouteKind,
            ),
            *(Did, Scheme, ShelfKind, Stage, StepName, ThingKind, Trait, Use, Zone),
            *(leach_limits.Decision, metals.Metal, leach_limits.Regime, leach_limits.WareClass),
            *(leach_tests.Standing, leach_tests.VesselKind, leach_tests.Outside),
            *(ClayKind, Fuel, Paper, Soak, Surface, Units),
        )
    }
    | {"LeachUnit": leach_limits.Unit}
)
"""The enums whose values messages carry, by the name they have in the database."""

_RESPELLED = {"press-moulded": "press-molded", "lustre": "luster", "catalogue": "catalog"}
"""How values are spelled now that older lines of history keep in another spelling."""

_NAMES = {kind: name for name, kind in ENUMS.items()}


def plain_of(message: Message) -> dict[str, Any]:
    """A message as JSON takes it."""
    facts = [[name, _fact_plain(fact)] for name, fact in message.facts]
    return {"code": message.code, "facts": facts, "template": _template_plain(message.template)}


def message_of(plain: Mapping[str, Any]) -> Message:
    """A message out of its plain form, equal to the one that went in and worded as it was."""
    facts = {name: _fact_of(fact) for name, fact in plain["facts"]}
    return Message(plain["code"], _template_of(plain["template"]), **facts)


def facts_plain(facts: Mapping[str, Fact]) -> dict[str, Any]:
    """Facts by their names as JSON takes them."""
    return {name: _fact_plain(fact) for name, fact in facts.items()}


def facts_of(plain: Mapping[str, Any]) -> dict[str, Fact]:
    """Facts out of their plain form, equal to those that went in."""
    return {name: _fact_of(fact) for name, fact in plain.items()}


# ---- facts: numbers and text are themselves, everything else an object with the name of its kind ------------------


def _fact_plain(fact: Fact) -> Any:  # noqa: ANN401 -- what JSON takes
    if isinstance(fact, Enum):
        return {"enum": [_NAMES[type(fact)], fact.value]}
    if fact is None or isinstance(fact, str | int | float):
        return fact
    kind: Any = type(fact)
    name = _fact_name(kind)
    return {name: _FACTS[name][1](fact)}


@cache
def _fact_name(kind: type[Any]) -> str:
    """Under which name facts of a kind are kept."""
    return next(name for name, (one, _to, _back) in _FACTS.items() if issubclass(kind, one))


def _fact_of(plain: Any) -> Fact:  # noqa: ANN401 -- as above
    if not isinstance(plain, dict):
        return plain  # type: ignore[no-any-return]  # text, a number or None
    ((name, inside),) = plain.items()
    if name == "enum":
        # Before a piece could have several flaws, what came of it was one word.
        kind, value = inside
        return Outcome.parse(value).message if kind == "Outcome" else ENUMS[kind](_RESPELLED.get(value, value))
    back = _FACTS[name][2]
    return back(inside)


def _many_plain(facts: tuple[Fact, ...]) -> list[Any]:
    return [_fact_plain(one) for one in facts]


def _many_of(plain: list[Any]) -> tuple[Fact, ...]:
    return tuple(_fact_of(one) for one in plain)


_FACTS: Mapping[str, tuple[type, Callable[[Any], Any], Callable[[Any], Fact]]] = {
    "cone": (Cone, str, Cone.parse),
    "cones": (
        ConeRange,
        lambda fact: [str(fact.low), str(fact.high)],
        lambda plain: ConeRange(*map(Cone.parse, plain)),
    ),
    "quantity": (
        Quantity,
        lambda fact: [fact.value, fact.unit.value, fact.digits, *([fact.beside] if fact.beside is not None else [])],
        lambda plain: Quantity(plain[0], Unit(plain[1]), *plain[2:]),
    ),
    "message": (Message, plain_of, message_of),
    "sentences": (
        Sentences,
        lambda fact: [plain_of(one) for one in fact.messages],
        lambda plain: Sentences(tuple(message_of(one) for one in plain)),
    ),
    "either": (Either, lambda fact: _many_plain(fact.facts), lambda plain: Either(_many_of(plain))),
    "list": (tuple, _many_plain, _many_of),
    "moment": (datetime, datetime.isoformat, datetime.fromisoformat),
    "day": (date, date.isoformat, date.fromisoformat),
}


# ---- templates: a text, or an object that says what decides -------------------------------------------------------


def _template_plain(template: Template) -> Any:  # noqa: ANN401 -- what JSON takes
    if isinstance(template, str):
        return template
    if isinstance(template, Plural):
        return {"plural": [template.by, template.one, template.more]}
    if isinstance(template, ByRole):
        roles = {role: _template_plain(one) for role, one in template.roles.items()}
        return {"by_role": [_template_plain(template.everybody), roles]}
    return {"choice": [template.by, {value: _template_plain(one) for value, one in template.templates.items()}]}


def _template_of(plain: Any) -> Template:  # noqa: ANN401 -- as above
    if isinstance(plain, str):
        return plain
    ((name, inside),) = plain.items()
    if name == "plural":
        return Plural(*inside)
    which, several = inside
    templates = {value: _template_of(one) for value, one in several.items()}
    return ByRole(_template_of(which), templates) if name == "by_role" else Choice(which, templates)
