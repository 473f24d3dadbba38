"""Loads as a file asks for them, and their plans."""

from __future__ import annotations

import json
from typing import Any

from tests.domain.loading.load_mixes import ROUND_KILN
from tests.reading import said
from tracker.domain.loading.planner import plan_firings
from tracker.forms.loading.load_file import LoadAsked, plan_as_json, read_load


def asked_for(pieces: list[dict[str, Any]], gap_mm: float = 0, **kiln: object) -> dict[str, Any]:
    """What a file asks: the round kiln with some of it changed, and these pieces."""
    return {"kiln": {**ROUND_KILN, **kiln}, "gap_mm": gap_mm, "pieces": pieces}


def read(asked: dict[str, Any]) -> LoadAsked:
    """The same as the values that plans are made of."""
    return read_load(json.dumps(asked))


def planned(asked: dict[str, Any]) -> dict[str, Any]:
    """The plan of as many firings as it takes, as a file says it."""
    values = read(asked)
    return plan_as_json(plan_firings(values.kiln, values.gap_mm, values.pieces, may_nest=values.bisque), said)


def cups(count: int, **more: object) -> list[dict[str, Any]]:
    """So many cups of 90 mm."""
    return [{"code": f"C{number:03}", "round_mm": 90, "height_mm": 90, **more} for number in range(count)]


def levels(plan: dict[str, Any]) -> list[float]:
    """The posts of all levels of all firings."""
    return [shelf["post_mm"] for firing in plan["firings"] for shelf in firing["shelves"]]
