"""The catalog: clays, glazes, routes and kilns, added, changed and retired; the whole as a file; the wall chart."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from tracker.domain.message import Message, _
from tracker.domain.outdoor.pull_heats import pulled_at, with_heat
from tracker.domain.pieces.history import Receipt
from tracker.domain.refusals import ChangedMeanwhile, MovesPieces, Refusal, Unknown, Unusable
from tracker.domain.studio.catalog import Studio, ThingKind
from tracker.domain.studio.catalog_changes import SHELVES, Thing, merged, with_thing
from tracker.domain.studio.cone_bands import AsksCone, ConeQuestion, cone_question, has_cones, open_question
from tracker.domain.studio.kilns import Route
from tracker.domain.studio.materials import Glaze
from tracker.domain.studio.people import Right
from tracker.forms.entity import Shown, kept, labels, read_entity, sections, shown_entity
from tracker.forms.page_forms import BadForm, read_form
from tracker.forms.studio.cone_checks import read_cone_answer
from tracker.forms.studio.settings_schema import PracticeSchema, StudioSchema
from tracker.forms.studio.studio_file import CATALOG, read_studio, write_studio
from tracker.usecases.labels.wall_chart import wall_chart
from tracker.usecases.pieces.revalidate import EVERY_FIRING, leaves_any, moves_of
from tracker.usecases.studio import catalog as shelving
from tracker.web.auth import allows, asking, house
from tracker.web.error_handlers import problems_of, status_of
from tracker.web.presenters import catalog as known
from tracker.web.presenters import paper_asked
from tracker.web.studio.catalog_lists import catalog_list
from tracker.web.studio.cone_questions import MEANT, cone_answers_shown, cone_question_shown, in_use_by
from tracker.web.tile_presenters import tiles_of_glaze
from tracker.web.wording import reader, said

pages = Blueprint("catalog", __name__)


@pages.get("/catalog")
@allows(Right.CATALOG)
def catalog() -> ResponseReturnValue:
    """One part of the catalog, its search and its pages; what is retired is folded."""
    outdoors = known().practice.outdoors
    heats = {
        one.name: pulled_at(one.kind, outdoors) if one.is_pulled_hot else one.cone for one in known().routes.values()
    }
    unfit = [row for row in house().store.read.firings.listed(limit=EVERY_FIRING) if row.leaving]
    shown = {"doubts": _doubts(), "heats": heats, "catalog": known(), "unfit": unfit}
    return render_template("studio/catalog.html", **catalog_list(), **shown)


def _doubts() -> list[tuple[str, Any, Message]]:
    """What has cones from before there were questions: its sort, the thing, and the question."""
    held = [(kind, one) for kind, part in SHELVES.items() for one in getattr(known(), part).values() if has_cones(one)]
    return [(str(kind), one, question.title) for kind, one in held if (question := open_question(one))]


# ---- one thing ------------------------------------------------------------------------------------------------------


@pages.get("/catalog/<sort>/form")
@allows(Right.CATALOG)
def thing(sort: str) -> ResponseReturnValue:
    """The form for one clay, glaze, route or kiln: a new one, or the one that the address names."""
    old = _named(sort, request.args.get("name", ""))
    question = open_question(old) if has_cones(old) else None
    return _form(sort, old, shown_entity(CATALOG[sort], old, reader().units) if old else {}, question=question)


@pages.post("/catalog/<sort>")
@allows(Right.CATALOG)
def save(sort: str) -> ResponseReturnValue:
    """Add or change it; pieces leave their queues for it only when that was confirmed."""
    old = _named(sort, request.form.get("old", ""))
    sent: Shown = request.form.to_dict(flat=False)
    question = None
    try:
        made = read_entity(CATALOG[sort], request.form, old, reader().units)
        question = cone_question(made) if has_cones(made) and MEANT in request.form else None
        do = shelving.change if old else shelving.add
        receipt = do(house().store, asking(), made, **_decided(), answer=read_cone_answer(request.form))
    except BadForm as bad:
        return _form(sort, old, sent, problems=bad.fields), status_of(bad)
    except AsksCone as asks:
        return _form(sort, old, sent, question=asks.question), status_of(asks)
    except MovesPieces as moves:
        return _form(sort, old, sent, moves=moves, question=question), status_of(moves)
    except (ChangedMeanwhile, Unusable) as refusal:
        return _form(sort, old, sent, refusal=refusal, question=question), status_of(refusal)
    return _back(receipt, SHELVES[ThingKind(sort)])


@pages.get("/catalog/<sort>/retire")
@allows(Right.CATALOG)
def leaving(sort: str) -> ResponseReturnValue:
    """Ask once more before a thing is retired or brought back, with what that would do to pieces that wait."""
    old = _must_be_named(sort, request.args.get("name", ""))
    return _leaving(sort, old)


@pages.post("/catalog/<sort>/retire")
@allows(Right.CATALOG)
def retire(sort: str) -> ResponseReturnValue:
    """Retire a thing, or bring a retired one back."""
    old = _must_be_named(sort, request.form.get("name", ""))
    do = shelving.bring_back if old.retired else shelving.retire
    try:
        receipt = do(house().store, asking(), sort, old.name, **_decided())
    except (ChangedMeanwhile, MovesPieces, Unusable) as refusal:
        return _leaving(sort, old, refusal), status_of(refusal)
    return _back(receipt, SHELVES[ThingKind(sort)])


def _leaving(sort: str, old: Thing, refusal: Refusal | None = None) -> str:
    reader = house().store.read
    after = with_thing(reader.studio(), replace(old, retired=not old.retired))
    ahead = shelving.look_ahead(reader, after, house().clock())
    return render_template(
        "studio/catalog_retire.html",
        sort=sort,
        old=old,
        ahead=ahead,
        moves=moves_of(ahead.moved, is_done=False),
        leaves=leaves_any(ahead.moved),
        refusal=refusal if isinstance(refusal, ChangedMeanwhile) else None,
        version=reader.version(),
    )


def _form(
    sort: str,
    old: Thing | None,
    sent: Shown,
    *,
    problems: Mapping[str, Message] | None = None,
    moves: Refusal | None = None,
    refusal: Refusal | None = None,
    question: ConeQuestion | None = None,
) -> str:
    schema, outdoors = CATALOG[sort](old), known().practice.outdoors
    return render_template(
        "studio/catalog_entry.html",
        sort=sort,
        old=old,
        sent=sent,
        problems=problems or {},
        moves=moves,
        refusal=refusal,
        question=cone_question_shown(
            question, sent.get(MEANT, [""])[0], in_use_by(old) if question and isinstance(old, Route) else None
        ),
        answers=cone_answers_shown(sort, old.name) if old else [],
        version=house().store.read.version(),
        sections=sections(schema),
        labels=labels(schema),
        tiles=tiles_of_glaze(old) if isinstance(old, Glaze) and request.method == "GET" else None,
        choices={"routes": [(one.name, said(with_heat(one, outdoors))) for one in known().routes_by_heat]},
    )


# ---- the studio's practice ------------------------------------------------------------------------------------------


@pages.get("/catalog/practice")
@allows(Right.CATALOG)
def practice() -> ResponseReturnValue:
    """The numbers that are common practice and this studio's own to choose."""
    return _practice(shown_entity(PracticeSchema, known().practice, reader().units))


@pages.post("/catalog/practice")
@allows(Right.CATALOG)
def set_practice() -> ResponseReturnValue:
    """Settle them; every piece that waits is judged anew."""
    sent: Shown = request.form.to_dict(flat=False)
    try:
        wanted = read_entity(PracticeSchema, request.form, units=reader().units)
        wanted = kept(PracticeSchema, known().practice, wanted, reader().units)
        receipt = shelving.set_practice(house().store, asking(), wanted, **_decided())
    except BadForm as bad:
        return _practice(sent, problems=bad.fields), status_of(bad)
    except MovesPieces as moves:
        return _practice(sent, moves=moves), status_of(moves)
    except (ChangedMeanwhile, Unusable) as refusal:
        return _practice(sent, refusal=refusal), status_of(refusal)
    return _back(receipt, "")


@pages.post("/catalog/studio")
@allows(Right.CATALOG)
def set_facts() -> ResponseReturnValue:
    """Settle the studio's name, zone and address, its units, paper, currency and footer."""
    sent = shown_entity(PracticeSchema, known().practice, reader().units)
    own: Shown = request.form.to_dict(flat=False)
    try:
        wanted = read_form(StudioSchema(), request.form)
        seen = request.form.get("seen") or None
        receipt = shelving.set_facts(house().store, asking(), wanted, seen=seen)
    except BadForm as bad:
        return _practice(sent, own=own, problems=bad.fields), status_of(bad)
    except ChangedMeanwhile as refusal:
        return _practice(sent, own=own, refusal=refusal), status_of(refusal)
    return _back(receipt, "")


def _practice(
    sent: Shown,
    *,
    own: Shown | None = None,
    problems: Mapping[str, Message] | None = None,
    moves: Refusal | None = None,
    refusal: Refusal | None = None,
) -> str:
    return render_template(
        "studio/settings.html",
        sent=sent,
        problems=problems or {},
        moves=moves,
        refusal=refusal,
        version=house().store.read.version(),
        sections=sections(PracticeSchema()),
        own=sections(StudioSchema()),
        is_own_open=own is not None,
        own_sent=own or shown_entity(StudioSchema, house().store.read.studio()),
    )


# ---- the whole as a file, and on paper ------------------------------------------------------------------------------


@pages.get("/catalog/studio.toml")
@allows(Right.CATALOG)
def export() -> ResponseReturnValue:
    """The studio as the file that footring init reads."""
    answer = Response(write_studio(house().store.read.studio()), mimetype="application/toml")
    answer.headers["Content-Disposition"] = 'attachment; filename="studio.toml"'
    return answer


@pages.get("/catalog/file")
@allows(Right.CATALOG)
def file() -> ResponseReturnValue:
    """Ask for a studio file."""
    return _file("")


@pages.post("/catalog/file")
@allows(Right.CATALOG)
def look_at_file() -> ResponseReturnValue:
    """Show what a studio file would change and which pieces it would move, or take it once that was confirmed."""
    try:
        text = _text_sent()
        wanted = read_studio(text)
    except Unusable as refusal:
        return _file("", refusal=refusal), status_of(refusal)
    if "take" not in request.form:
        return _file(text, wanted)
    try:
        receipt = shelving.change_studio(house().store, asking(), wanted, **_decided())
    except (ChangedMeanwhile, MovesPieces, Unusable) as refusal:
        return _file(text, wanted, refusal=refusal), status_of(refusal)
    return _back(receipt, "")


def _text_sent() -> str:
    """What the uploaded file says, or what was looked at before."""
    upload = request.files.get("file")
    if upload is None or not upload.filename:
        if text := request.form.get("text", ""):
            return text
        raise Unusable(
            [Message("no-file", _("No file was chosen."))], Message("choose-a-file", _("Choose a studio file."))
        )
    try:
        return str(upload.read(), "utf-8-sig")
    except UnicodeDecodeError:
        raise Unusable(
            [Message("file-not-utf-8", _("This file is not UTF-8 text."))],
            Message("save-as-utf-8", _("Save it as UTF-8 and try again.")),
        ) from None


def _file(text: str, wanted: Studio | None = None, *, refusal: Refusal | None = None) -> str:
    reader = house().store.read
    ahead = shelving.look_ahead(reader, merged(reader.studio(), wanted), house().clock()) if wanted else None
    return render_template(
        "studio/catalog_file.html",
        text=text,
        ahead=ahead,
        moves=moves_of(ahead.moved, is_done=False) if ahead else None,
        leaves=leaves_any(ahead.moved) if ahead else False,
        refusal=refusal,
        problems=problems_of(refusal) if refusal else (),
        version=reader.version(),
    )


@pages.get("/catalog/chart.pdf")
@allows(Right.CATALOG)
def chart() -> ResponseReturnValue:
    """The glaze shelf as a chart for the wall, on the studio's paper or the one that the address names."""
    made = wall_chart(house().store.read.studio(), reader(), paper_asked())
    answer = Response(made, mimetype="application/pdf")
    answer.headers["Content-Disposition"] = 'inline; filename="glazes.pdf"'
    return answer


# ---- the parts ------------------------------------------------------------------------------------------------------


def _decided() -> dict[str, Any]:
    """What somebody decided on: the version of the catalog, and whether pieces may leave their queues."""
    return {"seen": request.form.get("seen", ""), "confirmed": "confirmed" in request.form}


def _find(sort: str) -> Callable[[str], Thing]:
    shelf = known()
    finds: dict[str, Callable[[str], Thing]] = {
        "clay": shelf.clay,
        "glaze": shelf.glaze,
        "route": shelf.route,
        "kiln": shelf.kiln,
    }
    if sort not in finds:
        raise Unknown(
            Message("no-such-shelf", _("This part of the catalog doesn't exist.")),
            Message("start-from-the-catalog", _("Go to the catalog.")),
        )
    return finds[sort]


def _named(sort: str, name: str) -> Thing | None:
    find = _find(sort)
    return find(name) if name else None


def _must_be_named(sort: str, name: str) -> Thing:
    return _find(sort)(name)


def _back(receipt: Receipt, part: str) -> ResponseReturnValue:
    """Back to a part of the catalog, with what was done."""
    flash(said(receipt.message), "note" if receipt.refs or receipt.extra.get("in_hot_kilns") else "good")
    return redirect(url_for("catalog.catalog", part=part or None), 303)
