"""What heat does: clay that slumps, layers that share no heat, glazes that it leaves unmelted."""

from __future__ import annotations

from operator import attrgetter

from tracker.domain.cones import ConeRange, cones_apart
from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Fact, Message, Plural, _
from tracker.domain.rules import other_firings
from tracker.domain.rules.other_firings import NONE, OPEN
from tracker.domain.rules.rule import (
    NO_FIRING_BUT_RAKU,
    ORTON,
    Case,
    Facts,
    Rule,
    choose,
    names_of,
    raw_on_raku,
    raw_or_fired,
    washed_off,
)
from tracker.domain.studio.kilns import AFTER_BISQUE
from tracker.domain.studio.materials import (
    CLAYS_IN_COATS,
    LOWEST_HEAT,
    LOWEST_OVERGLAZE,
    ClayKind,
    Coat,
    Family,
    Glaze,
)

SLUMPS = "clay-slumps"
_LEAST_HEAT, _MOST_HEAT = attrgetter("cone_low.rank"), attrgetter("ceiling.rank")

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_OVERGLAZE = Coat.OVERGLAZE
_GLAZE = Coat.GLAZE

_OUTSIDE = Family.OUTSIDE


_UNKNOWN = ClayKind.UNKNOWN


def _stands_less(case: Case) -> Facts:
    """Whether a cooler firing takes the ware; where its glaze keeps it from any, whether that is raw still."""
    top = case.ware.clay.ceiling
    goes, fire = other_firings.cooler(case, top)
    if goes != NONE:
        return {"goes": goes, "fire": fire}
    wanting = [glaze for glaze in case.raw if glaze.coat not in CLAYS_IN_COATS and glaze.cone_low > top]
    if wanting:
        low = min(case.ware.clay.cone_low, top)
        to_top = Message("between-cones", _("for {cones}"), cones=ConeRange(low, top))
        return {"goes": "raw", "choose": choose(case, wanting, to_top)}
    return {"goes": "off" if case.raw else NONE}


def _slumps(case: Case) -> Facts | None:
    clay = case.ware.clay
    if clay.ceiling >= case.route.cone:
        return None
    known = "nameless" if clay.kind is _UNKNOWN else "mature" if clay.slumps_above is None else "told"
    if known == "mature" and cones_apart(clay.ceiling, case.route.cone) > _BLOATS_AT_MOST:
        known = "far"
    fired_to = case.ware.fired_to
    if fired_to is not None and fired_to >= case.route.cone:
        # It is nowhere near melting: it stood that heat.
        known = "nameless-stood" if known == "nameless" else "stood"
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


NEVER_SO_HOT = frozenset({"clay-raw", "clay-fired", "glaze-raw", "glaze-fired"})
"""What `glaze-underfired` says of a way out where the clay, or another layer, can't stand the heat that is needed."""


def _may_go_hotter(case: Case) -> Facts:
    """Whether a firing as hot as the coldest-fired of these coats needs takes the ware; else what stands in the way."""
    cold = _too_cold(case)
    if sunk := raw_on_raku(case):
        return {"hotter": "off-raku", "overglazes": sunk}
    low, clay, top = max(glaze.cone_low for glaze in cold), case.ware.clay, case.ware.ceiling
    goes, cones = other_firings.hotter(case, low)
    if goes != NONE:
        return {"hotter": goes, "cones": cones}
    over = [glaze for glaze in case.raw if glaze.coat is _OVERGLAZE and glaze.cone_high < low]
    goes, cones = other_firings.hotter(other_firings.without(case, over), low) if over else (NONE, None)
    if goes == OPEN:
        return {"hotter": "overglaze", "cones": cones, "overglazes": names_of(over)}
    if raw_or_fired(case, cold) == "fired":
        weak = [glaze for glaze in case.raw if glaze.coat is _GLAZE and glaze.ceiling < low]
        off = washed_off(case, weak)
        goes, cones = other_firings.hotter(other_firings.without(case, off), low) if weak else (NONE, None)
        if goes == OPEN:
            return {"hotter": "rinse", "cones": cones, "off": names_of(off)}
    why = "clay" if clay.ceiling < low else "glaze" if top < low else "else"
    told: dict[str, Fact] = {"clay": clay.name, "top": clay.ceiling if why == "clay" else top}
    return {"hotter": f"{why}-{raw_or_fired(case, cold)}", **told, "choose": choose(case, cold)}


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
    if is_raw and (over := raw_on_raku(case)):
        return {"off": "raku", "overglazes": over}
    if is_raw and stands.coat is _OVERGLAZE:
        is_glazed = any(glaze.coat is Coat.GLAZE for glaze in case.glazes)
        return {"off": "overglaze" if is_glazed else "overglaze-unglazed"}
    off = "either" if is_raw else "raw"
    is_helped = nameless and stands.coat is not _OVERGLAZE
    return {"off": f"{off}-nameless", "nameless": nameless} if is_helped else {"off": off}


def _nameless(case: Case) -> Facts | None:
    ware = case.ware
    clay = [ware.clay.name] if ware.clay.kind is _UNKNOWN else []
    outside = [glaze for glaze in case.glazes if glaze.family is _OUTSIDE]
    names = clay + [glaze.name for glaze in outside]
    is_over = not clay and all(glaze.coat is _OVERGLAZE for glaze in outside)
    taken_for = ConeRange(*(LOWEST_OVERGLAZE if is_over else LOWEST_HEAT))
    return {"materials": tuple(dict.fromkeys(names)), "taken_for": taken_for} if names else None


_TO_A_COOLER_FIRING = Choice(
    "goes",
    {
        "open": _("Choose {fire}."),
        "raku": _("Choose a raku firing."),
        "decorative": _("Make the piece decorative, and choose {fire}."),
        "raw": _("{choose:capital}: no firing suits both this clay and what is on it."),
        "raku-decorative": _("Make the piece decorative, and choose a raku firing."),
        "raku-bisqued": _("Bisque it first, without glaze. Then choose a raku firing."),
        "raku-decorative-bisqued": _(
            "Make the piece decorative. Bisque it first, without glaze. Then choose a raku firing."
        ),
        "off": _("No cooler firing suits the piece as it is. Take its raw layers off."),
        "none": _("Leave the piece as it is: no cooler firing suits it."),
    },
)


RULES = (
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
                "stood": _(
                    "{clay} goes to {top}. It came through {firing} before, and may slump or bloat in another firing."
                ),
                "nameless-stood": _(
                    "{clay} hasn't been identified and counts as going to {top} at most. It came through {firing} "
                    "before, and may slump in another firing."
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
                "stood": _TO_A_COOLER_FIRING,
                **dict.fromkeys(
                    ("nameless", "nameless-stood"),
                    Choice(
                        "goes",
                        {
                            "open": _("Choose {fire}, or identify the clay."),
                            "decorative": _("Make the piece decorative, and choose {fire}. Or identify the clay."),
                            "raku": _("Choose a raku firing, or identify the clay."),
                            "raku-decorative": _(
                                "Make the piece decorative, and choose a raku firing. Or identify the clay."
                            ),
                            "raku-bisqued": _(
                                "Bisque it first, without glaze. Then choose a raku firing, or identify the clay."
                            ),
                            "raku-decorative-bisqued": _(
                                "Make the piece decorative. Bisque it first, without glaze. Then choose a raku firing, "
                                "or identify the clay."
                            ),
                            **dict.fromkeys(("raw", "off", "none"), _("Identify the clay.")),
                        },
                    ),
                ),
            },
        ),
        source=ORTON,
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
                "overglaze": _("{cool} needs {cool_cones}: the firing of {hot} ({hot_cones}) burns it off."),
            },
        ),
        mend=_which_comes_off,
        remedy=Choice(
            "off",
            {
                "either": _("Leave one of them off, or choose glazes whose cones overlap."),
                "overglaze": _("Fire {hot} first. Then apply {cool}, and fire the piece again."),
                "raku": NO_FIRING_BUT_RAKU,
                "overglaze-unglazed": _("Glaze and fire the piece first. Then apply {cool}, and fire the piece again."),
                "raw": _("Leave {hot} off. {cool:capital} is fired on and stays."),
                "either-nameless": _("Identify {nameless}, or leave one of the two off."),
                "raw-nameless": _("Identify {nameless}, or leave {hot} off. {cool:capital} is fired on and stays."),
            },
        ),
        source=ORTON,
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
                "open": ByRole(
                    _("Choose a firing to {cones}, or ask the instructor."),
                    {"instructor": _("Choose a firing to {cones}.")},
                ),
                "raku": ByRole(
                    _("Choose a raku firing to {cones}, or ask the instructor."),
                    {"instructor": _("Choose a raku firing to {cones}.")},
                ),
                "decorative": ByRole(
                    _("Make the piece decorative, and choose a firing to {cones}. Otherwise, ask the instructor."),
                    {"instructor": _("Make the piece decorative, and choose a firing to {cones}.")},
                ),
                "raku-decorative": ByRole(
                    _("Make the piece decorative, and choose a raku firing to {cones}. Otherwise, ask the instructor."),
                    {"instructor": _("Make the piece decorative, and choose a raku firing to {cones}.")},
                ),
                "raku-bisqued": ByRole(
                    _("Bisque it first, without glaze. Then choose a raku firing to {cones}, or ask the instructor."),
                    {"instructor": _("Bisque it first, without glaze. Then choose a raku firing to {cones}.")},
                ),
                "raku-decorative-bisqued": ByRole(
                    _(
                        "Make the piece decorative. Bisque it first, without glaze. Then choose a raku firing to "
                        "{cones}, or ask the instructor."
                    ),
                    {
                        "instructor": _(
                            "Make the piece decorative. Bisque it first, without glaze. Then choose a raku firing to "
                            "{cones}."
                        )
                    },
                ),
                "off-raku": NO_FIRING_BUT_RAKU,
                "overglaze": ByRole(
                    _("Leave {overglazes} off until the piece is fired to {cones}, or ask the instructor."),
                    {"instructor": _("Leave {overglazes} off until the piece is fired to {cones}.")},
                ),
                "rinse": ByRole(
                    _("Rinse off {off}, then choose a firing to {cones}, or ask the instructor."),
                    {"instructor": _("Rinse off {off}, then choose a firing to {cones}.")},
                ),
                "else-raw": ByRole(
                    _("{choose:capital}, or ask the instructor."), {"instructor": _("{choose:capital}.")}
                ),
                "else-fired": ByRole(
                    _("Leave the piece as it is, or ask the instructor."),
                    {"instructor": _("Leave the piece as it is.")},
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
        source=ORTON,
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
)
