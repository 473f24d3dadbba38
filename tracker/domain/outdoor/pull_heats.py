"""At what heat outdoor ware is pulled, and between which heats the fire or the hair does its work on it.

One set of numbers, the studio's own settings, for the plan, the sheet, the phone beside the kiln and the kiln's card.
"""

from __future__ import annotations

from tracker.domain.cones import Cone
from tracker.domain.firing.heat_work import with_band
from tracker.domain.message import Message, _
from tracker.domain.quantities import Quantity, celsius
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.settings import OutdoorPractice


def pull_c(kind: RouteKind, practice: OutdoorPractice) -> float:
    """At how many °C ware of this kind is pulled."""
    return practice.horsehair_pull_c if kind is RouteKind.HORSEHAIR else practice.raku_pull_c


def too_cool_c(kind: RouteKind, practice: OutdoorPractice) -> tuple[float, float]:
    """The least °C at which a face of this kind may still do what the pull is timed for, and from which on it does.

    For raku that is copper flashing in smoke, the first thing to be lost. Bare clay and the lines of a crackle blacken
    in smoke far below (common practice).
    """
    if kind is RouteKind.HORSEHAIR:
        return practice.hair_least_c, practice.hair_least_c
    return min(practice.raku_least_c, practice.raku_sure_c), max(practice.raku_least_c, practice.raku_sure_c)


def hot_enough_c(kind: RouteKind, practice: OutdoorPractice) -> float:
    """The one threshold by which a pull is timed: in its bin, or with its hair laid on, above so many °C."""
    return too_cool_c(kind, practice)[1]


def pulled_at(kind: RouteKind, practice: OutdoorPractice) -> Message:
    """The heat at which a round is pulled, in few words."""
    return Message("pulled-at", _("pulled at {heat}"), heat=celsius(pull_c(kind, practice)))


def heat_of(route: Route, practice: OutdoorPractice) -> Cone | Quantity:
    """The heat at which ware of a firing type is pulled, or else its cone."""
    return celsius(pull_c(route.kind, practice)) if route.is_pulled_hot else route.cone


def with_heat(route: Route, practice: OutdoorPractice) -> Message:
    """A firing type with its heat: "Mid-range, cone 6", or "Outdoor, raku, pulled at 982 °C"."""
    heat = pulled_at(route.kind, practice) if route.is_pulled_hot else route.cone
    return Message("firing-and-heat", _("{firing}, {heat}"), firing=route.title, heat=heat)


def fired_to(route: Route, practice: OutdoorPractice) -> Message:
    """How hot a firing gets, in few words: the heat at which its ware is pulled, or else its cone."""
    if route.is_pulled_hot:
        return pulled_at(route.kind, practice)
    return Message("to-cone", _("to {cone}"), cone=with_band(route.cone))


def pull_heats(kind: RouteKind, practice: OutdoorPractice) -> Message:
    """The heat at which ware of this kind is pulled and the window in which it takes its marks, as sentences."""
    heat, (least, sure) = celsius(pull_c(kind, practice)), map(celsius, too_cool_c(kind, practice))
    if kind is RouteKind.HORSEHAIR:
        words = _(
            "Pull at {pull}. Lay the hair on between {most} and {least}. "
            "Hotter, it burns away without a line. Cooler, it doesn't burn."
        )
        return Message("horsehair-heats", words, pull=heat, most=celsius(practice.hair_most_c), least=least)
    words = _(
        "Pull at {pull}. Put copper glazes into their bins above {sure}. "
        "Below {least}, copper no longer flashes. Bare clay and crackle lines still blacken in smoke."
    )
    return Message("raku-heats", words, pull=heat, sure=sure, least=least)
