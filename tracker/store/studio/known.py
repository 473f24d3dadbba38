"""The catalog as the store knows it: with the numbers its things have in the tables."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.materials import Clay, Glaze


@dataclass(frozen=True, slots=True)
class Known:
    """The catalog with the numbers its things have in the tables."""

    version: str
    studio: Studio
    clays: Mapping[int, Clay]
    glazes: Mapping[int, Glaze]
    clay_ids: Mapping[str, int]
    glaze_ids: Mapping[str, int]
