"""A piece's tag: the code to copy onto the foot, whose it is, what it must not be used for, bars and a QR."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from printing import bars
from printing.faces import printable
from printing.graphemes import letters_of
from printing.labels.label_parts import Gives, Label, Part, Parts, Qr, Usual, versions
from printing.shapes import Face

CODE_LENGTH = 5
"""Symbols in a piece's code, until a studio needs six."""

LONGEST_FACT = 60
"""Letters of a name or a clay worth measuring; no label is wide enough for more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What tags say by themselves: of a reprint, of a piece without a code, of a name that cannot be printed.

    `slip` has a place for {slip}; `more` is said of one warning that has no room, of two, and so on; the words `strong`
    are bold in what the ware must not be used for.
    """

    reprint: str
    slip: str
    no_code_yet: str
    nameless: str
    strong: str
    more: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tag:
    """What one tag says; `code` is None while the piece is greenware and known by its `slip` alone.

    `use` is what the ware is for and `never` what it must not be used for, either empty where nothing is said; `route`
    is None until one is chosen, each of `warnings` is a sentence without its sign, and `address` is where the QR leads.
    `no_code` says when its code is issued, where not after the bisque, and `once` that it had none.
    A code or slip that is not capitals and digits is a ValueError.
    """

    code: str | None
    slip: str
    maker: str
    what: str
    clay: str
    use: str
    never: str
    route: str | None
    warnings: tuple[str, ...]
    address: str
    reprint: bool = False
    no_code: str = ""
    once: str = ""

    def __post_init__(self) -> None:
        """Refuse a name that a hand could not copy onto a foot."""
        if not (self.name.isascii() and self.name.isalnum() and self.name == self.name.upper()):
            raise ValueError(f"A tag carries a code or a slip in capitals and digits, not {self.name!r}.")

    @property
    def name(self) -> str:
        """What the bars say and the foot will carry: the code, or the slip number before there is one."""
        return self.code if self.code is not None else self.slip


@dataclass(frozen=True, slots=True)
class Manner:
    """How tags are made: a `full` one with everything on it, and the words that tags say by themselves.

    The type on each stock is as large as lets the full one stand there whole, on large ones also with a `long_name`.
    """

    full: Tag
    said: Words
    long_name: str


def tag_labels(tags: Sequence[Tag], manner: Manner) -> tuple[Label, ...]:
    """The labels of tags that are printed together and look alike; short slip numbers are given a code's room.

    No tags are refused with a ValueError.
    """
    if not tags:
        raise ValueError("There is no tag to print.")
    form = bars.qr_form(tags[0].address, max(len(tag.address.encode()) for tag in tags))
    letters = max(CODE_LENGTH, *(len(tag.name) for tag in tags))
    return tuple(_label(tag, form, letters, manner) for tag in tags)


def usual_tag(manner: Manner, address_length: int = 40) -> Label:
    """A full tag of a studio whose addresses are so long: what can hold it holds its tags."""
    return _label(manner.full, bars.qr_form("x" * address_length), CODE_LENGTH, manner)


def _label(tag: Tag, form: bars.QrForm, letters: int, manner: Manner) -> Label:
    return Label(
        parts=parts_of(tag, manner.said),
        bar=tag.name,
        usual=_usual(manner),
        letters=letters,
        qr=Qr(tag.address, form),
    )


def parts_of(tag: Tag, said: Words) -> Parts:
    """What a tag says: whose it is and what, what the ware must not be used for, what is missing, then the rest."""
    facts = (
        said.reprint if tag.reprint else "",
        tag.what,
        tag.clay,
        tag.use,
        tag.once,
        said.slip.format(slip=tag.slip) if tag.code and tag.slip else "",
    )
    maker = Part(
        text=_begun(tag.maker),
        instead=said.nameless,
        face=Face.BOLD,
        also=tuple(begun for fact in facts if (begun := _begun(fact))),
        keeps_next=tag.reprint,
        gives=Gives.SHRINKS,
    )
    route = Part(text=tag.route or "", gives=Gives.LEAVES, cut_at=", ")
    return (maker, *_cares(tag.never, "" if tag.code else tag.no_code or said.no_code_yet, tag.warnings, said), route)


def _begun(text: str) -> str:
    """As much of a name as could have room on any label."""
    said = printable(text)
    return said if len(said) <= LONGEST_FACT else "".join(letters_of(said)[:LONGEST_FACT]).rstrip()


@lru_cache(maxsize=4096)
def _cares(never: str, missing: str, warnings: tuple[str, ...], said: Words) -> Parts:
    others = tuple(dict.fromkeys(sentence for warning in warnings if (sentence := printable(warning))))
    return (
        *([Part(text=never, care=True, strong=said.strong)] if never else []),
        *([Part(text=missing)] if missing else []),
        *(
            Part(text=one, care=True, gives=Gives.COUNTED, rest=rest)
            for one, rest in zip(others, reversed(said.more[: len(others)]), strict=True)
        ),
    )


@lru_cache(maxsize=64)
def _usual(manner: Manner) -> Usual:
    """A full tag, then what a small label may leave to the page, in that order: slip number, route, clay."""
    full = manner.full
    no_slip = replace(full, slip="")
    no_route = replace(no_slip, route=None)
    less_and_less = (full, no_slip, no_route, replace(no_route, clay=""))
    says = tuple(next(versions(parts_of(tag, manner.said))) for tag in less_and_less)
    return Usual(says, next(versions(parts_of(replace(full, what=manner.long_name), manner.said))))
