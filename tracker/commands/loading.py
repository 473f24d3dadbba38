"""Planning a load from a file, without a database."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tracker.commands.house import FILE, House, as_json_option, progress, say, text_of, units_option
from tracker.domain.firing.firings import resting
from tracker.domain.message import Choice, Message, Plural, _
from tracker.domain.quantities import mm
from tracker.wording.render import say as in_words

if TYPE_CHECKING:
    from tracker.domain.loading.loads import LoadedShelf, LoadKiln, LoadPlan, Placed
    from tracker.wording.reader import Reader

LONGEST_SEARCH_S = 3_600


@click.command(
    "plan-load",
    short_help=_("Plan where each piece goes in a kiln."),
    help=_("Plan a load: where each piece of FILE goes, in as many firings as needed."),
)
@click.argument("file", metavar="FILE.json", type=FILE)
@click.option(
    "--seconds",
    metavar="SECONDS",
    type=click.FloatRange(0, LONGEST_SEARCH_S),
    default=0.0,
    callback=lambda _context, _option, seconds: _finite(seconds),
    help=_("Keep looking for a shorter stack for this many seconds."),
)
@units_option
@as_json_option
@click.pass_obj
def plan_load(house: House, file: Path, seconds: float, reader: Reader, *, as_json: bool) -> None:
    """Plan a load: where each piece of FILE goes, in as many firings as needed."""
    from tracker.domain.loading.planner import plan_firings
    from tracker.forms.loading.load_file import plan_as_json, read_load

    asked = read_load(text_of(file))
    begun = house.clock()
    with progress("Planning", max(round(seconds * 10), 1)) as note:

        def more() -> bool:
            passed = (house.clock() - begun).total_seconds()
            note(round(min(passed, seconds) * 10), max(round(seconds * 10), 1))
            return passed < seconds

        plan = plan_firings(asked.kiln, asked.gap_mm, asked.pieces, more, may_nest=asked.bisque)
    lines = [in_words(line, reader) for line in _lines(plan, asked.kiln)]
    say(lines, plan_as_json(plan, in_words), as_json=as_json)


def _finite(seconds: float) -> float:
    """The seconds, unless they are "nan", which is neither below a range nor above it."""
    if not isfinite(seconds):
        raise click.BadParameter(f"{seconds} isn't a number of seconds.")
    return seconds


def _lines(plan: LoadPlan, kiln: LoadKiln) -> Iterator[Message]:
    """The plan to read: each firing with its shelves from the top down, and what is left out."""
    for number, firing in enumerate(plan.firings, start=1):
        high = sum(shelf.post_mm + kiln.shelf_thickness_mm for shelf in firing)
        pieces = sum(len(shelf.placed) for shelf in firing)
        yield Message(
            "firing-of-plan",
            Plural(
                "pieces",
                "Firing {number} of {of}: {pieces} piece, stack {high} high, room for {room}",
                "Firing {number} of {of}: {pieces} pieces, stack {high} high, room for {room}",
            ),
            number=number,
            of=len(plan.firings),
            pieces=pieces,
            high=mm(high, 1),
            room=mm(kiln.room_mm, 1),
        )
        for level in range(len(firing), 0, -1):
            yield _shelf(level, firing[level - 1])
    for left in plan.left_out:
        yield Message("left-out-of-load", _("{piece} left out: {why}."), piece=left.piece.code, why=left.reason)
    if not plan.firings and not plan.left_out:
        yield Message("nothing-to-load", _("There's nothing to load."))


def _shelf(level: int, shelf: LoadedShelf) -> Message:
    """A shelf with its posts, its pieces, and what is in what."""
    words = Choice(
        "over",
        {
            "posts": _("Shelf {level}, posts {length}: {pieces}"),
            "no posts": _("Shelf {level}, no posts: {pieces}"),
        },
    )
    return Message(
        "shelf-of-plan",
        words,
        over="no posts" if shelf.without_posts else "posts",
        level=level,
        length=mm(shelf.post_mm, 1),
        pieces=tuple(map(_piece, shelf.placed)),
    )


def _piece(one: Placed) -> Message | str:
    if one.rests is None or one.below is None:
        return one.piece.code
    return Message("piece-resting", "{piece} {how}", piece=one.piece.code, how=resting(one.rests, one.below))
