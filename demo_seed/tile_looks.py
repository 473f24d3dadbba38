"""How each invented glaze of the demo looks once it is fired: its colors, thick and thin, and what it does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

Rgb = tuple[int, int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Colors of a glaze in sRGB: its `body`, `thin` over edges, `pooled` in hollows; all else is a share from 0 to 1.

    `covers` is how far it hides the clay, `mottled` how uneven its body is, `streaks` how far it runs down in lines.
    """

    body: Rgb
    thin: Rgb
    pooled: Rgb
    covers: float = 0.95
    mottled: float = 0.35
    streaks: float = 0.0
    specks: float = 0.0
    sheen: float = 0.0


CLAYS: Mapping[str, Rgb] = {
    "Brickyard Red": (168, 84, 54),
    "Millpond White": (226, 214, 196),
    "Harrow Buff": (196, 168, 130),
    "Wicket Speckle": (204, 186, 158),
    "Lampwick": (232, 228, 218),
    "Dunlin Gray": (158, 150, 138),
    "Tollgate Brown": (122, 84, 58),
    "Swanfeather": (236, 234, 228),
    "Cobble": (198, 176, 148),
}
"""The fired color of the clays that the demo's tiles are made of."""

SPECKLED = frozenset({"Wicket Speckle", "Dunlin Gray"})
"""The clays with iron specks, which come through a glaze."""

LOOKS: Mapping[str, Look] = {
    # low-fire
    "Heron's Egg": Look(body=(142, 192, 180), thin=(196, 212, 190), pooled=(82, 150, 148), covers=0.86, specks=0.35),
    "Tin Kettle": Look(body=(240, 236, 226), thin=(226, 204, 178), pooled=(246, 244, 240), covers=0.96, mottled=0.15),
    "Butter Lamp": Look(body=(226, 176, 62), thin=(220, 160, 90), pooled=(196, 132, 26), covers=0.84, mottled=0.3),
    "Plum Ledger": Look(body=(82, 42, 92), thin=(134, 82, 104), pooled=(46, 20, 62), mottled=0.4),
    "Marmalade Parade": Look(body=(232, 106, 24), thin=(240, 152, 70), pooled=(206, 72, 14), mottled=0.2),
    "Pocket Moon": Look(body=(250, 248, 244), thin=(255, 255, 255), pooled=(226, 234, 230), covers=0.1, mottled=0.1),
    # overglaze
    "Soap Window": Look(body=(226, 216, 214), thin=(232, 226, 220), pooled=(206, 190, 214), covers=0.4, sheen=0.7),
    # mid-range
    "Fogbell": Look(body=(232, 228, 218), thin=(204, 178, 146), pooled=(240, 240, 236), covers=0.93),
    "Ninth Rain": Look(body=(52, 88, 150), thin=(128, 136, 140), pooled=(24, 44, 104), streaks=0.75),
    "Gatehinge": Look(body=(142, 58, 34), thin=(70, 40, 28), pooled=(168, 76, 40), mottled=0.55, specks=0.2),
    "Night Ferry": Look(body=(30, 30, 36), thin=(84, 58, 40), pooled=(16, 16, 24), mottled=0.2),
    "Kelp Stair": Look(body=(66, 118, 64), thin=(150, 146, 88), pooled=(26, 72, 48), covers=0.9, streaks=0.9),
    "Moth Wing": Look(body=(138, 106, 82), thin=(176, 146, 112), pooled=(108, 80, 64), mottled=0.6),
    "Sunday Ice": Look(body=(240, 246, 244), thin=(250, 252, 250), pooled=(202, 226, 222), covers=0.22, mottled=0.1),
    # high-fire
    "Salt Road": Look(body=(244, 244, 238), thin=(250, 250, 246), pooled=(208, 220, 206), covers=0.16, mottled=0.15),
    "Orchard Smoke": Look(body=(142, 168, 142), thin=(188, 196, 168), pooled=(92, 132, 112), covers=0.74, mottled=0.2),
    "Deep Pantry": Look(body=(34, 26, 24), thin=(168, 98, 38), pooled=(20, 16, 18), mottled=0.25),
    "Ox Lantern": Look(body=(140, 22, 34), thin=(206, 190, 172), pooled=(82, 28, 72), streaks=0.55, mottled=0.5),
    "Chimney Straw": Look(body=(178, 150, 98), thin=(150, 116, 76), pooled=(122, 128, 70), covers=0.85, streaks=1.0),
    "Pewter Moss": Look(body=(98, 106, 92), thin=(126, 112, 88), pooled=(70, 84, 72), mottled=0.7, sheen=0.15),
    # raku
    "Thunder Penny": Look(
        body=(168, 90, 58), thin=(120, 112, 106), pooled=(86, 96, 126), mottled=0.8, streaks=0.3, sheen=0.8
    ),
    "Spiderglass": Look(body=(236, 232, 222), thin=(222, 214, 200), pooled=(242, 240, 234), covers=0.97, mottled=0.15),
    "Peacock Ditch": Look(body=(36, 142, 146), thin=(166, 98, 62), pooled=(20, 92, 116), mottled=0.7, sheen=0.6),
    "Cinder Honey": Look(body=(186, 118, 38), thin=(206, 158, 92), pooled=(134, 72, 20), covers=0.85, streaks=0.4),
    "Bonfire Slate": Look(body=(76, 80, 84), thin=(104, 96, 90), pooled=(52, 56, 64), mottled=0.7, specks=0.4),
    # underglazes, slips and terra sigillata
    "Inkwell line": Look(body=(40, 38, 42), thin=(66, 60, 58), pooled=(28, 26, 32), mottled=0.2),
    "Robin line": Look(body=(194, 112, 98), thin=(206, 142, 122), pooled=(170, 84, 76), mottled=0.2),
    "Fern line": Look(body=(86, 128, 62), thin=(122, 148, 92), pooled=(62, 104, 46), mottled=0.2),
    "Chalk slip": Look(body=(238, 234, 226), thin=(218, 204, 184), pooled=(244, 242, 238), mottled=0.2),
    "Sigillata, pale": Look(body=(230, 214, 186), thin=(222, 196, 162), pooled=(236, 226, 204), mottled=0.25),
    "Sigillata, fox": Look(body=(172, 82, 46), thin=(184, 104, 66), pooled=(146, 62, 34), mottled=0.25),
}
"""By the name of the glaze; wax leaves nothing to look at."""
