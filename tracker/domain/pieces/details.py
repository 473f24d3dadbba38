"""What is known of a piece and told again later: which facts may change, and the words in which history keeps it."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any

from tracker.domain.pieces.piece import Foot, Piece, Stage, StepName, Use
from tracker.domain.refusals import NotAStep, Unusable

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What somebody says of a piece after it was registered, by the names of its own facts.

    Lengths are in mm, its weight in g. None leaves a fact as it was, so nothing known becomes unknown again; only a
    piece that is told of no set, by an empty `set_name`, leaves the one it belonged to.
    """

    use: Use | None = None
    height_mm: int | None = None
    width_mm: int | None = None
    depth_mm: int | None = None
    weight_g: int | None = None
    wall_mm: int | None = None
    vented: bool | None = None
    fragile: bool | None = None
    burnished: bool | None = None
    mended: bool | None = None
    foot: Foot | None = None
    catch_plate: bool | None = None
    set_name: str | None = None


def set_right(piece: Piece, told: Told) -> Piece:
    """The piece at the same stage, known as it is `told`; refused where nothing changes or its stage does not tell it.

    A foot and a catch plate are known of glazed ware alone: wax has a step of its own, and bare ware needs no plate.
    """
    after = _as_told(piece.take(StepName.SET_RIGHT), told)
    if not changes(piece, after):
        raise Unusable(["Nothing here is different from what is known already."], "Change what is wrong.")
    if piece.stage is not Stage.GLAZED and (piece.foot, piece.catch_plate) != (after.foot, after.catch_plate):
        raise NotAStep(f"{piece.ref} is {piece.stage}: foot and catch plate are told of glazed ware.", piece.possible)
    return after


def is_news(piece: Piece, told: Told) -> bool:
    """Whether anything that is told of a piece is different from what is known."""
    return bool(changes(piece, _as_told(piece, told)))


def _as_told(piece: Piece, told: Told) -> Piece:
    facts = {one.name: fact for one in fields(Told) if (fact := getattr(told, one.name)) is not None}
    after = replace(piece, **facts)
    return replace(after, set_name=after.set_name or None)


def _yes_or_no(fact: object) -> str:
    return "yes" if fact else "no"


def _way_out(fact: object) -> str:
    return "open or with a hole" if fact else "closed, no hole"


_IN_WORDS: Mapping[str, tuple[str, Callable[[Any], str]]] = {
    "use": ("use", str),
    "height_mm": ("height", "{} mm".format),
    "width_mm": ("width", "{} mm".format),
    "depth_mm": ("depth", "{} mm".format),
    "weight_g": ("weight", "{} g".format),
    "wall_mm": ("wall", "{} mm".format),
    "vented": ("form", _way_out),
    "fragile": ("thin parts", _yes_or_no),
    "burnished": ("burnished", _yes_or_no),
    "mended": ("cracked or mended", _yes_or_no),
    "foot": ("foot", str),
    "catch_plate": ("catch plate", _yes_or_no),
    "set_name": ("set", "“{}”".format),
}
"""What each fact is called, and how its value is said."""


def changes(before: Piece, after: Piece) -> tuple[str, ...]:
    """Every fact that is different, from what to what: "weight from 700 g to 720 g"."""
    return tuple(
        f"{name} from {_said(fact, was, say)} to {_said(fact, now, say)}"
        for fact, (name, say) in _IN_WORDS.items()
        if (was := getattr(before, fact)) != (now := getattr(after, fact))
    )


def _said(name: str, fact: object, say: Callable[[Any], str]) -> str:
    if fact is None:
        return "none" if name == "set_name" else "unknown"
    return say(fact)
