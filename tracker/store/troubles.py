"""What a fault of the database or the disk says of them: that the request may come again, or nothing."""

from __future__ import annotations

import errno
import sqlite3

from sqlalchemy.exc import DBAPIError, OperationalError, ProgrammingError
from sqlalchemy.exc import TimeoutError as NoConnectionFree

from tracker.domain.message import Message, _
from tracker.domain.refusals import Trouble, Unavailable

TROUBLES = (Unavailable, NoConnectionFree, DBAPIError, sqlite3.Error, OSError)
"""Whatever may be a trouble of the database or its disk."""

# The last byte of SQLite's codes; what is above it only says more (https://www.sqlite.org/rescode.html).
_OF_SQLITE = {
    sqlite3.SQLITE_BUSY: Trouble.BUSY,
    sqlite3.SQLITE_LOCKED: Trouble.BUSY,
    sqlite3.SQLITE_FULL: Trouble.FULL,
    sqlite3.SQLITE_READONLY: Trouble.READ_ONLY,
    sqlite3.SQLITE_PERM: Trouble.READ_ONLY,
    sqlite3.SQLITE_IOERR: Trouble.GONE,
    sqlite3.SQLITE_CANTOPEN: Trouble.GONE,
    sqlite3.SQLITE_PROTOCOL: Trouble.GONE,
    sqlite3.SQLITE_CORRUPT: Trouble.DAMAGED,
    sqlite3.SQLITE_NOTADB: Trouble.DAMAGED,
}
# SQLSTATEs of PostgreSQL, or the class that they begin with (Appendix A of its manual).
_OF_POSTGRES = {
    "55P03": Trouble.BUSY,  # lock_not_available
    "57014": Trouble.BUSY,  # query_canceled
    "40001": Trouble.BUSY,  # serialization_failure
    "40P01": Trouble.BUSY,  # deadlock_detected
    "53300": Trouble.BUSY,  # too_many_connections
    "53100": Trouble.FULL,  # disk_full
    "25006": Trouble.READ_ONLY,  # read_only_sql_transaction
    "3D000": Trouble.GONE,  # invalid_catalog_name: there is no such database
    "XX001": Trouble.DAMAGED,  # data_corrupted
    "XX002": Trouble.DAMAGED,  # index_corrupted
    "53": Trouble.GONE,  # insufficient resources
    "57": Trouble.GONE,  # operator intervention: it is stopping or starting
    "58": Trouble.GONE,  # an error of its system
    "08": Trouble.GONE,  # the connection
}
_OF_THE_DISK = {
    errno.ENOSPC: Trouble.FULL,
    errno.EDQUOT: Trouble.FULL,
    errno.EFBIG: Trouble.FULL,
    errno.EROFS: Trouble.READ_ONLY,
    errno.EACCES: Trouble.READ_ONLY,
    errno.EPERM: Trouble.READ_ONLY,
    errno.EIO: Trouble.GONE,
}


def unavailable(fault: BaseException) -> Unavailable | None:
    """What is said where this fault of the database or its disk stopped a request; None for any other fault."""
    if isinstance(fault, Unavailable):
        return fault
    trouble = trouble_of(fault)
    return None if trouble is None else Unavailable(trouble)


def trouble_of(fault: BaseException) -> Trouble | None:
    """What is the matter with the database or the disk; None for a fault of another kind."""
    if isinstance(fault, NoConnectionFree):
        return Trouble.BUSY
    if isinstance(fault, DBAPIError):
        said = fault.orig and trouble_of(fault.orig)
        return said or (Trouble.GONE if fault.connection_invalidated else None)
    if isinstance(fault, sqlite3.Error):
        return _OF_SQLITE.get(getattr(fault, "sqlite_errorcode", 0) & 0xFF)
    if isinstance(fault, OSError):
        return _OF_THE_DISK.get(fault.errno or 0)
    is_postgres = type(fault).__module__.partition(".")[0] == "psycopg"
    return _said_by_postgres(fault) if is_postgres else None


def _said_by_postgres(fault: BaseException) -> Trouble | None:
    state = getattr(fault, "sqlstate", None)
    if state is None:  # No server said anything: there was none, or it went away in the middle of a word.
        return Trouble.GONE if type(fault).__name__ == "OperationalError" else None
    return _OF_POSTGRES.get(state) or _OF_POSTGRES.get(state[:2])


def unfit(fault: BaseException) -> Message | None:
    """What is said of a database that isn't as Footring made it, where a fault shows that; None for any other fault."""
    if not isinstance(fault, OperationalError | ProgrammingError):
        return None
    return Message("database-unfit", _("The database can't be used: {fault}."), fault=first_line(fault))


def first_line(fault: BaseException) -> str:
    """What the database or the disk itself says, in one line and without its full stop."""
    says = fault.orig if isinstance(fault, DBAPIError) else fault
    return str(says).strip().partition("\n")[0].removesuffix(".")
