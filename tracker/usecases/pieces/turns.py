"""Whose turn it is with a piece, and which stages it has gone through."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tracker.domain.message import Message, _
from tracker.domain.outdoor.pull_heats import heat_of
from tracker.domain.pieces.outcomes import MENDED_BY_FIRE
from tracker.domain.pieces.piece import LINE, Stage, StepName

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import datetime

    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.catalog import Catalog
    from tracker.domain.studio.kilns import Route
    from tracker.domain.studio.people import Person
    from tracker.store.pieces.queries import PiecePage, PieceRow
    from tracker.store.queries import Queries
    from tracker.store.rules.queries import QuestionRow

_STILL_TO_FIRE = {Stage.GREENWARE, Stage.BISQUED, Stage.WAXED, Stage.GLAZED, Stage.QUEUED}


@dataclass(frozen=True, slots=True)
class Turn:
    """Who has to do the next thing with a piece, and what: `yours` when it is whoever reads it."""

    who: Message
    what: Message
    yours: bool = False

    @property
    def message(self) -> Message:
        """Both in one line; what is the reader's own is said without who."""
        if self.yours:
            return Message("your-turn", "{what:capital}", what=self.what)
        return Message("turn", "{who} {what}", who=self.who, what=self.what)


_YOURS = Message("your-turn-to", _("Your turn:"))
_MAKER = Message("waits-for-maker", _("Waiting for the maker"))
_STAFF = Message("waits-for-staff", _("Waiting for staff"))
_DONE = Message("done-with", _("Done."))
_LOST = Message("turn-lost", _("Lost."))
_DRYING = Turn(
    Message("waits-for-bisque", _("Waiting for the bisque firing.")),
    Message("drying", _("Keep its ticket with it on the greenware shelf until it's bone dry.")),
)
_TELL_OPENINGS = (
    Turn(_YOURS, Message("tell-openings", _("say whether it's open or closed.")), yours=True),
    Turn(_MAKER, Message("to-tell-openings", _("to say whether it's open or closed."))),
)
_TO_PICK_UP_OR_FIRE = Message("to-pick-up-or-fire", _("to pick it up or ask for a refire."))
_GLAZED_RAW = Turn(
    Message("glazed-raw-waits", _("Raw glaze on unfired clay:")),
    Message("to-fire-once", _("ask the instructor for a once-firing, or wash the glaze off.")),
)
_TURNS: dict[Stage, tuple[Turn, Turn]] = {
    Stage.GREENWARE: (_DRYING, _DRYING),
    Stage.BISQUED: (
        Turn(_YOURS, Message("wax-then-glaze", _("wax the foot, then glaze it.")), yours=True),
        Turn(_MAKER, Message("to-wax-then-glaze", _("to wax the foot, then glaze it."))),
    ),
    Stage.WAXED: (
        Turn(_YOURS, Message("glaze-it", _("glaze it.")), yours=True),
        Turn(_MAKER, Message("to-glaze-it", _("to glaze it."))),
    ),
    Stage.GLAZED: (
        Turn(_STAFF, Message("to-queue-your-piece", _("to queue it. Nothing for you to do now."))),
        Turn(_STAFF, Message("to-queue-it", _("to queue it."))),
    ),
    Stage.FIRED: (
        Turn(_YOURS, Message("fetch-it", _("pick it up from staff at the pickup shelf.")), yours=True),
        Turn(_MAKER, Message("to-fetch-it", _("to pick it up."))),
    ),
    Stage.CLAIMED: (
        Turn(_DONE, Message("you-took-it", _("You picked it up."))),
        Turn(_DONE, Message("maker-took-it", _("The maker picked it up."))),
    ),
    Stage.LOST: (
        Turn(
            _LOST,
            Message(
                "staff-finds-it", _("If it turns up, staff will mark it as found. Then it goes back to its last stage.")
            ),
        ),
        Turn(
            _LOST,
            Message("note-it-as-found", _("If it turns up, mark it as found. Then it goes back to its last stage.")),
        ),
    ),
}
"""What each stage waits for, told to its maker and to everybody else; a queue names its route."""


def turn_of(row: PieceRow, reader: Person, catalog: Catalog, declined: QuestionRow | None = None) -> Turn:
    """What a piece waits for, told to the person who reads it; `declined` is the no that it got last, if any."""
    piece, mine = row.piece, row.piece.maker_id == reader.id
    if row.firing_id is not None:
        words = _("It's in {kiln}, firing {firing}. Nothing to do until the kiln is unloaded.")
        return Turn(
            Message("in-the-kiln", _("In the kiln.")),
            Message("in-a-kiln", words, kiln=row.kiln, firing=str(row.firing_id)),
        )
    if row.leaving_id is not None:
        words = _("It's in {kiln}. A change made it unfit for firing {firing}. Take it out of the kiln.")
        return Turn(
            Message("must-come-out", _("Take out.")),
            Message("must-leave-firing", words, kiln=row.kiln, firing=str(row.leaving_id)),
        )
    if row.question_open and piece.stage in _STILL_TO_FIRE:
        return Turn(
            Message("waits-for-instructor", _("Waiting for the instructor")),
            Message("to-answer", _("to answer the question about it.")),
        )
    if piece.route is not None:
        route = catalog.routes[piece.route]
        who = Message("waits-for-firing", _("Waiting for {firing},"), firing=route.title)
        heat = heat_of(route, catalog.practice.outdoors)
        if mine:
            return Turn(who, Message("your-firing-to", _("{cone}. Nothing for you to do now."), cone=heat))
        return Turn(who, Message("firing-to-cone", _("{cone}."), cone=heat))
    no_to = catalog.routes.get(declined.route or "") if declined is not None else None
    for_maker, for_others = _by_stage(piece) if no_to is None else _after_a_no(no_to)
    return for_maker if mine else for_others


def _after_a_no(route: Route) -> tuple[Turn, Turn]:
    """What the instructor decided about a piece and what may be done with it now, told to its maker and to others."""
    words = _("the instructor said no to {firing}. Change the piece, or ask what would help.")
    to_others = _("to change it, or to ask what would help. The instructor said no to {firing}.")
    return (
        Turn(_YOURS, Message("change-it-or-ask", words, firing=route.title), yours=True),
        Turn(_MAKER, Message("maker-changes-it", to_others, firing=route.title)),
    )


def _by_stage(piece: Piece) -> tuple[Turn, Turn]:
    """What a piece waits for that waits in no queue and no kiln, told to its maker and to everybody else."""
    if piece.is_raw and piece.has_glaze:
        return _GLAZED_RAW, _GLAZED_RAW
    if piece.stage is Stage.GREENWARE and piece.vented is None:
        return _TELL_OPENINGS
    if piece.stage is Stage.FIRED and (flaws := tuple(one for one in piece.flaws if one in MENDED_BY_FIRE)):
        words = _("a refire may fix it (it's {flaws}). Ask staff for one, or pick it up at the pickup shelf.")
        asks = Message("ask-to-fire-again", words, flaws=flaws)
        return Turn(_YOURS, asks, yours=True), Turn(_MAKER, _TO_PICK_UP_OR_FIRE)
    return _TURNS[piece.stage]


def passed_stages(page: PiecePage) -> frozenset[str]:
    """The stages a piece has gone through since it last went back to an earlier one.

    What was glazed raw is glazed, though it stayed greenware until its one firing.
    """
    passed: list[Stage] = [Stage.GLAZED] if page.piece.has_glaze else []
    for line in page.history:
        if line.to in LINE:
            here = LINE.index(line.to)
            passed = [stage for stage in passed if LINE.index(stage) < here or stage is Stage.GLAZED] + [line.to]
    return frozenset(map(str, passed))


def declined_by(page: PiecePage) -> QuestionRow | None:
    """The last answer to a question for a firing, while it is a no and nothing was done with the piece since."""
    return noes_on([page.row], page.questions, {page.piece.id: page.history[-1].at}).get(page.piece.id)


def noes_of(reader: Queries, rows: Iterable[PieceRow]) -> dict[int, QuestionRow]:
    """The no that each of these pieces got last, by the number of the piece, while nothing was done with it since."""
    some = {row.piece.id: row for row in rows}
    answered = reader.questions.answered_on(some)
    return noes_on(some.values(), answered, reader.pieces.last_steps({one.piece_id for one in answered}))


def noes_on(
    rows: Iterable[PieceRow], questions: Iterable[QuestionRow], last_at: Mapping[int, datetime]
) -> dict[int, QuestionRow]:
    """The same out of the `questions` on the pieces; `last_at` is when the last step was taken with each piece."""
    still = {row.piece.id for row in rows if row.piece.route is None and not row.question_open and _may_be_fired(row)}
    answered = [
        (one.answered_at, one.id, one)
        for one in questions
        if one.piece_id in still and one.route is not None and one.answered_at is not None
    ]
    last = {one.piece_id: (at, one) for at, _number, one in sorted(answered, key=lambda each: each[:2])}
    return {piece: one for piece, (at, one) in last.items() if not one.allows and last_at[piece] <= at}


def _may_be_fired(row: PieceRow) -> bool:
    return row.piece.stage in _STILL_TO_FIRE


def loss_of(page: PiecePage) -> str:
    """Why a lost piece is lost, in a word or a few; empty for a piece that is not."""
    if page.piece.stage is not Stage.LOST:
        return ""
    causes = [line.reason for line in page.history if line.step is StepName.LOSE and line.reason]
    return causes[-1] if causes else "lost"
