"""Whose word about the visitor is taken: that of as many proxies as the settings name, under any server."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from werkzeug.middleware.proxy_fix import ProxyFix

if TYPE_CHECKING:
    from collections.abc import Iterable

    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

_SAY_HTTPS = ("HTTP_X_FORWARDED_PROTO", "HTTP_X_FORWARDED_PROTOCOL", "HTTP_X_FORWARDED_SSL")


def behind(proxies: int, pages: WSGIApplication) -> WSGIApplication:
    """The pages, with address, scheme and host as `proxies` trusted proxies say, or as the connection itself does."""
    if proxies:
        return ProxyFix(pages, x_for=proxies, x_proto=proxies, x_host=proxies)
    return _BehindNone(pages)


class _BehindNone:
    """The pages where nobody is trusted: a server may have believed a visitor's header already, as gunicorn does."""

    def __init__(self, pages: WSGIApplication) -> None:
        """Wrap the pages."""
        self._pages = pages

    def __call__(self, environ: WSGIEnvironment, answer: StartResponse) -> Iterable[Any]:
        """Answer as over http, whatever a header says."""
        if any(name in environ for name in _SAY_HTTPS):
            environ = {**environ, "wsgi.url_scheme": "http"}
        return self._pages(environ, answer)
