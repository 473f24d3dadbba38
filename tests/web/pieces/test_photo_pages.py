"""Photos on the pages: who may send, see and remove them, where they stand, and what is said of those refused."""

from __future__ import annotations

from html import unescape
from io import BytesIO
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest
from PIL import Image
from werkzeug.datastructures import FileStorage
from werkzeug.test import encode_multipart

from tests.photographed import a_picture, photographed, written
from tests.staffed import off_and_out
from tests.studio import ADA, INES, MIRA, TOM
from tests.web.conftest import Room, Visitor
from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.photos import MOST_BYTES, MOST_OF_A_PIECE
from tracker.domain.studio.materials import Zone
from tracker.usecases.firing import firings, starting
from tracker.usecases.pieces import pickup, pieces
from tracker.usecases.pieces.photos import FILE_GONE
from tracker.wording.render import say

if TYPE_CHECKING:
    from werkzeug.test import TestResponse

    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.people import NewPerson


def send(visitor: Visitor, ref: str, raw: bytes, *, name: str = "photo.jpg", **fields: str) -> TestResponse:
    """Send a photo from the page of a piece."""
    return multipart(visitor, f"/p/{ref}/photos", raw, name, **fields)


def multipart(visitor: Visitor, there: str, raw: bytes, name: str, **fields: str) -> TestResponse:
    """Send a form with a file in it, all of it held in memory: a file of the test's own would stay open."""
    sent = {"csrf_token": visitor.token, "key": str(uuid4())} | fields | {"photo": FileStorage(BytesIO(raw), name)}
    boundary, body = encode_multipart(sent)
    kind = f"multipart/form-data; boundary={boundary}"
    return visitor.client.post(there, data=body, content_type=kind, buffered=True)


def photo_of(room: Room, piece: Piece, by: NewPerson = INES, words: str = "") -> str:
    """The name of a new photo of a piece."""
    return photographed(room.store, piece.ref, room.person(by), words)


def stems(room: Room, piece: Piece) -> list[str]:
    """The names of a piece's photos, the newest first."""
    return [photo.stem for photo in room.store.read.album.of(piece.id)]


def queued(room: Room) -> Piece:
    """A piece of Ines's that waits for the mid-range kiln."""
    cup = room.bisqued()
    pieces.glaze(room.store, room.asks(TOM), cup.ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), cup.ref, "mid-range")
    return room.piece(cup.ref)


def test_a_photo_sent_from_a_pieces_page_stands_on_it(room: Room) -> None:
    cup, ines = room.bisqued(), room.visit(INES)
    form = ines.get(f"/p/{cup.ref}").text

    answer = send(ines, cup.ref, written(), words="from above")
    page = ines.get(f"/p/{cup.ref}").text

    (stem,) = stems(room, cup)
    assert 'accept="image/jpeg,image/png,image/webp"' in form
    assert 'capture="environment"' in form
    assert answer.headers["Location"] == f"/p/{cup.ref}#photos"
    assert f'src="/photos/{stem}/small" width="320" height="240"' in page
    assert 'alt="from above: tall cup by Ines P., bisqued, Tue, Mar 3"' in page
    assert f"{cup.ref}, tall cup: photo saved." in page


def test_a_double_click_keeps_one_photo(room: Room) -> None:
    cup, ines, key = room.bisqued(), room.visit(INES), str(uuid4())

    for _ in range(2):
        assert send(ines, cup.ref, written(), key=key).status_code == 303

    assert len(stems(room, cup)) == 1


def test_greenware_is_photographed_under_its_slip(room: Room) -> None:
    tile = room.greenware()

    answer = send(room.visit(INES), tile.ref, written(kind="WEBP"), name="x.webp")

    assert answer.headers["Location"] == f"/slip/{tile.id}#photos"
    assert len(stems(room, tile)) == 1


@pytest.mark.parametrize("who", [TOM, ADA], ids=["staff", "instructor"])
def test_whoever_sees_all_pieces_photographs_and_removes_on_any(room: Room, who: NewPerson) -> None:
    cup, visitor = room.bisqued(), room.visit(who)

    send(visitor, cup.ref, written(kind="PNG"), name="x.png")
    (stem,) = stems(room, cup)
    answer = visitor.post(f"/photos/{stem}/remove")

    assert answer.headers["Location"] == f"/p/{cup.ref}#photos"
    assert stems(room, cup) == []
    assert visitor.get(f"/photos/{stem}/small").status_code == 404


# ---- who sees what


def test_the_picture_is_a_jpeg_that_ones_own_browser_may_keep_for_good(room: Room) -> None:
    stem = photo_of(room, room.bisqued())

    small, large = (room.visit(INES).get(f"/photos/{stem}/{size}") for size in ("small", "large"))

    for answer, width in ((small, 320), (large, 400)):
        assert answer.status_code == 200
        assert answer.headers["Content-Type"] == "image/jpeg"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == "private, max-age=31536000, immutable"
        assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")
        assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"
        assert Image.open(BytesIO(answer.data)).size[0] == width


def test_a_student_neither_sees_nor_removes_nor_adds_a_photo_of_somebody_elses_piece(room: Room) -> None:
    cup = room.bisqued(MIRA)
    stem = photo_of(room, cup, MIRA)
    ines = room.visit(INES)

    answers = [
        ines.get(f"/photos/{stem}"),
        ines.get(f"/photos/{stem}/small"),
        ines.get(f"/photos/{stem}/large"),
        ines.post(f"/photos/{stem}/remove"),
        send(ines, cup.ref, written()),
    ]

    assert [answer.status_code for answer in answers] == [404] * 5
    assert all(answer.mimetype == "text/html" for answer in answers)
    assert stems(room, cup) == [stem]


def test_whoever_is_not_signed_in_is_sent_no_picture(room: Room) -> None:
    stem = photo_of(room, room.bisqued())

    answer = room.stranger().get(f"/photos/{stem}/small")

    assert (answer.status_code, answer.mimetype) == (302, "text/html")


@pytest.mark.parametrize("there", ["/photos/1/small", f"/photos/{'0' * 32}/small", "/photos/..%2f..%2fetc/small"])
def test_a_name_that_is_no_photos_gets_a_sentence(room: Room, there: str) -> None:
    assert room.visit(ADA).get(there).status_code == 404


def test_a_photo_comes_in_two_sizes_and_no_other(room: Room) -> None:
    stem = photo_of(room, room.bisqued())

    assert room.visit(INES).get(f"/photos/{stem}/huge").status_code == 404


def test_a_photo_whose_file_is_lost_is_answered_and_can_be_removed(room: Room) -> None:
    cup = room.bisqued()
    stem = photo_of(room, cup)
    assert room.store.shelf is not None
    room.store.shelf.drop([stem])
    ines = room.visit(INES)

    assert ines.get(f"/photos/{stem}/small").status_code == 404
    assert ines.post(f"/photos/{stem}/remove").status_code == 303
    assert stems(room, cup) == []


def test_the_page_of_a_photo_shows_it_large_and_asks_before_it_is_removed(room: Room) -> None:
    stem = photo_of(room, room.bisqued(), TOM, "a crack in the foot")

    page = room.visit(INES).get(f"/photos/{stem}").text

    assert f'src="/photos/{stem}/large" width="400" height="300"' in page
    assert "a crack in the foot" in page
    assert "Photo by Tom Abara" in page
    assert "Remove this photo for good?" in page


# ---- what is refused


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"Dear studio, this is no photo", "This is another kind of file"),
        (b"GIF89a" + b"\0" * 40, "This is another kind of file"),
        (b"\x00\x00\x00\x18ftypheic" + b"\0" * 40, "HEIC"),
        (b"", "empty"),
        (written()[:2000], "damaged"),
        (written() + b"\0" * (MOST_BYTES + 1 - len(written())), "larger than 10 MB"),
        (written() + b"\0" * (MOST_BYTES + 1_000_000), "larger than 10 MB"),
    ],
    ids=["a letter", "a GIF", "HEIC", "empty", "damaged or incomplete", "a byte too many", "a megabyte too many"],
)
def test_what_is_no_photo_gets_one_sentence_on_the_pieces_page(room: Room, raw: bytes, says: str) -> None:
    cup, ines = room.bisqued(), room.visit(INES)

    answer = send(ines, cup.ref, raw)
    page = unescape(ines.get(f"/p/{cup.ref}").text)

    assert answer.headers["Location"] == f"/p/{cup.ref}"
    assert says in page
    assert stems(room, cup) == []
    assert room.store.shelf is not None
    assert not room.store.shelf.folder.exists()


def test_what_is_too_heavy_is_refused_by_its_announced_length_before_a_byte_is_read(room: Room) -> None:
    cup, ines = room.bisqued(), room.visit(INES)

    class Unread(BytesIO):
        """A body that nobody may touch."""

        def read(self, *_: object) -> bytes:
            raise AssertionError("the body was read")

        readline = read

    answer = ines.client.post(
        f"/p/{cup.ref}/photos",
        content_type="multipart/form-data; boundary=x",
        environ_overrides={"CONTENT_LENGTH": "30000000", "wsgi.input": Unread()},
    )

    assert answer.headers["Location"] == f"/p/{cup.ref}"
    assert "larger than 10 MB" in ines.get(f"/p/{cup.ref}").text


def test_no_other_form_brings_as_much(room: Room) -> None:
    cup, ines = room.bisqued(), room.visit(INES)

    answer = multipart(ines, f"/p/{cup.ref}/step", b"\0" * 2_000_000, "x", step="wax", ref=cup.ref)

    assert answer.status_code == 413
    assert room.piece(cup.ref).stage == "bisqued"


def test_a_form_without_a_photo_asks_for_one(room: Room) -> None:
    cup, ines = room.bisqued(), room.visit(INES)

    ines.post(f"/p/{cup.ref}/photos", {"words": "the foot"})

    assert "No photo arrived." in ines.get(f"/p/{cup.ref}").text


def test_a_piece_with_as_many_photos_as_are_kept_offers_no_form_and_takes_no_more(room: Room) -> None:
    cup, ines = room.bisqued(), room.visit(INES)
    for _ in range(MOST_OF_A_PIECE):
        photo_of(room, cup)

    page = ines.get(f"/p/{cup.ref}").text
    send(ines, cup.ref, written())

    assert "data-photo=" not in page
    assert "all the photos it can keep" in page
    assert len(stems(room, cup)) == MOST_OF_A_PIECE


def test_a_studio_without_a_folder_offers_no_form(room: Room) -> None:
    cup = room.bisqued()
    room.store.shelf = None

    assert "data-photo=" not in room.visit(INES).get(f"/p/{cup.ref}").text


# ---- where they stand


def test_my_pieces_shows_the_newest_photo_of_each_and_a_drawing_where_there_is_none(room: Room) -> None:
    cup = room.bisqued()
    room.bisqued(what="bowl")
    old, new = photo_of(room, cup), photo_of(room, cup)

    page = room.visit(INES).get("/pieces").text

    assert page.count('class="shot ') == 2
    assert new in page
    assert old not in page
    assert page.count('class="shot none') == 1


def test_a_list_without_photos_keeps_no_place_for_them(room: Room) -> None:
    room.bisqued()

    assert "shot" not in room.visit(INES).get("/pieces").text


def test_the_kilns_door_answers_a_scan_with_the_pieces_photo(room: Room) -> None:
    cup, other = queued(room), room.bisqued()
    stem, refused = photo_of(room, cup), photo_of(room, other)
    number = starting.start(room.store, room.asks(TOM), "Back box", "mid-range", Cone.parse("6")).extra["firing"]
    tom, script = room.visit(TOM), {"Accept": "application/json"}

    go = tom.post(f"/firings/{number}/in", {"ref": cup.ref}, headers=script).get_json()
    stop = tom.post(f"/firings/{number}/in", {"ref": other.ref}, headers=script).get_json()
    nothing = tom.post(f"/firings/{number}/in", {"ref": "nonsense"}, headers=script).get_json()
    tom.post(f"/firings/{number}/in", {"ref": other.ref})
    page = tom.get(f"/firings/{number}").text

    assert (go["word"], go["photo"]["small"]) == ("GO", f"/photos/{stem}/small")
    assert "tall cup by Ines P." in go["photo"]["alt"]
    assert (stop["word"], stop["photo"]["small"]) == ("STOP", f"/photos/{refused}/small")
    assert nothing["photo"] is None
    assert f'src="/photos/{refused}/small"' in page


def test_pickup_shows_the_photo_of_the_piece_in_hand_and_of_the_rest(room: Room) -> None:
    first, second = queued(room), queued(room)
    number = int(starting.start(room.store, room.asks(TOM), "Back box", "mid-range", Cone.parse("6")).extra["firing"])
    for one in (first, second):
        firings.put_in(room.store, room.asks(TOM), number, one.ref)
    firings.light(room.store, room.asks(TOM), number)
    off_and_out(room.store, room.asks(TOM), number, dict.fromkeys((first.ref, second.ref), Outcome.GOOD))
    in_hand, other = photo_of(room, first), photo_of(room, second)

    page = room.visit(TOM).get(f"/pickup?ref={first.ref}").text

    assert page.index(f"/photos/{in_hand}/small") < page.index("Hand out") < page.index(f"/photos/{other}/small")


def test_a_piece_that_went_home_keeps_its_photos_and_offers_no_form(room: Room) -> None:
    cup = room.bisqued()
    stem = photo_of(room, cup)
    pickup.hand_over(room.store, room.asks(TOM), cup.ref)
    ines = room.visit(INES)

    page = ines.get(f"/p/{cup.ref}").text

    assert stem in page
    assert "data-photo=" not in page
    assert stem in ines.get("/pieces?finished=1").text


def test_words_that_hold_markup_are_shown_as_words(room: Room) -> None:
    cup, ines = room.bisqued(), room.visit(INES)

    send(ines, cup.ref, written(a_picture(40, 40)), words='"><script>alert(1)</script>')
    page = ines.get(f"/p/{cup.ref}").text

    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_a_photo_whose_file_is_missing_shows_so(room: Room) -> None:
    cup = room.bisqued()
    stem = photo_of(room, cup)
    assert room.store.shelf is not None
    room.store.shelf.drop([stem])
    ines = room.visit(INES)

    picture = ines.client.get(f"/photos/{stem}/small", headers={"Accept": "image/avif,image/webp,*/*;q=0.8"})
    page = ines.get(f"/photos/{stem}")

    assert (picture.status_code, picture.mimetype) == (404, "image/svg+xml")
    assert picture.text.startswith("<svg")
    assert f'<img src="/photos/{stem}' not in page.text
    assert say(FILE_GONE) in unescape(page.text)
