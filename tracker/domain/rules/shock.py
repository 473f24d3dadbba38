"""What the shock of being pulled hot does: fragile work, porcelain, ware that is dense or cracked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, _
from tracker.domain.pieces.piece import Build
from tracker.domain.quantities import compared, mm
from tracker.domain.rules.rule import NOTHING_MORE, Case, Facts, Rule, for_staff, indoors_or_not
from tracker.domain.studio.absorption import at_most
from tracker.domain.studio.kilns import PULLED_HOT
from tracker.domain.studio.materials import ClayKind

if TYPE_CHECKING:
    from tracker.domain.pieces.piece import Ware

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_PORCELAIN = ClayKind.PORCELAIN
_SLAB = Build.SLAB


def _fragile(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.fragile else None


def _porcelain_cracks(case: Case) -> Facts | None:
    if case.ware.clay.kind is not _PORCELAIN:
        return None
    return _risk_of_porcelain(case.ware, case.practice.large_porcelain_mm)


def _risk_of_porcelain(ware: Ware, large: int) -> Facts | None:
    """Why porcelain such as this may crack, or None where it is small and not built of slabs."""
    if ware.largest_mm is not None and ware.largest_mm > large:
        size, most = compared(mm(ware.largest_mm), mm(large))
        return {"why": "large", "size": size, "large": most}
    return {"why": "slab"} if ware.build is _SLAB else None


def _small_porcelain(case: Case) -> Facts | None:
    ware = case.ware
    if ware.clay.kind is not _PORCELAIN or ware.largest_mm is None:
        return None
    return None if _risk_of_porcelain(ware, case.practice.large_porcelain_mm) else NOTHING_MORE


def _already_mature(case: Case) -> Facts | None:
    ware = case.ware
    if ware.fired_to is not None and ware.clay.is_dense_at(ware.fired_to):
        known = at_most(ware.clay.measured, ware.fired_to) or ware.clay.sheet_speaks_for(ware.fired_to)
        return {"why": "dense" if known else "maybe", "fired_to": ware.fired_to, "clay": ware.clay.name}
    return {"why": "cracked"} if ware.is_cracked else None


RULES = (
    Rule(
        name="ware-already-mature",
        about="shock",
        when="ware already fired dense, cracked or mended, in a firing that is pulled hot",
        level=Level.ASK,
        look=_already_mature,
        kinds=PULLED_HOT,
        message=Choice(
            "why",
            {
                "dense": _(
                    "This piece was already fired to {fired_to}, where {clay} counts as dense: "
                    "dense ware often cracks when it is pulled hot."
                ),
                "maybe": _(
                    "This piece was already fired to {fired_to}. How dense {clay} is then isn't known: "
                    "dense ware often cracks when it is pulled hot."
                ),
                "cracked": _("This piece is cracked or mended, and the crack will spread when it's pulled hot."),
            },
        ),
        remedy=ByRole(_("Keep it indoors, or ask the instructor."), {"instructor": _("Keep it indoors.")}),
    ),
    Rule(
        name="fragile-outdoors",
        about="shock",
        when="fragile work (thin parts that stick out) in an outdoor firing",
        level=Level.WARN,
        look=_fragile,
        kinds=PULLED_HOT,
        message=_("Thin parts stick out and may break off in the tongs."),
        mend=indoors_or_not,
        remedy=Choice(
            "instead",
            {
                "indoors": for_staff(
                    _("Fire it indoors, or ask staff to accept the risk."),
                    _("Fire it indoors, or accept the risk and lift it from below."),
                ),
                "none": for_staff(_("Ask staff to accept the risk."), _("Accept the risk, and lift it from below.")),
            },
        ),
    ),
    Rule(
        name="porcelain-outdoors",
        about="shock",
        when="porcelain that is large (over 150 mm) or slab-built, in an outdoor firing",
        level=Level.WARN,
        look=_porcelain_cracks,
        kinds=PULLED_HOT,
        message=Choice(
            "why",
            {
                "large": _("This porcelain measures {size}: over {large} it may crack when it is pulled hot."),
                "slab": _("Slab-built porcelain may crack along its seams when it is pulled hot."),
            },
        ),
        mend=indoors_or_not,
        remedy=Choice(
            "instead",
            {
                "indoors": for_staff(
                    _("Fire it indoors, or ask staff to accept the risk. Small thrown porcelain usually survives."),
                    _("Fire it indoors, or accept the risk. Small thrown porcelain usually survives."),
                ),
                "none": for_staff(
                    _("Ask staff to accept the risk. Small thrown porcelain usually survives."),
                    _("Accept the risk. Small thrown porcelain usually survives."),
                ),
            },
        ),
    ),
    Rule(
        name="small-porcelain-outdoors",
        about="shock",
        when="small porcelain (150 mm and under) in an outdoor firing",
        level=Level.NOTE,
        look=_small_porcelain,
        kinds=PULLED_HOT,
        message=_("Small porcelain usually survives being pulled hot, but not always."),
        remedy=_("No action needed."),
    ),
)
