"""What the kiln room asks: room in the chamber, a clean foot, tongs and containers, dry ware and settled questions."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.pieces.piece import Foot
from tracker.domain.rules.rule import Case, Rule, names_of, one_or_more
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


def _does_not_fit(case: Case) -> str:
    kiln, ware = case.kiln, case.ware
    if kiln is None or kiln.chamber is None or not (kept_out := kiln.chamber.keeps_out(ware)):
        return ""
    return f"It does not fit into {kiln.name}: {kept_out}."


def _foot_not_clear(case: Case) -> str:
    ware, clear = case.ware, case.practice.foot_clear_mm
    if ware.foot is _STILTED:
        return ""
    # Slip and underglaze do not run: they stay where they were brushed on.
    melting = [layer for layer in ware.layers if layer.glaze.coat is _GLAZE]
    on_the_foot = [layer.glaze for layer in melting if layer.zone is _FOOT]
    if on_the_foot or ware.foot is _GLAZED:
        what = names_of(on_the_foot) if on_the_foot else "Glaze"
        return f"{what} on the foot would fuse the piece to the shelf."
    if melting and ware.foot is _BARE:
        return f"The foot is neither waxed nor wiped clear {clear} mm up the side, so glaze may run onto the shelf."
    return ""


def _runny(case: Case) -> str:
    ware = case.ware
    if ware.catch_plate:
        return ""
    if not (runny := [glaze for glaze in case.glazes if _RUNNY in glaze.traits]):
        return ""
    melting = [layer.glaze for layer in ware.layers if not layer.glaze.burns_away]
    lies_over = any(_RUNNY in glaze.traits for glaze in melting[1:])
    further = ", and further over another glaze" if lies_over else ""
    return f"{names_of(runny)} {one_or_more(runny, 'runs', 'run')}{further}: without a catch plate onto the shelf."


def _wants_reduction(case: Case) -> str:
    if case.kiln is None or case.kiln.atmosphere is not _OXIDATION:
        return ""
    wanting = [glaze for glaze in case.glazes if _WANTS_REDUCTION in glaze.traits]
    wants = one_or_more(wanting, "wants", "want")
    return f"{names_of(wanting)} {wants} reduction, and {case.kiln.name} fires in oxidation." if wanting else ""


def _too_heavy(case: Case) -> str:
    grams = case.ware.weight_g
    limit = (case.kiln.tongs_g if case.kiln else None) or case.practice.tongs_g
    if grams is None or grams <= limit:
        return ""
    return f"It weighs {grams / 1000:g} kg, more than the {limit / 1000:g} kg that the tongs should lift."


def _no_container(case: Case) -> str:
    containers = case.kiln.containers if case.kiln else ()
    too_small = bool(containers) and all(container.keeps_out(case.ware) for container in containers)
    return "No container here is large enough for it." if too_small or case.ware.container_fits is False else ""


def _damp_greenware(case: Case) -> str:
    return "It is not bone dry: steam would burst it and what stands beside it." if case.ware.dry is False else ""


def _sealed_hollow(case: Case) -> str:
    return "It is hollow and closed, with no hole for the steam: it would burst." if case.ware.vented is False else ""


def _thick_wall(case: Case) -> str:
    wall, thick = case.ware.wall_mm, case.practice.thick_wall_mm
    if wall is None or wall <= thick:
        return ""
    return f"Its wall is {wall:g} mm thick, over {thick} mm: it needs long candling below 100 °C."


def _damp_glaze(case: Case) -> str:
    hours, needed = case.ware.glazed_hours, case.practice.glaze_dries_hours
    if hours is None or hours >= needed:
        return ""
    return f"It was glazed less than {needed} hours ago, and damp glaze spits off in a fast firing."


def _open_question(case: Case) -> str:
    return "A question on this piece has no answer yet." if case.ware.has_question else ""


RULES = (
    Rule(
        name="does-not-fit",
        about="kiln",
        when="the piece doesn't fit the chamber with its clearance",
        level=Level.REFUSE,
        look=_does_not_fit,
        mend="Fire it in a larger kiln.",
        rests_on="the kiln's own measures",
    ),
    Rule(
        name="foot-not-clear",
        about="kiln",
        when="glaze on the foot, or a foot not waxed or wiped clear 6 mm up the side, on a kiln shelf without a stilt",
        level=Level.REFUSE,
        look=_foot_not_clear,
        kinds=frozenset({RouteKind.SHELF}),
        mend="Wipe the foot clear, or set the piece on a stilt.",
    ),
    Rule(
        name=OPEN_QUESTION,
        about="prep",
        when="an open question on the piece",
        level=Level.ASK,
        look=_open_question,
        mend="The instructor answers it first.",
    ),
    Rule(
        name="damp-greenware",
        about="prep",
        when="greenware that isn't bone dry, in a bisque firing",
        level=Level.REFUSE,
        look=_damp_greenware,
        kinds=frozenset({RouteKind.BISQUE}),
        mend="Let it dry until it no longer feels cold against the cheek.",
    ),
    Rule(
        name="sealed-hollow",
        about="prep",
        when="a sealed hollow without a vent, in a bisque firing",
        level=Level.REFUSE,
        look=_sealed_hollow,
        kinds=frozenset({RouteKind.BISQUE}),
        mend="Prick a hole into it while the clay can still be pricked.",
    ),
    Rule(
        name="too-heavy-for-tongs",
        about="kiln",
        when="too heavy for the tongs (4.5 kg), in an outdoor firing",
        level=Level.ASK,
        look=_too_heavy,
        kinds=OUTDOORS,
        mend="Fire it indoors, or ask the instructor.",
    ),
    Rule(
        name="no-container",
        about="kiln",
        when="a raku firing of a piece that fits in no reduction bin",
        level=Level.ASK,
        look=_no_container,
        kinds=frozenset({RouteKind.RAKU}),
        mend="Fire it indoors, or ask the instructor.",
    ),
    Rule(
        name="runny-without-catch-plate",
        about="kiln",
        when="a runny glaze without a kiln cookie (drip plate) on a kiln shelf",
        level=Level.WARN,
        look=_runny,
        kinds=frozenset({RouteKind.SHELF}),
        of_coats=True,
        mend="Set the piece on a catch plate, or accept the risk by name.",
    ),
    Rule(
        name="wants-reduction",
        about="kiln",
        when="a glaze that needs reduction in an oxidizing kiln",
        level=Level.WARN,
        look=_wants_reduction,
        of_coats=True,
        mend="Choose a kiln that fires in reduction, or accept another colour by name.",
    ),
    Rule(
        name="thick-wall",
        about="prep",
        when="a wall over 25 mm in a bisque firing: candle it long below 100 °C",
        level=Level.WARN,
        look=_thick_wall,
        kinds=frozenset({RouteKind.BISQUE}),
        mend="Candle the kiln long enough, and accept it by name.",
    ),
    Rule(
        name="damp-glaze",
        about="prep",
        when="glazed less than 24 hours ago, in an outdoor firing",
        level=Level.WARN,
        look=_damp_glaze,
        kinds=OUTDOORS,
        mend="Let it dry until tomorrow, or accept the risk by name.",
    ),
)
