"""What comes next for a piece, in words: what to do, where it is, when, and on what that rests."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.forecasts import Basis
from tracker.domain.firing.outlooks import Behind, Coming, Doer, FiringAhead, Hot, Next, Outlook, Planned, Where
from tracker.domain.message import Choice, Message, Plural, Template, _, together
from tracker.domain.pieces.wishes import off_its_cart
from tracker.domain.quantities import celsius
from tracker.domain.studio.people import Role
from tracker.wording.reader import Reader
from tracker.wording.render import short_day

# ---- what to do ------------------------------------------------------------------------------------------------------

_FOR_MAKER: Mapping[Next, Template] = {
    Next.TELL: _("Say whether it's open or closed. Then let it dry."),
    Next.VENT: _("Cut a hole while the clay is soft. Closed, it would burst in any firing."),
    Next.IDENTIFY: _("Ask the instructor which clay it is."),
    Next.MEASURE: _("Ask the instructor, or make it decorative. The absorption of its clay isn't known."),
    Next.UNFIT: _("Make it decorative, or ask the instructor. Its clay stays too porous for food."),
    Next.DRY: _("Let it dry. Staff load it when it's bone dry."),
    Next.FIRE_ONCE: _("Ask the instructor to approve firing it once, or take its glaze off."),
    Next.WAX: _("Glaze it. Wax or wipe the foot first."),
    Next.GLAZE: _("Glaze it."),
    Next.SAY_FIRING: _("Say where it should be fired."),
    Next.OTHER_FIRING: _("The instructor declined {firing}. Choose another firing."),
    Next.QUEUE: _("{shelf} Staff put it in the queue for {firing}."),
    Next.WAIT: _("Leave it on its shelf. It waits for {firing}, {heat}."),
    Next.LOAD: _("Staff are loading the kiln. It's in."),
    Next.ANSWER_IN_KILN: _("It's in the kiln. The instructor answers its question before the kiln is started."),
    Next.COOL: _("Leave the kiln shut. Staff open it."),
    Next.PULL: _("It's being fired outdoors. Stay behind the line."),
    Next.COME_OUT: _("A change made it unfit for this firing. Staff take it out of the kiln."),
    Next.ANSWER: _("Leave it on its shelf until the instructor answers."),
    Next.ASK: _("Ask the instructor: every firing needs their approval."),
    Next.NO_WAY: _("Change it. It can't go in any firing as it is."),
    Next.CHANGE: _("The instructor declined {firing}. Change the piece, or ask what would help."),
    Next.BAG: _("Don't touch it: slivers of its glaze cut. Staff bag it and throw it away. Ask them about it."),
    Next.SOFT: _(
        "Ask the instructor to fire it again. It waited for {firing}, {heat}, but was fired cooler and stayed soft."
    ),
    Next.FIRE_AGAIN: Choice(
        "bare",
        {
            "": _("Pick it up, or ask staff about another firing. It's {flaws}. Firing it again may fix that."),
            "bare": _(
                "Pick it up, or ask staff about another firing. It's {flaws}. Firing it again with glaze dabbed on its "
                "bare spots may fix that."
            ),
        },
    ),
    Next.PICK_UP: _("Pick it up. Staff hand it out."),
    Next.THROW_AWAY: _("Slivers of its glaze cut. Wear gloves and goggles. Bag it and throw it away."),
    Next.NO_FOOD: Choice(
        "why",
        {
            "flaws": _("Don't eat or drink from it. It came out {flaws}."),
            "": _("Don't eat or drink from it. It isn't safe for food."),
        },
    ),
    Next.DONE: _("Done. It left the studio."),
    Next.KEPT: _("Done. The studio has it. If you still want it, ask staff."),
    Next.FIND: _("We can't find it. If you have it, tap “I have it”."),
    Next.BROKE: _("It broke."),
    Next.DISCARDED: _("It was discarded."),
    Next.CANCELED: _("It was registered by mistake."),
    Next.TWICE: _("It was registered twice."),
    Next.SHARDS: _("It broke in the kiln. Ask staff for the shards."),
}
_FOR_OTHERS: Mapping[Next, Template] = {
    Next.TELL: _("Its maker says whether it's open or closed."),
    Next.VENT: _("Its maker cuts a hole while the clay is soft. Closed, it would burst in any firing."),
    Next.IDENTIFY: _("Its maker asks which clay it is."),
    Next.MEASURE: _("Its maker asks the instructor. The absorption of its clay isn't known."),
    Next.UNFIT: _("Its maker makes it decorative, or asks. Its clay stays too porous for food."),
    Next.DRY: _("Let it dry. Load it in a bisque when it's bone dry."),
    Next.FIRE_ONCE: _("Its maker asks the instructor to approve firing it once, or takes its glaze off."),
    Next.WAX: _("Its maker glazes it. The foot is waxed or wiped first."),
    Next.GLAZE: _("Its maker glazes it."),
    Next.SAY_FIRING: Choice(
        "allowed",
        {
            "": _("Put it in a queue. Its maker hasn't asked for a firing."),
            "allowed": _("Put it in the queue for {firing}: the instructor allowed it."),
        },
    ),
    Next.OTHER_FIRING: _("Keep it out of {firing}: the instructor declined it. Another firing takes it."),
    Next.QUEUE: _("Put it in the queue for {firing}, as asked."),
    Next.WAIT: _("Keep it on its shelf. It waits for {firing}, {heat}."),
    Next.LOAD: _("It's in. Finish loading, then start the kiln."),
    Next.ANSWER_IN_KILN: _("It's in the kiln with an open question. Get an answer or take it out before you start."),
    Next.COOL: _("Keep the kiln shut until it's cool enough."),
    Next.PULL: _("It's being fired outdoors."),
    Next.COME_OUT: _("Take it out of {kiln}. A change made it unfit for this firing."),
    Next.ANSWER: _("Keep it on its shelf until the instructor answers."),
    Next.ASK: _("Its maker asks the instructor: every firing needs their approval."),
    Next.NO_WAY: _("Its maker has to change it. It can't go in any firing as it is."),
    Next.CHANGE: _("Don't fire it as it is. The instructor declined {firing}."),
    Next.BAG: _("Slivers cut: wear gloves and goggles. Bag it. Don't hand it out."),
    Next.SOFT: _(
        "Ask its maker before you hand it out. The instructor can send it to another firing. It waited for {firing}, "
        "{heat}, but was fired cooler and stayed soft."
    ),
    Next.FIRE_AGAIN: Choice(
        "bare",
        {
            "": _("Hand it out, or ask the instructor to fire it again. It's {flaws}, and another firing may fix it."),
            "bare": _(
                "Hand it out, or ask the instructor to fire it again. It's {flaws}, and another firing may fix it, "
                "with glaze dabbed on its bare spots."
            ),
        },
    ),
    Next.PICK_UP: _("Hand it out to its maker."),
    Next.THROW_AWAY: _("Tell its maker to bag it and throw it away. Slivers of its glaze cut."),
    Next.NO_FOOD: Choice(
        "why",
        {
            "flaws": _("Tell its maker not to eat or drink from it. It came out {flaws}."),
            "": _("Tell its maker not to eat or drink from it. It isn't safe for food."),
        },
    ),
    Next.DONE: _("Done. It left the studio."),
    Next.KEPT: _("Done. The studio has it."),
    Next.FIND: _("It's missing. Mark it as found if it turns up."),
    Next.BROKE: _("It broke."),
    Next.DISCARDED: _("It was discarded."),
    Next.CANCELED: _("It was registered by mistake."),
    Next.TWICE: _("It was registered twice."),
    Next.SHARDS: _("It broke in the kiln. Keep the shards for its maker."),
}
_FOR_INSTRUCTOR: Mapping[Next, Template] = {
    Next.ANSWER: _("Answer the question on it."),
    Next.IDENTIFY: _("Find out which clay it is, then edit its details."),
    Next.MEASURE: _(
        "Enter the absorption of its clay. Until it's known, the piece counts as porous and isn't for food."
    ),
    Next.ANSWER_IN_KILN: _("It's in the kiln. Answer the question on it before the kiln is started."),
    Next.SOFT: _(
        "Fire it again, under Fix the record. It waited for {firing}, {heat}, but was fired cooler and stayed soft."
    ),
    Next.FIRE_AGAIN: Choice(
        "bare",
        {
            "": _("Hand it out, or send it back. It's {flaws}, and another firing may fix it."),
            "bare": _(
                "Hand it out, or send it back. It's {flaws}, and another firing may fix it, with glaze dabbed on its "
                "bare spots."
            ),
        },
    ),
}
_ALSO_OF_THEIR_OWN = frozenset({Next.ANSWER, Next.ANSWER_IN_KILN, Next.MEASURE})

_OFF_THE_SHELVES: Mapping[Next, Template] = {
    Next.WAIT: _("It waits for {firing}, {heat}."),
    Next.ANSWER: _("Keep it on a ware shelf until the instructor answers."),
}
_OFF_THE_SHELVES_FOR_STAFF: Mapping[Next, Template] = {
    Next.WAIT: _("Put it on a ware shelf. It waits for {firing}, {heat}."),
    Next.ANSWER: _("Put it on a ware shelf until the instructor answers."),
    Next.PICK_UP: _("Put it on the pickup shelf, or hand it out to its maker."),
}
"""The same for a piece that has no shelf on record."""


_SHARP = Message("sharp-glaze-first", _("Is its glaze still sharp? Staff grind it smooth first."))
_NOT_FOR_FOOD = Message("not-for-food-first", _("Not for food or drink."))
_SHARP_FOR_STAFF = Message("grind-sharp-glaze-first", _("Is its glaze still sharp? Grind it smooth first."))


def to_do(outlook: Outlook, reader: Reader, *, is_mine: bool) -> Message:
    """What to do now, told to its maker (`is_mine`), to staff or to the instructor."""
    is_staff = reader.role in {Role.STAFF, Role.INSTRUCTOR}
    theirs = outlook.doer in {Doer.STAFF, Doer.INSTRUCTOR} and is_staff
    told = _FOR_MAKER if is_mine and not theirs else _FOR_OTHERS
    if outlook.spot.where is Where.UNKNOWN:
        told = {**told, **(_OFF_THE_SHELVES_FOR_STAFF if is_staff else _OFF_THE_SHELVES)}
    if reader.role is Role.INSTRUCTOR and not (is_mine and outlook.next not in _ALSO_OF_THEIR_OWN):
        told = {**told, **_FOR_INSTRUCTOR}
    code = f"to-do-{outlook.next.replace(' ', '-')}"
    facts = {"firing": outlook.firing, "heat": outlook.heat, "shelf": outlook.shelf, "flaws": outlook.flaws}
    facts["kiln"] = outlook.spot.name
    facts["allowed"] = "allowed" if outlook.next is Next.SAY_FIRING and outlook.firing else ""
    facts["why"] = "flaws" if outlook.flaws else ""
    facts["bare"] = "bare" if outlook.has_bare_spots else ""
    if not outlook.wrong_cart:
        first = (_NOT_FOR_FOOD if outlook.is_not_for_food else None, _sharp(outlook, is_staff=is_staff))
        return together([*first, Message(code, told[outlook.next], **facts)])
    off = off_its_cart(outlook.wrong_cart)
    if outlook.next is Next.ANSWER and reader.role is not Role.INSTRUCTOR:
        return together([off, Message("stays-there", _("It stays there until the instructor answers."))])
    return together([off, Message(code, told[outlook.next], **facts)])


def _sharp(outlook: Outlook, *, is_staff: bool) -> Message | None:
    """That sharp glaze is ground before the piece goes home."""
    if not outlook.is_sharp:
        return None
    return _SHARP_FOR_STAFF if is_staff else _SHARP


# ---- where -----------------------------------------------------------------------------------------------------------

_PLACES: Mapping[Where, str] = {
    Where.KILN: _("In the kiln: {name}"),
    Where.SHELF: "{name}",
    Where.GREENWARE_SHELF: "{name}",
    Where.UNKNOWN: _("No shelf on record"),
    Where.LOST: _("Lost"),
    Where.STUDIO: _("Kept for the studio"),
}


def donated(to: str) -> Message:
    """That a piece was donated, and to whom where that was said."""
    return Message("donated-to", _("Donated to {to}"), to=to) if to else Message("donated", _("Donated"))


def place(outlook: Outlook, *, is_mine: bool) -> Message:
    """Where it is."""
    if outlook.spot.where is Where.MAKER:
        return Message("with-you", _("With you")) if is_mine else Message("with-its-maker", _("With its maker"))
    if outlook.spot.where is Where.DONATED:
        return donated(outlook.spot.name)
    if outlook.loss:
        return Message("place-lost", "{cause:capital}", cause=outlook.loss)
    return Message("place", _PLACES[outlook.spot.where], name=outlook.spot.name)


# ---- when ------------------------------------------------------------------------------------------------------------


def when(outlook: Outlook, reader: Reader) -> Message | None:
    """When its firing is, or its kiln opens; None where it waits for a person first."""
    if isinstance(outlook.when, Planned):
        return _planned(outlook.when, reader)
    if isinstance(outlook.when, Hot):
        return _hot(outlook.when)
    if isinstance(outlook.when, Coming):
        return _coming(outlook.when, reader)
    return _behind(outlook.when, reader) if outlook.when is not None else None


def in_short(outlook: Outlook, reader: Reader) -> Message | None:
    """The same for a list, with the kiln or the firing that it is about."""
    when_ = outlook.when
    # What waits for staff to queue it has something to do first.
    if when_ is None or isinstance(when_, Coming):
        return None
    if isinstance(when_, Planned):
        return _planned_in_short(outlook, when_, reader)
    about, says = (when_.firing.kiln, _hot(when_)) if isinstance(when_, Hot) else (when_.title, _behind(when_, reader))
    return Message("when-in-short", _("{about}: {says}"), about=about, says=says)


def basis(outlook: Outlook) -> Message | None:
    """What the forecast rests on; None where there is none."""
    if isinstance(outlook.when, Planned):
        is_planned = outlook.when.firing.stage is FiringStage.PLANNED
        return Message("by-the-plan", _("From the load plan. Plans can change.")) if is_planned else None
    if isinstance(outlook.when, Hot):
        opening = outlook.when.opening
        rests = Message("opening-rests-on", _OPENING_RESTS[opening.basis], count=opening.count)
        shut = Message(
            "stays-shut", _("The kiln stays shut until its pyrometer is below {heat}."), heat=celsius(opening.below_c)
        )
        return together([rests, shut])
    if isinstance(outlook.when, Coming):
        words = _("Once staff queue it. Plans can change.")
        return Message("once-it-is-queued", words) if outlook.when.firing else None
    return _line_rests_on(outlook.when) if outlook.when is not None else None


_OPENING_RESTS: Mapping[Basis, Template] = {
    Basis.LOG: _("From the kiln's log."),
    Basis.EARLIER: Plural(
        "count",
        "Based on the last firing like it in this kiln.",
        "Based on the last {count} firings like it in this kiln.",
    ),
    Basis.SCHEDULE: _("From the firing schedule. No earlier firing shows how long this kiln takes to cool."),
    Basis.NOTHING: _("No log or earlier firing shows how long this kiln takes to cool."),
}


def _planned(planned: Planned, reader: Reader) -> Message:
    firing = planned.firing
    facts = {"firing": str(firing.id), "kiln": firing.kiln, "session": str(firing.session_id)}
    if firing.stage is not FiringStage.PLANNED:
        loading = firing.stage is FiringStage.LOADING
        words = _("{kiln} is being loaded now, firing {firing}.") if loading else _("Being fired now in {kiln}.")
        return Message("firing-now", words, **facts)
    if firing.day is None:
        return Message("planned-without-day", _("Firing {firing} in {kiln}. No day is set yet."), **facts)
    if planned.is_late:
        words = _("Firing {firing} in {kiln} was planned for {day} and hasn't started.")
        return Message("planned-and-late", words, day=_day(firing, reader), **facts)
    if firing.session_id is not None:
        words = _("{day}, outdoor session {session} at {kiln}.")
        return Message("planned-outdoors", words, day=firing.day, **facts)
    return Message("planned-for", _("{day}, firing {firing} in {kiln}."), day=_day(firing, reader), **facts)


def _coming(coming: Coming, reader: Reader) -> Message:
    if coming.firing is not None:
        return _planned(Planned(firing=coming.firing), reader)
    if coming.is_full:
        return Message("none-with-room", _("No planned firing has room for it."))
    return Message("none-planned", _("No firing is planned yet."))


def _planned_in_short(outlook: Outlook, planned: Planned, reader: Reader) -> Message:
    firing = planned.firing
    if firing.stage is not FiringStage.PLANNED or firing.day is None or planned.is_late:
        return _planned(planned, reader)
    facts = {"day": _day(firing, reader), "firing": outlook.firing, "kiln": firing.kiln}
    words = _("{day}: {firing}, {kiln}") if outlook.firing else _("{day}: {kiln}")
    return Message("planned-for-in-short", words, **facts)


def _day(firing: FiringAhead, reader: Reader) -> str:
    return "" if firing.day is None else short_day(firing.day, reader)


def _hot(hot: Hot) -> Message:
    opening = hot.opening
    if opening.at is None:
        return Message("opening-unknown", _("There's no estimate yet."))
    told = _PAST if hot.is_past else _TO_COME
    return Message("kiln-opens", told[opening.basis], at=_full_hour(opening.at))


_TO_COME: Mapping[Basis, str] = {
    Basis.LOG: _("Unloaded after {at}."),
    Basis.EARLIER: _("Unloaded about {at}."),
    Basis.SCHEDULE: _("The firing ends about {at}. Then the kiln cools."),
}
_PAST: Mapping[Basis, str] = {
    Basis.LOG: _("Any time now. It has been cool enough since about {at}."),
    Basis.EARLIER: _("Any time now."),
    Basis.SCHEDULE: _("The firing should be over. The kiln is cooling."),
}


def _full_hour(moment: datetime) -> datetime:
    """A forecast tells hours, not minutes; of two it tells the later one."""
    hour = moment.replace(minute=0, second=0, microsecond=0)
    return hour if hour == moment else hour + timedelta(hours=1)


def _behind(behind: Behind, reader: Reader) -> Message:
    """Which firing it comes into, as far as that can be told."""
    return together([_without_it(behind, reader), _turn(behind)])


def _without_it(behind: Behind, reader: Reader) -> Message:
    if not behind.without:
        words = Choice("why_known", _NONE_PLANNED)
        return Message("no-firing-planned", words, why_known="yes" if behind.why else "no", why=behind.why)
    firing = behind.without[0]
    day = _day(firing, reader)
    told = ("why" if behind.why else "") + ("day" if day else "")
    return Message(
        "planned-without-it", Choice("told", _WITHOUT), told=told, firing=str(firing.id), day=day, why=behind.why
    )


_NONE_PLANNED: Mapping[str, Template] = {
    "no": _("No firing is planned yet."),
    "yes": _("No firing is planned for it: {why}."),
}
_WITHOUT: Mapping[str, Template] = {
    "": _("It isn't in firing {firing}."),
    "day": _("It isn't in firing {firing} on {day}."),
    "why": _("It isn't in firing {firing}: {why}."),
    "whyday": _("It isn't in firing {firing} on {day}: {why}."),
}


def _turn(behind: Behind) -> Message | None:
    """How many loads come first; None where that isn't known."""
    loads, without = behind.line.loads, len(behind.without)
    if loads is None:
        return None
    if loads == without:
        next_one = _("It should be in the next load after that.") if without else _("It should be in the next load.")
        return Message("in-the-next-load", next_one)
    return Message("loads-before-it", _LOADS_BEFORE, loads=loads)


_LOADS_BEFORE = Plural("loads", "About {loads} load comes before it.", "About {loads} loads come before it.")


def _line_rests_on(behind: Behind) -> Message:
    line = behind.line
    ahead = Message(
        "ahead-of-it",
        Plural("ahead", "{ahead} piece is ahead of it.", "{ahead} pieces are ahead of it."),
        ahead=line.ahead,
    )
    first = Message("first-in-line", _("It's first in line."))
    position = ahead if line.ahead else first
    if line.load is None:
        return position
    words = Plural(
        "counted",
        "The last load held {load}.",
        "The last {counted} loads held about {load} pieces each.",
    )
    return together([position, Message("usual-load", words, load=line.load, counted=line.counted)])
