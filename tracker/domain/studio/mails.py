"""Mail to the people of the studio: its kinds, how long a link works, and when a mail is tried again."""

from __future__ import annotations

from datetime import datetime, timedelta, tzinfo
from enum import StrEnum


class MailKind(StrEnum):
    """What a mail is for."""

    SIGN_UP = "sign-up"
    PASSWORD = "password"  # noqa: S105 -- the name of a kind, not a secret
    NEWS = "news"


class NewsWish(StrEnum):
    """How often somebody wants mail about their pieces."""

    DAILY = "daily"
    SOON = "soon"
    NEVER = "never"


LINK_LASTS = {MailKind.PASSWORD: timedelta(minutes=30), MailKind.SIGN_UP: timedelta(days=14)}
"""How long the link in a mail works, from when it is sent. Whoever joins may read it on the first day of class."""

LEASE = timedelta(minutes=15)
"""How long a worker has a mail for itself. Sending gives up well before, so that no two send the same."""

GIVES_UP_AFTER = timedelta(days=5)
"""How long a mail is tried: as long as a mail server tries at least (RFC 5321, 4.5.4.1)."""

PASSWORD_LINKS_APART = timedelta(minutes=5)
PASSWORD_LINKS_A_DAY = 6
"""So many links somebody is sent whom others ask them for."""

DAILY_AT = 18
"""The hour of the day, by the studio's clocks, at which the daily mail goes out: after most unloading."""

SOON = timedelta(minutes=15)
"""What happens within so long comes in one mail: a kiln is unloaded piece by piece."""

_FIRST_WAIT = timedelta(minutes=1)
_LONGEST_WAIT = timedelta(hours=6)
_DOUBLINGS = 10


def wait_before(tries: int) -> timedelta:
    """How long to wait after so many tries that failed: a minute, then twice that with each more, 6 hours at most."""
    return min(_FIRST_WAIT * (1 << min(max(tries, 1) - 1, _DOUBLINGS)), _LONGEST_WAIT)


def news_due(wish: NewsWish, at: datetime, zone: tzinfo) -> datetime:
    """When mail about what happened at that moment goes out."""
    if wish is NewsWish.SOON:
        return at + SOON
    here = at.astimezone(zone)
    today = here.replace(hour=DAILY_AT, minute=0, second=0, microsecond=0)
    return (today if today > here else today + timedelta(days=1)).astimezone(at.tzinfo)
