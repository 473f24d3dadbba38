"""What the shock of an outdoor firing does: pulled hot, or in the uneven heat of a pit."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, _
from tracker.domain.pieces.piece import Build, Ware
from tracker.domain.quantities import compared, mm
from tracker.domain.rules.other_firings import LEAVE_FINISHED, indoors_or_not
from tracker.domain.rules.rule import NOTHING_MORE, Case, Facts, Rule, for_staff
from tracker.domain.studio.absorption import at_most
from tracker.domain.studio.kilns import SMOKED
from tracker.domain.studio.materials import ClayKind

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_PORCELAIN = ClayKind.PORCELAIN
_SLAB = Build.SLAB


def _fragile(case: Case) -> Facts | None:
    if not case.ware.fragile:
        return None
    return NOTHING_MORE if case.route.is_pulled_hot else {"why": "fuel"}


def _porcelain_cracks(case: Case) -> Facts | None:
    if case.ware.clay.kind is not _PORCELAIN:
        return None
    risk = _risk_of_porcelain(case.ware, case.practice.large_porcelain_mm)
    return None if risk is None else _there(case, risk)


def _there(case: Case, facts: Facts) -> Facts:
    """The facts with what does it: being pulled hot, or a pit, where nothing is."""
    return facts if case.route.is_pulled_hot else {**facts, "why": f"{facts['why']}, pit"}


def _risk_of_porcelain(ware: Ware, large: int) -> Facts | None:
    """Why porcelain such as this may crack, or None where it is small and not built of slabs."""
    largest = ware.largest_mm
    if largest is not None and largest > large:
        size, most = compared(mm(largest), mm(large))
        return {"why": "large", "size": size, "large": most}
    return {"why": "slab"} if ware.build is _SLAB else None


def _small_porcelain(case: Case) -> Facts | None:
    ware = case.ware
    if ware.clay.kind is not _PORCELAIN or ware.build is _SLAB or _already_mature(case) is not None:
        return None
    largest = ware.largest_mm
    return None if largest is None or largest > case.practice.large_porcelain_mm else NOTHING_MORE


def _already_mature(case: Case) -> Facts | None:
    ware, clay, heat = case.ware, case.ware.clay, case.ware.fired_to
    # Of a crack that spreads nothing else has to be said, however dense the clay is.
    if ware.is_cracked:
        return _there(case, {"why": "cracked"})
    if heat is not None and clay.is_brittle_at(heat):
        known = at_most(clay.measured, heat) or clay.sheet_speaks_for(heat)
        is_dense = clay.is_dense_at(heat)
        why = "dense" if is_dense and known else "maybe" if is_dense or not clay.is_mature_at(heat) else "mature"
        return _there(case, {"why": why, "fired_to": heat, "clay": clay.name})
    return None


def _indoors_and_how(case: Case) -> Facts:
    """Whether it could go indoors instead, and what is there to be careful of."""
    instead = indoors_or_not(case)["instead"]
    return {"instead": instead if case.route.is_pulled_hot else f"{instead}, pit"}


_LEAVE_OR_ACCEPT = for_staff(
    _("Leave it as it is, or ask staff to accept the risk."), _("Leave it as it is, or accept the risk.")
)

RULES = (
    Rule(
        name="ware-already-mature",
        about="shock",
        when=(
            "ware already fired to maturity, cracked or mended, in a raku, horsehair or pit firing; earthenware "
            "counts as mature from its top cone, a grogged body hotter than cone 01, stoneware and porcelain hotter "
            "than cone 01 unless a test shows that they absorb over 3%, and any clay where it is known to be dense"
        ),
        level=Level.ASK,
        look=_already_mature,
        kinds=SMOKED,
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
                "mature": _(
                    "This piece was already fired to {fired_to}, where {clay} is mature: "
                    "mature ware cracks more easily when it is pulled hot."
                ),
                "cracked": _("This piece is cracked or mended, and the crack will spread when it's pulled hot."),
                "dense, pit": _(
                    "This piece was already fired to {fired_to}, where {clay} counts as dense: "
                    "dense ware often cracks in the uneven heat of a pit, and takes little smoke."
                ),
                "maybe, pit": _(
                    "This piece was already fired to {fired_to}. How dense {clay} is then isn't known: "
                    "dense ware often cracks in the uneven heat of a pit, and takes little smoke."
                ),
                "mature, pit": _(
                    "This piece was already fired to {fired_to}, where {clay} is mature: "
                    "mature ware cracks more easily in the uneven heat of a pit."
                ),
                "cracked, pit": _(
                    "This piece is cracked or mended, and the crack may spread in the uneven heat of a pit."
                ),
            },
        ),
        mend=indoors_or_not,
        remedy=Choice(
            "instead",
            {
                "indoors": ByRole(_("Fire it indoors, or ask the instructor."), {"instructor": _("Fire it indoors.")}),
                "finished": LEAVE_FINISHED,
                "none": ByRole(_("Ask the instructor."), {"instructor": _("Leave it out, or allow it.")}),
            },
        ),
    ),
    Rule(
        name="fragile-outdoors",
        about="shock",
        when="fragile work (thin parts that stick out) in a raku, horsehair or pit firing",
        level=Level.WARN,
        look=_fragile,
        kinds=SMOKED,
        message=Choice(
            "why",
            {
                "": _("Thin parts stick out and may break off in the tongs."),
                "fuel": _("Thin parts stick out and may break off when the fuel shifts."),
            },
        ),
        mend=_indoors_and_how,
        remedy=Choice(
            "instead",
            {
                "indoors": for_staff(
                    _("Fire it indoors, or ask staff to accept the risk."),
                    _("Fire it indoors, or accept the risk and lift it from below."),
                ),
                "finished": _LEAVE_OR_ACCEPT,
                "none": for_staff(_("Ask staff to accept the risk."), _("Accept the risk, and lift it from below.")),
                "indoors, pit": for_staff(
                    _("Fire it indoors, or ask staff to accept the risk."),
                    _("Fire it indoors, or accept the risk and lay it on top."),
                ),
                "finished, pit": _LEAVE_OR_ACCEPT,
                "none, pit": for_staff(_("Ask staff to accept the risk."), _("Accept the risk, and lay it on top.")),
            },
        ),
    ),
    Rule(
        name="porcelain-outdoors",
        about="shock",
        when="porcelain that is large (over 150 mm) or slab-built, in a raku, horsehair or pit firing",
        level=Level.WARN,
        look=_porcelain_cracks,
        kinds=SMOKED,
        message=Choice(
            "why",
            {
                "large": _("This porcelain measures {size}: over {large} it may crack when it is pulled hot."),
                "slab": _("Slab-built porcelain may crack along its seams when it is pulled hot."),
                "large, pit": _(
                    "This porcelain measures {size}: over {large} it may crack in the uneven heat of a pit."
                ),
                "slab, pit": _("Slab-built porcelain may crack along its seams in the uneven heat of a pit."),
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
                "finished": _LEAVE_OR_ACCEPT,
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
        when=(
            "small porcelain (150 mm and under) in a raku, horsehair or pit firing, unless `ware-already-mature` asks"
        ),
        level=Level.NOTE,
        look=_small_porcelain,
        kinds=SMOKED,
        message=_("Small porcelain usually survives an outdoor firing, but not always."),
        remedy=_("No action needed."),
    ),
)
