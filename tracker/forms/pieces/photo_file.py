"""A photo that came in becomes two prints: upright, small and large, with nothing of where or when it was taken.

Pictures are opened here and nowhere else in the tool (DEVELOPERS.md, D21).
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable
from io import BytesIO
from threading import Lock

from PIL import Image, ImageCms

from tracker.domain.pieces.photos import (
    LONGEST_SIDE,
    Format,
    Prints,
    Size,
    damaged,
    format_of,
    must_not_be_too_heavy,
    must_not_be_too_large,
)
from tracker.domain.studio.swatches import Color, median_color

# Pillow would warn at a bound of its own; every size is held against ours, before anything is laid out in memory.
Image.MAX_IMAGE_PIXELS = None

_ORIENTATION = 0x0112
"""The EXIF tag for how the camera was held; its values are 1 to 8 (EXIF 2.32, 4.6.4, from memory)."""

_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_QUALITY = {Size.SMALL: 80, Size.LARGE: 85}
_PAPER = (255, 255, 255)
# What Pillow raises for files that are not what they begin as.
_UNREADABLE = (
    OSError,
    SyntaxError,
    ValueError,
    EOFError,
    LookupError,
    TypeError,
    OverflowError,
    struct.error,
    zlib.error,
)
# A photo of many pixels takes hundreds of megabytes while it is open, so only one is open at a time.
_ONE_AT_A_TIME = Lock()


_FEWER = 32
"""Pixels along the side to which the middle of a tile is brought down before its color is read: grain evens out."""


def read_tile(raw: bytes) -> tuple[Prints, Color]:
    """The square prints of a test tile's photo, and the color in its middle; refused as `read_photo` refuses.

    Of a photo that isn't square its middle is taken.
    """
    large = _square(_developed(raw))
    return _prints(large), _swatch(large)


def read_photo(raw: bytes) -> Prints:
    """The prints of a photo as it was sent: JPEG, PNG or WebP, of an animated one its first picture.

    Refused with one sentence (`Unusable`): what is empty, too heavy, of another kind, damaged, or too large in pixels,
    which its head tells before it is laid out.
    """
    return _prints(_developed(raw))


def _developed(raw: bytes) -> Image.Image:
    """The large print, before it is written."""
    must_not_be_too_heavy(len(raw))
    written_as = format_of(raw[:16])
    if written_as is Format.WEBP:
        # Pillow's reader of WebP makes room for the whole picture as soon as it opens the file.
        must_not_be_too_large(*_webp_size(raw))
    with _ONE_AT_A_TIME:
        return _whole(lambda: _opened(raw, written_as))


def _prints(large: Image.Image) -> Prints:
    small = large.copy()
    small.thumbnail((LONGEST_SIDE[Size.SMALL],) * 2, Image.Resampling.LANCZOS)
    return Prints(
        small=_jpeg(small, Size.SMALL), large=_jpeg(large, Size.LARGE), width=large.width, height=large.height
    )


def _square(photo: Image.Image) -> Image.Image:
    """The largest square from the middle of it."""
    side = min(photo.size)
    left, top = (photo.width - side) // 2, (photo.height - side) // 2
    return photo.crop((left, top, left + side, top + side))


def _swatch(tile: Image.Image) -> Color:
    """The color of the middle third."""
    third = tile.width / 3
    middle = tile.resize((_FEWER, _FEWER), Image.Resampling.BOX, box=(third, third, 2 * third, 2 * third))
    parts = iter(middle.tobytes())
    return median_color(Color(*one) for one in zip(parts, parts, parts, strict=True))


def _whole(develop: Callable[[], Image.Image]) -> Image.Image:
    try:
        return develop()
    except _UNREADABLE:
        raise damaged() from None


def _opened(raw: bytes, written_as: Format) -> Image.Image:
    """The picture upright, in sRGB and no larger than the large print."""
    name = written_as.name
    with Image.open(BytesIO(raw), formats=(name,)) as photo:
        must_not_be_too_large(*photo.size)
        longest = LONGEST_SIDE[Size.LARGE]
        # A JPEG can be opened at an eighth of its size and still be larger than its print: that saves most of the work.
        photo.draft(None, (longest * 2, longest * 2))
        photo.load()
        turned, profile = _turned(photo), photo.info.get("icc_profile")
        flat = _on_paper(photo)
    flat.thumbnail((longest, longest), Image.Resampling.LANCZOS, reducing_gap=3.0)
    upright = flat if turned is None else flat.transpose(turned)
    return _only_the_picture(_in_srgb(upright, profile))


def _turned(photo: Image.Image) -> Image.Transpose | None:
    """How to turn the photo upright; nothing where its EXIF does not say so, or cannot be read."""
    try:
        return _UPRIGHT.get(photo.getexif().get(_ORIENTATION, 1))
    except _UNREADABLE:
        return None


def _on_paper(photo: Image.Image) -> Image.Image:
    """The photo in plain red, green and blue; what was see-through lies on white."""
    if photo.mode.startswith("I"):
        # Sixteen bits a pixel are more than a JPEG holds: the upper eight are what one sees.
        return photo.convert("I").point(lambda level: level / 256).convert("L").convert("RGB")
    if photo.mode in {"LA", "PA", "La", "RGBA", "RGBa"} or "transparency" in photo.info:
        clear = photo.convert("RGBA")
        paper = Image.new("RGB", photo.size, _PAPER)
        paper.paste(clear, mask=clear.getchannel("A"))
        return paper
    # A copy in any case, since the file is closed behind it.
    return photo.convert("RGB") if photo.mode != "RGB" else photo.copy()


def _in_srgb(photo: Image.Image, profile: object) -> Image.Image:
    """The same colors in sRGB: without its profile a phone's photo would look pale, and glazes go by their color."""
    if not isinstance(profile, bytes):
        return photo
    try:
        own = ImageCms.ImageCmsProfile(BytesIO(profile))
        turned = ImageCms.profileToProfile(photo, own, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, *_UNREADABLE):
        return photo
    return turned or photo


def _only_the_picture(photo: Image.Image) -> Image.Image:
    """The same picture on a fresh sheet: comments and whatever else the file carried stay behind."""
    sheet = Image.new("RGB", photo.size, _PAPER)
    sheet.paste(photo)
    return sheet


def _jpeg(photo: Image.Image, size: Size) -> bytes:
    kept = BytesIO()
    photo.save(kept, "JPEG", quality=_QUALITY[size], optimize=True, progressive=size is Size.LARGE)
    return kept.getvalue()


def _webp_size(raw: bytes) -> tuple[int, int]:
    """Width and height as the head of a WebP file says them (RFC 9649, sections 2.5 to 2.7)."""
    chunk, inside = raw[12:16], raw[20:30]
    if len(inside) < 10:  # noqa: PLR2004 -- the longest of the three heads
        raise damaged()
    if chunk == b"VP8X":
        return 1 + int.from_bytes(inside[4:7], "little"), 1 + int.from_bytes(inside[7:10], "little")
    if chunk == b"VP8L":
        packed = int.from_bytes(inside[1:5], "little")
        return 1 + (packed & 0x3FFF), 1 + (packed >> 14 & 0x3FFF)
    if chunk == b"VP8 ":
        return int.from_bytes(inside[6:8], "little") & 0x3FFF, int.from_bytes(inside[8:10], "little") & 0x3FFF
    raise damaged()
