"""What the domain's own values are called: stages, steps, roles, traits and the like."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum

from tracker.domain.cones import Band
from tracker.domain.firing.firings import FiringStage, FiringStep
from tracker.domain.firing.witness_cones import Stands
from tracker.domain.loading.shelf_shapes import ShelfKind
from tracker.domain.message import _
from tracker.domain.outdoor.breakage import Harm, Size
from tracker.domain.outdoor.fuel import Enough
from tracker.domain.outdoor.results import Air, Smoke
from tracker.domain.outdoor.sessions import SessionStage, SessionStep
from tracker.domain.outdoor.setting_up import Opening
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Build, Foot, Stage, StepName, Use
from tracker.domain.studio.catalog import ThingKind
from tracker.domain.studio.kilns import Atmosphere, Fuel, RouteKind
from tracker.domain.studio.leach_limits import Decision, Regime, Unit, WareClass
from tracker.domain.studio.leach_tests import Standing, VesselKind
from tracker.domain.studio.materials import ClayKind, Coat, Family, FoodStanding, HowOn, Surface, Trait, Zone
from tracker.domain.studio.metals import Metal
from tracker.domain.studio.people import Right, Role
from tracker.domain.studio.swatches import ColorFamily
from tracker.wording.metals import METALS

# By class first: a value of one StrEnum equals a value of another that has the same text.
NAMES: Mapping[type[Enum], Mapping[Enum, str]] = {
    Stage: {
        Stage.GREENWARE: _("greenware"),
        Stage.BISQUED: _("bisqued"),
        Stage.WAXED: _("waxed"),
        Stage.GLAZED: _("glazed"),
        Stage.QUEUED: _("queued"),
        Stage.FIRED: _("fired"),
        Stage.CLAIMED: _("claimed"),
        Stage.LOST: _("lost"),
    },
    Band: {
        Band.OVERGLAZE: _("overglaze or pit range"),
        Band.SOFT_BISQUE: _("cooler than most bisques"),
        Band.BISQUE: _("bisque range"),
        Band.LOW_FIRE: _("low-fire range"),
        Band.BETWEEN: _("between low-fire and mid-range"),
        Band.MID_RANGE: _("mid-range"),
        Band.MID_OR_HIGH: _("mid-range or high-fire"),
        Band.HIGH_FIRE: _("high-fire range"),
    },
    FiringStage: {
        FiringStage.PLANNED: _("planned"),
        FiringStage.LOADING: _("loading"),
        FiringStage.FIRING: _("firing"),
        FiringStage.COOLING: _("cooling"),
        FiringStage.UNLOADED: _("unloaded"),
    },
    FiringStep: {
        FiringStep.LOAD: _("load"),
        FiringStep.LIGHT: _("start"),
        FiringStep.OPEN_AGAIN: _("reopen"),
        FiringStep.PUT_OFF: _("postpone"),
        FiringStep.SHUT_OFF: _("end"),
        FiringStep.STILL_ON: _("go on firing"),
        FiringStep.UNLOAD: _("unload"),
        FiringStep.CALL_OFF: _("cancel"),
        FiringStep.TAKE_UP: _("replan"),
    },
    Loss: {
        Loss.BROKEN: _("broken"),
        Loss.MISSING: _("missing"),
        Loss.DISCARDED: _("discarded"),
        Loss.CANCELED: _("registered by mistake"),
        Loss.TWICE: _("registered twice"),
    },
    Flaw: {
        Flaw.CRAZED: _("crazed"),
        Flaw.CRAWLED: _("crawled"),
        Flaw.PINHOLED: _("pinholed"),
        Flaw.BLISTERED: _("blistered"),
        Flaw.SHIVERED: _("shivered"),
        Flaw.DUNTED: _("dunted"),
        Flaw.S_CRACK: _("S-crack"),
        Flaw.CRACKED: _("cracked"),
        Flaw.BLOATED: _("bloated"),
        Flaw.WARPED: _("warped"),
        Flaw.SLUMPED: _("slumped"),
        Flaw.STUCK: _("stuck"),
        Flaw.RAN: _("ran"),
        Flaw.UNDERFIRED: _("underfired"),
        Flaw.OVERFIRED: _("overfired"),
        Flaw.COLOR_OFF: _("color off"),
    },
    Stands: {
        Stands.STANDING: _("stands upright"),
        Stands.TIP: _("has begun to bend"),
        Stands.HALF: _("is half down"),
        Stands.DOWN: _("touches with its tip"),
        Stands.FLAT: _("is flat or melted"),
    },
    ShelfKind: {
        ShelfKind.ROUND: _("round"),
        ShelfKind.HALF: _("half round"),
        ShelfKind.RECTANGULAR: _("rectangular"),
    },
    SessionStage: {
        SessionStage.PLANNED: _("planned"),
        SessionStage.RUNNING: _("running"),
        SessionStage.ENDED: _("ended"),
    },
    SessionStep: {
        SessionStep.PLAN: _("plan"),
        SessionStep.BEGIN: _("start"),
        SessionStep.END: _("end"),
        SessionStep.CALL_OFF: _("cancel"),
    },
    Opening: {Opening.LIFT_OFF: _("lift-off"), Opening.FRONT: _("front"), Opening.TOP: _("top")},
    Enough: {
        Enough.ENOUGH: _("enough"),
        Enough.PERHAPS: _("perhaps"),
        Enough.NOT_ENOUGH: _("not enough"),
    },
    Air: {Air.MORE_FUEL: _("more fuel"), Air.EVEN: _("even"), Air.MORE_AIR: _("more air")},
    Smoke: {Smoke.NONE: _("none"), Smoke.LIGHT: _("light"), Smoke.HEAVY: _("heavy")},
    Harm: {Harm.BROKE: _("broke"), Harm.BROKE_OR_CRACKED: _("broke or cracked")},
    Metal: METALS,
    Unit: {Unit.MG_L: "mg/L", Unit.MG_DM2: "mg/dm²"},
    Regime: {Regime.US_FDA: "US FDA", Regime.EU: "EU 84/500/EEC", Regime.ISO_6486_2: "ISO 6486-2:1999"},
    Decision: {
        Decision.MEAN_OF_SIX: _("the mean of six"),
        Decision.ANY_ONE_OF_SIX: _("each of six"),
        Decision.MEAN: _("the mean"),
        Decision.ALL: _("every specimen"),
    },
    WareClass: {
        WareClass.FLATWARE: _("flatware"),
        WareClass.SMALL_HOLLOWWARE: _("small hollowware"),
        WareClass.LARGE_HOLLOWWARE: _("large hollowware"),
        WareClass.CUPS_AND_MUGS: _("cups and mugs"),
        WareClass.PITCHERS: _("pitchers"),
        WareClass.STORAGE_HOLLOWWARE: _("storage hollowware"),
        WareClass.COOKING_WARE: _("cooking ware"),
        WareClass.CATEGORY_1: _("category 1"),
        WareClass.CATEGORY_2: _("category 2"),
        WareClass.CATEGORY_3: _("category 3"),
    },
    VesselKind: {
        VesselKind.TABLEWARE: _("tableware"),
        VesselKind.CUP: _("cup or mug"),
        VesselKind.PITCHER: _("pitcher"),
        VesselKind.COOKING: _("cooking ware"),
        VesselKind.STORAGE: _("storage vessel"),
    },
    Standing: {
        Standing.PASSED: _("passed"),
        Standing.FAILED: _("failed"),
        Standing.UNDECIDED: _("undecided"),
    },
    RouteKind: {
        RouteKind.BISQUE: _("bisque"),
        RouteKind.SHELF: _("shelf"),
        RouteKind.RAKU: _("raku"),
        RouteKind.HORSEHAIR: _("horsehair"),
        RouteKind.OVERGLAZE: _("overglaze"),
        RouteKind.ONCE_FIRE: _("once-fire"),
        RouteKind.PIT: _("pit"),
        RouteKind.SODA: _("soda"),
        RouteKind.WOOD: _("wood"),
    },
    Size: {Size.LARGE: _("large"), Size.SMALL: _("small")},
    Role: {
        Role.STUDENT: _("student"),
        Role.MEMBER: _("member"),
        Role.STAFF: _("staff"),
        Role.INSTRUCTOR: _("instructor"),
    },
    StepName: {
        StepName.REGISTER: _("register"),
        StepName.BISQUE: _("bisque"),
        StepName.WAX: _("wax"),
        StepName.GLAZE: _("glaze"),
        StepName.SET_RIGHT: _("edit details"),
        StepName.QUEUE: _("queue"),
        StepName.PULL_BACK: _("take out of the queue"),
        StepName.SHELVE: _("shelve"),
        StepName.ACCEPT: _("sign off on"),
        StepName.TAKE_OUT: _("take out of the kiln"),
        StepName.FIRE: _("fire"),
        StepName.CLAIM: _("hand out"),
        StepName.WASH_OFF: _("take raw layers off"),
        StepName.NOT_WAXED: _("mark as not waxed"),
        StepName.DECORATE: _("decorate"),
        StepName.NOTE_FLAWS: _("record flaws"),
        StepName.CORRECT_RESULT: _("correct a result"),
        StepName.MERGE: _("merge with another registration"),
        StepName.GIVE: _("give to another maker"),
        StepName.TAKE_BACK: _("undo the hand-out"),
        StepName.WISH: _("ask for a firing"),
        StepName.WITHDRAW: _("withdraw the request"),
        StepName.FIRE_AGAIN: _("fire again"),
        StepName.LOSE: _("mark as lost"),
        StepName.FIND: _("mark as found"),
        StepName.CORRECT: _("correct"),
    },
    Build: {
        Build.THROWN: _("thrown"),
        Build.SLAB: _("slab"),
        Build.COIL: _("coil"),
        Build.PINCH: _("pinch"),
        Build.CAST: _("cast"),
        Build.PRESS_MOLDED: _("press-molded"),
        Build.CARVED: _("carved"),
    },
    ClayKind: {
        ClayKind.EARTHENWARE: _("earthenware"),
        ClayKind.STONEWARE: _("stoneware"),
        ClayKind.PORCELAIN: _("porcelain"),
        ClayKind.GROGGED: _("grogged"),
        ClayKind.UNKNOWN: _("unknown"),
    },
    Atmosphere: {
        Atmosphere.OXIDATION: _("oxidation"),
        Atmosphere.NEUTRAL: _("neutral"),
        Atmosphere.REDUCTION: _("reduction"),
    },
    Fuel: {Fuel.ELECTRIC: _("electric"), Fuel.GAS: _("gas"), Fuel.WOOD: _("wood"), Fuel.OIL: _("oil")},
    Use: {Use.FOOD: _("food"), Use.DECORATIVE: _("decorative")},
    Foot: {
        Foot.WAXED: _("waxed"),
        Foot.WIPED: _("wiped"),
        Foot.BARE: _("not waxed or wiped"),
        Foot.GLAZED: _("glazed"),
        Foot.STILTED: _("stilted"),
    },
    Coat: {
        Coat.GLAZE: _("glaze"),
        Coat.UNDERGLAZE: _("underglaze"),
        Coat.SLIP: _("slip"),
        Coat.SIGILLATA: _("terra sigillata"),
        Coat.OVERGLAZE: _("overglaze"),
        Coat.WAX: _("wax"),
    },
    Family: {
        Family.LOW_FIRE: _("low-fire"),
        Family.MID_RANGE: _("mid-range"),
        Family.HIGH_FIRE: _("high-fire"),
        Family.OUTDOOR: _("raku"),
        Family.OUTSIDE: _("brought-in"),
    },
    FoodStanding: {
        FoodStanding.TESTED: _("tested"),
        FoodStanding.DECLARED: _("declared"),
        FoodStanding.UNTESTED: _("untested"),
        FoodStanding.DECORATIVE: _("decorative"),
    },
    Trait: {
        Trait.CRACKLE: _("crackle"),
        Trait.LUSTER: _("luster"),
        Trait.RUNNY: _("runny"),
        Trait.WANTS_REDUCTION: _("wants reduction"),
        Trait.WANTS_OXIDATION: _("wants oxidation"),
    },
    Surface: {
        Surface.GLOSS: _("gloss"),
        Surface.SATIN: _("satin"),
        Surface.MATTE: _("matte"),
        Surface.DRY: _("dry matte"),
    },
    ColorFamily: {
        ColorFamily.WHITE: _("white"),
        ColorFamily.GRAY: _("gray"),
        ColorFamily.BLACK: _("black"),
        ColorFamily.BROWN: _("brown"),
        ColorFamily.RED: _("red"),
        ColorFamily.ORANGE: _("orange"),
        ColorFamily.YELLOW: _("yellow"),
        ColorFamily.GREEN: _("green"),
        ColorFamily.TURQUOISE: _("turquoise"),
        ColorFamily.BLUE: _("blue"),
        ColorFamily.PURPLE: _("purple"),
        ColorFamily.PINK: _("pink"),
    },
    HowOn: {HowOn.DIP: _("dip"), HowOn.POUR: _("pour"), HowOn.SPRAY: _("spray"), HowOn.BRUSH: _("brush")},
    Zone: {
        Zone.ALL_OVER: _("all over"),
        Zone.INSIDE: _("inside"),
        Zone.OUTSIDE: _("outside"),
        Zone.LIP: _("rim"),
        Zone.FOOT: _("foot"),
    },
    ThingKind: {
        ThingKind.CLAY: _("clay"),
        ThingKind.GLAZE: _("glaze"),
        ThingKind.ROUTE: _("firing type"),
        ThingKind.KILN: _("kiln"),
    },
    Right: {
        Right.REGISTER: _("register a piece"),
        Right.WORK_ON: _("wax or glaze a piece, take raw layers off, edit its details, and mark it lost or found"),
        Right.PUT_AWAY: _("put a piece on the cart or shelf of its firing"),
        Right.ASK: _("ask a question about a piece"),
        Right.SEE_OWN: _("see their own pieces"),
        Right.SEE_ALL: _("see every piece"),
        Right.MOVE: _("move pieces between stages"),
        Right.EDIT: _("edit the name, clay and build of a piece after its bisque"),
        Right.FIRE: _("load and unload kilns"),
        Right.HAND_OVER: _("hand out a piece"),
        Right.DECIDE: _("answer questions or approve what the rules leave open"),
        Right.CORRECT: _("correct a stage or send a piece back for a refire"),
        Right.CATALOG: _("change clays, glazes, firing types and kilns"),
        Right.PEOPLE: _("see and change the people in the studio"),
    },
}
"""The name of each value in small letters, as it is read inside a sentence."""


def name_of(value: Enum) -> str:
    """What `value` is called in English; a value without a name of its own is called by its text."""
    return NAMES.get(type(value), {}).get(value, str(value.value))
