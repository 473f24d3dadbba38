"""What may touch food: glazes, clay and firings that may not, or of which nobody knows."""

from __future__ import annotations

from tracker.domain.findings import Level
from tracker.domain.message import ByRole, Choice, Message, Plural, _
from tracker.domain.quantities import percent
from tracker.domain.rules.rule import NOTHING_MORE, Case, Facts, Rule, names_of
from tracker.domain.studio.kilns import AFTER_BISQUE, SMOKED
from tracker.domain.studio.leach_tests import failures
from tracker.domain.studio.materials import ClayKind, FoodStanding, Trait

CRACKLE = "crackle-for-food"
UNTESTED = "untested-for-food"
FLAWED = "flawed-for-food"
_ACID_TEST = "the studio's regime: FDA CPG 545.400 and 545.450, 84/500/EEC or ISO 6486-2"

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_DECORATIVE = FoodStanding.DECORATIVE
_UNTESTED = FoodStanding.UNTESTED
_CRACKLE = Trait.CRACKLE
_UNKNOWN = ClayKind.UNKNOWN


def _decorative_on_food(case: Case) -> Facts | None:
    decorative = [glaze for glaze in case.glazes if glaze.food is _DECORATIVE]
    return {"glazes": names_of(decorative)} if decorative else None


def _outdoors_for_food(_case: Case) -> Facts:
    return NOTHING_MORE


def _immature_for_food(case: Case) -> Facts | None:
    clay, limit, firing = case.ware.clay, case.practice.food_absorption_pct, case.route.cone
    if not clay.is_mature_at(case.clay_heat):
        return {"why": "immature", "clay": clay.name, "low": clay.cone_low, "firing": firing}
    if clay.absorption_pct is not None and clay.absorption_pct > limit:
        return {
            "why": "absorbent",
            "clay": clay.name,
            "absorption": percent(clay.absorption_pct),
            "limit": percent(limit),
        }
    return None


def _of_nameless_clay(case: Case) -> Facts | None:
    clay = case.ware.clay
    return {"clay": clay.name} if clay.kind is _UNKNOWN and clay.absorption_pct is None else None


def _over_the_limit(case: Case) -> Facts | None:
    # A test that nobody can decide is no failure; the pages say that it shows nothing.
    failed = tuple(
        Message(
            "failed-leach-test",
            _("{glaze} gave off too much in a test by {laboratory}: {result}"),
            glaze=glaze.name,
            laboratory=test.laboratory,
            result=judgement.message,
        )
        for glaze in case.glazes
        if glaze.tests
        for test, judgement in failures(glaze.tests, case.practice.regime)
    )
    return {"failed": failed} if failed else None


def _untested(case: Case) -> Facts | None:
    untested = [glaze for glaze in case.glazes if glaze.food is _UNTESTED]
    return {"glazes": names_of(untested)} if untested else None


def _crackled(case: Case) -> Facts | None:
    crackled = [glaze for glaze in case.glazes if _CRACKLE in glaze.traits]
    return {"glazes": names_of(crackled)} if crackled else None


def _flawed(case: Case) -> Facts | None:
    flaws = case.ware.spoilt_by if case.ware.flaws else ()
    return {"flaws": flaws} if flaws else None


RULES = (
    Rule(
        name="decorative-glaze-for-food",
        about="food",
        when="a decorative glaze anywhere on a piece for food",
        level=Level.REFUSE,
        look=_decorative_on_food,
        at_glazing=True,
        for_food=True,
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} is decorative only, and this piece is for food.",
            "{glazes} are decorative only, and this piece is for food.",
        ),
        remedy=_("Choose a glaze that is tested for food, or make the piece decorative."),
    ),
    Rule(
        name="outdoors-for-food",
        about="food",
        when="any outdoor firing of a piece for food",
        level=Level.REFUSE,
        look=_outdoors_for_food,
        for_food=True,
        kinds=SMOKED,
        of_materials=True,
        message=_(
            "This piece is for food, and no outdoor firing makes ware for food: "
            "the clay stays porous, copper can leach out, and smoke stays in the wall."
        ),
        remedy=_("Fire it indoors, or make the piece decorative."),
    ),
    Rule(
        name="clay-porous-for-food",
        about="food",
        when="clay for food that isn't mature at the firing's cone, or absorbs more water than the studio's limit",
        level=Level.REFUSE,
        look=_immature_for_food,
        for_food=True,
        # A bisque is only the first fire: the one that matures the clay is still to come.
        kinds=AFTER_BISQUE,
        of_materials=True,
        message=Choice(
            "why",
            {
                "immature": _("{clay} matures at {low}: at {firing}, it stays too porous for food."),
                "absorbent": _(
                    "{clay} takes up {absorption} water even when mature, and this studio's limit for food is {limit}."
                ),
            },
        ),
        remedy=_("Fire it on a route that matures this clay, choose a denser clay, or make the piece decorative."),
        source="absorption by ASTM C373; the limit is the studio's own",
    ),
    Rule(
        name="nameless-clay-for-food",
        about="food",
        when="clay for food that hasn't been identified, until its absorption has been measured",
        level=Level.REFUSE,
        look=_of_nameless_clay,
        for_food=True,
        # As above: a bisque is only the first fire.
        kinds=AFTER_BISQUE,
        of_materials=True,
        message=_(
            "Nobody knows what {clay} is, nor how much water it takes up when fired, and this piece is for food."
        ),
        remedy=_("Make the piece decorative, or have the water that this clay takes up measured."),
        source="absorption by ASTM C373; what is unknown is taken on the careful side",
    ),
    Rule(
        name="release-over-limit",
        about="food",
        when="a leach test of a glaze over the published limit (lead, cadmium) on a piece for food",
        level=Level.REFUSE,
        look=_over_the_limit,
        at_glazing=True,
        for_food=True,
        of_coats=True,
        of_materials=True,
        message=_("{failed}."),
        remedy=_("Choose another glaze, or make the piece decorative."),
        source=_ACID_TEST,
    ),
    Rule(
        name=CRACKLE,
        about="food",
        when="a crackle surface on a piece for food",
        level=Level.ASK,
        look=_crackled,
        for_food=True,
        of_coats=True,
        of_materials=True,
        message=Plural(
            "glazes",
            "{glazes} crackles, and food stays in the cracks.",
            "{glazes} crackle, and food stays in the cracks.",
        ),
        remedy=ByRole(
            _("Choose a glaze that does not crackle, make the piece decorative, or ask the instructor."),
            {"instructor": _("Choose a glaze that does not crackle, or make the piece decorative.")},
        ),
    ),
    Rule(
        name=UNTESTED,
        about="food",
        when="an untested glaze on a piece for food",
        level=Level.WARN,
        look=_untested,
        for_food=True,
        of_coats=True,
        of_materials=True,
        message=_("Nobody has tested {glazes} for food."),
        remedy=_(
            "Choose a glaze that is tested for food, or accept it by name: a laboratory decides, not this software."
        ),
    ),
    Rule(
        name=FLAWED,
        about="food",
        when="a piece for food that came out crazed, underfired, cracked, pinholed, blistered or shivered on a food "
        "surface (inside or rim), until it is fired again and comes out well",
        # The next firing may heal it, so nothing is asked of that; what the piece is good for says `food_standing`.
        level=Level.NOTE,
        look=_flawed,
        for_food=True,
        message=_("It came out {flaws}: not for food or drink until it is fired again and comes out well."),
        remedy=_("Fire it again, or keep it as decorative ware."),
    ),
)
