"""How a piece is told on the pages: whose turn it is, where it may go, what it may hold and what became of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from flask import request, url_for

from tracker.domain.findings import Approval, Finding, Level, Verdict, listed
from tracker.domain.message import Message, _
from tracker.domain.pieces.codes import read_slip
from tracker.domain.pieces.piece import LINE, Foot, NewPiece, Stage, StepName
from tracker.domain.rules.engine import judge_in
from tracker.domain.rules.food_standing import food_standing, glaze_standing
from tracker.domain.rules.suggestions import suggestions
from tracker.domain.studio.kilns import RouteKind
from tracker.forms.lengths import in_inches
from tracker.forms.weights import in_pounds
from tracker.usecases.pieces.pieces import Prospect, prospects
from tracker.web.wording import said

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence
    from datetime import datetime

    from tracker.domain.cones import Cone
    from tracker.domain.pieces.piece import Piece
    from tracker.domain.rules.suggestions import Suggestion
    from tracker.domain.studio.catalog import Catalogue
    from tracker.domain.studio.kilns import Route
    from tracker.domain.studio.materials import Glaze
    from tracker.domain.studio.people import Person
    from tracker.store.pieces.queries import HistoryRow, PiecePage, PieceRow

_OPEN_TO_A_QUEUE = {Stage.BISQUED, Stage.WAXED, Stage.GLAZED}
_STILL_TO_FIRE = _OPEN_TO_A_QUEUE | {Stage.GREENWARE, Stage.QUEUED}


def address_of(ref: str) -> str:
    """Where the page of the piece with this code or slip number is."""
    # Put together here: a list has hundreds of them, and `url_for` looks through the map of all addresses for each.
    slip = read_slip(ref)
    return f"{request.script_root}/p/{quote(ref)}" if slip is None else f"{request.script_root}/slip/{slip}"


def cones_in_words(low: Cone, high: Cone) -> str:
    """A range of cones with its temperatures: "cone 06 to 04, 998 to 1063 °C", or "cone 10, 1285 °C"."""
    if low == high:
        return low.label
    return f"cone {low} to {high}, {low.celsius} to {high.celsius} °C"


def build_and_size(piece: Piece) -> str:
    """How a piece was made, of what and how large, in one line and both unit systems."""
    sizes = [mm for mm in (piece.height_mm, piece.width_mm, piece.depth_mm) if mm is not None]
    sides = f"{' by '.join(map(str, sizes))} mm, {in_inches(sizes[0])} high" if sizes else "size unknown"
    marks = [
        word
        for word, holds in (
            ("thin parts stick out", piece.fragile),
            ("burnished", piece.burnished),
            ("mended", piece.mended),
        )
        if holds
    ]
    built = str(piece.build or "made").capitalize()
    weight = () if piece.weight_g is None else (f"{piece.weight_g} g or {in_pounds(piece.weight_g)}",)
    wall = () if piece.wall_mm is None else (f"wall {piece.wall_mm} mm",)
    return ", ".join((f"{built}, {piece.clay.name} ({piece.clay.kind})", sides, *weight, *wall, *marks))


_FEET = {
    Foot.WAXED: "The foot is waxed.",
    Foot.WIPED: "The foot is wiped clear.",
    Foot.BARE: "The foot is neither waxed nor wiped.",
    Foot.GLAZED: "The foot is glazed.",
    Foot.STILTED: "It stands on a stilt.",
}


def foot_in_words(piece: Piece) -> str:
    """What is known of a piece's foot and what it stands on; empty where nobody has said."""
    plate = ("It stands on a catch plate.",) if piece.catch_plate else ()
    return " ".join((*((_FEET[piece.foot],) if piece.foot else ()), *plate))


# ---- whose turn it is ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Turn:
    """Who has to do the next thing with a piece, and what: `yours` when it is whoever reads it."""

    who: str
    what: str
    yours: bool = False


_DRYING = Turn("Waiting for the bisque.", "Its slip lies with it on the greenware shelf until it is bone dry.")
_WAX = "wax the foot, then glaze it."
_TURNS: dict[Stage, tuple[Turn, Turn]] = {
    Stage.GREENWARE: (_DRYING, _DRYING),
    Stage.BISQUED: (Turn("Your turn:", _WAX, yours=True), Turn("Waiting for its maker", f"to {_WAX}")),
    Stage.WAXED: (Turn("Your turn:", "glaze it.", yours=True), Turn("Waiting for its maker", "to glaze it.")),
    Stage.GLAZED: (
        Turn("Waiting for staff", "to put it in a queue. Nothing for you to do."),
        Turn("Waiting for staff", "to put it in a queue."),
    ),
    Stage.FIRED: (
        Turn("Your turn:", "fetch it at the pickup shelf, where staff hands it over.", yours=True),
        Turn("Waiting for its maker", "to fetch it."),
    ),
    Stage.CLAIMED: (Turn("Done.", "You took it home."), Turn("Done.", "It went to its maker.")),
    Stage.LOST: (
        Turn("Lost.", "When it turns up, staff notes it as found and it goes on where it was."),
        Turn("Lost.", "When it turns up, note it as found and it goes on where it was."),
    ),
}
"""What each stage waits for, told to its maker and to everybody else; a queue names its route."""


def turn_of(row: PieceRow, reader: Person, catalogue: Catalogue) -> Turn:
    """What a piece waits for, told to the person who reads it."""
    piece, mine = row.piece, row.piece.maker_id == reader.id
    if row.firing_id is not None:
        return Turn("In the kiln.", f"It stands in firing {row.firing_id}. Nothing to do until it is unloaded.")
    if row.question_open and piece.stage in _STILL_TO_FIRE:
        return Turn("Waiting for the instructor", "to answer the question on it.")
    if piece.route is not None:
        route = catalogue.routes[piece.route]
        return Turn(f"Waiting for {route.title},", f"{route.cone.label}.{' Nothing for you to do.' if mine else ''}")
    for_maker, for_others = _TURNS[piece.stage]
    return for_maker if mine else for_others


def row_for_list(row: PieceRow, turn: Turn, age: str) -> dict[str, Any]:
    """A piece as the macro `piece_row` shows it; `age` is how long it has stood there, in words."""
    piece = row.piece
    is_lost = piece.stage is Stage.LOST
    words = turn.what if turn.yours else f"{turn.who} {turn.what}"
    return {
        "href": address_of(row.ref),
        "code": piece.code,
        "slip": row.ref,
        "name": piece.what,
        "set": piece.set_name or "",
        "maker": "",
        "stage": (piece.came_from or Stage.GREENWARE) if is_lost else piece.stage,
        "lost": "lost" if is_lost else "",
        "turn": turn.yours,
        "waits_for": words[:1].upper() + words[1:],
        "age": age,
    }


# ---- where it may go -------------------------------------------------------------------------------------------

_ALLOWED = Message("allowed", _("The instructor has allowed it."))


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of firing, judged for a piece: what the macro `route_row` shows, and what may be done about it.

    `kilns` names those that fire this way. `warnings` have to be accepted by name; `asks` wait for the instructor;
    `is_open` says that the piece may be queued here once the warnings are accepted. `would_open` holds a sentence for
    each change after which nothing would stand against this way.
    """

    route: str
    name: str
    cone: str
    verdict: str
    findings: tuple[Finding, ...]
    warnings: tuple[Finding, ...] = ()
    asks: tuple[Finding, ...] = ()
    is_open: bool = False
    is_outdoors: bool = False
    kilns: str = ""
    would_open: tuple[Opening, ...] = ()


@dataclass(frozen=True, slots=True)
class Opening:
    """A change after which a way would be clear, and where it is made; empty where only time makes it."""

    says: str
    href: str = ""


def ways_for(
    ware: Piece | NewPiece,
    catalogue: Catalogue,
    leaves: Collection[Approval] = (),
    stage: Stage | None = None,
) -> tuple[Way, ...]:
    """Every way of firing for this ware, the kindest first; `stage` is where the piece stands, for what is open.

    What would open a closed way is looked for of a piece, not of one that is only being planned.
    """
    ways = [
        replace(
            _way(route, verdict, leaves, stage),
            kilns=_kilns_for(route, catalogue),
            would_open=() if isinstance(ware, NewPiece) else _would_open(ware, route, catalogue),
        )
        for route, verdict in (*_first_fire(ware, catalogue, stage), *prospects(catalogue, ware))
    ]
    return tuple(sorted(ways, key=lambda way: Level.NOTE if way.verdict == "clear" else Level[way.verdict.upper()]))


def _first_fire(ware: Piece | NewPiece, catalogue: Catalogue, stage: Stage | None) -> tuple[Prospect, ...]:
    """The bisque for greenware that is not simply waiting for it: what stands in its way is asked or put right now."""
    if stage is not Stage.GREENWARE or isinstance(ware, NewPiece):
        return ()
    bisques = [route for route in catalogue.routes_by_heat if route.kind is RouteKind.BISQUE]
    judged = [(route, judge_in(catalogue, ware, route)) for route in bisques]
    return tuple((route, verdict) for route, verdict in judged if verdict.level > Level.NOTE)


def _kilns_for(route: Route, catalogue: Catalogue) -> str:
    """The kilns in use that fire this way, in words."""
    kilns = [kiln.name for kiln in catalogue.kilns.values() if kiln.serves(route) and not kiln.retired]
    return f"in {listed(kilns)}" if kilns else "no kiln here fires it now"


def _would_open(piece: Piece, route: Route, catalogue: Catalogue) -> tuple[Opening, ...]:
    """What to change about the piece for this way; the other ways stand beside it on the page."""
    found = (one for one in suggestions(piece, route, catalogue) if one.route.name == route.name)
    return tuple(Opening(said(one.message), _where_made(piece, one)) for one in found)


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


def _way(route: Route, verdict: Verdict, leaves: Collection[Approval], stage: Stage | None) -> Way:
    settled = Verdict(tuple(sorted((_settled(one, route, leaves) for one in verdict.findings), key=_worst_first)))
    fits = stage in _OPEN_TO_A_QUEUE and (stage is Stage.GLAZED or not route.takes_glaze)
    return Way(
        route=route.name,
        name=route.title,
        cone=route.cone.label,
        verdict=settled.word,
        findings=_worth_saying(settled),
        warnings=settled.of(Level.WARN),
        asks=settled.of(Level.ASK),
        is_open=fits and settled.level < Level.ASK,
        is_outdoors=route.is_outdoors,
    )


def _worth_saying(verdict: Verdict) -> tuple[Finding, ...]:
    """What a reader needs: of a way that is closed only what closes it, and of a note only that it is so."""
    if never := verdict.of(Level.REFUSE):
        return never
    return tuple(
        one if one.level is not Level.NOTE or one.remedy == _ALLOWED else replace(one, remedy=None, source="")
        for one in verdict.findings
    )


def _settled(finding: Finding, route: Route, leaves: Collection[Approval]) -> Finding:
    """The same finding, as a note once the instructor has given leave."""
    if finding.level is not Level.ASK or Approval(route.name, finding.message) not in leaves:
        return finding
    return replace(finding, level=Level.NOTE, remedy=_ALLOWED)


def _worst_first(finding: Finding) -> int:
    return -finding.level


# ---- food ------------------------------------------------------------------------------------------------------


def food_standing_of(glaze: Glaze, catalogue: Catalogue) -> str:
    """What is known of a glaze and food, in words that promise nothing."""
    return said(glaze_standing(glaze, catalogue.practice.regime))


def food_words(piece: Piece, catalogue: Catalogue, fired: str | None = None) -> tuple[str, tuple[str, ...]]:
    """What may be said of a piece and food: one sentence, and what it rests on.

    `fired` is the name of the route on which it was fired, where that is known.
    """
    answer = food_standing(piece, catalogue.routes.get(fired or piece.route or ""), catalogue.practice)
    return said(answer.message), tuple(map(said, answer.reasons))


# ---- what became of it -----------------------------------------------------------------------------------------


def passed_stages(history: Sequence[HistoryRow]) -> frozenset[str]:
    """The stages a piece has gone through since it last went back to an earlier one."""
    passed: list[Stage] = []
    for line in history:
        if line.to in LINE:
            here = LINE.index(line.to)
            passed = [stage for stage in passed if LINE.index(stage) < here] + [line.to]
    return frozenset(map(str, passed))


def loss_of(page: PiecePage) -> str:
    """Why a lost piece is lost, in a word or a few; empty for a piece that is not."""
    if page.piece.stage is not Stage.LOST:
        return ""
    causes = [line.reason for line in page.history if line.step is StepName.LOSE]
    return causes[-1] if causes and causes[-1] else "lost"


def history_for_page(page: PiecePage, catalogue: Catalogue, moment: Callable[[datetime], str]) -> list[dict[str, str]]:
    """The history as the macro `history` shows it, newest first; `moment` says a time in the studio's zone."""
    return [
        {
            "when": moment(line.at),
            "iso": line.at.isoformat(),
            "who": line.by,
            "what": _step_in_words(line, catalogue),
            "note": _note_of(line),
        }
        for line in reversed(page.history)
    ]


def _step_in_words(line: HistoryRow, catalogue: Catalogue) -> str:
    route = catalogue.routes.get(line.route or "")
    title = route.title if route else line.route or ""
    kiln = f" in {line.kiln}, firing {line.firing_id}" if line.kiln else ""
    coat = catalogue.glazes.get(line.reason.rpartition(", ")[0]) if line.step is StepName.GLAZE else None
    if coat is not None and coat.burns_away:
        return _waxed(line, title, kiln)
    return _IN_WORDS[line.step](line, title, kiln)


def _registered(line: HistoryRow, _title: str, _kiln: str) -> str:
    return "Registered" if line.to is Stage.GREENWARE else "Registered, already bisqued; the code was issued"


def _glazed(line: HistoryRow, _title: str, _kiln: str) -> str:
    glaze, _, zone = line.reason.rpartition(", ")
    return f"Glazed with {glaze} on the {zone}" if glaze else "Glazed"


def _waxed(line: HistoryRow, _title: str, _kiln: str) -> str:
    wax, _, zone = line.reason.rpartition(", ")
    return f"Waxed with {wax} on the {zone}" if wax else "Foot waxed"


_IN_WORDS: dict[StepName, Callable[[HistoryRow, str, str], str]] = {
    StepName.REGISTER: _registered,
    StepName.BISQUE: lambda _line, _title, kiln: f"Bisqued{kiln}; the code was issued",
    StepName.WAX: _waxed,
    StepName.GLAZE: _glazed,
    StepName.SHELVE: lambda line, _title, _kiln: "Put on a shelf" if line.place else "Taken off its noted shelf",
    StepName.SET_RIGHT: lambda line, _title, _kiln: f"Set right: {line.reason}",
    StepName.QUEUE: lambda _line, title, _kiln: f"Put in the queue for {title}",
    StepName.PULL_BACK: lambda line, title, _kiln: f"Pulled back from {title}, {line.to} again",
    StepName.ACCEPT: lambda _line, title, kiln: f"Taken into {title} with care{kiln}",
    StepName.FIRE: lambda line, title, kiln: f"Fired, {title}{kiln}: {line.outcome}",
    StepName.CLAIM: lambda line, _title, _kiln: f"Handed over, {line.reason}" if line.reason else "Handed over",
    StepName.WASH_OFF: lambda _line, _title, _kiln: "Washed off, bisqued again",
    StepName.FIRE_AGAIN: lambda _line, _title, _kiln: "Sent back to be fired again",
    StepName.LOSE: lambda line, _title, _kiln: f"Lost: {line.reason}",
    StepName.FIND: lambda line, _title, _kiln: f"Found, {line.to} again",
    StepName.CORRECT: lambda line, _title, _kiln: f"Corrected from {line.start} to {line.to}",
}
"""Each step as the history says it, from its line, the title of its route and where it was fired."""


def _accepted_on(line: HistoryRow) -> list[str]:
    """What was accepted by name in this step, and what else stood in the verdict that it was shown on."""
    if not line.accepted:
        return []
    accepted = [f"Accepted: {said(one.message)}" for one in line.findings if one.rule in line.accepted]
    others = [one for one in line.findings if one.rule not in line.accepted]
    also = [f"Also shown ({_LEVEL_WORDS[one.level]}): {said(one.message)}" for one in others]
    return [*accepted, *also]


_LEVEL_WORDS = {
    Level.NOTE: "note",
    Level.WARN: "accepted before",
    Level.ASK: "the instructor allowed it",
    Level.REFUSE: "never",
}


def _note_of(line: HistoryRow) -> str:
    notes = _accepted_on(line)
    if line.undoes is not None:
        notes.append("Took a slip back.")
    elif line.reason and line.step in {StepName.CORRECT, StepName.FIRE_AGAIN}:
        notes.append(f"Because: {line.reason}")
    if line.step is StepName.BISQUE and line.outcome and line.outcome != "good":
        notes.append(f"It came out {line.outcome}.")
    if line.place:
        notes.append(f"At {line.place}.")
    return " ".join(notes)
