"""Every kind of paper that the page of papers prints: who may, from what it is made, and on which stock."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from flask import g

from printing.labels import labels, tags
from printing.labels.label_parts import Label
from printing.labels.stock import Stock
from printing.labels.studio_labels import container_label
from tracker.domain.refusals import Unknown
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.people import Right
from tracker.forms.outdoor.outdoor_forms import container_names
from tracker.forms.studio.kiln_schemas import container_in_words
from tracker.usecases.labels import home_papers as going_home
from tracker.usecases.labels import specimens as usual_papers
from tracker.usecases.labels import studio_labels as studio_papers
from tracker.usecases.labels.print_jobs import TAGS
from tracker.usecases.labels.stock import card_stocks, every_stock, label_stocks
from tracker.usecases.labels.tags import tags_of
from tracker.usecases.pieces.lookup import find_rows
from tracker.web.auth import house
from tracker.web.labels.selection import Thing, chosen_pieces
from tracker.wording.render import read

if TYPE_CHECKING:
    from printing.shapes import Shape
    from tracker.store.pieces.queries import PiecePage


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be printed: the things by what stands for them, the studio's line, and when.

    `dpi` is the printer's dots, None when unknown; of `reprints` a tag had been printed before.
    """

    things: tuple[str, ...]
    at: datetime
    line: str = ""
    dpi: int | None = None
    reprints: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Ready:
    """Labels to print: how many, and each one's shapes as they are asked for; `things` are named as the record does."""

    things: tuple[str, ...]
    count: int
    shapes: Iterable[Sequence[Shape]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of paper: the right to it, the stock it is offered on, and what it is made of.

    `refuses` says what of a usual one would not fit on a stock. `things` are the choices as the request stands, `ready`
    lays out those picked, and raises TooSmall at once or while its shapes are asked for. A kind is `of_pieces`, or
    `may_type` names; `has_line` asks for the studio's line.
    """

    name: str
    title: str
    says: str
    right: Right
    stocks: Callable[[Studio], tuple[Stock, ...]]
    refuses: Callable[[Stock], tuple[str, ...]]
    things: Callable[[], Sequence[Thing]]
    ready: Callable[[Wanted, Stock], Ready]
    of_pieces: bool = False
    may_type: bool = False
    has_line: bool = False
    caution: str = ""


def _too_small_for(specimen: Label) -> Callable[[Stock], tuple[str, ...]]:
    return lambda stock: labels.refuses(specimen, stock)


def _laid_out(make: Callable[[Wanted, Stock], tuple[Label, ...]]) -> Callable[[Wanted, Stock], Ready]:
    def ready(wanted: Wanted, stock: Stock) -> Ready:
        made = make(wanted, stock)
        return Ready(wanted.things, len(made), labels.laid_out(made, stock, wanted.dpi))

    return ready


# ---- tags --------------------------------------------------------------------------------------------------------


def _tags(wanted: Wanted, stock: Stock) -> Ready:
    address = house().settings.address
    made = tags_of(house().store.read, wanted.things, g.person, address=address, reprints=wanted.reprints)
    return Ready(tuple(tag.name for tag in made), len(made), tags.laid_out(made, stock, wanted.dpi))


_TAGS = Kind(
    name=TAGS,
    title="Tags",
    says="One for each piece: the code to copy onto its foot, whose it is, bars and a QR.",
    right=Right.SEE_OWN,
    stocks=label_stocks,
    refuses=lambda stock: tags.refuses(stock, address_length=_longest_address()),
    things=chosen_pieces,
    ready=_tags,
    of_pieces=True,
)


def _longest_address() -> int:
    """How long the address in a tag's QR may get here."""
    address = house().settings.address or house().store.read.studio().address
    return len(f"{address.rstrip('/')}/slip/99999")


# ---- what goes home --------------------------------------------------------------------------------------------------


def _pages(wanted: Wanted) -> tuple[Studio, list[PiecePage]]:
    reader = house().store.read
    rows = find_rows(reader, wanted.things, g.person)
    return reader.studio(), [reader.pieces.page(row.piece.id) for row in rows]


def _cards(wanted: Wanted, _: Stock) -> tuple[Label, ...]:
    studio, pages = _pages(wanted)
    return tuple(going_home.card_of(page, studio, wanted.line) for page in pages)


def _stick_ons(wanted: Wanted, _: Stock) -> tuple[Label, ...]:
    studio, pages = _pages(wanted)
    return tuple(going_home.stick_on_of(page, studio) for page in pages)


def _slips(wanted: Wanted, stock: Stock) -> tuple[Label, ...]:
    studio, pages = _pages(wanted)
    return going_home.slips_of(pages, studio, stock, at=wanted.at, dpi=wanted.dpi)


_HOME = (
    Kind(
        name="care",
        title="Care card",
        says="What the piece is, what was tested and what was not, and how to keep it. "
        "Decorative ware says so first and largest.",
        right=Right.SEE_OWN,
        stocks=card_stocks,
        refuses=_too_small_for(usual_papers.CARE_CARD),
        things=chosen_pieces,
        ready=_laid_out(_cards),
        of_pieces=True,
        has_line=True,
    ),
    Kind(
        name="not-for-food",
        title="Not-for-food label",
        says="To stick where everybody sees it, on ware that is not for food or drink. "
        "The base is marked for good as well.",
        right=Right.SEE_OWN,
        stocks=label_stocks,
        refuses=_too_small_for(usual_papers.STICK_ON),
        things=chosen_pieces,
        ready=_laid_out(_stick_ons),
        of_pieces=True,
        caution=f"On the base: “{going_home.BASE_WORDS}”, fired on or cut in, in letters at least 3.2 mm high; "
        "or a hole through it.",
    ),
    Kind(
        name="pickup-slip",
        title="Pickup slip",
        says="Which pieces went to whom and on which day, with a line to sign.",
        right=Right.HAND_OVER,
        stocks=card_stocks,
        refuses=_too_small_for(usual_papers.PICKUP_SLIP),
        things=chosen_pieces,
        ready=_laid_out(_slips),
        of_pieces=True,
    ),
)

# ---- the shelves -----------------------------------------------------------------------------------------------------


def _shelves() -> Sequence[Thing]:
    return [Thing(name, name) for name in house().store.read.pieces.places()]


def _shelf_labels(wanted: Wanted, _: Stock) -> tuple[Label, ...]:
    return tuple(studio_papers.shelf(name) for name in wanted.things)


def _glazes() -> Sequence[Thing]:
    known = house().store.read.catalogue()
    on_shelf = [glaze for glaze in known.glazes.values() if not glaze.retired]
    on_shelf.sort(key=lambda glaze: (glaze.burns_away, glaze.cone_high, glaze.name.casefold()))
    return [
        Thing(one.name, one.name, "wax" if one.burns_away else f"{one.family}, {read(one.cones)}") for one in on_shelf
    ]


def _bucket_labels(wanted: Wanted, _: Stock) -> tuple[Label, ...]:
    known = house().store.read.catalogue()
    names = wanted.things
    return tuple(studio_papers.bucket(known.glaze(name), known.practice.regime) for name in names)


def _kilns() -> Sequence[Thing]:
    known = house().store.read.catalogue()
    return [Thing(kiln.name, kiln.name, kiln.place) for kiln in known.kilns.values() if not kiln.retired]


def _kiln_cards(wanted: Wanted, _: Stock) -> tuple[Label, ...]:
    studio = house().store.read.studio()
    names = wanted.things
    return tuple(studio_papers.kiln_door(studio.catalogue.kiln(name), studio) for name in names)


def _staff() -> Sequence[Thing]:
    return [Thing(str(one.id), one.name, str(one.role)) for one in house().store.read.people.staff()]


def _badges(wanted: Wanted, _: Stock) -> tuple[Label, ...]:
    reader = house().store.read
    staff = {str(one.id): one for one in reader.people.staff()}
    numbers = wanted.things
    if strangers := [number for number in numbers if number not in staff]:
        raise Unknown(f"Nobody of the staff has the number {strangers[0][:20]}.", "Pick from the list.")
    return tuple(studio_papers.staff_badge(staff[number], reader.studio()) for number in numbers)


def _containers() -> Sequence[Thing]:
    """The names that outdoor sessions give a kiln's containers, six of each kind."""
    outdoors = [kiln for kiln in house().store.read.catalogue().kilns.values() if kiln.outdoor and not kiln.retired]
    named = {
        name: f"{kiln.name}, {container_in_words(room)}"
        for kiln in reversed(outdoors)
        for kind, room in enumerate(kiln.containers, start=1)
        for name in container_names(kind, _ALIKE)
    }
    return [Thing(name, name, named[name]) for name in sorted(named)]


def _container_labels(wanted: Wanted, _: Stock) -> tuple[Label, ...]:
    return tuple(container_label(name, "") for name in wanted.things)


_ALIKE = 6
"""So many containers of a kind are offered; more are typed."""

_STUDIO = (
    Kind(
        name="shelves",
        title="Shelf labels",
        says="For shelves and ware boards: scan one on Scan and move, then the pieces, and they stand there.",
        right=Right.MOVE,
        stocks=every_stock,
        refuses=_too_small_for(usual_papers.SHELF),
        things=_shelves,
        ready=_laid_out(_shelf_labels),
        may_type=True,
    ),
    Kind(
        name="buckets",
        title="Glaze bucket labels",
        says="Cones with temperatures, food standing and metals; scan one on the page where a piece is glazed.",
        right=Right.MOVE,
        stocks=every_stock,
        refuses=_too_small_for(usual_papers.BUCKET),
        things=_glazes,
        ready=_laid_out(_bucket_labels),
        caution="A laboratory test, not this label, says whether ware is fit for food. "
        "The supplier's safety sheet comes first.",
    ),
    Kind(
        name="kiln-doors",
        title="Kiln door cards",
        says="What a kiln fires, with cones and temperatures, what must never go in, and the cautions.",
        right=Right.FIRE,
        stocks=card_stocks,
        refuses=_too_small_for(usual_papers.KILN_DOOR),
        things=_kilns,
        ready=_laid_out(_kiln_cards),
    ),
    Kind(
        name="containers",
        title="Container numbers",
        says="A1, B2 … as outdoor sessions call them, to be read from the tongs.",
        right=Right.FIRE,
        stocks=every_stock,
        refuses=_too_small_for(usual_papers.CONTAINER),
        things=_containers,
        ready=_laid_out(_container_labels),
        may_type=True,
        caution="Paper burns: put it on a stake beside the container, or paint its number on.",
    ),
    Kind(
        name="badges",
        title="Staff badges",
        says="Name and role. The bars say the name, by which Pickup finds a person's pieces; they sign nobody in.",
        right=Right.PEOPLE,
        stocks=every_stock,
        refuses=_too_small_for(usual_papers.BADGE),
        things=_staff,
        ready=_laid_out(_badges),
    ),
)

KINDS: dict[str, Kind] = {kind.name: kind for kind in (_TAGS, *_STUDIO, *_HOME)}
"""Every kind of paper by the name in its address."""
