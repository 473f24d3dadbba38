"""The forms about test tiles: what is told of a new one, and what somebody looks for on the glaze shelf."""

from __future__ import annotations

from tracker.domain.message import Message, _
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.materials import Surface
from tracker.domain.studio.swatches import ColorFamily
from tracker.domain.studio.tiles import GlazeSearch, Making
from tracker.forms import fields
from tracker.forms.page_forms import FormSchema


class MakingForm(FormSchema[Making]):
    """On which clay a test tile is, and how it was fired."""

    makes = Making

    clay = fields.line(required=True, needed=Message("clay-needed", _("Choose a clay.")))
    cone = fields.cone()
    atmosphere = fields.choice(Atmosphere, required=False)


class GlazeSearchForm(FormSchema[GlazeSearch]):
    """What somebody looks for on the glaze shelf; the address carries it."""

    makes = GlazeSearch

    words = fields.line(sent_as="find")
    color = fields.choice(ColorFamily, required=False)
    surface = fields.choice(Surface, required=False)
