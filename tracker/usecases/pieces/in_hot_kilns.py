"""Pieces in a hot kiln that a change shows to be wrong for it: nobody can take them out, so it is said what to expect.

They leave their queue and their load, since the heat guard holds both to what a piece stands, and are kept apart until
the kiln is unloaded: what was found against them goes on record with how they came out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace

from tracker.domain.findings import Finding
from tracker.domain.firing.firings import Caught, Firing, FiringStage
from tracker.domain.message import Choice, Message, Sentences, _
from tracker.domain.pieces.piece import Piece
from tracker.domain.rules.unloading_checks import checks_at_unloading
from tracker.domain.studio.catalog import Catalog
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.pieces.moved import Moved


def needs_less_heat(catalog: Catalog, piece: Piece, firing: Firing) -> bool:
    """Whether the heat guard lets a piece neither wait in its queue nor count as loaded in this firing."""
    hottest = firing.target
    if piece.route:
        route = catalog.routes[piece.route]
        hottest = max(hottest, route.cone)
        if piece.is_outdoor_only and not route.takes_outdoor_glaze:
            return True
    return piece.ceiling < hottest or (piece.is_outdoor_only and not firing.route.takes_outdoor_glaze)


def catch(change: Change, row: PieceRow, firing: Firing, findings: Iterable[Finding]) -> None:
    """Keep a piece apart in its hot kiln, with what is found against it; adds to what was found before."""
    before = next(iter(change.read.firings.caught(piece_id=row.piece.id)), None)
    if before is not None:
        change.book.expect(row.piece.id, _worst_first((*before.findings, *findings)))
        return
    change.book.catch(
        Caught(
            piece_id=row.piece.id,
            firing_id=firing.id,
            findings=_worst_first(findings),
            loaded_at=change.book.loaded_at(row.piece.id),
            queue_route=row.piece.route,
            waiting_since=row.waiting_since,
            accepted=row.accepted,
        )
    )


def _worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(dict.fromkeys(findings), key=lambda one: -one.level))


def let_go(change: Change, one: Caught, piece: Piece, firing: Firing) -> None:
    """Put a piece that is right in its hot kiln after all back into its queue and its load, where it was."""
    change.book.caught_no_more(piece.id)
    if one.queue_route is not None:
        change.stand_in_line(piece, one.waiting_since or change.request.at, one.accepted)
    change.book.put_in(firing, replace(piece, in_firing=None), since=one.loaded_at)


def free_of_heat(change: Change, firing_id: int) -> list[tuple[Caught, PieceRow]]:
    """Let go of all that is kept apart in a kiln that was never started, each with its row as it was in there."""
    all_caught = change.read.firings.caught(firing_id=firing_id)
    kept = [(one, change.read.pieces.row(number=one.piece_id)) for one in all_caught]
    for one, _row in kept:
        change.book.caught_no_more(one.piece_id)
    return [(one, row) for one, row in kept if row is not None]


def come_out_wrong(change: Change, piece_id: int) -> tuple[Finding, ...]:
    """Let a piece go as its hot kiln is unloaded; gives what was to be expected of it, nothing for most pieces."""
    one = next(iter(change.read.firings.caught(piece_id=piece_id)), None)
    if one is None:
        return ()
    change.book.caught_no_more(piece_id)
    return one.findings


# ---- what is said ----------------------------------------------------------------------------------------------


def told_of_hot_kilns(moved: Iterable[Moved]) -> Iterator[Message]:
    """Each hot kiln with pieces that come out wrong: that nothing comes out now, what to expect, and what to check."""
    kilns: dict[int, list[Moved]] = defaultdict(list)
    for one in moved:
        if one.firing is not None:
            kilns[one.firing.id].append(one)
    for several in kilns.values():
        firing = several[0].firing
        if firing is not None:
            yield keep_closed(firing)
            yield from _expected(several)
            yield checks_of(found for one in several for found in one.findings)


def keep_closed(firing: Firing) -> Message:
    """That nothing can be taken out of a hot kiln, and what to do while it's cold; what is pulled comes in its turn."""
    words = Choice("state", {"pulled": _PULLED, "on": _JUST_ON, "cooling": _CLOSED})
    is_on = firing.stage is FiringStage.FIRING
    return Message(
        "in-a-hot-kiln",
        words,
        kiln=firing.kiln.name,
        firing=str(firing.id),
        state="pulled" if firing.route.is_pulled_hot else "on" if is_on else "cooling",
    )


_CLOSED = _("{kiln} is cooling (firing {firing}). Keep it closed: nothing can be taken out of a hot kiln. Expect this.")
_JUST_ON = _(
    "{kiln} is on (firing {firing}). While it's still cold, switch it off, undo the kiln start and take these out. "
    "Once it's hot, keep it closed: nothing can be taken out. Then expect this."
)
_PULLED = _("{kiln} is hot (firing {firing}). Don't reach in early: pull each piece in its turn. Expect this.")


def _expected(several: Iterable[Moved]) -> Iterator[Message]:
    """What to expect, with the pieces of which the same is to be expected named together."""
    alike: dict[tuple[Finding, ...], list[str]] = defaultdict(list)
    for one in several:
        alike[one.findings].append(one.row.ref)
    for findings, refs in alike.items():
        why = Sentences(tuple(found.message for found in findings))
        yield Message("expect-of", "{pieces}: {why}", pieces=tuple(refs), why=why)


def checks_of(findings: Iterable[Finding]) -> Message:
    """What to check when the pieces with these findings come out."""
    words = _("When you unload it: {checks}")
    return Message("check-when-unloading", words, checks=Sentences(checks_at_unloading(findings)))


def wrong_in_hot_kilns(reader: Queries) -> tuple[tuple[Piece, Firing, tuple[Finding, ...]], ...]:
    """Every piece that comes out wrong of a hot kiln, with its firing and what to expect, worst first."""
    return tuple(
        (piece, firing, one.findings)
        for one in reader.firings.caught()
        if one.findings
        and (piece := reader.pieces.piece(number=one.piece_id)) is not None
        and (firing := reader.firings.firing(one.firing_id)) is not None
    )
