"""Cut off at each point of writing, and refused each step of it: nothing acknowledged is lost."""

from __future__ import annotations

import errno
import random
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from companion.care.coded import KnownFault
from companion.care.records import Diary
from companion.exchange.files import diary_bytes
from companion.journal.store import Journal
from tests.journal.made import PLAN
from tests.journal.recorded_disk import HOWS, ON_LINUX, Recorder, Recording
from tests.journal.scenarios import BEFORE, CLOCK, NEW, OLD, SCENES, Scene, begun, lost, numbered

pytestmark = pytest.mark.skipif(not ON_LINUX, reason="it is played once, where the checks run")


FAULTS = (errno.ENOSPC, errno.EIO)


def recorded(scene: Scene, folder: Path) -> Recording:
    """All steps of a scene in `folder`, which is prepared and run."""
    folder.mkdir()
    scene.prepare(folder)
    with Recorder(folder) as recorder:
        scene.run(folder, recorder.say)
    return recorder.recording


def after_cuts(
    scene: Scene,
    folder: Path,
    *,
    every: int = 1,
    seed: int = 0,
    count: Counter[str] | None = None,
) -> list[str]:
    """What is lost by cuts after each step, or each of `every` steps from one drawn by `seed`."""
    recording = recorded(scene, folder / "run")
    chance = random.Random(f"{scene.name} {seed}")
    seen: set[int] = set()
    faults = []
    for after in range(chance.randrange(every), len(recording.steps) + 1, every):
        for how in HOWS:
            left = recording.left(after, how, chance)
            image = hash((tuple(sorted(left.files.items())), left.folders, left.said))
            if image in seen:
                continue
            seen.add(image)
            if count is not None:
                count[f"{scene.name} cut"] += 1
            place = folder / "left"
            left.lay_out(place)
            what = lost(scene, place, left.said)
            faults += [f"{scene.name}, cut after {after}, {how}: {each}" for each in what]
            shutil.rmtree(place)
    return faults


def after_refusals(
    scene: Scene,
    folder: Path,
    *,
    every: int = 1,
    seed: int = 0,
    count: Counter[str] | None = None,
) -> list[str]:
    """What is lost where the disk refuses one step, or that step and all that follow."""
    prepared = folder / "prepared"
    prepared.mkdir()
    scene.prepare(prepared)
    place = folder / "refused"
    faults = []
    for fault in FAULTS:
        for for_good in (False, True):
            chance = random.Random(f"{scene.name} {seed} {fault} {for_good}")
            step = 1 + chance.randrange(every)
            while True:
                begun(scene, place, prepared)
                ended = ""
                recorder = Recorder(place, fails_at=step, fails_with=fault, for_good=for_good)
                with recorder:
                    try:
                        scene.run(place, recorder.say)
                    except (KnownFault, OSError):
                        pass
                    except Exception as bug:  # noqa: BLE001 - whatever is no fault a person is told
                        ended = f"{type(bug).__name__}: {bug}"
                if not recorder.failed:
                    break
                if count is not None:
                    count[f"{scene.name} refused"] += 1
                what = [*([ended] if ended else []), *lost(scene, place, recorder.recording.said)]
                told = f"{scene.name}, {errno.errorcode[fault]} at {step}, for good {for_good}"
                faults += [f"{told}: {each}" for each in what]
                step += every
    return faults


@pytest.fixture
def disk() -> Iterator[Path]:
    """A folder that is quick to write to: what lasts there is played, not waited for."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
        yield Path(folder)


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.name)
def test_a_power_cut_costs_nothing_that_was_said_to_be_saved(scene: Scene, disk: Path) -> None:
    assert after_cuts(scene, disk, every=37) == []


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.name)
def test_a_disk_that_refuses_costs_nothing_that_was_said_to_be_saved(
    scene: Scene, disk: Path
) -> None:
    assert after_refusals(scene, disk, every=37) == []


def test_a_store_that_is_less_careful_is_found_out(disk: Path) -> None:
    """The disk that is played does lose what nobody forced there: the same store, a level below."""
    (save,) = (scene for scene in SCENES if scene.name == "save")

    def less_careful(root: Path, say: Callable[[str], None]) -> None:
        with Journal.open(root / "diary", CLOCK) as journal:
            journal._db.execute("PRAGMA synchronous = FULL")
            for number in range(BEFORE, BEFORE + NEW):
                journal.append(numbered(number))
                say(numbered(number).id)

    lost = after_cuts(replace(save, run=less_careful), disk, every=9)
    assert any("is gone" in each for each in lost)


def test_a_file_that_is_not_forced_to_the_disk_is_found_out(disk: Path) -> None:
    (write,) = (scene for scene in SCENES if scene.name == "write")

    def careless(root: Path, say: Callable[[str], None]) -> None:
        data = diary_bytes(Diary(plans=(PLAN,), entries=OLD))
        (root / "out" / "new").write_bytes(data)
        (root / "out" / "new").replace(root / "out" / "diary.homeknee")
        say("written")

    assert after_cuts(replace(write, run=careless), disk)
