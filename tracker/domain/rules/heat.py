"""What heat does: glazes that melt off, clay that slumps, layers that share no heat."""

from __future__ import annotations

from operator import attrgetter

from tracker.domain.cones import ConeRange
from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Message, Plural, _
from tracker.domain.pieces.piece import Use
from tracker.domain.rules.rule import NOTHING_MORE, Case, Facts, Rule, names_of
from tracker.domain.studio.kilns import AFTER_BISQUE, RouteKind
from tracker.domain.studio.materials import CLAYS_IN_COATS, LOWEST_HEAT, ON_CLAY, ClayKind, Coat, Family

_LEAST_HEAT, _MOST_HEAT = attrgetter("cone_low.rank"), attrgetter("ceiling.rank")
_ORTON = _("Orton end points; common practice")

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_OVERGLAZE = Coat.OVERGLAZE
_SIGILLATA = Coat.SIGILLATA
_GLAZE = Coat.GLAZE
_OUTSIDE = Family.OUTSIDE
_OUTDOOR = Family.OUTDOOR
_DECORATIVE = Use.DECORATIVE
_UNKNOWN = ClayKind.UNKNOWN


def _melts_off(case: Case) -> Facts | None:
    weak = [glaze for glaze in case.glazes if glaze.coat is _GLAZE and glaze.cone_high < case.route.cone]
    if not weak:
        return None
    done = tuple(
        Message("glaze-is-done", _("{glaze} only goes to {top}"), glaze=glaze.name, top=glaze.cone_high)
        for glaze in weak
    )
    return {"glazes": done, "firing": case.route.cone}


def _burns_off(case: Case) -> Facts | None:
    gone = [glaze for glaze in case.glazes if glaze.coat is _OVERGLAZE and glaze.cone_high < case.route.cone]
    return {"glazes": names_of(gone), "firing": case.route.cone} if gone else None


_FADES = {
    "underglaze": _("{glaze}, an underglaze to {top}, fades"),
    "slip": _("{glaze}, a slip to {top}, darkens"),
    "sigillata": _("{glaze}, a terra sigillata to {top}, loses its sheen"),
}


def _fades(case: Case) -> Facts | None:
    faint = tuple(
        Message("coat-fades", Choice("coat", _FADES), glaze=glaze.name, coat=glaze.coat, top=glaze.cone_high)
        for glaze in case.raw
        if glaze.coat in ON_CLAY and glaze.cone_high < case.route.cone
    )
    return {"glazes": faint, "firing": case.route.cone} if faint else None


def _nothing_below(case: Case) -> Facts | None:
    over = [glaze for glaze in case.raw if glaze.coat is _OVERGLAZE]
    fired = any(layer.glaze.coat is _GLAZE and layer.fired_to is not None for layer in case.ware.layers)
    return {"glazes": names_of(over)} if over and not fired else None


def _on_fired_clay(case: Case) -> Facts | None:
    if case.ware.fired_to is None:
        return None
    slips = [glaze for glaze in case.raw if glaze.coat in CLAYS_IN_COATS]
    return {"glazes": names_of(slips)} if slips else None


def _slumps(case: Case) -> Facts | None:
    clay = case.ware.clay
    if clay.ceiling >= case.route.cone:
        return None
    return {"clay": clay.name, "top": clay.ceiling, "firing": case.route.cone}


def _outdoor_glaze_indoors(case: Case) -> Facts | None:
    outdoor = [glaze for glaze in case.glazes if glaze.is_outdoor_only]
    # No raku firing takes ware for food.
    goes = "wash" if case.ware.use is Use.FOOD else "raku"
    return {"glazes": names_of(outdoor), "goes": goes} if outdoor else None


def _underfired(case: Case) -> Facts | None:
    firing = case.route.cone
    # What was fired hot enough once is glass already. A slip is clay: where it stays immature it is none the worse.
    cold = dict.fromkeys(
        layer.glaze
        for layer in case.ware.layers
        if (firing if layer.fired_to is None else max(firing, layer.fired_to)) < layer.glaze.cone_low
        and layer.glaze.coat not in CLAYS_IN_COATS
    )
    if not cold:
        return None
    needs = tuple(
        Message("glaze-needs-heat", _("{glaze} needs {low}"), glaze=glaze.name, low=glaze.cone_low) for glaze in cold
    )
    return {"glazes": needs, "firing": firing}


def _stays_porous(case: Case) -> Facts | None:
    ware, firing = case.ware, case.route.cone
    if ware.use is not _DECORATIVE or ware.clay.is_mature_at(case.clay_heat):
        return None
    return {"clay": ware.clay.name, "low": ware.clay.cone_low, "firing": firing}


def _indoor_glaze_in_raku(case: Case) -> Facts | None:
    # Of a glaze from outside nobody knows whether it is one for indoors; the rule about nameless materials asks.
    neither = (_OUTDOOR, _OUTSIDE)
    indoor = [glaze for glaze in case.glazes if glaze.coat is _GLAZE and glaze.family not in neither]
    return {"glazes": names_of(indoor)} if indoor else None


def _no_shared_heat(case: Case) -> Facts | None:
    if len(case.glazes) < 2:  # noqa: PLR2004 -- one glaze alone shares its heat with itself
        return None
    wanting = [glaze for glaze in case.raw if glaze.coat not in CLAYS_IN_COATS]
    if not wanting:
        return None
    needs, stands = max(wanting, key=_LEAST_HEAT), min(case.glazes, key=_MOST_HEAT)
    if needs.cone_low <= stands.ceiling:
        return None
    why = "overglaze" if stands.coat is _OVERGLAZE else "apart"
    return {"hot": needs.name, "hot_cones": needs.cones, "cool": stands.name, "cool_cones": stands.cones, "why": why}


def _nameless(case: Case) -> Facts | None:
    ware = case.ware
    clay = [ware.clay.name] if ware.clay.kind is _UNKNOWN else []
    names = clay + [glaze.name for glaze in case.glazes if glaze.family is _OUTSIDE]
    return {"materials": tuple(dict.fromkeys(names)), "taken_for": ConeRange(*LOWEST_HEAT)} if names else None


def _glaze_on_horsehair(case: Case) -> Facts | None:
    worn = [glaze for glaze in case.glazes if glaze.coat not in CLAYS_IN_COATS]
    return {"glazes": names_of(worn)} if worn else None


def _not_burnished(case: Case) -> Facts | None:
    polished = case.ware.burnished is not False or any(glaze.coat is _SIGILLATA for glaze in case.glazes)
    return None if polished else NOTHING_MORE


RULES = (
    Rule(
        name="glaze-melts-off",
        about="heat",
        when="a glaze layer's top cone is below the firing's cone; equal is fine",
        level=Level.REFUSE,
        look=_melts_off,
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes}: at {firing}, it melts off the pot onto the shelf.",
            "{glazes}: at {firing}, they melt off the pot onto the shelf.",
        ),
        remedy=_("Choose a cooler firing, or wash that glaze off and choose another."),
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
        message=Plural(
            "glazes",
            "{glazes} is an overglaze: at {firing}, its color burns off.",
            "{glazes} are overglazes: at {firing}, their color burns off.",
        ),
        remedy=_("Fire the glaze under it first. Then fire it in an overglaze firing."),
        source=_ORTON,
    ),
    Rule(
        name="coat-fades",
        about="heat",
        when="a slip, underglaze or terra sigillata over its top cone: it fades or darkens but doesn't run",
        level=Level.WARN,
        look=_fades,
        of_coats=True,
        of_materials=True,
        message=_("{glazes} at {firing}."),
        remedy=_("Choose a cooler firing, or accept another color."),
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
        remedy=_("Glaze and fire the piece first, or accept the risk."),
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
            "Fired clay no longer shrinks, but {glazes} does. It may peel.",
            "Fired clay no longer shrinks, but {glazes} do. They may peel.",
        ),
        remedy=_("Put it on greenware, or accept the risk."),
    ),
    Rule(
        name="clay-slumps",
        about="heat",
        when="the clay slumps below the firing's cone",
        level=Level.REFUSE,
        look=_slumps,
        of_materials=True,
        message=_("{clay} slumps above {top}, and this firing goes to {firing}."),
        remedy=_("Choose a cooler firing that this clay can take."),
        source=_ORTON,
    ),
    Rule(
        name="outdoor-glaze-indoors",
        about="heat",
        when="a raku glaze in any firing but raku",
        level=Level.REFUSE,
        look=_outdoor_glaze_indoors,
        kinds=frozenset(RouteKind) - {RouteKind.RAKU},
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} is a raku glaze: it goes in the raku kiln only.",
            "{glazes} are raku glazes: they go in the raku kiln only.",
        ),
        remedy=Choice("goes", {"raku": _("Put it in the raku queue."), "wash": _("Wash that glaze off.")}),
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
                "overglaze": _(
                    "{cool} is an overglaze ({cool_cones}): the glaze firing of {hot} ({hot_cones}) burns it off."
                ),
            },
        ),
        remedy=Choice(
            "why",
            {
                "apart": _("Wash one of them off, and choose glazes whose cones overlap."),
                "overglaze": _("Fire {hot} first. Then apply {cool}, and fire the piece again."),
            },
        ),
        source=_ORTON,
    ),
    Rule(
        name="glaze-on-horsehair",
        about="heat",
        when="glaze on a piece for a horsehair firing",
        level=Level.REFUSE,
        look=_glaze_on_horsehair,
        kinds=frozenset({RouteKind.HORSEHAIR}),
        of_coats=True,
        of_materials=True,
        message=_("This piece has {glazes}, and horsehair only marks bare clay."),
        remedy=_("Wash the glaze off, or choose raku."),
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
            "{glazes}: this firing stops at {firing}, so it stays dry and rough.",
            "{glazes}: this firing stops at {firing}, so they stay dry and rough.",
        ),
        remedy=ByRole(
            _("Choose a hotter firing, or ask the instructor."), {"instructor": _("Choose a hotter firing.")}
        ),
        source=_ORTON,
    ),
    Rule(
        name="indoor-glaze-in-raku",
        about="heat",
        when="an indoor glaze in a raku firing",
        level=Level.ASK,
        look=_indoor_glaze_in_raku,
        kinds=frozenset({RouteKind.RAKU}),
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} is an indoor glaze, not made to be pulled hot from the raku kiln.",
            "{glazes} are indoor glazes, not made to be pulled hot from the raku kiln.",
        ),
        remedy=ByRole(_("Fire it indoors, or ask the instructor."), {"instructor": _("Fire it indoors.")}),
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
        remedy=ByRole(_("Identify it, or ask the instructor."), {"instructor": _("Identify it.")}),
    ),
    Rule(
        name="horsehair-unburnished",
        about="heat",
        when="a horsehair firing without burnish or terra sigillata",
        level=Level.WARN,
        look=_not_burnished,
        kinds=frozenset({RouteKind.HORSEHAIR}),
        message=_("This piece isn't burnished or coated with terra sigillata, so horsehair leaves only faint marks."),
        remedy=_("Burnish it or brush on terra sigillata before the bisque, or sign off on faint marks."),
    ),
    Rule(
        name="clay-stays-porous",
        about="heat",
        when="a decorative piece whose clay isn't mature at the firing's cone",
        level=Level.NOTE,
        look=_stays_porous,
        kinds=AFTER_BISQUE,
        of_materials=True,
        message=_("{clay} matures at {low}: at {firing}, it stays porous and won't hold water."),
        remedy=_("No action needed: a decorative piece may stay porous."),
        source=_ORTON,
    ),
)
