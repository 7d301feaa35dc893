"""One window for one diary. The system holds the lock and lets go when the process dies."""

import os
import sys
from pathlib import Path

from companion.care.coded import coded
from companion.journal.faults import JournalBusy


class InstanceLock:
    """The lock on `journal.lock` of a folder, held until `release` or the end of the process.

    The file stays: only the lock on it counts, so that a killed window never locks anyone out.
    Raises JournalBusy when another window holds it, OSError when the machine fails.
    """

    def __init__(self, folder: Path) -> None:
        path = folder / "journal.lock"
        self._handle: int | None = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            _take(self._handle)
        except (BlockingIOError, PermissionError) as held:
            self.release()
            raise JournalBusy(coded("diary_open_elsewhere")) from held
        except BaseException:
            self.release()
            raise

    def release(self) -> None:
        """Let go. A second call does nothing."""
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None


if sys.platform == "win32":
    import msvcrt

    def _take(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _take(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
