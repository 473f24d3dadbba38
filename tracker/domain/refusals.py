"""Every way the studio says no, as one small tree.

Refusal                     an answer, not a fault: it has a sentence and a way out
├── Unknown                 nothing here goes by that code, name or number
├── NotAllowed              this person may not do this
├── NotAStep                the piece stands where that step does not start
├── ChangedMeanwhile        somebody was there first
├── KeyUsedElsewhere        a request key came back with another request
├── Unfit                   the rules refuse it, and nobody may override them
├── NeedsInstructor         the rules leave it to the instructor
├── NeedsAcceptance         the rules warn, and staff has not accepted by name yet
├── MovesPieces             a changed catalogue would move pieces, and nobody has confirmed that
└── Unusable                what was given makes no sense, every problem named at once
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


class Refusal(Exception):
    """An answer of no: what is wrong in one sentence, and what would put it right."""

    word = "Stop"

    def __init__(self, says: str, mend: str = "") -> None:
        """Keep the sentence and, where there is one, the way out."""
        super().__init__(says)
        self.says = says
        self.mend = mend


class Unknown(Refusal):
    """Nothing here goes by that code, name or number."""

    word = "Not found"


class NotAllowed(Refusal):
    """This person may not do this."""

    word = "Not yours to do"


class NotAStep(Refusal):
    """The piece stands where that step does not start."""


class ChangedMeanwhile(Refusal):
    """Somebody changed the piece after this person looked at it."""

    word = "Changed meanwhile"


class KeyUsedElsewhere(Refusal):
    """A request key came back with a request other than the one it was made for."""


class Unusable(Refusal):
    """What was given makes no sense; every problem is named at once."""

    word = "Look again"

    def __init__(self, problems: Sequence[str], mend: str = "") -> None:
        """Keep each problem, and join them into one text."""
        super().__init__(" ".join(problems), mend)
        self.problems = tuple(problems)


class MovesPieces(Refusal):
    """A change of the catalogue takes pieces out of their queues, which somebody must confirm first."""

    word = "Look first"
