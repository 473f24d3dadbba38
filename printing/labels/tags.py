"""A piece's tag: the code to copy onto the foot, whose it is, what it must not be used for, bars and a QR."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from printing import bars
from printing.faces import printable
from printing.graphemes import letters_of
from printing.labels.label_parts import Gives, Label, Part, Parts, Qr, Usual, versions
from printing.lettering import NAMELESS
from printing.shapes import Face

CODE_LENGTH = 5
"""Symbols in a piece's code, until a studio needs six."""

NOT_FOR_FOOD = "not for food"
DECORATIVE = f"decorative, {NOT_FOR_FOOD}"
NO_CODE_YET = "no code until bisque"

LONGEST_FACT = 60
"""Letters of a name or a clay worth measuring; no label is wide enough for more."""


@dataclass(frozen=True, slots=True)
class Tag:
    """What one tag says; `code` is None while the piece is greenware and known by its `slip` alone.

    `use` is "food" or "decorative", `route` is None until one is chosen, each of `warnings` is a sentence without
    its sign, and `address` is where the QR leads. A code or slip that is not capitals and digits is a ValueError.
    """

    code: str | None
    slip: str
    maker: str
    what: str
    clay: str
    use: str
    route: str | None
    warnings: tuple[str, ...]
    address: str
    reprint: bool = False

    def __post_init__(self) -> None:
        """Refuse a name that a hand could not copy onto a foot."""
        if not (self.name.isascii() and self.name.isalnum() and self.name == self.name.upper()):
            raise ValueError(f"A tag carries a code or a slip in capitals and digits, not {self.name!r}.")

    @property
    def name(self) -> str:
        """What the bars say and the foot will carry: the code, or the slip number before there is one."""
        return self.code if self.code is not None else self.slip


FULL_TAG = Tag(
    code="K7R43",
    slip="W1042",
    maker="Mira T.",
    what="lidded jar",
    clay="white porcelain",
    use="decorative",
    route="outdoor kiln, raku, cone 06, 998 °C",
    warnings=("decorative, not for food", "porcelain, slab-built: may crack in raku"),
    address="http://127.0.0.1:8000/p/K7R43",
)
"""A tag with everything on it; the type on each stock is as large as lets this one stand there whole."""


def tag_labels(tags: Sequence[Tag]) -> tuple[Label, ...]:
    """The labels of tags that are printed together and look alike; short slip numbers are given a code's room.

    No tags are refused with a ValueError.
    """
    if not tags:
        raise ValueError("There is no tag to print.")
    form = bars.qr_form(tags[0].address, max(len(tag.address.encode()) for tag in tags))
    letters = max(CODE_LENGTH, *(len(tag.name) for tag in tags))
    return tuple(_label(tag, form, letters) for tag in tags)


def usual_tag(address_length: int = 40) -> Label:
    """A full tag of a studio whose addresses are so long: what can hold it holds its tags."""
    return _label(FULL_TAG, bars.qr_form("x" * address_length), CODE_LENGTH)


def _label(tag: Tag, form: bars.QrForm, letters: int) -> Label:
    return Label(
        kind="a tag", parts=parts_of(tag), bar=tag.name, usual=_USUAL, letters=letters, qr=Qr(tag.address, form)
    )


def parts_of(tag: Tag) -> Parts:
    """What a tag says: whose it is and what, what the ware must not be used for, what is missing, then the rest."""
    facts = (
        "reprint" if tag.reprint else "",
        tag.what,
        tag.clay,
        "for food" if tag.use == "food" else "",
        f"slip {tag.slip}" if tag.code and tag.slip else "",
    )
    maker = Part(
        text=_begun(tag.maker),
        instead=NAMELESS,
        face=Face.BOLD,
        also=tuple(said for fact in facts if (said := _begun(fact))),
        keeps_next=tag.reprint,
        gives=Gives.SHRINKS,
    )
    route = Part(text=tag.route or "", gives=Gives.LEAVES, cut_at=", ")
    return (maker, *_cares(tag.warnings, is_decorative=tag.use != "food", is_slip=tag.code is None), route)


def _begun(text: str) -> str:
    """As much of a name as could have room on any label."""
    said = printable(text)
    return said if len(said) <= LONGEST_FACT else "".join(letters_of(said)[:LONGEST_FACT]).rstrip()


@lru_cache(maxsize=4096)
def _cares(warnings: tuple[str, ...], *, is_decorative: bool, is_slip: bool) -> Parts:
    said = tuple(dict.fromkeys(sentence for warning in warnings if (sentence := printable(warning))))
    musts = [sentence for sentence in said if NOT_FOR_FOOD in sentence.casefold()]
    if is_decorative and not musts:
        musts = [DECORATIVE]
    missing = [Part(text=NO_CODE_YET)] if is_slip else []
    others = [sentence for sentence in said if sentence not in musts]
    return (
        *(Part(text=one, care=True, strong=NOT_FOR_FOOD) for one in musts),
        *missing,
        *(Part(text=one, care=True, gives=Gives.COUNTED) for one in others),
    )


def _says_less_and_less() -> tuple[Parts, ...]:
    """A full tag, then what a small label may leave to the page, in that order: slip number, route, clay."""
    no_slip = replace(FULL_TAG, slip="")
    no_route = replace(no_slip, route=None)
    return tuple(next(versions(parts_of(tag))) for tag in (FULL_TAG, no_slip, no_route, replace(no_route, clay="")))


_USUAL = Usual(_says_less_and_less())
