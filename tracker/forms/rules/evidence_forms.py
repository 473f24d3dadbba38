"""The forms of the evidence page: a leach test and an absorption test, as a report or a balance gives them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tracker.domain.message import Message, _
from tracker.domain.studio.absorption import Weighing
from tracker.domain.studio.leach_tests import ReleaseTest
from tracker.forms import fields
from tracker.forms.fields import PAGE, Within, fact
from tracker.forms.page_forms import BadForm, form_of, sent
from tracker.forms.plain_values import Values
from tracker.forms.studio.evidence_schemas import LeachTestSchema, WeighingSchema

LONGEST_WITHDRAWAL = 160
"""Characters in the reason for which a piece of evidence is withdrawn."""


@dataclass(frozen=True, slots=True)
class NewTest:
    """A leach test and the glaze it is of."""

    glaze: str
    test: ReleaseTest

    def made_by(self, today: date) -> ReleaseTest:
        """The test; `BadForm` for one that is still to be made."""
        if self.test.tested_on is not None and self.test.tested_on > today:
            raise BadForm({"tested_on": Message("day-to-come", _("This day is in the future."))})
        return self.test


class ReleaseForm(LeachTestSchema):
    """One metal out of one glaze."""

    glaze = fact(_("Glaze"), fields.line(needed=Message("glaze-needed", _("Choose a glaze."))), within=PAGE, must=PAGE)

    @classmethod
    def made(cls, values: Values, where: Within) -> NewTest:
        """The test with its glaze."""
        glaze = values.pop("glaze")
        return NewTest(glaze, super().made(values, where))


@dataclass(frozen=True, slots=True)
class NewWeighing:
    """A weighing and the clay it is of."""

    clay: str
    weighing: Weighing


class WeighingForm(WeighingSchema):
    """A specimen of one clay."""

    clay = fact(_("Clay"), fields.line(needed=Message("clay-needed", _("Choose a clay."))), within=PAGE, must=PAGE)

    @classmethod
    def made(cls, values: Values, where: Within) -> NewWeighing:
        """The weighing with its clay."""
        clay = values.pop("clay")
        return NewWeighing(clay, super().made(values, where))


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal:
    """Which piece of evidence is taken out of force: of what, the `number`-th from 0, and why."""

    of: str = sent(fields.line(required=True, needed=Message("name-needed", _("Enter a name."))))
    number: int = sent(fields.whole(0, 10_000, required=True))
    reason: str = sent(
        fields.line(LONGEST_WITHDRAWAL, required=True, needed=Message("reason-needed", _("Write the reason.")))
    )


WithdrawalForm = form_of(Withdrawal)
