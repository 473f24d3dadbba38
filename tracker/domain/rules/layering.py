"""What one coat does to the next: glaze that beads off wax, slip that peels, what spoils a raw overglaze."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Message, Plural, _
from tracker.domain.rules.overlaps import kept_bare, pairs
from tracker.domain.rules.rule import Case, Facts, Rule, for_staff, names_of, washed_off
from tracker.domain.studio.kilns import AFTER_BISQUE, VAPOR, RouteKind
from tracker.domain.studio.materials import CLAYS_IN_COATS, Coat, Glaze

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_GLAZE = Coat.GLAZE
_OVERGLAZE = Coat.OVERGLAZE
_SLIP = Coat.SLIP

SLIP_ON_FIRED_CLAY = "slip-on-fired-clay"
WASHED_OFF = frozenset({"color", "raw-glaze"})
"""What `slip-on-fired-clay` says of a way out where the slip is washed off."""


def _on_raw_overglaze(case: Case) -> tuple[Glaze, list[Glaze]] | None:
    """The first overglaze that no fire has set yet with coats on it, and these; overglazes of one firing may meet."""
    layers = case.ware.layers
    if len(layers) < 2:  # noqa: PLR2004 -- one layer alone lies on no other
        return None
    below = [(place, one) for place, one in enumerate(layers) if one.glaze.coat is _OVERGLAZE and one.fired_to is None]
    for place, one in below:
        over = [
            top.glaze for top in layers[place + 1 :] if top.glaze.coat is not _OVERGLAZE and top.zone.meets(one.zone)
        ]
        if over:
            return one.glaze, over
    return None


def _over_raw_overglaze(case: Case) -> Facts | None:
    if (found := _on_raw_overglaze(case)) is None:
        return None
    overglaze, over = found
    return {"glazes": names_of(over), "overglaze": overglaze.name}


def _which_waits(case: Case) -> Facts:
    """What stays off: the overglaze, where what lies on it needs a firing of its own, else what lies on it."""
    _overglaze, over = _on_raw_overglaze(case) or (None, [])
    needs = [glaze for glaze in over if glaze in case.raw and glaze.coat not in CLAYS_IN_COATS]
    return {"off": "overglaze", "heated": names_of(needs)} if needs else {"off": "over"}


def _beads_off_wax(case: Case) -> Facts | None:
    bare = kept_bare(case.ware)
    return {"glazes": names_of(layer.glaze for beading in bare.values() for layer in beading)} if bare else None


def _raw_or_fired_over_wax(case: Case) -> Facts:
    """Whether some of the glaze that beads off is raw, so that it can come off, which raw clay may not survive."""
    beading = [layer for several in kept_bare(case.ware).values() for layer in several]
    if not (raw := [layer.glaze for layer in beading if layer.fired_to is None]):
        return {"is": "fired"}
    return {"is": "greenware" if case.ware.fired_to is None else "raw", "off": names_of(raw)}


def _raw_slips(case: Case) -> dict[Glaze, str]:
    """The raw slips and sigillata, each with what is under it: "clay", "raw-glaze" or "fired-glaze"."""
    slips = dict.fromkeys((glaze for glaze in case.raw if glaze.coat in CLAYS_IN_COATS), "clay")
    for lower, upper in pairs(case.ware) if slips and len(case.glazes) > 1 else ():
        if lower.glaze.coat is _GLAZE and upper.fired_to is None and upper.glaze in slips:
            is_raw = lower.fired_to is None or slips[upper.glaze] == "raw-glaze"
            slips[upper.glaze] = "raw-glaze" if is_raw else "fired-glaze"
    return slips


def _on_fired_clay(case: Case) -> Facts | None:
    """The slips on clay or glaze that no longer shrinks; of one over raw glaze that alone is said, as the worst."""
    if not case.ware.is_fired_clay or not (slips := _raw_slips(case)):
        return None
    over_raw = {slip: raw for slip in slips if slips[slip] == "raw-glaze" for raw in _raw_glaze_under(slip, case)}
    if over_raw:
        below = names_of(glaze for slip in over_raw for glaze in _raw_glaze_under(slip, case))
        return {"glazes": names_of(over_raw), "under": "raw-glaze", "below": below}
    under = "fired-glaze" if "clay" not in slips.values() else "clay"
    return {"glazes": names_of(slips), "under": under}


def _raw_glaze_under(slip: Glaze, case: Case) -> list[Glaze]:
    return [
        lower.glaze
        for lower, upper in pairs(case.ware)
        if upper.glaze == slip and lower.glaze.coat is _GLAZE and lower.fired_to is None
    ]


def _on_greenware(case: Case) -> Facts:
    """What goes on greenware, and where else its color may come from; horsehair marks no underglaze.

    Thin slips made for bisque are usual in vapor, and a slip under a raku glaze may be meant to shed it (common
    practice).
    """
    slips = _raw_slips(case)
    if "raw-glaze" in slips.values():
        over = [slip for slip, under in slips.items() if under == "raw-glaze"]
        return {"is": "raw-glaze", "off": names_of(washed_off(case, over))}
    is_on_clay = "fired-glaze" not in slips.values()
    if case.route.kind in VAPOR and is_on_clay and any(slip.coat is _SLIP for slip in slips):
        return {"is": "vapor"}
    off = washed_off(case, slips)
    if set(off) != set(slips) and not _resists(case):
        return {"is": "raw-glaze", "off": names_of(off)}
    nouns = {glaze.noun for glaze in slips}
    noun = nouns.pop() if len(nouns) == 1 else "several"
    no_color = case.route.kind in _NO_UNDERGLAZE or not is_on_clay
    goes = Message(
        "goes-on-greenware", Choice("instead", _GO_ON_GREENWARE), instead=f"{noun}-bare" if no_color else noun
    )
    return {"goes": goes, "is": "resist" if _resists(case) else "color", "off": names_of(off)}


_NO_UNDERGLAZE = VAPOR | {RouteKind.HORSEHAIR, RouteKind.PIT}
"""Where no underglaze stands in for slip: it takes no flashing from vapor, and no marks from hair or smoke (common
practice)."""


def _resists(case: Case) -> bool:
    """Whether a raw slip lies under a raku glaze in raku, where a resist slip sheds the glaze (common practice)."""
    if case.route.kind is not RouteKind.RAKU:
        return False
    return any(
        lower.fired_to is None and lower.glaze.coat in CLAYS_IN_COATS and upper.glaze.is_outdoor_only
        for lower, upper in pairs(case.ware)
    )


_GO_ON_GREENWARE = {
    "slip": _("Slip goes on greenware. On fired clay, use an underglaze."),
    "sigillata": _("Terra sigillata goes on greenware. For color on fired clay, use an underglaze."),
    "several": _("Slip and terra sigillata go on greenware. For color on fired clay, use an underglaze."),
    "slip-bare": _("Slip goes on greenware."),
    "sigillata-bare": _("Terra sigillata goes on greenware."),
    "several-bare": _("Slip and terra sigillata go on greenware."),
}


RULES = (
    Rule(
        name="coat-over-raw-overglaze",
        about="heat",
        when="a slip, an underglaze, a glaze or wax over a raw overglaze (refused at glazing)",
        level=Level.REFUSE,
        look=_over_raw_overglaze,
        at_glazing=True,
        of_coats=True,
        of_materials=True,
        message=_("Nothing goes over {overglaze} while it's raw: {glazes} would spoil it."),
        mend=_which_waits,
        remedy=Choice(
            "off",
            {
                "over": _("Leave {glazes} off: an overglaze goes on last."),
                "overglaze": _("Leave {overglaze} off until {heated} is fired: an overglaze goes on last."),
            },
        ),
    ),
    Rule(
        name=SLIP_ON_FIRED_CLAY,
        about="heat",
        when="raw slip or terra sigillata on clay that has been fired, or over the glaze on it",
        level=Level.WARN,
        look=_on_fired_clay,
        of_coats=True,
        message=Choice(
            "under",
            {
                "clay": Plural(
                    "glazes",
                    "{glazes} shrinks as it dries, and fired clay doesn't. It may peel.",
                    "{glazes} shrink as they dry, and fired clay doesn't. They may peel.",
                ),
                "fired-glaze": Plural(
                    "glazes",
                    "{glazes} shrinks as it dries, and fired glaze doesn't. It may peel.",
                    "{glazes} shrink as they dry, and fired glaze doesn't. They may peel.",
                ),
                "raw-glaze": _("{glazes:capital} over raw glaze may crawl, or flake off together with {below}."),
            },
        ),
        mend=_on_greenware,
        remedy=Choice(
            "is",
            {
                "color": for_staff(
                    _("Wash off {glazes}, or ask staff to accept the risk. {goes}"),
                    _("Wash off {glazes}, or accept the risk. {goes}"),
                ),
                "raw-glaze": for_staff(
                    _("Wash off {off}, then glaze it again without {glazes}. Or ask staff to accept the risk."),
                    _("Wash off {off}, then glaze it again without {glazes}. Or accept the risk."),
                ),
                "vapor": for_staff(
                    _("A thin slip made for bisque holds: test it first, or ask staff to accept the risk."),
                    _("A thin slip made for bisque holds: test it first, or accept the risk."),
                ),
                "resist": for_staff(
                    _("Wash off {off}, unless the slip is meant to come off after the firing: tell staff so. {goes}"),
                    _(
                        "Wash off {off}, unless the slip is meant to come off after the firing. Then accept the risk. "
                        "{goes}"
                    ),
                ),
            },
        ),
    ),
    Rule(
        name="glaze-over-wax",
        about="heat",
        when="glaze inside, on the rim or outside that lies over wax, where no glaze is under the wax: that part stays "
        "unglazed",
        level=Level.NOTE,
        look=_beads_off_wax,
        kinds=AFTER_BISQUE,
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} beads off the wax: that part stays unglazed.",
            "{glazes} bead off the wax: that part stays unglazed.",
        ),
        mend=_raw_or_fired_over_wax,
        remedy=Choice(
            "is",
            {
                "raw": _(
                    "Leave it where you want no glaze. To glaze that part, take {off} off and fire the piece in a "
                    "bisque: the wax burns off. Then glaze it again."
                ),
                "greenware": ByRole(
                    _(
                        "Leave it where you want no glaze. Before you take {off} off, ask the instructor: raw clay "
                        "falls apart under water."
                    ),
                    {
                        "instructor": _(
                            "Leave it where you want no glaze. Take {off} off with as little water as you can: raw "
                            "clay falls apart under water."
                        )
                    },
                ),
                "fired": _("Leave it where you want no glaze. To cover that part, glaze it and fire the piece again."),
            },
        ),
    ),
)
