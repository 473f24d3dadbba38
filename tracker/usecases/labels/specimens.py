"""One paper of each kind as a studio usually prints it; a stock that cannot hold the usual one is not offered."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import lru_cache
from operator import itemgetter

from printing.labels.home_papers import CareCard, SlipLine, care_card, pickup_slips
from printing.labels.label_parts import Label
from printing.labels.notices import NoticeLine, notices
from printing.labels.pickup_lists import ListedPiece, pickup_lists
from printing.labels.stock import CARD_PAPERS, LIST_PAPERS
from tracker.domain.cones import Cone
from tracker.domain.labels.badge_bars import draw_card
from tracker.domain.labels.trial_bars import TrialBar
from tracker.domain.message import Message, _
from tracker.domain.pieces.news import reminder
from tracker.domain.pieces.piece import Stage
from tracker.domain.rules.food_standing import FoodWord
from tracker.domain.studio.catalog import Catalog, Studio
from tracker.domain.studio.food_warning import warning_words
from tracker.domain.studio.kilns import COMMON_ROUTES, Kiln
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.materials import Family, FoodStanding, Glaze, HowOn
from tracker.domain.studio.people import Person, Role
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.usecases.labels import studio_labels as studio_papers
from tracker.usecases.labels.command_bars import Command, Does
from tracker.usecases.labels.home_papers import (
    CARD_CAUTION,
    FIRST,
    base_mark,
    beside,
    care_words,
    day_and_studio,
    slip_of,
    sticker,
)
from tracker.usecases.labels.notices import NOTICE_LATE, notice_of
from tracker.usecases.labels.pickup_day import list_of, on_shelf
from tracker.wording.reader import Reader
from tracker.wording.render import say

_CODE = "K7R43"
_PIECE = Message("usual-piece", _("lidded jar"))
_MADE_OF = Message("usual-materials", _("white porcelain; clear over blue slip"))
_DAY = datetime(2026, 3, 3, tzinfo=UTC)
_CATALOG = Catalog(clays={}, glazes={}, routes=COMMON_ROUTES, kilns={})
_GLAZE = Glaze(
    name="Autumn slate",
    family=Family.MID_RANGE,
    cone_low=Cone.parse("5"),
    cone_high=Cone.parse("6"),
    food=FoodStanding.DECORATIVE,
    metals=frozenset({"copper", "manganese"}),
    goes_on=frozenset({HowOn.DIP, HowOn.BRUSH}),
    bucket="shelf 2",
)
_KILN = Kiln(name="Yard kiln", routes=frozenset({"raku", "horsehair"}), outdoor=True, place="behind the shed")
_COMMAND = Command(Does.FINISH, "", Message("usual-command", _("Mark rest good and unload")), _PIECE)
_SOMEBODY = Person(id=1, name="Mira Tann", email="", role=Role.STAFF)
_MAKER = Person(id=1, name="Mira Tann", email="", role=Role.STUDENT, section="Tuesday")


def _studio(reader: Reader) -> Studio:
    name = say(Message("usual-studio", _("Our studio")), reader)
    return Studio(name=name, timezone="UTC", address="", catalog=_CATALOG)


@lru_cache(maxsize=16)
def a_care_card(regime: Regime, reader: Reader) -> Label:
    """A decorative jar's card, with the words of that regime."""
    return care_card(
        CareCard(
            first=say(warning_words(regime), reader),
            is_warning=True,
            says="",
            code=_CODE,
            whose=beside([say(_PIECE, reader), _SOMEBODY.short_name], reader),
            made_of=say(_MADE_OF, reader),
            said=care_words(reader),
            base=say(base_mark(_CODE, regime), reader),
            caution=say(CARD_CAUTION, reader),
            studio=_studio(reader).name,
        )
    )


@lru_cache(maxsize=16)
def a_sticker(regime: Regime, reader: Reader) -> Label:
    """A decorative jar's stick-on, with the words of that regime."""
    return sticker(FoodWord.DECORATIVE, beside([_CODE, _studio(reader).name], reader), regime, reader)


@lru_cache(maxsize=16)
def a_pickup_slip(reader: Reader) -> Label:
    """The slip of a maker who takes one decorative jar."""
    line = SlipLine(code=_CODE, what=say(_PIECE, reader), warning=say(FIRST[FoodWord.DECORATIVE], reader))
    return pickup_slips(slip_of(_SOMEBODY.name, (line,), _studio(reader), reader, at=_DAY), CARD_PAPERS[0])[0]


@lru_cache(maxsize=16)
def a_notice(reader: Reader) -> Label:
    """The notice of a maker whose jar waits for its glaze."""
    words = say(reminder(Stage.BISQUED, say(_PIECE, reader), _CODE, _DAY.date()), reader)
    line = NoticeLine(heading=say(NOTICE_LATE, reader), text=words)
    when = day_and_studio(_DAY, _studio(reader), reader)
    return notices(notice_of(_SOMEBODY.name, (line,), when, reader), CARD_PAPERS[0])[0]


@lru_cache(maxsize=16)
def a_pickup_list(reader: Reader) -> Label:
    """The list of a pickup day with one decorative jar."""
    what = on_shelf(say(_PIECE, reader), "rack 3", reader)
    line = SlipLine(code=_CODE, what=what, warning=say(FIRST[FoodWord.DECORATIVE], reader))
    listed = (ListedPiece(maker=_SOMEBODY.name, line=line),)
    return pickup_lists(list_of(listed, _studio(reader), reader, at=_DAY), LIST_PAPERS[0])[0]


@lru_cache(maxsize=16)
def a_shelf_label(reader: Reader) -> Label:
    """A ware shelf's label."""
    return studio_papers.shelf("rack 3", reader)


@lru_cache(maxsize=16)
def a_bucket_label(reader: Reader) -> Label:
    """The label of a decorative glaze with two metals."""
    return studio_papers.bucket(_GLAZE, COMMON_PRACTICE, reader)


@lru_cache(maxsize=16)
def a_kiln_card(reader: Reader) -> Label:
    """The card of an outdoor kiln, which has the most cautions."""
    return studio_papers.kiln_door(_KILN, _studio(reader), reader)


@lru_cache(maxsize=16)
def a_container_label(reader: Reader) -> Label:
    """A container's number."""
    return studio_papers.container("A1", reader)


@lru_cache(maxsize=16)
def a_command(reader: Reader) -> Label:
    """A bar that does what a button does, with one of the longer titles."""
    return studio_papers.command(_COMMAND, reader)


@lru_cache(maxsize=16)
def a_trial_bar(reader: Reader) -> Label:
    """The longest bar by which a scanner is tried out."""
    return studio_papers.trial_bar(max(TrialBar, key=lambda one: len(one.text)), reader)


@lru_cache(maxsize=16)
def a_maker_card(reader: Reader) -> Label:
    """A maker's card."""
    return studio_papers.maker_card(_MAKER, draw_card(itemgetter(0)), _studio(reader), reader)


@lru_cache(maxsize=16)
def a_badge(reader: Reader) -> Label:
    """A badge of the staff."""
    return studio_papers.staff_badge(_SOMEBODY, _studio(reader), reader)
