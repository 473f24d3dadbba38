"""Printing tags without the pages."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tracker.commands.house import NEW_FILE, House, as_json_option, by_option, new_or_as_before, progress, say
from tracker.domain.pieces.piece import Stage

if TYPE_CHECKING:
    from printing.labels.stock import Stock
    from tracker.store.unit_of_work import Store


@click.command()
@click.argument("refs", metavar="[REF]...", nargs=-1)
@click.option("--firing", type=click.IntRange(1), help="Every piece of this firing.")
@click.option("--stage", type=click.Choice([str(one) for one in Stage]), help="Every piece that stands at this stage.")
@click.option("--stock", "name", metavar="NAME", help="The label stock; the first one known where it is left out.")
@click.option(
    "--start", "start_at", type=click.IntRange(1), default=1, show_default=True, help="The first label to use."
)
@click.option("--nudge", metavar="X,Y", default="0,0", show_default=True, help="Millimetres right and down, by halves.")
@click.option("--dpi", type=click.Choice(["203", "300", "600"]), help="The printer's dots, where they are known.")
@click.option("-o", "--out", type=NEW_FILE, required=True, help="The PDF to write.")
@by_option
@as_json_option
@click.pass_obj
def tags(  # noqa: PLR0917 -- click gives them by name, each one thing that a person says about the paper
    house: House, refs: tuple[str, ...], firing: int | None, stage: str | None, name: str | None, start_at: int,
    nudge: str, dpi: str | None, out: Path, by: str | None, *, as_json: bool,
) -> None:  # fmt: skip
    """Write the tags of pieces, of a firing or of a stage as a PDF on label stock."""
    from tracker.usecases.labels.tags import Sheet, print_tags

    if sum(map(bool, (refs, firing, stage))) != 1:
        raise click.UsageError("Give either pieces, or --firing, or --stage.")
    moved = _nudge(nudge)
    # The file is opened first: a tag that could not be written must not count as printed.
    with house.store() as store, new_or_as_before(out) as file:
        sheet = Sheet(
            stock=_stock(store, name, start_at),
            start_at=start_at,
            nudge_mm=moved,
            dpi=int(dpi) if dpi else None,
            address=house.settings.address,
        )
        chosen = refs or _refs(store, firing, stage)
        with progress("Printing tags", len(chosen)) as note:
            done = iter(range(1, len(chosen) + 1))
            printed = print_tags(
                store, house.request(store, by), chosen, sheet, progress=lambda _: note(next(done), len(chosen))
            )
        file.write(printed.pdf)
    again = f" Printed before: {', '.join(printed.reprints)}." if printed.reprints else ""
    say(
        f"{len(chosen)} {'tag is' if len(chosen) == 1 else 'tags are'} in {out}.{again}",
        {"file": str(out), "tags": len(chosen), "reprints": list(printed.reprints)},
        as_json=as_json,
    )


def _stock(store: Store, name: str | None, start_at: int) -> Stock:
    from printing.labels.stock import STOCKS, stock_named
    from tracker.usecases.labels.stock import label_stocks

    try:
        stock = stock_named(name, label_stocks(store.read.studio())) if name else STOCKS[0]
    except ValueError as fault:
        raise click.BadParameter(str(fault), param_hint="--stock") from None
    if start_at > stock.per_page:
        raise click.BadParameter(f"A page of {stock.name} has labels 1 to {stock.per_page}.", param_hint="--start")
    return stock


def _nudge(text: str) -> tuple[float, float]:
    from printing.labels.stock import check_nudge

    match = re.fullmatch(r"([+-]?[0-9]{1,2}(?:\.[0-9])?),([+-]?[0-9]{1,2}(?:\.[0-9])?)", text, re.ASCII)
    if not match:
        raise click.BadParameter("Write two lengths in mm, like 0.5,-1.", param_hint="--nudge")
    nudge = float(match[1]), float(match[2])
    try:
        check_nudge(nudge)
    except ValueError as fault:
        raise click.BadParameter(str(fault), param_hint="--nudge") from None
    return nudge


def _refs(store: Store, firing: int | None, stage: str | None) -> tuple[str, ...]:
    if stage:
        return tuple(row.ref for row in store.read.pieces.standing(Stage(stage), limit=10_000))
    from tracker.usecases.pieces.lookup import find_firing_page

    return tuple(row.ref for row in find_firing_page(store.read, firing or 0).in_shelf_order)
