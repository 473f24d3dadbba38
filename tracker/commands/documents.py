"""Printing without the pages: tags, and every other kind of document."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tracker.commands.house import NEW_FILE, House, as_json_option, by_option, new_or_as_before, progress, say
from tracker.domain.labels.print_jobs import DocumentKind, PrintOrder
from tracker.domain.message import Message, Plural, _, together
from tracker.domain.pieces.piece import Stage
from tracker.domain.quantities import mm
from tracker.domain.refusals import Unknown, Unusable
from tracker.wording.reader import reader_of_studio
from tracker.wording.render import read
from tracker.wording.render import say as text_of_message

if TYPE_CHECKING:
    from collections.abc import Sequence

    from printing.labels.stock import Stock
    from tracker.store.unit_of_work import Store
    from tracker.usecases.labels.document_kinds import Kind
    from tracker.usecases.labels.documents import Printing
    from tracker.usecases.labels.selection import Desk

_SHEET = (
    click.option("--stock", "name", metavar="NAME", help=_("Labels or paper (default: the first in the list).")),
    click.option(
        "--start", "start_at", type=click.IntRange(1), default=1, show_default=True, help=_("First label to use.")
    ),
    click.option(
        "--nudge",
        metavar="X,Y",
        default="0,0",
        show_default=True,
        help=_("Shift in mm, right and down, in 0.5 mm steps."),
    ),
    click.option("--dpi", type=click.Choice(["203", "300", "600"]), help=_("Printer resolution in dpi, if known.")),
)


def _sheet_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """What every printing says about its paper."""
    for option in reversed(_SHEET):
        command = option(command)
    return command


@click.command(
    short_help=_("Save tags of pieces as a PDF."),
    help=_("Save the tags of pieces, a firing or a stage as a PDF for label stock."),
)
@click.argument("refs", metavar="[REF]...", nargs=-1)
@click.option("--firing", type=click.IntRange(1), help=_("Every piece of this firing."))
@click.option("--stage", type=click.Choice([str(one) for one in Stage]), help=_("Every piece at this stage."))
@_sheet_options
@click.option("-o", "--out", type=NEW_FILE, required=True, help=_("The PDF to write."))
@by_option
@as_json_option
@click.pass_obj
def tags(  # noqa: PLR0917 -- click gives them by name, each one thing that a person says about the paper
    house: House, refs: tuple[str, ...], firing: int | None, stage: str | None, name: str | None, start_at: int,
    nudge: str, dpi: str | None, out: Path, by: str | None, *, as_json: bool,
) -> None:  # fmt: skip
    """Save the tags of pieces, a firing or a stage as a PDF for label stock."""
    from tracker.usecases.labels.stock import label_stocks, usual_stock

    if sum(map(bool, (refs, firing, stage))) != 1:
        raise _misused(Message("which-tags", _("Give pieces, --firing or --stage: only one of them.")))
    moved = _nudge(nudge)
    # The file is opened first: a tag that could not be written must not count as printed.
    with house.store() as store, new_or_as_before(out) as file:
        studio = store.read.studio()
        stock = _stock(name, label_stocks(studio, studio.paper), usual_stock(studio.paper), start_at)
        order = PrintOrder(
            kind=DocumentKind.TAGS,
            things=refs or _standing(store, firing, stage),
            stock=stock.name,
            start_at=start_at,
            nudge=moved,
            dpi=int(dpi) if dpi else None,
        )
        if not order.things:
            nothing = Message("no-piece-chosen", _("No pieces are selected."))
            raise Unusable([nothing], Message("choose-pieces", _("Choose the pieces to print tags for.")))
        printed, pdf = _printed(house, store, by, order, "Printing tags")
        file.write(pdf)
    count = printed.job.order.labels
    reprints, reader = _reprints(printed), printed.layout.reader
    words = Plural("count", "{count} tag saved to {file}.", "{count} tags saved to {file}.")
    done = [Message("tags-written", words, count=count, file=str(out))]
    if reprints:
        done.append(Message("printed-before", _("Printed before: {tags}."), tags=tuple(reprints)))
    say(
        text_of_message(together(done), reader),
        {"file": str(out), "tags": count, "reprints": reprints},
        as_json=as_json,
    )


@click.command(
    "print",
    short_help=_("Save documents of the print desk as a PDF."),
    help=_("Save any document of the print desk as a PDF: for things by name, a group of pieces, or everything."),
)
@click.argument("kind", type=click.Choice([str(one) for one in DocumentKind]), required=False)
@click.argument("things", metavar="[THING]...", nargs=-1)
@click.option("--firing", type=click.IntRange(1), help=_("Every piece of this firing that didn't break."))
@click.option("--place", metavar="SHELF", help=_("Every piece on this shelf or ware board."))
@click.option("--section", metavar="NAME", help=_("Every piece of this section's students."))
@click.option("--term", metavar="NAME", help=_("Every piece of this term's makers that's in the studio."))
@click.option(
    "--today", type=click.Choice(["registered", "bisqued"]), help=_("Every piece registered or bisqued today.")
)
@click.option("--maker", metavar="EMAIL", help=_("Every piece of this person that's ready for pickup."))
@click.option("--job", type=click.IntRange(1), help=_("What this print had on it, by its number."))
@click.option("--all", "takes_all", is_flag=True, help=_("Everything of a kind that isn't for pieces."))
@click.option("--list", "lists", is_flag=True, help=_("List what can be printed, or every KIND. Prints nothing."))
@_sheet_options
@click.option("--line", metavar="TEXT", help=_("Footer line on cards (default: the studio's own)."))
@click.option("-o", "--out", type=NEW_FILE, help=_("The PDF to write."))
@by_option
@as_json_option
@click.pass_obj
def print_document(  # noqa: PLR0917 -- as above
    house: House, kind: str | None, things: tuple[str, ...], firing: int | None, place: str | None, section: str | None,
    term: str | None, today: str | None, maker: str | None, job: int | None, name: str | None, start_at: int,
    nudge: str, dpi: str | None, line: str | None, out: Path | None, by: str | None, *, takes_all: bool, lists: bool,
    as_json: bool,
) -> None:  # fmt: skip
    """Save any document of the print desk as a PDF: for things by name, a group of pieces, or everything."""
    from tracker.usecases.labels.document_kinds import kind_named
    from tracker.usecases.labels.selection import Desk

    if kind is None:
        if not lists or out is not None:
            raise _misused(Message("which-kind", _("Give a KIND to print, or --list to see every KIND.")))
        _list_kinds(as_json=as_json)
        return
    moved, what = _nudge(nudge), kind_named(kind)
    heaps = {"firing": firing, "place": place, "section": section, "term": term}
    heaps |= {"today": today, "maker": maker, "job": job}
    asked = {heap: str(value) for heap, value in heaps.items() if value}
    if (out is None) != lists or (asked and not what.of_pieces) or (takes_all and what.of_pieces):
        raise _misused(_which_way(what, out, lists=lists))
    with house.store() as store:
        request = house.request(store, by)
        reader = reader_of_studio(store.read.studio())
        desk = Desk(store.read, request.by, request.at, reader, house.settings.address)
        desk.by.must_be_allowed(what.right)
        chosen = (*things, *_of_heaps(what, desk, asked), *(one.value for one in what.choices(desk) if takes_all))
        if out is None:
            _list(what, desk, chosen, as_json=as_json)
            return
        order = PrintOrder(
            kind=kind,
            things=tuple(dict.fromkeys(chosen)),
            stock=_stock_for(what, desk, name, start_at, chosen).name,
            start_at=start_at,
            nudge=moved,
            dpi=int(dpi) if dpi else None,
            line=desk.studio.line if line is None else line,
        )
        # The file is opened first: what could not be written must not count as printed.
        with new_or_as_before(out) as file:
            printed, pdf = _printed(house, store, by, order, "Printing")
            file.write(pdf)
    done, reprints = printed.job.order, _reprints(printed)
    words = _("{title}, {labels} on {stock}, saved to {file}.")
    is_there = Message("printed-to", words, title=what.title, labels=done.labels, stock=done.stock, file=str(out))
    say(
        text_of_message(is_there, reader),
        {"file": str(out), "kind": kind, "labels": done.labels, "printing": printed.job.id, "reprints": reprints},
        as_json=as_json,
    )


def _list_kinds(*, as_json: bool) -> None:
    """Every kind of document: its name here, and what it is called and is for."""
    from tracker.usecases.labels.document_kinds import KINDS

    told = [
        {"kind": kind.name.value, "title": text_of_message(kind.title), "note": text_of_message(kind.says)}
        for kind in KINDS.values()
    ]
    say([" · ".join(one.values()) for one in told], told, as_json=as_json)


def _misused(message: Message) -> click.UsageError:
    return click.UsageError(text_of_message(message))


def _which_way(kind: Kind, out: Path | None, *, lists: bool) -> Message:
    """Why these options do not go together."""
    if (out is None) != lists:
        return Message("out-or-list", _("Give either --out or --list."))
    if kind.of_pieces:
        words = _("--all doesn't work with {kind}. Name pieces, or choose them with --firing, --place or the like.")
        return Message("not-all-pieces", words, kind=kind.name.value)
    return Message("not-of-pieces", _("{kind} aren't for pieces. Name them, or add --all."), kind=kind.name.value)


def _of_heaps(kind: Kind, desk: Desk, asked: dict[str, str]) -> list[str]:
    """The pieces of these heaps that the kind of document is for."""
    from tracker.usecases.labels.selection import Heap, pieces_in

    if email := asked.get("maker"):
        person = desk.read.people.person(email=email)
        if person is None:
            raise Unknown(Message("no-such-email", _("No one here has the email {email}."), email=email))
        asked = asked | {"maker": str(person.id)}
    found = [ref for heap, text in asked.items() for ref in pieces_in(desk, Heap(heap), text)]
    return kind.takes(desk, found) if found else []


def _list(kind: Kind, desk: Desk, chosen: Sequence[str], *, as_json: bool) -> None:
    """The pieces chosen, or all there is of another kind: what stands for each, its name, and a note."""
    from tracker.usecases.labels.selection import things_of

    some = things_of(desk, chosen) if kind.of_pieces else kind.choices(desk)
    values = [{"thing": one.value, "name": one.name, "note": read(one.note, desk.reader)} for one in some]
    lines = [" · ".join(dict.fromkeys(filter(None, value.values()))) for value in values]
    nothing = text_of_message(Message("nothing-to-print", _("Nothing to print here yet.")), desk.reader)
    say(lines or [nothing], values, as_json=as_json)


def _printed(house: House, store: Store, by: str | None, order: PrintOrder, label: str) -> tuple[Printing, bytes]:
    from tracker.usecases.labels.documents import print_document as print_it

    reader = reader_of_studio(store.read.studio())
    printed = print_it(store, house.request(store, by), order, reader, address=house.settings.address)
    count = printed.job.order.labels
    with progress(label, count) as note:
        done = 0

        def one_more(labels: int) -> None:
            nonlocal done
            done += labels
            note(done, count)

        return printed, printed.layout.pdf(one_more)


def _reprints(printed: Printing) -> list[str]:
    return [thing for thing in printed.job.order.things if thing in printed.job.reprints]


def _stock_for(kind: Kind, desk: Desk, name: str | None, start_at: int, things: Sequence[str]) -> Stock:
    """The stock of that name among those for the kind; without a name the usual one that holds these things."""
    from tracker.usecases.labels.document_kinds import stock_for, stock_for_all

    usual = stock_for(kind, desk) if kind.of_pieces or name else stock_for_all(kind, desk, things)
    return _stock(name, kind.stocks(desk.studio, desk.reader.paper), usual, start_at)


def _stock(name: str | None, stocks: Sequence[Stock], usual: Stock, start_at: int) -> Stock:
    from printing.labels.stock import stock_named

    try:
        stock = stock_named(name, stocks) if name else usual
    except ValueError:
        words = _("No label stock is called “{name}”. Known: {stocks}.")
        unknown = Message("no-such-label-stock", words, name=name, stocks=tuple(one.name for one in stocks))
        raise _bad("--stock", unknown) from None
    if start_at > stock.per_page:
        words = _("A page of {stock} has labels 1 to {most}.")
        raise _bad("--start", Message("no-such-label", words, stock=stock.name, most=stock.per_page))
    return stock


def _bad(option: str, message: Message) -> click.BadParameter:
    return click.BadParameter(text_of_message(message), param_hint=option)


def _nudge(text: str) -> tuple[float, float]:
    from printing.labels.stock import FARTHEST_NUDGE, check_nudge

    match = re.fullmatch(r"([+-]?[0-9]{1,2}(?:\.[0-9])?),([+-]?[0-9]{1,2}(?:\.[0-9])?)", text, re.ASCII)
    if not match:
        raise _bad("--nudge", Message("nudge-unreadable", _("Write two lengths in mm, like 0.5,-1.")))
    nudge = float(match[1]), float(match[2])
    try:
        check_nudge(nudge)
    except ValueError:
        words = _("A nudge goes in 0.5 mm steps, at most {most} each way.")
        raise _bad("--nudge", Message("nudge-too-far", words, most=mm(FARTHEST_NUDGE))) from None
    return nudge


def _standing(store: Store, firing: int | None, stage: str | None) -> tuple[str, ...]:
    if stage:
        return tuple(row.ref for row in store.read.pieces.standing(Stage(stage), limit=10_000))
    from tracker.usecases.pieces.lookup import find_firing_page

    return tuple(row.ref for row in find_firing_page(store.read, firing or 0).in_shelf_order)
