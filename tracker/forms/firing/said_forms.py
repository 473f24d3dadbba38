"""What is said of one piece while its kiln is unloaded, as the page's script sends it."""

from __future__ import annotations

from tracker.domain.firing.unloading import TakenOut
from tracker.forms.firing.outcome_forms import read_outcomes
from tracker.forms.page_forms import Form

ABSENT = "absent"
"""What stands in place of an outcome where a piece wasn't in the kiln."""
_LONGEST_PLACE = 60


def read_said(form: Form, ref: str) -> TakenOut | None:
    """What is said of the piece called `ref`, in fields named outcome-REF, flaw-REF, place-REF and so on.

    None where nothing is said of it anymore.
    """
    picked, place = _first(form, f"outcome-{ref}"), " ".join(_first(form, f"place-{ref}").split())[:_LONGEST_PLACE]
    if picked == ABSENT:
        return TakenOut(None)
    if not picked and not form.getlist(f"flaw-{ref}"):
        return None
    return TakenOut(read_outcomes(form, [ref])[ref], place)


def is_unless_said(form: Form, ref: str) -> bool:
    """Whether what is sent of a piece counts only where nobody has said anything of it: nobody spoke, a scan did."""
    return _first(form, f"unless_said-{ref}") == "yes"


def _first(form: Form, name: str) -> str:
    return next(iter(form.getlist(name)), "")
