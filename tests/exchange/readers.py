"""Readers of one file that do what no file should make a reader do. Called in other processes."""

import os
from pathlib import Path

from companion.exchange.findings_table import FileRows


def fragile(path: Path) -> FileRows:
    """One row with the process it was read in; a file named crash ends that process."""
    if path.name.startswith("crash"):
        os._exit(1)
    return FileRows(({"file": path.name, "process": os.getpid()},))


def all_crash(_: Path) -> FileRows:
    """Ends its process, whatever the file."""
    os._exit(1)
