"""Photos for tests: small pictures that Pillow paints, written as a phone would send them."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Any

from PIL import Image, ImageDraw

from tests.staffed import asked_by
from tracker.domain.cones import Cone
from tracker.domain.studio.tiles import Making
from tracker.forms.pieces.photo_file import read_photo, read_tile
from tracker.usecases.pieces import photos
from tracker.usecases.studio import tiles

if TYPE_CHECKING:
    from tracker.domain.pieces.photos import Prints
    from tracker.domain.studio.people import Person
    from tracker.store.unit_of_work import Store

CORNERS = {
    "top left": (220, 30, 30),
    "top right": (30, 160, 60),
    "bottom left": (40, 60, 210),
    "bottom right": (240, 210, 40),
}
"""The colors of a picture's four corners, by which one sees how it lies."""


def a_picture(width: int = 400, height: int = 300) -> Image.Image:
    """A picture of four fields, each of its own color."""
    picture = Image.new("RGB", (width, height))
    pen, (middle, half) = ImageDraw.Draw(picture), (width // 2, height // 2)
    pen.rectangle((0, 0, middle, half), CORNERS["top left"])
    pen.rectangle((middle, 0, width, half), CORNERS["top right"])
    pen.rectangle((0, half, middle, height), CORNERS["bottom left"])
    pen.rectangle((middle, half, width, height), CORNERS["bottom right"])
    return picture


def written(picture: Image.Image | None = None, kind: str = "JPEG", **how: Any) -> bytes:  # noqa: ANN401 -- whatever Pillow takes
    """A picture as the bytes of a file."""
    file = BytesIO()
    (picture or a_picture()).save(file, kind, **how)
    return file.getvalue()


def prints(**size: int) -> Prints:
    """A photo as it is kept."""
    return read_photo(written(a_picture(**size)))


def tiled(
    store: Store, glaze: str, by: Person, *, clay: str = "Doorstep Buff", cone: str = "6", color: str = "#3a5484"
) -> str:
    """The name of a new test tile of a glaze, all of one color."""
    picture = Image.new("RGB", (400, 300), color)
    making = Making(clay=clay, cone=Cone.parse(cone))
    return str(tiles.add(store, asked_by(by), glaze, making, read_tile(written(picture))).extra["photo"])


def photographed(store: Store, ref: str, by: Person, words: str = "", **size: int) -> str:
    """The name of a new photo of a piece."""
    return str(photos.add(store, asked_by(by), ref, prints(**size), words=words).extra["photo"])
