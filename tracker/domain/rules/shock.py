"""What the shock of being pulled hot does: fragile work, porcelain, ware that is dense or cracked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracker.domain.findings import Level
from tracker.domain.pieces.piece import Build
from tracker.domain.rules.rule import Case, Rule
from tracker.domain.studio.kilns import OUTDOORS
from tracker.domain.studio.materials import ClayKind

if TYPE_CHECKING:
    from tracker.domain.pieces.piece import Ware

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_PORCELAIN = ClayKind.PORCELAIN
_SLAB = Build.SLAB


def _fragile(case: Case) -> str:
    return "Thin parts stick out and may break off in the tongs." if case.ware.fragile else ""


def _porcelain_cracks(case: Case) -> str:
    if case.ware.clay.kind is not _PORCELAIN:
        return ""
    return _risk_of_porcelain(case.ware, case.practice.large_porcelain_mm)


def _risk_of_porcelain(ware: Ware, large: int) -> str:
    """Why porcelain such as this may crack, or an empty text where it is small and not built of slabs."""
    if ware.largest_mm is not None and ware.largest_mm > large:
        return f"This porcelain measures {ware.largest_mm} mm: over {large} mm it may crack when it is pulled hot."
    if ware.build is _SLAB:
        return "Slab-built porcelain may crack along its seams when it is pulled hot."
    return ""


def _small_porcelain(case: Case) -> str:
    ware, practice = case.ware, case.practice
    if ware.clay.kind is not _PORCELAIN or ware.largest_mm is None:
        return ""
    if _risk_of_porcelain(ware, practice.large_porcelain_mm):
        return ""
    return "Small porcelain usually survives being pulled hot, but not always."


def _already_mature(case: Case) -> str:
    ware = case.ware
    if ware.fired_to is not None and ware.clay.is_mature_at(ware.fired_to):
        done = f"This piece was already fired to {ware.fired_to.label}, where {ware.clay.name} is mature"
        return f"{done}: dense ware cracks when it is pulled hot."
    return "This piece is cracked or mended, and a crack runs on when it is pulled hot." if ware.mended else ""


RULES = (
    Rule(
        name="ware-already-mature",
        about="shock",
        when="ware already fired to maturity, cracked or mended, in an outdoor firing",
        level=Level.ASK,
        look=_already_mature,
        kinds=OUTDOORS,
        mend="Keep it indoors, or ask the instructor.",
    ),
    Rule(
        name="fragile-outdoors",
        about="shock",
        when="fragile work (thin parts that stick out) in an outdoor firing",
        level=Level.WARN,
        look=_fragile,
        kinds=OUTDOORS,
        mend="Fire it indoors, or accept the risk by name and lift it from below.",
    ),
    Rule(
        name="porcelain-outdoors",
        about="shock",
        when="porcelain that is large (over 150 mm) or slab-built, in an outdoor firing",
        level=Level.WARN,
        look=_porcelain_cracks,
        kinds=OUTDOORS,
        mend="Fire it indoors, or accept the risk by name; small thrown porcelain usually makes it.",
    ),
    Rule(
        name="small-porcelain-outdoors",
        about="shock",
        when="small porcelain (150 mm and under) in an outdoor firing",
        level=Level.NOTE,
        look=_small_porcelain,
        kinds=OUTDOORS,
        mend="Nothing to do: it may go.",
    ),
)
