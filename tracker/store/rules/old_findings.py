"""Questions whose findings are still sentences, from before findings had facts."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, or_, select, update

from tracker.domain.findings import Finding
from tracker.store.mappers import findings_of, findings_text
from tracker.store.tables import pieces, questions

_GONE = "claimed"
# As it was written once, and as it is written where another finding of the same question was carried over.
_HAS_A_SENTENCE = or_(questions.c.findings.like('%"says": %'), questions.c.findings.like('%"template": "{text}"%'))


@dataclass(frozen=True, slots=True)
class OldQuestion:
    """A question on a piece that is still in the studio, asked about one firing type; `allows` once it was allowed."""

    id: int
    piece_id: int
    route: str
    allows: bool
    findings: tuple[Finding, ...]


def questions_in_sentences(connection: Connection) -> tuple[OldQuestion, ...]:
    """Every question about a firing type of which at least one finding is a sentence."""
    wanted = (
        select(questions.c.id, questions.c.piece_id, questions.c.route, questions.c.allows, questions.c.findings)
        .join(pieces, pieces.c.id == questions.c.piece_id)
        .where(_HAS_A_SENTENCE, questions.c.route.is_not(None), pieces.c.stage != _GONE)
        .order_by(questions.c.id)
    )
    return tuple(
        OldQuestion(row.id, row.piece_id, row.route, bool(row.allows), findings_of(row.findings))
        for row in connection.execute(wanted)
    )


def rewrite_findings(connection: Connection, number: int, findings: Collection[Finding]) -> None:
    """Keep these findings with the question in place of those it had."""
    connection.execute(update(questions).where(questions.c.id == number).values(findings=findings_text(findings)))
