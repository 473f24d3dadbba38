"""The forms that studios make most, with usual sizes to correct (common practice)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import Build, Use
from tracker.domain.quantities import Units


class Form(StrEnum):
    """What kind of thing a new piece is, as far as its usual size and its openings go."""

    MUG = "mug"
    BOWL = "bowl"
    PLATE = "plate"
    VASE = "vase"
    JAR = "jar"
    TILE = "tile"
    TEST_TILE = "test-tile"
    CLOSED = "closed"


Size = tuple[str, str, str]
"""Height, width and depth as a potter writes them, with their unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualForm:
    """One form: its name, its usual size in each reader's units, and what goes without saying of it.

    A piece of it is `called` by that name, where not by another. The width of a mug goes over its handle.
    A `lid` is as high and as wide. `build` is how studios mostly make it, `use` what it is for, where either goes
    without saying. `is_open` says that steam finds its way out; a closed form has to tell of
    its hole.
    """

    name: Message
    called: Message | None = None
    sizes: Mapping[Units, Size] | None = None
    lids: Mapping[Units, tuple[str, str]] | None = None
    build: Build | None = None
    use: Use | None = None
    is_open: bool = True


def _sizes(metric: str, us: str) -> dict[Units, Size]:
    """Sizes of three numbers each: whole mm, and round inches for those who think in inches."""
    high, wide, deep = metric.split(" x ")
    us_high, us_wide, us_deep = us.split(" x ")
    return {
        Units.METRIC: (f"{high} mm", f"{wide} mm", f"{deep} mm"),
        Units.US: (f"{us_high} in", f"{us_wide} in", f"{us_deep} in"),
    }


USUAL_FORMS: Mapping[Form, UsualForm] = {
    Form.MUG: UsualForm(
        name=Message("mug", _("mug")),
        sizes=_sizes("100 x 125 x 90", "4 x 5 x 3 1/2"),
        build=Build.THROWN,
        use=Use.FOOD,
    ),
    Form.BOWL: UsualForm(
        name=Message("bowl", _("bowl")),
        sizes=_sizes("75 x 150 x 150", "3 x 6 x 6"),
        build=Build.THROWN,
        use=Use.FOOD,
    ),
    Form.PLATE: UsualForm(
        name=Message("plate", _("plate")),
        sizes=_sizes("25 x 260 x 260", "1 x 10 x 10"),
        build=Build.THROWN,
        use=Use.FOOD,
    ),
    Form.VASE: UsualForm(
        name=Message("vase", _("vase")), sizes=_sizes("200 x 110 x 110", "8 x 4 1/2 x 4 1/2"), build=Build.THROWN
    ),
    Form.JAR: UsualForm(
        name=Message("jar-with-lid", _("jar with lid")),
        called=Message("jar", _("jar")),
        sizes=_sizes("150 x 110 x 110", "6 x 4 1/2 x 4 1/2"),
        build=Build.THROWN,
        lids={Units.METRIC: ("40 mm", "110 mm"), Units.US: ("1 1/2 in", "4 1/2 in")},
    ),
    Form.TILE: UsualForm(
        name=Message("tile", _("tile")), sizes=_sizes("10 x 150 x 150", "3/8 x 6 x 6"), build=Build.SLAB
    ),
    Form.TEST_TILE: UsualForm(
        name=Message("test-tile", _("test tile")),
        sizes=_sizes("100 x 50 x 40", "4 x 2 x 1 1/2"),
        build=Build.SLAB,
        use=Use.DECORATIVE,
    ),
    Form.CLOSED: UsualForm(
        name=Message("closed-form", _("closed form")), sizes=_sizes("120 x 120 x 120", "5 x 5 x 5"), is_open=False
    ),
}
"""Every form with what is usual of it. The sizes are common practice, from no source: a maker corrects them."""
