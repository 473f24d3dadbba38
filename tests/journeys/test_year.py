"""A studio's year: set-up, a roster, a late joiner, a term of pieces with its mails, and those who return."""

from __future__ import annotations

import io
import re
import secrets
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from html import unescape
from typing import TYPE_CHECKING
from urllib.parse import urlsplit
from uuid import uuid4

import pytest

from tests.forms.studio.test_spreadsheets import workbook
from tests.mail_server import Inbox, mail_server
from tests.studio import a_new_piece
from tests.web.conftest import Visitor
from tests.web.studio.test_join_pages import code_on
from tracker.app import create_app
from tracker.commands.mail_carrier import MailCarrier
from tracker.domain.pieces.history import Request
from tracker.settings import Settings
from tracker.usecases.pieces import pieces
from tracker.usecases.studio.letters import Sender
from tracker.usecases.studio.mailing import send_due
from tracker.web.studio.set_up import ADDRESS, set_up_app

if TYPE_CHECKING:
    from collections.abc import Iterator
    from email.message import EmailMessage
    from pathlib import Path

    from flask import Flask

    from tracker.store.unit_of_work import Store

SITE = "https://clay.example.edu"
SENDER = Sender("Quayside clay <clay@example.edu>", SITE)
PASSWORD = "a heron stands on one leg"
JSON = {"Accept": "application/json"}
ADA, TOM, NIA, LEA = "ada@example.edu", "tom@example.edu", "nia0@example.edu", "lea@example.edu"
HEADER = ["Last name", "First name", "Student ID", "E-mail", "Class", "Role"]
STUDENTS = 59
KILN = "Front-loading electric kiln"
GLAZE = {
    "name": "House clear",
    "family": "mid-range",
    "cone_low": "5",
    "cone_high": "6",
    "food": "untested",
    "coat": "glaze",
    "goes_on": ["dip"],
}
MUG = {
    "clay": "Mid-range stoneware",
    "build": "thrown",
    "height": "100",
    "width": "80",
    "depth": "80",
    "weight": "350 g",
    "wall": "6",
    "form": "open",
}


@dataclass
class Year:
    """A studio behind its pages, its mail server, and the moment it is."""

    app: Flask
    inbox: Inbox
    now: datetime
    read: int = 0

    @property
    def store(self) -> Store:
        """What the pages keep."""
        store: Store = self.app.extensions["footring"].store
        return store

    def stranger(self) -> Visitor:
        """Somebody at a browser of their own."""
        return Visitor(self.app.test_client())

    def visit(self, email: str) -> Visitor:
        """Somebody, signed in."""
        visitor = self.stranger()
        visitor.get("/sign-in")
        assert visitor.post("/sign-in", {"email": email, "password": PASSWORD}).status_code == 302
        visitor.get("/me")
        return visitor

    def mails(self) -> list[EmailMessage]:
        """What has arrived since this was last asked, once all that is due has been sent."""
        with closing(MailCarrier(self.inbox.address)) as carry:
            send_due(self.store, carry, SENDER, lambda: self.now)
        new = self.inbox.got[self.read :]
        self.read = len(self.inbox.got)
        return new

    def one_mail(self) -> str:
        """The words of the only mail that has arrived since."""
        (mail,) = self.mails()
        return words_of(mail)

    def evening(self, days: float = 1) -> None:
        """Let days pass."""
        self.now += timedelta(days=days)

    def comes_in(self, mail: EmailMessage) -> Visitor:
        """Whoever got this mail follows its link and chooses a password."""
        link = urlsplit(re.findall(rf"{SITE}(/password-link\S+)", words_of(mail))[0])
        visitor = self.stranger()
        visitor.get(f"{link.path}?{link.query}")
        assert visitor.post(link.path, {"t": link.query.partition("=")[2], "new": PASSWORD}).status_code == 303
        visitor.get("/me")
        return visitor


def words_of(mail: EmailMessage) -> str:
    """A mail as it is read."""
    body = mail.get_body(("plain",))
    assert body is not None
    return str(body.get_content())


def to(mail: EmailMessage) -> str:
    """Whom a mail is for."""
    return str(mail["To"].addresses[0].addr_spec)


def roster(students: range, term: str) -> tuple[io.BytesIO, str]:
    """A spreadsheet of these students and one of the staff, as an office sends it."""
    rows = [[f"Ost{one}", "Nia", 1000 + one, f"nia{one}@example.edu", term, "student"] for one in students]
    return io.BytesIO(workbook(HEADER, *rows, ["Vale", "Tom", 7, "tom@example.edu", None, "staff"])), "class.xlsx"


def fields(page: str, action: str) -> dict[str, str]:
    """What a page sends there where nobody changes anything."""
    form = page.partition(f'action="{action}"')[2].partition("</form>")[0]
    found = re.findall(r'<input [^>]*?name="([^"]+)"[^>]*?value="([^"]*)"', form)
    chosen = re.findall(r'<select [^>]*?name="([^"]+)"(?:(?!</select>).)*?value="([^"]*)" selected', form, re.DOTALL)
    return {name: unescape(value) for name, value in (*found, *chosen)}


def plain(page: str) -> str:
    """What a page says, without its frame."""
    main = page.partition("<main")[2].partition("</main>")[0]
    return " ".join(unescape(re.sub(r"<(script|template).*?</\1>|<[^>]*>", " ", main, flags=re.DOTALL)).split())


@pytest.fixture
def year(tmp_path: Path, quick_pages: None) -> Iterator[Year]:
    """A studio that was set up a moment ago in the browser, by its instructor."""
    begins, database = datetime(2026, 8, 31, 14, 0, tzinfo=UTC), str(tmp_path / "studio.db")
    with mail_server() as inbox:
        opened: list[Flask] = []
        settings = Settings(database=database, address=SITE, smtp=inbox.address, mail_from=SENDER.mailbox)

        def open_pages() -> None:
            opened.append(create_app(settings, lambda: here.now, secrets.randbelow))

        client = set_up_app(database, "door", lambda: begins, open_pages).test_client()
        here = Year(client.application, inbox, begins)
        about = {"name": "Quayside clay", "timezone": "America/Denver", "units": "metric", "regime": "us-fda"}
        ada = {"who": "Ada Quill", "email": "ada@example.edu", "password": PASSWORD}
        assert client.post(ADDRESS, data={"door": "door", **about, **ada, "begin": "starter"}).status_code == 303
        (here.app,) = opened
        here.app.testing = True
        yield here
        here.store.close()


def fire(staff: Visitor, route: str, refs: list[str], broken: str = "") -> None:
    """Load, fire and unload a kiln on its pages."""
    answer = staff.post("/firings", {"at": f"{KILN} / {route}", "target": ""})
    assert answer.status_code == 303, plain(answer.text)
    here = answer.location
    for ref in refs:
        assert staff.post(f"{here}/in", {"ref": ref, "dry": "yes"}).status_code == 303
    staff.post(f"{here}/light")
    answer = staff.unload(here, {f"outcome-{ref}": "broke" if ref == broken else "good" for ref in refs})
    assert answer.status_code == 303, plain(answer.text)


def test_a_year_goes_by_from_an_empty_folder_to_those_who_return(year: Year) -> None:
    a_term_is_planned(year)
    nia = a_roster_comes_in(year)
    mug, bowl = a_bisque_with_one_that_broke(year, nia)
    a_glaze_firing_with_a_question(year, nia, mug, bowl)
    a_late_joiner_by_the_poster(year)
    a_shelf_too_long(year, mug)
    the_end_of_the_term(year, bowl)
    those_who_return(year)


def a_term_is_planned(year: Year) -> None:
    """The instructor says when the term is, and its sections."""
    term = {"name": "Fall", "starts_on": "2026-08-31", "ends_on": "2026-12-11", "sections": "Tuesday"}
    assert year.visit(ADA).post("/terms/new", term).status_code == 303


def a_roster_comes_in(year: Year) -> Visitor:
    """A roster of 60 is imported; a student and one of the staff come in by their mails. Gives the student."""
    ada = year.visit(ADA)
    looked = ada.post("/people/roster/look", {"file": roster(range(STUDENTS), "Tuesday")})
    ada.post("/people/roster", fields(looked.text, "/people/roster"))

    mails = {to(mail): mail for mail in year.mails()}
    assert len(mails) == STUDENTS + 1
    nia, tom = year.comes_in(mails[NIA]), year.comes_in(mails[TOM])
    assert (nia.get("/people").status_code, tom.get("/today").status_code) == (403, 200)
    return nia


def a_bisque_with_one_that_broke(year: Year, nia: Visitor) -> tuple[str, str]:
    """A glaze and what is known of a clay are entered, three pieces fired; the mail has the codes of two."""
    ada = year.visit(ADA)
    seen = fields(ada.get("/catalog/glaze/form").text, "/catalog/glaze")
    assert ada.post("/catalog/glaze", seen | GLAZE).status_code == 303
    clay = fields(ada.get("/catalog/clay/form?name=Mid-range+stoneware").text, "/catalog/clay")
    assert ada.post("/catalog/clay", clay | {"absorption": "cone 6: 1.2%, boil"}).status_code == 303
    tickets = []
    for name, use in (("mug", "food"), ("bowl", "food"), ("vase", "decorative")):
        answer = nia.post("/pieces/new", {**MUG, "what": name, "use": use}, follow_redirects=True)
        tickets += re.findall(r"\bW[0-9]+\b", answer.text)[:1]
    year.evening(7)
    fire(year.visit(TOM), "bisque", tickets, broken=tickets[2])
    year.evening()

    told = year.one_mail()
    assert "Your vase broke in the kiln. We are sorry." in told
    mug, bowl = re.findall(r"out of the bisque. Its code is ([A-Z0-9]+)", told)
    return mug, bowl


def a_glaze_firing_with_a_question(year: Year, nia: Visitor, mug: str, bowl: str) -> None:
    """Two pieces are glazed, asked about, queued and fired; one mail a day tells the answer and what is ready."""
    for code in (mug, bowl):
        answer = nia.post(f"/p/{code}/glaze", {"glaze": GLAZE["name"], "zone": "inside", "foot": "waxed"})
        assert answer.status_code == 303, plain(answer.text)
    nia.post(f"/p/{mug}/ask", {"text": "May I drink from it?"})
    year.evening()
    ada, tom = year.visit(ADA), year.visit(TOM)
    (question,) = re.findall(r'"/questions/([0-9]+)"', ada.get("/questions").text)
    assert ada.post(f"/questions/{question}", {"text": "Not before a lab test.", "allows": "yes"}).status_code == 303
    for code in (mug, bowl):
        way = {"ref": code, "step": "queue", "route": "mid-range"}
        asked = tom.post("/scan", way, headers=JSON).get_json()
        accepts = [one["rule"] for one in asked.get("needs", [])]
        assert tom.post("/scan", {**way, "accepts": accepts}, headers=JSON).get_json()["ok"]
    fire(tom, "mid-range", [mug, bowl])
    year.evening()

    told = year.one_mail()
    assert "Ada Quill answered your question about the mug: “Not before a lab test.”" in told
    assert f"Your mug is ready for pickup. Its code is {mug}. Functional, but not shown to be food-safe." in told


def a_late_joiner_by_the_poster(year: Year) -> None:
    """Somebody scans the QR of the section's poster, proves their email and is in."""
    ada = year.visit(ADA)
    (section,) = re.findall(r'href="(/people/joining/[0-9]+)"', ada.get("/people/joining").text)
    assert ada.post(section, {"ends_on": (year.now + timedelta(days=7)).date().isoformat()}).status_code == 303
    there = urlsplit(code_on(ada.get(f"{section}/poster.pdf").data))
    lea = year.stranger()
    lea.get(f"{there.path}?{there.query}")
    lea.post(there.path, {"t": there.query.partition("=")[2], "name": "Lea Moor", "email": LEA, "new": PASSWORD})

    (mail,) = year.mails()
    assert year.comes_in(mail).get("/pieces").status_code == 200
    assert "Lea Moor" in ada.get("/people").text


def a_shelf_too_long(year: Year, mug: str) -> None:
    """Nobody picks up what is ready; after four weeks its maker is reminded, with the day, and it's handed out."""
    year.evening(29)
    assert year.mails() == []
    year.evening()

    assert year.one_mail().count("has been ready for pickup since Sep 9, 2026.") == 2
    assert year.visit(TOM).post("/pickup", {"ref": mug}).status_code == 303


def the_end_of_the_term(year: Year, bowl: str) -> None:
    """Makers hear three times what they have here; what they leave is decided piece by piece, down to nothing."""
    year.now = datetime(2026, 11, 19, 16, 0, tzinfo=UTC)
    makers = {one.email: one for one in year.store.read.people.listed()}
    for number in range(1, 21):
        left = a_new_piece(f"cup {number}", clay=MUG["clay"], arrives_bisqued=True)
        pieces.register(year.store, Request(uuid4(), makers[f"nia{number}@example.edu"], year.now), left)
    for day in (20, 4, 10):
        year.now = year.now.replace(month=11 if day == 20 else 12, day=day)
        assert year.mails() == []
        year.evening()
        mails = {to(mail): words_of(mail) for mail in year.mails()}
        assert set(mails) == {f"nia{number}@example.edu" for number in range(21)}
        assert "Fall ends on Dec 11, 2026. 1 of your pieces is ready for pickup." in mails[NIA]
        assert all("1 of your pieces isn't finished." in told for email, told in mails.items() if email != NIA)

    year.now = datetime(2026, 12, 14, 16, 0, tzinfo=UTC)
    assert year.mails() == []
    ada = year.visit(ADA)
    (there,) = re.findall(r'"(/terms/[0-9]+/end)"', ada.get("/terms").text)
    number = there.removesuffix("/end")
    for how in ("donate", "keep", "discard"):
        page = ada.get(there).text
        ticked = re.findall(r'name="piece" value="([^"]+)"', page)
        some = ticked if how == "discard" else ticked[:7]
        assert ada.post(f"{number}/pieces", {"how": how, "piece": some, "to": "Winter sale"}).status_code == 303
    assert left_of(ada.get(there).text)[:2] == [0, 0]
    year.evening()
    mails = {to(mail): words_of(mail) for mail in year.mails()}
    told = [
        sum(words in one for one in mails.values()) for words in ("was donated", "studio keeps it", "was discarded")
    ]
    assert (len(mails), told) == (21, [7, 7, 7])

    ada = year.visit(ADA)
    for section in re.findall(r'name="section"\s+value="([0-9]+)"', ada.get(there).text):
        ada.post(f"{number}/archive", {"section": section})
    ada.post(there)
    (term,) = year.store.read.terms.listed()
    assert term.ended_at == year.now
    assert {one.email for one in year.store.read.people.listed()} == {ADA, TOM}


def left_of(page: str) -> list[int]:
    """How many pieces are unclaimed, in work and lost, by the page of a term's end."""
    return [int(figure) for figure in re.findall(r"<dd>(\d+)</dd>", page)]


def those_who_return(year: Year) -> None:
    """A term like the old one; its roster has 40 of them, who are in its section and let in again."""
    year.evening(28)
    ada, returning = year.visit(ADA), range(STUDENTS - 40, STUDENTS)
    (old,) = year.store.read.terms.listed()
    like = fields(ada.get(f"/terms/new?from={old.id}").text, "/terms/new")
    assert ada.post("/terms/new", {**like, "name": "Spring", "sections": "Tuesday"}).status_code == 303
    looked = ada.post("/people/roster/look", {"file": roster(returning, "Tuesday")})
    ada.post("/people/roster", fields(looked.text, "/people/roster"))

    here = {one.email for one in year.store.read.people.listed()}
    assert here == {ADA, TOM} | {f"nia{one}@example.edu" for one in returning}
    spring = year.store.read.terms.listed()[0]
    assert "40 people" in plain(ada.get(f"/terms/{spring.id}/end").text)
    # Whoever never chose a password gets a link again.
    mails = {to(mail): mail for mail in year.mails()}
    assert set(mails) == here - {ADA, TOM}
    assert year.comes_in(mails["nia19@example.edu"]).get("/pieces").status_code == 200
