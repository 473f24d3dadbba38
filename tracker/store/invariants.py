"""What must hold in every database, whatever wrote to it: each a query that finds whoever breaks it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tracker.domain.findings import Level
from tracker.domain.rules.engine import judge_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tracker.store.queries import Queries


@dataclass(frozen=True, slots=True)
class Invariant:
    """One thing that must hold. `broken` finds the rows that break it, `says` is their sentence with its columns."""

    says: str
    broken: str


INVARIANTS = (
    Invariant(
        "Piece {0} is {1}, but its history ends with {2}.",
        """SELECT p.id, p.stage, h."to" FROM pieces p JOIN history h ON h.piece_id = p.id
           WHERE h.id = (SELECT max(id) FROM history WHERE piece_id = p.id) AND h."to" <> p.stage""",
    ),
    Invariant(
        "Piece {0} has no history.",
        "SELECT p.id FROM pieces p WHERE NOT EXISTS (SELECT 1 FROM history h WHERE h.piece_id = p.id)",
    ),
    Invariant(
        "Line {0} in the history of piece {1} starts at {2}, but the line before ended with {3}.",
        """SELECT id, piece_id, start, before FROM (
             SELECT id, piece_id, start, lag("to") OVER (PARTITION BY piece_id ORDER BY id) AS before
             FROM history) AS lines
           WHERE before IS NOT NULL AND (start IS NULL OR start <> before)""",
    ),
    Invariant(
        "Line {0} in the history of piece {1} is of a request that was never finished.",
        """SELECT h.id, h.piece_id FROM history h
           WHERE NOT EXISTS (SELECT 1 FROM requests r WHERE r.key = h.request_key)""",
    ),
    Invariant(
        "Piece {0} is queued, but waits for no kiln.",
        """SELECT p.id FROM pieces p WHERE p.stage = 'queued'
           AND NOT EXISTS (SELECT 1 FROM waiting w WHERE w.piece_id = p.id)""",
    ),
    Invariant(
        "Piece {0} waits for {1} without being queued.",
        """SELECT w.piece_id, w.route FROM waiting w JOIN pieces p ON p.id = w.piece_id WHERE p.stage <> 'queued'""",
    ),
    Invariant(
        "Piece {0} waits for {1}, which is hotter than it stands or not for its glaze.",
        """SELECT w.piece_id, w.route FROM waiting w
           JOIN pieces p ON p.id = w.piece_id JOIN routes r ON r.name = w.route
           WHERE p.ceiling < r.heat OR (p.outdoor_only AND NOT r.takes_outdoor)""",
    ),
    Invariant(
        "Piece {0} stands in firing {1}, which is hotter than it stands or not for its queue.",
        """SELECT l.piece_id, l.firing_id FROM loaded l JOIN pieces p ON p.id = l.piece_id
           JOIN firings f ON f.id = l.firing_id
           WHERE p.ceiling < f.heat OR (NOT f.is_bisque AND NOT EXISTS (
             SELECT 1 FROM waiting w WHERE w.piece_id = l.piece_id AND w.route = f.route))""",
    ),
    Invariant(
        "Piece {0} counts as stronger than its clay.",
        "SELECT p.id FROM pieces p JOIN clays c ON c.id = p.clay_id WHERE p.ceiling > c.ceiling",
    ),
    Invariant(
        "Piece {0} counts as weaker than its clay and its layers.",
        """SELECT p.id FROM pieces p JOIN clays c ON c.id = p.clay_id WHERE p.ceiling < c.ceiling AND NOT EXISTS (
             SELECT 1 FROM layers l JOIN glazes g ON g.id = l.glaze_id
             WHERE l.piece_id = p.id AND g.ceiling <= p.ceiling)""",
    ),
    Invariant(
        "Piece {0} counts as stronger than its layer {1}, or hides that it is an outdoor glaze.",
        """SELECT p.id, g.name FROM pieces p JOIN layers l ON l.piece_id = p.id JOIN glazes g ON g.id = l.glaze_id
           WHERE p.ceiling > g.ceiling OR (g.outdoor_only AND NOT p.outdoor_only)""",
    ),
    Invariant(
        "Piece {0} is {1} and still wears a layer.",
        """SELECT DISTINCT p.id, p.stage FROM pieces p JOIN layers l ON l.piece_id = p.id
           WHERE p.stage IN ('greenware', 'bisqued', 'waxed')""",
    ),
    Invariant(
        "Piece {0} stands in firing {1}, which is unloaded.",
        """SELECT l.piece_id, l.firing_id FROM loaded l JOIN firings f ON f.id = l.firing_id
           WHERE f.stage = 'unloaded'""",
    ),
    Invariant(
        "Piece {0} was fired in firing {1}, but has no outcome there.",
        """SELECT h.piece_id, h.firing_id FROM history h WHERE h.step IN ('bisque', 'fire') AND NOT EXISTS (
             SELECT 1 FROM results r WHERE r.piece_id = h.piece_id AND r.firing_id = h.firing_id)""",
    ),
)


def unfit_in_queues(reader: Queries) -> Iterator[str]:
    """A sentence for each waiting piece that the rules refuse for its route."""
    catalogue = reader.catalogue()
    for row in reader.pieces.waiting():
        route = catalogue.route(row.piece.route or "")
        for finding in judge_in(catalogue, row.piece, route).of(Level.REFUSE):
            yield f"{row.ref} waits for {route.title}, and the rules refuse it: {finding.message}"
