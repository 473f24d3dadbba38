"""An outdoor session as pictures for its pages and as the sheet for the clipboard: values in, SVG or PDF out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printing.loading.load_pictures import ShelfSeen
from printing.outdoor.floor_pictures import SheetPiece, SheetRound, floor_picture, floor_words
from printing.outdoor.sheets import SessionSheet, session_pdf
from printing.svg import svg
from tracker.domain.message import Message, _
from tracker.domain.quantities import celsius, kilograms, mm
from tracker.usecases.outdoor.estimates import fired_before, fuel_of, pull_of
from tracker.usecases.outdoor.floor import floor_of
from tracker.usecases.studio.cautions import of_session
from tracker.wording.render import clock, say, say_all, whole_day
from tracker.wording.render import read as in_words

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from tracker.domain.outdoor.breakage import Fired
    from tracker.domain.outdoor.sessions import Session
    from tracker.store.queries import Queries
    from tracker.usecases.outdoor.stories import PieceSeen, RoundSeen, SessionSeen
    from tracker.wording.reader import Reader


def floor_drawn(it: SessionSeen, one: RoundSeen, reader: Reader) -> str:
    """The kiln's floor with a round's pieces on it, as SVG; empty where none has a place."""
    said = _round(it, one, reader, ())
    if not said.pieces:
        return ""
    picture = floor_picture(said)
    name = Message("floor-in-round", _("The kiln's floor in round {number}"), number=one.number)
    return svg(picture, name=say(name, reader), says=floor_words(said, say(_sides(said.floor), reader)))


def _sides(floor: ShelfSeen) -> Message:
    """How large a kiln's floor is."""
    if floor.round_mm:
        return Message("floor-round", _("{across} round"), across=mm(floor.across))
    return Message("floor-sides", _("{across} by {deep}"), across=mm(floor.across), deep=mm(floor.deep))


def session_sheet(read: Queries, it: SessionSeen, reader: Reader, *, paper: str = "a4") -> bytes:
    """The sheet of a session, with the rounds that are to come or at hand, as a PDF for `reader`."""
    return session_pdf(sheet_of(read, it, reader, read.outdoors.fired()), paper)


def sheet_of(read: Queries, it: SessionSeen, reader: Reader, before: Sequence[Fired]) -> SessionSheet:
    """What stands on the sheet, in words."""
    session, facts = it.session, it.session.facts
    fuel = fuel_of(read, it)
    crew = facts.crew
    on_hand = "" if facts.fuel_before_kg is None else in_words(kilograms(facts.fuel_before_kg, 3), reader)
    air = "" if facts.air_c is None else in_words(celsius(facts.air_c, 1), reader)
    return SessionSheet(
        title=say(Message("session-sheet", _("Outdoor session {session}"), session=str(session.id)), reader),
        subtitle=say(
            Message("kiln-and-day", "{kiln}, {day}", kiln=facts.kiln, day=whole_day(facts.starts_at, reader)), reader
        ),
        notes=say(Message("notes", _("Notes")), reader),
        crew=(
            ("Pulls", ", ".join(crew.pullers)),
            ("Lids", ", ".join(crew.lids)),
            ("Clock", crew.clock),
            ("Water hose", crew.hose),
            ("Responsible", ""),
        ),
        facts=(
            ("Begins", clock(facts.starts_at, reader)),
            ("Ends about", _clock(it.ends_at, reader)),
            ("Dark from", _clock(facts.dark_at, reader)),
            ("Propane before", ", ".join([on_hand, *([in_words(fuel.verdict.word, reader)] if fuel.verdict else [])])),
            ("Propane after", ""),
            ("Weather", ", ".join(filter(None, (air, facts.weather)))),
            ("Combustibles", facts.combustibles),
            ("Containers", ", ".join(one.name for one in facts.containers)),
        ),
        cautions=tuple(say(one.line, reader) for one in of_session(session, it.wares, read.studio())),
        rounds=tuple(_round(it, one, reader, before) for one in it.rounds if one.pieces),
        footer=say(_footer(read.studio().name, session), reader),
    )


def _round(it: SessionSeen, one: RoundSeen, reader: Reader, before: Sequence[Fired]) -> SheetRound:
    warming, pull = it.warming_after(one), pull_of(it, one)
    codes = tuple(piece.row.ref for piece in warming.pieces) if warming else ()
    warm_up = Message("warm-up", _("Warm up for the next round: {pieces}."), pieces=codes)
    begins, ends = clock(one.time.starts_at, reader), clock(one.time.ends_at, reader)
    return SheetRound(
        title=say(_title(one, len(it.rounds)), reader),
        times=say(Message("from-to", _("{begins} to {ends}"), begins=begins, ends=ends), reader),
        note=say(pull.note, reader) if pull else "",
        warm_up=say(warm_up, reader) if codes else "",
        floor=_floor(it.session),
        opening=it.session.facts.opening.value,
        pieces=tuple(
            _piece(piece, turn, before, reader)
            for turn, piece in enumerate(one.pieces, start=1)
            if piece.place is not None
        ),
    )


def _title(one: RoundSeen, of: int) -> Message:
    words = _("Round {number} of {of}: {route}")
    return Message("round-of", words, number=one.number, of=of, route=one.firing.route.title)


def _footer(studio: str, session: Session) -> Message:
    return Message(
        "session-of-studio", _("{studio}, outdoor session {session}"), studio=studio, session=str(session.id)
    )


def _piece(piece: PieceSeen, turn: int, before: Sequence[Fired], reader: Reader) -> SheetPiece:
    row, place, size = piece.row, piece.place, piece.fires.footprint
    assert place is not None  # noqa: S101 -- whoever calls has looked
    found = fired_before(row.piece, before) if place.apart else None
    warnings = [*piece.fires.warnings, *([found.message] if found else [])] if place.apart else []
    return SheetPiece(
        number=turn,
        code=row.ref,
        bar_text=row.ref,
        maker=row.maker,
        what=row.piece.what,
        glaze=", ".join(dict.fromkeys(row.piece.worn_names)) or "no glaze",
        container=place.container,
        warning=say_all(warnings, reader),
        x_mm=place.x_mm,
        y_mm=place.y_mm,
        width_mm=size.width_mm,
        depth_mm=size.depth_mm,
        is_round=size.is_round,
        turned=place.turned,
        apart=place.apart,
    )


def _floor(session: Session) -> ShelfSeen:
    shelf = floor_of(session.kiln, session.facts.opening).shelf
    if shelf.is_round:
        return ShelfSeen(round_mm=shelf.width_mm)
    return ShelfSeen(width_mm=shelf.width_mm, depth_mm=shelf.depth_mm)


def _clock(moment: datetime | None, reader: Reader) -> str:
    return "" if moment is None else clock(moment, reader)
