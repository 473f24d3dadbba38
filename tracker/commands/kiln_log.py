"""A kiln's own log, taken into its firing: once, or on and on while the kiln writes it."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tracker.commands.house import FILE, House, as_json_option, by_option, fail, say
from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message, Plural, _
from tracker.wording.render import say as text
from tracker.wording.render import say_finding

if TYPE_CHECKING:
    from tracker.forms.firing.curve_file import GrowingLog
    from tracker.store.unit_of_work import Store


@click.command(
    "kiln-log",
    short_help=_("Import a kiln's own log into a firing."),
    help=_("Import a kiln's own LOG.csv into FIRING, or report each bad line."),
)
@click.argument("firing", type=click.IntRange(1))
@click.argument("path", metavar="LOG.csv", type=FILE)
@click.option("--unit", type=click.Choice(["c", "f"]), help=_("°C or °F; overrides the header."))
@click.option(
    "--thermocouple", type=click.Choice(["K", "S"], case_sensitive=False), help=_("Thermocouple type (for mV logs).")
)
@click.option("--junction", type=float, metavar="°C", help=_("Temperature of its cold junction, in °C."))
@click.option(
    "--begins",
    type=click.IntRange(0, 2_880),
    default=0,
    metavar="MIN",
    help=_("Minutes between kiln start and the first reading."),
)
@click.option("--accept", "accepts", is_flag=True, help=_("Use the log despite its warnings (after checking them)."))
@click.option("--follow", is_flag=True, help=_("Keep reading while the file grows, until the kiln is off or Ctrl-C."))
@click.option("--every", type=click.FloatRange(0.1, 3_600), default=30.0, show_default=True, metavar="SECONDS")
@by_option
@as_json_option
@click.pass_obj
def kiln_log(  # noqa: PLR0917 -- click gives them by name, each one thing that a person says about the log
    house: House, firing: int, path: Path, unit: str | None, thermocouple: str | None, junction: float | None,
    begins: int, every: float, by: str | None, *, accepts: bool, follow: bool, as_json: bool,
) -> None:  # fmt: skip
    """Import a kiln's own LOG.csv into FIRING, or report each bad line."""
    from tracker.domain.firing.thermocouples import Couple
    from tracker.forms.firing.curve_file import CurveOptions, GrowingLog, Unit

    options = CurveOptions(
        unit=Unit(unit) if unit else None,
        couple=Couple(thermocouple.upper()) if thermocouple else None,
        junction_c=junction,
    )
    with house.store() as store:
        log = GrowingLog(options, store.read.catalog().practice.logs)
        taken = _Taken(house, store, firing, by, begins * 60, accepts=accepts)
        try:
            while True:
                taken.read(log, path, is_over=not follow)
                if not follow or not taken.burns():
                    break
                time.sleep(every)
        except KeyboardInterrupt:
            taken.read(log, path, is_over=True)
    words = Plural(
        "count",
        "Firing {firing}: {count} reading imported from {file}.",
        "Firing {firing}: {count} readings imported from {file}.",
    )
    done = Message("log-is-in", words, firing=str(firing), count=taken.count, file=path.name)
    say(text(done), {"firing": firing, "readings": taken.count}, as_json=as_json)


class _Taken:
    """What has been taken in so far, and where it goes."""

    def __init__(self, house: House, store: Store, firing: int, by: str | None, begins: int, *, accepts: bool) -> None:
        self._house, self._store, self._firing, self._by = house, store, firing, by
        self._begins, self._accepts = begins, accepts
        self.count = 0

    def burns(self) -> bool:
        """Whether the fire is still on."""
        from tracker.usecases.pieces.lookup import find_firing

        return find_firing(self._store.read, self._firing).stage is FiringStage.FIRING

    def read(self, log: GrowingLog, path: Path, *, is_over: bool) -> None:
        """Take in what the file has more of than before; a line that is still being written waits."""
        from tracker.usecases.firing import logs as firing_logs

        with path.open("rb") as file:
            file.seek(log.taken)
            log.take(file.read())
        if is_over:
            log.end()
        read = log.log()
        wrong = [one for one in read.refusals if one.rule != "log-too-short" or is_over]
        if wrong:
            fail(*(say_finding(one, self._house.reader) for one in wrong))
        if read.questions and not self._accepts:
            asked = [say_finding(one, self._house.reader) for one in read.questions]
            fail(*asked, text(Message("add-accept", _("If the log is right, add --accept."))))
        more = {self._begins + round(one.seconds): one.celsius for one in read.readings[self.count :]}
        if more:
            request = self._house.request(self._store, self._by)
            firing_logs.add_to_log(self._store, request, self._firing, tuple(more.items()))
            self.count = len(read.readings)
