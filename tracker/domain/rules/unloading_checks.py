"""What to look at when a piece comes out of a kiln that was wrong for it, and what to do with one that came out flawed.

All of it is common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tracker.domain.findings import Finding
from tracker.domain.message import Message, _
from tracker.domain.pieces.outcomes import CRACKS, Flaw, Outcome
from tracker.domain.rules.engine import ABOUT_FOOD

_RAN = Message(
    "check-what-ran",
    _(
        "Look below and around the piece: glaze may have run onto the shelf and its neighbors. Drips are razor-sharp. "
        "Wear gloves."
    ),
)
_COLOR = Message("check-its-color", _("Look at its color: it may have faded, darkened or burned off."))
_OTHER_COLOR = Message("check-for-another-color", _("Look at its color: it may have come out another color."))
_FOOD = Message("check-for-food", _("Set it aside: it isn't for food until the instructor has decided about it."))
_CLOSELY = Message("check-closely", _("Look at it closely before you record how it came out."))
_CHECKS: Mapping[str, Message] = {
    "glaze-melts-off": _RAN,
    "runny-without-catch-plate": _RAN,
    "foot-not-clear": _RAN,
    "raku-foot-runs": _RAN,
    "raku-foot-sticks": _RAN,
    "fired-glaze-in-bisque": _RAN,
    "glaze-in-bisque": _RAN,
    "clay-slumps": Message(
        "check-its-shape",
        _("Look at its shape: it may have slumped or bloated, and lean on its neighbors or the kiln wall."),
    ),
    "overglaze-burns-off": _COLOR,
    "coat-fades": _COLOR,
    "wants-reduction": _OTHER_COLOR,
    "wants-oxidation": _OTHER_COLOR,
    "glaze-underfired": Message(
        "check-whether-it-matured",
        _("Look at its glaze: where it's dull, dry or rough, record it as underfired. Wear gloves to touch it."),
    ),
    **dict.fromkeys(ABOUT_FOOD, _FOOD),
}


def checks_at_unloading(findings: Iterable[Finding]) -> tuple[Message, ...]:
    """What to look at for these findings, each once, in their order."""
    return tuple(dict.fromkeys(_CHECKS.get(one.rule, _CLOSELY) for one in findings))


@dataclass(frozen=True, slots=True)
class Order:
    """What to do with a piece that came out flawed or broken.

    `is_kept` where it doesn't go to the pickup shelf yet, `is_last` where nothing else is done with it: what is bagged
    isn't ground.
    """

    message: Message
    is_kept: bool = False
    is_last: bool = False


_CRACK = Order(Message("lift-with-both-hands", _("Lift it with gloves and both hands: it may come apart there.")))
ORDERS: Mapping[str, Order] = {
    str(Outcome.BROKE): Order(
        Message("keep-the-shards", _("Wear gloves: shards cut. Keep them with its code for its maker.")),
        is_kept=True,
    ),
    Flaw.SHIVERED: Order(
        Message("bag-it", _("Slivers cut: wear gloves and goggles. Bag it. Don't grind it or hand it out.")),
        is_kept=True,
        is_last=True,
    ),
    Flaw.STUCK: Order(
        Message("grind-it-free", _("Don't pry it off while it's warm. Staff grind it free, with goggles and gloves.")),
        is_kept=True,
    ),
    Flaw.RAN: Order(
        Message("grind-drips", _("Drips are razor-sharp: wear gloves. Set it aside for staff to grind, with goggles.")),
        is_kept=True,
    ),
    Flaw.BLISTERED: Order(Message("sharp-blisters", _("Blisters are sharp: wear gloves."))),
    **dict.fromkeys(CRACKS, _CRACK),
}
"""By what is said of a piece, the most dangerous first."""


def stays_by_the_kiln(outcome: Outcome) -> bool:
    """Whether a piece that came out so is put on no shelf: it is bagged, ground free or kept as shards first."""
    said = {str(outcome), *outcome.flaws}
    return any(order.is_kept and value in said for value, order in ORDERS.items())
