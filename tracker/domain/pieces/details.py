"""What is known of a piece and told again later: which facts may change, and how a change is said."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from tracker.domain.message import Fact, Message, _
from tracker.domain.pieces.piece import BY_ITS_MAKER, Build, Foot, Piece, Stage, StepName, Use
from tracker.domain.quantities import grams, mm
from tracker.domain.refusals import NotAStep, Unusable
from tracker.domain.studio.materials import Clay


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What somebody says of a piece after it was registered, by the names of its own facts.

    Lengths are in mm, its weight in g. None leaves a fact as it was, so nothing known becomes unknown again; only a
    piece that is told of no set, by an empty `set_name`, leaves the one it belonged to.
    """

    what: str | None = None
    clay: Clay | None = None
    build: Build | None = None
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
    nests: bool | None = None
    foot: Foot | None = None
    catch_plate: bool | None = None
    set_name: str | None = None


@dataclass(frozen=True, slots=True)
class Changed:
    """One fact of a piece that is different now: its name as the piece has it, what it was and what it is."""

    fact: str
    was: str | int | None
    now: str | int | None

    @property
    def message(self) -> Message:
        """The change in a few words: "weight from 700 g to 720 g"."""
        words, value = _WORDS[self.fact]
        unknown = _NO_SET if self.fact == "set_name" else _UNKNOWN
        was, now = (unknown if fact is None else value(fact) for fact in (self.was, self.now))
        return Message(f"{self.fact.replace('_', '-')}-changed", words, was=was, now=now)


def set_right(piece: Piece, told: Told, *, by_staff: bool = False) -> Piece:
    """The piece at the same stage, known as it is `told`; refused where nothing changes or its stage does not tell it.

    A foot and a catch plate are known of glazed ware alone: wax has a step of its own, and bare ware needs no plate.
    Its name, its clay and how it was made are its maker's to say until the bisque, which rests on them, and then only
    said `by_staff`; and so is all the rest once it waits in a queue.
    """
    piece.must_start(StepName.SET_RIGHT)
    if not by_staff and piece.stage not in BY_ITS_MAKER:
        words = _("{piece} is {stage}. Only staff can edit it now.")
        raise NotAStep(Message("staff-edits-it", words, piece=piece.ref, stage=piece.stage), piece.possible)
    after = _as_told(piece.take(StepName.SET_RIGHT), told)
    if not changes(piece, after):
        raise Unusable(
            [Message("nothing-different", _("You haven't changed anything."))],
            Message("change-what-is-wrong", _("Change a detail, then save.")),
        )
    changed = {one.fact for one in changes(piece, after)}
    if piece.stage not in {Stage.GLAZED, Stage.QUEUED} and not changed.isdisjoint({"foot", "catch_plate"}):
        words = _("{piece} is {stage}: only glazed pieces have a foot and a kiln cookie on record.")
        raise NotAStep(Message("foot-of-glazed-ware", words, piece=piece.ref, stage=piece.stage), piece.possible)
    if not by_staff and piece.stage is not Stage.GREENWARE and not changed.isdisjoint(_UNTIL_THE_BISQUE):
        words = _("{piece} is {stage}: its name, clay and build can only be changed while it's greenware.")
        raise NotAStep(
            Message("only-before-the-bisque", words, piece=piece.ref, stage=piece.stage),
            Message("ask-about-the-clay", _("Wrong clay? Ask on the piece's page, or tell staff.")),
        )
    return after


def is_news(piece: Piece, told: Told) -> bool:
    """Whether anything that is told of a piece is different from what is known."""
    return bool(changes(piece, _as_told(piece, told)))


def _as_told(piece: Piece, told: Told) -> Piece:
    facts = {one.name: fact for one in fields(Told) if (fact := getattr(told, one.name)) is not None}
    after = replace(piece, **facts)
    return replace(after, set_name=after.set_name or None)


def changes(before: Piece, after: Piece) -> tuple[Changed, ...]:
    """Every fact that is different, from what to what."""
    return tuple(
        Changed(fact, was, now) for fact in _WORDS if (was := _value(before, fact)) != (now := _value(after, fact))
    )


def _value(piece: Piece, fact: str) -> str | int | None:
    """A fact of a piece as the history keeps it: its clay by name."""
    value: str | int | None = piece.clay.name if fact == "clay" else getattr(piece, fact)
    return value


def all_changes(changed: Iterable[Changed]) -> Message:
    """Several changes in one line."""
    return Message("facts-changed", "{changes}", changes=tuple(one.message for one in changed))


_UNTIL_THE_BISQUE = frozenset({"what", "clay", "build"})
"""The facts that are the maker's to change as long as a piece is greenware."""

_UNKNOWN = Message("unknown", _("unknown"))
_NO_SET = Message("no-set", _("none"))


def _yes_or_no(fact: object) -> Message:
    return Message("yes", _("yes")) if fact else Message("no", _("no"))


def _form(fact: object) -> Message:
    return Message("form-open", _("open or with a hole")) if fact else Message("form-closed", _("closed, no hole"))


_WORDS: Mapping[str, tuple[str, Callable[[Any], Fact]]] = {
    "what": (_("name from {was} to {now}"), lambda name: Message("named-so", _("“{name}”"), name=name)),
    "clay": (_("clay from {was} to {now}"), str),
    "build": (_("build from {was} to {now}"), Build),
    "use": (_("use from {was} to {now}"), Use),
    "height_mm": (_("height from {was} to {now}"), mm),
    "width_mm": (_("width from {was} to {now}"), mm),
    "depth_mm": (_("depth from {was} to {now}"), mm),
    "weight_g": (_("weight from {was} to {now}"), grams),
    "wall_mm": (_("wall from {was} to {now}"), mm),
    "vented": (_("form from {was} to {now}"), _form),
    "fragile": (_("thin parts from {was} to {now}"), _yes_or_no),
    "burnished": (_("burnished from {was} to {now}"), _yes_or_no),
    "mended": (_("cracked or mended from {was} to {now}"), _yes_or_no),
    "nests": (_("nests in a bisque from {was} to {now}"), _yes_or_no),
    "foot": (_("foot from {was} to {now}"), Foot),
    "catch_plate": (_("kiln cookie from {was} to {now}"), _yes_or_no),
    "set_name": (_("set from {was} to {now}"), lambda name: Message("set-named", _("“{set}”"), set=name)),
}
"""How a change of each fact is said, and its value as messages carry it."""
