"""The form of the studio's practice: its plain numbers, and those of every group of common practice."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from marshmallow import ValidationError, validates_schema

from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.setting_groups import GROUPS, Group, Number
from tracker.domain.studio.settings import Practice
from tracker.forms import fields
from tracker.forms.page_forms import BadForm, FormSchema, read_form
from tracker.forms.studio.catalog_forms import percent, shown

if TYPE_CHECKING:
    from tracker.forms.page_forms import Form
    from tracker.forms.studio.catalog_forms import Shown

_NUMBER = re.compile(r"-?[0-9]{1,6}(?:[.,][0-9]{1,6})?", re.ASCII)


class PracticeForm(FormSchema[Practice]):
    """The numbers that are common practice and a studio's own to choose."""

    makes = Practice
    large_porcelain_mm = fields.whole(1, 5_000, default=Practice().large_porcelain_mm)
    food_absorption_pct = percent()
    foot_clear_mm = fields.whole(0, 500, default=Practice().foot_clear_mm)
    tongs_g = fields.whole(1, 1_000_000, default=Practice().tongs_g)
    thick_wall_mm = fields.whole(1, 5_000, default=Practice().thick_wall_mm)
    glaze_dries_hours = fields.whole(0, 10_000, default=Practice().glaze_dries_hours)
    glaze_gap_mm = fields.whole(0, 200, default=Practice().glaze_gap_mm)
    bisque_share_pct = fields.whole(0, 100, default=Practice().bisque_share_pct)
    regime = fields.choice(Regime)

    @validates_schema(skip_on_field_errors=True)
    def is_whole(self, values: Mapping[str, Any], **_: object) -> None:
        """Refuse a practice without its limit for food."""
        if values["food_absorption_pct"] is None:
            raise ValidationError("Fill this in.", "food_absorption_pct")


def read_practice(form: Form) -> Practice:
    """The practice that was sent, its groups too; `BadForm` with a sentence for every number that is wrong.

    A number of a group that was not sent, or left empty, is common practice.
    """
    problems: dict[str, str] = {}
    groups = {group.name: _read_group(group, form, problems) for group in GROUPS}
    try:
        plain = read_form(PracticeForm(), form)
    except BadForm as bad:
        raise BadForm({**bad.fields, **problems}) from None
    if problems:
        raise BadForm(problems)
    return replace(plain, **groups)


def field_of(group: Group, one: Number) -> str:
    """The name of a number's field on the practice page."""
    return f"{group.name}-{one.name}"


def _read_group(group: Group, form: Form, problems: dict[str, str]) -> Any:  # noqa: ANN401 -- each group is of a kind of its own
    facts: dict[str, float] = {}
    for one in group.numbers:
        name = field_of(group, one)
        text = (form.getlist(name)[0] if name in form else "").strip()
        if not text:
            continue
        told = float(text.replace(",", ".")) if _NUMBER.fullmatch(text) else None
        if told is None or not one.least <= told <= one.most or (one.whole and told != int(told)):
            problems[name] = f"Write {one.bounds}."
        else:
            facts[one.name] = int(told) if one.whole else told
    return group.of(facts)


def shown_practice(practice: Practice) -> Shown:
    """The fields of the form, each as the texts a browser would send."""
    numbers = {
        field_of(group, one): [f"{getattr(getattr(practice, group.name), one.name):.12g}"]
        for group in GROUPS
        for one in group.numbers
    }
    return {**shown(practice), **numbers}
