"""What is told of the studio itself and of its practice: its plain numbers, and those of every group of them."""

from __future__ import annotations

import re
from typing import Any
from zoneinfo import ZoneInfo

from tracker.domain.labels.stock import Paper
from tracker.domain.message import Message, _
from tracker.domain.quantities import Unit, Units
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.setting_groups import GROUPS, Group, Number
from tracker.domain.studio.settings import Practice
from tracker.forms import fields
from tracker.forms.entity import EntitySchema, part
from tracker.forms.fields import FILE, LONGEST_CARD_LINE, PAGE, Typed, Within, fact
from tracker.forms.page_forms import FormSchema
from tracker.forms.plain_values import Values, Wrong, read_name, read_text, shown


def _timezone(raw: object) -> str:
    name = read_name(raw)
    try:
        ZoneInfo(name)
    except (LookupError, ValueError, OSError):
        words = _('"{name}" isn\'t a time zone. Write it like "Europe/Lisbon" or "America/Denver".')
        raise Wrong(Message("no-such-zone", words, name=shown(name))) from None
    return name


def _address(raw: object) -> str:
    address = read_text(raw)
    if not re.fullmatch(r"https?://[A-Za-z0-9.\-]+(?::[0-9]{1,5})?(?:/[A-Za-z0-9._~\-]+)*/?", address):
        words = _('"{address}" isn\'t a web address for tags. Write it like "https://kilns.example.edu".')
        raise Wrong(Message("not-an-address", words, address=shown(address)))
    return address.rstrip("/")


def _currency(raw: object) -> str:
    """A currency as ISO 4217 names it, such as USD; an empty text where costs are plain numbers."""
    text = read_text(raw).strip().upper()
    if text and not re.fullmatch(r"[A-Z]{3}", text, re.ASCII):
        words = _('"{text}" isn\'t a currency. Write its three letters, such as USD or EUR.')
        raise Wrong(Message("not-a-currency", words, text=shown(text)))
    return text


UNITS_IN_WORDS = {"metric": _("°C, mm, g and kg"), "us": _("°F, inches, lb and oz")}
NEWS_IN_WORDS = {"daily": _("Once a day"), "soon": _("Soon after it happens"), "never": _("Never")}
PAPER_IN_WORDS = {"a4": _("A4"), "letter": _("US Letter")}


class StudioSchema(EntitySchema[Any]):
    """The studio itself: its facts are kept with its catalog."""

    makes = dict
    word = "studio"

    @classmethod
    def checked(cls, values: Values, where: Within) -> Values:  # noqa: ARG003 -- as declared
        """A file that says nothing of units is metric; one that says nothing of paper has what goes with its units."""
        units = values.get("units") or Units.METRIC
        paper = values.get("paper") or (Paper.LETTER if units is Units.US else Paper.A4)
        return {**values, "units": units, "paper": paper}

    name = fact(_("Name"), fields.name(), must=PAGE | FILE, maxlength="60")
    timezone = fact(
        _("Time zone"),
        Typed(
            _timezone,
            plain=_timezone,
            takes="its name in the IANA database",
            needed=Message("zone-needed", _("Enter a time zone, such as Europe/Lisbon.")),
        ),
        must=PAGE | FILE,
        hint=_("Such as Europe/Lisbon."),
    )
    address = fact(
        _("Address"),
        Typed(
            _address,
            plain=_address,
            takes="an address that starts with https:// or http://",
            needed=Message("address-needed", _("Enter the web address that tags link to.")),
        ),
        must=PAGE | FILE,
        hint=_("Web address that tags link to."),
    )
    units = fact(
        _("Units"),
        fields.choice(Units, required=False),
        must=PAGE,
        words=UNITS_IN_WORDS,
        hint=_("For everyone who hasn't chosen other units."),
    )
    paper = fact(_("Paper in the printer"), fields.choice(Paper, required=False), must=PAGE, words=PAPER_IN_WORDS)
    currency = fact(
        _("Currency of costs"),
        Typed(_currency, plain=_currency, default="", takes="three letters, or an empty text"),
        hint=_("Three letters, such as USD or EUR. Blank shows costs as plain numbers."),
    )
    line = fact(
        _("Footer line"),
        fields.line(LONGEST_CARD_LINE),
        hint=_("At the foot of care cards."),
        maxlength=str(LONGEST_CARD_LINE),
    )


# ---- practice -------------------------------------------------------------------------------------------------------


def _number(group: Group, one: Number) -> Typed:
    if one.measure is Unit.MM and one.whole:
        kind = fields.length(least=int(one.least), most=int(one.most))
    elif one.whole:
        kind = fields.whole(int(one.least), int(one.most))
    else:
        kind = fields.number(one.least, one.most, measure=one.measure)
    kind.data_key = f"{group.name}-{one.name}"
    return fact(one.what, kind, unit=one.unit, inputmode="decimal")


def _group(group: Group) -> Typed:
    facts = {one.name: _number(group, one) for one in group.numbers}
    kind: type[EntitySchema[Any]] = type(f"{group.name.title()}Schema", (EntitySchema,), {**facts, "makes": group.kind})
    return fact(group.title, part(kind), hint=_("Leave a number blank for the default."))


class PracticeSchema(EntitySchema[Practice]):
    """The numbers that are common practice and a studio's own to choose; what is left out is common practice."""

    class Meta(FormSchema.Meta):
        """The groups of numbers, a table each."""

        include = {group.name: _group(group) for group in GROUPS}  # noqa: RUF012 -- marshmallow only reads it

    makes = Practice
    word = "practice"

    regime = fact(
        _("Lead and cadmium limits to apply"),
        fields.choice(Regime),
        must=PAGE,
    )
    food_absorption_pct = fact(
        _("Highest absorption of clay for food"),
        fields.number(0, 100, unit="%"),
        must=PAGE,
        unit="%",
        hint=_("3% is a careful choice. No standard sets a limit for studio tableware."),
    )
    large_porcelain_mm = fact(_("Large porcelain is over"), fields.length(most=5_000), unit="mm")
    foot_clear_mm = fact(_("Wipe a foot this far up the side"), fields.length(least=0, most=500), unit="mm")
    tongs_g = fact(_("Most weight for the tongs"), fields.weight(required=False, most=1_000_000), unit="g")
    thick_wall_mm = fact(_("A wall thicker than this needs long candling"), fields.length(most=5_000), unit="mm")
    glaze_dries_hours = fact(
        _("Drying time of glaze before an outdoor firing"), fields.whole(0, 10_000), unit=_("hours")
    )
    glaze_gap_mm = fact(_("Gap between glazed pieces in a load plan"), fields.length(least=0, most=200), unit="mm")
    gap_above_mm = fact(_("Gap above each piece in a glaze load"), fields.length(least=0, most=200), unit="mm")
    bisque_gap_above_mm = fact(_("Gap above each piece in a bisque load"), fields.length(least=0, most=200), unit="mm")
    cookie_margin_mm = fact(_("Width of a kiln cookie around a piece"), fields.length(least=0, most=200), unit="mm")
    cookie_thickness_mm = fact(_("Thickness of a kiln cookie"), fields.length(least=0, most=100), unit="mm")
    bisque_share_pct = fact(_("Share of shrinkage that happens in the bisque"), fields.whole(0, 100), unit="%")
