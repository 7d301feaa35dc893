"""Known troubles of the store."""

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
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
    """There was a diary where now is none: on a day, with so many entries, in a folder. Nothing
    was made in its place."""

    def __init__(self, on: date, entries: int, folder: str) -> None:
        super().__init__(coded("diary_gone", on=on, entries=entries, folder=folder))
        self.on, self.entries, self.folder = on, entries, folder


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


UNREADABLE = (sqlite3.Error, UnicodeDecodeError)
"""What the database raises for a file that is damaged: its own word, or one that is no text."""
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
    except UnicodeDecodeError as fault:
        # The database names what is damaged, and the name itself is no text any more.
        raise JournalDamaged(path, coded("parts_do_not_fit")) from fault
    except OSError as fault:
        if fault.errno in (errno.ENOSPC, errno.EDQUOT):
            raise JournalFull(coded("no_room")) from fault
        raise _machine(path, _why(path, fault)) from fault


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


def must_be_writable(store: Path) -> None:
    """Raise JournalUnwritable where nothing can be written: said before the first answer is given,
    not after it."""
    for path in (store.parent, store):
        if path.exists() and not os.access(path, os.W_OK):
            raise _machine(store, coded("only_readable"))


def _why(path: Path, fault: OSError) -> str | Coded:
    if fault.errno in (errno.EEXIST, errno.ENOTDIR) and not path.parent.is_dir():
        return coded("no_folder")
    if fault.errno == errno.EROFS:
        return coded("only_readable")
    if fault.errno in (errno.EACCES, errno.EPERM):
        return coded("not_allowed")
    return (fault.strerror or "").lower()


def _machine(path: Path, why: str | Coded) -> JournalUnwritable:
    return JournalUnwritable(coded("store_unusable", folder=str(path.parent), why=why))
