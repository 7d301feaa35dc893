"""Kills, power cuts, refusing disks and hurt files by the thousand, and what was lost to them.

    python -m tests.endurance [--kills N] [--cuts N] [--files N] [--seed N]

`--kills` child processes are killed at random moments while they write, and what is left is opened
as at the next start. `--cuts` says each how many steps of a scene the power is cut and the disk
refuses (1 is every step). `--files` files are hurt, by bytes and by what they hold, and read. All
of it is in memory where the machine has a disk there. The exit code is 1 when anything was lost.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import select
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from functools import partial
from pathlib import Path
from typing import Any

from companion.care.records import Diary
from companion.exchange.files import VERSIONS, diary_bytes, plan_bytes, read_bytes, write_diary
from companion.exchange.second_place import write_copy
from companion.exchange.table import read_table, write_table
from companion.journal import backups
from companion.journal.faults import JournalFault
from companion.journal.salvage import salvaged
from companion.journal.store import Journal
from companion.services.context import Context
from companion.services.day_page import DayWalk
from companion.services.taking_in import take_in, would_bring
from companion.services.walks import WalkStep, begin, give, load
from tests.care.walking import CATALOGUE, taught_plan
from tests.exchange.made import full_diary, full_plan
from tests.exchange.test_files import body_of, with_header
from tests.exchange.test_hostile import laid_out
from tests.journal.made import DAY, PLAN, filled, opened
from tests.journal.scenarios import (
    CLOCK,
    OLD,
    SCENES,
    Say,
    Scene,
    begun,
    lost,
    numbered,
)
from tests.services.context_for_tests import answer_by

LONGEST = 5.0
"""Seconds one file may take."""
WRITES = 60
"""Entries a child writes at most before it is killed."""


@dataclass
class Told:
    """How often each thing was done, and what was lost."""

    done: Counter[str] = field(default_factory=Counter)
    lost: list[str] = field(default_factory=list)
    slowest: float = 0.0
    said: int = 0
    in_the_middle: int = 0


# ---------------------------------------------------------------- kills


def _append(root: Path, say: Say) -> None:
    with Journal.open(root / "diary", CLOCK) as journal:
        for number in range(len(OLD), WRITES):
            one = numbered(number)
            journal.append(one, save_draft=("day:right", {"answers": [one.id]}))
            say(one.id)


def _unappended(root: Path, said: Sequence[str]) -> Iterator[str]:
    with Journal.open(root / "diary", CLOCK) as journal:
        journal.check()
        here = [entry.id for entry in journal.entries()]
    wanted = [numbered(number).id for number in range(WRITES)]
    if here != wanted[: len(here)]:
        yield "what is there is not what was written"
    yield from (f"{one} is gone" for one in said if one not in here)


WALK = DayWalk()


def _walkable(root: Path) -> None:
    with opened(root / "diary", CLOCK) as journal:
        journal.append(plans=(taught_plan(),))


def _context(journal: Journal) -> Context:
    return Context(journal=journal, clock=CLOCK, catalogue=CATALOGUE)


def _walk(root: Path, say: Say) -> None:
    answer = answer_by({})
    with Journal.open(root / "diary", CLOCK) as journal:
        step = begin(_context(journal), WALK, "right")
        while isinstance(step, WalkStep):
            step = give(_context(journal), WALK, step, answer(step.page))
            say(str(len(step.state.answers)) if isinstance(step, WalkStep) else "done")


def _unwalked(root: Path, said: Sequence[str]) -> Iterator[str]:
    with Journal.open(root / "diary", CLOCK) as journal:
        state = load(_context(journal), WALK, "right")
        written = journal.count()
    if "done" in said and not written:
        yield "the day page is gone"
    if said and not written and (state is None or len(state.answers) < len(said)):
        yield "an answer is gone"


def _take_in(root: Path, say: Say) -> None:
    with Journal.open(root / "diary", CLOCK) as journal:
        brings = would_bring(_context(journal), Diary(plans=(PLAN,), entries=OLD))
        take_in(_context(journal), brings)
        say("taken in")


def _untaken(root: Path, said: Sequence[str]) -> Iterator[str]:
    with Journal.open(root / "diary", CLOCK) as journal:
        journal.check()
        held = (journal.plans(), journal.count())
    if held != ((PLAN,), len(OLD)) and (said or held != ((), 0)):
        yield f"taken in by half: {held[1]}"


def _stick(root: Path) -> None:
    (root / "stick").mkdir()


def _copy_weekly(root: Path, say: Say) -> None:
    for week in range(12):
        diary = Diary(plans=(PLAN,), entries=tuple(map(numbered, range(week))))
        say(write_copy(str(root / "stick"), diary, DAY + timedelta(days=7 * week), "0a1b2c"))


def _uncopied(root: Path, said: Sequence[str]) -> Iterator[str]:
    for path in (root / "stick").glob("copy-*"):
        if read_bytes(path.read_bytes()).state != "whole":
            yield f"{path.name} is half a file"
    if said and not (root / "stick" / said[-1]).exists():
        yield "the last copy is gone"


def _from_table(root: Path, say: Say) -> None:
    text = write_table(Diary(plans=(PLAN,), entries=OLD)).encode()
    reading = read_table(text, PLAN, CLOCK.now())
    assert not reading.faults
    write_diary(root / "diary.homeknee", Diary(plans=(PLAN,), entries=reading.entries))
    say("written")


def _untabled(root: Path, said: Sequence[str]) -> Iterator[str]:
    path = root / "diary.homeknee"
    if said and not path.exists():
        yield "the file is gone"
    if path.exists() and read_bytes(path.read_bytes()).state != "whole":
        yield "the file is half there"


KILLED = (
    Scene("append", lambda root: (filled(root / "diary", *OLD), None)[1], _append, _unappended),
    Scene("walk", _walkable, _walk, _unwalked),
    Scene("take in", lambda root: opened(root / "diary", CLOCK).close(), _take_in, _untaken),
    Scene("second place", _stick, _copy_weekly, _uncopied),
    Scene("from a table", lambda _root: None, _from_table, _untabled),
    *(scene for scene in SCENES if scene.name not in ("save", "write")),
)


def killed(scene: Scene, folder: Path, prepared: Path, after: float) -> tuple[list[str], bool]:
    """What was said by a child that ran the scene and was killed after so many seconds, and
    whether that was in the middle of it."""
    begun(scene, folder, prepared)
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        with contextlib.suppress(BaseException):
            os.close(reading)
            os.write(writing, b"begun\n")
            scene.run(folder, lambda what: (os.write(writing, f"{what}\n".encode()), None)[1])
            os.write(writing, b"ended\n")
        os._exit(0)
    os.close(writing)
    select.select([reading], [], [])
    first = os.read(reading, 6)
    assert first == b"begun\n"
    select.select([], [], [], after)  # the moment is drawn by chance: nothing tells it
    with contextlib.suppress(ProcessLookupError):
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(reading, encoding="utf-8") as pipe:
        whole, _, _half = pipe.read().rpartition("\n")
    said = whole.splitlines()
    return [one for one in said if one != "ended"], "ended" not in said


def kills(count: int, folder: Path, seed: int, scenes: Sequence[Scene] = KILLED) -> Told:
    """Kill so many children, each scene in its turn, and judge what each left."""
    told, chance = Told(), random.Random(seed)
    lengths: dict[str, float] = {}
    for scene in scenes:
        place = folder / f"{scene.name} prepared"
        place.mkdir()
        scene.prepare(place)
        started = time.monotonic()
        scene.run(begun(scene, folder / "timed", place), lambda _what: None)
        lengths[scene.name] = time.monotonic() - started
    for number in range(count):
        scene = scenes[number % len(scenes)]
        after = chance.uniform(0, lengths[scene.name])
        place = folder / "killed"
        said, within = killed(scene, place, folder / f"{scene.name} prepared", after)
        told.done[scene.name] += 1
        told.said += len(said)
        told.in_the_middle += within
        told.lost += [f"{scene.name}, killed: {each}" for each in lost(scene, place, said)]
    return told


# ---------------------------------------------------------------- hurt files


NASTY: tuple[Any, ...] = (
    None, True, -1, 0, 10**9, 10**400, 0.5, 1e308, "", "x" * 5000, "\u202egnp", "\x1b[2J", "\x00",
    "0001-01-01", "9999-12-31T23:59:59-12:00", "2027-11-23", [], {}, [[]], {"kind": "session"},
)  # fmt: skip


def hurt_bytes(data: bytes, chance: random.Random) -> bytes:
    """Some bytes turned, cut out, doubled or put in."""
    hurt = bytearray(data)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(hurt) + 1)
        to = min(len(hurt), at + chance.randint(1, 40))
        match chance.randrange(4):
            case 0 if at < len(hurt):
                hurt[at] = chance.randrange(256)
            case 1:
                del hurt[at:to]
            case 2:
                hurt[at:at] = hurt[at:to]
            case _:
                hurt[at:at] = chance.randbytes(chance.randint(1, 6))
    return bytes(hurt)


def hurt_value(value: Any, chance: random.Random) -> Any:
    """The value with one of its parts changed for another one, dropped or told twice."""
    if isinstance(value, dict) and value and chance.random() < 0.95:
        key = chance.choice(sorted(value))
        if chance.random() < 0.1:
            return {k: v for k, v in value.items() if k != key}
        if chance.random() < 0.05:
            return value | {chance.choice(("\x1b[2Jx", "new", "k" * 900)): value[key]}
        return value | {key: hurt_value(value[key], chance)}
    if isinstance(value, list) and value and chance.random() < 0.95:
        at = chance.randrange(len(value))
        if chance.random() < 0.1:
            return [*value, value[at]]
        return [*value[:at], hurt_value(value[at], chance), *value[at + 1 :]]
    return chance.choice(NASTY)


_PLAN_FILE, _DIARY_FILE = plan_bytes(full_plan()), diary_bytes(full_diary())
_TABLE = write_table(full_diary()).encode()


def _read_hurt(data: bytes) -> str:
    reading = read_bytes(data, today=DAY)
    if reading.state == "whole" and reading.diary is not None:
        again = read_bytes(diary_bytes(reading.diary), today=DAY)
        if again.diary is None or diary_bytes(again.diary) != diary_bytes(reading.diary):
            raise AssertionError("a whole file is not read again as it was")
    return reading.state


def _hurt_diary(chance: random.Random) -> str:
    if chance.random() < 0.3:
        return _read_hurt(with_header(hurt_bytes(body_of(_DIARY_FILE), chance)))
    value = json.loads(body_of(_DIARY_FILE))
    for _ in range(chance.randint(1, 3)):
        value = hurt_value(value, chance)
    try:
        body = laid_out(value)
    except (KeyError, TypeError):
        body = json.dumps(value).encode() + b"\n"
    return _read_hurt(with_header(body))


def _hurt_plan(chance: random.Random) -> str:
    value = json.loads(body_of(_PLAN_FILE))
    for _ in range(chance.randint(1, 3)):
        value = hurt_value(value, chance)
    body = json.dumps(value).encode() + b"\n"
    if chance.random() < 0.3:
        body = hurt_bytes(body_of(_PLAN_FILE), chance)
    return _read_hurt(with_header(body, f"homeknee plan {VERSIONS['plan']}".encode()))


def _hurt_table(chance: random.Random) -> str:
    reading = read_table(hurt_bytes(_TABLE, chance), full_plan(), CLOCK.now())
    return "faults" if reading.faults else "whole"


def _hurt_store(store: Path, place: Path, chance: random.Random) -> str:
    """A store hurt anywhere is refused, or gives back nothing that nobody wrote; what is good in
    it is saved."""
    with contextlib.suppress(FileNotFoundError):
        shutil.rmtree(place)
    place.mkdir()
    (place / backups.STORE).write_bytes(hurt_bytes(store.read_bytes(), chance))
    written = {one.id: one for one in OLD}
    state = "damaged"
    try:
        with Journal.open(place, CLOCK) as journal:
            found = journal.entries()
            state = "opens"
    except JournalFault:
        found = salvaged(place).entries
    if any(written.get(entry.id) != entry for entry in found):
        raise AssertionError("it gives back what nobody wrote")
    return state


def files(count: int, folder: Path, seed: int) -> Told:
    """Hurt so many files and read each: how it ended, and what raised."""
    told = Told()
    store = filled(folder / "store", *OLD)
    readers: tuple[tuple[str, int, Callable[[random.Random], str]], ...] = (
        ("diary", 55, _hurt_diary),
        ("plan", 25, _hurt_plan),
        ("table", 18, _hurt_table),
        ("store", 2, partial(_hurt_store, store, folder / "hurt")),
    )
    kinds = [(name, reader) for name, share, reader in readers for _ in range(share)]
    for number in range(count):
        chance = random.Random(f"{seed} {number}")
        name, reader = chance.choice(kinds)
        started = time.process_time()
        try:
            told.done[f"{name}: {reader(chance)}"] += 1
        except Exception as fault:  # noqa: BLE001 - no reader may raise
            told.lost.append(f"{name} {seed} {number}: {type(fault).__name__}: {fault}"[:300])
        took = time.process_time() - started
        told.slowest = max(told.slowest, took)
        if took > LONGEST:
            told.lost.append(f"{name} {seed} {number}: {took:.1f} s")
    return told


# ---------------------------------------------------------------- all of it


def cuts(every: int, folder: Path, seed: int) -> Told:
    """Cut the power, and let the disk refuse, after each of so many steps of every scene."""
    from tests.journal.test_power_cut import after_cuts, after_refusals

    told = Told()
    for play, name in ((after_cuts, "cut"), (after_refusals, "refused")):
        for scene in SCENES:
            place = folder / f"{name} {scene.name}"
            place.mkdir()
            count: Counter[str] = Counter()
            told.lost += play(scene, place, every=every, seed=seed, count=count)
            told.done += count
            shutil.rmtree(place)
    return told


def _print(what: str, told: Told, seconds: float) -> None:
    every = sum(told.done.values())
    print(f"{what}: {every:,} in {seconds:.0f} s, lost {len(told.lost)}")
    print("  " + ", ".join(f"{name} {n:,}" for name, n in sorted(told.done.items())))
    if told.said:
        print(f"  in the middle {told.in_the_middle:,}, said to be saved {told.said:,}")
    if told.slowest:
        print(f"  the slowest {told.slowest:.2f} s")
    for each in told.lost[:40]:
        print(f"  LOST {each}")
    sys.stdout.flush()


def main(arguments: Sequence[str]) -> int:
    """Do all of it; 0 when nothing was lost."""
    parser = argparse.ArgumentParser(prog="python -m tests.endurance", description=__doc__)
    parser.add_argument("--kills", type=int, default=1_000)
    parser.add_argument("--cuts", type=int, default=1)
    parser.add_argument("--files", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(arguments)
    memory = Path("/dev/shm")
    failed = 0
    parts = (("kills", kills, options.kills), ("cuts", cuts, options.cuts),
             ("files", files, options.files))  # fmt: skip
    for name, play, count in parts:
        if not count:
            continue
        with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
            started = time.monotonic()
            told = play(count, Path(folder), options.seed)
            _print(name, told, time.monotonic() - started)
            failed += len(told.lost)
    return 1 if failed else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
