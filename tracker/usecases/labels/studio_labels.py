"""The labels of the studio's own things in words: shelves, buckets, kiln doors, badges and containers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from printing.labels.label_parts import Label
from printing.labels.studio_labels import (
    Bucket,
    KilnDoor,
    badge,
    bucket_label,
    command_label,
    container_label,
    kiln_card,
    shelf_label,
)
from tracker.domain.labels.studio_bars import Sort, bar_text
from tracker.domain.labels.trial_bars import TRIAL_TITLES, TrialBar
from tracker.domain.message import Choice, Fact, Message, _
from tracker.domain.outdoor.pull_heats import pull_heats
from tracker.domain.rules.foot import HOTTEST_ON_STILTS
from tracker.domain.rules.melting import HOTTEST_OVERGLAZE
from tracker.domain.studio.catalog import Studio
from tracker.domain.studio.cautions import Danger, food_on, told
from tracker.domain.studio.kilns import ON_SHELVES, PULLED_HOT, RAW, SMOKED, VAPOR, Kiln, Route, RouteKind
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.materials import Coat, Glaze
from tracker.domain.studio.metals import metals_in
from tracker.domain.studio.people import Person
from tracker.domain.studio.settings import COMMON_PRACTICE, OutdoorPractice, Practice
from tracker.usecases.labels.command_bars import Command
from tracker.usecases.labels.wall_chart import food_of, limits
from tracker.usecases.studio import cautions
from tracker.wording.reader import Reader
from tracker.wording.render import read, say, say_all

_TOLD_WHOLE = frozenset({Danger.TOXIC_METALS, Danger.LUSTER, Danger.SPRAYING})
"""The dangers of which a bucket's label gives every order: they are those of this glaze alone."""
_TRY_IT = Message("scan-to-try", _("Scanner set-up"))
_LID_ON = Message("lid-on", _("Keep the lid on."))
_HOW_TO_SCAN = Message("scan-me", _("Scan this, then each piece you put here."))
_UNREADABLE = Message("name-in-the-list", _("its name: see the list of papers"))
_UNREADABLE_PERSON = Message("name-in-the-list-of-people", _("name: see the list of people"))


def shelf(name: str, reader: Reader) -> Label:
    """The label of a shelf or a ware board."""
    bar = bar_text(Sort.SHELF, name)
    return shelf_label(name, bar, say(_HOW_TO_SCAN, reader), unreadable=say(_UNREADABLE, reader))


def bucket(glaze: Glaze, practice: Practice, reader: Reader) -> Label:
    """The label of a glaze's bucket; what its dust holds is named, and nothing is promised of food."""
    regime = practice.regime
    dangers = cautions.of_bucket(glaze, practice)
    usual = [one.orders[0] for one in dangers if one.danger not in _TOLD_WHOLE]
    whole = [one for one in dangers if one.danger in _TOLD_WHOLE]
    return bucket_label(
        Bucket(
            name=glaze.name,
            matures=say(_heat_of(glaze), reader),
            goes_on=say(_goes_on(glaze), reader),
            food=say(_food_line(glaze, regime), reader),
            limits=tuple(say(Message("limit", "{limit:capital}.", limit=one), reader) for one in limits(glaze, regime)),
            metals=say(_metals(glaze), reader),
            stands=glaze.bucket,
            harms=tuple(say(one.line, reader) for one in whole),
            dust="" if glaze.burns_away else say_all([*usual, _LID_ON], reader),
            laboratory="" if glaze.burns_away else say(food_on("label"), reader),
            bar=bar_text(Sort.BUCKET, glaze.name),
            unreadable=say(_UNREADABLE, reader),
        )
    )


def _heat_of(glaze: Glaze) -> Message:
    if glaze.burns_away:
        return Message("wax-burns-away", _("wax: burns off in any firing"))
    if glaze.coat is Coat.GLAZE:
        return Message("glaze-heat", _("{family} glaze: {cones}"), family=glaze.family, cones=glaze.cones)
    return Message("coat-heat", "{coat}: {cones}", coat=glaze.coat, cones=glaze.cones)


def _goes_on(glaze: Glaze) -> Message | None:
    how = tuple(sorted(glaze.goes_on))
    return Message("bucket-goes-on", _("Apply by {how}"), how=how) if how else None


def _food_line(glaze: Glaze, regime: Regime) -> Message:
    if glaze.burns_away:
        return Message("wax-and-food", _("Food: leaves nothing on the piece"))
    return Message("food-line", _("Food: {standing}"), standing=food_of(glaze, regime))


def _metals(glaze: Glaze) -> Message | None:
    if glaze.burns_away or not glaze.metals:
        return None
    return Message("holds-metals", _("Contains {metals}"), metals=tuple(map(_named, sorted(glaze.metals))))


def _named(word: str) -> Fact:
    """The metal that a word of a recipe names and no more, written out: "Cu" is copper, "copper carbonate" stays."""
    (metal, *others) = metals_in(word) or (None,)
    is_bare = metal is not None and word.lower() in {metal.value.lower(), metal.name.lower()}
    return metal if is_bare and not others else word


def kiln_door(kiln: Kiln, studio: Studio, reader: Reader) -> Label:
    """The card for a kiln's door: what it fires, what must never go in, and the cautions of every firing."""
    routes = [route for route in studio.catalog.routes_by_heat if kiln.serves(route) and not route.retired]
    return kiln_card(
        KilnDoor(
            name=kiln.name,
            place=kiln.place,
            fires=tuple(say(_fires(route, studio.catalog.practice.outdoors), reader) for route in routes),
            never_head=say(Message("never-in-here", _("Do not fire in this kiln")), reader),
            never=tuple(say(one, reader) for one in never_in(routes)),
            cautions_head=say(Message("with-every-firing", _("In every firing")), reader),
            cautions=tuple(say(one.line, reader) for one in cautions.of_kiln(kiln, studio)),
            studio=studio.name,
            unreadable=say(_UNREADABLE, reader),
        )
    )


def _fires(route: Route, practice: OutdoorPractice) -> Message:
    """What a kiln fires and how hot: to a cone, or what is pulled, at which heat and in which window."""
    if route.is_pulled_hot:
        words, heats = _("{firing}. {heats}"), pull_heats(route.kind, practice)
        return Message("door-pulls", words, firing=route.title, heats=heats)
    return Message("door-fires", _("{firing}: {cone}"), firing=route.title, cone=route.cone)


_LESS_HEAT = {
    "no": _("Clay or glaze for a cooler firing: it slumps, or melts onto the kiln shelf."),
    "yes": _("Clay or glaze for a cooler firing: it slumps, or glaze runs onto its neighbors."),
}


def never_in(routes: Sequence[Route]) -> Iterator[Message]:
    """What the rules refuse in a kiln of these firing types, whatever the piece, each as a sentence."""
    kinds = {route.kind for route in routes}
    in_a_pit = "yes" if kinds == {RouteKind.PIT} else "no"
    yield Message("never-for-less-heat", Choice("in_a_pit", _LESS_HEAT), in_a_pit=in_a_pit)
    if smoked := kinds & SMOKED:
        always = "yes" if kinds == smoked else "no"
        yield Message("never-ware-for-food", Choice("always", _NO_FOOD), always=always)
    if RouteKind.RAKU not in kinds:
        yield Message("never-raku-glazes", _("Raku glazes."))
    if kinds & RAW:
        words = _("Greenware that isn't bone dry, or is hollow with no vent: it bursts.")
        yield Message("never-damp-greenware", words)
    elif RouteKind.PIT in kinds:
        yield Message(
            "never-greenware-unasked", _("Greenware, unless the instructor allows it: raw clay bursts easily.")
        )
    else:
        yield Message("never-greenware", _("Greenware: bisque it first."))
    if kinds & PULLED_HOT:
        yield Message("never-cracked", _("Cracked or mended pieces, unless the instructor allows it: they come apart."))
    if RouteKind.RAKU in kinds:
        yield Message("never-a-glazed-raku-foot", _("A piece with glaze on its foot: it lifts the hot kiln shelf."))
    if kinds & VAPOR:
        yield Message("never-without-wadding", _("A piece without a bare foot or without wadding: it sticks."))
    elif kinds & ON_SHELVES:
        shelved = [route for route in routes if route.kind in ON_SHELVES]
        yield from _never_on_a_foot(shelved)
        stilts = _where_stilts_hold([*shelved, *(route for route in routes if route.kind is RouteKind.BISQUE)])
        yield Message("never-a-stilt", Choice("stilts", _STILT), stilts=stilts, top=HOTTEST_ON_STILTS)
    if RouteKind.HORSEHAIR in kinds:
        yield Message("never-glazed-horsehair", _("Glazed pieces in a horsehair firing."))


def _never_on_a_foot(shelved: Sequence[Route]) -> Iterator[Message]:
    """What sticks to the kiln shelf by its foot: in an overglaze firing only overglaze melts, as the rule has it."""
    hotter = [route for route in shelved if route.kind is not RouteKind.OVERGLAZE or route.cone > HOTTEST_OVERGLAZE]
    if hotter:
        words = Choice("stilts", _GLAZED_FOOT)
        yield Message("never-a-glazed-foot", words, stilts=_where_stilts_hold(hotter), top=HOTTEST_ON_STILTS)
    if len(hotter) < len(shelved):
        words_of_luster = _("Overglaze on a foot in an overglaze firing: it sticks. Fired glaze there stays hard.")
        yield Message("never-overglaze-on-a-foot", words_of_luster)


def _where_stilts_hold(routes: Sequence[Route]) -> str:
    """Whether a stilt keeps its shape in all of these firings ("yes"), in "some" or in none ("no")."""
    holds = {route.cone <= HOTTEST_ON_STILTS for route in routes}
    return "some" if len(holds) > 1 else "yes" if holds == {True} else "no"


_GLAZED_FOOT = {
    "yes": _("Glazed pieces whose foot isn't waxed or wiped, unless on a stilt: they stick."),
    "some": _("Glazed pieces whose foot isn't waxed or wiped, unless on a stilt at {top} or cooler: they stick."),
    "no": _("Glazed pieces whose foot isn't waxed or wiped: they stick."),
}
_STILT = {
    "yes": _("A stilt under mature stoneware or porcelain: the piece sags onto it."),
    "some": _("A stilt hotter than {top}, or under mature stoneware or porcelain."),
    "no": _("A stilt: its wires bend in this heat."),
}
_NO_FOOD = {
    "yes": _("Pieces for food or drink: the clay stays porous, and metals can leach."),
    "no": _(
        "Pieces for food or drink in a raku, horsehair or pit firing: the clay stays porous, and metals can leach."
    ),
}


def staff_badge(person: Person, studio: Studio, reader: Reader, number: str = "") -> Label:
    """A badge with name and role; its bars say the `number` that signs in with a PIN, or else the name alone."""
    bar = number or bar_text(Sort.BADGE, person.name)
    return badge(person.name, read(person.role, reader), studio.name, bar, unreadable=say(_UNREADABLE_PERSON, reader))


def maker_card(person: Person, number: str, studio: Studio, reader: Reader) -> Label:
    """A maker's card with name and section; its bars say the `number` by which staff find the maker."""
    section = person.section or read(person.role, reader)
    return badge(person.name, section, studio.name, number, unreadable=say(_UNREADABLE_PERSON, reader))


def command(one: Command, reader: Reader) -> Label:
    """One bar of the scan sheet: what it does, and where."""
    return command_label(say(one.title, reader), say(one.group, reader), one.text)


def trial_bar(one: TrialBar, reader: Reader) -> Label:
    """One bar by which a scanner is tried out."""
    return command_label(say(TRIAL_TITLES[one], reader), say(_TRY_IT, reader), one.text)


def container(name: str, reader: Reader) -> Label:
    """The label of a bin's number, with what keeps a face from its flame where there is room."""
    (bins,) = told(COMMON_PRACTICE, {Danger.BINS})
    return container_label(name, say(bins.orders[0], reader), unreadable=say(_UNREADABLE, reader))
