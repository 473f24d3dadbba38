"""Every kind of document that the studio prints: who may, on which stock, and the labels that it is made of."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from printing.labels.labels import refuses
from printing.labels.studio_labels import container_label
from printing.labels.tags import tag_labels, usual_tag
from tracker.domain.labels.print_jobs import DocumentKind, PrintOrder
from tracker.domain.outdoor.setting_up import container_names
from tracker.domain.refusals import Unknown
from tracker.domain.studio.people import Right
from tracker.usecases.labels import home_papers as going_home
from tracker.usecases.labels import specimens as usual_papers
from tracker.usecases.labels import studio_labels as studio_papers
from tracker.usecases.labels.selection import Desk, Thing
from tracker.usecases.labels.stock import card_stocks, every_stock, label_stocks
from tracker.usecases.labels.tags import tags_of
from tracker.usecases.pieces.lookup import find_rows
from tracker.wording.render import read

if TYPE_CHECKING:
    from printing.labels.label_parts import Label
    from printing.labels.stock import Stock
    from tracker.domain.studio.catalog import Studio
    from tracker.store.pieces.queries import PiecePage


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What of a kind is printed: the order, the stock it names, and the pieces of which a tag was printed before."""

    order: PrintOrder
    stock: Stock
    reprints: Collection[str] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of document: the right to it, the stock it is offered on, and what it is made of.

    `usual` is one as a studio usually prints it: a stock that cannot hold it is not offered. `choices` are the things
    there are to print, but for pieces. A kind is `of_pieces`, or `may_type` names; `has_line` takes the studio's line.
    """

    name: DocumentKind
    title: str
    says: str
    right: Right
    stocks: Callable[[Studio], tuple[Stock, ...]]
    usual: Callable[[Desk], Label]
    labels: Callable[[Desk, Wanted], Sequence[Label]]
    choices: Callable[[Desk], Sequence[Thing]] = lambda _: ()
    of_pieces: bool = False
    may_type: bool = False
    has_line: bool = False
    caution: str = ""

    def too_small(self, desk: Desk) -> dict[Stock, tuple[str, ...]]:
        """What of a usual one would not fit on each stock; empty for a stock that holds it."""
        usual = self.usual(desk)
        return {stock: refuses(usual, stock) for stock in self.stocks(desk.studio)}


def kind_named(name: str) -> Kind:
    """The kind of this name; `Unknown` when there is none."""
    kind = KINDS.get(name)
    if kind is None:
        raise Unknown("There is no such paper here.", "Choose one from the list of papers.")
    return kind


# ---- tags --------------------------------------------------------------------------------------------------------


def _tags(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    things = wanted.order.things
    return tag_labels(tags_of(desk.reader, things, desk.by, address=desk.address, reprints=wanted.reprints))


_TAGS = Kind(
    name=DocumentKind.TAGS,
    title="Tags",
    says="One for each piece: the code to copy onto its foot, whose it is, bars and a QR.",
    right=Right.SEE_OWN,
    stocks=label_stocks,
    usual=lambda desk: usual_tag(len(f"{(desk.address or desk.studio.address).rstrip('/')}/slip/99999")),
    labels=_tags,
    of_pieces=True,
)


# ---- what goes home --------------------------------------------------------------------------------------------------


def _pages(desk: Desk, wanted: Wanted) -> list[PiecePage]:
    rows = find_rows(desk.reader, wanted.order.things, desk.by)
    return [desk.reader.pieces.page(row.piece.id) for row in rows]


def _cards(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    return [going_home.card_of(page, desk.studio, wanted.order.line) for page in _pages(desk, wanted)]


def _stick_ons(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    return [going_home.stick_on_of(page, desk.studio) for page in _pages(desk, wanted)]


def _slips(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    pages = _pages(desk, wanted)
    return going_home.slips_of(pages, desk.studio, wanted.stock, at=desk.at, dpi=wanted.order.dpi)


_HOME = (
    Kind(
        name=DocumentKind.CARE,
        title="Care card",
        says="What the piece is, what was tested and what was not, and how to keep it. "
        "Decorative ware says so first and largest.",
        right=Right.SEE_OWN,
        stocks=card_stocks,
        usual=lambda _: usual_papers.CARE_CARD,
        labels=_cards,
        of_pieces=True,
        has_line=True,
    ),
    Kind(
        name=DocumentKind.NOT_FOR_FOOD,
        title="Not-for-food label",
        says="To stick where everybody sees it, on ware that is not for food or drink. "
        "The base is marked for good as well.",
        right=Right.SEE_OWN,
        stocks=label_stocks,
        usual=lambda _: usual_papers.STICK_ON,
        labels=_stick_ons,
        of_pieces=True,
        caution=f"On the base: “{going_home.BASE_WORDS}”, fired on or cut in, in letters at least 3.2 mm high; "
        "or a hole through it.",
    ),
    Kind(
        name=DocumentKind.PICKUP_SLIP,
        title="Pickup slip",
        says="Which pieces went to whom and on which day, with a line to sign.",
        right=Right.HAND_OVER,
        stocks=card_stocks,
        usual=lambda _: usual_papers.PICKUP_SLIP,
        labels=_slips,
        of_pieces=True,
    ),
)

# ---- the studio's own things ---------------------------------------------------------------------------------------


def _shelves(desk: Desk) -> Sequence[Thing]:
    return [Thing(name, name) for name in desk.reader.pieces.places()]


def _shelf_labels(_: Desk, wanted: Wanted) -> Sequence[Label]:
    return [studio_papers.shelf(name) for name in wanted.order.things]


def _glazes(desk: Desk) -> Sequence[Thing]:
    on_shelf = [glaze for glaze in desk.studio.catalogue.glazes.values() if not glaze.retired]
    on_shelf.sort(key=lambda glaze: (glaze.burns_away, glaze.cone_high, glaze.name.casefold()))
    return [
        Thing(one.name, one.name, "wax" if one.burns_away else f"{one.family}, {read(one.cones)}") for one in on_shelf
    ]


def _bucket_labels(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    known = desk.studio.catalogue
    return [studio_papers.bucket(known.glaze(name), known.practice.regime) for name in wanted.order.things]


def _kilns(desk: Desk) -> Sequence[Thing]:
    kilns = desk.studio.catalogue.kilns.values()
    return [Thing(kiln.name, kiln.name, kiln.place) for kiln in kilns if not kiln.retired]


def _kiln_cards(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    studio = desk.studio
    return [studio_papers.kiln_door(studio.catalogue.kiln(name), studio) for name in wanted.order.things]


def _staff(desk: Desk) -> Sequence[Thing]:
    return [Thing(str(one.id), one.name, str(one.role)) for one in desk.reader.people.staff()]


def _badges(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    staff = {str(one.id): one for one in desk.reader.people.staff()}
    if strangers := [number for number in wanted.order.things if number not in staff]:
        raise Unknown(f"Nobody of the staff has the number {strangers[0][:20]}.", "Pick from the list.")
    return [studio_papers.staff_badge(staff[number], desk.studio) for number in wanted.order.things]


def _containers(desk: Desk) -> Sequence[Thing]:
    """The names that outdoor sessions give a kiln's containers, six of each kind."""
    outdoors = [kiln for kiln in desk.studio.catalogue.kilns.values() if kiln.outdoor and not kiln.retired]
    named = {
        name: f"{kiln.name}, {' x '.join(map(str, room.sides))}"
        for kiln in reversed(outdoors)
        for kind, room in enumerate(kiln.containers, start=1)
        for name in container_names(kind, _ALIKE)
    }
    return [Thing(name, name, named[name]) for name in sorted(named)]


def _container_labels(_: Desk, wanted: Wanted) -> Sequence[Label]:
    return [container_label(name, "") for name in wanted.order.things]


_ALIKE = 6
"""So many containers of a kind are offered; more are typed."""

_STUDIO = (
    Kind(
        name=DocumentKind.SHELVES,
        title="Shelf labels",
        says="For shelves and ware boards: scan one on Scan and move, then the pieces, and they stand there.",
        right=Right.MOVE,
        stocks=every_stock,
        usual=lambda _: usual_papers.SHELF,
        choices=_shelves,
        labels=_shelf_labels,
        may_type=True,
    ),
    Kind(
        name=DocumentKind.BUCKETS,
        title="Glaze bucket labels",
        says="Cones with temperatures, food standing and metals; scan one on the page where a piece is glazed.",
        right=Right.MOVE,
        stocks=every_stock,
        usual=lambda _: usual_papers.BUCKET,
        choices=_glazes,
        labels=_bucket_labels,
        caution="A laboratory test, not this label, says whether ware is fit for food. "
        "The supplier's safety sheet comes first.",
    ),
    Kind(
        name=DocumentKind.KILN_DOORS,
        title="Kiln door cards",
        says="What a kiln fires, with cones and temperatures, what must never go in, and the cautions.",
        right=Right.FIRE,
        stocks=card_stocks,
        usual=lambda _: usual_papers.KILN_DOOR,
        choices=_kilns,
        labels=_kiln_cards,
    ),
    Kind(
        name=DocumentKind.CONTAINERS,
        title="Container numbers",
        says="A1, B2 … as outdoor sessions call them, to be read from the tongs.",
        right=Right.FIRE,
        stocks=every_stock,
        usual=lambda _: usual_papers.CONTAINER,
        choices=_containers,
        labels=_container_labels,
        may_type=True,
        caution="Paper burns: put it on a stake beside the container, or paint its number on.",
    ),
    Kind(
        name=DocumentKind.BADGES,
        title="Staff badges",
        says="Name and role. The bars say the name, by which Pickup finds a person's pieces; they sign nobody in.",
        right=Right.PEOPLE,
        stocks=every_stock,
        usual=lambda _: usual_papers.BADGE,
        choices=_staff,
        labels=_badges,
    ),
)

KINDS: dict[str, Kind] = {kind.name: kind for kind in (_TAGS, *_STUDIO, *_HOME)}
"""Every kind of document by its name."""
