"""Invented photos of test tiles: each glaze on each clay, drawn as light falls on it, none of them taken."""

from __future__ import annotations

from io import BytesIO
from typing import Any
from zlib import crc32

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from demo_seed.tile_looks import CLAYS, SPECKLED, Look, Rgb
from tracker.domain.studio.materials import Coat, Glaze, Surface, Trait

Field = NDArray[Any]
"""One number for each pixel, or three."""

SIDE = 288
"""Pixels along the side of a picture."""

_BOARD: Rgb = (212, 206, 196)
_GROOVES = (0.22, 0.30, 0.38)
"""How far down the lines are that were pressed into the clay, over which a glaze breaks and pools."""
_GLAZE_LINE = 0.86
_CELLS = 8
"""Cells of a crackle along one side."""
_GRAIN = {Surface.GLOSS: 0.0, Surface.SATIN: 0.012, Surface.MATTE: 0.03, Surface.DRY: 0.065}
_DOWN, _ACROSS = (np.mgrid[0:SIDE, 0:SIDE] / (SIDE - 1)).astype(np.float32)


def tile_of(glaze: Glaze, clay: str, look: Look) -> bytes:
    """A JPEG of a test tile of a glaze on a clay, the same each time."""
    chance = np.random.default_rng(crc32(f"{glaze.name} on {clay}".encode()))
    surface = glaze.surface or Surface.GLOSS
    slab = _slab(chance)
    body = _clay(clay, chance)
    thick, covered = _thickness(glaze, look, slab, chance)
    coat = _coat(look, thick, body, chance)
    if clay in SPECKLED or look.specks:
        coat = _specked(coat, 0.5 if clay in SPECKLED else look.specks, chance)
    if Trait.CRACKLE in glaze.traits:
        coat = _crackled(coat, look, chance)
    if look.sheen:
        coat = _iridescent(coat, look.sheen, thick, chance)
    ware = _mixed(body, coat, covered)
    lit = _lit(ware, slab + 0.010 * thick * covered, covered, surface, chance)
    return _jpeg(_on_board(lit))


# ---- shapes and fields ------------------------------------------------------------------------------------------


def _noise(chance: np.random.Generator, across: int, down: int = 0) -> Field:
    """Smooth chance from -1 to 1, with so many swells from left to right and from top to bottom."""
    swells = Image.fromarray(chance.random((down or across, across), np.float32) * 2 - 1)
    return np.asarray(swells.resize((SIDE, SIDE), Image.Resampling.BICUBIC))


def _step(field: Field, start: float, end: float) -> Field:
    """0 up to `start`, 1 from `end`, and smoothly between."""
    share = np.clip((field - start) / (end - start), 0, 1)
    return np.asarray(share * share * (3 - 2 * share))


def _edge() -> Field:
    """How far inside the tile a pixel is; below 0 outside. Its corners are rounded."""
    half, corner = 0.468, 0.05
    out_x, out_y = (np.abs(axis - 0.5) - (half - corner) for axis in (_ACROSS, _DOWN))
    outside = np.hypot(np.maximum(out_x, 0), np.maximum(out_y, 0))
    return np.asarray(corner - outside - np.minimum(np.maximum(out_x, out_y), 0))


_INSIDE = _edge()


def _slab(chance: np.random.Generator) -> Field:
    """The height of the clay: an edge that falls off, three grooves, and what fingers left."""
    waver = 0.006 * _noise(chance, 5)
    grooves = sum(np.exp(-(((_DOWN + waver - line) / 0.012) ** 2)) for line in _GROOVES)
    return np.asarray(0.03 * _step(_INSIDE, 0, 0.035) - 0.011 * grooves + 0.002 * _noise(chance, 9))


def _thickness(glaze: Glaze, look: Look, slab: Field, chance: np.random.Generator) -> tuple[Field, Field]:
    """How thick the coat is, from 0 to about 1, and how far it covers the clay: not below its line, not over edges."""
    hollow = -(slab - 0.03) / 0.011
    runs = look.streaks * _noise(chance, 42, 3) + 0.5 * look.streaks * _noise(chance, 90, 4)
    thick = 0.5 + 0.1 * _noise(chance, 4) + 0.06 * _noise(chance, 14) + 0.3 * runs * _step(_DOWN, 0.1, 0.6)
    thick += 0.22 * np.clip(hollow, 0, 1) + (0.25 * look.streaks) * (_DOWN - 0.45)
    thick *= _step(_INSIDE, -0.01, 0.055)
    # Beside a groove, where the clay stands out, a melt draws back and lets it through.
    rims = sum(np.exp(-(((np.abs(_DOWN - line) - 0.024) / 0.009) ** 2)) for line in _GROOVES)
    melts = glaze.coat in {Coat.GLAZE, Coat.OVERGLAZE}
    thick -= (0.2 if melts else 0.05) * rims
    drips = _noise(chance, 11, 2) if melts else _noise(chance, 6, 2)
    line = _GLAZE_LINE + (0.012 + 0.03 * look.streaks) * drips
    above = line - _DOWN
    if melts:
        thick += 0.22 * np.exp(-((above / 0.018) ** 2))
    return np.clip(thick, 0, 1.2), _step(above, -0.004, 0.006)


def _clay(name: str, chance: np.random.Generator) -> Field:
    """The color of the bare clay, a little uneven."""
    body = np.asarray(CLAYS[name], np.float32) * (1 + 0.05 * _noise(chance, 60) + 0.03 * _noise(chance, 6))[..., None]
    return _specked(body, 0.5, chance) if name in SPECKLED else body


# ---- the coat ---------------------------------------------------------------------------------------------------


def _coat(look: Look, thick: Field, body: Field, chance: np.random.Generator) -> Field:
    """The color of the coat over that clay, by how thick it is."""
    uneven = thick + look.mottled * (0.16 * _noise(chance, 7) + 0.12 * _noise(chance, 23) + 0.06 * _noise(chance, 70))
    color = _mixed(_even(look.thin), _even(look.body), _step(uneven, 0.16, 0.5))
    color = _mixed(color, _even(look.pooled), _step(uneven, 0.56, 0.98))
    color = color * (1 + 0.04 * look.mottled * _noise(chance, 40))[..., None]
    # A clear coat colors the clay like a filter; a covering one hides it.
    through = body * color / 255
    return _mixed(through, color, np.clip(look.covers * (0.68 + 0.55 * thick), 0, 1))


def _even(color: Rgb) -> Field:
    return np.broadcast_to(np.asarray(color, np.float32), (SIDE, SIDE, 3))


def _mixed(one: Field, other: Field, share: Field) -> Field:
    return np.asarray(one + (other - one) * share[..., None])


def _specked(color: Field, amount: float, chance: np.random.Generator) -> Field:
    """With specks of iron, soft at their edge."""
    specks = _step(_noise(chance, 130), 0.93 - 0.2 * amount, 1.02 - 0.12 * amount)
    return _mixed(color, _even((62, 40, 28)), 0.8 * specks)


def _crackled(color: Field, look: Look, chance: np.random.Generator) -> Field:
    """With a net of cracks: the borders of cells around points strewn at random."""
    step = 3
    bend = 0.018 * np.stack([_noise(chance, 9), _noise(chance, 9)])[:, ::step, ::step]
    down, across = _DOWN[::step, ::step] + bend[0], _ACROSS[::step, ::step] + bend[1]
    rows = np.arange(-0.5, _CELLS + 0.5)
    points = np.stack(np.meshgrid(rows, rows), axis=-1).reshape(-1, 2) + chance.uniform(0, 0.85, (len(rows) ** 2, 2))
    points = (points / _CELLS).astype(np.float32)
    near = np.hypot(across - points[:, 0, None, None], down - points[:, 1, None, None])
    near.partition(1, axis=0)
    apart = Image.fromarray(near[1] - near[0]).resize((SIDE, SIDE), Image.Resampling.BICUBIC)
    lines = 1 - _step(np.asarray(apart) + 0.003 * _noise(chance, 60), 0.0, 0.010)
    smoked = (38, 34, 32) if look.covers > 0.5 else (120, 104, 88)  # noqa: PLR2004 -- smoke stains only what covers
    return _mixed(color, _even(smoked), 0.8 * lines)


def _iridescent(color: Field, sheen: float, thick: Field, chance: np.random.Generator) -> Field:
    """With the colors of a thin film, which turn as it gets thicker."""
    turn = 4 * thick + 1.6 * _noise(chance, 4) + 0.5 * _noise(chance, 12) + 1.5 * _ACROSS
    film = np.stack([np.cos(turn + shift) for shift in (0.0, 2.1, 4.2)], axis=-1)
    patches = 0.25 + 0.75 * _step(_noise(chance, 5), -0.5, 0.6)
    return _mixed(color, color * (1.0 + 0.28 * film), sheen * patches)


# ---- the light --------------------------------------------------------------------------------------------------


def _lit(ware: Field, height: Field, covered: Field, surface: Surface, chance: np.random.Generator) -> Field:
    """The tile under a lamp at its upper left, beside a window."""
    slope_y, slope_x = np.gradient(height, 1 / SIDE)
    length = np.sqrt(1 + slope_x**2 + slope_y**2)
    facing = (0.45 * slope_x + 0.55 * slope_y + 0.72) / length
    lit = ware * (0.52 + 0.62 * np.clip(facing, 0, 1.3))[..., None]
    grain = _GRAIN[surface] * covered + 0.05 * (1 - covered)
    lit = lit * (1 + grain * chance.standard_normal((SIDE, SIDE), np.float32))[..., None]
    return np.asarray(lit + 255 * (covered * _shine(slope_x, slope_y, facing, surface))[..., None])


def _shine(slope_x: Field, slope_y: Field, facing: Field, surface: Surface) -> Field:
    """What the coat throws back: a window in gloss, a soft glow in satin, next to nothing in the others."""
    if surface is Surface.GLOSS:
        x, y = _ACROSS + 0.10 * slope_x, _DOWN + 0.10 * slope_y
        lean = x + 0.25 * y
        wide = _step(lean, 0.12, 0.16) - _step(lean, 0.40, 0.44)
        window = wide * (_step(y, 0.07, 0.09) - _step(y, 0.17, 0.2))
        bar = 1 - 0.8 * np.exp(-(((lean - 0.28) / 0.008) ** 2))
        return np.asarray(0.50 * window * bar + 0.55 * _step(facing, 0.95, 1.12))
    if surface is Surface.SATIN:
        glow = np.exp(-(((_ACROSS - 0.3) / 0.3) ** 2) - ((_DOWN - 0.16) / 0.14) ** 2)
        return np.asarray(0.16 * glow + 0.14 * _step(facing, 0.9, 1.15))
    return np.asarray(0.03 * _step(facing, 0.85, 1.2))


def _on_board(ware: Field) -> Field:
    """The tile on a board, with its shadow to the lower right."""
    board = _even(_BOARD) * (1.03 - 0.08 * (_ACROSS + _DOWN) / 2)[..., None]
    shadow = np.roll(_step(_INSIDE, -0.03, 0.02), (5, 4), axis=(0, 1))
    board = board * (1 - 0.45 * shadow)[..., None]
    return _mixed(board, ware, _step(_INSIDE, -0.0015, 0.0015))


def _jpeg(picture: Field) -> bytes:
    kept = BytesIO()
    Image.fromarray(np.clip(picture, 0, 255).astype(np.uint8)).save(kept, "JPEG", quality=90)
    return kept.getvalue()
