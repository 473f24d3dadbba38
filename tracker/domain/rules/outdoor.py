"""What belongs in raku, horsehair and a pit and what doesn't: glazes, bare clay, burnish."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Message, Plural, _
from tracker.domain.pieces.piece import Coats, Use
from tracker.domain.rules import other_firings
from tracker.domain.rules.melting import running
from tracker.domain.rules.rule import (
    NO_FIRING_BUT_RAKU,
    NOTHING_MORE,
    OFF_WITH_SOLVENT,
    Case,
    Facts,
    Rule,
    choose,
    for_staff,
    names_of,
    raw_or_fired,
    washed_off,
)
from tracker.domain.studio.cautions import gives_off_fume
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.materials import GLASS, Coat, Family, Glaze, Zone

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_SIGILLATA = Coat.SIGILLATA
_GLAZE = Coat.GLAZE
_UNDERGLAZE = Coat.UNDERGLAZE
_SEEN = frozenset({Zone.ALL_OVER, Zone.OUTSIDE})
_NOT_FOR_INDOORS = frozenset({Family.OUTDOOR, Family.OUTSIDE})
"""Of a glaze from outside nobody knows whether it is one for indoors; the rule about nameless materials asks."""


def _outdoor_glaze_indoors(case: Case) -> Facts | None:
    outdoor = [glaze for glaze in case.glazes if glaze.is_outdoor_only]
    return {"glazes": names_of(outdoor)} if outdoor else None


def _off_or_to_raku(case: Case) -> Facts:
    """What is left to a raku glaze: a raku firing, or being washed off; fired on, only to stay as it is."""
    ware = case.ware
    use = "functional" if ware.use is Use.FOOD else "decorative"
    if over := [glaze for glaze in case.raw if glaze.coat is Coat.OVERGLAZE]:
        # No firing suits both: raku burns the overglaze off. Over raw glaze no solvent takes it off.
        if any(one.coat is _GLAZE for one in case.raw):
            return {"goes": "no-overglaze", "overglazes": names_of(over)}
        return {"goes": f"wipe-{use}", "off": Message("off-with-solvent", OFF_WITH_SOLVENT, glazes=names_of(over))}
    outdoor = [glaze for glaze in case.glazes if glaze.is_outdoor_only]
    if raw_or_fired(case, outdoor) == "fired":
        if other_firings.raku(case):
            return {"goes": f"fired-{use}"}
        rinsed = [glaze for glaze in case.raw if glaze.coat is _GLAZE]
        return {"goes": f"rinse-{use}" if rinsed else f"stays-{use}", "off": names_of(washed_off(case, rinsed))}
    # No raku firing takes ware for food.
    if use == "functional" or not other_firings.raku(case):
        return {"goes": "wash", "choose": choose(case, outdoor)}
    return {"goes": "after-bisque" if case.goes_in_raw else "raku"}


def _for_indoors(case: Case) -> list[Glaze]:
    return [glaze for glaze in case.glazes if glaze.coat is _GLAZE and glaze.family not in _NOT_FOR_INDOORS]


def _indoor_glaze_in_raku(case: Case) -> Facts | None:
    indoor = _for_indoors(case)
    return {"glazes": names_of(indoor)} if indoor else None


def _indoors_or_off(case: Case) -> Facts:
    """Where an indoor glaze belongs; where no firing indoors takes the ware, it comes off while it is raw."""
    glazes = _for_indoors(case)
    if raw_or_fired(case, glazes) == "fired":
        return {"goes": "stay"}
    if case.ware.is_outdoor_only or not other_firings.indoors(case):
        return {"goes": "wash", "choose": choose(case, glazes)}
    return {"goes": "hooded" if any(gives_off_fume(glaze) for glaze in case.glazes) else "indoors"}


def _over_bare_clay(case: Case) -> list[Glaze]:
    """The glaze where hair would go: inside, glaze is in nobody's way (common practice)."""
    seen = (one.glaze for one in case.ware.layers if one.glaze.coat in GLASS and one.zone is not Zone.INSIDE)
    return list(dict.fromkeys(seen))


def _melts_in_pit(case: Case) -> list[Glaze]:
    """The glazes that melt in a pit, raw or fired; of a raku glaze another rule says that it doesn't go there."""
    return list(dict.fromkeys(layer.glaze for layer in running(case) if not layer.glaze.is_outdoor_only))


def _glaze_in_pit(case: Case) -> Facts | None:
    melts = _melts_in_pit(case)
    return {"glazes": names_of(melts), "firing": case.route.cone} if melts else None


def _out_of_the_pit(case: Case) -> Facts:
    """A glaze firing for raw glaze, or the glaze left off; fired glaze stays on, and out of a pit that melts it."""
    if raw_or_fired(case, _melts_in_pit(case)) == "fired":
        return {"goes": "fired"}
    return other_firings.glaze_firing(case)


def _underglaze_on_horsehair(case: Case) -> Facts | None:
    worn = [one.glaze for one in case.ware.layers if one.glaze.coat is _UNDERGLAZE and one.zone is not Zone.INSIDE]
    return {"glazes": names_of(worn)} if worn else None


def _glaze_on_horsehair(case: Case) -> Facts | None:
    worn = _over_bare_clay(case)
    return {"glazes": names_of(worn)} if worn else None


def _off_for_horsehair(case: Case) -> Facts:
    """Raw glaze comes off, or goes where it belongs; fired glaze stays."""
    worn, ware = _over_bare_clay(case), case.ware
    if raw_or_fired(case, worn) == "fired":
        return {"goes": "fired"}
    is_outdoor = all(glaze.is_outdoor_only for glaze in worn)
    is_for_raku = ware.use is not Use.FOOD and is_outdoor and other_firings.raku(case)
    return {"goes": "other" if not is_for_raku else "after-bisque" if case.goes_in_raw else "raku"}


def _not_burnished(case: Case) -> Facts | None:
    ware = case.ware
    # Fired glaze keeps it out of this firing for good: there is nothing to polish.
    if raw_or_fired(case, _over_bare_clay(case)) == "fired":
        return None
    is_anywhere = ware.coats is Coats.SOMEWHERE
    polished = ware.burnished is not False or any(
        layer.glaze.coat is _SIGILLATA and (is_anywhere or layer.zone in _SEEN) for layer in ware.layers
    )
    return None if polished else NOTHING_MORE


def _before_or_after_bisque(case: Case) -> Facts:
    return {"is": "raw" if case.ware.fired_to is None else "fired"}


RULES = (
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
            "{glazes} is made for raku: it goes in the raku kiln only.",
            "{glazes} are made for raku: they go in the raku kiln only.",
        ),
        mend=_off_or_to_raku,
        remedy=Choice(
            "goes",
            {
                "raku": _("Choose a raku firing."),
                "after-bisque": Plural(
                    "glazes",
                    "Leave {glazes} off until the piece is bisqued. Then it goes in a raku firing.",
                    "Leave {glazes} off until the piece is bisqued. Then they go in a raku firing.",
                ),
                "no-overglaze": NO_FIRING_BUT_RAKU,
                "wipe-decorative": _("{off}"),
                "wipe-functional": _("{off} Make the piece decorative: it can only be fired in raku."),
                "wash": _("{choose:capital}."),
                "fired-decorative": _("Leave the piece as it is, or choose a raku firing."),
                "fired-functional": _("Make the piece decorative. It can only be fired again in raku."),
                "stays-decorative": _("Leave the piece as it is."),
                "stays-functional": _("Leave the piece as it is, and make it decorative."),
                "rinse-decorative": _("Rinse off {off}. Then leave the piece as it is."),
                "rinse-functional": _("Rinse off {off}, leave the piece as it is then, and make it decorative."),
            },
        ),
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
        mend=_indoors_or_off,
        remedy=Choice(
            "goes",
            {
                "indoors": ByRole(_("Fire it indoors, or ask the instructor."), {"instructor": _("Fire it indoors.")}),
                "hooded": ByRole(
                    _("Fire it indoors under a hood, or ask the instructor."),
                    {"instructor": _("Fire it indoors under a hood.")},
                ),
                "wash": ByRole(_("{choose:capital}, or ask the instructor."), {"instructor": _("{choose:capital}.")}),
                "stay": ByRole(
                    _("Keep it out of raku, or ask the instructor."), {"instructor": _("Keep it out of raku.")}
                ),
            },
        ),
    ),
    Rule(
        name="glaze-on-horsehair",
        about="heat",
        when="glaze on a piece for a horsehair firing, other than inside alone",
        level=Level.REFUSE,
        look=_glaze_on_horsehair,
        kinds=frozenset({RouteKind.HORSEHAIR}),
        of_coats=True,
        of_materials=True,
        message=_("{glazes:capital}: hair doesn't mark a glazed surface."),
        mend=_off_for_horsehair,
        remedy=Choice(
            "goes",
            {
                "raku": _("Choose raku, or leave {glazes} off."),
                "after-bisque": Plural(
                    "glazes",
                    "Leave {glazes} off until the piece is bisqued. Then it goes in a raku firing.",
                    "Leave {glazes} off until the piece is bisqued. Then they go in a raku firing.",
                ),
                "other": Plural(
                    "glazes",
                    "Leave {glazes} off, or choose a firing that suits it.",
                    "Leave {glazes} off, or choose a firing that suits them.",
                ),
                "fired": _("Choose another firing. What is fired on stays."),
            },
        ),
    ),
    Rule(
        name="underglaze-on-horsehair",
        about="heat",
        when="an underglaze on a piece for a horsehair firing, other than inside alone",
        level=Level.WARN,
        look=_underglaze_on_horsehair,
        kinds=frozenset({RouteKind.HORSEHAIR}),
        of_coats=True,
        of_materials=True,
        message=_("On {glazes}, hair leaves faint marks or none."),
        remedy=for_staff(_("Tell staff that faint marks are fine."), _("Sign off on faint marks.")),
    ),
    Rule(
        name="glaze-in-pit",
        about="kiln",
        when="glaze that melts in a pit firing, raw or fired on",
        level=Level.WARN,
        look=_glaze_in_pit,
        kinds=frozenset({RouteKind.PIT}),
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "At {firing}, {glazes} melts. It catches ash, and sticks to the fuel and to other pieces.",
            "At {firing}, {glazes} melt. They catch ash, and stick to the fuel and to other pieces.",
        ),
        mend=_out_of_the_pit,
        remedy=Choice(
            "goes",
            {
                "fired": for_staff(
                    _("Keep it out of this firing, or ask staff to accept the risk."),
                    _("Keep it out of this firing, or accept the risk."),
                ),
                other_firings.OPEN: for_staff(
                    _("Choose a glaze firing to {cone}, or ask staff to accept the risk."),
                    _("Choose a glaze firing to {cone}, or accept the risk."),
                ),
                other_firings.DECORATIVE: for_staff(
                    _("Make the piece decorative for a glaze firing to {cone}, or ask staff to accept the risk."),
                    _("Make the piece decorative for a glaze firing to {cone}, or accept the risk."),
                ),
                other_firings.NONE: for_staff(
                    _("Leave {glazes} off, or ask staff to accept the risk."),
                    _("Leave {glazes} off, or accept the risk."),
                ),
            },
        ),
    ),
    Rule(
        name="horsehair-unburnished",
        about="heat",
        when="a horsehair firing without burnish or terra sigillata",
        level=Level.WARN,
        look=_not_burnished,
        kinds=frozenset({RouteKind.HORSEHAIR}),
        message=_("This piece isn't burnished or coated with terra sigillata, so horsehair leaves only faint marks."),
        mend=_before_or_after_bisque,
        remedy=Choice(
            "is",
            {
                "raw": for_staff(
                    _("Burnish it or brush on sigillata before the bisque, or tell staff that faint marks are fine."),
                    _("Burnish it or brush on terra sigillata before the bisque, or sign off on faint marks."),
                ),
                "fired": for_staff(
                    _("Tell staff that faint marks are fine. It's too late to burnish: that's done before the bisque."),
                    _("Sign off on faint marks. It's too late to burnish: that's done before the bisque."),
                ),
            },
        ),
    ),
)
