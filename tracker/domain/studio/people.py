"""Who works in the studio, and what each role may do."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from tracker.domain.labels.stock import Paper
from tracker.domain.message import Choice, Either, Message, _
from tracker.domain.quantities import Units
from tracker.domain.refusals import NotAllowed
from tracker.domain.studio.spelling import plain

FORMER_MAKER = "a former maker"
"""The name under which pieces and history stand once their maker's data was removed."""


class Role(StrEnum):
    """How a person stands to the studio."""

    STUDENT = "student"
    MEMBER = "member"
    STAFF = "staff"
    INSTRUCTOR = "instructor"

    @property
    def runs_studio(self) -> bool:
        """Whether such people run the studio. The others make pieces: their rights reach no further than their own."""
        return self in _STAFF


class Right(StrEnum):
    """One thing a person may be allowed to do."""

    REGISTER = "register"
    WORK_ON = "work-on"
    PUT_AWAY = "put-away"
    ASK = "ask"
    SEE_OWN = "see-own"
    SEE_ALL = "see-all"
    MOVE = "move"
    EDIT = "edit"
    FIRE = "fire"
    HAND_OVER = "hand-over"
    DECIDE = "decide"
    CORRECT = "correct"
    CATALOG = "catalog"
    PEOPLE = "people"


_EVERYONE = frozenset(Role)
_STAFF = frozenset({Role.STAFF, Role.INSTRUCTOR})
_INSTRUCTOR = frozenset({Role.INSTRUCTOR})

RIGHTS: dict[Right, frozenset[Role]] = {
    Right.REGISTER: _EVERYONE,
    Right.WORK_ON: _EVERYONE,
    # On the cart or shelf of the firing that the piece is asked for, and nowhere else.
    Right.PUT_AWAY: _EVERYONE,
    Right.ASK: _EVERYONE,
    Right.SEE_OWN: _EVERYONE,
    Right.SEE_ALL: _STAFF,
    Right.MOVE: _STAFF,
    # Also what its bisque rested on, wherever a piece is.
    Right.EDIT: _STAFF,
    Right.FIRE: _STAFF,
    Right.HAND_OVER: _STAFF,
    Right.DECIDE: _INSTRUCTOR,
    Right.CORRECT: _INSTRUCTOR,
    Right.CATALOG: _INSTRUCTOR,
    Right.PEOPLE: _INSTRUCTOR,
}
"""The one table of who may do what. Whoever doesn't run the studio has rights over their own pieces alone."""


_CANT = Choice(
    "role",
    {
        "student": _("Students can't {right}."),
        "member": _("Members can't {right}."),
        "staff": _("Staff can't {right}."),
        "instructor": _("Instructors can't {right}."),
    },
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody in the studio. `section` is the class a maker belongs to, empty for the others.

    Children, visitors and members may have no `email`: it is empty then, and they don't sign in.
    `units` and `paper` are those that the person chose, None for the studio's. Whoever `has_left` may do nothing. One
    who is `supervised` is a minor or a visitor, which only the instructor is told.
    """

    id: int
    name: str
    email: str
    role: Role
    section: str = ""
    units: Units | None = None
    paper: Paper | None = None
    has_left: bool = False
    supervised: bool = False

    @property
    def short_name(self) -> str:
        """First name and initial, as it stands on tags and shelves: "Mira T."."""
        return short_name(self.name)

    @property
    def told_apart(self) -> str:
        """What tells them from others of the same name: the email, or else the section."""
        return self.email or self.section

    @property
    def called(self) -> str:
        """Name and what tells them apart, as lists of people offer them: "Mira Tann, mira@clay.example"."""
        return ", ".join(filter(None, (self.name, self.told_apart)))

    def may(self, right: Right) -> bool:
        """Whether this person's role holds `right` at all."""
        return not self.has_left and self.role in RIGHTS[right]

    def must_be_allowed(self, right: Right) -> None:
        """Refuse with `NotAllowed` when this person's role does not hold `right`."""
        if self.has_left:
            raise NotAllowed(
                Message("has-left", _("{name} no longer has an account here."), name=self.name),
                Message("let-in-again", _("The instructor can let them in again.")),
            )
        if not self.may(right):
            allowed = Either(tuple(sorted(RIGHTS[right], reverse=True)))
            raise NotAllowed(
                Message("not-allowed", _CANT, role=self.role, right=right),
                Message("ask-one-who-may", _("Ask the {roles} to do this."), roles=allowed),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPerson:
    """Somebody who is to be enrolled, as a line of the roster gives them.

    The email tells people apart; of those without one the name and the section do. `line` is where they stand on it.
    `supervised` says whether they are a minor or a visitor, None where the roster doesn't tell. The section is that of
    the term with the number `term_id`, None for the one to which people are added on the day.
    """

    name: str
    email: str
    section: str = ""
    role: Role = Role.STUDENT
    supervised: bool | None = None
    line: int = field(default=0, compare=False)
    term_id: int | None = field(default=None, compare=False)


def namesake(someone: Person | NewPerson) -> tuple[str, str]:
    """What tells people without an email apart: the name, whatever its case and accents, and the section."""
    return plain(someone.name), someone.section.casefold()


def short_name(name: str) -> str:
    """First name and the last name's initial: "Mira Tann" gives "Mira T."; a single name stays as it is."""
    words = name.split()
    if name == FORMER_MAKER:
        return name
    return f"{words[0]} {words[-1][0]}." if len(words) > 1 else name.strip()
