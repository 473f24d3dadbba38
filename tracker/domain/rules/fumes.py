"""What goes off as fume in the fire and poisons whoever breathes it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tracker.domain.cones import Cone
from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Message, Plural, _
from tracker.domain.pieces.piece import Use
from tracker.domain.quantities import celsius
from tracker.domain.rules.rule import Case, Facts, Rule, choose, names_of, raw_or_fired, without
from tracker.domain.studio.cautions import OILS_GONE_C
from tracker.domain.studio.kilns import SMOKED, VAPOR, Atmosphere
from tracker.domain.studio.materials import CLAYS_IN_COATS, GLASS, Coat, Glaze, Layer
from tracker.domain.studio.metals import FUME, POISON_FUME, Metal

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_OVERGLAZE = Coat.OVERGLAZE


def _held(glazes: Iterable[Glaze], which: tuple[Metal, ...]) -> dict[Glaze, tuple[Metal, ...]]:
    """The coats that hold any of these metals, each with those it holds."""
    held = {glaze: tuple(metal for metal in which if metal in glaze.holds) for glaze in glazes}
    return {glaze: metals for glaze, metals in held.items() if metals}


_TENDED = SMOKED | VAPOR
"""The kinds beside which people stand: to pull ware, to stoke, to spray salt or soda (common practice)."""


def _giving_off(case: Case) -> list[Glaze]:
    """The coats out of which something may go off: they are raw or melt, or are slip that a cooler fire set.

    No bisque melts the metals of a slip into it, as the frit of an underglaze holds its own (common practice).
    """
    heat = case.route.cone
    hot = {layer.glaze for layer in case.ware.layers if _gives_off(layer, heat)}
    return [glaze for glaze in case.glazes if glaze in case.raw or glaze in hot]


def _gives_off(layer: Layer, heat: Cone) -> bool:
    if layer.glaze.coat in GLASS:
        return layer.glaze.cone_low <= heat
    return layer.glaze.coat in CLAYS_IN_COATS and layer.fired_to is not None and layer.fired_to < heat


def _poison_held(case: Case) -> dict[Glaze, tuple[Metal, ...]]:
    """The coats with a poison that goes off; smoke and flame bite into any coat, vapor into what melts."""
    return _held(case.glazes if case.route.kind in SMOKED else _giving_off(case), POISON_FUME)


def _poisonous_fume(case: Case) -> Facts | None:
    fumes = _poison_held(case)
    return _contents(fumes, {}) if fumes else None


def _instead(case: Case) -> Facts:
    """Raw coats give way to others without these metals; fired ones stay on."""
    fumes = _poison_held(case)
    metals = tuple(dict.fromkeys(one for several in fumes.values() for one in several))
    return {"is": raw_or_fired(case, fumes), "choose": choose(case, fumes, without(metals))}


def _metal_fume(case: Case) -> Facts | None:
    """What goes off from coats that are raw or melt; where people tend the fire, another rule asks of the worst."""
    kind, coats = case.route.kind, _giving_off(case)
    fumes = _held(coats, tuple(metal for metal in FUME if kind not in _TENDED or metal not in POISON_FUME))
    likely = {glaze: (Metal.COPPER,) for glaze in coats if glaze.is_likely_copper}
    where = "outdoors" if kind in SMOKED else "tended" if kind in VAPOR else "kiln"
    return {**_contents(fumes, likely), "where": where} if fumes or likely else None


def _beside_food(case: Case) -> Facts:
    """Which ware stays out of the load: fume of lead can settle on other pots.

    Cadmium reds are sold for functional ware, and fired beside it (common practice).
    """
    if case.route.kind in _TENDED or not _held(_giving_off(case), (Metal.LEAD,)):
        return {"apart": "none"}
    return {"apart": "other" if case.ware.use is Use.FOOD else "any"}


def _oils(case: Case) -> Facts | None:
    over = _staying_overglazes(case)
    return {"glazes": names_of(over), "oils": celsius(OILS_GONE_C)} if over else None


def _overglaze_reduced(case: Case) -> Facts | None:
    """The raw overglazes in a kiln that reduces: no rule of wanted traits, because all of them want clean air."""
    over = _staying_overglazes(case) if case.air is Atmosphere.REDUCTION else []
    return {"glazes": names_of(over)} if over else None


def _staying_overglazes(case: Case) -> list[Glaze]:
    """The raw overglazes that this firing doesn't burn off."""
    return [glaze for glaze in case.raw if glaze.coat is _OVERGLAZE and glaze.cone_high >= case.route.cone]


def _contents(told: Mapping[Glaze, tuple[Metal, ...]], likely: Mapping[Glaze, tuple[Metal, ...]]) -> Facts:
    """Which coat contains what, or likely does, and all those metals."""
    contents = [
        Message("glaze-contains", _("{glaze} contains {metals}"), glaze=glaze.name, metals=metals)
        for glaze, metals in told.items()
    ]
    contents += [
        Message(
            "glaze-likely-contains",
            _("{glaze} is a raku luster and likely contains {metals}"),
            glaze=glaze.name,
            metals=metals,
        )
        for glaze, metals in likely.items()
    ]
    both = (*told.values(), *likely.values())
    return {"contents": tuple(contents), "metals": tuple(dict.fromkeys(one for several in both for one in several))}


RULES = (
    Rule(
        name="poisonous-fume-outdoors",
        about="heat",
        when=(
            "lead, cadmium, selenium, arsenic, antimony, mercury or thallium, where people breathe its fume: in any "
            "layer in a raku, horsehair or pit firing, in one that is raw or melts in a soda, salt or wood firing, "
            "and in slip that was fired cooler"
        ),
        level=Level.ASK,
        look=_poisonous_fume,
        kinds=_TENDED,
        of_coats=True,
        of_materials=True,
        message=_("{contents}. People stand close to this firing and breathe its fume, which is poisonous."),
        mend=_instead,
        remedy=Choice(
            "is",
            {
                "raw": ByRole(_("{choose:capital}, or ask the instructor."), {"instructor": _("{choose:capital}.")}),
                "fired": ByRole(
                    _("Keep it out of this firing, or ask the instructor."),
                    {"instructor": _("Keep it out of this firing.")},
                ),
            },
        ),
    ),
    Rule(
        name="metal-fume",
        about="kiln",
        when=(
            "copper, manganese or a metal of `poisonous-fume-outdoors` in a layer that is raw or melts in the firing, "
            "or in slip that was fired cooler, or a raku luster whose recipe isn't known; not where "
            "`poisonous-fume-outdoors` asks about that metal"
        ),
        level=Level.NOTE,
        look=_metal_fume,
        of_coats=True,
        of_materials=True,
        message=_("{contents}. In the fire, {metals} can go off as fume, which is poisonous."),
        mend=_beside_food,
        remedy=Choice(
            "where",
            {
                "kiln": Choice(
                    "apart",
                    {
                        "none": _("Indoors, fire it under a hood. Stay out of the fume."),
                        "any": _(
                            "Indoors, fire it under a hood. Stay out of the fume. Keep functional ware out of that "
                            "load: the fume can settle on it."
                        ),
                        "other": _(
                            "Indoors, fire it under a hood. Stay out of the fume. Keep other functional ware out of "
                            "that load: the fume can settle on it."
                        ),
                    },
                ),
                "tended": _(
                    "If the kiln is indoors, fire it under a hood. Stay out of the fume. Near it, wear a fitted "
                    "respirator with P100 or P3 filters."
                ),
                "outdoors": _("Stay out of the fume. Near it, wear a fitted respirator with P100 or P3 filters."),
            },
        ),
    ),
    Rule(
        name="overglaze-fume",
        about="kiln",
        when="a raw overglaze (luster, china paint) that keeps its color in the firing: its oils and resins smoke off",
        level=Level.NOTE,
        look=_oils,
        of_coats=True,
        of_materials=True,
        message=_("The oils and resins in {glazes} smoke off up to about {oils}. Their fumes are harmful."),
        remedy=_("Indoors, run the hood. Keep the kiln vented up to {oils}. Stay out of the fumes."),
    ),
    Rule(
        name="overglaze-in-reduction",
        about="kiln",
        when="a raw overglaze (luster, china paint) in a kiln that fires in reduction",
        level=Level.NOTE,
        look=_overglaze_reduced,
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} needs clean oxidation. In reduction, it comes out dull or off color.",
            "{glazes} need clean oxidation. In reduction, they come out dull or off color.",
        ),
        remedy=_("Choose a kiln that fires in oxidation, well vented."),
    ),
)
