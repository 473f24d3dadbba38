"""A fire that missed its target, in the words of its firing's pages: what to do, and which cone counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.firing.reached_cones import Missed
from tracker.domain.message import Message, Plural, _
from tracker.domain.refusals import Unusable
from tracker.store.firing.queries import FiringPage
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.firing.counted_cones import cones_to_count
from tracker.usecases.firing.reached_cones import missed_in, unfit_at
from tracker.usecases.firing.stories import FireStory
from tracker.web.auth import fresh_key, house
from tracker.web.presenters import catalog


@dataclass(frozen=True, slots=True)
class MissedShown:
    """What a page says of it: the fact and the order, and for each cone that could count its value, button and key.

    `is_settled` where somebody has said which cone counts: then it's no alarm anymore.
    """

    says: Message | None
    do: Message
    cones: tuple[tuple[str, Message, str], ...]
    is_settled: bool


def missed_shown(firing: Firing, story: FireStory) -> MissedShown | None:
    """What the page of a firing says of a fire that missed its target; None where it met it."""
    missed = missed_in(firing, story)
    cones = cones_to_count(firing, missed)
    if missed is None and not cones:
        return None
    buttons = tuple((str(cone), Message("count-cone", _("Count {cone}"), cone=cone), fresh_key()) for cone in cones)
    is_settled = firing.stage is FiringStage.UNLOADED and missed is not None and firing.fired_to in missed.cones
    says = None if missed is None else missed.message
    return MissedShown(says, _what_to_do(firing, missed, is_settled=is_settled), buttons, is_settled)


def _what_to_do(firing: Firing, missed: Missed | None, *, is_settled: bool) -> Message:
    if firing.stage is FiringStage.FIRING:
        return _SWITCH_OFF
    if firing.stage is FiringStage.COOLING:
        return _CHOOSE_LATER
    words = _("{cone:capital} counts for its pieces.")
    if not is_settled:
        words = _("{cone:capital} counts for its pieces. Check which cone should.")
        if missed is None:
            words = _(
                "{cone:capital} counts for its pieces, but nothing on record says that now. Check which cone should."
            )
    return Message("cone-counts-now", words, cone=firing.counted)


_SWITCH_OFF = Message(
    "switch-it-off",
    _("Switch the kiln off now, as its manual says. Don't open it. Tell the person in charge of the kiln."),
)
_CHOOSE_LATER = Message("choose-when-unloading", _("When you unload it, choose which cone counts for its pieces."))


def cone_choices(missed: Missed) -> list[dict[str, object]]:
    """The cones of which one counts as a kiln is unloaded, as cards: the one that is proposed first."""
    notes = {missed.target: _TARGET, missed.cone: {"cones": _BY_CONES, "log": _BY_LOG}[missed.shows]}
    if said := missed.evidence:
        notes = {missed.target: _TARGET, said.by_log: _LOG_SAYS, said.by_cones: _BY_CONES}
    return [
        {"value": str(cone), "label": Message("cone-to-count", "{cone:capital}", cone=cone), "note": notes[cone]}
        for cone in missed.cones
    ]


_BY_CONES = Message("as-cones-say", _("Proposed: its witness cones say so"))
_BY_LOG = Message("as-log-says", _("Proposed: its log says so"))
_LOG_SAYS = Message("only-log-says", _("Its log says so. Then its witness cones are wrong."))
_TARGET = Message("as-was-meant", _("Its target. The log or the witness cones are wrong."))


def come_out_wrong(page: FiringPage, missed: Missed | None) -> list[tuple[PieceRow, tuple[Finding, ...]]]:
    """The pieces in a hot kiln that come out wrong, by a change or by the cone it reached, with what to expect."""
    caught = list(page.caught)
    if missed is None:
        return caught
    known = {row.ref for row, _found in caught}
    rows = [row for row in page.pieces if row.ref not in known]
    return caught + list(unfit_at(page.firing, rows, missed.cone, catalog(), house().clock()))


def look_at_each(page: FiringPage, missed: Missed | None, refs: Sequence[str]) -> Unusable:
    """Why these pieces, which come out wrong, aren't good with the rest: how many they are, and to look at each."""
    is_changed = not {row.ref for row, _found in page.caught}.isdisjoint(refs)
    if missed is None or is_changed:
        words = Plural("count", "{count} piece comes out wrong.", "{count} pieces come out wrong.")
    else:
        words = Plural("count", "{count} piece isn't meant for {cone}.", "{count} pieces aren't meant for {cone}.")
    do = Plural("count", "Look at it, then choose its result.", "Look at each, then choose its result.")
    cone = None if missed is None else missed.cone
    message = Message("not-good-with-the-rest", words, count=len(refs), cone=cone)
    return Unusable([message], Message("look-at-each", do, count=len(refs)))


def cone_sent(text: str) -> Cone | None:
    """The cone that a form sends, None for anything else."""
    try:
        return Cone.parse(text)
    except ValueError:
        return None
