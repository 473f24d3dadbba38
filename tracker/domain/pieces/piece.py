"""A piece, the stages it goes through, and the table of every step it can take."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum, StrEnum, auto
from typing import Self

from tracker.domain.cones import Cone
from tracker.domain.message import ByRole, Choice, Either, Message, Template, _
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.outcomes import CRACKS, LASTING, SPOILS_FOOD, Flaw
from tracker.domain.refusals import ChangedMeanwhile, NotAStep
from tracker.domain.studio.kilns import RAW, Route, RouteKind
from tracker.domain.studio.materials import GLASS, ON_CLAY, Clay, Coat, Layer
from tracker.domain.studio.people import Right


class Stage(StrEnum):
    """Where a piece stands on its way from wet clay to its maker's hands."""

    GREENWARE = "greenware"
    BISQUED = "bisqued"
    WAXED = "waxed"
    GLAZED = "glazed"
    QUEUED = "queued"
    FIRED = "fired"
    CLAIMED = "claimed"
    LOST = "lost"


LINE = (Stage.GREENWARE, Stage.BISQUED, Stage.WAXED, Stage.GLAZED, Stage.QUEUED, Stage.FIRED, Stage.CLAIMED)
"""The stages in their order; `LOST` stands beside the line."""


class Build(StrEnum):
    """How a piece was made."""

    THROWN = "thrown"
    SLAB = "slab"
    COIL = "coil"
    PINCH = "pinch"
    CAST = "cast"
    PRESS_MOLDED = "press-molded"
    CARVED = "carved"


HAS_CORNERS = frozenset({Build.SLAB, Build.CARVED})
"""The builds of ware that is seldom as deep as it is wide: its depth has to be told."""


class Use(StrEnum):
    """What its maker wants to use it for."""

    FOOD = "food"
    DECORATIVE = "decorative"


class Foot(StrEnum):
    """What was done about the foot of a glazed piece; a bare one was neither waxed nor wiped."""

    WAXED = "waxed"
    WIPED = "wiped"
    BARE = "bare"
    GLAZED = "glazed"
    STILTED = "stilted"


class Coats(Enum):
    """How far its layers say what a pot wears in the fire; only a what-if tells all of them, or leaves out where."""

    ON_RECORD = auto()
    ALL_TOLD = auto()
    SOMEWHERE = auto()


class StepName(StrEnum):
    """Every step there is; what is not here cannot be done."""

    REGISTER = "register"
    BISQUE = "bisque"
    WAX = "wax"
    GLAZE = "glaze"
    SET_RIGHT = "set right"
    QUEUE = "queue"
    PULL_BACK = "pull back"
    SHELVE = "shelve"
    ACCEPT = "accept"
    TAKE_OUT = "take out"
    FIRE = "fire"
    CLAIM = "claim"
    WASH_OFF = "wash off"
    FIRE_AGAIN = "fire again"
    LOSE = "lose"
    FIND = "find"
    CORRECT = "correct"
    DECORATE = "decorate"
    NOT_WAXED = "not waxed"
    NOTE_FLAWS = "note flaws"
    TAKE_BACK = "take back"
    GIVE = "give"
    MERGE = "merge"
    CORRECT_RESULT = "correct result"
    WISH = "wish"
    WITHDRAW = "withdraw"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One row of the table: from where, to where, and by whose right.

    `to` is None where the step leads back to the stage the piece came from, where it leaves the stage alone (`STAYS`),
    or, for a correction, where the instructor says; what was handed out goes back to where its history says it was.
    `undone_by` is the step that takes a slip of the scanner back.
    """

    name: StepName
    start: frozenset[Stage]
    to: Stage | None
    right: Right
    undone_by: StepName | None = None


_ALL = frozenset(Stage) - {Stage.LOST}

BY_ITS_MAKER = frozenset({Stage.GREENWARE, Stage.BISQUED, Stage.WAXED, Stage.GLAZED})
"""The stages at which its maker may edit a piece; staff may at any but lost."""

WISHED_AT = frozenset({Stage.BISQUED, Stage.WAXED, Stage.GLAZED})
"""The stages at which its maker can ask for a firing, and at which that waits for staff."""


def _step(
    name: StepName,
    start: Iterable[Stage],
    to: Stage | None,
    right: Right,
    undone_by: StepName | None = None,
) -> Step:
    return Step(name=name, start=frozenset(start), to=to, right=right, undone_by=undone_by)


_ROWS = (
    _step(StepName.REGISTER, (), Stage.GREENWARE, Right.REGISTER),
    _step(StepName.BISQUE, (Stage.GREENWARE,), Stage.BISQUED, Right.FIRE),
    _step(StepName.WAX, (Stage.BISQUED,), Stage.WAXED, Right.WORK_ON, StepName.NOT_WAXED),
    _step(StepName.DECORATE, (Stage.GREENWARE,), None, Right.WORK_ON, StepName.WASH_OFF),
    _step(
        StepName.GLAZE,
        (Stage.BISQUED, Stage.WAXED, Stage.GLAZED),
        Stage.GLAZED,
        Right.WORK_ON,
        StepName.WASH_OFF,
    ),
    _step(StepName.SET_RIGHT, _ALL | {Stage.CLAIMED}, None, Right.WORK_ON),
    _step(
        StepName.QUEUE,
        (Stage.GREENWARE, Stage.BISQUED, Stage.WAXED, Stage.GLAZED),
        Stage.QUEUED,
        Right.MOVE,
        StepName.PULL_BACK,
    ),
    _step(StepName.PULL_BACK, (Stage.QUEUED,), None, Right.MOVE, StepName.QUEUE),
    _step(StepName.SHELVE, _ALL - {Stage.CLAIMED}, None, Right.MOVE, StepName.SHELVE),
    _step(StepName.ACCEPT, (Stage.GREENWARE, Stage.QUEUED), None, Right.FIRE),
    _step(StepName.TAKE_OUT, Stage, None, Right.FIRE),
    _step(StepName.FIRE, (Stage.QUEUED,), Stage.FIRED, Right.FIRE),
    _step(StepName.CLAIM, (Stage.FIRED, Stage.BISQUED), Stage.CLAIMED, Right.HAND_OVER, StepName.TAKE_BACK),
    _step(StepName.TAKE_BACK, (Stage.CLAIMED,), None, Right.HAND_OVER),
    _step(StepName.WASH_OFF, (Stage.GREENWARE, Stage.GLAZED), None, Right.WORK_ON, StepName.GLAZE),
    _step(StepName.NOT_WAXED, (Stage.WAXED,), Stage.BISQUED, Right.WORK_ON, StepName.WAX),
    _step(StepName.CORRECT_RESULT, Stage, None, Right.FIRE),
    _step(StepName.GIVE, _ALL | {Stage.CLAIMED}, None, Right.EDIT),
    _step(StepName.MERGE, _ALL | {Stage.CLAIMED}, None, Right.EDIT),
    _step(StepName.FIRE_AGAIN, (Stage.FIRED,), Stage.GLAZED, Right.CORRECT),
    _step(StepName.NOTE_FLAWS, (Stage.FIRED, Stage.CLAIMED), None, Right.WORK_ON),
    _step(StepName.WISH, WISHED_AT, None, Right.WORK_ON),
    _step(StepName.WITHDRAW, WISHED_AT, None, Right.WORK_ON),
    _step(StepName.LOSE, _ALL - {Stage.CLAIMED}, Stage.LOST, Right.WORK_ON, StepName.FIND),
    _step(StepName.FIND, (Stage.LOST,), None, Right.WORK_ON, StepName.LOSE),
    _step(StepName.CORRECT, _ALL - {Stage.GREENWARE}, None, Right.CORRECT),
)

STAYS = frozenset(
    {
        *(
            StepName.SET_RIGHT,
            StepName.SHELVE,
            StepName.ACCEPT,
            StepName.TAKE_OUT,
            StepName.DECORATE,
            StepName.NOTE_FLAWS,
            StepName.WISH,
            StepName.WITHDRAW,
            StepName.GIVE,
            StepName.MERGE,
        ),
    }
)
"""The steps after which a piece is at the stage it was: what is known of it, its shelf or what is accepted changed.

So is a piece that is taken out of a kiln because a change made it unfit: it left its queue with the change.
"""

STEPS: dict[StepName, Step] = {step.name: step for step in _ROWS}
"""The table of steps. The stage diagram in DEVELOPERS.md is drawn from it."""

MOVES = (
    StepName.WAX,
    StepName.WASH_OFF,
    StepName.NOT_WAXED,
    StepName.QUEUE,
    StepName.PULL_BACK,
    StepName.SHELVE,
    StepName.LOSE,
    StepName.FIND,
)
"""The steps that one scan takes a piece through."""


_FOOT_AFTER: dict[StepName, Foot | None] = {StepName.WAX: Foot.WAXED, StepName.NOT_WAXED: None}
"""What a step says of the foot; every other leaves it as it was."""

_NOT_NOW: dict[str, Template] = {
    StepName.WAX: _("{piece} is {stage}. It can't be waxed now."),
    StepName.REGISTER: _("{piece} is {stage}. It can't be registered now."),
    StepName.BISQUE: _("{piece} is {stage}. It can't be bisqued now."),
    StepName.GLAZE: _("{piece} is {stage}. It can't be glazed now."),
    StepName.SET_RIGHT: _("{piece} is {stage}. It can't be edited now."),
    StepName.QUEUE: _("{piece} is {stage}. It can't be queued now."),
    StepName.PULL_BACK: _("{piece} is {stage}. It can't be taken out of a queue now."),
    StepName.SHELVE: _("{piece} is {stage}. It can't be put on a shelf now."),
    StepName.ACCEPT: _("{piece} is {stage}. It can't be signed off on now."),
    StepName.TAKE_OUT: _("{piece} is {stage}. It can't be taken out of a kiln now."),
    StepName.FIRE: _("{piece} is {stage}. It can't be fired now."),
    StepName.CLAIM: _("{piece} is {stage}. It can't be handed out now."),
    StepName.CORRECT_RESULT: _("{piece} is {stage}. It has no result to correct."),
    StepName.MERGE: _("{piece} is {stage}. It can't be merged now."),
    StepName.GIVE: _("{piece} is {stage}. It can't be given to another maker now."),
    StepName.TAKE_BACK: _("{piece} is {stage}. It hasn't been handed out."),
    StepName.WASH_OFF: _("{piece} is {stage}. Its layers can't come off now."),
    StepName.NOT_WAXED: _("{piece} is {stage}. It can't be marked as not waxed now."),
    StepName.DECORATE: _("{piece} is {stage}. It can't be decorated now."),
    StepName.NOTE_FLAWS: _("{piece} is {stage}. It can't get new flaws now."),
    StepName.WISH: _("{piece} is {stage}. You can't ask for a firing now."),
    StepName.WITHDRAW: _("{piece} is {stage}. It has no request to withdraw."),
    StepName.FIRE_AGAIN: _("{piece} is {stage}. It can't be fired again now."),
    StepName.LOSE: _("{piece} is {stage}. It can't be marked as lost now."),
    StepName.FIND: _("{piece} is {stage}. It can't be marked as found now."),
    StepName.CORRECT: _("{piece} is {stage}. It can't be corrected now."),
}
"""What is said of a step that does not start at the stage where a piece is."""

_OUT_OF_A_KILN = frozenset({StepName.BISQUE, StepName.FIRE})
"""The steps that a piece takes as it comes out of a kiln."""

_CHANGED = _("{piece} has just changed: it's {stage} now.")
_STAFF_UNDO_IT = _("Ask staff to undo the hand-out.")
_UNDO_IT = _("Was that a mistake? Press “Undo the hand-out” on its page.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ware:
    """All that the rules ask about a pot: what it is made of, what it wears and what it is for.

    Lengths are in mm. A value of None means nobody has said. The rules then take the careful side and say so, except
    about `use` (food rules are asked of ware that is for food) and `fired_to`, the hottest cone it has seen, a bisque
    included (None: no firing is on record). `flaws` are what a bisque and the glaze firings left on it,
    but for what is known to show only where no food comes. `coats` says how much its `layers` tell: a pot without any
    may be glazed yet, unless a what-if told all. `supervised` says that the instructor approves its maker's leach
    hazards and raku.
    """

    clay: Clay
    layers: tuple[Layer, ...] = ()
    coats: Coats = Coats.ON_RECORD
    build: Build | None = None
    use: Use | None = None
    height_mm: int | None = None
    width_mm: int | None = None
    depth_mm: int | None = None
    fragile: bool = False
    burnished: bool | None = None
    mended: bool = False
    fired_to: Cone | None = None
    flaws: tuple[Flaw, ...] = ()
    weight_g: int | None = None
    wall_mm: int | None = None
    vented: bool | None = None
    dry: bool | None = None
    foot: Foot | None = None
    catch_plate: bool = False
    container_fits: bool | None = None
    glazed_hours: float | None = None
    has_question: bool = False
    supervised: bool = False

    @property
    def largest_mm(self) -> int | None:
        """Its largest measure in mm, or None when nobody has measured it."""
        return max([mm for mm in (self.height_mm, self.width_mm, self.depth_mm) if mm is not None], default=None)

    @property
    def is_round(self) -> bool:
        """Whether it is as wide as it is deep because it was thrown."""
        return self.build is Build.THROWN

    @property
    def may_be_round(self) -> bool:
        """Whether it may be round: thrown, or as wide as it is deep and built in a way that seldom leaves corners."""
        is_even = self.width_mm is not None and self.width_mm == self.depth_mm
        return self.is_round or (is_even and self.build is not None and self.build not in HAS_CORNERS)

    @property
    def is_measured(self) -> bool:
        """Whether all three of its measures are known."""
        return None not in (self.height_mm, self.width_mm, self.depth_mm)

    @property
    def ceiling(self) -> Cone:
        """The hottest cone it stands: the least of its clay's and its layers'."""
        return min((self.clay.ceiling, *(layer.glaze.ceiling for layer in self.layers)))

    @property
    def is_fired_clay(self) -> bool:
        """Whether its clay has been fired, as far as that is known."""
        return self.fired_to is not None

    @property
    def is_outdoor_only(self) -> bool:
        """Whether a layer on it belongs in the raku kiln and nowhere else."""
        return any(layer.glaze.is_outdoor_only for layer in self.layers)

    @property
    def spoilt_by(self) -> tuple[Flaw, ...]:
        """The flaws with which it holds no food, until it is fired again and comes out well.

        Bisque that came out underfired isn't: the firing of its glaze is the one that matures it.
        """
        spoilt = tuple([flaw for flaw in self.flaws if flaw in SPOILS_FOOD])
        if Flaw.UNDERFIRED in spoilt and self.is_bisque:
            return tuple([flaw for flaw in spoilt if flaw is not Flaw.UNDERFIRED])
        return spoilt

    @property
    def sheds_slivers(self) -> bool:
        """Whether it shivered: its glaze flakes off in slivers that cut, whatever is done with it (common practice)."""
        return Flaw.SHIVERED in self.flaws

    def too_cool_to_melt(self, cone: Cone) -> tuple[Layer, ...]:
        """The layers of glaze on it that a firing to `cone` doesn't melt."""
        return tuple(one for one in self.layers if one.glaze.coat is Coat.GLAZE and one.glaze.cone_low > cone)

    def beyond(self, cone: Cone) -> frozenset[Flaw]:
        """The flaws that a firing to `cone` can't mend on it, however well it comes out.

        Glaze heals where it melts: in a firing that reaches the cones of each glaze on it, or, where none is on
        record, the hottest that it has seen. Clay that came out underfired has to mature as well. Where overglaze is
        fired on it was the last, so that only it was underfired: a firing of overglaze alone matures it.
        """
        if self._matures_overglaze(cone):
            return frozenset(Flaw) - {Flaw.UNDERFIRED}
        is_glazed = any(layer.glaze.coat is Coat.GLAZE for layer in self.layers)
        is_hot = is_glazed or self.fired_to is None or cone >= self.fired_to
        if not is_hot or self.too_cool_to_melt(cone):
            return frozenset(Flaw)
        matures = self.use is not Use.FOOD or self.clay.is_mature_at(cone)
        return LASTING if matures else LASTING | {Flaw.UNDERFIRED}

    def _matures_overglaze(self, cone: Cone) -> bool:
        """Whether a firing to `cone` is one of the fired overglaze on it, over glaze and clay that matured before.

        On ware for food nothing raw is on it: what matures for the first time says nothing of the glaze under it.
        """
        fired = [one for one in self.layers if one.fired_to is not None]
        over = [one.glaze for one in fired if one.glaze.coat is Coat.OVERGLAZE]
        if not over or not all(glaze.cone_low <= cone <= glaze.cone_high for glaze in over):
            return False
        if self.use is not Use.FOOD:
            return True
        return len(fired) == len(self.layers) and self.fired_to is not None and self.clay.is_mature_at(self.fired_to)

    @property
    def holds_food(self) -> bool:
        """Whether it is for food and nothing that the fire did keeps it from that."""
        return self.use is Use.FOOD and not self.spoilt_by

    @property
    def is_cracked(self) -> bool:
        """Whether it is cracked or mended."""
        return self.mended or not CRACKS.isdisjoint(self.flaws)

    @property
    def has_glaze(self) -> bool:
        """Whether glaze or overglaze is on it, raw or fired."""
        return any(layer.glaze.coat in GLASS for layer in self.layers)

    def may_come_to(self, route: Route) -> bool:
        """Whether it could be fired so once it is glazed; in an overglaze firing only with an overglaze on it."""
        if route.kind is RouteKind.OVERGLAZE:
            return any(layer.glaze.coat is Coat.OVERGLAZE for layer in self.layers)
        return route.kind not in RAW

    @property
    def is_glaze_fired(self) -> bool:
        """Whether a coat of glaze or overglaze on it has been fired."""
        return any(layer.glaze.coat in GLASS and layer.fired_to is not None for layer in self.layers)

    @property
    def is_glazed_bisque(self) -> bool:
        """Whether it was only bisqued, cooler than all its glaze, which is raw.

        Ware that saw the heat of its glaze may have worn it there, whatever is told: the careful side is that it did.
        """
        glaze = [layer.glaze for layer in self.layers if layer.glaze.coat is Coat.GLAZE]
        if self.fired_to is None or self.is_glaze_fired or not glaze:
            return False
        return all(self.fired_to < one.cone_low for one in glaze)

    @property
    def is_bisque(self) -> bool:
        """Whether the firing of its glaze is still to come, as far as its coats tell."""
        return self.is_glazed_bisque

    @property
    def is_bare_bisque(self) -> bool:
        """Whether no glaze is on it and no firing has matured its clay: none was ever melted on it."""
        return not self.has_glaze and self.fired_to is not None and not self.clay.is_mature_at(self.fired_to)

    def fired(self, cone: Cone) -> Self:
        """The same ware after a firing to `cone`: clay and layers keep the hottest cone that they have seen."""
        hottest = cone if self.fired_to is None else max(self.fired_to, cone)
        return replace(self, fired_to=hottest, layers=tuple(layer.fired(cone) for layer in self.layers))

    def wearing(self, layer: Layer) -> Self:
        """The same ware with one more layer on top."""
        return replace(self, layers=(*self.layers, layer))


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece(Ware):
    """One pot, tile or sculpture. `id` numbers it for life; its `code` comes with the bisque.

    `came_from` is the stage before the present one where a step may lead back to it: before the queue, or before it
    was lost. `route` is the queue it waits in, `in_firing` the firing in whose kiln it stands, `planned_in` the one
    it is meant for. One that `nests` is an open form, and goes into another in a bisque. Pieces of one maker with the
    same `set_name` fire together: a pot, its lid, its loose parts. `version` goes up by one with every change.
    """

    id: int
    what: str
    maker_id: int
    stage: Stage
    code: str | None = None
    glazed_at: datetime | None = None
    came_from: Stage | None = None
    route: str | None = None
    in_firing: int | None = None
    planned_in: int | None = None
    nests: bool = False
    set_name: str | None = None
    place: str = ""
    version: int = 1

    @property
    def is_bisque(self) -> bool:
        """Whether the firing of its glaze is still to come: its stage tells of bisque that has no glaze yet."""
        return self.stage in {Stage.BISQUED, Stage.WAXED} or self.is_glazed_bisque

    def at(self, moment: datetime) -> Self:
        """The piece as the rules see it at `moment`: with the hours since its last coat."""
        if self.glazed_at is None:
            return self
        return replace(self, glazed_hours=(moment - self.glazed_at).total_seconds() / 3600)

    @property
    def ref(self) -> str:
        """What it is called by: its code, or before the bisque its slip number."""
        return self.code or slip_text(self.id)

    @property
    def shelf(self) -> str:
        """The shelf or cart it is on, if that is known; while it is in a kiln it is on none."""
        return "" if self.in_firing is not None else self.place

    @property
    def set_key(self) -> tuple[int, str] | None:
        """What tells its set from every other: two makers' "teapot" are two sets. None for a piece of no set."""
        return None if self.set_name is None else (self.maker_id, self.set_name)

    @property
    def worn_names(self) -> tuple[str, ...]:
        """The names of its layers, in the order in which they went on."""
        return tuple(layer.glaze.name for layer in self.layers)

    def must_be_as_seen(self, seen: int | None) -> None:
        """Refuse with `ChangedMeanwhile` unless this is still the version somebody decided on; None asks nothing."""
        if seen is not None and seen != self.version:
            raise ChangedMeanwhile(
                Message("piece-changed", _CHANGED, piece=self.ref, stage=self.stage),
                Message("look-again", _("Check it again before you continue.")),
            )

    def must_not_be_in_a_kiln(self) -> None:
        """Refuse with `NotAStep` while it stands in a firing's kiln."""
        if self.in_firing is not None:
            words = _("{piece} is in the kiln of firing {firing}.")
            raise NotAStep(
                Message("piece-in-a-kiln", words, piece=self.ref, firing=str(self.in_firing)),
                Message("unload-it-first", _("Take it out of that firing first.")),
            )

    @property
    def is_to_bag(self) -> bool:
        """Whether it came out shivered and is still here: it is bagged and thrown away, not handed out."""
        return self.stage is Stage.FIRED and self.sheds_slivers

    def must_not_shed(self) -> None:
        """Refuse with `NotAStep` to part with it or put it by while its glaze flakes off: the slivers cut."""
        if self.is_to_bag:
            raise NotAStep(
                Message("sheds-slivers", _("{piece} came out shivered. Slivers of its glaze cut."), piece=self.ref),
                Message("bag-and-discard", _("Wear gloves and goggles. Bag it. Mark it as discarded.")),
            )

    def must_start(self, name: StepName) -> Step:
        """The row of the table for step `name`; `NotAStep` when it does not start where this piece stands."""
        step = STEPS[name]
        if self.stage not in step.start or (name is StepName.QUEUE and name in self.out_of_reach):
            words = Choice("step", _NOT_NOW)
            raise NotAStep(Message("not-a-step-now", words, piece=self.ref, stage=self.stage, step=name), self.possible)
        return step

    @property
    def out_of_reach(self) -> frozenset[StepName]:
        """The steps of its stage that what is on it leaves no room for: nothing to wash off, nothing raw to queue."""
        has_raw = any(layer.fired_to is None and not layer.glaze.burns_away for layer in self.layers)
        waits = self.stage is not Stage.GREENWARE or self.has_glaze
        return frozenset(() if has_raw else {StepName.WASH_OFF}) | frozenset(() if waits else {StepName.QUEUE})

    @property
    def is_raw(self) -> bool:
        """Whether it is greenware, on its shelf or in a queue."""
        return self.stage is Stage.GREENWARE or (self.stage is Stage.QUEUED and self.came_from is Stage.GREENWARE)

    @property
    def is_fired_clay(self) -> bool:
        """Whether its clay has been fired; ware that came here bisqued has, though no firing is on record."""
        return not self.is_raw

    def may_come_to(self, route: Route) -> bool:
        """Whether it could be fired so in the end: raw glaze only where it fires once."""
        if self.is_raw and self.has_glaze:
            return route.kind is RouteKind.ONCE_FIRE
        # Not super(): a dataclass with slots is made twice.
        return Ware.may_come_to(self, route)

    def may_wait_for(self, route: Route) -> bool:
        """Whether a piece at this stage belongs in that queue: bare ware where it may, raw ware to fire once."""
        if not self.may_come_to(route) or (self.is_raw and not self.has_glaze):
            return False
        return route.takes_glaze if self.has_glaze else route.takes_bare

    @property
    def possible(self) -> Message:
        """What can be done with it instead; of a lost piece the question is whether it was found."""
        return self.possible_but()

    def possible_but(self, shut: AbstractSet[StepName] = frozenset()) -> Message:
        """The same without the steps that are `shut` to it by more than its stage and its layers."""
        if self.stage is Stage.LOST:
            return Message("found-it", _("Did you find it? Mark it as found first."))
        if self.is_to_bag:
            return Message("bag-it", _("Slivers cut: wear gloves and goggles. Bag it. Mark it as discarded."))
        if self.in_firing is not None:
            words = _("{piece} is in the kiln of firing {firing}. Take it out or unload that firing first.")
            return Message("possible-after-the-kiln", words, piece=self.ref, firing=str(self.in_firing))
        not_alone = {StepName.CORRECT, StepName.ACCEPT, StepName.TAKE_OUT, StepName.NOTE_FLAWS}
        not_alone |= {
            StepName.WISH,
            StepName.WITHDRAW,
            StepName.TAKE_BACK,
            StepName.CORRECT_RESULT,
            StepName.GIVE,
            StepName.MERGE,
        }
        if self.stage not in BY_ITS_MAKER:
            not_alone.add(StepName.SET_RIGHT)
        not_now = not_alone | self.out_of_reach | shut
        names = tuple(step.name for step in STEPS.values() if self.stage in step.start and step.name not in not_now)
        if names:
            leads = next((one for one in _LEADS_ON.get(self.stage, ()) if one in names), StepName.SHELVE)
            return Message("possible-now", _NEXT, next=str(leads), steps=names)
        return Message("undo-the-hand-out", ByRole(_STAFF_UNDO_IT, {"staff": _UNDO_IT, "instructor": _UNDO_IT}))

    def take(self, name: StepName, *, to: Stage | None = None) -> Self:
        """This piece after step `name`; `to` only says where a correction leads.

        What the step does to the piece beside its stage (a code, a layer, a route) the caller sets before or after.
        """
        step = self.must_start(name)
        if name is StepName.WASH_OFF:
            return self._washed()
        stage = self.stage if name in STAYS else step.to or to or self._back()
        if name is StepName.CORRECT:
            self._must_be_earlier(stage)
        # What is lost out of a queue is found on the shelf: a queue is entered only through its rules.
        shelf = self.came_from if self.stage is Stage.QUEUED else self.stage
        before = {StepName.QUEUE: self.stage, StepName.LOSE: shelf}.get(name)
        bare = stage in {Stage.GREENWARE, Stage.BISQUED, Stage.WAXED} and name is StepName.CORRECT
        taken = self._stripped() if bare else self
        never_fired = name is StepName.CORRECT and stage is not Stage.FIRED
        return replace(
            taken,
            stage=stage,
            came_from=self.came_from if name in STAYS else before,
            route=None if stage is not Stage.QUEUED else self.route,
            foot=_FOOT_AFTER.get(name, taken.foot),
            layers=tuple(one for one in taken.layers if name is not StepName.NOT_WAXED or not one.glaze.burns_away),
            # A correction to before the fire says that the firing never was; one from claimed to fired does not.
            # A kiln is unloaded onto whatever is at hand: where it stood before is no longer where it is.
            place="" if name in _OUT_OF_A_KILN else self.place,
            fired_to=None if never_fired else self.fired_to,
            flaws=() if never_fired else self.flaws,
            version=self.version + 1,
        )

    def _washed(self) -> Self:
        """The piece without its raw coats: what was fired stays on it, and so does dry wax."""
        on = tuple(one for one in self.layers if one.fired_to is not None or one.glaze.burns_away)
        if StepName.WASH_OFF in self.out_of_reach:
            raise NotAStep(
                Message("nothing-to-wash-off", _("{piece} has no raw layer to take off."), piece=self.ref),
                Message("burn-it-out", _("Re-bisque it to burn off dry wax. Fired glaze stays.")),
            )
        bare = replace(self, layers=on, catch_plate=False, glazed_at=None, version=self.version + 1)
        if self.stage is Stage.GREENWARE or bare.has_glaze:
            return bare
        stage = Stage.WAXED if self.foot is Foot.WAXED else Stage.BISQUED
        return replace(bare, stage=stage, foot=self.foot if stage is Stage.WAXED else None)

    def _stripped(self) -> Self:
        """The piece as its bisque left it: no glaze on it, and of its foot nothing known anymore."""
        on = tuple(one for one in self.layers if one.glaze.coat in ON_CLAY and one.fired_to is not None)
        return replace(self, layers=on, foot=None, catch_plate=False, glazed_at=None)

    def _back(self) -> Stage:
        return self.came_from or (Stage.GLAZED if self.has_glaze else Stage.BISQUED)

    def _must_be_earlier(self, stage: Stage) -> None:
        earlier = [one for one in LINE[: LINE.index(self.stage)] if one is not Stage.QUEUED]
        if stage not in earlier:
            words = _("{piece} is {stage}: a correction can't make it {wanted}.")
            remedy = _("You can correct it to {stages}. To queue it, use “Scan and move”.")
            raise NotAStep(
                Message("not-earlier", words, piece=self.ref, stage=self.stage, wanted=stage),
                Message("correct-to", remedy, stages=Either(tuple(earlier))),
            )


_LEADS_ON: Mapping[Stage, tuple[StepName, ...]] = {
    Stage.GREENWARE: (StepName.QUEUE, StepName.BISQUE),
    Stage.BISQUED: (StepName.GLAZE,),
    Stage.WAXED: (StepName.GLAZE,),
    Stage.GLAZED: (StepName.QUEUE,),
    Stage.QUEUED: (StepName.PULL_BACK,),
    Stage.FIRED: (StepName.CLAIM,),
}
"""The step with which a piece goes on from its stage, the first that is possible."""

_NEXT = Choice(
    "next",
    {
        StepName.BISQUE.value: _("Bisque it first."),
        StepName.GLAZE.value: _("Glaze it next."),
        StepName.QUEUE.value: _("Put it in a queue next."),
        StepName.PULL_BACK.value: _("To move it, take it out of its queue first."),
        StepName.CLAIM.value: _("Put it on the pickup shelf."),
        StepName.SHELVE.value: _("Open its page to see what it needs."),
    },
)
"""One order for each step that leads on; where none does, its page says what stands in the way."""
