"""Every way of firing, judged for a piece: what stands against it, whether it is open, and what would open it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from tracker.domain.cones import Cone
from tracker.domain.findings import Approval, Finding, Level, Verdict
from tracker.domain.firing.outlooks import Standing
from tracker.domain.message import Message, _
from tracker.domain.outdoor.pull_heats import pulled_at
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.pieces.piece import STEPS, Piece, Stage, StepName, Use
from tracker.domain.rules.engine import RULES, judge_in
from tracker.domain.rules.refire import MELTS_NOTHING, TOO_COOL, melts_nothing
from tracker.domain.rules.suggestions import Suggestion, suggestions
from tracker.domain.rules.untold import Untold, untold
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import RAW, Route, RouteKind
from tracker.domain.studio.materials import ClayKind
from tracker.store.rules.queries import QuestionRow
from tracker.usecases.pieces.pieces import Prospect, prospects
from tracker.usecases.pieces.revalidate import no_of

_OPEN_TO_A_QUEUE = STEPS[StepName.QUEUE].start


_ALLOWED = Message("allowed", _("The instructor approved it."))


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of firing, judged for a piece: what stands against it, and what may be done about it.

    `heat` is its cone, or the heat at which its ware is pulled. `kilns` names those that fire this way. `warnings` have
    to be accepted by name; `asks` wait for the instructor; `is_open` says that the piece may be queued here once the
    warnings are accepted. `untold` is what its rules need to know of the piece first. `would_open` holds each change
    after which nothing would stand against this way. `is_shut` where none can, whatever is
    washed off: its clay, or what was fired on it, never goes this way.
    """

    route: str
    name: str
    heat: Cone | Message
    verdict: str
    findings: tuple[Finding, ...]
    warnings: tuple[Finding, ...] = ()
    asks: tuple[Finding, ...] = ()
    is_open: bool = False
    is_pulled_hot: bool = False
    kilns: Message | None = None
    untold: tuple[Untold, ...] = ()
    would_open: tuple[Suggestion, ...] = ()
    is_shut: bool = False

    @property
    def idle(self) -> tuple[Finding, ...]:
        """What says that this firing melts nothing on the piece, or is too cool to mend its flaw."""
        return tuple(one for one in self.findings if one.rule in {TOO_COOL, MELTS_NOTHING})


def ways_for(
    ware: Piece | NewPiece,
    catalog: Catalog,
    leaves: Collection[Approval] = (),
    questions: Sequence[QuestionRow] = (),
) -> tuple[Way, ...]:
    """Every firing type for this ware, the kindest first.

    A way that the instructor declined, as `questions` on the piece tell, is closed.
    What would open a closed way is looked for of a piece, not of one that is only being planned.
    The bisque of raw clay comes first: where that is refused, no firing after it is open either.
    """
    first = _first_fire(ware, catalog, questions)
    unfired = _no_bisque(first)
    ways = [
        replace(
            _way(
                route,
                Verdict(
                    (
                        *no_of(questions, route.name, verdict.findings),
                        *verdict.findings,
                        *_idle(ware, route),
                        *(() if route.kind in RAW else unfired),
                    )
                ),
                leaves,
                ware,
                catalog,
            ),
            kilns=_kilns_for(route, catalog),
            would_open=() if isinstance(ware, NewPiece) else _would_open(ware, route, catalog),
            is_shut=isinstance(ware, Piece) and verdict.level is Level.REFUSE and _is_shut(ware, route, catalog),
        )
        for route, verdict in (*first, *prospects(catalog, ware))
    ]
    bisques = {route.name for route, _verdict in first}
    return tuple(sorted(ways, key=lambda way: (way.route not in bisques, *_kindest_first(way))))


def _kindest_first(way: Way) -> tuple[Level, bool, bool]:
    """What is clear comes before what has more to tell, and that before what is warned of; what mends nothing last."""
    level = Level.NOTE if way.verdict == "clear" else Level[way.verdict.upper()]
    return level, bool(way.idle), bool(way.untold)


def _idle(ware: Piece | NewPiece, route: Route) -> tuple[Finding, ...]:
    """The note that nothing on a piece melts in this firing; none for ware that is only being planned."""
    found = melts_nothing(ware, route) if isinstance(ware, Piece) else None
    return () if found is None else (found,)


def standing_of(
    piece: Piece, catalog: Catalog, leaves: Collection[Approval] = (), questions: Sequence[QuestionRow] = ()
) -> Standing:
    """Whether some firing takes a piece as it is: for greenware the bisque, else what it may wait for."""
    if piece.stage is Stage.GREENWARE:
        bisques = [route for route in catalog.routes_by_heat if route.kind is RouteKind.BISQUE]
        judged = [(route, judge_in(catalog, piece, route)) for route in bisques]
    else:
        judged = [(route, verdict) for route, verdict in prospects(catalog, piece) if piece.may_wait_for(route)]
    levels = [_level(route, verdict, leaves, questions) for route, verdict in judged]
    least = min(levels, default=Level.REFUSE)
    return Standing.OPEN if least < Level.ASK else Standing.ASK if least is Level.ASK else Standing.SHUT


def may_be_mended(piece: Piece, catalog: Catalog) -> bool:
    """Whether some firing that the rules let a flawed piece go in is hot enough to mend its flaws."""
    return any(
        verdict.level < Level.REFUSE and piece.beyond(route.cone).isdisjoint(piece.flaws)
        for route, verdict in prospects(catalog, piece)
    )


def _level(route: Route, verdict: Verdict, leaves: Collection[Approval], questions: Sequence[QuestionRow]) -> Level:
    """The worst that stands against a way of firing, once what was allowed and what was declined is counted in."""
    found = (*no_of(questions, route.name, verdict.findings), *verdict.findings)
    return max((_settled(one, route, leaves).level for one in found), default=Level.NOTE)


def _first_fire(ware: Piece | NewPiece, catalog: Catalog, questions: Sequence[QuestionRow]) -> tuple[Prospect, ...]:
    """The bisque for greenware that is not simply waiting for it: what stands in its way is asked or put right now.

    For raw clay that is only being planned it is told in any case.
    """
    is_planned = isinstance(ware, NewPiece)
    if ware.arrives_bisqued if isinstance(ware, NewPiece) else ware.stage is not Stage.GREENWARE:
        return ()
    bare = ware.as_ware(catalog.clay(ware.clay)) if isinstance(ware, NewPiece) else ware
    bisques = [route for route in catalog.routes_by_heat if route.kind is RouteKind.BISQUE]
    judged = [(route, judge_in(catalog, bare, route)) for route in bisques]
    return tuple(
        (route, verdict)
        for route, verdict in judged
        if is_planned
        or verdict.level > Level.NOTE
        or no_of(questions, route.name, verdict.findings)
        or untold(bare, route, catalog.practice, is_thin=True)
    )


def _no_bisque(first: Sequence[Prospect]) -> tuple[Finding, ...]:
    """What keeps ware out of every firing after the bisque, where each bisque refuses it."""
    if not first or any(verdict.level < Level.REFUSE for _route, verdict in first):
        return ()
    return (Finding(Level.REFUSE, Message("no-bisque", _("No bisque takes it as it is."))),)


def _kilns_for(route: Route, catalog: Catalog) -> Message:
    """The kilns in use that fire this way."""
    kilns = tuple(kiln.name for kiln in catalog.kilns.values() if kiln.serves(route) and not kiln.retired)
    if not kilns:
        return Message("no-kiln-for-it", _("no kiln here fires it"))
    return Message("fired-in", _("in {kilns}"), kilns=kilns)


def _would_open(piece: Piece, route: Route, catalog: Catalog) -> tuple[Suggestion, ...]:
    """What to change about the piece for this way; the other ways stand beside it on the page."""
    return tuple(one for one in suggestions(piece, route, catalog) if one.route.name == route.name)


_OF_MATERIALS = frozenset(rule.name for rule in RULES if rule.of_materials)


def _is_shut(piece: Piece, route: Route, catalog: Catalog) -> bool:
    """Whether this way refuses what a piece is made of even without its raw layers, and as decorative ware.

    Of a clay that nobody knows that can't be said.
    """
    if piece.clay.kind is ClayKind.UNKNOWN:
        return False
    fired = tuple(one for one in piece.layers if one.fired_to is not None)
    found = judge_in(catalog, replace(piece, layers=fired, use=Use.DECORATIVE), route).of(Level.REFUSE)
    return any(one.rule in _OF_MATERIALS for one in found)


def _way(route: Route, verdict: Verdict, leaves: Collection[Approval], ware: Piece | NewPiece, catalog: Catalog) -> Way:
    settled = Verdict(tuple(sorted((_settled(one, route, leaves) for one in verdict.findings), key=_worst_first)))
    fits = isinstance(ware, Piece) and ware.stage in _OPEN_TO_A_QUEUE and ware.may_wait_for(route)
    judged = ware if isinstance(ware, Piece) else ware.as_ware(catalog.clay(ware.clay))
    # A wall is looked at by whoever loads the kiln.
    missing = untold(judged, route, catalog.practice, is_thin=True)
    return Way(
        route=route.name,
        name=route.title,
        heat=pulled_at(route.kind, catalog.practice.outdoors) if route.is_pulled_hot else route.cone,
        verdict=settled.word,
        findings=_worth_saying(settled),
        warnings=settled.of(Level.WARN),
        asks=settled.of(Level.ASK),
        is_open=fits and not missing and settled.level < Level.ASK,
        untold=missing,
        is_pulled_hot=route.is_pulled_hot,
    )


def _worth_saying(verdict: Verdict) -> tuple[Finding, ...]:
    """What a reader needs: of a way that is closed only what closes it."""
    return verdict.of(Level.REFUSE) or verdict.findings


def _settled(finding: Finding, route: Route, leaves: Collection[Approval]) -> Finding:
    """The same finding, as a note once the instructor has given leave."""
    if finding.level is not Level.ASK or Approval(route.name, finding.message) not in leaves:
        return finding
    return replace(finding, level=Level.NOTE, way_out=_ALLOWED)


def _worst_first(finding: Finding) -> int:
    return -finding.level
