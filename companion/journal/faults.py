"""Known troubles of the store."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from companion.care.coded import Coded, KnownFault, coded


class JournalFault(KnownFault):
    """Something the person can be told."""


class JournalBusy(JournalFault):
    """Another window has this diary open."""


class JournalTooNew(JournalFault):
    """The store was written by a newer version. It was left alone."""


class JournalMissing(JournalFault):
    """There is no diary, or no plan in it yet."""


class JournalGone(JournalFault):
    """There was a diary where now is none. Nothing was made in its place."""


class JournalConflict(JournalFault):
    """What was to be added contradicts what is here. Nothing was added."""


class JournalDamaged(JournalFault):
    """The store at `path` cannot be trusted. It was left as it is.

    Whoever tells the person looks for the newest good copy (`backups.damage_told`).
    """

    def __init__(self, path: Path, why: Coded) -> None:
        super().__init__(coded("store_damaged", why=why))
        self.path = path
        self.why = why


class JournalMachine(JournalFault):
    """The machine failed, not the diary. What was written before is safe."""


class JournalFull(JournalMachine):
    """There is no room on the disk."""


class JournalUnwritable(JournalMachine):
    """The folder or the disk does not let us read or write."""


_DAMAGE = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_FORMAT}


@contextmanager
def translated_errors(path: Path) -> Iterator[None]:
    """Turn what the database and the machine raise into the fault a person is told."""
    try:
        yield
    except (sqlite3.ProgrammingError, sqlite3.InterfaceError):
        raise  # a bug of ours, not the machine's
    except sqlite3.Error as fault:
        raise fault_of(path, fault) from fault
    except OSError as fault:
        if fault.errno in (errno.ENOSPC, errno.EDQUOT):
            raise JournalFull(coded("no_room")) from fault
        raise _machine(path, (fault.strerror or "").lower()) from fault


def fault_of(path: Path, fault: sqlite3.Error) -> JournalFault:
    """The fault a person is told for what the database raised."""
    # The low byte is the primary code; the rest tells which system call failed.
    code = (getattr(fault, "sqlite_errorcode", None) or 0) & 0xFF
    if code == 0 and isinstance(fault, sqlite3.OperationalError):
        # The binding's own word for bytes in a row that are no text: no disk has failed.
        return JournalDamaged(path, coded("parts_do_not_fit"))
    if code == sqlite3.SQLITE_FULL:
        return JournalFull(coded("no_room"))
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return JournalBusy(coded("store_in_use"))
    if code in _DAMAGE or type(fault) is sqlite3.DatabaseError:
        return JournalDamaged(path, coded("parts_do_not_fit"))
    if getattr(fault, "sqlite_errorcode", None) == sqlite3.SQLITE_READONLY_ROLLBACK:
        return _machine(path, coded("window_did_not_close"))
    if code == sqlite3.SQLITE_READONLY:
        return _machine(path, coded("only_readable"))
    return _machine(path, coded("disk_fault"))


def _machine(path: Path, why: str | Coded) -> JournalUnwritable:
    return JournalUnwritable(coded("store_unusable", folder=str(path.parent), why=why))
