"""The labels of the studio's own things in words: shelves, buckets, kiln doors, badges and containers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printing.labels.studio_labels import Bucket, KilnDoor, badge, bucket_label, kiln_card, shelf_label
from tracker.domain.findings import listed
from tracker.domain.labels.studio_bars import Sort, bar_text
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.materials import Coat
from tracker.usecases.labels.wall_chart import food_in_words, never
from tracker.usecases.studio import cautions
from tracker.wording.render import read

if TYPE_CHECKING:
    from collections.abc import Sequence

    from printing.labels.label_parts import Label
    from tracker.domain.studio.catalog import Studio
    from tracker.domain.studio.kilns import Kiln, Route
    from tracker.domain.studio.leach_limits import Regime
    from tracker.domain.studio.materials import Glaze
    from tracker.domain.studio.people import Person

DUST = "The dust is not for breathing: clean up wet, and keep the lid on. Wash your hands before you eat."
HOW_A_SHELF_IS_SCANNED = "Scan me, then every piece that stands here."


def shelf(name: str) -> Label:
    """The label of a shelf or a ware board."""
    return shelf_label(name, bar_text(Sort.SHELF, name), HOW_A_SHELF_IS_SCANNED)


def bucket(glaze: Glaze, regime: Regime) -> Label:
    """The label of a glaze's bucket; what its dust holds is named, and nothing is promised of food."""
    coat = str(glaze.family) if glaze.coat is Coat.GLAZE else f"{glaze.family} {glaze.coat}"
    if glaze.burns_away:
        return bucket_label(
            Bucket(
                name=glaze.name,
                family="wax",
                matures="burns away in any fire",
                goes_on=", ".join(sorted(glaze.goes_on)),
                food="nothing of it stays",
                stands=glaze.bucket,
                bar=bar_text(Sort.BUCKET, glaze.name),
            )
        )
    return bucket_label(
        Bucket(
            name=glaze.name,
            family=coat,
            matures=read(glaze.cones),
            goes_on=", ".join(sorted(glaze.goes_on)),
            food=food_in_words(glaze, regime),
            never=tuple(_with_a_capital(one) for one in never(glaze, regime)),
            metals=listed(sorted(glaze.metals)) if glaze.metals else "",
            stands=glaze.bucket,
            dust=DUST,
            bar=bar_text(Sort.BUCKET, glaze.name),
        )
    )


def _with_a_capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def kiln_door(kiln: Kiln, studio: Studio) -> Label:
    """The card for a kiln's door: what it fires, what must never go in, and the cautions of every firing."""
    routes = [route for route in studio.catalogue.routes_by_heat if kiln.serves(route) and not route.retired]
    outdoors = (cautions.OUTDOORS_FIRST, cautions.OUTDOORS)
    return kiln_card(
        KilnDoor(
            name=kiln.name,
            place=kiln.place,
            fires=tuple(f"{route.title}: {route.cone.label}" for route in routes),
            never=tuple(_never_in(kiln, routes)),
            cautions=outdoors if kiln.outdoor else (cautions.OUTDOORS_FIRST, cautions.FUMES),
            studio=studio.name,
        )
    )


def _never_in(kiln: Kiln, routes: Sequence[Route]) -> list[str]:
    """What the rules refuse in this kiln whatever the piece, each as a sentence."""
    kinds = {route.kind for route in routes}
    said = ["Clay or glaze made for less heat than the firing: it slumps, or melts onto the shelf."]
    if kiln.outdoor:
        said.append("Ware for food or drink: the clay stays porous, and metals can leach.")
    else:
        said.append("Glazes made for the outdoor kiln.")
    if RouteKind.BISQUE in kinds:
        said.append("Greenware that is not bone dry, or hollow with no vent: it bursts.")
    if RouteKind.SHELF in kinds:
        said.append("A glazed foot, or one neither waxed nor wiped, without a stilt: it sticks.")
    if RouteKind.HORSEHAIR in kinds:
        said.append("Glazed ware on a horsehair firing.")
    return said


def staff_badge(person: Person, studio: Studio) -> Label:
    """A badge with name and role; its bars say the name, hold nothing secret and sign nobody in."""
    return badge(person.name, str(person.role), studio.name, bar_text(Sort.BADGE, person.name))
