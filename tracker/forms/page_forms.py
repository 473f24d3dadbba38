"""The forms on the pages: what a browser sends becomes one frozen value, or a sentence for each field that is wrong."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, Protocol, TypeVar, cast
from uuid import UUID

from marshmallow import EXCLUDE, Schema, ValidationError, post_load, pre_load, validates_schema

from tracker.domain.cones import Cone
from tracker.domain.firing.firings import Outcome
from tracker.domain.pieces.piece import LINE, Foot, Stage, StepName
from tracker.domain.refusals import Unusable
from tracker.domain.studio.materials import Zone
from tracker.forms import fields
from tracker.forms.fields import LONGEST_LINE, LONGEST_REASON, LONGEST_SCAN, Typed
from tracker.forms.plain_values import stray_character

Value = TypeVar("Value")


class BadForm(Unusable):
    """A form that cannot be used: `fields` gives the sentence for each field, the whole says them all."""

    def __init__(self, problems: Mapping[str, str]) -> None:
        """Keep the sentences by field, and join them."""
        super().__init__(tuple(dict.fromkeys(problems.values())), "Nothing has been changed.")
        self.fields = dict(problems)


class Form(Protocol):
    """What a browser sent, as the web's own dictionaries of many values hold it."""

    def __contains__(self, name: object, /) -> bool:
        """Whether the field was sent."""

    def getlist(self, name: str, /) -> list[str]:
        """Every value that the field was sent with."""


class FormSchema(Schema, Generic[Value]):
    """A form; a field that is no part of it is passed over, since a page has buttons and tokens of its own."""

    class Meta:
        """Take only the fields of the form."""

        unknown = EXCLUDE

    makes: Callable[..., Value]

    @pre_load
    def refuse_what_cannot_be_kept(self, sent: dict[str, Any], **_: object) -> dict[str, Any]:
        """Refuse control characters and lone surrogates in every field before any of them is looked at."""
        strange = {}
        for name, value in sent.items():
            texts = value if isinstance(value, list) else [value] if isinstance(value, str) else []
            # Line breaks in a question are wanted; the fields of one line refuse them on their own.
            if any(stray_character(text.replace("\r\n", " ").replace("\n", " ")) for text in texts):
                strange[name] = ["This holds a character that cannot be printed."]
        if strange:
            raise ValidationError(strange)
        return sent

    @post_load
    def make(self, values: dict[str, Any], **_: object) -> Value:
        """The value that the facts make together."""
        return self.makes(**values)


def read_form(schema: FormSchema[Value], form: Form) -> Value:
    """The value of a form that was sent; `BadForm` with a sentence for every field that is wrong."""
    try:
        return cast("Value", schema.load(_sent(schema, form)))
    except ValidationError as refusal:
        raise BadForm(dict(_by_field(refusal.messages_dict))) from None


def _sent(schema: Schema, form: Form) -> dict[str, Any]:
    """What was sent of each field.

    A field left empty counts as not sent. Of a field that is sent several times, only the ones made for it take all.
    A part of the form is what was sent of its own fields.
    """
    sent: dict[str, Any] = {}
    for attribute, one in schema.fields.items():
        if not isinstance(one, Typed):
            message = f"{attribute} is no field of a form"
            raise TypeError(message)
        if one.control == "part" and one.inside is not None:
            sent[one.sent_name] = _sent(one.inside(), form)
            continue
        values = form.getlist(one.sent_name) if one.sent_name in form else []
        filled = values if one.as_typed else [value for value in values if value.strip()]
        if filled:
            sent[one.sent_name] = filled if one.takes_all else filled[0]
    return sent


def _by_field(messages: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """The first sentence about each field, those of the form's parts among them."""
    for name, says in messages.items():
        if isinstance(says, Mapping):
            yield from _by_field(says)
        else:
            yield name, says[0]


def read_key(form: Form) -> UUID:
    """The request key that a form carries; `BadForm` when it carries none."""
    text = form.getlist("key")[0] if "key" in form else ""
    if not re.fullmatch(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}", text.strip(), re.IGNORECASE | re.ASCII):
        raise BadForm({"key": "This form is incomplete: load the page anew and try once more."})
    return UUID(text.strip())


# ---- the forms themselves --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class SignIn:
    """Who wants to come in."""

    email: str
    password: str = field(repr=False)


class SignInForm(FormSchema[SignIn]):
    """Email and password."""

    makes = SignIn
    email = fields.line(254, required=True)
    password = fields.secret()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPassword:
    """A password in place of another."""

    old: str = field(repr=False)
    new: str = field(repr=False)


class NewPasswordForm(FormSchema[NewPassword]):
    """The old password and the new one."""

    makes = NewPassword
    old = fields.secret()
    new = fields.secret()


MOVES = (
    StepName.WAX,
    StepName.WASH_OFF,
    StepName.QUEUE,
    StepName.PULL_BACK,
    StepName.SHELVE,
    StepName.LOSE,
    StepName.FIND,
)
"""The steps that one scan takes a piece through."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One scan: this piece, through this step. `accepts` are names of rules; `seen` is a version, None for a scan."""

    step: StepName
    ref: str
    route: str = ""
    place: str = ""
    cause: str = ""
    accepts: frozenset[str] = frozenset()
    seen: int | None = None


class MoveForm(FormSchema[Move]):
    """A step and a piece; a queue needs its route, a loss its cause."""

    makes = Move
    step = fields.choice(StepName, MOVES)
    ref = fields.line(LONGEST_SCAN, required=True)
    route = fields.line()
    place = fields.line()
    cause = fields.line(LONGEST_REASON)
    accepts = fields.rules()
    seen = fields.seen()

    @validates_schema(skip_on_field_errors=True)
    def says_where_to_or_why(self, values: Mapping[str, Any], **_: object) -> None:
        """Refuse a queue without its route, and a loss without its cause."""
        if values["step"] is StepName.QUEUE and not values["route"]:
            raise ValidationError("Choose the route it is to wait for.", "route")
        if values["step"] is StepName.LOSE and not values["cause"]:
            raise ValidationError("Say what happened: broken, missing or discarded.", "cause")


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLayer:
    """One more coat on a piece, with what was done about its foot and a catch plate; None for what was not said."""

    glaze: str
    zone: Zone
    foot: Foot | None = None
    catch_plate: bool | None = None
    seen: int | None = None


class NewLayerForm(FormSchema[NewLayer]):
    """A glaze by its name, where it goes on, and what keeps it off the shelf."""

    makes = NewLayer
    glaze = fields.line(required=True)
    zone = fields.choice(Zone)
    foot = fields.choice(Foot, required=False)
    catch_plate = fields.yes_or_no(default=None)
    seen = fields.seen()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewQuestion:
    """A question on a piece; `route` is the way of firing it is about, None when it is about none."""

    text: str
    route: str | None = None
    seen: int | None = None


class NewQuestionForm(FormSchema[NewQuestion]):
    """What somebody wants to know from the instructor."""

    makes = NewQuestion
    text = fields.lines()
    route = fields.line(default=None)
    seen = fields.seen()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewAnswer:
    """The instructor's answer, and whether it allows what was asked about.

    `pin` is "clay" or "glaze:NAME" for an answer that others should read too, else empty.
    """

    text: str
    allows: bool
    pin: str = ""


class NewAnswerForm(FormSchema[NewAnswer]):
    """An answer with its reason; allowing is chosen, never left to a box that nobody looked at."""

    makes = NewAnswer
    text = fields.lines()
    allows = fields.yes_or_no(required=True)
    pin = fields.line(LONGEST_LINE + len("glaze:"))


@dataclass(frozen=True, slots=True, kw_only=True)
class HandOver:
    """Who takes a piece: `to` names a stand-in and is empty for the maker."""

    ref: str
    to: str = ""
    seen: int | None = None


class HandOverForm(FormSchema[HandOver]):
    """A piece and whoever takes it."""

    makes = HandOver
    ref = fields.line(LONGEST_SCAN, required=True)
    to = fields.line()
    seen = fields.seen()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewFiring:
    """One heating of a kiln that is to begin."""

    kiln: str
    route: str
    target: Cone


class NewFiringForm(FormSchema[NewFiring]):
    """A kiln, a route and the cone that this firing aims at."""

    makes = NewFiring
    kiln = fields.line(required=True)
    route = fields.line(required=True)
    target = fields.cone()


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """A piece that was scanned at a kiln's door: whether it comes `out`, is said to be `dry`, and what is accepted."""

    ref: str
    out: bool = False
    dry: bool = False
    accepts: frozenset[str] = frozenset()


class ScanForm(FormSchema[Scan]):
    """A piece, and what is said of it at the door."""

    makes = Scan
    ref = fields.line(LONGEST_SCAN, required=True)
    out = fields.yes_or_no()
    dry = fields.yes_or_no()
    accepts = fields.rules()


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """A piece put back to an earlier stage, because the record was wrong."""

    to: Stage
    reason: str
    seen: int | None = None


class CorrectionForm(FormSchema[Correction]):
    """The stage that is right, and why."""

    makes = Correction
    to = fields.choice(Stage, [stage for stage in LINE[:-1] if stage is not Stage.QUEUED])
    reason = fields.lines()
    seen = fields.seen()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why something is done to a piece: fired once more, or lost."""

    reason: str
    seen: int | None = None


class ReasonForm(FormSchema[Reason]):
    """A reason and nothing else."""

    makes = Reason
    reason = fields.lines()
    seen = fields.seen()


def read_outcomes(form: Form, refs: Iterable[str]) -> dict[str, Outcome]:
    """What came of each piece of a firing, from fields named outcome-REF; `BadForm` names every piece without one."""
    outcomes: dict[str, Outcome] = {}
    problems: dict[str, str] = {}
    for ref in refs:
        name = f"outcome-{ref}"
        text = form.getlist(name)[0].strip() if name in form else ""
        if text in set(Outcome):
            outcomes[ref] = Outcome(text)
        else:
            problems[name] = f"{ref} has no outcome yet." if not text else f"{ref}: choose one of {', '.join(Outcome)}."
    if problems:
        raise BadForm(problems)
    return outcomes
