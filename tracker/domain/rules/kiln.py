"""What the kiln room asks: room in the chamber, tongs and containers, wadding, dry glaze and settled questions."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, _
from tracker.domain.quantities import compared, grams, hours
from tracker.domain.rules.other_firings import LEAVE_FINISHED, indoors_or_not
from tracker.domain.rules.overlaps import lining
from tracker.domain.rules.rule import (
    NOTHING_MORE,
    Case,
    Facts,
    Rule,
    for_staff,
    wax_first,
)
from tracker.domain.studio.kilns import PULLED_HOT, SMOKED, VAPOR, RouteKind
from tracker.domain.studio.materials import ON_CLAY

OPEN_QUESTION = "open-question"
NO_LINER = "no-liner"


def _does_not_fit(case: Case) -> Facts | None:
    kiln, ware = case.kiln, case.ware
    if kiln is None or kiln.chamber is None or (kept_out := kiln.chamber.keeps_out(ware)) is None:
        return None
    return {"kiln": kiln.name, "why": kept_out}


def _indoors(case: Case) -> Facts | None:
    kiln = case.kiln
    if kiln is None or kiln.outdoor:
        return None
    return {"kiln": kiln.name, "why": "hot" if case.route.kind in PULLED_HOT else "smoke"}


def _no_liner(case: Case) -> Facts | None:
    return None if lining(case.ware) else NOTHING_MORE


def _wadding(_case: Case) -> Facts:
    return NOTHING_MORE


def _too_heavy(case: Case) -> Facts | None:
    weight = case.ware.weight_g
    limit = (case.kiln.tongs_g if case.kiln else None) or case.practice.tongs_g
    if weight is None or weight <= limit:
        return None
    told, most = compared(grams(weight), grams(limit))
    return {"weight": told, "limit": most}


def _no_container(case: Case) -> Facts | None:
    containers = case.kiln.containers if case.kiln else ()
    too_small = bool(containers) and all(container.keeps_out(case.ware) for container in containers)
    if too_small or case.ware.container_fits is False:
        return {"bins": "none" if case.kiln is not None and not containers else "small"}
    return None


def _damp_glaze(case: Case) -> Facts | None:
    since, needed = case.ware.glazed_hours, case.practice.glaze_dries_hours
    # Slip, underglaze and sigillata are part of the clay and dry with it. What was fired is dry.
    if all(glaze.coat in ON_CLAY for glaze in case.raw):
        return None
    return {"needed": hours(needed)} if since is not None and since < needed else None


def _open_question(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.has_question else None


RULES = (
    Rule(
        name="does-not-fit",
        about="kiln",
        when="the piece doesn't fit the chamber with its clearance",
        level=Level.REFUSE,
        look=_does_not_fit,
        in_a_kiln=True,
        message=_("It doesn't fit in {kiln}: {why}."),
        remedy=_("Fire it in a larger kiln."),
        source=_("the kiln's own dimensions"),
    ),
    Rule(
        name="kiln-is-indoors",
        about="kiln",
        when="a firing that is pulled hot or leaves smoke (raku, horsehair, pit) in a kiln that isn't outdoors",
        level=Level.REFUSE,
        look=_indoors,
        in_a_kiln=True,
        kinds=SMOKED,
        message=Choice(
            "why",
            {
                "hot": _("{kiln} is indoors, and this firing is pulled hot: it burns and smokes."),
                "smoke": _("{kiln} is indoors, and this firing smokes."),
            },
        ),
        remedy=_("Choose a kiln outdoors."),
    ),
    Rule(
        name=NO_LINER,
        about="food",
        when="a functional piece without a glaze inside, in a soda, salt or wood firing",
        level=Level.WARN,
        look=_no_liner,
        kinds=VAPOR,
        for_food=True,
        of_materials=True,
        message=_("Vapor leaves the inside unevenly glazed, and this piece is functional."),
        mend=wax_first,
        remedy=Choice(
            "wax",
            {
                "none": for_staff(
                    _("Use a liner glaze inside, or ask staff to accept the risk."),
                    _("Use a liner glaze inside, or accept the risk."),
                ),
                "glazed": for_staff(
                    _(
                        "Take {off} off and burn the wax off in a bisque, then use a liner glaze inside. Or ask staff "
                        "to accept the risk."
                    ),
                    _(
                        "Take {off} off and burn the wax off in a bisque, then use a liner glaze inside. Or accept the "
                        "risk."
                    ),
                ),
                "bare": for_staff(
                    _("Burn the wax off in a bisque, then use a liner glaze inside. Or ask staff to accept the risk."),
                    _("Burn the wax off in a bisque, then use a liner glaze inside. Or accept the risk."),
                ),
            },
        ),
    ),
    Rule(
        name="set-on-wadding",
        about="kiln",
        when="any piece in a soda, salt or wood firing",
        level=Level.NOTE,
        look=_wadding,
        kinds=VAPOR,
        of_materials=True,
        message=_("Vapor and ash reach everything that's bare and can glaze it, the kiln shelf too."),
        remedy=_("Leave the foot bare and set the piece on wadding."),
    ),
    Rule(
        name=OPEN_QUESTION,
        about="prep",
        when="an open question on the piece",
        level=Level.ASK,
        look=_open_question,
        message=_("There's an unanswered question about this piece."),
        remedy=ByRole(_("Wait for the instructor's answer."), {"instructor": _("Answer it first.")}),
    ),
    Rule(
        name="too-heavy-for-tongs",
        about="kiln",
        when="too heavy for the tongs (4.5 kg), in a firing that is pulled hot",
        level=Level.ASK,
        look=_too_heavy,
        needs="weight_g",
        kinds=PULLED_HOT,
        message=_("It weighs {weight}, more than the {limit} that the tongs should lift."),
        mend=indoors_or_not,
        remedy=Choice(
            "instead",
            {
                "indoors": ByRole(_("Fire it indoors, or ask the instructor."), {"instructor": _("Fire it indoors.")}),
                "finished": LEAVE_FINISHED,
                "none": ByRole(
                    _("Ask the instructor."), {"instructor": _("Plan how two people lift it, or leave it out.")}
                ),
            },
        ),
    ),
    Rule(
        name="no-container",
        about="kiln",
        when="a raku firing of a piece that fits in none of the reduction bins",
        level=Level.ASK,
        look=_no_container,
        kinds=frozenset({RouteKind.RAKU}),
        message=Choice("bins", {"small": _("No bin is large enough for it."), "none": _("There is no bin for it.")}),
        remedy=Choice(
            "bins",
            {
                "small": ByRole(
                    _("Find a larger bin, or ask the instructor."), {"instructor": _("Find a larger bin.")}
                ),
                "none": ByRole(_("Find a bin, or ask the instructor."), {"instructor": _("Find a bin.")}),
            },
        ),
    ),
    Rule(
        name="damp-glaze",
        about="prep",
        when="glazed less than 24 hours ago, in an outdoor firing",
        level=Level.WARN,
        look=_damp_glaze,
        kinds=PULLED_HOT,
        of_coats=True,
        message=_("It was glazed less than {needed} ago. Damp glaze spits off in a fast firing."),
        remedy=for_staff(_("Let it dry until tomorrow."), _("Let it dry until tomorrow, or accept the risk.")),
    ),
)
