"""JSON, more strictly than Python reads it: no key twice, no NaN, and a sentence for whatever cannot be read."""

from __future__ import annotations

import json
from typing import NoReturn

from tracker.domain.message import Message, _
from tracker.forms.plain_values import Wrong, as_sentence, shown

THIS_LINE = Message("line", _("this line"))
THIS_FILE = Message("this-file", _("this file"))
THE_FILE = Message("file", _("the file"))


def parsed(text: str, *, what: Message = THIS_LINE, longest: int) -> object:
    """The value that `text` stands for; `Wrong` about `what` when it is empty, too long or not JSON."""
    if not text.strip():
        raise Wrong(Message("empty", _("{what} is blank."), what=what))
    if len(text) > longest:
        raise Wrong(too_long(what, longest))
    try:
        return _JSON.decode(text)
    except json.JSONDecodeError as fault:
        words = _("{what} isn't JSON: {fault} at character {place}.")
        raise Wrong(Message("not-json", words, what=what, fault=fault.msg, place=fault.pos + 1)) from None
    except RecursionError:
        raise Wrong(too_deep(what)) from None
    except ValueError:
        # Python refuses to read whole numbers of more than 4,300 digits.
        raise Wrong(too_many_digits(what)) from None


def too_long(what: Message, most: int) -> Message:
    """A file or a line has more characters than it may have."""
    return Message("too-long", _("{what} is longer than {most} characters."), what=what, most=most)


def too_deep(what: Message) -> Message:
    """A file or a line has more in each other than Python follows."""
    return Message("too-deep", _("{what} is nested too deeply."), what=what)


def too_many_digits(what: Message) -> Message:
    """A file or a line has a number that Python does not read."""
    return Message("too-many-digits", _("{what} has a number with too many digits."), what=what)


def where_and_what(wrong: Wrong) -> Message:
    """Where and what, in one sentence: `piece.layers[1].glaze.cone_low: …`; its code is that of what is wrong."""
    if not wrong.path:
        return as_sentence(wrong.message)
    path = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in wrong.path)
    return Message(wrong.message.code, "{path}: {what}", path=path.removeprefix("."), what=wrong.message)


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) != len(pairs):
        keys = [key for key, _value in pairs]
        twice = next(key for place, key in enumerate(keys) if key in keys[:place])
        raise Wrong(Message("key-twice", _('the key "{key}" appears twice in one object.'), key=shown(twice)))
    return found


def _no_constant(word: str) -> NoReturn:
    raise Wrong(Message("not-finite", _("{word} isn't a usable number."), word=word))


_JSON = json.JSONDecoder(object_pairs_hook=_once, parse_constant=_no_constant)
