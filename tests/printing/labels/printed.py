"""Labels and tags of one printing as a PDF, and the stocks that hold a tag; nothing but printing is loaded for it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from printing.labels.label_parts import Label
from printing.labels.labels import laid_out, refuses
from printing.labels.labels import lay_out as lay_out_label
from printing.labels.sheets import finished, making
from printing.labels.stock import PLAIN_PAPERS, STOCKS, Stock
from printing.labels.tags import Tag, tag_labels, usual_tag
from printing.shapes import Shape
from tests.printing.labels.words import TRUE_SIZE, USUAL


def labels_pdf(
    labels: Sequence[Label],
    stock: Stock,
    *,
    dpi: int | None = None,
    progress: Callable[[int], object] | None = None,
    **how: Any,  # noqa: ANN401 -- as `making` takes it
) -> bytes:
    """The labels as one PDF, `how` as for `making`."""
    said = {"title": "Labels", "true_size": TRUE_SIZE}
    return finished(making(laid_out(labels, stock, dpi), stock, dpi=dpi, **said | how), progress)


def tags_pdf(tags: Sequence[Tag], stock: Stock, **how: Any) -> bytes:  # noqa: ANN401 -- as for labels_pdf
    """The tags of one printing."""
    return labels_pdf(tag_labels(tags, USUAL), stock, **how)


def lay_out(tag: Tag, stock: Stock, dots_per_inch: int | None = None) -> tuple[Shape, ...]:
    """The shapes of a tag that is printed by itself."""
    return lay_out_label(tag_labels([tag], USUAL)[0], stock, dots_per_inch)


def stocks_for_tags(dots_per_inch: int | None = None) -> list[Stock]:
    """The stocks that hold a tag on a printer of so many dots."""
    return [stock for stock in (*STOCKS, *PLAIN_PAPERS) if not refuses(usual_tag(USUAL), stock, dots_per_inch)]
