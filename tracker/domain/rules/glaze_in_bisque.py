"""Glaze that is to go into a bisque, raw or fired."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import Choice, Message, Plural, _
from tracker.domain.pieces.piece import Use
from tracker.domain.rules import other_firings
from tracker.domain.rules.greenware import off_raw_clay, raw_glass
from tracker.domain.rules.melting import running, softening
from tracker.domain.rules.other_firings import raku
from tracker.domain.rules.rule import (
    OFF_WITH_SOLVENT,
    Case,
    Facts,
    Rule,
    choose,
    for_staff,
    names_of,
)
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.materials import Coat


def _glaze_in_bisque(case: Case) -> Facts | None:
    raw = raw_glass(case)
    return {"glazes": names_of(raw)} if raw else None


def _out_of_the_bisque(case: Case) -> Facts:
    """Where glazed ware goes that is bisqued already; on greenware, the glaze waits for the bisque."""
    raw = raw_glass(case)
    if case.ware.fired_to is None:
        return {"goes": "greenware", "off": off_raw_clay(raw)}
    if case.ware.is_outdoor_only:
        return {"goes": "raku" if case.ware.use is not Use.FOOD and raku(case) else "off", "choose": choose(case, raw)}
    if all(glaze.coat is Coat.OVERGLAZE for glaze in raw):
        fire = other_firings.overglaze_firing(case, raw)
        off = Message("off-with-solvent", OFF_WITH_SOLVENT, glazes=names_of(raw))
        return {"goes": f"overglaze-{other_firings.overglaze(case, raw)}", "fire": fire, "off": off}
    # Overglaze on raw glaze is left off until that is fired, as another rule says.
    over = [glaze for glaze in raw if glaze.coat is Coat.OVERGLAZE]
    return {**other_firings.glaze_firing(other_firings.without(case, over)), "choose": choose(case, raw)}


def _fired_glaze_in_bisque(case: Case) -> Facts | None:
    soft = [layer.glaze for layer in running(case) if layer.fired_to is not None]
    return {"glazes": names_of(soft)} if soft else None


def _tacky_in_bisque(case: Case) -> Facts | None:
    """Fired glaze that turns sticky below its cones; where other glaze softens all through or is raw, that is said."""
    if raw_glass(case) or _fired_glaze_in_bisque(case) is not None:
        return None
    tacky = softening(case)
    return {"glazes": names_of(layer.glaze for layer in tacky)} if tacky else None


_SET_APART = for_staff(_("Ask staff to set it apart: nothing may touch it."), _("Set it apart: nothing may touch it."))


RULES = (
    Rule(
        name="glaze-in-bisque",
        about="kiln",
        when="raw glaze in a bisque firing, where pieces touch",
        level=Level.ASK,
        look=_glaze_in_bisque,
        kinds=frozenset({RouteKind.BISQUE}),
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} is still raw: it sticks or rubs off where pieces touch in a bisque.",
            "{glazes} are still raw: they stick or rub off where pieces touch in a bisque.",
        ),
        mend=_out_of_the_bisque,
        remedy=Choice(
            "goes",
            {
                "greenware": _("Bisque it first, without {glazes}. {off}"),
                "raku": _("Choose a raku firing."),
                "off": _("{choose:capital}."),
                "overglaze-open": _("Choose {fire}."),
                "overglaze-decorative": _("Make the piece decorative, and choose {fire}."),
                "overglaze-none": _("No firing suits the piece as it is. {off}"),
                other_firings.OPEN: _("Choose a glaze firing to {cone}."),
                other_firings.DECORATIVE: _("Make the piece decorative, and choose a glaze firing to {cone}."),
                other_firings.NONE: _("No firing suits the piece as it is. {choose:capital}."),
            },
        ),
    ),
    Rule(
        name="fired-glaze-in-bisque",
        about="kiln",
        when="fired glaze in a bisque firing that reaches its cones: it softens again, and pieces touch there",
        level=Level.WARN,
        look=_fired_glaze_in_bisque,
        kinds=frozenset({RouteKind.BISQUE}),
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} softens again in this firing, and pieces that touch in a bisque stick together.",
            "{glazes} soften again in this firing, and pieces that touch in a bisque stick together.",
        ),
        mend=other_firings.glaze_firing,
        remedy=Choice(
            "goes",
            {
                other_firings.OPEN: for_staff(
                    _("Choose a glaze firing to {cone}, or ask staff to set it apart: nothing may touch it."),
                    _("Choose a glaze firing to {cone}, or set it apart: nothing may touch it."),
                ),
                **dict.fromkeys((other_firings.DECORATIVE, other_firings.NONE), _SET_APART),
            },
        ),
    ),
    Rule(
        name="fired-glaze-tacky-in-bisque",
        about="kiln",
        when="fired glaze in a bisque firing that stays below its cones: it turns tacky, and pieces touch there",
        level=Level.NOTE,
        look=_tacky_in_bisque,
        kinds=frozenset({RouteKind.BISQUE}),
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} turns tacky in a bisque, and pieces that touch there stick together.",
            "{glazes} turn tacky in a bisque, and pieces that touch there stick together.",
        ),
        remedy=_SET_APART,
    ),
)
