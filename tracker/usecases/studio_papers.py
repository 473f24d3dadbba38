"""The labels of the studio's own things in words: shelves, buckets, kiln doors, badges and containers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printing.studio_labels import Bucket, bucket_label, shelf_label
from tracker.domain.materials import Coat
from tracker.domain.rules.rule import listed
from tracker.domain.studio_bars import Sort, bar_text
from tracker.usecases.wall_chart import food_in_words, never

if TYPE_CHECKING:
    from printing.labels import Label
    from tracker.domain.materials import Glaze
    from tracker.domain.release_limits import Regime

DUST = "The dust is not for breathing: clean up wet, and keep the lid on. Wash your hands before you eat."
HOW_A_SHELF_IS_SCANNED = "Scan me, then every piece that stands here."


def shelf(name: str) -> Label:
    """The label of a shelf or a ware board."""
    return shelf_label(name, bar_text(Sort.SHELF, name), HOW_A_SHELF_IS_SCANNED)


def bucket(glaze: Glaze, regime: Regime) -> Label:
    """The label of a glaze's bucket; what its dust holds is named, and nothing is promised of food."""
    coat = str(glaze.family) if glaze.coat is Coat.GLAZE else f"{glaze.family} {glaze.coat}"
    if glaze.burns_away:
        return bucket_label(
            Bucket(
                name=glaze.name,
                family="wax",
                matures="burns away in any fire",
                goes_on=", ".join(sorted(glaze.goes_on)),
                food="nothing of it stays",
                stands=glaze.bucket,
                bar=bar_text(Sort.BUCKET, glaze.name),
            )
        )
    return bucket_label(
        Bucket(
            name=glaze.name,
            family=coat,
            matures=glaze.range_in_words,
            goes_on=", ".join(sorted(glaze.goes_on)),
            food=food_in_words(glaze, regime),
            never=tuple(_with_a_capital(one) for one in never(glaze, regime)),
            metals=listed(sorted(glaze.metals)) if glaze.metals else "",
            stands=glaze.bucket,
            dust=DUST,
            bar=bar_text(Sort.BUCKET, glaze.name),
        )
    )


def _with_a_capital(text: str) -> str:
    return text[:1].upper() + text[1:]
