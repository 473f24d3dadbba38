"""The pages that explain the tool: its manual with a search, and what changed from version to version."""

from __future__ import annotations

from flask import Blueprint, abort, render_template, request
from flask.typing import ResponseReturnValue

from tracker.domain.studio.cautions import Danger, told
from tracker.web.auth import OPEN, allows
from tracker.web.presenters import catalog
from tracker.web.studio import manual
from tracker.web.wording import said

pages = Blueprint("studio", __name__)

_SAFETY = "safety"
"""The page that lists the cautions, with the numbers of this studio in this reader's units."""


@pages.get("/changes")
@allows(OPEN)
def changes() -> ResponseReturnValue:
    """What changed, the newest first."""
    return render_template("studio/manual.html", page=manual.changes(), question=None, found=None)


@pages.get("/help")
@allows(OPEN)
def contents() -> ResponseReturnValue:
    """The contents of the manual, or what a search in it finds."""
    question = request.args.get("q", "").strip()
    found = manual.search(question, manual.pages().values())
    return render_template("studio/manual.html", page=manual.pages()[manual.CONTENTS], question=question, found=found)


@pages.get("/help/<name>")
@allows(OPEN)
def explained(name: str) -> ResponseReturnValue:
    """One page of the manual."""
    page = manual.pages().get(name)
    if page is None:
        abort(404)
    if page.name == _SAFETY:
        page = manual.with_cautions(_SAFETY, _own_cautions())
    return render_template("studio/manual.html", page=page, question="", found=None)


def _own_cautions() -> str:
    """Every caution as this studio has it, as a list in Markdown."""
    return "\n".join(
        f"- **{said(one.title)}.** {' '.join(map(said, one.orders))}" for one in told(catalog().practice, Danger)
    )
