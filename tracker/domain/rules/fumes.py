"""What goes off as fume in the fire and poisons whoever breathes it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Message, _
from tracker.domain.rules.melting import melting
from tracker.domain.rules.rule import Case, Facts, Rule, choose, raw_or_fired, without
from tracker.domain.studio.kilns import SMOKED
from tracker.domain.studio.materials import Glaze
from tracker.domain.studio.metals import FUME, POISON_FUME, Metal


def _held(glazes: Iterable[Glaze], which: tuple[Metal, ...]) -> dict[Glaze, tuple[Metal, ...]]:
    """The coats that hold any of these metals, each with those it holds."""
    held = {glaze: tuple(metal for metal in which if metal in glaze.holds) for glaze in glazes}
    return {glaze: metals for glaze, metals in held.items() if metals}


def _poisonous_fume(case: Case) -> Facts | None:
    fumes = _held(case.glazes, POISON_FUME)
    return _contents(fumes, {}) if fumes else None


def _instead(case: Case) -> Facts:
    """Raw coats give way to others without these metals; fired ones stay on."""
    fumes = _held(case.glazes, POISON_FUME)
    metals = tuple(dict.fromkeys(one for several in fumes.values() for one in several))
    return {"is": raw_or_fired(case, fumes), "choose": choose(case, fumes, without(metals))}


def _metal_fume(case: Case) -> Facts | None:
    """What goes off from coats that are raw or melt; outdoors another rule asks about the worst of it."""
    is_smoked = case.route.kind in SMOKED
    melts = {layer.glaze for layer in melting(case)}
    coats = [glaze for glaze in case.glazes if glaze in case.raw or glaze in melts]
    fumes = _held(coats, tuple(metal for metal in FUME if not is_smoked or metal not in POISON_FUME))
    likely = {glaze: (Metal.COPPER,) for glaze in coats if glaze.is_likely_copper}
    return {**_contents(fumes, likely), "where": "outdoors" if is_smoked else "kiln"} if fumes or likely else None


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
        when="lead, cadmium or selenium in a layer in a raku, horsehair or pit firing, where people breathe its fume",
        level=Level.ASK,
        look=_poisonous_fume,
        kinds=SMOKED,
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
            "copper, manganese, lead, cadmium or selenium in a layer that is raw or melts in the firing, or a raku "
            "luster whose recipe isn't known; of lead, cadmium and selenium outdoors `poisonous-fume-outdoors` asks"
        ),
        level=Level.NOTE,
        look=_metal_fume,
        of_coats=True,
        of_materials=True,
        message=_("{contents}. In the fire, {metals} can go off as fume, which is poisonous."),
        remedy=Choice(
            "where",
            {
                "kiln": _("Fire it outdoors or under a hood. Stay out of the fume."),
                "outdoors": _("Stay out of the fume. Near it, wear a fitted respirator with P100 or P3 filters."),
            },
        ),
    ),
)
