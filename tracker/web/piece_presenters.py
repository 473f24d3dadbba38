"""How a piece is told on the pages: its size, whose turn it is, where it may go and what became of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any
from urllib.parse import quote

from flask import request, url_for

from tracker.domain.firing.outlooks import Outlook
from tracker.domain.message import Message, _, together
from tracker.domain.pieces.codes import read_slip
from tracker.domain.pieces.piece import Foot, Piece, Stage
from tracker.domain.quantities import grams, mm
from tracker.domain.refusals import Refusal
from tracker.domain.rules.food_standing import LastFire, food_of
from tracker.domain.rules.suggestions import Suggestion
from tracker.domain.rules.untold import NotTold, Untold
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.people import Person
from tracker.store.pieces.queries import PiecePage, PieceRow
from tracker.usecases.pieces.ways import Way
from tracker.web.wording import reader, said, shown
from tracker.wording import outlooks as wording
from tracker.wording.history import notes_of, step_of


def address_of(ref: str) -> str:
    """Where the page of the piece with this code or slip number is."""
    # Put together here: a list has hundreds of them, and `url_for` looks through the map of all addresses for each.
    slip = read_slip(ref)
    return f"{request.script_root}/p/{quote(ref)}" if slip is None else f"{request.script_root}/slip/{slip}"


def build_and_size(piece: Piece) -> str:
    """How a piece was made, of what and how large, in one line."""
    words = _("{build:capital}, {clay} ({kind})") if piece.build else _("{clay} ({kind})")
    built = Message("piece-made-of", words, build=piece.build, clay=piece.clay.name, kind=piece.clay.kind)
    weight = [] if piece.weight_g is None else [shown(grams(piece.weight_g))]
    wall = [] if piece.wall_mm is None else [said(Message("wall", _("wall {wall}"), wall=mm(piece.wall_mm)))]
    marks = [said(mark) for fact, mark in _MARKS.items() if getattr(piece, fact)]
    return ", ".join([said(built), said(size_in_words(piece)), *weight, *wall, *marks])


_MARKS = {
    "fragile": Message("mark-fragile", _("thin parts stick out")),
    "burnished": Message("mark-burnished", _("burnished")),
    "mended": Message("mark-mended", _("cracked or mended")),
    "nests": Message("mark-nests", _("nests in the bisque")),
}
"""What is said of a piece of which these facts are true."""


def size_in_words(piece: Piece) -> Message:
    """How large a piece is: "168 mm high, 90 mm by 90 mm", as far as it is known."""
    known = (piece.height_mm is not None, piece.width_mm is not None, piece.depth_mm is not None)
    high, wide, deep = (mm(side or 0) for side in (piece.height_mm, piece.width_mm, piece.depth_mm))
    return Message("piece-size", _SIZES[known], high=high, wide=wide, deep=deep)


_SIZES = {
    (True, True, True): _("{high} high, {wide} by {deep}"),
    (True, True, False): _("{high} high, {wide} wide"),
    (True, False, True): _("{high} high, {deep} deep"),
    (True, False, False): _("{high} high"),
    (False, True, True): _("{wide} by {deep}"),
    (False, True, False): _("{wide} wide"),
    (False, False, True): _("{deep} deep"),
    (False, False, False): _("not measured"),
}
"""How a size is told, by which of height, width and depth are known."""


_FEET = {
    Foot.WAXED: Message("foot-is-waxed", _("The foot is waxed.")),
    Foot.WIPED: Message("foot-is-wiped", _("The foot is wiped.")),
    Foot.BARE: Message("foot-is-bare", _("The foot isn't waxed or wiped.")),
    Foot.GLAZED: Message("foot-is-glazed", _("The foot is glazed.")),
    Foot.STILTED: Message("foot-is-stilted", _("The piece goes on a stilt.")),
}


def foot_in_words(piece: Piece) -> Message | None:
    """What is known of a piece's foot and what it stands on; None where nobody has said."""
    plate = [Message("on-a-catch-plate", _("The piece goes on a kiln cookie."))] if piece.catch_plate else []
    known = [*([_FEET[piece.foot]] if piece.foot else []), *plate]
    return together(known) if known else None


def row_for_list(row: PieceRow, outlook: Outlook, person: Person, age: str = "") -> dict[str, Any]:
    """A piece as the macro `piece_row` shows it to this person; `age` says how long it has been at its stage."""
    piece = row.piece
    is_lost = piece.stage is Stage.LOST
    is_turn, when = outlook.waits_for(person, piece.maker_id), wording.in_short(outlook, reader())
    to_do = wording.to_do(outlook, reader(), is_mine=piece.maker_id == person.id)
    return {
        "href": address_of(row.ref),
        "code": piece.code,
        "slip": row.ref,
        "name": piece.what,
        "set": piece.set_name or "",
        "maker": "",
        "stage": (piece.came_from or Stage.GREENWARE) if is_lost else piece.stage,
        "lost": outlook.loss,
        "turn": is_turn,
        # When it is not one's turn, when comes in place of what: that is all that one waits for.
        "waits_for": to_do if is_turn or when is None else "",
        "when": when,
        "age": age,
    }


# ---- where it may go -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Opening:
    """A change after which a way would be clear, and where it is made; empty where only time makes it."""

    says: Message
    href: str = ""


def ways_shown(ways: Iterable[Way], piece: Piece | None = None) -> list[dict[str, Any]]:
    """Each way as the macro `route_row` shows it; `piece` is the one whose pages the changes are made on."""
    return [
        {one.name: getattr(way, one.name) for one in fields(way)}
        | {
            "cone": Message("heat-of-a-way", "{heat}", heat=way.heat),
            "untold": [
                {"says": one.message, "remedy": one.remedy, "href": where_told(piece, one) if piece else ""}
                for one in way.untold
            ],
            "would_open": [Opening(one.message, _where_made(piece, one)) for one in way.would_open] if piece else [],
        }
        for way in ways
    ]


_FIELD_OF = {"weight_g": "weight", "wall_mm": "wall", "vented": "form"}
"""The field of the form for details in which a fact is told that a firing needs."""


def tell_url(ref: str, refusal: Refusal) -> str | None:
    """Where somebody tells what a refused firing needs to know of the piece; None where it needs nothing more."""
    if not isinstance(refusal, NotTold):
        return None
    field = next((_FIELD_OF[one.fact] for one in refusal.facts if one.fact in _FIELD_OF), None)
    return url_for("known.known", code=ref, _anchor=field) if field else None


def where_told(piece: Piece, one: Untold) -> str:
    """The field in which what a firing needs to know of a piece is told."""
    return url_for("known.known", code=piece.ref, _anchor=_FIELD_OF[one.fact])


_TOLD = {"use": "use", "foot": "foot", "catch_plate": "catch_plate", "vented": "form"}
"""The facts that a suggestion changes, and the fields of the form on which they are put right."""

_SAID = {"catch_plate": "yes", "vented": "open"}
"""What the form calls a fact that a suggestion makes true; the others it calls by their own words."""


def _where_made(piece: Piece, one: Suggestion) -> str:
    """The page on which a suggested change is made, filled in already; of two pages the one that comes first."""
    changed = {fact: getattr(one.ware, fact) for fact in _TOLD if getattr(one.ware, fact) != getattr(piece, fact)}
    told: dict[str, Any] = {_TOLD[fact]: _SAID.get(fact, str(now)) for fact, now in changed.items()}
    # What the piece is for is told before it is glazed; foot and catch plate are asked at the glaze table.
    if one.glaze and "use" not in told:
        return url_for("pieces.glazing", code=piece.ref, glaze=one.glaze, **told)
    return url_for("known.known", code=piece.ref, **told) if told else ""


# ---- food ------------------------------------------------------------------------------------------------------


def food_words(piece: Piece, catalog: Catalog, last: LastFire | None = None) -> tuple[Message, tuple[Message, ...]]:
    """What may be said of a piece and food: one sentence, and what it rests on; `last` is its last glaze firing."""
    answer = food_of(piece, catalog, last)
    return answer.message, answer.reasons


# ---- what became of it -----------------------------------------------------------------------------------------


def history_for_page(page: PiecePage, catalog: Catalog, moment: Callable[[datetime], str]) -> list[dict[str, str]]:
    """The history as the macro `history` shows it, newest first; `moment` says a time in the studio's zone."""
    return [
        {
            "when": moment(line.at),
            "iso": line.at.isoformat(),
            "who": line.by,
            "what": said(step_of(line, catalog)),
            "note": " ".join(map(said, notes_of(line))),
        }
        for line in reversed(page.history)
    ]
