"""What was set on this machine: a small JSON file in a data folder. Never in the diary."""

import json
from collections.abc import Mapping
from pathlib import Path

from companion.system.atomic import write_whole


class SettingsFile:
    """Values by name. What each may be is known to whoever asks for it."""

    def __init__(self, folder: Path, name: str = "settings.json") -> None:
        self._path = folder / name

    def read(self) -> Mapping[str, object]:
        """All of it; nothing where there is no file or it makes no sense."""
        try:
            found = json.loads(self._path.read_bytes())
        except (OSError, ValueError):
            return {}
        return found if isinstance(found, dict) else {}

    def write(self, values: Mapping[str, object]) -> None:
        """Put these in its place. Raises OSError."""
        write_whole(self._path, (json.dumps(values, ensure_ascii=False, indent=1) + "\n").encode())
