"""Whether all is well with the program, this computer and the diary on it, and what mends the rest.

Nothing private is told: no name, no path, no word or number of the diary but how many entries it
has and on which day it was last written in. It can be read out to whoever helps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from companion.care.coded import Coded, coded
from companion.journal.health import StoreHealth
from companion.services.second_place import SecondPlace, second_place_today
from companion.system.clock import Clock

Subject = Literal[
    "program",
    "folder",
    "diary",
    "copies",
    "second_place",
    "clock",
    "room",
    "fonts",
    "display",
    "printer",
    "voice",
]
State = Literal["well", "without", "to_mend"]
"""`without`: it is not there, and the program does without it."""

LEAST_ROOM = 200_000_000
"""Bytes that a diary of ten years, its copies and a new store beside them need several times over
(C)."""
COPIES_BEHIND_DAYS = 7
"""So many days the newest good copy may lack. One is made at every start on a new day (C)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """What the windows and the printed pages need, as far as this computer has it."""

    program: str
    python: str
    toolkit: str
    fonts: bool
    display: bool
    printers: int
    voice: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DiaryFolder:
    """The folder of a diary: who may write and look there, how much room is left on its disk, its
    store, and what was said of copies elsewhere."""

    can_write: bool
    others_may_look: bool
    free_bytes: int
    store: StoreHealth
    elsewhere: SecondPlace


@dataclass(frozen=True, slots=True)
class Checked:
    """One thing that was looked at. What is to be mended, and only that, has a remedy; what is
    missing may have one."""

    subject: Subject
    state: State
    said: Coded
    remedy: Coded | None = None


def all_checked(kept: DiaryFolder, machine: Machine, clock: Clock) -> tuple[Checked, ...]:
    """Everything, in the order in which it is told."""
    return (
        _program(machine),
        _folder(kept),
        _diary(kept.store),
        _copies(kept.store),
        _second_place(kept.elsewhere, clock.today(), kept.store.entries),
        _clock(kept.store.last_written, clock.now()),
        _room(kept.free_bytes),
        *_of_machine(machine),
    )


def _program(machine: Machine) -> Checked:
    versions = coded(
        "check_program",
        program=machine.program,
        python=machine.python,
        toolkit=machine.toolkit,
    )
    return Checked("program", "well", versions)


def _folder(kept: DiaryFolder) -> Checked:
    if not kept.can_write:
        remedy = coded("remedy_folder_closed")
        return Checked("folder", "to_mend", coded("check_folder_closed"), remedy)
    if kept.others_may_look:
        remedy = coded("remedy_folder_open")
        return Checked("folder", "to_mend", coded("check_folder_open"), remedy)
    return Checked("folder", "well", coded("check_folder_well"))


def _diary(health: StoreHealth) -> Checked:
    if health.state == "none" and health.copies:
        remedy = coded("remedy_diary_damaged")
        return Checked("diary", "to_mend", coded("check_diary_gone"), remedy)
    if health.state == "none":
        return Checked("diary", "without", coded("check_diary_none"))
    if health.state == "too_new":
        remedy = coded("remedy_diary_too_new")
        return Checked("diary", "to_mend", coded("check_diary_too_new"), remedy)
    if health.state == "damaged":
        said = coded("check_diary_damaged", places=health.faults)
        return Checked("diary", "to_mend", said, coded("remedy_diary_damaged"))
    if health.last_written is None:
        return Checked("diary", "well", coded("check_diary_empty"))
    said = coded("check_diary_whole", entries=health.entries, day=health.last_written.date())
    return Checked("diary", "well", said)


def _copies(health: StoreHealth) -> Checked:
    if health.last_written is None and health.copied_until is None:
        return Checked("copies", "without", coded("check_copies_none_yet"))
    if health.copied_until is None:
        said, remedy = coded("check_copies_none"), coded("remedy_copies")
        return Checked("copies", "to_mend", said, remedy)
    until = health.copied_until.date()
    said = coded("check_copies_until", number=health.copies, day=until)
    behind = 0 if health.last_written is None else (health.last_written.date() - until).days
    if behind > COPIES_BEHIND_DAYS:
        return Checked("copies", "to_mend", said, coded("remedy_copies"))
    return Checked("copies", "well", said)


def _second_place(said: SecondPlace, today: date, entries: int) -> Checked:
    standing = second_place_today(said, today, entries)
    if not standing.kept:
        remedy = coded("remedy_second_place_none")
        return Checked("second_place", "without", coded("check_second_place_none"), remedy)
    old = coded("remedy_second_place_old")
    if standing.days is None:
        return Checked("second_place", "to_mend", coded("check_second_place_never"), old)
    told = coded("check_second_place_days", days=standing.days)
    if standing.old or standing.failed:
        return Checked("second_place", "to_mend", told, old)
    return Checked("second_place", "well", told)


def _clock(last_written: datetime | None, now: datetime) -> Checked:
    if last_written is not None and last_written > now:
        said = coded("check_clock_behind", day=last_written.date(), today=now.date())
        return Checked("clock", "to_mend", said, coded("remedy_clock"))
    return Checked("clock", "well", coded("check_clock_well", today=now.date()))


def _room(free: int) -> Checked:
    megabytes = free // 1_000_000
    if free < LEAST_ROOM:
        return Checked(
            "room", "to_mend", coded("check_room_low", megabytes=megabytes), coded("remedy_room")
        )
    return Checked("room", "well", coded("check_room_well", gigabytes=round(free / 1e9)))


def _of_machine(machine: Machine) -> Iterator[Checked]:
    if machine.fonts:
        yield Checked("fonts", "well", coded("check_fonts_well"))
    else:
        yield Checked("fonts", "to_mend", coded("check_fonts_missing"), coded("remedy_fonts"))
    if machine.display:
        yield Checked("display", "well", coded("check_display_well"))
    else:
        yield Checked("display", "without", coded("check_display_none"))
    if machine.printers:
        said = coded("check_printers", number=machine.printers)
        yield Checked("printer", "well", said)
    else:
        yield Checked("printer", "without", coded("check_printer_none"), coded("remedy_printer"))
    if machine.voice:
        yield Checked("voice", "well", coded("check_voice_well"))
    else:
        yield Checked("voice", "without", coded("check_voice_none"), coded("remedy_voice"))
