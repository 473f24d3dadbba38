"""The forms on the pages: what a browser sends becomes one frozen value, or a message for each field that is wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, dataclass
from dataclasses import field as dataclass_field
from dataclasses import fields as dataclass_fields
from typing import Any, Generic, Protocol, TypeVar, cast

from marshmallow import EXCLUDE, Schema, ValidationError, missing, post_load, pre_load

from tracker.domain.cones import Cone
from tracker.domain.labels.stock import Paper
from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import LINE, MOVES, Foot, Stage, StepName
from tracker.domain.quantities import Units
from tracker.domain.refusals import Unusable
from tracker.domain.studio.mails import NewsWish
from tracker.domain.studio.materials import Zone
from tracker.forms import fields
from tracker.forms.fields import LONGEST_LINE, LONGEST_REASON, LONGEST_SCAN, LONGEST_TEXT, UNITS, Typed, invalid
from tracker.forms.plain_values import stray_character

Value = TypeVar("Value")


class BadForm(Unusable):
    """A form that cannot be used: `fields` gives what is wrong with each field, the whole says it all."""

    def __init__(self, problems: Mapping[str, Message]) -> None:
        """Keep what is wrong by field, and join it."""
        nothing = Message("nothing-changed", _("Nothing was changed."))
        super().__init__(tuple(dict.fromkeys(problems.values())), nothing)
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
    def refuse_what_cannot_be_kept(self, sent: dict[str, Any], **_context: object) -> dict[str, Any]:
        """Refuse control characters, lone surrogates and endless text before any field is looked at."""
        strange: dict[str, list[Message]] = {}
        for name, value in sent.items():
            texts = value if isinstance(value, list) else [value] if isinstance(value, str) else []
            # A list of many things is bounded by their number; other text is bounded before anybody reads it.
            if isinstance(value, str) and len(value) > LONGEST_TEXT:
                words = _("At most {most} characters. This has {long}.")
                strange[name] = [Message("too-many-characters", words, most=LONGEST_TEXT, long=len(value))]
            # Line breaks in a question are wanted; the fields of one line refuse them on their own.
            elif any(stray_character(text.replace("\r\n", " ").replace("\n", " ")) for text in texts):
                words = _("This has a character that can't be printed.")
                strange[name] = [Message("unprintable", words)]
        if strange:
            raise ValidationError(strange)
        return sent

    @post_load
    def make(self, values: dict[str, Any], **_context: object) -> Value:
        """The value that the facts make together."""
        return self.makes(**values)


def sent(kind: Typed, *, repr: bool = True) -> Any:  # noqa: A002, ANN401 -- as dataclasses call it; a fact of any type
    """A fact of a form, as `kind` reads it; where nothing has to be sent it has a default."""
    default = MISSING if kind.required else None if kind.load_default is missing else kind.load_default
    return dataclass_field(default=default, metadata={"kind": kind}, repr=repr)


def form_of(value: type[Value]) -> type[FormSchema[Value]]:
    """The form that makes such a value; the dataclass says of each fact how it is `sent`."""
    kinds = {one.name: one.metadata["kind"] for one in dataclass_fields(value)}  # type: ignore[arg-type]  # each is a dataclass
    return type(f"{value.__name__}Form", (FormSchema,), {**kinds, "makes": value})


def read_form(schema: FormSchema[Value], form: Form, units: Units = Units.METRIC) -> Value:
    """The value of a form that was sent, written in `units`; `BadForm` with what is wrong with each field."""
    try:
        return cast("Value", schema.load(_sent(schema, form, units)))
    except ValidationError as refusal:
        raise BadForm(dict(_by_field(refusal.messages_dict))) from None


def _sent(schema: Schema, form: Form, units: Units) -> dict[str, Any]:
    """What was sent of each field.

    A field left empty counts as not sent. Of a field that is sent several times, only the ones made for it take all.
    A part of the form is what was sent of its own fields.
    """
    found: dict[str, Any] = {UNITS: units}
    for attribute, one in schema.fields.items():
        if not isinstance(one, Typed):
            message = f"{attribute} is no field of a form"
            raise TypeError(message)
        if one.control == "part" and one.inside is not None:
            found[one.sent_name] = _sent(one.inside(), form, units)
            continue
        values = form.getlist(one.sent_name) if one.sent_name in form else []
        filled = values if one.as_typed else [value for value in values if value.strip()]
        if filled:
            found[one.sent_name] = filled if one.takes_all else filled[0]
    return found


def _by_field(problems: Mapping[str, Any]) -> Iterator[tuple[str, Message]]:
    """What is first to be said about each field, those of the form's parts among them."""
    for name, found in problems.items():
        if isinstance(found, Mapping):
            yield from _by_field(found)
        else:
            yield name, found[0]


# ---- the forms themselves --------------------------------------------------------------------------------------


_PIECE_NEEDED = Message("piece-needed", _("Scan or type a code or ticket number."))
_ROUTE_NEEDED = Message("route-needed", _("Choose a firing type."))
_REASON_NEEDED = Message("reason-needed", _("Write the reason."))


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnSettings:
    """What a person chose for themselves; no `units` and no `paper` are the studio's, no `news` changes nothing."""

    units: Units | None = sent(fields.choice(Units, required=False))
    paper: Paper | None = sent(fields.choice(Paper, required=False))
    news: NewsWish | None = sent(fields.choice(NewsWish, required=False))


OwnSettingsForm = form_of(OwnSettings)


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One scan: this piece, through this step.

    `accepts` are names of rules; `seen` is a version, None for a scan; `new_shelf` says that `place` is a new shelf.
    """

    step: StepName = sent(fields.choice(StepName, MOVES))
    ref: str = sent(fields.line(LONGEST_SCAN, required=True, needed=_PIECE_NEEDED))
    route: str = sent(fields.line())
    place: str = sent(fields.line())
    cause: str = sent(fields.line(LONGEST_REASON))
    accepts: frozenset[str] = sent(fields.rules())
    new_shelf: bool = sent(fields.yes_or_no())
    seen: int | None = sent(fields.seen())

    def __post_init__(self) -> None:
        """Refuse a queue without its route, and a loss without its cause."""
        if self.step is StepName.QUEUE and not self.route:
            raise invalid(Message("no-route", _("Choose the firing to queue it for.")), "route")
        if self.step is StepName.LOSE and not self.cause:
            raise invalid(Message("no-cause", _("Choose what happened: broken, missing or discarded.")), "cause")


MoveForm = form_of(Move)


@dataclass(frozen=True, slots=True, kw_only=True)
class StocktakeScan:
    """A piece that was scanned on the shelf that is counted."""

    ref: str = sent(fields.line(LONGEST_SCAN, required=True, needed=_PIECE_NEEDED))


StocktakeScanForm = form_of(StocktakeScan)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLayer:
    """One more coat on a piece, with what was done about its foot and a catch plate; None for what was not said.

    `checked_for` is the zone for which the page showed the verdicts.
    """

    glaze: str = sent(fields.line(required=True, needed=Message("glaze-needed", _("Choose a glaze."))))
    zone: Zone = sent(fields.choice(Zone))
    checked_for: Zone | None = sent(fields.choice(Zone, required=False))
    foot: Foot | None = sent(fields.choice(Foot, required=False))
    catch_plate: bool | None = sent(fields.yes_or_no(default=None))
    seen: int | None = sent(fields.seen())


NewLayerForm = form_of(NewLayer)


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerOff:
    """The layer that comes off a piece, by its number counted from 0, the first coat."""

    layer: int = sent(fields.whole(0, required=True))
    seen: int | None = sent(fields.seen())


LayerOffForm = form_of(LayerOff)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewWish:
    """The firing type, by its name, that somebody wants for a piece."""

    route: str = sent(fields.line(required=True, needed=_ROUTE_NEEDED))
    seen: int | None = sent(fields.seen())


WishForm = form_of(NewWish)


@dataclass(frozen=True, slots=True, kw_only=True)
class AsSeen:
    """A press of a button that asks nothing more; `seen` is the version of the piece that was looked at."""

    seen: int | None = sent(fields.seen())


AsSeenForm = form_of(AsSeen)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewQuestion:
    """A question on a piece; `route` is the way of firing it is about, None when it is about none."""

    text: str = sent(fields.lines(Message("question-needed", _("Write your question."))))
    route: str | None = sent(fields.line(default=None))
    seen: int | None = sent(fields.seen())


NewQuestionForm = form_of(NewQuestion)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewAnswer:
    """The instructor's answer, and whether it allows what was asked about.

    `pin` is "clay" or "glaze:NAME" for an answer that others should read too, else empty. `clay` is what the piece is
    made of, where the question was about that.
    """

    text: str = sent(fields.lines(Message("answer-needed", _("Write an answer."))))
    allows: bool = sent(fields.yes_or_no(required=True))
    pin: str = sent(fields.line(LONGEST_LINE + len("glaze:")))
    clay: str = sent(fields.line())


NewAnswerForm = form_of(NewAnswer)


@dataclass(frozen=True, slots=True, kw_only=True)
class HandOver:
    """Who takes a piece: `to` names a stand-in and is empty for the maker.

    `knows` says that whoever hands out what cuts knows that it does.
    """

    ref: str = sent(fields.line(LONGEST_SCAN, required=True, needed=_PIECE_NEEDED))
    to: str = sent(fields.line())
    knows: bool = sent(fields.yes_or_no())
    seen: int | None = sent(fields.seen())


HandOverForm = form_of(HandOver)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewFiring:
    """One heating of a kiln that is to begin."""

    kiln: str = sent(fields.line(required=True, needed=Message("kiln-needed", _("Choose a kiln."))))
    route: str = sent(fields.line(required=True, needed=_ROUTE_NEEDED))
    target: Cone = sent(fields.cone())


NewFiringForm = form_of(NewFiring)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """A piece that was scanned at a kiln's door: whether it comes `out`, is `dry` and thin, and what is accepted."""

    ref: str = sent(fields.line(LONGEST_SCAN, required=True, needed=_PIECE_NEEDED))
    out: bool = sent(fields.yes_or_no())
    dry: bool = sent(fields.yes_or_no())
    is_thin: bool = sent(fields.yes_or_no())
    accepts: frozenset[str] = sent(fields.rules())


ScanForm = form_of(Scan)


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """A piece put back to an earlier stage, because the record was wrong."""

    to: Stage = sent(fields.choice(Stage, [stage for stage in LINE[:-1] if stage is not Stage.QUEUED]))
    reason: str = sent(fields.lines(_REASON_NEEDED))
    seen: int | None = sent(fields.seen())


CorrectionForm = form_of(Correction)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why something is done to a piece: fired once more, or lost."""

    reason: str = sent(fields.lines(_REASON_NEEDED))
    seen: int | None = sent(fields.seen())


ReasonForm = form_of(Reason)
