"""Every kind of document that the studio prints: who may, on which stock, and the labels that it is made of."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from printing.labels.label_parts import Label
from printing.labels.labels import refuses
from printing.labels.stock import NoRoom, Stock
from printing.labels.tags import tag_labels, usual_tag
from tracker.domain.labels.print_jobs import DocumentKind, PrintOrder
from tracker.domain.labels.stock import Paper
from tracker.domain.labels.trial_bars import TRIAL_TITLES, TrialBar
from tracker.domain.message import Fact, Message, _
from tracker.domain.outdoor.setting_up import container_names
from tracker.domain.pieces.piece import STEPS, Stage, StepName
from tracker.domain.quantities import mm
from tracker.domain.refusals import Unknown
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.kilns import Room
from tracker.domain.studio.materials import Glaze
from tracker.domain.studio.people import Right
from tracker.domain.studio.terms import next_pickup
from tracker.store.pieces.queries import PiecePage, PieceRow
from tracker.usecases.labels import home_papers as going_home
from tracker.usecases.labels import specimens as usual_papers
from tracker.usecases.labels import studio_labels as studio_papers
from tracker.usecases.labels.command_bars import commands_of
from tracker.usecases.labels.notices import makers_to_tell, notices_of
from tracker.usecases.labels.pickup_day import lists_of
from tracker.usecases.labels.selection import Desk, Thing
from tracker.usecases.labels.stock import bar_stocks, card_stocks, every_stock, is_sold_with, label_stocks, list_stocks
from tracker.usecases.labels.tags import manner_of, tags_of
from tracker.usecases.pieces.lookup import find_rows
from tracker.usecases.pieces.ware_shelves import known_shelves
from tracker.wording.render import read


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
    One that `is_one_sheet` has all of them on it where nobody chooses.
    Of pieces that it doesn't fit `unfit` says why, by their codes.
    """

    name: DocumentKind
    title: Message
    says: Message
    right: Right
    stocks: Callable[[Studio, Paper], tuple[Stock, ...]]
    usual: Callable[[Desk], Label]
    labels: Callable[[Desk, Wanted], Sequence[Label]]
    choices: Callable[[Desk], Sequence[Thing]] = lambda _desk: ()
    of_pieces: bool = False
    unfit: Callable[[Desk, Sequence[PieceRow]], dict[str, Message]] = lambda _desk, _rows: {}
    may_type: bool = False
    has_line: bool = False
    is_one_sheet: bool = False
    caution: Message | None = None

    def takes(self, desk: Desk, refs: Sequence[str]) -> list[str]:
        """The pieces among these that it fits."""
        rows = find_rows(desk.read, refs, desk.by)
        unfit = self.unfit(desk, rows)
        return [row.ref for row in rows if row.ref not in unfit]

    def too_small(self, desk: Desk) -> dict[Stock, tuple[NoRoom, ...]]:
        """What of a usual one would not fit on each stock; empty for a stock that holds it."""
        usual = self.usual(desk)
        return {stock: refuses(usual, stock) for stock in self.stocks(desk.studio, desk.reader.paper)}


def stock_for(kind: Kind, desk: Desk, used: str = "") -> Stock:
    """What a kind is printed on where nobody names a stock: of those that hold it, the one `used` last.

    Else the one that staff printed it on last, or else the first. Whoever chose a paper gets no stock of another size,
    unless nothing else holds it.
    """
    return _preferred(kind, desk, used)[0]


def stock_for_all(kind: Kind, desk: Desk, things: Sequence[str]) -> Stock:
    """The first of the same stocks that holds the label of every one of `things`; the first where none does."""
    stocks = _preferred(kind, desk)

    def holds_all(stock: Stock) -> bool:
        order = PrintOrder(kind=kind.name, things=tuple(things), stock=stock.name)
        return not any(refuses(label, stock) for label in kind.labels(desk, Wanted(order=order, stock=stock)))

    return next(filter(holds_all, stocks), stocks[0])


def _preferred(kind: Kind, desk: Desk, used: str = "") -> list[Stock]:
    """The stocks that hold a usual one: the one `used` last, the one that staff printed it on last, the others."""
    offered = [stock for stock, lacks in kind.too_small(desk).items() if not lacks]
    chosen = desk.by.paper
    fitting = [stock for stock in offered if chosen is None or is_sold_with(chosen, stock)] or offered
    lately = (used, desk.read.papers.stock_of_staff(kind.name))
    return [*(stock for name in lately for stock in fitting if stock.name == name), *fitting]


def kind_named(name: str) -> Kind:
    """The kind of this name; `Unknown` when there is none."""
    kind = KINDS.get(name)
    if kind is None:
        remedy = Message("choose-a-document", _("Choose one from the list of papers."))
        raise Unknown(Message("no-such-document", _("There's no such paper here.")), remedy)
    return kind


# ---- tags --------------------------------------------------------------------------------------------------------


def _tags(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    things = wanted.order.things
    tags = tags_of(desk.read, things, desk.by, desk.reader, address=desk.address, reprints=wanted.reprints)
    return tag_labels(tags, manner_of(desk.reader))


def _usual_tag(desk: Desk) -> Label:
    address = f"{(desk.address or desk.studio.address).rstrip('/')}/slip/99999"
    return usual_tag(manner_of(desk.reader), len(address))


def _lost(_desk: Desk, rows: Sequence[PieceRow]) -> dict[str, Message]:
    words = _("{piece} is lost, so it gets no tag.")
    return {row.ref: Message("lost-no-tag", words, piece=row.ref) for row in rows if row.piece.stage is Stage.LOST}


_TAGS = Kind(
    name=DocumentKind.TAGS,
    title=Message("tags", _("Tags")),
    says=Message("tags-are", _("One for each piece: its code or ticket number, its maker, a barcode and a QR code.")),
    right=Right.SEE_OWN,
    stocks=label_stocks,
    usual=_usual_tag,
    labels=_tags,
    of_pieces=True,
    unfit=_lost,
)


# ---- what goes home --------------------------------------------------------------------------------------------------


def _pages(desk: Desk, wanted: Wanted) -> list[PiecePage]:
    rows = find_rows(desk.read, wanted.order.things, desk.by)
    return [desk.read.pieces.page(row.piece.id) for row in rows]


def _cards(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    return [going_home.card_of(page, desk.studio, desk.reader, wanted.order.line) for page in _pages(desk, wanted)]


def _stick_ons(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    return [going_home.stick_on_of(page, desk.studio, desk.reader) for page in _pages(desk, wanted)]


_GOES_HOME = STEPS[StepName.CLAIM].start | {Stage.CLAIMED}


def _stays(_desk: Desk, rows: Sequence[PieceRow]) -> dict[str, Message]:
    words = _("{piece} is {stage}. This paper is for pieces that go home.")
    return _cuts(rows) | {
        row.ref: Message("stays-here", words, piece=row.ref, stage=row.piece.stage)
        for row in rows
        if row.piece.stage not in _GOES_HOME
    }


def _cuts(rows: Sequence[PieceRow]) -> dict[str, Message]:
    """The pieces that are bagged and thrown away instead of handed out: they shivered."""
    words = _("{piece} came out shivered. Bag it: it isn't handed out.")
    return {row.ref: Message("cuts-so-bag-it", words, piece=row.ref) for row in rows if row.piece.is_to_bag}


def _unfired(_desk: Desk, rows: Sequence[PieceRow]) -> dict[str, Message]:
    """The pieces with nothing to say on a card yet: no glaze firing is behind them, and nobody took them home bare."""
    words = _("{piece} is {stage}. Its care card is printed after the glaze firing, or once it's handed out.")
    return _cuts(rows) | {
        row.ref: Message("no-care-card-yet", words, piece=row.ref, stage=row.piece.stage)
        for row in rows
        if row.piece.stage not in {Stage.FIRED, Stage.CLAIMED}
    }


def _needs_no_warning(desk: Desk, rows: Sequence[PieceRow]) -> dict[str, Message]:
    stays = _stays(desk, rows)
    pages = [desk.read.pieces.page(row.piece.id) for row in rows if row.ref not in stays]
    for_food = (page.piece.ref for page in pages if not going_home.needs_a_warning(page, desk.studio))
    return stays | {ref: going_home.meant_for_food(ref) for ref in for_food}


def _notices(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    return notices_of(desk, wanted.order.things, wanted.stock, wanted.order.dpi)


def _slips(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    pages = _pages(desk, wanted)
    return going_home.slips_of(pages, desk.studio, wanted.stock, desk.reader, at=desk.at, dpi=wanted.order.dpi)


def _pickup_lists(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    pages = _pages(desk, wanted)
    term = next_pickup(desk.read.terms.listed(), desk.at.astimezone(desk.reader.zone).date())
    return lists_of(pages, desk.studio, wanted.stock, desk.reader, at=desk.at, term=term, dpi=wanted.order.dpi)


def _not_ready(_desk: Desk, rows: Sequence[PieceRow]) -> dict[str, Message]:
    words = _("{piece} is {stage}. This list is for pieces that are ready for pickup.")
    return _cuts(rows) | {
        row.ref: Message("not-ready", words, piece=row.ref, stage=row.piece.stage)
        for row in rows
        if row.piece.stage is not Stage.FIRED
    }


_HOME = (
    Kind(
        name=DocumentKind.CARE,
        title=Message("care-card", _("Care card")),
        says=Message(
            "care-card-is",
            _(
                "What the piece is, what was tested, what wasn't, and how to care for it. "
                "Not-for-food warnings come first and largest."
            ),
        ),
        right=Right.SEE_OWN,
        stocks=card_stocks,
        usual=lambda desk: usual_papers.a_care_card(desk.studio.catalog.practice.regime, desk.reader),
        labels=_cards,
        of_pieces=True,
        unfit=_unfired,
        has_line=True,
    ),
    Kind(
        name=DocumentKind.NOT_FOR_FOOD,
        title=Message("not-for-food-label", _("Not-for-food label")),
        says=Message(
            "not-for-food-label-is",
            _("A sticker for pieces that aren't for food or drink. Mark the base permanently too."),
        ),
        right=Right.SEE_OWN,
        stocks=label_stocks,
        usual=lambda desk: usual_papers.a_sticker(desk.studio.catalog.practice.regime, desk.reader),
        labels=_stick_ons,
        of_pieces=True,
        unfit=_needs_no_warning,
        caution=Message(
            "mark-the-base-too",
            _(
                "If a piece is never fired again, mark its base with the same words too. Fire them on or engrave them. "
                "Make the letters at least {height} high. Or drill a hole through its food surface, if it has one. "
                "Engrave and drill wet, in goggles and a respirator."
            ),
            height=going_home.CONSPICUOUS,
        ),
    ),
    Kind(
        name=DocumentKind.PICKUP_SLIP,
        title=Message("pickup-slip", _("Pickup list")),
        says=Message("pickup-slip-is", _("Who picked up which pieces and when, with a line to sign.")),
        right=Right.HAND_OVER,
        stocks=card_stocks,
        usual=lambda desk: usual_papers.a_pickup_slip(desk.reader),
        labels=_slips,
        of_pieces=True,
        unfit=_stays,
    ),
    Kind(
        name=DocumentKind.NOTICES,
        title=Message("notices", _("Notices for makers")),
        says=Message(
            "notices-are",
            _(
                "For each maker: what is ready, what is on a shelf too long, and what broke or was answered. "
                "For those who get no mail."
            ),
        ),
        right=Right.HAND_OVER,
        stocks=card_stocks,
        usual=lambda desk: usual_papers.a_notice(desk.reader),
        choices=makers_to_tell,
        labels=_notices,
    ),
    Kind(
        name=DocumentKind.PICKUP_DAY,
        title=Message("pickup-day-list", _("Pickup-day list")),
        says=Message("pickup-day-list-is", _("What is ready for each maker, and on which shelf.")),
        right=Right.HAND_OVER,
        stocks=list_stocks,
        usual=lambda desk: usual_papers.a_pickup_list(desk.reader),
        labels=_pickup_lists,
        of_pieces=True,
        unfit=_not_ready,
    ),
)

# ---- the studio's own things ---------------------------------------------------------------------------------------


def _shelves(desk: Desk) -> Sequence[Thing]:
    return [Thing(name, name) for name in known_shelves(desk.read)]


def _shelf_labels(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    return [studio_papers.shelf(name, desk.reader) for name in wanted.order.things]


def _glazes(desk: Desk) -> Sequence[Thing]:
    on_shelf = [glaze for glaze in desk.studio.catalog.glazes.values() if not glaze.retired]
    on_shelf.sort(key=lambda glaze: (glaze.burns_away, glaze.cone_high, glaze.name.casefold()))
    return [Thing(one.name, one.name, _about(one)) for one in on_shelf]


def _about(glaze: Glaze) -> Fact:
    if glaze.burns_away:
        return glaze.coat
    return Message("sort-and-cones", "{sort}, {cones}", sort=glaze.sort, cones=glaze.cones)


def _bucket_labels(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    known = desk.studio.catalog
    return [studio_papers.bucket(known.glaze(name), known.practice, desk.reader) for name in wanted.order.things]


def _kilns(desk: Desk) -> Sequence[Thing]:
    kilns = desk.studio.catalog.kilns.values()
    return [Thing(kiln.name, kiln.name, kiln.place) for kiln in kilns if not kiln.retired]


def _kiln_cards(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    studio = desk.studio
    return [studio_papers.kiln_door(studio.catalog.kiln(name), studio, desk.reader) for name in wanted.order.things]


def _staff(desk: Desk) -> Sequence[Thing]:
    return [Thing(str(one.id), one.name, one.role) for one in desk.read.people.staff()]


def _badges(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    staff = {str(one.id): one for one in desk.read.people.staff()}
    if strangers := [number for number in wanted.order.things if number not in staff]:
        words = _("No one on the staff has the number {number}.")
        remedy = Message("pick-from-the-list", _("Choose from the list."))
        raise Unknown(Message("no-such-badge", words, number=strangers[0][:20]), remedy)
    badges = desk.read.people.badge_numbers()
    return [
        studio_papers.staff_badge(staff[number], desk.studio, desk.reader, badges.get(int(number), ""))
        for number in wanted.order.things
    ]


def _makers(desk: Desk) -> Sequence[Thing]:
    makers = (one for one in desk.read.people.listed(makers=_MOST_MAKERS) if not one.role.runs_studio)
    return [Thing(str(one.id), one.name, one.section or one.role) for one in makers]


def _maker_cards(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    things = wanted.order.things
    numbers = [int(one) for one in things if one.isdecimal() and len(one) < _NUMBER_DIGITS]
    makers = {str(one.id): one for one in desk.read.people.by_ids(numbers)}
    cards = desk.read.people.cards(numbers)
    if strangers := [one for one in things if one not in makers]:
        words = _("No one here has the number {number}.")
        remedy = Message("pick-from-the-list", _("Choose from the list."))
        raise Unknown(Message("no-such-maker", words, number=strangers[0][:20]), remedy)
    return [studio_papers.maker_card(makers[one], cards[int(one)], desk.studio, desk.reader) for one in things]


def _containers(desk: Desk) -> Sequence[Thing]:
    """The names that outdoor sessions give a kiln's containers, six of each kind."""
    outdoors = [kiln for kiln in desk.studio.catalog.kilns.values() if kiln.outdoor and not kiln.retired]
    named = {
        name: Message("container-of", "{kiln}, {sides}", kiln=kiln.name, sides=_sides(room))
        for kiln in reversed(outdoors)
        for kind, room in enumerate(kiln.containers, start=1)
        for name in container_names(kind, _ALIKE)
    }
    return [Thing(name, name, named[name]) for name in sorted(named)]


def _sides(room: Room) -> Message:
    """How high a container is, and how wide, as far as anybody measured it."""
    words = (_("unmeasured"), "{a}", _("{a} by {b}"), _("{a} by {b} by {c}"))[len(room.sides)]
    return Message(f"sides-{len(room.sides)}", words, **dict(zip("abc", map(mm, room.sides), strict=False)))


def _container_labels(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    return [studio_papers.container(name, desk.reader) for name in wanted.order.things]


def _commands(desk: Desk) -> Sequence[Thing]:
    return [Thing(one.text, read(one.title, desk.reader), one.group) for one in commands_of(desk.read).values()]


def _command_labels(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    known = commands_of(desk.read)
    if strangers := [text for text in wanted.order.things if text not in known]:
        words = _("No barcode here says {text}.")
        remedy = Message("pick-from-the-list", _("Choose from the list."))
        raise Unknown(Message("no-such-command", words, text=strangers[0][:20]), remedy)
    return [studio_papers.command(known[text], desk.reader) for text in wanted.order.things]


def _trial_bars(desk: Desk) -> Sequence[Thing]:
    return [Thing(one.value, read(TRIAL_TITLES[one], desk.reader)) for one in TrialBar]


def _trial_bar_labels(desk: Desk, wanted: Wanted) -> Sequence[Label]:
    known = set(TrialBar)
    if strangers := [name for name in wanted.order.things if name not in known]:
        words = _("No barcode here says {text}.")
        remedy = Message("pick-from-the-list", _("Choose from the list."))
        raise Unknown(Message("no-such-command", words, text=strangers[0][:20]), remedy)
    return [studio_papers.trial_bar(TrialBar(name), desk.reader) for name in wanted.order.things]


_MOST_MAKERS = 400
_NUMBER_DIGITS = 10
_ALIKE = 6
"""So many containers of a kind are offered; more are typed."""

_STUDIO = (
    Kind(
        name=DocumentKind.SHELVES,
        title=Message("shelf-labels", _("Shelf labels")),
        says=Message(
            "shelf-labels-are",
            _("For shelves and ware boards. On Scan and move, scan the label, then each piece you put there."),
        ),
        right=Right.MOVE,
        stocks=every_stock,
        usual=lambda desk: usual_papers.a_shelf_label(desk.reader),
        choices=_shelves,
        labels=_shelf_labels,
        may_type=True,
    ),
    Kind(
        name=DocumentKind.BUCKETS,
        title=Message("bucket-labels", _("Glaze bucket labels")),
        says=Message(
            "bucket-labels-are",
            _("Cones, temperatures, food safety and metals. Scan the label when you glaze a piece."),
        ),
        right=Right.MOVE,
        stocks=every_stock,
        usual=lambda desk: usual_papers.a_bucket_label(desk.reader),
        choices=_glazes,
        labels=_bucket_labels,
    ),
    Kind(
        name=DocumentKind.KILN_DOORS,
        title=Message("kiln-door-cards", _("Kiln cards")),
        says=Message(
            "kiln-door-cards-are",
            _("What a kiln fires, with cones and temperatures, what to keep out of it, and the cautions."),
        ),
        right=Right.FIRE,
        stocks=card_stocks,
        usual=lambda desk: usual_papers.a_kiln_card(desk.reader),
        choices=_kilns,
        labels=_kiln_cards,
    ),
    Kind(
        name=DocumentKind.CONTAINERS,
        title=Message("container-numbers", _("Bin numbers")),
        says=Message(
            "container-numbers-are", _("Large numbers for reduction bins (A1, B2 …), readable at tongs' length.")
        ),
        right=Right.FIRE,
        stocks=every_stock,
        usual=lambda desk: usual_papers.a_container_label(desk.reader),
        choices=_containers,
        labels=_container_labels,
        may_type=True,
        caution=Message(
            "paper-burns", _("Paper burns. Put it on a stake next to the bin, or paint the number on the bin.")
        ),
    ),
    Kind(
        name=DocumentKind.BADGES,
        title=Message("staff-badges", _("Staff badges")),
        says=Message(
            "staff-badges-are",
            _(
                "Name and role. Scan one on Pickup to find a person's pieces. On a shared tablet it signs in with a "
                "PIN, once you've made both on the person's page."
            ),
        ),
        right=Right.PEOPLE,
        stocks=every_stock,
        usual=lambda desk: usual_papers.a_badge(desk.reader),
        choices=_staff,
        labels=_badges,
    ),
    Kind(
        name=DocumentKind.MAKER_CARDS,
        title=Message("maker-cards", _("Maker cards")),
        says=Message(
            "maker-cards-are",
            _(
                "For people without an email, and for anyone else. Scan one anywhere to open the maker's page. On "
                "Pickup it shows their pieces. It signs no one in."
            ),
        ),
        right=Right.MOVE,
        stocks=every_stock,
        usual=lambda desk: usual_papers.a_maker_card(desk.reader),
        choices=_makers,
        labels=_maker_cards,
    ),
    Kind(
        name=DocumentKind.COMMANDS,
        title=Message("scan-sheet", _("Scan sheet")),
        says=Message(
            "scan-sheet-is",
            _("Barcodes for steps, results, undo, kilns and shelves. Scan one instead of pressing the button."),
        ),
        right=Right.MOVE,
        stocks=bar_stocks,
        usual=lambda desk: usual_papers.a_command(desk.reader),
        choices=_commands,
        labels=_command_labels,
        is_one_sheet=True,
    ),
    Kind(
        name=DocumentKind.TRIAL_BARS,
        title=Message("test-bars", _("Test barcodes for a scanner")),
        says=Message("test-bars-are", _("Scan each on the page “Set up a scanner”. It says what to change.")),
        right=Right.MOVE,
        stocks=bar_stocks,
        usual=lambda desk: usual_papers.a_trial_bar(desk.reader),
        choices=_trial_bars,
        labels=_trial_bar_labels,
        is_one_sheet=True,
    ),
)

KINDS: dict[str, Kind] = {kind.name: kind for kind in (_TAGS, *_STUDIO, *_HOME)}
"""Every kind of document by its name."""
