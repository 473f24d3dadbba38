"""Writing a changed catalog in the one order that the heat guard lets through.

A piece's ceiling is held at or under its clay's and its glazes', a queue's heat at or under its pieces' ceilings. So
heats of routes fall first, then pieces' ceilings, then those of the materials; and they rise the other way round.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy import Connection, Table, and_, bindparam, case, false, func, insert, or_, select, true, update

from tracker.domain.studio.catalog import Catalog, Studio
from tracker.store.mappers import clay_row, glaze_row, kiln_row, labels_text, practice_text, route_row
from tracker.store.studio.known import Known
from tracker.store.tables import clays, glazes, house, kiln_routes, kilns, layers, pieces, routes

Row = dict[str, Any]

_WEARING = select(layers.c.piece_id).where(layers.c.glaze_id == bindparam("of"))
_LOWER_BY_CLAY = (
    update(pieces)
    .where(pieces.c.clay_id == bindparam("of"), pieces.c.ceiling > bindparam("limit"))
    .values(ceiling=bindparam("limit"))
)
_LOWER_BY_GLAZE = (
    update(pieces)
    .where(pieces.c.id.in_(_WEARING), pieces.c.ceiling > bindparam("limit"))
    .values(ceiling=bindparam("limit"))
)
_TO_OUTDOORS = (
    update(pieces).where(pieces.c.id.in_(_WEARING), pieces.c.outdoor_only == false()).values(outdoor_only=true())
)
_WORN = layers.c.piece_id == pieces.c.id
_LEAST_WORN = select(func.min(layers.c.glaze_ceiling)).where(_WORN).scalar_subquery()
_WEARS_OUTDOOR = select(layers.c.id).where(_WORN, layers.c.glaze_outdoor_only).exists()
_STANDS = case((pieces.c.clay_ceiling > _LEAST_WORN, _LEAST_WORN), else_=pieces.c.clay_ceiling)
_SET_ANEW = (
    update(pieces)
    .where(
        or_(pieces.c.clay_id == bindparam("of_clay"), pieces.c.id.in_(_WEARING)),
        or_(pieces.c.ceiling != _STANDS, and_(pieces.c.outdoor_only, ~_WEARS_OUTDOOR)),
    )
    .values(ceiling=_STANDS, outdoor_only=_WEARS_OUTDOOR)
)
_NOBODY = 0
"""The number of no clay and no glaze."""


def enter_studio(connection: Connection, studio: Studio, secret: str) -> None:
    """Enter a studio and its catalog into empty tables; `secret` signs its cookies."""
    catalog = studio.catalog
    facts = {
        "name": studio.name,
        "timezone": studio.timezone,
        "address": studio.address,
        "practice": practice_text(catalog.practice),
        "secret": secret,
        "catalog": "1",
        "line": studio.line,
        "labels": labels_text(studio.labels),
        "units": studio.units,
        "paper": studio.paper,
        "currency": studio.currency,
    }
    connection.execute(insert(house), [{"name": name, "value": value} for name, value in facts.items()])
    served = [
        {"kiln": kiln.name, "route": route, "retired": False}
        for kiln in catalog.kilns.values()
        for route in sorted(kiln.routes)
    ]
    for table, rows in (
        (clays, [clay_row(clay) for clay in catalog.clays.values()]),
        (glazes, [glaze_row(glaze) for glaze in catalog.glazes.values()]),
        (routes, [route_row(route) for route in catalog.routes.values()]),
        (kilns, [kiln_row(kiln) for kiln in catalog.kilns.values()]),
        (kiln_routes, served),
    ):
        # Without any, SQLAlchemy would enter one row of nothing.
        if rows:
            connection.execute(insert(table), rows)


def save_studio(connection: Connection, known: Known, after: Studio) -> None:
    """Make `after` the studio in these tables, and give its catalog a new version."""
    before, then = known.studio.catalog, after.catalog
    _save_routes(connection, before, then, lambda old, new: new <= old)
    _lower_pieces(connection, known, then)
    for table, row_of, olds, news in (
        (clays, clay_row, before.clays, then.clays),
        (glazes, glaze_row, before.glazes, then.glazes),
    ):
        _save(connection, table, _rows(row_of, olds), _rows(row_of, news))
    _raise_pieces(connection, known, then)
    _save_routes(connection, before, then, lambda old, new: new > old)
    _save(connection, kilns, _rows(kiln_row, before.kilns), _rows(kiln_row, then.kilns))
    _save_served(connection, then)
    _save_house(connection, known, after)


def _rows(row_of: Callable[[Any], Row], things: Mapping[str, Any]) -> dict[str, Row]:
    return {name: row_of(one) for name, one in things.items()}


def _save(connection: Connection, table: Table, olds: Mapping[str, Row], news: Mapping[str, Row]) -> None:
    """Insert what is new and update what is different, each by its name."""
    for name, row in news.items():
        if name not in olds:
            connection.execute(insert(table), row)
        elif row != olds[name]:
            changed = {key: value for key, value in row.items() if value != olds[name][key]}
            connection.execute(update(table).where(table.c.name == name).values(changed))


def _save_routes(connection: Connection, before: Catalog, then: Catalog, wanted: Callable[[int, int], bool]) -> None:
    """Save the routes whose heat went from old to new as `wanted` says; a new route counts as one that stayed."""
    news = {
        name: route_row(one)
        for name, one in then.routes.items()
        if wanted(before.routes.get(name, one).cone.rank, one.cone.rank)
    }
    _save(connection, routes, _rows(route_row, before.routes), news)


def _lower_pieces(connection: Connection, known: Known, then: Catalog) -> None:
    before = known.studio.catalog
    for name, clay in before.clays.items():
        if (limit := then.clays[name].ceiling) < clay.ceiling:
            connection.execute(_LOWER_BY_CLAY, {"of": known.clay_ids[name], "limit": limit.rank})
    for name, glaze in before.glazes.items():
        new, of = then.glazes[name], {"of": known.glaze_ids[name]}
        if new.ceiling < glaze.ceiling:
            connection.execute(_LOWER_BY_GLAZE, {**of, "limit": new.ceiling.rank})
        if new.is_outdoor_only and not glaze.is_outdoor_only:
            connection.execute(_TO_OUTDOORS, of)


def _raise_pieces(connection: Connection, known: Known, then: Catalog) -> None:
    """Let pieces stand what the least of their clay and layers now stands."""
    before = known.studio.catalog
    for name, clay in before.clays.items():
        if then.clays[name].ceiling > clay.ceiling:
            connection.execute(_SET_ANEW, {"of_clay": known.clay_ids[name], "of": _NOBODY})
    for name, glaze in before.glazes.items():
        new = then.glazes[name]
        if new.ceiling > glaze.ceiling or (glaze.is_outdoor_only and not new.is_outdoor_only):
            connection.execute(_SET_ANEW, {"of_clay": _NOBODY, "of": known.glaze_ids[name]})


def _save_served(connection: Connection, then: Catalog) -> None:
    """Which kiln fires which way; a way that a kiln gave up once may come back."""
    known = {(row.kiln, row.route): row.retired for row in connection.execute(select(kiln_routes))}
    served = {(kiln.name, route) for kiln in then.kilns.values() for route in kiln.routes}
    for pair in sorted(served | known.keys()):
        retired = pair not in served
        if pair not in known:
            connection.execute(insert(kiln_routes), {"kiln": pair[0], "route": pair[1], "retired": False})
        elif known[pair] != retired:
            this = and_(kiln_routes.c.kiln == pair[0], kiln_routes.c.route == pair[1])
            connection.execute(update(kiln_routes).where(this).values(retired=retired))


def _save_house(connection: Connection, known: Known, after: Studio) -> None:
    facts = {
        "name": after.name,
        "timezone": after.timezone,
        "address": after.address,
        "practice": practice_text(after.catalog.practice),
        "catalog": str(int(known.version) + 1),
        "line": after.line,
        "labels": labels_text(after.labels),
        "units": after.units,
        "paper": after.paper,
        "currency": after.currency,
    }
    there = set(connection.scalars(select(house.c.name)))
    for name, value in facts.items():
        if name in there:
            connection.execute(update(house).where(house.c.name == name).values(value=value))
        else:
            # A studio that is older than this fact has no row for it yet.
            connection.execute(insert(house), {"name": name, "value": value})
