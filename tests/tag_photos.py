"""Printed tags as a phone's camera sees them: our own labels, blurred, tilted, from afar and in low light."""

from __future__ import annotations

import base64
from dataclasses import dataclass, replace
from io import BytesIO
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2
from PIL import Image, ImageFilter

from printing.labels.stock import stock_named
from tests.printing.labels.printed import tags_pdf

if TYPE_CHECKING:
    from printing.labels.tags import Tag

ROLL = stock_named("Roll, 100 x 50 mm")
FRAME = (1280, 720)
DPI = 300
_CLAY, _SHAKE_DEGREES, _SHAKE_PX = 128, 1.5, 12


@dataclass(frozen=True, slots=True)
class Shot:
    """How a tag is photographed: `wide` is the share of the frame's width that it fills, `tilt` is in degrees.

    `lean` narrows its upper edge by that share, as a camera does that looks at it from below. `blur` is the radius in
    pixels, `light` the share of full light, `grain` the spread of the sensor's noise in gray levels.
    """

    wide: float = 0.6
    tilt: float = 0.0
    lean: float = 0.0
    blur: float = 0.8
    light: float = 0.9
    grain: float = 3.0


SHOTS = {
    "sharp": Shot(),
    "blurred": Shot(blur=2.2),
    "tilted": Shot(tilt=25, lean=0.12),
    "upside down": Shot(tilt=180),
    "across": Shot(tilt=90, wide=0.45),
    "low light": Shot(light=0.18, grain=7, blur=1.4),
    "from afar": Shot(wide=0.35),
}
"""The conditions of a studio: a hand that moves, a tag on a round pot, a dim shelf, an arm's length."""


def label_of(tag: Tag) -> Image.Image:
    """The label of a tag as it is printed, in gray."""
    document = pypdfium2.PdfDocument(tags_pdf([tag], ROLL))
    picture: Image.Image = document[0].render(scale=DPI / 72, grayscale=True).to_pil().convert("L")
    document.close()
    return picture


def photo(label: Image.Image, shot: Shot, luck: np.random.Generator) -> Image.Image:
    """One frame of a camera that is held at a label; `luck` moves the hand a little and makes the grain."""
    shot = replace(shot, tilt=shot.tilt + luck.uniform(-_SHAKE_DEGREES, _SHAKE_DEGREES))
    width = int(FRAME[0] * shot.wide)
    seen = label.resize((width, width * label.height // label.width), Image.Resampling.LANCZOS)
    seen = seen.transform(seen.size, Image.Transform.QUAD, _leaning(seen.size, shot.lean), fillcolor=_CLAY)
    seen = seen.rotate(shot.tilt, expand=True, fillcolor=_CLAY, resample=Image.Resampling.BICUBIC)
    frame = Image.new("L", FRAME, _CLAY)
    shake = luck.integers(-_SHAKE_PX, _SHAKE_PX, size=2)
    frame.paste(seen, ((FRAME[0] - seen.width) // 2 + int(shake[0]), (FRAME[1] - seen.height) // 2 + int(shake[1])))
    gray = np.asarray(frame.filter(ImageFilter.GaussianBlur(shot.blur)), dtype=float) * shot.light
    return Image.fromarray(np.clip(gray + luck.normal(0, shot.grain, gray.shape), 0, 255).astype(np.uint8))


def _leaning(size: tuple[int, int], lean: float) -> tuple[float, ...]:
    """The four corners that are drawn onto the label's own: its upper edge goes in, which shows as narrower."""
    width, height = size
    out = width * lean
    return (-out, 0, 0, height, width, height, width + out, 0)


def jpeg(frame: Image.Image) -> bytes:
    """A frame as a camera hands it over."""
    out = BytesIO()
    frame.convert("RGB").save(out, "JPEG", quality=90)
    return out.getvalue()


def as_a_camera(frame: Image.Image) -> str:
    """A script that hands out this frame, over and over, wherever a page asks the browser for its camera.

    Chromium's shell without a window has no camera, not even a false one.
    """
    picture = base64.b64encode(jpeg(frame)).decode()
    return f"""navigator.mediaDevices.getUserMedia = async () => {{
        const [seen, held] = [new Image(), document.createElement("canvas")];
        seen.src = "data:image/jpeg;base64,{picture}";
        await seen.decode();
        [held.width, held.height] = [seen.naturalWidth, seen.naturalHeight];
        const draw = () => held.getContext("2d").drawImage(seen, 0, 0);
        draw();
        setInterval(draw, 50);
        return held.captureStream(20);
    }}"""
