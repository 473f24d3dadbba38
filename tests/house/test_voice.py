"""How Footring speaks: one word for one thing, and no archaic or borrowed turns."""

from __future__ import annotations

import re

import pytest

from tests.house.sentences import marked, written

HABITS = {
    "archaic": r"\b(anew|lately|meanwhile|beneath|reckon(ed|s)?|once more|this very)\b",
    "say: isn't a": r"\b(is|are) no (length|weight|code|number|date|time|glaze|clay|kiln|firing|cone|picture|text)\b",
    "name the person": r"\b(somebody|whoever|whatever)\b|\bnobody (here|has|noted|knows|measured|looked|can name)\b",
    "things are": r"\b(stands?|stood) (at|in|on|by|below|above|here|there|apart|together|over|beside)\b(?! for)",
    "things don't lie": r"\b(lies|lying) (at|in|on|by|below|above|with|beside|between|there)\b",
    "fix, edit, correct": r"\b(puts?|putting|sets?) (it |them |this )?right\b",
    "import, apply": r"\btak(e|en|ing) (it|them|a file|the file|the log) (over|in)\b|\btake over a\b",
    "blank": r"\b(left|leave) (it |this |them )?empty\b",
    "ticket": r"\b(pickup|its|your|each) slips?\b|\bslip numbers?\b",
    "firing": r"\bways? of firing\b|\b(this|its|own|which|every) routes?\b",
    "American spelling": r"\b(programme|colour|fibre|grey|mould|litre|metre|millimetre|catalogue|lustre|cancell)\w*",
    "has, uses": r"\bwears\b",
    "absorption": r"\btakes up\b",
    "leach test": r"\brelease tests?\b",
    "cookie": r"\bcatch plates?\b",
    "longest wait": r"\boldest promise\b",
    "take out of the queue": r"\bpull(ed|s)? back\b",
    "cancel, postpone": r"\b(call(ed)? (it )?off|put(s)? off|putting off)\b",
    "cone pack": r"\bplaques?\b",
    "tank": r"\bbottles?\b",
    "food-safe": r"\bfood standing\b|\bfit for food\b",
    "100%": r"\d %(?!\()",
    "at most": r"\bat the most\b",
    "no joke": r"!(?!\[)(\s|$)",
}
"""What the house doesn't say, by what it says instead; `{facts}` are looked at apart."""


@pytest.mark.parametrize(("name", "habit"), HABITS.items(), ids=HABITS)
def test_the_house_says_it_in_its_own_words(name: str, habit: str) -> None:
    wrong = re.compile(habit, re.IGNORECASE)

    assert [str(one) for one in (*marked(), *written()) if wrong.search(bare(one.text))] == []


def bare(words: str) -> str:
    """A text without the names of the facts that are put into it."""
    return re.sub(r"%\(\w+\)[sd]|\{[^}]*\}", "…", words).replace("%%", "%")
