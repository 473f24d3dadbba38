"""What a migration reads in the facts that the history keeps as JSON."""

from __future__ import annotations


def texts_in(plain: object) -> set[str]:
    """Every text in a fact as the history keeps it, whatever it is wrapped in."""
    if isinstance(plain, str):
        return {plain}
    many = plain.values() if isinstance(plain, dict) else plain if isinstance(plain, list) else ()
    return {text for one in many for text in texts_in(one)}
