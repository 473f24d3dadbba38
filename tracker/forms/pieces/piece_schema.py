"""What is told of a piece: on the forms for a new one and for what is known after all, and in a line to be judged."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from tracker.domain.message import Message, _
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.outcomes import Flaw, in_order
from tracker.domain.pieces.piece import Build, Foot, Use, Ware
from tracker.domain.studio.materials import Layer, Zone
from tracker.forms import fields
from tracker.forms.entity import EntitySchema, shape
from tracker.forms.fields import LINE, LONGEST_SCAN, PAGE, Typed, Within, fact
from tracker.forms.page_forms import FormSchema
from tracker.forms.plain_values import (
    LENGTH_NEEDED,
    WEIGHT_NEEDED,
    Tables,
    Values,
    above_zero,
    choice,
    listed,
    number,
    read_cone_or_nothing,
)
from tracker.forms.studio.kiln_schemas import MOST_G, MOST_MM
from tracker.forms.studio.material_schemas import ClaySchema, GlazeSchema

MOST_LAYERS = 40
"""Layers on a piece in a line."""


class LayerSchema(EntitySchema[Layer]):
    """One coat on a piece."""

    makes = Layer

    glaze = fact(_("Glaze"), Typed(str), within=LINE, must=LINE, asked=shape(GlazeSchema, LINE))
    zone = fact(_("Zone"), fields.choice(Zone), within=LINE, unsaid=Zone.OUTSIDE)
    fired = fact(_("Fired to"), fields.cone(), within=LINE, asked=read_cone_or_nothing)

    @classmethod
    def made(cls, values: Values, where: Within) -> Layer:  # noqa: ARG003 -- layers stand in lines alone
        """The layer; in a line what it was fired to is called `fired`."""
        return Layer(values["glaze"], values["zone"], values.get("fired"))


_read_length = above_zero(number(0, MOST_MM), LENGTH_NEEDED)
_read_weight = above_zero(number(0, MOST_G), WEIGHT_NEEDED)


def _length(raw: object) -> int:
    """A length in a line; a broken millimetre counts as a whole one, the careful way."""
    return math.ceil(_read_length(raw))


def _weight(raw: object) -> int:
    """Grams in a line; a broken gram of a piece counts as a whole one, the careful way."""
    return math.ceil(_read_weight(raw))


def _asked_flaws(raw: object) -> tuple[Flaw, ...]:
    """Flaws in a line: their words may be joined by a hyphen, a space or an underscore."""
    return in_order(_listed_flaws(raw))


_flaw = choice(Flaw)
_listed_flaws = listed(
    lambda raw: _flaw(raw.replace(" ", "-").replace("_", "-").lower() if isinstance(raw, str) else raw), len(Flaw) * 2
)


class PieceSchema(EntitySchema[Any]):
    """Every fact of a piece, which a line makes a `Ware` of; the form for new ones takes those that a page tells.

    On a page lengths and its weight may be typed in either unit system.
    """

    makes = Ware

    what = fact(_("Name"), fields.line(needed=Message("name-needed", _("Enter a name."))), within=PAGE, must=PAGE)
    clay = fact(
        _("Clay"),
        fields.line(needed=Message("clay-needed", _("Choose a clay."))),
        within=PAGE | LINE,
        must=PAGE | LINE,
        asked=shape(ClaySchema, LINE),
    )
    layers = fact(
        _("Layers, bottom layer first"),
        Typed(tuple, default=()),
        within=LINE,
        asked=Tables(shape(LayerSchema, LINE), MOST_LAYERS),
    )
    build = fact(_("Made by"), fields.choice(Build), within=PAGE | LINE, must=PAGE)
    use = fact(_("Use"), fields.choice(Use), within=PAGE | LINE, must=PAGE)
    height_mm = fact(_("Height"), fields.length("height"), within=PAGE | LINE, must=PAGE, asked=_length)
    width_mm = fact(_("Width"), fields.length("width"), within=PAGE | LINE, must=PAGE, asked=_length)
    depth_mm = fact(_("Depth"), fields.length("depth"), within=PAGE | LINE, must=PAGE, asked=_length)
    weight_g = fact(_("Weight"), fields.weight("weight"), within=PAGE | LINE, asked=_weight)
    wall_mm = fact(_("Thickest wall"), fields.length("wall"), within=PAGE | LINE, asked=_length)
    vented = fact(_("Open, or closed with a vent hole"), fields.vented("form"), within=PAGE | LINE)
    fragile = fact(_("Thin parts that stick out"), fields.yes_or_no(), within=PAGE | LINE)
    burnished = fact(_("Burnished"), fields.yes_or_no(), within=PAGE | LINE)
    mended = fact(_("Cracked or mended"), fields.yes_or_no(), within=PAGE)
    nests = fact(_("Nests in a bisque"), fields.yes_or_no(), within=PAGE)
    fired_to = fact(_("Fired to"), fields.cone(), within=LINE, asked=read_cone_or_nothing)
    result = fact(_("Flaws from its last firing"), fields.several_of(Flaw), within=LINE, asked=_asked_flaws)
    dry = fact(_("Bone dry"), fields.yes_or_no(), within=LINE)
    foot = fact(_("Foot"), fields.choice(Foot), within=LINE)
    catch_plate = fact(_("On a kiln cookie"), fields.yes_or_no(default=None), within=LINE)
    container_fits = fact(_("Fits in a bin"), fields.yes_or_no(), within=LINE)
    supervised = fact(_("Maker works under supervision"), fields.yes_or_no(), within=LINE)
    arrives_bisqued = fact(_("Already bisque-fired"), fields.yes_or_no(), within=PAGE)
    maker_id = fact(_("Maker"), fields.whole(), within=PAGE)
    set_name = fact(_("Set"), fields.line(sent_as="set"), within=PAGE)
    belongs_with = fact(_("Same set as"), fields.line(LONGEST_SCAN), within=PAGE)

    @classmethod
    def checked(cls, values: Values, where: Within) -> Values:
        """The facts; a line tells flaws as the result of a firing."""
        if where is LINE and "result" in values:
            values["flaws"] = values.pop("result")
        return values


# ---- what is known of a piece after all --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldAgain:
    """What is known of a piece after all, what it fires together with, and the version that the page showed.

    `clay` is the name of the one it is made of; empty leaves it.
    """

    told: Told
    clay: str
    belongs_with: str
    seen: int | None


_FACTS = {**PieceSchema.facts(LINE), **PieceSchema.facts(PAGE)}


class ToldForm(FormSchema[ToldAgain]):
    """What is known of a piece; a field left empty leaves its fact alone."""

    class Meta(FormSchema.Meta):
        """The facts of a piece that may be told later."""

        include = {  # noqa: RUF012 -- marshmallow only reads it
            name: _FACTS[name].optional()
            for name in (
                *("what", "clay", "build", "use", "height_mm", "width_mm", "depth_mm", "weight_g", "wall_mm", "vented"),
                *("fragile", "burnished", "mended", "nests", "foot", "catch_plate", "belongs_with"),
            )
        }

    # The one fact that may be taken back: a field that was emptied says that the piece belongs to no set.
    set_name = fields.line(default=None, sent_as="set", as_typed=True)
    seen = fields.seen()

    @staticmethod
    def makes(*, clay: str | None, belongs_with: str, seen: int | None, **facts: Any) -> ToldAgain:  # noqa: ANN401 -- each fact has its own type
        """Keep what was told apart from the version."""
        return ToldAgain(told=Told(**facts), clay=clay or "", belongs_with=belongs_with, seen=seen)
