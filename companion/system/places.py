"""Where diaries were kept on this machine, so that one that is gone is asked about.

A disk that is not plugged in leaves an empty folder behind. Whoever began a new diary in it would
hide the old one when the disk comes back.
"""

import contextlib
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from companion.system.atomic import private_folder
from companion.system.folders import config_folder
from companion.system.settings import SettingsFile


@dataclass(frozen=True, slots=True)
class Kept:
    """What was in a diary when it was last closed: how many entries, and on which day that was."""

    entries: int
    on: date


class Places:
    """What is remembered in the person's own configuration. A folder is told by a hash of its path,
    so that nobody reads there where a diary is kept."""

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder or config_folder()
        self._file = SettingsFile(self._folder, "places.json")

    def kept(self, diary: Path) -> Kept | None:
        """What was in the diary of a folder; None where none was kept there."""
        found = self._file.read().get(_name(diary))
        if not isinstance(found, dict):
            return None
        with contextlib.suppress(KeyError, TypeError, ValueError):
            return Kept(int(found["entries"]), date.fromisoformat(found["on"]))
        return None

    def remember(self, diary: Path, kept: Kept) -> None:
        """Remember the diary of a folder. What cannot be remembered keeps nobody from closing."""
        if self.kept(diary) == kept:
            return  # nothing was written since: the disk is left alone
        self._put({_name(diary): {"entries": kept.entries, "on": kept.on.isoformat()}})

    def forget(self, diary: Path) -> None:
        """Nothing is kept there any longer."""
        self._put({_name(diary): None})

    def _put(self, changed: dict[str, object]) -> None:
        with contextlib.suppress(OSError):
            private_folder(self._folder)
            values = dict(self._file.read()) | changed
            self._file.write({name: value for name, value in values.items() if value is not None})


def _name(diary: Path) -> str:
    import hashlib  # not on the way to the front page of a diary that is there

    return hashlib.sha256(str(diary.absolute()).encode("utf-8", "surrogateescape")).hexdigest()
