"""How fast pieces are judged: against simpleeval evaluating the same conditions as texts, a Waiting page, and lines."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from itertools import product
from time import perf_counter

from simpleeval import EvalWithCompoundTypes

from tests.bench._conditions import CONDITIONS, KILN, a_glaze, broken, cases, differences, names_of
from tracker.domain.cones import Cone
from tracker.domain.findings import Verdict
from tracker.domain.pieces.piece import Build, Foot, Use, Ware
from tracker.domain.rules import engine as routing
from tracker.domain.rules.engine import judge
from tracker.domain.studio.kilns import COMMON_ROUTES
from tracker.domain.studio.materials import Clay, ClayKind, Family, FoodStanding, Layer, Zone
from tracker.forms.rules.what_if import read_what_if

FLOOR = 10.0
FLOOR_PARSED = 3.0
"""A floor of our own for conditions parsed beforehand, which is not how simpleeval is commonly used."""

WAITING_MS = 100.0
"""What somebody who opens the Waiting page may lose to the judging of all that waits."""

LINES = 10_000
LINES_S = 5.0
"""How long `footring judge` may take for so many lines."""

ROUNDS = 9
WAITING_PIECES = 1_000


def measure() -> list[tuple[str, float, float] | tuple[str, float, float, str]]:
    """The rate of verdicts in parts of simpleeval's, the ms of a Waiting page, and the s of many lines.

    Ours gives whole sentences with temperatures; simpleeval only says which conditions hold, and its names are
    made beforehand.
    """
    judged = cases()
    names = [names_of(ware, route) for ware, route in judged]
    parsed = {rule: EvalWithCompoundTypes.parse(condition) for rule, condition in CONDITIONS.items()}
    if apart := list(differences(judged, names)):
        # Two things that are not the same are not measured.
        raise ValueError("\n".join(apart))
    ways: tuple[Callable[[], object], ...] = (
        lambda: _all_anew(lambda: [judge(ware, route, kiln=KILN) for ware, route in judged]),
        lambda: [broken(one) for one in names],
        lambda: [broken(one, parsed) for one in names],
    )
    ours, texts, before = _fastest(ways)
    waiting = waiting_pieces()
    ways_on = list(COMMON_ROUTES.values())
    (page,) = _fastest([lambda: _all_anew(lambda: [judge(ware, way).level for ware in waiting for way in ways_on])])
    lines = list(_lines())
    (read,) = _fastest([lambda: _all_anew(lambda: [_judged(line) for line in lines])])
    return [
        ("judge against simpleeval evaluating the same conditions", texts / ours, FLOOR),
        ("judge against simpleeval with its conditions parsed before", before / ours, FLOOR_PARSED),
        ("judge 1,000 pieces x all routes, ms", page * 1_000, WAITING_MS, "at most"),
        ("read and judge 10,000 lines, s", read, LINES_S, "at most"),
    ]


def _lines() -> Iterator[str]:
    """Lines as a script writes them: every fact is told, and no two pieces are alike."""
    for number in range(LINES):
        clay = {"name": f"Clay {number % 12}", "kind": "stoneware", "cone_low": "5", "cone_high": "10"}
        glaze = {"name": f"Glaze {number % 40}", "family": "mid-range", "cone_low": "5", "cone_high": "6"}
        layers = [{"glaze": {**glaze, "food": "tested", "traits": ["runny"]}, "zone": "outside"}] * (number % 3)
        piece = {
            "clay": {**clay, "absorption_pct": 1.5},
            "layers": layers,
            "build": "thrown",
            "use": "food",
            "foot": "waxed",
            "catch_plate": True,
            "fired_to": "06",
            "height_mm": 60 + number % 240,
            "width_mm": 90.5,
            "depth_mm": 90.5,
            "weight_g": 300 + number,
            "wall_mm": 6,
            "vented": True,
            "dry": True,
            "fragile": False,
            "burnished": False,
        }
        kiln = {"name": "Box", "chamber": {"round_mm": 400, "height_mm": 500, "clearance_mm": 25}, "tongs_g": 4_500}
        yield json.dumps({"piece": piece, "route": list(COMMON_ROUTES)[number % len(COMMON_ROUTES)], "kiln": kiln})


def _judged(line: str) -> Verdict:
    asked = read_what_if(line)
    return judge(asked.ware, asked.route, kiln=asked.kiln)


def _all_anew(work: Callable[[], object]) -> None:
    """Do it with nothing remembered from the turn before."""
    routing._about_the_materials.cache_clear()
    work()


@cache
def _clay(name: str, kind: ClayKind, low: str, high: str) -> Clay:
    return Clay(name=name, kind=kind, cone_low=Cone.parse(low), cone_high=Cone.parse(high), absorption_pct=1.5)


def waiting_pieces() -> list[Ware]:
    """A thousand pieces as they wait: each of clay and glazes that go together, and no two alike."""
    shelf = {
        "low-fire": ("06-04", [("Plum", Family.LOW_FIRE), ("Moss", Family.LOW_FIRE)]),
        "mid-range": ("5-6", [("Fog", Family.MID_RANGE), ("Slate", Family.MID_RANGE)]),
        "high-fire": ("9-10", [("Iron", Family.HIGH_FIRE), ("Night", Family.HIGH_FIRE)]),
        "raku": ("06-04", [("Wink", Family.OUTDOOR), ("Ember", Family.OUTDOOR)]),
    }
    sorts = list(
        product(shelf.values(), (1, 2), Use, (ClayKind.STONEWARE, ClayKind.PORCELAIN), (Foot.WAXED, Foot.WIPED))
    )
    return [_waiting(number, *sorts[number % len(sorts)]) for number in range(WAITING_PIECES)]


def _waiting(
    number: int, shelf: tuple[str, list[tuple[str, Family]]], coats: int, use: Use, kind: ClayKind, foot: Foot
) -> Ware:
    low, high = shelf[0].split("-")
    zones = (Zone.INSIDE, Zone.OUTSIDE)
    glazes = [a_glaze(name, family, low, high, FoodStanding.DECLARED) for name, family in shelf[1][:coats]]
    clay = _clay(f"{kind} for {high}", kind, low, "10" if kind is ClayKind.PORCELAIN else high)
    return Ware(
        clay=clay,
        layers=tuple(Layer(glaze, zone) for glaze, zone in zip(glazes, zones, strict=False)),
        build=Build.THROWN,
        use=use,
        height_mm=60 + number % 240,
        width_mm=50 + number % 97,
        depth_mm=50 + number % 97,
        burnished=False,
        fired_to=Cone.parse("06"),
        weight_g=300 + number,
        wall_mm=5 + number % 9,
        vented=True,
        foot=foot,
        glazed_hours=12.0 + number % 48,
    )


def _fastest(ways: Sequence[Callable[[], object]]) -> list[float]:
    """The seconds of each way's fastest turn; they take turns, so that a busy moment slows all of them."""
    fastest = [float("inf")] * len(ways)
    for _ in range(ROUNDS):
        for place, work in enumerate(ways):
            begun = perf_counter()
            work()
            fastest[place] = min(fastest[place], perf_counter() - begun)
    return fastest
