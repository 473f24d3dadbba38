"""The pages of photos: add one to a piece, look at it large, remove it; and the pictures themselves."""

from __future__ import annotations

from flask import Blueprint, g, jsonify, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.photos import MOST_BYTES, Size
from tracker.domain.refusals import Refusal, Unknown
from tracker.domain.studio.people import Right
from tracker.forms.page_forms import read_form
from tracker.forms.pieces.photo_file import read_photo
from tracker.forms.pieces.photo_forms import CaptionForm
from tracker.usecases.pieces import photos
from tracker.usecases.pieces.lookup import find_row
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import receipt_json, refusal_json, status_of, wants_json
from tracker.web.photo_files import photo_sent, print_of
from tracker.web.piece_presenters import address_of
from tracker.web.pieces.photo_presenters import photo_shown
from tracker.web.presenters import told
from tracker.web.wording import said

pages = Blueprint("photos", __name__)


@pages.post("/p/<code>/photos")
@allows(Right.WORK_ON)
def add(code: str) -> ResponseReturnValue:
    """Keep one more photo of a piece, or say why not."""
    row = find_row(house().store.read, code, g.person)

    def do() -> Receipt:
        photos.may_add(house().store, row.ref, g.person)
        words = read_form(CaptionForm(), request.form).words
        prints = read_photo(photo_sent().stream.read(MOST_BYTES + 1))
        return photos.add(house().store, asking(), row.ref, prints, words=words)

    there = address_of(row.ref)
    if not wants_json():
        return told(do, lambda receipt: f"{there}#photos" if receipt else there)
    try:
        receipt = do()
    except Refusal as refusal:
        return jsonify(refusal_json(refusal)), status_of(refusal)
    return jsonify(receipt_json(receipt, word=said(Message("photo-saved", _("Saved"))), piece_url=there, undo_url=None))


@pages.get("/photos/<stem>")
@allows(Right.SEE_OWN)
def look(stem: str) -> ResponseReturnValue:
    """One photo, large, with the way to remove it."""
    photo, row = photos.seen(house().store, stem, g.person)
    is_own = row.piece.maker_id == g.person.id
    is_shareable = is_own and (photo.shared or house().store.read.outdoors.is_example(row.piece.id))
    shown = photo_shown(photo, row)
    gap = said(photos.gap_of(house().store, stem))
    return render_template(
        "pieces/photo.html", photo=shown, row=row, back=address_of(row.ref), is_shareable=is_shareable, gap=gap
    )


@pages.get("/photos/<stem>/<size>")
@allows(Right.SEE_OWN)
def picture(stem: str, size: str) -> ResponseReturnValue:
    """One print of a photo as a JPEG, for whoever may see its piece."""
    if size not in set(Size):
        raise Unknown(
            Message("no-such-photo", _("This photo doesn't exist.")),
            Message("small-or-large", _("Open the photo from its piece's page.")),
        )
    path = photos.file_of(house().store, stem, Size(size), g.person)
    return print_of(path, f"{stem}-{size}")


@pages.post("/photos/<stem>/remove")
@allows(Right.WORK_ON)
def remove(stem: str) -> ResponseReturnValue:
    """Remove a photo from its piece."""
    _, row = photos.seen(house().store, stem, g.person)
    there = f"{address_of(row.ref)}#photos"
    return told(lambda: photos.remove(house().store, asking(), stem), lambda _: there)


@pages.post("/photos/<stem>/share")
@allows(Right.WORK_ON)
def share(stem: str) -> ResponseReturnValue:
    """Share a photo with the examples, or with sent `shared` blank no longer."""
    there = url_for("photos.look", stem=stem)
    shared = bool(request.form.get("shared"))
    return told(lambda: photos.share(house().store, asking(), stem, shared=shared), lambda _: there)


def where_photos_go() -> str:
    """Where the form of this request for a photo was: the page of its piece."""
    return address_of(str((request.view_args or {})["code"]))
