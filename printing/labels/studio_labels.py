"""The studio's own labels: shelves and ware boards, glaze buckets, kiln doors, badges and outdoor containers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from printing.labels.label_parts import Gives, Label, Part
from printing.lettering import POINT
from printing.shapes import Face, Ink


def shelf_label(name: str, bar: str, says: str = "", *, unreadable: str = "") -> Label:
    """A shelf's name as large as the label allows, with its bars and a word on how they are used.

    Here as in the others `unreadable` is said of a name that cannot be printed.
    """
    return Label(
        parts=(
            Part(text=name, instead=unreadable, face=Face.BOLD, scale=1.8, grows=True, lines=2),
            Part(text=says, ink=Ink.SOFT, gives=Gives.LEAVES, lines=2),
        ),
        bar=bar,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bucket:
    """A glaze bucket, each line in words; `metals` say what is in it and `harms` what to do about it."""

    name: str
    matures: str
    goes_on: str
    food: str
    limits: tuple[str, ...] = ()
    metals: str = ""
    harms: tuple[str, ...] = ()
    stands: str = ""
    dust: str = ""
    laboratory: str = ""
    bar: str = ""
    unreadable: str = ""


def bucket_label(bucket: Bucket) -> Label:
    """A bucket's name, its cones, how it goes on, its food standing, its metals, cautions, place and bars.

    Only how it goes on gives way: a label without its cautions is worse than none.
    """
    return Label(parts=tuple(_bucket_parts(bucket)), bar=bucket.bar, most_growth=2.2)


def _bucket_parts(bucket: Bucket) -> Iterator[Part]:
    yield Part(text=bucket.name, instead=bucket.unreadable, face=Face.BOLD, scale=1.6, grows=True, lines=2)
    yield Part(text=bucket.matures, face=Face.BOLD, rule=True)
    yield Part(text=bucket.food)
    yield from (Part(text=one, face=Face.BOLD, care=True) for one in bucket.limits)
    if bucket.metals:
        yield Part(text=bucket.metals, face=Face.BOLD, care=True)
    yield from (Part(text=one, scale=0.85) for one in bucket.harms)
    if bucket.goes_on:
        yield Part(text=bucket.goes_on, gives=Gives.LEAVES)
    yield from (Part(text=one, scale=0.85) for one in (bucket.dust, bucket.laboratory) if one)
    if bucket.stands:
        yield Part(text=bucket.stands, instead="", ink=Ink.SOFT, lines=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class KilnDoor:
    """A kiln's card for its door: `fires` are its ways of firing with their cones, `never` and `cautions` sentences.

    Those stand under their heads.
    """

    name: str
    place: str
    fires: tuple[str, ...]
    never_head: str
    never: tuple[str, ...]
    cautions_head: str
    cautions: tuple[str, ...]
    studio: str = ""
    unreadable: str = ""


def kiln_card(door: KilnDoor) -> Label:
    """What the kiln fires and what must never go in, large, and the cautions under it."""
    return Label(parts=tuple(_door_parts(door)), most_growth=2.0, largest=18 * POINT)


def _door_parts(door: KilnDoor) -> Iterator[Part]:
    yield Part(text=door.name, instead=door.unreadable, face=Face.BOLD, scale=1.8, grows=True, lines=2)
    yield Part(text=door.place, ink=Ink.SOFT, gives=Gives.LEAVES, lines=1, rule=True)
    yield from (Part(text=one, face=Face.BOLD, scale=1.15) for one in door.fires)
    yield Part(text=door.never_head, face=Face.BOLD, head=True, scale=1.15)
    yield from (Part(text=one, care=True) for one in door.never)
    yield Part(text=door.cautions_head, face=Face.BOLD, head=True)
    yield from (Part(text=one, scale=0.9) for one in door.cautions)
    yield Part(text=door.studio, ink=Ink.SOFT, gives=Gives.LEAVES, at_foot=True, scale=0.85, lines=1)


def command_label(title: str, group: str, bar: str) -> Label:
    """What a bar does, as large as there is room for, and where it does so."""
    return Label(
        parts=(
            Part(text=title, face=Face.BOLD),
            Part(text=group, ink=Ink.SOFT, gives=Gives.LEAVES, lines=1, scale=0.85),
        ),
        bar=bar,
    )


def badge(name: str, role: str, studio: str, bar: str = "", *, unreadable: str = "") -> Label:
    """A name and a role, large enough to be read across a table; its bars say the name and nothing else."""
    return Label(
        parts=(
            Part(text=name, instead=unreadable, face=Face.BOLD, scale=1.6, grows=True, lines=2),
            Part(text=role, scale=1.2),
            Part(text=studio, ink=Ink.SOFT, gives=Gives.LEAVES, lines=1),
        ),
        bar=bar,
        most_growth=4.0,
    )


def container_label(name: str, says: str = "", *, unreadable: str = "") -> Label:
    """A container's number in the largest letters there is room for, to be read from the tongs."""
    return Label(
        parts=(
            Part(text=name, instead=unreadable, face=Face.BOLD, scale=2.4, grows=True, lines=1, centred=True),
            Part(text=says, gives=Gives.LEAVES, lines=2, centred=True),
        ),
        most_growth=30.0,
    )
