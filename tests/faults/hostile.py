"""Strangers and makers who send what no page would: every form and every address, with everything in it."""

from __future__ import annotations

import logging
import sys
import time
from collections.abc import Callable, Iterator
from io import BytesIO
from random import Random
from typing import Any
from urllib.parse import quote, urlencode

from tests.faults._place import Place, Row
from tests.faults._scanning import lost
from tests.faults._visiting import Guest, SeenForm, forms_on, opened
from tests.pages import NOW, PAGES
from tests.staffed import ADA, INES, TOM
from tests.web.conftest import Clock

POSTS = 20_000
GETS = 5_000
SLOWEST_SECONDS = 5.0
"""An answer that takes more of the processor counts as lost: whoever else asks waits for it."""

_HOSTILE = (
    *("", " ", "0", "-1", "9" * 400, "1e400", "NaN", "inf", "-0", "0x10", "1/0", "2147483648", "9223372036854775808"),
    *("\0", "a\0b", "\ud800", "\u202e", "\ufeff", "\r\n", "a\r\nSet-Cookie: b=c", "\x1b[2J", "a\u0301" * 4_000),
    *("'", "' OR 1=1 --", '"; DROP TABLE pieces; --', "%", "_", "\\", "{{7*7}}", "${7*7}", "{0.__class__}", "%s%n"),
    *("<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "javascript:alert(1)", "//evil.example", "/\\evil"),
    *("../../../../etc/passwd", "..%2f..%2fetc%2fpasswd", "file:///etc/passwd", "=1+1", "@SUM(1)", "[" * 30_000),
    *(" " * 60_000 + "x", "9" * 60_000, "1/" * 30_000, ", " * 30_000, "1 x " * 15_000, "a\n" * 30_000, "\u0660\u0661"),
    *("2026-02-30", "0000-00-00", "99999-01-01", "24:61", "1000000", "cone 99", "١٢", "½", "1 1/2 in", "-40 °F"),
)
_FILES = (
    *(b"", b"\xff\xd8\xff", b"GIF89a", b"\x89PNG\r\n\x1a\n" + b"\0" * 200),
    *(b"minutes,C\n" * 5_000, b"\0" * 200_000),
)
_ADDRESSES = (
    *("/p/{}", "/slip/{}", "/firings/{}", "/photos/{}", "/photos/{}/small", "/tiles/{}", "/help/{}", "/paper/{}"),
    *("/people/{}", "/outdoor/{}", "/outdoor/{}/run", "/printed/{}", "/catalog/{}/form", "/{}", "/static/{}"),
)


def suffer(place: Place) -> Iterator[Row]:
    """Send hostile forms, then open hostile addresses, as everybody and nobody."""
    logging.disable(logging.WARNING)
    posts, gets, clock = Row("hostile forms sent"), Row("hostile addresses opened"), Clock()
    clock.moment = NOW
    draw = place.draw()
    database, photos = place.fresh(), str(place.folder / "photos")
    with opened(database, clock, photos) as (app, _store, names):
        addresses = [one.format(**names) for some in PAGES.values() for one in some]
        guests = [Guest(app, posts, one) for one in (ADA.email, TOM.email, INES.email, "")]
        forms = [one for one in forms_on(guests[0], addresses) if one.action not in {"/sign-out", "/password"}]
        _each(posts, place.times(POSTS), lambda: _sent(draw, draw.choice(guests), forms))
        posts.lost += lost(database, [], photos)
        yield posts
        guests = [Guest(app, gets, one) for one in (ADA.email, TOM.email, INES.email, "")]
        _each(gets, place.times(GETS), lambda: _opened(draw, draw.choice(guests), addresses))
    yield gets


def _each(row: Row, many: int, do: Callable[[], str]) -> None:
    slowest = 0.0
    for _ in range(many):
        began = time.process_time()
        address = do()
        took = time.process_time() - began
        slowest = max(slowest, took)
        if took > SLOWEST_SECONDS:
            row.lost += 1
            print(f"{took:.0f} s for {address}", file=sys.stderr)
        row.tried += 1
    row.what += f": slowest {slowest:.1f} s"


def _sent(draw: Random, guest: Guest, forms: list[SeenForm]) -> str:
    """A form as it was shown, but for one field or for all; gives what was sent where."""
    form = draw.choice(forms)
    fields: dict[str, Any] = {name: value for name, value in form.fields.items() if name not in {"csrf_token", "key"}}
    names = list(fields)
    for name in names if draw.random() < 0.2 else draw.sample(names, min(len(names), 1)):
        fields[name] = _text(draw) if draw.random() < 0.9 else [_text(draw)] * draw.randrange(60)
    if draw.random() < 0.05:
        fields["key"] = _text(draw)
    script = {"headers": {"Accept": "application/json"}} if draw.random() < 0.3 else {}
    told = f"{form.action} with { ({name: str(value)[:20] for name, value in fields.items()}) }"
    if form.file_field and draw.random() < 0.5:
        name = _text(draw)[:100].replace("\0", "").encode(errors="replace").decode()
        guest.upload(form.action, {**fields, form.file_field: (BytesIO(draw.choice(_FILES)), name)})
    elif form.posts:
        guest.post(_address(draw, form.action), fields, **script)
    else:
        guest.get(f"{form.action.partition('?')[0]}?{urlencode(fields, doseq=True, errors='surrogatepass')}", **script)
    return told


def _opened(draw: Random, guest: Guest, addresses: list[str]) -> str:
    """An address that is none, or a page's own with something strange behind it; gives it."""
    text = _text(draw)[:3_000]
    if draw.random() < 0.5:
        guest.get(address := draw.choice(_ADDRESSES).format(quote(text, safe="", errors="surrogatepass")))
        return address[:200]
    path, _, query = draw.choice(addresses).partition("?")
    names = [one.partition("=")[0] for one in query.split("&") if one]
    asked = dict.fromkeys((*names, *draw.sample(("page", "q", "sort", "ref", "step", "next", "kept"), 2)), text)
    strange = "&".join(f"{name}={quote(value, safe='', errors='surrogatepass')}" for name, value in asked.items())
    guest.get(f"{path}?{strange}")
    return f"{path}?{strange[:200]}"


def _address(draw: Random, action: str) -> str:
    """Where a form goes, now and then with another number in it."""
    if draw.random() < 0.9:
        return action
    parts = action.split("/")
    parts[draw.randrange(1, len(parts))] = quote(_text(draw)[:500], safe="", errors="surrogatepass")
    return "/".join(parts)


def _text(draw: Random) -> str:
    return draw.choice(_HOSTILE)
