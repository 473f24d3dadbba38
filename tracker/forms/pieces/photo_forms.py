"""The forms about photos: what is said of a new one, and what somebody sees of a piece that nobody can name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tracker.domain.pieces.nameless import Sighting
from tracker.domain.pieces.photos import LONGEST_WORDS
from tracker.domain.pieces.piece import Build, Stage
from tracker.domain.studio.materials import ClayKind
from tracker.forms import fields
from tracker.forms.page_forms import FormSchema, form_of, sent

IN_STUDIO = tuple(stage for stage in Stage if stage not in {Stage.CLAIMED, Stage.LOST})
"""The stages at which a nameless piece can be found standing about."""


@dataclass(frozen=True, slots=True)
class Caption:
    """What somebody says of a photo; may be empty."""

    words: str = sent(fields.line(LONGEST_WORDS))


CaptionForm = form_of(Caption)


class SightingForm(FormSchema[Sighting]):
    """What somebody sees of a nameless piece; whatever they cannot tell is left empty."""

    @staticmethod
    def makes(*, clay: str, **seen: Any) -> Sighting:  # noqa: ANN401 -- each trait has its own type
        """Take the word of a kind of clay for all clays of that kind."""
        kinds = {str(kind): kind for kind in ClayKind}
        if clay in kinds:
            return Sighting(clay_kind=kinds[clay], **seen)
        return Sighting(clay=clay, **seen)

    height_mm = fields.length("height", required=False)
    width_mm = fields.length("width", required=False)
    clay = fields.line()
    glaze = fields.line()
    stage = fields.choice(Stage, IN_STUDIO, required=False)
    build = fields.choice(Build, required=False)
    place = fields.line()
    taken_home = fields.yes_or_no()
