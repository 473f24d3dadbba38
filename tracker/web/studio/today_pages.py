"""Today: what needs somebody now, for those who run the studio. A student's own pieces are that page for a student."""

from __future__ import annotations

from datetime import datetime

from flask import Blueprint, g, render_template, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message, _
from tracker.domain.studio.people import Right
from tracker.store.firing.queries import FiringRow
from tracker.store.queries import Queries
from tracker.usecases.firing.reached_cones import missed_of
from tracker.usecases.pieces.revalidate import EVERY_FIRING
from tracker.usecases.pieces.shelves import refused_everywhere, too_long_before
from tracker.web.auth import allows, house
from tracker.web.pieces.shelf_pages import SEARCHED_FOR, shelved_shown
from tracker.web.presenters import Plain, catalog, question_shown

pages = Blueprint("today", __name__)

_MOST_SHOWN = 3
"""How many of a kind Today shows; the rest are behind the link below them."""

_NEXT = {
    FiringStage.COOLING: (Message("kiln-to-unload", _("Unload")), "unloading.unloading"),
    FiringStage.FIRING: (Message("kiln-to-watch", _("Log and cones")), "firings.firing"),
    FiringStage.LOADING: (Message("kiln-to-start", _("Load and start")), "firings.firing"),
    FiringStage.PLANNED: (Message("kiln-to-load", _("Start loading")), "firings.firing"),
}
"""What comes next at a kiln, by the stage of its firing, and where it is done; what ends soonest comes first."""


@pages.get("/today")
@allows(Right.MOVE)
def today() -> ResponseReturnValue:
    """What needs somebody now: questions, kilns, sessions, pieces refused or too long on a shelf, and the shelves."""
    read, known, now = house().store.read, catalog(), house().clock()
    asked = read.questions.open() if g.person.may(Right.DECIDE) else ()
    kilns = read.firings.listed(rounds=False, limit=EVERY_FIRING)
    refused = refused_everywhere(read, now)
    late, late_count = read.shelves.standing_since(too_long_before(now), limit=_MOST_SHOWN)
    sessions = read.outdoors.sessions(open_only=True)
    return render_template(
        "studio/today.html",
        now=now,
        questions=[question_shown(one, known) for one in asked[:_MOST_SHOWN]],
        asked_count=len(asked),
        kilns=[_kiln(one, known.routes[one.route].title) for one in sorted(kilns, key=_soonest_first)],
        out_count=sum(one.leaving for one in kilns),
        unload_count=sum(one.stage is FiringStage.COOLING for one in kilns),
        start_count=sum(one.stage is FiringStage.LOADING or _is_due(one, now) for one in kilns),
        sessions=sessions,
        refused=[(shelved_shown(row), row.kiln, finding) for row, finding in refused[:_MOST_SHOWN]],
        refused_count=len(refused),
        refused_scans=house().store.refused_scans.count_of(g.person.id),
        late=[shelved_shown(row) for row in late],
        late_count=late_count,
        missing_count=read.shelves.count_missing(now - SEARCHED_FOR),
        shelves=read.shelves.listed(),
        moves_all_day=not g.person.may(Right.DECIDE),
        first_steps=_first_steps(read) if g.person.may(Right.PEOPLE) else (),
        joiners_count=len(read.joining.waiting()) if g.person.may(Right.PEOPLE) else 0,
    )


def _first_steps(read: Queries) -> tuple[tuple[Message, str], ...]:
    """What a new studio still lacks, and where it is added; nothing once it has glazes and more people than one."""
    has_glazes, has_terms = bool(catalog().glazes), bool(read.terms.listed())
    if has_glazes and has_terms:
        return ()
    is_alone = len(read.people.listed()) == 1
    steps = (
        (has_glazes, Message("first-glazes", _("Add glazes")), url_for("catalog.thing", sort="glaze")),
        (not is_alone, Message("first-people", _("Add people")), url_for("people.people")),
        (has_terms, Message("first-term", _("Add a term")), url_for("terms.new")),
    )
    return tuple((says, href) for has, says, href in steps if not has) if is_alone or not has_glazes else ()


def _is_due(one: FiringRow, now: datetime) -> bool:
    """Whether a planned firing is to be loaded by now: its day has come, or it has none."""
    return one.stage is FiringStage.PLANNED and (one.planned_for is None or one.planned_for <= now)


def _soonest_first(one: FiringRow) -> tuple[int, object]:
    return list(_NEXT).index(one.stage), one.planned_for or one.began_at


def _kiln(one: FiringRow, title: str) -> Plain:
    """A firing at work or planned, as a card: what it is, since when or for when, and what comes next."""
    label, endpoint = _NEXT[one.stage]
    firing = house().store.read.firings.firing(one.id) if one.lit_at else None
    missed = missed_of(house().store.read, firing) if firing else None
    return {
        "href": url_for("firings.firing", number=one.id),
        "kiln": one.kiln,
        "title": title,
        "target": one.target,
        "stage": one.stage,
        "at": one.shut_at or one.lit_at or one.planned_for or one.began_at,
        "count": one.count or one.planned,
        "leaving": one.leaving,
        "caught": one.caught,
        "missed": missed.brief if missed else None,
        "switch_off": missed is not None and one.stage is FiringStage.FIRING,
        "next": label,
        "next_href": url_for(endpoint, number=one.id),
    }
