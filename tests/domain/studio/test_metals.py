"""The words of a recipe name their metals, and what drinking water may hold is as the table has it."""

from __future__ import annotations

import csv

import pytest

from tests.domain.rules.truth import REFERENCE
from tracker.domain.studio.metals import (
    ACTION_LEVELS,
    DRINKING_WATER_MG_L,
    LIMITED,
    WATCHED,
    Metal,
    metals_in,
    metals_of,
    unnamed_in,
)
from tracker.wording.render import read


@pytest.mark.parametrize(
    ("word", "symbols"),
    [
        ("Cu", "Cu"),
        ("cu", "Cu"),
        ("copper", "Cu"),
        ("Copper carbonate", "Cu"),
        ("CuCO3", "Cu"),
        ("Fe2O3", "Fe"),
        ("Co3O4", "Co"),
        ("PbO", "Pb"),
        ("lead bisilicate", "Pb"),
        ("litharge", "Pb"),
        ("cadmium selenium stain", "Cd Se"),
        ("chrome-tin pink", "Cr Sn"),
        ("manganese dioxide", "Mn"),
        ("umber", "Fe Mn"),
        ("potassium dichromate", "K Cr"),
        ("iron chromate", "Fe Cr"),
        ("red lead", "Pb"),
        ("Chrome yellow", "Pb Cr"),
        ("Naples  yellow", "Pb Sb"),
        ("cadmium red", "Cd"),
        ("cobalt oxide", "Co"),
        ("vanadium pentoxide", "V"),
        ("nickel oxide", "Ni"),
        ("barium carbonate", "Ba"),
        ("chrome oxide", "Cr"),
        ("uranium", "U"),
        ("spodumene", "Li"),
        ("cd-se", "Cd Se"),
        ("stannous chloride", "Sn"),
        ("be-ware", ""),
        ("lead-free frit", ""),
        ("leadless", ""),
        ("leed", ""),
        ("CO", "Co"),
        ("CO2", ""),
    ],
)
def test_a_word_of_a_recipe_names_its_metals(word: str, symbols: str) -> None:
    assert metals_in(word) == {Metal(symbol) for symbol in symbols.split()}


def test_every_metal_is_found_by_its_symbol_and_by_its_name() -> None:
    assert all(metals_in(str(metal)) == metals_in(read(metal)) == {metal} for metal in Metal)


def test_a_recipe_has_the_metals_of_its_words_and_tells_which_name_none() -> None:
    recipe = frozenset({"Cu", "tin oxide", "starlight"})

    assert metals_of(recipe) == {Metal.COPPER, Metal.TIN}
    assert unnamed_in(recipe) == ("starlight",)


def test_what_drinking_water_may_hold_is_as_the_table_has_it() -> None:
    with (REFERENCE / "drinking_water.csv").open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))

    published = {Metal(row["metal"]): float(row["mg_per_l"]) for row in rows}
    assert published == DRINKING_WATER_MG_L
    assert {Metal(row["metal"]) for row in rows if row["what"] == "action level"} == ACTION_LEVELS
    assert not set(LIMITED) & (set(WATCHED) | set(published))
