"""A firing's fire and its load in the words, times and pictures of its page."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from markupsafe import Markup

from tracker.domain.firing.costs import KWH_PER_KG_PROPANE, shared, volume_mm3
from tracker.domain.firing.curves import clock_words
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.heat_work import label_of
from tracker.usecases.firing.pictures import ON_A_DESK, ON_A_PHONE, curve_drawn, load_drawn, load_seen, shelf_fill
from tracker.usecases.firing.stories import story_of
from tracker.web.auth import house
from tracker.web.presenters import all_waiting_shown, catalogue

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from tracker.domain.firing.firings import Firing
    from tracker.domain.firing.schedules import Programme
    from tracker.store.firing.queries import FiringPage
    from tracker.usecases.firing.stories import FireStory

_NEARLY_DOWN_S = 1.0


def fire_shown(page: FiringPage) -> dict[str, Any]:
    """What a firing's page says of its fire."""
    firing, now = page.firing, house().clock()
    second = (now - firing.lit_at).total_seconds() if firing.lit_at and firing.stage is FiringStage.FIRING else None
    story = story_of(house().store.read, firing, page.witnesses, second=second)
    return {
        "story": story,
        # Two of them, since letters grow with a picture: the page shows the one that was made for its width.
        "pictures": [
            _drawn(curve_drawn(firing, story, second=second, width=width)) for width in (ON_A_PHONE, ON_A_DESK)
        ],
        "reached": _unbroken(story.work.reached.in_words) if story.work else "",
        "falls": _falls(story, firing, now) if story.work and firing.stage is FiringStage.FIRING else "",
        "corrected": story.corrected.in_words if story.corrected else "",
        "off": _off(story),
        "levels": [(f"shelf {level}" if level else "somewhere", span.in_words) for level, span in story.levels],
        "next_hour": [(_clock(firing, second), celsius) for second, celsius in story.next_hour],
        "programme": _programme_rows(story.programme, firing) if story.programme else [],
        "lasts": clock_words(story.programme.lasts_s) if story.programme else "",
        "will_reach": story.programme.will_do(story.kind).reached.in_words if story.programme else "",
    }


def _drawn(picture: str) -> Markup:
    return Markup(picture)  # noqa: S704 -- printing/svg.py escapes every text in it


def _unbroken(text: str) -> str:
    """The text with each figure kept on one line with its unit."""
    return text.replace(" °C", "\u00a0°C").replace(" %", "\u00a0%")


def _falls(story: FireStory, firing: Firing, now: datetime) -> str:
    """When the target cone falls, in one or two sentences."""
    if story.work is None or story.curve is None:
        return ""
    if firing.target not in story.work.works:
        return f"There is no {story.kind} cone {firing.target} in the chart, so nobody can say when it falls."
    cone, held = label_of(firing.target, story.kind), story.hold_for
    if story.falls_in is not None and story.falls_in < _NEARLY_DOWN_S:
        and_by = " and this kiln's own correction" if story.corrected else ""
        return f"By its curve{and_by} {cone} is down."
    hold = f" Held at {story.curve.last_c:.0f} °C it is down in {clock_words(held)}." if held is not None else ""
    rate = story.curve.present_rate()
    by = ", by this kiln's own correction" if story.corrected else ""
    if story.falls_in is None:
        return f"At the present {rate:.0f} °C an hour {cone} does not fall{by}.{hold}"
    # The log may end some time ago: what it says of the future begins where it ends.
    last = (firing.lit_at or now) + timedelta(seconds=story.curve.seconds[-1] + story.falls_in)
    return (
        f"At the present {rate:.0f} °C an hour {cone} falls at about {_there(last):%H:%M}, "
        f"{clock_words(story.falls_in)} after the last reading{by}.{hold}"
    )


def _off(story: FireStory) -> str:
    if story.off is None:
        return ""
    if abs(story.off) < 0.05:  # noqa: PLR2004 -- less than a twentieth of a cone cannot be seen on any
        return "The witness cones and the curve say the same."
    return f"The witness cones saw {abs(story.off):.1f} cones {'more' if story.off > 0 else 'less'} than the curve."


def _clock(firing: Firing, second: float) -> str:
    """A moment of the fire as a clock on the wall shows it, or as time since the lighting when nobody noted that."""
    if firing.lit_at is None:
        return clock_words(second)
    return f"{_there(firing.lit_at + timedelta(seconds=second)):%H:%M}"


def _there(moment: datetime) -> datetime:
    return moment.astimezone(ZoneInfo(house().store.read.studio().timezone))


def _programme_rows(programme: Programme, firing: Firing) -> list[dict[str, Any]]:
    """Each segment with the time at which it should be over."""
    rows, second, came_from = [], 0.0, programme.start_c
    for number, one in enumerate(programme.segments, start=1):
        second += abs(one.target_c - came_from) / one.rate_c_per_h * 3600 + one.hold_min * 60
        came_from = one.target_c
        rows.append({"number": number, "segment": one, "over": _clock(firing, second)})
    return rows


def load_shown(page: FiringPage) -> dict[str, Any]:
    """A firing's load for its page: its pictures, its pieces by shelf, how full it is, and what is left out and why."""
    known, plan = catalogue(), page.firing.plan
    load = load_seen(page, known.practice)
    fill = shelf_fill(page, known.practice)
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
        "drawn": [(title, _drawn(picture)) for title, picture in load_drawn(load)] if load else [],
        "shelves": shelves,
        "elsewhere": [row for ref, row in rows.items() if ref not in on_a_shelf],
        "fill": f"{fill * 100:.0f} %" if fill is not None else "",
        "left_out": [(row, left_out[row.piece.id]) for row in out_rows if row.firing_id is None],
    }


def costs_shown(page: FiringPage) -> dict[str, Any]:
    """What a firing took, and each piece's share of its cost by the room it took."""
    took = []
    if page.kwh is not None:
        took.append(f"{page.kwh:g} kWh")
    if page.fuel_kg is not None:
        took.append(f"{page.fuel_kg:g} kg of propane, {page.fuel_kg * float(KWH_PER_KG_PROPANE):.0f} kWh of heat")
    shares: Sequence[int] = ()
    if page.cost_cents is not None:
        shares = shared(page.cost_cents, [volume_mm3(row.piece) for row in page.pieces])
    return {
        "took": took,
        "cost": money(page.cost_cents) if page.cost_cents is not None else "",
        "shares": {row.ref: money(share) for row, share in zip(page.pieces, shares, strict=False)},
    }


def money(cents: int) -> str:
    """Cents as people write money, without a currency: 14.30."""
    return f"{cents // 100}.{cents % 100:02}"
