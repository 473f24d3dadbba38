"""What must hold in every database, whatever wrote to it: each a query that finds whoever breaks it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from tracker.domain.findings import Level
from tracker.domain.message import Message, _
from tracker.domain.rules.engine import judge_in
from tracker.store.queries import Queries


@dataclass(frozen=True, slots=True)
class Invariant:
    """One thing that must hold. `broken` finds the rows that break it, whose columns are the facts of its words."""

    code: str
    words: str
    facts: tuple[str, ...]
    broken: str

    def message(self, row: Iterable[object]) -> Message:
        """What is said of one row that breaks it."""
        return Message(self.code, self.words, **dict(zip(self.facts, map(str, row), strict=True)))


HEAT_AND_QUEUES = (
    Invariant(
        "loaded-too-hot",
        _("Piece {piece} is in firing {firing}, which is too hot for it or isn't its queue."),
        ("piece", "firing"),
        """SELECT l.piece_id, l.firing_id FROM loaded l JOIN pieces p ON p.id = l.piece_id
           JOIN firings f ON f.id = l.firing_id
           JOIN routes r ON r.name = f.route
           WHERE p.ceiling < f.heat OR (p.outdoor_only AND NOT r.takes_outdoor)
           OR (l.queue_route IS NULL AND p.stage <> 'greenware') OR (l.queue_route IS NOT NULL AND NOT EXISTS (
             SELECT 1 FROM waiting w WHERE w.piece_id = l.piece_id AND w.route = l.queue_route))""",
    ),
    Invariant(
        "waits-too-hot",
        _("Piece {piece} is queued for {route}, which is too hot for it or wrong for its glaze."),
        ("piece", "route"),
        """SELECT w.piece_id, w.route FROM waiting w
           JOIN pieces p ON p.id = w.piece_id JOIN routes r ON r.name = w.route
           WHERE p.ceiling < r.heat OR (p.outdoor_only AND NOT r.takes_outdoor)""",
    ),
    Invariant(
        "not-out-of-its-kiln",
        _("Piece {piece} must come out of firing {firing}, but it's still loaded, or the kiln isn't being loaded."),
        ("piece", "firing"),
        """SELECT v.piece_id, v.firing_id FROM leaving v JOIN firings f ON f.id = v.firing_id
           WHERE f.stage <> 'loading' OR EXISTS (SELECT 1 FROM loaded l WHERE l.piece_id = v.piece_id)""",
    ),
    Invariant(
        "caught-nowhere",
        _("Piece {piece} is recorded as caught in firing {firing}, but the kiln isn't hot, or the piece moved on."),
        ("piece", "firing"),
        """SELECT c.piece_id, c.firing_id FROM caught c JOIN firings f ON f.id = c.firing_id
           JOIN pieces p ON p.id = c.piece_id
           WHERE f.stage NOT IN ('firing', 'cooling') OR EXISTS (SELECT 1 FROM waiting w WHERE w.piece_id = c.piece_id)
           OR EXISTS (SELECT 1 FROM loaded l WHERE l.piece_id = c.piece_id)
           OR p.stage <> CASE WHEN c.queue_route IS NULL THEN 'greenware' ELSE 'queued' END""",
    ),
    Invariant(
        "stronger-than-clay",
        _("Piece {piece} is recorded as taking more heat than its clay can."),
        ("piece",),
        "SELECT p.id FROM pieces p JOIN clays c ON c.id = p.clay_id WHERE p.ceiling > c.ceiling",
    ),
    Invariant(
        "stronger-than-layer",
        _("Piece {piece} is recorded as taking more heat than its glaze {glaze} can, or hides that it's a raku glaze."),
        ("piece", "glaze"),
        """SELECT p.id, g.name FROM pieces p JOIN layers l ON l.piece_id = p.id JOIN glazes g ON g.id = l.glaze_id
           WHERE p.ceiling > g.ceiling OR (g.outdoor_only AND NOT p.outdoor_only)""",
    ),
    Invariant(
        "glaze-above-its-cones",
        _("Glaze {glaze} is recorded as taking more heat than its top cone."),
        ("glaze",),
        """SELECT name FROM glazes
           WHERE ceiling > cone_high AND coat NOT IN ('underglaze', 'slip', 'sigillata')""",
    ),
    Invariant(
        "weaker-than-its-parts",
        _("Piece {piece} is recorded as taking less heat than its clay and glazes can."),
        ("piece",),
        """SELECT p.id FROM pieces p JOIN clays c ON c.id = p.clay_id WHERE p.ceiling < c.ceiling AND NOT EXISTS (
             SELECT 1 FROM layers l JOIN glazes g ON g.id = l.glaze_id
             WHERE l.piece_id = p.id AND g.ceiling <= p.ceiling)""",
    ),
    Invariant(
        "waits-unqueued",
        _("Piece {piece} is in the {route} queue, but its stage isn't queued."),
        ("piece", "route"),
        """SELECT w.piece_id, w.route FROM waiting w JOIN pieces p ON p.id = w.piece_id WHERE p.stage <> 'queued'""",
    ),
    Invariant(
        "queued-for-nothing",
        _("Piece {piece} is queued, but not for any firing."),
        ("piece",),
        """SELECT p.id FROM pieces p WHERE p.stage = 'queued'
           AND NOT EXISTS (SELECT 1 FROM waiting w WHERE w.piece_id = p.id)
           AND NOT EXISTS (SELECT 1 FROM caught c WHERE c.piece_id = p.id AND c.queue_route IS NOT NULL)""",
    ),
)
"""What can ruin ware or a kiln in the next fire; a check tells it first."""

RECORDS = (
    Invariant(
        "stage-and-history-differ",
        _("Piece {piece} is {stage}, but its history ends with {last}."),
        ("piece", "stage", "last"),
        """SELECT p.id, p.stage, h."to" FROM pieces p JOIN history h ON h.piece_id = p.id
           WHERE h.id = (SELECT max(id) FROM history WHERE piece_id = p.id) AND h."to" <> p.stage""",
    ),
    Invariant(
        "no-history",
        _("Piece {piece} has no history."),
        ("piece",),
        "SELECT p.id FROM pieces p WHERE NOT EXISTS (SELECT 1 FROM history h WHERE h.piece_id = p.id)",
    ),
    Invariant(
        "history-broken",
        _("Line {line} in the history of piece {piece} starts at {start}, but the line before ended with {before}."),
        ("line", "piece", "start", "before"),
        """SELECT id, piece_id, start, before FROM (
             SELECT id, piece_id, start, lag("to") OVER (PARTITION BY piece_id ORDER BY id) AS before
             FROM history) AS lines
           WHERE before IS NOT NULL AND (start IS NULL OR start <> before)""",
    ),
    Invariant(
        "line-of-no-request",
        _("Line {line} in the history of piece {piece} belongs to a request that never finished."),
        ("line", "piece"),
        """SELECT h.id, h.piece_id FROM history h
           WHERE NOT EXISTS (SELECT 1 FROM requests r WHERE r.key = h.request_key)""",
    ),
    Invariant(
        "bare-with-a-layer",
        _("Piece {piece} is {stage} and still has a raw glaze."),
        ("piece", "stage"),
        """SELECT DISTINCT p.id, p.stage FROM pieces p JOIN layers l ON l.piece_id = p.id
           JOIN glazes g ON g.id = l.glaze_id
           WHERE p.stage IN ('bisqued', 'waxed') AND l.fired_to IS NULL AND g.coat IN ('glaze', 'overglaze')""",
    ),
    Invariant(
        "in-an-unloaded-firing",
        _("Piece {piece} is in firing {firing}, which is unloaded."),
        ("piece", "firing"),
        """SELECT l.piece_id, l.firing_id FROM loaded l JOIN firings f ON f.id = l.firing_id
           WHERE f.stage = 'unloaded'""",
    ),
    Invariant(
        "fired-without-outcome",
        _("Piece {piece} was fired in firing {firing}, but has no result there."),
        ("piece", "firing"),
        """SELECT h.piece_id, h.firing_id FROM history h WHERE h.step IN ('bisque', 'fire') AND NOT EXISTS (
             SELECT 1 FROM results r WHERE r.piece_id = h.piece_id AND r.firing_id = h.firing_id)""",
    ),
)
"""What the records are held to."""

INVARIANTS = (*HEAT_AND_QUEUES, *RECORDS)


def unfit_in_queues(reader: Queries) -> Iterator[Message]:
    """What is said of each waiting piece that the rules refuse for its route."""
    catalog = reader.catalog()
    words = _("{piece} is queued for {firing}, and the rules refuse it: {finding}")
    for row in reader.pieces.waiting():
        route = catalog.route(row.piece.route or "")
        for one in judge_in(catalog, row.piece, route).of(Level.REFUSE):
            yield Message("unfit-in-a-queue", words, piece=row.ref, firing=route.title, finding=one.message)
