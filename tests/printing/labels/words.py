"""The words that labels are given in tests, as their makers give them."""

from __future__ import annotations

from printing.labels import alignment
from printing.labels.home_papers import CareWords, SlipWords
from printing.labels.tags import Manner, Tag, Words

TRUE_SIZE = "Print at 100%. Turn off “fit to page”."
NAMELESS = "maker: see page"
UNREADABLE = "its name: see the list of papers"
NOT_FOR_FOOD = "decorative, not for food"

FULL_TAG = Tag(
    code="K7R43",
    slip="W1042",
    maker="Mira T.",
    what="lidded jar",
    clay="white porcelain",
    use="",
    never=NOT_FOR_FOOD,
    route="outdoor kiln, raku, cone 06, 998 °C",
    warnings=("porcelain, slab-built: may crack in raku",),
    address="http://127.0.0.1:8000/p/K7R43",
)
"""A tag with everything on it."""

TAG_WORDS = Words(
    reprint="reprint",
    slip="ticket {slip}",
    no_code_yet="code issued after bisque",
    nameless=NAMELESS,
    strong="not for food",
    more=tuple(f"and {count} more: see page" for count in range(1, 13)),
)
USUAL = Manner(FULL_TAG, TAG_WORDS, "lidded jar with two handles")

CARE_WORDS = CareWords(
    tested="Tested",
    untested="Not tested",
    care="Care",
    nameless=NAMELESS,
    made_of="clay and glaze: see its page",
    unreadable="see its page",
)
SLIP_WORDS = SlipWords(
    title="Pickup",
    numbered="Pickup, {number} of {count}",
    taken_by="Taken by",
    date="Date",
    nameless=NAMELESS,
    unreadable="see its page",
)


def alignment_words(length: float) -> alignment.Words:
    """The words of the page of crosses with a line of so many mm."""
    return alignment.Words(title="Alignment", length=f"This line is {length:g} mm long.", true_size=TRUE_SIZE)
