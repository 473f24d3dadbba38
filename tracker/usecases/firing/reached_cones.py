"""What a firing reached instead of its target, what that means for its pieces, and which cone counts for them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from math import isfinite
from typing import Final

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level
from tracker.domain.firing.curves import Curve
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.firing.mixed_loads import own_route
from tracker.domain.firing.reached_cones import Missed, far_apart, missed_by_cones, missed_by_log
from tracker.domain.message import Choice, Either, Message, _
from tracker.domain.refusals import NotAStep
from tracker.domain.rules.engine import judge
from tracker.domain.studio.catalog import Catalog
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.firing.stories import FireStory, story_of

_HAS_A_FIRE: Final = frozenset({FiringStage.FIRING, FiringStage.COOLING, FiringStage.UNLOADED})
_COOLS_C: Final = 50.0
"""A log that ends this far below its peak has seen the whole of it."""
_AN_HOUR_S: Final = 3_600.0
_FAR_BELOW_C: Final = 150.0
"""No hold makes up for a log that stays this far below its cone (common practice)."""


def missed_of(reader: Queries, firing: Firing) -> Missed | None:
    """How a firing missed its target, by its own witness cones or else its log; None where nothing shows that.

    Nothing does either where both tell and contradict each other, but then somebody has to say which is right.
    """
    if firing.session_id is not None or firing.stage not in _HAS_A_FIRE:
        return None
    page = reader.firings.page(firing.id)
    witnesses = () if page is None else page.witnesses
    if not witnesses and not reader.firings.log(firing.id):
        return None
    return missed_in(firing, story_of(reader, firing, witnesses, second=None))


def missed_in(firing: Firing, story: FireStory) -> Missed | None:
    """The same of a fire whose story is known. A round outdoors is fired by eye; one that is on can only go over."""
    if firing.session_id is not None or firing.stage not in _HAS_A_FIRE:
        return None
    missed = _missed(firing, story)
    return missed if missed and (missed.is_over or firing.stage is not FiringStage.FIRING) else None


def _missed(firing: Firing, story: FireStory) -> Missed | None:
    spans = [span for _level, span in story.levels]
    missed = missed_by_cones(firing.target, spans)
    is_bounded = any(isfinite(span.low) and isfinite(span.high) for span in spans)
    if story.work is None or story.curve is None:
        return missed
    reached, is_whole = story.corrected or story.work.reached, _tells_the_peak(firing, story.curve)
    is_hotter = all(span.off_from(reached) < 0 for span in spans)
    if (is_whole or is_hotter) and (apart := far_apart(firing.target, spans, reached, missed)):
        return apart
    return missed if missed or is_bounded else missed_by_log(firing.target, reached, is_whole=is_whole)


def _tells_the_peak(firing: Firing, curve: Curve) -> bool:
    """Whether a log goes on until its kiln cooled or was off, or stays so cold that its kiln's heat is in doubt."""
    if curve.last_c <= curve.peak_c - _COOLS_C or curve.peak_c <= firing.target.celsius - _FAR_BELOW_C:
        return True
    if firing.lit_at is None or firing.shut_at is None:
        return True
    return (firing.shut_at - firing.lit_at).total_seconds() - curve.seconds[-1] <= _AN_HOUR_S


def unfit_at(
    firing: Firing, rows: Iterable[PieceRow], cone: Cone, catalog: Catalog, at: datetime
) -> tuple[tuple[PieceRow, tuple[Finding, ...]], ...]:
    """The pieces in a kiln that aren't meant for the cone it reached, each with what the rules say of that alone."""
    found = ((row, _against(firing, row, cone, catalog, at)) for row in rows)
    return tuple((row, findings) for row, findings in found if findings)


def _against(firing: Firing, row: PieceRow, cone: Cone, catalog: Catalog, at: datetime) -> tuple[Finding, ...]:
    piece = row.piece.at(at)
    own = own_route(firing, piece, catalog)
    if own is None:
        return ()
    known = {one.rule for one in judge(piece, own.at(firing.target), catalog.practice, firing.kiln).findings}
    verdict = judge(piece, own.at(cone), catalog.practice, firing.kiln)
    return tuple(one for one in verdict.from_level(Level.WARN) if one.rule not in known)


# ---- which cone counts -----------------------------------------------------------------------------------------


def cone_to_count(reader: Queries, firing: Firing, counts: Cone | None) -> Cone | None:
    """The cone that a person says counts as a kiln is unloaded; None where its target does and nobody is asked.

    Refused with `NotAStep` where the firing missed its target and nobody has said which of both counts.
    """
    missed = missed_of(reader, firing)
    if missed is None:
        return None
    if counts not in missed.cones:
        words = _("Choose which cone counts for its pieces, {cones}. Then unload.")
        raise NotAStep(missed.message, Message("choose-the-cone", words, cones=Either(missed.cones)))
    return counts


def note_what_counts(change: Change, firing: Firing, cone: Cone) -> None:
    """Put on record which cone counts for a firing's pieces, and who said so."""
    change.book.note_fired_to(firing.id, cone)
    told = "target" if cone == firing.target else "other"
    what = Message("cone-counts", Choice("told", _COUNTS), told=told, cone=cone, target=firing.target)
    change.book.note_correction(firing.id, change.request.by.id, what)


_COUNTS: Final = {
    "target": _("the target counts for its pieces, {target}"),
    "other": _("{cone} counts for its pieces, not the target, {target}"),
}
