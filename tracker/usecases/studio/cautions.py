"""The cautions that stand wherever a hot decision is shown or printed: they defer to local rules and to people."""

from __future__ import annotations

from typing import Final

from tracker.domain.message import _

HOT_WORK: Final = _(
    "Local fire and burning rules, the instructions of the fuel supplier and the kiln maker, and the licensed or "
    "responsible person come before anything shown here. Gloves, face shield, shaded eye protection, natural-fibre "
    "clothes, tied hair. Clear ground and an extinguisher at hand. Nobody works alone and no kiln is left alone."
)

OUTDOORS_FIRST: Final = _(
    "Local fire and burning rules, the instructions of the fuel supplier and the kiln maker, and the licensed or "
    "responsible person come before anything shown here."
)

OUTDOORS: Final = _(
    "Gloves, face shield, shaded eye protection, natural-fibre clothes, tied hair. Clear ground, an extinguisher at "
    "hand, and a named person at the water hose. Nobody works alone and no kiln is left alone. Smoke is not breathed: "
    "stand upwind."
)

FOR_THE_SHEET: Final = (
    OUTDOORS_FIRST,
    _("Gloves, face shield, shaded eye protection, natural-fibre clothes, closed shoes, tied hair for everybody near."),
    _("The person named at the water hose does nothing else. An extinguisher stands within reach."),
    _("Clear ground round kiln and containers, nothing overhead. Nobody works alone; no kiln is left alone."),
    _("Stand upwind of smoke, and lift a lid away from your face: it may flare up."),
)

FUMES: Final = _(
    "A kiln that is on gives off fumes and may give off carbon monoxide: the room is aired, its hood draws, an alarm "
    "works. Wipe up wet; the dust of clay, glaze and kiln wash holds silica."
)
