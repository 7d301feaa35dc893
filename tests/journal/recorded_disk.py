"""A disk that notes everything written to it, and what of it a power cut may leave.

What is written stays in memory until it is forced to the disk. Killing a program loses nothing of
that; a power cut loses any part of it. Here every write, truncation, new name, move and removal
below a folder is noted, with each fsync that makes them last, and the folder can be laid out again
as it may stand after a cut at any point (`Recording.left`). Each step can be made to fail
instead, as on a disk that is full or broken (`Recorder.fails_at`).

The database's own calls are noted where it makes them: the functions of its default VFS (SQLite,
"The OS Backend (VFS) To SQLite", and sqlite3.h, struct sqlite3_vfs and sqlite3_io_methods; read).
So what runs is the program's own code over the library it always uses. Everything else goes
through the functions of `os`. Nothing is really forced to the disk meanwhile: it costs time, and
what would be lost without it is what is played here.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import os
import random
import sqlite3
import stat
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

SECTOR = 512
"""What a disk writes whole or not at all (bytes)."""

Kind = str
"""create, write, truncate, sync, rename, link, unlink, mkdir, rmdir, sync_folder, said."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing done. `name` is a path below the folder; `to` where it is moved or linked to, or
    what was said; `file` tells files apart whatever they are called."""

    kind: Kind
    name: str = ""
    to: str = ""
    file: int = 0
    at: int = 0
    data: bytes = b""


@dataclass(slots=True)
class _File:
    lasting: bytes = b""
    waiting: list[Step] = field(default_factory=list)


def _applied(content: bytes, step: Step) -> bytes:
    if step.kind == "truncate":
        return content[: step.at].ljust(step.at, b"\0")
    return (
        content[: step.at].ljust(step.at, b"\0") + step.data + content[step.at + len(step.data) :]
    )


@dataclass(slots=True)
class _Disk:
    """Names and files as they last, and what waits to be forced to the disk."""

    names: dict[str, int]
    files: dict[int, _File]
    waiting: list[Step] = field(default_factory=list)

    def take(self, step: Step) -> None:
        match step.kind:
            case "write" | "truncate":
                self.files.setdefault(step.file, _File()).waiting.append(step)
            case "sync":
                file = self.files.setdefault(step.file, _File())
                file.lasting = self.content(step.file, lambda steps: steps)
                file.waiting.clear()
            case "sync_folder":
                # Names are kept in their order, as a journal of a file system keeps them.
                last = max((n for n, w in enumerate(self.waiting) if _in(step.name, w)), default=-1)
                for waiting in self.waiting[: last + 1]:
                    _name(self.names, waiting)
                del self.waiting[: last + 1]
            case "said":
                pass
            case _:
                self.waiting.append(step)

    def content(self, file: int, kept: Callable[[list[Step]], list[Step]]) -> bytes:
        found = self.files.get(file, _File())
        content = found.lasting
        for step in kept(found.waiting):
            content = _applied(content, step)
        return content


FOLDER = 0
"""What a name leads to that is a folder."""


def _in(folder: str, step: Step) -> bool:
    return any(str(Path(name).parent) == folder for name in (step.name, step.to) if name)


def _name(names: dict[str, int], step: Step) -> None:
    match step.kind:
        case "create":
            names[step.name] = step.file
        case "mkdir":
            names[step.name] = FOLDER
        case "link":
            if step.name in names:
                names[step.to] = names[step.name]
        case "unlink" | "rmdir":
            names.pop(step.name, None)
        case "rename":
            below = f"{step.name}/"
            for name in [n for n in names if n == step.name or n.startswith(below)]:
                names[step.to + name[len(step.name) :]] = names.pop(name)


@dataclass(frozen=True, slots=True)
class Left:
    """What may be left of a folder: its folders and files, and what was said before the cut."""

    after: int
    how: str
    folders: tuple[str, ...]
    files: dict[str, bytes]
    said: tuple[str, ...]

    def lay_out(self, place: Path) -> None:
        """Put it into a new folder."""
        place.mkdir()
        for folder in sorted(self.folders):
            (place / folder).mkdir(parents=True, exist_ok=True)
        for name, content in self.files.items():
            path = place / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)


@dataclass(slots=True)
class Recording:
    """The folder as it was before, and all that was done in it."""

    names: dict[str, int]
    contents: dict[int, bytes]
    steps: list[Step] = field(default_factory=list)

    @property
    def said(self) -> tuple[str, ...]:
        """What was said to be saved."""
        return tuple(step.to for step in self.steps if step.kind == "said")

    def left(self, after: int, how: str, chance: random.Random) -> Left:
        """What a cut after so many steps may leave.

        `how` is "all" (everything reached the disk), "none" (only what was forced there), "names"
        (every name, no content that was not forced) or "some" (any part, sectors torn).
        """
        disk = _Disk(dict(self.names), {f: _File(data) for f, data in self.contents.items()})
        for step in self.steps[:after]:
            disk.take(step)
        names = dict(disk.names)
        waiting = disk.waiting if how in ("all", "names") else []
        if how == "some":
            waiting = disk.waiting[: chance.randint(0, len(disk.waiting))]
        for step in waiting:
            _name(names, step)

        def kept(steps: list[Step]) -> list[Step]:
            if how == "some":
                return [part for step in steps for part in _torn(step, chance)]
            return steps if how == "all" else []

        return Left(
            after,
            how,
            tuple(name for name, file in names.items() if file == FOLDER),
            {name: disk.content(file, kept) for name, file in names.items() if file != FOLDER},
            tuple(step.to for step in self.steps[:after] if step.kind == "said"),
        )


HOWS = ("all", "none", "names", "some")


def _torn(step: Step, chance: random.Random) -> Iterator[Step]:
    """A write, whole, or some of its sectors, or nothing."""
    if step.kind != "write" or chance.random() < 0.4:
        if chance.random() < 0.7:
            yield step
        return
    for start in range(0, len(step.data), SECTOR):
        if chance.random() < 0.5:
            part = step.data[start : start + SECTOR]
            yield Step("write", step.name, file=step.file, at=step.at + start, data=part)


# ---------------------------------------------------------------- noting what is done


_OPEN = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p
)
"""The path is handed on as an address: the library keeps it."""
_DELETE = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int)
_CLOSE = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p)
_WRITE = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int, ctypes.c_int64
)
_TRUNCATE = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int64)
_SYNC = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int)


class _Vfs(ctypes.Structure):
    """The head of struct sqlite3_vfs (sqlite3.h)."""

    _fields_ = (
        ("version", ctypes.c_int),
        ("file_size", ctypes.c_int),
        ("longest_path", ctypes.c_int),
        ("next", ctypes.c_void_p),
        ("name", ctypes.c_char_p),
        ("app_data", ctypes.c_void_p),
        ("open", ctypes.c_void_p),
        ("delete", ctypes.c_void_p),
    )


_METHODS = {1: 13, 2: 17, 3: 19}
"""By version, the words of struct sqlite3_io_methods (sqlite3.h)."""
_XCLOSE, _XWRITE, _XTRUNCATE, _XSYNC = 1, 3, 4, 5
_CREATES, _JOURNALS = 0x4, 0x800 | 0x4000
"""SQLITE_OPEN_CREATE, SQLITE_OPEN_MAIN_JOURNAL or SUPER_JOURNAL (sqlite3.h)."""
_OK, _FULL, _CANNOT_OPEN = 0, 13, 14
_FAILS = {"write": 778, "sync": 1034, "truncate": 1546, "unlink": 2570}
"""SQLITE_IOERR_WRITE, _FSYNC, _TRUNCATE, _DELETE (sqlite3.h)."""


_KEPT: list[Any] = []
"""What the library may still call: a connection outlives the recording it was opened in."""


def the_library() -> ctypes.CDLL:
    """The database library this Python uses, the very one."""
    sqlite3.connect(":memory:").close()
    with open("/proc/self/maps", encoding="utf-8") as maps:  # noqa: PTH123 - no file of ours
        found = {line.split()[-1] for line in maps if "/libsqlite3" in line}
    if len(found) != 1:
        raise RuntimeError("this Python does not use a shared library of SQLite")
    return ctypes.CDLL(found.pop())


class Recorder:
    """Notes what is done below `folder` while it is entered (`with`).

    `fails_at` makes the step of that number fail with `fails_with`, an errno; with `for_good` all
    that follow too.
    """

    def __init__(
        self,
        folder: Path,
        *,
        fails_at: int | None = None,
        fails_with: int = errno.ENOSPC,
        for_good: bool = False,
    ) -> None:
        self._folder = folder.resolve()
        self._fails_at, self._fails_with, self._for_good = fails_at, fails_with, for_good
        self._count = 0
        self._handles: dict[int, str] = {}
        self._open: dict[int, tuple[str, bool]] = {}
        self._files: dict[str, int] = {}
        self._real: dict[str, Callable[..., Any]] = {}
        self._undo = contextlib.ExitStack()
        self.failed = False
        names: dict[str, int] = {".": FOLDER}
        contents: dict[int, bytes] = {}
        for path in sorted(self._folder.rglob("*")):
            name = str(path.relative_to(self._folder))
            if path.is_dir():
                names[name] = FOLDER
            else:
                names[name] = self._files[name] = len(contents) + 1
                contents[names[name]] = path.read_bytes()
        self._next = len(contents) + 1
        self.recording = Recording(names, contents)

    def say(self, what: str) -> None:
        """Note that somebody was told so much is saved."""
        self.recording.steps.append(Step("said", to=what))

    def __enter__(self) -> Recorder:
        self._watch_database()
        self._watch_system()
        return self

    def __exit__(self, *_: object) -> None:
        self._undo.close()

    # ------------------------------------------------------------ noting

    def _below(self, path: object, folder: int | None = None) -> str | None:
        text = os.fsdecode(path)  # type: ignore[arg-type]
        if folder is not None:
            text = str(Path(f"/proc/self/fd/{folder}").resolve() / text)
        whole = Path(text)
        try:
            place = whole.parent.resolve() / whole.name
            return str(place.relative_to(self._folder))
        except (ValueError, OSError):
            return None

    def _stops(self) -> bool:
        """Whether the step about to be done fails."""
        self._count += 1
        if self._fails_at is None:
            return False
        stops = self._count == self._fails_at or (self._for_good and self._count > self._fails_at)
        self.failed = self.failed or stops
        return stops

    def _note(self, kind: Kind, name: str, **more: Any) -> None:
        self.recording.steps.append(Step(kind, name, **more))

    def _made(self, name: str) -> None:
        self._files[name] = self._next
        self._next += 1
        self._note("create", name, file=self._files[name])

    def _file(self, name: str) -> int:
        """The file of a name; one that was made unseen is taken as it is, forced to no disk."""
        if name not in self._files:
            content = (self._folder / name).read_bytes()
            self._made(name)
            if content:
                self._note("write", name, file=self._files[name], data=content)
        return self._files[name]

    def _forget(self, name: str) -> None:
        self._files.pop(name, None)

    def _moved(self, name: str, to: str) -> None:
        below = f"{name}/"
        for each in [n for n in self._files if n == name or n.startswith(below)]:
            self._files[to + each[len(name) :]] = self._files.pop(each)

    # ------------------------------------------------------------ the system's calls

    def _watch_system(self) -> None:
        watched: dict[str, Callable[..., Any]] = {
            "open": self._do_open,
            "close": self._do_close,
            "write": self._do_write,
            "fsync": self._do_fsync,
            "replace": self._moves("rename", os.replace),
            "rename": self._moves("rename", os.rename),
            "link": self._moves("link", os.link),
            "unlink": self._at_one("unlink", os.unlink),
            "remove": self._at_one("unlink", os.remove),
            "mkdir": self._at_one("mkdir", os.mkdir),
            "rmdir": self._at_one("rmdir", os.rmdir),
        }
        for name, call in watched.items():
            self._real[name] = getattr(os, name)
            setattr(os, name, call)
            self._undo.callback(setattr, os, name, self._real[name])

    def _refused(self, path: object) -> OSError:
        return OSError(self._fails_with, os.strerror(self._fails_with), str(path))

    def _do_open(
        self, path: Any, flags: int, mode: int = 0o777, *, dir_fd: int | None = None
    ) -> int:
        name = self._below(path, dir_fd)
        makes = name is not None and flags & os.O_CREAT and not os.path.lexists(path)
        if makes and self._stops():
            raise self._refused(path)
        handle: int = self._real["open"](path, flags, mode, dir_fd=dir_fd)
        if name is not None:
            self._handles[handle] = name
            if makes:
                self._made(name)
        return handle

    def _do_close(self, handle: int) -> None:
        self._handles.pop(handle, None)
        self._real["close"](handle)

    def _do_write(self, handle: int, data: Any) -> int:
        name = self._handles.get(handle)
        if name is None:
            return int(self._real["write"](handle, data))
        taken = bytes(data)
        if self._stops():
            # A full disk takes what it can.
            taken = taken[: len(taken) // 2] if self._fails_with == errno.ENOSPC else b""
            if not taken:
                raise self._refused(name)
        at = os.lseek(handle, 0, os.SEEK_CUR)
        count = int(self._real["write"](handle, taken))
        self._note("write", name, file=self._file(name), at=at, data=taken[:count])
        return count

    def _do_fsync(self, handle: int) -> None:
        name = self._handles.get(handle)
        if name is None:
            return
        if self._stops():
            raise self._refused(name)
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            self._note("sync_folder", name)
        else:
            self._note("sync", name, file=self._file(name))

    def _moves(self, kind: str, act: Callable[..., None]) -> Callable[..., None]:
        def do(source: Any, target: Any, **named: Any) -> None:
            name, to = self._below(source), self._below(target)
            if name is None or to is None:
                act(source, target, **named)
                return
            if self._stops():
                raise self._refused(source)
            if not (self._folder / name).is_dir():
                self._file(name)
            act(source, target, **named)
            self._note(kind, name, to=to)
            if kind == "link":
                self._files[to] = self._files[name]
            else:
                self._moved(name, to)

        return do

    def _at_one(self, kind: str, act: Callable[..., None]) -> Callable[..., None]:
        def do(path: Any, *given: Any, dir_fd: int | None = None) -> None:
            name = self._below(path, dir_fd)
            if name is not None and self._stops():
                raise self._refused(path)
            act(path, *given, dir_fd=dir_fd)
            if name is not None:
                self._note(kind, name)
                self._forget(name)

        return do

    # ------------------------------------------------------------ the database's calls

    def _watch_database(self) -> None:
        library = the_library()
        library.sqlite3_vfs_find.restype = ctypes.POINTER(_Vfs)
        vfs = library.sqlite3_vfs_find(None).contents
        real_open, real_delete = _OPEN(vfs.open), _DELETE(vfs.delete)
        made: dict[int, Any] = {}

        def do_open(this: int, path: int | None, file: int, flags: int, told: int) -> int:
            name = None if path is None else self._below(ctypes.string_at(path))
            makes = name is not None and flags & _CREATES and not (self._folder / name).exists()
            if makes and self._stops():
                return _CANNOT_OPEN
            done: int = real_open(this, path, file, flags, told)
            if done != _OK or name is None:
                return done
            if makes:
                self._made(name)
            self._open[file] = (name, bool(makes and flags & _JOURNALS))
            head = ctypes.cast(file, ctypes.POINTER(ctypes.c_void_p))
            methods = head[0]
            assert methods is not None
            if methods not in made:
                made[methods] = self._methods(methods)
            head[0] = ctypes.addressof(made[methods])
            return done

        def do_delete(this: int, path: int, sync: int) -> int:
            name = self._below(ctypes.string_at(path))
            if name is None or not (self._folder / name).exists():
                return int(real_delete(this, path, sync))
            if self._stops():
                return _FAILS["unlink"]
            done: int = real_delete(this, path, sync)
            if done == _OK:
                self._note("unlink", name)
                self._forget(name)
                if sync:
                    self._note("sync_folder", str(Path(name).parent))
            return done

        opening, deleting = _OPEN(do_open), _DELETE(do_delete)
        _KEPT.extend((opening, deleting, made, real_open, real_delete))
        before = vfs.open, vfs.delete
        vfs.open = ctypes.cast(opening, ctypes.c_void_p).value
        vfs.delete = ctypes.cast(deleting, ctypes.c_void_p).value

        def back() -> None:
            vfs.open, vfs.delete = before

        self._undo.callback(back)

    def _methods(self, address: int) -> Any:
        """A table of the file's functions in which those that write are ours."""
        version = ctypes.cast(address, ctypes.POINTER(ctypes.c_int))[0]
        words = _METHODS[version]
        table = (ctypes.c_void_p * words)()
        ctypes.memmove(table, address, words * ctypes.sizeof(ctypes.c_void_p))
        real_close, real_write = _CLOSE(table[_XCLOSE] or 0), _WRITE(table[_XWRITE] or 0)
        real_truncate = _TRUNCATE(table[_XTRUNCATE] or 0)

        def refused(kind: str) -> int:
            return _FULL if self._fails_with == errno.ENOSPC and kind == "write" else _FAILS[kind]

        def do_close(file: int) -> int:
            self._open.pop(file, None)
            done: int = real_close(file)
            return done

        def do_write(file: int, data: int, size: int, at: int) -> int:
            name, _ = self._open[file]
            stops = self._stops()
            # A write that fails may have done half of it.
            taken = ctypes.string_at(data, size // 2 if stops else size)
            number = self._file(name)
            done: int = real_write(file, data, len(taken), at) if taken else _OK
            self._note("write", name, file=number, at=at, data=taken)
            return refused("write") if stops else done

        def do_truncate(file: int, size: int) -> int:
            name, _ = self._open[file]
            if self._stops():
                return refused("truncate")
            number = self._file(name)
            done: int = real_truncate(file, size)
            self._note("truncate", name, file=number, at=size)
            return done

        def do_sync(file: int, _flags: int) -> int:
            name, with_folder = self._open[file]
            if self._stops():
                return refused("sync")
            self._note("sync", name, file=self._file(name))
            if with_folder:  # as the library does for a rollback file it has just made
                self._note("sync_folder", str(Path(name).parent))
                self._open[file] = (name, False)
            return _OK

        ours = (_CLOSE(do_close), _WRITE(do_write), _TRUNCATE(do_truncate), _SYNC(do_sync))
        for place, call in zip((_XCLOSE, _XWRITE, _XTRUNCATE, _XSYNC), ours, strict=True):
            table[place] = ctypes.cast(call, ctypes.c_void_p).value
        _KEPT.extend((table, *ours, real_close, real_write, real_truncate))
        return table


ON_LINUX = sys.platform.startswith("linux")
