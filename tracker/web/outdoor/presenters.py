"""An outdoor session as the templates want it: plain texts, drawings and what the phone beside the kiln needs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from markupsafe import Markup

from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Choice, Message, _
from tracker.domain.outdoor.breakage import Fired
from tracker.domain.outdoor.fuel import Enough
from tracker.domain.pieces.outcomes import CLAY_FLAWS, Flaw, Outcome
from tracker.domain.pieces.piece import Piece
from tracker.domain.quantities import kilograms, minutes, mm
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Room
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.usecases.outdoor.estimates import RoundPull, fired_before, fuel_of, pull_of
from tracker.usecases.outdoor.pictures import floor_drawn
from tracker.usecases.outdoor.stories import PieceSeen, RoundSeen, SessionSeen
from tracker.web.piece_presenters import address_of
from tracker.web.presenters import glazes_of
from tracker.web.wording import reader

_LIKELIEST = (
    *(Outcome.GOOD, Outcome.of(Flaw.CRACKED), Outcome.BROKE, Outcome.of(Flaw.UNDERFIRED), Outcome.of(Flaw.OVERFIRED)),
    *map(Outcome.of, (Flaw.CRAWLED, Flaw.PINHOLED, Flaw.RAN)),
)
_SHORTER = {
    Outcome.of(Flaw.UNDERFIRED): Message("not-melted", _("not melted")),
    Outcome.of(Flaw.OVERFIRED): Message("too-hot", _("too hot")),
}


def outcome_shown(outcome: Outcome) -> Message:
    """What came of a piece outdoors, in words short enough for a glove."""
    return _SHORTER.get(outcome) or outcome.message


OUTCOMES = tuple((str(one), outcome_shown(one)) for one in _LIKELIEST)
"""What comes of a piece outdoors, the likeliest first: what a tap sends, and its button."""

_BARE = (Outcome.GOOD, Outcome.of(Flaw.CRACKED), Outcome.BROKE, Outcome.of(Flaw.COLOR_OFF))


def outcomes_of(piece: Piece) -> tuple[tuple[str, Message], ...]:
    """The same for one piece: without glaze nothing can crawl, run or stay unmelted."""
    return OUTCOMES if piece.has_glaze else tuple((str(one), outcome_shown(one)) for one in _BARE)


def flaws_of(piece: Piece) -> tuple[tuple[str, Message], ...]:
    """What may be wrong with a piece, where it is more than one thing: of bare clay no fault of a glaze."""
    flaws = tuple(Flaw) if piece.has_glaze else (*CLAY_FLAWS, Flaw.OVERFIRED, Flaw.COLOR_OFF)
    return tuple((flaw.value, Message("flaw", "{flaw}", flaw=flaw)) for flaw in flaws)


def room_in_words(room: Room) -> Message:
    """The inside of a container in one line."""
    high = mm(room.height_mm or 0)
    if room.round_mm is not None:
        return Message("round-room", _("{across} across, {high} high"), across=mm(room.round_mm), high=high)
    words, wide, deep = _("{width} by {depth}, {high} high"), mm(room.width_mm or 0), mm(room.depth_mm or 0)
    return Message("room", words, width=wide, depth=deep, high=high)


def piece_shown(row: PieceRow, known: Catalog) -> dict[str, Any]:
    """A piece as a line of a session."""
    route = known.routes.get(row.piece.route or "")
    return {
        "id": row.piece.id,
        "ref": row.ref,
        "href": address_of(row.ref),
        "what": row.piece.what,
        "maker": row.maker,
        "clay": row.piece.clay.name,
        "glaze": glazes_of(row.piece),
        "route": route.title if route else "",
        "since": row.waiting_since or row.since,
    }


def round_shown(one: RoundSeen, it: SessionSeen, known: Catalog, before: Sequence[Fired] = ()) -> dict[str, Any]:
    """A round with its pieces in the order in which they are pulled; `before` are the pieces that were fired before."""
    warming, pull = it.warming_after(one), pull_of(it, one)
    return {
        "number": one.number,
        "firing": one.firing.id,
        "title": one.firing.route.title,
        "pulled": one.pulled_at,
        "heats": one.heats,
        "change": _changing(one.time.change_min) if one.time.change_min and one.is_coming else None,
        "starts_at": one.time.starts_at,
        "ends_at": one.time.ends_at,
        "before_dark": one.time.before_dark,
        "is_coming": one.is_coming,
        "is_done": one.firing.stage is FiringStage.UNLOADED,
        "stage": one.firing.stage,
        "started_at": one.told.started_at,
        "at_heat_at": one.told.at_heat_at,
        "breaks": one.breaks,
        "to_watch": one.is_coming and _to_watch(one, pull),
        "warming": [piece.row.ref for piece in warming.pieces] if warming else [],
        "pull": pull,
        "pieces": [_stood_shown(piece, one, turn, known, before) for turn, piece in enumerate(one.pieces, start=1)],
        "uses_containers": one.firing.route.takes_glaze,
    }


def _to_watch(one: RoundSeen, pull: RoundPull | None) -> bool:
    """Whether a round holds something that needs care, so that it is said before the round is opened."""
    return bool(one.breaks or (pull and pull.is_full) or any(piece.place and piece.place.apart for piece in one.pieces))


def _changing(change_min: int) -> Message:
    return Message("change-heat", _("First change the kiln's temperature: {time}."), time=minutes(change_min))


def _stood_shown(
    piece: PieceSeen, one: RoundSeen, turn: int, known: Catalog, before: Sequence[Fired]
) -> dict[str, Any]:
    stands = piece.told.stands
    is_apart = bool(piece.place and piece.place.apart)
    found = fired_before(piece.row.piece, before) if is_apart else None
    return {
        **piece_shown(piece.row, known),
        "turn": turn,
        "container": piece.place.container if piece.place else "",
        "apart": is_apart,
        "broke_before": found.message if found else None,
        "warnings": piece.fires.warnings,
        "stands": stands.value if stands else "",
        "pulled_at": piece.told.pulled_at,
        "closed_at": piece.told.closed_at,
        "out_at": piece.told.out_at,
        "open_s": piece.told.open_s,
        "outcomes": outcomes_of(piece.row.piece),
        "flaws": flaws_of(piece.row.piece),
        "outcome": piece.outcome,
        "outcome_word": outcome_shown(piece.outcome) if piece.outcome else "",
        "mark": piece.mark,
        "without_place": piece.place is None,
        "is_in": one.is_coming or piece.row.piece.id in (*one.told.inside, *one.firing.piece_ids),
    }


def story_json(it: SessionSeen) -> dict[str, Any]:
    """What every phone should know of a session: each round and piece by what was tapped, and where phones differ."""

    def ms(moment: datetime | None) -> int | None:
        return None if moment is None else round(moment.timestamp() * 1000)

    return {
        "rounds": {
            str(one.firing.id): {
                "started": ms(one.told.started_at),
                "at_heat": ms(one.told.at_heat_at),
                "done": one.firing.stage is FiringStage.UNLOADED,
                "pieces": {
                    piece.row.ref: {
                        "stands": piece.told.stands.value if piece.told.stands else "",
                        "pulled": ms(piece.told.pulled_at),
                        "closed": ms(piece.told.closed_at),
                        "out": ms(piece.told.out_at),
                        "outcome": str(piece.outcome or piece.told.outcome or ""),
                    }
                    for piece in one.pieces
                },
            }
            for one in it.rounds
        },
        "differs": [message for _tap, message in it.story.differs],
        "heard": [tap.key for tap in it.taps],
    }


def drawn(it: SessionSeen) -> list[Markup]:
    """The floor of each round as a picture."""
    return [Markup(floor_drawn(it, one, reader())) for one in it.rounds]  # noqa: S704 -- printing/svg.py escapes all text


_LEVELS = {Enough.ENOUGH: "clear", Enough.PERHAPS: "warn", Enough.NOT_ENOUGH: "refuse"}


_KEEPS_UP = Choice(
    "word",
    {
        "enough": _("gas flows fast enough"),
        "perhaps": _("gas flows too slowly near the end"),
        "not enough": _("gas flows too slowly"),
        "unknown": _("not checked"),
    },
)


def fuel_shown(reader: Queries, it: SessionSeen) -> dict[str, Any]:
    """What a session's fuel comes to: the word, the sentence, and each piece's share once it was weighed twice."""
    fuel = fuel_of(reader, it)
    if fuel.used_g is not None:
        figure, counts = fuel.used_g / 1000, Message("propane-burned", _("of propane used"))
    else:
        figure, counts = fuel.guess.for_rounds(fuel.rounds)[1], Message("propane-likely", _("of propane (estimate)"))
    keeps_up = fuel.evaporation
    return {
        "figure": Message("figure", "{mass}", mass=kilograms(figure)) if fuel.rounds else None,
        "counts": counts,
        "level": _LEVELS[fuel.verdict.word] if fuel.verdict else "",
        "word": Message("enough", "{word}", word=fuel.verdict.word) if fuel.verdict else "",
        "message": fuel.verdict.message if fuel.verdict else None,
        "guess": fuel.guess.message,
        "keeps_up": keeps_up
        and {
            "level": "clear" if keeps_up.word is Enough.ENOUGH else "warn",
            "is_slow": keeps_up.word not in {Enough.ENOUGH, None},
            "word": Message("keeps-up", _KEEPS_UP, word=keeps_up.word or "unknown"),
            "message": keeps_up.message,
        },
        "shares": [
            (row.ref, row.piece.what, Message("fuel-share", "{mass}", mass=kilograms(share / 1000, 3)))
            for row, share in fuel.shares
        ],
    }
