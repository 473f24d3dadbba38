"""Invented photos of the story's pots: drawn line by line in the colors of clay and glaze, none of them taken."""

from __future__ import annotations

from io import BytesIO
from math import cos, pi, sin
from random import Random

from PIL import Image, ImageDraw, ImageFilter

from tracker.domain.pieces.piece import Build, Piece
from tracker.domain.studio.materials import ClayKind

Color = tuple[int, int, int]

WIDTH, HEIGHT = 420, 525
"""Pixels of a photo; it is drawn twice as large and then brought down, which smooths its edges."""

_STRIPS = 48
"""Into how many strips a wall is drawn, from its left edge to its right."""

_CLAYS: dict[ClayKind, Color] = {
    ClayKind.EARTHENWARE: (173, 92, 62),
    ClayKind.STONEWARE: (176, 156, 130),
    ClayKind.PORCELAIN: (226, 220, 210),
    ClayKind.GROGGED: (150, 118, 92),
    ClayKind.UNKNOWN: (134, 124, 116),
}
_GLAZES: dict[str, Color] = {
    "turquoise": (58, 150, 150), "blue-green": (140, 182, 172), "gray-green": (138, 158, 138), "green": (84, 124, 78),
    "blue": (58, 84, 132), "purple": (96, 58, 98), "blood": (134, 38, 40), "orange": (206, 106, 44),
    "yellow": (214, 174, 86), "amber": (178, 122, 52), "rust": (142, 74, 46), "copper": (170, 100, 72),
    "rainbow": (150, 140, 160), "black": (48, 46, 48), "slate": (92, 98, 106), "brown": (112, 84, 64),
    "tan": (182, 150, 112), "pink": (198, 138, 126), "white": (228, 224, 214), "ivory": (226, 214, 188),
    "fox": (160, 88, 56), "clear": (204, 192, 172),
}  # fmt: skip
_WALLS: tuple[tuple[Color, Color], ...] = (
    ((206, 198, 184), (150, 128, 104)),
    ((190, 198, 200), (128, 110, 94)),
    ((214, 204, 190), (120, 118, 112)),
)


def photo_of(piece: Piece) -> bytes:
    """A JPEG of a piece on a shelf, the same each time: its outline goes by its measures and how it was built."""
    chance = Random(f"photo {piece.id}")  # noqa: S311 -- the story must repeat itself, and nothing in it is secret
    sheet = Image.new("RGB", (2 * WIDTH, 2 * HEIGHT))
    floor = _shelf(sheet, chance)
    outline = _outline(piece, floor, chance)
    _shadow(sheet, outline, floor)
    _pot(sheet, piece, outline, chance)
    kept = BytesIO()
    sheet.reduce(2).save(kept, "JPEG", quality=88)
    return kept.getvalue()


def _shelf(sheet: Image.Image, chance: Random) -> int:
    """A wall and a board; gives how far down the pot stands."""
    wall, board = chance.choice(_WALLS)
    pen, edge = ImageDraw.Draw(sheet), int(2 * HEIGHT * 0.6)
    for row in range(edge):
        pen.line((0, row, 2 * WIDTH, row), _shade(wall, 0.86 + 0.2 * row / edge))
    for row in range(edge, 2 * HEIGHT):
        pen.line((0, row, 2 * WIDTH, row), _shade(board, 1.12 - 0.4 * (row - edge) / (2 * HEIGHT - edge)))
    return int(2 * HEIGHT * 0.78)


def _outline(piece: Piece, floor: int, chance: Random) -> list[tuple[float, float]]:
    """How far from the middle the wall stands (x) at each height (y), from the rim down to the foot."""
    height, width = piece.height_mm or 100, max(piece.width_mm or 100, piece.depth_mm or 100)
    scale = min(2 * WIDTH * 0.72 / width, 2 * HEIGHT * 0.6 / height)
    tall, half = max(height * scale, 70), max(width * scale / 2, 60)
    # Three numbers make a profile: how wide the rim, the foot, and where its belly is.
    rim, foot, belly = chance.uniform(0.5, 1.0), chance.uniform(0.45, 0.75), chance.uniform(0.3, 0.75)
    if width > height * 1.2:
        rim, foot, belly = 1.0, chance.uniform(0.4, 0.6), 0.05
    if piece.build in {Build.SLAB, Build.PRESS_MOLDED}:
        rim, foot, belly = 1.0, 1.0, 0.5
    wobble = 0.014 if piece.build in {Build.PINCH, Build.COIL} else 0.0
    steps = 60
    outline = []
    for step in range(steps + 1):
        share = step / steps
        towards = share / belly if share < belly else (1 - share) / (1 - belly)
        end = rim if share < belly else foot
        wide = end + (1 - end) * sin(min(towards, 1.0) * pi / 2)
        outline.append((half * (wide + wobble * sin(share * 21)), floor - tall * (1 - share)))
    return outline


def _shadow(sheet: Image.Image, outline: list[tuple[float, float]], floor: int) -> None:
    half, middle = max(x for x, _ in outline), WIDTH
    dark = Image.new("L", sheet.size, 0)
    ImageDraw.Draw(dark).ellipse((middle - half * 0.85, floor - 26, middle + half * 1.55, floor + 40), 120)
    soft = dark.reduce(8).filter(ImageFilter.GaussianBlur(3)).resize(sheet.size)
    sheet.paste((38, 30, 24), mask=soft)


def _pot(sheet: Image.Image, piece: Piece, outline: list[tuple[float, float]], chance: Random) -> None:
    body = _CLAYS[piece.clay.kind]
    coats = [_GLAZES[word] for layer in piece.layers if (word := _color_word(layer.glaze.color))]
    coat = coats[-1] if coats else body
    line = len(outline) - chance.randint(4, 12)
    pen, middle = ImageDraw.Draw(sheet), WIDTH
    walls = [(body, outline[line - 1 :]), (coat, outline[:line])] if coats else [(body, outline)]
    for color, wall in walls:
        for part in range(_STRIPS):
            # Light comes from the left: each strip of the wall is as bright as it is turned to it.
            left, right = -cos(pi * part / _STRIPS), -cos(pi * (part + 1) / _STRIPS)
            light = 0.62 + 0.5 * max(0.0, sin(pi * (part / _STRIPS * 0.86 + 0.12))) ** 1.4
            strip = [(middle + x * left, y) for x, y in wall]
            pen.polygon([*strip, *((middle + x * right + 1, y) for x, y in reversed(wall))], _shade(color, light))
    if len(coats) > 1:
        _run_down(pen, coats[0], outline, line, chance)
    rim, top = outline[0]
    box = (middle - rim, top - rim * 0.16, middle + rim, top + rim * 0.16)
    pen.ellipse(box, _shade(coat, 0.52), _shade(coats[0] if coats else body, 1.06), 8)


def _run_down(
    pen: ImageDraw.ImageDraw, color: Color, outline: list[tuple[float, float]], line: int, chance: Random
) -> None:
    """Another coat over the rim that ran down the wall, each run as far as it liked, none beyond the glaze line."""
    rim, top = outline[0]
    low, runs = outline[line][1], 15
    for run in range(runs):
        left, right = -cos(pi * run / runs), -cos(pi * (run + 1) / runs)
        end = top + rim * 0.16 + (low - top) * chance.uniform(0.08, 0.5)
        box = (WIDTH + rim * left - 2, top, WIDTH + rim * right + 2, min(end, low))
        light = 0.66 + 0.44 * sin(pi * (run + 0.5) / runs * 0.86 + 0.3) ** 2
        pen.rounded_rectangle(box, (box[2] - box[0]) * 0.45, _shade(color, light))


def _color_word(words: str) -> str:
    return next((word for word in _GLAZES if word in words), "")


def _shade(color: Color, light: float) -> Color:
    red, green, blue = (min(255, max(0, round(part * light))) for part in color)
    return red, green, blue
