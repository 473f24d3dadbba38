"""What is taken for a photo, and how many; and how a nameless piece is described."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import said
from tracker.domain.pieces.nameless import BARE, Sighting, bounds
from tracker.domain.pieces.photos import (
    MOST_BYTES,
    MOST_OF_A_PIECE,
    MOST_PIXELS,
    Format,
    format_of,
    must_not_be_too_heavy,
    must_not_be_too_large,
    must_take_another,
)
from tracker.domain.pieces.piece import Build, Stage
from tracker.domain.refusals import NotAStep, Unusable
from tracker.domain.studio.materials import ClayKind

# The first bytes of each format: PNG and JPEG by the PNG specification, 5.2, and ITU-T T.81, annex B; WebP by RFC 9649;
# the others by the forewords of their own specifications, from memory.
HEADS = {
    Format.JPEG: b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00",
    Format.PNG: b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR",
    Format.WEBP: b"RIFF\x24\x00\x00\x00WEBPVP8 ",
}
OTHERS = {
    "GIF": b"GIF89a\x01\x00\x01\x00\x80\x00\x00\x00\x00\x00",
    "SVG": b'<svg xmlns="http',
    "a letter": b"Dear studio, her",
    "PDF": b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1",
    "BMP": b"BM\x46\x00\x00\x00\x00\x00\x00\x00\x36\x00\x00\x00\x28\x00",
    "TIFF": b"II*\x00\x08\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00",
    "sound in a RIFF file": b"RIFF\x24\x00\x00\x00WAVEfmt ",
}


@pytest.mark.parametrize("kind", HEADS)
def test_a_photo_is_known_by_its_first_bytes(kind: Format) -> None:
    assert format_of(HEADS[kind]) is kind


@pytest.mark.parametrize("kind", OTHERS)
def test_anything_else_is_refused_with_a_sentence(kind: str) -> None:
    with pytest.raises(Unusable) as refused:
        format_of(OTHERS[kind])

    assert said(refused.value.message) == "A photo is a JPEG, PNG or WebP. This is another kind of file."


def test_heic_is_refused_by_name_because_phones_send_it() -> None:
    with pytest.raises(Unusable) as refused:
        format_of(b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00")

    assert refused.value.code == "photo-of-a-phone"
    assert "JPEG" in said(refused.value.remedy)


def test_nothing_at_all_is_refused_as_empty() -> None:
    with pytest.raises(Unusable) as refused:
        format_of(b"")

    assert refused.value.code == "photo-empty"


@given(st.binary(max_size=16))
def test_whatever_comes_is_a_photo_or_refused(head: bytes) -> None:
    refused: list[Unusable] = []
    try:
        assert format_of(head) in Format
    except Unusable as refusal:
        refused.append(refusal)

    assert all(len(one.problems) == 1 for one in refused)


def test_ten_megabytes_are_taken_and_one_byte_more_is_not() -> None:
    must_not_be_too_heavy(MOST_BYTES)

    with pytest.raises(Unusable) as refused:
        must_not_be_too_heavy(MOST_BYTES + 1)

    assert said(refused.value.message) == "The photo is larger than 10 MB."


@pytest.mark.parametrize(("width", "height"), [(8000, 8000), (MOST_PIXELS, 1), (1, 1)])
def test_as_many_pixels_as_fit_are_taken(width: int, height: int) -> None:
    must_not_be_too_large(width, height)


@pytest.mark.parametrize(("width", "height"), [(8000, 8001), (50_000, 50_000), (0, 5), (5, 0)])
def test_more_pixels_or_none_are_refused(width: int, height: int) -> None:
    with pytest.raises(Unusable):
        must_not_be_too_large(width, height)


@pytest.mark.parametrize("stage", [stage for stage in Stage if stage is not Stage.CLAIMED])
def test_a_piece_takes_photos_until_it_has_as_many_as_are_kept(stage: Stage) -> None:
    must_take_another("K7R43", stage, MOST_OF_A_PIECE - 1)

    with pytest.raises(NotAStep) as refused:
        must_take_another("K7R43", stage, MOST_OF_A_PIECE)

    assert refused.value.message["count"] == 12


def test_a_piece_that_went_home_takes_none() -> None:
    with pytest.raises(NotAStep) as refused:
        must_take_another("K7R43", Stage.CLAIMED, 0)

    assert refused.value.code == "gone-home"


# ---- a nameless piece


@given(st.integers(1, 2000))
def test_a_measure_answers_to_whatever_is_within_fifteen_percent_of_it(length: int) -> None:
    least, most = bounds(length)

    inside = [one for one in range(2400) if abs(one - length) * 100 <= 15 * length]
    assert (least, most) == (inside[0], inside[-1])


def test_a_sighting_says_nothing_until_something_is_told() -> None:
    assert not Sighting().says_anything
    assert not Sighting(taken_home=True).says_anything
    assert Sighting(height_mm=120).says_anything
    assert Sighting(glaze=BARE).says_anything


def test_one_trait_of_three_may_be_wrong_but_not_one_of_two() -> None:
    two = Sighting(height_mm=120, clay_kind=ClayKind.PORCELAIN, stage=Stage.FIRED)
    three = Sighting(clay_kind=ClayKind.PORCELAIN, stage=Stage.FIRED, build=Build.SLAB)

    assert (two.traits, two.may_miss) == (2, 0)
    assert (three.traits, three.may_miss) == (3, 1)
