"""Taking a diary off this machine: what is this program's by its name, and nothing else.

A person may keep the diary in a folder that holds other things, and the clinic's files may lie
beside it. Whatever has another name than ours stays.
"""

import contextlib
import os
from pathlib import Path

from companion.journal import backups
from companion.system.atomic import PART

_OURS = (
    f"{backups.STORE}*",
    f".*{PART}*",
    "damaged-*.sqlite3*",
    "journal.lock",
    "settings.json",
    "second-place.json",
    "window.json",
    "log.txt",
    "log.[0-9].txt",
)
_OUR_COPIES = ("daily-*.sqlite3", "weekly-*.sqlite3", "before-v*.sqlite3", f".*{PART}*")


def take_off(folder: Path) -> tuple[str, ...]:
    """Remove what is ours from `folder`, and the folder where nothing else is in it.

    The store must be closed. Gives the names of what stayed: what is not ours, and what the
    machine would not let go. Never raises for a file.
    """
    copies = backups.backup_folder(folder)
    for place, patterns in ((copies, _OUR_COPIES), (folder, _OURS)):
        for pattern in patterns:
            for path in place.glob(pattern):
                # A link goes, never what it leads to.
                if path.is_file() or path.is_symlink():
                    with contextlib.suppress(OSError):
                        path.unlink()
    for place in (copies, folder):
        with contextlib.suppress(OSError):
            place.rmdir()
    if not folder.is_dir():
        return ()
    return tuple(sorted(path.name for path in folder.iterdir()))


def close_to_others(folder: Path) -> None:
    """Let its owner alone look into a folder of a diary that holds nothing else.

    In one that holds other things too, each of our files is for its owner alone all the same.
    """
    if os.name == "nt" or not folder.stat().st_mode & 0o077:
        return
    known = (*_OURS, backups.backup_folder(folder).name)
    if all(any(path.match(name) for name in known) for path in folder.iterdir()):
        with contextlib.suppress(OSError):  # another's folder that we may write in
            folder.chmod(0o700)
