"""Test tiles: photos of a glaze on one clay, fired to one cone, and which of them shows best how it will come out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from tracker.domain.cones import Cone
from tracker.domain.message import Message, _
from tracker.domain.refusals import NotAStep
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.materials import Clay, Glaze, Surface
from tracker.domain.studio.spelling import holds, words_in
from tracker.domain.studio.swatches import Color, ColorFamily

MOST_OF_A_GLAZE = 24
"""How many test tiles of one glaze are kept (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """How a test tile was made: the name of its clay, and its firing, whose `atmosphere` is None where nobody said."""

    clay: str
    cone: Cone
    atmosphere: Atmosphere | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """The photo of a test tile: `stem` names its files, `side` is the large square print's in pixels.

    `swatch` is the color in the middle of the picture. `atmosphere` is that of its firing, None where nobody said.
    `is_off` says that it was fired outside the cones of its glaze: so it doesn't show how the glaze comes out.
    """

    id: int
    glaze: str
    clay: Clay
    cone: Cone
    atmosphere: Atmosphere | None
    stem: str
    side: int
    swatch: Color
    added_at: datetime
    by: str
    is_off: bool = False

    @property
    def color(self) -> ColorFamily:
        """The family of colors in which one looks for it."""
        return self.swatch.family

    def was_made_like(self, clay: Clay | None, cone: Cone | None) -> bool:
        """Whether it shows this very clay at this very cone."""
        return clay is not None and self.clay.name == clay.name and self.cone == cone


def best_tiles(
    tiles: Iterable[Tile], clay: Clay | None = None, cone: Cone | None = None, atmosphere: Atmosphere | None = None
) -> Mapping[str, Tile]:
    """The tile of each glaze that is most like such a firing of such a clay, by the name of the glaze.

    What counts, in this order: no other atmosphere, the same clay, the same kind of clay, the nearest cone, the newest.
    What is None does not count. A tile that is off is never the one.
    """

    def likeness(tile: Tile) -> tuple[bool, bool, bool, int, int]:
        is_other = atmosphere is not None and tile.atmosphere not in {None, atmosphere}
        same = clay is not None and tile.clay.name == clay.name
        same_kind = clay is not None and tile.clay.kind is clay.kind
        apart = abs(tile.cone.celsius - cone.celsius) if cone else 0
        return not is_other, same, same_kind, -apart, tile.id

    best: dict[str, Tile] = {}
    for tile in sorted((one for one in tiles if not one.is_off), key=likeness):
        best[tile.glaze] = tile
    return best


@dataclass(frozen=True, slots=True, kw_only=True)
class GlazeSearch:
    """What somebody looks for on the glaze shelf; whatever is empty or None leaves all in."""

    words: str = ""
    color: ColorFamily | None = None
    surface: Surface | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing is looked for."""
        return not (self.words or self.color or self.surface)

    def finds(self, glaze: Glaze, tile: Tile | None) -> bool:
        """Whether this glaze is looked for; `tile` shows its color, and without one no color finds it."""
        return (
            (not self.words or holds(f"{glaze.name} {glaze.color}", words_in(self.words)))
            and (self.color is None or (tile is not None and tile.color is self.color))
            and (self.surface is None or glaze.surface is self.surface)
        )


def must_take_another_tile(glaze: Glaze, count: int) -> None:
    """Refuse one more tile of a glaze that has as many as are kept."""
    if count >= MOST_OF_A_GLAZE:
        words = _("{glaze} has {count} test tiles, the most it can have.")
        raise NotAStep(
            Message("tiles-full", words, glaze=glaze.name, count=count),
            Message("remove-a-tile-first", _("Remove one first.")),
        )
