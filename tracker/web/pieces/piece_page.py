"""The page of one piece, put together: what to do, where it is and when, then all else that is known of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from typing import Any

from flask import current_app, g, render_template, request

from tracker.domain.firing.outlooks import STILL_TO_FIRE, Behind, Hot, Next, Outlook, Planned, Where
from tracker.domain.message import Message, _, together
from tracker.domain.pieces.layers_off import way_off
from tracker.domain.pieces.outcomes import OF_BISQUE_HEAT, came_out, in_order
from tracker.domain.pieces.piece import STAYS, STEPS, Piece, Stage, StepName
from tracker.domain.refusals import Refusal
from tracker.domain.rules.food_prospects import never_for_food
from tracker.domain.rules.food_standing import last_fire
from tracker.domain.rules.reglazing import told_before_glazing
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.materials import ClayKind
from tracker.domain.studio.people import Right
from tracker.forms.page_forms import BadForm
from tracker.store.pieces.queries import PiecePage, PieceRow
from tracker.store.queries import Queries
from tracker.usecases.labels.home_papers import needs_a_warning
from tracker.usecases.pieces.actions import (
    CAN_BE_FIRED,
    earlier_stages,
    first_open,
    first_to_ask,
    loaded_now,
    main_action,
    may_shelve_first,
    steps_for,
)
from tracker.usecases.pieces.flaws_on_record import seen_outside
from tracker.usecases.pieces.outlooks import is_unsafe, outlook_of, outlooks_of
from tracker.usecases.pieces.registrations import can_cancel
from tracker.usecases.pieces.sets import mate_stands
from tracker.usecases.pieces.sets_apart import fires_apart, left_in_the_old_clay
from tracker.usecases.pieces.turns import allowed_by, declined_by, loss_of, passed_stages, told_lately
from tracker.usecases.pieces.undoing import to_put_back
from tracker.usecases.pieces.ways import Way, ways_for
from tracker.usecases.pieces.ways_out import with_open_ways
from tracker.usecases.rules.questions import may_withdraw
from tracker.web import piece_presenters as telling
from tracker.web.auth import house
from tracker.web.labels.printer import printed_on
from tracker.web.pieces.details_pages import about_clay, known_of, to_decorative
from tracker.web.pieces.flaw_pages import OUTSIDE
from tracker.web.pieces.glazing_presenters import layers_shown
from tracker.web.pieces.photo_presenters import album_shown
from tracker.web.wording import reader, said, said_refusal
from tracker.wording import outlooks as wording


def piece_page(row: PieceRow, refusal: Refusal | None = None) -> str:
    """One piece as it is now; `refusal` is what stood against what was just asked for."""
    read, now = house().store.read, house().clock()
    page, catalog = read.pieces.page(row.piece.id), read.catalog()
    pot, by, outlook = page.piece, g.person, outlook_of(read, page.row, now)
    can = steps_for(pot, by, in_kiln=(row.firing_id, row.leaving_id) != (None, None))
    if outlook.next in {Next.SHARDS, Next.TWICE}:
        # What broke in a kiln is found only by its corrected result, and what was registered twice is there.
        can -= {StepName.FIND}
    # A closed form bursts in every kiln: until it has its hole, no firing is listed beside that.
    is_to_fire = pot.stage in CAN_BE_FIRED and row.firing_id is None and outlook.next is not Next.VENT
    ways = ways_for(pot.at(now), catalog, page.leaves, page.questions) if is_to_fire else ()
    is_tagged = page.times_printed > 0
    taken_back = read.questions.taken_back(pot.id)
    loading = loaded_now(read, page.row) if by.may(Right.FIRE) else None
    main = main_action(pot, outlook, can, by, ways=ways, is_tagged=is_tagged, is_loaded_now=loading is not None)
    return render_template(
        "pieces/piece.html",
        row=page.row,
        piece=pot,
        maker=page.maker,
        is_mine=pot.maker_id == by.id,
        line=telling.build_and_size(pot),
        foot=telling.foot_in_words(pot),
        answer=_answer(outlook, is_mine=pot.maker_id == by.id) | {"wrong": _wrong(page, catalog, outlook)},
        main=main,
        put_back=to_put_back(read, pot.id, by, now),
        loading=loading,
        may_shelve=loading is None and may_shelve_first(page.row, by),
        can_cancel=StepName.LOSE in can and can_cancel(read, pot, by),
        may_give=by.may(Right.EDIT) and pot.stage in STEPS[StepName.GIVE].start,
        has_result=by.may(Right.FIRE) and read.firings.last_result(pot.id) is not None,
        is_glazing_offered=StepName.DECORATE in can or StepName.GLAZE in can,
        may_print=bool(pot.code or is_tagged),
        is_printed=is_tagged,
        printed_on=printed_on("tags") if pot.stage in STILL_TO_FIRE | {Stage.FIRED} and not is_tagged else None,
        **_stages(page),
        **_ways(page, ways, can),
        coats=layers_shown(pot),
        way_off=str(way_off(pot)),
        mates=_mates(page, read),
        other_clay=_other_clay(page),
        album=album_shown(page.row),
        questions=page.questions,
        own_questions=[
            one.id
            for one in page.questions
            if may_withdraw(one, by) and one.id not in {was.question_id for was in taken_back}
        ],
        withdrawn=read.questions.withdrawn(pot.id),
        taken_back=taken_back,
        allowed=allowed_by(page),
        told=told_lately(page.questions, house().clock()),
        others_asked=read.questions.pinned(clays_named=[pot.clay.name], glazes_named=list(pot.worn_names)),
        route_titles={route.name: route.title for route in catalog.routes.values()},
        history=telling.history_for_page(page, catalog, current_app.jinja_env.filters["moment"]),
        **_food(page),
        made_for=_made_for(pot, catalog),
        can=frozenset(map(str, can)),
        to_decorative=to_decorative(pot, catalog) if StepName.SET_RIGHT in can else {},
        about_clay=about_clay(page.row, catalog),
        earlier=[(stage, stage) for stage in earlier_stages(pot)],
        opened=catalog.kiln(row.kiln) if isinstance(outlook.when, Hot) else None,
        notices=[("stop", said_refusal(with_open_ways(read, refusal, pot, now)))] if refusal else [],
        asks=_asks(pot),
        problems=refusal.fields if isinstance(refusal, BadForm) else {},
        typed=request.form,
    )


def _made_for(pot: Piece, catalog: Catalog) -> Message:
    """What a piece may be used for: a flaw makes it decorative, and what is known now may refuse it for food."""
    if not pot.holds_food:
        return Message("is-decorative", _("Decorative"))
    if is_unsafe(pot, catalog):
        return Message("is-not-for-food", _("Not for food or drink"))
    return Message("is-functional", _("Functional"))


def _answer(outlook: Outlook, *, is_mine: bool) -> dict[str, Any]:
    """What to do now, where it is and when, and where that is done."""
    firing = outlook.when.firing if isinstance(outlook.when, Planned | Hot) else None
    without = outlook.when.without if isinstance(outlook.when, Behind) else ()
    return {
        "next": outlook.next,
        "place": outlook.place,
        "do": wording.to_do(outlook, reader(), is_mine=is_mine),
        "where": wording.place(outlook, is_mine=is_mine),
        "is_placed": outlook.spot.where is not Where.UNKNOWN,
        "when": wording.when(outlook, reader()),
        "basis": wording.basis(outlook),
        "firing": firing or next(iter(without), None),
        "may_fire": g.person.may(Right.FIRE),
    }


_PULLED_STAYS_HOT = timedelta(hours=3)
"""For how long ware that was pulled hot isn't picked up with bare hands (common practice, on the careful side)."""


def _is_just_pulled(page: PiecePage) -> bool:
    """Whether it came out of a firing that is pulled hot, so lately that it may still be hot."""
    last = last_fire(reversed(page.history)).route
    route = house().store.read.catalog().routes.get(last or "")
    is_new = house().clock() - page.row.since < _PULLED_STAYS_HOT
    return page.piece.stage is Stage.FIRED and is_new and route is not None and route.is_pulled_hot


_SAYS_NEVER_FOR_FOOD = frozenset({Next.UNFIT, Next.IDENTIFY, Next.MEASURE})
"""What comes next where that says already that no firing makes a piece fit for food."""


def _wrong(page: PiecePage, catalog: Catalog, outlook: Outlook) -> tuple[Message, ...]:
    """What there is to know of the piece: what a hot kiln does to it, its flaws, where the rest of its set is.

    And that no firing takes it together with its set, or makes it fit for food, while it is still to be fired.
    """
    pot = page.piece
    caught = house().store.read.firings.caught(piece_id=pot.id) if pot.in_firing is not None else ()
    hot = [found.message for one in caught for found in one.findings]
    flaws = list(_flaws_told(pot))
    if outside := seen_outside(page.history, pot):
        flaws.append(Message("flaws-outside", OUTSIDE, flaws=came_out(outside)))
    if is_unsafe(pot, catalog):
        says, why = telling.food_words(pot, catalog, last_fire(reversed(page.history)))
        flaws.append(together([says, *why[:1]]))
    apart = [row for row in page.mates if row.piece.stage is not pot.stage]
    is_open = pot.stage in STILL_TO_FIRE and outlook.next not in _SAYS_NEVER_FOR_FOOD
    never = never_for_food(catalog, pot) if is_open else None
    more = (fires_apart(page, catalog), never)
    return (*hot, *flaws, *(mate_stands(row) for row in apart), *(one for one in more if one is not None))


def _flaws_told(pot: Piece) -> Iterator[Message]:
    """The flaws of a piece; of bisque that they are its bisque's, and what that does to glaze that isn't on it yet."""
    if not pot.is_bisque:
        if pot.flaws:
            yield Message("its-flaws", "{flaws:capital}.", flaws=came_out(in_order(pot.flaws)))
        return
    takes = None if pot.has_glaze else told_before_glazing(pot)
    # What it says of too little or too much heat isn't said twice.
    if flaws := [one for one in pot.flaws if takes is None or one not in OF_BISQUE_HEAT]:
        yield Message("flaws-of-its-bisque", _("Its bisque came out {flaws}."), flaws=came_out(flaws))
    if takes is not None:
        yield together([takes.message, takes.remedy])


def _asks(pot: Piece) -> str:
    """What the field for a question begins with, where a link says what it is about."""
    about = request.args.get("about")
    if about == "absorption":
        words = _("It's for food. What is the absorption of {clay}? ")
        return said(Message("asks-absorption", words, clay=pot.clay.name))
    if about != "clay":
        return ""
    if pot.clay.kind is ClayKind.UNKNOWN:
        return said(Message("asks-which-clay", _("Which clay is this? What I know about it: ")))
    return said(Message("asks-about-clay", _("Wrong clay? {clay} is on record. I think it is: "), clay=pot.clay.name))


def _stages(page: PiecePage) -> dict[str, Any]:
    """The stages a piece has gone through, with their days, and the one it is at or was lost at."""
    pot, passed = page.piece, passed_stages(page)
    day = current_app.jinja_env.filters["day"]
    # What brings a piece back where it was changes no date of its way.
    back = {line.id for line in page.history if line.undoes or line.step is StepName.FIND or "found" in line.facts}
    came = [line for line in page.history if str(line.to) in passed and line.step not in STAYS and line.id not in back]
    return {
        "now": (pot.came_from or Stage.GREENWARE) if pot.stage is Stage.LOST else pot.stage,
        "passed": passed,
        "lost": loss_of(page),
        "dates": {str(line.to): day(line.at) for line in came},
    }


def _ways(page: PiecePage, ways: Sequence[Way], can: frozenset[StepName]) -> dict[str, Any]:
    """The firings, those that take the piece or might apart from those that never do."""
    wish = page.row.wish.route if page.row.wish else ""
    going = page.piece.route or wish
    main_way, declined = first_open(ways, page.piece, can, wish), declined_by(page)
    shown = telling.ways_shown(ways, page.piece)
    return {
        "ways": [way for way in shown if way["verdict"] != "refuse"],
        "never": [way for way in shown if way["verdict"] == "refuse"],
        "ways_in_short": _in_short(page.piece, ways),
        "main_way": next((way for way in shown if way["route"] == main_way), None),
        # What isn't asked for yet may still go to any that takes it; what needs approval first is told there.
        "is_pulled": any(
            way.is_pulled_hot and (way.route == going if going else way.verdict not in {"ask", "refuse"})
            for way in ways
        )
        or _is_just_pulled(page),
        "way_to_ask": next((way for way in shown if way["route"] == first_to_ask(ways, page.questions)), None),
        "declined": declined,
        "asked_about": {question.route for question in page.questions if question.answered_at is None},
    }


def _in_short(piece: Piece, ways: Sequence[Way]) -> list[Message]:
    """The firings in one line: those that take the piece by name, the others counted; for what waits its own alone."""
    if piece.route is not None:
        return [Message("ways-queued", "{names}", names=tuple(way.name for way in ways if way.route == piece.route))]
    fine = tuple(way.name for way in ways if way.verdict in {"clear", "note", "warn"})
    asked = sum(way.verdict == "ask" for way in ways)
    never = sum(way.verdict == "refuse" for way in ways)
    return [
        *(Message("ways-clear", "{name}", name=name) for name in fine),
        *([Message("ways-to-ask", _("{count} to ask about"), count=asked)] if asked else []),
        *([Message("ways-never", _("{count} never"), count=never)] if never else []),
    ]


def _mates(page: PiecePage, read: Queries) -> list[dict[str, Any]]:
    """The other pieces of its set, as rows."""
    outlooks = outlooks_of(read, page.mates, house().clock())
    return [telling.row_for_list(mate, outlooks[mate.piece.id], g.person) for mate in page.mates]


def _other_clay(page: PiecePage) -> list[dict[str, Any]]:
    """The pieces of its set whose clay may be wrong as its own was, each with the form that corrects it too."""
    clay = page.piece.clay.name
    return [
        {
            "what": one.piece.what,
            "ref": one.ref,
            "seen": one.piece.version,
            "told": {**known_of(one.piece), "clay": clay},
        }
        for one in left_in_the_old_clay(page, g.person)
    ]


def _food(page: PiecePage) -> dict[str, Any]:
    """What may be said of the piece and food, and the papers that go home with it."""
    studio = house().store.read.studio()
    food, lines = telling.food_words(page.piece, studio.catalog, last_fire(reversed(page.history)))
    return {
        "food": food,
        "food_lines": lines,
        "goes_home": page.piece.stage in {Stage.FIRED, Stage.CLAIMED} and not page.piece.is_to_bag,
        "warned": needs_a_warning(page, studio),
    }
