"""Clay bodies, glazes and the layers a piece wears, with the evidence behind a glaze's food standing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from tracker.domain.cones import CONES, Cone, ConeRange, cones_apart
from tracker.domain.studio.absorption import Absorption, Weighing, at_least, at_most, means
from tracker.domain.studio.leach_tests import ReleaseTest
from tracker.domain.studio.metals import Metal, metals_of


class ClayKind(StrEnum):
    """What sort of body a clay is; UNKNOWN when nobody can name it."""

    EARTHENWARE = "earthenware"
    STONEWARE = "stoneware"
    PORCELAIN = "porcelain"
    GROGGED = "grogged"
    UNKNOWN = "unknown"


class Family(StrEnum):
    """Which firing a glaze is made for; OUTSIDE for a glaze that is not the studio's own."""

    LOW_FIRE = "low-fire"
    MID_RANGE = "mid-range"
    HIGH_FIRE = "high-fire"
    OUTDOOR = "outdoor"
    OUTSIDE = "outside"


class FoodStanding(StrEnum):
    """What is known of a glaze and food, best first."""

    TESTED = "tested"
    DECLARED = "declared"
    UNTESTED = "untested"
    DECORATIVE = "decorative"


class Trait(StrEnum):
    """A way in which a glaze behaves that a rule asks about."""

    CRACKLE = "crackle"
    LUSTER = "luster"
    RUNNY = "runny"
    WANTS_REDUCTION = "wants-reduction"
    WANTS_OXIDATION = "wants-oxidation"


class Coat(StrEnum):
    """What sort of coat it is, by what the fire does to it.

    Glaze melts to glass. Underglaze, slip and terra sigillata color the clay, and over their top cone they fade or
    darken but do not run. Overglaze (luster, china paint) goes over fired glaze in a cool firing of its own. Wax keeps
    the next coat off, and the fire leaves nothing of it.
    """

    GLAZE = "glaze"
    UNDERGLAZE = "underglaze"
    SLIP = "slip"
    SIGILLATA = "sigillata"
    WAX = "wax"
    OVERGLAZE = "overglaze"


ON_CLAY = frozenset({Coat.UNDERGLAZE, Coat.SLIP, Coat.SIGILLATA})
"""The coats that belong on bare clay, greenware too, and that no fire makes run."""

GLASS = frozenset({Coat.GLAZE, Coat.OVERGLAZE})
"""The coats that melt, and stick to whatever they touch."""

CLAYS_IN_COATS = frozenset({Coat.SLIP, Coat.SIGILLATA})
"""The coats that are clay themselves: they stay porous or turn dense with the pot, and need no heat of their own."""


LUSTER = "luster"
"""What an overglaze is called that is one."""


class Surface(StrEnum):
    """How a glaze feels and shines once it is fired; DRY is matte without any melt to the touch."""

    GLOSS = "gloss"
    SATIN = "satin"
    MATTE = "matte"
    DRY = "dry"


class HowOn(StrEnum):
    """How a glaze goes on."""

    DIP = "dip"
    POUR = "pour"
    SPRAY = "spray"
    BRUSH = "brush"


class Zone(StrEnum):
    """Where on a piece a layer sits; all over is inside, rim and outside, and never the foot."""

    ALL_OVER = "all-over"
    INSIDE = "inside"
    LIP = "lip"
    OUTSIDE = "outside"
    FOOT = "foot"

    def meets(self, other: Zone) -> bool:
        """Whether a layer here and one there may lie on each other somewhere."""
        return self is other or Zone.ALL_OVER in {self, other}


HOTTEST_LOW_FIRE = Cone.parse("01")
"""The hottest cone of low-fire ware (common practice)."""

VITREOUS_PCT = 3.0
"""What is called vitreous absorbs no more than this, in percent (ANSI A137.1)."""

NON_VITREOUS_PCT = 7.0
"""What is called non-vitreous absorbs more than this, in percent (ANSI A137.1)."""

LOWEST_HEAT = (Cone.parse("06"), Cone.parse("04"))
"""What a clay nobody can name, or a glaze from outside, is taken for: the lowest-firing of its kind
(common practice: low-fire ware matures from cone 06 to 04)."""

LOWEST_OVERGLAZE = (Cone.parse("022"), Cone.parse("014"))
"""What an overglaze from outside is taken for: lusters and china paints come out from cone 022 to 014
(common practice)."""


def _hold_to_lowest_heat(material: Clay | Glaze, least: tuple[Cone, Cone] = LOWEST_HEAT) -> None:
    """Lower both cones of a new value to those of `least` where they lie above; a lower one stays as it is."""
    for cone, lowest in zip(("cone_low", "cone_high"), least, strict=True):
        object.__setattr__(material, cone, min(getattr(material, cone), lowest))


@dataclass(frozen=True, slots=True, kw_only=True)
class Clay:
    """A clay body: it matures from `cone_low` to `cone_high` and slumps above `slumps_above`.

    `absorption_pct` is its water absorption when mature, in percent, as a data sheet says; None is not known.
    `absorption` is what was measured at one cone or another, None only in a what-if that does not ask about it;
    `weighings` are the studio's own specimens. `shrinkage_pct` is from wet to fired.
    A clay that nobody can name (UNKNOWN) is held to LOWEST_HEAT, whatever cones are said of it. `cones_checked` says
    that a person has confirmed cones that are not usual for its kind.
    """

    name: str
    kind: ClayKind
    cone_low: Cone
    cone_high: Cone
    slumps_above: Cone | None = None
    absorption_pct: float | None = None
    shrinkage_pct: float | None = None
    absorption: tuple[Absorption, ...] | None = ()
    weighings: tuple[Weighing, ...] = ()
    cones_checked: bool = False
    retired: bool = False

    def __post_init__(self) -> None:
        """Hold a nameless clay to the lowest heat."""
        if self.kind is ClayKind.UNKNOWN:
            _hold_to_lowest_heat(self)
            object.__setattr__(self, "slumps_above", None)

    @property
    def measured(self) -> tuple[Absorption, ...]:
        """What is known by measuring: one result for each cone and method, of what is in force, from cool to hot."""
        if not (self.absorption or self.weighings):
            return ()
        return means((*(self.absorption or ()), *(one.absorption for one in self.weighings if not one.withdrawn)))

    def __hash__(self) -> int:
        """By its name alone, like a glaze."""
        return hash(self.name)

    @property
    def cones(self) -> ConeRange:
        """The cones between which it matures."""
        return ConeRange(self.cone_low, self.cone_high)

    @property
    def ceiling(self) -> Cone:
        """The hottest cone it stands; above `cone_high` only where the studio has said so."""
        return self.slumps_above or self.cone_high

    def is_mature_at(self, cone: Cone) -> bool:
        """Whether a firing to `cone` matures it."""
        return cone >= self.cone_low

    def sheet_speaks_for(self, cone: Cone) -> bool:
        """Whether the absorption on its data sheet, which names no cone, tells that of clay fired to `cone`.

        It does from the top of its cones up, and of clay for one cone or for two neighbors, such as 5 to 6, wherever
        that is mature (common practice). Clay absorbs more the cooler it is fired, so below the top of a wider range a
        sheet only says that mature clay may be dense enough.
        """
        if self.absorption_pct is None or cone < self.cone_low:
            return False
        return cone >= self.cone_high or cones_apart(self.cone_low, self.cone_high) <= 1

    def is_shown_within(self, cone: Cone, pct: float) -> bool:
        """Whether a test shows that a firing to `cone` leaves it absorbing no more than this, in percent.

        A test is the fact, whatever cones its label names; one that shows it more porous wins.
        """
        most = at_most(self.measured, cone)
        return most is not None and most.pct <= pct and not self.is_shown_over(cone, pct)

    def is_known_within(self, cone: Cone, pct: float) -> bool:
        """Whether a test or its data sheet tells that a firing to `cone` leaves it absorbing no more than this."""
        sheet = self.absorption_pct
        says = sheet is not None and sheet <= pct and self.sheet_speaks_for(cone)
        return self.is_shown_within(cone, pct) or (says and not self.is_shown_over(cone, pct))

    def is_shown_over(self, cone: Cone, pct: float) -> bool:
        """Whether a test shows that a firing to `cone` leaves it absorbing more than this, in percent."""
        least = at_least(self.measured, cone)
        return least is not None and least.pct > pct

    def stays_over(self, cone: Cone, pct: float) -> bool:
        """Whether it is known to absorb more than this, in percent, after a firing to `cone` that doesn't mature it.

        It is when fired no hotter than low-fire ware (common practice), by a test, or where even mature it does.
        Hotter, density comes little by little, and what it absorbs isn't known.
        """
        absorbs_when_mature = self.absorption_pct or 0
        return cone <= HOTTEST_LOW_FIRE or self.is_shown_over(cone, pct) or absorbs_when_mature > pct

    def is_dense_at(self, cone: Cone) -> bool:
        """Whether a firing to `cone` leaves it too dense to be pulled hot again (common practice).

        Earthenware and raku bodies stay porous when mature. So it is dense where it matures over cone 01, or where it
        is known to absorb no more than vitreous tile does (ANSI A137.1).
        """
        if self.is_shown_within(cone, VITREOUS_PCT):
            return True
        if not self.is_mature_at(cone) or self.kind is ClayKind.EARTHENWARE or self.is_shown_over(cone, VITREOUS_PCT):
            return False
        is_bounded = at_most(self.measured, cone) is not None
        if self.absorption_pct is not None and (self.sheet_speaks_for(cone) or not is_bounded):
            return self.absorption_pct <= VITREOUS_PCT
        return cone > HOTTEST_LOW_FIRE and not is_bounded

    def is_brittle_at(self, cone: Cone) -> bool:
        """Whether a firing to `cone` leaves it too mature for the shock of an outdoor firing (common practice).

        Mature clay resists it less, porous or dense. Earthenware stays open through its cones and counts as mature from
        the hottest of them. A raku body is sold for cones up from bisque heat and made to be
        pulled hot: bisqued, it does. Of clay that nobody can name only heat tells. Stoneware and porcelain don't turn
        dense all at once where they mature: over a bisque's heat they may be dense, unless a test shows them open.
        """
        if self.is_dense_at(cone):
            return True
        if self.kind is ClayKind.UNKNOWN or (self.kind is ClayKind.GROGGED and cone <= HOTTEST_LOW_FIRE):
            return False
        if self.kind is ClayKind.EARTHENWARE:
            return cone >= self.cone_high
        return self.is_mature_at(cone) or (
            self.kind in _VITRIFYING and cone > HOTTEST_LOW_FIRE and not self.is_shown_over(cone, VITREOUS_PCT)
        )


_VITRIFYING = frozenset({ClayKind.STONEWARE, ClayKind.PORCELAIN})
"""The kinds of clay that turn dense little by little as they near their cones (common practice)."""


_OF_WAX: Mapping[str, object] = {
    "family": Family.LOW_FIRE,
    "cone_low": CONES[0],
    "cone_high": CONES[-1],
    "food": FoodStanding.DECLARED,
    "traits": frozenset(),
    "metals": frozenset(),
    "tests": (),
}
"""What is so of any wax, whatever is said of it: from the coolest cone to the hottest it stands in nobody's way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Glaze:
    """A glaze, underglaze, slip or wax on the studio's shelf: it matures from `cone_low` to `cone_high`.

    A glaze from OUTSIDE the studio is held to LOWEST_HEAT, an overglaze to LOWEST_OVERGLAZE, whatever cones are said of
    it. `food` is None only in a what-if that does not ask about food. Of wax only its name, color, bucket and how it
    goes on are its own: it needs no heat, stands any, and stays on no piece. `metals` are the words of its recipe.
    `shelf_number` is the number of its place on the glaze shelf. `cones_checked` says that a person has confirmed cones
    that are not usual for its family.
    """

    name: str
    family: Family
    cone_low: Cone
    cone_high: Cone
    food: FoodStanding | None
    traits: frozenset[Trait] = frozenset()
    metals: frozenset[str] = frozenset()
    coat: Coat = Coat.GLAZE
    goes_on: frozenset[HowOn] = frozenset()
    bucket: str = ""
    shelf_number: int | None = None
    color: str = ""
    surface: Surface | None = None
    cones_checked: bool = False
    retired: bool = False
    tests: tuple[ReleaseTest, ...] = ()

    def __post_init__(self) -> None:
        """Hold a glaze that the studio does not know to the lowest heat, and take of wax that it leaves nothing."""
        if self.coat is Coat.WAX:
            for fact, value in _OF_WAX.items():
                object.__setattr__(self, fact, value)
        if self.family is Family.OUTSIDE:
            _hold_to_lowest_heat(self, LOWEST_OVERGLAZE if self.coat is Coat.OVERGLAZE else LOWEST_HEAT)

    def __hash__(self) -> int:
        """By its name alone: a catalog has no two of one name, and rules ask often whether two coats are one."""
        return hash(self.name)

    @property
    def sort(self) -> Family | Coat:
        """What it is, in one word: the family of a glaze, and of any other coat the coat."""
        return self.family if self.coat is Coat.GLAZE else self.coat

    @property
    def noun(self) -> str:
        """What a sentence calls it by: what sort of coat it is; of overglazes a luster by its own name."""
        is_luster = self.coat is Coat.OVERGLAZE and Trait.LUSTER in self.traits
        return LUSTER if is_luster else self.coat.value

    @property
    def ceiling(self) -> Cone:
        """The hottest cone at which it stays on the pot; what only fades stands any."""
        return CONES[-1] if self.coat in ON_CLAY else self.cone_high

    def matures_at(self, cone: Cone) -> bool:
        """Whether it comes out at this cone as it should; what only fades does at every hotter one too."""
        return self.cone_low <= cone <= self.ceiling

    @property
    def burns_away(self) -> bool:
        """Whether the fire leaves nothing of it, so that no rule asks about it."""
        return self.coat is Coat.WAX

    @property
    def holds(self) -> frozenset[Metal]:
        """The metals that the words of its recipe name."""
        return metals_of(self.metals)

    @property
    def is_outdoor_only(self) -> bool:
        """Whether it belongs in the raku kiln and nowhere else."""
        return self.family is Family.OUTDOOR

    @property
    def is_likely_copper(self) -> bool:
        """Whether it is a raku luster of which nobody has told the recipe: these get their luster from copper."""
        return self.is_outdoor_only and Trait.LUSTER in self.traits and not self.metals

    @property
    def cones(self) -> ConeRange:
        """The cones between which it matures."""
        return ConeRange(self.cone_low, self.cone_high)


@dataclass(frozen=True, slots=True)
class Layer:
    """One coat on a piece; the order of a piece's layers is the order in which they went on.

    `fired_to` is the hottest cone it has been fired to, None while it is raw.
    """

    glaze: Glaze
    zone: Zone
    fired_to: Cone | None = None

    def fired(self, cone: Cone) -> Layer:
        """The layer after a firing to `cone`."""
        return replace(self, fired_to=cone if self.fired_to is None else max(self.fired_to, cone))
