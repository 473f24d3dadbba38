"""Cautions: what people come to harm by in a pottery, what to do about it, and which dangers a kiln or a glaze brings.

The sentences are the usual ones of the trade (common practice). They defer to local rules, to manufacturers and to the
person in charge; nothing here is a license to do without them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from tracker.domain.message import Choice, Message, Sentences, _, together
from tracker.domain.quantities import celsius
from tracker.domain.studio.kilns import PULLED_HOT, Atmosphere, Fuel, Kiln, RouteKind
from tracker.domain.studio.materials import LUSTER, Coat, Glaze, HowOn
from tracker.domain.studio.metals import FUME, LIMITED, WATCHED, Metal
from tracker.domain.studio.settings import Practice


class Danger(StrEnum):
    """What people come to harm by, the nearest first: gas and bad air come before a kiln's heat."""

    HOT_WARE = "hot-ware"
    BINS = "bins"
    OPENING = "opening"
    OPENING_PIT = "opening-pit"
    ELECTRICITY = "electricity"
    SHARP_GLAZE = "sharp-glaze"
    SHIVERED = "shivered"
    SPRAYING = "spraying"
    GAS = "gas"
    CARBON_MONOXIDE = "carbon-monoxide"
    CARBON_MONOXIDE_OUTDOORS = "carbon-monoxide-outdoors"
    HOT_KILN = "hot-kiln"
    HOT_WOOD_KILN = "hot-wood-kiln"
    HOT_PIT = "hot-pit"
    VAPOR = "vapor"
    FIREBOX = "firebox"
    FIREWOOD = "firewood"
    FIRE = "fire"
    WATER = "water"
    FERRIC_CHLORIDE = "ferric-chloride"
    TOXIC_METALS = "toxic-metals"
    LUSTER = "luster"
    OVERGLAZE_FUMES = "overglaze-fumes"
    METAL_FUME = "metal-fume"
    SMOKE = "smoke"
    DUST = "dust"
    FIBER = "fiber"
    FOOD = "food"
    SMOKED_WARE = "smoked-ware"
    AUTHORITY = "authority"


@dataclass(frozen=True, slots=True)
class Caution:
    """What is said of one danger: its name and its orders. The first order is never folded away where it is nearest."""

    danger: Danger
    title: Message
    orders: tuple[Message, ...]

    @property
    def is_hot(self) -> bool:
        """Whether it is about burns."""
        return self.danger in _BURNS

    @property
    def is_long(self) -> bool:
        """Whether there is more to it than its first order."""
        return len(self.orders) > 1

    @property
    def line(self) -> Message:
        """All of it in one line, as paper has it."""
        return Message("caution", "{title}. {orders}", title=self.title, orders=Sentences(self.orders))


_HOT: Final = frozenset({Danger.HOT_KILN, Danger.HOT_WOOD_KILN, Danger.HOT_PIT})
_BURNS: Final = _HOT | {Danger.HOT_WARE, Danger.BINS, Danger.OPENING, Danger.OPENING_PIT, Danger.FIRE}

IN_VIEW: Final = 3
"""So many cautions of a page are in view; the others open."""

OILS_GONE_C: Final = 450
"""Where the oils and solvents of luster and china paint have burned off, in °C (common practice)."""

_LABORATORY: Final = {
    "software": _("Only a lab test, not this software, can say whether a piece is food-safe."),
    "card": _("Only a lab test, not this card, can say whether a piece is food-safe."),
    "ticket": _("Only a lab test, not this list, can say whether a piece is food-safe."),
    "label": _("Only a lab test, not this label, can say whether a piece is food-safe."),
    "chart": _("Only a lab test, not this chart, can say whether a piece is food-safe."),
}
_NO_FILTER: Final = _("A respirator doesn't stop carbon monoxide.")
_FOOD_AUTHORITY: Final = _("Follow your local food-safety rules.")

_WORDS: Final[Mapping[Danger, tuple[str, tuple[str, ...]]]] = {
    Danger.HOT_WARE: (
        _("Hot ware"),
        (
            _("Wear heat gloves, a face shield and shaded eye protection."),
            _("Wear natural fibers and closed-toe shoes."),
            _("Tie long hair back."),
            _("Clear the path before anyone pulls."),
            _("No one works alone."),
            _("Never leave a firing kiln alone."),
        ),
    ),
    Danger.BINS: (
        _("Bins"),
        (_("Lift a bin's lid away from your face. It may flare."), _("Never lean over a bin.")),
    ),
    Danger.OPENING: (
        _("Opening the kiln"),
        (
            _("Keep the kiln shut above {opens}."),
            _("Below that, ask the person in charge before you open it."),
            _("Wear gloves. Shelves and ware stay hot inside."),
        ),
    ),
    Danger.OPENING_PIT: (
        _("Opening the pit"),
        (
            _("Leave the pit alone until its ash is cold. Embers stay hot under ash."),
            _("Ask the person in charge before you dig."),
            _("Wear gloves and a fitted respirator: ash is dust."),
        ),
    ),
    Danger.ELECTRICITY: (
        _("Electricity"),
        (
            _("Unplug the kiln, or switch off its breaker, before you load or unload it."),
            _("Never touch an element with the power on."),
        ),
    ),
    Danger.SHARP_GLAZE: (
        _("Sharp glaze"),
        (
            _("Wear gloves and eye protection: glaze drips are razor-sharp."),
            _("Look at kiln shelves and foot rings before you touch them."),
        ),
    ),
    Danger.SHIVERED: (
        _("Shivered ware"),
        (
            _("Wear gloves and goggles. Slivers of glaze fall off and cut."),
            _("Don't display it or hand it out."),
            _("Bag it and throw it away."),
        ),
    ),
    Danger.SPRAYING: (
        _("Spraying"),
        (_("Wear a fitted respirator to spray."), _("Spray only in a booth with its fan on.")),
    ),
    Danger.VAPOR: (
        _("Soda and salt"),
        (
            _("Stand aside when soda or salt goes in. Flame and vapor blow back."),
            _("Wear a face shield, long gloves and a fitted respirator for acid gas and dust."),
            _("Stay out of the vapor at the flue."),
        ),
    ),
    Danger.FIREBOX: (
        _("Firebox"),
        (
            _("Stand aside when you open the firebox. Flame can blow back."),
            _("Wear a face shield and long heat gloves to stoke."),
        ),
    ),
    Danger.FIREWOOD: (
        _("Firewood"),
        (
            _("Never pour gasoline or lighter fluid on a fire or its embers. It flares."),
            _("Burn clean, dry wood."),
            _("Never burn treated, painted or glued wood. Its smoke and ash are poison."),
        ),
    ),
    Danger.HOT_KILN: (
        _("Hot kiln"),
        (
            _("Keep hands, hair and clothes off the kiln."),
            _("Wear shaded eye protection at the peephole."),
            _("Wear heat gloves to move a plug, a lid or a damper."),
            _("Wear natural fibers and closed-toe shoes."),
            _("Keep everything that burns away from the kiln."),
            _("Never leave a firing kiln alone."),
        ),
    ),
    Danger.HOT_WOOD_KILN: (
        _("Hot kiln"),
        (
            _("Keep hands, hair and clothes off the kiln."),
            _("Wear shaded eye protection at the spy holes."),
            _("Wear heat gloves to move a plug, a door brick or the damper."),
            _("Wear natural fibers and closed-toe shoes."),
            _("Keep everything else that burns away from the kiln."),
            _("Never leave a firing kiln alone."),
        ),
    ),
    Danger.HOT_PIT: (
        _("Hot pit"),
        (
            _("Keep hands, hair and clothes away from the fire."),
            _("Wear heat gloves and a face shield to add fuel or to cover the pit."),
            _("Wear natural fibers and closed-toe shoes."),
            _("Keep everything else that burns away from the pit."),
            _("Never leave a burning pit alone."),
        ),
    ),
    Danger.GAS: (
        _("Gas"),
        (
            _("If you smell gas, shut the valve and leave."),
            _("Check hoses for leaks with soapy water."),
            _("Stand the tank upright, away from the kiln."),
            _("Never heat a tank."),
            _("Purge before lighting and before lighting again."),
            _("Light with the door or lid open, standing aside."),
        ),
    ),
    Danger.CARBON_MONOXIDE: (
        _("Carbon monoxide"),
        (
            _("Ventilate."),
            _("Run the hood."),
            _("Check that the carbon monoxide alarm works."),
            _("If the alarm sounds or your head aches, get out."),
            _NO_FILTER,
        ),
    ),
    Danger.CARBON_MONOXIDE_OUTDOORS: (
        _("Carbon monoxide outdoors"),
        (
            _("Stand upwind of the kiln."),
            _("Never fire in a closed shed or near an open window."),
            _("Under a roof, ventilate and run the hood."),
            _("Check the carbon monoxide alarm there."),
            _("If your head aches, get into fresh air."),
            _NO_FILTER,
        ),
    ),
    Danger.FIRE: (
        _("Fire"),
        (
            _("Clear the ground around the kiln."),
            _("Keep an extinguisher within reach."),
        ),
    ),
    Danger.WATER: (
        _("Water"),
        (_("Put one person on the water hose, with no other job."),),
    ),
    Danger.FERRIC_CHLORIDE: (
        _("Ferric chloride"),
        (
            _("Use it outdoors or under a hood."),
            _("Wear rubber gloves, goggles and a fitted respirator for acid gas."),
        ),
    ),
    Danger.TOXIC_METALS: (
        _("Toxic metals"),
        (
            _("Poison if swallowed or breathed."),
            _("Don't eat or drink near raw glaze."),
            _("Never sand or scrape raw glaze dry."),
            _("Wear gloves. Wear a fitted respirator where there is dust or spray."),
        ),
    ),
    Danger.LUSTER: (
        _("Luster and china paint"),
        (
            _("Brush luster and china paint outdoors or under a hood."),
            _("Wear a fitted respirator for organic vapor."),
            _("Keep solvents away from flame."),
        ),
    ),
    Danger.OVERGLAZE_FUMES: (
        _("Overglaze fumes"),
        (
            _("From the start to {oils}: hood on, vents open."),
            _("Stay out of the fumes."),
        ),
    ),
    Danger.METAL_FUME: (
        _("Metal fume"),
        (
            _("Stay out of the fume of copper, lead, cadmium and other poisonous metals."),
            _("Indoors, fire under a hood."),
            _("Near the fume, wear a fitted respirator with P100 or P3 filters."),
        ),
    ),
    Danger.SMOKE: (_("Smoke"), (_("Stand upwind."), _("Don't breathe the smoke."))),
    Danger.DUST: (
        _("Dust"),
        (
            _("Clean up wet. The dust holds silica."),
            _("Never sweep dry."),
            _("Wear a fitted respirator to mix glaze, sand bisque or grind shelves."),
            _("Read the supplier's safety sheet."),
            _("Wash your hands before you eat."),
        ),
    ),
    Danger.FIBER: (
        _("Fiber"),
        (
            _("Don't rub or brush ceramic fiber."),
            _("Wear a fitted respirator, gloves and long sleeves when you work on it."),
        ),
    ),
    Danger.FOOD: (
        _("Food"),
        (
            _LABORATORY["software"],
            _FOOD_AUTHORITY,
        ),
    ),
    Danger.SMOKED_WARE: (
        _("Raku, horsehair and pit-fired ware"),
        (
            _("Never eat or drink from it."),
            _("Its clay stays porous, and metals can leach out of its surface."),
        ),
    ),
    Danger.AUTHORITY: (
        _("Rules"),
        (
            _("Follow local fire and burning rules."),
            _("Follow the instructions of the fuel supplier and the kiln manufacturer."),
            _("Follow the person in charge."),
        ),
    ),
}


def told(practice: Practice, *phases: Iterable[Danger]) -> tuple[Caution, ...]:
    """What is said of these dangers, each once: phase after phase, the nearest first in each, and rules last.

    `practice` says how hot a kiln stays shut.
    """
    order = list(Danger)
    each = dict.fromkeys(danger for phase in phases for danger in sorted(phase, key=order.index))
    facts = {
        Danger.OPENING: {"opens": celsius(practice.fires.open_below_c)},
        Danger.OVERGLAZE_FUMES: {"oils": celsius(OILS_GONE_C)},
    }
    return tuple(
        Caution(
            danger,
            Message(f"danger-{danger.value}", _WORDS[danger][0]),
            tuple(
                Message(f"caution-{danger.value}-{number}", words, **facts.get(danger, {}))
                for number, words in enumerate(_WORDS[danger][1], start=1)
            ),
        )
        for danger in sorted(each, key=lambda danger: danger is Danger.AUTHORITY)
    )


def food_on(paper: str) -> Message:
    """What is said of food on a "card", "ticket", "label" or "chart"."""
    test = Message("laboratory-test", Choice("paper", _LABORATORY), paper=paper)
    return together([test, Message("food-authority", _FOOD_AUTHORITY)])


# ---- which dangers there are -----------------------------------------------------------------------------------------

_OF_WOOD: Final = frozenset({RouteKind.WOOD, RouteKind.PIT})
_OPEN_FIRE: Final = PULLED_HOT | _OF_WOOD
_WITHOUT_DOORS: Final = PULLED_HOT | {RouteKind.PIT}
"""What is pulled hot from a kiln that opens in a moment, and what has neither walls nor shelves."""
_TOXIC: Final = frozenset({*LIMITED, *WATCHED, Metal.ANTIMONY, Metal.ARSENIC, Metal.SELENIUM, Metal.LITHIUM})
"""The metals of raw glaze that poison or irritate whoever handles it (suppliers' safety sheets, from memory)."""

_OF_KIND: Final[Mapping[RouteKind, frozenset[Danger]]] = {
    RouteKind.RAKU: frozenset({Danger.BINS}),
    RouteKind.HORSEHAIR: frozenset({Danger.FERRIC_CHLORIDE}),
    # Copper and other salts are strewn into a pit for their colors.
    RouteKind.PIT: frozenset({Danger.METAL_FUME}),
    RouteKind.SODA: frozenset({Danger.VAPOR}),
    RouteKind.WOOD: frozenset({Danger.FIREBOX}),
    RouteKind.OVERGLAZE: frozenset({Danger.OVERGLAZE_FUMES}),
}


def fuel_of(kiln: Kiln, kinds: Iterable[RouteKind]) -> Fuel:
    """What a kiln is heated with on firings of these kinds, where nobody has said so by common practice.

    Wood where nothing but wood and pits is fired; gas outdoors, for soda, and where the kiln does not oxidize, which is
    the careful side; else electricity.
    """
    kinds = frozenset(kinds)
    if kiln.fuel is not None:
        return kiln.fuel
    if kinds and kinds <= _OF_WOOD:
        return Fuel.WOOD
    burns = kiln.outdoor or RouteKind.SODA in kinds or kiln.atmosphere in {Atmosphere.REDUCTION, Atmosphere.NEUTRAL}
    return Fuel.GAS if burns else Fuel.ELECTRIC


def gives_off_fume(glaze: Glaze) -> bool:
    """Whether a poisonous metal leaves a glaze in the fire."""
    return glaze.is_likely_copper or not glaze.holds.isdisjoint(FUME)


def while_firing(kiln: Kiln, kinds: Iterable[RouteKind], glazes: Iterable[Glaze] = ()) -> frozenset[Danger]:
    """What there is to beware of while a kiln fires these kinds of firing, with ware that has these `glazes`."""
    kinds = frozenset(kinds)
    dangers = {Danger.AUTHORITY}
    fuel = fuel_of(kiln, kinds)
    if kinds - _WITHOUT_DOORS or not kinds:
        dangers.add(Danger.HOT_WOOD_KILN if fuel is Fuel.WOOD else Danger.HOT_KILN)
    if RouteKind.PIT in kinds:
        dangers.add(Danger.HOT_PIT)
    dangers |= _of_fuel(fuel, kinds)
    dangers.add(_carbon_monoxide(kiln))
    if kinds & _OPEN_FIRE:
        dangers |= {Danger.FIRE, Danger.WATER, Danger.SMOKE}
    if kinds & PULLED_HOT:
        dangers |= {Danger.HOT_WARE, Danger.FIBER}
    for kind in kinds:
        dangers |= _OF_KIND.get(kind, frozenset())
    if any(gives_off_fume(glaze) for glaze in glazes):
        dangers.add(Danger.METAL_FUME)
    return frozenset(dangers)


def _of_fuel(fuel: Fuel, kinds: frozenset[RouteKind]) -> set[Danger]:
    """What a fuel brings; a wood kiln and a pit burn wood besides any other."""
    dangers = set[Danger]()
    if fuel is not Fuel.ELECTRIC:
        dangers.add(Danger.FIRE)
    if fuel is Fuel.GAS:
        dangers.add(Danger.GAS)
    if fuel is Fuel.WOOD or kinds & _OF_WOOD:
        dangers.add(Danger.FIREWOOD)
    if fuel is Fuel.WOOD and not kinds <= {RouteKind.PIT}:
        dangers |= {Danger.FIREBOX, Danger.WATER, Danger.SMOKE}
    return dangers


_SHELVES: Final = frozenset({Danger.SHARP_GLAZE, Danger.DUST, Danger.FIBER})


def while_loading(kiln: Kiln, kinds: Iterable[RouteKind]) -> frozenset[Danger]:
    """What there is to beware of while ware is put into a kiln that is off, for these kinds of firing.

    A pit has no shelves: bare ware goes between fuel.
    """
    kinds = frozenset(kinds)
    if kinds == {RouteKind.PIT}:
        return frozenset({Danger.DUST})
    return _SHELVES | {Danger.ELECTRICITY} if fuel_of(kiln, kinds) is Fuel.ELECTRIC else _SHELVES


def while_opening(kiln: Kiln, kinds: Iterable[RouteKind]) -> frozenset[Danger]:
    """What there is to beware of while a kiln cools, is opened and unloaded."""
    kinds = frozenset(kinds)
    always = {_carbon_monoxide(kiln), Danger.AUTHORITY}
    if kinds == {RouteKind.PIT}:
        return frozenset({Danger.OPENING_PIT, Danger.DUST, *always})
    pit = {Danger.OPENING_PIT} if RouteKind.PIT in kinds else set()
    return while_loading(kiln, kinds) | {Danger.OPENING, *pit, *always}


def _carbon_monoxide(kiln: Kiln) -> Danger:
    return Danger.CARBON_MONOXIDE_OUTDOORS if kiln.outdoor else Danger.CARBON_MONOXIDE


def is_liquid_luster(glaze: Glaze) -> bool:
    """Whether it is luster out of a bottle: resin and metal, without silica or dust (common practice)."""
    return glaze.noun == LUSTER


def while_glazing(glazes: Iterable[Glaze]) -> frozenset[Danger]:
    """What there is to beware of where these glazes are put on or mixed."""
    glazes, dangers = tuple(glazes), set[Danger]()
    if not glazes or not all(is_liquid_luster(glaze) for glaze in glazes):
        dangers.add(Danger.DUST)
    if any(HowOn.SPRAY in glaze.goes_on for glaze in glazes):
        dangers.add(Danger.SPRAYING)
    if any(glaze.coat is Coat.OVERGLAZE for glaze in glazes):
        dangers.add(Danger.LUSTER)
    if not _TOXIC.isdisjoint(metal for glaze in glazes for metal in glaze.holds):
        dangers.add(Danger.TOXIC_METALS)
    return frozenset(dangers)
