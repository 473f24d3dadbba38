"""What heat does to coats: glazes that melt off, overglazes that burn off, slips that fade, and what lies on what."""

from __future__ import annotations

from tracker.domain.cones import cones_apart
from tracker.domain.findings import Level
from tracker.domain.message import Choice, Message, Plural, _
from tracker.domain.pieces.piece import Use
from tracker.domain.rules import other_firings
from tracker.domain.rules.other_firings import NONE, OPEN
from tracker.domain.rules.rule import (
    NO_FIRING_BUT_RAKU,
    OFF_WITH_SOLVENT,
    ORTON,
    Case,
    Facts,
    Rule,
    for_staff,
    names_of,
    raw_on_raku,
    raw_or_fired,
)
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.materials import (
    CLAYS_IN_COATS,
    ON_CLAY,
    Coat,
    Family,
    Glaze,
    Trait,
    Zone,
)

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_OVERGLAZE = Coat.OVERGLAZE
_GLAZE = Coat.GLAZE
_OUTSIDE = Family.OUTSIDE
_RUNNY = Trait.RUNNY


def _weak(case: Case) -> list[Glaze]:
    """The glazes that this firing is too hot for."""
    return [glaze for glaze in case.glazes if glaze.coat is _GLAZE and glaze.cone_high < case.route.cone]


_GOES_TO = {
    "known": _("{glaze} only goes to {top}"),
    "nameless": _("{glaze} hasn't been identified and counts as going to {top} at most"),
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
    if _stood(case, weak):
        sure = "stood"
    elif any(cones_apart(glaze.cone_high, firing) > _RUNS_AT_MOST for glaze in weak):
        sure = "maybe" if all(glaze.family is _OUTSIDE for glaze in weak) else "yes"
    else:
        sure = "may-run" if not runny else "runs" if len(runny) == len(names_of(weak)) else "some-run"
    return {"glazes": done, "firing": firing, "sure": sure, **({"runny": runny} if sure == "some-run" else {})}


def _stood(case: Case, weak: list[Glaze]) -> bool:
    """Whether all of these glazes came through a firing as hot as this before, wherever they are."""
    return all(
        layer.fired_to is not None and layer.fired_to >= case.route.cone
        for layer in case.ware.layers
        if layer.glaze in weak
    )


_RUNS_AT_MOST = 2
"""Up to so many cones over its top, a glaze may run or change rather than melt off; a runny one runs (common practice).
"""


def _weak_is_raw(case: Case) -> Facts:
    weak = _weak(case)
    is_raw = raw_or_fired(case, weak)
    goes, fire = other_firings.cooler(case)
    if any(glaze.family is not _OUTSIDE for glaze in weak):
        may_come_off = is_raw == "fired" and goes == NONE and case.raw
        return {"is": is_raw, "goes": "fired-off" if may_come_off else f"{is_raw}-{goes}", "fire": fire}
    goes = f"identify-{is_raw}-{OPEN if goes == OPEN else NONE}"
    return {"is": is_raw, "goes": goes, "nameless": names_of(weak), "fire": fire}


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
    """Where an overglaze may go instead: in its own firing, once the glaze below is fired, or, fired on, nowhere."""
    burning = _burning(case)
    raw = [glaze for glaze in burning if glaze in case.raw]
    others = [glaze for glaze in case.raw if glaze.coat not in {_OVERGLAZE, *CLAYS_IN_COATS}]
    if not raw:
        return _over_fired_overglaze(case, burning) or (
            {"below": "fired-over", "over": names_of(others)} if others else {"below": "fired-on"}
        )
    if over := raw_on_raku(case):
        return {"below": "raku", "overglazes": over}
    fire = other_firings.overglaze_firing(case, raw)
    below = [layer.fired_to is not None for layer in case.ware.layers if layer.glaze.coat is _GLAZE]
    if not all(below) or not below:
        return {"below": "raw" if below else "none", "fire": fire}
    if (goes := other_firings.overglaze(case, raw)) != NONE:
        return {"below": goes, "fire": fire}
    return _beside_others(case, raw, others) or {"below": "off", "raw": names_of(raw)}


def _beside_others(case: Case, raw: list[Glaze], others: list[Glaze]) -> Facts | None:
    """Whether an overglaze waits for other raw coats to be fired, or raw slips alone keep it from its firing."""
    fire = other_firings.overglaze_firing(case, raw)
    if others and other_firings.overglaze(other_firings.without(case, others), raw) != NONE:
        return {"below": "over", "fire": fire, "over": names_of(others)}
    slips = [glaze for glaze in case.raw if glaze.coat in CLAYS_IN_COATS]
    if slips and other_firings.overglaze(other_firings.without(case, slips), raw) == OPEN:
        return {"below": "under-slip", "fire": fire, "over": names_of(slips)}
    return None


def _over_fired_overglaze(case: Case, burning: list[Glaze]) -> Facts | None:
    """What becomes of raw overglazes over a fired one that this firing would burn off: a cooler firing, or they go."""
    raw = [glaze for glaze in case.raw if glaze.coat is _OVERGLAZE]
    if not raw:
        return None
    top = min(glaze.cone_high for glaze in burning)
    goes = other_firings.overglaze(case, raw) if all(glaze.cone_low <= top for glaze in raw) else NONE
    if goes == NONE:
        return {"below": "wipe", "glazes": names_of(raw)}
    return {"below": goes, "fire": other_firings.overglaze_firing(case, raw)}


_FADES = {
    "underglaze": _("{glaze} (up to {top}) fades"),
    "slip": _("{glaze} (up to {top}) darkens"),
    "sigillata": _("{glaze} (up to {top}) darkens and loses its sheen"),
    "underglaze-nameless": _("{glaze} (not identified) may fade"),
    "slip-nameless": _("{glaze} (not identified) may darken"),
    "sigillata-nameless": _("{glaze} (not identified) may darken and lose its sheen"),
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
        Message("coat-fades", Choice("coat", _FADES), glaze=glaze.name, coat=_known_or_not(glaze), top=glaze.cone_high)
        for glaze in fading
    )
    return {"glazes": faint, "firing": firing} if faint else None


def _known_or_not(glaze: Glaze) -> str:
    return f"{glaze.coat}-nameless" if glaze.family is _OUTSIDE else glaze.coat


def _fades_less(case: Case) -> Facts:
    """Whether a cooler firing, in which none of the coats fades, takes the ware as it is."""
    most = min(glaze.cone_high for glaze in case.glazes if glaze.coat in ON_CLAY and glaze.cone_high < case.route.cone)
    goes, fire = other_firings.cooler(case, most)
    return {"goes": OPEN, "fire": fire} if goes == OPEN else {"goes": NONE}


def _nothing_below(case: Case) -> Facts | None:
    """The raw overglazes without a fired glaze in their zone; of one that burns off that alone is said."""
    layers, firing = case.ware.layers, case.route.cone
    fired = _glazed_zones(case)
    bare = [
        layer.glaze
        for layer in layers
        if layer.glaze.coat is _OVERGLAZE
        and layer.fired_to is None
        and layer.glaze.cone_high >= firing
        and not any(layer.zone.meets(zone) for zone in fired)
    ]
    return {"glazes": names_of(bare)} if bare else None


def _glazed_zones(case: Case) -> set[Zone]:
    """Where fired glaze is."""
    return {one.zone for one in case.ware.layers if one.glaze.coat is _GLAZE and one.fired_to is not None}


def _glazed_elsewhere(case: Case) -> Facts:
    """Whether fired glaze is elsewhere, and not only where food touches: no overglaze goes there on ware for food."""
    if over := raw_on_raku(case):
        return {"glazed": "raku", "overglazes": over}
    zones = _glazed_zones(case)
    if zones and case.ware.use is Use.FOOD and zones <= {Zone.INSIDE, Zone.LIP}:
        return {"glazed": "food-side"}
    if zones:
        return {"glazed": "elsewhere"}
    # Raw clay and raw glaze are refused here: there is no risk that staff may accept.
    is_refused = case.ware.fired_to is None or any(glaze.coat is _GLAZE for glaze in case.raw)
    return {"glazed": "nowhere", "is": "refused" if is_refused else "open"}


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
                "stood": Plural(
                    "glazes",
                    "{glazes}. It came through {firing} before, and may run or change in another firing.",
                    "{glazes}. They came through {firing} before, and may run or change in another firing.",
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
                "raw-open": _("Choose {fire}, or another glaze."),
                "raw-raku": _("Choose a raku firing, or another glaze."),
                "raw-decorative": _("Choose another glaze. Or make the piece decorative, and choose {fire} for it."),
                "raw-none": _("Choose another glaze: no cooler firing suits this piece."),
                "fired-open": _("Choose {fire}. Fired glaze stays on."),
                "fired-raku": _("Choose a raku firing. Fired glaze stays on."),
                "fired-decorative": _("Make the piece decorative, and choose {fire}. Fired glaze stays on."),
                "raw-raku-decorative": _(
                    "Choose another glaze. Or make the piece decorative, and choose a raku firing for it."
                ),
                "fired-raku-decorative": _(
                    "Make the piece decorative, and choose a raku firing. Fired glaze stays on."
                ),
                **dict.fromkeys(
                    ("raw-raku-bisqued", "fired-raku-bisqued"),
                    _("Bisque it first, without glaze. Then choose a raku firing, or another glaze."),
                ),
                **dict.fromkeys(
                    ("raw-raku-decorative-bisqued", "fired-raku-decorative-bisqued"),
                    _(
                        "Choose another glaze. Or make the piece decorative, bisque it without glaze, and then choose "
                        "a raku firing."
                    ),
                ),
                "fired-off": _(
                    "Take its raw layers off: no cooler firing suits the piece as it is, and fired glaze stays on."
                ),
                "fired-none": _("Leave the piece as it is: no cooler firing suits it, and fired glaze stays on."),
                "identify-raw-open": _("Identify {nameless}, choose another glaze, or choose {fire}."),
                "identify-raw-none": _("Identify {nameless}, or choose another glaze."),
                "identify-fired-open": _("Identify {nameless}, or choose {fire}. Fired glaze stays on."),
                "identify-fired-none": _("Identify {nameless}, or leave the piece as it is. Fired glaze stays on."),
            },
        ),
        source=ORTON,
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
                    "{glazes}: at {firing}, its color burns off.",
                    "{glazes}: at {firing}, their color burns off.",
                ),
                "pulled": Plural(
                    "glazes",
                    "{glazes}: in a firing that is pulled hot, its color burns off.",
                    "{glazes}: in a firing that is pulled hot, their color burns off.",
                ),
            },
        ),
        mend=_under_overglaze,
        remedy=Choice(
            "below",
            {
                "raw": _("Leave {glazes} off until the glaze is fired. Then choose {fire}."),
                "open": _("Choose {fire}."),
                "decorative": _("Make the piece decorative, and choose {fire}."),
                "off": _("Leave {raw} off."),
                "wipe": OFF_WITH_SOLVENT,
                "fired-on": _("Leave the piece as it is: keep it out of this firing."),
                "fired-over": _("Leave {over} off, and keep the piece out of this firing."),
                "over": _("Leave {glazes} off until {over} is fired. Then choose {fire}."),
                "under-slip": _("Leave {over} off, and choose {fire}."),
                "raku": NO_FIRING_BUT_RAKU,
                "none": _("Leave {glazes} off until the piece is glazed and fired. Then choose {fire}."),
            },
        ),
        source=ORTON,
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
                    _("Choose {fire}, or ask staff to accept another color or sheen."),
                    _("Choose {fire}, or accept another color or sheen."),
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
        when="a raw overglaze where no fired glaze is under it",
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
        mend=_glazed_elsewhere,
        remedy=Choice(
            "glazed",
            {
                "nowhere": Choice(
                    "is",
                    {
                        "refused": _("Glaze and fire the piece first."),
                        "open": for_staff(
                            _("Glaze and fire the piece first, or ask staff to accept the risk."),
                            _("Glaze and fire the piece first, or accept the risk."),
                        ),
                    },
                ),
                "raku": NO_FIRING_BUT_RAKU,
                "food-side": OFF_WITH_SOLVENT,
                "elsewhere": for_staff(
                    _("Put {glazes} only where the piece has fired glaze, or ask staff to accept the risk."),
                    _("Put {glazes} only where the piece has fired glaze, or accept the risk."),
                ),
            },
        ),
    ),
)
