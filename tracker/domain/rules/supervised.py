"""What the instructor approves first for a maker who works under supervision: leach hazards, and raku.

Nothing said here names a maker or says why one is supervised: makers and staff read it too.
"""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Fact, Message, _
from tracker.domain.rules.other_firings import indoors_or_not
from tracker.domain.rules.rule import NOTHING_MORE, Case, Facts, Rule, choose, raw_or_fired, without
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.materials import Glaze
from tracker.domain.studio.metals import LEACH_HAZARDS, unnamed_in


def _hazards_in(glaze: Glaze) -> tuple[Fact, ...]:
    """The leach hazards in its recipe; a word that names no metal known here may stand for any."""
    if not glaze.metals:
        return ()
    return (*(metal for metal in LEACH_HAZARDS if metal in glaze.holds), *unnamed_in(glaze.metals))


def _hazards(case: Case) -> Facts | None:
    holding = {glaze: metals for glaze in case.glazes if (metals := _hazards_in(glaze))}
    if not holding:
        return None
    told = tuple(
        Message("glaze-contains", _("{glaze} contains {metals}"), glaze=glaze.name, metals=metals)
        for glaze, metals in holding.items()
    )
    return {"contents": told, "metals": tuple(dict.fromkeys(one for several in holding.values() for one in several))}


def _instead(case: Case) -> Facts:
    coats = [glaze for glaze in case.glazes if _hazards_in(glaze)]
    metals = tuple(dict.fromkeys(metal for glaze in coats for metal in _hazards_in(glaze)))
    return {"is": raw_or_fired(case, coats), "choose": choose(case, coats, without(metals))}


def _raku(_case: Case) -> Facts:
    return NOTHING_MORE


_APPROVE = _("Approve it, or keep it out of this firing.")

RULES = (
    Rule(
        name="supervised-leach-hazard",
        about="prep",
        when="lead, cadmium, barium or manganese in a layer on the piece of a supervised maker",
        level=Level.ASK,
        look=_hazards,
        of_supervised=True,
        of_coats=True,
        message=_("{contents}. The instructor approves this piece first."),
        mend=_instead,
        remedy=Choice(
            "is",
            {
                "raw": ByRole(
                    _("{choose:capital}, or ask the instructor."), {"instructor": _("{choose:capital}, or approve it.")}
                ),
                "fired": ByRole(_("Ask the instructor."), {"instructor": _APPROVE}),
            },
        ),
    ),
    Rule(
        name="supervised-raku",
        about="prep",
        when="a raku firing of the piece of a supervised maker",
        level=Level.ASK,
        look=_raku,
        of_supervised=True,
        kinds=frozenset({RouteKind.RAKU}),
        message=_("Raku is pulled from the kiln red hot. The instructor approves this piece first."),
        mend=indoors_or_not,
        remedy=Choice(
            "instead",
            {
                "indoors": ByRole(
                    _("Choose another firing, or ask the instructor."),
                    {"instructor": _("Choose another firing, or approve it.")},
                ),
                "finished": ByRole(_("Leave it as it is, or ask the instructor."), {"instructor": _APPROVE}),
                "none": ByRole(_("Ask the instructor."), {"instructor": _APPROVE}),
            },
        ),
    ),
)
