"""What may touch food: glazes, clay and firings that may not, or of which nobody knows."""

from __future__ import annotations

from tracker.domain.findings import Level, listed
from tracker.domain.rules.rule import Case, Rule, names_of, one_or_more
from tracker.domain.studio.kilns import AFTER_BISQUE, OUTDOORS
from tracker.domain.studio.leach_tests import failures
from tracker.domain.studio.materials import ClayKind, FoodStanding, Trait

CRACKLE = "crackle-for-food"
UNTESTED = "untested-for-food"
_ACID_TEST = "the studio's regime: FDA CPG 545.400 and 545.450, 84/500/EEC or ISO 6486-2"

# Looked up once: on Python 3.11 it takes longer to find a member of an enum than to compare it.
_DECORATIVE = FoodStanding.DECORATIVE
_UNTESTED = FoodStanding.UNTESTED
_CRACKLE = Trait.CRACKLE
_UNKNOWN = ClayKind.UNKNOWN


def _decorative_on_food(case: Case) -> str:
    decorative = [glaze for glaze in case.glazes if glaze.food is _DECORATIVE]
    are = one_or_more(decorative, "is", "are")
    return f"{names_of(decorative)} {are} decorative only, and this piece is for food." if decorative else ""


def _outdoors_for_food(_: Case) -> str:
    return (
        "This piece is for food, and no outdoor firing makes ware for food: "
        "the clay stays porous, copper can leach out, and smoke stays in the wall."
    )


def _immature_for_food(case: Case) -> str:
    ware, route, practice = case.ware, case.route, case.practice
    clay, limit = ware.clay, practice.food_absorption_pct
    if not clay.is_mature_at(route.cone):
        matures = f"{clay.name} matures at {clay.cone_low.label}"
        return f"{matures}: at {route.cone.label}, it stays too porous for food."
    if clay.absorption_pct is not None and clay.absorption_pct > limit:
        takes_up = f"{clay.name} takes up {clay.absorption_pct:g} % water even when mature"
        return f"{takes_up}, and this studio's limit for food is {limit:g} %."
    return ""


def _of_nameless_clay(case: Case) -> str:
    clay = case.ware.clay
    if clay.kind is not _UNKNOWN or clay.absorption_pct is not None:
        return ""
    return f"Nobody knows what {clay.name} is, nor how much water it takes up when fired, and this piece is for food."


def _over_the_limit(case: Case) -> str:
    # A test that nobody can decide is no failure; the pages say that it shows nothing.
    failed = [
        f"{glaze.name} gave off too much in a test by {test.laboratory}: {judgement.says}"
        for glaze in case.glazes
        if glaze.tests
        for test, judgement in failures(glaze.tests, case.practice.regime)
    ]
    return f"{listed(failed)}." if failed else ""


def _untested(case: Case) -> str:
    untested = [glaze for glaze in case.glazes if glaze.food is _UNTESTED]
    return f"Nobody has tested {names_of(untested)} for food." if untested else ""


def _crackled(case: Case) -> str:
    crackled = [glaze for glaze in case.glazes if _CRACKLE in glaze.traits]
    crackles = one_or_more(crackled, "crackles", "crackle")
    return f"{names_of(crackled)} {crackles}, and food stays in the cracks." if crackled else ""


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
        mend="Choose a glaze that is tested for food, or make the piece decorative.",
    ),
    Rule(
        name="outdoors-for-food",
        about="food",
        when="any outdoor firing of a piece for food",
        level=Level.REFUSE,
        look=_outdoors_for_food,
        for_food=True,
        kinds=OUTDOORS,
        of_materials=True,
        mend="Fire it indoors, or make the piece decorative.",
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
        mend="Fire it on a route that matures this clay, choose a denser clay, or make the piece decorative.",
        rests_on="absorption by ASTM C373; the limit is the studio's own",
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
        mend="Make the piece decorative, or have the water that this clay takes up measured.",
        rests_on="absorption by ASTM C373; what is unknown is taken on the careful side",
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
        mend="Choose another glaze, or make the piece decorative.",
        rests_on=_ACID_TEST,
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
        mend="Choose a glaze that does not crackle, make the piece decorative, or ask the instructor.",
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
        mend="Choose a glaze that is tested for food, or accept it by name: a laboratory decides, not this software.",
    ),
)
