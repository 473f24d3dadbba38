"""What decorative ware owes whoever gets it: the mark of ware that leaches, so that nobody eats from it."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import _
from tracker.domain.pieces.piece import Use
from tracker.domain.rules.food_tests import over_the_limit_here, published_limits
from tracker.domain.rules.rule import Case, Facts, Rule
from tracker.domain.studio.food_warning import warning_words
from tracker.domain.studio.kilns import AFTER_BISQUE

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_DECORATIVE = Use.DECORATIVE


def _leaches(case: Case) -> Facts | None:
    return over_the_limit_here(case) if case.ware.use is _DECORATIVE else None


def _marked(case: Case) -> Facts:
    return {"words": warning_words(case.practice.regime)}


RULES = (
    Rule(
        name="release-over-limit-on-decorative",
        about="food",
        when="a leach test of a glaze that failed (lead or cadmium over the published limit), on a decorative piece: "
        "it goes home with the mark of ware not for food",
        level=Level.NOTE,
        look=_leaches,
        kinds=AFTER_BISQUE,
        of_coats=True,
        of_materials=True,
        message=_("{failed}. This piece is decorative and must never be used for food or drink."),
        mend=_marked,
        remedy=_(
            "Mark its base permanently with “{words}”, as its care card says. Keep its not-for-food label on as well."
        ),
        rests_on=published_limits,
    ),
)
