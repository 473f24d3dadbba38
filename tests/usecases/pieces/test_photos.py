"""Photos of pieces are added once, by whoever may, seen by whoever may, and removed; on both engines."""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import uuid4

import pytest

from tests.photographed import photographed, prints
from tests.reading import said
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, fired, glazed, queued
from tests.studio import NOON, a_new_piece
from tracker.domain.pieces.history import Request
from tracker.domain.pieces.nameless import BARE, LATELY, Sighting
from tracker.domain.pieces.photos import MOST_OF_A_PIECE, Size
from tracker.domain.pieces.piece import Build, Stage
from tracker.domain.refusals import KeyUsedElsewhere, NotAllowed, NotAStep, Unknown, Unusable
from tracker.domain.studio.materials import ClayKind
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import photos, pickup, pieces

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tracker.domain.studio.people import Person
    from tracker.store.pieces.photo_album import PhotoRow


def album(store: Store, ref: str) -> Sequence[PhotoRow]:
    """The photos of a piece."""
    piece = store.read.pieces.piece(code=ref) or store.read.pieces.piece(number=int(ref[1:]))
    assert piece is not None
    return store.read.album.of(piece.id)


def files(store: Store) -> int:
    """How many files lie on the shelf."""
    assert store.shelf is not None
    return sum(path.is_file() for path in store.shelf.folder.rglob("*"))


@pytest.mark.parametrize("by", [MIRA, TOM, ADA], ids=["its maker", "staff", "the instructor"])
def test_a_photo_is_added_to_greenware_and_knows_when_and_by_whom(store: Store, by: Person) -> None:
    ref = pieces.register(store, asked_by(MIRA), a_new_piece()).ref

    receipt = photos.add(store, asked_by(by), ref, prints(), words="the foot")

    (photo,) = album(store, ref)
    assert (photo.words, photo.stage, photo.by, photo.added_at) == ("the foot", Stage.GREENWARE, by.name, NOON)
    assert (photo.width, photo.height, photo.bytes) == (400, 300, len(prints().small) + len(prints().large))
    assert photos.file_of(store, photo.stem, Size.LARGE, by).read_bytes() == prints().large
    assert said(receipt.message) == f"{ref}, tall cup: photo saved."


def test_the_same_request_twice_keeps_one_photo(store: Store) -> None:
    ref, request = bisqued(store), Request(uuid4(), MIRA, NOON)

    first = photos.add(store, request, ref, prints())
    second = photos.add(store, request, ref, prints())

    assert second == first
    assert len(album(store, ref)) == 1
    assert files(store) == 2


def test_a_key_that_came_with_another_photo_is_refused(store: Store) -> None:
    ref, request = bisqued(store), Request(uuid4(), MIRA, NOON)
    photos.add(store, request, ref, prints())

    with pytest.raises(KeyUsedElsewhere):
        photos.add(store, request, ref, prints(width=50))

    assert files(store) == 2


def test_the_newest_photo_stands_for_each_piece_and_the_album_begins_with_it(store: Store) -> None:
    cup, bowl, bare = bisqued(store), bisqued(store), bisqued(store)
    photographed(store, cup, MIRA, "before")
    photographed(store, cup, MIRA, "after")
    photographed(store, bowl, TOM)
    numbers = [piece.id for ref in (cup, bowl, bare) if (piece := store.read.pieces.piece(code=ref))]

    newest = store.read.album.newest_of(numbers)

    assert [one.words for one in album(store, cup)] == ["after", "before"]
    assert {number: one.words for number, one in newest.items()} == {numbers[0]: "after", numbers[1]: ""}


def test_nobody_photographs_somebody_elses_piece_nor_sees_or_removes_its_photo(store: Store) -> None:
    ref = bisqued(store)
    stem = photographed(store, ref, MIRA)

    for forbidden in (
        lambda: photos.may_add(store, ref, INES),
        lambda: photos.add(store, asked_by(INES), ref, prints()),
        lambda: photos.seen(store, stem, INES),
        lambda: photos.file_of(store, stem, Size.SMALL, INES),
        lambda: photos.remove(store, asked_by(INES), stem),
    ):
        with pytest.raises(Unknown, match=r"none-of-yours|no-such-photo"):
            forbidden()

    assert len(album(store, ref)) == 1
    assert files(store) == 2


@pytest.mark.parametrize("by", [MIRA, TOM, ADA], ids=["its maker", "staff", "the instructor"])
def test_a_photo_is_removed_with_its_files_and_removing_it_again_changes_nothing(store: Store, by: Person) -> None:
    ref = bisqued(store)
    stem, other = photographed(store, ref, TOM), photographed(store, ref, TOM)
    request = asked_by(by)

    photos.remove(store, request, stem)
    photos.remove(store, request, stem)

    assert [one.stem for one in album(store, ref)] == [other]
    assert files(store) == 2
    with pytest.raises(Unknown):
        photos.seen(store, stem, by)


def test_a_thirteenth_photo_is_refused_and_leaves_no_file(store: Store) -> None:
    ref = bisqued(store)
    for _ in range(MOST_OF_A_PIECE):
        photographed(store, ref, MIRA)

    with pytest.raises(NotAStep, match="photos-full"):
        photos.add(store, asked_by(MIRA), ref, prints())

    assert files(store) == 2 * MOST_OF_A_PIECE


def test_a_piece_that_went_home_takes_no_photo_but_keeps_what_it_has(store: Store) -> None:
    ref = fired(store)
    stem = photographed(store, ref, MIRA)
    pickup.hand_over(store, asked_by(TOM), ref)

    with pytest.raises(NotAStep, match="gone-home"):
        photos.may_add(store, ref, MIRA)

    assert photos.seen(store, stem, MIRA)[0].stage is Stage.FIRED


def test_a_photo_whose_file_is_gone_is_refused_with_a_sentence(store: Store) -> None:
    stem = photographed(store, bisqued(store), MIRA)
    assert store.shelf is not None
    store.shelf.drop([stem])

    with pytest.raises(Unknown, match="gone"):
        photos.file_of(store, stem, Size.SMALL, MIRA)


def test_a_studio_without_a_folder_takes_no_photos(store: Store) -> None:
    ref = bisqued(store)
    store.shelf = None

    with pytest.raises(Unusable, match="no-photo-folder"):
        photos.may_add(store, ref, MIRA)


# ---- whose is this?


def names(store: Store, **seen: object) -> list[tuple[str, tuple[str, ...]]]:
    """What a sighting finds: each piece by its code, with what it lacks."""
    found = photos.look_for(store, Sighting(**seen), TOM, at=NOON)  # type: ignore[arg-type]  # any trait
    return [(row.ref, lacks) for row, lacks in found]


def test_a_nameless_piece_is_found_by_its_measures_whichever_way_it_is_held_nearest_first(store: Store) -> None:
    near = bisqued(store, a_new_piece(height_mm=100, width_mm=200, depth_mm=120))
    exact = bisqued(store, a_new_piece(height_mm=110, width_mm=120, depth_mm=210))
    bisqued(store, a_new_piece(height_mm=127, width_mm=210, depth_mm=210))
    bisqued(store, a_new_piece(height_mm=110, width_mm=150, depth_mm=150))

    assert names(store, height_mm=110, width_mm=210) == [(exact, ()), (near, ())]


def test_it_is_found_by_clay_glaze_stage_build_and_shelf(store: Store) -> None:
    white = bisqued(store, a_new_piece(clay="Lantern White", build=Build.SLAB))
    blue = queued(store, "Still Water")
    slate = glazed(store, "Wet Slate")
    pieces.wax(store, asked_by(TOM), bare := bisqued(store), place="Window shelf")

    assert names(store, clay_kind=ClayKind.PORCELAIN) == names(store, clay="Lantern White") == [(white, ())]
    assert names(store, build=Build.SLAB) == [(white, ())]
    assert names(store, glaze="Still Water") == names(store, stage=Stage.QUEUED) == [(blue, ())]
    assert {ref for ref, _ in names(store, glaze=BARE)} == {white, bare}
    assert names(store, place="window") == [(bare, ())]
    assert names(store, clay="Sold out") == names(store, place="%") == []
    assert names(store, stage=Stage.GLAZED) == [(slate, ())]


def test_of_three_traits_one_may_be_wrong_and_it_is_named(store: Store) -> None:
    white = bisqued(store, a_new_piece(clay="Lantern White", build=Build.SLAB))
    thrown = bisqued(store, a_new_piece(clay="Lantern White"))
    bisqued(store)

    found = names(store, clay_kind=ClayKind.PORCELAIN, build=Build.SLAB, stage=Stage.BISQUED)

    assert found == [(white, ()), (thrown, ("build",))]


def test_what_went_home_is_found_on_request_and_what_is_missing_always_but_nothing_of_long_ago(store: Store) -> None:
    home, missing = fired(store), bisqued(store)
    pickup.hand_over(store, asked_by(TOM), home)
    pieces.lose(store, asked_by(TOM), missing, "missing")
    long_after = NOON + LATELY * 1.1

    assert names(store, height_mm=120) == [(missing, ())]
    assert {ref for ref, _ in names(store, height_mm=120, taken_home=True)} == {home, missing}
    assert photos.look_for(store, Sighting(height_mm=120, taken_home=True), TOM, at=long_after) == ()


def test_nothing_told_finds_nothing_and_students_do_not_look(store: Store) -> None:
    bisqued(store)

    assert names(store) == []
    with pytest.raises(NotAllowed):
        photos.look_for(store, Sighting(height_mm=120), MIRA, at=NOON)
