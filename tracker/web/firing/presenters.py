"""A firing's fire and its load in the words, times and pictures of its page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from markupsafe import Markup

from tracker.domain.firing.costs import KWH_PER_KG_PROPANE, shared, volume_mm3
from tracker.domain.firing.curves import Curve, lasting
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.firing.heat_work import HeatWork, label_of
from tracker.domain.firing.reached_cones import Missed, is_down_by, missed_by_cones
from tracker.domain.firing.schedules import Schedule
from tracker.domain.firing.witness_cones import Span
from tracker.domain.message import Choice, Message, Plural, _, together
from tracker.domain.quantities import Quantity, Unit, celsius, celsius_per_hour, kilograms, percent
from tracker.domain.rules.unloading_checks import checks_at_unloading
from tracker.store.firing.queries import CorrectionRow, FiringPage
from tracker.usecases.firing.corrections import can_correct_times
from tracker.usecases.firing.fullness import asks_to_wait, kiln_fill
from tracker.usecases.firing.pictures import ON_A_DESK, ON_A_PHONE, curve_drawn, load_drawn, load_seen
from tracker.usecases.firing.stories import FireStory, story_of
from tracker.usecases.pieces.in_hot_kilns import checks_of, keep_closed
from tracker.web.auth import fresh_key, house
from tracker.web.firing.missed_targets import come_out_wrong, missed_shown
from tracker.web.presenters import all_waiting_shown, catalog
from tracker.web.wording import by_the_clock, reader, said, shown

_NEARLY_DOWN_S = 1.0


def fire_shown(page: FiringPage) -> dict[str, Any]:
    """What a firing's page says of its fire."""
    firing, now = page.firing, house().clock()
    second = (now - firing.lit_at).total_seconds() if firing.lit_at and firing.stage is FiringStage.FIRING else None
    story = story_of(house().store.read, firing, page.witnesses, second=second)
    log = house().store.read.firings.log(firing.id)
    only = () if story.curve else log
    return {
        "story": story,
        "only_reading": only[0][1] if only else None,
        "readings": [
            (second, _clock(firing, second), heat, fresh_key()) for second, heat in reversed(log[-_LAST_READINGS:])
        ],
        # Two of them, since letters grow with a picture: the page shows the one that was made for its width.
        "pictures": [
            _drawn(curve_drawn(firing, story, reader(), second=second, width=width))
            for width in (ON_A_PHONE, ON_A_DESK)
        ],
        "on_record": _on_record(page, story, len(log)),
        "corrections": [_correction(one) for one in house().store.read.firings.corrections(firing.id)],
        "can_correct_times": can_correct_times(firing),
        "reached": said(_reached(story)) if story.work else "",
        "falls": _falls(story, firing, now) if story.work and firing.stage is FiringStage.FIRING else None,
        # What stood in this very kiln is worth more than what others taught about it.
        "corrected": story.corrected.message if story.corrected and story.corrected.cone and not story.levels else None,
        "missed": missed_shown(firing, story),
        "off": _off(story),
        "levels": [_level(level, span) for level, span in story.levels],
        "next_hour": [(_clock(firing, second), celsius) for second, celsius in story.next_hour],
        "segments": _schedule_rows(story.schedule, firing) if story.schedule else [],
        "schedule": _schedule(story.schedule, story) if story.schedule else None,
    }


_LAST_READINGS = 24
"""So many can be taken back on the page."""


def _reached(story: FireStory) -> Message | None:
    """What the curve has reached, as the heading of its page: no cone at all is said in as few words."""
    if story.work is None:
        return None
    reached = story.work.reached
    heat = reached.message if reached.cone else Message("no-cone-down", _("No cone has dropped yet"))
    # Beside witness cones it is only what the log says.
    return Message("reached-by-curve", _("By the curve: {heat}"), heat=heat) if story.levels else heat


def wrong_shown(page: FiringPage, missed: Missed | None = None) -> dict[str, Any]:
    """What a page says of the pieces that come out wrong of a hot kiln: what to expect of each, and what to check.

    They are wrong by a change, or by the cone that a fire which `missed` its target reached.
    """
    wrong = come_out_wrong(page, missed)
    if not wrong:
        return {"wrong": None}
    pieces = [(row, [one.message for one in found]) for row, found in wrong]
    return {
        "wrong": {
            "keep_closed": keep_closed(page.firing) if page.caught else None,
            "rows": [{"ref": row.ref, "what": row.piece.what, "expected": together(says)} for row, says in pieces],
            "check": checks_of(one for _row, found in wrong for one in found),
            "checks": {row.ref: together(checks_at_unloading(found)) for row, found in wrong},
        }
    }


def _correction(one: CorrectionRow) -> Message:
    """What was corrected of the fire, by whom and when."""
    words = _("{what:capital}. {by}, {at}.")
    return Message("corrected-by", words, what=one.what, by=one.by, at=one.at)


def _on_record(page: FiringPage, story: FireStory, readings: int) -> Message | None:
    """What is on record of a fire that is over, and what is missing of it; None before, and of a round outdoors."""
    firing, is_over = page.firing, page.firing.stage in {FiringStage.COOLING, FiringStage.UNLOADED}
    if not is_over or firing.lit_at is None or firing.session_id is not None:
        return None
    used = page.kwh is not None or page.fuel_kg is not None
    parts = (
        (
            readings > 0,
            Message("some-readings", Plural("count", "{count} reading", "{count} readings"), count=readings),
        ),
        (bool(page.witnesses), _WITNESSED),
        (used, _ENERGY),
    )
    have = tuple(what for is_there, what in parts if is_there)
    lacks = [lacking for (is_there, _what), lacking in zip(parts, _LACKING, strict=True) if not is_there]
    if story.curve and firing.shut_at is not None:
        unread_s = (firing.shut_at - firing.lit_at).total_seconds() - story.curve.seconds[-1]
        if unread_s > _AN_HOUR_S:
            words = _("readings of the last {span} before the kiln was off")
            lacks.append(Message("readings-end-early", words, span=lasting(unread_s)))
    told = ("have" if have else "") + ("lacks" if lacks else "")
    return Message("fire-on-record", Choice("told", _ON_RECORD), told=told, have=have, lacks=tuple(lacks))


_AN_HOUR_S = 3_600.0
_WITNESSED, _ENERGY = Message("witness-cones-recorded", _("witness cones")), Message("energy-recorded", _("energy"))
_LACKING = (Message("whole-log", _("readings over the whole firing")), _WITNESSED, _ENERGY)
_ON_RECORD = {
    "have": _("On record: {have}. Nothing is missing."),
    "havelacks": _("On record: {have}. Missing: {lacks}."),
    "lacks": _("Nothing is recorded about this firing. Missing: {lacks}."),
}


def _drawn(picture: str) -> Markup:
    return Markup(picture)  # noqa: S704 -- printing/svg.py escapes every text in it


def _schedule(schedule: Schedule, story: FireStory) -> Message:
    words = _("Firing schedule: {span}, to {cone}")
    reaches = schedule.will_do(story.kind).reached.message
    return Message("firing-schedule", words, span=lasting(schedule.lasts_s), cone=reaches)


def _level(level: int | None, span: Span) -> Message:
    if level is None:
        return Message("witnesses", _("Witness cones, shelf not recorded: {heat}."), heat=span.message)
    return Message("witnesses-on-shelf", _("Witness cones, shelf {level}: {heat}."), level=level, heat=span.message)


def _falls(story: FireStory, firing: Firing, now: datetime) -> Message | None:
    """When the target cone falls, in one or two sentences."""
    if story.work is None or story.curve is None:
        return None
    if any(is_down_by(firing.target, span) for _level, span in story.levels):
        return Message("cones-are-down", _CONES_ARE_DOWN, target=firing.target)
    return _falls_by_curve(story, story.curve, story.work, firing, now)


def _falls_by_curve(story: FireStory, curve: Curve, work: HeatWork, firing: Firing, now: datetime) -> Message | None:
    """The same as the log has it, which witness cones that are still up overrule."""
    spans = [span for _level, span in story.levels]
    if story.falls_in is None and curve.last_c < curve.peak_c - _COOLS_C:
        # A kiln that cools needs no word on what its present rate will do.
        return None
    if firing.target not in work.works:
        words = _("The chart has no {kind} cone {cone}, so Footring can't say when it drops.")
        return Message("target-not-in-chart", words, kind=story.kind, cone=str(firing.target))
    cone, rests_on = label_of(firing.target, story.kind), "correction" if story.corrected else "curve"
    if story.falls_in is not None and story.falls_in < _NEARLY_DOWN_S:
        is_down, order = Message("target-is-down-by", _IS_DOWN, cone=cone, rests_on=rests_on), _LOOK_AND_SWITCH_OFF
        # Witness cones are worth more than a log, as they were when somebody last looked.
        if short := missed_by_cones(firing.target, spans):
            order = Message("cones-are-cooler", _CONES_ARE_COOLER, cone=short.cone, target=firing.target)
        return together([is_down, order])
    rate = celsius_per_hour(curve.present_rate())
    if story.falls_in is None:
        falls = Message("target-stands", _STANDS, cone=cone, rests_on=rests_on, rate=rate)
    else:
        # The log may end some time ago: what it says of the future begins where it ends.
        last = (firing.lit_at or now) + timedelta(seconds=curve.seconds[-1] + story.falls_in)
        at, span = by_the_clock(last), lasting(story.falls_in)
        falls = Message("target-falls-at", _FALLS, cone=cone, rests_on=rests_on, rate=rate, at=at, span=span)
    if story.hold_for is None:
        return falls
    words = _("Held at {heat}, the cone drops in {span}.")
    held = Message("target-held", words, heat=celsius(curve.last_c), span=lasting(story.hold_for))
    return together([falls, held])


_COOLS_C = 50.0
"""A kiln this far below the peak of its log is cooling."""

_IS_DOWN = Choice(
    "rests_on",
    {
        "curve": _("Going by the curve, {cone} has dropped."),
        "correction": _("Going by the curve and this kiln's correction, {cone} has dropped."),
    },
)
_LOOK_AND_SWITCH_OFF = Message(
    "look-and-switch-off",
    _("Check its witness cones. Switch the kiln off unless its schedule still holds or cools it."),
)
_CONES_ARE_DOWN = _(
    "Going by its witness cones, {target} has dropped. "
    "Switch the kiln off now, unless its schedule still holds or cools it."
)
_CONES_ARE_COOLER = _(
    "Its witness cones say {cone}. Look at them again: keep firing until {target} bends. Check the thermocouple."
)
_STANDS = Choice(
    "rests_on",
    {
        "curve": _("At the current {rate}, {cone} won't drop."),
        "correction": _("With this kiln's correction, {cone} won't drop at the current {rate}."),
    },
)
_FALLS = Choice(
    "rests_on",
    {
        "curve": _("At the current {rate}, {cone} drops at about {at}, {span} after the last reading."),
        "correction": _(
            "With this kiln's correction and the current {rate}, {cone} drops at about {at}, {span} after the last "
            "reading."
        ),
    },
)


def _off(story: FireStory) -> Message | None:
    if story.off is None:
        return None
    cones = round(abs(story.off), 1)
    if abs(story.off) < _UNSEEN:
        return Message("cones-agree", _("The witness cones and the curve agree."))
    return Message("cones-differ", _DIFFER, way="more" if story.off > 0 else "less", cones=cones)


_UNSEEN = 0.05
"""Less than a twentieth of a cone cannot be seen on any."""
_DIFFER = Choice(
    "way",
    {
        "more": _("Witness cones read {cones} cones hotter than the curve."),
        "less": _("Witness cones read {cones} cones cooler than the curve."),
    },
)


def _clock(firing: Firing, second: float) -> str:
    """A moment of the fire as a clock on the wall shows it, or as time since the lighting when nobody noted that."""
    if firing.lit_at is None:
        return said(Message("since-lighting", "{span}", span=lasting(second)))
    return by_the_clock(firing.lit_at + timedelta(seconds=second))


def _schedule_rows(schedule: Schedule, firing: Firing) -> list[dict[str, Any]]:
    """Each segment with the time at which it should be over."""
    rows, second, came_from = [], 0.0, schedule.start_c
    for number, one in enumerate(schedule.segments, start=1):
        second += abs(one.target_c - came_from) / one.rate_c_per_h * 3600 + one.hold_min * 60
        came_from = one.target_c
        rows.append({"number": number, "segment": one, "over": _clock(firing, second)})
    return rows


def load_shown(page: FiringPage) -> dict[str, Any]:
    """A firing's load for its page: its pictures, its pieces by shelf, how full it is, and what is left out and why."""
    known, plan = catalog(), page.firing.plan
    load = load_seen(page, known.practice, reader())
    fill = kiln_fill(page, known.practice)
    rows = {row["ref"]: row for row in all_waiting_shown((*page.coming, *page.pieces), known)}
    refs = {row.piece.id: row.ref for row in (*page.coming, *page.pieces)}
    shelves = (
        [
            (number, [rows[refs[place.piece_id]] for place in level.places if place.piece_id in refs])
            for number, level in reversed(list(enumerate(plan.levels, start=1)))
        ]
        if plan
        else []
    )
    on_a_shelf = {row["ref"] for _, some in shelves for row in some}
    left_out = dict(plan.left_out) if plan else {}
    out_rows = house().store.read.pieces.by_ids(left_out) if left_out else ()
    return {
        "drawn": [(title, _drawn(picture)) for title, picture in load_drawn(load, reader())] if load else [],
        "shelves": shelves,
        "elsewhere": [row for ref, row in rows.items() if ref not in on_a_shelf],
        "fill": Message("fill", "{part}", part=percent(fill * 100, 0)) if fill is not None else None,
        "wait": asks_to_wait(page, known.practice),
        "left_out": [
            (row, Message("left-out", "{why:capital}", why=left_out[row.piece.id]))
            for row in out_rows
            if row.firing_id is None
        ],
    }


def costs_shown(page: FiringPage) -> dict[str, Any]:
    """What a firing took, and each piece's share of its cost by the room it took."""
    took = []
    if page.kwh is not None:
        took.append(Message("took-power", "{energy}", energy=Quantity(page.kwh, Unit.KILOWATT_HOURS)))
    if page.fuel_kg is not None:
        heat = Quantity(page.fuel_kg * float(KWH_PER_KG_PROPANE), Unit.KILOWATT_HOURS, 0)
        words = _("{mass} of propane ({heat} of heat)")
        took.append(Message("took-propane", words, mass=kilograms(page.fuel_kg, 2), heat=heat))
    shares: Sequence[int] = ()
    if page.cost_cents is not None:
        shares = shared(page.cost_cents, [volume_mm3(row.piece) for row in page.pieces])
    return {
        "took": Message("took", "{things}", things=tuple(took)) if took else None,
        "cost": shown(Quantity(page.cost_cents, Unit.CENTS)) if page.cost_cents is not None else "",
        "shares": {
            row.ref: shown(Quantity(share, Unit.CENTS)) for row, share in zip(page.pieces, shares, strict=False)
        },
    }


def money(cents: int) -> str:
    """Cents as a form shows them to be changed: 14.30."""
    return f"{cents // 100}.{cents % 100:02}"
