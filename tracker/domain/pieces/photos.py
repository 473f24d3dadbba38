"""Photos of pieces: what is taken for one, how large it may be, and what is kept of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from hashlib import sha256

from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import Stage
from tracker.domain.refusals import NotAStep, Unusable

MOST_BYTES = 10_000_000
"""How many bytes a photo may have as it comes from the phone."""

MOST_PIXELS = 64_000_000
"""How many pixels it may have: as many as phones take, and few enough to be laid out in memory (common practice)."""

LONGEST_WORDS = 60
"""Characters in what somebody says of a photo."""

MOST_OF_A_PIECE = 12
"""How many photos of one piece are kept (common practice)."""

_AGAIN = Message("photo-again", _("Retake the photo or choose another."))


class Format(StrEnum):
    """The ways of writing a picture that are taken, by the names that browsers know them by."""

    JPEG = "image/jpeg"
    PNG = "image/png"
    WEBP = "image/webp"


class Size(StrEnum):
    """The two sizes in which each photo is kept."""

    SMALL = "small"
    LARGE = "large"


LONGEST_SIDE = {Size.SMALL: 320, Size.LARGE: 1600}
"""Pixels along the longer side; a smaller photo is never blown up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prints:
    """A photo as it is kept: two upright JPEGs of nothing but the picture; `width` and `height` of the large."""

    small: bytes
    large: bytes
    width: int
    height: int

    def of(self, size: Size) -> bytes:
        """The JPEG of one size."""
        return self.small if size is Size.SMALL else self.large

    @property
    def sha256(self) -> str:
        """The SHA-256 of both, the small one first: what its files are known by later."""
        return sha256(self.small + self.large).hexdigest()


def format_of(head: bytes) -> Format:
    """How a file is written, by its first 16 bytes and not by its name; anything else is refused with a sentence."""
    if not head:
        raise Unusable([Message("photo-empty", _("The photo file is empty."))], _AGAIN)
    if head.startswith(b"\xff\xd8\xff"):
        return Format.JPEG
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return Format.PNG
    if head.startswith(b"RIFF") and head[8:12] == b"WEBP":
        return Format.WEBP
    if head[4:8] == b"ftyp":
        raise Unusable(
            [Message("photo-of-a-phone", _("A photo is a JPEG, PNG or WebP. This is HEIC or a video."))],
            Message("photo-as-jpeg", _("Save it as JPEG on your phone.")),
        )
    raise Unusable(
        [Message("photo-unknown", _("A photo is a JPEG, PNG or WebP. This is another kind of file."))], _AGAIN
    )


def must_not_be_too_heavy(count: int) -> None:
    """Refuse a photo of too many bytes."""
    if count > MOST_BYTES:
        raise too_heavy()


def too_heavy() -> Unusable:
    """What is said of a photo of too many bytes."""
    remedy = _("Send a smaller version, or take it at a lower resolution.")
    return Unusable(
        [Message("photo-too-heavy", _("The photo is larger than {most} MB."), most=MOST_BYTES // 1_000_000)],
        Message("photo-smaller", remedy),
    )


def must_not_be_too_large(width: int, height: int) -> None:
    """Refuse a photo of too many pixels, or of none."""
    if width < 1 or height < 1:
        raise damaged()
    if width * height > MOST_PIXELS:
        words = _("The photo has {width} × {height} pixels. The limit is {most} million pixels.")  # noqa: RUF001 -- the sign for times
        raise Unusable(
            [Message("photo-too-large", words, width=width, height=height, most=MOST_PIXELS // 1_000_000)],
            Message("photo-fewer-pixels", _("Take it at a lower resolution.")),
        )


def damaged() -> Unusable:
    """What is said of a photo that cannot be read to its end."""
    return Unusable([Message("photo-damaged", _("The photo is damaged or incomplete."))], _AGAIN)


def must_take_another(ref: str, stage: Stage, count: int) -> None:
    """Refuse one more photo of a piece that has gone home, or that has as many as are kept."""
    if stage is Stage.CLAIMED:
        raise NotAStep(
            Message("gone-home", _("{piece} has been picked up."), piece=ref),
            Message("photos-until-pickup", _("Add photos before pickup.")),
        )
    if count >= MOST_OF_A_PIECE:
        words = _("{piece} has {count} photos, the limit for one piece.")
        raise NotAStep(
            Message("photos-full", words, piece=ref, count=count),
            Message("remove-one-first", _("Remove a photo first.")),
        )
