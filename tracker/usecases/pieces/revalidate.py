"""What a change means for pieces that wait or are in a kiln: each is judged again, and none stays where it is unfit.

A piece in a kiln that is being loaded leaves its queue and its load at once. In the kiln it still is: it is named with
its kiln, and that kiln cannot be started until a person confirms that it is out, or until it is fit again. Nothing can
be taken out of a hot kiln: there it is said what to expect of each piece (see `in_hot_kilns`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import takewhile
from typing import cast

from tracker.domain.findings import Approval, Finding, Level, Verdict
from tracker.domain.firing.firings import Caught, Firing, FiringStage, Leaving
from tracker.domain.firing.mixed_loads import own_route
from tracker.domain.message import Fact, Message, Plural, _, together
from tracker.domain.pieces.history import HistoryLine
from tracker.domain.pieces.piece import STEPS, WISHED_AT, Piece, Stage, StepName
from tracker.domain.refusals import Unusable
from tracker.domain.rules.engine import judge, judge_in
from tracker.domain.rules.kiln import OPEN_QUESTION
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Route
from tracker.store.pieces.queries import PieceRow
from tracker.store.pieces.wish_book import KeptWish
from tracker.store.queries import Queries
from tracker.store.rules.queries import QuestionRow
from tracker.store.unit_of_work import Change
from tracker.usecases.pieces.in_hot_kilns import catch, let_go, needs_less_heat, told_of_hot_kilns
from tracker.usecases.pieces.moved import Moved

_MOST_NAMED = 12
LEFT_A_QUEUE = "left-by-the-catalog"
"""The code of a question about a piece that a change took out of its queue."""
OUT_OF_A_KILN = "out-by-the-catalog"
"""The code of a question about a piece in no queue that a change takes out of its kiln."""
LEFT_BY_DETAILS, OUT_BY_DETAILS = "left-by-its-details", "out-by-its-details"
"""The same for a piece whose own record was corrected."""
LEFT_FOR_A_LOOK, OUT_FOR_A_LOOK = "left-for-a-look", "out-for-a-look"
"""The same for a piece that the instructor wants to approve first, whoever made it."""
_LEFT_A_QUEUE = frozenset({LEFT_A_QUEUE, LEFT_BY_DETAILS, LEFT_FOR_A_LOOK})
EVERY_FIRING = 10_000
"""More than any studio has open at once."""


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


def would_move(reader: Queries, after: Catalog, at: datetime) -> tuple[Moved, ...]:
    """Which pieces would leave their queue or their kiln if `after` became the catalog."""
    return unfit_after(reader.catalog(), after, Standing.read(reader), reader.questions.leaves, at)


def unfit_after(
    before: Catalog,
    after: Catalog,
    standing: Standing,
    leaves_of: Callable[[int], Collection[Approval]],
    at: datetime,
) -> tuple[Moved, ...]:
    """The pieces that `after` refuses where they are, or about which it asks or warns of something nobody settled."""
    found = []
    for row in standing.rows:
        firing = standing.firings.get(row.firing_id or 0)
        moved = newly_unfit((before, row), (after, row), firing, leaves_of, at)
        if moved is not None:
            found.append(moved)
    return tuple(found)


def newly_unfit(
    was: tuple[Catalog, PieceRow],
    now: tuple[Catalog, PieceRow],
    firing: Firing | None,
    leaves_of: Callable[[int], Collection[Approval]],
    at: datetime,
) -> Moved | None:
    """What stands newly against a piece where it is, by the catalog and its row as they were and as they are now.

    A warning that was accepted stays so while it says no more than it did then.
    """
    before, row_before = was
    after, row = now
    row = replace(row, accepted=_still_accepted(was, now, firing, at))
    open_now = found_open(after, row, firing, leaves_of, at)
    if not open_now:
        return None
    settled = {one.message for one in found_open(before, row_before, firing, leaves_of, at)}
    is_hot = firing is not None and firing.is_hot
    # What is in a hot kiln is judged by nothing but that fire, and only what is new is told of it.
    new = [one for one in open_now if one.message not in settled or (one.level is Level.REFUSE and not is_hot)]
    return moved_by(replace(row, piece=row_before.piece), new, before, firing) if new else None


def _still_accepted(
    was: tuple[Catalog, PieceRow], now: tuple[Catalog, PieceRow], firing: Firing | None, at: datetime
) -> tuple[str, ...]:
    """The rules that warn and were accepted, but for those that now say more than anybody accepted."""
    accepted = now[1].accepted
    if not accepted:
        return ()
    known = _warned_of(*was, firing, at)
    more = {one.code for one in _warned_of(*now, firing, at) if not any(one.is_within(other) for other in known)}
    return tuple(rule for rule in accepted if rule not in more)


def _warned_of(catalog: Catalog, row: PieceRow, firing: Firing | None, at: datetime) -> tuple[Message, ...]:
    """What the rules warn of, accepted or not."""
    found = found_open(catalog, replace(row, accepted=()), firing, lambda _piece: (), at)
    return tuple(one.message for one in found if one.level is Level.WARN)


def moved_by(row: PieceRow, new: Iterable[Finding], before: Catalog, firing: Firing | None) -> Moved:
    """A piece with what is newly found against it: out of the queue it has in `before` and of its kiln, unless hot."""
    findings = tuple(sorted(new, key=lambda one: -one.level))
    kiln = firing.kiln.name if firing is not None else ""
    if firing is not None and firing.is_hot:
        return Moved(row, findings, kiln=kiln, firing=firing)
    return Moved(row, findings, before.routes[row.piece.route].title if row.piece.route else "", kiln)


def found_open(
    catalog: Catalog,
    row: PieceRow,
    firing: Firing | None,
    leaves_of: Callable[[int], Collection[Approval]],
    at: datetime,
) -> list[Finding]:
    """What is found against a piece in its queue and in its kiln that is neither accepted nor allowed.

    Of one in a hot kiln that fire alone counts: its queue is behind it.
    """
    piece = made_of(catalog, row.piece).at(at)
    found: list[Finding] = []
    if piece.route and not (firing is not None and firing.is_hot):
        route = catalog.routes[piece.route]
        found += _not_settled(judge_in(catalog, piece, route), route.name, row, leaves_of)
        if route.retired:
            message = Message("route-retired", _("{firing} isn't fired here anymore."), firing=route.title)
            remedy = Message("route-retired-remedy", _("Choose another firing."))
            found.append(Finding(Level.REFUSE, message, remedy, "the studio's firings"))
    if firing is not None:
        own, verdict = _in_its_kiln(catalog, piece, firing)
        found += _not_settled(verdict, own.name, row, leaves_of)
    return list(dict.fromkeys(found))


_NOT_HERE = "kiln-takes-it-no-more"


def _in_its_kiln(catalog: Catalog, piece: Piece, firing: Firing) -> tuple[Route, Verdict]:
    """The firing type of a piece in a firing, and what its rules say there as `catalog` has it all."""
    firing = replace(firing, kiln=catalog.kilns[firing.kiln.name])
    own = own_route(firing, piece, catalog)
    if own is None:
        route = catalog.routes[piece.route] if piece.route else firing.route
        words = _("{kiln} doesn't take {firing} pieces into firing {number} anymore.")
        facts = {"kiln": firing.kiln.name, "firing": route.title, "number": str(firing.id)}
        message = Message(_NOT_HERE, words, **facts)
        remedy = Message("kiln-takes-it-no-more-remedy", _("Keep it for another firing."))
        return route, Verdict((Finding(Level.REFUSE, message, remedy, "the studio's kilns"),))
    # That greenware is bone dry was said at the kiln's door; what is in the fire needs nobody's approval any more.
    piece = replace(piece, dry=True, supervised=piece.supervised and not firing.is_hot)
    return own, judge(piece, own.at(firing.target), catalog.practice, firing.kiln)


def made_of(catalog: Catalog, piece: Piece) -> Piece:
    """The same piece of the clay and glazes as `catalog` describes them."""
    layers = tuple(replace(layer, glaze=catalog.glazes[layer.glaze.name]) for layer in piece.layers)
    return replace(piece, clay=catalog.clays[piece.clay.name], layers=layers)


def _not_settled(
    verdict: Verdict, route: str, row: PieceRow, leaves_of: Callable[[int], Collection[Approval]]
) -> list[Finding]:
    # A question that is open was asked by somebody, not by the catalog.
    asks = [one for one in verdict.of(Level.ASK) if one.rule != OPEN_QUESTION]
    leaves = leaves_of(row.piece.id) if asks else ()
    return [
        *verdict.of(Level.REFUSE),
        *(one for one in asks if Approval(route, one.message) not in leaves),
        *(one for one in verdict.of(Level.WARN) if one.rule not in row.accepted),
    ]


def settle_waiting(change: Change, after: Catalog) -> tuple[Moved, ...]:
    """Before `after` becomes the catalog: pull back every piece it makes unfit, and hold each with a question.

    Must come first, since the heat guard lets no ceiling fall under a piece that waits for more. What is in a hot kiln
    stays there, kept apart.
    """
    read = change.read
    standing = Standing.read(read)
    moved = unfit_after(read.catalog(), after, standing, read.questions.leaves, change.request.at)
    _must_still_be_fired_there(moved)
    for one in moved:
        if one.firing is None:
            _pull_back(change, one)
        else:
            catch(change, one.row, one.firing, one.findings)
    _keep_apart(change, after, standing, {one.row.piece.id for one in moved})
    return moved


def _keep_apart(change: Change, after: Catalog, standing: Standing, moved: Collection[int]) -> None:
    """Keep apart what is right in its hot kiln, but couldn't wait in its queue anymore by the cones of `after`."""
    known = {one.piece_id for one in change.read.firings.caught()}
    for row in standing.rows:
        firing = standing.firings.get(row.firing_id or 0)
        if firing is None or not firing.is_hot or row.piece.id in moved or row.piece.id in known:
            continue
        if needs_less_heat(after, made_of(after, row.piece), firing):
            catch(change, row, firing, ())


def _must_still_be_fired_there(moved: Iterable[Moved]) -> None:
    """Refuse what would leave a piece in a hot kiln without a firing type: it could not be unloaded as what it is."""
    shut: dict[tuple[int, str], list[str]] = defaultdict(list)
    for one in moved:
        if one.firing is not None and any(found.rule == _NOT_HERE for found in one.findings):
            shut[one.firing.id, one.firing.kiln.name].append(one.row.ref)
    if shut:
        words = Plural(
            "count",
            "{kiln} is hot. Until firing {firing} is unloaded, it keeps the firing type of 1 piece in it: {pieces}.",
            "{kiln} is hot. Until firing {firing} is unloaded, it keeps the firing type of {count} pieces in it: "
            "{pieces}.",
        )
        raise Unusable(
            [
                Message(
                    "unfit-in-a-shut-kiln", words, kiln=kiln, firing=str(number), count=len(refs), pieces=some(refs)
                )
                for (number, kiln), refs in shut.items()
            ],
            Message("unload-that-firing", _("Save this change again once that firing is unloaded.")),
        )


def _pull_back(change: Change, moved: Moved) -> None:
    """Take a piece out of its queue and its load, with a question for the instructor; in its kiln it must not stay."""
    row = moved.row
    # What the rules refuse is nobody's to allow, so that question asks about no route.
    about = None if moved.is_refused else row.piece.route
    question = change.questions.ask(row.piece.id, about, _question(moved), moved.findings)
    send_out(change, moved, question)


def _question(moved: Moved) -> Message:
    if moved.queue:
        words = _("A change to the catalog, a test or a setting took the piece out of the {firing} queue: {why}")
        return Message(LEFT_A_QUEUE, words, firing=moved.queue, why=moved.why)
    words = _("After a change to the catalog, a test or a setting, the piece must come out of {kiln}: {why}")
    return Message(OUT_OF_A_KILN, words, kiln=moved.kiln, why=moved.why)


def send_out(change: Change, moved: Moved, question: int | None, *, edits: int = 0) -> None:
    """Take a piece out of its queue and its load, and keep on record that it is still in the kiln it was loaded into.

    `question` is the number of the one that it got for this, None where it got none; `edits` is how often the piece
    itself is changed for the same reason afterwards.
    """
    row, piece = moved.row, moved.row.piece
    after = piece.take(StepName.PULL_BACK) if piece.route else piece
    if row.firing_id is not None:
        change.book.must_leave(
            Leaving(
                piece_id=piece.id,
                firing_id=row.firing_id,
                findings=moved.findings,
                version=after.version + edits,
                queue_route=piece.route,
                waiting_since=row.waiting_since,
                accepted=row.accepted,
                question_id=question,
            )
        )
    if piece.route:
        line = HistoryLine(
            step=StepName.PULL_BACK,
            route=piece.route,
            verdict=Verdict(moved.findings),
            facts={"why": moved.why},
        )
        change.save(piece, after, line)


def still_in_a_kiln(reader: Queries) -> tuple[tuple[Piece, Firing], ...]:
    """Every piece that must come out of a kiln and is not confirmed to be out, with the firing of that kiln."""
    return tuple(
        (piece, firing)
        for one in reader.firings.leaving()
        if (piece := reader.pieces.piece(number=one.piece_id)) is not None
        and (firing := reader.firings.firing(one.firing_id)) is not None
    )


def fit_again(change: Change) -> tuple[Moved, ...]:
    """Put every piece that must leave a kiln, but is still there and fit again, back into its queue and its load.

    Fit is what has nothing against it that is not settled, and that nothing has been done with since. Its question is
    taken back unless it has been answered. The same for what is in a hot kiln.
    """
    back = [*right_again(change)]
    for one in change.read.firings.leaving():
        row = change.read.pieces.row(number=one.piece_id)
        firing = change.read.firings.firing(one.firing_id)
        if row is None or firing is None or row.piece.version != one.version:
            continue
        stage = Stage.QUEUED if one.queue_route else row.piece.stage
        waits = replace(row.piece, route=one.queue_route, stage=stage)
        seen = replace(row, piece=waits, accepted=one.accepted)
        if found_open(change.catalog, seen, firing, change.read.questions.leaves, change.request.at):
            continue
        own, verdict = _in_its_kiln(change.catalog, waits.at(change.request.at), firing)
        if declined(change.read, one.piece_id, own.name, verdict.findings):
            continue
        _put_back(change, row.piece, one, firing)
        back.append(Moved(row, one.findings, kiln=firing.kiln.name))
    return tuple(back)


def right_again(change: Change) -> Iterator[Moved]:
    """Put every piece that is right in its hot kiln after all back into its queue and its load; gives those told of."""
    for one in change.read.firings.caught():
        row = change.read.pieces.row(number=one.piece_id)
        firing = change.read.firings.firing(one.firing_id)
        if row is None or firing is None:
            continue
        now = found_open(change.catalog, row, firing, change.read.questions.leaves, change.request.at)
        still = tuple(found for found in one.findings if found in now)
        if still != one.findings:
            change.book.expect(one.piece_id, still)
        if not still and not needs_less_heat(change.catalog, row.piece, firing):
            let_go(change, one, row.piece, firing)
        if one.findings and not still:
            yield Moved(row, one.findings, kiln=firing.kiln.name, firing=firing)


def out_of_a_hot_kiln(change: Change, one: Caught, row: PieceRow, firing: Firing) -> tuple[Moved, ...]:
    """What becomes of a piece that was kept apart in a kiln that was never started, or that it was never in.

    `firing` is that kiln's as it is now: where it is loaded, the piece must come out of it unless it is fit. `row` is
    the piece as it was in there.
    """
    loading = firing if firing.stage is FiringStage.LOADING else None
    found = found_open(change.catalog, row, loading, change.read.questions.leaves, change.request.at)
    if not found and loading is not None:
        let_go(change, one, row.piece, loading)
    elif not found and row.piece.route is not None:
        change.stand_in_line(row.piece, one.waiting_since or change.request.at, one.accepted)
    if not found:
        return ()
    moved = moved_by(row if loading else replace(row, firing_id=None), found, change.catalog, loading)
    _pull_back(change, moved)
    return (moved,)


def fit_to_queue(change: Change) -> tuple[Moved, ...]:
    """Take back each question about a piece that a change took out of its queue, once it is fit for that queue again.

    The piece may have been put anywhere since, so a person puts it back in its queue, which stays on record as asked
    for. Warnings are accepted there.
    Given are those that can still be put back: neither lost nor picked up, in the layers they left it with, and without
    a question that stays since it was answered once.
    """
    found = []
    for question in change.read.questions.open():
        row, route = change.read.pieces.row(number=question.piece_id), queue_left(change.read, question)
        if row is None or row.leaving_id is not None or row.piece.stage is Stage.QUEUED or route is None:
            continue
        verdict = judge_in(change.catalog, made_of(change.catalog, row.piece).at(change.request.at), route)
        settled = replace(row, accepted=tuple(one.rule for one in verdict.of(Level.WARN)))
        is_open = _not_settled(verdict, route.name, settled, change.read.questions.leaves)
        if not route.retired and not is_open and not set(question.findings) & set(verdict.findings):
            is_gone = change.questions.take_back(question.id)
            if is_gone and _could_go_back(change.read, row.piece, route):
                if row.wish is None and row.piece.stage in WISHED_AT:
                    by, at = change.request.by.id, change.request.at
                    change.wishes.put_back(row.piece.id, KeptWish(route=route.name, by_id=by, at=at))
                found.append(Moved(row, question.findings, queue=route.title))
    return tuple(found)


def waited_since(reader: Queries, piece: Piece, route: Route) -> datetime | None:
    """Since when a piece waited in this queue, where a change took it out and it is as it left; else None."""
    left = reader.pieces.last_of_step(piece.id, StepName.PULL_BACK)
    if left is None or left.route != route.name or "why" not in left.facts:
        return None
    history = reader.pieces.page(piece.id).history
    before, since = ([one for one in history if (one.id > left.id) is is_after] for is_after in (False, True))
    if any(one.step in _NEW_LAYERS | {StepName.QUEUE} for one in since):
        return None
    queued = next((one for one in reversed(before) if one.step is StepName.QUEUE), None)
    return None if queued is None else cast("datetime", queued.facts.get("waits_since", queued.at))


_NEW_LAYERS = frozenset({StepName.GLAZE, StepName.DECORATE, StepName.WASH_OFF, StepName.NOT_WAXED})


def _could_go_back(reader: Queries, piece: Piece, route: Route) -> bool:
    """Whether a piece can be queued again as it left this queue, with the layers that it had then."""
    if piece.stage not in STEPS[StepName.QUEUE].start or not piece.may_wait_for(route):
        return False
    since = takewhile(lambda line: line.step is not StepName.PULL_BACK, reversed(reader.pieces.page(piece.id).history))
    return not any(line.step in _NEW_LAYERS for line in since)


def is_note_to_decide(question: QuestionRow) -> bool:
    """Whether a change of the catalog left this question, so that nobody asked it."""
    return question.text.code in _LEFT_A_QUEUE | {OUT_OF_A_KILN, OUT_BY_DETAILS, OUT_FOR_A_LOOK}


def queue_left(reader: Queries, question: QuestionRow) -> Route | None:
    """The firing type whose queue a piece left by the change that asked this question; None where none did."""
    if question.text.code not in _LEFT_A_QUEUE:
        return None
    pulls = [line for line in reader.pieces.page(question.piece_id).history if line.step is StepName.PULL_BACK]
    # The change that asked took the piece out in the same moment; an answer taken back asks again long after.
    left = next((line.route for line in reversed(pulls) if line.at == question.asked_at), None)
    return reader.catalog().routes.get(left or "")


def _put_back(change: Change, piece: Piece, one: Leaving, firing: Firing) -> None:
    after = piece
    if one.queue_route:
        after = replace(piece.take(StepName.QUEUE), route=one.queue_route)
        line = HistoryLine(
            step=StepName.QUEUE,
            route=one.queue_route,
            kiln=firing.kiln.name,
            firing_id=firing.id,
            accepted=one.accepted,
            facts={"waits_since": one.waiting_since},
        )
        change.save(piece, after, line, waits_since=one.waiting_since)
    change.book.put_in(firing, after)
    change.book.must_leave_no_more(piece.id)
    if one.question_id is not None:
        change.questions.take_back(one.question_id)


def declined(reader: Queries, piece_id: int, route: str, found: Collection[Finding]) -> tuple[Finding, ...]:
    """That the instructor's last answer about a piece on this route was no, as a finding; none where it was not."""
    return no_of(reader.questions.of_piece(piece_id), route, found)


def no_of(questions: Iterable[QuestionRow], route: str, found: Collection[Finding]) -> tuple[Finding, ...]:
    """The instructor's no among the questions on a piece, where it is their last word about this route.

    A no to a question about certain findings counts only while one of them is `found` again.
    """
    answered = [one for one in questions if one.answered_at is not None and one.route == route]
    last = max(answered, key=lambda one: (one.answered_at, one.id), default=None)
    if last is None or last.allows or (last.findings and not set(last.findings) & set(found)):
        return ()
    message = Message("instructor-declined", _("Declined by the instructor: “{reason}”"), reason=last.answer)
    remedy = Message("instructor-declined-remedy", _("Choose another firing, or ask again."))
    return (Finding(Level.ASK, message, remedy, "the instructor's answer"),)


def moves_of(moved: Iterable[Moved], *, is_done: bool = True) -> Message | None:
    """What left which queue, or would, what must come out of which kiln, and what to expect of which; None for nothing.

    "2 pieces left the Low-fire queue: K7R43 and HX5NA. Take K7R43 out of Round Hob now."
    """
    moved = tuple(moved)
    queues: dict[str, list[str]] = defaultdict(list)
    kilns: dict[str, list[str]] = defaultdict(list)
    for one in moved:
        if one.queue:
            queues[one.queue].append(one.row.ref)
        if one.kiln and one.firing is None:
            kilns[one.kiln].append(one.row.ref)
    code, words = ("left-a-queue", _LEFT) if is_done else ("would-leave-a-queue", _WOULD_LEAVE)
    told = [Message(code, words, count=len(refs), firing=firing, pieces=some(refs)) for firing, refs in queues.items()]
    told += [out_of(kiln, refs, is_done=is_done) for kiln, refs in kilns.items()]
    told += told_of_hot_kilns(moved)
    return together(told) if told else None


def leaves_any(moved: Iterable[Moved]) -> bool:
    """Whether a piece leaves its queue or its kiln; what is in a hot kiln stays there."""
    return any(one.firing is None for one in moved)


_LEFT = Plural(
    "count", "1 piece left the {firing} queue: {pieces}.", "{count} pieces left the {firing} queue: {pieces}."
)
_WOULD_LEAVE = Plural(
    "count",
    "1 piece would leave the {firing} queue: {pieces}.",
    "{count} pieces would leave the {firing} queue: {pieces}.",
)


def out_of(kiln: str, refs: Iterable[str], *, is_done: bool = True) -> Message:
    """Which pieces must come out of a kiln, each by name, or would have to."""
    if is_done:
        return Message("take-out-now", _("Take {pieces} out of {kiln} now."), pieces=tuple(refs), kiln=kiln)
    words = _("You would have to take {pieces} out of {kiln}.")
    return Message("would-take-out", words, pieces=tuple(refs), kiln=kiln)


def stays_of(back: Iterable[Moved]) -> Message | None:
    """Which pieces are fit again and stay in which kiln; None where none is."""
    kilns: dict[str, list[str]] = defaultdict(list)
    for one in back:
        kilns[one.kiln].append(one.row.ref)
    words = Plural(
        "count",
        "{pieces} passes the check again and stays in {kiln}.",
        "{pieces} pass the check again and stay in {kiln}.",
    )
    told = [Message("fit-again", words, kiln=kiln, pieces=tuple(refs), count=len(refs)) for kiln, refs in kilns.items()]
    return together(told) if told else None


def to_queue_of(fit: Iterable[Moved]) -> Message | None:
    """Which pieces are out of which queue and fit for it again; None where none is."""
    queues: dict[str, list[str]] = defaultdict(list)
    for one in fit:
        queues[one.queue].append(one.row.ref)
    words = Plural(
        "count",
        "1 piece is fit for {firing} again: {pieces}. Put it back in the queue.",
        "{count} pieces are fit for {firing} again: {pieces}. Put them back in the queue.",
    )
    told = [
        Message("fit-to-queue", words, firing=firing, count=len(refs), pieces=some(refs))
        for firing, refs in queues.items()
    ]
    return together(told) if told else None


def some(refs: Sequence[str]) -> tuple[Fact, ...]:
    """The first few of many pieces, and how many more there are."""
    more = len(refs) - _MOST_NAMED
    named = tuple(refs[:_MOST_NAMED])
    return (*named, Message("more", _("{count} more"), count=more)) if more > 0 else named
