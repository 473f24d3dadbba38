"""One paper of each kind as a studio usually prints it; a stock that cannot hold the usual one is not offered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printing.labels.home_papers import CareCard, PickupSlip, SlipLine, StickOn, care_card, pickup_slips, stick_on
from printing.labels.stock import CARD_PAPERS
from printing.labels.studio_labels import container_label
from tracker.domain.cones import Cone
from tracker.domain.studio.catalog import Catalogue, Studio
from tracker.domain.studio.kilns import COMMON_ROUTES, Kiln
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.materials import Family, FoodStanding, Glaze, HowOn
from tracker.domain.studio.people import Person, Role
from tracker.usecases.labels import studio_labels as studio_papers
from tracker.usecases.labels.home_papers import BASE_WORDS, CAUTION

if TYPE_CHECKING:
    from printing.labels.label_parts import Label

_STUDIO = Studio(
    name="Our studio",
    timezone="UTC",
    address="",
    catalogue=Catalogue(clays={}, glazes={}, routes=COMMON_ROUTES, kilns={}),
)
_CODE, _PIECE = "K7R43", "lidded jar"

CARE_CARD: Label = care_card(
    CareCard(
        first="Decorative, not for food or drink",
        is_warning=True,
        says="",
        code=_CODE,
        what=_PIECE,
        maker="Mira T.",
        made_of="white porcelain; clear over blue slip",
        base=f"“{BASE_WORDS}” in letters at least 3.2 mm high, fired on or cut in; a hole does the same.",
        caution=CAUTION,
        studio=_STUDIO.name,
    )
)

STICK_ON: Label = stick_on(StickOn(why="Decorative ware.", code=_CODE, studio=_STUDIO.name))

PICKUP_SLIP: Label = pickup_slips(
    PickupSlip(
        maker="Mira Tann",
        day="3 March 2026",
        lines=(SlipLine(code=_CODE, what=_PIECE, warning="Decorative, not for food or drink"),),
        studio=_STUDIO.name,
    ),
    CARD_PAPERS[0],
)[0]

SHELF: Label = studio_papers.shelf("rack 3")

BUCKET: Label = studio_papers.bucket(
    Glaze(
        name="Autumn slate",
        family=Family.MID_RANGE,
        cone_low=Cone.parse("5"),
        cone_high=Cone.parse("6"),
        food=FoodStanding.DECORATIVE,
        metals=frozenset({"copper", "manganese"}),
        goes_on=frozenset({HowOn.DIP, HowOn.BRUSH}),
        bucket="shelf 2",
    ),
    Regime.US_FDA,
)

KILN_DOOR: Label = studio_papers.kiln_door(
    Kiln(name="Front kiln", routes=frozenset({"bisque", "low-fire", "mid-range"}), place="kiln room"), _STUDIO
)

CONTAINER: Label = container_label("A1", "")

BADGE: Label = studio_papers.staff_badge(Person(id=1, name="Mira Tann", email="", role=Role.STAFF), _STUDIO)
