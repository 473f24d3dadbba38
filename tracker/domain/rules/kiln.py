"""What the kiln room asks: room in the chamber, a clean foot, tongs and containers, dry ware and settled questions."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Plural, _
from tracker.domain.pieces.piece import Foot
from tracker.domain.quantities import celsius, grams, hours, mm
from tracker.domain.rules.rule import NOTHING_MORE, Case, Facts, Rule, names_of
from tracker.domain.studio.kilns import OUTDOORS, Atmosphere, RouteKind
from tracker.domain.studio.materials import Coat, Trait, Zone

OPEN_QUESTION = "open-question"

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_STILTED = Foot.STILTED
_GLAZED = Foot.GLAZED
_BARE = Foot.BARE
_GLAZE = Coat.GLAZE
_FOOT = Zone.FOOT
_RUNNY = Trait.RUNNY
_WANTS_REDUCTION = Trait.WANTS_REDUCTION
_OXIDATION = Atmosphere.OXIDATION


def _does_not_fit(case: Case) -> Facts | None:
    kiln, ware = case.kiln, case.ware
    if kiln is None or kiln.chamber is None or (kept_out := kiln.chamber.keeps_out(ware)) is None:
        return None
    return {"kiln": kiln.name, "why": kept_out}


def _foot_not_clear(case: Case) -> Facts | None:
    ware = case.ware
    if ware.foot is _STILTED:
        return None
    # Slip and underglaze do not run: they stay where they were brushed on.
    melting = [layer for layer in ware.layers if layer.glaze.coat is _GLAZE]
    on_the_foot = [layer.glaze for layer in melting if layer.zone is _FOOT]
    if on_the_foot:
        return {"why": "named", "glazes": names_of(on_the_foot)}
    if ware.foot is _GLAZED:
        return {"why": "glazed"}
    return {"why": "bare", "clear": mm(case.practice.foot_clear_mm)} if melting and ware.foot is _BARE else None


def _runny(case: Case) -> Facts | None:
    ware = case.ware
    runny = [glaze for glaze in case.glazes if _RUNNY in glaze.traits]
    if ware.catch_plate or not runny:
        return None
    melting = [layer.glaze for layer in ware.layers if not layer.glaze.burns_away]
    lies_over = any(_RUNNY in glaze.traits for glaze in melting[1:])
    return {"glazes": names_of(runny), "over": "another" if lies_over else "none"}


def _wants_reduction(case: Case) -> Facts | None:
    if case.kiln is None or case.kiln.atmosphere is not _OXIDATION:
        return None
    wanting = [glaze for glaze in case.glazes if _WANTS_REDUCTION in glaze.traits]
    return {"glazes": names_of(wanting), "kiln": case.kiln.name} if wanting else None


def _too_heavy(case: Case) -> Facts | None:
    weight = case.ware.weight_g
    limit = (case.kiln.tongs_g if case.kiln else None) or case.practice.tongs_g
    return {"weight": grams(weight), "limit": grams(limit)} if weight is not None and weight > limit else None


def _no_container(case: Case) -> Facts | None:
    containers = case.kiln.containers if case.kiln else ()
    too_small = bool(containers) and all(container.keeps_out(case.ware) for container in containers)
    return NOTHING_MORE if too_small or case.ware.container_fits is False else None


def _damp_greenware(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.dry is False else None


def _sealed_hollow(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.vented is False else None


def _thick_wall(case: Case) -> Facts | None:
    wall, thick = case.ware.wall_mm, case.practice.thick_wall_mm
    return (
        {"wall": mm(wall), "thick": mm(thick), "candling": celsius(100)} if wall is not None and wall > thick else None
    )


def _damp_glaze(case: Case) -> Facts | None:
    since, needed = case.ware.glazed_hours, case.practice.glaze_dries_hours
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
        message=_("It does not fit into {kiln}: {why}."),
        remedy=_("Fire it in a larger kiln."),
        source="the kiln's own measures",
    ),
    Rule(
        name="foot-not-clear",
        about="kiln",
        when="glaze on the foot, or a foot not waxed or wiped clear 6 mm up the side, on a kiln shelf without a stilt",
        level=Level.REFUSE,
        look=_foot_not_clear,
        kinds=frozenset({RouteKind.SHELF}),
        message=Choice(
            "why",
            {
                "named": _("{glazes} on the foot would fuse the piece to the shelf."),
                "glazed": _("Glaze on the foot would fuse the piece to the shelf."),
                "bare": _(
                    "The foot is neither waxed nor wiped clear {clear} up the side, so glaze may run onto the shelf."
                ),
            },
        ),
        remedy=_("Wipe the foot clear, or set the piece on a stilt."),
    ),
    Rule(
        name=OPEN_QUESTION,
        about="prep",
        when="an open question on the piece",
        level=Level.ASK,
        look=_open_question,
        message=_("A question on this piece has no answer yet."),
        remedy=ByRole(_("The instructor answers it first."), {"instructor": _("Answer it first.")}),
    ),
    Rule(
        name="damp-greenware",
        about="prep",
        when="greenware that isn't bone dry, in a bisque firing",
        level=Level.REFUSE,
        look=_damp_greenware,
        kinds=frozenset({RouteKind.BISQUE}),
        message=_("It is not bone dry: steam would burst it and what stands beside it."),
        remedy=_("Let it dry until it no longer feels cold against the cheek."),
    ),
    Rule(
        name="sealed-hollow",
        about="prep",
        when="a sealed hollow without a vent, in a bisque firing",
        level=Level.REFUSE,
        look=_sealed_hollow,
        kinds=frozenset({RouteKind.BISQUE}),
        message=_("It is hollow and closed, with no hole for the steam: it would burst."),
        remedy=_("Prick a hole into it while the clay can still be pricked."),
    ),
    Rule(
        name="too-heavy-for-tongs",
        about="kiln",
        when="too heavy for the tongs (4.5 kg), in an outdoor firing",
        level=Level.ASK,
        look=_too_heavy,
        kinds=OUTDOORS,
        message=_("It weighs {weight}, more than the {limit} that the tongs should lift."),
        remedy=ByRole(_("Fire it indoors, or ask the instructor."), {"instructor": _("Fire it indoors.")}),
    ),
    Rule(
        name="no-container",
        about="kiln",
        when="a raku firing of a piece that fits in no reduction bin",
        level=Level.ASK,
        look=_no_container,
        kinds=frozenset({RouteKind.RAKU}),
        message=_("No container here is large enough for it."),
        remedy=ByRole(_("Fire it indoors, or ask the instructor."), {"instructor": _("Fire it indoors.")}),
    ),
    Rule(
        name="runny-without-catch-plate",
        about="kiln",
        when="a runny glaze without a kiln cookie (drip plate) on a kiln shelf",
        level=Level.WARN,
        look=_runny,
        kinds=frozenset({RouteKind.SHELF}),
        of_coats=True,
        message=Choice(
            "over",
            {
                "none": Plural(
                    "glazes",
                    "{glazes} runs: without a catch plate onto the shelf.",
                    "{glazes} run: without a catch plate onto the shelf.",
                ),
                "another": Plural(
                    "glazes",
                    "{glazes} runs, and further over another glaze: without a catch plate onto the shelf.",
                    "{glazes} run, and further over another glaze: without a catch plate onto the shelf.",
                ),
            },
        ),
        remedy=_("Set the piece on a catch plate, or accept the risk by name."),
    ),
    Rule(
        name="wants-reduction",
        about="kiln",
        when="a glaze that needs reduction in an oxidizing kiln",
        level=Level.WARN,
        look=_wants_reduction,
        of_coats=True,
        message=Plural(
            "glazes",
            "{glazes} wants reduction, and {kiln} fires in oxidation.",
            "{glazes} want reduction, and {kiln} fires in oxidation.",
        ),
        remedy=_("Choose a kiln that fires in reduction, or accept another colour by name."),
    ),
    Rule(
        name="thick-wall",
        about="prep",
        when="a wall over 25 mm in a bisque firing: candle it long below 100 °C",
        level=Level.WARN,
        look=_thick_wall,
        kinds=frozenset({RouteKind.BISQUE}),
        message=_("Its wall is {wall} thick, over {thick}: it needs long candling below {candling}."),
        remedy=_("Candle the kiln long enough, and accept it by name."),
    ),
    Rule(
        name="damp-glaze",
        about="prep",
        when="glazed less than 24 hours ago, in an outdoor firing",
        level=Level.WARN,
        look=_damp_glaze,
        kinds=OUTDOORS,
        message=_("It was glazed less than {needed} ago, and damp glaze spits off in a fast firing."),
        remedy=_("Let it dry until tomorrow, or accept the risk by name."),
    ),
)
