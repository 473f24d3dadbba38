"""The glaze shelf in the words of its wall chart: what each glaze is, where it stands, and what it must never do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printing.studio import wall_charts as charts
from tracker.domain.rules.food_standing import settled
from tracker.domain.studio.leach_tests import failures
from tracker.domain.studio.materials import Coat, Family, FoodStanding
from tracker.wording.render import read

if TYPE_CHECKING:
    from tracker.domain.studio.catalog import Studio
    from tracker.domain.studio.leach_limits import Regime
    from tracker.domain.studio.materials import Glaze

_HEADINGS = {
    Family.LOW_FIRE: "Low-fire",
    Family.MID_RANGE: "Mid-range",
    Family.HIGH_FIRE: "High-fire",
    Family.OUTDOOR: "Outdoor, raku only",
    Family.OUTSIDE: "From outside the studio",
}
_CAUTION = (
    "A laboratory test, not this chart, says whether ware is fit for food; your food authority's rules come first. "
    "No outdoor firing is for food. When in doubt about a glaze, a clay or a kiln, ask before you glaze. "
    "Clean up wet: the dust of clay and glaze holds silica."
)


def wall_chart(studio: Studio, paper: str = "a4") -> bytes:
    """The studio's glazes in use as a PDF, by family and from cool to hot; `paper` is "a4" or "letter"."""
    return charts.chart_pdf(shelf_of(studio), paper)


def shelf_of(studio: Studio) -> charts.Shelf:
    """What the chart says."""
    regime = studio.catalogue.practice.regime
    in_use = [glaze for glaze in studio.catalogue.glazes.values() if not (glaze.retired or glaze.burns_away)]
    in_use.sort(key=lambda glaze: (glaze.cone_high, glaze.cone_low, glaze.name.casefold()))
    families = tuple(
        (heading, tuple(_line(glaze, regime) for glaze in in_use if glaze.family is family))
        for family, heading in _HEADINGS.items()
        if any(glaze.family is family for glaze in in_use)
    )
    return charts.Shelf("The glaze shelf", studio.name, families, _CAUTION)


def _line(glaze: Glaze, regime: Regime) -> charts.Glaze:
    coat = "" if glaze.coat is Coat.GLAZE else f" ({glaze.coat})"
    return charts.Glaze(
        name=f"{glaze.name}{coat}",
        matures=read(glaze.cones),
        goes_on=", ".join(sorted(glaze.goes_on)),
        stands=glaze.bucket,
        food=food_in_words(glaze, regime),
        never=never(glaze, regime),
    )


def food_in_words(glaze: Glaze, regime: Regime) -> str:
    """A glaze's food standing in a few words."""
    if failures(glaze.tests, regime):
        return "a test was over the limit"
    return {
        FoodStanding.TESTED: f"tests passed, {regime.in_words}",
        FoodStanding.DECLARED: "declared by its maker",
        FoodStanding.UNTESTED: "untested",
        FoodStanding.DECORATIVE: "decorative",
    }[settled(glaze, regime)]


def never(glaze: Glaze, regime: Regime) -> tuple[str, ...]:
    """What must not be done with a glaze whatever the piece is."""
    said = [f"never hotter than {glaze.cone_high.label}"]
    if glaze.is_outdoor_only:
        said.append("never indoors")
    if glaze.is_outdoor_only or glaze.food is FoodStanding.DECORATIVE or failures(glaze.tests, regime):
        said.append("never on ware for food")
    return tuple(said)
