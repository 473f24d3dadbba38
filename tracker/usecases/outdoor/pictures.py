"""An outdoor session as pictures for its pages and as the sheet for the clipboard: values in, SVG or PDF out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from printing.loading.load_pictures import ShelfSeen, where
from printing.outdoor.floor_pictures import RoundWords, SheetPiece, SheetRound, floor_picture
from printing.outdoor.sheets import SessionSheet, SheetWords, session_pdf
from printing.svg import svg
from tracker.domain.message import Choice, Message, _, together
from tracker.domain.outdoor.breakage import Fired
from tracker.domain.outdoor.sessions import Session
from tracker.domain.outdoor.setting_up import Opening
from tracker.domain.pieces.layers_told import layers_told
from tracker.domain.quantities import celsius, kilograms, mm
from tracker.domain.studio.kilns import RouteKind
from tracker.store.queries import Queries
from tracker.usecases.firing.pictures import PARTS
from tracker.usecases.outdoor.estimates import SessionFuelSeen, fired_before, fuel_of, pull_of
from tracker.usecases.outdoor.floor import floor_of
from tracker.usecases.outdoor.stories import PieceSeen, RoundSeen, SessionSeen
from tracker.usecases.studio.cautions import of_session
from tracker.wording.reader import Reader
from tracker.wording.render import clock, listed, say, say_all, whole_day
from tracker.wording.render import read as in_words


def floor_drawn(it: SessionSeen, one: RoundSeen, reader: Reader) -> str:
    """The kiln's floor with a round's pieces on it, as SVG; empty where none has a place."""
    said = _round(it, one, reader, ())
    if not said.pieces:
        return ""
    picture = floor_picture(said)
    name = Message("floor-in-round", _("The kiln's floor in round {number}"), number=one.number)
    return svg(picture, name=say(name, reader), says=floor_told(it, one, said, reader))


def floor_told(it: SessionSeen, one: RoundSeen, said: SheetRound, reader: Reader) -> str:
    """What the picture of a round's floor shows, for those who cannot see it."""
    title, opening = _title(one, len(it.rounds)), it.session.facts.opening
    floor = Message("floor-told", _FLOOR_TOLD, opening=opening, round=title, floor=_sides(said.floor))
    pieces = tuple(
        Message(
            "piece-on-floor",
            Choice("apart", _ON_FLOOR),
            apart="yes" if piece.apart else "no",
            number=piece.number,
            piece=piece.code,
            place=PARTS[where(piece.seen, said.floor)],
        )
        for piece in said.pieces
    )
    order = Message("pulled-in-order", _("Pulled in this order: {pieces}."), pieces=pieces)
    return say_all([floor, order] if pieces else [floor, Message("floor-empty", _("Empty."))], reader)


def _sides(floor: ShelfSeen) -> Message:
    across, deep = mm(floor.across), mm(floor.deep)
    if floor.round_mm:
        return Message("floor-round", _("{across} round"), across=across)
    return Message("floor-sides", _("{across} by {deep}"), across=across, deep=deep)


_FLOOR_TOLD = Choice(
    "opening",
    {
        "lift-off": _("{round}. Floor {floor}, the kiln lifts off."),
        "front": _("{round}. Floor {floor}, opens at the front."),
        "top": _("{round}. Floor {floor}, opens at the top."),
    },
)
_ON_FLOOR = {"yes": _("{number} {piece} {place} (kept apart: handle with care)"), "no": "{number} {piece} {place}"}


def session_sheet(read: Queries, it: SessionSeen, reader: Reader, *, paper: str = "a4") -> bytes:
    """The sheet of a session, with the rounds that are to come or at hand, as a PDF for `reader`."""
    return session_pdf(sheet_of(read, it, reader, read.outdoors.fired()), paper)


def sheet_of(read: Queries, it: SessionSeen, reader: Reader, before: Sequence[Fired]) -> SessionSheet:
    """What stands on the sheet, in words."""
    session, facts = it.session, it.session.facts
    fuel = fuel_of(read, it)
    crew = facts.crew
    on_hand = "" if facts.fuel_before_kg is None else in_words(kilograms(facts.fuel_before_kg), reader)
    enough = in_words(fuel.verdict.word, reader) if fuel.verdict else ""
    air = "" if facts.air_c is None else in_words(celsius(facts.air_c, 1), reader)
    return SessionSheet(
        title=say(Message("session-sheet", _("Outdoor session {session}"), session=str(session.id)), reader),
        subtitle=say(
            Message("kiln-and-day", "{kiln}, {day}", kiln=facts.kiln, day=whole_day(facts.starts_at, reader)), reader
        ),
        said=_sheet_words(reader),
        crew=_cells(
            (
                (Message("pulls", _("Tongs")), listed(list(crew.pullers), reader)),
                (Message("lids", _("Bins and lids")), listed(list(crew.lids), reader)),
                (Message("clock", _("Clock")), crew.clock),
                (Message("water-hose", _("Water hose")), crew.hose),
                (Message("responsible", _("Person in charge (not the one with the hose)")), ""),
            ),
            reader,
        ),
        facts=_cells(
            (
                (Message("begins", _("Starts")), clock(facts.starts_at, reader)),
                (Message("ends-about", _("Ends about")), _clock(it.ends_at, reader)),
                (Message("dark-from", _("Dark by")), _clock(facts.dark_at, reader)),
                (Message("propane-before", _("Propane before")), ", ".join(filter(None, (on_hand, enough)))),
                (Message("tanks", _("Tanks")), _tanks(fuel, reader)),
                (Message("propane-after", _("Propane after")), ""),
                (Message("weather", _("Weather")), ", ".join(filter(None, (air, facts.weather)))),
                (Message("combustibles", _("Combustibles")), facts.combustibles),
                (Message("bins", _("Bins")), listed([one.name for one in facts.containers], reader)),
            ),
            reader,
        ),
        cautions=tuple(say(one.line, reader) for one in of_session(session, it.wares, read.studio())),
        rounds=tuple(_round(it, one, reader, before) for one in it.rounds if one.pieces),
        footer=say(_footer(read.studio().name, session), reader),
    )


def _cells(named: Sequence[tuple[Message, str]], reader: Reader) -> tuple[tuple[str, str], ...]:
    """Names with their values, in words."""
    return tuple((say(name, reader), value) for name, value in named)


def _tanks(fuel: SessionFuelSeen, reader: Reader) -> str:
    """Whether the tanks keep up with the burner, in few words; blank where that isn't known."""
    if fuel.evaporation is None or fuel.evaporation.word is None:
        return ""
    return say(Message("tanks-keep-up", _KEEP_UP, word=fuel.evaporation.word), reader)


_KEEP_UP = Choice(
    "word",
    {
        "enough": _("keep up"),
        "perhaps": _("too slow toward the end: join another tank"),
        "not enough": _("too slow for the burner: join more tanks"),
    },
)


def _sheet_words(reader: Reader) -> SheetWords:
    number = "{number}"
    return SheetWords(
        before=say(Message("before-the-burner", _("Before you light the burner")), reader),
        notes=say(Message("notes", _("Notes")), reader),
        page=say(Message("page-of", _("page {number} of {count}"), number=number, count="{count}"), reader),
        goes_on=say(Message("continues-on", _("continues on page {number}"), number=number), reader),
        round_goes_on=say(
            Message("round-continues-on", _("{round} continues on page {number}"), round="{round}", number=number),
            reader,
        ),
        round_next=say(Message("round-is-on", _("{round}: page {number}"), round="{round}", number=number), reader),
        see_page=say(_SEE_PAGE, reader),
    )


_SEE_PAGE = Message("see-page", _("see page"))
_FRONTS = {
    Opening.LIFT_OFF: Message("front-lift-off", _("front; the kiln lifts off")),
    Opening.FRONT: Message("front-opens", _("front: opens here")),
    Opening.TOP: Message("front-top", _("front; opens at the top")),
}


def _round_words(it: SessionSeen, one: RoundSeen, reader: Reader) -> RoundWords:
    """What a round's boxes and its picture say; hair is laid on where raku goes into its bin."""
    is_hair = one.firing.route.kind is RouteKind.HORSEHAIR
    closed = Message("box-hair", _("hair on")) if is_hair else Message("box-closed", _("in bin"))
    return RoundWords(
        front=say(_FRONTS[it.session.facts.opening], reader),
        apart=say(Message("legend-apart", _("kept apart: handle with care")), reader),
        no_room=say(Message("no-room-for", _("no room: {numbers}"), numbers="{numbers}"), reader),
        started=say(Message("box-started", _("started")), reader),
        at_heat=say(Message("box-at-heat", _("up to temperature")), reader),
        all_out=say(Message("box-all-out", _("all out")), reader),
        pulled=say(Message("box-pulled", _("pulled")), reader),
        closed=say(closed, reader),
        out=say(Message("box-out", _("out")), reader),
        result=say(Message("box-result", _("result")), reader),
        continued=say(Message("round-continued", _("{round}, continued"), round="{round}"), reader),
        no_code=say(Message("no-code", _("no code")), reader),
        warning=say(Message("warning-on-page", _("a warning: see page")), reader),
        container=say(Message("bin-on-page", _("bin: see page")), reader),
        see_page=say(_SEE_PAGE, reader),
    )


def _round(it: SessionSeen, one: RoundSeen, reader: Reader, before: Sequence[Fired]) -> SheetRound:
    warming, pull = it.warming_after(one), pull_of(it, one)
    codes = tuple(piece.row.ref for piece in warming.pieces) if warming else ()
    warm_up = Message("warm-up", _("Preheat for the next round: {pieces}."), pieces=codes)
    begins, ends = clock(one.time.starts_at, reader), clock(one.time.ends_at, reader)
    return SheetRound(
        title=say(_title(one, len(it.rounds)), reader),
        times=say(Message("from-to", _("{begins} to {ends}"), begins=begins, ends=ends), reader),
        note=say(together([one.heats, pull.note]) if pull else one.heats, reader),
        warm_up=say(warm_up, reader) if codes else "",
        floor=_floor(it.session),
        opening=it.session.facts.opening.value,
        said=_round_words(it, one, reader),
        pieces=tuple(
            _piece(piece, turn, before, reader)
            for turn, piece in enumerate(one.pieces, start=1)
            if piece.place is not None
        ),
    )


def _title(one: RoundSeen, of: int) -> Message:
    words = _("Round {number} of {of}: {firing}, {pulled}")
    return Message("round-of", words, number=one.number, of=of, firing=one.firing.route.title, pulled=one.pulled_at)


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
        glaze=say(layers_told(row.piece.layers) or _NO_GLAZE, reader),
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


_NO_GLAZE = Message("no-glaze", _("no glaze"))


def _floor(session: Session) -> ShelfSeen:
    shelf = floor_of(session.kiln, session.facts).shelf
    if shelf.is_round:
        return ShelfSeen(round_mm=shelf.width_mm)
    return ShelfSeen(width_mm=shelf.width_mm, depth_mm=shelf.depth_mm)


def _clock(moment: datetime | None, reader: Reader) -> str:
    return "" if moment is None else clock(moment, reader)
