"""A firing as pictures for its page and as the sheet for the kiln's clipboard: values in, SVG or PDF out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from printing.firing.blocks import SegmentSaid, SheetWords, WitnessSaid
from printing.firing.curve_pictures import curve_picture
from printing.firing.curves import HIGHEST, QUARTZ, CurveSeen, CurveWords, Point
from printing.firing.sheets import FiringSheet, firing_pdf
from printing.lettering import NARROW, SCREEN_SIZE, WIDE
from printing.loading.load_pictures import LevelSeen, LoadSeen, LoadWords, Part, PieceSeen, ShelfSeen, in_order, where
from printing.loading.shelf_pictures import shelf_picture
from printing.loading.stack_pictures import free_room, stack_picture
from printing.svg import svg
from tracker.domain.cones import CONES, Cone
from tracker.domain.firing.cone_model import DOWN
from tracker.domain.firing.curves import Curve
from tracker.domain.firing.firings import Firing, Place, PlannedLevel
from tracker.domain.firing.heat_work import label_of, with_band
from tracker.domain.firing.schedules import Schedule, body_reduction
from tracker.domain.loading.loads import LoadKiln
from tracker.domain.message import Choice, Message, Plural, _
from tracker.domain.quantities import (
    Quantity,
    Unit,
    celsius,
    celsius_per_hour,
    hours,
    in_units,
    minutes,
    mm,
    out_of_units,
)
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.kilns import RAW, RouteKind
from tracker.domain.studio.settings import FiringPractice, Practice
from tracker.store.firing.queries import FiringPage
from tracker.store.pieces.queries import PieceRow
from tracker.usecases.firing.fullness import asks_to_wait
from tracker.usecases.firing.load_choice import load_kiln, to_load
from tracker.usecases.firing.stories import FireStory
from tracker.usecases.pieces.in_hot_kilns import checks_of
from tracker.usecases.pieces.revalidate import out_of
from tracker.usecases.studio.cautions import of_whole_firing
from tracker.wording.reader import Reader
from tracker.wording.render import read, say, say_all, whole_day

_HOUR_S = 3600.0
ON_A_PHONE, ON_A_DESK = NARROW, WIDE
"""For how many pixels of a page a picture is made: its letters keep their size."""

_LETTERS = {ON_A_PHONE: SCREEN_SIZE, ON_A_DESK: 14.0}
_MOST_MARKS = 4
"""Cones named on a curve; those before the last few say nothing about how the ware is."""


# ---- the curve -----------------------------------------------------------------------------------------------------


def curve_drawn(
    firing: Firing, story: FireStory, reader: Reader, *, second: float | None = None, width: float = ON_A_PHONE
) -> str:
    """The curve of a fire against its schedule, with the last cones it brought down, as SVG; empty for neither.

    `second` is now, after the fire was lit; `width` is how many pixels of the page it is made for.
    """
    seen = curve_seen(firing, story, reader, second=second)
    if not seen.points and not seen.schedule:
        return ""
    picture = curve_picture(seen, width=width, size=_LETTERS[width])
    name = Message("curve-of-firing", _("The curve of firing {firing}"), firing=str(firing.id))
    return svg(picture, name=say(name, reader), says=curve_told(seen, reader))


def curve_seen(firing: Firing, story: FireStory, reader: Reader, *, second: float | None = None) -> CurveSeen:
    """A fire as its chart shows it."""
    of_its_kind = story.work is not None and firing.target in story.work.works
    cone = label_of(firing.target, story.kind) if of_its_kind else firing.target
    now = None
    if second is not None:
        span = hours(second / _HOUR_S)
        now = second / _HOUR_S, say(Message("now", _("now, {span}"), span=span), reader)
    target = say(Message("target", _("target: {cone}"), cone=cone), reader)
    return replace(
        _chart(story.schedule, reader),
        points=_points(story.curve, reader),
        marks=tuple(_marks(story, reader)),
        target=(_degrees(firing.target.celsius, reader), target),
        now=now,
    )


def _chart(schedule: Schedule | None, reader: Reader) -> CurveSeen:
    """A chart on the reader's scale with nothing but its schedule, if there is one."""
    return CurveSeen(
        said=_curve_words(reader),
        schedule=_points(schedule.curve, reader) if schedule else (),
        quartz=_degrees(QUARTZ, reader),
        highest=_degrees(HIGHEST, reader),
    )


def _degrees(heat_c: float, reader: Reader) -> float:
    """A temperature as a place on the reader's scale."""
    return in_units(heat_c, Unit.CELSIUS, reader.units)


def _curve_words(reader: Reader) -> CurveWords:
    """The legend and the axes of a chart, whose numbers are of the reader's scale."""
    heat = celsius(QUARTZ)
    mark = Message(
        "mark-at",
        _("{label}: {degrees} {scale} at {hours} h"),
        label="{label}",
        degrees="{degrees}",
        scale=Unit.CELSIUS,
        hours="{hours}",
    )
    return CurveWords(
        measured=say(Message("curve-measured", _("measured")), reader),
        schedule=say(Message("curve-schedule", _("schedule")), reader),
        marks=say(Message("curve-marks", _("cone reached")), reader),
        quartz=(
            say(Message("quartz-inversion", _("{heat}, quartz inversion"), heat=heat), reader),
            say(Message("quartz", _("{heat}, quartz"), heat=heat), reader),
            read(heat, reader),
        ),
        nothing=say(Message("nothing-measured", _("nothing measured yet")), reader),
        degrees=read(Unit.CELSIUS, reader),
        hour=say(Message("axis-hours", _("{hours} h"), hours="{hours}"), reader),
        mark=say(mark, reader),
    )


def curve_told(seen: CurveSeen, reader: Reader) -> str:
    """What the chart shows, for those who cannot see it."""
    return say_all(list(_told(seen, reader)), reader)


def _told(seen: CurveSeen, reader: Reader) -> Iterator[Message]:
    def heat(degrees: float) -> Quantity:
        return celsius(out_of_units(degrees, Unit.CELSIUS, reader.units))

    if seen.points:
        at, peak = max(seen.points, key=lambda point: point[1])
        words = _("Measured over {span}, peak {peak} at {at}.")
        yield Message("curve-peak", words, span=hours(seen.points[-1][0]), peak=heat(peak), at=hours(at))
    if seen.schedule:
        top = max(degrees for _at, degrees in seen.schedule)
        yield Message("curve-goes-to", _("The firing schedule goes to {top}."), top=heat(top))
    if seen.target:
        yield Message("curve-target", "{target:capital}.", target=seen.target[1])
    for at, degrees, label in seen.marks:
        words = _("{label}: cone reached at {at}, {heat}.")
        yield Message("curve-mark", words, label=label, at=hours(at), heat=heat(degrees))


def _points(curve: Curve | None, reader: Reader) -> tuple[Point, ...]:
    if curve is None:
        return ()
    return tuple(
        (second / _HOUR_S, _degrees(heat, reader)) for second, heat in zip(curve.seconds, curve.celsius, strict=True)
    )


def _marks(story: FireStory, reader: Reader) -> Iterator[tuple[float, float, str]]:
    """When each of the last cones fell: hours, degrees and its name."""
    if story.curve is None or story.work is None:
        return
    down = [cone for cone, work in story.work.works.items() if work >= DOWN]
    for cone in down[-_MOST_MARKS:]:
        second = story.work.fell_at(cone)
        if second is not None:
            yield (
                second / _HOUR_S,
                _degrees(story.curve.at(second), reader),
                say(Message("cone-name", _("cone {name}"), name=str(cone)), reader),
            )


# ---- the load ------------------------------------------------------------------------------------------------------


def load_seen(page: FiringPage, practice: Practice, reader: Reader) -> LoadSeen | None:
    """The load of a firing as its pictures show it; None where there is no plan with shelves."""
    firing = page.firing
    kiln, furniture = load_kiln(firing, practice), firing.kiln.furniture
    if firing.plan is None or not firing.plan.levels or kiln is None or furniture is None:
        return None
    rows = {row.piece.id: row for row in (*page.coming, *page.pieces)}
    count = len(firing.plan.levels)
    seen = LoadSeen(
        kiln=firing.kiln.name,
        shelf=ShelfSeen(
            round_mm=furniture.round_mm,
            width_mm=furniture.width_mm,
            depth_mm=furniture.depth_mm,
            halves=furniture.halves,
        ),
        levels=tuple(
            _named(_level(one, kiln, rows, page, practice, reader, is_top=number == count), number, count, reader)
            for number, one in enumerate(firing.plan.levels, start=1)
        ),
        thickness_mm=furniture.thickness_mm,
        height_mm=kiln.height_mm,
        said=_load_words(reader),
    )
    room = mm(abs(free_room(seen)))
    fits = say(Message("free-mm", _("{room} free below the top of the kiln"), room=room), reader)
    too_high = say(Message("too-high-mm", _("{room} too high for the kiln"), room=room), reader)
    return replace(seen, said=replace(seen.said, free=fits, too_high=too_high))


def _load_words(reader: Reader) -> LoadWords:
    """The legend of a load's pictures."""
    return LoadWords(
        front=say(Message("load-front", _("front")), reader),
        from_the_front=say(Message("seen-from-front", _("seen from the front")), reader),
        is_in=say(Message("legend-in", _("in")), reader),
        to_come=say(Message("legend-to-come", _("to come")), reader),
        with_care=say(_WITH_CARE, reader),
        post=say(Message("legend-post", _("post")), reader),
        nested=say(Message("legend-nested", _("one in or on another")), reader),
        on_cookie=say(Message("legend-cookie", _("on a kiln cookie")), reader),
        free="",
        too_high="",
        parts=tuple(say(PARTS[part], reader) for part in Part),
    )


_WITH_CARE = Message("legend-with-care", _("caution"))
PARTS = {
    Part.FRONT_LEFT: Message("front-left", _("front left")),
    Part.FRONT: Message("part-front", _("front")),
    Part.FRONT_RIGHT: Message("front-right", _("front right")),
    Part.LEFT: Message("part-left", _("left")),
    Part.MIDDLE: Message("part-middle", _("middle")),
    Part.RIGHT: Message("part-right", _("right")),
    Part.BACK_LEFT: Message("back-left", _("back left")),
    Part.BACK: Message("part-back", _("back")),
    Part.BACK_RIGHT: Message("back-right", _("back right")),
}


def _named(level: LevelSeen, number: int, of: int, reader: Reader) -> LevelSeen:
    """A level with its heading, how many pieces stand on it, and how long its posts are."""
    place = "only" if of == 1 else "lowest" if number == 1 else "top" if number == of else "between"
    pieces = Plural("count", "{count} piece", "{count} pieces")
    with_posts = Plural("count", "{count} piece, posts {posts}", "{count} pieces, posts {posts}")
    posts = mm(level.post_mm, 1)
    words = with_posts if level.post_mm else pieces
    facts = Message("pieces-on-shelf", words, count=len(level.pieces), posts=posts)
    return replace(
        level,
        name=say(Message("shelf-of", Choice("place", _SHELF_OF), place=place, number=number, of=of), reader),
        facts=say(facts, reader),
        length=read(posts, reader) if level.post_mm else "",
    )


_SHELF_OF = {
    "only": _("Shelf {number} of {of}"),
    "lowest": _("Shelf {number} of {of}, lowest"),
    "top": _("Shelf {number} of {of}, top"),
    "between": _("Shelf {number} of {of}"),
}


def _level(
    level: PlannedLevel,
    kiln: LoadKiln,
    rows: Mapping[int, PieceRow],
    page: FiringPage,
    practice: Practice,
    reader: Reader,
    *,
    is_top: bool,
) -> LevelSeen:
    """One level; on the uppermost shelf no posts stand, for there is no shelf over it."""
    posts = () if is_top else tuple((x, y, kiln.post_radius_mm) for x, y in kiln.shelf.posts(kiln.post_radius_mm))
    pieces = (_piece(place, rows, page, practice, reader) for place in level.places if place.piece_id in rows)
    return LevelSeen(post_mm=0 if is_top else level.post_mm, pieces=tuple(pieces), posts=posts)


def _piece(
    place: Place, rows: Mapping[int, PieceRow], page: FiringPage, practice: Practice, reader: Reader
) -> PieceSeen:
    row, piece_id = rows[place.piece_id], place.piece_id
    piece = to_load(row.piece, 0, practice, is_raw=piece_id in page.raw_ids)
    lies = piece.footprint.turned if place.turned else piece.footprint
    below = rows.get(place.below) if place.below else None
    return PieceSeen(
        label=row.ref,
        x_mm=place.x_mm,
        y_mm=place.y_mm,
        height_mm=piece.height_mm,
        round_mm=lies.width_mm if lies.is_round else None,
        width_mm=None if lies.is_round else lies.width_mm,
        depth_mm=None if lies.is_round else lies.depth_mm,
        with_care=bool(row.accepted),
        is_in=piece_id in page.firing.piece_ids,
        over_mm=place.over_mm,
        cookie_mm=practice.cookie_margin_mm if row.piece.catch_plate else 0,
        below=below.ref if below else "",
        resting=say(place.resting_on(below.ref), reader) if below else "",
    )


def load_drawn(load: LoadSeen, reader: Reader) -> tuple[tuple[str, str], ...]:
    """The shelves of a load from above, the lowest first, and the stack from the side: a heading and an SVG each."""
    shelves = (_shelf_drawn(load, number, reader) for number in range(1, len(load.levels) + 1))
    title, name = Message("from-the-side", _("From the side")), Message("stack", _("The stack from the side"))
    stack = svg(stack_picture(load), name=say(name, reader), says=stack_told(load, reader))
    return (*shelves, (say(title, reader), stack))


def _shelf_drawn(load: LoadSeen, number: int, reader: Reader) -> tuple[str, str]:
    title = load.levels[number - 1].name
    return title, svg(shelf_picture(load, number), name=title, says=shelf_told(load, number, reader))


def shelf_told(load: LoadSeen, number: int, reader: Reader) -> str:
    """What the picture of shelf `number` (1 is the lowest) shows, for those who cannot see it."""
    level = load.levels[number - 1]
    there = tuple(_piece_told(piece, load.shelf) for piece in in_order(level))
    if not there:
        return say(Message("shelf-empty", _("{shelf}. Empty."), shelf=level.name), reader)
    words = _("{shelf}. {facts}. {pieces}.")
    return say(Message("shelf-told", words, shelf=level.name, facts=level.facts, pieces=there), reader)


def _piece_told(piece: PieceSeen, shelf: ShelfSeen) -> Message:
    told = f"{'care' if piece.with_care else ''}{'in' if piece.is_in else ''}"
    place = piece.resting or PARTS[where(piece, shelf)]
    return Message("piece-on-shelf", Choice("told", _ON_SHELF), told=told, piece=piece.label, place=place)


_ON_SHELF = {
    "": "{piece} {place}",
    "care": _("{piece} {place} (caution)"),
    "in": _("{piece} {place} (in)"),
    "carein": _("{piece} {place} (caution, in)"),
}


def stack_told(load: LoadSeen, reader: Reader) -> str:
    """What the picture from the side shows, for those who cannot see it."""
    free = free_room(load)
    words = _("{height} free below the top of the kiln.") if free >= 0 else _("{height} too high for the kiln.")
    room = Message("room-left" if free >= 0 else "room-lacks", words, height=mm(abs(free)))
    shelves = [
        Message("shelf-and-pieces", _("Shelf {number}: {pieces}."), number=number, pieces=labels)
        if (labels := tuple(piece.label for piece in level.pieces))
        else Message("shelf-and-nothing", _("Shelf {number}: empty."), number=number)
        for number, level in enumerate(load.levels, start=1)
    ]
    return say_all([*([Message("from-below", _("From the bottom up."))] if shelves else []), *shelves, room], reader)


# ---- the sheet -----------------------------------------------------------------------------------------------------


def sheet_pdf(page: FiringPage, story: FireStory, studio: Studio, reader: Reader, *, paper: str = "a4") -> bytes:
    """The sheet of a firing for the kiln's clipboard, as `reader` reads it."""
    firing = page.firing
    title = Message("firing-sheet", _("Firing {firing}: {route}"), firing=str(firing.id), route=firing.route.title)
    sheet = FiringSheet(
        title=say(title, reader),
        facts=tuple(say(one, reader) for one in sheet_facts(page, studio.catalog.practice, reader)),
        said=_sheet_words(reader),
        schedule=tuple(_segments(story.schedule, reader)) if story.schedule else (),
        load=load_seen(page, studio.catalog.practice, reader),
        curve=_chart(story.schedule, reader) if story.schedule else None,
        witness=tuple(witness_boxes(firing, reader)),
        witness_key=say_all(tuple(witness_key(firing)), reader),
        cautions=tuple(say(one.line, reader) for one in of_whole_firing(page, studio)),
    )
    return firing_pdf(sheet, paper)


def _sheet_words(reader: Reader) -> SheetWords:
    """The headings of a firing's sheet, and what it says where something has no room."""
    up = Message(
        "no-pictures-from",
        _("No space for pictures from shelf {shelf} up: the codes are below."),
        shelf="{shelf}",
    )
    page = Message("page-of", _("page {number} of {count}"), number="{number}", count="{count}")
    return SheetWords(
        schedule=say(Message("sheet-schedule", _("Firing schedule")), reader),
        columns=(
            say(Message("column-rate", _("rate")), reader),
            say(Message("column-to", _("to")), reader),
            say(Message("column-hold", _("hold")), reader),
            say(Message("column-clock", _("clock")), reader),
            say(Message("column-note", _("note")), reader),
        ),
        witness=say(Message("sheet-witness", _("Witness cones")), reader),
        readings=say(Message("sheet-readings", _("Hourly readings")), reader),
        hour=say(Message("column-hour", _("h")), reader),
        time=say(Message("column-time", _("time")), reader),
        degrees=read(Unit.CELSIUS, reader),
        notes=say(Message("notes", _("Notes")), reader),
        curve=say(Message("sheet-curve", _("Curve")), reader),
        codes=say(Message("sheet-codes", _("Codes by shelf")), reader),
        empty=say(Message("sheet-empty", _("empty")), reader),
        no_pictures=say(Message("no-pictures", _("No space for pictures here.")), reader),
        no_pictures_from=say(up, reader),
        page=say(page, reader),
    )


def sheet_facts(page: FiringPage, practice: Practice, reader: Reader) -> Iterator[Message]:
    """The head of a firing's sheet: what comes out wrong, where it burns, to what heat, what is in it, and when."""
    firing = page.firing
    if page.leaving:
        yield out_of(firing.kiln.name, [row.ref for row, _why in page.leaving])
    if page.caught:
        words = Plural("pieces", "Comes out wrong: {pieces}.", "Come out wrong: {pieces}.")
        yield Message("wrong-on-the-sheet", words, pieces=tuple(row.ref for row, _found in page.caught))
        yield checks_of(one for _row, found in page.caught for one in found)
    if firing.kiln.place:
        yield Message("kiln-and-place", "{kiln}, {place}", kiln=firing.kiln.name, place=firing.kiln.place)
    else:
        yield Message("kiln", "{kiln}", kiln=firing.kiln.name)
    yield Message("to-cone", _("to {cone}"), cone=with_band(firing.target))
    count = len(page.pieces) + len(page.coming)
    if wait := asks_to_wait(page, practice):
        # In few words: a head of one line more takes the room of the load's pictures.
        fills = Plural("count", "{count} piece, {part} full", "{count} pieces, {part} full")
        yield Message("count-and-fill", fills, count=count, part=wait["part"])
    else:
        yield Message("count-of-pieces", Plural("count", "{count} piece", "{count} pieces"), count=count)
    if raw := raw_beside_others(page, practice.fires):
        yield raw
    if firing.planned_for is not None:
        yield Message("for-day", _("for {day}"), day=whole_day(firing.planned_for, reader))


def raw_beside_others(page: FiringPage, practice: FiringPractice) -> Message | None:
    """How to heat a glaze firing with greenware in it, None without."""
    firing = page.firing
    if firing.route.kind in RAW or not page.raw_ids:
        return None
    words = _(
        "This load has greenware, so its schedule is slower. Candle it, then heat by at most {rate} up to {heat}. "
        "Don't run the usual glaze program."
    )
    rate, heat = celsius_per_hour(practice.bisque_slow_c_per_h), celsius(practice.bisque_slow_below_c)
    return Message("greenware-in-it", words, rate=rate, heat=heat)


def _segments(schedule: Schedule, reader: Reader) -> Iterator[SegmentSaid]:
    for number, one in enumerate(schedule.segments, start=1):
        yield SegmentSaid(
            segment=str(number),
            rate=read(celsius_per_hour(one.rate_c_per_h), reader),
            to=read(celsius(one.target_c), reader),
            hold=read(minutes(one.hold_min), reader) if one.hold_min else "",
            note=read(one.note, reader),
        )


def witness_boxes(firing: Firing, reader: Reader) -> Iterator[WitnessSaid]:
    """Boxes for a pack on each level: guide, firing and guard cone; first those of the body reduction, if there is one.

    A second pack at a peephole tells when the body reduction starts and ends (common practice), and in soda the pack
    has the cone at which soda goes in. A pit has no shelf and no peephole, so none.
    """
    if firing.route.kind is RouteKind.PIT:
        return
    if reduced := body_reduction(firing.route.kind, firing.target, firing.kiln.atmosphere):
        named = Message("body-reduction-pack", _("body reduction"))
        yield WitnessSaid(say(named, reader), tuple(str(cone) for cone in reduced))
    pack = (soda_cone(firing), _beside(firing.target, -1), firing.target, _beside(firing.target, 1))
    cones = tuple(str(cone) for cone in pack if cone)
    levels = len(firing.plan.levels) if firing.plan else 0
    for level in range(1, max(levels, 1) + 1):
        shelf = Message("shelf", _("shelf {level}"), level=level) if levels else Message("in-kiln", _("in the kiln"))
        yield WitnessSaid(say(shelf, reader), cones)


def soda_cone(firing: Firing) -> Cone | None:
    """The cone that is down when soda or salt goes in, two before the last (common practice); None in other firings."""
    before = _beside(firing.target, -1) if firing.route.kind is RouteKind.SODA else None
    return None if before is None else _beside(before, -1)


def _beside(target: Cone, step: int) -> Cone | None:
    """The whole cone next to `target`, below or above it; None at the end of the chart."""
    way = (cone for cone in CONES[::step] if cone.rank % 10 == 0 and (cone.rank - target.rank) * step > 0)
    return next(way, None)


def witness_key(firing: Firing) -> Iterator[Message]:
    """What is written into the boxes, and what each cone is for."""
    if firing.route.kind is RouteKind.PIT:
        return
    yield Message("witness-boxes", _("Write in each box how the cone stands: upright, half down or down."))
    below, above = _beside(firing.target, -1), _beside(firing.target, 1)
    if soda := soda_cone(firing):
        yield Message("soda-cone", _("{cone} is the soda cone: add soda or salt when it is down."), cone=str(soda))
    if below:
        yield Message("guide-cone", _("{cone} is the guide cone: the end is near."), cone=str(below))
    words = _("{cone} is the firing cone: end the firing when it is down.")
    yield Message("firing-cone", words, cone=str(firing.target))
    if above:
        words = _("{cone} is the guard cone: if it bends, the firing went too far.")
        yield Message("guard-cone", words, cone=str(above))
    if reduced := body_reduction(firing.route.kind, firing.target, firing.kiln.atmosphere):
        words = _("Body reduction: start when {starts} is down, end when {ends} is down.")
        yield Message("body-reduction-cones", words, starts=str(reduced[0]), ends=str(reduced[1]))
