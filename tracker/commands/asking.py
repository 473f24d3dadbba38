"""What can be asked without a database: what a code is, and what the rules say about a piece on a route."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from tracker.commands.house import as_json_option, fail, progress
from tracker.domain.pieces import codes

_LINES_A_STEP = 200


@click.command()
@click.argument("text", nargs=-1, required=True)
@as_json_option
def code(text: tuple[str, ...], *, as_json: bool) -> None:
    """Say whether TEXT is a code, what it was meant to be, and how it reads upside down."""
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
        click.echo(f"{codes.slip_text(slip)} is slip number {slip}, of a piece that has no code yet.")
    elif found:
        click.echo(_about(found))
    else:
        meant = f" It may have been meant for {', '.join(reading.likely[:6])}." if reading.likely else ""
        fail(f"{written[:40]} is not a code.{meant}")


def _about(code: str) -> str:
    turned = codes.upside_down(code)
    match turned:
        case None:
            says = "Upside down it reads as nothing"
        case _ if turned == code:
            says = "Upside down it reads the same"
        case _ if codes.is_valid(turned):
            says = f"Upside down it reads {turned}, another code, so it is never issued"
        case _:
            says = f"Upside down it reads {turned}, which is no code"
    return f"{code} is a code, number {_number(code):,} of {codes.space(len(code)):,} counted from 0. {says}."


def _number(code: str) -> int:
    """The place of `code` among all codes of its length, counted from 0."""
    number = 0
    for symbol in code[:-1]:
        number = number * len(codes.ALPHABET) + codes.ALPHABET.index(symbol)
    return number


@click.command()
@click.argument("file", metavar="FILE.jsonl", type=click.Path(exists=True, dir_okay=False, allow_dash=True))
def judge(file: str) -> None:
    """Judge a piece and a route on each line of FILE ("-" is standard input), and answer line for line."""
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
