"""A what-if is answered line for line, and one that makes no sense is refused with a sentence."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reading import is_told, said
from tracker.commands.answers import answer_line
from tracker.domain.cones import Cone
from tracker.domain.message import Fact
from tracker.domain.pieces.piece import Build, Foot, Use
from tracker.domain.refusals import Unusable
from tracker.domain.studio.kilns import COMMON_ROUTES, Atmosphere, Kiln, Room
from tracker.domain.studio.materials import LOWEST_HEAT, FoodStanding
from tracker.forms.rules.what_if import read_what_if

MANUAL = Path(__file__).parents[3] / "tracker" / "manual" / "judge.md"

CLAY = {"name": "Heron", "kind": "stoneware", "cone_low": "5", "cone_high": "6", "absorption_pct": 1.5}
GLAZE = {
    "name": "Fog",
    "family": "mid-range",
    "cone_low": "5",
    "cone_high": "6",
    "food": "tested",
    "traits": ["runny"],
}
PIECE = {
    "clay": CLAY,
    "layers": [{"glaze": GLAZE, "zone": "all-over"}],
    "build": "thrown",
    "use": "food",
    "height_mm": 120,
    "width_mm": 90,
    "depth_mm": 90.0,
    "fragile": False,
    "burnished": False,
    "fired_to": "06",
    "weight_g": 700,
    "wall_mm": 6,
    "vented": True,
    "dry": True,
    "foot": "waxed",
    "catch_plate": True,
    "container_fits": True,
}
ROOM = {"round_mm": 400, "height_mm": 500, "clearance_mm": 25}
KILN = {
    "name": "Corner kiln",
    "outdoor": False,
    "atmosphere": "oxidation",
    "chamber": ROOM,
    "tongs_g": 4500,
    "containers": [{"width_mm": 300, "depth_mm": 280, "height_mm": 350}],
}
WHOLE = {"piece": PIECE, "route": "mid-range", "kiln": KILN}


def line_with(path: str, value: object) -> str:
    """The whole what-if as a line, with the value at `path` ("piece.clay.kind") put in or replaced."""
    line: dict[str, Any] = json.loads(json.dumps(WHOLE))
    *way, last = path.split(".")
    place: Any = line
    for step in way:
        place = place[int(step) if step.isdigit() else step]
    place[last] = value
    return json.dumps(line)


def _answer(line: str | bytes) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(answer_line(line if isinstance(line, bytes) else line.encode()))
    return answer


def test_a_whole_line_becomes_a_pot_and_a_route() -> None:
    asked = read_what_if(json.dumps(WHOLE))

    ware = asked.ware
    assert asked.route == COMMON_ROUTES["mid-range"]
    assert (ware.build, ware.use, ware.height_mm, ware.depth_mm) == (Build.THROWN, Use.FOOD, 120, 90)
    assert ware.clay.cone_high == Cone.parse("6")
    assert ware.layers[0].glaze.food is FoodStanding.TESTED
    assert (ware.weight_g, ware.wall_mm, ware.vented, ware.dry) == (700, 6, True, True)
    assert (ware.foot, ware.catch_plate, ware.container_fits) == (Foot.WAXED, True, True)
    assert asked.kiln == Kiln(
        name="Corner kiln",
        routes=frozenset({"mid-range"}),
        chamber=Room(round_mm=400, height_mm=500, clearance_mm=25),
        atmosphere=Atmosphere.OXIDATION,
        tongs_g=4500,
        containers=(Room(width_mm=300, depth_mm=280, height_mm=350),),
    )


def test_a_good_pot_is_clear() -> None:
    answer = _answer(json.dumps(WHOLE))

    assert answer == {"verdict": "clear", "findings": [], "food": "nothing-known-against", "food_rules": []}


def test_a_finding_says_what_is_wrong_what_would_mend_it_and_on_what_it_rests() -> None:
    answer = _answer(line_with("route", "high-fire"))

    assert answer["verdict"] == "refuse"
    assert set(answer["findings"][0]) == {"rule", "level", "says", "mend", "rests_on"}
    assert answer["findings"][0]["level"] == "refuse"
    assert "melts off the pot" in answer["findings"][0]["says"]


def test_a_route_may_be_fired_to_a_cone_of_its_own() -> None:
    route = read_what_if(line_with("route", {"name": "high-fire", "cone": "9"})).route

    assert (route.name, route.cone) == ("high-fire", Cone.parse("9"))


CLAY_ALONE = {"kind": "porcelain", "cone_low": "06", "cone_high": "10"}
GLAZE_ALONE = {"family": "outdoor", "cone_low": "06", "cone_high": "04"}


@pytest.mark.parametrize("route", COMMON_ROUTES)
def test_what_is_left_out_of_a_piece_leaves_its_rules_unasked(route: str) -> None:
    line = json.dumps({"piece": {"clay": {**CLAY_ALONE, "cone_low": "010"}}, "route": route})

    answer = _answer(line)
    assert (answer["verdict"], answer["findings"]) == ("clear", [])


def test_what_is_left_out_of_a_glaze_leaves_its_rules_unasked() -> None:
    piece = {"clay": CLAY_ALONE, "layers": [{"glaze": {**GLAZE_ALONE, "family": "low-fire"}}], "use": "food"}

    answer = _answer(json.dumps({"piece": piece, "route": "low-fire"}))

    assert answer["verdict"] == "clear"


@pytest.mark.parametrize(
    "kiln", [{}, {"chamber": {}}, {"chamber": {"height_mm": 1_000}}, {"chamber": {"width_mm": 90}}]
)
def test_what_is_left_out_of_a_kiln_leaves_its_rules_unasked(kiln: dict[str, Any]) -> None:
    answer = _answer(line_with("kiln", kiln))

    assert answer["verdict"] == "clear"


@pytest.mark.parametrize(
    ("route", "path", "value", "rule"),
    [
        pytest.param("mid-range", "piece.foot", "bare", "foot-not-clear", id="foot"),
        pytest.param("mid-range", "piece.catch_plate", False, "runny-without-catch-plate", id="catch plate"),
        pytest.param("mid-range", "piece.height_mm", 476, "does-not-fit", id="chamber"),
        pytest.param("mid-range", "kiln.chamber", {"width_mm": 89}, "does-not-fit", id="a side alone"),
        pytest.param("mid-range", "piece.layers.0.glaze.traits", ["wants-reduction"], "wants-reduction", id="air"),
        pytest.param("bisque", "piece.vented", False, "sealed-hollow", id="vent"),
        pytest.param("bisque", "piece.dry", False, "damp-greenware", id="damp"),
        pytest.param("bisque", "piece.wall_mm", 25.1, "thick-wall", id="wall"),
        pytest.param("raku", "piece.weight_g", 4500.1, "too-heavy-for-tongs", id="weight"),
        pytest.param("raku", "kiln.tongs_g", 699.9, "too-heavy-for-tongs", id="tongs"),
        pytest.param("raku", "piece.container_fits", False, "no-container", id="container"),
        pytest.param("raku", "kiln.containers", [{"height_mm": 119}], "no-container", id="containers"),
        pytest.param("raku", "kiln.containers", [], "no-container", id="no containers at all"),
    ],
)
def test_each_key_of_the_kiln_room_asks_its_rule(route: str, path: str, value: object, rule: str) -> None:
    line = json.loads(line_with(path, value)) | {"route": route}
    whole = json.loads(json.dumps(WHOLE)) | {"route": route}
    for asked in (line, whole) if route == "bisque" else ():
        asked["piece"]["fired_to"] = None

    assert rule in {finding["rule"] for finding in _answer(json.dumps(line))["findings"]}
    assert rule not in {finding["rule"] for finding in _answer(json.dumps(whole))["findings"]}


@pytest.mark.parametrize(
    ("path", "material"),
    [
        pytest.param("piece.clay", {"name": "found in a bag", "kind": "unknown"}, id="clay"),
        pytest.param(
            "piece.layers.0.glaze", {"name": "from home", "family": "outside", "food": "untested"}, id="glaze"
        ),
    ],
)
def test_a_material_that_nobody_can_name_needs_no_cones(path: str, material: dict[str, str]) -> None:
    ware = read_what_if(line_with(path, material)).ware

    taken_for = ware.clay if path == "piece.clay" else ware.layers[0].glaze
    assert (taken_for.cone_low, taken_for.cone_high) == LOWEST_HEAT


def test_a_broken_millimetre_counts_as_a_whole_one() -> None:
    ware = read_what_if(line_with("piece.height_mm", 150.2)).ware

    assert ware.height_mm == 151


@pytest.mark.parametrize("written", ["wants-reduction", "wants reduction", "wants_reduction"])
def test_a_trait_of_two_words_may_be_joined_in_any_way(written: str) -> None:
    ware = read_what_if(line_with("piece.layers.0.glaze.traits", [written])).ware

    assert ware.layers[0].glaze.traits == {"wants-reduction"}


@pytest.mark.parametrize(
    ("path", "value", "code", "facts"),
    [
        pytest.param("pieces", {}, "key-misspelt", {"key": "pieces", "near": "piece"}, id="key on top"),
        pytest.param("piece.mended", True, "key-unknown", {"key": "mended"}, id="key of a piece"),
        pytest.param("piece.clay.slumps_above", "11", "key-unknown", {"key": "slumps_above"}, id="key of a clay"),
        pytest.param(
            "piece.layers.0.color",
            "red",
            "key-unknown",
            {"path": "piece.layers[0]", "key": "color"},
            id="key of a layer",
        ),
        pytest.param(
            "piece.layers.0.glaze.shine",
            3,
            "key-unknown",
            {"path": "piece.layers[0].glaze", "key": "shine"},
            id="key of a glaze",
        ),
        pytest.param(
            "kiln.chamber.depht_mm", 300, "key-misspelt", {"key": "depht_mm", "near": "depth_mm"}, id="key of a chamber"
        ),
        pytest.param("kiln.fuel", "gas", "key-unknown", {"path": "kiln", "key": "fuel"}, id="key of a kiln"),
        pytest.param(
            "route",
            {"name": "raku", "kone": "06"},
            "key-misspelt",
            {"key": "kone", "near": "cone"},
            id="key of a route",
        ),
        pytest.param(
            "piece.clay.cone_low",
            "11",
            "cones-fall",
            {},
            id="clay's range",
        ),
        pytest.param("piece.layers.0.glaze.cone_high", "06", "cones-fall", {}, id="glaze's range"),
        pytest.param("piece.clay.cone_low", 5, "cone-as-number", {}, id="cone as a number"),
        pytest.param("piece.clay.cone_low", 5.5, "cone-as-number", {}, id="cone as a broken number"),
        pytest.param("piece.clay.cone_low", None, "cone-not-text", {}, id="cone null"),
        pytest.param("piece.clay.cone_low", True, "cone-not-text", {}, id="cone true"),
        pytest.param("piece.clay.cone_low", "6\n", "not-a-cone", {}, id="cone with a line break"),
        pytest.param("piece.fired_to", "wood", "not-a-cone", {}, id="fired to no cone"),
        pytest.param("piece.clay.kind", "china", "none-of-these", {}, id="kind"),
        pytest.param("piece.clay.kind", ["stoneware"], "not-a-word", {}, id="kind as a list"),
        pytest.param("piece.clay.absorption_pct", "1.5", "not-a-number", {}, id="number as text"),
        pytest.param(
            "piece.clay.absorption_pct", -0.1, "number-outside", {"least": 0, "most": 100}, id="below nothing"
        ),
        pytest.param("piece.clay.absorption_pct", True, "not-a-number", {}, id="number true"),
        pytest.param("piece.height_mm", 0, "no-length", {}, id="no height"),
        pytest.param("piece.height_mm", -5, "number-outside", {"least": 0, "most": 5_000}, id="negative height"),
        pytest.param(
            "piece.height_mm", 10**400, "number-outside", {"least": 0, "most": 5_000}, id="height without end"
        ),
        pytest.param("piece.height_mm", None, "not-a-number", {}, id="height null"),
        pytest.param("piece.height_mm", float("nan"), "not-finite", {"word": "NaN"}, id="nan"),
        pytest.param("piece.height_mm", float("-inf"), "not-finite", {"word": "-Infinity"}, id="infinity"),
        pytest.param("piece.fragile", 1, "not-a-flag", {}, id="flag as number"),
        pytest.param("piece.burnished", "no", "not-a-flag", {}, id="flag as word"),
        pytest.param("piece.foot", "dry", "none-of-these", {}, id="foot"),
        pytest.param("piece.foot", None, "not-a-word", {}, id="foot null"),
        pytest.param("piece.weight_g", 0, "no-weight", {}, id="isn't a weight"),
        pytest.param(
            "piece.weight_g",
            -1,
            "number-outside",
            {"path": "piece.weight_g", "least": 0, "most": 500_000},
            id="negative weight",
        ),
        pytest.param("piece.weight_g", "700", "not-a-number", {}, id="weight as text"),
        pytest.param("piece.wall_mm", 0, "no-length", {}, id="no wall"),
        pytest.param("piece.vented", "yes", "not-a-flag", {}, id="vented"),
        pytest.param("piece.dry", 1, "not-a-flag", {}, id="dry"),
        pytest.param("piece.container_fits", None, "not-a-flag", {}, id="container null"),
        pytest.param("kiln", None, "not-an-object", {}, id="kiln null"),
        pytest.param("kiln", "Front box", "not-an-object", {}, id="kiln a name"),
        pytest.param("kiln.atmosphere", "smoky", "none-of-these", {}, id="air"),
        pytest.param("kiln.outdoor", "no", "not-a-flag", {}, id="outdoor"),
        pytest.param("kiln.tongs_g", 0, "no-weight", {}, id="no tongs"),
        pytest.param("kiln.chamber", [], "not-an-object", {"path": "kiln.chamber"}, id="chamber"),
        pytest.param("kiln.chamber.width_mm", 300, "round-and-square", {}, id="round and square"),
        pytest.param("kiln.chamber.round_mm", 0.9, "inner-length", {}, id="no room"),
        pytest.param("kiln.chamber.clearance_mm", 200, "clearance-too-large", {}, id="no room left"),
        pytest.param(
            "kiln.chamber", {"height_mm": 25, "clearance_mm": 25}, "clearance-too-large", {}, id="no height left"
        ),
        pytest.param(
            "kiln.chamber.clearance_mm", -1, "number-outside", {"least": 0, "most": 5_000}, id="negative clearance"
        ),
        pytest.param("kiln.containers", ROOM, "not-a-list", {}, id="containers"),
        pytest.param(
            "kiln.containers",
            [{"round_mm": -5}],
            "number-outside",
            {"path": "kiln.containers[0].round_mm", "least": 0, "most": 5_000},
            id="container",
        ),
        pytest.param("piece.layers", {}, "not-a-list", {}, id="layers"),
        pytest.param("piece.layers", [None] * 41, "list-too-long", {"most": 40, "count": 41}, id="too many layers"),
        pytest.param("piece.layers", [None], "not-an-object", {"path": "piece.layers[0]"}, id="layer null"),
        pytest.param("piece.layers.0.zone", "rim", "none-of-these", {}, id="zone"),
        pytest.param("piece.layers.0.glaze.traits", ["shiny"], "none-of-these", {}, id="trait"),
        pytest.param("piece.layers.0.glaze.metals", ["leed"], "names-no-metal", {"text": "leed"}, id="metal"),
        pytest.param("piece.layers.0.glaze.metals", "lead", "not-a-list", {}, id="metals as text"),
        pytest.param(
            "piece.layers.0.glaze.tests", [{"passed": True}], "key-missing", {"key": "metal"}, id="isn't a metal"
        ),
        pytest.param(
            "piece.layers.0.glaze.tests", [{"metal": "leed"}], "no-such-metal", {"text": "leed"}, id="metal of a test"
        ),
        pytest.param("piece.layers.0.glaze.tests", [{"metal": 82}], "not-a-metal", {}, id="metal as a number"),
        pytest.param(
            "piece.layers.0.glaze.tests", [{"metal": "Pb", "cone": 6}], "cone-as-number", {}, id="cone of a test"
        ),
        pytest.param("piece.layers.0.glaze.tests", [{"metal": "Pb", "passed": "yes"}], "not-a-flag", {}, id="passed"),
        pytest.param(
            "piece.layers.0.glaze.tests", [{"metal": "Pb", "laboratory": "x"}], "key-unknown", {}, id="key of a test"
        ),
        pytest.param("piece.clay.absorption", [{"cone": "6", "pct": 1}], "key-missing", {"key": "method"}, id="method"),
        pytest.param(
            "piece.clay.absorption",
            [{"cone": "6", "pct": 1, "method": "steam"}],
            "none-of-these",
            {},
            id="no such method",
        ),
        pytest.param("piece.clay.absorption", None, "not-a-list", {}, id="absorption null"),
        pytest.param("piece.layers.0.glaze.family", "indoor", "none-of-these", {}, id="family"),
        pytest.param("piece.clay.name", "\ud800", "stray-character", {"character": "U+D800"}, id="lone surrogate"),
        pytest.param("piece.clay.name", "a\u2028b", "stray-character", {"character": "U+2028"}, id="line separator"),
        pytest.param("piece.clay.name", "x" * 61, "text-too-long", {"long": 61, "most": 60}, id="long name"),
        pytest.param("piece.clay.name", " ", "name-missing", {}, id="blank name"),
        pytest.param(
            "piece.clay", {"kind": "stoneware", "cone_high": "6"}, "cone-missing", {"key": "cone_low"}, id="no cone"
        ),
        pytest.param(
            "piece.clay", {"kind": "unknown", "cone_high": "6"}, "cone-missing", {"key": "cone_low"}, id="half a range"
        ),
        pytest.param("piece.clay", {}, "key-missing", {"key": "kind"}, id="no kind"),
        pytest.param("piece", {}, "key-missing", {"key": "clay"}, id="no clay"),
        pytest.param("piece", [], "not-an-object", {}, id="piece a list"),
        pytest.param("route", "salt", "no-such-route", {"path": "route"}, id="route"),
        pytest.param("route", {"cone": "6"}, "key-missing", {"key": "name"}, id="route without a name"),
        pytest.param(
            "route",
            {"name": "raku", "cone": 6},
            "cone-as-number",
            {"path": "route.cone"},
            id="route's cone as a number",
        ),
        pytest.param("route", 6, "not-a-route", {"path": "route"}, id="route a number"),
    ],
)
def test_a_line_that_is_impossible_is_refused_with_a_sentence(
    path: str, value: object, code: str, facts: dict[str, Fact]
) -> None:
    with pytest.raises(Unusable) as refused:
        read_what_if(line_with(path, value))
    answer = _answer(line_with(path, value))

    assert is_told(refused.value.message, code, facts)
    assert answer == {"error": said(refused.value.message)}
    assert answer["error"].endswith((".", "?"))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        pytest.param(b"", "blank", id="empty"),
        pytest.param(b" \t\r\n", "blank", id="blank"),
        pytest.param(b"\xff\xfe", "isn't UTF-8", id="not text"),
        pytest.param(b"{", "isn't JSON", id="broken"),
        pytest.param(b'{"a": 1} {"a": 2}', "isn't JSON", id="two"),
        pytest.param(b"[]", "xpected an object with keys, not a list", id="list"),
        pytest.param(b"null", "nothing (null)", id="null"),
        pytest.param(b'{"route": "raku", "route": "raku"}', 'key "route" appears twice', id="key twice"),
        pytest.param(b"[" * 100_000, "nested too deeply", id="deep"),
        pytest.param(b'{"route": ' + b"9" * 5_000 + b"}", "too many digits", id="digits"),
        pytest.param(b'{"piece": {"height_mm": 1e999}}', "from 0 to 5,000", id="overflow"),
        pytest.param(b'"' + b"a" * 1_000_001 + b'"', "longer than", id="long"),
        pytest.param(b'{"\\ud800\\n": 1}', "\\ud800\\n", id="surrogate in a key"),
    ],
)
def test_a_line_that_is_no_what_if_is_refused_with_a_sentence(line: bytes, says: str) -> None:
    error = _answer(line)["error"]

    assert says in error


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text()
    | st.sampled_from(["06", "6", "raku", "unknown"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)
PATHS = [
    *(f"piece.{key}" for key in PIECE),
    *(f"piece.clay.{key}" for key in CLAY),
    *(f"piece.layers.0.glaze.{key}" for key in GLAZE),
    *(f"kiln.{key}" for key in KILN),
    *(f"kiln.chamber.{key}" for key in ROOM),
    "piece.clay.absorption",
    "piece.layers.0.glaze.metals",
    "piece.layers.0.glaze.tests",
    "piece.layers.0.zone",
    "piece",
    "route",
    "kiln",
]


@given(st.sampled_from(PATHS), json_values)
def test_whatever_stands_in_a_line_the_answer_is_one_line(path: str, value: object) -> None:
    answer = answer_line(line_with(path, value).encode())

    assert answer.splitlines() == [answer]
    assert set(json.loads(answer)) in ({"error"}, {"verdict", "findings", "food", "food_rules"})


@pytest.mark.parametrize("key", sorted({*PIECE, *CLAY, *GLAZE, *ROOM, *KILN, *WHOLE, "zone", "cone"}))
def test_every_key_of_a_line_is_told_in_the_manual(key: str) -> None:
    assert re.search(rf"[`\"]{key}[`\"]", MANUAL.read_text(encoding="utf-8"))


@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "surrogatepass")))
def test_any_bytes_are_answered_with_one_line(line: bytes) -> None:
    answer = answer_line(line)

    assert answer.splitlines() == [answer]
    assert set(json.loads(answer)) == {"error"}


def test_where_and_what_are_one_sentence() -> None:
    error = _answer(line_with("piece.clay.cone_low", 5))["error"]

    assert error == ('piece.clay.cone_low: write a cone in quotes, not as a number: "06" and "6" are different cones.')


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        ({"cone": "04", "pct": 9, "method": "cold"}, "absorbs at least 9%"),
        ({"cone": "04", "pct": 9, "method": "boil"}, "absorbs 9%"),
        ({"cone": "06", "pct": 9, "method": "boil"}, "may absorb up to 9%"),
    ],
)
def test_an_absorption_is_told_as_what_it_bounds(measured: dict[str, Any], words: str) -> None:
    """A cold soak bounds from below, a boil at a cooler cone from above (ASTM C373)."""
    clay = {"kind": "earthenware", "cone_low": "06", "cone_high": "04", "absorption": [measured]}
    line = {"piece": {"clay": clay, "use": "decorative", "layers": []}, "route": {"kind": "pit", "cone": "04"}}

    (found,) = json.loads(answer_line(json.dumps(line).encode()))["findings"]

    assert words in found["says"]


def test_glazes_without_a_name_are_told_apart_and_a_kiln_without_one_begins_a_sentence() -> None:
    raw = {"family": "high-fire", "cone_low": "9", "cone_high": "10"}
    low = {"family": "low-fire", "cone_low": "06", "cone_high": "04"}
    clay = {"kind": "stoneware", "cone_low": "5", "cone_high": "10"}
    piece = {"clay": clay, "layers": [{"glaze": raw, "zone": "inside"}, {"glaze": low, "zone": "inside"}]}

    both = json.loads(answer_line(json.dumps({"piece": piece, "route": "high-fire"}).encode()))["findings"]
    inside = {"piece": {"clay": clay, "layers": []}, "route": "pit", "kiln": {"outdoor": False}}
    pit = json.loads(answer_line(json.dumps(inside).encode()))["findings"]

    said_of = next(one["says"] for one in both if one["rule"] == "layers-share-no-heat")
    assert "glaze 1" in said_of
    assert "glaze 2" in said_of
    assert next(one["says"] for one in pit if one["rule"] == "kiln-is-indoors").startswith("This kiln is indoors")


@pytest.mark.parametrize("metal", ["rutile", "Whiting"])
def test_a_raw_material_is_in_a_recipe_and_no_metal_of_a_test(metal: str) -> None:
    glaze = {**GLAZE, "metals": [metal]}
    tested = {**GLAZE, "tests": [{"metal": metal, "passed": True}]}

    def answer(glaze: dict[str, Any]) -> dict[str, Any]:
        piece = {"clay": CLAY, "layers": [{"glaze": glaze, "zone": "inside"}]}
        told: dict[str, Any] = json.loads(answer_line(json.dumps({"piece": piece, "route": "mid-range"}).encode()))
        return told

    assert "verdict" in answer(glaze)
    assert "raw material" in answer(tested)["error"]


@pytest.mark.parametrize(
    ("coats", "names"),
    [
        (["glaze"], ["this glaze"]),
        (["slip"], ["this slip"]),
        (["sigillata", "glaze"], ["this terra sigillata", "this glaze"]),
        (["slip", "glaze", "glaze"], ["this slip", "glaze 1", "glaze 2"]),
        (["underglaze", "overglaze"], ["this underglaze", "this luster"]),
    ],
)
def test_a_coat_without_a_name_is_called_by_what_it_is(coats: list[str], names: list[str]) -> None:
    cones = [{"cone_low": "06", "cone_high": high} for high in ("04", "03", "02")]
    layers = [
        {"glaze": {"coat": coat, "family": "low-fire", "traits": ["luster"], **cone}}
        for coat, cone in zip(coats, cones, strict=False)
    ]

    ware = read_what_if(line_with("piece.layers", layers)).ware

    assert [layer.glaze.name for layer in ware.layers] == names
