"""What a changed catalogue means for pieces that wait or stand in a kiln: each is judged anew, none stays unfit."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from tracker.domain.findings import Approval, Finding, Level, Verdict
from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Fact, Message, Plural, _, together
from tracker.domain.pieces.history import HistoryLine
from tracker.domain.pieces.piece import StepName
from tracker.domain.refusals import Unusable
from tracker.domain.rules.engine import judge, judge_in
from tracker.domain.rules.kiln import OPEN_QUESTION

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
    from datetime import datetime

    from tracker.domain.firing.firings import Firing
    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.catalog import Catalogue
    from tracker.store.pieces.queries import PieceRow
    from tracker.store.queries import Queries
    from tracker.store.unit_of_work import Change

_MOST_NAMED = 12
EVERY_FIRING = 10_000
"""More than any studio has open at once."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A piece that a change of the catalogue takes out of its queue or its kiln, and what is found against it."""

    row: PieceRow
    place: Message
    findings: tuple[Finding, ...]

    @property
    def why(self) -> Message:
        """What the worst finding says."""
        return self.findings[0].message

    @property
    def is_refused(self) -> bool:
        """Whether the rules refuse it where it is, so that nobody could allow it."""
        return self.findings[0].level is Level.REFUSE


@dataclass(frozen=True, slots=True)
class Standing:
    """Everything that waits or stands in a kiln: its rows, and the open firings by their numbers."""

    rows: tuple[PieceRow, ...]
    firings: Mapping[int, Firing]

    @classmethod
    def read(cls, reader: Queries) -> Standing:
        """What waits and what is loaded now."""
        numbers = [row.id for row in reader.firings.listed(limit=EVERY_FIRING)]
        firings = {number: firing for number in numbers if (firing := reader.firings.firing(number)) is not None}
        waiting = reader.pieces.waiting()
        known = {row.piece.id for row in waiting}
        bisque = [one for firing in firings.values() for one in firing.piece_ids if one not in known]
        return cls((*waiting, *(reader.pieces.by_ids(bisque) if bisque else ())), firings)


def would_move(reader: Queries, after: Catalogue, at: datetime) -> tuple[Moved, ...]:
    """Which pieces would leave their queue or their kiln if `after` became the catalogue."""
    return unfit_after(reader.catalogue(), after, Standing.read(reader), reader.questions.leaves, at)


def unfit_after(
    before: Catalogue,
    after: Catalogue,
    standing: Standing,
    leaves_of: Callable[[int], Collection[Approval]],
    at: datetime,
) -> tuple[Moved, ...]:
    """The pieces that `after` refuses where they are, or about which it asks or warns of something nobody settled."""
    found = []
    for row in standing.rows:
        firing = standing.firings.get(row.firing_id or 0)
        open_now = _open(after, row, firing, leaves_of, at)
        if not open_now:
            continue
        settled = {one.message for one in _open(before, row, firing, leaves_of, at)}
        # Behind a shut door nothing is asked or warned of any more: only what nobody may allow still counts.
        is_shut = firing is not None and firing.stage is not FiringStage.LOADING
        new = [one for one in open_now if one.level is Level.REFUSE or (not is_shut and one.message not in settled)]
        if new:
            found.append(Moved(row, _place(before, row), tuple(sorted(new, key=lambda one: -one.level))))
    return tuple(found)


def _open(
    catalogue: Catalogue,
    row: PieceRow,
    firing: Firing | None,
    leaves_of: Callable[[int], Collection[Approval]],
    at: datetime,
) -> list[Finding]:
    """What is found against a piece in its queue and in its kiln that is neither accepted nor allowed."""
    piece = _made_of(catalogue, row.piece).at(at)
    found: list[Finding] = []
    if piece.route:
        route = catalogue.routes[piece.route]
        found += _not_settled(judge_in(catalogue, piece, route), route.name, row, leaves_of)
        if route.retired:
            message = Message("route-retired", _("{firing} is no longer fired here."), firing=route.title)
            remedy = Message("route-retired-remedy", _("Choose another way of firing."))
            found.append(Finding(Level.REFUSE, message, remedy, "the studio's routes"))
    if firing is not None:
        way = catalogue.routes[firing.route.name].at(firing.target)
        # That greenware is bone dry was said at the kiln's door.
        at_the_door = judge(replace(piece, dry=True), way, catalogue.practice, catalogue.kilns[firing.kiln.name])
        found += _not_settled(at_the_door, way.name, row, leaves_of)
    return list(dict.fromkeys(found))


def _made_of(catalogue: Catalogue, piece: Piece) -> Piece:
    """The same piece of the clay and glazes as `catalogue` describes them."""
    layers = tuple(replace(layer, glaze=catalogue.glazes[layer.glaze.name]) for layer in piece.layers)
    return replace(piece, clay=catalogue.clays[piece.clay.name], layers=layers)


def _not_settled(
    verdict: Verdict, route: str, row: PieceRow, leaves_of: Callable[[int], Collection[Approval]]
) -> list[Finding]:
    # A question that is open was asked by somebody, not by the catalogue.
    asks = [one for one in verdict.of(Level.ASK) if one.rule != OPEN_QUESTION]
    leaves = leaves_of(row.piece.id) if asks else ()
    return [
        *verdict.of(Level.REFUSE),
        *(one for one in asks if Approval(route, one.message) not in leaves),
        *(one for one in verdict.of(Level.WARN) if one.rule not in row.accepted),
    ]


def _place(catalogue: Catalogue, row: PieceRow) -> Message:
    if row.piece.route:
        return Message("the-queue", _("the {firing} queue"), firing=catalogue.routes[row.piece.route].title)
    return Message("the-kiln-of", _("the kiln of firing {firing}"), firing=str(row.firing_id))


def settle_waiting(change: Change, after: Catalogue) -> tuple[Moved, ...]:
    """Before `after` becomes the catalogue: pull back every piece it makes unfit, and hold each with a question.

    Must come first, since the heat guard lets no ceiling fall under a piece that waits for more.
    """
    read = change.read
    standing = Standing.read(read)
    moved = unfit_after(read.catalogue(), after, standing, read.questions.leaves, change.request.at)
    _must_be_within_reach(moved, standing)
    for one in moved:
        _pull_back(change, one)
    return moved


def _must_be_within_reach(moved: Iterable[Moved], standing: Standing) -> None:
    """Refuse what would take a piece out of a kiln whose door is shut: nobody can, before it is unloaded."""
    shut: dict[int, list[str]] = defaultdict(list)
    for one in moved:
        firing = standing.firings.get(one.row.firing_id or 0)
        if firing is not None and firing.stage is not FiringStage.LOADING:
            shut[firing.id].append(one.row.ref)
    if shut:
        words = Plural(
            "count",
            "1 piece in the shut kiln of firing {firing} would no longer be fit for it: {pieces}.",
            "{count} pieces in the shut kiln of firing {firing} would no longer be fit for it: {pieces}.",
        )
        raise Unusable(
            [
                Message("unfit-in-a-shut-kiln", words, firing=str(number), count=len(refs), pieces=_some(refs))
                for number, refs in shut.items()
            ],
            Message("unload-that-firing", _("Unload that firing first, and change the catalogue then.")),
        )


def _pull_back(change: Change, moved: Moved) -> None:
    piece = moved.row.piece
    if moved.row.firing_id is not None:
        change.book.take_out(moved.row.firing_id, [piece.id])
    if piece.route:
        after = piece.take(StepName.PULL_BACK)
        line = HistoryLine(
            step=StepName.PULL_BACK,
            start=piece.stage,
            to=after.stage,
            route=piece.route,
            verdict=Verdict(moved.findings),
            facts={"why": moved.why},
        )
        change.save(piece, after, line)
    # What the rules refuse is nobody's to allow, so that question asks about no route.
    about = None if moved.is_refused else piece.route
    words = _("The catalogue changed, and it left {place}: {why}")
    question = Message("left-by-the-catalogue", words, place=moved.place, why=moved.why)
    change.questions.ask(piece.id, about, question, moved.findings)


def moves_of(moved: Iterable[Moved], *, is_done: bool = True) -> Message | None:
    """What left which queue, or would: "2 pieces left the High-fire queue: K7R43 and HX5NA."; None where nothing."""
    places: dict[Message, list[str]] = defaultdict(list)
    for one in moved:
        places[one.place].append(one.row.ref)
    told = [
        Message(
            "left-a-place" if is_done else "would-leave-a-place",
            _LEFT if is_done else _WOULD_LEAVE,
            count=len(refs),
            place=place,
            pieces=_some(refs),
        )
        for place, refs in places.items()
    ]
    return together(told) if told else None


_LEFT = Plural("count", "1 piece left {place}: {pieces}.", "{count} pieces left {place}: {pieces}.")
_WOULD_LEAVE = Plural(
    "count", "1 piece would leave {place}: {pieces}.", "{count} pieces would leave {place}: {pieces}."
)


def _some(refs: Sequence[str]) -> tuple[Fact, ...]:
    """The first few of many pieces, and how many more there are."""
    more = len(refs) - _MOST_NAMED
    named = tuple(refs[:_MOST_NAMED])
    return (*named, Message("more", _("{count} more"), count=more)) if more > 0 else named
