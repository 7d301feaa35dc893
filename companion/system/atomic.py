"""Writing a file, or a folder of files, whole or not at all."""

import contextlib
import os
import shutil
from collections.abc import Mapping
from itertools import count
from pathlib import Path
from typing import BinaryIO


def write_whole(path: str | Path, data: bytes) -> str:
    """Put `data` at exactly `path`: afterwards it holds all of it, or what it held before.

    A temporary file in the same folder is written, forced to the disk and moved over `path`; then
    the folder is forced to the disk, so that the move outlives a power cut. The file is readable
    by its owner alone. Returns the file's name. Raises OSError, naming `path`, when the machine
    fails; nothing is left behind then.
    """
    path = Path(path)
    name = path.name
    path = path.resolve() if path.is_symlink() else path.absolute()
    temporary = path.with_name(f".{path.name[:80]}.{os.urandom(6).hex()}.part")
    try:
        with open_private(temporary) as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except BaseException as fault:
        with contextlib.suppress(OSError):
            temporary.unlink()
        if isinstance(fault, OSError) and fault.errno is not None:
            # Whoever chose `path` knows nothing of the temporary file.
            raise OSError(fault.errno, fault.strerror, str(path)) from fault
        raise
    sync_folder(path.parent)
    return name


def write_folder_whole(place: str | Path, name: str, files: Mapping[str, bytes]) -> Path:
    """Put files into a new folder in `place`: it is there with all of them, or not at all.

    It is called `name`, or `name-2` and so on where that is taken: nothing is written over. Returns
    the folder. It and the files are for their owner alone. Raises OSError; nothing is left then.
    """
    place = Path(place)
    temporary = place / f".{name[:80]}.{os.urandom(6).hex()}.part"
    try:
        temporary.mkdir(mode=0o700)
        for each, data in files.items():
            write_whole(temporary / each, data)
        for number in count(1):
            folder = place / (name if number == 1 else f"{name}-{number}")
            if folder.exists() or folder.is_symlink():
                continue
            temporary.rename(folder)
            break
    except BaseException:
        shutil.rmtree(temporary, ignore_errors=True)
        raise
    sync_folder(place)
    return folder


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
