"""A photo comes in as a phone sends it, and two upright prints come out with nothing else in them."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms, PngImagePlugin

from tests.drawn import examples
from tests.photographed import CORNERS, a_picture, written
from tracker.domain.pieces.photos import MOST_BYTES
from tracker.domain.refusals import Unusable
from tracker.forms.pieces.photo_file import read_photo, read_tile

ORIENTATION, GPS, MAKE, SOFTWARE, TAKEN_AT = 0x0112, 0x8825, 0x010F, 0x0131, 0x0132
KINDS = ("JPEG", "PNG", "WEBP")

# How a camera stores what it sees when it is held so: EXIF 2.32, 4.6.4, "Orientation", says where the stored first row
# and first column are in the scene. 6 is "row 0 is the right-hand side, column 0 the visual top", and so on.
AS_STORED = {
    1: {"top left": "top left", "top right": "top right", "bottom left": "bottom left", "bottom right": "bottom right"},
    2: {"top left": "top right", "top right": "top left", "bottom left": "bottom right", "bottom right": "bottom left"},
    3: {"top left": "bottom right", "top right": "bottom left", "bottom left": "top right", "bottom right": "top left"},
    4: {"top left": "bottom left", "top right": "bottom right", "bottom left": "top left", "bottom right": "top right"},
    5: {"top left": "top left", "top right": "bottom left", "bottom left": "top right", "bottom right": "bottom right"},
    6: {"top left": "top right", "top right": "bottom right", "bottom left": "top left", "bottom right": "bottom left"},
    7: {"top left": "bottom right", "top right": "top right", "bottom left": "bottom left", "bottom right": "top left"},
    8: {"top left": "bottom left", "top right": "top left", "bottom left": "bottom right", "bottom right": "top right"},
}
"""By orientation: in each corner of the stored picture, which corner of the scene lies."""


def opened(jpeg: bytes) -> Image.Image:
    """A print as a browser would open it."""
    picture = Image.open(BytesIO(jpeg))
    picture.load()
    return picture


def corners(picture: Image.Image) -> dict[str, tuple[int, ...]]:
    """The colors well inside each corner."""
    across, down = picture.width // 8, picture.height // 8
    places = {
        "top left": (across, down),
        "top right": (picture.width - across, down),
        "bottom left": (across, picture.height - down),
        "bottom right": (picture.width - across, picture.height - down),
    }
    found = {where: picture.getpixel(place) for where, place in places.items()}
    assert all(isinstance(color, tuple) for color in found.values())
    return {where: color for where, color in found.items() if isinstance(color, tuple)}


def is_near(one: tuple[int, ...], other: tuple[int, ...], most: int = 12) -> bool:
    """Whether two colors are the same but for what a JPEG loses."""
    return all(abs(a - b) <= most for a, b in zip(one, other, strict=True))


def stored(orientation: int) -> Image.Image:
    """The scene as a camera stores it that was held so."""
    width, height = (400, 300) if orientation < 5 else (300, 400)
    picture = Image.new("RGB", (width, height))
    for corner, scene in AS_STORED[orientation].items():
        left, top = ("right" in corner) * width // 2, ("bottom" in corner) * height // 2
        picture.paste(CORNERS[scene], (left, top, left + width // 2, top + height // 2))
    return picture


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("orientation", AS_STORED)
def test_a_photo_is_turned_upright_however_the_camera_was_held(orientation: int, kind: str) -> None:
    exif = Image.Exif()
    exif[ORIENTATION] = orientation

    prints = read_photo(written(stored(orientation), kind, exif=exif, quality=95))

    for jpeg in (prints.large, prints.small):
        picture = opened(jpeg)
        seen = corners(picture)
        assert picture.width > picture.height
        assert {where: is_near(seen[where], color) for where, color in CORNERS.items()} == dict.fromkeys(CORNERS, True)
    assert (prints.width, prints.height) == opened(prints.large).size == (400, 300)


@pytest.mark.parametrize("kind", KINDS)
def test_where_when_and_with_what_it_was_taken_stays_behind(kind: str) -> None:
    exif = Image.Exif()
    exif[MAKE], exif[SOFTWARE], exif[TAKEN_AT] = "Attic Optics", "Attic 9.1", "2026:03:03 12:00:00"
    # 38° 43' 12" N, 9° 8' 24" W, as GPS tags 1 to 4 of EXIF 2.32 hold it.
    exif[GPS] = {1: "N", 2: (38.0, 43.0, 12.0), 3: "W", 4: (9.0, 8.0, 24.0)}
    more: dict[str, object] = {"xmp": b"<x:xmpmeta>Cinder Lane 9</x:xmpmeta>"} if kind != "PNG" else {}
    if kind == "JPEG":
        more["comment"] = b"Cinder Lane 9"
    if kind == "PNG":
        notes = PngImagePlugin.PngInfo()
        notes.add_text("Comment", "Cinder Lane 9")
        more["pnginfo"] = notes
    raw = written(a_picture(), kind, exif=exif, **more)
    assert opened(raw).getexif().get_ifd(GPS)[2] == (38.0, 43.0, 12.0)
    assert b"Attic" in raw
    assert b"Cinder" in raw

    prints = read_photo(raw)

    for jpeg in (prints.small, prints.large):
        picture = opened(jpeg)
        assert dict(picture.getexif()) == {}
        assert dict(picture.getexif().get_ifd(GPS)) == {}
        assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression"}
        assert not any(word in jpeg for word in (b"Exif", b"Attic", b"Cinder", b"GPS", b"http", b"ICC_PROFILE"))


@pytest.mark.parametrize("kind", KINDS)
def test_a_large_photo_is_kept_small_and_large_in_its_own_proportions(kind: str) -> None:
    prints = read_photo(written(a_picture(3000, 2000), kind))

    assert opened(prints.large).size == (prints.width, prints.height) == (1600, 1067)
    assert opened(prints.small).size == (320, 213)
    assert opened(prints.large).format == opened(prints.small).format == "JPEG"
    assert len(prints.small) < len(prints.large) < 200_000


def test_a_small_photo_is_not_blown_up() -> None:
    prints = read_photo(written(a_picture(200, 100)))

    assert opened(prints.large).size == opened(prints.small).size == (200, 100)


def test_a_sliver_stays_a_picture() -> None:
    prints = read_photo(written(Image.new("RGB", (4000, 1), (9, 9, 9)), "PNG"))

    assert opened(prints.small).size == (320, 1)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "I;16", "I"])
def test_every_sort_of_png_comes_out_as_it_looks(mode: str) -> None:
    gray = Image.new("L", (40, 30), 200 if mode != "1" else 255)
    sixteen_bits = Image.new("I;16", (40, 30), 200 * 257)
    picture = {"I;16": sixteen_bits, "I": sixteen_bits}.get(mode) or gray.convert(mode)

    pixel = opened(read_photo(written(picture, "PNG")).large).getpixel((20, 15))

    wanted = 255 if mode == "1" else 200
    assert isinstance(pixel, tuple)
    assert is_near(pixel, (wanted,) * 3, 2)


def test_a_cmyk_jpeg_comes_out_in_its_colors() -> None:
    prints = read_photo(written(Image.new("CMYK", (40, 30), (0, 255, 255, 0))))

    pixel = opened(prints.large).getpixel((20, 15))
    assert isinstance(pixel, tuple)
    assert is_near(pixel, (255, 0, 0), 40)


def test_what_is_see_through_lies_on_white() -> None:
    clear = Image.new("RGBA", (40, 30), (255, 0, 0, 0))

    for kind in ("PNG", "WEBP"):
        pixel = opened(read_photo(written(clear, kind, lossless=True)).large).getpixel((20, 15))
        assert pixel == (255, 255, 255)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_of_a_picture_that_moves_the_first_is_kept(kind: str) -> None:
    frames = [Image.new("RGB", (60, 40), color) for color in ((10, 120, 40), (200, 20, 20), (20, 20, 200))]

    raw = written(frames[0], kind, save_all=True, append_images=frames[1:], duration=100)

    pixel = opened(read_photo(raw).large).getpixel((30, 20))
    assert isinstance(pixel, tuple)
    assert is_near(pixel, (10, 120, 40))


def test_colors_are_turned_from_the_cameras_profile_into_the_screens() -> None:
    # sRGB with the names of its red and its green swapped in the table of tags (ICC.1:2022, 7.3 and 9.2): whoever goes
    # by the profile sees the one where the other is stored.
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    swapped = plain.replace(b"rXYZ", b"?XYZ", 1).replace(b"gXYZ", b"rXYZ", 1).replace(b"?XYZ", b"gXYZ", 1)
    picture = Image.new("RGB", (40, 30), (40, 200, 90))

    seen = {
        name: opened(read_photo(written(picture, "PNG", icc_profile=profile)).large).getpixel((20, 15))
        for name, profile in {"swapped": swapped, "its own": plain, "broken": b"no profile at all"}.items()
    }

    wanted = {"swapped": (200, 40, 90), "its own": (40, 200, 90), "broken": (40, 200, 90)}
    assert {name: isinstance(one, tuple) and is_near(one, wanted[name], 4) for name, one in seen.items()} == {
        "swapped": True,
        "its own": True,
        "broken": True,
    }


# ---- what is refused


def bomb(width: int, height: int) -> bytes:
    """A PNG whose head promises so many pixels, with hardly anything behind it."""

    def chunk(name: bytes, inside: bytes) -> bytes:
        return struct.pack(">I", len(inside)) + name + inside + struct.pack(">I", zlib.crc32(name + inside))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 99)) + chunk(b"IEND", b"")


def webp_bomb() -> bytes:
    """The head of a WebP as large as one can say it: 16,384 by 16,384 pixels."""
    inside = b"\x00\x00\x00\x00" + (16_383).to_bytes(3, "little") * 2
    return b"RIFF" + struct.pack("<I", 22) + b"WEBPVP8X" + struct.pack("<I", 10) + inside


def huge_jpeg() -> bytes:
    """A JPEG whose frame says 60,000 by 60,000 pixels."""
    raw = bytearray(written(a_picture(64, 64)))
    frame = raw.index(b"\xff\xc0")
    raw[frame + 5 : frame + 9] = struct.pack(">HH", 60_000, 60_000)
    return bytes(raw)


@pytest.mark.parametrize("raw", [bomb(50_000, 50_000), webp_bomb(), huge_jpeg()], ids=["PNG", "WebP", "JPEG"])
def test_a_picture_of_too_many_pixels_is_refused_by_its_head(raw: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    decoded: list[object] = []
    monkeypatch.setattr("PIL.ImageFile.ImageFile.load", decoded.append)

    with pytest.raises(Unusable, match="photo-too-large"):
        read_photo(raw)

    assert decoded == []


def test_ten_megabytes_and_a_byte_are_refused_unopened() -> None:
    with pytest.raises(Unusable, match="photo-too-heavy"):
        read_photo(written() + b"\0" * (MOST_BYTES + 1 - len(written())))


def test_ten_megabytes_are_taken() -> None:
    noise = Random(5).randbytes(3 * 1000 * 1000)  # noqa: S311 -- noise for a picture
    raw = written(Image.frombytes("RGB", (1000, 1000), noise), "PNG")
    padded = raw + b"\0" * (MOST_BYTES - len(raw))

    assert read_photo(padded).width == 1000


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_photo_that_was_cut_short_is_refused(kind: str, share: float) -> None:
    noise = Random(7).randbytes(3 * 300 * 200)  # noqa: S311 -- noise for a picture
    raw = written(Image.frombytes("RGB", (300, 200), noise), kind)

    with pytest.raises(Unusable, match="damaged"):
        read_photo(raw[: int(len(raw) * share)])


def test_a_letter_called_a_photo_a_gif_and_a_drawing_are_refused() -> None:
    for raw in (b"Dear studio, this is no photo.jpg", written(kind="GIF"), b"<svg xmlns='x'/>", written(kind="BMP")):
        with pytest.raises(Unusable, match="photo-unknown"):
            read_photo(raw)


def test_one_kind_that_begins_like_another_is_refused() -> None:
    with pytest.raises(Unusable, match="damaged"):
        read_photo(b"\xff\xd8\xff" + written(kind="PNG"))


FILES = {kind: written(a_picture(120, 90), kind) for kind in KINDS}


@given(st.sampled_from(KINDS), st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), min_size=1, max_size=12))
@examples(400)
def test_whatever_is_scribbled_into_a_file_it_becomes_prints_or_a_sentence(
    kind: str, scribbles: list[tuple[float, int]]
) -> None:
    raw = bytearray(FILES[kind])
    for where, what in scribbles:
        raw[int(where * (len(raw) - 1))] = what

    refused: list[Unusable] = []
    try:
        assert opened(read_photo(bytes(raw)).small).format == "JPEG"
    except Unusable as refusal:
        refused.append(refusal)

    assert all(len(one.problems) == 1 for one in refused)


@pytest.mark.parametrize("size", [(600, 300), (300, 600)], ids=["wide", "tall"])
def test_of_a_tiles_photo_the_middle_square_is_kept_and_the_color_in_its_middle(size: tuple[int, int]) -> None:
    table, glaze, speck = (120, 90, 60), (58, 84, 132), (240, 240, 240)
    picture = Image.new("RGB", size, table)
    left, top = (size[0] - 300) // 2, (size[1] - 300) // 2
    picture.paste(glaze, (left + 40, top + 40, left + 260, top + 260))
    picture.paste(speck, (left + 110, top + 110, left + 150, top + 150))

    prints, swatch = read_tile(written(picture))

    assert (prints.width, prints.height, opened(prints.small).size) == (300, 300, (300, 300))
    assert is_near((swatch.red, swatch.green, swatch.blue), glaze)
    assert is_near(opened(prints.large).getpixel((150, 50)), glaze)  # type: ignore[arg-type]  # a picture of three parts
