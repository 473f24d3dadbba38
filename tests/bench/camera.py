"""How many printed tags the camera's reader gets within a second: blurred, tilted, far away and in low light.

The reader is the one that pages load, in a real Chromium. A second holds up to three frames, each held a little
differently, as by a hand; a wrong reading counts as none and is told as well.
"""

from __future__ import annotations

import base64
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from playwright.sync_api import sync_playwright

from tests.bench.tags import many_tags
from tests.conftest import CHROMIUM_WORDS
from tests.machine import chromium
from tests.tag_photos import SHOTS, Shot, jpeg, label_of, photo

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Page, Route

STATIC = Path("tracker/web/static")
TAGS, FRAMES = 15, 3
AT_LEAST = 0.95
_READ = """async (frames) => {
    const start = performance.now();
    for (const frame of frames) {
        const picture = new Image();
        picture.src = "data:image/jpeg;base64," + frame;
        await picture.decode();
        const begun = performance.now();
        const canvas = new OffscreenCanvas(picture.width, picture.height);
        const pen = canvas.getContext("2d", { willReadFrequently: true });
        pen.drawImage(picture, 0, 0);
        const text = await reading.text(pen.getImageData(0, 0, picture.width, picture.height));
        window.spent = (window.spent || 0) + performance.now() - begun + PAUSE;
        window.looked = (window.looked || []).concat(performance.now() - begun);
        if (text || window.spent > 1000) {
            const answer = [window.spent <= 1000 ? text : "", window.spent];
            window.spent = 0;
            return answer;
        }
    }
    window.spent = 0;
    return ["", 0];
}"""


def measure() -> Iterator[tuple[object, ...]]:
    """The share that is read within a second, of each condition and of all, and how long one frame takes."""
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium(), args=CHROMIUM_WORDS)
        page = opened.new_page()
        page.route("http://localhost/**", _served)
        page.goto("http://localhost/")
        page.evaluate("reading.load('/reader/zxing-reader.js', '/reader/zxing_reader.wasm')")
        tags, luck, wrong, shares = many_tags(TAGS), np.random.default_rng(1), 0, []
        labels = [label_of(tag) for tag in tags]
        for name, shot in SHOTS.items():
            right = 0
            for tag, label in zip(tags, labels, strict=True):
                text = _read(page, label, shot, luck)
                right += text in {tag.code, tag.address}
                wrong += text not in {"", tag.code, tag.address}
            shares.append(right / TAGS)
            yield f"Camera: tags read within a second, {name}", shares[-1], AT_LEAST
        yield "Camera: tags read within a second, of all", sum(shares) / len(shares), AT_LEAST
        yield "Camera: tags read wrong", wrong, 0, "at most"
        yield "Camera: milliseconds for a frame, median", float(np.median(page.evaluate("window.looked"))), None
        opened.close()


def _read(page: Page, label: Any, shot: Shot, luck: np.random.Generator) -> str:  # noqa: ANN401 -- a picture of Pillow
    frames = [base64_of(jpeg(photo(label, shot, luck))) for _frame in range(FRAMES)]
    text, _spent = page.evaluate(_READ, frames)
    return str(text)


def base64_of(data: bytes) -> str:
    """Bytes as text that a page can take."""
    return base64.b64encode(data).decode()


def _served(route: Route) -> None:
    """The scripts of the tool from this tree; every other address is a page that loads the camera's."""
    path = STATIC / route.request.url.removeprefix("http://localhost/")
    if path.is_file():
        kinds = {".js": "text/javascript", ".wasm": "application/wasm"}
        route.fulfill(body=path.read_bytes(), content_type=kinds[path.suffix])
    else:
        scripts = '<!doctype html><script src="/forms.js"></script><script src="/camera.js"></script>'
        route.fulfill(body=scripts, content_type="text/html")
