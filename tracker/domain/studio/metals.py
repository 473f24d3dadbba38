"""Metals that a glaze may hold and a leach test may look for, and what a word on a glaze label names of them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum
from functools import lru_cache


class Metal(StrEnum):
    """A metal by its chemical symbol; those that the food rules ask about come first, the others by name."""

    LEAD = "Pb"
    CADMIUM = "Cd"
    BARIUM = "Ba"
    COPPER = "Cu"
    MANGANESE = "Mn"
    CHROMIUM = "Cr"
    NICKEL = "Ni"
    VANADIUM = "V"
    COBALT = "Co"
    ALUMINUM = "Al"
    ANTIMONY = "Sb"
    ARSENIC = "As"
    BERYLLIUM = "Be"
    BISMUTH = "Bi"
    BORON = "B"
    CALCIUM = "Ca"
    CERIUM = "Ce"
    CESIUM = "Cs"
    DYSPROSIUM = "Dy"
    ERBIUM = "Er"
    EUROPIUM = "Eu"
    GADOLINIUM = "Gd"
    GALLIUM = "Ga"
    GERMANIUM = "Ge"
    GOLD = "Au"
    HAFNIUM = "Hf"
    HOLMIUM = "Ho"
    INDIUM = "In"
    IRIDIUM = "Ir"
    IRON = "Fe"
    LANTHANUM = "La"
    LITHIUM = "Li"
    LUTETIUM = "Lu"
    MAGNESIUM = "Mg"
    MERCURY = "Hg"
    MOLYBDENUM = "Mo"
    NEODYMIUM = "Nd"
    NIOBIUM = "Nb"
    OSMIUM = "Os"
    PALLADIUM = "Pd"
    PLATINUM = "Pt"
    POTASSIUM = "K"
    PRASEODYMIUM = "Pr"
    RHENIUM = "Re"
    RHODIUM = "Rh"
    RUBIDIUM = "Rb"
    RUTHENIUM = "Ru"
    SAMARIUM = "Sm"
    SCANDIUM = "Sc"
    SELENIUM = "Se"
    SILICON = "Si"
    SILVER = "Ag"
    SODIUM = "Na"
    STRONTIUM = "Sr"
    TANTALUM = "Ta"
    TELLURIUM = "Te"
    TERBIUM = "Tb"
    THALLIUM = "Tl"
    THORIUM = "Th"
    THULIUM = "Tm"
    TIN = "Sn"
    TITANIUM = "Ti"
    TUNGSTEN = "W"
    URANIUM = "U"
    YTTERBIUM = "Yb"
    YTTRIUM = "Y"
    ZINC = "Zn"
    ZIRCONIUM = "Zr"


LIMITED = (Metal.LEAD, Metal.CADMIUM)
"""The metals for which limits are published for ceramic ware."""

WATCHED = (
    *(Metal.BARIUM, Metal.COPPER, Metal.MANGANESE, Metal.CHROMIUM),
    *(Metal.NICKEL, Metal.VANADIUM, Metal.COBALT),
    # Seldom in a recipe by now, and poisonous enough to be asked about.
    *(Metal.ANTIMONY, Metal.ARSENIC, Metal.BERYLLIUM, Metal.LITHIUM, Metal.MERCURY, Metal.SELENIUM),
    *(Metal.TELLURIUM, Metal.THALLIUM, Metal.THORIUM, Metal.URANIUM),
)
"""The metals of a recipe that want a test of their own on ware for food (common practice)."""

POISONS = (*LIMITED, *WATCHED)
"""The metals of a recipe that a food rule names."""

LEACH_HAZARDS = (Metal.LEAD, Metal.CADMIUM, Metal.BARIUM, Metal.MANGANESE)
"""The metals of a recipe that a supervised maker works with only by the instructor's leave (common practice)."""

POISON_FUME = (
    *(Metal.LEAD, Metal.CADMIUM, Metal.SELENIUM),
    *(Metal.ARSENIC, Metal.ANTIMONY, Metal.MERCURY, Metal.THALLIUM),
)
"""The metals of a recipe that go off as poisonous fume in the fire (common practice)."""

FUME = (Metal.COPPER, Metal.MANGANESE, *POISON_FUME)
"""The metals that leave a glaze in the fire and poison whoever breathes them (common practice)."""

DRINKING_WATER_MG_L: Mapping[Metal, float] = {
    Metal.COPPER: 1.3,
    Metal.BARIUM: 2.0,
    Metal.CHROMIUM: 0.1,
    Metal.ANTIMONY: 0.006,
    Metal.ARSENIC: 0.01,
    Metal.SELENIUM: 0.05,
}
"""The US EPA's numbers for drinking water, in mg/L: the action level of copper, the limits of the others.

A comparison only: water that people drink every day is another thing than acid that stood in a pot for a day. As
tests/reference/drinking_water.csv has them.
"""

ACTION_LEVELS = frozenset({Metal.COPPER})
"""The metals whose number is an action level, at which suppliers have to treat the water, and not a limit (EPA)."""

_COMMON_NAMES: Mapping[str, tuple[Metal, ...]] = {
    "aluminium": (Metal.ALUMINUM,),
    "antimonate": (Metal.ANTIMONY,),
    "antimoniate": (Metal.ANTIMONY,),
    "arsenate": (Metal.ARSENIC,),
    "barite": (Metal.BARIUM,),
    "barytes": (Metal.BARIUM,),
    "bichromate": (Metal.CHROMIUM,),
    "ceruse": (Metal.LEAD,),
    "chromate": (Metal.CHROMIUM,),
    "chrome": (Metal.CHROMIUM,),
    "chromic": (Metal.CHROMIUM,),
    "chromite": (Metal.IRON, Metal.CHROMIUM),
    "cinnabar": (Metal.MERCURY,),
    "cupric": (Metal.COPPER,),
    "cuprous": (Metal.COPPER,),
    "dichromate": (Metal.CHROMIUM,),
    "galena": (Metal.LEAD,),
    "leaded": (Metal.LEAD,),
    "lepidolite": (Metal.LITHIUM,),
    "litharge": (Metal.LEAD,),
    "malachite": (Metal.COPPER,),
    "massicot": (Metal.LEAD,),
    "minium": (Metal.LEAD,),
    "orpiment": (Metal.ARSENIC,),
    "permanganate": (Metal.MANGANESE,),
    "petalite": (Metal.LITHIUM,),
    "plumbic": (Metal.LEAD,),
    "plumbous": (Metal.LEAD,),
    "pyrolusite": (Metal.MANGANESE,),
    "realgar": (Metal.ARSENIC,),
    "selenide": (Metal.SELENIUM,),
    "smalt": (Metal.COBALT,),
    "ferric": (Metal.IRON,),
    "ferrous": (Metal.IRON,),
    "stannate": (Metal.TIN,),
    "stannic": (Metal.TIN,),
    "stannous": (Metal.TIN,),
    "manganous": (Metal.MANGANESE,),
    "cobaltous": (Metal.COBALT,),
    "spodumene": (Metal.LITHIUM,),
    "stibnite": (Metal.ANTIMONY,),
    "uranate": (Metal.URANIUM,),
    "uranyl": (Metal.URANIUM,),
    "vanadate": (Metal.VANADIUM,),
    "vermilion": (Metal.MERCURY,),
    "witherite": (Metal.BARIUM,),
    "zaffre": (Metal.COBALT,),
    "ilmenite": (Metal.IRON, Metal.TITANIUM),
    "ochre": (Metal.IRON,),
    "rutile": (Metal.TITANIUM, Metal.IRON),
    "umber": (Metal.IRON, Metal.MANGANESE),
    "whiting": (Metal.CALCIUM,),
    "zircon": (Metal.ZIRCONIUM,),
}
"""What potters call raw materials (common practice)."""

RAW_MATERIALS = frozenset(
    {
        *("barite", "barytes", "ceruse", "chromite", "cinnabar", "galena", "ilmenite", "lepidolite", "litharge"),
        *("malachite", "massicot", "minium", "ochre", "orpiment", "petalite", "pyrolusite", "realgar", "rutile"),
        *("smalt", "spodumene", "stibnite", "umber", "vermilion", "whiting", "witherite", "zaffre", "zircon"),
    }
)
"""Those of them that are an ore or a pigment: it goes into a recipe, and no laboratory finds it in an acid."""

_OF_SEVERAL_WORDS: Mapping[str, tuple[Metal, ...]] = {
    "chrome orange": (Metal.LEAD, Metal.CHROMIUM),
    "chrome yellow": (Metal.LEAD, Metal.CHROMIUM),
    "naples yellow": (Metal.LEAD, Metal.ANTIMONY),
}
"""Colors whose name keeps a metal to itself: chrome yellow is a lead chromate (common practice)."""

_BY_SYMBOL = {str(metal): metal for metal in Metal}
_BY_NAME: Mapping[str, tuple[Metal, ...]] = {**{metal.name.lower(): (metal,) for metal in Metal}, **_COMMON_NAMES}
_BY_SMALL_SYMBOL = {str(metal).lower(): metal for metal in Metal}
_NO_METALS = {"C", "Cl", "F", "H", "N", "O", "P", "S"}
_FREE_OF = re.compile(r"[A-Za-z]+[ -]free\b", re.IGNORECASE)
_JOINED = re.compile(r"\s*[-/+]\s*")
_FORMULA = re.compile(r"(?:[A-Z][a-z]?[0-9]*){2,}")


@lru_cache(maxsize=4096)
def metals_in(word: str) -> frozenset[Metal]:
    """The metals that one word of a recipe names: "Cu", "copper", "copper carbonate" and "CuCO3" all name copper.

    Symbols joined by a sign may be small: "cd-se".

    Empty where it names none.
    """
    if alone := _BY_SMALL_SYMBOL.get(word.strip().lower()):
        return frozenset({alone})
    found: set[Metal] = set()
    joined = _JOINED.split(word.strip().lower())
    if len(joined) > 1 and all(part in _BY_SMALL_SYMBOL for part in joined):
        found.update(_BY_SMALL_SYMBOL[part] for part in joined)
    for name, metals in _OF_SEVERAL_WORDS.items():
        if name in " ".join(word.lower().split()):
            found.update(metals)
    for part in re.findall(r"[A-Za-z0-9]+", _FREE_OF.sub(" ", word)):
        found.update(_BY_NAME.get(part.lower(), ()))
        if _FORMULA.fullmatch(part):
            symbols = set(re.findall("[A-Z][a-z]?", part))
            if symbols <= _BY_SYMBOL.keys() | _NO_METALS:
                found.update(_BY_SYMBOL[one] for one in symbols - _NO_METALS)
    return frozenset(found)


@lru_cache(maxsize=4096)
def metals_of(words: frozenset[str]) -> frozenset[Metal]:
    """All metals that the words of a recipe name."""
    return frozenset(metal for word in words for metal in metals_in(word))


@lru_cache(maxsize=4096)
def unnamed_in(words: frozenset[str]) -> tuple[str, ...]:
    """The words of a recipe that name no metal known here."""
    return tuple(sorted(word for word in words if not metals_in(word)))
