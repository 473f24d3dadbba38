"""What goes home with a piece on paper: its care card, the pickup slip, the stick-on for ware not for food."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from printing.labels.home_papers import (
    NOT_FOR_FOOD,
    CareCard,
    PickupSlip,
    SlipLine,
    StickOn,
    care_card,
    pickup_slips,
    stick_on,
)
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.piece import StepName, Use
from tracker.domain.refusals import Unusable
from tracker.domain.rules.food_standing import FoodWord, food_standing, what_was_tested
from tracker.wording.render import say, say_all

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from printing.labels.label_parts import Label
    from printing.labels.stock import Stock
    from tracker.domain.pieces.piece import Piece
    from tracker.domain.rules.food_standing import FoodAnswer
    from tracker.domain.studio.catalog import Studio
    from tracker.domain.studio.kilns import Route
    from tracker.store.pieces.queries import PiecePage

CAUTION = "A laboratory test, not this card, says whether ware is fit for food; your food authority's rules come first."

BASE_WORDS = NOT_FOR_FOOD.upper()
"""What the base of ware not for food says for good."""

_FIRST = {
    FoodWord.DECORATIVE: "Decorative, not for food or drink",
    FoodWord.STILL_TO_COME: "Not for food or drink: not glaze-fired yet",
    FoodWord.NOT_FOR_FOOD: NOT_FOR_FOOD,
    FoodWord.NOT_SHOWN: "Not shown to be fit for food",
    FoodWord.TESTED_GLAZES: "Meant for food: what was tested, and what was not",
}
_WHY = {
    FoodWord.DECORATIVE: "Decorative ware.",
    FoodWord.STILL_TO_COME: "It is not glaze-fired yet.",
    FoodWord.NOT_FOR_FOOD: "The rules for food refuse it.",
}
_GENTLY = ("Wash it by hand.", "Keep it out of sudden heat and cold.")
_TABLEWARE = (
    "Warm it up slowly, and keep it out of sudden heat and cold.",
    "Wash it by hand until you know how its glaze takes a machine.",
    "Once it is chipped or crazed it goes no longer with food.",
)
_SMOKED = "Fired outdoors it stays porous: it holds no water, and damp marks it. Dust it with a dry cloth."


def needs_a_warning(page: PiecePage, studio: Studio) -> bool:
    """Whether a piece goes home with the mark for ware not for food."""
    return _answer(page, studio).word in _WHY


def route_of_last_fire(page: PiecePage) -> str | None:
    """The route of a piece's last glaze firing, or None where it had none."""
    return next((line.route for line in reversed(page.history) if line.step is StepName.FIRE), None)


def card_of(page: PiecePage, studio: Studio, line: str = "") -> Label:
    """The care card of a piece; `line` is the studio's own, said at its foot."""
    piece = page.piece
    route = _route(page, studio)
    answer = _answer(page, studio)
    is_warned = answer.word in _WHY
    tested, untested = ((), ()) if piece.use is not Use.FOOD else _tested(piece, studio, route)
    return care_card(
        CareCard(
            first=_FIRST[answer.word],
            is_warning=is_warned,
            says=_says(answer),
            code=piece.ref,
            what=piece.what,
            maker=page.row.maker,
            made_of=_made_of(piece, route),
            tested=tested,
            untested=untested,
            care=_care(piece, route, is_warned=is_warned),
            base=base_mark(piece) if is_warned else "",
            caution=CAUTION,
            studio=studio.name,
            line=line,
        )
    )


def base_mark(piece: Piece) -> str:
    """What to write on the base of ware not for food, and how it lasts; the code is there already (21 CFR 109.16)."""
    return (
        f"“{BASE_WORDS}” in letters at least 3.2 mm high, fired on or cut in beside {piece.ref}; "
        "a hole through it does the same."
    )


def stick_on_of(page: PiecePage, studio: Studio) -> Label:
    """The stick-on of a piece that is not for food; `Unusable` for one that may be."""
    piece = page.piece
    answer = _answer(page, studio)
    if answer.word not in _WHY:
        raise Unusable(
            [f"{piece.ref} is meant for food, and nothing on record says that it is not fit for it."],
            "Print its care card, which says what was tested and what was not.",
        )
    return stick_on(StickOn(why=_WHY[answer.word], code=piece.ref, studio=studio.name))


def slips_of(
    pages: Sequence[PiecePage], studio: Studio, stock: Stock, *, at: datetime, dpi: int | None = None
) -> tuple[Label, ...]:
    """The pickup slips for these pieces, one maker after another."""
    day = at.astimezone(ZoneInfo(studio.timezone))
    slips: list[Label] = []
    for maker in dict.fromkeys(page.maker for page in pages):
        theirs = [page for page in pages if page.maker == maker]
        slip = PickupSlip(
            maker=maker.name,
            day=f"{day.day} {day:%B} {day.year}",
            lines=tuple(_line(page, studio) for page in theirs),
            caution=CAUTION.replace("card", "slip"),
            studio=studio.name,
        )
        slips += pickup_slips(slip, stock, dpi)
    return tuple(slips)


# ---- the words -------------------------------------------------------------------------------------------------------


def _line(page: PiecePage, studio: Studio) -> SlipLine:
    answer = _answer(page, studio)
    warning = "" if answer.word is FoodWord.TESTED_GLAZES else _FIRST[answer.word]
    return SlipLine(code=page.piece.ref, what=page.piece.what, warning=warning)


def _route(page: PiecePage, studio: Studio) -> Route | None:
    return studio.catalogue.routes.get(route_of_last_fire(page) or page.piece.route or "")


def _answer(page: PiecePage, studio: Studio) -> FoodAnswer:
    return food_standing(page.piece, _route(page, studio), studio.catalogue.practice)


def _tested(piece: Piece, studio: Studio, route: Route | None) -> tuple[tuple[str, ...], tuple[str, ...]]:
    tested, untested = what_was_tested(piece, route, studio.catalogue.practice)
    return tuple(map(say, tested)), tuple(map(say, untested))


def _says(answer: FoodAnswer) -> str:
    """The sentence of the answer, with the reasons where food rules refuse the piece; decorative ware has said all."""
    if answer.word is FoodWord.DECORATIVE:
        return ""
    return say_all([answer.message, *(answer.reasons if answer.word is FoodWord.NOT_FOR_FOOD else ())])


def _made_of(piece: Piece, route: Route | None) -> str:
    glazes = " over ".join(reversed(list(dict.fromkeys(piece.worn_names)))) or "unglazed"
    fired = "" if route is None or piece.fired_to is None else f"; fired {route.title.lower()}, {route.cone.label}"
    slip = f"; slip {slip_text(piece.id)}" if piece.code else ""
    return f"{piece.clay.name}; {glazes}{fired}{slip}"


def _care(piece: Piece, route: Route | None, *, is_warned: bool) -> tuple[str, ...]:
    if route is not None and route.is_outdoors:
        return (_SMOKED, "Keep it out of sudden heat and cold.")
    return _GENTLY if is_warned or piece.use is not Use.FOOD else _TABLEWARE
