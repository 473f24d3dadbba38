"""People: the roster, searched and sorted; one person is added, changed, shut out, or given a new password."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.refusals import Refusal
from tracker.domain.studio.joining import IS_NEW
from tracker.domain.studio.people import NewPerson, Person, Right, Role
from tracker.domain.studio.spelling import plain
from tracker.forms.plain_values import Wrong, read_text
from tracker.forms.studio.roster import read_email_of, read_person_name, read_role
from tracker.usecases.studio import membership
from tracker.usecases.studio.badges import badge_of
from tracker.usecases.studio.forgetting import forget, must_be_ready_to_go
from tracker.usecases.studio.people import nobody_there, renew_password
from tracker.usecases.studio.rosters import told_of
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.lists import Order, listed
from tracker.web.presenters import today, told
from tracker.web.studio.term_choice import term_sent, terms_to_choose
from tracker.web.wording import said, said_refusal, with_a_capital

pages = Blueprint("people", __name__)

LONGEST_NAME = 254
_MOST_LISTED = 1_000
_ROLES = [(str(one), one) for one in Role]
_ORDERS: dict[str, Order[Person]] = {
    "name": Order(Message("by-name", _("name")), lambda one: plain(one.name)),
    "newest": Order(Message("newest-first", _("newest")), lambda one: one.id, falling=True),
    "section": Order(
        Message("by-section", _("section")),
        lambda one: (one.role.runs_studio, (one.section or one.role).casefold(), plain(one.name)),
    ),
}


@pages.get("/people")
@allows(Right.PEOPLE)
def people() -> ResponseReturnValue:
    """Those who run the studio and its newest makers; ?find= those of that name or email; ?left= those who left."""
    are_gone = bool(request.args.get("left"))
    who = request.args.get("find", "").strip()[:LONGEST_NAME]
    found = house().store.read.people.left() if are_gone else _looked_for(who)
    terms = house().store.read.terms.names_by_person([one.id for one in found])
    shown = listed(found, told=_told_of, orders=_ORDERS, kind_of=lambda one: _group(one, terms), searched=not are_gone)
    read = house().store.read.joining
    return render_template(
        "studio/people.html",
        shown=shown,
        terms=terms,
        are_gone=are_gone,
        waiting=read.waiting(),
        has_mail=house().store.outbox.is_on,
        new=read.joined_since(house().clock() - IS_NEW),
    )


@pages.get("/people/new")
@allows(Right.PEOPLE)
def new() -> ResponseReturnValue:
    """The form for one more person."""
    return _new_page({"section": request.args.get("section", ""), "role": Role.STUDENT})


@pages.post("/people/new")
@allows(Right.PEOPLE)
def add() -> ResponseReturnValue:
    """Add one person; the first password is shown on this one page and nowhere else, or a link goes out by mail.

    Whoever has no email gets a maker card in its place.
    """
    someone, errors = _sent()
    if someone is None:
        return _new_page(request.form, errors=errors), 422
    try:
        added, password = membership.add(house().store, asking(), someone)
    except Refusal as refusal:
        return _new_page(request.form, refusal=said_refusal(refusal)), status_of(refusal)
    if password and house().store.outbox.is_on:
        words = _("{name} was added and gets a link by mail, to choose a password.")
        flash(said(Message("added-by-mail", words, name=added.name)), "good")
        return redirect(url_for("people.person", number=added.id), 303)
    if not password:
        flash(
            said(Message("added-without-email", _("{name} was added. Print their maker card."), name=added.name)),
            "good",
        )
        return redirect(url_for("people.person", number=added.id), 303)
    return render_template("studio/person.html", who=added, password=password, is_new=True)


def _new_page(filled: Mapping[str, object], *, errors: Mapping[str, str] | None = None, refusal: str = "") -> str:
    return render_template(
        "studio/new_person.html",
        filled=filled,
        errors=errors or {},
        refusal=refusal,
        roles=_ROLES,
        sections=_sections(),
        **_terms_to_choose(filled),
    )


@pages.get("/people/<int:number>")
@allows(Right.PEOPLE)
def person(number: int) -> ResponseReturnValue:
    """One person: their details, a new password, whether they may sign in, and the end of their data."""
    someone = known_person(number)
    return _page_of(someone, _details_of(someone))


@pages.post("/people/<int:number>")
@allows(Right.PEOPLE)
def change(number: int) -> ResponseReturnValue:
    """Change somebody's name, email, section or role."""
    before = known_person(number)
    after, errors = _sent()
    if after is None:
        return _page_of(before, request.form, errors=errors), 422
    try:
        receipt = membership.change_person(house().store, asking(), number, after)
    except Refusal as refusal:
        return _page_of(before, request.form, refusal=said_refusal(refusal)), status_of(refusal)
    flash(said(receipt.message), "good")
    return redirect(url_for("people.person", number=number), 303)


def _page_of(
    someone: Person, filled: Mapping[str, object], *, errors: Mapping[str, str] | None = None, refusal: str = ""
) -> str:
    return render_template(
        "studio/person.html",
        who=someone,
        password="",
        filled=filled,
        errors=errors or {},
        refusal=refusal,
        roles=_ROLES,
        sections=_sections(),
        **_terms_to_choose(filled, someone),
        is_oneself=someone.id == g.person.id,
        of_term=house().store.read.terms.of_person(someone.id),
        badge=badge_of(house().store, someone),
        gets_badge=someone.role is Role.STAFF,
        **_may_go(someone),
    )


def pin_page(someone: Person, pin: str) -> str:
    """Somebody's page with the PIN of a new badge, shown on it this once."""
    return render_template("studio/person.html", who=someone, password="", pin=pin)


@pages.post("/people/<int:number>/leave")
@allows(Right.PEOPLE)
def leave(number: int) -> ResponseReturnValue:
    """Shut somebody out who left: their devices are signed out at once."""
    there = url_for("people.person", number=number)
    return told(lambda: membership.shut_out(house().store, asking(), number), lambda _receipt: there)


@pages.post("/people/<int:number>/return")
@allows(Right.PEOPLE)
def come_back(number: int) -> ResponseReturnValue:
    """Let somebody in again who left."""
    there = url_for("people.person", number=number)
    return told(lambda: membership.let_in(house().store, asking(), number), lambda _receipt: there)


@pages.post("/people/<int:number>/password")
@allows(Right.PEOPLE)
def renew(number: int) -> ResponseReturnValue:
    """Replace somebody's password; the new one is shown on this one page and nowhere else."""
    password = renew_password(house().store, asking(), number)
    return render_template("studio/person.html", who=known_person(number), password=password)


@pages.post("/people/<int:number>/forget")
@allows(Right.PEOPLE)
def remove(number: int) -> ResponseReturnValue:
    """Remove a person's data for good."""
    someone = known_person(number)
    there = url_for("people.person", number=someone.id)
    return told(
        lambda: forget(house().store, asking(), someone.id),
        lambda receipt: url_for("people.people") if receipt else there,
    )


def _details_of(someone: Person) -> dict[str, object]:
    """A person's details as their form shows them."""
    told_ = told_of(someone)
    facts = {"name": told_.name, "email": told_.email, "section": told_.section, "role": told_.role}
    return {**facts, "supervised": told_.supervised}


def _sent() -> tuple[NewPerson | None, dict[str, str]]:
    """The person in the form that was sent, or what is wrong with each field."""
    found: dict[str, Any] = {"supervised": bool(request.form.get("supervised"))}
    errors: dict[str, str] = {}

    def email_of(raw: object) -> str:
        return read_email_of(found.get("role", Role.STUDENT), raw)

    readers = {"role": read_role, "name": read_person_name, "email": email_of, "section": read_text}
    for name, reader in readers.items():
        try:
            found[name] = reader(request.form.get(name, ""))
        except Wrong as wrong:
            errors[name] = with_a_capital(said(wrong.message))
    return (None if errors else NewPerson(**found, term_id=term_sent())), errors


def _terms_to_choose(filled: Mapping[str, object], of: Person | None = None) -> dict[str, object]:
    return terms_to_choose(house().store.read.terms, str(filled.get("term", "")), today(), of)


def _sections() -> list[str]:
    """The sections that there are, for a field to offer."""
    return sorted({one.section for one in house().store.read.people.listed() if one.section}, key=str.casefold)


def _told_of(someone: Person) -> str:
    return f"{someone.name} {someone.email}"


def _looked_for(who: str) -> Sequence[Person]:
    read = house().store.read.people
    if not who:
        return read.listed(makers=_MOST_LISTED)
    by_email = read.person(email=who)
    return read.named(who, limit=_MOST_LISTED) if by_email is None else [by_email]


def _may_go(someone: Person) -> dict[str, object]:
    """Whether this person's data may be removed now; if not, why not."""
    try:
        must_be_ready_to_go(someone, len(house().store.read.pieces.of(someone.id)))
    except Refusal as refusal:
        return {"may_go": False, "why_not": said_refusal(refusal)}
    return {"may_go": True, "why_not": ""}


def known_person(number: int) -> Person:
    """The person with this number."""
    someone = house().store.read.people.person(number=number)
    if someone is None:
        raise nobody_there()
    return someone


def _group(someone: Person, terms: Mapping[int, str]) -> str:
    """What the list is filtered by: a maker's section, with its term where there are several, or else the role."""
    if someone.role.runs_studio or not someone.section:
        return someone.role
    return ", ".join(filter(None, (someone.section, terms.get(someone.id, ""))))
