"""The clays to pick from where a piece says what it is made of, as a select shows them."""

from __future__ import annotations

from collections.abc import Iterable

from tracker.domain.message import Message, _
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.materials import Clay, ClayKind
from tracker.web.wording import said


def clays_to_pick(catalog: Catalog, own: Iterable[str]) -> list[tuple[str, list[tuple[str, str]]]]:
    """The clays in use, by group; first those named in `own`, that this person used last, the last one at the top."""
    in_use = sorted((clay for clay in catalog.clays.values() if not clay.retired), key=_as_listed)
    names = dict.fromkeys(own)
    first = [clay for name in names for clay in in_use if clay.name == name]
    rest = [clay for clay in in_use if clay.name not in names]
    groups = ((_OWN_CLAYS, first), (_OTHER_CLAYS if first else _CLAYS, rest))
    return [(said(title), [(clay.name, said(_offered(clay))) for clay in some]) for title, some in groups if some]


_OWN_CLAYS = Message("your-clays", _("Your last clays"))
_OTHER_CLAYS = Message("other-clays", _("Other clays"))
_CLAYS = Message("clays", _("Clays"))


def _as_listed(clay: Clay) -> tuple[bool, str, str]:
    """Clays of one kind together; last what stands for a clay that its maker can't name."""
    return clay.kind is ClayKind.UNKNOWN, clay.kind, clay.name


def _offered(clay: Clay) -> Message:
    """A clay in as few words as a phone shows of a select: its name alone."""
    if clay.kind is ClayKind.UNKNOWN:
        return Message("clay-not-known", _("I don't know it"))
    return Message("clay-offered", "{clay}", clay=clay.name)
