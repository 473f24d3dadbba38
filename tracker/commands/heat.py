"""What a kiln's log did to the cones, asked without a database."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, get_args

import click

from tracker.commands.house import FILE, as_json_option, fail, say, text_of, units_option
from tracker.domain.cones import Cone, Kind
from tracker.domain.findings import NeedsAcceptance
from tracker.domain.message import Choice, Message, _
from tracker.domain.quantities import (
    Unit,
    Units,
    celsius,
    celsius_as_read,
    celsius_per_hour,
    celsius_step,
    in_units,
)
from tracker.wording.render import read, say_finding
from tracker.wording.render import say as text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tracker.domain.firing.curves import Curve
    from tracker.domain.firing.heat_work import HeatWork
    from tracker.domain.firing.logs import KilnLog
    from tracker.wording.reader import Reader

_CAUTION = "A model, not a witness. Trust the cones in the kiln. Never leave a firing kiln unattended."


class _ConeText(click.ParamType[Cone]):
    """A cone as people write it."""

    name = "cone"

    def convert(self, value: str | Cone, param: click.Parameter | None, ctx: click.Context | None) -> Cone:
        """The cone, or a usage error that says which cones there are."""
        from tracker.forms.plain_values import Wrong, as_sentence, cone_of

        try:
            return value if isinstance(value, Cone) else cone_of(value)
        except Wrong as wrong:
            self.fail(text(as_sentence(wrong.message)), param, ctx)


kind_option = click.option(
    "--kind",
    type=click.Choice(get_args(Kind)),
    default="self-supporting",
    show_default=True,
    help=_("Kind of cone. They fall at different heats."),
)


@click.command(
    "cone-reached",
    short_help=_("Calculate the cone that a kiln reached."),
    help=_("Calculate which cone a kiln's log has reached, from its temperatures and times."),
)
@click.argument("path", metavar="CURVE.csv", type=FILE)
@kind_option
@click.option("--unit", type=click.Choice(["c", "f"]), help=_("°C or °F; overrides the header."))
@click.option(
    "--thermocouple", type=click.Choice(["K", "S"], case_sensitive=False), help=_("Thermocouple type (for mV logs).")
)
@click.option("--junction", type=float, metavar="°C", help=_("Temperature of its cold junction, in °C."))
@click.option("--target", type=_ConeText(), help=_("Also say when this cone falls."))
@click.option("--accept", "accepts", is_flag=True, help=_("Use the log despite its warnings (after checking them)."))
@units_option
@as_json_option
def cone_reached(
    path: Path,
    kind: Kind,
    unit: str | None,
    thermocouple: str | None,
    junction: float | None,
    target: Cone | None,
    reader: Reader,
    *,
    accepts: bool,
    as_json: bool,
) -> None:
    """Calculate which cone a kiln's log has reached, from its temperatures and times."""
    from tracker.domain.firing.cone_model import fits
    from tracker.domain.firing.heat_work import heat_work
    from tracker.domain.firing.thermocouples import Couple
    from tracker.forms.firing.curve_file import CurveOptions, Unit, read_curve_file

    if target is not None and target not in fits(kind):
        words = _("No end point is published for a {kind} cone {cone}, so there's no estimate for it.")
        fail(text(Message("no-end-point", words, kind=kind, cone=str(target)), reader))
    options = CurveOptions(
        unit=Unit(unit) if unit else None,
        couple=Couple(thermocouple.upper()) if thermocouple else None,
        junction_c=junction,
    )
    log = read_curve_file(text_of(path), options)
    work = heat_work(_curve_of(log, reader, accepts=accepts), kind)
    notes = [Message("note", _("Note: {note}"), note=one.message) for one in log.notes]
    told = [text(one, reader) for one in (*_told(work, target, reader.units), *notes)]
    say([*told, _CAUTION], _values(work), as_json=as_json)


def _curve_of(log: KilnLog, reader: Reader, *, accepts: bool) -> Curve:
    """The curve of a log, or each question about it with what to do about it."""
    try:
        return log.curve(accepts=accepts)
    except NeedsAcceptance as refusal:
        questions = [say_finding(finding, reader) for finding in refusal.findings]
        words = _("Nothing was calculated. If the log is right, add --accept.")
        fail(*questions, text(Message("nothing-worked-out", words), reader))


def _values(work: HeatWork) -> dict[str, object]:
    """The answer for a script."""
    reached, rate = work.reached, work.curve.rate_before_peak()
    return {
        "cone": str(reached.cone) if reached.cone else None,
        "fraction": reached.fraction,
        "peak_c": round(work.curve.peak_c, 2),
        "rate_last_100_c_per_h": None if rate is None else round(rate, 2),
        "reached": {str(cone): done for cone, done in work.works.items()},
    }


def _told(work: HeatWork, target: Cone | None, units: Units) -> Iterator[Message]:
    from tracker.domain.firing.cone_model import fits
    from tracker.domain.firing.curves import lasting

    curve, rate = work.curve, work.curve.rate_before_peak()
    yield Message("reached", _("{cone:capital} ({kind} cones)."), cone=work.reached.message, kind=work.kind)
    metric, us = _("Peak {heat} ({fahrenheit} °F) after {span}"), _("Peak {heat} ({celsius}) after {span}")
    peak = Message(
        "peak",
        us if units is Units.US else metric,
        heat=celsius(curve.peak_c),
        celsius=celsius_as_read(curve.peak_c, 0),
        fahrenheit=round(curve.peak_c * 1.8 + 32),
        span=lasting(curve.peak_s - curve.seconds[0]),
    )
    if rate is None:
        yield Message("peak-alone", "{peak}.", peak=peak)
    else:
        words = _("{peak}; {rate} over the last {last}.")
        yield Message("peak-and-rate", words, peak=peak, rate=celsius_per_hour(rate), last=celsius_step(100))
    if target:
        yield _when(work, target)
    odd = {one for one in (work.reached.cone, target) if one}
    yield from (note for cone in sorted(odd) if (note := fits(work.kind)[cone].note))


def _when(work: HeatWork, target: Cone) -> Message:
    """When the target falls, at the present rate and when the kiln is held where it is."""
    from tracker.domain.firing.curves import lasting
    from tracker.domain.firing.heat_work import label_of

    now, held = work.falls_in(target), work.hold_for(target)
    answers = {(True, True): "both", (True, False): "rising", (False, True): "held", (False, False): "never"}
    goal = label_of(target, work.kind)
    if now == 0:
        return Message("target-is-down", _("Target {cone}: it's down."), cone=goal)
    return Message(
        "target-falls",
        _FALLS,
        when=answers[bool(now), bool(held)],
        cone=goal,
        rate=celsius_per_hour(work.curve.present_rate()),
        rising=lasting(now or 0),
        heat=celsius(work.curve.last_c),
        held=lasting(held or 0),
    )


_FALLS = Choice(
    "when",
    {
        "both": _("Target {cone}: will fall in {rising} at the current {rate}, or in {held} if held at {heat}."),
        "rising": _("Target {cone}: will fall in {rising} at the current {rate}, but never if held at {heat}."),
        "held": _("Target {cone}: will never fall at the current {rate}, but will fall in {held} if held at {heat}."),
        "never": _("Target {cone}: will never fall, at the current {rate} or held at {heat}."),
    },
)


_RATE_C_PER_HOUR = 60.0
"""How fast the cones of that table are heated up to the hold."""


@click.command(
    "hold-times",
    short_help=_("List how long a hold drops the next cone."),
    help=_("List how long a hold at each cone's end point takes to drop the next cone too."),
)
@kind_option
@units_option
@as_json_option
def hold_times(kind: Kind, reader: Reader, *, as_json: bool) -> None:
    """List how long a hold at each cone's end point takes to drop the next cone too."""
    from tracker.domain.firing.heat_work import hold_times as times_of

    times = times_of(kind)
    values = [
        {"cone": str(one.cone), "at_c": round(one.celsius), "next": str(one.then), "minutes": round(one.minutes, 1)}
        for one in times
    ]
    scale = read(Unit.CELSIUS, reader)
    heats = [in_units(one.celsius, Unit.CELSIUS, reader.units) for one in times]
    rows = [
        f"{one.cone!s:>5}  {heat:5.0f} {scale}  {one.then!s:>5}  {one.minutes:5.0f} min"
        for one, heat in zip(times, heats, strict=True)
    ]
    rate = read(celsius_step(_RATE_C_PER_HOUR), reader)
    head = f" cone   held at   next      after ({kind} cones, heated at {rate} an hour)"
    say([head, *rows, _CAUTION], values, as_json=as_json)
