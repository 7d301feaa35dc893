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
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TypedDict, cast

from companion.care.clocks import CLOCK_SLACK
from companion.care.coded import KnownFault, coded
from companion.care.days import diary_day
from companion.care.json_values import JsonObject
from companion.care.records import AnyEntry, Diary, Plan
from companion.exchange.cross_checks import beside_id, sound
from companion.exchange.files import (
    MOST_BYTES,
    VERSIONS,
    Beat,
    Reading,
    diary_bytes,
    idle,
    read,
    read_bytes,
    says_diary,
    shown_name,
)
from companion.system.atomic import private_folder, write_whole
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
    written_at: str


class HeldDiary:
    """A diary whose bytes were read and found right; its entries are made when asked for.

    Making every entry of many years takes longer than all else that a first page needs.
    """

    def __init__(
        self, plans: dict[int, JsonObject], entries: dict[str, _EntryBody], wrong_clock: set[str]
    ) -> None:
        """Use `CaseFolder.held`."""
        self._plans, self._entries, self._wrong_clock = plans, entries, wrong_clock

    def lately(self, days: int) -> Diary:
        """The last `days` days, the first day of all, and every question: enough for a chart."""
        for_days = [entry["for_day"] for entry in self._entries.values()]
        if not for_days:
            return self.whole()
        begin = (date.fromisoformat(max(for_days)) - timedelta(days=days - 1)).isoformat()
        first = min(for_days)
        plans, entries = self._read(
            entry
            for entry in self._entries.values()
            if entry["for_day"] >= begin or entry["for_day"] == first or entry["kind"] == "question"
        )
        return self._diary(plans, entries)

    def whole(self) -> Diary:
        """All of it that belongs together. Raises ChangedFile for what this program never wrote."""
        plans, entries = self._read(self._entries.values())
        fits = sound(plans, entries)
        return replace(self._diary(plans, fits.entries), left_out=len(fits.faults))

    def _read(self, entries: Iterable[_EntryBody]) -> tuple[tuple[Plan, ...], tuple[AnyEntry, ...]]:
        try:
            return (
                tuple(decode_plan(plan) for plan in self._plans.values()),
                tuple(decode_entry(entry) for entry in entries),
            )
        except PlainFault as fault:
            raise ChangedFile(coded("persons_file_lost")) from fault

    def _diary(self, plans: tuple[Plan, ...], entries: tuple[AnyEntry, ...]) -> Diary:
        return Diary(plans=plans, entries=entries, wrong_clock=tuple(sorted(self._wrong_clock)))


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

    def look(self, name: str, beat: Beat = idle) -> Looked:
        """Read a file of the folder strictly, as if it came from outside."""
        return look_at(str(self._files / name), beat=beat)

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
        private_folder(self._files)
        name = f"{person}_{taken}_{hashlib.sha256(data).hexdigest()[:16]}{ENDING}"
        return write_whole(self._files / name, data)

    def held(self, kept: Iterable[tuple[str, str]]) -> HeldDiary:
        """One person's diary: the union of their files, given as pairs of name and content.

        Raises ChangedFile.
        """
        plans: dict[int, JsonObject] = {}
        entries: dict[str, _EntryBody] = {}
        wrong_clock: set[str] = set()
        for name, content in sorted(kept, key=lambda each: taken_of(each[0]), reverse=True):
            _merge(self._bytes(name, content), name, plans, entries, wrong_clock)
        return HeldDiary(plans, entries, wrong_clock)

    def diary(self, kept: Iterable[tuple[str, str]]) -> Diary:
        """The same, read to its end. Raises ChangedFile."""
        return self.held(kept).whole()

    def set_aside(self, names: Iterable[str]) -> str:
        """Move files out of the folder and keep them beside it; where. Raises OSError."""
        private_folder(self._aside)
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


def diary_name(path: str) -> str | None:
    """The name of a file that says by its first line that it is a diary; the rest is not read."""
    place = Path(path)
    return shown_name(place.name) if says_diary(place) else None


def look_at(path: str, today: date | None = None, beat: Beat = idle) -> Looked:
    """Read a file from outside strictly; never raises for what it holds, but what `beat` raises."""
    place = Path(path)
    name = shown_name(place.name)
    data: bytes | None = None
    with contextlib.suppress(OSError):
        about = place.stat()
        if stat.S_ISREG(about.st_mode) and about.st_size <= MOST_BYTES["diary"]:
            data = place.read_bytes()
    if data is None:
        return Looked(name, "", read(place))
    return looked_at(data, name, today, beat)


def looked_at(data: bytes, name: str, today: date | None = None, beat: Beat = idle) -> Looked:
    """The same for bytes at hand."""
    content = hashlib.sha256(data).hexdigest()
    return Looked(name, content, read_bytes(data, name=name, today=today, beat=beat))


def _merge(
    data: bytes,
    name: str,
    plans: dict[int, JsonObject],
    entries: dict[str, _EntryBody],
    wrong_clock: set[str],
) -> None:
    """Add what a trusted file holds and is not there yet, as JSON values. What was written later
    than the day the file was taken in was written under a wrong clock."""
    header, _, body = data.partition(b"\n")
    until = _day_after(taken_of(name))
    try:
        version = int(header.split()[2])
        if version != VERSIONS["diary"]:
            body = _brought_up(data, name)
        found = json.loads(body)
        for plan in found["plans"]:
            plans.setdefault(plan["version"], plan)
        for entry in found["entries"]:
            if entries.setdefault(entry["id"], entry) != entry:
                its_id = beside_id(entry["id"], entry)
                entries.setdefault(its_id, _beside(entry, its_id))
            # Texts of days sort as days do; few entries have to be looked at closer.
            if entry["written_at"][:10] > until and _written_on(entry) > until:
                wrong_clock.add(entry["id"])
    except (ValueError, KeyError, TypeError, IndexError) as fault:
        raise ChangedFile(coded("kept_lost", name=shown_name(name))) from fault


def _beside(entry: _EntryBody, its_id: str) -> _EntryBody:
    """The same as `cross_checks.beside`."""
    return cast(_EntryBody, entry | {"id": its_id, "beside": entry["id"]})


def _day_after(stamp: str) -> str:
    """The day after an import, as a text; beyond every day where no import is known."""
    if not stamp:
        return "~"
    return (date.fromisoformat(stamp[:8]) + CLOCK_SLACK).isoformat()


def _written_on(entry: _EntryBody) -> str:
    return diary_day(datetime.fromisoformat(entry["written_at"])).isoformat()


def _brought_up(data: bytes, name: str) -> bytes:
    """The body of an older version, brought up by the strict reader: only it knows how."""
    reading = read_bytes(data, name=shown_name(name))
    if reading.diary is None:
        raise ChangedFile(reading.said)
    return diary_bytes(reading.diary).partition(b"\n")[2]
