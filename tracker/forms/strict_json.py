"""JSON, more strictly than Python reads it: no key twice, no NaN, and a sentence for whatever cannot be read."""

from __future__ import annotations

import json
from typing import NoReturn

from tracker.forms.plain_values import Wrong, shown


def parsed(text: str, *, what: str = "this line", longest: int) -> object:
    """The value that `text` stands for; `Wrong` about `what` when it is empty, too long or not JSON."""
    if not text.strip():
        raise Wrong(f"{what} is empty.")
    if len(text) > longest:
        raise Wrong(f"{what} is longer than {longest:,} characters.")
    try:
        return _JSON.decode(text)
    except json.JSONDecodeError as fault:
        raise Wrong(f"{what} is not JSON: {fault.msg} at character {fault.pos + 1}.") from None
    except RecursionError:
        raise Wrong(f"{what} is nested too deeply.") from None
    except ValueError:
        # Python refuses to read whole numbers of more than 4,300 digits.
        raise Wrong(f"{what} holds a number with too many digits.") from None


def where_and_what(wrong: Wrong) -> str:
    """Where and what, in one sentence: `piece.layers[1].glaze.cone_low: …`."""
    if not wrong.path:
        return f"{wrong.says[0].upper()}{wrong.says[1:]}"
    path = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in wrong.path)
    return f"{path.removeprefix('.')}: {wrong.says}"


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for place, key in enumerate(keys) if key in keys[:place])
        raise Wrong(f"the key {shown(twice)} stands twice in one object.")
    return found


def _no_constant(word: str) -> NoReturn:
    raise Wrong(f"{word} is not a number that anything can be measured by.")


_JSON = json.JSONDecoder(object_pairs_hook=_once, parse_constant=_no_constant)
