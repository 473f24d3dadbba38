"""A roster out of a spreadsheet: uploaded, its columns named, who is new, changed and gone looked at, then imported."""

from __future__ import annotations

from flask import Blueprint, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.refusals import Refusal, Unusable
from tracker.domain.studio.people import NewPerson, Person, Right
from tracker.forms.plain_values import Wrong, read_text
from tracker.forms.studio.roster import Column, guessed_columns, people_in
from tracker.forms.studio.spreadsheets import Sheet, packed, read_sheet, unpacked
from tracker.usecases.studio.membership import enrol
from tracker.usecases.studio.rosters import Coming, coming
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import problems_of, status_of
from tracker.web.presenters import today
from tracker.web.studio.term_choice import term_sent, terms_to_choose

pages = Blueprint("rosters", __name__)

MOST_ROWS = 2_000
_SAME = "same-"
_LONGEST_NUMBER = 9
_TITLES = {
    Column.NAME: Message("name", _("Name")),
    Column.FIRST: Message("first-name", _("First name")),
    Column.LAST: Message("last-name", _("Last name")),
    Column.EMAIL: Message("email", _("Email")),
    Column.SECTION: Message("section", _("Section")),
    Column.ROLE: Message("role", _("Role")),
    Column.SUPERVISED: Message("minor-or-visitor", _("Minor or visitor")),
}

_SUPERVISED = Message("becomes-supervised", _("minor or visitor"))
_NOT_SUPERVISED = Message("supervised-no-more", _("no longer a minor or visitor"))


@pages.get("/people/roster")
@allows(Right.PEOPLE)
def upload() -> ResponseReturnValue:
    """The form for a roster's file."""
    return render_template("studio/roster.html", **_term_facts())


@pages.post("/people/roster/look")
@allows(Right.PEOPLE)
def look() -> ResponseReturnValue:
    """What the uploaded file, or the one sent along with its columns named, would change."""
    try:
        sheet = _sheet_sent()
    except Refusal as refusal:
        return _refused(refusal)
    return _look(sheet)


@pages.post("/people/roster")
@allows(Right.PEOPLE)
def take() -> ResponseReturnValue:
    """Import the roster; first passwords are shown on this one page and nowhere else, or links go out by mail."""
    try:
        sheet = _sheet_sent()
    except Refusal as refusal:
        return _refused(refusal)
    try:
        roster = people_in(sheet, _columns(sheet), section=_section())
        without_gone = bool(request.form.get("gone"))
        done = enrol(house().store, asking(), roster, without_gone=without_gone, term_id=term_sent(), same=_same())
    except Refusal as refusal:
        return _look(sheet, refusal)
    cards = url_for("paper.choose", kind="maker-cards", ref=[one.id for one in done.without_email])
    return render_template("studio/roster_taken.html", done=done, by_mail=house().store.outbox.is_on, cards_href=cards)


def _refused(refusal: Refusal) -> ResponseReturnValue:
    page = render_template("studio/roster.html", refusal=refusal, problems=problems_of(refusal), **_term_facts())
    return page, status_of(refusal)


def _term_facts() -> dict[str, object]:
    return terms_to_choose(house().store.read.terms, request.form.get("term", ""), today())


def _same() -> dict[int, int]:
    """Whom lines of the roster are said to mean, by their numbers; 0 for somebody new."""
    sent = {name.removeprefix(_SAME): text for name, text in request.form.items() if name.startswith(_SAME)}
    return {int(line): int(text) for line, text in sent.items() if _is_number(line) and _is_number(text)}


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= _LONGEST_NUMBER


def _look(sheet: Sheet, refusal: Refusal | None = None) -> ResponseReturnValue:
    columns, ahead = _columns(sheet), None
    try:
        ahead = coming(house().store.read, people_in(sheet, columns, section=_section()), today(), term_sent(), _same())
    except Refusal as refused:
        refusal = refused
    page = render_template(
        "studio/roster.html",
        refusal=refusal,
        problems=problems_of(refusal) if refusal else (),
        header=[(str(at), cell or f"{at + 1}") for at, cell in enumerate(sheet.header)],
        columns=[(f"column-{at}", _TITLES[one], str(columns.get(one, ""))) for at, one in enumerate(Column)],
        section=request.form.get("section", ""),
        table=packed(sheet),
        first=sheet.rows[0][1] if sheet.rows else (),
        ahead=ahead,
        changes=_changes(ahead),
        new=_surely_new(ahead),
        same=_same(),
        has_mail=house().store.outbox.is_on,
        **_term_facts(),
    )
    return page, 200 if refusal is None else status_of(refusal)


def _sheet_sent() -> Sheet:
    """The file that is uploaded, or the table that the form holds; `Unusable` where it can't be read here."""
    file = request.files.get("file")
    if file is not None and file.filename:
        sheet = read_sheet(file.read())
    elif table := request.form.get("table", ""):
        sheet = _unpacked(table)
    else:
        raise _no_file()
    if len(sheet.rows) > MOST_ROWS:
        words = _("That's {count} people. One page can take {most}.")
        raise Unusable(
            [Message("too-many-rows", words, count=len(sheet.rows), most=MOST_ROWS)],
            Message("import-by-command", _("Split the file, or use footring import-roster.")),
        )
    return sheet


def _columns(sheet: Sheet) -> dict[Column, int]:
    """Which column holds what: as the form says, or else by the columns' names."""
    if "column-0" not in request.form:
        return guessed_columns(sheet.header)
    sent = {column: request.form.get(f"column-{at}", "") for at, column in enumerate(Column)}
    known = {str(at): at for at in range(len(sheet.header))}
    return {column: known[at] for column, at in sent.items() if at in known}


def _section() -> str:
    """The section of those whose row names none."""
    try:
        return read_text(request.form.get("section", ""))
    except Wrong as wrong:
        raise Unusable([wrong.message]) from None


def _unpacked(table: str) -> Sheet:
    try:
        return unpacked(table)
    except ValueError:
        raise _no_file() from None


def _no_file() -> Unusable:
    return Unusable([Message("no-file", _("No file was chosen."))], Message("choose-file", _("Choose a file.")))


def _surely_new(ahead: Coming | None) -> list[NewPerson]:
    """Who is new, without those of whom that has to be said first."""
    if ahead is None:
        return []
    asked = {one.line for one, _others in ahead.alike}
    return [one for one in ahead.new if one.line not in asked]


def _changes(ahead: Coming | None) -> list[tuple[str, list[Message]]]:
    """Whom the roster changes, and what of each."""
    if ahead is None:
        return []
    return [(before.name, [*_change(before, after), *_move(ahead, before, after)]) for before, after in ahead.changed]


def _move(ahead: Coming, before: Person, after: NewPerson) -> list[Message]:
    """What is told of somebody who goes to a section of another term, which may be called like the one before."""
    if ahead.term is None or not after.section or before.id not in ahead.moved:
        return []
    return [Message("joins-term", _("joins {term}"), term=ahead.term.name)]


def _change(before: Person, after: NewPerson) -> list[Message]:
    told = [Message("comes-back", _("comes back"))] if before.has_left else []
    if after.supervised is not before.supervised:
        told.append(_SUPERVISED if after.supervised else _NOT_SUPERVISED)
    for column, was, now in (
        (Column.NAME, before.name, after.name),
        (Column.EMAIL, before.email, after.email),
        (Column.SECTION, before.section, after.section),
        (Column.ROLE, before.role, after.role),
    ):
        if was == now:
            continue
        if was and now:
            words = _("{what} {was} → {now}")
            told.append(Message("changes-to", words, what=_TITLES[column], was=was, now=now))
        elif now:
            told.append(Message("set-to", _("{what}: {now}"), what=_TITLES[column], now=now))
        else:
            told.append(Message("taken-off", _("{what} {was} removed"), what=_TITLES[column], was=was))
    return told
