"""How many examples are drawn for a law."""

from __future__ import annotations

from hypothesis import settings

from tests.machine import ON_CI


def examples(many: int) -> settings:
    """So many on laptops, where new ones are looked for; half of them on CI, where they are the same every time."""
    return settings(max_examples=many // 2 if ON_CI else many)
