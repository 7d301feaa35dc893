"""Writing a file, or a folder of files, whole or not at all."""

import contextlib
import os
import shutil
import time
from collections.abc import Iterator, Mapping
from itertools import count
from pathlib import Path
from typing import BinaryIO

PART = ".homeknee.part"
"""How the hidden name of what is still being written ends; no other program writes such."""
_LEFT_AFTER_S = 3600


def write_whole(path: str | Path, data: bytes) -> str:
    """Put `data` at exactly `path`: afterwards it holds all of it, or what it held before.

    A temporary file in the same folder is written, forced to the disk and moved over `path`; then
    the folder is forced to the disk, so that the move outlives a power cut. The file is readable
    by its owner alone. What a killed program left half written in that folder is taken away.
    Returns the file's name. Raises OSError, naming `path`, when the machine fails; nothing is left
    behind then.
    """
    with _written_whole(Path(path)) as handle:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(handle, rest) :]
    return Path(path).name


@contextlib.contextmanager
def whole_file(path: Path) -> Iterator[BinaryIO]:
    """The same for what is too much to be held at once: a file to write into, which stands at
    `path` once the block ends well."""
    with _written_whole(path) as handle, os.fdopen(handle, "wb", closefd=False) as file:
        yield file


@contextlib.contextmanager
def _written_whole(path: Path) -> Iterator[int]:
    path = path.resolve() if path.is_symlink() else path.absolute()
    temporary = path.with_name(f".{path.name[:80]}.{os.urandom(6).hex()}{PART}")
    sweep_left(path.parent)
    try:
        handle = _new(temporary)
        try:
            yield handle
            os.fsync(handle)
        finally:
            os.close(handle)
        temporary.replace(path)
    except BaseException as fault:
        with contextlib.suppress(OSError):
            temporary.unlink()
        if isinstance(fault, OSError) and fault.errno is not None:
            # Whoever chose `path` knows nothing of the temporary file.
            raise OSError(fault.errno, fault.strerror, str(path)) from fault
        raise
    sync_folder(path.parent)


def write_folder_whole(place: str | Path, name: str, files: Mapping[str, bytes]) -> Path:
    """Put files into a new folder in `place`: it is there with all of them, or not at all.

    It is called `name`, or `name-2` and so on where that is taken: nothing is written over. Returns
    the folder. It and the files are for their owner alone. Raises OSError; nothing is left then.
    """
    place = Path(place)
    sweep_left(place)
    temporary = place / f".{name[:80]}.{os.urandom(6).hex()}{PART}"
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


def sweep_left(folder: Path, *, after_s: float = _LEFT_AFTER_S) -> None:
    """Take away what a killed program of ours left half written in a folder so many seconds ago:
    it may be a whole diary, on a stick that is handed on. Never raises."""
    with contextlib.suppress(OSError):
        for left in folder.glob(f".*{PART}*"):
            if time.time() - left.lstat().st_mtime < after_s:
                continue
            if left.is_dir() and not left.is_symlink():
                shutil.rmtree(left, ignore_errors=True)
            else:
                left.unlink(missing_ok=True)


def private_folder(folder: Path) -> None:
    """Make a folder, and those above it that are missing, for its owner alone; one that is there
    stays as it is. Raises OSError, also where something else than a folder is there."""
    for above in reversed(folder.parents):
        if not above.exists():
            above.mkdir(mode=0o700, exist_ok=True)
    folder.mkdir(mode=0o700, exist_ok=True)


def make_private(path: Path) -> None:
    """A new empty file, readable by its owner alone. FileExistsError when it is there."""
    os.close(_new(path))


def _new(path: Path) -> int:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    return os.open(path, flags, 0o600)


def sync_folder(folder: Path) -> None:
    """Force the names in `folder` to the disk, where the system knows how."""
    if os.name == "nt":  # folders cannot be opened there; the move itself is written through
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
