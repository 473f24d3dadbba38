"""Every way the studio says no, as one small tree, and what is said where the studio can't be asked at all.

Refusal                     an answer, not a fault: it has a sentence and a way out
├── Unknown                 nothing here goes by that code, name or number
│   ├── FileGone            the file of a photo is missing, though the photo is known
│   └── UnknownShelf        no shelf has that name, and nobody has said that it is new
├── NotAllowed              this person may not do this
├── TooSoon                 this person has tried too often, and has to wait
├── NotAStep                the piece stands where that step does not start
│   └── AlreadyThere        it is already where it was to be taken, so there is nothing to do
├── ChangedMeanwhile        somebody was there first
├── KeyUsedElsewhere        a request key came back with another request
├── Unfit                   the rules refuse it, and nobody may override them
├── NeedsInstructor         the rules leave it to the instructor
├── NotShown                the rules say something that this person has not been shown yet
├── NeedsAcceptance         the rules warn, and staff has not accepted by name yet
├── NotTold                 a rule needs a fact of the piece that nobody has told
├── MovesPieces             a changed catalog would move pieces, and nobody has confirmed that
└── Unusable                what was given makes no sense, every problem named at once

Unavailable                 no answer: the database or its disk can't take it now; the request may be sent again
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from tracker.domain.message import ByRole, Message, _, together


class Refusal(Exception):
    """An answer of no: what is wrong, and what would fix it, as messages that are worded for whoever reads them."""

    word = Message("stop", _("Stop"))
    """What stands over it in large letters."""

    def __init__(self, message: Message, remedy: Message | None = None) -> None:
        """Keep what is wrong and, where there is one, the way out."""
        super().__init__(message)
        self.message = message
        self.remedy = remedy

    @property
    def code(self) -> str:
        """What is wrong, as a name that does not change with the words."""
        return self.message.code


class Unknown(Refusal):
    """Nothing here goes by that code, name or number."""

    word = Message("not-found", _("Not found"))


class FileGone(Unknown):
    """The file of a photo is missing, though the photo is known."""


class UnknownShelf(Unknown):
    """No shelf here has that name, and nobody has said that it is new."""

    def __init__(self, name: str) -> None:
        """Keep the name."""
        super().__init__(
            Message("unknown-shelf", _("No shelf here is called {place}."), place=name),
            Message("is-it-new", _("Is it a new shelf? Add it. If not, check the label.")),
        )
        self.name = name


class NotAllowed(Refusal):
    """This person may not do this."""

    word = Message("not-yours-to-do", _("You can't do that"))


class TooSoon(Refusal):
    """Somebody tried too often, and has to wait."""

    word = Message("wait", _("Wait"))

    def __init__(self, message: Message, remedy: Message, *, seconds: int) -> None:
        """Keep for how many seconds."""
        super().__init__(message, remedy)
        self.seconds = seconds


class NotAStep(Refusal):
    """The piece stands where that step does not start."""


class AlreadyThere(NotAStep):
    """The piece is already where it was to be taken: nothing is wrong, and there is nothing to do."""

    word = Message("already-in", _("Already in"))


class ChangedMeanwhile(Refusal):
    """Somebody changed the piece after this person looked at it."""

    word = Message("changed-meanwhile", _("Someone else changed this"))


class KeyUsedElsewhere(Refusal):
    """A request key came back with a request other than the one it was made for."""


class Unusable(Refusal):
    """What was given makes no sense; every problem is named at once."""

    word = Message("look-again", _("Check this"))

    def __init__(self, problems: Sequence[Message], remedy: Message | None = None) -> None:
        """Keep each problem; together they are what is wrong."""
        self.problems = tuple(problems)
        super().__init__(together(self.problems), remedy)


class BadValue(ValueError):
    """A value of the trade that cannot be: its message tells what is wrong with what it was to be made of."""

    def __init__(self, message: Message) -> None:
        """Keep what is wrong."""
        super().__init__(message)
        self.message = message


class MovesPieces(Refusal):
    """A change of the catalog takes pieces out of their queues, which somebody must confirm first.

    `leaves` is false where it only shows that pieces in hot kilns come out wrong: those stay where they are.
    """

    word = Message("look-first", _("Check first"))

    def __init__(
        self, message: Message, remedy: Message, different: Sequence[Message] = (), *, leaves: bool = True
    ) -> None:
        """Keep which pieces it moves, and what it would change."""
        super().__init__(message, remedy)
        self.different = tuple(different)
        self.leaves = leaves


class Trouble(StrEnum):
    """Why the studio can't be asked, or can't be changed, for now."""

    BUSY = "busy"
    FULL = "full"
    READ_ONLY = "read-only"
    DAMAGED = "damaged"
    GONE = "gone"


class Unavailable(Exception):
    """The database or its disk can't take a request now. No refusal: nobody but the edge of the house answers it.

    Whoever sends the same request again under its key has it done once.
    """

    word = Message("not-now", _("Not now"))

    def __init__(self, trouble: Trouble) -> None:
        """Keep why; message and remedy follow from it."""
        self.trouble = trouble
        self.message, self.remedy = _TROUBLES[trouble]
        super().__init__(self.message)


_TROUBLES = {
    Trouble.BUSY: (
        Message("busy", _("Footring is busy saving something else. Nothing was changed.")),
        Message("busy-remedy", _("Wait a few seconds, then try again.")),
    ),
    Trouble.FULL: (
        Message("disk-full", _("The server's disk is full. Nothing was changed.")),
        Message(
            "disk-full-remedy",
            ByRole(
                _("Tell the instructor. Try again when there is space."),
                {"instructor": _("Free some space on the server's disk, then try again.")},
            ),
        ),
    ),
    Trouble.READ_ONLY: (
        Message("database-read-only", _("The database can't be changed now. Nothing was changed.")),
        Message(
            "database-read-only-remedy",
            ByRole(
                _("Tell the instructor. You can still look things up."),
                {"instructor": _("Let the server write to its database file and folder, then try again.")},
            ),
        ),
    ),
    Trouble.DAMAGED: (
        Message("database-damaged", _("Footring's database is damaged.")),
        Message(
            "database-damaged-remedy",
            ByRole(
                _("Tell the instructor. Write down what you do until then."),
                {"instructor": _("Stop the server. Keep the file, and restore the last backup into a new database.")},
            ),
        ),
    ),
    Trouble.GONE: (
        Message("database-gone", _("Footring can't reach its database.")),
        Message(
            "database-gone-remedy",
            ByRole(
                _("Try again in a minute. If it happens again, tell the instructor."),
                {"instructor": _("Try again in a minute. If it happens again, check the database and the server log.")},
            ),
        ),
    ),
}
