"""The words that a firing's sheet and chart are given in tests, as their makers give them."""

from __future__ import annotations

from printing.firing.blocks import SheetWords
from printing.firing.curves import CurveWords
from printing.loading.load_pictures import LoadWords, Part

CURVE_WORDS = CurveWords(
    measured="measured",
    schedule="schedule",
    marks="cone reached",
    quartz=("573 °C, quartz inversion", "573 °C, quartz", "573 °C"),
    nothing="nothing measured yet",
    degrees="°C",
    hour="{hours} h",
    mark="{label}: {degrees} °C at {hours} h",
)
SHEET_WORDS = SheetWords(
    schedule="Schedule",
    columns=("rate", "to", "hold", "clock", "note"),
    witness="Witness cones: upright, tip touching or half down",
    readings="Hourly readings",
    hour="h",
    time="time",
    degrees="°C",
    notes="Notes",
    curve="Curve",
    codes="Codes by shelf",
    empty="empty",
    no_pictures="No space for pictures here.",
    no_pictures_from="No space for pictures from shelf {shelf} up: the codes are below.",
    page="page {number} of {count}",
)
LOAD_WORDS = LoadWords(
    front="front",
    from_the_front="seen from the front",
    is_in="in",
    to_come="to come",
    with_care="caution",
    post="post",
    nested="one in or on another",
    on_cookie="on a kiln cookie",
    free="{height} mm free below the top of the kiln",
    too_high="{height} mm too high for the kiln",
    parts=tuple(part.value for part in Part),
)
