"""What the students make and what people in the studio say: all of it invented."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.domain.pieces.piece import Build, Use


@dataclass(frozen=True, slots=True)
class Shape:
    """One thing a student sets out to make; height, width and depth in mm before anybody's thumb slipped.

    An open form `nests`: in a bisque one may go into another.
    """

    what: str
    build: Build
    use: Use
    height_mm: int
    width_mm: int
    depth_mm: int
    fragile: bool = False
    nests: bool = False


_FOOD, _DECO = Use.FOOD, Use.DECORATIVE

FOR_THE_TABLE = (
    Shape("mug with a thumb dent", Build.THROWN, _FOOD, 95, 120, 85),
    Shape("mug whose handle came out heroic", Build.THROWN, _FOOD, 105, 135, 88),
    Shape("cup without a handle", Build.THROWN, _FOOD, 80, 78, 78),
    Shape("tall cup for iced coffee", Build.THROWN, _FOOD, 145, 80, 80),
    Shape("espresso cup, one of two", Build.THROWN, _FOOD, 58, 65, 65),
    Shape("cereal bowl", Build.THROWN, _FOOD, 70, 150, 150, nests=True),
    Shape("noodle bowl with chopstick notches", Build.THROWN, _FOOD, 85, 165, 165, nests=True),
    Shape("soup bowl that leans left", Build.THROWN, _FOOD, 72, 148, 144, nests=True),
    Shape("nesting bowl, the smallest", Build.THROWN, _FOOD, 50, 95, 95, nests=True),
    Shape("salad bowl for mom", Build.THROWN, _FOOD, 95, 260, 260, nests=True),
    Shape("cat's water bowl", Build.THROWN, _FOOD, 45, 140, 140, nests=True),
    Shape("lidded jar with a crooked knob", Build.THROWN, _FOOD, 150, 110, 110),
    Shape("sugar jar, lid glued in spirit", Build.THROWN, _FOOD, 105, 90, 90),
    Shape("honey pot with a spoon slot", Build.THROWN, _FOOD, 110, 95, 95),
    Shape("little teapot, pours sideways", Build.THROWN, _FOOD, 120, 180, 115),
    Shape("milk jug with a pinched spout", Build.THROWN, _FOOD, 115, 125, 90),
    Shape("pitcher, taller than planned", Build.THROWN, _FOOD, 235, 160, 120),
    Shape("plate with a wobbly rim", Build.THROWN, _FOOD, 25, 245, 245),
    Shape("side plate, set of four", Build.THROWN, _FOOD, 22, 165, 165),
    Shape("butter dish with a cow on top", Build.SLAB, _FOOD, 95, 180, 110),
    Shape("sushi tray on four feet", Build.SLAB, _FOOD, 30, 240, 120),
    Shape("olive dish with a pip corner", Build.SLAB, _FOOD, 35, 170, 90),
    Shape("toast rack", Build.SLAB, _FOOD, 80, 160, 90),
    Shape("spoon rest like a flatfish", Build.PRESS_MOLDED, _FOOD, 25, 190, 90),
    Shape("baking dish, fits one lasagna", Build.SLAB, _FOOD, 65, 260, 180),
    Shape("leaf plate from a real leaf", Build.PRESS_MOLDED, _FOOD, 22, 210, 160),
    Shape("pinch cup for salt", Build.PINCH, _FOOD, 42, 70, 70),
    Shape("tea bowl, second try", Build.PINCH, _FOOD, 75, 115, 112, nests=True),
    Shape("coiled fruit bowl", Build.COIL, _FOOD, 105, 250, 250, nests=True),
    Shape("tumbler from the cup mold", Build.CAST, _FOOD, 110, 78, 78),
)
"""Ware for food."""

FOR_THE_SHELF = (
    Shape("bud vase", Build.THROWN, _DECO, 130, 65, 65),
    Shape("bottle with too small a neck", Build.THROWN, _DECO, 210, 95, 95),
    Shape("moon jar that sagged", Build.THROWN, _DECO, 220, 225, 220),
    Shape("planter with a drip tray", Build.THROWN, _DECO, 140, 150, 150),
    Shape("candle holder, three steps", Build.THROWN, _DECO, 110, 95, 95),
    Shape("pencil pot with a window", Build.SLAB, _DECO, 110, 80, 80),
    Shape("slab box with a sliding lid", Build.SLAB, _DECO, 90, 140, 100),
    Shape("house with no door", Build.SLAB, _DECO, 165, 120, 110),
    Shape("wall tile, waves", Build.CARVED, _DECO, 15, 150, 150),
    Shape("wall tile, my street at night", Build.CARVED, _DECO, 15, 150, 150),
    Shape("lantern cut with leaves", Build.CARVED, _DECO, 190, 120, 120),
    Shape("coil vase like a beehive", Build.COIL, _DECO, 240, 160, 160),
    Shape("coil pot with a plaited rim", Build.COIL, _DECO, 180, 170, 170),
    Shape("sleeping fox", Build.PINCH, _DECO, 60, 130, 90),
    Shape("owl with one eye open", Build.PINCH, _DECO, 95, 70, 65),
    Shape("grumpy toad", Build.PINCH, _DECO, 70, 95, 90),
    Shape("rattle, sealed with a hole", Build.PINCH, _DECO, 60, 60, 60),
    Shape("mask of my uncle", Build.PRESS_MOLDED, _DECO, 230, 170, 90),
    Shape("soap dish shaped like a whale", Build.PRESS_MOLDED, _DECO, 40, 140, 90),
    Shape("ring dish", Build.PRESS_MOLDED, _DECO, 25, 90, 90),
    Shape("doorstop hedgehog", Build.CAST, _DECO, 100, 150, 100),
    Shape("plant pot from a milk carton", Build.CAST, _DECO, 120, 75, 75),
)
"""Ware to look at."""

FOR_THE_YARD = (
    Shape("round bottle for the smoke", Build.THROWN, _DECO, 140, 120, 120),
    Shape("crackle tea bowl, to look at", Build.THROWN, _DECO, 80, 120, 118, nests=True),
    Shape("closed form with a pinhole", Build.THROWN, _DECO, 110, 115, 115),
    Shape("lidded urn with a crooked knob", Build.THROWN, _DECO, 145, 115, 115),
    Shape("shallow dish with a torn edge", Build.THROWN, _DECO, 40, 145, 140),
    Shape("pebble the size of a fist", Build.PINCH, _DECO, 75, 95, 90),
    Shape("seed pod", Build.PINCH, _DECO, 70, 110, 70),
    Shape("small horse, standing", Build.PINCH, _DECO, 110, 120, 45),
    Shape("coil jar with a shoulder", Build.COIL, _DECO, 148, 130, 130),
    Shape("tile with a fern pressed in", Build.SLAB, _DECO, 14, 140, 140),
    Shape("vessel carved like bark", Build.CARVED, _DECO, 145, 95, 95),
)
"""Ware for the outdoor kiln, none of it for food."""

THIN_AND_STICKING_OUT = (
    Shape("deer with real antlers", Build.PINCH, _DECO, 145, 120, 70, fragile=True),
    Shape("bird on wire legs", Build.PINCH, _DECO, 140, 90, 50, fragile=True),
    Shape("vase with eleven spikes", Build.THROWN, _DECO, 140, 130, 130, fragile=True),
    Shape("basket with a looped handle", Build.COIL, _DECO, 145, 130, 120, fragile=True),
)
"""Ware that the tongs are a danger to."""

PORCELAIN_AND_BOLD = (
    Shape("slab lantern, very thin", Build.SLAB, _DECO, 140, 90, 90),
    Shape("folded paper boat", Build.SLAB, _DECO, 60, 140, 70),
    Shape("porcelain bottle, tall", Build.THROWN, _DECO, 205, 90, 90),
)
"""Porcelain that may crack when it is pulled hot."""

ANOTHER = ("", "", "", "", "little ", "second ", "third ", "lopsided ", "birthday ", "practice ", "speckled ", "plain ")
"""How one student's work is told from the next one's."""

BROKEN = (
    "broken: knocked off the drying shelf",
    "broken: the handle came off in my hand",
    "broken: rim chipped when the board tipped",
    "broken: dropped between the kiln and the shelf",
)
MISSING = ("missing: not on any shelf at the weekly count", "missing: maybe taken home by mistake")
PICKUP_SHELVES = ("pickup, top", "pickup, middle", "pickup, low")
"""Where finished pieces stand until they are fetched."""

DISCARDED = ("discarded: the maker said we could", "discarded: cracked through, the maker has seen it")
"""Why a piece is lost."""


@dataclass(frozen=True, slots=True)
class Talk:
    """A question that a piece raises, and the instructor's answers that give leave and that do not."""

    asks: str
    allows: str
    refuses: str


TALKS = {
    "crackle-for-food": Talk(
        "The glaze crackles. Is that OK if only dry cookies go in?",
        "Dry cookies only, and no dishwasher. Tell whoever gets it.",
        "No. Wash it off and choose one that doesn't crackle. Food goes in there.",
    ),
    "indoor-glaze-in-raku": Talk(
        "I'd like to try an indoor glaze in the raku kiln. May I?",
        "Yes, this one piece, at the edge of the floor. Expect bubbles.",
        "Not this time. The floor is full of other people's work.",
    ),
    "ware-already-mature": Talk(
        "It has a mended hairline. Can it still go outdoors?",
        "The crack doesn't go through. Pull it last, and lift it from below.",
        "Not with that seam. Choose something for an indoor load.",
    ),
    "nameless-material": Talk(
        "This clay is from the scrap bin. Can it go in the low-fire load?",
        "I know that batch. Yes, on its own cookie.",
        "We don't know what that clay is. Keep it as it is.",
    ),
}
"""What is said, by the name of the rule that leaves it to the instructor."""

FIRST_FIRE = Talk(
    "This clay is from the scrap bin. Can it go in the bisque?",
    "Yes. Cone 06 is cooler than anything that ever went into that bin.",
    "We don't know what that clay is. Keep it as it is.",
)
"""What is said of clay that nobody can name, before its first fire."""

WONDERING = (
    ("Is this too thick at the base for the next load?", "It's fine. Give it three more days on the rack."),
    ("Two of us think this is ours. Who made it?", "It's yours: your thumb is in the handle."),
    ("Could this be fired before the eleventh? It's a gift.", ""),
    ("I meant this for plants. Can I still change it to food?", ""),
    ("Is the rim too thin to wax and dip?", ""),
)
"""Questions on pieces with which nothing is wrong, and the answers; those without one are still open."""

STAND_INS = ("Ada, her sister", "Mr. Pellingbrook from the library", "Noor, a roommate, with a note")

WHY_LUSTER = "a luster goes over the fired glaze"

WHY_FIRE_AGAIN = (
    "pinholes all over; now with a soak at the top",
    "came out dry on one side; use a hotter spot next time",
)

WHY_CORRECT = "the wax wasn't on after all"
