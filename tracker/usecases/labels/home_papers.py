"""What goes home with a piece on paper: its care card, the pickup slip, the stick-on for ware not for food."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from printing.labels.home_papers import (
    CareCard,
    CareWords,
    PickupSlip,
    SlipLine,
    SlipWords,
    StickOn,
    care_card,
    pickup_slips,
    stick_on,
)
from printing.labels.label_parts import Label
from printing.labels.stock import Stock
from tracker.domain.message import Choice, Message, _
from tracker.domain.outdoor.pull_heats import with_heat
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.layers_told import layers_told
from tracker.domain.pieces.outcomes import SHARP
from tracker.domain.pieces.piece import Piece, Stage, StepName
from tracker.domain.quantities import mm
from tracker.domain.refusals import Unusable
from tracker.domain.rules.engine import judge
from tracker.domain.rules.food import SHEET_ELSEWHERE
from tracker.domain.rules.food_standing import FoodAnswer, FoodWord, firing_of, food_of, last_fire, what_was_tested
from tracker.domain.rules.food_surface import LAYERED_FOR_FOOD, OVERFIRED, UNLINED
from tracker.domain.rules.kiln import NO_LINER
from tracker.domain.rules.porous import STAYS_POROUS
from tracker.domain.studio.catalog import Catalog, Studio
from tracker.domain.studio.cautions import food_on
from tracker.domain.studio.food_warning import warning_words
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.materials import NON_VITREOUS_PCT, Coat
from tracker.domain.studio.settings import Practice
from tracker.store.pieces.queries import PiecePage
from tracker.wording.reader import Reader
from tracker.wording.render import listed, say, say_all

CARD_CAUTION = food_on("card")
TICKET_CAUTION = food_on("ticket")

CONSPICUOUS = mm(3.2, 1)
"""How high its letters are at least (21 CFR 109.16, from memory)."""

FIRST = {
    FoodWord.DECORATIVE: Message("card-decorative", _("Decorative, not for food or drink")),
    FoodWord.FLAWED: Message("card-decorative", _("Decorative, not for food or drink")),
    FoodWord.STILL_TO_COME: Message("card-to-come", _("Not for food or drink: not glaze-fired yet")),
    FoodWord.NOT_FOR_FOOD: Message("card-not-for-food", _("Not for food or drink")),
    FoodWord.NOT_SHOWN: Message("card-not-shown", _("Not shown to be food-safe")),
    FoodWord.NOTHING_AGAINST: Message("card-tested", _("Functional: what was tested, and what was not")),
}
WHY = {
    FoodWord.DECORATIVE: Message("label-decorative", _("Decorative piece.")),
    FoodWord.FLAWED: Message("label-flawed", _("It has a flaw from its firing.")),
    FoodWord.STILL_TO_COME: Message("label-to-come", _("It isn't glaze-fired yet.")),
    FoodWord.NOT_FOR_FOOD: Message("label-refused", _("It breaks a food-safety rule.")),
}
_EVENLY = Message("keep-evenly", _("Avoid sudden heat and cold."))
_GENTLY = (Message("wash-by-hand", _("Wash it by hand.")), _EVENLY)
_TABLEWARE = (
    Message("warm-slowly", _("Warm it up slowly. Avoid sudden heat and cold.")),
    Message("wash-by-hand-first", _("Wash it by hand until you know that its glaze survives the dishwasher.")),
    Message("chipped-no-longer", _("Stop using it for food once it's chipped or crazed.")),
)
_SHARP = Message("sharp-edges", _("Sharp glaze cuts. Have it ground off, in goggles and a respirator."))
_NEVER_HEATED = Message(
    "never-heated", _("Never put it in a microwave, in an oven or on a stove: porous clay gets burning hot.")
)
_SMOKED = (
    Message("dust-smoked", _("It won't hold water, and damp will stain it. Dust it with a dry cloth.")),
    _NEVER_HEATED,
    _EVENLY,
)
_SEEPS = Message("water-seeps-through", _("Its clay is porous. Don't leave water in it."))
_MAY_SEEP = Message("water-may-seep", _("Its clay hasn't been measured and may be porous. Don't leave water in it."))
_POROUS = Message("keep-smoked-dry", _("It's porous: keep it dry."))
"""Said with what the card says first, since small stock leaves out how to keep it."""
_NO_MICROWAVE = Message("no-microwave", _("Never put it in a microwave: metal in its overglaze sparks."))
NAMELESS = Message("maker-see-page", _("maker: see page"))
UNREADABLE = Message("see-its-page", _("see its page"))


def needs_a_warning(page: PiecePage, studio: Studio) -> bool:
    """Whether a piece goes home with the mark for ware not for food."""
    return food_answer(page, studio).word.is_warned_of


def mark_of(page: PiecePage, studio: Studio, reader: Reader) -> str:
    """What a list says first of a piece and food; nothing of one against which nothing is known."""
    word = food_answer(page, studio).word
    return "" if word is FoodWord.NOTHING_AGAINST else say(FIRST[word], reader)


def card_of(page: PiecePage, studio: Studio, reader: Reader, line: str = "") -> Label:
    """The care card of a piece; `line` is the studio's own, said at its foot."""
    piece = page.piece
    catalog = studio.catalog
    route, kiln = firing_of(piece, catalog, last_fire(reversed(page.history)))
    answer = food_answer(page, studio)
    is_warned = answer.word.is_warned_of
    regime = catalog.practice.regime
    tested, untested = what_was_tested(piece, route, catalog.practice, kiln) if piece.holds_food else ((), ())
    together = tuple(one for one in answer.reasons if one.code == LAYERED_FOR_FOOD and piece.holds_food)
    return care_card(
        CareCard(
            first=say(warning_words(regime) if is_warned else FIRST[answer.word], reader),
            is_warning=is_warned,
            says=_says(piece, answer, reader, is_smoked=route is not None and route.needs_yard),
            code=piece.ref,
            whose=beside([piece.what, page.row.maker], reader),
            made_of=say(_made_of(page, catalog), reader),
            said=care_words(reader),
            tested=_each(tested, reader),
            untested=_each((*together, *untested), reader),
            care=_each((*_sharp(piece), *_care(piece, route, catalog.practice, is_warned=is_warned)), reader),
            base=say(base_mark(piece.ref, regime, may_change=answer.may_change), reader) if is_warned else "",
            caution=say(CARD_CAUTION, reader),
            studio=beside([line, studio.name], reader),
        )
    )


def care_words(reader: Reader) -> CareWords:
    """The headings of a care card, and what stands there for what cannot be printed."""
    return CareWords(
        tested=say(Message("head-tested", _("Tested")), reader),
        untested=say(Message("head-not-tested", _("Not tested")), reader),
        care=say(Message("head-care", _("Care")), reader),
        nameless=say(NAMELESS, reader),
        made_of=say(Message("made-of-see-page", _("clay and glaze: see its page")), reader),
        unreadable=say(UNREADABLE, reader),
    )


def beside(texts: Iterable[str], reader: Reader) -> str:
    """What is known of these side by side: "lidded jar, Mira T."."""
    known = [text.strip() for text in texts if text.strip()]
    return listed(known, reader, style="unit") if known else ""


def base_mark(ref: str, regime: Regime, *, may_change: bool = False) -> Message:
    """What to write on the base of ware not for food, and how it lasts; the code is there already (21 CFR 109.16).

    A piece that a firing to come `may_change` keeps its label until then, and gets no hole.
    """
    told = {"may_change": "yes" if may_change else "no", "words": warning_words(regime)}
    return Message("mark-on-the-base", Choice("may_change", _BASE), height=CONSPICUOUS, ref=ref, **told)


_BASE = {
    "no": _(
        "Mark the base permanently beside {ref}: “{words}”. Fire it on or engrave it. "
        "Make the letters at least {height} high. Or drill a hole through its food surface, if it has one. "
        "Engrave and drill wet, in goggles and a respirator."
    ),
    "yes": _(
        "Keep its not-for-food label on until a later firing comes out well. If it's never fired again, "
        "mark the base permanently beside {ref}: “{words}”. Fire it on or engrave it. "
        "Make the letters at least {height} high. Engrave wet, in goggles and a respirator."
    ),
}


def stick_on_of(page: PiecePage, studio: Studio, reader: Reader) -> Label:
    """The stick-on of a piece that is not for food; `Unusable` for one that may be."""
    piece = page.piece
    answer = food_answer(page, studio)
    if not answer.word.is_warned_of:
        remedy = _("Print its care card, which says what was tested and what was not.")
        raise Unusable([meant_for_food(piece.ref)], Message("print-its-card", remedy))
    return sticker(answer.word, beside([piece.ref, studio.name], reader), studio.catalog.practice.regime, reader)


def meant_for_food(ref: str) -> Message:
    """Why a piece gets no label that warns of it."""
    return Message("meant-for-food", _("{ref} is functional. Nothing on record rules it out for food."), ref=ref)


def sticker(word: FoodWord, code: str, regime: Regime, reader: Reader) -> Label:
    """The stick-on of a piece of which that is known, with the words of that regime."""
    return stick_on(StickOn(warning=say(warning_words(regime), reader), why=say(WHY[word], reader), code=code))


def slips_of(
    pages: Sequence[PiecePage], studio: Studio, stock: Stock, reader: Reader, *, at: datetime, dpi: int | None = None
) -> tuple[Label, ...]:
    """The pickup slips for these pieces, one maker after another."""
    slips: list[Label] = []
    for maker in dict.fromkeys(page.maker for page in pages):
        lines = tuple(_line(page, studio, reader) for page in pages if page.maker == maker)
        slips += pickup_slips(slip_of(maker.name, lines, studio, reader, at=at), stock, dpi)
    return tuple(slips)


def day_and_studio(at: datetime, studio: Studio, reader: Reader) -> Message:
    """When paper was printed, by the reader's calendar, and by whom."""
    return Message("day-and-studio", "{day}, {studio}", day=at.astimezone(reader.zone).date(), studio=studio.name)


def slip_of(maker: str, lines: tuple[SlipLine, ...], studio: Studio, reader: Reader, *, at: datetime) -> PickupSlip:
    """One maker's slip of a day."""
    when = day_and_studio(at, studio, reader)
    return PickupSlip(
        maker=maker, when=say(when, reader), lines=lines, said=_slip_words(reader), caution=say(TICKET_CAUTION, reader)
    )


def _slip_words(reader: Reader) -> SlipWords:
    numbered = Message("pickup-of", _("Pickup, {number} of {count}"), number="{number}", count="{count}")
    return SlipWords(
        title=say(Message("pickup", _("Pickup")), reader),
        numbered=say(numbered, reader),
        taken_by=say(Message("taken-by", _("Picked up by")), reader),
        date=say(Message("date", _("Date")), reader),
        nameless=say(NAMELESS, reader),
        unreadable=say(UNREADABLE, reader),
    )


# ---- the words -------------------------------------------------------------------------------------------------------


def _each(messages: Iterable[Message], reader: Reader) -> tuple[str, ...]:
    return tuple(say(message, reader) for message in messages)


def _line(page: PiecePage, studio: Studio, reader: Reader) -> SlipLine:
    answer = food_answer(page, studio)
    warning = None if answer.word is FoodWord.NOTHING_AGAINST else FIRST[answer.word]
    return SlipLine(code=page.piece.ref, what=page.piece.what, warning=say(warning, reader))


def food_answer(page: PiecePage, studio: Studio) -> FoodAnswer:
    """What may be said of a piece and food, after the firing that it had last."""
    return food_of(page.piece, studio.catalog, last_fire(reversed(page.history)))


def _says(piece: Piece, answer: FoodAnswer, reader: Reader, *, is_smoked: bool) -> str:
    """What is known of a piece and food, and of metal on it; with the reasons where something keeps it from food.

    Else with those alone that the lists of what was tested and what was not leave out.
    """
    keeps_it_from_food = answer.word in {FoodWord.NOT_FOR_FOOD, FoodWord.FLAWED}
    reasons = [one for one in answer.reasons if keeps_it_from_food or one.code in _NOT_OF_TESTS]
    has_metal = any(layer.glaze.coat is Coat.OVERGLAZE for layer in piece.layers)
    kept = [*([_NO_MICROWAVE] if has_metal else []), *([_POROUS] if is_smoked else [])]
    return say_all([answer.message, *reasons, *kept], reader)


_NOT_OF_TESTS = frozenset({NO_LINER, OVERFIRED, SHEET_ELSEWHERE, UNLINED})
"""The rules about food that ask for no test."""


def _made_of(page: PiecePage, catalog: Catalog) -> Message:
    piece = page.piece
    fired = _fired(page, catalog) if piece.stage in {Stage.FIRED, Stage.CLAIMED} else None
    return Message(
        "made-of",
        Choice("told", _MADE_OF),
        told=f"{'fired' if fired else 'raw'}, {'coded' if piece.code else 'uncoded'}",
        clay=piece.clay.name,
        glazes=_glazes_on(piece, was_fired=fired is not None),
        fired=fired,
        ticket=slip_text(piece.id),
    )


_MADE_OF = {
    "fired, coded": _("{clay}; {glazes}; fired {fired}; ticket {ticket}"),
    "fired, uncoded": _("{clay}; {glazes}; fired {fired}"),
    "raw, coded": _("{clay}; {glazes}; ticket {ticket}"),
    "raw, uncoded": _("{clay}; {glazes}"),
}


def _fired(page: PiecePage, catalog: Catalog) -> Message | None:
    """Its last firing, to that firing's own heat; before an overglaze firing the one that melted its glaze."""
    routes: list[Route] = []
    for line in page.history:
        route = catalog.routes.get(line.route or "")
        if line.step is StepName.FIRE and route is not None:
            routes.append(route if line.firing_target is None else route.at(line.firing_target))
    if not routes:
        return None
    last = with_heat(routes[-1], catalog.practice.outdoors)
    melted = [route for route in routes if route.kind is not RouteKind.OVERGLAZE]
    if routes[-1].kind is not RouteKind.OVERGLAZE or not melted:
        return last
    first = with_heat(melted[-1], catalog.practice.outdoors)
    return Message("fired-then", _("{first}, then {last}"), first=first, last=last)


def _glazes_on(piece: Piece, *, was_fired: bool) -> Message:
    """Its coats from the uppermost down, with their zones where these differ; nothing is left of wax once fired."""
    on = layers_told(layer for layer in piece.layers if not (was_fired and layer.glaze.burns_away))
    return Message("unglazed", _("unglazed")) if on is None else on


def _sharp(piece: Piece) -> tuple[Message, ...]:
    """What to do first with glaze that ran, stuck or blistered: it cuts (common practice)."""
    return () if SHARP.isdisjoint(piece.flaws) else (_SHARP,)


def _care(piece: Piece, route: Route | None, practice: Practice, *, is_warned: bool) -> tuple[Message, ...]:
    if route is not None and route.needs_yard:
        return _SMOKED
    if route is not None and any(one.rule == STAYS_POROUS for one in judge(piece, route, practice).findings):
        return (_SEEPS, _NEVER_HEATED, *_GENTLY)
    if route is not None and not piece.clay.is_known_within(piece.fired_to or route.cone, NON_VITREOUS_PCT):
        return (_MAY_SEEP, _NEVER_HEATED, *_GENTLY)
    return _GENTLY if is_warned or not piece.holds_food else _TABLEWARE
