"""What people tap beside the outdoor kiln, and the one story that all their phones tell together.

A tap is kept as it came, with the time of its own phone, and nothing is ever taken out of the log. The story is read
from the whole log each time, so it does not matter in which order phones that had no network send what they kept.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from enum import StrEnum

from tracker.domain.message import ByRole, Choice, Fact, Message, _, together
from tracker.domain.pieces.outcomes import Outcome

_ONE_GLOVE = timedelta(seconds=5)
"""Two taps of the same person within this time are one tap with a thick glove (common practice, from memory)."""


_CLOSE = timedelta(minutes=2)
"""Of two taps within this time the seconds are told: to the minute they could read the same."""


class Did(StrEnum):
    """What a tap says."""

    START = "start"
    AT_HEAT = "at heat"
    PULLED = "pulled"
    CLOSED = "closed"
    OUT = "out"
    RESULT = "result"
    TAKE_BACK = "take back"

    @property
    def is_of_a_piece(self) -> bool:
        """Whether it is said of one piece, and not of a whole round."""
        return self in _OF_A_PIECE


_OF_A_PIECE = frozenset({Did.PULLED, Did.CLOSED, Did.OUT, Did.RESULT})
_TWICE = Choice(
    "did",
    {
        "start": _("{name}: started at {first} ({by}), at {other} ({other_by}). The earlier time counts."),
        "at heat": _("{name}: up to temperature at {first} ({by}), at {other} ({other_by}). The earlier time counts."),
        "pulled": _("{name}: pulled at {first} ({by}), at {other} ({other_by}). The earlier time counts."),
        "closed": _("{name}: in its bin at {first} ({by}), at {other} ({other_by}). The earlier time counts."),
        "out": _("{name}: out of its bin at {first} ({by}), at {other} ({other_by}). The earlier time counts."),
    },
)
_FIRST_IS_ON_RECORD = Message(
    "first-is-on-record",
    ByRole(
        _("The first entry was kept. If it's wrong, the instructor can correct it on the piece's page."),
        {"instructor": _("The first entry was kept. If it's wrong, correct it on the piece's page.")},
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tap:
    """One tap: what was done to which round or piece, `at` its own time, by whom; `key` is its own for good.

    `value` is the outcome of a result in its words, the key of the tap that is taken back, or for a start the numbers
    of the pieces in the kiln, with commas: what was in it is what people saw there, whatever was planned.
    """

    key: str
    did: Did
    firing_id: int
    piece_id: int | None = None
    value: str = ""
    at: datetime
    by: str
    by_id: int


@dataclass(frozen=True, slots=True)
class PieceStory:
    """What became of a piece in its round, as far as anybody has said."""

    pulled_at: datetime | None = None
    closed_at: datetime | None = None
    out_at: datetime | None = None
    outcome: Outcome | None = None

    @property
    def stands(self) -> Did | None:
        """The last that was said of it, None for nothing yet."""
        if self.outcome is not None:
            return Did.RESULT
        said = ((Did.OUT, self.out_at), (Did.CLOSED, self.closed_at), (Did.PULLED, self.pulled_at))
        return next((did for did, at in said if at is not None), None)

    @property
    def open_s(self) -> int | None:
        """Seconds from the kiln until its container was closed; None while either is unknown."""
        if self.pulled_at is None or self.closed_at is None:
            return None
        return max(0, round((self.closed_at - self.pulled_at).total_seconds()))


@dataclass(frozen=True, slots=True)
class RoundStory:
    """What became of a round: when its fire was started, when it was up to heat, and each of its pieces.

    `inside` is what anybody says was in it: seen there at the start, or pulled from it.
    """

    started_at: datetime | None = None
    at_heat_at: datetime | None = None
    inside: tuple[int, ...] = ()
    pieces: Mapping[int, PieceStory] = field(default_factory=dict)

    def of(self, piece_id: int) -> PieceStory:
        """The story of one piece."""
        return self.pieces.get(piece_id, PieceStory())


@dataclass(frozen=True, slots=True)
class Story:
    """All rounds together. `differs` holds a message for each thing that two phones said differently, by its tap."""

    rounds: Mapping[int, RoundStory]
    differs: tuple[tuple[str, Message], ...] = ()
    taken_back: frozenset[str] = frozenset()

    def of(self, firing_id: int) -> RoundStory:
        """The story of one round."""
        return self.rounds.get(firing_id, RoundStory())

    def about(self, key: str) -> tuple[Message, ...]:
        """What there is to say about one tap."""
        return tuple(message for tap, message in self.differs if tap == key)


_IT = Message("it", _("It"))


def story_of(taps: Sequence[Tap], names: Mapping[int, Fact], clock: Callable[[datetime, bool], str]) -> Story:
    """The one story that all `taps` tell, in the order in which they arrived.

    Of two times the earlier one counts, of two results the one that arrived first; either way a message says so.
    `names` are codes by the number of a piece or, below zero, what a round is called by the number of its firing;
    `clock` writes a moment as people there read it, to the second where that is asked for.
    """
    taken_back = frozenset(tap.value for tap in taps if tap.did is Did.TAKE_BACK)
    groups: dict[tuple[Did, int, int | None], list[Tap]] = defaultdict(list)
    for tap in taps:
        if tap.did is not Did.TAKE_BACK and tap.key not in taken_back:
            groups[tap.did, tap.firing_id, tap.piece_id].append(tap)
    rounds: dict[int, RoundStory] = {}
    differs: list[tuple[str, Message]] = []
    for (did, firing_id, piece_id), said in groups.items():
        name = names.get(-firing_id if piece_id is None else piece_id, _IT)
        before = rounds.get(firing_id, RoundStory())
        if piece_id is None:
            inside = dict.fromkeys((*before.inside, *(one for tap in said for one in pieces_in(tap))))
            rounds[firing_id] = _told(replace(before, inside=tuple(inside)), did, said)
        else:
            new = _result(before.of(piece_id), said) if did is Did.RESULT else _timed(before.of(piece_id), did, said)
            inside = dict.fromkeys((*before.inside, piece_id))
            rounds[firing_id] = replace(before, inside=tuple(inside), pieces={**before.pieces, piece_id: new})
        differs.extend(_results_differ(name, said) if did is Did.RESULT else _times_differ(name, did, said, clock))
    return Story(rounds, tuple(differs), taken_back)


def pieces_in(tap: Tap) -> tuple[int, ...]:
    """The numbers of the pieces that a start names; nothing else names any."""
    return tuple(map(int, filter(None, tap.value.split(",")))) if tap.did is Did.START else ()


def _told(one: RoundStory, did: Did, said: Iterable[Tap]) -> RoundStory:
    at = min(tap.at for tap in said)
    return replace(one, started_at=at) if did is Did.START else replace(one, at_heat_at=at)


def _timed(piece: PieceStory, did: Did, said: Iterable[Tap]) -> PieceStory:
    at = min(tap.at for tap in said)
    match did:
        case Did.PULLED:
            return replace(piece, pulled_at=at)
        case Did.CLOSED:
            return replace(piece, closed_at=at)
    return replace(piece, out_at=at)


def _result(piece: PieceStory, said: Sequence[Tap]) -> PieceStory:
    return replace(piece, outcome=Outcome.parse(said[0].value))


def _times_differ(
    name: Fact, did: Did, said: Sequence[Tap], clock: Callable[[datetime, bool], str]
) -> Iterable[tuple[str, Message]]:
    first = min(said, key=lambda tap: tap.at)
    for tap in said:
        same_glove = tap.by_id == first.by_id and tap.at - first.at <= _ONE_GLOVE
        if tap is first or same_glove:
            continue
        to_the_second = tap.at - first.at < _CLOSE
        first_at, other_at = (clock(one.at, to_the_second) for one in (first, tap))
        times = {"first": first_at, "by": first.by, "other": other_at, "other_by": tap.by}
        yield tap.key, Message("times-differ", _TWICE, name=name, did=did, **times)


def _results_differ(name: Fact, said: Sequence[Tap]) -> Iterable[tuple[str, Message]]:
    first, *others = said
    for tap in others:
        result, other = Outcome.parse(first.value).message, Outcome.parse(tap.value).message
        if result == other:
            if tap.by_id != first.by_id:
                words = _("{name}: {people} both entered “{result}”.")
                yield tap.key, Message("results-agree", words, name=name, people=(first.by, tap.by), result=result)
            continue
        words = _("{name}: {by} entered “{result}”, {other_by} entered “{other}”.")
        differ = Message("results-differ", words, name=name, by=first.by, result=result, other_by=tap.by, other=other)
        yield tap.key, together([differ, _FIRST_IS_ON_RECORD])
