"""The clinic's folder of diary files: each kept whole, known by its content.

A kept file was read strictly before it was kept, and its name and row hold the SHA-256 of all its
bytes. So it is read again the quick way, once its bytes are found to be those.
"""

import contextlib
import hashlib
import json
import re
import stat
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TypedDict

from companion.care.coded import KnownFault, coded
from companion.care.json_values import JsonObject
from companion.care.records import Diary
from companion.exchange.files import (
    MOST_BYTES,
    VERSIONS,
    Reading,
    diary_bytes,
    read,
    read_bytes,
    shown_name,
)
from companion.system.atomic import write_whole
from companion.wire.plain import PlainFault, decode_entry, decode_plan

FILES = "files"
SET_ASIDE = "set-aside"
ENDING = ".homeknee"
_STAMP = "%Y%m%dT%H%M%SZ"
_NAME = re.compile(r".+_([0-9]{8}T[0-9]{6}Z)_[0-9a-f]{16}\.homeknee")


class ChangedFile(KnownFault):
    """A kept file is not there any more, or not as it was when it was taken in."""


@dataclass(frozen=True, slots=True)
class FileStamp:
    """By what a file in the folder is recognised without reading it."""

    size: int
    changed_ns: int


@dataclass(frozen=True, slots=True)
class Looked:
    """A file from outside, read strictly. `content` is "" where its bytes could not be had."""

    name: str
    content: str
    reading: Reading


class _EntryBody(TypedDict):
    """As much of an entry as is known before it is read."""

    id: str
    kind: str
    for_day: str


class HeldDiary:
    """A diary whose bytes were read and found right; its entries are made when asked for.

    Making every entry of many years takes longer than all else that a first page needs.
    """

    def __init__(self, plans: dict[int, JsonObject], entries: dict[str, _EntryBody]) -> None:
        """Use `CaseFolder.held`."""
        self._plans, self._entries = plans, entries

    def lately(self, days: int) -> Diary:
        """The last `days` days, the first day of all, and every question: enough for a chart."""
        for_days = [entry["for_day"] for entry in self._entries.values()]
        if not for_days:
            return self.whole()
        begin = (date.fromisoformat(max(for_days)) - timedelta(days=days - 1)).isoformat()
        first = min(for_days)
        return self._made(
            entry
            for entry in self._entries.values()
            if entry["for_day"] >= begin or entry["for_day"] == first or entry["kind"] == "question"
        )

    def whole(self) -> Diary:
        """All of it. Raises ChangedFile for what this program never wrote."""
        return self._made(self._entries.values())

    def _made(self, entries: Iterable[_EntryBody]) -> Diary:
        try:
            return Diary(
                plans=tuple(decode_plan(plan) for plan in self._plans.values()),
                entries=tuple(decode_entry(entry) for entry in entries),
            )
        except PlainFault as fault:
            raise ChangedFile(coded("persons_file_lost")) from fault


class CaseFolder:
    """The files under `folder`; nothing is made there before the first file is kept."""

    def __init__(self, folder: Path) -> None:
        self._files = folder / FILES
        self._aside = folder / SET_ASIDE

    def listed(self) -> dict[str, FileStamp]:
        """Every diary file in the folder by its name. Raises OSError."""
        found = {}
        if self._files.is_dir():
            for path in sorted(self._files.glob(f"*{ENDING}")):
                about = path.stat()
                if stat.S_ISREG(about.st_mode):
                    found[path.name] = FileStamp(about.st_size, about.st_mtime_ns)
        return found

    def stamp(self, name: str) -> FileStamp:
        """The stamp of one file. Raises OSError."""
        about = (self._files / name).stat()
        return FileStamp(about.st_size, about.st_mtime_ns)

    def look(self, name: str) -> Looked:
        """Read a file of the folder strictly, as if it came from outside."""
        return look_at(str(self._files / name))

    def keep(self, path: str, person: str, content: str, taken: str) -> str:
        """Copy a file whole; its name in the folder. `taken` is the stamp of its import.

        Raises ChangedFile when its bytes are not `content` any more, OSError when it fails.
        """
        data = Path(path).read_bytes()
        if hashlib.sha256(data).hexdigest() != content:
            raise ChangedFile(coded("changed_while_read", name=shown_name(Path(path).name)))
        return self.put(data, person, taken)

    def put(self, data: bytes, person: str, taken: str) -> str:
        """Keep a file made here; its name in the folder. Raises OSError."""
        self._files.mkdir(mode=0o700, parents=True, exist_ok=True)
        name = f"{person}_{taken}_{hashlib.sha256(data).hexdigest()[:16]}{ENDING}"
        return write_whole(self._files / name, data)

    def held(self, kept: Iterable[tuple[str, str]]) -> HeldDiary:
        """One person's diary: the union of their files, given as pairs of name and content.

        Raises ChangedFile.
        """
        plans: dict[int, JsonObject] = {}
        entries: dict[str, _EntryBody] = {}
        for name, content in sorted(kept, key=lambda each: taken_of(each[0]), reverse=True):
            _merge(self._bytes(name, content), name, plans, entries)
        return HeldDiary(plans, entries)

    def diary(self, kept: Iterable[tuple[str, str]]) -> Diary:
        """The same, read to its end. Raises ChangedFile."""
        return self.held(kept).whole()

    def set_aside(self, names: Iterable[str]) -> str:
        """Move files out of the folder and keep them beside it; where. Raises OSError."""
        self._aside.mkdir(mode=0o700, parents=True, exist_ok=True)
        for name in names:
            with contextlib.suppress(FileNotFoundError):
                (self._files / name).replace(self._aside / name)
        return str(self._aside)

    def _bytes(self, name: str, content: str) -> bytes:
        try:
            data = (self._files / name).read_bytes()
        except OSError as fault:
            why = (fault.strerror or "").lower()
            said = coded("kept_unreadable", name=shown_name(name), why=why)
            raise ChangedFile(said) from fault
        if hashlib.sha256(data).hexdigest() != content:
            raise ChangedFile(coded("kept_changed", name=shown_name(name)))
        return data


def taken_of(name: str) -> str:
    """The stamp of the import in a kept file's name; "" where somebody else named it."""
    match = _NAME.fullmatch(name)
    return match[1] if match else ""


def import_stamp(now: datetime, taken: Iterable[str]) -> str:
    """The stamp, in UTC, of an import at `now` (aware): later than every one in `taken`."""
    last = max(taken, default="")
    stamp = now.astimezone(UTC).strftime(_STAMP)
    if stamp > last:
        return stamp
    before = datetime.strptime(last, _STAMP).replace(tzinfo=UTC)
    return (before + timedelta(seconds=1)).strftime(_STAMP)


def diary_paths(folder: str) -> tuple[str, ...]:
    """The files of a folder from outside, in the order of their names. Raises OSError."""
    return tuple(str(path) for path in sorted(Path(folder).iterdir()) if path.is_file())


def look_at(path: str, today: date | None = None) -> Looked:
    """Read a file from outside strictly; never raises for what it holds."""
    place = Path(path)
    name = shown_name(place.name)
    data: bytes | None = None
    with contextlib.suppress(OSError):
        about = place.stat()
        if stat.S_ISREG(about.st_mode) and about.st_size <= MOST_BYTES["diary"]:
            data = place.read_bytes()
    if data is None:
        return Looked(name, "", read(place))
    return looked_at(data, name, today)


def looked_at(data: bytes, name: str, today: date | None = None) -> Looked:
    """The same for bytes at hand."""
    content = hashlib.sha256(data).hexdigest()
    return Looked(name, content, read_bytes(data, name=name, today=today))


def _merge(
    data: bytes, name: str, plans: dict[int, JsonObject], entries: dict[str, _EntryBody]
) -> None:
    """Add what a trusted file holds and is not there yet, as JSON values."""
    header, _, body = data.partition(b"\n")
    try:
        version = int(header.split()[2])
        if version != VERSIONS["diary"]:
            body = _brought_up(data, name)
        found = json.loads(body)
        for plan in found["plans"]:
            plans.setdefault(plan["version"], plan)
        for entry in found["entries"]:
            entries.setdefault(entry["id"], entry)
    except (ValueError, KeyError, TypeError, IndexError) as fault:
        raise ChangedFile(coded("kept_lost", name=shown_name(name))) from fault


def _brought_up(data: bytes, name: str) -> bytes:
    """The body of an older version, brought up by the strict reader: only it knows how."""
    reading = read_bytes(data, name=shown_name(name))
    if reading.diary is None:
        raise ChangedFile(reading.said)
    return diary_bytes(reading.diary).partition(b"\n")[2]
