"""The test tiles on the glaze wall of the story: every glaze, on the clays that it is mostly used on."""

from __future__ import annotations

from collections.abc import Iterator

from demo_seed.drawn_tiles import tile_of
from demo_seed.floor import Floor
from demo_seed.tile_looks import LOOKS
from tracker.domain.cones import Cone
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.materials import Coat, Family, Glaze
from tracker.domain.studio.tiles import Making
from tracker.forms.pieces.photo_file import read_tile
from tracker.usecases.studio import tiles

_MADE_ON = {
    Family.LOW_FIRE: (("Brickyard Red", "Millpond White"), "04", Atmosphere.OXIDATION),
    Family.MID_RANGE: (("Harrow Buff", "Wicket Speckle", "Lampwick"), "6", Atmosphere.OXIDATION),
    Family.HIGH_FIRE: (("Dunlin Gray", "Tollgate Brown", "Swanfeather"), "10", Atmosphere.REDUCTION),
    Family.OUTDOOR: (("Cobble",), "06", None),
}
_OVERGLAZE = (("Lampwick", "Swanfeather"), "018", Atmosphere.OXIDATION)


def hang_tiles(floor: Floor) -> None:
    """Have the instructor photograph the glaze wall; at the end of the story, so that nothing happens otherwise for it.

    There are no tiles where the studio's database is no file and so has no folder beside it.
    """
    if floor.hands.store.shelf is None:
        return
    for name, look in LOOKS.items():
        glaze = floor.catalog.glazes[name]
        for making in makings(glaze):
            photo = read_tile(tile_of(glaze, making.clay, look))
            floor.hands.note(tiles.add, floor.cast.instructors[0], name, making, photo)


def makings(glaze: Glaze) -> Iterator[Making]:
    """On which clays a glaze of the story has a tile, and how those were fired."""
    clays, cone, atmosphere = _OVERGLAZE if glaze.coat is Coat.OVERGLAZE else _MADE_ON[glaze.family]
    for clay in clays:
        yield Making(clay=clay, cone=Cone.parse(cone), atmosphere=atmosphere)
