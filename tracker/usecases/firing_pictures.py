"""A firing as pictures for its page and as the sheet for the kiln's clipboard: values in, SVG or PDF out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printing.curve_pictures import curve_picture
from printing.curves import CurveSeen, curve_words
from printing.lettering import NARROW, SCREEN_SIZE, WIDE
from printing.svg import svg
from tracker.domain.cone_fits import DOWN
from tracker.domain.heat_work import label_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tracker.domain.curves import Curve
    from tracker.domain.firings import Firing
    from tracker.usecases.fire_stories import FireStory

_HOUR_S = 3600.0
ON_A_PHONE, ON_A_DESK = NARROW, WIDE
"""For how many pixels of a page a picture is made: its letters keep their size."""

_LETTERS = {ON_A_PHONE: SCREEN_SIZE, ON_A_DESK: 14.0}
_MOST_MARKS = 4
"""Cones named on a curve; those before the last few say nothing about how the ware is."""


def curve_drawn(firing: Firing, story: FireStory, *, second: float | None = None, width: float = ON_A_PHONE) -> str:
    """The curve of a fire against its programme, with the last cones it brought down, as SVG; empty for neither.

    `second` is now, after the fire was lit; `width` is how many pixels of the page it is made for.
    """
    seen = curve_seen(firing, story, second=second)
    if not seen.points and not seen.programme:
        return ""
    return svg(
        curve_picture(seen, width=width, size=_LETTERS[width]),
        name=f"The curve of firing {firing.id}",
        says=curve_words(seen),
    )


def curve_seen(firing: Firing, story: FireStory, *, second: float | None = None) -> CurveSeen:
    """A fire as its chart shows it."""
    target = label_of(firing.target, story.kind) if story.work and firing.target in story.work.works else ""
    return CurveSeen(
        points=_points(story.curve),
        programme=_points(story.programme.curve) if story.programme else (),
        marks=tuple(_marks(story)),
        target=(float(firing.target.celsius), f"target: {target or firing.target.label}"),
        now=second / _HOUR_S if second is not None else None,
    )


def _points(curve: Curve | None) -> tuple[tuple[float, float], ...]:
    if curve is None:
        return ()
    return tuple((second / _HOUR_S, heat) for second, heat in zip(curve.seconds, curve.celsius, strict=True))


def _marks(story: FireStory) -> Iterator[tuple[float, float, str]]:
    """When each of the last cones fell: hours, °C and its name."""
    if story.curve is None or story.work is None:
        return
    down = [cone for cone, work in story.work.works.items() if work >= DOWN]
    for cone in down[-_MOST_MARKS:]:
        second = story.work.fell_at(cone)
        if second is not None:
            yield second / _HOUR_S, story.curve.at(second), f"cone {cone}"
