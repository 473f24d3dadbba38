"""What was printed: which things, on which labels, and which tags were printed before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class DocumentKind(StrEnum):
    """What a studio prints, by its name in addresses, on the command line and on record."""

    TAGS = "tags"
    SHELVES = "shelves"
    BUCKETS = "buckets"
    KILN_DOORS = "kiln-doors"
    CONTAINERS = "containers"
    BADGES = "badges"
    MAKER_CARDS = "maker-cards"
    COMMANDS = "commands"
    TRIAL_BARS = "test-bars"
    CARE = "care"
    NOT_FOR_FOOD = "not-for-food"
    PICKUP_SLIP = "pickup-slip"
    NOTICES = "notices"
    PICKUP_DAY = "pickup-day"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintOrder:
    """One printing: a `kind` of paper of these `things`, in their order, on `stock` from label `start_at` on.

    A thing is what stands for it in the form: a code, a name, a number. `nudge` is mm to the right and down, `dpi`
    None for any printer, `line` the studio's own on cards, `labels` how many come out.
    """

    kind: str
    things: tuple[str, ...]
    stock: str
    start_at: int = 1
    nudge: tuple[float, float] = (0.0, 0.0)
    dpi: int | None = None
    line: str = ""
    labels: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintJob:
    """An order on record: who gave it and when, and of which `things` a tag had been printed before."""

    id: int
    at: datetime
    by_id: int
    by: str
    order: PrintOrder
    reprints: frozenset[str] = frozenset()
