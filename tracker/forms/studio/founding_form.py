"""What the page that sets a studio up asks: who runs it, and either the studio's own facts or a studio file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from importlib.resources import files

from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable
from tracker.domain.studio.catalog import Catalog, Studio
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.people import NewPerson, Role
from tracker.forms.entity import shape
from tracker.forms.fields import FILE, Typed
from tracker.forms.page_forms import BadForm, Form, form_of, read_form, sent
from tracker.forms.plain_values import Wrong, as_sentence
from tracker.forms.studio.roster import read_email, read_person_name
from tracker.forms.studio.settings_schema import StudioSchema
from tracker.forms.studio.studio_file import read_studio


class Beginning(StrEnum):
    """With what a studio begins."""

    STARTER = "starter"
    EMPTY = "empty"
    FROM_FILE = "file"


_FACTS = ("name", "timezone", "units")
_NEEDED = {
    "name": Message("type-the-studios-name", _("Type the studio's name.")),
    "timezone": Message("choose-a-zone", _("Choose a time zone.")),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Founder:
    """Who runs the studio, with the password that they chose."""

    who: str = sent(Typed(read_person_name, required=True, needed=Message("type-your-name", _("Type your name."))))
    email: str = sent(Typed(read_email, required=True, needed=Message("type-your-email", _("Type your email."))))
    password: str = sent(
        Typed(str, required=True, needed=Message("choose-a-password", _("Choose a password."))), repr=False
    )


_FounderForm = form_of(_Founder)


class CantSetUp(Unusable):
    """A form that makes no studio: `by_field` gives everything that is wrong with each field."""

    def __init__(self, by_field: Mapping[str, Sequence[Message]]) -> None:
        """Keep what is wrong by field, and join it."""
        super().__init__(tuple(one for problems in by_field.values() for one in problems))
        self.by_field = by_field


def read_founding(form: Form, file: bytes, address: str) -> tuple[Studio, NewPerson, str]:
    """The studio at `address` that a form tells of, its instructor and their password; `CantSetUp` with all problems.

    `file` is the studio file that came with the form, if any.
    """
    problems: dict[str, Sequence[Message]] = {}
    begins = _first(form, "begin")
    try:
        founder = read_form(_FounderForm(), form)
    except BadForm as bad:
        founder = None
        problems |= {name: (one,) for name, one in bad.fields.items()}
    studio = _of_file(file, problems) if begins == Beginning.FROM_FILE else _of_facts(form, address, problems)
    if founder is None or studio is None or problems:
        raise CantSetUp(problems)
    if begins == Beginning.EMPTY:
        studio = _with_nothing_but_bisque(studio)
    return studio, NewPerson(name=founder.who, email=founder.email, role=Role.INSTRUCTOR), founder.password


def _of_file(file: bytes, problems: dict[str, Sequence[Message]]) -> Studio | None:
    try:
        return read_studio(file.decode())
    except UnicodeDecodeError:
        problems["file"] = [Message("file-not-text", _("This file isn't UTF-8 text."))]
    except Unusable as refusal:
        problems["file"] = refusal.problems
    return None


def _of_facts(form: Form, address: str, problems: dict[str, Sequence[Message]]) -> Studio | None:
    """The studio of the form's own facts, with the starter catalog."""
    wrong: list[Wrong] = []
    told = {name: text for name in _FACTS if (text := _first(form, name))}
    facts = shape(StudioSchema, FILE).gather({**told, "address": address}, wrong, StudioSchema.word)
    of_facts = {one.key or "name": (as_sentence(one.message),) for one in reversed(wrong)}
    problems |= of_facts | {name: (needed,) for name, needed in _NEEDED.items() if name not in told}
    regime = _first(form, "regime")
    if regime not in set(Regime):
        problems["regime"] = [Message("choose-limits", _("Choose whose limits apply."))]
    if problems or facts is None:
        return None
    starter = read_studio((files("tracker.forms.studio") / "starter.toml").read_text(encoding="utf-8"))
    practice = replace(starter.catalog.practice, regime=Regime(regime))
    return replace(starter, **facts, catalog=replace(starter.catalog, practice=practice))


def _with_nothing_but_bisque(studio: Studio) -> Studio:
    """The studio with an empty catalog, but for the bisque, which every piece needs."""
    bisque = {name: route for name, route in studio.catalog.routes.items() if route.kind is RouteKind.BISQUE}
    empty = Catalog(clays={}, glazes={}, routes=bisque, kilns={}, practice=studio.catalog.practice)
    return replace(studio, catalog=empty)


def _first(form: Form, name: str) -> str:
    return next(iter(form.getlist(name)), "").strip()
