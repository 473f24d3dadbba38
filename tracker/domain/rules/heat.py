"""What heat does: glazes that melt off, clay that slumps, layers that share no heat."""

from __future__ import annotations

from operator import attrgetter

from tracker.domain.cones import Cone, ConeRange, cones_apart
from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Fact, Message, Plural, _
from tracker.domain.pieces.piece import Use
from tracker.domain.quantities import percent
from tracker.domain.rules import other_firings
from tracker.domain.rules.other_firings import NONE, OPEN
from tracker.domain.rules.rule import Case, Facts, Rule, at_heat, choose, for_staff, names_of, raw_or_fired
from tracker.domain.studio.absorption import Absorption, Soak, at_least, at_most
from tracker.domain.studio.kilns import AFTER_BISQUE, VAPOR, RouteKind
from tracker.domain.studio.materials import (
    CLAYS_IN_COATS,
    HOTTEST_LOW_FIRE,
    LOWEST_HEAT,
    NON_VITREOUS_PCT,
    ON_CLAY,
    ClayKind,
    Coat,
    Family,
    Glaze,
    Trait,
    Zone,
)

STAYS_POROUS = "clay-stays-porous"
SLUMPS = "clay-slumps"
_LEAST_HEAT, _MOST_HEAT = attrgetter("cone_low.rank"), attrgetter("ceiling.rank")
_ORTON = _("Orton end points; common practice")

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_OVERGLAZE = Coat.OVERGLAZE
_GLAZE = Coat.GLAZE
_OUTSIDE = Family.OUTSIDE
_RUNNY = Trait.RUNNY
_DECORATIVE = Use.DECORATIVE
_UNKNOWN = ClayKind.UNKNOWN
_INSIDE = frozenset({Zone.ALL_OVER, Zone.INSIDE})


def _weak(case: Case) -> list[Glaze]:
    """The glazes that this firing is too hot for."""
    return [glaze for glaze in case.glazes if glaze.coat is _GLAZE and glaze.cone_high < case.route.cone]


_GOES_TO = {
    "known": _("{glaze} only goes to {top}"),
    "nameless": _("{glaze} hasn't been identified and can go to {top} at most"),
}


def _melts_off(case: Case) -> Facts | None:
    if not (weak := _weak(case)):
        return None
    done = tuple(
        Message(
            "glaze-is-done",
            Choice("known", _GOES_TO),
            glaze=glaze.name,
            top=glaze.cone_high,
            known="nameless" if glaze.family is _OUTSIDE else "known",
        )
        for glaze in weak
    )
    firing = case.route.cone
    runny = names_of(glaze for glaze in weak if _RUNNY in glaze.traits)
    if any(cones_apart(glaze.cone_high, firing) > _RUNS_AT_MOST for glaze in weak):
        sure = "maybe" if all(glaze.family is _OUTSIDE for glaze in weak) else "yes"
    else:
        sure = "may-run" if not runny else "runs" if len(runny) == len(names_of(weak)) else "some-run"
    return {"glazes": done, "firing": firing, "sure": sure, **({"runny": runny} if sure == "some-run" else {})}


_RUNS_AT_MOST = 2
"""Up to so many cones over its top, a glaze may run or change rather than melt off; a runny one runs (common practice).
"""


def _weak_is_raw(case: Case) -> Facts:
    weak = _weak(case)
    is_raw = raw_or_fired(case, weak)
    goes = other_firings.cooler(case)
    if any(glaze.family is not _OUTSIDE for glaze in weak):
        may_come_off = is_raw == "fired" and goes == NONE and case.raw
        return {"is": is_raw, "goes": "fired-off" if may_come_off else f"{is_raw}-{goes}"}
    goes = f"identify-{is_raw}-{OPEN if goes == OPEN else NONE}"
    return {"is": is_raw, "goes": goes, "nameless": names_of(weak)}


def _burning(case: Case) -> list[Glaze]:
    """The overglazes that this firing is too hot for."""
    return [glaze for glaze in case.glazes if glaze.coat is _OVERGLAZE and glaze.cone_high < case.route.cone]


def _burns_off(case: Case) -> Facts | None:
    gone = _burning(case)
    if not gone:
        return None
    # What is pulled hot is pulled by its pyrometer, often below its cone.
    return {
        "glazes": names_of(gone),
        "firing": case.route.cone,
        "how": "pulled" if case.route.is_pulled_hot else "cone",
    }


def _under_overglaze(case: Case) -> Facts:
    """What lies under a raw overglaze: glaze that was fired, raw glaze, or none; under a fired one it is all fired."""
    below = [layer.fired_to is not None for layer in case.ware.layers if layer.glaze.coat is _GLAZE]
    # The overglaze that stands the least heat sets the cone.
    top = min(glaze.cone_high for glaze in _burning(case))
    is_raw = raw_or_fired(case, _burning(case)) == "raw"
    raw_glazes = names_of(glaze for glaze in case.raw if glaze.coat is _GLAZE)
    if case.ware.is_outdoor_only:
        # Ware in a raku glaze has no firing but raku.
        return {"below": "raku" if is_raw else "raku-fired"}
    if not is_raw:
        return {"below": "over", "top": top, "over": raw_glazes} if raw_glazes else {"below": "fired", "top": top}
    return {"below": "none" if not below else "fired" if all(below) else "raw", "top": top}


_FADES = {
    "underglaze": _("{glaze} (up to {top}) fades"),
    "slip": _("{glaze} (up to {top}) darkens"),
    "sigillata": _("{glaze} (up to {top}) darkens and loses its sheen"),
}


def _fades(case: Case) -> Facts | None:
    """The coats over their top cone in this firing; one that was fired as hot before has faded, and stays so."""
    firing = case.route.cone
    fading = dict.fromkeys(
        layer.glaze
        for layer in case.ware.layers
        if layer.glaze.coat in ON_CLAY
        and layer.glaze.cone_high < firing
        and (layer.fired_to is None or layer.fired_to < firing)
    )
    faint = tuple(
        Message("coat-fades", Choice("coat", _FADES), glaze=glaze.name, coat=glaze.coat, top=glaze.cone_high)
        for glaze in fading
    )
    return {"glazes": faint, "firing": firing} if faint else None


def _fades_less(case: Case) -> Facts:
    """Whether a cooler firing, in which none of the coats fades, takes the ware as it is."""
    most = min(glaze.cone_high for glaze in case.glazes if glaze.coat in ON_CLAY and glaze.cone_high < case.route.cone)
    return {"goes": OPEN if other_firings.cooler(case, most) == OPEN else NONE}


def _nothing_below(case: Case) -> Facts | None:
    """The raw overglazes without a fired glaze under them; of one that burns off that alone is said."""
    over = [glaze for glaze in case.raw if glaze.coat is _OVERGLAZE and glaze.cone_high >= case.route.cone]
    fired = any(layer.glaze.coat is _GLAZE and layer.fired_to is not None for layer in case.ware.layers)
    return {"glazes": names_of(over)} if over and not fired else None


def _over_raw_overglaze(case: Case) -> Facts | None:
    """The coats that lie on an overglaze which no fire has set yet; overglazes of one firing may meet."""
    layers = case.ware.layers
    if len(layers) < 2:  # noqa: PLR2004 -- one layer alone lies on no other
        return None
    below = [(place, one) for place, one in enumerate(layers) if one.glaze.coat is _OVERGLAZE and one.fired_to is None]
    for place, one in below:
        over = [
            top.glaze for top in layers[place + 1 :] if top.glaze.coat is not _OVERGLAZE and top.zone.meets(one.zone)
        ]
        if over:
            return {"glazes": names_of(over), "overglaze": one.glaze.name}
    return None


def _on_fired_clay(case: Case) -> Facts | None:
    if case.ware.fired_to is None:
        return None
    slips = [glaze for glaze in case.raw if glaze.coat in CLAYS_IN_COATS]
    return {"glazes": names_of(slips)} if slips else None


def _on_greenware(case: Case) -> Facts:
    """What goes on greenware, and where else its color may come from; horsehair marks no underglaze."""
    nouns = {glaze.noun for glaze in case.raw if glaze.coat in CLAYS_IN_COATS}
    noun = nouns.pop() if len(nouns) == 1 else "several"
    instead = f"{noun}-bare" if case.route.kind is RouteKind.HORSEHAIR else noun
    return {"goes": Message("goes-on-greenware", Choice("instead", _GO_ON_GREENWARE), instead=instead)}


_GO_ON_GREENWARE = {
    "slip": _("Slip goes on greenware. On fired clay, use an underglaze."),
    "sigillata": _("Terra sigillata goes on greenware. For color on fired clay, use an underglaze."),
    "several": _("Slip and terra sigillata go on greenware. For color on fired clay, use an underglaze."),
    "slip-bare": _("Slip goes on greenware."),
    "sigillata-bare": _("Terra sigillata goes on greenware."),
    "several-bare": _("Slip and terra sigillata go on greenware."),
}


def _stands_less(case: Case) -> Facts:
    """Whether a cooler firing takes the ware; where its glaze keeps it from any, whether that is raw still."""
    top = case.ware.clay.ceiling
    goes = other_firings.cooler(case, top)
    if goes != NONE:
        return {"goes": goes}
    wanting = [glaze for glaze in case.raw if glaze.coat not in CLAYS_IN_COATS and glaze.cone_low > top]
    if wanting:
        to_top = Message("up-to-cone", _("for {top} or cooler"), top=top)
        return {"goes": "raw", "choose": choose(case, wanting, to_top)}
    return {"goes": "off" if case.raw else NONE}


def _slumps(case: Case) -> Facts | None:
    clay = case.ware.clay
    if clay.ceiling >= case.route.cone:
        return None
    known = "nameless" if clay.kind is _UNKNOWN else "mature" if clay.slumps_above is None else "told"
    if known == "mature" and cones_apart(clay.ceiling, case.route.cone) > _BLOATS_AT_MOST:
        known = "far"
    return {"clay": clay.name, "top": clay.ceiling, "firing": case.route.cone, "known": known}


_BLOATS_AT_MOST = 6
"""More cones over its top than that, a clay doesn't get away with a bloat: it slumps or melts (common practice)."""


_NEEDS = _("{glaze} needs {low}")
_COUNTS = _("{glaze} hasn't been identified and counts as needing {low}")


def _too_cold(case: Case) -> dict[Glaze, None]:
    """The coats that this firing doesn't mature.

    What was fired hot enough once is glass already. A slip is clay: where it stays immature it is none the worse.
    """
    firing = case.route.cone
    return dict.fromkeys(
        layer.glaze
        for layer in case.ware.layers
        if (firing if layer.fired_to is None else max(firing, layer.fired_to)) < layer.glaze.cone_low
        and layer.glaze.coat not in CLAYS_IN_COATS
    )


def _may_go_hotter(case: Case) -> Facts:
    """Whether the clay and the other layers stand the heat that the coldest-fired of these coats needs."""
    low, clay = max(glaze.cone_low for glaze in _too_cold(case)), case.ware.clay
    top = case.ware.ceiling
    hotter = "yes" if low <= top else "clay" if clay.ceiling < low else "glaze"
    told: dict[str, Fact] = {"low": low, "clay": clay.name, "top": clay.ceiling if hotter == "clay" else top}
    over = [glaze for glaze in case.raw if glaze.coat is _OVERGLAZE and glaze.cone_high < low]
    if hotter == "glaze" and over:
        return {"hotter": "overglaze", **told, "overglazes": names_of(over)}
    if hotter == "yes":
        return {"hotter": hotter, **told}
    cold = _too_cold(case)
    return {"hotter": f"{hotter}-{raw_or_fired(case, cold)}", **told, "choose": choose(case, cold)}


def _underfired(case: Case) -> Facts | None:
    firing = case.route.cone
    if not (cold := _too_cold(case)):
        return None
    needs = tuple(
        Message(
            "glaze-needs-heat", _COUNTS if glaze.family is _OUTSIDE else _NEEDS, glaze=glaze.name, low=glaze.cone_low
        )
        for glaze in cold
    )
    return {"glazes": needs, "firing": firing}


def _stays_porous(case: Case) -> Facts | None:
    ware, clay, firing = case.ware, case.ware.clay, case.route.cone
    if ware.use is not _DECORATIVE:
        return None
    if clay.is_mature_at(case.clay_heat):
        return _seeps(case)
    known = "nameless" if clay.kind is _UNKNOWN else "known"
    # What is pulled hot is pulled by its pyrometer, often below its cone.
    known += "-pulled" if case.route.is_pulled_hot else "-lined" if _is_lined(case) else ""
    at = at_heat(case, case.clay_heat)
    return {"clay": clay.name, "low": clay.cone_low, "firing": firing, "at": at, "known": known}


def _porous_by(facts: Facts) -> str:
    """What it rests on that clay stays porous: a number, or what potters know."""
    return _("absorption by ASTM C373; ANSI A137.1") if "absorption" in facts else _("common practice")


def _is_lined(case: Case) -> bool:
    """Whether glaze that melts in this firing, or did before, lies inside."""
    firing = case.route.cone
    return any(
        layer.zone in _INSIDE
        and layer.glaze.coat is _GLAZE
        and layer.glaze.cone_low <= max(firing, layer.fired_to or firing)
        for layer in case.ware.layers
    )


def _seeps(case: Case) -> Facts | None:
    """Mature clay that takes up much water, or nobody has measured what never turns dense: it stays porous.

    Earthenware never does, nor any clay that was fired no hotter than low-fire ware.
    """
    ware, clay = case.ware, case.ware.clay
    # Vapor may glaze what is bare, of clay that nobody can name another rule asks, and over its top nothing is known.
    is_bare_in_vapor = case.route.kind in VAPOR and not ware.has_glaze
    if clay.kind is _UNKNOWN or is_bare_in_vapor or case.clay_heat > clay.ceiling:
        return None
    found = at_least(clay.measured, case.clay_heat) or at_most(clay.measured, case.clay_heat)
    pct = clay.absorption_pct if found is None else found.pct
    lining = "lined" if _is_lined(case) else "bare"
    if pct is None:
        is_earthenware = clay.kind is ClayKind.EARTHENWARE
        if not is_earthenware and case.clay_heat > HOTTEST_LOW_FIRE:
            return None
        return {"clay": clay.name, "known": "unmeasured" if is_earthenware else "low-fired", "inside": lining}
    if pct <= NON_VITREOUS_PCT:
        return None
    known = _bounded(found, case.clay_heat)
    return {"clay": clay.name, "absorption": percent(pct), "known": known, "inside": lining}


def _bounded(found: Absorption | None, heat: Cone) -> str:
    """Whether clay of this heat absorbs so much, at least so much or at most so much; a data sheet says how much."""
    if found is None or (found.cone == heat and found.method is Soak.BOIL):
        return "mature"
    return "mature-least" if found.cone >= heat else "mature-most"


def _apart(case: Case) -> tuple[Glaze, Glaze] | None:
    """The raw coat that needs the most heat and the coat that stands the least, where no cone fits both."""
    if len(case.glazes) < 2:  # noqa: PLR2004 -- one glaze alone shares its heat with itself
        return None
    wanting = [glaze for glaze in case.raw if glaze.coat not in CLAYS_IN_COATS]
    if not wanting:
        return None
    needs, stands = max(wanting, key=_LEAST_HEAT), min(case.glazes, key=_MOST_HEAT)
    return None if needs.cone_low <= stands.ceiling else (needs, stands)


def _no_shared_heat(case: Case) -> Facts | None:
    if (both := _apart(case)) is None:
        return None
    needs, stands = both
    why = "overglaze" if stands.coat is _OVERGLAZE else "nameless" if _nameless_of(both) else "apart"
    return {"hot": needs.name, "hot_cones": needs.cones, "cool": stands.name, "cool_cones": stands.cones, "why": why}


def _nameless_of(both: tuple[Glaze, Glaze]) -> tuple[str, ...]:
    """The names of those two coats that nobody has identified."""
    return names_of(glaze for glaze in both if glaze.family is _OUTSIDE)


def _which_comes_off(case: Case) -> Facts:
    """Of two coats that share no heat: either, or the raw one alone where the other was fired on."""
    if (both := _apart(case)) is None:
        return {"off": "either"}
    _needs, stands = both
    is_raw, nameless = stands in case.raw, _nameless_of(both)
    if is_raw and stands.coat is _OVERGLAZE:
        return {"off": "overglaze"}
    off = "either" if is_raw else "raw"
    is_helped = nameless and stands.coat is not _OVERGLAZE
    return {"off": f"{off}-nameless", "nameless": nameless} if is_helped else {"off": off}


def _nameless(case: Case) -> Facts | None:
    ware = case.ware
    clay = [ware.clay.name] if ware.clay.kind is _UNKNOWN else []
    names = clay + [glaze.name for glaze in case.glazes if glaze.family is _OUTSIDE]
    return {"materials": tuple(dict.fromkeys(names)), "taken_for": ConeRange(*LOWEST_HEAT)} if names else None


_TO_A_COOLER_FIRING = Choice(
    "goes",
    {
        "open": _("Choose a cooler firing that this clay can take."),
        "raku": _("Choose a raku firing."),
        "decorative": _("Make the piece decorative, and choose a cooler firing that this clay can take."),
        "raw": _("{choose:capital}: no firing suits both this clay and what is on it."),
        "raku-decorative": _("Make the piece decorative, and choose a raku firing."),
        "off": _("No cooler firing suits the piece as it is. Take its raw layers off."),
        "none": _("Leave the piece as it is: no cooler firing suits it."),
    },
)

RULES = (
    Rule(
        name="glaze-melts-off",
        about="heat",
        when="a glaze layer's top cone is below the firing's cone; equal is fine",
        level=Level.REFUSE,
        look=_melts_off,
        of_coats=True,
        of_materials=True,
        message=Choice(
            "sure",
            {
                "yes": Plural(
                    "glazes",
                    "{glazes}: at {firing}, it melts off the pot onto the shelf.",
                    "{glazes}: at {firing}, they melt off the pot onto the shelf.",
                ),
                "may-run": Plural(
                    "glazes",
                    "{glazes}: at {firing}, it may run, and its color or surface may change.",
                    "{glazes}: at {firing}, they may run, and their color or surface may change.",
                ),
                "runs": Plural(
                    "glazes",
                    "{glazes}: at {firing}, it runs, and its color or surface may change.",
                    "{glazes}: at {firing}, they run, and their color or surface may change.",
                ),
                "some-run": Plural(
                    "runny",
                    "{glazes}: at {firing}, {runny} runs, and their color or surface may change.",
                    "{glazes}: at {firing}, {runny} run, and their color or surface may change.",
                ),
                "maybe": Plural(
                    "glazes",
                    "{glazes}: at {firing}, it may melt off the pot onto the shelf.",
                    "{glazes}: at {firing}, they may melt off the pot onto the shelf.",
                ),
            },
        ),
        mend=_weak_is_raw,
        remedy=Choice(
            "goes",
            {
                "raw-open": _("Choose a cooler firing, or another glaze."),
                "raw-raku": _("Choose a raku firing, or another glaze."),
                "raw-decorative": _(
                    "Choose another glaze. Or make the piece decorative, and choose a cooler firing for it."
                ),
                "raw-none": _("Choose another glaze: no cooler firing suits this piece."),
                "fired-open": _("Choose a cooler firing. Fired glaze stays on."),
                "fired-raku": _("Choose a raku firing. Fired glaze stays on."),
                "fired-decorative": _("Make the piece decorative, and choose a cooler firing. Fired glaze stays on."),
                "raw-raku-decorative": _(
                    "Choose another glaze. Or make the piece decorative, and choose a raku firing for it."
                ),
                "fired-raku-decorative": _(
                    "Make the piece decorative, and choose a raku firing. Fired glaze stays on."
                ),
                "fired-off": _(
                    "Take its raw layers off: no cooler firing suits the piece as it is, and fired glaze stays on."
                ),
                "fired-none": _("Leave the piece as it is: no cooler firing suits it, and fired glaze stays on."),
                "identify-raw-open": _("Identify {nameless}, choose another glaze, or choose a cooler firing."),
                "identify-raw-none": _("Identify {nameless}, or choose another glaze."),
                "identify-fired-open": _("Identify {nameless}, or choose a cooler firing. Fired glaze stays on."),
                "identify-fired-none": _("Identify {nameless}, or leave the piece as it is. Fired glaze stays on."),
            },
        ),
        source=_ORTON,
    ),
    Rule(
        name="overglaze-burns-off",
        about="heat",
        when="an overglaze (luster, china paint) in a firing hotter than its top cone",
        level=Level.REFUSE,
        look=_burns_off,
        of_coats=True,
        of_materials=True,
        message=Choice(
            "how",
            {
                "cone": Plural(
                    "glazes",
                    "{glazes} is an overglaze: at {firing}, its color burns off.",
                    "{glazes} are overglazes: at {firing}, their color burns off.",
                ),
                "pulled": Plural(
                    "glazes",
                    "{glazes} is an overglaze: its color burns off in a firing that is pulled hot.",
                    "{glazes} are overglazes: their color burns off in a firing that is pulled hot.",
                ),
            },
        ),
        mend=_under_overglaze,
        remedy=Choice(
            "below",
            {
                "raw": _(
                    "Leave {glazes} off until the glaze is fired. Then choose an overglaze firing to {top} or cooler."
                ),
                "fired": _("Choose an overglaze firing to {top} or cooler."),
                "over": _("Leave {over} off, and choose an overglaze firing to {top} or cooler."),
                "raku": _("Leave {glazes} off: a raku glaze has no firing but raku."),
                "raku-fired": _("Leave the piece as it is: a raku glaze has no firing but raku."),
                "none": _(
                    "Leave {glazes} off until the piece is glazed and fired. Then choose an overglaze firing to {top} "
                    "or cooler."
                ),
            },
        ),
        source=_ORTON,
    ),
    Rule(
        name="coat-fades",
        about="heat",
        when=(
            "a slip, underglaze or terra sigillata over its top cone: it fades, darkens or loses its sheen, "
            "but doesn't run"
        ),
        level=Level.WARN,
        look=_fades,
        of_coats=True,
        of_materials=True,
        message=_("{glazes} at {firing}."),
        mend=_fades_less,
        remedy=Choice(
            "goes",
            {
                "open": for_staff(
                    _("Choose a cooler firing, or ask staff to accept another color or sheen."),
                    _("Choose a cooler firing, or accept another color or sheen."),
                ),
                "none": for_staff(
                    _("Ask staff to accept another color or sheen."), _("Accept another color or sheen.")
                ),
            },
        ),
    ),
    Rule(
        name="overglaze-on-bare-clay",
        about="heat",
        when="an overglaze without a fired glaze under it",
        level=Level.WARN,
        look=_nothing_below,
        kinds=frozenset({RouteKind.OVERGLAZE}),
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} has no fired glaze under it: it comes out dull and rubs off.",
            "{glazes} have no fired glaze under them: they come out dull and rub off.",
        ),
        remedy=for_staff(
            _("Glaze and fire the piece first, or ask staff to accept the risk."),
            _("Glaze and fire the piece first, or accept the risk."),
        ),
    ),
    Rule(
        name="coat-over-raw-overglaze",
        about="heat",
        when="a slip, an underglaze, a glaze or wax over a raw overglaze (refused at glazing)",
        level=Level.REFUSE,
        look=_over_raw_overglaze,
        at_glazing=True,
        of_coats=True,
        of_materials=True,
        message=_("{overglaze} is a raw overglaze: nothing goes over it. {glazes:capital} would spoil it."),
        remedy=_("Leave {glazes} off: an overglaze goes on last."),
    ),
    Rule(
        name="slip-on-fired-clay",
        about="heat",
        when="raw slip or terra sigillata on clay that has been fired",
        level=Level.WARN,
        look=_on_fired_clay,
        kinds=AFTER_BISQUE,
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} shrinks as it dries, and fired clay doesn't. It may peel.",
            "{glazes} shrink as they dry, and fired clay doesn't. They may peel.",
        ),
        mend=_on_greenware,
        remedy=for_staff(
            _("Wash off {glazes}, or ask staff to accept the risk. {goes}"),
            _("Wash off {glazes}, or accept the risk. {goes}"),
        ),
    ),
    Rule(
        name=SLUMPS,
        about="heat",
        when="the clay slumps below the firing's cone",
        level=Level.REFUSE,
        look=_slumps,
        of_materials=True,
        message=Choice(
            "known",
            {
                "told": _("{clay} slumps above {top}, and this firing goes to {firing}."),
                "mature": _("{clay} goes to {top}. At {firing}, it may slump or bloat."),
                "far": _("{clay} goes to {top}. At {firing}, it slumps or melts onto the shelf."),
                "nameless": _(
                    "{clay} hasn't been identified. It may slump above {top}, and this firing goes to {firing}."
                ),
            },
        ),
        mend=_stands_less,
        remedy=Choice(
            "known",
            {
                "told": _TO_A_COOLER_FIRING,
                "mature": _TO_A_COOLER_FIRING,
                "far": _TO_A_COOLER_FIRING,
                "nameless": Choice(
                    "goes",
                    {
                        **dict.fromkeys(
                            ("open", "raku", "decorative", "raku-decorative"),
                            _("Choose a firing to {top} or cooler, or identify the clay."),
                        ),
                        **dict.fromkeys(("raw", "off", "none"), _("Identify the clay.")),
                    },
                ),
            },
        ),
        source=_ORTON,
    ),
    Rule(
        name="layers-share-no-heat",
        about="heat",
        when="two layers that no firing can mature together (refused at glazing)",
        level=Level.REFUSE,
        look=_no_shared_heat,
        at_glazing=True,
        of_coats=True,
        of_materials=True,
        message=Choice(
            "why",
            {
                "apart": _(
                    "No cone fits both {hot} ({hot_cones}) and {cool} ({cool_cones}): the heat that melts one ruins "
                    "the other."
                ),
                "nameless": _(
                    "No cone fits both {hot} ({hot_cones}) and {cool} ({cool_cones}). A glaze that hasn't been "
                    "identified counts as the lowest-firing."
                ),
                "overglaze": _(
                    "{cool} is an overglaze ({cool_cones}): the glaze firing of {hot} ({hot_cones}) burns it off."
                ),
            },
        ),
        mend=_which_comes_off,
        remedy=Choice(
            "off",
            {
                "either": _("Leave one of them off, or choose glazes whose cones overlap."),
                "overglaze": _("Fire {hot} first. Then apply {cool}, and fire the piece again."),
                "raw": _("Leave {hot} off. {cool:capital} is fired on and stays."),
                "either-nameless": _("Identify {nameless}, or leave one of the two off."),
                "raw-nameless": _("Identify {nameless}, or leave {hot} off. {cool:capital} is fired on and stays."),
            },
        ),
        source=_ORTON,
    ),
    Rule(
        name="glaze-underfired",
        about="heat",
        when="a glaze layer that needs more heat than the firing gives",
        level=Level.ASK,
        look=_underfired,
        kinds=AFTER_BISQUE,
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes}: a firing to {firing} doesn't mature it.",
            "{glazes}: a firing to {firing} doesn't mature them.",
        ),
        mend=_may_go_hotter,
        remedy=Choice(
            "hotter",
            {
                "yes": ByRole(
                    _("Choose a firing to {low} or hotter, or ask the instructor."),
                    {"instructor": _("Choose a firing to {low} or hotter.")},
                ),
                "overglaze": ByRole(
                    _("Leave {overglazes} off until the piece is fired to {low} or hotter, or ask the instructor."),
                    {"instructor": _("Leave {overglazes} off until the piece is fired to {low} or hotter.")},
                ),
                "clay-raw": ByRole(
                    _("{clay} can't go hotter than {top}. {choose:capital}, or ask the instructor."),
                    {"instructor": _("{clay} can't go hotter than {top}. {choose:capital}.")},
                ),
                "glaze-raw": ByRole(
                    _("Another layer can't go hotter than {top}. {choose:capital}, or ask the instructor."),
                    {"instructor": _("Another layer can't go hotter than {top}. {choose:capital}.")},
                ),
                "clay-fired": ByRole(
                    _("{clay} can't go hotter than {top}. Leave the piece as it is, or ask the instructor."),
                    {"instructor": _("{clay} can't go hotter than {top}. Leave the piece as it is.")},
                ),
                "glaze-fired": ByRole(
                    _("Another layer can't go hotter than {top}. Leave the piece as it is, or ask the instructor."),
                    {"instructor": _("Another layer can't go hotter than {top}. Leave the piece as it is.")},
                ),
            },
        ),
        source=_ORTON,
    ),
    Rule(
        name="nameless-material",
        about="heat",
        when="clay that hasn't been identified, or a glaze from outside the studio",
        level=Level.ASK,
        look=_nameless,
        of_materials=True,
        message=Plural(
            "materials",
            "{materials} hasn't been identified, so it counts as the lowest-firing, {taken_for}.",
            "{materials} haven't been identified, so they count as the lowest-firing, {taken_for}.",
        ),
        remedy=ByRole(
            Plural("materials", "Identify it, or ask the instructor.", "Identify them, or ask the instructor."),
            {"instructor": Plural("materials", "Identify it.", "Identify them.")},
        ),
    ),
    Rule(
        name=STAYS_POROUS,
        about="heat",
        when=(
            "a decorative piece whose clay isn't mature at the firing's cone, or absorbs over 7%, or isn't known to "
            "absorb less and is earthenware or fired to cone 01 or cooler; glazed inside or not"
        ),
        level=Level.NOTE,
        look=_stays_porous,
        kinds=AFTER_BISQUE,
        of_materials=True,
        message=Choice(
            "known",
            {
                "known": _("{clay} matures at {low}: {at}, it stays porous and won't hold water."),
                "known-lined": _(
                    "{clay} matures at {low}: {at}, it stays porous under its glaze. "
                    "Water seeps in where the glaze is crazed, thin or missing."
                ),
                "mature": Choice(
                    "inside",
                    {
                        "bare": _(
                            "{clay} absorbs {absorption} when mature. Without a glaze inside, water seeps through."
                        ),
                        "lined": _(
                            "{clay} absorbs {absorption} when mature. Water seeps in where its glaze is crazed, thin "
                            "or missing."
                        ),
                    },
                ),
                "mature-least": Choice(
                    "inside",
                    {
                        "bare": _(
                            "{clay} absorbs at least {absorption} when mature. "
                            "Without a glaze inside, water seeps through."
                        ),
                        "lined": _(
                            "{clay} absorbs at least {absorption} when mature. Water seeps in where its glaze is "
                            "crazed, thin or missing."
                        ),
                    },
                ),
                "mature-most": Choice(
                    "inside",
                    {
                        "bare": _(
                            "{clay} may absorb up to {absorption} when mature. "
                            "Without a glaze inside, water seeps through."
                        ),
                        "lined": _(
                            "{clay} may absorb up to {absorption} when mature. Water seeps in where its glaze is "
                            "crazed, thin or missing."
                        ),
                    },
                ),
                "unmeasured": Choice(
                    "inside",
                    {
                        "bare": _(
                            "{clay} is earthenware, which stays porous even when mature. "
                            "Without a glaze inside, water seeps through."
                        ),
                        "lined": _(
                            "{clay} is earthenware, which stays porous even when mature. Water seeps in where its "
                            "glaze is crazed, thin or missing."
                        ),
                    },
                ),
                "low-fired": Choice(
                    "inside",
                    {
                        "bare": _(
                            "{clay} stays porous when it's fired this low. Without a glaze inside, water seeps through."
                        ),
                        "lined": _(
                            "{clay} stays porous when it's fired this low. Water seeps in where its glaze is crazed, "
                            "thin or missing."
                        ),
                    },
                ),
                "nameless": _("{clay} hasn't been identified. {at:capital}, it may stay porous and not hold water."),
                "nameless-lined": _(
                    "{clay} hasn't been identified. {at:capital}, it may stay porous under its glaze. "
                    "Water then seeps in where the glaze is crazed, thin or missing."
                ),
                "known-pulled": _("{clay} matures at {low}: pulled hot, it stays porous and won't hold water."),
                "nameless-pulled": _(
                    "{clay} hasn't been identified. Pulled hot, it may stay porous and not hold water."
                ),
            },
        ),
        remedy=_("A decorative piece may stay porous. Don't keep water in it."),
        source=_("common practice; over 7% is non-vitreous (ANSI A137.1)"),
        rests_on=_porous_by,
    ),
)
