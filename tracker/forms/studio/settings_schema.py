"""What is told of the studio itself and of its practice: its plain numbers, and those of every group of them."""

from __future__ import annotations

import re
from typing import Any
from zoneinfo import ZoneInfo

from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.setting_groups import GROUPS, Group, Number
from tracker.domain.studio.settings import Practice
from tracker.forms import fields
from tracker.forms.entity import EntitySchema, part
from tracker.forms.fields import FILE, LONGEST_CARD_LINE, PAGE, Typed, fact
from tracker.forms.page_forms import FormSchema
from tracker.forms.plain_values import Wrong, read_name, read_text, shown


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


class StudioSchema(EntitySchema[Any]):
    """The studio itself: its facts are kept with its catalogue."""

    makes = dict
    word = "studio"

    name = fact("Name", fields.name(), within=FILE, must=FILE)
    timezone = fact(
        "Time zone",
        Typed(str, plain=_timezone, takes="its name in the IANA database"),
        within=FILE,
        must=FILE,
        hint="Such as Europe/Lisbon.",
    )
    address = fact(
        "Address",
        Typed(str, plain=_address, takes="an address that begins with https:// or http://"),
        within=FILE,
        must=FILE,
        hint="Where tags lead to.",
    )
    line = fact("Its own line", fields.line(LONGEST_CARD_LINE), within=FILE, hint="At the foot of care cards.")


# ---- practice -------------------------------------------------------------------------------------------------------


def _number(group: Group, one: Number) -> Typed:
    kind = fields.whole(int(one.least), int(one.most)) if one.whole else fields.number(one.least, one.most)
    kind.data_key = f"{group.name}-{one.name}"
    return fact(fields.as_sentence(one.what), kind, unit=one.unit, inputmode="decimal")


def _group(group: Group) -> Typed:
    facts = {one.name: _number(group, one) for one in group.numbers}
    kind: type[EntitySchema[Any]] = type(f"{group.name.title()}Schema", (EntitySchema,), {**facts, "makes": group.kind})
    return fact(group.title, part(kind), hint="Left empty, a number is common practice again.")


class PracticeSchema(EntitySchema[Practice]):
    """The numbers that are common practice and a studio's own to choose; what is left out is common practice."""

    class Meta(FormSchema.Meta):
        """The groups of numbers, a table each."""

        include = {group.name: _group(group) for group in GROUPS}  # noqa: RUF012 -- marshmallow only reads it

    makes = Practice
    word = "practice"

    regime = fact(
        "Whose limits of lead and cadmium count",
        fields.choice(Regime),
        must=PAGE,
        words={str(one): one.in_words for one in Regime},
    )
    food_absorption_pct = fact(
        "The most water that clay for food takes up",
        fields.number(0, 100, unit="%"),
        must=PAGE,
        unit="%",
        hint="3 % is a careful choice: no standard sets a limit for studio tableware.",
    )
    large_porcelain_mm = fact("Porcelain over this counts as large", fields.whole(1, 5_000), unit="mm")
    foot_clear_mm = fact("A foot is wiped clear this far up the side", fields.whole(0, 500), unit="mm")
    tongs_g = fact("The most that tongs should lift", fields.whole(1, 1_000_000), unit="g")
    thick_wall_mm = fact("A wall over this wants long candling", fields.whole(1, 5_000), unit="mm")
    glaze_dries_hours = fact("Glaze dries before an outdoor kiln for", fields.whole(0, 10_000), unit="hours")
    glaze_gap_mm = fact("In a load plan glazed pieces stand apart by", fields.whole(0, 200), unit="mm")
    bisque_share_pct = fact("Of a clay's whole shrinkage the bisque takes", fields.whole(0, 100), unit="%")
