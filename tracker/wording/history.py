"""What became of a piece: each line of its history as messages, out of the values that the line keeps.

Lines from before lines kept values have a text in `reason`, and are told by it as they were.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import cast

from tracker.domain.findings import Level
from tracker.domain.message import PLAIN, Choice, Message, Template, _
from tracker.domain.pieces.details import Changed, all_changes
from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.losses import cause_of
from tracker.domain.pieces.outcomes import Flaw, Outcome, came_out
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.studio.catalog import Catalog
from tracker.store.pieces.queries import HistoryRow
from tracker.wording.outlooks import donated


def step_of(line: HistoryRow, catalog: Catalog) -> Message:
    """What was done with the piece."""
    coat = catalog.glazes.get(str(line.facts.get("glaze", "")))
    step = StepName.WAX if line.step is StepName.GLAZE and coat is not None and coat.burns_away else line.step
    if step in _TOLD:
        return _TOLD[step](line)
    if step is StepName.FIRE:
        return _fired(line, catalog)
    route = catalog.routes.get(line.route or "")
    words = _WORDS[step]
    return Message(
        f"history-{step.replace(' ', '-')}",
        words if isinstance(words, str) else words[0 if line.kiln else 1],
        firing=route.title if route else line.route or "",
        kiln=line.kiln,
        number=str(line.firing_id),
        outcome=line.outcome.message if line.outcome else None,
        start=line.start,
        stage=line.to,
    )


def notes_of(line: HistoryRow) -> tuple[Message, ...]:
    """What is said beside it: what was accepted, why, how it came out, where it was put, which wish it ended."""
    return tuple(
        note
        for note in (*_accepted_on(line), _why(line), *_came_out(line), _put_at(line), _wish_ended(line))
        if note is not None
    )


def _registered(line: HistoryRow) -> Message:
    if line.to is Stage.GREENWARE:
        return Message("history-registered", _("Registered"))
    return Message("history-registered-bisqued", _("Registered already bisque-fired, and code issued"))


def _glazed(line: HistoryRow) -> Message:
    if line.undoes is not None:
        return Message("history-layers-back", _("Layers back on the record, back to {stage}"), stage=line.to)
    if "glaze" not in line.facts:
        return Message("history-glazed", _("Glazed"))
    return Message("history-glazed-with", _("Glazed with {glaze} ({zone})"), **line.facts)


def _decorated(line: HistoryRow) -> Message:
    if line.undoes is not None:
        return _glazed(line)
    return Message("history-decorated-with", _("{glaze} ({zone}), on raw clay"), **line.facts)


def _waxed(line: HistoryRow) -> Message:
    if "glaze" not in line.facts:
        return Message("history-foot-waxed", _("Foot waxed"))
    return Message("history-waxed-with", _("Waxed with {glaze} ({zone})"), **line.facts)


def _washed(line: HistoryRow) -> Message:
    if "glaze" in line.facts:
        return Message("history-layer-off", _("{glaze} taken off ({zone})"), **line.facts)
    words = Choice("moved", {"True": _("Raw layers taken off, back to {stage}"), "False": _("Raw layers taken off")})
    return Message("history-washed-off", words, stage=line.to, moved=line.start != line.to)


def _shelved(line: HistoryRow) -> Message:
    if line.place:
        return Message("history-shelved", _("Put on a shelf"))
    return Message("history-off-its-shelf", _("Removed from its shelf"))


def _set_right(line: HistoryRow) -> Message:
    changed = cast("tuple[tuple[str, str | int | None, str | int | None], ...]", line.facts.get("changes", ()))
    what = all_changes(Changed(*one) for one in changed) if changed else _typed(line)
    return Message("history-set-right", _("Details changed: {changes}"), changes=what)


def _claimed(line: HistoryRow) -> Message:
    if "goes" in line.facts:
        kept = Message("history-kept", _("Kept for the studio"))
        return kept if line.facts["goes"] == Disposal.KEEP else donated(str(line.facts["to"] or ""))
    if "taker" in line.facts:
        words = _("Handed out to {taker}, for {maker}") if line.facts["maker"] else _TAKEN
        return Message("history-taken", words, **line.facts)
    if line.reason:
        return Message("history-handed-over-to", _("Handed out, {text}"), text=line.reason)
    return Message("history-handed-over", _("Handed out"))


def _flaws_noted(line: HistoryRow) -> Message:
    words = {
        "more": _("Found later: {more}"),
        "fewer": _("Removed from the record: {fewer}"),
        "none": _("Note added"),
        "both": _("Found later: {more}. Removed from the record: {fewer}"),
    }
    more, fewer = (tuple(cast("tuple[Flaw, ...]", line.facts.get(name, ()))) for name in ("more", "fewer"))
    told = "both" if more and fewer else "more" if more else "fewer" if fewer else "none"
    return Message("history-flaws-noted", Choice("told", words), told=told, more=more, fewer=fewer)


def _lost(line: HistoryRow) -> Message:
    if line.reason:
        return Message("history-lost-by", _("Lost: {cause}"), cause=cause_of(line.reason))
    return Message("history-lost", _("Lost"))


def _fired(line: HistoryRow, catalog: Catalog) -> Message:
    """A piece that was in a firing of another type is told by that firing's type and cone."""
    own, firing = (catalog.routes.get(name or "") for name in (line.route, line.firing_route))
    beside = line.firing_target is not None and line.firing_route not in {None, line.route}
    words = _FIRED_BESIDE if beside else _FIRED if line.kiln else _("Fired, {firing}: {outcome}")
    named = line.firing_route if beside else line.route
    route = firing if beside else own
    return Message(
        "history-fired-with" if beside else "history-fire",
        words,
        firing=route.title if route else named or "",
        cone=line.firing_target,
        kiln=line.kiln,
        number=str(line.firing_id),
        outcome=line.outcome.message if line.outcome else None,
    )


def _given(line: HistoryRow) -> Message:
    words = _("Given from {was} to {now}")
    return Message("history-given", words, was=line.facts.get("was"), now=line.facts.get("now"))


def _merged(line: HistoryRow) -> Message:
    other = str(line.facts.get("other", ""))
    if line.undoes is not None:
        return Message("history-parted", _("{other} is a separate piece after all"), other=other)
    return Message("history-merged", _("Registered twice: {other} opens this piece"), other=other)


def _result_corrected(line: HistoryRow) -> Message:
    if "counts" in line.facts:
        words = _("Firing {number} counts as {now}, no longer as {was}")
        facts = {"now": line.facts["counts"], "was": line.facts["counted"]}
        return Message("history-cone-counted", words, number=str(line.firing_id), **facts)
    words = _("Result of firing {number} corrected from {was} to {now}")
    now = line.outcome.message if line.outcome else None
    return Message("history-result-corrected", words, number=str(line.firing_id), was=line.facts["was"], now=now)


_FIRED_BESIDE = _("Fired with the {firing}, {cone}, in {kiln}, firing {number}: {outcome}")
_FIRED = _("Fired, {firing} in {kiln}, firing {number}: {outcome}")
_TAKEN = _("Handed out to {taker}")
_TOLD: Mapping[StepName, Callable[[HistoryRow], Message]] = {
    StepName.REGISTER: _registered,
    StepName.GLAZE: _glazed,
    StepName.DECORATE: _decorated,
    StepName.WAX: _waxed,
    StepName.WASH_OFF: _washed,
    StepName.SHELVE: _shelved,
    StepName.SET_RIGHT: _set_right,
    StepName.CLAIM: _claimed,
    StepName.LOSE: _lost,
    StepName.NOTE_FLAWS: _flaws_noted,
    StepName.CORRECT_RESULT: _result_corrected,
    StepName.GIVE: _given,
    StepName.MERGE: _merged,
}
"""The steps of which there is more than one thing to say."""

_WORDS: Mapping[StepName, str | tuple[str, str]] = {
    StepName.BISQUE: (
        _("Bisque-fired in {kiln}, firing {number}, and code issued"),
        _("Bisque-fired, and code issued"),
    ),
    StepName.QUEUE: (
        _("Passes the check again. Back in the {firing} queue and in {kiln}, firing {number}."),
        _("Queued for {firing}"),
    ),
    StepName.PULL_BACK: _("Taken out of the queue for {firing}, back to {stage}"),
    StepName.ACCEPT: (
        _("Loaded for {firing} with a warning, in {kiln}, firing {number}"),
        _("Queued for {firing} with a warning"),
    ),
    StepName.TAKE_OUT: _("Taken out of {kiln}, firing {number}: it was no longer fit for that firing"),
    StepName.NOT_WAXED: _("Marked as not waxed, back to {stage}"),
    StepName.WISH: _("Asked for {firing}"),
    StepName.WITHDRAW: _("Request for {firing} withdrawn"),
    StepName.TAKE_BACK: _("Hand-out undone, back to {stage}"),
    StepName.FIRE_AGAIN: _("Sent back for a refire"),
    StepName.FIND: _("Found, back to {stage}"),
    StepName.CORRECT: _("Corrected from {start} to {stage}"),
}
"""The others; of two wordings the second is for a line that names no kiln."""


def _typed(line: HistoryRow) -> Message:
    return Message(PLAIN, "{text}", text=line.reason)


def _accepted_on(line: HistoryRow) -> list[Message]:
    """What was accepted by name in this step, and what else stood in the verdict that it was shown on."""
    if not line.accepted:
        return []
    accepted = [
        Message("history-accepted", _("Signed off: {finding}"), finding=one.message)
        for one in line.findings
        if one.rule in line.accepted
    ]
    others = [one for one in line.findings if one.rule not in line.accepted]
    also = [Message("history-also-shown", _ALSO, level=one.level.word, finding=one.message) for one in others]
    return [*accepted, *also]


_ALSO: Template = Choice(
    "level",
    {
        Level.NOTE.word: _("Also shown (note): {finding}"),
        Level.WARN.word: _("Also shown (signed off before): {finding}"),
        Level.ASK.word: _("Also shown (the instructor allowed it): {finding}"),
        Level.REFUSE.word: _("Also shown (never): {finding}"),
    },
)


def _why(line: HistoryRow) -> Message | None:
    if line.undoes is not None:
        return Message("history-taken-back", _("Undid a mistake."))
    if line.reason and line.step in {StepName.CORRECT, StepName.FIRE_AGAIN}:
        return Message("history-because", _("Reason: {reason}"), reason=line.reason)
    return None


def _came_out(line: HistoryRow) -> Iterator[Message]:
    """How it came out of a bisque, and after any firing what was noted about its clay and its glaze."""
    came = line.outcome
    if line.step is StepName.NOTE_FLAWS:
        clay, glaze = (str(line.facts.get(name, "")) for name in ("clay_note", "glaze_note"))
        yield from Outcome(clay_note=clay, glaze_note=glaze).notes
    if doubt := line.facts.get("was_fired"):
        # Codes of doubts that older lines hold say nothing of a kiln's cooling: nobody was asked about it then.
        yield Message("history-was-fired", _CONFIRMED.get(str(doubt), _WAS_FIRED))
    if came is None:
        return
    if line.step is StepName.BISQUE and came.is_flawed:
        yield Message("history-came-out", _("It came out {flaws}."), flaws=came_out(came.flaws))
    if line.step is not StepName.FIRE or came.survives:
        yield from came.notes


_WAS_FIRED = _("No log shows the temperature. Staff confirmed that the kiln was fired.")
_WAS_FIRED_AND_COOL = _(
    "No log shows the temperature. Staff confirmed that the kiln was fired, and that it was cool when it was opened."
)
_CONFIRMED = {
    "no-log-and-unread": _WAS_FIRED_AND_COOL,
    "on-too-short-and-unread": _WAS_FIRED_AND_COOL,
    "not-shown-to-be-cool": _(
        "No reading shows that the kiln had cooled. Staff confirmed that it was cool when it was opened."
    ),
}


def _wish_ended(line: HistoryRow) -> Message | None:
    ended = line.facts.get("ended_wish")
    return Message("history-wish-ended", _("Its request for {firing} has ended."), firing=ended) if ended else None


def _put_at(line: HistoryRow) -> Message | None:
    return Message("history-at", _("At {place}."), place=line.place) if line.place else None
