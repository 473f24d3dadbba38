"""Glazes that need reduction or oxidation, and the kilns that give them the other."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import Choice, Plural, _
from tracker.domain.rules.melting import melting
from tracker.domain.rules.rule import (
    Case,
    Facts,
    Rule,
    for_staff,
    names_of,
)
from tracker.domain.studio.kilns import Atmosphere, RouteKind
from tracker.domain.studio.materials import Glaze, Trait

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_WANTS_REDUCTION = Trait.WANTS_REDUCTION
_WANTS_OXIDATION = Trait.WANTS_OXIDATION
_REDUCTION = Atmosphere.REDUCTION

_ALWAYS_REDUCED = frozenset({RouteKind.RAKU, RouteKind.WOOD})
"""Smoke reduces what is pulled for raku, whatever its burner did; each stoking of wood reduces (common practice)."""


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


RULES = (
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
)
