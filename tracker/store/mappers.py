"""How values become rows and rows become values again, by hand and equal both ways."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, fields, replace
from typing import Any

from sqlalchemy import Row

from tracker.domain.cones import Cone
from tracker.domain.findings import Finding, Level, Verdict
from tracker.domain.firing.firings import KeptPlan, Place, PlannedLevel
from tracker.domain.labels.stock import LabelStock, Paper
from tracker.domain.message import PLAIN, Fact, Message
from tracker.domain.outdoor.evaporation import Tanks
from tracker.domain.outdoor.sessions import SessionFacts
from tracker.domain.outdoor.setting_up import Container, Crew, Opening
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Build, Foot, Piece, Stage, StepName, Use
from tracker.domain.quantities import Units
from tracker.domain.studio.kilns import Kiln, Room, Route, RouteKind
from tracker.domain.studio.materials import Clay, FoodStanding, Glaze, Layer, Zone
from tracker.domain.studio.people import Person, Role
from tracker.domain.studio.settings import Practice
from tracker.store.messages import facts_of, facts_plain, message_of, plain_of
from tracker.store.plain_facts import columns, plain, value_of, value_of_row

_CLAY = {"slumps_above": "ceiling"}
_ROUTE = {"cone": "heat", "segments": "schedule"}
_OUTSIDE = ("name", "outdoor", "place", "retired")
"""The facts of a kiln that have a column each; what is known of its inside is kept as one JSON text."""


def clay_row(clay: Clay) -> dict[str, Any]:
    """The columns of a clay; its ceiling is the hottest cone it stands, whether or not the studio has said so."""
    return {
        **columns(clay, _CLAY),
        "absorption": json.dumps(plain(clay.absorption or ())),
        "ceiling": clay.ceiling.rank,
    }


def clay_of(row: Row[Any]) -> Clay:
    """The clay in a row; a ceiling above `cone_high` is one the studio has said."""
    kept = row._asdict()
    said = None if kept["ceiling"] == kept["cone_high"] else kept["ceiling"]
    return value_of_row(Clay, {**kept, "ceiling": said}, _CLAY)


def glaze_row(glaze: Glaze) -> dict[str, Any]:
    """The columns of a glaze, with the hottest cone at which it stays on the pot."""
    food = glaze.food or FoodStanding.UNTESTED
    return {
        **columns(glaze, {}),
        "ceiling": glaze.ceiling.rank,
        "food": food.value,
        "outdoor_only": glaze.is_outdoor_only,
    }


def glaze_of(row: Row[Any]) -> Glaze:
    """The glaze in a row."""
    return value_of_row(Glaze, row._asdict(), {})


def practice_text(practice: Practice) -> str:
    """A studio's practice as JSON."""
    return json.dumps(plain(practice))


def practice_of(text: str) -> Practice:
    """A studio's practice out of JSON; what was not yet a setting then is common practice."""
    return value_of(Practice, json.loads(text))


def labels_text(labels: Mapping[str, LabelStock]) -> str:
    """A studio's own label stock as JSON."""
    return json.dumps([plain(one) for one in labels.values()])


def labels_of(text: str) -> dict[str, LabelStock]:
    """A studio's own label stock out of JSON, by name."""
    return {one["name"]: value_of(LabelStock, one) for one in json.loads(text)}


def route_row(route: Route) -> dict[str, Any]:
    """The columns of a route; without a schedule of its own it has none there either."""
    return {
        **columns(route, _ROUTE),
        **({} if route.segments else {"schedule": None}),
        "takes_outdoor": route.takes_outdoor_glaze,
        "is_bisque": route.kind is RouteKind.BISQUE,
    }


def route_of(row: Row[Any]) -> Route:
    """The route in a row."""
    return value_of_row(Route, {**row._asdict(), "schedule": row.schedule or "[]"}, _ROUTE)


def kiln_row(kiln: Kiln) -> dict[str, Any]:
    """The columns of a kiln but for its routes, which have a table of their own."""
    facts = plain(kiln)
    del facts["routes"]
    outside = {name: facts.pop(name) for name in _OUTSIDE}
    return {**outside, "inside": json.dumps(facts)}


def kiln_of(row: Row[Any], routes: Iterable[str]) -> Kiln:
    """The kiln in a row, which serves `routes`."""
    outside = {name: row._asdict()[name] for name in _OUTSIDE}
    return value_of(Kiln, {**json.loads(row.inside), **outside, "routes": routes})


def plan_text(plan: KeptPlan | None) -> str | None:
    """A load plan as JSON; None stays None."""
    if plan is None:
        return None
    kept = {"levels": [asdict(one) for one in plan.levels], "left_out": _reasons_plain(plan.left_out)}
    return json.dumps(kept, ensure_ascii=False)


def plan_of(text: str | None) -> KeptPlan | None:
    """The load plan in a text that `plan_text` wrote."""
    if text is None:
        return None
    kept = json.loads(text)
    return KeptPlan(
        tuple(PlannedLevel(one["post_mm"], tuple(Place(**place) for place in one["places"])) for one in kept["levels"]),
        _reasons_of(kept["left_out"]),
    )


def reasons_in_plan(text: str | None) -> tuple[tuple[int, Message], ...]:
    """The pieces that a kept load plan left out, by number, each with the reason; none without a plan."""
    return () if text is None else _reasons_of(json.loads(text)["left_out"])


def _reasons_plain(left_out: Iterable[tuple[int, Message]]) -> list[list[Any]]:
    return [[number, plain_of(why)] for number, why in left_out]


def _reasons_of(plain: Iterable[list[Any]]) -> tuple[tuple[int, Message], ...]:
    """Pieces by number with the reasons; those of plans made before messages were kept are text."""
    return tuple(
        (number, Message(PLAIN, "{text}", text=why) if isinstance(why, str) else message_of(why))
        for number, why in plain
    )


def session_row(facts: SessionFacts) -> dict[str, Any]:
    """The columns of an outdoor session that people say beforehand; its crew and its containers are kept as JSON."""
    return {
        "kiln": facts.kiln,
        "starts_at": facts.starts_at,
        "dark_at": facts.dark_at,
        "opening": facts.opening.value,
        "crew": json.dumps(asdict(facts.crew), ensure_ascii=False),
        "containers": json.dumps([asdict(one) for one in facts.containers], ensure_ascii=False),
        "combustibles": facts.combustibles,
        "fuel_before_kg": facts.fuel_before_kg,
        "tanks": facts.tanks.count if facts.tanks else None,
        "tank_kg": facts.tanks.size_kg if facts.tanks else None,
        "burner_kw": facts.burner_kw,
        "air_c": facts.air_c,
        "weather": facts.weather,
    }


def session_of(row: Row[Any]) -> SessionFacts:
    """What was said beforehand of the outdoor session in a row."""
    crew = json.loads(row.crew)
    return SessionFacts(
        kiln=row.kiln,
        starts_at=row.starts_at,
        dark_at=row.dark_at,
        opening=Opening(row.opening),
        crew=Crew(**{**crew, "pullers": tuple(crew["pullers"]), "lids": tuple(crew["lids"])}),
        containers=tuple(Container(**{**one, "room": Room(**one["room"])}) for one in json.loads(row.containers)),
        combustibles=row.combustibles,
        fuel_before_kg=row.fuel_before_kg,
        tanks=None if row.tanks is None or row.tank_kg is None else Tanks(count=row.tanks, size_kg=row.tank_kg),
        burner_kw=row.burner_kw,
        air_c=row.air_c,
        weather=row.weather,
    )


def left_out_text(left_out: Iterable[tuple[int, Message]]) -> str:
    """The pieces that are in no round, with the reasons, as JSON."""
    return json.dumps(_reasons_plain(left_out), ensure_ascii=False)


def left_out_of(text: str) -> tuple[tuple[int, Message], ...]:
    """The pieces and reasons in a text that `left_out_text` wrote."""
    return _reasons_of(json.loads(text))


def person_of(row: Row[Any]) -> Person:
    """The person in a row."""
    return Person(
        id=row.id,
        name=row.name,
        email=row.email or "",
        role=Role(row.role),
        section=row.section,
        units=None if row.units is None else Units(row.units),
        paper=None if row.paper is None else Paper(row.paper),
        has_left=row.left_at is not None,
        supervised=row.supervised,
    )


def piece_row(piece: Piece, clay_id: int) -> dict[str, Any]:
    """The columns of a piece, but for its id and its times."""
    return {
        "code": piece.code,
        "what": piece.what,
        "maker_id": piece.maker_id,
        "clay_id": clay_id,
        "clay_ceiling": piece.clay.ceiling.rank,
        "build": piece.build,
        "use": piece.use,
        "height_mm": piece.height_mm,
        "width_mm": piece.width_mm,
        "depth_mm": piece.depth_mm,
        "fragile": piece.fragile,
        "burnished": bool(piece.burnished),
        "mended": piece.mended,
        "nests": piece.nests,
        "weight_g": piece.weight_g,
        "wall_mm": piece.wall_mm,
        "vented": piece.vented,
        "foot": piece.foot,
        "catch_plate": piece.catch_plate,
        "glazed_at": piece.glazed_at,
        "fired_to": piece.fired_to.rank if piece.fired_to else None,
        "flaws": ",".join(piece.flaws) or None,
        "ceiling": piece.ceiling.rank,
        "outdoor_only": piece.is_outdoor_only,
        "stage": piece.stage,
        "came_from": piece.came_from,
        "place": piece.place,
        "set_name": piece.set_name,
        "version": piece.version,
    }


def piece_of(row: Row[Any], clay: Clay, layers: Sequence[Layer]) -> Piece:
    """The piece in a row that also has the route it `waits_for`, its firing, its `open_questions`, its maker's own."""
    return Piece(
        id=row.id,
        code=row.code,
        what=row.what,
        maker_id=row.maker_id,
        clay=clay,
        layers=tuple(layers),
        build=Build(row.build),
        use=Use(row.use),
        height_mm=row.height_mm,
        width_mm=row.width_mm,
        depth_mm=row.depth_mm,
        fragile=row.fragile,
        burnished=row.burnished,
        mended=row.mended,
        nests=row.nests,
        weight_g=row.weight_g,
        wall_mm=row.wall_mm,
        vented=row.vented,
        foot=Foot(row.foot) if row.foot else None,
        catch_plate=row.catch_plate,
        glazed_at=row.glazed_at,
        has_question=bool(row.open_questions),
        supervised=row.supervised,
        fired_to=None if row.fired_to is None else Cone.of_rank(row.fired_to),
        flaws=tuple(map(Flaw, row.flaws.split(","))) if row.flaws else (),
        stage=Stage(row.stage),
        came_from=Stage(row.came_from) if row.came_from else None,
        route=row.waits_for,
        in_firing=row.firing_id,
        planned_in=row.planned_in,
        set_name=row.set_name,
        place=row.place,
        version=row.version,
    )


def outcome_row(outcome: Outcome) -> dict[str, Any]:
    """The columns of what came of a piece in one fire."""
    return {
        "outcome": str(outcome),
        "outside_only": outcome.outside_only,
        "clay_note": outcome.clay_note,
        "glaze_note": outcome.glaze_note,
    }


def outcome_of(row: Row[Any]) -> Outcome:
    """What came of a piece, with its notes, out of a row that has these columns."""
    return _outcome_of(row._asdict())


def _outcome_of(kept: Mapping[str, Any]) -> Outcome:
    said = {name: kept[name] for name in ("outside_only", "clay_note", "glaze_note") if name in kept}
    return replace(Outcome.parse(kept["outcome"]), **said)


def layer_of(glaze: Glaze, zone: str, fired_to: int | None) -> Layer:
    """The layer of `glaze` at `zone`, fired to the cone of that rank or raw."""
    return Layer(glaze, Zone(zone), None if fired_to is None else Cone.of_rank(fired_to))


def verdict_text(verdict: Verdict | None) -> str | None:
    """A verdict as JSON, for the record; None stays None."""
    return None if verdict is None else findings_text(verdict.findings)


def findings_text(findings: Iterable[Finding]) -> str:
    """Findings as JSON."""
    return json.dumps([_finding_plain(one) for one in findings], ensure_ascii=False)


def findings_of(text: str | None) -> tuple[Finding, ...]:
    """Findings out of JSON; none out of None."""
    return tuple(_finding_of(one) for one in json.loads(text or "[]"))


def message_text(message: Message) -> str:
    """A message as JSON."""
    return json.dumps(plain_of(message), ensure_ascii=False)


def question_of(row: Row[Any]) -> Message:
    """What the question in a row asks: as a message, or as somebody typed it."""
    return message_of(json.loads(row.message)) if row.message else Message(PLAIN, "{text}", text=row.text)


def line_facts_text(facts: Mapping[str, Fact], outcome: Outcome | None = None) -> str | None:
    """The facts of a history line as JSON, what came of the piece among them; None where there are none."""
    came = {} if outcome is None else {name: one for name, one in outcome_row(outcome).items() if one}
    return json.dumps(facts_plain({**facts, **came}), ensure_ascii=False) if facts or came else None


def line_outcome_of(row: Row[Any]) -> Outcome | None:
    """What came of the piece by the history line in a row; older lines have it as one word in a column of its own."""
    if row.outcome:
        return Outcome.parse(row.outcome)
    kept = json.loads(row.facts) if row.facts else {}
    return _outcome_of(kept) if "outcome" in kept else None


def line_facts_of(row: Row[Any]) -> Mapping[str, Fact]:
    """The facts of the history line in a row.

    Lines from before there were facts kept a layer as "Moss, outside" and a shelf as its name, where reasons stand.
    """
    if row.facts:
        return facts_of(json.loads(row.facts))
    glaze, _comma, zone = row.reason.rpartition(", ")
    if row.step in {StepName.GLAZE, StepName.WAX} and glaze and zone in set(Zone):
        return {"glaze": glaze, "zone": Zone(zone)}
    return {"before": row.reason} if row.step == StepName.SHELVE else {}


_KEPT_OF_RECEIPT = tuple(one.name for one in fields(Receipt) if one.name != "taken")


def receipt_text(receipt: Receipt) -> str:
    """A receipt as JSON."""
    kept = {name: getattr(receipt, name) for name in _KEPT_OF_RECEIPT}
    return json.dumps({**kept, "message": plain_of(receipt.message)}, ensure_ascii=False)


def receipt_of(text: str) -> Receipt:
    """A receipt out of JSON, equal to the one that went in."""
    plain = json.loads(text)
    # One written before messages had facts keeps its sentence.
    words = plain.pop("says", None)
    message = Message(PLAIN, "{text}", text=words) if words is not None else message_of(plain["message"])
    return Receipt(**{**plain, "message": message, "refs": tuple(plain["refs"])})


def _finding_plain(finding: Finding) -> dict[str, Any]:
    remedy = finding.remedy and plain_of(finding.remedy)
    message = plain_of(finding.message)
    return {"level": finding.level.word, "message": message, "remedy": remedy, "source": finding.source}


def _finding_of(plain: Mapping[str, Any]) -> Finding:
    """A finding out of its plain form, or out of the older one in which it was a sentence."""
    level = Level[plain["level"].upper()]
    if "says" in plain:
        message = Message(plain["rule"], "{text}", text=plain["says"])
        remedy = Message(PLAIN, "{text}", text=plain["mend"]) if plain["mend"] else None
        return Finding(level, message, remedy, plain["rests_on"])
    remedy = message_of(plain["remedy"]) if plain["remedy"] else None
    return Finding(level, message_of(plain["message"]), remedy, plain["source"])
