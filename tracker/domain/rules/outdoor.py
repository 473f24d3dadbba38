"""What belongs in raku and horsehair and what doesn't: glazes, bare clay, burnish."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Message, Plural, _
from tracker.domain.pieces.piece import Coats, Use
from tracker.domain.rules import other_firings
from tracker.domain.rules.rule import NOTHING_MORE, Case, Facts, Rule, for_staff, names_of, raw_or_fired
from tracker.domain.studio.kilns import SMOKED, RouteKind
from tracker.domain.studio.materials import CLAYS_IN_COATS, Coat, Family, Glaze, Zone
from tracker.domain.studio.metals import POISON_FUME, Metal

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_SIGILLATA = Coat.SIGILLATA
_GLAZE = Coat.GLAZE
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
    if raw_or_fired(case, (glaze for glaze in case.glazes if glaze.is_outdoor_only)) == "fired":
        return {"goes": f"fired-{use}"}
    # No raku firing takes ware for food, dense ware cracks there, and what is not bisqued yet has to be first.
    is_dense = ware.fired_to is not None and ware.clay.is_dense_at(ware.fired_to)
    washes = use == "functional" or is_dense or case.route.kind is RouteKind.BISQUE or not other_firings.raku(case)
    return {"goes": "wash" if washes else "raku"}


def _for_indoors(case: Case) -> list[Glaze]:
    return [glaze for glaze in case.glazes if glaze.coat is _GLAZE and glaze.family not in _NOT_FOR_INDOORS]


def _indoor_glaze_in_raku(case: Case) -> Facts | None:
    indoor = _for_indoors(case)
    return {"glazes": names_of(indoor)} if indoor else None


def _indoors_or_off(case: Case) -> Facts:
    """Where an indoor glaze belongs; beside a raku glaze it has no firing, and comes off while it is raw."""
    is_raw = raw_or_fired(case, _for_indoors(case)) == "raw"
    return {"goes": "stay" if not is_raw else "wash" if case.ware.is_outdoor_only else "indoors"}


def _over_bare_clay(case: Case) -> list[Glaze]:
    return [glaze for glaze in case.glazes if glaze.coat not in CLAYS_IN_COATS]


def _glaze_on_horsehair(case: Case) -> Facts | None:
    worn = _over_bare_clay(case)
    return {"glazes": names_of(worn)} if worn else None


def _off_for_horsehair(case: Case) -> Facts:
    """Raw glaze comes off, or goes where it belongs; fired glaze stays."""
    worn, ware = _over_bare_clay(case), case.ware
    if any(layer.fired_to is not None for layer in ware.layers if layer.glaze in worn):
        return {"goes": "fired"}
    is_for_raku = ware.use is not Use.FOOD and all(glaze.is_outdoor_only for glaze in worn)
    return {"goes": "raku" if is_for_raku else "other"}


def _not_burnished(case: Case) -> Facts | None:
    ware = case.ware
    is_anywhere = ware.coats is Coats.SOMEWHERE
    polished = ware.burnished is not False or any(
        layer.glaze.coat is _SIGILLATA and (is_anywhere or layer.zone in _SEEN) for layer in ware.layers
    )
    return None if polished else NOTHING_MORE


def _before_or_after_bisque(case: Case) -> Facts:
    return {"is": "raw" if case.ware.fired_to is None else "fired"}


def _fumes(case: Case) -> dict[Glaze, tuple[Metal, ...]]:
    """The glazes whose lead, cadmium or selenium goes off as fume, each with what it holds of them."""
    held = {glaze: tuple(metal for metal in POISON_FUME if metal in glaze.holds) for glaze in case.glazes}
    return {glaze: metals for glaze, metals in held.items() if metals}


def _poisonous_fume(case: Case) -> Facts | None:
    if not (fumes := _fumes(case)):
        return None
    told = tuple(
        Message("glaze-contains", _("{glaze} contains {metals}"), glaze=glaze.name, metals=metals)
        for glaze, metals in fumes.items()
    )
    return {"contents": told, "metals": tuple(dict.fromkeys(one for several in fumes.values() for one in several))}


def _raw_fume_or_fired(case: Case) -> Facts:
    return {"is": raw_or_fired(case, _fumes(case))}


RULES = (
    Rule(
        name="poisonous-fume-outdoors",
        about="heat",
        when="lead, cadmium or selenium in a glaze in a raku, horsehair or pit firing, where people breathe its fume",
        level=Level.ASK,
        look=_poisonous_fume,
        kinds=SMOKED,
        of_coats=True,
        of_materials=True,
        message=_("{contents}. People stand close to this firing and breathe its fume, which is poisonous."),
        mend=_raw_fume_or_fired,
        remedy=Choice(
            "is",
            {
                "raw": ByRole(
                    _("Choose a glaze without {metals}, or ask the instructor."),
                    {"instructor": _("Choose a glaze without {metals}.")},
                ),
                "fired": ByRole(
                    _("Leave the piece as it is, or ask the instructor."),
                    {"instructor": _("Leave the piece as it is.")},
                ),
            },
        ),
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
        mend=_off_or_to_raku,
        remedy=Choice(
            "goes",
            {
                "raku": _("Choose a raku firing."),
                "wash": _("Choose another glaze."),
                "fired-decorative": _("Leave the piece as it is. It can only be fired again in raku."),
                "fired-functional": _("Leave the piece as it is, and make it decorative."),
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
                "wash": ByRole(
                    _("Choose another glaze, or ask the instructor."), {"instructor": _("Choose another glaze.")}
                ),
                "stay": ByRole(
                    _("Leave the piece as it is, or ask the instructor."),
                    {"instructor": _("Leave the piece as it is.")},
                ),
            },
        ),
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
        mend=_off_for_horsehair,
        remedy=Choice(
            "goes",
            {
                "raku": _("Choose raku, or leave the glaze off."),
                "other": _("Leave the glaze off, or choose a firing that suits it."),
                "fired": _("Choose another firing. Fired glaze stays on."),
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
