"""Joining by a link: the page that students follow it to, and the instructor's part: links, posters, who is let in."""

from __future__ import annotations

from datetime import date

from flask import Blueprint, Response, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.refusals import Refusal, Unusable
from tracker.domain.studio.people import Right
from tracker.forms.plain_values import Wrong
from tracker.forms.studio.roster import read_email, read_person_name
from tracker.usecases.labels.join_posters import join_poster
from tracker.usecases.studio import joining
from tracker.web.auth import OPEN, allows, asking, house
from tracker.web.error_handlers import retry_after, status_of
from tracker.web.presenters import paper_asked, today, told
from tracker.web.wording import reader, said, with_a_capital

pages = Blueprint("joining", __name__)

LONGEST = 254


@pages.get(joining.JOIN_PAGE)
@allows(OPEN)
def join() -> ResponseReturnValue:
    """Ask whoever followed a join link who they are."""
    return _form(request.args.get("t", ""))


@pages.post(joining.JOIN_PAGE)
@allows(OPEN)
def ask() -> ResponseReturnValue:
    """Note who wants to join, and say the same to everybody, whether somebody has that email or not."""
    token, errors, found = request.form.get("t", ""), list[tuple[str, str]](), dict[str, str]()
    for field, reader_of in (("name", read_person_name), ("email", read_email)):
        try:
            found[field] = reader_of(request.form.get(field, "")[:LONGEST])
        except Wrong as wrong:
            errors.append((field, with_a_capital(said(wrong.message))))
    if errors:
        return _form(token, errors)
    store = house().store
    try:
        link = joining.link_followed(store.read, token, today())
        joining.ask_to_join(
            store,
            link,
            found["name"],
            found["email"],
            request.form.get("new", ""),
            at=house().clock(),
            address=request.remote_addr or "",
        )
    except Unusable as refusal:
        return _form(token, [("new", said(one)) for one in refusal.problems])
    except Refusal as refusal:
        return _form(token, refusal=refusal)
    return render_template("studio/join.html", state="asked", email=found["email"], has_mail=store.outbox.is_on)


def _form(
    token: str, errors: list[tuple[str, str]] | None = None, refusal: Refusal | None = None
) -> ResponseReturnValue:
    has_mail = house().store.outbox.is_on
    try:
        link = joining.link_followed(house().store.read, token, today())
    except Refusal as ended:
        return render_template("studio/join.html", state="ended", ended=ended), status_of(ended)
    page = render_template(
        "studio/join.html",
        state="form",
        link=link,
        typed=request.form,
        errors=errors or [],
        refusal=refusal,
        has_mail=has_mail,
    )
    if refusal is not None:
        return page, status_of(refusal), retry_after(refusal)
    return page, 422 if errors else 200


# ---- the instructor's part -------------------------------------------------------------------------------------


@pages.get("/people/joining")
@allows(Right.PEOPLE)
def links() -> ResponseReturnValue:
    """The sections that students could join now, each with its link."""
    return render_template("studio/join_links.html", shown=joining.to_join(house().store.read, today()))


@pages.get("/people/joining/<int:number>")
@allows(Right.PEOPLE)
def section(number: int) -> ResponseReturnValue:
    """One section: its link with its poster, or the form for one."""
    return _section_page(number)


@pages.post("/people/joining/<int:number>")
@allows(Right.PEOPLE)
def make(number: int) -> ResponseReturnValue:
    """Make a section's link, in place of any other."""
    there = url_for("joining.section", number=number)
    try:
        ends_on = date.fromisoformat(request.form.get("ends_on", "").strip())
    except ValueError:
        error = said(Message("join-link-needs-a-day", _("Choose the last day.")))
        return _section_page(number, error), 422
    asks_first = bool(request.form.get("asks_first"))
    return told(
        lambda: joining.make_link(house().store, asking(), number, ends_on, asks_first=asks_first), lambda _done: there
    )


@pages.post("/people/joining/<int:number>/withdraw")
@allows(Right.PEOPLE)
def withdraw(number: int) -> ResponseReturnValue:
    """End a section's link."""
    there = url_for("joining.section", number=number)
    return told(lambda: joining.withdraw_link(house().store, asking(), number), lambda _done: there)


@pages.get("/people/joining/<int:number>/poster.pdf")
@allows(Right.PEOPLE)
def poster(number: int) -> ResponseReturnValue:
    """The poster with a section's link, on the studio's paper or the one that the address names."""
    known = joining.section_to_join(house().store.read, number, today())
    link = joining.link_followed(house().store.read, known.link.token if known.link else "", today())
    studio = house().store.read.studio()
    made = join_poster(link, house().tag_address, studio, reader(), paper_asked())
    headers = {"Content-Disposition": 'inline; filename="join.pdf"'}
    return Response(made, mimetype="application/pdf", headers=headers)


@pages.post("/people/joiners/<int:number>/let-in")
@allows(Right.PEOPLE)
def let_in(number: int) -> ResponseReturnValue:
    """Let somebody in who asked to join."""
    return told(lambda: joining.let_join(house().store, asking(), number), lambda _done: url_for("people.people"))


@pages.post("/people/joiners/<int:number>/turn-away")
@allows(Right.PEOPLE)
def turn_away(number: int) -> ResponseReturnValue:
    """Take somebody off the list of those who asked to join."""
    return told(lambda: joining.turn_away(house().store, asking(), number), lambda _done: url_for("people.people"))


def _section_page(number: int, error: str = "") -> str:
    known = joining.section_to_join(house().store.read, number, today())
    term, link = known.term, known.link
    return render_template(
        "studio/join_link.html",
        section=known.section,
        term=term,
        link=link,
        address=joining.join_address(house().tag_address, link) if link else "",
        last=request.form.get("ends_on", "") or (term.ends_on.isoformat() if term and term.ends_on >= today() else ""),
        today=today().isoformat(),
        error=error,
        has_mail=house().store.outbox.is_on,
    )
