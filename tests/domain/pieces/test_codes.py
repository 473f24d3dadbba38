"""The code of a piece, checked against the published examples and by going through all codes there are."""

from __future__ import annotations

import csv
from itertools import combinations, count
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_11_2, mod_37_2

from tracker.domain.pieces.codes import (
    ALPHABET,
    PureSystem,
    check_symbol,
    code_number,
    draw_code,
    is_issuable,
    is_valid,
    space,
    upside_down,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Examples of ISO/IEC 7064; the column source tells which are published and which were computed with python-stdnum.
VECTORS = Path(__file__).parents[2] / "reference" / "iso7064_vectors.csv"
MOD_11_2 = PureSystem(11, 2, "0123456789X", check_only="X")
MOD_37_2 = PureSystem(37, 2, "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*", check_only="*")
SYSTEMS = {"MOD 11-2": MOD_11_2, "MOD 37-2": MOD_37_2}


def vectors() -> list[tuple[str, str, str]]:
    with VECTORS.open(newline="", encoding="utf-8") as lines:
        return [(row["system"], row["input"], row["check"]) for row in csv.DictReader(lines)]


@pytest.mark.parametrize(("system", "data", "check"), vectors())
def test_the_published_examples_come_out(system: str, data: str, check: str) -> None:
    assert SYSTEMS[system].check_symbol(data) == check
    assert SYSTEMS[system].is_valid(data + check)


@given(data=st.text("0123456789", min_size=1, max_size=40))
def test_mod_11_2_agrees_with_an_independent_library(data: str) -> None:
    check = MOD_11_2.check_symbol(data)

    assert check == mod_11_2.calc_check_digit(data)
    assert mod_11_2.is_valid(data + check)


@given(data=st.text("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1, max_size=40))
def test_mod_37_2_agrees_with_an_independent_library(data: str) -> None:
    check = MOD_37_2.check_symbol(data)

    assert check == mod_37_2.calc_check_digit(data)
    assert mod_37_2.is_valid(data + check)


def test_each_check_symbol_can_come_out_including_the_two_that_stand_only_last() -> None:
    digits = {MOD_11_2.check_symbol(str(number)) for number in range(100)}
    letters = {MOD_37_2.check_symbol(str(number)) for number in range(1_000)}

    assert digits == set("0123456789X")
    assert letters == set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*")


@pytest.mark.parametrize("data", ["", "0X9", "07-9", "*", "\u0660"], ids=repr)
def test_a_system_refuses_data_it_has_no_symbol_for(data: str) -> None:
    with pytest.raises(ValueError, match="can be checked"):
        MOD_11_2.check_symbol(data)

    assert not MOD_11_2.is_valid(data + "0")


@pytest.mark.parametrize("alphabet", ["0123456789", "00123456789", ""])
def test_a_system_needs_one_symbol_for_each_remainder(alphabet: str) -> None:
    with pytest.raises(ValueError, match="modulus 11"):
        PureSystem(11, 2, alphabet)


# The codes on the pictures of the tool's pages and tags.
@pytest.mark.parametrize("code", "K7R43 H4PXA DK3TY M4G2N EV35A RD4AL PD2YC 7FXN5 X3JTR".split())  # noqa: SIM905 -- codes read best side by side
def test_the_codes_in_the_pictures_are_real(code: str) -> None:
    assert is_valid(code)
    assert is_issuable(code)
    assert check_symbol(code[:-1]) == code[-1]


@given(data=st.text(ALPHABET, min_size=4, max_size=5))
def test_the_values_times_five_to_the_position_sum_up_to_one_modulo_23(data: str) -> None:
    code = data + check_symbol(data)

    total = sum(ALPHABET.index(symbol) * 5**position for position, symbol in enumerate(reversed(code)))

    assert total % 23 == 1


@pytest.mark.parametrize(
    "text", ["", "4", "K7R4", "k7r43", " K7R43", "K7R43\n", "K7R40", "K7R4O", "K7R44", "K7R43K7R43"]
)
def test_what_is_not_written_exactly_as_a_code_is_none(text: str) -> None:
    assert not is_valid(text)
    assert not is_issuable(text)


@pytest.fixture(scope="module")
def codes() -> list[str]:
    """Every code of five symbols, in the order of their numbers."""
    return [code_number(number) for number in range(space())]


@pytest.fixture(scope="module")
def values(codes: list[str]) -> NDArray[np.int64]:
    """One row for each code, one column for each symbol, each symbol as its place in the alphabet."""
    places = np.zeros(128, dtype=np.int64)
    places[[ord(symbol) for symbol in ALPHABET]] = range(len(ALPHABET))
    values: NDArray[np.int64] = places[np.frombuffer("".join(codes).encode("ascii"), dtype=np.uint8).reshape(-1, 5)]
    return values


def among_all_texts(values: NDArray[np.int64]) -> NDArray[np.int64]:
    """Which of the 23^5 texts of five symbols each row is."""
    numbers: NDArray[np.int64] = values @ np.array([23**4, 23**3, 23**2, 23, 1])
    return numbers


@pytest.fixture(scope="module")
def is_code(values: NDArray[np.int64]) -> NDArray[np.bool_]:
    """For each of the 23^5 texts of five symbols, whether it is a code; a look-up that knows no formula."""
    known = np.zeros(23**5, dtype=np.bool_)
    known[among_all_texts(values)] = True
    return known


@pytest.mark.slow
def test_there_are_279_841_different_codes_and_each_is_valid(codes: list[str], is_code: NDArray[np.bool_]) -> None:
    assert space() == len(codes) == len(set(codes)) == is_code.sum() == 279_841
    assert all(map(is_valid, codes))


@given(number=st.integers(0, 23**5 - 1))
def test_no_other_text_of_five_symbols_is_valid(number: int, is_code: NDArray[np.bool_]) -> None:
    text = "".join(ALPHABET[number // 23**power % 23] for power in (4, 3, 2, 1, 0))

    assert is_valid(text) == is_code[number]


@pytest.mark.parametrize("place", range(5))
def test_every_single_wrong_symbol_in_every_code_is_caught(
    place: int,
    values: NDArray[np.int64],
    is_code: NDArray[np.bool_],
) -> None:
    for step in range(1, 23):
        wrong = values.copy()
        wrong[:, place] = (wrong[:, place] + step) % 23

        assert not is_code[among_all_texts(wrong)].any()


@pytest.mark.parametrize(("one", "other"), list(combinations(range(5), 2)))
def test_every_swap_of_two_different_symbols_in_every_code_is_caught(
    one: int,
    other: int,
    values: NDArray[np.int64],
    is_code: NDArray[np.bool_],
) -> None:
    differing = values[values[:, one] != values[:, other]]
    swapped = differing.copy()
    swapped[:, [one, other]] = differing[:, [other, one]]

    assert len(swapped) == 279_841 * 22 // 23
    assert not is_code[among_all_texts(swapped)].any()


@given(number=st.integers(0, 23**5 - 1), data=st.data())
def test_wrong_and_swapped_symbols_are_caught_in_codes_of_six_as_well(number: int, data: st.DataObject) -> None:
    code = code_number(number, 6)
    one, other = data.draw(st.sampled_from(list(combinations(range(6), 2))))
    symbols = list(code)
    symbols[one], symbols[other] = symbols[other], symbols[one]

    wrong = code[:one] + data.draw(st.sampled_from(ALPHABET.replace(code[one], ""))) + code[one + 1 :]

    assert is_valid(code)
    assert not is_valid(wrong)
    assert is_valid("".join(symbols)) is (code[one] == code[other])


@pytest.fixture(scope="module")
def withheld(codes: list[str]) -> list[int]:
    """The numbers of the codes that are never issued."""
    return [number for number, code in enumerate(codes) if not is_issuable(code)]


def test_274_codes_are_never_issued_and_22_more_read_the_same_both_ways(codes: list[str], withheld: list[int]) -> None:
    same = [code for code in codes if upside_down(code) == code]

    assert len(withheld) == 274
    assert len(same) == 22
    assert not {codes[number] for number in withheld} & set(same)


def test_no_issuable_code_is_another_issuable_code_upside_down(codes: list[str], withheld: list[int]) -> None:
    issuable = set(codes) - {codes[number] for number in withheld}

    turned = {code: upside_down(code) for code in issuable}

    assert [code for code, other in turned.items() if other in issuable and other != code] == []


@given(text=st.text("7LAV3E25HNX", max_size=8))
def test_turning_a_foot_twice_brings_the_text_back(text: str) -> None:
    turned = upside_down(text)

    assert turned is not None
    assert upside_down(turned) == text


@pytest.mark.parametrize(("text", "turned"), [("7A3", "EVL"), ("25HNX", "XNH52"), ("K7R43", None), ("", "")])
def test_a_text_turns_symbol_by_symbol_or_not_at_all(text: str, turned: str | None) -> None:
    assert upside_down(text) == turned


@pytest.mark.parametrize(("number", "length"), [(-1, 5), (23**4, 5), (23**5, 6), (0, 4), (0, 7)])
def test_there_is_no_code_before_the_first_or_after_the_last(number: int, length: int) -> None:
    with pytest.raises(ValueError, match=r"codes of \d symbols|five or six symbols"):
        code_number(number, length)


@given(number=st.integers(0, 23**4 - 1))
def test_a_drawn_code_is_the_one_drawn_or_the_next_that_may_be_issued(number: int) -> None:
    drawn = draw_code(lambda _: number)

    assert is_issuable(drawn)
    if is_issuable(code_number(number)):
        assert drawn == code_number(number)


def test_a_draw_that_falls_on_a_withheld_code_gives_the_next_that_is_not(withheld: list[int]) -> None:
    drawn = [draw_code(lambda _, number=number: number) for number in withheld]  # type: ignore[misc]  # the default binds it now

    along = ((code_number((number + step) % space()) for step in count(1)) for number in withheld)
    assert drawn == [next(filter(is_issuable, codes)) for codes in along]


def test_a_draw_is_made_from_all_codes_of_the_length() -> None:
    asked: list[int] = []

    def the_last(count: int) -> int:
        asked.append(count)
        return count - 1

    code = draw_code(the_last, 6)

    assert asked == [space(6)] == [6_436_343]
    assert len(code) == 6
