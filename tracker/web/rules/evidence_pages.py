"""Evidence: the leach tests of each glaze and the absorption tests of each clay, what they show, and new ones."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.cones import CONES
from tracker.domain.firing.heat_work import with_band
from tracker.domain.message import Choice, Message, _
from tracker.domain.outdoor.pull_heats import with_heat
from tracker.domain.pieces.history import Receipt
from tracker.domain.quantities import GRAMS_AN_OUNCE, Units, percent
from tracker.domain.refusals import ChangedMeanwhile, MovesPieces, Refusal, Unknown, Unusable
from tracker.domain.rules.food_standing import glaze_standing, measurement
from tracker.domain.studio.absorption import Absorption, Soak, Weighing, classes_of
from tracker.domain.studio.cone_bands import measured_doubt
from tracker.domain.studio.kilns import Atmosphere
from tracker.domain.studio.leach_limits import Regime, Unit
from tracker.domain.studio.leach_tests import ReleaseTest, Standing, VesselKind, compared, judged
from tracker.domain.studio.materials import Clay, Glaze
from tracker.domain.studio.metals import Metal
from tracker.domain.studio.people import Right
from tracker.forms.entity import labels
from tracker.forms.page_forms import BadForm, read_form
from tracker.forms.rules.evidence_forms import NewTest, NewWeighing, ReleaseForm, WeighingForm, WithdrawalForm
from tracker.usecases.rules import evidence as filing
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.presenters import Plain, today
from tracker.web.presenters import catalog as known
from tracker.web.studio.catalog_lists import absorption_in_words
from tracker.web.wording import reader, said, shown

pages = Blueprint("evidence", __name__)


@pages.get("/evidence")
@allows(Right.CATALOG)
def evidence() -> ResponseReturnValue:
    """Every test on file with how it counts under the studio's regime, and the forms for new ones.

    After one was added its form holds what the next one has in common with it, from the address (`_KEPT`).
    """
    return _page(another=request.args.get("another", ""))


@pages.post("/evidence/tests")
@allows(Right.CATALOG)
def add_test() -> ResponseReturnValue:
    """Put a release test on file; pieces leave their queues for it only when that was confirmed."""

    def do() -> Receipt:
        sent: NewTest = read_form(ReleaseForm(), request.form, reader().units)
        return filing.add_release_test(house().store, asking(), sent.glaze, sent.made_by(today()), **_decided())

    return _entered("test", do)


@pages.post("/evidence/weighings")
@allows(Right.CATALOG)
def add_weighing() -> ResponseReturnValue:
    """Put the three weights of a specimen on file."""

    def do() -> Receipt:
        sent: NewWeighing = read_form(WeighingForm(), request.form, reader().units)
        _must_be_the_cone(sent)
        return filing.add_weighing(house().store, asking(), sent.clay, sent.weighing, **_decided())

    return _entered("weighing", do)


@pages.post("/evidence/tests/withdraw")
@allows(Right.CATALOG)
def withdraw_test() -> ResponseReturnValue:
    """Take a release test out of force, with the reason; it stays on file."""

    def do() -> Receipt:
        sent = read_form(WithdrawalForm(), request.form)
        return filing.withdraw_test(house().store, asking(), sent.of, sent.number, sent.reason, **_decided())

    return _entered("withdraw-test", do)


@pages.post("/evidence/weighings/withdraw")
@allows(Right.CATALOG)
def withdraw_weighing() -> ResponseReturnValue:
    """Take a weighing out of force, with the reason; it stays on file."""

    def do() -> Receipt:
        sent = read_form(WithdrawalForm(), request.form)
        return filing.withdraw_weighing(house().store, asking(), sent.of, sent.number, sent.reason, **_decided())

    return _entered("withdraw-weighing", do)


def _must_be_the_cone(sent: NewWeighing) -> None:
    """Ask about a cone that seems to miss its zero, or to have one too many, until somebody says that it is right."""
    clay, cone = known().clays.get(sent.clay), sent.weighing.cone
    doubt = measured_doubt(clay, cone) if clay is not None else None
    if doubt is not None and request.form.get(_IS_RIGHT) != str(cone):
        raise BadForm({"fired_to": doubt})


_IS_RIGHT = "cone_is_right"


def _entered(form: str, do: Callable[[], Receipt]) -> ResponseReturnValue:
    """Do it and go back to the list, or show the form as it was sent with what stands in the way."""
    try:
        receipt = do()
    except BadForm as bad:
        return _page(form, problems=bad.fields), status_of(bad)
    except MovesPieces as moves:
        return _page(form, moves=moves), status_of(moves)
    except (ChangedMeanwhile, Unusable, Unknown) as refusal:
        return _page(form, refusal=refusal), status_of(refusal)
    flash(said(receipt.message), "note" if receipt.refs else "good")
    kept = {name: text for name in _KEPT.get(form, ()) if (text := request.form.get(name, "").strip()[:_LONGEST])}
    another: dict[str, Any] = {"another": form, **kept} if kept else {}
    return redirect(url_for("evidence.evidence", **another, _anchor="clays" if "weighing" in form else "glazes"), 303)


_KEPT = {
    "test": (
        *("glaze", "laboratory", "tested_on", "method", "fired_to", "atmosphere", "unit"),
        *("kind", "depth_mm", "capacity_ml", "clay", "route"),
    ),
    "weighing": ("clay", "fired_to", "method"),
}
"""What one report says of all its metals, and what the specimens of one clay have in common."""

_LONGEST = 160


def _page(
    form: str = "",
    *,
    another: str = "",
    problems: Mapping[str, Message] | None = None,
    moves: Refusal | None = None,
    refusal: Refusal | None = None,
) -> str:
    """The page; `form` is the one that was sent, with the problems of its fields or what stands in its way.

    Of `another`, whose last one was added, the fields hold what the next has in common with it.
    """
    catalog = known()
    regime = catalog.practice.regime
    return render_template(
        "rules/evidence.html",
        regime=regime,
        limit=catalog.practice.food_absorption_pct,
        glazes=[_glaze_shown(one, regime) for one in _in_use(catalog.glazes.values()) if not one.burns_away],
        clays=[_clay_shown(one) for one in _in_use(catalog.clays.values())],
        routes=[(route.name, said(with_heat(route, catalog.practice.outdoors))) for route in catalog.routes_by_heat],
        metals=[(metal, metal) for metal in Metal],
        atmospheres=[(str(one), said(Message("atmosphere", "{air:capital}", air=one))) for one in Atmosphere],
        soaks=[(str(soak), said(_SOAKS[soak])) for soak in Soak],
        units=[(unit, unit) for unit in Unit],
        kinds=[(kind, kind) for kind in VesselKind],
        cones=[(str(cone), said(with_band(cone))) for cone in CONES],
        weights_hint=said(Message("weights-hint", Choice("units", _WEIGHTS), units=reader().units.value)),
        today=today().isoformat(),
        version=house().store.read.version(),
        form=form or another,
        sent=request.form if form else {name: request.args.get(name, "") for name in _KEPT.get(another, ())},
        labels={"test": labels(ReleaseForm()), "weighing": labels(WeighingForm())},
        problems=problems or {},
        moves=moves,
        refusal=refusal,
    )


def _in_use(things: Any) -> list[Any]:  # noqa: ANN401 -- clays or glazes
    return sorted((one for one in things if not one.retired), key=lambda one: str(one.name).casefold())


def _glaze_shown(glaze: Glaze, regime: Regime) -> Plain:
    return {
        "name": glaze.name,
        "food": glaze.food,
        "standing": said(glaze_standing(glaze, regime)),
        "tests": [_test_shown(test, regime) for test in glaze.tests],
        "has_failed": any(judged(one, regime).standing is Standing.FAILED for one in glaze.tests if not one.withdrawn),
    }


def _test_shown(test: ReleaseTest, regime: Regime) -> Plain:
    answer, vessel, beside = judged(test, regime), test.vessel, compared(test)
    depth = _DEPTH if vessel.depth_mm is not None else _NO_DEPTH
    holds = _HOLDS if vessel.capacity_ml is not None else _NO_CAPACITY
    measures = Message(
        "vessel",
        _("{kind}, {depth}, {holds}"),
        kind=vessel.kind,
        depth=Message("vessel-depth", depth, depth=round(vessel.depth_mm or 0, 1)),
        holds=Message("vessel-holds", holds, capacity=round(vessel.capacity_ml or 0, 1)),
    )
    on = tuple(filter(None, (test.clay, test.route)))
    return {
        "laboratory": test.laboratory,
        "day": "" if test.tested_on is None else shown(test.tested_on),
        "fired": said(_fired(test)),
        "method": test.method,
        "metal": test.metal,
        "results": f"{', '.join(map(str, test.results))} {shown(test.unit)}",
        "vessel": measures,
        "on": shown(on) if on else said(_ANY),
        "level": {"passed": "clear", "failed": "refuse", "undecided": "ask"}[answer.standing],
        "standing": answer.standing,
        "says": Message("leach-judgement", "{result:capital}.", result=answer.message),
        "beside": "" if beside is None else said(beside),
        "withdrawn": test.withdrawn,
    }


def _clay_shown(clay: Clay) -> Plain:
    sheet = clay.absorption_pct
    return {
        "name": clay.name,
        "in_short": Message("absorption-in-short", "{told:capital}", told=absorption_in_words(clay)),
        "sheet": None if sheet is None else shown(percent(sheet)),
        "classes": [] if sheet is None else [one.message for one in classes_of(sheet)],
        "measured": [_measured_shown(one) for one in clay.measured],
        "weighings": [_weighing_shown(one) for one in clay.weighings],
    }


def _measured_shown(one: Absorption) -> Message:
    words = _("{absorption:capital}: {classes}.")
    classes = tuple(each.message for each in classes_of(one.pct))
    return Message("measured", words, absorption=measurement(one), classes=classes)


def _weighing_shown(weighing: Weighing) -> Plain:
    porosity, density = weighing.porosity_pct, weighing.bulk_density
    weights = (weighing.dry_g, weighing.saturated_g, weighing.suspended_g)
    return {
        "cone": shown(weighing.cone),
        "method": said(_SOAKS[weighing.method]),
        "weights": _weights_shown([one for one in weights if one is not None]),
        "absorption": f"{weighing.absorption_pct:.3f}%",
        "porosity": "" if porosity is None else f"{porosity:.3f}%",
        "density": "" if density is None else f"{density:.3f} g/cm³",
        "withdrawn": weighing.withdrawn,
    }


def _weights_shown(weights: Sequence[float]) -> str:
    """The weights of a specimen as a balance shows them, in the reader's units."""
    if reader().units is Units.US:
        return f"{', '.join(f'{one / GRAMS_AN_OUNCE:.4f}' for one in weights)} oz"
    return f"{', '.join(f'{one:.2f}' for one in weights)} g"


def _fired(test: ReleaseTest) -> Message:
    known = [one for one in (test.cone, test.atmosphere) if one is not None]
    return Message("fired-to", "{known}", known=tuple(known)) if test.cone is not None else _NO_CONE


_DEPTH, _NO_DEPTH = _("{depth} mm deep"), _("depth not measured")
_HOLDS, _NO_CAPACITY = _("holds {capacity} ml"), _("capacity not measured")
_WEIGHTS = {
    "metric": _("Weights in grams, such as 100.00. Or type the unit: 3.527 oz."),
    "us": _("Write each weight with its unit: 3.527 oz or 100.00 g."),
}
_ANY = Message("any-clay-and-firing", _("any clay and firing"))
_NO_CONE = Message("no-cone", _("cone not recorded"))
_SOAKS = {
    Soak.BOIL: Message("soak-boil", _("Boiled 5 hours, then soaked 24 hours (ASTM C373)")),
    Soak.COLD: Message("soak-cold", _("Cold soak")),
}


def _decided() -> dict[str, Any]:
    """What somebody decided on: the version of the catalog, and whether pieces may leave their queues."""
    return {"seen": request.form.get("seen") or None, "confirmed": "confirmed" in request.form}
