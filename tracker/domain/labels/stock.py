"""A studio's own label stock in measurements: a sheet of equal labels, or a roll with one label after another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from tracker.domain.message import Choice, Message, _
from tracker.domain.quantities import compared, mm
from tracker.domain.refusals import BadValue

SMALLEST_LABEL_MM, LARGEST_PAGE_MM = 5.0, 1_000.0
MOST_LABELS = 1_000
_SLACK_MM = 0.05
"""Published measurements are rounded, so labels may seem to overlap by this much."""
_LENGTHS = (
    "label_width_mm", "label_height_mm", "page_width_mm", "page_height_mm", "left_mm", "top_mm", "pitch_x_mm",
    "pitch_y_mm",
)  # fmt: skip


class Paper(StrEnum):
    """The paper in a studio's printer."""

    A4 = "a4"
    LETTER = "letter"


class BadStock(BadValue):
    """Measurements that no stock can have; `fact` is the one to put right."""

    def __init__(self, fact: str, message: Message) -> None:
        """Keep what is wrong with `fact`."""
        super().__init__(message)
        self.fact = fact


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelStock:
    """One sort of labels in mm: `left_mm` and `top_mm` reach to the first label's corner, a pitch to the next label's.

    Without a page it is a roll, whose page is its label. Measurements that contradict each other are a BadStock.
    """

    name: str
    label_width_mm: float
    label_height_mm: float
    page_width_mm: float | None = None
    page_height_mm: float | None = None
    columns: int = 1
    rows: int = 1
    left_mm: float = 0.0
    top_mm: float = 0.0
    pitch_x_mm: float | None = None
    pitch_y_mm: float | None = None

    def __post_init__(self) -> None:
        """Refuse what would print beside its labels."""
        if not self.name.strip():
            raise BadStock("name", Message("stock-without-name", _("Label stock needs a name.")))
        for fact in _LENGTHS:
            if not math.isfinite(getattr(self, fact) or 0.0):
                raise BadStock(fact, Message("not-a-plain-length", _("A length is a plain number of millimeters.")))
        for fact in ("label_width_mm", "label_height_mm"):
            if not SMALLEST_LABEL_MM <= getattr(self, fact) <= LARGEST_PAGE_MM:
                words = _("A label is {least} to {most} wide and high.")
                sides = {"least": mm(SMALLEST_LABEL_MM, 2), "most": mm(LARGEST_PAGE_MM, 2)}
                raise BadStock(fact, Message("label-outside", words, **sides))
        if self.is_roll:
            self._check_roll()
        else:
            self._check_page()

    @property
    def is_roll(self) -> bool:
        """Whether it is a roll: nobody said how large its page is."""
        return self.page_width_mm is None and self.page_height_mm is None

    @property
    def page(self) -> tuple[float, float]:
        """How wide and high a page is, in mm."""
        return (
            self.label_width_mm if self.page_width_mm is None else self.page_width_mm,
            self.label_height_mm if self.page_height_mm is None else self.page_height_mm,
        )

    @property
    def pitch(self) -> tuple[float, float]:
        """From one label's corner to the next one's, across and down, in mm; labels touch where nothing is said."""
        return (
            self.label_width_mm if self.pitch_x_mm is None else self.pitch_x_mm,
            self.label_height_mm if self.pitch_y_mm is None else self.pitch_y_mm,
        )

    def _check_roll(self) -> None:
        if (self.columns, self.rows) != (1, 1):
            words = _("Several labels need a page. Enter its width and height.")
            raise BadStock("page_width_mm", Message("labels-without-page", words))
        if self.left_mm or self.top_mm:
            words = _("On a roll the label starts at the page's edge. Leave left and top blank.")
            raise BadStock("left_mm", Message("roll-with-margin", words))

    def _check_page(self) -> None:
        for fact, size in zip(("page_width_mm", "page_height_mm"), self.page, strict=True):
            if getattr(self, fact) is None or not SMALLEST_LABEL_MM <= size <= LARGEST_PAGE_MM:
                words = _("A page is up to {most} wide and high. Enter both.")
                raise BadStock(fact, Message("page-outside", words, most=mm(LARGEST_PAGE_MM, 2)))
        if min(self.columns, self.rows) < 1 or self.columns * self.rows > MOST_LABELS:
            words = _("A page holds 1 to {most} labels.")
            raise BadStock("columns", Message("labels-on-page", words, most=MOST_LABELS))
        for across, first, count, label, page, pitch in (
            (True, self.left_mm, self.columns, self.label_width_mm, self.page[0], self.pitch[0]),
            (False, self.top_mm, self.rows, self.label_height_mm, self.page[1], self.pitch[1]),
        ):
            axis = "x" if across else "y"
            if pitch < label - _SLACK_MM and count > 1:
                words = _("With a pitch of {pitch}, labels of {label} overlap.")
                short, least = compared(mm(pitch, 2), mm(label, 2))
                raise BadStock(f"pitch_{axis}_mm", Message("pitch-too-small", words, pitch=short, label=least))
            side = "left_mm" if across else "top_mm"
            if first < 0:
                words = _("The first label starts {by} before the page does.")
                raise BadStock(side, Message("label-before-page", words, by=mm(-first, 2)))
            reaches = first + (count - 1) * pitch + label
            if reaches > page + _SLACK_MM:
                reach, most = compared(mm(reaches, 2), mm(page, 2))
                raise BadStock(side, Message("labels-past-page", _PAST, axis=axis, reach=reach, page=most))


_PAST = Choice(
    "axis",
    {
        "x": _("The labels run to {reach}, and the page is {page} wide."),
        "y": _("The labels run to {reach}, and the page is {page} high."),
    },
)
