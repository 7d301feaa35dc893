"""Copies of a diary in a second place, such as a stick: diary files in a folder of their own.

Only what this computer wrote there is ever removed: each file carries the mark of the computer
beside the person and the day. The folder is known by a file of its own, not by its path: a stick is
in another place tomorrow, and another one in its place.
"""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Literal

from companion.care.records import Diary
from companion.exchange.files import write_diary
from companion.system.atomic import sync_folder, write_whole
from companion.system.ids import new_id

FOLDER = "knee-diary-copies"
KEPT = 4
"""Files of this computer kept there (C)."""
ID_FILE = "this-place.txt"
_ID_LINE, _LONGEST_LINE = "homeknee place ", 100
_ID_WORDS = (
    "Copies of a knee diary are in this folder. By the line above a computer knows this stick\n"
    "again. Leave this file here.\n"
)
_DEEPEST = 6
"""So many folders deep a place is looked for on a disk that is in another place now."""


def place_in(chosen: str) -> str:
    """The folder of the copies in a place that was picked; the place itself where it is that."""
    picked = Path(chosen)
    return str(picked if picked.name == FOLDER else picked / FOLDER)


def make_ready(place: str) -> str:
    """Make the folder of the copies, with the file by which it is known; its id. One that has an
    id keeps it: two computers may write to one stick. Raises OSError."""
    path = Path(place)
    path.mkdir(mode=0o700, exist_ok=True)
    known = _id_of(path)
    if not known:
        known = new_id()
        write_whole(path / ID_FILE, f"{_ID_LINE}{known}\n{_ID_WORDS}".encode())
        sync_folder(path.parent)
    return known


def state_of(place: str, its_id: str, mark: str) -> Literal["there", "away", "other"]:
    """Whether the folder of the copies that has `its_id` is at `place`, nothing is there, or
    another one: another stick. Without its file it is told by copies with this computer's mark."""
    path = Path(place)
    if not place or not path.is_dir():
        return "other" if place and os.path.ismount(path.parent) else "away"
    known = _id_of(path)
    if known == its_id or (not known and any(path.glob(f"copy-*-{mark}.homeknee"))):
        return "there"
    return "other"


def found_again(place: str, its_id: str, roots: Iterable[str]) -> str | None:
    """Where the folder that was at `place` is now: on one of the disks whose roots are given, by
    the end of its path. None where it is on none of them."""
    parts = Path(place).parts
    ends = [Path(*parts[-many:]) for many in range(1, min(_DEEPEST, len(parts) - 1) + 1)]
    there = (Path(root) / end for root in roots for end in ends)
    return next((str(path) for path in there if its_id and _id_of(path) == its_id), None)


def _id_of(folder: Path) -> str:
    """The id of a folder of copies; "" where it has none."""
    with contextlib.suppress(OSError), (folder / ID_FILE).open("rb") as file:
        first = file.readline(_LONGEST_LINE).decode("utf-8", "replace").strip()
        return first.removeprefix(_ID_LINE) if first.startswith(_ID_LINE) else ""
    return ""


def same_disk(place: str, folder: Path) -> bool:
    """Whether what breaks the disk of the diary breaks its copies too, as far as can be told."""
    with contextlib.suppress(OSError):
        return Path(place).parent.stat().st_dev == folder.stat().st_dev
    return False


def write_copy(place: str, diary: Diary, today: date, mark: str) -> str:
    """Write the copy of a day, whole or not at all, and let the oldest of this computer go; its
    name. Raises OSError."""
    folder, person = Path(place), diary.plan.person
    name = f"copy-{person}-{today.isoformat()}-{mark}.homeknee"
    write_diary(folder / name, diary)
    ours = re.compile(
        rf"copy-{re.escape(person)}-(\d{{4}}-\d{{2}}-\d{{2}})-{re.escape(mark)}\.homeknee"
    )
    found = [match for path in folder.iterdir() if (match := ours.fullmatch(path.name))]
    # Those of a clock that was ahead go first, as among the copies beside the diary.
    by_age = sorted(found, key=lambda match: (match[1] <= today.isoformat(), match[1]))
    for old in by_age[:-KEPT]:
        if old[0] != name:
            (folder / old[0]).unlink(missing_ok=True)
    return name
