"""The camera as a scanner: which answers may run the reader of barcodes, and where that is."""

from __future__ import annotations

from flask import g, url_for


def offered_camera() -> dict[str, str]:
    """Say that the page which is being made scans with the camera; where its reader is, for the page's script.

    The reader is WebAssembly, which the policy of this one answer allows (`is_camera_offered`).
    """
    g.is_camera_offered = True
    return {
        "reader": url_for("static", filename="reader/zxing-reader.js"),
        "wasm": url_for("static", filename="reader/zxing_reader.wasm"),
    }


def is_camera_offered() -> bool:
    """Whether the answer to this request scans with the camera."""
    return bool(g.get("is_camera_offered"))
