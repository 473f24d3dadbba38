"""What can be asked without a database: what a code is, and what the rules say about a piece on a route."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tracker.commands.house import as_json_option, fail, progress
from tracker.domain.message import Choice, Either, Message, _
from tracker.domain.pieces import codes
from tracker.wording.render import say, say_all

_LINES_A_STEP = 200


@click.command(
    short_help=_("Check and read a code."),
    help=_("Check whether TEXT is a code, what it may be meant for, and how it reads upside down."),
)
@click.argument("text", nargs=-1, required=True)
@as_json_option
def code(text: tuple[str, ...], *, as_json: bool) -> None:
    """Check whether TEXT is a code, what it may be meant for, and how it reads upside down."""
    written = " ".join(text)
    slip, reading = codes.read_slip(written), codes.read(written)
    found = reading.code
    values = {
        "text": written,
        "code": found,
        "slip": slip,
        "number": _number(found) if found else None,
        "upside_down": codes.upside_down(found) if found else None,
        "issuable": bool(found and codes.is_issuable(found)),
        "likely": [] if slip else list(reading.likely),
    }
    if as_json:
        click.echo(json.dumps(values, ensure_ascii=False))
        sys.exit(0 if found or slip else 1)
    if slip:
        words = _("{text} is ticket number {number}, for a piece that has no code yet.")
        click.echo(say(Message("slip-number", words, text=codes.slip_text(slip), number=str(slip))))
    elif found:
        click.echo(say_all([_place(found), _turned(found)]))
    else:
        fail(say_all(_not_a_code(written, reading.likely)))


def _not_a_code(written: str, likely: tuple[str, ...]) -> list[Message]:
    words = _("Maybe it should be {codes}.")
    meant = [Message("meant-for", words, codes=Either(likely[:6]))] if likely else []
    return [Message("not-a-code", _("{text} isn't a code."), text=written[:40]), *meant]


def _place(code: str) -> Message:
    words = _("{code} is a code: number {number} of {space}, counting from 0.")
    return Message("code-found", words, code=code, number=_number(code), space=codes.space(len(code)))


def _turned(code: str) -> Message:
    turned = codes.upside_down(code)
    reads = "nothing" if turned is None else "same" if turned == code else "other" if codes.is_valid(turned) else "none"
    return Message("upside-down", _UPSIDE_DOWN, reads=reads, turned=turned)


_UPSIDE_DOWN = Choice(
    "reads",
    {
        "nothing": _("Upside down it isn't readable."),
        "same": _("Upside down it reads the same."),
        "other": _("Upside down it reads {turned}, another code, so Footring never issues it."),
        "none": _("Upside down it reads {turned}, which isn't a code."),
    },
)


def _number(code: str) -> int:
    """The place of `code` among all codes of its length, counted from 0."""
    number = 0
    for symbol in code[:-1]:
        number = number * len(codes.ALPHABET) + codes.ALPHABET.index(symbol)
    return number


@click.command(
    short_help=_("Judge pieces and firings, one a line."),
    help=_('Judge a piece and a firing on each line of FILE ("-" is standard input); one answer a line.'),
)
@click.argument("file", metavar="FILE.jsonl", type=click.Path(exists=True, dir_okay=False, allow_dash=True))
def judge(file: str) -> None:
    """Judge a piece and a firing on each line of FILE ("-" is standard input); one answer a line."""
    from tracker.commands.answers import answer_line

    out = sys.stdout.buffer
    size = 0 if file == "-" else Path(file).stat().st_size
    read = 0
    with click.open_file(file, "rb") as lines, progress("Judging", size or 1) as note:
        for count, line in enumerate(lines, start=1):
            out.write(answer_line(line).encode() + b"\n")
            read += len(line)
            # Drawing the bar takes as long as judging, so it moves on only now and then.
            if size and count % _LINES_A_STEP == 0:
                note(read, size)
    out.flush()
