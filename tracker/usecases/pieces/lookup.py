"""How a piece is found from what somebody scanned, typed or read off a foot."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from tracker.domain.firing.firings import Firing
from tracker.domain.labels.badge_bars import read_badge
from tracker.domain.message import Either, Fact, Message, Template, _
from tracker.domain.pieces.codes import is_valid, likely_slips, read, read_slip, slip_text
from tracker.domain.pieces.command_bars import read_command
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.piece import STEPS, Piece, Stage, StepName
from tracker.domain.refusals import NotAStep, Unknown
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.materials import Clay
from tracker.domain.studio.people import Person, Right
from tracker.store.firing.queries import FiringPage
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change

_LONGEST_SHOWN = 24
_MOST_LIKELY = 3
LARGEST_SLIP = 2**31 - 1
"""No piece is numbered higher."""

Found = TypeVar("Found")


def find_piece(reader: Queries, text: str, by: Person, *, hold: bool = False) -> Piece:
    """The piece that `text` (a code, a slip number, a tag's address) means; `Unknown` says what it could have been.

    Students find their own pieces only; another's is refused in the words of one that isn't there. What was registered
    twice is the piece that stays, for whoever may see that. Within a change, `hold` keeps others from changing the
    piece until the end.
    """
    code, number = _key(reader, text, by)
    piece = reader.pieces.piece(code=code, number=number, hold=hold)
    if piece is not None and (into := _leads_to(reader, piece)) is not None:
        stays = reader.pieces.piece(number=into, hold=hold)
        piece = stays if stays is not None and may_see(stays, by) else piece
    if piece is None or not may_see(piece, by):
        raise _nothing_like(reader, text, by)
    return piece


def held_piece(change: Change, name: StepName, ref: str, seen: int | None) -> Piece:
    """The piece, kept from others until the end, if this person may take this step on it as they saw it."""
    by = change.request.by
    by.must_be_allowed(STEPS[name].right)
    piece = find_piece(change.read, ref, by, hold=True)
    piece.must_be_as_seen(seen)
    return piece


def find_row(reader: Queries, text: str, by: Person) -> PieceRow:
    """The same as `find_piece`, as lists show a piece."""
    code, number = _key(reader, text, by)
    row = reader.pieces.row(code=code, number=number)
    if row is not None and (into := _leads_to(reader, row.piece)) is not None:
        stays = reader.pieces.row(number=into)
        row = stays if stays is not None and may_see(stays.piece, by) else row
    if row is None or not may_see(row.piece, by):
        raise _nothing_like(reader, text, by)
    return row


def _leads_to(reader: Queries, piece: Piece) -> int | None:
    """The number of the piece that this one is, where it was registered twice."""
    return reader.pieces.leads_to(piece.id) if piece.stage is Stage.LOST else None


def find_rows(reader: Queries, texts: Sequence[str], by: Person) -> list[PieceRow]:
    """The pieces that all these texts mean, in their order and each once; the first that is none is refused.

    They are asked for together, however they are written, so that thousands take no longer than a breath.
    """
    rows, missing = rows_found(reader, texts, by)
    for text in missing[:1]:
        find_row(reader, text, by)
    return rows


def rows_found(reader: Queries, texts: Sequence[str], by: Person) -> tuple[list[PieceRow], list[str]]:
    """The pieces that these texts mean, in their order and each once, and the texts that mean none."""
    meant = {text: _ref_in(text) for text in texts}
    numbers = reader.papers.numbers_of(set(meant.values()) - {""})
    known = {row.piece.id: row for row in reader.pieces.by_ids(set(numbers.values()))} if numbers else {}
    rows: dict[int, PieceRow] = {}
    missing: dict[str, None] = {}
    for text in texts:
        row = known.get(numbers.get(meant[text], 0))
        if row is None or not may_see(row.piece, by):
            missing[text] = None
            continue
        if row.piece.stage is Stage.LOST:
            row = find_row(reader, text, by)  # It may lead to the piece that it is, registered twice.
        rows[row.piece.id] = row
    return list(rows.values()), list(missing)


def _ref_in(text: str) -> str:
    """The code or ticket that a text means, as it was issued; empty where it means none."""
    if (number := read_slip(text)) is not None:
        return slip_text(number) if number <= LARGEST_SLIP else ""
    return text if is_valid(text) else read(text).code or ""


def likely_refs(refusal: Unknown) -> tuple[str, ...]:
    """The codes of the pieces that a code which was not found may have meant, the likeliest first."""
    meant = dict(refusal.remedy.facts).get("pieces") if refusal.remedy else None
    if not isinstance(meant, Either):
        return ()
    return tuple(str(dict(one.facts)["piece"]) for one in meant.facts if isinstance(one, Message))


def named(piece: Piece) -> Message:
    """What a receipt calls a piece: its code or slip number, and what it is."""
    return Message("piece-named", "{ref}, {what}", ref=piece.ref, what=piece.what)


def find_firing(reader: Queries, number: int) -> Firing:
    """The firing with this number; `Unknown` when there is none."""
    return _there(reader.firings.firing(number), number)


def find_firing_page(reader: Queries, number: int) -> FiringPage:
    """The firing with this number, with all that its pages show; `Unknown` when there is none."""
    return _there(reader.firings.page(number), number)


def _there(found: Found | None, number: int) -> Found:
    if found is None:
        raise Unknown(
            Message("no-such-firing", _("Firing {firing} doesn't exist."), firing=str(number)),
            Message("pick-a-firing", _("Choose one from the list of firings.")),
        )
    return found


def may_see(piece: Piece, by: Person) -> bool:
    """Whether `by` may see every piece, or this is their own."""
    return piece.maker_id == by.id or by.may(Right.SEE_ALL)


def _key(reader: Queries, text: str, by: Person) -> tuple[str | None, int | None]:
    """The code or the slip number that `text` is; refused with `Unknown` when it is neither."""
    if (slip := read_slip(text)) is not None:
        return None, slip
    if code := read(text).code:
        return code, None
    raise _nothing_like(reader, text, by)


def _nothing_like(reader: Queries, text: str, by: Person) -> Unknown:
    shown = text.strip() if len(text.strip()) <= _LONGEST_SHOWN else f"{text.strip()[:_LONGEST_SHOWN]}…"
    if not shown or read_command(text) or read_badge(text):
        on_the_sheet = Message("a-bar-is-no-piece", _("That's a badge, or a barcode from the scan sheet, not a piece."))
        nothing = Message("nothing-scanned", _("Nothing was scanned."))
        return Unknown(on_the_sheet if shown else nothing, Message("scan-the-tag", _SCAN_THE_TAG))
    reading = read(text)
    if not by.may(Right.SEE_ALL) and (reading.code or read_slip(text) is not None):
        return Unknown(
            Message("none-of-yours", _("You have no piece marked {text}."), text=shown),
            Message("not-yours-to-staff", _("If the piece isn't yours, give it to the shelf staff.")),
        )
    if read_slip(text) is not None:
        no_ticket = Message("no-such-ticket", _("No piece has ticket {text}."), text=shown)
        return Unknown(no_ticket, Message("look-at-the-ticket", _("Check the number on the ticket.")))
    no_code = Message("not-a-code", _("“{text}” isn't a code."), text=shown)
    tickets = _by_ticket(reader, text) if by.may(Right.SEE_ALL) else []
    likely = (*reader.pieces.likely(reading.likely), *tickets) if by.may(Right.SEE_ALL) else ()
    if likely:
        words = _("{piece}, the {what} by {maker}")
        meant = [
            Message("one-likely", words, piece=code, what=what, maker=maker)
            for code, what, maker in likely[:_MOST_LIKELY]
        ]
        asked = (
            _("Did you mean {pieces}? Set up this scanner on Scan and move.")
            if tickets
            else _("Did you mean {pieces}?")
        )
        return Unknown(no_code, Message("did-you-mean-a-piece", asked, pieces=Either(tuple(meant))))
    if reading.code:
        return Unknown(
            Message("no-piece-of-that-code", _("No piece here has the code {code}."), code=reading.code),
            Message(
                "look-at-the-foot", _("Look at the foot again. Upside down, 7 and L look alike, and so do 3 and E.")
            ),
        )
    return Unknown(no_code, Message("scan-again", _("Scan it again, or type the five symbols on the foot.")))


def _by_ticket(reader: Queries, text: str) -> list[tuple[str, str, str]]:
    """The pieces whose tickets `text` may be if a scanner typed it on a keyboard of another layout."""
    numbers = (number for number in likely_slips(text) if number <= LARGEST_SLIP)
    rows = (reader.pieces.row(number=number) for number in numbers)
    return [(row.ref, row.piece.what, row.maker) for row in rows if row is not None]


_SCAN_THE_TAG = _("Scan the tag again, or type the five symbols on the foot.")


def clay_in_use(catalog: Catalog, name: str) -> Clay:
    """The clay of that name; refused where the studio no longer uses it."""
    clay = catalog.clay(name)
    if clay.retired:
        raise NotAStep(
            Message("clay-retired", _("{clay} isn't used here anymore."), clay=clay.name),
            Message("choose-a-clay", _("Choose another clay.")),
        )
    return clay


def receipt_of(piece: Piece, code: str, words: Template, *, line: int | None, **facts: Fact) -> Receipt:
    """What is told of one thing done with a piece, and the `line` of history with it."""
    message = Message(code, words, piece=named(piece), **facts)
    return Receipt(message=message, ref=piece.ref, piece_id=piece.id, line=line, refs=(piece.ref,))
