"""People: the roster, searched and sorted, and a new first password for whoever lost theirs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for

from tracker.domain.message import Message, _
from tracker.domain.refusals import Refusal
from tracker.domain.studio.people import Person, Right, Role
from tracker.domain.studio.spelling import plain
from tracker.usecases.studio.forgetting import forget, must_be_ready_to_go
from tracker.usecases.studio.people import nobody_there, renew_password
from tracker.web.auth import allows, asking, house
from tracker.web.lists import Order, listed
from tracker.web.presenters import told
from tracker.web.wording import said_refusal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from flask.typing import ResponseReturnValue

pages = Blueprint("people", __name__)

LONGEST_NAME = 254
_MOST_LISTED = 1_000
_ORDERS: dict[str, Order[Person]] = {
    "name": Order(Message("by-name", _("name")), lambda one: plain(one.name)),
    "newest": Order(Message("newest-first", _("newest")), lambda one: one.id, falling=True),
    "section": Order(
        Message("by-section", _("section")),
        lambda one: (one.role is not Role.STUDENT, _group(one).casefold(), plain(one.name)),
    ),
}


@pages.get("/people")
@allows(Right.PEOPLE)
def people() -> ResponseReturnValue:
    """Those who run the studio and its newest students; or with ?find= those of that name or email."""
    who = request.args.get("find", "").strip()[:LONGEST_NAME]
    shown = listed(_looked_for(who), told=lambda one: one.name, orders=_ORDERS, kind_of=_group, searched=True)
    return render_template("studio/people.html", shown=shown)


@pages.get("/people/<int:number>")
@allows(Right.PEOPLE)
def person(number: int) -> ResponseReturnValue:
    """Ask once more before somebody's password is replaced, or all that is known of them removed."""
    someone = _known(number)
    return render_template("studio/person.html", who=someone, password="", **_may_go(someone))


@pages.post("/people/<int:number>/password")
@allows(Right.PEOPLE)
def renew(number: int) -> ResponseReturnValue:
    """Replace somebody's password; the new one is shown on this one page and nowhere else."""
    password = renew_password(house().store, asking(), number)
    return render_template("studio/person.html", who=_known(number), password=password)


@pages.post("/people/<int:number>/forget")
@allows(Right.PEOPLE)
def remove(number: int) -> ResponseReturnValue:
    """Remove a person's data for good."""
    someone = _known(number)
    there = url_for("people.person", number=someone.id)
    return told(
        lambda: forget(house().store, asking(), someone.id),
        lambda receipt: url_for("people.people") if receipt else there,
    )


def _looked_for(who: str) -> Sequence[Person]:
    read = house().store.read.people
    if not who:
        return read.listed(students=_MOST_LISTED)
    by_email = read.person(email=who)
    return read.named(who, limit=_MOST_LISTED) if by_email is None else [by_email]


def _may_go(someone: Person) -> dict[str, object]:
    """Whether this person's data may be removed now; if not, why not."""
    try:
        must_be_ready_to_go(someone, len(house().store.read.pieces.of(someone.id)))
    except Refusal as refusal:
        return {"may_go": False, "why_not": said_refusal(refusal)}
    return {"may_go": True, "why_not": ""}


def _known(number: int) -> Person:
    someone = house().store.read.people.person(number=number)
    if someone is None:
        raise nobody_there()
    return someone


def _group(someone: Person) -> str:
    """What the list is filtered by: a student's section, or else the role."""
    return someone.section if someone.role is Role.STUDENT else someone.role
