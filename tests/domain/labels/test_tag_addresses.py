"""A tag's QR leads to the port where the pages are served, unless a proxy answers for them."""

from __future__ import annotations

import pytest

from tracker.domain.labels.tag_addresses import at_port


@pytest.mark.parametrize(
    ("address", "port", "leads_to"),
    [
        ("http://127.0.0.1:8000", 8080, "http://127.0.0.1:8080"),
        ("http://localhost", 8080, "http://localhost:8080"),
        ("http://[::1]:8000/pots", 8080, "http://[::1]:8080/pots"),
        ("http://kilns.local:8000/pots", 8080, "http://kilns.local:8080/pots"),
        ("http://kilns.local", 8080, "http://kilns.local"),
        ("https://kilns.example:8443", 8080, "https://kilns.example:8443"),
        ("http://127.0.0.1:8000", 0, "http://127.0.0.1:8000"),
    ],
    ids=["this machine", "its name", "its IPv6", "a port of its own", "a proxy", "over https", "unknown"],
)
def test_the_address_carries_the_port_in_use(address: str, port: int, leads_to: str) -> None:
    assert at_port(address, port) == leads_to
