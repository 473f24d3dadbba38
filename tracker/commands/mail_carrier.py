"""Mail handed to the server that is set, by SMTP; which fault of a library is whose."""

from __future__ import annotations

import smtplib
import ssl
from contextlib import ExitStack, suppress
from typing import TYPE_CHECKING

from tracker.usecases.studio.mailing import Undelivered

if TYPE_CHECKING:
    from email.message import EmailMessage

    from tracker.settings import MailServer

# A dozen answers are waited for at most, which is far less than a worker has a mail for itself.
_SECONDS = 20
_PERMANENT = 500


class MailCarrier:
    """A connection to the mail server, made when the first mail goes out and kept until `close`."""

    def __init__(self, server: MailServer) -> None:
        """Connect to nobody yet."""
        self._server = server
        self._open: smtplib.SMTP | None = None

    def __call__(self, message: EmailMessage) -> None:
        """Hand over a mail; returns once the server has accepted it, else raises `Undelivered`."""
        try:
            if self._open is None:
                self._open = self._connected()
            self._open.send_message(message)
        except smtplib.SMTPRecipientsRefused as fault:
            ((code, _says),) = fault.recipients.values()
            raise Undelivered(f"recipient refused, {code}", is_final=code >= _PERMANENT) from None
        except smtplib.SMTPNotSupportedError:
            raise Undelivered("the server can't take such an address", is_final=True) from None
        except smtplib.SMTPDataError as fault:
            raise Undelivered(f"mail refused, {fault.smtp_code}") from None
        except smtplib.SMTPResponseException as fault:
            self.close()
            raise Undelivered(f"{type(fault).__name__}, {fault.smtp_code}", is_servers=True) from None
        except (OSError, smtplib.SMTPException) as fault:
            # Most of it the network's, whose words may hold names: its kind is enough.
            self.close()
            raise Undelivered(type(fault).__name__, is_servers=True) from None

    def _connected(self) -> smtplib.SMTP:
        where, secure = self._server, ssl.create_default_context()
        if where.scheme == "smtps":
            link: smtplib.SMTP = smtplib.SMTP_SSL(where.host, where.port, timeout=_SECONDS, context=secure)
        else:
            link = smtplib.SMTP(where.host, where.port, timeout=_SECONDS)
        with ExitStack() as unless_open:
            unless_open.callback(link.close)
            if where.scheme == "smtp+starttls":
                link.starttls(context=secure)
            if where.user:
                link.login(where.user, where.password)
            unless_open.pop_all()
        return link

    def close(self) -> None:
        """Say goodbye, if the server still listens."""
        if self._open is not None:
            gone, self._open = self._open, None
            with suppress(OSError, smtplib.SMTPException):
                gone.quit()
            gone.close()
