"""Where the QR of a tag leads: to the studio's address, at the port where its pages are served."""

from __future__ import annotations

from urllib.parse import urlsplit

_THIS_MACHINE = frozenset({"localhost", "127.0.0.1", "::1"})


def at_port(address: str, port: int) -> str:
    """The studio's `address` with the `port` that its pages are served at; 0 is unknown and changes nothing.

    An https address, or a name without a port, is answered by a proxy in front, so it stays as it is.
    """
    parts = urlsplit(address)
    if not port or parts.scheme != "http" or not (parts.port or parts.hostname in _THIS_MACHINE):
        return address
    host = f"[{parts.hostname}]" if ":" in (parts.hostname or "") else parts.hostname
    return parts._replace(netloc=f"{host}:{port}").geturl()
