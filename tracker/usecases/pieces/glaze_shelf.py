"""The glazes on the shelf, each judged for one piece on top of what it already wears."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, replace

from tracker.domain.cones import Cone, ConeRange
from tracker.domain.findings import Finding, Level, Verdict
from tracker.domain.message import Choice, Either, Message, Sentences, _
from tracker.domain.outdoor.pull_heats import with_heat
from tracker.domain.pieces.piece import Piece, Stage, Use
from tracker.domain.rules.engine import NO_ROUTE_LEFT, RULES, judge_in, judge_layers_in
from tracker.domain.rules.food_standing import glaze_standing
from tracker.domain.rules.heat import NEVER_SO_HOT
from tracker.domain.rules.layering import SLIP_ON_FIRED_CLAY, WASHED_OFF
from tracker.domain.rules.rule import for_staff
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.materials import CLAYS_IN_COATS, GLASS, ON_CLAY, Clay, Coat, Glaze, Layer, Trait, Zone

_TRAITS = {
    Trait.CRACKLE: Message("trait-crackles", _("crackle")),
    Trait.LUSTER: Message("trait-luster", _("luster")),
    Trait.RUNNY: Message("trait-runs", _("runny")),
    Trait.WANTS_REDUCTION: Message("trait-wants-reduction", _("needs reduction")),
    Trait.WANTS_OXIDATION: Message("trait-wants-oxidation", _("needs oxidation")),
}
_ORDER = ("clear", "warn", "ask", "refuse")
_UNDERFIRED = "glaze-underfired"
"""The rule that asks about a glaze that a firing doesn't mature."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One glaze on the glaze shelf, with the verdict on the piece once it has it.

    `findings` are all warnings and what to ask, or else why it is refused. `facts` are what to know before one reaches
    for it, `leaves` the firings that this verdict speaks of, and `cone` is the heat of the first of them, or else the
    glaze's own top cone. `closes` are the firings that take the piece now, where none would any more without a yes.
    What doesn't go on greenware is shown for planning alone (`goes_on_now`).
    """

    glaze: Glaze
    cones: Message
    food: Message
    facts: tuple[Message, ...]
    how: Message | None
    verdict: str
    findings: tuple[Finding, ...]
    leaves: tuple[Message, ...]
    cone: Cone
    closes: tuple[str, ...] = ()
    goes_on_now: bool = True

    @property
    def name(self) -> str:
        """What the glaze is called."""
        return self.glaze.name

    @property
    def reason(self) -> Message:
        """Why it can't go; that no kiln is left follows from what keeps it out of the firings that took the piece."""
        first = self.findings[0].message
        reasons = _reasons_in(first)
        return reasons[0] if reasons else first

    @property
    def can_go_on(self) -> bool:
        """Whether the rules let this glaze onto the piece."""
        return self.verdict != "refuse"

    @property
    def is_runny(self) -> bool:
        """Whether it runs, so that a piece with it stands on a kiln cookie."""
        return Trait.RUNNY in self.glaze.traits


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """The glaze shelf for one piece: what can go on, what needs the instructor first, and the rest by reason."""

    can_go: tuple[Candidate, ...]
    ask_first: tuple[Candidate, ...]
    after_bisque: tuple[Candidate, ...]
    never: Mapping[Message, tuple[Candidate, ...]]

    @property
    def everything(self) -> tuple[Candidate, ...]:
        """Every glaze of it, once."""
        refused = (one for members in self.never.values() for one in members)
        return (*self.can_go, *self.ask_first, *self.after_bisque, *refused)


def candidates_for(piece: Piece, catalog: Catalog, zone: Zone = Zone.OUTSIDE) -> tuple[Candidate, ...]:
    """Every glaze on the glaze shelf, judged for this zone of the piece; the kindest first, then by name.

    The rules ask of the foot whether glaze is on it, and of inside and rim which glazes meet there on a functional
    piece; what may not touch food may be nowhere on such a piece.
    """
    judged = [_judged(piece, glaze, catalog, zone) for glaze in catalog.glazes.values() if not glaze.retired]
    return tuple(sorted(judged, key=lambda one: (_ORDER.index(one.verdict), one.glaze.burns_away, one.name)))


def sorted_shelf(candidates: Sequence[Candidate], shown_well: Container[str] = ()) -> Shelf:
    """The shelf in the order in which one chooses from it; `shown_well` names glazes whose tile is of this very firing.

    Clear comes before with care, a glaze that a tile shows well before others, wax last.
    """
    now = [one for one in candidates if one.can_go_on and one.goes_on_now]
    now.sort(key=lambda one: (one.glaze.burns_away, _ORDER.index(one.verdict), one.name not in shown_well, one.name))
    refused = [one for one in candidates if not one.can_go_on]
    by_reason = {heading: tuple(one for one in refused if _heading_of(one) is heading) for heading in _HEADINGS}
    return Shelf(
        can_go=tuple(one for one in now if one.verdict != "ask"),
        ask_first=tuple(one for one in now if one.verdict == "ask"),
        after_bisque=tuple(one for one in candidates if one.can_go_on and not one.goes_on_now),
        never={heading: members for heading, members in by_reason.items() if members},
    )


_ABOUT = {rule.name: rule.about for rule in RULES}
_OTHER = Message("reason-other", _("Other reasons"))
_REASONS = (
    (Message("reason-heat", _("The heat doesn't fit")), {"heat"}),
    (Message("reason-food", _("Not for food")), {"food"}),
    (Message("reason-kiln", _("It would stick or wouldn't fit")), {"kiln", "prep", "shock", "vapor", "load"}),
    (_OTHER, {""}),
)
"""Why a glaze can't go on, in the order in which it is told: each with what the rules are about that say so."""

NO_CONE_FITS = Message(
    "reason-no-shared-cone",
    _("These glazes need a different heat from the one on the piece"),
)
RAW_OVERGLAZE = Message("reason-raw-overglaze", _("Not over a raw overglaze, which goes on last"))
SAY_WHY = (NO_CONE_FITS, RAW_OVERGLAZE)
"""Say by themselves why each glaze under them can't go on."""
OF_THE_CLAY = Message("reason-clay", _("Because of the clay"))
_ABOUT_CLAY = {"clay-porous-for-food", "nameless-clay-for-food", "clay-slumps"}
"""The rules that keep a piece from food, or out of a firing, whatever glaze is on it."""
_HEADINGS = (*SAY_WHY, OF_THE_CLAY, *(heading for heading, _abouts in _REASONS))


def _heading_of(one: Candidate) -> Message:
    """What a refused glaze is listed under."""
    return _heading(one.glaze, one.reason)


def _heading(glaze: Glaze, reason: Message) -> Message:
    """Under what a reason against a glaze is told."""
    if reason.code == "layers-share-no-heat" and reason["why"] == "apart":
        return NO_CONE_FITS
    if reason.code == "coat-over-raw-overglaze":
        return RAW_OVERGLAZE
    if reason.code in _ABOUT_CLAY:
        return OF_THE_CLAY
    about = _ABOUT.get(reason.code, "")
    if glaze.burns_away and about == "food":
        # Nothing of it stays: what is not for food is under it.
        return _OTHER
    return next(heading for heading, abouts in _REASONS if about in abouts)


def _reasons_in(refused: Message) -> tuple[Message, ...]:
    """Why no firing is left, where that is what a message says."""
    reasons = dict(refused.facts).get("reasons") if refused.code == NO_ROUTE_LEFT else None
    return reasons.messages if isinstance(reasons, Sentences) else ()


def usual_zone(piece: Piece, glaze: Glaze | None = None) -> Zone:
    """The zone that is chosen while nobody has said: all over bare ware, then the side that has no glaze yet.

    Of `glaze` it is the zone of that coat: on bare ware wax goes on the foot (common practice).
    """
    if glaze is not None and keeps_all_bare(piece, glaze, Zone.ALL_OVER):
        return Zone.FOOT
    glazed = {layer.zone for layer in piece.layers if layer.glaze.coat in GLASS}
    if Zone.ALL_OVER in glazed or not glazed & {Zone.INSIDE, Zone.OUTSIDE}:
        return Zone.ALL_OVER if not glazed else most_careful_zone(piece)
    if Zone.OUTSIDE not in glazed:
        return Zone.OUTSIDE
    return Zone.INSIDE if Zone.INSIDE not in glazed else most_careful_zone(piece)


def keeps_all_bare(piece: Piece, coat: Glaze, zone: Zone) -> bool:
    """Whether this is wax all over ware without glaze, where all glaze to come would bead off."""
    return coat.burns_away and zone is Zone.ALL_OVER and not any(one.glaze.coat in GLASS for one in piece.layers)


def most_careful_zone(piece: Piece) -> Zone:
    """The zone that the rules look at hardest: where food comes, on a functional piece."""
    return Zone.INSIDE if piece.use is Use.FOOD else Zone.OUTSIDE


def goes_on_now(piece: Piece, glaze: Glaze, catalog: Catalog) -> bool:
    """Whether such a coat goes on at this stage: greenware takes what belongs on clay, or raw glaze to fire once."""
    if piece.stage is not Stage.GREENWARE:
        return True
    return glaze.coat in ON_CLAY or (glaze.coat is Coat.GLAZE and catalog.fires_once)


def keeps_its_foot(piece: Piece, catalog: Catalog) -> bool:
    """Whether what is done to the foot now lasts until glaze melts on the piece; a bisque burns wax off."""
    return piece.stage is not Stage.GREENWARE or catalog.fires_once


def _judged(piece: Piece, glaze: Glaze, catalog: Catalog, zone: Zone) -> Candidate:
    is_now = goes_on_now(piece, glaze, catalog)
    ware = (piece if is_now else _bisqued(piece, catalog)).wearing(Layer(glaze, zone))
    verdict = judge_layers_in(catalog, ware)
    outdoors = catalog.practice.outdoors
    # A coat that belongs on clay may stay alone on it: sigillata is what horsehair is fired on.
    takes = [
        route for route in catalog.routes_by_heat if route.takes_glaze or (route.takes_bare and not ware.has_glaze)
    ]
    routes = [route for route in takes if ware.may_come_to(route)]
    leaves = [route for route in routes if judge_in(catalog, ware, route).level <= verdict.level]
    never = _never_melts(verdict, glaze)
    is_refused = verdict.level is Level.REFUSE or bool(never)
    found = never or (_why_not(glaze, verdict) if is_refused else verdict.from_level(Level.WARN))
    return Candidate(
        glaze=glaze,
        cones=_BURNS_AWAY if glaze.burns_away else cones_of(glaze),
        food=_NOTHING_STAYS if glaze.burns_away else glaze_standing(glaze, catalog.practice.regime),
        facts=_facts(glaze),
        how=_applied_by(glaze),
        verdict=Level.REFUSE.word if is_refused else verdict.word,
        findings=as_it_is_now(found, piece, glaze, catalog),
        leaves=() if is_refused else tuple(with_heat(one, outdoors) for one in leaves),
        cone=glaze.cone_high if is_refused or not leaves else leaves[0].cone,
        closes=_open_to(piece, catalog) if verdict.level is Level.ASK and not is_refused else (),
        goes_on_now=is_now,
    )


def _bisqued(piece: Piece, catalog: Catalog) -> Piece:
    """Greenware as it would be after the coolest bisque here, with its slips fired on."""
    cone = next((route.cone for route in catalog.routes_by_heat if route.kind is RouteKind.BISQUE), None)
    layers = piece.layers if cone is None else tuple(layer.fired(cone) for layer in piece.layers)
    return replace(piece, stage=Stage.BISQUED, layers=layers)


def _never_melts(verdict: Verdict, glaze: Glaze) -> tuple[Finding, ...]:
    """What says that the piece never stands the heat which matures this glaze: no approval changes that.

    It tells the limit of the piece and no firing, since none is hot enough and cool enough.
    """
    return tuple(
        Finding(Level.REFUSE, _past_its_limit(glaze, one.remedy), source=one.source)
        for one in verdict.of(Level.ASK)
        if one.rule == _UNDERFIRED
        and one.remedy
        and one.remedy["hotter"] in NEVER_SO_HOT
        and _is_about(one.message, glaze)
    )


def as_it_is_now(found: Sequence[Finding], piece: Piece, glaze: Glaze, catalog: Catalog) -> tuple[Finding, ...]:
    """What is found against a coat that isn't on the piece yet: nothing comes off that nobody put on.

    A slip that is on the piece already is told of as it lies there, without the coat that would go over it.
    """
    if not any(one.rule == SLIP_ON_FIRED_CLAY for one in found):
        return tuple(found)
    before = judge_layers_in(catalog, piece).findings if piece.layers else ()
    return tuple(next((old for old in before if old == one), None) or _left_off(one, glaze) for one in found)


def _left_off(one: Finding, glaze: Glaze) -> Finding:
    """The same with the coat left off as its way out, where it is a slip that would have to be washed off."""
    if one.rule != SLIP_ON_FIRED_CLAY or glaze.coat not in CLAYS_IN_COATS:
        return one
    if one.remedy is None or one.remedy["is"] not in WASHED_OFF:
        return one
    return replace(one, way_out=Message("leave-slip-off", _LEAVE_OFF, glaze=glaze.name))


_LEAVE_OFF = for_staff(
    _("Leave {glaze} off, or ask staff to accept the risk."), _("Leave {glaze} off, or accept the risk.")
)


def _past_its_limit(glaze: Glaze, remedy: Message) -> Message:
    """What heat a glaze needs, and how hot the clay or the layers that are on a piece may go."""
    whose = "clay" if str(remedy["hotter"]).startswith("clay") else "layer"
    words = Choice(
        "whose",
        {
            "clay": _("{glaze} needs {low}. {clay} only goes to {top}."),
            "layer": _("{glaze} needs {low}. Another layer only goes to {top}."),
        },
    )
    told = {"clay": remedy["clay"], "top": remedy["top"]}
    return Message(_UNDERFIRED, words, glaze=glaze.name, low=glaze.cone_low, whose=whose, **told)


def _is_about(message: Message, glaze: Glaze) -> bool:
    """Whether this glaze is among those that a message says need more heat."""
    needs = message["glazes"]
    return isinstance(needs, tuple) and any(isinstance(one, Message) and one["glaze"] == glaze.name for one in needs)


def _open_to(piece: Piece, catalog: Catalog) -> tuple[str, ...]:
    """The firings that take a glazed piece as it is, by their titles; none of a piece without glaze."""
    if not piece.has_glaze:
        return ()
    routes = (route for route in catalog.glazed_routes if piece.may_wait_for(route))
    return tuple(route.title for route in routes if judge_in(catalog, piece, route).level < Level.ASK)


def _why_not(glaze: Glaze, verdict: Verdict) -> tuple[Finding, ...]:
    """Why a glaze can't go on, in what belongs under its heading.

    Where the heat is against it, nothing can be washed off yet: one picks another glaze.
    """
    return tuple(
        replace(one, message=_first_sort(glaze, one.message), way_out=None) if _is_of_heat(one) else one
        for one in verdict.of(Level.REFUSE)
    )


def _first_sort(glaze: Glaze, refused: Message) -> Message:
    """The same with those reasons alone that are told under the heading of the first."""
    reasons = _reasons_in(refused)
    alike = tuple(one for one in reasons if _heading(glaze, one) is _heading(glaze, reasons[0]))
    return refused if alike == reasons else Message(refused.code, refused.template, reasons=Sentences(alike))


def _is_of_heat(one: Finding) -> bool:
    return one.rule == NO_ROUTE_LEFT or _ABOUT.get(one.rule) == "heat"


_BURNS_AWAY = Message("burns-away-in-any-firing", _("burns off in any firing"))
_NOTHING_STAYS = Message("nothing-stays", _("leaves nothing on the piece"))


def cones_of(glaze: Glaze | Clay) -> Message:
    """The heats that a glaze or a clay is made for."""
    return Message("cones", "{cones}", cones=ConeRange(glaze.cone_low, glaze.cone_high))


def _facts(glaze: Glaze) -> tuple[Message, ...]:
    """What to know before one reaches for it: color, surface, what sort of coat, and how it behaves."""
    color = (Message("color", "{color}", color=glaze.color),) if glaze.color else ()
    surface = (Message("surface", "{surface}", surface=glaze.surface),) if glaze.surface else ()
    coat = () if glaze.coat is Coat.GLAZE else (Message("coat", "{coat}", coat=glaze.coat),)
    traits = tuple(words for trait, words in _TRAITS.items() if trait in glaze.traits)
    return (*color, *surface, *coat, *traits)


def _applied_by(glaze: Glaze) -> Message | None:
    return (
        Message("applied-by", _("Apply by {ways}."), ways=Either(tuple(sorted(glaze.goes_on))))
        if glaze.goes_on
        else None
    )
