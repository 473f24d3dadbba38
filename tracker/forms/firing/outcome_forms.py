"""What came of the pieces of a firing, as the page for unloading and the phone beside the kiln send it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tracker.domain.message import Message, _
from tracker.domain.pieces.outcomes import OF_BISQUE_HEAT, WORDS, Flaw, Outcome, without_result
from tracker.forms import fields
from tracker.forms.fields import Typed, choose_one, invalid
from tracker.forms.page_forms import BadForm, Form, form_of, read_form, sent

LONGEST_NOTE = 200
"""Letters in a note on the clay or on the glaze of a piece."""


def is_outcome(text: str) -> bool:
    """Whether `text` is what came of a piece, in words with commas between them."""
    try:
        Outcome.parse(text)
    except ValueError:
        return False
    return True


def _picked() -> Typed:
    def read(text: str) -> Outcome:
        if not is_outcome(text):
            raise invalid(choose_one(WORDS))
        return Outcome.parse(text)

    return Typed(read)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Came:
    """What the page says of one piece: the outcome that was picked, further flaws, where they show, and the notes."""

    outcome: Outcome | None = sent(_picked())
    flaw: frozenset[Flaw] = sent(fields.several_of(Flaw))
    outside: bool = sent(fields.yes_or_no())
    clay_note: str = sent(fields.line(LONGEST_NOTE))
    glaze_note: str = sent(fields.line(LONGEST_NOTE))


_CAME = form_of(_Came)()


@dataclass(frozen=True, slots=True, kw_only=True)
class LaterFlaws:
    """Which flaws a fired piece has now, whether the new ones show only where no food comes, and two notes."""

    flaw: frozenset[Flaw] = sent(fields.several_of(Flaw))
    outside: bool = sent(fields.yes_or_no())
    clay_note: str = sent(fields.line(LONGEST_NOTE))
    glaze_note: str = sent(fields.line(LONGEST_NOTE))
    seen: int | None = sent(fields.seen())


LaterFlawsForm = form_of(LaterFlaws)


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What really came of a piece: whether it broke, its flaws, whether they show only outside, and two notes."""

    broke: bool = sent(fields.yes_or_no(required=True))
    flaw: frozenset[Flaw] = sent(fields.several_of(Flaw))
    outside: bool = sent(fields.yes_or_no())
    clay_note: str = sent(fields.line(LONGEST_NOTE))
    glaze_note: str = sent(fields.line(LONGEST_NOTE))
    seen: int | None = sent(fields.seen())

    @property
    def outcome(self) -> Outcome:
        """The same as an outcome."""
        return Outcome(
            tuple(self.flaw),
            broke=self.broke,
            outside_only=self.outside,
            clay_note=self.clay_note,
            glaze_note=self.glaze_note,
        )


ResultForm = form_of(Result)


class _OfPiece:
    """The fields of one piece in a form that has those of many: outcome-K7R43, clay_note-K7R43 and so on."""

    def __init__(self, form: Form, ref: str) -> None:
        """Look only at what is sent of `ref`."""
        self._form, self._ref = form, ref

    def __contains__(self, name: object, /) -> bool:
        """Whether the field was sent of this piece."""
        return f"{name}-{self._ref}" in self._form

    def getlist(self, name: str, /) -> list[str]:
        """Every value that the field was sent with."""
        return self._form.getlist(f"{name}-{self._ref}")


def read_outcomes(form: Form, refs: Iterable[str]) -> dict[str, Outcome]:
    """What came of each piece of a firing, from fields named outcome-REF, flaw-REF and so on.

    `BadForm` names every piece without an outcome, all in one sentence, and each that is said to be good and to have a
    flaw.
    """
    outcomes: dict[str, Outcome] = {}
    problems: dict[str, Message] = {}
    missing: list[str] = []
    for ref in refs:
        try:
            came = read_form(_CAME, _OfPiece(form, ref))
        except BadForm as bad:
            words = _("{ref}: {problem}")
            problems |= {
                f"{name}-{ref}": Message("outcome-unknown", words, ref=ref, problem=problem)
                for name, problem in bad.fields.items()
            }
            continue
        if came.outcome is None and not came.flaw:
            missing.append(ref)
        elif came.outcome is not None and came.outcome.is_good and came.flaw:
            words = _("{ref} can't be good and have a flaw. Choose one of them.")
            problems[f"outcome-{ref}"] = Message("good-and-flawed", words, ref=ref)
        elif set(OF_BISQUE_HEAT) <= set(_whole(came).flaws):
            words = _("{ref} can't be both underfired and overfired. Choose one of them.")
            problems[f"flaw-{ref}"] = Message("under-and-overfired", words, ref=ref)
        else:
            outcomes[ref] = _whole(came)
    if missing:
        problems = {f"outcome-{missing[0]}": without_result(missing)} | problems
    if problems:
        raise BadForm(problems)
    return outcomes


def _whole(came: _Came) -> Outcome:
    picked = came.outcome or Outcome.GOOD
    return Outcome(
        (*picked.flaws, *came.flaw),
        broke=picked.broke,
        outside_only=came.outside,
        clay_note=came.clay_note,
        glaze_note=came.glaze_note,
    )
