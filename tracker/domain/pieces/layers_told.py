"""The layers of a piece in words: what lies over what, and where on the piece where that differs."""

from __future__ import annotations

from collections.abc import Iterable

from tracker.domain.message import Message, _
from tracker.domain.studio.materials import Layer, Zone

_FROM_INSIDE = (Zone.ALL_OVER, Zone.INSIDE, Zone.LIP, Zone.OUTSIDE, Zone.FOOT)


def layers_told(layers: Iterable[Layer]) -> Message | None:
    """The layers zone by zone, the top one first: "Ash over Slip (inside) and Moss (outside)"; None without any.

    What is inside and outside alike needs no zones. Only layers of one zone lie one over another.
    """
    on = tuple(layers)
    zones: dict[tuple[str, ...], list[Zone]] = {}
    for zone in _FROM_INSIDE:
        if there := tuple(dict.fromkeys(layer.glaze.name for layer in on if layer.zone is zone)):
            zones.setdefault(there, []).append(zone)
    if not zones:
        return None
    if len(zones) == 1 and _is_all_round(*zones.values()):
        return _one_over_another(*zones)
    words = _("{glaze} ({zones})")
    told = (
        Message("glazed-there", words, glaze=_one_over_another(names), zones=tuple(there))
        for names, there in zones.items()
    )
    return Message("glazed-with", "{glaze}", glaze=tuple(told))


def _is_all_round(zones: list[Zone]) -> bool:
    return Zone.ALL_OVER in zones or {Zone.INSIDE, Zone.OUTSIDE} <= set(zones)


def _one_over_another(names: tuple[str, ...]) -> Message:
    """Coats of one zone, of which the first went on first."""
    lowest, *others = names
    on_it = Message("glazed-with", "{glaze}", glaze=lowest)
    for glaze in others:
        on_it = Message("glazed-over", _("{glaze} over {below}"), glaze=glaze, below=on_it)
    return on_it
