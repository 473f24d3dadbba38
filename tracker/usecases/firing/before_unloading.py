"""What is asked before a kiln is unloaded: that it is off, that it isn't hot, and that it was fired at all."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from tracker.domain.firing.curves import lasting
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.firing.greenware import schedule_of
from tracker.domain.message import Message, _
from tracker.domain.quantities import celsius, compared
from tracker.domain.refusals import NotAStep
from tracker.store.queries import Queries
from tracker.usecases.firing.times import AHEAD

_FAR_BELOW_C = 150.0
"""A log that stays this far below the end point of its firing's cone shows no such fire: no hold makes up for that
(common practice)."""
_A_MINUTE_S = 60


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why it is in doubt that a kiln was fired or has cooled, and what a person who was there says about it."""

    message: Message
    says: Message
    remedy: Message


def must_be_ready(reader: Queries, firing: Firing, at: datetime, *, was_fired: bool) -> str:
    """Refuse to unload a kiln that is on or hot, or that nothing shows to have been fired or to be cool by now.

    A person may say that it `was_fired`, and what its pyrometer showed where no reading was saved; never that it is
    off. Gives the code of the doubt that this settled, or an empty text.
    """
    if refusal := kept_shut(reader, firing, at):
        raise refusal
    doubt = heat_in_doubt(reader, firing, at)
    if doubt is None:
        return ""
    if not was_fired:
        raise NotAStep(doubt.message, doubt.remedy)
    return doubt.message.code


def kept_shut(reader: Queries, firing: Firing, at: datetime) -> NotAStep | None:
    """Why a kiln stays shut for now: it wasn't marked as off, or its last reading is too hot; else None."""
    if firing.stage is FiringStage.FIRING:
        message = Message("kiln-is-on", _("{kiln} is still on."), kiln=firing.kiln.name)
        return NotAStep(message, Message("mark-it-off", _("Switch the kiln off, then mark it as off.")))
    below_c = reader.catalog().practice.fires.open_below_c
    second, last_c = _last_reading(reader, firing, at) or (0, below_c)
    if firing.stage is not FiringStage.COOLING or last_c <= below_c:
        return None
    read_at = firing.lit_at + timedelta(seconds=second) if firing.lit_at else at
    ago = (at - read_at).total_seconds()
    last, most = compared(celsius(last_c), celsius(below_c))
    message = Message("kiln-is-hot", _("The last reading is {heat}. Keep the kiln shut."), heat=last)
    if ago >= _A_MINUTE_S:
        words = _("The last reading is {heat}, {span} ago. Keep the kiln shut.")
        message = Message("kiln-was-hot", words, heat=last, span=lasting(ago))
    remedy = _("Once the pyrometer shows {heat} or less, save that reading. Then unload.")
    return NotAStep(message, Message("save-cool-reading", remedy, heat=most))


def _last_reading(reader: Queries, firing: Firing, at: datetime) -> tuple[int, float] | None:
    """The last reading that was taken by now: a log with a wrong start or unit can tell of hours that are to come."""
    log = reader.firings.log(firing.id)
    if firing.lit_at is not None:
        by_now = (at + AHEAD - firing.lit_at).total_seconds()
        log = tuple(reading for reading in log if reading[0] <= by_now)
    return max(log, default=None)


def heat_in_doubt(reader: Queries, firing: Firing, at: datetime) -> Doubt | None:
    """Why it is in doubt that a kiln was fired or is cool.

    None where its log came near its cone, or witness cones were noted, and a reading was taken by now: `kept_shut` has
    looked at that one.
    """
    hottest = max((heat for _second, heat in reader.firings.log(firing.id)), default=None)
    page = reader.firings.page(firing.id)
    number, was_on = str(firing.id), _was_on(firing)
    below = celsius(reader.catalog().practice.fires.open_below_c)
    is_unread = _last_reading(reader, firing, at) is None
    if page is None or page.witnesses or (hottest is not None and hottest > firing.target.celsius - _FAR_BELOW_C):
        if page is None or not is_unread:
            return None
        words = _("No reading of firing {firing} shows that its kiln has cooled.")
        says = Message("says-it-was-cool", _("Its pyrometer showed {heat} or less before it was opened"), heat=below)
        return Doubt(Message("not-shown-to-be-cool", words, firing=number), says, _SAVE_OR_TICK)
    if hottest is not None and not is_unread:
        words = _("The log of firing {firing} shows {heat} at most. It should have reached {cone}. Was the kiln fired?")
        shows = Message("log-shows-no-heat", words, firing=number, heat=celsius(hottest), cone=firing.target)
        says = Message("says-it-was-fired", _("Firing {firing} was fired"), firing=number)
        return Doubt(
            shows, says, Message("say-it-was-fired", _("If the kiln was fired, tick the box and unload again."))
        )
    words = _("Firing {firing} was fired. Its pyrometer showed {heat} or less before it was opened")
    says = Message("says-it-was-fired-and-cool", words, firing=number, heat=below)
    takes = _lasts_s(reader, firing)
    if was_on is not None and was_on < takes:
        words = _(
            "Firing {firing} has no log. Its kiln was on for {span}, and its schedule takes {whole}. "
            "Was it fired, and has it cooled?"
        )
        short = Message("on-too-short-and-unread", words, firing=number, span=lasting(was_on), whole=lasting(takes))
        return Doubt(short, says, _SAVE_OR_TICK)
    words = _("Firing {firing} has no log and no witness cones. Was the kiln fired, and has it cooled?")
    return Doubt(Message("no-log-and-unread", words, firing=number), says, _SAVE_OR_TICK)


_SAVE_OR_TICK = Message(
    "save-reading-or-tick",
    _("Read its pyrometer before you open it, and save that reading. Or, if you measured it, tick the box."),
)


def must_never_have_been_hot(reader: Queries, firing: Firing, *, never_hot: bool) -> None:
    """Refuse to undo the start of a kiln that was hot: its pieces were fired, however it was meant.

    A kiln that was on and is off again may have been: a person who stood there says that it was `never_hot`.
    """
    number = str(firing.id)
    if shown := _shown_to_be_hot(reader, firing):
        words = _("Its pieces were in the fire. Unload it, and record how each came out.")
        raise NotAStep(shown, Message("unload-what-was-fired", words))
    if firing.stage is FiringStage.COOLING and not never_hot:
        words = _("Firing {firing} was switched on, then off again. Did its kiln get hot?")
        remedy = Message("say-it-was-never-hot", _("If it never got hot, tick the box and undo the kiln start."))
        raise NotAStep(Message("was-it-hot", words, firing=number), remedy)


def may_be_cold(reader: Queries, firing: Firing) -> bool:
    """Whether nothing on record shows that a kiln which was started got hot, so that its start can be undone."""
    return _shown_to_be_hot(reader, firing) is None


def _shown_to_be_hot(reader: Queries, firing: Firing) -> Message | None:
    """What shows that a kiln was hot: cones that were noted, or a log hotter than a kiln is opened at; else None."""
    opens_c = reader.catalog().practice.fires.open_below_c
    hottest = max((heat for _second, heat in reader.firings.log(firing.id)), default=0.0)
    page = reader.firings.page(firing.id)
    if page is not None and page.witnesses:
        words = _("The witness cones of firing {firing} are on record, so its kiln was hot.")
        return Message("cones-were-noted", words, firing=str(firing.id))
    if hottest <= opens_c:
        return None
    words = _("The log of firing {firing} shows {heat}, so its kiln was hot.")
    return Message("log-shows-heat", words, firing=str(firing.id), heat=celsius(hottest))


def _was_on(firing: Firing) -> float | None:
    """For how many seconds a kiln was on; None where nobody noted both moments."""
    if firing.lit_at is None or firing.shut_at is None:
        return None
    return (firing.shut_at - firing.lit_at).total_seconds()


def _lasts_s(reader: Queries, firing: Firing) -> float:
    """How many seconds the schedule of a firing takes, 0 where it has none."""
    schedule = schedule_of(firing, reader.catalog().practice.fires, has_raw=reader.firings.has_raw(firing))
    return schedule.lasts_s if schedule else 0.0
