"""What is found against a piece in its kiln says what to look at as it comes out (common practice)."""

from __future__ import annotations

import pytest

from tracker.domain.findings import Finding, Level
from tracker.domain.message import Message
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.rules.engine import RULES
from tracker.domain.rules.unloading_checks import ORDERS, checks_at_unloading

LOOK_FOR = {
    "check-what-ran": {
        *("glaze-melts-off", "runny-without-catch-plate", "foot-not-clear", "raku-foot-runs", "raku-foot-sticks"),
        *("glaze-in-bisque", "fired-glaze-in-bisque"),
    },
    "check-its-shape": {"clay-slumps"},
    "check-its-color": {"overglaze-burns-off", "coat-fades"},
    "check-for-another-color": {"wants-reduction", "wants-oxidation"},
    "check-whether-it-matured": {"glaze-underfired"},
    "check-for-food": {rule.name for rule in RULES if rule.about == "food"},
}


def _checks(*rules: str) -> list[str]:
    return [one.code for one in checks_at_unloading(Finding(Level.WARN, Message(rule, "Says.")) for rule in rules)]


def test_each_rule_says_what_to_look_at() -> None:
    looks = {rule: check for check, rules in LOOK_FOR.items() for rule in rules}

    assert {rule.name: _checks(rule.name) for rule in RULES} == {
        rule.name: [looks.get(rule.name, "check-closely")] for rule in RULES
    }


def test_what_is_to_be_looked_at_for_two_reasons_is_told_once_and_in_their_order() -> None:
    assert _checks("coat-fades", "glaze-melts-off", "overglaze-burns-off") == ["check-its-color", "check-what-ran"]


@pytest.mark.parametrize(
    ("value", "is_kept"),
    [
        (str(Outcome.BROKE), True),
        (Flaw.SHIVERED, True),
        (Flaw.STUCK, True),
        (Flaw.RAN, True),
        (Flaw.BLISTERED, False),
        (Flaw.CRACKED, False),
        (Flaw.DUNTED, False),
    ],
)
def test_what_cuts_or_sticks_has_an_order_and_stays_off_the_pickup_shelf(value: str, *, is_kept: bool) -> None:
    # Common practice: whole ware goes out, ware with drips, slivers or a piece of shelf on it doesn't.
    assert ORDERS[value].is_kept is is_kept
