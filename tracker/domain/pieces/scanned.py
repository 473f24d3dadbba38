"""What was scanned at a station of which it is known how its scanner's keys come out."""

from __future__ import annotations

from tracker.domain.labels.keyboards import Layout, as_meant
from tracker.domain.labels.studio_bars import read_bar
from tracker.domain.pieces.codes import read, read_slip


def as_scanned(text: str, layout: Layout | None) -> str:
    """The text of the bar that arrived as `text` where the computer has this `layout`; None where nobody has set it.

    A code or a ticket that arrived as it is was typed by hand. What is no bar of ours either way stays as it is.
    """
    if layout is None or layout is Layout.US:
        return text
    meant = as_meant(text.strip(), layout)
    if meant is None:
        return text
    if read_bar(meant) is not None:
        return meant
    is_as_it_is = read(text).code is not None or read_slip(text) is not None
    is_meant = read(meant).code is not None or read_slip(meant) is not None
    return meant if is_meant and not is_as_it_is else text
