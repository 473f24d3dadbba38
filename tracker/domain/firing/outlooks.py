"""What comes next for a piece: what is to be done and by whom, where it is, and when its firing or its kiln opens."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.forecasts import InLine, Opening
from tracker.domain.message import Fact, Message
from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.outcomes import MENDED_BY_FIRE, Flaw
from tracker.domain.pieces.piece import Piece, Stage, Use
from tracker.domain.studio.materials import ClayKind
from tracker.domain.studio.people import Person, Right

STILL_TO_FIRE = frozenset({Stage.GREENWARE, Stage.BISQUED, Stage.WAXED, Stage.GLAZED, Stage.QUEUED})
"""The stages at which a firing is still to come."""


class Next(StrEnum):
    """What is to be done next with a piece."""

    TELL = "tell"
    VENT = "vent"
    IDENTIFY = "identify"
    MEASURE = "measure"
    UNFIT = "unfit"
    DRY = "dry"
    FIRE_ONCE = "fire once"
    WAX = "wax"
    GLAZE = "glaze"
    SAY_FIRING = "say firing"
    OTHER_FIRING = "other firing"
    QUEUE = "queue"
    WAIT = "wait"
    LOAD = "load"
    ANSWER_IN_KILN = "answer in kiln"
    COOL = "cool"
    PULL = "pull"
    COME_OUT = "come out"
    ANSWER = "answer"
    ASK = "ask"
    NO_WAY = "no way"
    CHANGE = "change"
    BAG = "bag"
    SOFT = "soft"
    FIRE_AGAIN = "fire again"
    PICK_UP = "pick up"
    THROW_AWAY = "throw away"
    NO_FOOD = "no food"
    DONE = "done"
    KEPT = "kept"
    FIND = "find"
    SHARDS = "shards"
    BROKE = "broke"
    DISCARDED = "discarded"
    CANCELED = "canceled"
    TWICE = "registered twice"


class Doer(StrEnum):
    """Whose turn it is."""

    MAKER = "maker"
    STAFF = "staff"
    INSTRUCTOR = "instructor"
    NOBODY = "nobody"


DOERS: Mapping[Next, Doer] = {
    Next.TELL: Doer.MAKER,
    Next.VENT: Doer.MAKER,
    Next.IDENTIFY: Doer.MAKER,
    Next.MEASURE: Doer.MAKER,
    Next.UNFIT: Doer.MAKER,
    Next.DRY: Doer.NOBODY,
    Next.FIRE_ONCE: Doer.MAKER,
    Next.WAX: Doer.MAKER,
    Next.GLAZE: Doer.MAKER,
    Next.SAY_FIRING: Doer.MAKER,
    Next.OTHER_FIRING: Doer.MAKER,
    Next.QUEUE: Doer.STAFF,
    Next.WAIT: Doer.NOBODY,
    Next.LOAD: Doer.STAFF,
    Next.ANSWER_IN_KILN: Doer.INSTRUCTOR,
    Next.COOL: Doer.NOBODY,
    Next.PULL: Doer.STAFF,
    Next.COME_OUT: Doer.STAFF,
    Next.ANSWER: Doer.INSTRUCTOR,
    Next.ASK: Doer.MAKER,
    Next.NO_WAY: Doer.MAKER,
    Next.CHANGE: Doer.MAKER,
    Next.BAG: Doer.STAFF,
    Next.SOFT: Doer.MAKER,
    Next.FIRE_AGAIN: Doer.MAKER,
    Next.PICK_UP: Doer.MAKER,
    Next.THROW_AWAY: Doer.MAKER,
    Next.NO_FOOD: Doer.NOBODY,
    Next.DONE: Doer.NOBODY,
    Next.KEPT: Doer.NOBODY,
    Next.FIND: Doer.NOBODY,
    Next.SHARDS: Doer.MAKER,
    Next.BROKE: Doer.NOBODY,
    Next.DISCARDED: Doer.NOBODY,
    Next.CANCELED: Doer.NOBODY,
    Next.TWICE: Doer.NOBODY,
}


class Standing(StrEnum):
    """Whether some firing takes a piece as it is: one does, one would with the instructor's yes, or none."""

    OPEN = "open"
    ASK = "ask"
    SHUT = "shut"


@dataclass(frozen=True, slots=True, kw_only=True)
class FiringAhead:
    """A firing that has not been unloaded, as a piece's forecast sees it.

    `day` is when it is planned for, None where no day was set. A round of an outdoor session has its `session_id` and
    is `pulled_hot`.
    """

    id: int
    kiln: str
    route: str
    stage: FiringStage
    day: datetime | None = None
    session_id: int | None = None
    pulled_hot: bool = False
    lit_at: datetime | None = None
    shut_at: datetime | None = None

    @property
    def takes_pieces(self) -> bool:
        """Whether pieces can still go in."""
        return self.stage in {FiringStage.PLANNED, FiringStage.LOADING}


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """The piece is in the plan of this firing, or stands in its kiln while that is loaded.

    `is_late` when its day is over and its kiln has not come on.
    """

    firing: FiringAhead
    is_late: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Hot:
    """The piece is in a kiln that is on or cooling, with when that may be opened."""

    firing: FiringAhead
    opening: Opening
    is_past: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Behind:
    """The piece waits for the firing type called `title`, and no firing is planned for it: its turn in `line`.

    `without` are the firings that are planned without it. `why` is what keeps it out of every kiln, or else the reason
    that the first of them left it out, where that is known.
    """

    title: str
    line: InLine
    without: tuple[FiringAhead, ...] = ()
    why: Message | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Coming:
    """The firing that a piece will come into once staff queue it: the next planned one with room, None where none is.

    `is_full` where firings are planned, but have no room.
    """

    firing: FiringAhead | None
    is_full: bool = False


When = Planned | Hot | Behind | Coming


class Where(StrEnum):
    """What sort of place a piece is in."""

    KILN = "kiln"
    SHELF = "shelf"
    GREENWARE_SHELF = "greenware shelf"
    UNKNOWN = "unknown"
    MAKER = "maker"
    DONATED = "donated"
    STUDIO = "studio"
    LOST = "lost"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where a piece is: the kiln or the shelf by its name, where it has one, or whoever it was donated to."""

    where: Where
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What comes next for a piece; `when` is None where nothing tells.

    `firing` is the title of the firing type that it waits for, is in, was declined or is wished for, with its `heat`;
    empty for none. `shelf` says where to put it for the firing that is wished for, `place` names that cart or shelf
    while the piece isn't there, `wrong_cart` the one that it has to come off. `flaws` are those that another firing
    may mend. `loss` is why a lost piece is lost, as far as that is known. `is_not_for_food` where a piece that was made
    for food isn't fit for it and is about to go to its maker.
    """

    next: Next
    spot: Spot
    when: When | None = None
    firing: str = ""
    heat: Fact = None
    shelf: Message | None = None
    place: str = ""
    wrong_cart: str = ""
    flaws: tuple[Fact, ...] = ()
    is_sharp: bool = False
    is_not_for_food: bool = False
    loss: Loss | Stage | str = ""

    @property
    def doer(self) -> Doer:
        """Whose turn it is."""
        return DOERS[self.next]

    @property
    def has_bare_spots(self) -> bool:
        """Whether its glaze crawled: another firing mends that only with glaze on the bare spots (common practice)."""
        return Flaw.CRAWLED in self.flaws

    def waits_for(self, person: Person, maker_id: int) -> bool:
        """Whether it is this person's turn with a piece of that maker."""
        if self.doer is Doer.MAKER:
            return person.id == maker_id
        right = {Doer.STAFF: Right.MOVE, Doer.INSTRUCTOR: Right.DECIDE}.get(self.doer)
        return right is not None and person.may(right)


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """What is on record around a piece.

    `firing` is the one in whose kiln it stands; `must_leave` where a change made it unfit for that. `is_asked` while a
    question is open, `is_declined` while the last answer is a no, `broke` where its last fire broke it. `standing` is
    whether a firing takes it: of greenware the bisque, of glazed ware those that it may wait for. `is_wished` where its
    maker has said where to fire it. `is_never_fit` where no firing makes ware for food fit for that, `is_unmeasured`
    where that is for want of its clay's absorption alone. `loss` is why a lost piece is lost, `goes` what was decided
    about one that nobody picked up. `is_soft` where it was fired too cool, and cooler than it waited for. `may_mend` is
    whether a firing that it stands may mend its flaws. `is_unsafe` where what is known now, such as a failed leach
    test, refuses a fired piece for food.
    """

    firing: FiringAhead | None = None
    must_leave: bool = False
    is_asked: bool = False
    is_declined: bool = False
    broke: bool = False
    standing: Standing = Standing.OPEN
    is_wished: bool = False
    is_never_fit: bool = False
    is_unmeasured: bool = False
    loss: Loss | Stage | str = ""
    goes: Disposal | None = None
    may_mend: bool = True
    is_soft: bool = False
    is_unsafe: bool = False


def is_mendable(piece: Piece) -> bool:
    """Whether a fired piece has flaws, and none but those that another firing often mends."""
    return piece.stage is Stage.FIRED and bool(piece.flaws) and MENDED_BY_FIRE.issuperset(piece.flaws)


def next_of(piece: Piece, around: Circumstances) -> Next:
    """What is to be done next with a piece: the first of these that holds, else what its stage waits for."""
    to_fire = piece.stage in STILL_TO_FIRE
    is_judged = piece.stage in {Stage.GREENWARE, Stage.GLAZED}
    is_nameless = piece.clay.kind is ClayKind.UNKNOWN
    is_held_up = is_judged and around.standing is not Standing.OPEN
    is_loading = around.firing is not None and around.firing.takes_pieces
    is_with_maker = piece.stage is Stage.CLAIMED and around.goes is None
    may_go_elsewhere = piece.stage is Stage.GLAZED and around.standing is Standing.OPEN
    is_unsaid = piece.stage is Stage.GLAZED and not around.is_wished
    first = (
        (around.must_leave, Next.COME_OUT),
        (is_loading, Next.ANSWER_IN_KILN if around.is_asked else Next.LOAD),
        (around.firing is not None, Next.PULL if around.firing and around.firing.pulled_hot else Next.COOL),
        # Clay is soft for hours only: the hole comes before whatever else its maker waits for.
        (piece.stage is Stage.GREENWARE and piece.vented is False, Next.VENT),
        (around.is_asked and to_fire, Next.ANSWER),
        (piece.route is not None, Next.WAIT),
        (around.is_declined and to_fire and not may_go_elsewhere, Next.CHANGE),
        (to_fire and is_nameless and (around.is_never_fit or is_held_up), Next.IDENTIFY),
        (to_fire and around.is_unmeasured, Next.MEASURE),
        (to_fire and around.is_never_fit, Next.UNFIT),
        (piece.is_raw and piece.has_glaze, Next.FIRE_ONCE),
        (piece.stage is Stage.GREENWARE and piece.vented is None, Next.TELL),
        (is_judged and around.standing is Standing.ASK, Next.ASK),
        (is_judged and around.standing is Standing.SHUT, Next.NO_WAY),
        (is_unsaid, Next.OTHER_FIRING if around.is_declined else Next.SAY_FIRING),
        (piece.stage is Stage.CLAIMED and around.goes is Disposal.KEEP, Next.KEPT),
        (is_with_maker and piece.sheds_slivers, Next.THROW_AWAY),
        (is_with_maker and piece.use is Use.FOOD and (around.is_unsafe or not piece.holds_food), Next.NO_FOOD),
        (piece.is_to_bag, Next.BAG),
        (piece.stage is Stage.FIRED and around.is_soft, Next.SOFT),
        (is_mendable(piece) and around.may_mend, Next.FIRE_AGAIN),
        (piece.stage is Stage.LOST and around.broke, Next.SHARDS),
        (piece.stage is Stage.LOST and around.loss is Loss.BROKEN, Next.BROKE),
        (piece.stage is Stage.LOST and around.loss is Loss.DISCARDED, Next.DISCARDED),
        (piece.stage is Stage.LOST and around.loss is Loss.CANCELED, Next.CANCELED),
        (piece.stage is Stage.LOST and around.loss is Loss.TWICE, Next.TWICE),
    )
    return next((what for holds, what in first if holds), _BY_STAGE[piece.stage])


_BY_STAGE: Mapping[Stage, Next] = {
    Stage.GREENWARE: Next.DRY,
    Stage.BISQUED: Next.WAX,
    Stage.WAXED: Next.GLAZE,
    Stage.GLAZED: Next.QUEUE,
    Stage.QUEUED: Next.WAIT,
    Stage.FIRED: Next.PICK_UP,
    Stage.CLAIMED: Next.DONE,
    Stage.LOST: Next.FIND,
}


def spot_of(piece: Piece, kiln: str, greenware_at: str = "") -> Spot:
    """Where a piece is: in the kiln of that name, on the shelf that was noted, or on the one for greenware.

    `greenware_at` is the shelf for greenware, empty where the studio named none.
    """
    if kiln:
        return Spot(where=Where.KILN, name=kiln)
    if piece.stage is Stage.CLAIMED:
        return Spot(where=Where.MAKER)
    if piece.stage is Stage.LOST:
        return Spot(where=Where.LOST)
    if piece.shelf:
        return Spot(where=Where.SHELF, name=piece.shelf)
    if piece.stage is Stage.GREENWARE and greenware_at:
        return Spot(where=Where.GREENWARE_SHELF, name=greenware_at)
    return Spot(where=Where.UNKNOWN)
