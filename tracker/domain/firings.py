"""A firing: one heating of one kiln on one route, and what came of each piece in it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from tracker.domain.refusals import NotAStep, Unusable

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from tracker.domain.cones import Cone
    from tracker.domain.kilns import Kiln, Route


class FiringStage(StrEnum):
    """Where a firing stands in its life."""

    LOADING = "loading"
    UNLOADED = "unloaded"


class Outcome(StrEnum):
    """What came of a piece in the fire."""

    GOOD = "good"
    CRAWLED = "crawled"
    CRAZED = "crazed"
    PINHOLED = "pinholed"
    RAN = "ran"
    STUCK = "stuck"
    CRACKED = "cracked"
    BROKE = "broke"
    UNDERFIRED = "underfired"
    OVERFIRED = "overfired"

    @property
    def survives(self) -> bool:
        """Whether there is still a piece to hand over."""
        return self is not Outcome.BROKE


@dataclass(frozen=True, slots=True, kw_only=True)
class Firing:
    """One heating of one kiln on one route, to its own `target` cone. `piece_ids` are what stands in the kiln."""

    id: int
    kiln: Kiln
    route: Route
    target: Cone
    stage: FiringStage
    piece_ids: tuple[int, ...] = ()

    @property
    def way(self) -> Route:
        """The route as this firing does it: the kiln door judges by the firing's own target cone."""
        return self.route.at(self.target)

    def must_be_open(self) -> None:
        """Refuse with `NotAStep` once it has been unloaded."""
        if self.stage is FiringStage.UNLOADED:
            raise NotAStep(f"Firing {self.id} has been unloaded.", "Start a new firing.")

    def must_account_for_all(self, outcomes: Mapping[int, Outcome], names: Mapping[int, str]) -> None:
        """Refuse with `Unusable` unless each piece in the kiln, and no other, has an outcome."""
        missing = [names.get(one, str(one)) for one in self.piece_ids if one not in outcomes]
        strange = [names.get(one, str(one)) for one in outcomes if one not in self.piece_ids]
        problems = _counted("has no outcome yet", missing) + _counted("is not in this kiln", strange)
        if problems:
            raise Unusable(problems, "Give each piece in the kiln its outcome.")


def _counted(what: str, names: Iterable[str]) -> list[str]:
    return [f"{name} {what}." for name in names]
