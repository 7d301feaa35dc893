"""What writes to a disk, each as one scene: what was there, what is done, and what must hold of
whatever a kill, a power cut or a failing disk leaves.

A scene says what it was told is saved (`say`). `lost` looks at a folder that was left and names
what is not as it must be; it works in that folder as the program would at the next start.
"""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from companion.care.records import DayPage, Diary
from companion.exchange.case_files import CaseFolder, diary_paths
from companion.exchange.files import diary_bytes, read, write_diary
from companion.journal import backups
from companion.journal.faults import JournalDamaged
from companion.journal.people import PeopleStore
from companion.journal.salvage import mend, salvaged
from companion.journal.store import Journal
from companion.services.clinic_import import looks, takings
from companion.system.atomic import write_folder_whole
from tests.journal.made import DAY, PLAN, SetClock, filled, opened, page

Say = Callable[[str], None]
CLOCK = SetClock(DAY)
BEFORE, NEW = 6, 3
"""Entries there were, and entries written in a scene."""
OLD_DIARY = Diary(plans=(PLAN,), entries=())


@dataclass(frozen=True)
class Scene:
    """`prepare` makes what was there in an empty folder, `run` does it, `lost` judges what is left
    by what was said."""

    name: str
    prepare: Callable[[Path], None]
    run: Callable[[Path, Say], None]
    lost: Callable[[Path, Sequence[str]], Iterator[str]]


def numbered(number: int) -> DayPage:
    """The day page of a number, the same in each process."""
    return page(number, id=f"{number + 1:032x}")


OLD = tuple(numbered(n) for n in range(BEFORE))


# ---------------------------------------------------------------- the diary


def _nothing(_root: Path) -> None:
    pass


def _diary(root: Path) -> None:
    filled(root / "diary", *OLD)


def _begin(root: Path, say: Say) -> None:
    with Journal.open(root / "diary", CLOCK) as journal:
        journal.append(plans=(PLAN,))
        say("plan")
        journal.append(numbered(0))
        say(numbered(0).id)


def _save(root: Path, say: Say) -> None:
    with Journal.open(root / "diary", CLOCK) as journal:
        for number in range(BEFORE, BEFORE + NEW):
            one = numbered(number)
            journal.append(one, save_draft=("day:right", {"answers": [one.id]}))
            say(one.id)


def _unsaved(root: Path, said: Sequence[str]) -> Iterator[str]:
    """What was there or said and is not, and what is there that nobody wrote."""
    written = {one.id: one for one in map(numbered, range(BEFORE + NEW))}
    with Journal.open(root / "diary", CLOCK) as journal:
        journal.check()
        here = {entry.id: entry for entry in journal.entries()}
        plans, draft = journal.plans(), journal.draft("day:right")
        backups.sweep(root / "diary")
    yield from (f"{one} is gone" for one in said if one != "plan" and one not in here)
    yield from ("the plan is gone" for one in said[:1] if one == "plan" and plans != (PLAN,))
    yield from (f"{one} is another" for one in here if here[one] != written.get(one))
    if draft is not None and not any(draft["answers"] == [one] for one in here):
        yield "an answer is there without its entry"


def _unkept(root: Path, said: Sequence[str]) -> Iterator[str]:
    yield from _unsaved(root, [one.id for one in OLD] + list(said))


# ---------------------------------------------------------------- its copies


def _copy(root: Path, say: Say) -> None:
    folder = root / "diary"
    backups.tend(folder, DAY)
    say("copy")
    with Journal.open(folder, CLOCK) as journal:
        journal.append(numbered(BEFORE))
        backups.tend(folder, DAY + timedelta(days=1))
        say("copy")


def _uncopied(root: Path, said: Sequence[str]) -> Iterator[str]:
    folder = root / "diary"
    for path in backups.backup_folder(folder).glob("*.sqlite3"):
        if not backups.is_good(path):
            yield f"{path.name} is no good copy"
    if said and backups.newest_good(folder) is None:
        yield "a copy is gone"
    yield from _unkept(root, ())
    yield from (f"{path.name} lies about" for path in folder.rglob(".*.part*"))


def _hurt(root: Path) -> None:
    """One row damaged, and a copy from before the last two entries."""
    folder = root / "diary"
    filled(folder, *OLD[:-2])
    backups.tend(folder, DAY)
    with opened(folder) as journal:
        journal.append(*OLD[-2:])
    store = folder / backups.STORE
    store.write_bytes(store.read_bytes().replace(b'"pain_average":1,', b'"pain_average":7,', 1))


def _restore(root: Path, say: Say) -> None:
    copy = backups.newest_good(root / "diary")
    assert copy is not None
    backups.restore(root / "diary", copy, CLOCK)
    say("restored")


def _mend(root: Path, say: Say) -> None:
    mend(root / "diary", salvaged(root / "diary"), CLOCK)
    say("mended")


def _unmended(root: Path, said: Sequence[str]) -> Iterator[str]:
    """The diary is as it was or whole; what was damaged is still there; nothing is lost to it."""
    folder = root / "diary"
    if not (folder / backups.STORE).exists():
        yield "there is no diary"
    try:
        with Journal.open(folder, CLOCK) as journal:
            journal.check()
        whole = True
    except JournalDamaged:
        whole = False
    if said and not whole:
        yield "it was said to be whole"
    if whole and not list(folder.glob("damaged-*.sqlite3")):
        yield "the damaged file was not kept"
    found = {entry.id for entry in salvaged(folder).entries}
    before = OLD[:-2] if said == ["restored"] or whole else OLD
    yield from (f"{one.id} is gone" for one in before if one.id not in found)
    for path in folder.glob("damaged-*.sqlite3"):
        kept = path.read_bytes()
        yield from () if b'"pain_average":7,' in kept else ("the kept file is another",)


# ---------------------------------------------------------------- files


def _incoming(root: Path) -> None:
    (root / "stick").mkdir()
    for number in (1, 2):
        diary = Diary(plans=(PLAN,), entries=OLD[: 2 * number])
        (root / "stick" / f"{number}.homeknee").write_bytes(diary_bytes(diary))


def _import(root: Path, say: Say) -> None:
    folder = CaseFolder(root / "desk")
    with PeopleStore.open(root / "desk") as people:
        paths = diary_paths(str(root / "stick"))
        found = [each for each in looks(paths, folder, people.files(), DAY) if each.ready]
        for taken in takings(found, folder, people.files(), "20260309T180000"):
            if taken.file is None:
                raise OSError(28, "not copied")
            people.put(taken.file, taken.case)
            say(taken.file.name)


def _unimported(root: Path, said: Sequence[str]) -> Iterator[str]:
    listed = CaseFolder(root / "desk").listed()
    yield from (f"{name} is gone" for name in said if name not in listed)
    for name in listed:
        if read(root / "desk" / "files" / name).state != "whole":
            yield f"{name} is half a file"
    with PeopleStore.open(root / "desk") as people:
        people.files()


def _place(root: Path) -> None:
    (root / "out").mkdir()
    write_diary(root / "out" / "diary.homeknee", OLD_DIARY)


def _export(root: Path, say: Say) -> None:
    files = {"a.csv": b"a" * 5000, "b.json": b"b" * 700}
    say(write_folder_whole(root / "out", "export", files).name)


def _unexported(root: Path, said: Sequence[str]) -> Iterator[str]:
    folder = root / "out" / "export"
    if said and not folder.is_dir():
        yield "the folder is gone"
    if folder.is_dir():
        held = {path.name: path.read_bytes() for path in folder.iterdir()}
        if held != {"a.csv": b"a" * 5000, "b.json": b"b" * 700}:
            yield "the folder is half there"


def _write(root: Path, say: Say) -> None:
    write_diary(root / "out" / "diary.homeknee", Diary(plans=(PLAN,), entries=OLD))
    say("written")


def _unwritten(root: Path, said: Sequence[str]) -> Iterator[str]:
    reading = read(root / "out" / "diary.homeknee")
    count = None if reading.diary is None else len(reading.diary.entries)
    if count not in ((BEFORE,) if said else (0, BEFORE)):
        yield f"the file is neither the old one nor the new one: {reading.state}"


SCENES = (
    Scene("begin", _nothing, _begin, _unsaved),
    Scene("save", _diary, _save, _unkept),
    Scene("copy", _diary, _copy, _uncopied),
    Scene("restore", _hurt, _restore, _unmended),
    Scene("mend", _hurt, _mend, _unmended),
    Scene("import", _incoming, _import, _unimported),
    Scene("export", _place, _export, _unexported),
    Scene("write", _place, _write, _unwritten),
)


def lost(scene: Scene, folder: Path, said: Sequence[str]) -> list[str]:
    """What a scene lost in a folder that was left; a fault on the way is a loss too."""
    try:
        return list(scene.lost(folder, said))
    except Exception as fault:  # noqa: BLE001 - each is told with the point it came from
        return [f"{type(fault).__name__}: {fault}"]


def begun(scene: Scene, folder: Path, prepared: Path) -> Path:
    """A folder in which the scene may run, from one prepared before."""
    with contextlib.suppress(FileNotFoundError):
        shutil.rmtree(folder)
    shutil.copytree(prepared, folder)
    return folder
