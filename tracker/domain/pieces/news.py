"""What a maker is told by mail of a piece: what waits for them, what became of what is lost, what is theirs now."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from tracker.domain.message import Choice, Message, _, together
from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.history import HistoryLine
from tracker.domain.pieces.losses import Loss, cause_of
from tracker.domain.pieces.outcomes import came_out, in_order
from tracker.domain.pieces.piece import Piece, Stage, StepName

_BROKE = _(
    "Your {what} broke. We are sorry. It happens to everyone's work now and then. Ask shelf staff for the shards."
)
_IN_KILN = _(
    "Your {what} broke in the kiln. We are sorry. It happens to everyone's work now and then. "
    "Ask shelf staff for the shards."
)
_MISSING = _("We can't find your {what}. Staff are looking for it. If you have it, say so under My pieces.")
_DISCARDED = _("Your {what} was discarded. Ask shelf staff why.")
_LOST = _("Your {what} is lost. Ask shelf staff what happened.")
_BISQUED = _("Your {what} is out of the bisque. Its code is {code}. You can glaze it now.")
_READY = _("Your {what} is ready for pickup. Its code is {code}.")
_SHIVERED = _(
    "Your {what} came out shivered. Slivers of its glaze cut, so staff bag it and throw it away. "
    "Ask shelf staff about it."
)
_CUTS_LATER = _(
    "A flaw showed on your {what} {ref}: it shivered. Slivers of its glaze cut. "
    "Wear gloves and goggles. Bag it and throw it away."
)
_NOT_FOR_FOOD_LATER = _("A flaw showed on your {what} {ref}: it came out {flaws}. Don't eat or drink from it anymore.")
_REFUSED_LATER = _(
    "What is known of a glaze has changed: your {what} {ref} isn't safe for food. Don't eat or drink from it anymore."
)
_FOUND = _("We found your {what}. My pieces shows where it is.")
_PARTED_WITH = Choice(
    "goes",
    {
        Disposal.DONATE.value: _("Your {what} was left here, so it was donated. Ask shelf staff about it."),
        Disposal.KEEP.value: _("Your {what} was left here, so the studio keeps it. Ask shelf staff about it."),
    },
)
_GIVEN = _("{what:capital} {ref} is now under your name. My pieces shows where it is.")

_TO_GLAZE = _(
    "Your {what} has waited for its glaze since {since}. Its code is {ref}. "
    "Glaze it, or tell shelf staff that you don't want it."
)
_TOO_LONG = {
    Stage.GREENWARE.value: _(
        "Your {what} has been greenware since {since}. Its ticket number is {ref}. Once it's bone dry, "
        "put it with the pieces for the bisque, or tell shelf staff that you don't want it."
    ),
    Stage.BISQUED.value: _TO_GLAZE,
    Stage.WAXED.value: _TO_GLAZE,
    Stage.GLAZED.value: _(
        "Your {what} was glazed on {since} and isn't queued for a firing. Its code is {ref}. "
        "Its page says where to put it."
    ),
    Stage.FIRED.value: _(
        "Your {what} has been ready for pickup since {since}. Its code is {ref}. "
        "Pick it up, or tell shelf staff that you don't want it."
    ),
}

REMINDED_AT = frozenset(map(Stage, _TOO_LONG))
"""The stages at which a maker can do something about a piece that is there for too long. Queues are the staff's."""


def news_of(before: Piece, after: Piece, line: HistoryLine) -> Message | None:
    """What this step is to the piece's maker; None for nothing to write about."""
    told = [*_of_its_maker(before, after), *_of_its_stage(before, after, line)]
    return together(told) if told else None


def _of_its_maker(before: Piece, after: Piece) -> Iterator[Message]:
    if after.maker_id != before.maker_id:
        yield Message("news-given", _GIVEN, what=after.what, ref=after.ref)
        if after.stage is Stage.FIRED:
            yield ready_news(after)


def _of_its_stage(before: Piece, after: Piece, line: HistoryLine) -> Iterator[Message]:
    if after.stage is before.stage:
        yield from _of_later_flaws(before, after)
        return
    # What is found in the queue that it was lost from is found by the step that puts it there.
    if line.undoes is None and (line.step is StepName.FIND or "found" in line.facts):
        yield Message("news-found", _FOUND, what=after.what)
    if after.stage is Stage.FIRED:
        yield ready_news(after)
    elif line.step is StepName.BISQUE:
        yield Message("news-bisqued", _BISQUED, what=after.what, code=after.code)
    elif "goes" in line.facts:
        yield Message("news-parted-with", _PARTED_WITH, what=after.what, goes=line.facts["goes"])
    elif after.stage is Stage.LOST:
        told = loss_news(after.what, line.reason, in_kiln=line.firing_id is not None)
        yield from [] if told is None else [told]


def _of_later_flaws(before: Piece, after: Piece) -> Iterator[Message]:
    """What was found on a piece that its maker has: that it cuts, or holds no food from now on."""
    if after.stage is not Stage.CLAIMED:
        return
    if after.sheds_slivers and not before.sheds_slivers:
        yield Message("news-cuts", _CUTS_LATER, what=after.what, ref=after.ref)
    elif before.holds_food and not after.holds_food:
        flaws = came_out(in_order(after.spoilt_by))
        yield Message("news-no-food", _NOT_FOR_FOOD_LATER, what=after.what, ref=after.ref, flaws=flaws)


def recall_news(piece: Piece) -> Message:
    """That a piece which its maker has at home is refused for food by what is known now."""
    return Message("news-recalled", _REFUSED_LATER, what=piece.what, ref=piece.ref)


def ready_news(piece: Piece) -> Message:
    """That a piece can be picked up, or can't for its slivers."""
    if piece.sheds_slivers:
        return Message("news-shivered", _SHIVERED, what=piece.what)
    return Message("news-ready", _READY, what=piece.what, code=piece.code)


def reminder(stage: Stage, what: str, ref: str, since: date) -> Message:
    """That a piece has been at one of the stages `REMINDED_AT` since that day, and what its maker can do."""
    return Message("reminder", Choice("stage", _TOO_LONG), stage=stage, what=what, ref=ref, since=since)


def loss_news(what: str, reason: str, *, in_kiln: bool) -> Message | None:
    """What became of a piece that is lost for that reason; None for what was registered by mistake and never was."""
    if in_kiln:
        return Message("news-broke-in-kiln", _IN_KILN, what=what)
    cause = cause_of(reason)
    if cause in {Loss.CANCELED, Loss.TWICE}:
        return None
    told = {
        Loss.BROKEN: ("news-broke", _BROKE),
        Loss.MISSING: ("news-missing", _MISSING),
        Loss.DISCARDED: ("news-discarded", _DISCARDED),
    }
    code, words = told[cause] if isinstance(cause, Loss) else ("news-lost", _LOST)
    return Message(code, words, what=what)


def answer_news(what: str, answer: str, by: str) -> Message:
    """What somebody answered to a question about a piece."""
    words = _("{by} answered your question about the {what}: “{answer}”")
    return Message("news-answered", words, by=by, what=what, answer=answer)
