"""Planning a firing: what is to go in, where it is to stand, and the sheet for the kiln's clipboard."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, time
from zoneinfo import ZoneInfo

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict

from tracker.domain.pieces.history import Receipt
from tracker.domain.studio.cone_bands import AsksCone, ConeQuestion
from tracker.domain.studio.people import Right
from tracker.forms.firing.firing_forms import PlannedFiringForm
from tracker.forms.page_forms import read_form
from tracker.forms.studio.cone_checks import read_cone_answer
from tracker.usecases.firing import plans as firing_plans
from tracker.usecases.firing.pictures import sheet_pdf
from tracker.usecases.firing.stories import story_of
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import status_of
from tracker.web.firing.firing_choices import BETWEEN, cone_choices, kiln_choices, known_firing
from tracker.web.presenters import catalog, paper_asked, told
from tracker.web.studio.cone_questions import cone_question_shown
from tracker.web.wording import reader

pages = Blueprint("plans", __name__)

_FORM = PlannedFiringForm()
_FIRED_FROM = time(8)
"""A day's firing counts as planned for this hour, in the studio's zone."""


@pages.get("/firings/plan")
@allows(Right.FIRE)
def plan() -> ResponseReturnValue:
    """Ask which kiln is to fire what, and when."""
    return _form({"at": request.args.get("at", "")})


def _form(sent: Mapping[str, str], question: ConeQuestion | None = None) -> str:
    return render_template(
        "firing/plan.html",
        kilns=kiln_choices(catalog()),
        cones=cone_choices(),
        sent=sent,
        question=cone_question_shown(question),
    )


@pages.post("/firings/plan")
@allows(Right.FIRE)
def plan_now() -> ResponseReturnValue:
    """Plan a firing from the pieces that wait for it, longest wait first."""

    def do() -> Receipt:
        kiln, _between, route = request.form.get("at", "").rpartition(BETWEEN)
        new = read_form(_FORM, MultiDict({**request.form, "kiln": kiln, "route": route}))
        target = new.target or catalog().route(new.route).cone
        zone = ZoneInfo(house().store.read.studio().timezone)
        planned_for = datetime.combine(new.day, _FIRED_FROM, tzinfo=zone) if new.day else None
        answer = read_cone_answer(request.form)
        return firing_plans.plan(
            house().store, asking(), new.kiln, new.route, target, planned_for=planned_for, answer=answer
        )

    def there(receipt: Receipt | None) -> str:
        if receipt is None:
            return url_for("plans.plan", at=request.form.get("at", "")[:120])
        return url_for("firings.firing", number=receipt.extra["firing"])

    try:
        return told(do, there)
    except AsksCone as asks:
        return _form(request.form, asks.question), status_of(asks)


@pages.post("/firings/<int:number>/anew")
@allows(Right.FIRE)
def plan_anew(number: int) -> ResponseReturnValue:
    """Plan the load of a firing again, around what is in its kiln; `mixed` fills it up from other firing types."""
    here, mixed = url_for("firings.firing", number=number), bool(request.form.get("mixed"))
    return told(lambda: firing_plans.plan_anew(house().store, asking(), number, mixed=mixed), lambda _receipt: here)


@pages.post("/firings/<int:number>/leave/<ref>")
@allows(Right.FIRE)
def leave_out(number: int, ref: str) -> ResponseReturnValue:
    """Take a piece out of a firing's plan."""
    here = url_for("firings.firing", number=number)
    return told(lambda: firing_plans.leave_out(house().store, asking(), number, ref), lambda _receipt: here)


@pages.get("/firings/<int:number>/sheet.pdf")
@allows(Right.FIRE)
def sheet(number: int) -> ResponseReturnValue:
    """The sheet of a firing for the kiln's clipboard; a round outdoors is on the sheet of its session."""
    page = known_firing(number)
    if page.firing.session_id is not None:
        return redirect(url_for("sessions.sheet", number=page.firing.session_id))
    story = story_of(house().store.read, page.firing, page.witnesses, second=None)
    made = sheet_pdf(page, story, house().store.read.studio(), reader(), paper=paper_asked())
    headers = {"Content-Disposition": f'inline; filename="firing-{number}.pdf"'}
    return Response(made, mimetype="application/pdf", headers=headers)
