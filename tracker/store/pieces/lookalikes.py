"""Which known pieces look like one that nobody can name: one query over what is under way, ranked by the database."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, and_, case, func, literal, or_, select

from tracker.domain.pieces.nameless import BARE, LATELY, MOST_SHOWN, Sighting, bounds
from tracker.domain.pieces.piece import LINE, Stage
from tracker.domain.studio.materials import Clay
from tracker.store.tables import layers, pieces

_UNDER_WAY = tuple(stage for stage in LINE if stage is not Stage.CLAIMED)


def lookalikes(
    connection: Connection, clays: Mapping[int, Clay], glaze_ids: Mapping[str, int], seen: Sighting, at: datetime
) -> dict[int, tuple[str, ...]]:
    """The numbers of the pieces that answer to `seen`, the likeliest first, each with the names of the traits it lacks.

    Looked through is what is under way and what has gone missing lately, and on request what was taken home lately, so
    the work does not grow with what was finished long ago. Measures must agree; of the other traits a piece may lack
    as many as `seen` forgives.
    """
    traits = {name: case((trait, 0), else_=1).label(name) for name, trait in _traits(clays, glaze_ids, seen)}
    lacks = sum(traits.values(), start=literal(0))
    off = sum(_how_far_off(seen), start=literal(0.0))
    wanted = (
        select(pieces.c.id.label("number"), *traits.values())
        .where(_where_to_look(seen, at), *_measures(seen), lacks <= seen.may_miss)
        .order_by(lacks, off, pieces.c.since.desc(), pieces.c.id.desc())
        .limit(MOST_SHOWN)
    )
    found = connection.execute(wanted).mappings()
    return {row["number"]: tuple(name for name in traits if row[name]) for row in found}


def _where_to_look(seen: Sighting, at: datetime) -> ColumnElement[bool]:
    gone = (Stage.LOST, Stage.CLAIMED) if seen.taken_home else (Stage.LOST,)
    lately = (and_(pieces.c.stage == stage, pieces.c.since >= at - LATELY) for stage in gone)
    return or_(pieces.c.stage.in_(_UNDER_WAY), *lately)


def _measures(seen: Sighting) -> Iterator[ColumnElement[bool]]:
    if seen.height_mm:
        yield pieces.c.height_mm.between(*bounds(seen.height_mm))
    if seen.width_mm:
        # Whoever holds a nameless pot cannot know which side its maker called its width.
        least, most = bounds(seen.width_mm)
        yield or_(pieces.c.width_mm.between(least, most), pieces.c.depth_mm.between(least, most))


def _how_far_off(seen: Sighting) -> Iterator[ColumnElement[Any]]:
    """How far each measure is from what was seen, as a share of it."""
    if seen.height_mm:
        yield func.abs(pieces.c.height_mm - seen.height_mm) * 1.0 / seen.height_mm
    if seen.width_mm:
        sides = [func.abs(side - seen.width_mm) for side in (pieces.c.width_mm, pieces.c.depth_mm)]
        yield case((sides[0] < sides[1], sides[0]), else_=sides[1]) * 1.0 / seen.width_mm


def _traits(
    clays: Mapping[int, Clay], glaze_ids: Mapping[str, int], seen: Sighting
) -> Iterator[tuple[str, ColumnElement[bool]]]:
    """What was told beside the measures: its name, and whether a piece has it."""
    if seen.clay or seen.clay_kind:
        alike = [
            number
            for number, clay in clays.items()
            if clay.name == seen.clay or (not seen.clay and clay.kind is seen.clay_kind)
        ]
        yield "clay", pieces.c.clay_id.in_(alike)
    if seen.glaze:
        worn = select(layers.c.id).where(layers.c.piece_id == pieces.c.id)
        if seen.glaze != BARE:
            yield "glaze", worn.where(layers.c.glaze_id == glaze_ids.get(seen.glaze, -1)).exists()
        else:
            yield "glaze", ~worn.exists()
    if seen.stage:
        yield "stage", pieces.c.stage == seen.stage
    if seen.build:
        yield "build", pieces.c.build == seen.build
    if seen.place:
        yield "place", pieces.c.place.icontains(seen.place, autoescape=True)
