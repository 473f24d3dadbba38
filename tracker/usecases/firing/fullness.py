"""How full a planned load makes its kiln: whoever fires it may rather wait for more."""

from __future__ import annotations

from typing import Final

from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message, _
from tracker.domain.quantities import percent
from tracker.domain.studio.settings import Practice
from tracker.store.firing.queries import FiringPage
from tracker.usecases.firing.load_choice import load_kiln, to_load

_PACKED: Final = 0.45
"""So much of a shelf its ware covers when no more goes on: gaps, posts and cones take the rest (from load plans)."""

_WORTH_ASKING: Final = 0.5
"""A kiln is fired full (common practice): what fills less than half of it may wait."""


def kiln_fill(page: FiringPage, practice: Practice) -> float | None:
    """How much of its kiln a load plan fills, from 0 to 1; None without a plan.

    Each level counts by its height and by how much of its shelf is covered. Height over the stack that is too low for
    another shelf counts as filled.
    """
    plan, kiln = page.firing.plan, load_kiln(page.firing, practice)
    if plan is None or not plan.levels or kiln is None:
        return None
    rows = {row.piece.id: row for row in (*page.coming, *page.pieces)}
    heights = [level.post_mm + kiln.shelf_thickness_mm for level in plan.levels]
    shares = [
        sum(
            to_load(rows[place.piece_id].piece, 0, practice, is_raw=place.piece_id in page.raw_ids).footprint.area_mm2
            for place in level.places
            if place.piece_id in rows and place.below not in rows
        )
        / kiln.shelf.area_mm2
        for level in plan.levels
    ]
    used = sum(heights)
    lowest = min(kiln.usable_posts_mm, default=0) + kiln.shelf_thickness_mm
    room = kiln.room_mm if kiln.room_mm - used >= lowest else used
    return sum(min(1.0, share / _PACKED) * height for share, height in zip(shares, heights, strict=True)) / room


def asks_to_wait(page: FiringPage, practice: Practice) -> Message | None:
    """How full a planned kiln is and whether it may wait, where it is less than half full. It is advice."""
    fill = kiln_fill(page, practice)
    if page.firing.stage is not FiringStage.PLANNED or fill is None or fill >= _WORTH_ASKING:
        return None
    words = _("The kiln is about {part} full. Can it wait for more pieces?")
    return Message("kiln-not-full", words, part=percent(fill * 100, 0))
