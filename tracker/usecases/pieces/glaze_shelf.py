"""The glazes on the shelf, each judged for one piece on top of what it already wears."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tracker.domain.cones import ConeRange
from tracker.domain.findings import Level
from tracker.domain.message import Either, Message, Sentences, _
from tracker.domain.outdoor.pull_heats import with_heat
from tracker.domain.pieces.piece import Stage, Use
from tracker.domain.rules.engine import NO_ROUTE_LEFT, judge_in, judge_layers_in
from tracker.domain.rules.food_standing import glaze_standing
from tracker.domain.studio.materials import ON_CLAY, Coat, Family, Layer, Trait, Zone

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tracker.domain.findings import Finding
    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.catalog import Catalog
    from tracker.domain.studio.materials import Clay, Glaze

_FAMILIES = {
    Family.LOW_FIRE: Message("family-low-fire", _("Low-fire")),
    Family.MID_RANGE: Message("family-mid-range", _("Mid-range")),
    Family.HIGH_FIRE: Message("family-high-fire", _("High-fire")),
    Family.OUTDOOR: Message("family-outdoor", _("Raku")),
    Family.OUTSIDE: Message("family-outside", _("From outside the studio")),
}
_WAX = Message("family-wax", _("Wax, in lines or on the foot"))
_HEADINGS = (*_FAMILIES.values(), _WAX)
_TRAITS = {
    Trait.CRACKLE: Message("trait-crackles", _("crackles")),
    Trait.LUSTER: Message("trait-luster", _("luster")),
    Trait.RUNNY: Message("trait-runs", _("runs")),
    Trait.WANTS_REDUCTION: Message("trait-wants-reduction", _("needs reduction")),
    Trait.WANTS_OXIDATION: Message("trait-wants-oxidation", _("needs oxidation")),
}
_ORDER = ("clear", "warn", "ask", "refuse")


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One glaze as the macro `glaze_row` shows it: its verdict is that of the piece wearing it.

    `findings` are those that make the verdict; the page of the piece has them all. `facts` are what to know before one
    reaches for it, and `leaves` names the firings that this verdict speaks of. What does not go on greenware is shown
    for planning alone (`goes_on_now`).
    """

    name: str
    family: Message
    cones: Message
    food: Message
    facts: tuple[Message, ...]
    bucket: str
    verdict: str
    findings: tuple[Finding, ...]
    leaves: tuple[Message, ...]
    goes_on_now: bool = True

    @property
    def reason(self) -> Message:
        """Why it cannot go; that no kiln is left follows from what stands against the kindest."""
        first = self.findings[0].message
        reasons = dict(first.facts).get("reasons") if first.code == NO_ROUTE_LEFT else None
        return reasons.messages[0] if isinstance(reasons, Sentences) else first

    @property
    def can_go_on(self) -> bool:
        """Whether the rules let this glaze onto the piece."""
        return self.verdict != "refuse"


def candidates_for(piece: Piece, catalog: Catalog, zone: Zone = Zone.OUTSIDE) -> tuple[Candidate, ...]:
    """Every glaze on the shelf, judged for this zone of the piece; by family from cool to hot, the kindest first.

    The rules ask of the foot whether glaze is on it, and of inside and rim which glazes meet there on a piece for food;
    what may not touch food may be nowhere on such a piece.
    """
    judged = [_judged(piece, glaze, catalog, zone) for glaze in catalog.glazes.values() if not glaze.retired]
    return tuple(sorted(judged, key=lambda one: (_HEADINGS.index(one.family), _ORDER.index(one.verdict), one.name)))


def most_careful_zone(piece: Piece) -> Zone:
    """The zone for which a glaze is judged while none is chosen: where food comes, on a piece for food."""
    return Zone.INSIDE if piece.use is Use.FOOD else Zone.OUTSIDE


def goes_on_now(piece: Piece, glaze: Glaze, catalog: Catalog) -> bool:
    """Whether such a coat goes on at this stage: greenware takes what belongs on clay, or raw glaze to fire once."""
    if piece.stage is not Stage.GREENWARE:
        return True
    return glaze.coat in ON_CLAY or (glaze.coat is Coat.GLAZE and catalog.fires_once)


def by_family(candidates: Sequence[Candidate]) -> dict[Message, tuple[Candidate, ...]]:
    """The same glazes under the name of their family, first the families of which some can go; empty ones left out."""
    groups = [(family, tuple(one for one in candidates if one.family == family)) for family in _HEADINGS]
    groups.sort(key=lambda group: not any(one.can_go_on for one in group[1]))
    return {family: members for family, members in groups if members}


def _judged(piece: Piece, glaze: Glaze, catalog: Catalog, zone: Zone) -> Candidate:
    ware = piece.wearing(Layer(glaze, zone))
    verdict = judge_layers_in(catalog, ware)
    outdoors = catalog.practice.outdoors
    routes = [route for route in catalog.glazed_routes if ware.may_come_to(route)]
    leaves = [route for route in routes if judge_in(catalog, ware, route).level <= verdict.level]
    return Candidate(
        name=glaze.name,
        family=_WAX if glaze.burns_away else _FAMILIES[glaze.family],
        cones=_BURNS_AWAY if glaze.burns_away else cones_of(glaze),
        food=_NOTHING_STAYS if glaze.burns_away else glaze_standing(glaze, catalog.practice.regime),
        facts=_facts(glaze),
        bucket=glaze.bucket,
        verdict=verdict.word,
        findings=verdict.of(verdict.level) if verdict.level > Level.NOTE else (),
        leaves=() if verdict.level is Level.REFUSE else tuple(with_heat(one, outdoors) for one in leaves),
        goes_on_now=goes_on_now(piece, glaze, catalog),
    )


_BURNS_AWAY = Message("burns-away-in-any-firing", _("burns off in any firing"))
_NOTHING_STAYS = Message("nothing-stays", _("leaves nothing on the piece"))


def cones_of(glaze: Glaze | Clay) -> Message:
    """The heats that a glaze or a clay is made for."""
    return Message("cones", "{cones}", cones=ConeRange(glaze.cone_low, glaze.cone_high))


def _facts(glaze: Glaze) -> tuple[Message, ...]:
    """What to know before one reaches for it: color, surface, what sort of coat, how it behaves, how it goes on."""
    color = (Message("color", "{color}", color=glaze.color),) if glaze.color else ()
    surface = (Message("surface", "{surface}", surface=glaze.surface),) if glaze.surface else ()
    coat = () if glaze.coat is Coat.GLAZE else (Message("coat", "{coat}", coat=glaze.coat),)
    traits = tuple(words for trait, words in _TRAITS.items() if trait in glaze.traits)
    ways = Either(tuple(sorted(glaze.goes_on)))
    how = (Message("goes-on-by", _("apply by {ways}"), ways=ways),) if glaze.goes_on else ()
    return (*color, *surface, *coat, *traits, *how)
