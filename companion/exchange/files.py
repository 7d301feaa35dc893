"""Reading and writing plan and diary files. FORMAT.md says what every byte means.

Reading never raises for what a file holds: it ends in a named state.
"""

import contextlib
import errno
import gc
import hashlib
import json
import os
import re
import stat
from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass
from datetime import UTC, date
from pathlib import Path
from typing import Literal

from companion.care.clocks import written_after
from companion.care.coded import Coded, KnownFault, coded
from companion.care.json_values import JsonObject
from companion.care.records import AnyEntry, Diary, Plan
from companion.care.shown_text import in_one_line
from companion.exchange.cross_checks import conflicting_ids, plan_faults, plans_faults, sound
from companion.system.atomic import write_whole
from companion.wire.faults import Fault
from companion.wire.plain import encode
from companion.wire.upgrades import ENTRY_UPGRADES, PLAN_UPGRADES, Upgrade, too_new_for, upgraded

State = Literal[
    "whole",
    "damaged",
    "not_ours",
    "too_new",
    "sealed",
    "too_large",
    "faulty",
    "missing",
    "unreadable",
]
Kind = Literal["plan", "diary"]
VERSIONS: dict[str, int] = {"plan": 5, "diary": 7}
MOST_BYTES: dict[str, int] = {"plan": 1024 * 1024, "diary": 16 * 1024 * 1024}
MOST_LINES = 160_000
MOST_LINE_BYTES = 1024 * 1024
MOST_FAULTS = 20

_HEADER = re.compile(rb"homeknee ([a-z]{1,16}) ([1-9][0-9]{0,3}) ([0-9a-f]{64})\n")
_HEADER_BYTES = 128
_NEARLY_OURS = re.compile(rb"h?omeknee|\b(plan|diary) [0-9]+ [0-9A-Fa-f]{40}")
_SEALED_STARTS = (b"age-encryption.org/v1", b"-----BEGIN AGE ENCRYPTED FILE-----")
_DIARY_OPENS = re.compile(rb'\{"person":"([A-Za-z0-9][A-Za-z0-9._-]{0,31})","plans":\[')
_PLANS_CLOSE = b'],"entries":['
_DIARY_CLOSES = b"]}"
_END = "the end"
_STEP = 200
"""Records read at a time."""


@dataclass(frozen=True, slots=True)
class Reading:
    """How reading a file ended. `value` is there when `state` is whole, and only then.

    `said` is what is told of it, a whole file included. `faults` of a whole diary are the entries
    that do not belong to the rest: each was left out.
    """

    state: State
    said: Coded
    kind: Kind | None = None
    value: Plan | Diary | None = None
    faults: tuple[Fault, ...] = ()

    @property
    def plan(self) -> Plan | None:
        """The plan, when this is a whole plan file."""
        return self.value if isinstance(self.value, Plan) else None

    @property
    def diary(self) -> Diary | None:
        """The diary, when this is a whole diary file."""
        return self.value if isinstance(self.value, Diary) else None

    @property
    def plan_in_force(self) -> Plan | None:
        """The plan of whatever whole file of ours this is: of a diary, such as that of a first
        session, the one in force."""
        return self.value.plan if isinstance(self.value, Diary) else self.plan


# ---------------------------------------------------------------- writing


def plan_bytes(plan: Plan) -> bytes:
    """The plan file of `plan`. The same plan gives the same bytes."""
    return _with_header("plan", _line(encode(plan)) + b"\n")


def diary_bytes(diary: Diary) -> bytes:
    """The diary file of `diary`. The same plans and entries, in whatever order, give the same.

    Raises KnownFault for a diary that would be larger than a file that is read.
    """
    plans = sorted(diary.plans, key=lambda plan: plan.version)
    entries = sorted(diary.entries, key=lambda e: (e.written_at.astimezone(UTC), e.id))
    person = json.dumps(diary.plan.person).encode("ascii")
    lines = [
        b'{"person":' + person + b',"plans":[',
        b",\n".join(_line(encode(plan)) for plan in plans),
        _PLANS_CLOSE,
        *([b",\n".join(_line(encode(entry)) for entry in entries)] if entries else []),
        _DIARY_CLOSES,
    ]
    data = _with_header("diary", b"\n".join(lines) + b"\n")
    if len(data) > MOST_BYTES["diary"] or len(plans) + len(entries) + 3 > MOST_LINES:
        most = MOST_BYTES["diary"] // (1024 * 1024)
        raise KnownFault(coded("diary_too_large", entries=len(entries), most=most))
    return data


def write_diary(path: Path, diary: Diary) -> None:
    """Write the diary file, whole or not at all. Raises OSError, and what `diary_bytes` raises."""
    write_whole(path, diary_bytes(diary))


def _line(value: JsonObject) -> bytes:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()


def _with_header(kind: Kind, body: bytes) -> bytes:
    opening = f"homeknee {kind} {VERSIONS[kind]}".encode("ascii")
    return opening + b" " + _digest(opening, body) + b"\n" + body


def _digest(opening: bytes, body: bytes) -> bytes:
    """SHA-256 over the header without its digest, and the body: so every byte counts."""
    hashed = hashlib.sha256(opening + b"\n")
    hashed.update(body)
    return hashed.hexdigest().encode("ascii")


# ---------------------------------------------------------------- reading


Reader = Generator[int, None, Reading]
"""Reads a file in small steps. Each gives how many percent are done; the reading is the end."""
Beat = Callable[[int], object]
"""Is told how many percent of a file are read, and raises where that is to be left off."""


def idle(_percent: int) -> None:
    """The beat of whoever reads a file to its end."""


def says_diary(path: Path) -> bool:
    """Whether a file says by its first line that it is a diary; the rest of it is not read."""
    with contextlib.suppress(OSError), path.open("rb") as file:
        header = _HEADER.match(file.read(_HEADER_BYTES))
        return header is not None and header[1] == b"diary"
    return False


def read(path: Path, *, today: date | None = None) -> Reading:
    """Read a file from outside.

    `today` is the diary day on which it is read: what was written later was written under a wrong
    clock, and is marked. None marks none.
    """
    return _ended(reader(path, today=today))


def reader(path: Path, *, today: date | None = None) -> Reader:
    """The same step by step, for whoever shows how far it is and may leave off."""
    name = shown_name(path.name or str(path))
    try:
        size = path.stat()
        if not stat.S_ISREG(size.st_mode):
            return Reading("unreadable", coded("file_is_no_file", name=name))
        if size.st_size > MOST_BYTES["diary"]:
            return _too_large(name, "diary")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES["diary"] + 1)
    except (FileNotFoundError, NotADirectoryError):
        return Reading("missing", coded("file_missing", name=name))
    except (OSError, ValueError) as fault:
        number = fault.errno if isinstance(fault, OSError) and fault.errno else errno.EINVAL
        why = os.strerror(number).lower()
        return Reading("unreadable", coded("file_unreadable", name=name, why=why))
    return (yield from _reader_of(data, name, today))


def read_bytes(
    data: bytes,
    *,
    name: str = "",
    today: date | None = None,
    beat: Beat = idle,
) -> Reading:
    """`read` for bytes at hand. `name` is what they are called, "" for a file without one."""
    return _ended(_reader_of(data, name, today), beat)


def _ended(steps: Reader, beat: Beat = idle) -> Reading:
    """Read to the end. Nothing that reading makes is garbage: looking for it meanwhile would take
    one part in eight of the time."""
    collects = gc.isenabled()
    gc.disable()
    try:
        while True:
            beat(next(steps))
    except StopIteration as end:
        reading: Reading = end.value
        return reading
    finally:
        if collects:
            gc.enable()


def _reader_of(data: bytes, name: str, today: date | None) -> Reader:
    if len(data) > MOST_BYTES["diary"]:
        return _too_large(name, "diary")
    if data.lstrip(b" \t\r\n").startswith(_SEALED_STARTS):
        return Reading("sealed", coded("file_sealed", name=name))
    header = _HEADER.match(data[:_HEADER_BYTES])
    if header is None:
        return _without_header(data, name)
    kind, version = header[1].decode("ascii"), int(header[2])
    if kind in MOST_BYTES and len(data) > MOST_BYTES[kind]:
        return _too_large(name, kind)
    body = data[header.end() :]
    if _digest(b"homeknee " + header[1] + b" " + header[2], body) != header[3]:
        return Reading("damaged", coded("file_damaged", name=name))
    if version > VERSIONS.get(kind, 0):
        return Reading("too_new", coded("file_too_new", name=name))
    if not body.endswith(b"\n"):
        return _faulty(name, None, (Fault(_END, coded("last_line_open")),))
    if body.count(b"\n") > MOST_LINES:
        return _faulty(name, None, (Fault(_END, coded("too_many_lines")),))
    lines = body[:-1].split(b"\n")
    if kind == "plan":
        return _read_plan(lines, version, name)
    return (yield from _read_diary(lines, version, name, today))


def _read_plan(lines: list[bytes], version: int, name: str) -> Reading:
    from companion.wire import strict  # pydantic: loaded when the first file is read

    if len(lines) != 1:
        return _faulty(name, "plan", (Fault("line 3", coded("plan_is_one_line")),))
    data = _upgraded(lines[0], version, PLAN_UPGRADES, VERSIONS["plan"], "plan")
    plan = data if isinstance(data, tuple) else strict.read_plan(data)
    if isinstance(plan, tuple):
        return _faulty(name, "plan", plan)
    faults = plan_faults(plan)
    if faults:
        return _faulty(name, "plan", faults)
    said = coded("whole_plan", name=name, person=plan.person, version=plan.version)
    return Reading("whole", said, "plan", plan)


def _read_diary(lines: list[bytes], version: int, name: str, today: date | None) -> Reader:
    framed = _unframed(lines)
    if isinstance(framed, Fault):
        return _faulty(name, "diary", (framed,))
    person, plan_lines, entry_lines = framed
    faults: list[Fault] = []
    plans: list[Plan] = []
    entries: list[AnyEntry] = []
    for number, value in enumerate(_records(plan_lines, entry_lines, version)):
        if number % _STEP == 0:
            yield 100 * number // len(lines)
        if isinstance(value, tuple):
            faults += value
        elif isinstance(value, Plan):
            plans.append(value)
        else:
            entries.append(value)
        if len(faults) >= MOST_FAULTS:
            break
    if faults:
        return _faulty(name, "diary", tuple(faults))
    if conflicting_ids(entries):
        return Reading("damaged", coded("file_one_id_twice", name=name))
    faults += plans_faults(person, plans)
    if faults:
        return _faulty(name, "diary", tuple(faults[:MOST_FAULTS]))
    fits = sound(plans, tuple({entry.id: entry for entry in entries}.values()))
    diary = Diary(
        plans=tuple(plans),
        entries=fits.entries,
        wrong_clock=() if today is None else tuple(sorted(written_after(fits.entries, today))),
        left_out=len(fits.faults),
    )
    said = coded(
        "whole_diary", name=name, person=person, plans=len(plans), entries=len(diary.entries)
    )
    if fits.faults:
        first, count = fits.faults[0].said, len(fits.faults)
        said = coded("whole_but_left_out", said=said, n=count, fault=first)
    return Reading("whole", said, "diary", diary, fits.faults)


def _records(
    plan_lines: list[bytes], entry_lines: list[bytes], version: int
) -> Iterator[Plan | AnyEntry | tuple[Fault, ...]]:
    """One line at a time, so that a bomb is never taken apart as a whole."""
    from companion.wire import strict

    newest = VERSIONS["diary"]
    for index, line in enumerate(plan_lines):
        place = f"plans[{index}]"
        data = _upgraded(line, version, PLAN_UPGRADES, newest, place)
        yield data if isinstance(data, tuple) else strict.read_plan(data, place)
    once: dict[bytes, int] = {}  # the same entry many times is read once
    for index, line in enumerate(entry_lines):
        once.setdefault(line, index)
    for line, index in once.items():
        place = f"entries[{index}]"
        data = _upgraded(line, version, ENTRY_UPGRADES, newest, place)
        yield data if isinstance(data, tuple) else strict.read_entry(data, place)


def _upgraded(
    line: bytes, version: int, steps: dict[int, Upgrade], newest: int, place: str
) -> bytes | tuple[Fault, ...]:
    """The line as the newest version has it."""
    if len(line) > MOST_LINE_BYTES:
        return (Fault(place, coded("line_too_long")),)
    if version == newest:
        return line
    from companion.wire import strict

    value = strict.guarded_json(line, place)
    if isinstance(value, tuple):
        return value
    if not isinstance(value, dict):
        return (Fault(place, coded("object_expected")),)
    later = too_new_for(value, version)
    if later is not None:
        return (Fault(place, coded("field_of_later", field=later, version=version)),)
    return _line(upgraded(value, version, newest, steps))


def _unframed(lines: list[bytes]) -> tuple[str, list[bytes], list[bytes]] | Fault:
    """Person, plan lines and entry lines of a diary body, or where its frame is broken."""
    opening = _DIARY_OPENS.fullmatch(lines[0])
    if opening is None:
        return Fault("line 2", coded("diary_begins"))
    if lines[-1] != _DIARY_CLOSES:
        return Fault(_END, coded("diary_ends"))
    try:
        middle = lines.index(_PLANS_CLOSE)
    except ValueError:
        return Fault("entries", coded("entries_not_opened"))
    plans, entries = lines[1:middle], lines[middle + 1 : -1]
    for first, block in ((3, plans), (middle + 3, entries)):
        for index, line in enumerate(block):
            if line.endswith(b",") == (index == len(block) - 1):
                return Fault(f"line {first + index}", coded("comma_between_lines"))
    return (
        opening[1].decode("ascii"),
        [line.removesuffix(b",") for line in plans],
        [line.removesuffix(b",") for line in entries],
    )


# ---------------------------------------------------------------- how reading ends


def _without_header(data: bytes, name: str) -> Reading:
    start = data[:_HEADER_BYTES]
    if (start and b"homeknee ".startswith(start)) or _NEARLY_OURS.search(start.split(b"\n")[0]):
        return Reading("damaged", coded("file_damaged", name=name))
    return Reading("not_ours", coded("file_not_ours", name=name))


def _too_large(name: str, kind: str) -> Reading:
    most = MOST_BYTES[kind] // (1024 * 1024)
    return Reading("too_large", coded("file_too_large", name=name, kind=kind, most=most))


def _faulty(name: str, kind: Kind | None, faults: tuple[Fault, ...]) -> Reading:
    first, count = faults[0].said, len(faults)
    if count == 1:
        return Reading("faulty", coded("file_faulty", name=name, fault=first), kind, faults=faults)
    said = coded("file_faulty_more", name=name, fault=first, count=count)
    return Reading("faulty", said, kind, faults=faults)


def shown_name(name: str) -> str:
    """A file's name as it may be shown: one line, of bounded length."""
    return in_one_line(name, 80)
