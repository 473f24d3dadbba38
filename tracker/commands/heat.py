"""What a kiln's log did to the cones, asked without a database."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, get_args

import click

from tracker.commands.house import FILE, as_json_option, fail, say, text_of
from tracker.domain.cones import BadCone, Cone, Kind
from tracker.domain.findings import NeedsAcceptance
from tracker.wording.render import say as text_of_message
from tracker.wording.render import say_finding

if TYPE_CHECKING:
    from tracker.domain.firing.curves import Curve
    from tracker.domain.firing.heat_work import HeatWork
    from tracker.domain.firing.logs import KilnLog

_CAUTION = "A model of cones, not a witness: the cones in the kiln have the last word, and no kiln is left alone."


class _ConeText(click.ParamType[Cone]):
    """A cone as people write it."""

    name = "cone"

    def convert(self, value: str | Cone, param: click.Parameter | None, ctx: click.Context | None) -> Cone:
        """The cone, or a usage error that says which cones there are."""
        try:
            return value if isinstance(value, Cone) else Cone.parse(value)
        except BadCone as refusal:
            self.fail(str(refusal), param, ctx)


kind_option = click.option(
    "--kind",
    type=click.Choice(get_args(Kind)),
    default="self-supporting",
    show_default=True,
    help="Which kind of cone; they fall at different heats.",
)


@click.command("cone-reached")
@click.argument("path", metavar="CURVE.csv", type=FILE)
@kind_option
@click.option("--unit", type=click.Choice(["c", "f"]), help="°C or °F, before what the header says.")
@click.option("--thermocouple", type=click.Choice(["K", "S"], case_sensitive=False), help="What gave the mV.")
@click.option("--junction", type=float, metavar="°C", help="How warm its cold junction was, in °C.")
@click.option("--target", type=_ConeText(), help="Say too when this cone falls.")
@click.option("--accept", "accepts", is_flag=True, help="Take a log that raises questions; you have looked at each.")
@as_json_option
def cone_reached(
    path: Path,
    kind: Kind,
    unit: str | None,
    thermocouple: str | None,
    junction: float | None,
    target: Cone | None,
    *,
    accepts: bool,
    as_json: bool,
) -> None:
    """Say which cone a kiln's log has reached, from its temperatures and times alone."""
    from tracker.domain.firing.cone_model import fits
    from tracker.domain.firing.heat_work import heat_work
    from tracker.domain.firing.thermocouples import Couple
    from tracker.forms.firing.curve_file import CurveOptions, Unit, read_curve_file

    if target is not None and target not in fits(kind):
        fail(f"No end point is published for a {kind} cone {target}, so nothing is known of when it falls.")
    options = CurveOptions(
        unit=Unit(unit) if unit else None,
        couple=Couple(thermocouple.upper()) if thermocouple else None,
        junction_c=junction,
    )
    log = read_curve_file(text_of(path), options)
    work = heat_work(_curve_of(log, accepts=accepts), kind)
    notes = [f"Note: {text_of_message(one.message)}" for one in log.notes]
    say([*_in_words(work, target), *notes, _CAUTION], _values(work), as_json=as_json)


def _curve_of(log: KilnLog, *, accepts: bool) -> Curve:
    """The curve of a log, or each question about it with what to do about it."""
    try:
        return log.curve(accepts=accepts)
    except NeedsAcceptance as refusal:
        questions = [say_finding(finding) for finding in refusal.findings]
        fail(*questions, "Nothing was worked out. Where the log is right as it stands, add --accept.")


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


def _in_words(work: HeatWork, target: Cone | None) -> list[str]:
    from tracker.domain.firing.cone_model import fits
    from tracker.domain.firing.curves import clock_words

    curve, rate = work.curve, work.curve.rate_before_peak()
    words, after = work.reached.in_words, clock_words(curve.peak_s - curve.seconds[0])
    peak = f"Peak {curve.peak_c:.0f} °C ({curve.peak_c * 1.8 + 32:.0f} °F) after {after}"
    lines = [
        f"{words[0].upper()}{words[1:]} ({work.kind} cones).",
        f"{peak}; {rate:.0f} °C an hour over the last 100 °C." if rate is not None else f"{peak}.",
    ]
    if target:
        lines.append(_when(work, target))
    odd = {one for one in (work.reached.cone, target) if one}
    return [*lines, *(note for cone in sorted(odd) if (note := fits(work.kind)[cone].note))]


def _when(work: HeatWork, target: Cone) -> str:
    """When the target falls, at the present rate and when the kiln is held where it is."""
    from tracker.domain.firing.curves import clock_words
    from tracker.domain.firing.heat_work import label_of

    goal = label_of(target, work.kind)
    rate, now = work.curve.present_rate(), work.falls_in(target)
    held = work.hold_for(target)
    if now == 0:
        return f"Target {goal}: it is down."
    moving = f"at the present {rate:.0f} °C an hour " + (f"it falls in {clock_words(now)}" if now else "it never falls")
    holding = f"held at {work.curve.last_c:.0f} °C " + (f"in {clock_words(held)}" if held else "never")
    return f"Target {goal}: {moving}; {holding}."


@click.command("hold-times")
@kind_option
@as_json_option
def hold_times(kind: Kind, *, as_json: bool) -> None:
    """Print how long a hold at each cone's end point takes to bring the next cone down too."""
    from tracker.domain.firing.heat_work import hold_times as times_of

    times = times_of(kind)
    values = [
        {"cone": str(one.cone), "at_c": round(one.celsius), "next": str(one.then), "minutes": round(one.minutes, 1)}
        for one in times
    ]
    rows = [f"{one.cone!s:>5}  {one.celsius:5.0f} °C  {one.then!s:>5}  {one.minutes:5.0f} min" for one in times]
    head = f" cone   held at   next      after ({kind} cones, heated at 60 °C an hour)"
    say([head, *rows, _CAUTION], values, as_json=as_json)
