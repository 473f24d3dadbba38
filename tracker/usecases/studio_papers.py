"""The labels of the studio's own things in words: shelves, buckets, kiln doors, badges and containers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printing.studio_labels import shelf_label
from tracker.domain.studio_bars import Sort, bar_text

if TYPE_CHECKING:
    from printing.labels import Label

HOW_A_SHELF_IS_SCANNED = "Scan me, then every piece that stands here."


def shelf(name: str) -> Label:
    """The label of a shelf or a ware board."""
    return shelf_label(name, bar_text(Sort.SHELF, name), HOW_A_SHELF_IS_SCANNED)
