"""Kilns and mixes of pieces for load plans, as `footring plan-load` is told of them."""

from __future__ import annotations

from random import Random
from typing import Any

POSTS_MM = [50, 100, 150, 200, 250, 300, 350]

ROUND_KILN = {
    "shelf": {"round_mm": 560},
    "height_mm": 690,
    "shelf_thickness_mm": 16,
    "posts_mm": POSTS_MM,
    "clearance_top_mm": 30,
    "post_radius_mm": 20,
}
RECTANGULAR_KILN = {
    "shelf": {"width_mm": 610, "depth_mm": 510},
    "height_mm": 900,
    "shelf_thickness_mm": 20,
    "posts_mm": POSTS_MM,
    "clearance_top_mm": 40,
    "post_radius_mm": 20,
}
KILNS = {"round": ROUND_KILN, "rectangular": RECTANGULAR_KILN}

# What a teaching studio makes, in parts of a hundred (common practice): mostly cups, and few tall vases.
_SHARES = {"cup": 40, "bowl": 24, "plate": 12, "vase": 12, "box": 12}


def studio_mix(count: int, seed: int) -> list[dict[str, Any]]:
    """So many pieces as a class makes them, the same for the same seed."""
    lot = Random(f"{count} pieces, mix {seed}")  # noqa: S311 -- pots, not keys
    kinds = lot.choices(list(_SHARES), list(_SHARES.values()), k=count)
    return [{"code": f"P{number:03}", **_sizes(kind, lot)} for number, kind in enumerate(kinds)]


def _sizes(kind: str, lot: Random) -> dict[str, int]:
    match kind:
        case "cup":
            return {"round_mm": lot.randint(75, 100), "height_mm": lot.randint(80, 120)}
        case "bowl":
            return {"round_mm": lot.randint(110, 180), "height_mm": lot.randint(55, 95)}
        case "plate":
            return {"round_mm": lot.randint(140, 250), "height_mm": lot.randint(20, 45)}
        case "vase":
            return {"round_mm": lot.randint(80, 150), "height_mm": round(lot.triangular(100, 260, 150))}
        case _:
            return {
                "width_mm": lot.randint(80, 180),
                "depth_mm": lot.randint(70, 140),
                "height_mm": lot.randint(60, 160),
            }
