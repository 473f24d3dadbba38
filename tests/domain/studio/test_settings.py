"""Common practice in groups: every number of every group has its row, and its default lies within its bounds."""

from __future__ import annotations

from dataclasses import fields, is_dataclass

import pytest

from tracker.domain.studio.setting_groups import GROUPS, Group
from tracker.domain.studio.settings import COMMON_PRACTICE

of_each_group = pytest.mark.parametrize("group", GROUPS, ids=[group.name for group in GROUPS])


def test_every_group_of_the_practice_has_its_row() -> None:
    nested = [one.name for one in fields(COMMON_PRACTICE) if is_dataclass(getattr(COMMON_PRACTICE, one.name))]

    assert [group.name for group in GROUPS] == nested


@of_each_group
def test_every_number_of_a_group_has_its_row_in_order(group: Group) -> None:
    assert [one.name for one in group.numbers] == [one.name for one in fields(group.kind)]


@of_each_group
def test_common_practice_lies_within_the_bounds_of_its_rows(group: Group) -> None:
    usual = getattr(COMMON_PRACTICE, group.name)

    assert usual == group.of({})
    for one in group.numbers:
        assert one.least <= getattr(usual, one.name) <= one.most
        assert isinstance(getattr(usual, one.name), int) is one.whole
