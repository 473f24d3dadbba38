"""What is told of a clay and of a glaze, each fact declared once."""

from __future__ import annotations

from tracker.domain.cones import ConeRange
from tracker.domain.message import Choice, Message, _
from tracker.domain.studio.cone_bands import CLAY_BANDS, band_of_glaze, rising
from tracker.domain.studio.materials import (
    LOWEST_HEAT,
    Clay,
    ClayKind,
    Coat,
    Family,
    FoodStanding,
    Glaze,
    HowOn,
    Surface,
    Trait,
)
from tracker.forms import fields
from tracker.forms.entity import EntitySchema, many, shape
from tracker.forms.fields import EVERYWHERE, FILE, LINE, PAGE, Typed, Within, fact
from tracker.forms.plain_values import Tables, Values, Wrong, choice, listed, missing_key, set_of
from tracker.forms.studio.cone_checks import cones_checked, must_fit
from tracker.forms.studio.evidence_schemas import (
    AbsorptionSchema,
    LeachTestSchema,
    WeighingSchema,
    absorptions,
    read_recipe_metal,
)

_MOST_ON_FILE = 10_000
_MOST_IN_A_LINE = 100


_MATURES = _("{low} is hotter than {high}, the cone it matures up to.")
_SLUMPS = _("{low} is hotter than {high}, the cone above which it slumps.")
_RISES_WITH = Choice(
    "both",
    {
        "yes": _("{what} Did you mean cone {fix} to {also}?"),
        "no": _('{what} Did you mean "{fix}", not "{was}"?'),
    },
)


def must_rise(values: Values, low: str, high: str, words: str, band: ConeRange | None) -> None:
    """Refuse two cones of which the lower one is hotter, naming both, at the one whose zero would put them in order."""
    cones = {fact: values[fact] for fact in (low, high)}
    if cones[low] <= cones[high]:
        return
    falls = Message("cones-fall", words, low=cones[low], high=cones[high])
    fix = rising(cones, band)
    if fix is None:
        raise Wrong(falls, low)
    also = fix.also[0].cone if fix.also else None
    facts = {"fix": str(fix.cone), "was": str(fix.was), "also": str(also), "both": "yes" if also else "no"}
    raise Wrong(Message("cones-fall", _RISES_WITH, what=falls, **facts), fix.fact)


def _with_cones(values: Values, band: ConeRange | None, *, nameless: bool) -> Values:
    """The facts with both cones in their order, or the lowest where nobody can name the material."""
    if "cone_low" not in values and "cone_high" not in values and nameless:
        return {**values, "cone_low": LOWEST_HEAT[0], "cone_high": LOWEST_HEAT[1]}
    for key in ("cone_low", "cone_high"):
        if key not in values:
            words = _('"{key}" is missing. Only an unidentified material may leave it out.')
            raise Wrong(Message("cone-missing", words, key=key))
    must_rise(values, "cone_low", "cone_high", _MATURES, band)
    return values


def _percent() -> Typed:
    return fields.number(0, 100, unit="%")


class ClaySchema(EntitySchema[Clay]):
    """What a clay is, between which cones it matures, and above which it slumps."""

    makes = Clay
    word = "clay"

    name = fact(
        _("Name"), fields.name(), within=EVERYWHERE, must=PAGE | FILE, unsaid="this clay", fixed=True, maxlength="60"
    )
    kind = fact(_("Kind"), fields.choice(ClayKind), within=EVERYWHERE, must=EVERYWHERE, blank=_("Choose a kind"))
    cone_low = fact(_("Matures from"), fields.cone(), within=EVERYWHERE, must=PAGE, blank=_("Choose a cone"))
    cone_high = fact(_("Matures up to"), fields.cone(), within=EVERYWHERE, must=PAGE, blank=_("Choose a cone"))
    slumps_above = fact(
        _("Slumps above"),
        fields.cone(),
        hint=_("Fill in only if this clay survives above its maturing cone."),
        blank=_("the same cone"),
    )
    absorption_pct = fact(
        _("Absorption when mature"),
        _percent(),
        within=EVERYWHERE,
        hint=_("From its data sheet. Leave blank if it isn't known: the clay then counts as porous."),
        inputmode="decimal",
    )
    shrinkage_pct = fact(_("Shrinkage"), _percent(), hint=_("Percent, from wet to fired."), inputmode="decimal")
    absorption = fact(
        _("Measured absorption"),
        many(AbsorptionSchema, _MOST_ON_FILE, absorptions()),
        within=EVERYWHERE,
        asked=Tables(shape(AbsorptionSchema, LINE), _MOST_IN_A_LINE),
        unsaid=None,
        hint=_(
            "From a data sheet, one a line: cone 6: 2.1%, boil. Or: cone 6: 2.4%, cold. "
            "File your own tests under Evidence."
        ),
        rows="3",
    )
    weighings = fact(_("Absorption tests"), many(WeighingSchema, _MOST_ON_FILE), within=FILE, key="weighing")
    cones_checked = cones_checked()
    retired = fact(_("Retired"), fields.yes_or_no(), within=FILE)

    @classmethod
    def checked(cls, values: Values, where: Within) -> Values:  # noqa: ARG003 -- it is so everywhere
        """Refuse cones out of order."""
        band = CLAY_BANDS.get(values["kind"])
        values = _with_cones(values, band, nameless=values["kind"] is ClayKind.UNKNOWN)
        if values.get("slumps_above") is not None:
            must_rise(values, "cone_high", "slumps_above", _SLUMPS, band)
        return values

    @classmethod
    def made(cls, values: Values, where: Within) -> Clay:
        """The clay; its cones have to be usual ones, or somebody vouches for them."""
        clay: Clay = super().made(values, where)
        must_fit(clay, where)
        return clay


def _asked_traits(raw: object) -> frozenset[Trait]:
    """Traits in a line: the words of "wants-reduction" may be joined by a hyphen, a space or an underscore."""
    return frozenset(_listed_traits(raw))


_trait = choice(Trait)
_listed_traits = listed(
    lambda raw: _trait(raw.replace(" ", "-").replace("_", "-") if isinstance(raw, str) else raw), len(Trait) * 2
)


class GlazeSchema(EntitySchema[Glaze]):
    """What a glaze is, between which cones it matures, how it behaves, and where it is kept."""

    makes = Glaze
    word = "glaze"

    name = fact(
        _("Name"), fields.name(), within=EVERYWHERE, must=PAGE | FILE, unsaid="this glaze", fixed=True, maxlength="60"
    )
    family = fact(
        _("Glaze family"),
        fields.choice(Family),
        within=EVERYWHERE,
        must=PAGE | FILE,
        blank=_("Choose a family"),
        hint=_("Raku glazes (outdoor) only go in the raku kiln."),
    )
    cone_low = fact(_("Matures from"), fields.cone(), within=EVERYWHERE, must=PAGE, blank=_("Choose a cone"))
    cone_high = fact(
        _("Matures up to"),
        fields.cone(),
        within=EVERYWHERE,
        must=PAGE,
        blank=_("Choose a cone"),
        hint=_("Hotter than this, it melts off the pot."),
    )
    food = fact(
        _("Food"),
        fields.choice(FoodStanding),
        within=EVERYWHERE,
        must=PAGE | FILE,
        unsaid=None,
        blank=_("Choose what is known"),
        words={
            "tested": _("tested: passed leach tests on file"),
            "declared": _("declared: the manufacturer says it's food-safe, for its cones"),
            "decorative": _("decorative: never on a functional piece"),
        },
    )
    coat = fact(_("Type"), fields.choice(Coat), within=EVERYWHERE, must=PAGE, words={"sigillata": _("terra sigillata")})
    traits = fact(
        _("Traits"),
        fields.several_of(Trait),
        within=EVERYWHERE,
        asked=_asked_traits,
        words={"wants-reduction": _("needs reduction"), "wants-oxidation": _("needs oxidation")},
    )
    metals = fact(
        _("Metals in it"),
        fields.words(read_recipe_metal),
        within=EVERYWHERE,
        asked=set_of(read_recipe_metal, 40),
        hint=_("With commas between them: copper, cobalt."),
    )
    goes_on = fact(_("Applied by"), fields.several_of(HowOn))
    bucket = fact(_("Bucket"), fields.line(), hint=_("Where the bucket is, such as shelf 2."), maxlength="60")
    shelf_number = fact(
        _("Shelf number"), fields.whole(1, 9_999), hint=_("Its number on the glaze shelf."), inputmode="numeric"
    )
    color = fact(_("Color"), fields.line(), maxlength="60")
    surface = fact(_("Surface"), fields.choice(Surface), blank=_("Not known"), words={"dry": _("dry matte")})
    tests = fact(
        _("Leach tests"),
        many(LeachTestSchema, _MOST_ON_FILE),
        within=FILE | LINE,
        key="test",
        asked=Tables(shape(LeachTestSchema, LINE), _MOST_IN_A_LINE),
    )
    cones_checked = cones_checked()
    retired = fact(_("Retired"), fields.yes_or_no(), within=FILE)

    @classmethod
    def checked(cls, values: Values, where: Within) -> Values:
        """Refuse cones out of order. In a line only a glaze needs its family, and wax no cones.

        A glaze that has no test at all is not tested there, whatever is said of it.
        """
        coat = values.get("coat", Coat.GLAZE)
        if where is LINE and "family" not in values:
            if coat is Coat.GLAZE:
                raise Wrong(missing_key("family"))
            values = {**values, "family": Family.LOW_FIRE}
        if where is LINE and values.get("tests") == () and values.get("food") is FoodStanding.TESTED:
            values = {**values, "food": FoodStanding.UNTESTED}
        band = band_of_glaze(values["family"], coat)
        return _with_cones(values, band, nameless=values["family"] is Family.OUTSIDE or coat is Coat.WAX)

    @classmethod
    def made(cls, values: Values, where: Within) -> Glaze:
        """The glaze; in a file its cones fit its family, or somebody vouches for them."""
        glaze: Glaze = super().made(values, where)
        must_fit(glaze, where)
        return glaze
