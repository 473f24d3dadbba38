"""Scanners that name the kind of bar first (ISO/IEC 15424) are read like any other."""

from __future__ import annotations

import pytest

from tracker.domain.labels.scanner_prefixes import without_prefix
from tracker.domain.labels.studio_bars import Labelled, Sort, read_bar
from tracker.domain.pieces.codes import read, read_slip


@pytest.mark.parametrize("prefix", ["]C1", "]C0", "]Q1", "]d2", ""])
def test_a_code_a_ticket_an_address_and_a_label_are_read_behind_any_prefix(prefix: str) -> None:
    code = "K7R43"

    assert read(f"{prefix}{code}").code == code
    assert read(f"{prefix}https://studio.example/p/{code}").code == code
    assert read_slip(f"{prefix}W1042") == 1042
    assert read_slip(f"{prefix}https://studio.example/slip/1042") == 1042
    assert read_bar(f"{prefix}S.rack 3") == Labelled(Sort.SHELF, "rack 3")


@pytest.mark.parametrize("text", ["]rack", "rack ]C1", "C1K7R43", "]", ""])
def test_what_is_no_prefix_stays(text: str) -> None:
    assert without_prefix(text) == text
