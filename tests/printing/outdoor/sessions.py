"""Outdoor sessions to print in tests, plain and hard."""

from __future__ import annotations

import math
import random
from dataclasses import replace

from hypothesis import strategies as st

from printing.loading.load_pictures import ShelfSeen
from printing.outdoor.sheets import RoundWords, SessionSheet, SheetPiece, SheetRound, SheetWords
from tests.printing.firing.firings import a_code
from tests.printing.labels.tags import odd_text

FLOOR = ShelfSeen(round_mm=450)
SQUARE_FLOOR = ShelfSeen(width_mm=480, depth_mm=360)
CAUTIONS = (
    "Local fire and burning rules, what fuel supplier and kiln maker say and the responsible person come first.",
    "Gloves, face shield, shaded eye protection, natural-fiber clothes, closed shoes, tied hair for all near the kiln.",
    "A named person stands at the water hose and does nothing else; an extinguisher is within reach.",
    "Clear ground three metres round kiln and containers; nobody stands down the wind of an opened container.",
    "No one works alone, and a firing kiln is never left.",
    "No breathing in smoke: it is toxic. Lids are lifted away from the face.",
)
CREW = (("responsible", "Tom A."), ("pulls", "Ines P."), ("lids", "Mira T."), ("clock", "Sol K."), ("water hose", ""))
FACTS = (
    ("kiln", "Small Lantern, lifts off"),
    ("fuel", "9.0 kg propane, needs 5.2 to 7.4 kg"),
    ("weather", "dry, 12 °C, light wind from the west"),
    ("combustibles", "sawdust, newspaper"),
    ("ends at", "17:10"),
    ("dark", "18:32"),
)
ROUND_WORDS = RoundWords(
    front="front: opens here",
    apart="kept apart, caution",
    no_room="no room: {numbers}",
    started="started",
    at_heat="up to temperature",
    all_out="all out",
    pulled="pulled",
    closed="in bin",
    out="out",
    result="result",
    continued="{round}, continued",
    no_code="no code",
    warning="a warning: see page",
    container="bin: see page",
    see_page="see page",
)
SHEET_WORDS = SheetWords(
    before="Before you light the burner",
    notes="Notes",
    page="page {number} of {count}",
    goes_on="continues on page {number}",
    round_goes_on="{round} continues on page {number}",
    round_next="{round}: page {number}",
    see_page="see page",
)
MAKERS = ("Mira T.", "Ines P.", "Bartholomew-Alexander K.", "Řehoř Ł.", "Jo W.", "Sofia-Magdalena de la R.", "李明")
WHATS = ("tall cup", "bowl", "lidded jar", "tea bowl", "vase with two handles", "tile")
GLAZES = ("Ember Luster", "Frost Crackle", "Copper Penny", "White Crackle over Ember Luster", "")
WARNINGS = (
    "",
    "",
    "porcelain, slab-built: 4 of 11 broke here",
    "",
    "thin handles: lift from below",
    "",
    "glazed yesterday at 18:00: pull last",
)


def a_piece(number: int, at: int = 0, **more: object) -> SheetPiece:
    """Piece `number` of a round, the one of all pieces that is made from `at`."""
    code = a_code(7919 * (at + 1) + 3)
    warning = WARNINGS[at % len(WARNINGS)]
    plain = SheetPiece(
        number=number,
        code=code,
        bar_text=code,
        maker=MAKERS[at % len(MAKERS)],
        what=WHATS[at % len(WHATS)],
        glaze=GLAZES[at % len(GLAZES)],
        container=f"can {1 + at % 4}{', lid tight' if at % 5 == 0 else ''}",
        warning=warning,
        x_mm=0.0,
        y_mm=0.0,
        width_mm=(110, 90, 140, 80, 120)[at % 5],
        depth_mm=(110, 60, 140, 70, 95)[at % 5],
        is_round=at % 5 in {0, 2},
        turned=at % 5 == 1,
        apart=bool(warning),
    )
    return replace(plain, **more)  # type: ignore[arg-type]  # every key names a field


def a_round(count: int, place: int = 0, of: int = 1, first: int = 0, **more: object) -> SheetRound:
    """A round of so many pieces that stand on the floor without touching, as long as there is room."""
    chance = random.Random(first * 31 + count)  # noqa: S311 - a seeded mix, not a secret
    placed: list[tuple[float, float, float]] = []
    pieces = []
    for number in range(1, count + 1):
        piece = a_piece(number, first + number - 1)
        if count > 8:
            piece = replace(piece, width_mm=40.0, depth_mm=40.0)
        reach = math.hypot(piece.width_mm, piece.depth_mm) / 2 if not piece.is_round else piece.width_mm / 2
        x = y = 0.0
        for _ in range(5000):
            angle, out = chance.uniform(0, 2 * math.pi), (225 - reach) * math.sqrt(chance.random())
            x, y = out * math.cos(angle), out * math.sin(angle)
            if all(math.hypot(x - a, y - b) >= reach + other + 8 for a, b, other in placed):
                break
        placed.append((x, y, reach))
        pieces.append(replace(piece, x_mm=x, y_mm=y))
    plain = SheetRound(
        title=f"Round {place + 1} of {of}",
        times=f"{_clock(2 * place)} to {_clock(2 * place + 1)}",
        note="Pull within about 25 s of lifting the kiln, between 14 and 48 s: an estimate.",
        warm_up="" if place + 1 == of else "Preheat for the next round: K7R43, HX5NA, P7K42, 2PY4D.",
        floor=FLOOR,
        opening="lift-off",
        pieces=tuple(pieces),
        said=ROUND_WORDS,
    )
    return replace(plain, **more)  # type: ignore[arg-type]  # every key names a field


def _clock(quarters: int) -> str:
    """So many quarters of an hour after two."""
    return f"{14 + quarters // 4}:{15 * (quarters % 4):02}"


def a_session(counts: tuple[int, ...] = (4, 4, 4, 4, 4, 4), **more: object) -> SessionSheet:
    """A session with so many pieces in each round, and what else is asked for."""
    rounds = tuple(a_round(count, place, len(counts), sum(counts[:place])) for place, count in enumerate(counts))
    plain = SessionSheet(
        said=SHEET_WORDS,
        title="Outdoor session, Saturday 21 March",
        subtitle=f"{sum(counts)} pieces in {len(counts)} rounds, from 14:00",
        crew=CREW,
        facts=FACTS,
        cautions=CAUTIONS,
        rounds=rounds,
        footer="Studio on Harbour Lane, printed Friday 20 March 18:05",
    )
    return replace(plain, **more)  # type: ignore[arg-type]  # every key names a field


def pieces_of(sheet: SessionSheet) -> list[SheetPiece]:
    """Every piece of a session."""
    return [piece for kiln_round in sheet.rounds for piece in kiln_round.pieces]


sides = st.floats(8, 420)
any_pieces = st.builds(
    SheetPiece,
    number=st.integers(1, 120),
    code=st.one_of(st.integers(0, 9999).map(a_code), odd_text),
    bar_text=st.one_of(st.integers(0, 9999).map(a_code), odd_text),
    maker=odd_text,
    what=odd_text,
    glaze=odd_text,
    container=odd_text,
    warning=st.one_of(odd_text, st.text(max_size=600)),
    x_mm=st.floats(-240, 240),
    y_mm=st.floats(-240, 240),
    width_mm=sides,
    depth_mm=sides,
    is_round=st.booleans(),
    turned=st.booleans(),
    apart=st.booleans(),
)
any_rounds = st.builds(
    SheetRound,
    title=odd_text,
    times=odd_text,
    note=odd_text,
    warm_up=odd_text,
    floor=st.sampled_from((FLOOR, SQUARE_FLOOR, ShelfSeen(width_mm=200, depth_mm=600))),
    opening=st.sampled_from(("lift-off", "front", "top")),
    pieces=st.lists(any_pieces, max_size=9).map(tuple),
    said=st.just(ROUND_WORDS),
)
named = st.lists(st.tuples(odd_text, odd_text), max_size=6).map(tuple)
any_sessions = st.builds(
    SessionSheet,
    said=st.just(SHEET_WORDS),
    title=odd_text,
    subtitle=odd_text,
    crew=named,
    facts=named,
    cautions=st.lists(odd_text, max_size=9).map(tuple),
    rounds=st.lists(any_rounds, max_size=4).map(tuple),
    footer=odd_text,
)
