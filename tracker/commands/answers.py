"""What the rules answer to a what-if, as lines of JSON for scripts."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from tracker.domain.message import Message
from tracker.domain.refusals import Unusable
from tracker.domain.rules.engine import judge
from tracker.domain.rules.food_standing import food_word
from tracker.forms.rules.what_if import read_what_if
from tracker.wording.reader import ANYONE, Reader
from tracker.wording.render import say

if TYPE_CHECKING:
    from tracker.domain.findings import Verdict


def answer_line(line: bytes, reader: Reader = ANYONE) -> str:
    """The answer to one line as a line of JSON, without its line break: a verdict, or what makes the line unusable.

    Beside the verdict is what is known of the piece and food, with the names of the rules that speak about it.
    """
    try:
        asked = read_what_if(line.decode("utf-8"))
    except UnicodeDecodeError:
        return _written({"error": "This line isn't UTF-8 text."})
    except Unusable as refusal:
        return _written({"error": say(refusal.message, reader)})
    verdict = judge(asked.ware, asked.route, kiln=asked.kiln)
    word, rules = food_word(asked.ware, asked.route, verdict.findings)
    return _written(verdict_as_json(verdict, reader) | {"food": word.for_scripts, "food_rules": list(rules)})


def verdict_as_json(verdict: Verdict, reader: Reader = ANYONE) -> dict[str, object]:
    """A verdict as plain values: {"verdict": word, "findings": [{"rule", "level", "says", "mend", "rests_on"}]}."""
    findings = [
        {
            "rule": one.rule,
            "level": one.level.word,
            "says": _sentence(one.message, reader),
            "mend": _sentence(one.remedy, reader),
            "rests_on": one.source,
        }
        for one in verdict.findings
    ]
    return {"verdict": verdict.word, "findings": findings}


def _sentence(message: Message | None, reader: Reader) -> str:
    """A message as a sentence with a capital, also where it begins with what has no name of its own: "this kiln"."""
    return say(message and Message("sentence", "{said:capital}", said=message), reader)


_written = json.JSONEncoder(ensure_ascii=False, check_circular=False).encode
