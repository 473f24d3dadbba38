"""What the kiln room asks: room in the chamber, a clean foot, tongs and containers, dry ware and settled questions."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Message, Plural, Sentences, _
from tracker.domain.pieces.piece import Use
from tracker.domain.quantities import celsius, compared, grams, hours, mm
from tracker.domain.rules import other_firings
from tracker.domain.rules.melting import melting, running, softening
from tracker.domain.rules.other_firings import LEAVE_FINISHED, indoors_or_not, raku
from tracker.domain.rules.overlaps import lining
from tracker.domain.rules.rule import (
    NOTHING_MORE,
    OFF_WITH_SOLVENT,
    SUNK_IN_CLAY,
    Case,
    Facts,
    Rule,
    choose,
    for_staff,
    names_of,
)
from tracker.domain.studio.cone_bands import HOTTEST_BISQUE
from tracker.domain.studio.kilns import PULLED_HOT, SMOKED, VAPOR, Atmosphere, RouteKind
from tracker.domain.studio.materials import GLASS, ON_CLAY, Coat, Glaze, Trait

OPEN_QUESTION = "open-question"
NO_LINER = "no-liner"
RAW_IN_GLAZE_FIRING = "greenware-in-glaze-firing"

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_WANTS_REDUCTION = Trait.WANTS_REDUCTION
_WANTS_OXIDATION = Trait.WANTS_OXIDATION
_REDUCTION = Atmosphere.REDUCTION
_ALWAYS_REDUCED = frozenset({RouteKind.RAKU, RouteKind.WOOD})
"""Smoke reduces what is pulled for raku, whatever its burner did; each stoking of wood reduces (common practice)."""
_NO_GREENWARE = VAPOR | {RouteKind.SHELF, RouteKind.OVERGLAZE}
"""Kinds of firing that take no raw clay hotter than a bisque."""


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


def _glaze_in_bisque(case: Case) -> Facts | None:
    raw = _raw_glass(case)
    return {"glazes": names_of(raw)} if raw else None


def _raw_glass(case: Case) -> list[Glaze]:
    return [glaze for glaze in case.raw if glaze.coat in GLASS]


def _out_of_the_bisque(case: Case) -> Facts:
    """Where glazed ware goes that is bisqued already; on greenware, the glaze waits for the bisque."""
    raw = _raw_glass(case)
    if case.ware.fired_to is None:
        return {"goes": "greenware", "off": _off_raw_clay(raw)}
    if case.ware.is_outdoor_only:
        return {"goes": "raku" if case.ware.use is not Use.FOOD and raku(case) else "off", "choose": choose(case, raw)}
    if all(glaze.coat is Coat.OVERGLAZE for glaze in raw):
        top = min(glaze.cone_high for glaze in raw)
        goes = other_firings.overglaze(case, top)
        off = Message("off-with-solvent", OFF_WITH_SOLVENT, glazes=names_of(raw))
        return {"goes": f"overglaze-{goes}", "cone": top, "off": off}
    return {**other_firings.glaze_firing(case), "choose": choose(case, raw)}


def _fired_glaze_in_bisque(case: Case) -> Facts | None:
    soft = [layer.glaze for layer in running(case) if layer.fired_to is not None]
    return {"glazes": names_of(soft)} if soft else None


def _tacky_in_bisque(case: Case) -> Facts | None:
    """Fired glaze that turns sticky below its cones; where other glaze softens all through or is raw, that is said."""
    if _raw_glass(case) or _fired_glaze_in_bisque(case) is not None:
        return None
    tacky = softening(case)
    return {"glazes": names_of(layer.glaze for layer in tacky)} if tacky else None


def _glazed_raw(case: Case) -> Facts | None:
    """Raw clay where no bisque comes first: bare clay may join a glaze firing that is no hotter than a bisque."""
    ware, kind = case.ware, case.route.kind
    if kind is RouteKind.ONCE_FIRE:
        if ware.fired_to is not None:
            return None
        return NOTHING_MORE if ware.has_glaze else {"why": "bare"}
    if not case.goes_in_raw or _raw_in_a_hot_fire(case):
        return None
    if kind is RouteKind.PIT:
        return {"why": "pit"}
    return NOTHING_MORE if ware.has_glaze else None


def _raw_in_a_hot_fire(case: Case) -> Facts | None:
    """Raw clay in a firing that isn't made for it: hotter than any bisque, or over fired glaze."""
    if not case.goes_in_raw:
        return None
    if case.route.kind is RouteKind.OVERGLAZE:
        return {"why": "overglaze"}
    is_hot = case.route.kind is not RouteKind.PIT and case.route.cone > HOTTEST_BISQUE
    return {"why": "hot", "firing": case.route.cone, "most": HOTTEST_BISQUE} if is_hot else None


def _off_before_the_bisque(case: Case) -> Facts:
    """What has to come off greenware before it can be bisqued: raw glaze, which would stick to its neighbors.

    No once-firing takes an overglaze or a raku glaze.
    """
    glass = _raw_glass(case)
    if not glass:
        return {"on": "nothing"}
    never_once = any(glaze.coat is Coat.OVERGLAZE or glaze.is_outdoor_only for glaze in glass)
    return {"on": "never-once" if never_once else "glaze", "glazes": names_of(glass), "off": _off_raw_clay(glass)}


def _off_raw_clay(glass: Sequence[Glaze]) -> Sentences:
    """How raw coats come off raw clay: glaze as the instructor says, overglaze not at all without the clay it is in."""
    over = [glaze for glaze in glass if glaze.coat is Coat.OVERGLAZE]
    watery = [glaze for glaze in glass if glaze not in over]
    told = [Message("off-greenware", _OFF_GREENWARE, glazes=names_of(watery))] if watery else []
    on_clay = [Message("sunk-in-clay", SUNK_IN_CLAY, glazes=names_of(over))]
    on_glaze = [Message("off-with-glaze", _("Take {glazes} off together with the glaze."), glazes=names_of(over))]
    told += [] if not over else on_glaze if watery else on_clay
    return Sentences(tuple(told))


_OFF_GREENWARE = ByRole(
    _("Before you take {glazes} off, ask the instructor: raw clay falls apart under water."),
    {"instructor": _("Take {glazes} off with a barely damp sponge: raw clay falls apart under water.")},
)


def _once_or_bisque_first(case: Case) -> Facts:
    """As `_off_before_the_bisque`; glaze on greenware for a once-firing is meant to be there."""
    off = _off_before_the_bisque(case)
    return {**off, "on": "once"} if off["on"] == "glaze" and case.route.kind is RouteKind.ONCE_FIRE else off


def _colored_here(case: Case, wants: Trait) -> list[Glaze]:
    """The coats of that trait whose color this firing makes: the raw ones, and fired ones that melt through again."""
    firing = case.route.cone
    again = [one.glaze for one in melting(case) if one.fired_to is not None and one.glaze.cone_low <= firing]
    return [glaze for glaze in case.glazes if wants in glaze.traits and (glaze in case.raw or glaze in again)]


def _wants_reduction(case: Case) -> Facts | None:
    kiln = case.kiln
    if kiln is None or kiln.atmosphere in {None, _REDUCTION}:
        return None
    wanting = _colored_here(case, _WANTS_REDUCTION)
    return {"glazes": names_of(wanting), "kiln": kiln.name, "atmosphere": kiln.atmosphere} if wanting else None


def _wants_oxidation(case: Case) -> Facts | None:
    """Glaze that needs oxidation where the kiln reduces, or where the kind of firing does in any kiln."""
    kiln, kind = case.kiln, case.route.kind
    is_reduced = kiln is not None and kiln.atmosphere is _REDUCTION
    if not is_reduced and kind not in _ALWAYS_REDUCED:
        return None
    wanting = _colored_here(case, _WANTS_OXIDATION)
    if not wanting:
        return None
    why = kind if kind in _ALWAYS_REDUCED else "kiln"
    return {"glazes": names_of(wanting), "kiln": kiln.name if kiln is not None else "", "why": why}


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


# What was fired once holds no more water: steam is a matter of greenware alone.


def _damp_greenware(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.dry is False and case.goes_in_raw else None


def _sealed_hollow(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.vented is False and case.goes_in_raw else None


def _raw_in_a_fast_fire(case: Case) -> Facts | None:
    return NOTHING_MORE if case.goes_in_raw else None


def _soft_or_dry(case: Case) -> Facts:
    return {"clay": "dry" if case.ware.dry else "soft"}


def _thick_wall(case: Case) -> Facts | None:
    ware, thick = case.ware, case.practice.thick_wall_mm
    if ware.wall_mm is None or ware.wall_mm <= thick or not case.goes_in_raw:
        return None
    wall, most = compared(mm(ware.wall_mm), mm(thick))
    # What is told to be damp dries first: of that another rule speaks.
    where = "pit" if case.route.kind is RouteKind.PIT else "kiln" if ware.dry is None else "dry"
    return {"in": where, "wall": wall, "thick": most, "candling": celsius(100)}


def _candled_where(case: Case) -> Facts:
    """That a firing which takes no greenware isn't the one to candle."""
    is_refused = case.route.kind in PULLED_HOT or (case.route.kind in _NO_GREENWARE and _raw_in_a_hot_fire(case))
    return {"in": "elsewhere"} if is_refused else NOTHING_MORE


def _damp_glaze(case: Case) -> Facts | None:
    since, needed = case.ware.glazed_hours, case.practice.glaze_dries_hours
    # Slip, underglaze and sigillata are part of the clay and dry with it. What was fired is dry.
    if all(glaze.coat in ON_CLAY for glaze in case.raw):
        return None
    return {"needed": hours(needed)} if since is not None and since < needed else None


def _open_question(case: Case) -> Facts | None:
    return NOTHING_MORE if case.ware.has_question else None


_SET_APART = for_staff(_("Ask staff to set it apart: nothing may touch it."), _("Set it apart: nothing may touch it."))

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
        name="glazed-raw",
        about="prep",
        when=("greenware in a once-firing or a pit, or glazed raw in a glaze firing to cone 01 or cooler"),
        level=Level.ASK,
        look=_glazed_raw,
        of_greenware=True,
        kinds=frozenset(RouteKind) - PULLED_HOT - {RouteKind.BISQUE},
        message=Choice(
            "why",
            {
                "": _("Raw glazed ware is fragile. Its steam and gases have to escape through the glaze."),
                "bare": _("This clay hasn't been bisqued. Raw clay is fragile, and it needs a slow firing."),
                "pit": _("This clay hasn't been bisqued. A pit heats fast and unevenly, and raw clay bursts easily."),
            },
        ),
        mend=_once_or_bisque_first,
        remedy=Choice(
            "on",
            {
                "once": ByRole(
                    _("Ask the instructor. Use only a glaze made for raw clay: others crack or flake off as they dry."),
                    {
                        "instructor": _(
                            "Allow it if its glaze is made for raw clay. Others crack or flake off as they dry."
                        )
                    },
                ),
                **dict.fromkeys(
                    ("glaze", "never-once"),
                    ByRole(
                        _("Bisque it first, without {glazes}, or ask the instructor to allow it. {off}"),
                        {"instructor": _("Bisque it first, without {glazes}, or allow it. {off}")},
                    ),
                ),
                "nothing": ByRole(
                    _("Bisque it first, or ask the instructor."), {"instructor": _("Bisque it first, or allow it.")}
                ),
            },
        ),
    ),
    Rule(
        name=RAW_IN_GLAZE_FIRING,
        about="prep",
        when="greenware in an overglaze firing, or hotter than cone 01 in any but a once-firing",
        level=Level.REFUSE,
        look=_raw_in_a_hot_fire,
        kinds=_NO_GREENWARE,
        of_greenware=True,
        message=Choice(
            "why",
            {
                "hot": _("This clay hasn't been bisqued. Hotter than {most}, only a once-firing takes greenware."),
                "overglaze": _("This clay hasn't been bisqued. An overglaze goes on fired glaze."),
            },
        ),
        mend=_off_before_the_bisque,
        remedy=Choice(
            "why",
            {
                "hot": Choice(
                    "on",
                    {
                        "glaze": _("Choose a once-firing. Or bisque it first, without {glazes}. {off}"),
                        "never-once": _("Bisque it first, without {glazes}. {off}"),
                        "nothing": _("Bisque it first, or choose a once-firing."),
                    },
                ),
                "overglaze": Choice(
                    "on",
                    {
                        **dict.fromkeys(
                            ("glaze", "never-once"),
                            _("Bisque it without {glazes}, then glaze and fire it first. {off}"),
                        ),
                        "nothing": _("Bisque it, then glaze and fire it first."),
                    },
                ),
            },
        ),
    ),
    Rule(
        name="glaze-in-bisque",
        about="kiln",
        when="raw glaze in a bisque firing, where pieces touch",
        level=Level.ASK,
        look=_glaze_in_bisque,
        kinds=frozenset({RouteKind.BISQUE}),
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} is still raw, and pieces that touch in a bisque stick together.",
            "{glazes} are still raw, and pieces that touch in a bisque stick together.",
        ),
        mend=_out_of_the_bisque,
        remedy=Choice(
            "goes",
            {
                "greenware": _("Bisque it first, without {glazes}. {off}"),
                "raku": _("Choose a raku firing."),
                "off": _("{choose:capital}."),
                "overglaze-open": _("Choose an overglaze firing to {cone}."),
                "overglaze-decorative": _("Make the piece decorative, and choose an overglaze firing to {cone}."),
                "overglaze-none": _("No firing suits the piece as it is. {off}"),
                other_firings.OPEN: _("Choose a glaze firing to {cone}."),
                other_firings.DECORATIVE: _("Make the piece decorative, and choose a glaze firing to {cone}."),
                other_firings.NONE: _("No firing suits the piece as it is. {choose:capital}."),
            },
        ),
    ),
    Rule(
        name="fired-glaze-in-bisque",
        about="kiln",
        when="fired glaze in a bisque firing that reaches its cones: it softens again, and pieces touch there",
        level=Level.WARN,
        look=_fired_glaze_in_bisque,
        kinds=frozenset({RouteKind.BISQUE}),
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} softens again in this firing, and pieces that touch in a bisque stick together.",
            "{glazes} soften again in this firing, and pieces that touch in a bisque stick together.",
        ),
        mend=other_firings.glaze_firing,
        remedy=Choice(
            "goes",
            {
                other_firings.OPEN: for_staff(
                    _("Choose a glaze firing to {cone}, or ask staff to set it apart: nothing may touch it."),
                    _("Choose a glaze firing to {cone}, or set it apart: nothing may touch it."),
                ),
                **dict.fromkeys((other_firings.DECORATIVE, other_firings.NONE), _SET_APART),
            },
        ),
    ),
    Rule(
        name="fired-glaze-tacky-in-bisque",
        about="kiln",
        when="fired glaze in a bisque firing that stays below its cones: it turns tacky, and pieces touch there",
        level=Level.NOTE,
        look=_tacky_in_bisque,
        kinds=frozenset({RouteKind.BISQUE}),
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} turns tacky in a bisque, and pieces that touch there stick together.",
            "{glazes} turn tacky in a bisque, and pieces that touch there stick together.",
        ),
        remedy=_SET_APART,
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
        remedy=for_staff(
            _("Use a liner glaze inside, or ask staff to accept the risk."),
            _("Use a liner glaze inside, or accept the risk."),
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
        name="damp-greenware",
        about="prep",
        when="greenware that isn't bone dry, in any firing",
        level=Level.REFUSE,
        look=_damp_greenware,
        of_greenware=True,
        message=_("It isn't bone dry: steam would burst it and the pieces next to it."),
        remedy=_("Let it dry until it no longer feels cold against the cheek."),
    ),
    Rule(
        name="sealed-hollow",
        about="prep",
        when="greenware with a sealed hollow and no vent, in any firing",
        level=Level.REFUSE,
        look=_sealed_hollow,
        needs="vented",
        of_greenware=True,
        message=_("It's hollow and closed, with no hole for the steam: it would burst."),
        mend=_soft_or_dry,
        remedy=Choice(
            "clay",
            {
                "soft": _("Poke a vent hole while the clay is still soft."),
                "dry": _("Drill a vent hole by hand, gently: the clay is dry."),
            },
        ),
    ),
    Rule(
        name="greenware-pulled-hot",
        about="prep",
        when="greenware in a firing that is pulled hot",
        level=Level.REFUSE,
        look=_raw_in_a_fast_fire,
        kinds=PULLED_HOT,
        of_greenware=True,
        message=_("This clay hasn't been bisqued: raw clay bursts in a kiln that heats this fast."),
        mend=_off_before_the_bisque,
        remedy=Choice(
            "on",
            {
                **dict.fromkeys(("glaze", "never-once"), _("Bisque it first, without {glazes}. {off}")),
                "nothing": _("Bisque it first."),
            },
        ),
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
        name="wants-reduction",
        about="kiln",
        when="a glaze that needs reduction, raw or fired and molten again, in an oxidizing or neutral kiln, but in "
        "raku and wood firings",
        level=Level.WARN,
        look=_wants_reduction,
        in_a_kiln=True,
        # Raku is reduced in a bin after the kiln, and each stoking of wood reduces.
        kinds=frozenset(RouteKind) - _ALWAYS_REDUCED,
        of_coats=True,
        message=Choice(
            "atmosphere",
            {
                "oxidation": Plural(
                    "glazes",
                    "{glazes} needs reduction, and {kiln} fires in oxidation.",
                    "{glazes} need reduction, and {kiln} fires in oxidation.",
                ),
                "neutral": Plural(
                    "glazes",
                    "{glazes} needs reduction, and {kiln} fires in a neutral atmosphere.",
                    "{glazes} need reduction, and {kiln} fires in a neutral atmosphere.",
                ),
            },
        ),
        remedy=for_staff(
            _("Ask staff for a kiln that fires in reduction, or tell them that another color is fine."),
            _("Choose a kiln that fires in reduction, or sign off on another color."),
        ),
    ),
    Rule(
        name="wants-oxidation",
        about="kiln",
        when="a glaze that needs oxidation (a chrome-tin pink), raw or fired and molten again, in a reducing kiln, or "
        "in any raku or wood firing",
        level=Level.WARN,
        look=_wants_oxidation,
        of_coats=True,
        message=Choice(
            "why",
            {
                "kiln": Plural(
                    "glazes",
                    "{glazes} needs oxidation, and {kiln} fires in reduction.",
                    "{glazes} need oxidation, and {kiln} fires in reduction.",
                ),
                "raku": Plural(
                    "glazes",
                    "{glazes} needs oxidation, and the smoke after a raku firing reduces it.",
                    "{glazes} need oxidation, and the smoke after a raku firing reduces them.",
                ),
                "wood": Plural(
                    "glazes",
                    "{glazes} needs oxidation, and stoking wood reduces it.",
                    "{glazes} need oxidation, and stoking wood reduces them.",
                ),
            },
        ),
        remedy=Choice(
            "why",
            {
                # A raku glaze has no firing but raku, and what cools in the air is hardly reduced.
                "raku": for_staff(
                    _("Ask staff to let it cool in the air, without the bin, or tell them that another color is fine."),
                    _("Let it cool in the air, without the bin, or sign off on another color."),
                ),
                **dict.fromkeys(
                    ("kiln", "wood"),
                    for_staff(
                        _("Ask staff for a firing in oxidation, or tell them that another color is fine."),
                        _("Choose a firing in oxidation, or sign off on another color."),
                    ),
                ),
            },
        ),
    ),
    Rule(
        name="thick-wall",
        about="prep",
        when="greenware with a wall over 25 mm in any firing: candle it long below 100 °C, or bisque it before a pit",
        level=Level.WARN,
        look=_thick_wall,
        needs="wall_mm",
        of_greenware=True,
        message=Choice(
            "in",
            {
                "kiln": _("Its wall is {wall} thick, over {thick}: it needs long candling below {candling}."),
                "dry": _(
                    "Its wall is {wall} thick, over {thick}. Even bone dry, it needs long candling below {candling}."
                ),
                "pit": _("Its wall is {wall} thick, over {thick}. A pit heats it too fast: it may burst."),
            },
        ),
        mend=_candled_where,
        remedy=Choice(
            "in",
            {
                "elsewhere": _("In a firing that takes it, candle the kiln long."),
                "kiln": for_staff(
                    _("Ask staff to candle the kiln until the piece is dry."),
                    _("Candle the kiln until the piece is dry, and accept the risk."),
                ),
                "dry": for_staff(
                    _("Ask staff to candle the kiln long and heat it slowly."),
                    _("Candle the kiln long, heat it slowly, and accept the risk."),
                ),
                "pit": for_staff(
                    _("Bisque it first, or ask staff to accept the risk."),
                    _("Bisque it first, or accept the risk."),
                ),
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
