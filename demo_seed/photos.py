"""What makers photographed in the story: a few dozen pieces that still stand in the studio."""

from __future__ import annotations

from demo_seed.drawn_pots import photo_of
from demo_seed.floor import Floor, Pot
from tracker.domain.pieces.piece import Stage
from tracker.forms.pieces.photo_file import read_photo
from tracker.usecases.pieces import photos

MOST = 34
"""How many photos the story has."""

_EACH = 3
"""One in so many of everybody's pots has its photo; the student whose sign-in is shown has one of most."""
_LEFT_OUT = 5
_WORDS = ("", "", "from above", "the foot", "")


def take_photos(floor: Floor) -> None:
    """Have photos taken at the end of the story, so that nothing in it happens otherwise because of them.

    There are none where the studio's database is no file and so has no folder beside it.
    """
    if floor.hands.store.shelf is None:
        return
    first = floor.cast.students[0]
    standing = [pot for pot in floor.pots if pot.stage not in {Stage.CLAIMED, Stage.LOST}]
    own = [pot for pot in standing if pot.maker is first]
    shown = [pot for number, pot in enumerate(own) if number % _LEFT_OUT != _LEFT_OUT - 1]
    others = [pot for pot in standing if pot.maker is not first and pot.id % _EACH == 0]
    # What waits for pickup comes first: there a photo is looked at most.
    others.sort(key=lambda pot: (pot.stage is not Stage.FIRED, pot.id))
    for number, pot in enumerate([*shown, *others][:MOST]):
        take_photo(floor, pot, _WORDS[number % len(_WORDS)])


def take_photo(floor: Floor, pot: Pot, words: str) -> None:
    """Have one pot photographed as it is now; what came out of the outdoor kiln is shared with the examples."""
    piece = floor.piece(pot)
    kept = floor.hands.note(photos.add, pot.maker, pot.ref, read_photo(photo_of(piece)), words=words)
    if piece.is_outdoor_only and piece.stage is Stage.FIRED:
        floor.hands.note(photos.share, pot.maker, str(kept.extra["photo"]), shared=True)
