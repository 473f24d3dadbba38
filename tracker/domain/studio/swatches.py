"""Colors as people sort them: the color in the middle of a picture, and the family in which one looks for it.

Distances are taken in OKLab (B. Ottosson, "A perceptual color space for image processing", 2020; numbers from
memory), in which equal steps look about equally far apart.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from math import atan2, degrees, hypot
from statistics import median

_WRITTEN = re.compile(r"#[0-9a-f]{6}", re.ASCII)


class ColorFamily(StrEnum):
    """The families by which a color is looked for, in the order in which pages list them."""

    WHITE = "white"
    GRAY = "gray"
    BLACK = "black"
    BROWN = "brown"
    RED = "red"
    ORANGE = "orange"
    YELLOW = "yellow"
    GREEN = "green"
    TURQUOISE = "turquoise"
    BLUE = "blue"
    PURPLE = "purple"
    PINK = "pink"


@dataclass(frozen=True, slots=True)
class Color:
    """A color in sRGB, each part from 0 to 255."""

    red: int
    green: int
    blue: int

    def __str__(self) -> str:
        """The color as it is stored and as SVG writes it: "#3a6ea5"."""
        return f"#{self.red:02x}{self.green:02x}{self.blue:02x}"

    @classmethod
    def parse(cls, text: str) -> Color:
        """The color that `str` gave; ValueError for anything else."""
        if not _WRITTEN.fullmatch(text):
            message = f"{text!r} isn't a color"
            raise ValueError(message)
        return cls(*bytes.fromhex(text[1:]))

    @property
    def lab(self) -> tuple[float, float, float]:
        """Lightness from 0 to 1, then how far toward red (or green below 0), and toward yellow (or blue)."""
        red, green, blue = map(_to_light, (self.red, self.green, self.blue))
        long = (0.4122214708 * red + 0.5363325363 * green + 0.0514459929 * blue) ** (1 / 3)
        middle = (0.2119034982 * red + 0.6806995451 * green + 0.1073969566 * blue) ** (1 / 3)
        short = (0.0883024619 * red + 0.2817188376 * green + 0.6299787005 * blue) ** (1 / 3)
        return (
            0.2104542553 * long + 0.7936177850 * middle - 0.0040720468 * short,
            1.9779984951 * long - 2.4285922050 * middle + 0.4505937099 * short,
            0.0259040371 * long + 0.7827717662 * middle - 0.8086757660 * short,
        )

    @classmethod
    def of_lab(cls, lightness: float, toward_red: float, toward_yellow: float) -> Color:
        """The color with this place in OKLab, or the nearest that sRGB has."""
        long = (lightness + 0.3963377774 * toward_red + 0.2158037573 * toward_yellow) ** 3
        middle = (lightness - 0.1055613458 * toward_red - 0.0638541728 * toward_yellow) ** 3
        short = (lightness - 0.0894841775 * toward_red - 1.2914855480 * toward_yellow) ** 3
        return cls(
            _from_light(4.0767416621 * long - 3.3077115913 * middle + 0.2309699292 * short),
            _from_light(-1.2684380046 * long + 2.6097574011 * middle - 0.3413193965 * short),
            _from_light(-0.0041960863 * long - 0.7034186147 * middle + 1.7076147010 * short),
        )

    @property
    def family(self) -> ColorFamily:
        """The family in which one looks for it (common practice: the lines are drawn where most people name it so)."""
        lightness, toward_red, toward_yellow = self.lab
        strength, hue = hypot(toward_red, toward_yellow), degrees(atan2(toward_yellow, toward_red)) % 360
        if strength < _NEUTRAL or lightness < _BLACK:
            return _neutral(lightness)
        if lightness > _OFF_WHITE and strength < _TINTED:
            return ColorFamily.WHITE
        name = next(family for end, family in _AROUND if hue < end)
        return _as_pots_are_called(name, lightness, strength)


def median_color(colors: Iterable[Color]) -> Color:
    """The color in the middle of these: glints, specks and cracks that cover less than half of them don't count.

    ValueError where there are none.
    """
    lights, reds, yellows = zip(*(one.lab for one in colors), strict=True)
    return Color.of_lab(median(lights), median(reds), median(yellows))


# ---- where one family ends and the next begins (common practice) ----------------------------------------------------

_NEUTRAL = 0.028
"""Colors weaker than this have no hue that one would name."""
_BLACK, _NEARLY_BLACK, _WHITE = 0.30, 0.36, 0.84
"""Lightness below which anything is black, below which what has no hue is black, and above which that is white."""
_OFF_WHITE, _TINTED = 0.86, 0.055
"""Cream, ivory and ice are looked for among the whites: light, with no more than a tint."""
_BROWN, _DARK, _BEIGE = 0.62, 0.52, 0.80
_STRONG, _DULL = 0.13, 0.085
"""Orange and yellow are brown when darker than _BROWN and not strong, _DARK, or _BEIGE and dull."""
_LIGHT_RED, _PALE_RED, _DARK_PINK = 0.66, 0.60, 0.52
"""Red lighter than the first, or than the second and not strong, is pink; pink darker than the third, red or purple."""

_AROUND = (
    (10.0, ColorFamily.PINK),
    (36.0, ColorFamily.RED),
    (76.0, ColorFamily.ORANGE),
    (112.0, ColorFamily.YELLOW),
    (168.0, ColorFamily.GREEN),
    (218.0, ColorFamily.TURQUOISE),
    (286.0, ColorFamily.BLUE),
    (338.0, ColorFamily.PURPLE),
    (360.0, ColorFamily.PINK),
)
"""Once around the hues, by the degree at which each ends."""


def _neutral(lightness: float) -> ColorFamily:
    if lightness > _WHITE:
        return ColorFamily.WHITE
    return ColorFamily.BLACK if lightness < _NEARLY_BLACK else ColorFamily.GRAY


def _as_pots_are_called(family: ColorFamily, lightness: float, strength: float) -> ColorFamily:
    """Iron browns are dark or dull oranges and yellows, pinks are light reds, and a dark pink is a red or a purple."""
    is_dull = strength < _DULL
    if family in {ColorFamily.ORANGE, ColorFamily.YELLOW}:
        darker_than = _BEIGE if is_dull else _BROWN if strength < _STRONG else _DARK
        is_brown = lightness < darker_than or strength < _TINTED
        return ColorFamily.BROWN if is_brown else family
    if family is ColorFamily.RED:
        if lightness > (_PALE_RED if strength < _STRONG else _LIGHT_RED):
            return ColorFamily.PINK
        return ColorFamily.BROWN if is_dull else family
    if family is ColorFamily.PINK and lightness < _DARK_PINK:
        return ColorFamily.PURPLE if is_dull else ColorFamily.RED
    return family


# The curve of sRGB (IEC 61966-2-1): straight in the dark up to these shares, then a power.
_STRAIGHT, _STRAIGHT_LIGHT = 0.04045, 0.0031308


@cache
def _to_light(part: int) -> float:
    """A part of an sRGB color as an amount of light."""
    share = part / 255
    return share / 12.92 if share <= _STRAIGHT else ((share + 0.055) / 1.055) ** 2.4


def _from_light(amount: float) -> int:
    amount = min(1.0, max(0.0, amount))
    share = amount * 12.92 if amount <= _STRAIGHT_LIGHT else 1.055 * amount ** (1 / 2.4) - 0.055
    return round(share * 255)
