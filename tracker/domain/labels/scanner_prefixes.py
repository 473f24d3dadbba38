"""What a scanner may send before the text of a bar: the three signs that name the kind of bar (ISO/IEC 15424)."""

from __future__ import annotations

import re

_IDENTIFIER = re.compile(r"\s*\][A-Za-z][0-9]")


def without_prefix(text: str) -> str:
    """The text of a bar without its symbology identifier: "]C1K7R43", as Code 128 may be sent, is "K7R43"."""
    found = _IDENTIFIER.match(text)
    return text[found.end() :] if found else text
