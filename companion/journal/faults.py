"""Known troubles of the store. Each carries the one sentence a person reads."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class JournalFault(Exception):
    """Something the person can be told in one plain sentence."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class JournalBusy(JournalFault):
    """Another window has this diary open."""


class JournalTooNew(JournalFault):
    """The store was written by a newer version. It was left alone."""


class JournalMissing(JournalFault):
    """There is no diary, or no plan in it yet."""


class JournalConflict(JournalFault):
    """What was to be added contradicts what is here. Nothing was added."""


class JournalDamaged(JournalFault):
    """The store cannot be trusted. It was left as it is; `backup` is the newest good copy."""

    def __init__(self, sentence: str, path: Path, backup: Path | None = None) -> None:
        super().__init__(sentence)
        self.path = path
        self.backup = backup


class JournalMachine(JournalFault):
    """The machine failed, not the diary. What was written before is safe."""


class JournalFull(JournalMachine):
    """There is no room on the disk."""


class JournalUnwritable(JournalMachine):
    """The folder or the disk does not let us read or write."""


_NO_ROOM = (
    "There is no room left on the disk. This was not saved; all from before is safe. "
    "Make room, then save again."
)
_DAMAGE = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_FORMAT}


def damaged(path: Path, why: str) -> JournalDamaged:
    """The fault for a store that cannot be trusted, with its newest good copy."""
    from companion.journal.backups import newest_good

    backup = newest_good(path.parent)
    if backup is None:
        sentence = (
            "The diary on this machine is damaged ({why}), and there is no good copy. "
            "Nothing was changed. Ask your clinic for the diary file you gave them."
        )
        return JournalDamaged(sentence.format(why=why), path)
    sentence = (
        "The diary on this machine is damaged ({why}). Nothing was changed. "
        "The newest good copy is {name}."
    )
    return JournalDamaged(sentence.format(why=why, name=backup.name), path, backup)


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn what the database and the machine raise into the fault a person is told."""
    try:
        yield
    except (sqlite3.ProgrammingError, sqlite3.InterfaceError):
        raise  # a bug of ours, not the machine's
    except sqlite3.Error as fault:
        raise fault_of(path, fault) from fault
    except OSError as fault:
        if fault.errno in (errno.ENOSPC, errno.EDQUOT):
            raise JournalFull(_NO_ROOM) from fault
        raise _machine(path, fault.strerror or "unknown trouble") from fault


def fault_of(path: Path, fault: sqlite3.Error) -> JournalFault:
    """The fault a person is told for what the database raised."""
    # The low byte is the primary code; the rest tells which system call failed.
    code = (getattr(fault, "sqlite_errorcode", None) or 0) & 0xFF
    if code == sqlite3.SQLITE_FULL:
        return JournalFull(_NO_ROOM)
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return JournalBusy(
            "Another program is using this diary right now. Close it, then try again."
        )
    if code in _DAMAGE or type(fault) is sqlite3.DatabaseError:
        return damaged(path, "its parts do not fit together")
    if getattr(fault, "sqlite_errorcode", None) == sqlite3.SQLITE_READONLY_ROLLBACK:
        return _machine(path, "its last window did not close; open it in its window once")
    if code == sqlite3.SQLITE_READONLY:
        return _machine(path, "it may only be read")
    return _machine(path, "the disk reports a fault")


def _machine(path: Path, why: str) -> JournalUnwritable:
    sentence = (
        "The diary in {folder} cannot be used: {why}. All from before is safe. "
        "Check the disk and the folder, then try again."
    )
    return JournalUnwritable(sentence.format(folder=path.parent, why=why.lower()))
