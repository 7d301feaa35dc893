"""Writing a file whole or not at all."""

import contextlib
import os
from pathlib import Path
from typing import BinaryIO


def write_whole(path: Path, data: bytes) -> None:
    """Put `data` at exactly `path`: afterwards it holds all of it, or what it held before.

    A temporary file in the same folder is written, forced to the disk and moved over `path`; then
    the folder is forced to the disk, so that the move outlives a power cut. The file is readable
    by its owner alone. Raises OSError when the machine fails; nothing is left behind then.
    """
    path = path.resolve() if path.is_symlink() else path.absolute()
    temporary = path.with_name(f".{path.name[:80]}.{os.urandom(6).hex()}.part")
    try:
        with open_private(temporary) as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise
    sync_folder(path.parent)


def open_private(path: Path) -> BinaryIO:
    """A new file for writing, readable by its owner alone. FileExistsError when it is there."""
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    return os.fdopen(os.open(path, flags, 0o600), "wb")


def sync_folder(folder: Path) -> None:
    """Force the names in `folder` to the disk, where the system knows how."""
    if os.name == "nt":  # folders cannot be opened there; the move itself is written through
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
