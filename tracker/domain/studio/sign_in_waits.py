"""How long somebody waits who keeps guessing at a password: nothing at first, then longer with each try."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv6Address, ip_address

REMEMBERED = timedelta(days=1)
"""How long a try that failed counts."""

_SHORTEST = timedelta(seconds=15)
_LONGEST = timedelta(minutes=15)
_FREE = 5
_ADDRESS_REMEMBERED = timedelta(minutes=15)
_FREE_FROM_ONE_ADDRESS = 40
_LONGEST_FOR_AN_ADDRESS = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Tries:
    """How many tries failed, and when the last of them was; None for no try."""

    count: int
    last: datetime | None


@dataclass(frozen=True, slots=True)
class Device:
    """A browser as its cookie tells of it: its name, and the numbers of the people who signed in on it."""

    name: str = ""
    people: tuple[int, ...] = ()


def wait_for_account(tries: Tries, at: datetime) -> timedelta:
    """How long to wait with an account at one place: nothing for five tries, then 15 s, twice that with each more."""
    return _left(tries, at, free=_FREE, longest=_LONGEST)


def wait_at_address(tries: Tries, at: datetime) -> timedelta:
    """How long to wait at an address that tried whatever accounts: never long, for a class shares an address."""
    return _left(tries, at, free=_FREE_FROM_ONE_ADDRESS, longest=_LONGEST_FOR_AN_ADDRESS)


def address_tries_since(at: datetime) -> datetime:
    """Since when the tries from one address count together."""
    return at - _ADDRESS_REMEMBERED


def _left(tries: Tries, at: datetime, *, free: int, longest: timedelta) -> timedelta:
    if tries.last is None or tries.count < free:
        return timedelta(0)
    # Beyond so many doublings it is longer than the longest in any case.
    wait = min(_SHORTEST * (1 << min(tries.count - free, 10)), longest)
    return max(timedelta(0), tries.last + wait - at)


def place_of(address: str) -> str:
    """The address that tries are counted for: with IPv6 the network of 64 bits, of which one visitor has them all."""
    try:
        read = ip_address(address)
    except ValueError:
        return address[:64]
    if isinstance(read, IPv6Address):
        return str(read.ipv4_mapped or IPv6Address(int(read) >> 64 << 64))
    return str(read)
